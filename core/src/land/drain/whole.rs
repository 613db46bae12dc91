//! The ground above every cell of a whole grid, for other programs.

use super::super::{CrsKind, Grid, WorkingGrid};
use super::shares::hand_on;
use super::{DInfinity, Filled};
use crate::job::{Cancelled, Job};
use crate::units::{Area, Length};

/// Sides of cells may differ by this share and still count as square.
const SQUARE_WITHIN: f64 = 0.01;

/// Bytes of memory that each cell takes at the most, the grid's own 4 included: its filled height (8), its place in the order (4), whether it was
/// reached (1) and its turn in the queue (16 for half of them at worst); later what gathers in it in place of the last two.
const BYTES_PER_CELL: u64 = 4 + 8 + 4 + 1 + 8;

/// Why no drainage is worked out.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum DrainageError {
    /// The cells are not square: directions of water mean nothing then.
    #[error("its cells are {across_m:.2} m by {down_m:.2} m in their middle; drainage needs square ones in a map projection")]
    NotSquare {
        /// Along columns.
        across_m: f64,
        /// Along rows.
        down_m: f64,
    },
    /// It would take more memory than there may be.
    #[error(
        "its drainage takes {:.1} GB of memory; allowed are {:.1} GB: cut the grid to the land in question \
         (gdal_translate -projwin) or make its cells coarser (gdalwarp -tr)",
        *bytes as f64 / 1e9, *allowed as f64 / 1e9
    )]
    TooLarge {
        /// What it takes.
        bytes: u64,
        /// What it may take.
        allowed: u64,
    },
    /// The system gave no memory.
    #[error("the system does not give the {:.1} GB of memory that its drainage needs: cut the grid to the land in question", *bytes as f64 / 1e9)]
    NoMemory {
        /// What was asked for.
        bytes: u64,
    },
    /// Nobody wanted it any more.
    #[error(transparent)]
    Cancelled(#[from] Cancelled),
}

/// Hectares that drain through every cell of a grid, itself included, row by row from the north; NaN where it is void. Hollows are filled, and water of
/// a cell is shared between the one or two neighbours beside its steepest way down. No more than `allowed` bytes are taken, besides the grid's own.
///
/// # Errors
/// [`DrainageError`] for cells in degrees, or longer than they are wide; for more memory than is allowed; when it was cancelled.
///
/// # Source
/// tarboton-1997, barnes-2014
pub fn drainage_ha(grid: &Grid, allowed: u64, job: &Job) -> Result<Vec<f64>, DrainageError> {
    let (across_m, down_m) = grid.cell_sides_m(0.5 * (grid.rows as f64 - 1.0));
    let is_square = (across_m / down_m - 1.0).abs() < SQUARE_WITHIN;
    if !is_square || matches!(grid.georeference.crs.kind, CrsKind::Geographic) {
        return Err(DrainageError::NotSquare { across_m, down_m });
    }
    let (columns, rows) = (grid.columns, grid.rows);
    let further = (columns * rows) as u64 * (BYTES_PER_CELL - 4);
    if further > allowed {
        return Err(DrainageError::TooLarge { bytes: further, allowed });
    }
    // All of it is asked for once, and given back: a refusal after minutes of work would help nobody.
    let room = usize::try_from(further).ok().filter(|bytes| Vec::<u8>::new().try_reserve_exact(*bytes).is_ok());
    room.ok_or(DrainageError::NoMemory { bytes: further })?;
    let row = |row: usize, line: &mut [f64]| {
        let heights = &grid.heights_m[row * columns..][..columns];
        line.iter_mut().zip(heights).for_each(|(to, height)| *to = f64::from(*height));
    };
    let filled = Filled::falling_of_rows((columns, rows), row, job)?;
    let cells = WorkingGrid::without_heights(columns, rows, Length::metres(across_m));
    gathered_ha(&cells, &filled, Area::square_metres(across_m * down_m).as_hectares(), job)
}

fn gathered_ha(cells: &WorkingGrid, filled: &Filled, cell_ha: f64, job: &Job) -> Result<Vec<f64>, DrainageError> {
    /// So many cells are gone through between two looks at the job.
    const ASKED_EVERY: usize = 1 << 16;
    let count = filled.heights_m.len();
    let mut all: Vec<f64> = Vec::new();
    all.try_reserve_exact(count).map_err(|_| DrainageError::NoMemory { bytes: 8 * count as u64 })?;
    all.resize(count, f64::NAN);
    filled.order.iter().for_each(|cell| all[*cell as usize] = cell_ha);
    for (nth, cell) in filled.order.iter().rev().enumerate() {
        hand_on(cells, filled, &DInfinity, *cell as usize, &mut all);
        if nth.is_multiple_of(ASKED_EVERY) {
            job.proceed()?;
            job.set_share_done(0.5 + 0.5 * nth as f64 / count as f64);
        }
    }
    Ok(all)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::Crs;
    use crate::land::fixture::{grid, placed, plane};

    #[test]
    fn a_plane_drains_down_its_columns_and_cells_that_are_not_square_are_refused() {
        let drained = |grid: &Grid| drainage_ha(grid, u64::MAX, &Job::new());
        let found = drained(&plane(5, 8, 10.0, 0.0, 0.1)).expect("square");
        // The middle column: one cell of 0.01 ha more with each row southwards.
        for row in 0..8 {
            assert!((found[row * 5 + 2] - 0.01 * (row as f64 + 1.0)).abs() < 1e-6, "{found:?}");
        }
        let mut holed = grid(3, 3, 10.0, vec![5.0; 9]);
        holed.heights_m[4] = f32::NAN;
        assert!(drained(&holed).expect("square")[4].is_nan());
        let crs = Crs { definition: "EPSG:32633".to_owned(), kind: CrsKind::Projected { metres_per_unit: 1.0 } };
        let oblong = placed(3, 3, (5e5, 5e6), (10.0, -12.0), crs, vec![1.0; 9]);
        let refused = drained(&oblong).expect_err("oblong");
        assert!(matches!(refused, DrainageError::NotSquare { down_m, .. } if (down_m - 12.0).abs() < 0.01), "{refused}");
    }

    #[test]
    fn what_takes_more_memory_than_there_is_is_refused_with_both_and_what_is_cancelled_stops() {
        let hill = plane(50, 80, 10.0, 0.0, 0.1);
        let refused = drainage_ha(&hill, 10_000, &Job::new()).expect_err("too large");
        assert_eq!(refused, DrainageError::TooLarge { bytes: 84_000, allowed: 10_000 });
        let job = Job::new();
        job.cancel();
        assert!(matches!(drainage_ha(&hill, u64::MAX, &job), Err(DrainageError::Cancelled(_))));
    }
}
