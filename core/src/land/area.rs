//! The area of ground under a ring on the map, slopes counted.

use super::placement::CellsPerMetre;
use super::{Ground, MapPoint};
use crate::units::Area;
use rayon::prelude::*;

/// Shares of a square below this are rounding, not ground.
const TOUCH: f64 = 1e-9;

impl Ground {
    /// The area of the ground inside a ring (closed by itself, either way round): the map's area times the mean of sqrt(1 + slope^2), slope
    /// in each quarter of a cell being that of the two triangles over it, from the cell's centre to the two neighbours beside the quarter
    /// and the one at its corner.
    /// `None` when the ring leaves the known ground or has fewer than three corners. Of several grids the finest counts that knows the
    /// ground throughout.
    ///
    /// Exact on a plane. Quarters cut by the ring count with their exact share of the map but with their whole slope, so
    /// the error is of the order of the rim's length times half a cell times the change of slope within one.
    ///
    /// # Source
    /// jenness-2004: over a whole cell the eight triangles of that paper.
    pub fn surface_area(&self, ring: &[MapPoint]) -> Option<Area> {
        self.layers().find_map(|layer| layer.own_surface_area(ring))
    }

    pub(super) fn own_surface_area(&self, ring: &[MapPoint]) -> Option<Area> {
        if ring.len() < 3 || ring.iter().any(|point| !self.extent().contains(*point)) {
            return None;
        }
        // Whole numbers are the borders of quarters: middles of cells and of their sides.
        let cells: Vec<(f64, f64)> =
            ring.iter().map(|point| self.to_cells(*point)).map(|(column, row)| (2.0 * column, 2.0 * row)).collect();
        let rows = cells.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), cell| (low.min(cell.1), high.max(cell.1)));
        let columns =
            cells.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), cell| (low.min(cell.0), high.max(cell.0)));
        let last = (2.0 * self.grid().columns as f64 - 2.0, 2.0 * self.grid().rows as f64 - 2.0);
        if rows.0 < -TOUCH || columns.0 < -TOUCH || rows.1 > last.1 + TOUCH || columns.1 > last.0 + TOUCH {
            return None;
        }
        let last_quarter = |high: f64, count: usize| (high.ceil().max(1.0) as usize - 1).min(2 * count - 3);
        let (first_row, first_column) = (rows.0.max(0.0) as usize, columns.0.max(0.0) as usize);
        let last_row = last_quarter(rows.1, self.grid().rows);
        let width = last_quarter(columns.1, self.grid().columns).max(first_column) - first_column + 1;
        let sums = (first_row..=last_row.max(first_row))
            .into_par_iter()
            .map(|row| self.row_area(&cells, row, first_column, width))
            .collect::<Option<Vec<_>>>()?;
        let (covered, weighted) = sums.iter().fold((0.0, 0.0), |sum, row| (sum.0 + row.0, sum.1 + row.1));
        // A degenerate ring covers nothing and has no mean slope.
        let ratio = if covered == 0.0 { 1.0 } else { weighted / covered };
        Some(Area::square_metres(map_area_m2(ring) * ratio))
    }

    /// Over one row of quarters: the signed share of them covered, and the same weighted with their steepness.
    fn row_area(&self, ring: &[(f64, f64)], row: usize, first_column: usize, width: usize) -> Option<(f64, f64)> {
        let mut cover = Cover { areas: vec![0.0; width + 1], heights: vec![0.0; width + 2], first_column: first_column as f64 };
        for (from, to) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            cover.add_edge(*from, *to, row as f64);
        }
        // Along one row the size of a cell changes by less than a millionth over any holding.
        let cells_per_metre =
            self.cells_per_metre(self.to_map(0.5 * first_column as f64 + 0.25 * width as f64, 0.5 * row as f64 + 0.25));
        let (mut covered, mut weighted, mut height) = (0.0, 0.0, 0.0);
        for k in 0..width {
            height += cover.heights[k];
            let share = height + cover.areas[k];
            if share.abs() > TOUCH {
                covered += share;
                weighted += share * self.steepness(first_column + k, row, cells_per_metre)?;
            }
        }
        Some((covered, weighted))
    }

    /// Ground area over map area of a quarter of a cell, counted from the middle of the first one; `None` beside a void.
    fn steepness(&self, column: usize, row: usize, cells_per_metre: CellsPerMetre) -> Option<f64> {
        // The quarter's own cell, and the neighbours across and down from it that meet at the quarter's far corner.
        let (own, across, down) =
            ((column.div_ceil(2), row.div_ceil(2)), 1 - 2 * (column % 2) as isize, 1 - 2 * (row % 2) as isize);
        let beside = |by: (isize, isize)| self.grid().height_m(own.0.checked_add_signed(by.0)?, own.1.checked_add_signed(by.1)?);
        let (here, along, below) = (beside((0, 0))?, beside((across, 0))?, beside((0, down))?);
        let far = beside((across, down))?;
        let ((cx, cy), (rx, ry)) = cells_per_metre;
        let stretch = |per_column: f64, per_row: f64| {
            let (east, north) = (cx * per_column + rx * per_row, cy * per_column + ry * per_row);
            (1.0 + east * east + north * north).sqrt()
        };
        let (across, down) = (across as f64, down as f64);
        let (beside, under) =
            (stretch(across * (along - here), down * (far - along)), stretch(across * (far - below), down * (below - here)));
        Some(0.5 * (beside + under))
    }
}

/// The exact share of each square of one row that a ring covers, built edge by edge: an edge adds its height to every
/// square on its right and the part of its own square that lies to its right.
struct Cover {
    areas: Vec<f64>,
    heights: Vec<f64>,
    first_column: f64,
}

impl Cover {
    fn add_edge(&mut self, from: (f64, f64), to: (f64, f64), row: f64) {
        let (low, high) = (from.1.min(to.1).max(row), from.1.max(to.1).min(row + 1.0));
        if high <= low {
            return;
        }
        let column_at = |y: f64| from.0 + (to.0 - from.0) * ((y - from.1) / (to.1 - from.1)).clamp(0.0, 1.0);
        let sign = if to.1 > from.1 { 1.0 } else { -1.0 };
        let (mut left, mut right) =
            ((column_at(low) - self.first_column).max(0.0), (column_at(high) - self.first_column).max(0.0));
        if left > right {
            std::mem::swap(&mut left, &mut right);
        }
        let height = high - low;
        let last = self.areas.len() - 2;
        let (first_square, last_square) = ((left as usize).min(last), (right as usize).min(last));
        for square in first_square..=last_square {
            let (start, end) =
                (left.max(square as f64), if square == last_square { right } else { right.min(square as f64 + 1.0) });
            let share = if right > left { (end - start) / (right - left) } else { 1.0 };
            let piece = sign * height * share;
            // The piece covers its own square from its middle to the square's right side, the following ones wholly.
            let covered = square as f64 + 1.0 - 0.5 * (start + end);
            self.areas[square] += piece * covered;
            self.heights[square + 1] += piece;
        }
    }
}

/// The area of a ring on the map by Gauss's shoelace, about its first corner so that far origins lose no digits.
fn map_area_m2(ring: &[MapPoint]) -> f64 {
    let origin = ring[0];
    let doubled = ring.windows(2).map(|pair| {
        let (a, b) = (pair[0] - origin, pair[1] - origin);
        a.x_m * b.y_m - b.x_m * a.y_m
    });
    (0.5 * doubled.sum::<f64>()).abs()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::fixture::{grid, plane};
    use std::sync::Arc;

    fn ground(grid: crate::land::Grid) -> Ground {
        let frame = Ground::frame_of(&grid).expect("in UTM");
        Ground::new(Arc::new(grid), frame).expect("in UTM")
    }

    fn rings(ground: &Ground) -> Vec<Vec<MapPoint>> {
        let ring = |cells: &[(f64, f64)]| cells.iter().map(|(column, row)| ground.to_map(*column, *row)).collect();
        vec![
            ring(&[(2.0, 3.0), (17.0, 3.0), (17.0, 12.0), (2.0, 12.0)]),
            ring(&[(2.3, 3.1), (17.7, 9.2), (6.5, 15.9)]),
            ring(&[(6.5, 15.9), (17.7, 9.2), (2.3, 3.1)]),
            ring(&[(3.2, 3.2), (3.4, 3.3), (3.3, 3.7)]),
            ring(&[(0.0, 0.0), (19.0, 0.0), (19.0, 19.0), (0.0, 19.0)]),
            ring(&[(1.5, 1.5), (18.0, 2.0), (9.0, 9.0), (17.0, 17.0), (1.0, 18.0), (8.0, 9.5)]),
        ]
    }

    #[test]
    fn on_a_plane_the_ground_area_of_any_ring_is_exact() {
        let ground = ground(plane(20, 20, 5.0, 0.3, 0.4));
        for ring in rings(&ground) {
            let area = ground.surface_area(&ring).expect("on the grid").as_square_metres();
            // A metre of UTM at its central meridian is 1/0.9996 m of ground, and slopes shrink as much.
            let stretch = (1.0 + 0.25 * 0.9996_f64.powi(2)).sqrt();
            assert!((area / map_area_m2(&ring) / stretch - 1.0).abs() < 2e-7, "{area} {}", area / map_area_m2(&ring));
        }
    }

    #[test]
    fn the_quarters_of_a_row_hold_exactly_the_area_of_the_ring() {
        let ground = ground(plane(20, 20, 5.0, 0.0, 0.0));
        for ring in rings(&ground) {
            let halves = |point: &MapPoint| ground.to_cells(*point);
            let cells: Vec<_> = ring.iter().map(halves).map(|(column, row)| (2.0 * column, 2.0 * row)).collect();
            let covered: f64 = (0..38).map(|row| ground.row_area(&cells, row, 0, 38).expect("known").0).sum();
            let expected = map_area_m2(&ring) * 0.9996 * 0.9996 / 6.25;
            assert!((covered.abs() - expected).abs() < 1e-6 * expected + 1e-9, "{covered} {expected}");
        }
    }

    #[test]
    fn a_ring_that_touches_unknown_ground_has_no_ground_area() {
        let mut holed = plane(20, 20, 5.0, 0.1, 0.1);
        holed.heights_m[9 * 20 + 9] = f32::NAN;
        let ground = ground(holed);
        let square = |from: f64, to: f64| {
            [(from, from), (to, from), (to, to), (from, to)].map(|(column, row)| ground.to_map(column, row)).to_vec()
        };
        assert!(ground.surface_area(&square(2.0, 7.9)).is_some());
        assert!(ground.surface_area(&square(10.0, 15.0)).is_some());
        assert_eq!(ground.surface_area(&square(2.0, 8.1)), None);
        assert_eq!(ground.surface_area(&square(15.0, 19.2)), None);
        assert_eq!(ground.surface_area(&square(2.0, 7.0)[..2]), None);
    }

    #[test]
    fn a_ring_of_no_area_has_none_and_does_not_divide_by_it() {
        let ground = ground(grid(3, 3, 1.0, vec![0.0; 9]));
        let line = [(0.0, 1.0), (2.0, 1.0), (1.0, 1.0)].map(|(column, row)| ground.to_map(column, row));
        assert!(ground.surface_area(&line).expect("known").as_square_metres() < 1e-6);
    }
}
