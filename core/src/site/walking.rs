//! How long it takes on foot from the tracks to any place of the holding, and back.

use super::cells::{line_on_map, rings_on_map};
use super::tracks::Tracks;
use crate::hold::along::crossing;
use crate::land::{Frame, Ground, MapPoint, MapRect, Pace, WalkGround, Way, WorkingGrid};
use crate::plan::{Feature, Kind, Plan};
use rstar::primitives::Line;
use rstar::{AABB, RTree};

/// A stream narrower than this is stepped over with tools in hand, metres.
///
/// # Source
/// Key `common-practice`.
const STEPPED_OVER_M: f64 = 1.5;
/// Where a track or a way crosses a stream one gets across, this far to either side.
const FORD_M: f64 = 6.0;
/// Cells this near to a track are begun from the track itself.
const FROM_TRACK_M: f64 = 15.0;
/// So far around the tracks walking times are worked out.
const AROUND_M: f64 = 1500.0;

/// How long somebody walks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Minutes {
    /// From the track, by Tobler's function, seconds.
    pub there_s: f64,
    /// Back to the track, seconds.
    pub back_s: f64,
    /// From the track by Naismith's rule with Langmuir's corrections, seconds.
    pub by_climb_s: f64,
}

impl Minutes {
    /// Nobody gets there.
    pub const NEVER: Self = Self { there_s: f64::INFINITY, back_s: f64::INFINITY, by_climb_s: f64::INFINITY };

    /// A straight way of one slope.
    fn straight(run_m: f64, climb_m: f64) -> Option<Self> {
        Some(Self {
            there_s: Pace::OffPath.seconds(run_m, climb_m)?,
            back_s: Pace::OffPath.seconds(run_m, -climb_m)?,
            by_climb_s: Pace::ByClimb.seconds(run_m, climb_m)?,
        })
    }

    fn and(self, other: Self) -> Self {
        Self {
            there_s: self.there_s + other.there_s,
            back_s: self.back_s + other.back_s,
            by_climb_s: self.by_climb_s + other.by_climb_s,
        }
    }

    fn sooner(self, other: Self) -> Self {
        Self {
            there_s: self.there_s.min(other.there_s),
            back_s: self.back_s.min(other.back_s),
            by_climb_s: self.by_climb_s.min(other.by_climb_s),
        }
    }
}

/// Walking times from the usable tracks over the holding.
#[derive(Clone, Debug)]
pub struct Walking {
    grid: WorkingGrid,
    there_s: Vec<f64>,
    back_s: Vec<f64>,
    by_climb_s: Vec<f64>,
    bars: RTree<Line<[f64; 2]>>,
}

impl Walking {
    /// Walking times over the ground around the usable tracks; `None` where there is no such track or no ground.
    pub fn of(plan: &Plan, frame: Frame, ground: &Ground, tracks: &Tracks) -> Option<Self> {
        let around = MapRect::around(tracks.runs().iter().flatten().copied())?;
        let margin = MapPoint::new(AROUND_M, AROUND_M);
        let around = MapRect { min: around.min - margin, max: around.max + margin };
        let grid = WorkingGrid::spaced(ground, WorkingGrid::usual_spacing(ground), around)?;
        let bars = bars(plan, frame);
        let mut walk = WalkGround::open(&grid);
        bars.iter().for_each(|(from, to)| walk.bar(*from, *to));
        let line = |(from, to): &(MapPoint, MapPoint)| Line::new([from.x_m, from.y_m], [to.x_m, to.y_m]);
        let bars = RTree::bulk_load(bars.iter().map(line).collect());
        let starts = starts(&grid, tracks, &bars);
        let spent = |seconds: fn(&Minutes) -> f64| -> Vec<(usize, f64)> {
            starts.iter().map(|(cell, minutes)| (*cell, seconds(minutes))).collect()
        };
        let there = || walk.times(&spent(|minutes| minutes.there_s), Pace::OffPath, Way::There);
        let back = || walk.times(&spent(|minutes| minutes.back_s), Pace::OffPath, Way::Back);
        let by_climb = || walk.times(&spent(|minutes| minutes.by_climb_s), Pace::ByClimb, Way::There);
        let (there_s, (back_s, by_climb_s)) = rayon::join(there, || rayon::join(back, by_climb));
        Some(Self { there_s, back_s, by_climb_s, bars, grid })
    }

    /// The cells that times are known of.
    pub fn grid(&self) -> &WorkingGrid {
        &self.grid
    }

    /// Time from the track to each cell, seconds; infinite where nobody gets to.
    pub fn there_s(&self) -> &[f64] {
        &self.there_s
    }

    /// How long it takes to a place and back: straight from a near track, else by the cells around it.
    pub fn at(&self, at: MapPoint, tracks: &Tracks) -> Minutes {
        let straight = tracks.nearest(at).filter(|from| from.distance_m(at) <= FROM_TRACK_M);
        let straight = straight.and_then(|from| hop(&self.grid, &self.bars, from, at)).unwrap_or(Minutes::NEVER);
        let (column, row) = self.grid.to_cells(at);
        let corners = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)];
        let by_cells = corners.into_iter().filter_map(|(east, south)| {
            let cell = self.grid.cell_of(self.grid.to_map(column.floor() + east, row.floor() + south))?;
            let spent = Minutes { there_s: self.there_s[cell], back_s: self.back_s[cell], by_climb_s: self.by_climb_s[cell] };
            Some(spent.and(hop(&self.grid, &self.bars, self.grid.centre_of(cell), at)?))
        });
        by_cells.fold(straight, Minutes::sooner)
    }
}

/// A short straight way; `None` where something is in it or it is too steep. Where the ground is not known it counts as level.
pub(super) fn hop(grid: &WorkingGrid, bars: &RTree<Line<[f64; 2]>>, from: MapPoint, to: MapPoint) -> Option<Minutes> {
    let around = AABB::from_corners([from.x_m, from.y_m], [to.x_m, to.y_m]);
    let point = |at: [f64; 2]| MapPoint::new(at[0], at[1]);
    let is_barred =
        bars.locate_in_envelope_intersecting(&around).any(|bar| crossing(from, to, point(bar.from), point(bar.to)).is_some());
    if is_barred {
        return None;
    }
    let climb_m = grid.elevation_m(to).zip(grid.elevation_m(from)).map_or(0.0, |(to, from)| to - from);
    Minutes::straight(from.distance_m(to), climb_m)
}

/// The cells beside usable tracks with the time from the track to their middle.
fn starts(grid: &WorkingGrid, tracks: &Tracks, bars: &RTree<Line<[f64; 2]>>) -> Vec<(usize, Minutes)> {
    let reach = FROM_TRACK_M.max(grid.spacing().as_metres());
    let mut cells: Vec<usize> = Vec::new();
    for at in tracks.runs().iter().flatten() {
        let (column, row) = grid.to_cells(*at);
        let by = (reach / grid.spacing().as_metres()).ceil();
        let range = |middle: f64, count: usize| {
            let low = (middle - by).ceil().max(0.0) as usize;
            low..((middle + by).floor() + 1.0).clamp(0.0, count as f64) as usize
        };
        for row in range(row, grid.rows()) {
            cells.extend(range(column, grid.columns()).map(|column| grid.index(column, row)));
        }
    }
    cells.sort_unstable();
    cells.dedup();
    let start = |cell: usize| {
        let at = grid.centre_of(cell);
        let from = tracks.nearest(at).filter(|from| from.distance_m(at) <= reach)?;
        Some((cell, hop(grid, bars, from, at)?))
    };
    cells.into_iter().filter_map(start).collect()
}

/// Straight pieces that nobody gets across: streams except at their fords, and the outlines of ground that is kept out of.
pub(super) fn bars(plan: &Plan, frame: Frame) -> Vec<(MapPoint, MapPoint)> {
    let ways: Vec<Vec<MapPoint>> = plan
        .features
        .iter()
        .filter(|feature| matches!(feature.kind, Kind::Track(_) | Kind::PublicWay { .. }))
        .map(|feature| line_on_map(frame, feature))
        .collect();
    let mut all = Vec::new();
    for feature in &plan.features {
        match &feature.kind {
            Kind::Stream { width, culvert: false, .. } if width.is_none_or(|width| width.as_metres() >= STEPPED_OVER_M) => {
                all.extend(without_fords(&line_on_map(frame, feature), &ways));
            }
            Kind::Zone(zone) if zone.of == "keep_out" => all.extend(outline(frame, feature)),
            _ => {}
        }
    }
    all
}

fn outline(frame: Frame, feature: &Feature) -> Vec<(MapPoint, MapPoint)> {
    rings_on_map(frame, feature)
        .iter()
        .flat_map(|ring| ring.windows(2).map(|side| (side[0], side[1])).collect::<Vec<_>>())
        .collect()
}

/// A stream in pieces, without those where a way crosses it.
fn without_fords(stream: &[MapPoint], ways: &[Vec<MapPoint>]) -> Vec<(MapPoint, MapPoint)> {
    let crossings: Vec<MapPoint> = stream
        .windows(2)
        .flat_map(|leg| {
            let legs = ways.iter().flat_map(|way| way.windows(2));
            legs.filter_map(|way| crossing(leg[0], leg[1], way[0], way[1]))
                .map(|(along, _)| leg[0].towards(leg[1], along))
                .collect::<Vec<_>>()
        })
        .collect();
    let is_ford = |at: MapPoint| crossings.iter().any(|crossing| crossing.distance_m(at) < FORD_M);
    let mut all = Vec::new();
    for leg in stream.windows(2) {
        // Only near a ford is a leg cut into short pieces.
        let near = |crossing: &MapPoint| crate::hold::along::distance_m(*crossing, leg[0], leg[1]) < FORD_M;
        let count = if crossings.iter().any(near) { leg[0].distance_m(leg[1]).ceil().max(1.0) as usize } else { 1 };
        let at = |index: usize| leg[0].towards(leg[1], index as f64 / count as f64);
        let pieces = (0..count).map(|index| (at(index), at(index + 1)));
        all.extend(pieces.filter(|(from, to)| !is_ford(from.towards(*to, 0.5))));
    }
    all
}
