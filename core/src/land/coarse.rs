//! A grid seen from farther away: blocks of cells as one.

use super::Grid;

/// Cells along each side of a block that are looked at: the mean of sixteen is as calm as the mean of all.
const LOOKED_AT: usize = 4;
/// The coarsest level: a block of 2^15 cells a side.
pub(super) const COARSEST: u8 = 15;

/// A grid at a level: blocks of 2^level cells a side, counted from the north-western corner; the last ones may hang over.
#[derive(Clone, Copy)]
pub(super) struct Coarse<'a> {
    pub grid: &'a Grid,
    pub level: u8,
}

impl<'a> Coarse<'a> {
    /// A grid at a level, at most [`COARSEST`].
    pub fn new(grid: &'a Grid, level: u8) -> Self {
        Self { grid, level: level.min(COARSEST) }
    }

    /// Cells along a side of a block.
    pub fn side(self) -> usize {
        1 << self.level
    }

    /// Number of columns and rows of blocks.
    pub fn size(self) -> (usize, usize) {
        (self.grid.columns.div_ceil(self.side()), self.grid.rows.div_ceil(self.side()))
    }

    /// The fractional cell at the middle of a fractional block.
    pub fn cell_at(self, block: f64) -> f64 {
        (block + 0.5) * self.side() as f64 - 0.5
    }

    /// Mean height of a block, from up to 4 x 4 of its cells spread evenly; NaN when fewer than half of them are known.
    pub fn height(self, column: usize, row: usize) -> f32 {
        let (mut sum, mut known, mut all) = (0.0, 0, 0);
        self.each_looked_at(column, row, |column, row| {
            let height = self.grid.heights_m[row * self.grid.columns + column];
            all += 1;
            if height.is_finite() {
                sum += height;
                known += 1;
            }
        });
        if 2 * known >= all && known > 0 { sum / known as f32 } else { f32::NAN }
    }

    /// Calls `look` with up to 4 x 4 cells of a block.
    pub fn each_looked_at(self, column: usize, row: usize, mut look: impl FnMut(usize, usize)) {
        let side = self.side();
        let step = (side / LOOKED_AT).max(1);
        // An even step has no middle cell: left and right of the middle take turns, so that their mean is in the middle.
        let place = |k: usize| k * step + step / 2 - usize::from(step > 1 && k.is_multiple_of(2));
        let places = side / step;
        let last = (self.grid.columns - 1, self.grid.rows - 1);
        // A block that hangs over the edge looks at the edge instead.
        for row in (0..places).map(|k| (row * side + place(k)).min(last.1)) {
            for column in (0..places).map(|k| (column * side + place(k)).min(last.0)) {
                look(column, row);
            }
        }
    }

    /// Heights of a rectangle of blocks into `out`, row by row; those off the grid are NaN. `first` may be negative.
    pub fn heights(self, first: (isize, isize), columns: usize, rows: usize) -> Vec<f32> {
        let size = self.size();
        let mut out = vec![f32::NAN; columns * rows];
        for (row, line) in (first.1..).zip(out.chunks_mut(columns)) {
            let Ok(row) = usize::try_from(row) else { continue };
            if row >= size.1 {
                break;
            }
            for (column, height) in (first.0..).zip(line) {
                if let Ok(column) = usize::try_from(column)
                    && column < size.0
                {
                    *height = if self.level == 0 { self.grid.heights_m[row * size.0 + column] } else { self.height(column, row) };
                }
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::fixture::{grid, plane};

    #[test]
    fn blocks_of_a_plane_have_the_height_of_their_middle() {
        let ground = plane(64, 32, 1.0, 0.25, 0.5);
        for level in 0..=4 {
            let coarse = Coarse::new(&ground, level);
            assert_eq!(coarse.size(), (64 >> level, 32 >> level));
            let heights = coarse.heights((-1, 0), 3, 2);
            assert!(heights[0].is_nan() && heights[3].is_nan());
            let middle = ground.bilinear_m(coarse.cell_at(1.0), coarse.cell_at(1.0)).expect("on the grid");
            assert!((f64::from(heights[5]) - middle).abs() < 1e-4, "level {level}: {} {middle}", heights[5]);
        }
    }

    #[test]
    fn a_block_is_known_when_half_of_it_is() {
        let void = f32::NAN;
        let ground = grid(4, 2, 1.0, vec![1.0, void, 5.0, void, 3.0, void, void, void]);
        let heights = Coarse::new(&ground, 1).heights((0, 0), 2, 1);
        assert!((heights[0] - 2.0).abs() < 1e-6 && heights[1].is_nan(), "{heights:?}");
    }
}
