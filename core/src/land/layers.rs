//! Several elevation grids over each other: at each place the finest one that has a height there counts.

use super::{Ground, MapPoint, MapRect};
use crate::units::Length;

/// Places at which two grids are compared, each way over the finer one.
const COMPARED: usize = 40;
/// Fewer places with both heights than this say nothing.
const LEAST_COMPARED: usize = 30;

impl Ground {
    /// One ground of several on one frame, the finest on top; of grids with cells alike the one named first. `None` without any.
    pub fn layered(mut grounds: Vec<Self>) -> Option<Self> {
        grounds.reverse();
        // The order of cells alike is kept; a cell in a conformal projection is some 1e-4 larger or smaller than its nominal size.
        grounds.sort_by_key(|ground| std::cmp::Reverse((ground.cell().as_metres() * 1000.0).round() as u64));
        let mut from_below = grounds.into_iter();
        let lowest = from_below.next()?;
        Some(from_below.fold(lowest, |beneath, above| above.over(Some(beneath))))
    }

    /// The grids, the finest first. What is not said of all of them is said of the finest.
    pub fn layers(&self) -> impl Iterator<Item = &Self> {
        std::iter::successors(Some(self), |ground| ground.beneath())
    }

    /// The grid that gives the height at a place.
    pub fn layer_at(&self, at: MapPoint) -> Option<&Self> {
        self.layers().find(|layer| layer.own_elevation_m(at).is_some())
    }

    /// Size of the cells that give the height at a place.
    pub fn cell_at(&self, at: MapPoint) -> Option<Length> {
        self.layer_at(at).map(Self::cell)
    }

    /// The upright rectangle around all grids on the map.
    pub fn whole_extent(&self) -> MapRect {
        let corners = self.layers().flat_map(|layer| [layer.extent().min, layer.extent().max]);
        MapRect::around(corners).unwrap_or(self.extent())
    }

    /// How much higher this grid lies than those beneath it, the middle one of many places; `None` where they share too few. Grids whose
    /// heights count from different zeros give themselves away so.
    pub fn above_beneath(&self) -> Option<Length> {
        let beneath = self.beneath()?;
        let MapRect { min, max } = self.extent();
        let share = |k: usize| (k as f64 + 0.5) / COMPARED as f64;
        let places = (0..COMPARED * COMPARED).map(|k| {
            let (u, v) = (share(k % COMPARED), share(k / COMPARED));
            MapPoint::new(min.x_m + u * (max.x_m - min.x_m), min.y_m + v * (max.y_m - min.y_m))
        });
        let mut apart_m: Vec<f64> = places.filter_map(|at| Some(self.own_elevation_m(at)? - beneath.elevation_m(at)?)).collect();
        if apart_m.len() < LEAST_COMPARED {
            return None;
        }
        apart_m.sort_by(f64::total_cmp);
        Some(Length::metres(apart_m[apart_m.len() / 2]))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::fixture::grid;
    use crate::land::{Frame, Grid};
    use std::sync::Arc;

    /// Invented ground: a slope with a swell of 0.6 m every 31 m, east and north in metres from the corner of the coarse grid.
    fn height_m(east_m: f64, north_m: f64) -> f64 {
        200.0 + 0.12 * east_m + 0.05 * north_m + 0.6 * (east_m / 31.0 * std::f64::consts::TAU).sin()
    }

    /// The ground on `cells` x `cells` cells of this size, its south-western centre so far from the corner.
    fn sampled(cells: usize, cell_m: f64, from_m: f64) -> Grid {
        let height = |k: usize| {
            let (column, row) = ((k % cells) as f64, (cells - 1 - k / cells) as f64);
            height_m(from_m + column * cell_m, from_m + row * cell_m) as f32
        };
        let mut sampled = grid(cells, cells, cell_m, (0..cells * cells).map(height).collect());
        sampled.georeference.origin = (500_000.0 + from_m, 5_000_000.0 + from_m + (cells - 1) as f64 * cell_m);
        sampled
    }

    fn frame() -> Frame {
        Ground::frame_of(&sampled(50, 10.0, 0.0)).expect("in UTM")
    }

    /// A fine grid over 100 m in the middle of a coarse one over 490 m.
    fn layered(fine: Grid) -> Ground {
        let on = |grid| Ground::new(Arc::new(grid), frame()).expect("in UTM");
        Ground::layered(vec![on(sampled(50, 10.0, 0.0)), on(fine)]).expect("two grids")
    }

    #[test]
    fn the_finest_grid_with_a_height_counts_whatever_the_order() {
        let mut holed = sampled(101, 1.0, 200.0);
        holed.heights_m[50 * 101 + 50] = f32::NAN;
        let ground = layered(holed);
        let cells: Vec<f64> = ground.layers().map(|layer| layer.cell().as_metres().round()).collect();
        assert_eq!(cells, [1.0, 10.0]);
        let (fine, coarse) = (ground.layers().next().expect("fine"), ground.layers().nth(1).expect("coarse"));
        for (name, at, layer) in [
            ("inside the fine one", fine.to_map(20.0, 20.0), Some(fine)),
            ("on its edge", fine.to_map(0.0, 20.0), Some(fine)),
            ("in its hole", fine.to_map(50.2, 50.2), Some(coarse)),
            ("just outside", fine.to_map(-0.01, 20.0), Some(coarse)),
            ("far from both", coarse.to_map(-3.0, 0.0), None),
        ] {
            let found = ground.layer_at(at);
            assert_eq!(found.map(|found| found.cell()), layer.map(|layer| layer.cell()), "{name}");
            assert_eq!(
                ground.elevation(at),
                layer.and_then(|layer| layer.own_elevation_m(at)).map(crate::units::Elevation::metres),
                "{name}"
            );
            assert_eq!(ground.gradient(at).is_some(), layer.is_some(), "{name}");
        }
        assert_eq!(ground.whole_extent(), coarse.extent());
        assert!(ground.above_beneath().expect("they overlap").abs() < Length::metres(0.1));
    }

    #[test]
    fn a_profile_over_the_border_steps_no_more_than_the_grids_differ_there() {
        let ground = layered(sampled(101, 1.0, 200.0));
        let (fine, coarse) = (ground.layers().next().expect("fine"), ground.layers().nth(1).expect("coarse"));
        let [from, to] = [coarse.to_map(10.3, 24.7), coarse.to_map(40.1, 23.2)];
        let profile = ground.profile(&[from, to]);
        let mut borders = 0;
        for pair in profile.windows(2) {
            let (here, next) = (pair[0], pair[1]);
            assert!(here.plan_m < next.plan_m, "in order");
            let rise_m = next.ground_m.expect("known") - here.ground_m.expect("known");
            let layers = [here, next].map(|point| ground.layer_at(point.at).expect("known").cell());
            if layers[0] == layers[1] {
                continue;
            }
            borders += 1;
            // Over a border: the way along the one grid and the step to the other.
            let inner = if layers[0] < layers[1] { here } else { next };
            let step_m = fine.own_elevation_m(inner.at).expect("fine") - coarse.elevation_m(inner.at).expect("coarse");
            let run_m = next.plan_m - here.plan_m;
            assert!(rise_m.abs() <= step_m.abs() + 0.6 * run_m + 1e-6, "{rise_m} over {run_m} with a step of {step_m}");
        }
        assert_eq!(borders, 2);
        let crossed = profile.len() - 2;
        // 100 columns and some 15 rows of the fine grid, the columns of the coarse one outside.
        assert!((110..150).contains(&crossed), "{crossed}");
    }

    #[test]
    fn a_layer_that_counts_from_another_zero_gives_itself_away() {
        let mut raised = sampled(101, 1.0, 200.0);
        raised.heights_m.iter_mut().for_each(|height| *height += 2.5);
        let apart_m = layered(raised).above_beneath().expect("they overlap").as_metres();
        assert!((apart_m - 2.5).abs() < 0.1, "{apart_m}");
        let alone = Ground::new(Arc::new(sampled(20, 1.0, 0.0)), frame()).expect("in UTM");
        assert_eq!(alone.above_beneath(), None);
    }

    #[test]
    fn smooth_ground_and_areas_are_layered_too() {
        let ground = layered(sampled(101, 1.0, 200.0));
        let smooth = ground.smoothed(Length::metres(10.0)).expect("large enough");
        assert_eq!(smooth.layers().count(), 2);
        let (fine, coarse) = (ground.layers().next().expect("fine"), ground.layers().nth(1).expect("coarse"));
        let ring = |of: &Ground, low: f64, high: f64| {
            [(low, low), (high, low), (high, high), (low, high)].map(|(column, row)| of.to_map(column, row)).to_vec()
        };
        let inside = ring(fine, 10.0, 90.0);
        assert_eq!(ground.surface_area(&inside), fine.own_surface_area(&inside));
        let across = ring(coarse, 5.0, 40.0);
        assert_eq!(ground.surface_area(&across), coarse.own_surface_area(&across));
    }
}
