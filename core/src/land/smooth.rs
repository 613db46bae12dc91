//! The same ground with larger cells: for questions that small hollows and roots must not decide.

use super::{Georeference, Grid, Ground, GroundError};
use crate::units::Length;
use rayon::prelude::*;
use std::sync::Arc;

impl Ground {
    /// This ground with cells of about the given size: means over square blocks of cells. A block has a height when half of
    /// its cells have one; what is left over at the southern and eastern edge is dropped. A grid whose cells are already
    /// that large comes back as it is.
    ///
    /// # Errors
    /// [`GroundError::TooFewCells`] when fewer than two blocks fit across or down of any grid.
    pub fn smoothed(&self, cell: Length) -> Result<Self, GroundError> {
        let beneath = self.beneath().and_then(|beneath| beneath.smoothed(cell).ok());
        match (self.own_smoothed(cell), beneath) {
            (Ok(own), beneath) => Ok(own.over(beneath)),
            (Err(_), Some(beneath)) => Ok(beneath),
            (Err(trouble), None) => Err(trouble),
        }
    }

    fn own_smoothed(&self, cell: Length) -> Result<Self, GroundError> {
        let block = (cell / self.cell()).round().max(1.0) as usize;
        if block == 1 {
            return Ok(self.clone());
        }
        Self::new(Arc::new(block_means(self.grid(), block)), self.frame())
    }
}

/// Means over `block` x `block` cells.
fn block_means(grid: &Grid, block: usize) -> Grid {
    let (columns, rows) = (grid.columns / block, grid.rows / block);
    let heights_m = (0..rows)
        .into_par_iter()
        .flat_map_iter(|row| (0..columns).map(move |column| mean_of(grid, block, column * block, row * block)))
        .collect();
    let Georeference { origin, per_column, per_row, crs } = &grid.georeference;
    let (size, half) = (block as f64, 0.5 * (block as f64 - 1.0));
    let georeference = Georeference {
        origin: (origin.0 + half * (per_column.0 + per_row.0), origin.1 + half * (per_column.1 + per_row.1)),
        per_column: (per_column.0 * size, per_column.1 * size),
        per_row: (per_row.0 * size, per_row.1 * size),
        crs: crs.clone(),
    };
    Grid { columns, rows, georeference, heights_m, notes: Vec::new() }
}

fn mean_of(grid: &Grid, block: usize, column: usize, row: usize) -> f32 {
    let (mut sum, mut count) = (0.0, 0_usize);
    for row in row..row + block {
        let start = row * grid.columns + column;
        for height in grid.heights_m[start..start + block].iter().filter(|height| height.is_finite()) {
            sum += f64::from(*height);
            count += 1;
        }
    }
    if 2 * count >= block * block { (sum / count as f64) as f32 } else { f32::NAN }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::fixture::plane;

    fn ground(grid: Grid) -> Ground {
        let frame = Ground::frame_of(&grid).expect("in UTM");
        Ground::new(Arc::new(grid), frame).expect("in UTM")
    }

    #[test]
    fn a_plane_with_larger_cells_is_the_same_plane_in_the_same_place() {
        let fine = ground(plane(60, 47, 1.0, 0.3, -0.2));
        let coarse = fine.smoothed(Length::metres(10.0)).expect("6 x 4 blocks");
        assert_eq!((coarse.grid().columns, coarse.grid().rows), (6, 4));
        for (column, row) in [(8.0, 8.0), (30.0, 20.0), (50.0, 30.0)] {
            let at = fine.to_map(column, row);
            let (a, b) = (fine.elevation(at).expect("inside"), coarse.elevation(at).expect("inside"));
            assert!((a - b).abs() < Length::metres(0.001), "{column} {row}: {a:?} {b:?}");
        }
    }

    #[test]
    fn a_block_with_less_than_half_of_its_heights_has_none() {
        let mut holed = plane(20, 20, 1.0, 0.0, 0.0);
        for cell in 0..10 * 20 {
            if cell % 20 < 10 && cell / 20 < 6 {
                holed.heights_m[cell] = f32::NAN;
            }
        }
        let coarse = ground(holed).smoothed(Length::metres(10.0)).expect("2 x 2 blocks");
        assert_eq!(coarse.grid().height_m(0, 0), None);
        assert_eq!(coarse.grid().height_m(1, 0), Some(300.0));
    }

    #[test]
    fn cells_that_are_large_already_stay() {
        let coarse = ground(plane(9, 9, 12.0, 0.1, 0.1));
        assert_eq!(coarse.smoothed(Length::metres(10.0)).expect("itself").grid(), coarse.grid());
    }
}
