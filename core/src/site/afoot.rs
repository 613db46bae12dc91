//! On foot from any place to any other, away from paths: how long it takes, and which way it goes.

use super::walking::{bars, hop};
use crate::land::{Frame, Ground, MapPoint, MapRect, Pace, WalkGround, Way, WorkingGrid};
use crate::plan::Plan;
use rayon::prelude::*;
use rstar::RTree;
use rstar::primitives::Line;

/// So far around the places ways are looked for.
const AROUND_M: f64 = 200.0;
/// Two places nearer than this many cells are walked between in a straight line.
const STRAIGHT_CELLS: f64 = 2.0;

/// Open ground to walk over, with what nobody gets across.
#[derive(Clone, Debug)]
pub struct Afoot {
    /// `None` where the ground is not known: then ways are straight and level.
    grid: Option<WorkingGrid>,
    bars: Vec<(MapPoint, MapPoint)>,
    barred: RTree<Line<[f64; 2]>>,
}

impl Afoot {
    /// The ground around these places.
    pub fn of(plan: &Plan, frame: Frame, ground: Option<&Ground>, places: &[MapPoint]) -> Self {
        let around = MapRect::around(places.iter().copied());
        let grid = ground.zip(around).and_then(|(ground, around)| {
            let margin = MapPoint::new(AROUND_M, AROUND_M);
            let within = MapRect { min: around.min - margin, max: around.max + margin };
            WorkingGrid::spaced(ground, WorkingGrid::usual_spacing(ground), within)
        });
        let bars = bars(plan, frame);
        let line = |(from, to): &(MapPoint, MapPoint)| Line::new([from.x_m, from.y_m], [to.x_m, to.y_m]);
        let barred = RTree::bulk_load(bars.iter().map(line).collect());
        Self { grid, bars, barred }
    }

    /// How long it takes from each of the places to each, seconds, as far as somebody gets in `most_s`; infinite beyond. By Tobler's function off
    /// paths.
    pub fn times(&self, places: &[MapPoint], most_s: f64) -> Vec<Vec<f64>> {
        let Some(grid) = &self.grid else {
            let level = |from: MapPoint, to: MapPoint| Pace::OffPath.seconds(from.distance_m(to), 0.0).filter(|s| *s <= most_s);
            let row = |from: &MapPoint| places.iter().map(|to| level(*from, *to).unwrap_or(f64::INFINITY)).collect();
            return places.iter().map(row).collect();
        };
        let walk = self.walk(grid);
        let row = |from: &MapPoint| {
            let field = walk.times_within(&self.around(grid, *from, Way::There), Pace::OffPath, Way::There, most_s);
            places.iter().map(|to| self.time(grid, &field, *from, *to)).collect()
        };
        places.par_iter().map(row).collect()
    }

    /// The quickest way from one place to another.
    pub fn way(&self, from: MapPoint, to: MapPoint) -> Vec<MapPoint> {
        let straight = || vec![from, to];
        let Some(grid) = &self.grid else { return straight() };
        if self.straight_s(grid, from, to).is_some() {
            return straight();
        }
        let walk = self.walk(grid);
        let field = walk.times(&self.around(grid, from, Way::There), Pace::OffPath, Way::There);
        let last = self.around(grid, to, Way::Back).into_iter().map(|(cell, left_s)| (cell, field[cell] + left_s));
        let Some((last, _)) = last.filter(|(_, s)| s.is_finite()).min_by(|one, other| one.1.total_cmp(&other.1)) else {
            return straight();
        };
        let over = walk.way(&field, Pace::OffPath, last).into_iter().map(|cell| grid.centre_of(cell));
        std::iter::once(from).chain(over).chain([to]).collect()
    }

    fn walk<'a>(&self, grid: &'a WorkingGrid) -> WalkGround<'a> {
        let mut walk = WalkGround::open(grid);
        self.bars.iter().for_each(|(from, to)| walk.bar(*from, *to));
        walk
    }

    /// The cells around a place, with the time to their middles or from there.
    fn around(&self, grid: &WorkingGrid, at: MapPoint, way: Way) -> Vec<(usize, f64)> {
        let (column, row) = grid.to_cells(at);
        let corners = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)];
        let cell = |(east, south): (f64, f64)| {
            let cell = grid.cell_of(grid.to_map(column.floor() + east, row.floor() + south))?;
            let minutes = hop(grid, &self.barred, at, grid.centre_of(cell))?;
            Some((cell, if way == Way::There { minutes.there_s } else { minutes.back_s }))
        };
        corners.into_iter().filter_map(cell).collect()
    }

    fn straight_s(&self, grid: &WorkingGrid, from: MapPoint, to: MapPoint) -> Option<f64> {
        let is_near = from.distance_m(to) <= STRAIGHT_CELLS * grid.spacing().as_metres();
        is_near.then(|| hop(grid, &self.barred, from, to).map(|minutes| minutes.there_s)).flatten()
    }

    fn time(&self, grid: &WorkingGrid, field: &[f64], from: MapPoint, to: MapPoint) -> f64 {
        let straight = self.straight_s(grid, from, to).unwrap_or(f64::INFINITY);
        let by_cells = self.around(grid, to, Way::Back).into_iter().map(|(cell, left_s)| field[cell] + left_s);
        by_cells.fold(straight, f64::min)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::fixture::plane;
    use crate::plan::{Feature, FeatureId, Geometry, Head, Kind};
    use std::sync::Arc;

    fn on_plane(east_slope: f64, stream: bool) -> (Afoot, MapPoint) {
        let grid = plane(60, 60, 10.0, east_slope, 0.0);
        let frame = Ground::frame_of(&grid).expect("in UTM");
        let ground = Ground::new(Arc::new(grid), frame).expect("in UTM");
        let middle = ground.extent().centre();
        let at = |east_m: f64, north_m: f64| frame.to_position(middle + MapPoint::new(east_m, north_m));
        let kind = Kind::Stream { width: None, seasonal: false, culvert: false };
        let across = Feature::new(FeatureId::new("beck"), kind, Geometry::Line(vec![at(0.0, -200.0), at(0.0, 100.0)]));
        let plan = Plan::new(Head::default(), if stream { vec![across] } else { vec![] });
        let corners = [middle - MapPoint::new(150.0, 150.0), middle + MapPoint::new(150.0, 150.0)];
        (Afoot::of(&plan, frame, Some(&ground), &corners), middle)
    }

    #[test]
    fn ways_take_what_tobler_says_up_and_down() {
        for slope in [0.0, 0.2, -0.3] {
            let (afoot, middle) = on_plane(slope, false);
            let places = [middle, middle + MapPoint::new(100.0, 0.0)];
            let times = afoot.times(&places, f64::INFINITY);
            let found = |climb_m: f64| Pace::OffPath.seconds(100.0, climb_m).expect("it can be walked");
            // Ways over sixteen neighbours are up to 2.8 % too long, and bend to the middles of the cells they begin and end in.
            assert!((times[0][1] / found(100.0 * slope) - 1.0).abs() < 0.06, "{slope}: {times:?}");
            assert!((times[1][0] / found(-100.0 * slope) - 1.0).abs() < 0.06, "{slope}: {times:?}");
            assert!(times[0][0] < 1e-9);
            assert!(afoot.times(&places, 20.0)[0][1].is_infinite(), "100 m are not walked in 20 s");
        }
    }

    #[test]
    fn a_stream_is_gone_round_and_the_way_shows_it() {
        let (afoot, middle) = on_plane(0.0, true);
        let (from, to) = (middle - MapPoint::new(60.0, 0.0), middle + MapPoint::new(60.0, 0.0));
        let way = afoot.way(from, to);
        let length_m: f64 = way.windows(2).map(|step| step[0].distance_m(step[1])).sum();
        let round_m = 2.0 * 60.0_f64.hypot(100.0);
        assert!(length_m > 0.97 * round_m && length_m < 1.2 * round_m, "{length_m} {round_m}");
        let seconds = afoot.times(&[from, to], f64::INFINITY)[0][1];
        let by_length_s = Pace::OffPath.seconds(length_m, 0.0).expect("level");
        assert!((seconds / by_length_s - 1.0).abs() < 0.02, "{seconds} {by_length_s}");
    }
}
