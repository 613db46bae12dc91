//! Animals that run down the hills of the holding: where they start by its woods, and where they come to a line.

use crate::hold::Section;
use crate::hold::along::{Piece, pieces};
use crate::hold::inside;
use crate::land::{Crossing, Filled, Frame, Ground, Habits, Hillside, MapPoint, MapRect, RunnerSteps, Runners, WorkingGrid};
use crate::plan::{Feature, Geometry, Kind, Plan};
use crate::units::{Area, Length};

/// Flights that start on a hectare of wood in a year: the unit of the model. Nobody knows the number; places compared with each other do not
/// depend on it, and the keeper's log of strikes scales it.
pub const STARTS_PER_HECTARE: f64 = 1.0;

/// Flights that start on open ground for one in a wood.
///
/// # Source
/// Key `runner-model`.
pub const OPEN_SHARE: f64 = 0.1;

/// Strikes are told over so much of a line: on shorter pieces single cells would decide.
///
/// # Source
/// Key `runner-model`: on pieces of 5 m the worst one seemed to get twice as much.
pub const WINDOW: Length = Length::metres(30.0);

/// Pieces in which a line is held against the runners, metres.
const PIECE_M: f64 = 20.0;

/// Where flights start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cover {
    /// Mostly in the woods that are drawn.
    Drawn,
    /// No wood is drawn, so everywhere alike.
    Everywhere,
}

/// Runners on the ground that the plan stands on.
#[derive(Clone, Debug)]
pub struct HillRunners {
    runners: Runners,
    starts: Vec<f64>,
    /// Where they start.
    pub cover: Cover,
}

/// Flights that start alike on the same ground run alike; unknown cells, which no number equals, are alike.
impl PartialEq for HillRunners {
    fn eq(&self, other: &Self) -> bool {
        let bits = |runners: &Self| -> Vec<u64> { runners.grid().heights_m().iter().map(|height| height.to_bits()).collect() };
        self.starts == other.starts && self.grid().extent() == other.grid().extent() && bits(self) == bits(other)
    }
}

/// Runners that come to one place of a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arrival {
    /// Distance along the line on the map.
    pub plan_m: f64,
    /// What comes.
    pub crossing: Crossing,
}

/// What comes to a line in a year.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LineRuns {
    /// One by one, along the line.
    pub arrivals: Vec<Arrival>,
    /// Length of the line on the map.
    pub length_m: f64,
    /// Window over which strikes are told.
    pub window_m: f64,
}

/// A stretch of a line where strikes come together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HotStretch {
    /// From here on the map.
    pub from_m: f64,
    /// Until here.
    pub until_m: f64,
    /// Strikes in a year in its worst window.
    pub strikes: f64,
    /// Those that would be left if the wire were marked.
    pub strikes_marked: f64,
    /// How many times the mean of the line that is, by length.
    pub ratio: f64,
    /// The arrival that strikes most in it.
    pub worst: Arrival,
    /// Mean speed of the strikes in the worst window, m/s.
    pub speed_m_per_s: f64,
    /// Mean slope they come down.
    pub slope: f64,
}

impl HillRunners {
    /// On this part of the plan's ground ([`super::working_extent`]), with the woods that are drawn on it; `None` where nothing is known.
    /// What water cuts open, streams and culverts, is nothing to a deer: the ground is taken as it is.
    pub fn of(plan: &Plan, frame: Frame, ground: &Ground, within: MapRect) -> Option<Self> {
        let grid = WorkingGrid::spaced(ground, WorkingGrid::usual_spacing(ground), within)?;
        let woods: Vec<Vec<Vec<MapPoint>>> = plan.features.iter().filter_map(|feature| wood(feature, frame)).collect();
        let cover = if woods.is_empty() { Cover::Everywhere } else { Cover::Drawn };
        let full = STARTS_PER_HECTARE * Area::square_metres(grid.spacing().as_metres().powi(2)).as_hectares();
        let mut starts = vec![if cover == Cover::Everywhere { full } else { full * OPEN_SHARE }; grid.columns() * grid.rows()];
        for rings in &woods {
            cells_in(&grid, rings).for_each(|cell| starts[cell] = full);
        }
        let filled = Filled::falling(&grid);
        let runners = Runners::of(grid, filled, Habits::USUAL, |cell| starts[cell]);
        Some(Self { runners, starts, cover })
    }

    /// Whether a feature belongs to what this is made of, besides the ground and its water.
    pub fn is_part(feature: &Feature) -> bool {
        matches!(&feature.kind, Kind::Zone(zone) if zone.of == "wood")
    }

    /// The working grid.
    pub fn grid(&self) -> &WorkingGrid {
        self.runners.grid()
    }

    /// Runners that pass a cell in a year.
    pub fn passing(&self, cell: usize) -> f64 {
        self.runners.passing(cell)
    }

    /// The steps of the runners in a rectangle, laid out for short pieces of fence.
    pub fn steps(&self, within: MapRect) -> RunnerSteps<'_> {
        self.runners.steps(within)
    }

    /// What comes to a line.
    pub fn along(&self, section: &Section) -> LineRuns {
        let mut arrivals = Vec::new();
        let pieces = pieces(section, PIECE_M);
        for piece in &pieces {
            let length_m = piece.to.plan_m - piece.from.plan_m;
            let crossed = self.runners.across(piece.from.at, piece.to.at).into_iter();
            arrivals.extend(crossed.map(|crossing| Arrival { plan_m: piece.from.plan_m + crossing.along * length_m, crossing }));
        }
        let length_m = pieces.last().map_or(0.0, |last| last.to.plan_m);
        LineRuns { arrivals, length_m, window_m: WINDOW.max(self.grid().spacing() * 2.0).as_metres() }
    }

    /// Where the runners come from that reach a stretch of a line between two stations.
    pub fn hillside(&self, section: &Section, from: Length, until: Length) -> Option<Hillside> {
        let (from_m, until_m) = (from.as_metres(), until.as_metres());
        let is_in = |piece: &Piece| piece.to.station_m > from_m && piece.from.station_m < until_m;
        let near = pieces(section, PIECE_M).into_iter().filter(is_in);
        let pieces: Vec<(MapPoint, MapPoint)> = near.map(|piece| (piece.from.at, piece.to.at)).collect();
        self.runners.hillside_above(&pieces, |cell| self.starts[cell])
    }
}

/// The rings of a wood on the map.
fn wood(feature: &Feature, frame: Frame) -> Option<Vec<Vec<MapPoint>>> {
    let Geometry::Area(rings) = &feature.geometry else { return None };
    let on_map = |ring: &Vec<_>| ring.iter().map(|at| frame.to_map(*at).ok()).collect::<Option<Vec<_>>>();
    HillRunners::is_part(feature).then(|| rings.iter().map(on_map).collect()).flatten()
}

/// The cells whose middles lie in an area, its holes left out.
pub(crate) fn cells_in<'a>(grid: &'a WorkingGrid, rings: &'a [Vec<MapPoint>]) -> impl Iterator<Item = usize> + 'a {
    let extent = MapRect::around(rings.iter().flatten().copied());
    let span = move |low: f64, high: f64, count: usize| {
        (low.ceil().clamp(0.0, count as f64) as usize)..((high.floor() + 1.0).clamp(0.0, count as f64) as usize)
    };
    let (columns, rows) = extent.map_or((0..0, 0..0), |extent| {
        let (west, south) = grid.to_cells(extent.min);
        let (east, north) = grid.to_cells(extent.max);
        (span(west, east, grid.columns()), span(north, south, grid.rows()))
    });
    let cells = rows.flat_map(move |row| columns.clone().map(move |column| grid.index(column, row)));
    cells.filter(move |cell| {
        let middle = grid.centre_of(*cell);
        rings.iter().filter(|ring| inside(ring, middle)).count() % 2 == 1
    })
}

impl LineRuns {
    /// Animals that cross the line in a year.
    pub fn runners(&self) -> f64 {
        self.arrivals.iter().map(|arrival| arrival.crossing.runners).sum()
    }

    /// Strikes in a year.
    pub fn strikes(&self) -> f64 {
        self.arrivals.iter().map(|arrival| arrival.crossing.strikes).sum()
    }

    /// The stretches whose windows get more than `times` the line's mean and at least `least` strikes in a year; each with its worst window.
    pub fn hot_stretches(&self, times: f64, least: f64) -> Vec<HotStretch> {
        let mean_per_m = self.strikes() / self.length_m;
        let mut all: Vec<HotStretch> = Vec::new();
        for first in 0..self.arrivals.len() {
            let from_m = self.arrivals[first].plan_m;
            let count = self.arrivals[first..].partition_point(|arrival| arrival.plan_m < from_m + self.window_m);
            let Some(hot) = self.window(&self.arrivals[first..first + count], mean_per_m) else { continue };
            if hot.strikes < least || hot.ratio <= times {
                continue;
            }
            match all.last_mut() {
                Some(last) if last.until_m >= hot.from_m => {
                    let (from_m, until_m) = (last.from_m, hot.until_m.max(last.until_m));
                    let worse = if hot.strikes > last.strikes { hot } else { *last };
                    *last = HotStretch { from_m, until_m, ..worse };
                }
                _ => all.push(hot),
            }
        }
        all
    }

    fn window(&self, arrivals: &[Arrival], mean_per_m: f64) -> Option<HotStretch> {
        let sum = |of: fn(&Crossing) -> f64| arrivals.iter().map(|arrival| of(&arrival.crossing)).sum::<f64>();
        let strikes = sum(|one| one.strikes);
        let worst = *arrivals.iter().max_by(|a, b| a.crossing.strikes.total_cmp(&b.crossing.strikes))?;
        let from_m = arrivals.first()?.plan_m;
        (strikes > 0.0).then(|| HotStretch {
            from_m,
            until_m: (from_m + self.window_m).min(self.length_m),
            strikes,
            strikes_marked: sum(|one| one.strikes_marked),
            ratio: strikes / self.window_m / mean_per_m,
            worst,
            speed_m_per_s: sum(|one| one.strikes * one.speed_m_per_s) / strikes,
            slope: sum(|one| one.strikes * one.slope) / strikes,
        })
    }
}
