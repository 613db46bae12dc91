//! How steep the ground is, cell by cell and at a point (Horn 1981).

use super::{CrsKind, Grid, Ground, MapPoint};

/// The rise of the ground per metre of map, along the axes of the map.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Gradient {
    /// Rise over run towards the east.
    pub east: f64,
    /// Rise over run towards the north.
    pub north: f64,
}

/// Below this rise over run the ground is called flat and falls in no direction.
const FLAT: f64 = 1e-6;

impl Gradient {
    /// The steepest rise over run.
    pub fn slope(self) -> f64 {
        self.east.hypot(self.north)
    }

    /// The steepest slope in percent.
    pub fn slope_pct(self) -> f64 {
        100.0 * self.slope()
    }

    /// The direction in which the ground falls most steeply, degrees clockwise from the map's north, 0 to 360:
    /// atan2(-p, -q). `None` where the ground is flat (slope below 1e-6).
    pub fn downhill_azimuth_deg(self) -> Option<f64> {
        let azimuth_deg = (-self.east).atan2(-self.north).to_degrees().rem_euclid(360.0);
        // A tiny negative angle wraps to 360 exactly.
        (self.slope() >= FLAT).then_some(if azimuth_deg >= 360.0 { 0.0 } else { azimuth_deg })
    }

    /// The rise per metre of map walked in the direction of a vector of any length; 0 for no direction.
    pub fn along(self, direction: MapPoint) -> f64 {
        let length = direction.x_m.hypot(direction.y_m);
        if length > 0.0 { (self.east * direction.x_m + self.north * direction.y_m) / length } else { 0.0 }
    }
}

/// How rises per column and per row become rises per metre along the axes of the grid's coordinate system, for one row:
/// east = `east.0` per column + `east.1` per row; north likewise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Axes {
    pub east: (f64, f64),
    pub north: (f64, f64),
}

impl Axes {
    /// The gradient from rises per column and per row.
    pub fn gradient(self, per_column: f64, per_row: f64) -> Gradient {
        Gradient {
            east: self.east.0 * per_column + self.east.1 * per_row,
            north: self.north.0 * per_column + self.north.1 * per_row,
        }
    }
}

/// Semi-major axis of WGS 84 in metres, and the square of its first eccentricity. Source: EPSG ellipsoid 7030.
const WGS84_A_M: f64 = 6_378_137.0;
const WGS84_E2: f64 = 0.006_694_379_990_141_3;

impl Grid {
    /// Metres of one coordinate unit towards the east and the north at a row: in degrees the lengths of a degree on the
    /// WGS 84 ellipsoid at the latitude of the row's middle, N cos(phi) and M times pi/180.
    fn metres_per_unit(&self, row: f64) -> (f64, f64) {
        match self.georeference.crs.kind {
            CrsKind::Projected { metres_per_unit } => (metres_per_unit, metres_per_unit),
            CrsKind::Geographic => {
                let middle = 0.5 * (self.columns as f64 - 1.0);
                let latitude = super::placement::cell_to_crs(&self.georeference, middle, row).1.to_radians();
                let w2 = 1.0 - WGS84_E2 * latitude.sin() * latitude.sin();
                let normal_m = WGS84_A_M / w2.sqrt();
                let meridian_m = WGS84_A_M * (1.0 - WGS84_E2) / (w2 * w2.sqrt());
                ((normal_m * latitude.cos()).to_radians(), meridian_m.to_radians())
            }
        }
    }

    /// The size of a cell at a row along columns and along rows, in metres of the grid's own projection.
    pub(super) fn cell_sides_m(&self, row: f64) -> (f64, f64) {
        let (east_m, north_m) = self.metres_per_unit(row);
        let side = |step: (f64, f64)| (step.0 * east_m).hypot(step.1 * north_m);
        (side(self.georeference.per_column), side(self.georeference.per_row))
    }

    /// The inverse of the cell's shape at a row.
    pub(super) fn axes(&self, row: f64) -> Axes {
        let (east_m, north_m) = self.metres_per_unit(row);
        let (column, row) = (self.georeference.per_column, self.georeference.per_row);
        let (xc, yc, xr, yr) = (column.0 * east_m, column.1 * north_m, row.0 * east_m, row.1 * north_m);
        let determinant = xc * yr - xr * yc;
        Axes { east: (yr / determinant, -yc / determinant), north: (-xr / determinant, xc / determinant) }
    }

    /// Horn's rises per column and per row at a cell from all eight neighbours; `None` at the rim of the grid and where
    /// any of the nine cells is void.
    ///
    /// ((z3 + 2 z6 + z9) - (z1 + 2 z4 + z7)) / 8 per column, ((z7 + 2 z8 + z9) - (z1 + 2 z2 + z3)) / 8 per row, with the
    /// window z1 z2 z3 / z4 z5 z6 / z7 z8 z9, northern row first.
    ///
    /// # Source
    /// horn-1981, equations for the estimate over eight neighbours.
    pub(super) fn horn(&self, column: usize, row: usize) -> Option<(f64, f64)> {
        if column == 0 || row == 0 || column + 1 >= self.columns || row + 1 >= self.rows {
            return None;
        }
        let known = self.window(column, row);
        let mut window = [0.0; 9];
        for (height, known) in window.iter_mut().zip(known) {
            *height = known?;
        }
        Some(horn_of(&window))
    }

    /// [`Self::horn`] by plain indices, for many cells.
    #[inline]
    pub(super) fn horn_quick(&self, column: usize, row: usize) -> Option<(f64, f64)> {
        if column == 0 || row == 0 || column + 1 >= self.columns || row + 1 >= self.rows {
            return None;
        }
        let first = (row - 1) * self.columns + column - 1;
        let line = |k: usize| -> [f32; 3] { std::array::from_fn(|i| self.heights_m[first + k * self.columns + i]) };
        let (n, h, s) = (line(0), line(1), line(2));
        let void = 0.0 * h[1];
        let per_column = (n[2] - n[0]) + 2.0 * (h[2] - h[0]) + (s[2] - s[0]) + void;
        let per_row = (s[0] - n[0]) + 2.0 * (s[1] - n[1]) + (s[2] - n[2]);
        (per_column + per_row).is_finite().then(|| (f64::from(per_column) / 8.0, f64::from(per_row) / 8.0))
    }

    /// Horn's rises like [`Self::horn`], with missing neighbours completed: one beside the cell continues the straight line
    /// from the neighbour opposite (or is level with the cell when that is missing too), one at a corner completes the
    /// plane through the cell and the two neighbours beside it. At a rim this makes a one-sided difference.
    pub(super) fn horn_to_the_rim(&self, column: usize, row: usize) -> Option<(f64, f64)> {
        Some(horn_of(&completed(&self.window(column, row))?))
    }

    /// The nine heights around a cell, northern row first.
    fn window(&self, column: usize, row: usize) -> [Option<f64>; 9] {
        std::array::from_fn(|k| {
            let shifted = |at: usize, by: usize| (at + by).checked_sub(1);
            shifted(column, k % 3).zip(shifted(row, k / 3)).and_then(|(column, row)| self.height_m(column, row))
        })
    }
}

/// A window with its missing heights completed, see [`Grid::horn_to_the_rim`]; `None` when the cell itself is void.
pub(super) fn completed(known: &[Option<f64>; 9]) -> Option<[f64; 9]> {
    let here = known[4]?;
    let beside = |k: usize| known[k].unwrap_or_else(|| 2.0 * here - known[8 - k].unwrap_or(here));
    let (north, west, east, south) = (beside(1), beside(3), beside(5), beside(7));
    let corner = |k: usize, a: f64, b: f64| known[k].unwrap_or(a + b - here);
    let (north_west, north_east) = (corner(0, north, west), corner(2, north, east));
    let (south_west, south_east) = (corner(6, south, west), corner(8, south, east));
    Some([north_west, north, north_east, west, here, east, south_west, south, south_east])
}

/// Horn's weights over the window: rises per column and per row.
pub(super) fn horn_of(z: &[f64; 9]) -> (f64, f64) {
    let per_column = (z[2] - z[0]) + 2.0 * (z[5] - z[3]) + (z[8] - z[6]);
    let per_row = (z[6] - z[0]) + 2.0 * (z[7] - z[1]) + (z[8] - z[2]);
    (per_column / 8.0, per_row / 8.0)
}

impl Ground {
    /// The gradient of the ground along the axes of the map: the Horn gradients of the four cells around the point,
    /// weighted bilinearly (so it changes without jumps along a line). `None` where [`Ground::elevation`] is.
    ///
    /// At the rim and beside void cells Horn's window is completed one-sidedly, so that a line drawn there has a slope.
    pub fn gradient(&self, at: MapPoint) -> Option<Gradient> {
        self.layer_at(at).map(|layer| layer.own_gradient(at))
    }

    /// The same in this grid, which has a height there.
    fn own_gradient(&self, at: MapPoint) -> Gradient {
        let (column, row) = self.to_cells(at);
        let (c, r) = (column.max(0.0).floor(), row.max(0.0).floor());
        let (u, v) = ((column - c).clamp(0.0, 1.0), (row - r).clamp(0.0, 1.0));
        let corners = [(0, 0, (1.0 - u) * (1.0 - v)), (1, 0, u * (1.0 - v)), (0, 1, (1.0 - u) * v), (1, 1, u * v)];
        let (mut per_column, mut per_row, mut weight) = (0.0, 0.0, 0.0);
        for (across, down, share) in corners {
            // A corner without a height has no weight worth counting, or the elevation would not be known.
            if let Some(rises) = self.grid().horn_to_the_rim(c as usize + across, r as usize + down) {
                per_column += share * rises.0;
                per_row += share * rises.1;
                weight += share;
            }
        }
        let ((cx, cy), (rx, ry)) = self.cells_per_metre(at);
        let (per_column, per_row) = (per_column / weight, per_row / weight);
        Gradient { east: cx * per_column + rx * per_row, north: cy * per_column + ry * per_row }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::fixture::{grid, plane};
    use std::sync::Arc;

    fn ground(grid: Grid) -> Ground {
        let frame = Ground::frame_of(&grid).expect("in UTM");
        Ground::new(Arc::new(grid), frame).expect("in UTM")
    }

    #[test]
    fn the_gradient_of_a_plane_is_the_same_everywhere_up_to_the_rim() {
        let ground = ground(plane(12, 9, 2.0, 0.25, -0.1));
        for (column, row) in [(5.3, 4.4), (0.0, 0.0), (11.0, 8.0), (0.2, 3.0), (7.0, 8.0)] {
            let found = ground.gradient(ground.to_map(column, row)).expect("on the grid");
            let miss = (found.east - 0.25 * 0.9996).hypot(found.north + 0.1 * 0.9996);
            // The frame's north and UTM's differ by the convergence over up to 0.005 degree.
            assert!(miss < 3e-5, "{column} {row}: {found:?}");
        }
        assert_eq!(ground.gradient(ground.to_map(11.1, 3.0)), None);
    }

    #[test]
    fn falling_water_points_the_way_down() {
        let rows = [((0.5, 0.0), Some(270.0)), ((0.0, 0.5), Some(180.0)), ((0.0, -0.5), Some(0.0)), ((-0.1, -0.1), Some(45.0))];
        for ((east, north), expected) in rows {
            assert_eq!(Gradient { east, north }.downhill_azimuth_deg(), expected);
        }
        assert_eq!(Gradient { east: 1e-9, north: 0.0 }.downhill_azimuth_deg(), None);
    }

    #[test]
    fn a_cell_beside_a_void_has_a_one_sided_slope_for_drawing_but_none_for_the_survey() {
        let mut holed = plane(6, 6, 1.0, 0.2, 0.0);
        holed.heights_m[2 * 6 + 3] = f32::NAN;
        assert_eq!(holed.horn(2, 2), None);
        assert_eq!(holed.horn(0, 2), None);
        let (per_column, per_row) = holed.horn_to_the_rim(2, 2).expect("has a height");
        assert!((per_column - 0.2).abs() < 1e-4 && per_row.abs() < 1e-4, "{per_column} {per_row}");
        assert_eq!(holed.horn_to_the_rim(3, 2), None);
    }

    #[test]
    fn cells_in_degrees_are_measured_on_the_ellipsoid() {
        let mut degrees = grid(3, 3, 1.0, vec![0.0; 9]);
        degrees.georeference.crs.kind = CrsKind::Geographic;
        degrees.georeference.origin = (14.0, 47.457);
        // On WGS 84 at 46.457 north a degree is 76823.09 m of longitude and 111160.24 m of latitude (there over a
        // whole degree, hence the tolerance).
        let (east_m, north_m) = degrees.cell_sides_m(1.0);
        assert!((east_m - 76_823.09).abs() < 0.01 && (north_m - 111_160.24).abs() < 25.0, "{east_m} {north_m}");
    }
}
