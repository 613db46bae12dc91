//! The ground above every cell of a whole grid, for other programs.

use super::super::{CrsKind, Grid, MapPoint, WorkingGrid};
use super::{DInfinity, Filled, gathered};
use crate::units::{Area, Length};

/// Sides of cells may differ by this share and still count as square.
const SQUARE_WITHIN: f64 = 0.01;

/// A grid whose cells are not square, in which directions of water mean nothing.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("its cells are {across_m:.2} m by {down_m:.2} m in their middle; drainage needs square ones in a map projection")]
pub struct NotSquare {
    /// Along columns.
    pub across_m: f64,
    /// Along rows.
    pub down_m: f64,
}

/// Hectares that drain through every cell of a grid, itself included, row by row from the north; NaN where it is void. Hollows are filled, and water of
/// a cell is shared between the one or two neighbours beside its steepest way down.
///
/// # Errors
/// [`NotSquare`] for cells in degrees, or longer than they are wide.
///
/// # Source
/// tarboton-1997, barnes-2014
pub fn drainage_ha(grid: &Grid) -> Result<Vec<f32>, NotSquare> {
    let (across_m, down_m) = grid.cell_sides_m(0.5 * (grid.rows as f64 - 1.0));
    let is_square = (across_m / down_m - 1.0).abs() < SQUARE_WITHIN;
    if !is_square || matches!(grid.georeference.crs.kind, CrsKind::Geographic) {
        return Err(NotSquare { across_m, down_m });
    }
    let heights_m = grid.heights_m.iter().map(|height| f64::from(*height)).collect();
    let cells = WorkingGrid::from_heights(grid.columns, Length::metres(across_m), MapPoint::default(), heights_m);
    let cell = Area::square_metres(across_m * down_m).as_hectares();
    let filled = Filled::falling(&cells);
    Ok(gathered(&cells, &filled, &DInfinity, |_| cell).into_iter().map(|hectares| hectares as f32).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::Crs;
    use crate::land::fixture::{grid, placed, plane};

    #[test]
    fn a_plane_drains_down_its_columns_and_cells_that_are_not_square_are_refused() {
        let found = drainage_ha(&plane(5, 8, 10.0, 0.0, 0.1)).expect("square");
        // The middle column: one cell of 0.01 ha more with each row southwards.
        for row in 0..8 {
            assert!((f64::from(found[row * 5 + 2]) - 0.01 * (row as f64 + 1.0)).abs() < 1e-6, "{found:?}");
        }
        let mut holed = grid(3, 3, 10.0, vec![5.0; 9]);
        holed.heights_m[4] = f32::NAN;
        assert!(drainage_ha(&holed).expect("square")[4].is_nan());
        let crs = Crs { definition: "EPSG:32633".to_owned(), kind: CrsKind::Projected { metres_per_unit: 1.0 } };
        let oblong = placed(3, 3, (5e5, 5e6), (10.0, -12.0), crs, vec![1.0; 9]);
        assert!(drainage_ha(&oblong).is_err_and(|found| (found.down_m - 12.0).abs() < 0.01));
    }
}
