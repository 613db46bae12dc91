//! The ground in square cells along the axes of the map: for what looks at neighbouring cells again and again, as water, running animals
//! and walking times do.

use super::slope::{completed, horn_of};
use super::{Gradient, Ground, MapPoint, MapRect, Quadratic};
use crate::units::Length;
use rayon::prelude::*;

/// Side of a working cell, unless the ground's own cells are wider.
///
/// # Source
/// Key `descent-hypothesis`: on 2 m cells a fence seems to get half the strikes it gets on 10 m cells, for roots and hollows stop the
/// runner there.
pub const WORKING_SPACING: Length = Length::metres(10.0);

/// A working cell is the mean of the ground's own cells in it where at least this many lie side by side in it; with fewer, which ones fall
/// into it would be chance, and the ground is read between them.
const CELLS_ABREAST: f64 = 3.0;

/// More cells than this are not made: 1.6 GB of heights.
const MOST_CELLS: usize = 200_000_000;

/// Heights in square cells whose sides run along the axes of the map. Row 0 is the northern one; a height belongs to the middle of its cell.
#[derive(Clone, Debug, PartialEq)]
pub struct WorkingGrid {
    columns: usize,
    rows: usize,
    spacing_m: f64,
    /// The middle of the cell in the north-western corner.
    first: MapPoint,
    /// Row by row from the north; NaN where there is none.
    heights_m: Vec<f64>,
}

impl WorkingGrid {
    /// The whole ground at [`Self::usual_spacing`]; `None` where not one cell is known.
    pub fn of(ground: &Ground) -> Option<Self> {
        Self::spaced(ground, Self::usual_spacing(ground), ground.whole_extent())
    }

    /// [`WORKING_SPACING`], or the width of the finest own cells where those are clearly wider.
    pub fn usual_spacing(ground: &Ground) -> Length {
        // Cells of 10 m in a projection are some millimetres wider or narrower than that.
        if ground.cell() > WORKING_SPACING * 1.05 { ground.cell() } else { WORKING_SPACING }
    }

    /// The part of the ground that lies in a rectangle, in cells of any side. Each is the mean of the ground's own cells in it, of the finest
    /// grid that knows at least half of them. Middles of cells lie at odd multiples of half a side, so that the same place is in the same cell
    /// whatever the rectangle. `None` where not one cell is known.
    pub fn spaced(ground: &Ground, spacing: Length, within: MapRect) -> Option<Self> {
        let spacing_m = spacing.as_metres();
        let extent = ground.whole_extent();
        let first = |low: f64| (low / spacing_m).floor();
        let past = |high: f64| (high / spacing_m).ceil();
        let (west, south) = (first(extent.min.x_m.max(within.min.x_m)), first(extent.min.y_m.max(within.min.y_m)));
        let (east, north) = (past(extent.max.x_m.min(within.max.x_m)), past(extent.max.y_m.min(within.max.y_m)));
        let is_some = east > west && north > south && (east - west) * (north - south) <= MOST_CELLS as f64;
        if !is_some {
            return None;
        }
        let (columns, rows) = ((east - west) as usize, (north - south) as usize);
        let first = MapPoint::new((west + 0.5) * spacing_m, (north - 0.5) * spacing_m);
        let mut grid = Self { columns, rows, spacing_m, first, heights_m: vec![f64::NAN; columns * rows] };
        let mut heights_m = std::mem::take(&mut grid.heights_m);
        heights_m.par_chunks_mut(columns).enumerate().for_each(|(row, line)| {
            for (column, height) in line.iter_mut().enumerate() {
                *height = mean_m(ground, grid.centre(column, row), spacing_m).unwrap_or(f64::NAN);
            }
        });
        heights_m.iter().any(|height| height.is_finite()).then_some(Self { heights_m, ..grid })
    }

    /// From heights row by row from the north, NaN where there is none; `first` is the middle of the north-western cell.
    ///
    /// # Panics
    /// When there are not `columns` heights to a row, or no row.
    pub fn from_heights(columns: usize, spacing: Length, first: MapPoint, heights_m: Vec<f64>) -> Self {
        assert!(columns > 0 && !heights_m.is_empty() && heights_m.len().is_multiple_of(columns), "whole rows of heights");
        Self { columns, rows: heights_m.len() / columns, spacing_m: spacing.as_metres(), first, heights_m }
    }

    /// Cells whose heights are kept elsewhere: only their places are asked for.
    pub(super) fn without_heights(columns: usize, rows: usize, spacing: Length) -> Self {
        Self { columns, rows, spacing_m: spacing.as_metres(), first: MapPoint::default(), heights_m: Vec::new() }
    }

    /// Cells from west to east.
    pub fn columns(&self) -> usize {
        self.columns
    }

    /// Cells from north to south.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Side of a cell.
    pub fn spacing(&self) -> Length {
        Length::metres(self.spacing_m)
    }

    /// All heights in metres, row by row from the north; NaN where there is none.
    pub fn heights_m(&self) -> &[f64] {
        &self.heights_m
    }

    /// The same cells with other heights.
    pub(super) fn with_heights(self, heights_m: Vec<f64>) -> Self {
        assert_eq!(heights_m.len(), self.heights_m.len(), "a height for every cell");
        Self { heights_m, ..self }
    }

    /// Where a cell stands among all of them, row by row.
    pub fn index(&self, column: usize, row: usize) -> usize {
        row * self.columns + column
    }

    /// Column and row of a cell.
    pub fn place(&self, index: usize) -> (usize, usize) {
        (index % self.columns, index / self.columns)
    }

    /// The cell that a point lies in; `None` outside the grid.
    pub fn cell_of(&self, at: MapPoint) -> Option<usize> {
        let (column, row) = self.to_cells(at);
        let (column, row) = ((column + 0.5).floor(), (row + 0.5).floor());
        let inside = (0.0..self.columns as f64).contains(&column) && (0.0..self.rows as f64).contains(&row);
        inside.then(|| self.index(column as usize, row as usize))
    }

    /// The middle of a cell on the map.
    pub fn centre(&self, column: usize, row: usize) -> MapPoint {
        self.to_map(column as f64, row as f64)
    }

    /// The middle of a cell on the map.
    pub fn centre_of(&self, index: usize) -> MapPoint {
        let (column, row) = self.place(index);
        self.centre(column, row)
    }

    /// Fractional (column, row) of cell middles at a point of the map.
    pub fn to_cells(&self, at: MapPoint) -> (f64, f64) {
        ((at.x_m - self.first.x_m) / self.spacing_m, (self.first.y_m - at.y_m) / self.spacing_m)
    }

    /// The point of the map at a fractional (column, row) of cell middles.
    pub fn to_map(&self, column: f64, row: f64) -> MapPoint {
        MapPoint::new(self.first.x_m + column * self.spacing_m, self.first.y_m - row * self.spacing_m)
    }

    /// The upright rectangle around the cells.
    pub fn extent(&self) -> MapRect {
        let (right, bottom) = (self.columns as f64 - 0.5, self.rows as f64 - 0.5);
        let (north_west, south_east) = (self.to_map(-0.5, -0.5), self.to_map(right, bottom));
        MapRect { min: MapPoint::new(north_west.x_m, south_east.y_m), max: MapPoint::new(south_east.x_m, north_west.y_m) }
    }

    /// The height of a cell; `None` off the grid or where it is not known.
    pub fn height_m(&self, column: usize, row: usize) -> Option<f64> {
        let inside = column < self.columns && row < self.rows;
        inside.then(|| self.heights_m[self.index(column, row)]).filter(|height| height.is_finite())
    }

    /// The height at a point in metres, bilinear between the middles of cells; `None` outside the outermost middles and where an unknown cell
    /// has any weight.
    pub fn elevation_m(&self, at: MapPoint) -> Option<f64> {
        let (column, row) = self.to_cells(at);
        let inside = column >= 0.0 && row >= 0.0 && column <= (self.columns - 1) as f64 && row <= (self.rows - 1) as f64;
        if !inside {
            return None;
        }
        let (c, r) = (column.floor(), row.floor());
        let (u, v) = (column - c, row - r);
        let corners = [(0, 0, (1.0 - u) * (1.0 - v)), (1, 0, u * (1.0 - v)), (0, 1, (1.0 - u) * v), (1, 1, u * v)];
        corners
            .into_iter()
            .filter(|(.., weight)| *weight > 0.0)
            .map(|(across, down, weight)| self.height_m(c as usize + across, r as usize + down).map(|height| weight * height))
            .sum()
    }

    /// The gradient of a cell over its eight neighbours; those missing are completed one-sidedly. `None` where the cell is not known.
    ///
    /// # Source
    /// Key `horn-1981`.
    pub fn gradient_of(&self, index: usize) -> Option<Gradient> {
        let (per_column, per_row) = horn_of(&completed(&self.window(index))?);
        Some(Gradient { east: per_column / self.spacing_m, north: -per_row / self.spacing_m })
    }

    /// How the ground bends at a cell; `None` at the rim and beside cells that are not known.
    pub fn quadratic_of(&self, index: usize) -> Option<Quadratic> {
        let mut window = [0.0; 9];
        for (height, known) in window.iter_mut().zip(self.window(index)) {
            *height = known?;
        }
        Some(Quadratic::of(&window, self.spacing_m))
    }

    /// The nine heights around a cell, northern row first.
    fn window(&self, index: usize) -> [Option<f64>; 9] {
        let (column, row) = self.place(index);
        std::array::from_fn(|k| self.height_m((column + k % 3).checked_sub(1)?, (row + k / 3).checked_sub(1)?))
    }

    /// The gradient at a point: those of the four cells around it, weighted bilinearly. `None` where [`Self::elevation_m`] is.
    pub fn gradient(&self, at: MapPoint) -> Option<Gradient> {
        self.elevation_m(at)?;
        let (column, row) = self.to_cells(at);
        let (c, r) = (column.floor(), row.floor());
        let (u, v) = (column - c, row - r);
        let corners = [(0, 0, (1.0 - u) * (1.0 - v)), (1, 0, u * (1.0 - v)), (0, 1, (1.0 - u) * v), (1, 1, u * v)];
        corners.into_iter().filter(|(.., weight)| *weight > 0.0).try_fold(Gradient::default(), |sum, (across, down, weight)| {
            let one = self.gradient_of(self.index(c as usize + across, r as usize + down))?;
            Some(Gradient { east: sum.east + weight * one.east, north: sum.north + weight * one.north })
        })
    }
}

/// Mean height of the square around a point, from the finest grid that knows at least half of it.
fn mean_m(ground: &Ground, centre: MapPoint, spacing_m: f64) -> Option<f64> {
    ground.layers().find_map(|layer| layer.own_mean_m(centre, spacing_m))
}

impl Ground {
    /// Mean height in this grid of the square around a point; `None` when less than half of it is known.
    fn own_mean_m(&self, centre: MapPoint, side_m: f64) -> Option<f64> {
        let extent = self.extent();
        let half = MapPoint::new(0.5 * side_m, 0.5 * side_m);
        let reach = MapRect { min: extent.min - half, max: extent.max + half };
        if !reach.contains(centre) {
            return None;
        }
        let cell_m = self.cell().as_metres();
        if cell_m * CELLS_ABREAST > side_m {
            self.mean_between_cells_m(centre, side_m, cell_m)
        } else {
            self.mean_of_cells_m(centre, side_m)
        }
    }

    /// The mean of heights between the cells, as many abreast as cells are.
    fn mean_between_cells_m(&self, centre: MapPoint, side_m: f64, cell_m: f64) -> Option<f64> {
        let abreast = (side_m / cell_m).round().max(1.0) as usize;
        let off_m = |k: usize| ((k as f64 + 0.5) / abreast as f64 - 0.5) * side_m;
        let places = (0..abreast * abreast).map(|k| centre + MapPoint::new(off_m(k % abreast), off_m(k / abreast)));
        let (sum_m, known) = places
            .filter_map(|at| self.own_elevation_m(at))
            .fold((0.0, 0_usize), |(sum_m, known), height_m| (sum_m + height_m, known + 1));
        (2 * known >= abreast * abreast).then(|| sum_m / known as f64)
    }

    /// The mean of all own cells in the square, each by the share of it that lies in it. Within one square the way from map to cells counts
    /// as straight, and cells as lying along the axes of the map.
    fn mean_of_cells_m(&self, centre: MapPoint, side_m: f64) -> Option<f64> {
        let grid = self.grid();
        let (column, row) = self.to_cells(centre);
        let ((cx, cy), (rx, ry)) = self.cells_per_metre(centre);
        let determinant = cx * ry - cy * rx;
        let cell_m = 1.0 / determinant.abs().sqrt();
        let reach_m = 0.5 * (side_m + cell_m);
        let share = |off_m: f64| ((reach_m - off_m.abs()) / cell_m).clamp(0.0, 1.0);
        let span = |middle: f64, reach: f64, count: usize| {
            let low = (middle - reach).ceil().max(0.0) as usize;
            low..((middle + reach).floor() + 1.0).clamp(0.0, count as f64) as usize
        };
        let (mut sum, mut known) = (0.0, 0.0);
        for r in span(row, reach_m * (rx.abs() + ry.abs()), grid.rows) {
            let down = r as f64 - row;
            let line = &grid.heights_m[r * grid.columns..(r + 1) * grid.columns];
            for c in span(column, reach_m * (cx.abs() + cy.abs()), grid.columns) {
                let across = c as f64 - column;
                let east_m = (ry * across - cy * down) / determinant;
                let north_m = (cx * down - rx * across) / determinant;
                let weight = share(east_m) * share(north_m);
                let height = f64::from(line[c]);
                if height.is_finite() {
                    sum += weight * height;
                    known += weight;
                }
            }
        }
        let whole = side_m * side_m * determinant.abs();
        (known > 0.0 && 2.0 * known >= whole).then(|| sum / known)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::fixture::{grid, hills, plane};
    use crate::land::{Frame, Grid};
    use std::sync::Arc;

    fn on(grid: Grid, frame: Frame) -> Ground {
        Ground::new(Arc::new(grid), frame).expect("in UTM")
    }

    fn ground(grid: Grid) -> Ground {
        let frame = Ground::frame_of(&grid).expect("in UTM");
        on(grid, frame)
    }

    #[test]
    fn cells_of_a_plane_have_the_height_of_their_middle_whatever_the_grids_own_cells() {
        for (cells, cell_m) in [(300, 1.0), (120, 2.5), (60, 5.0), (40, 10.0), (20, 30.0)] {
            let ground = ground(plane(cells, cells, cell_m, 0.25, -0.1));
            let working = WorkingGrid::of(&ground).expect("known");
            let spacing_m = working.spacing().as_metres();
            assert!((spacing_m - cell_m.max(10.0)).abs() < 0.02, "{spacing_m}");
            let (mut known, mut worst_m) = (0, 0.0_f64);
            for index in 0..working.columns() * working.rows() {
                let (column, row) = working.place(index);
                let (Some(found), Some(there)) = (working.height_m(column, row), ground.elevation(working.centre(column, row)))
                else {
                    continue;
                };
                known += 1;
                let rim = column < 2 || row < 2 || column + 2 >= working.columns() || row + 2 >= working.rows();
                if !rim {
                    worst_m = worst_m.max((found - there.as_metres()).abs());
                }
            }
            // Heights are stored to some 0.02 mm; UTM's north and the frame's differ a little.
            assert!(worst_m < 0.005, "{cell_m}: {worst_m}");
            let area = (cells as f64 * cell_m / spacing_m).powi(2);
            assert!(known as f64 > 0.75 * area, "{known} of {area}");
        }
    }

    #[test]
    fn a_cell_is_known_when_half_of_it_is_and_the_grid_beneath_answers_elsewhere() {
        let frame = Ground::frame_of(&plane(100, 100, 1.0, 0.0, 0.0)).expect("in UTM");
        let mut holed = grid(100, 100, 1.0, vec![300.0; 10_000]);
        // The western half is void.
        holed.heights_m.iter_mut().enumerate().filter(|(k, _)| k % 100 < 50).for_each(|(_, height)| *height = f32::NAN);
        let beneath = grid(20, 20, 10.0, vec![200.0; 400]);
        let alone = WorkingGrid::of(&on(holed.clone(), frame)).expect("half of it");
        let layered = Ground::layered(vec![on(holed, frame), on(beneath, frame)]).expect("two");
        let both = WorkingGrid::of(&layered).expect("all of it");
        let at = |column: f64| layered.to_map(column, 60.0);
        for (name, column, own, with) in [("west", 25.0, None, Some(200.0)), ("east", 75.0, Some(300.0), Some(300.0))] {
            let height = |grid: &WorkingGrid| {
                grid.cell_of(at(column)).map(|index| grid.heights_m()[index].round()).filter(|z| z.is_finite())
            };
            assert_eq!(height(&alone), own, "{name}");
            assert_eq!(height(&both), with, "{name}");
        }
    }

    #[test]
    fn the_same_place_lies_in_the_same_cell_whatever_part_is_taken() {
        let ground = ground(hills(300, 300, 1.0));
        let whole = WorkingGrid::of(&ground).expect("known");
        let middle = ground.extent().centre();
        let within = MapRect { min: middle - MapPoint::new(57.0, 33.0), max: middle + MapPoint::new(41.0, 62.0) };
        let part = WorkingGrid::spaced(&ground, WORKING_SPACING, within).expect("known");
        assert!(part.columns() < whole.columns());
        for index in 0..part.columns() * part.rows() {
            let at = part.centre_of(index);
            let same = whole.cell_of(at).expect("in both");
            assert!(whole.centre_of(same).distance_m(at) < 1e-9);
            assert!((whole.heights_m()[same] - part.heights_m()[index]).abs() < 1e-9);
        }
        let beside = MapRect { min: middle + MapPoint::new(900.0, 0.0), max: middle + MapPoint::new(950.0, 50.0) };
        assert_eq!(WorkingGrid::spaced(&ground, WORKING_SPACING, beside), None);
    }

    #[test]
    fn heights_and_gradients_between_the_cells_are_those_of_the_plane() {
        let height = |k: usize| 100.0 + 0.3 * 10.0 * (k % 7) as f64 - 0.2 * 10.0 * (k / 7) as f64;
        let grid = WorkingGrid::from_heights(7, WORKING_SPACING, MapPoint::new(5.0, 95.0), (0..42).map(height).collect());
        assert_eq!((grid.columns(), grid.rows()), (7, 6));
        for (column, row) in [(0.0, 0.0), (2.3, 3.9), (6.0, 5.0)] {
            let at = grid.to_map(column, row);
            let expected = 100.0 + 3.0 * column - 2.0 * row;
            assert!((grid.elevation_m(at).expect("inside") - expected).abs() < 1e-9);
            let gradient = grid.gradient(at).expect("inside");
            assert!((gradient.east - 0.3).abs() < 1e-9 && (gradient.north - 0.2).abs() < 1e-9, "{gradient:?}");
        }
        for (column, row) in [(-0.01, 0.0), (6.01, 0.0), (0.0, 5.01)] {
            assert_eq!(grid.elevation_m(grid.to_map(column, row)), None);
            assert_eq!(grid.gradient(grid.to_map(column, row)), None);
        }
        let bend = |index: usize| grid.quadratic_of(index).map(|bend| bend.profile_per_m().expect("not level").abs() < 1e-9);
        assert_eq!((bend(9), bend(0)), (Some(true), None), "a plane does not bend, and the rim is not told");
        assert_eq!(grid.cell_of(MapPoint::new(0.1, 99.9)), Some(0));
        assert_eq!(grid.cell_of(MapPoint::new(-0.1, 99.9)), None);
        assert_eq!(grid.extent(), MapRect { min: MapPoint::new(0.0, 40.0), max: MapPoint::new(70.0, 100.0) });
    }
}
