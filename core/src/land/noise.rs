//! How rough the heights of a grid are from cell to cell: roots, stones and errors of measurement, which no formula can tell apart.

use super::{Grid, Ground};
use crate::units::Length;

/// Side of a block, cells.
const BLOCK: usize = 10;
/// Blocks looked at, spread over the grid: their tenth percentile does not change with more.
const BLOCKS: usize = 900;
/// A block with fewer known cells says nothing.
const LEAST_KNOWN: usize = 50;
/// From the median of absolute values to the standard deviation of a normal distribution.
const MEDIAN_TO_DEVIATION: f64 = 1.4826;

impl Ground {
    /// As [`Grid::noise`].
    pub fn noise(&self) -> Option<Length> {
        self.grid().noise()
    }
}

impl Grid {
    /// The standard deviation of a cell's height about its neighbours, where the ground is smoothest: for `L = 4 z5 - (z2 + z4 + z6 + z8)`,
    /// whose variance is 20 s^2 for independent errors s, `m = 1.4826 median|L| / sqrt(20)` in blocks of 10 by 10 cells, and of
    /// these the tenth percentile. Errors that neighbours share do not show; they make no false dips either. `None` for a grid
    /// without such a block.
    ///
    /// # Units
    /// Length.
    /// # Valid for
    /// Blocks with half of their cells known; real roughness of a few centimetres counts as noise.
    /// # Source
    /// `grid-trial`.
    pub fn noise(&self) -> Option<Length> {
        let (across, down) = (self.columns / BLOCK, self.rows / BLOCK);
        let step = ((across * down) as f64 / BLOCKS as f64).sqrt().ceil().max(1.0) as usize;
        let mut found: Vec<f64> = (0..down)
            .step_by(step)
            .flat_map(|row| (0..across).step_by(step).map(move |column| (column * BLOCK, row * BLOCK)))
            .filter_map(|(column, row)| self.noise_of_block_m(column, row))
            .collect();
        found.sort_by(f64::total_cmp);
        found.get(found.len() / 10).map(|noise_m| Length::metres(*noise_m))
    }

    fn noise_of_block_m(&self, column: usize, row: usize) -> Option<f64> {
        let rows = row.max(1)..(row + BLOCK).min(self.rows - 1);
        let columns = column.max(1)..(column + BLOCK).min(self.columns - 1);
        let cells = rows.flat_map(|row| columns.clone().map(move |column| (column, row)));
        let mut all: Vec<f64> =
            cells.map(|(column, row)| self.unevenness_m(column, row).abs()).filter(|l| l.is_finite()).collect();
        if all.len() < LEAST_KNOWN {
            return None;
        }
        let middle = all.len() / 2;
        let (_, median, _) = all.select_nth_unstable_by(middle, f64::total_cmp);
        Some(MEDIAN_TO_DEVIATION * *median / 20f64.sqrt())
    }

    fn unevenness_m(&self, column: usize, row: usize) -> f64 {
        let z = |column: usize, row: usize| f64::from(self.heights_m[row * self.columns + column]);
        4.0 * z(column, row) - (z(column, row - 1) + z(column - 1, row) + z(column + 1, row) + z(column, row + 1))
    }
}

#[cfg(test)]
mod tests {
    use crate::land::fixture::{chance, grid};

    #[test]
    fn noise_that_was_added_is_found_again_and_a_slope_is_none() {
        for noise_m in [0.0, 0.05, 0.2] {
            let height = |k: usize| {
                let plane = 100.0 + 0.3 * (k % 120) as f64 + 0.1 * (k / 120) as f64;
                (plane + noise_m * chance(k as u64)) as f32
            };
            let rough = grid(120, 120, 1.0, (0..120 * 120).map(height).collect());
            let found = rough.noise().expect("large enough").as_metres();
            // The tenth percentile lies somewhat below the deviation itself.
            assert!(found <= noise_m * 1.02 + 1e-4 && found >= noise_m * 0.8 - 1e-9, "{found} for {noise_m}");
        }
    }

    #[test]
    fn a_grid_of_a_few_cells_says_nothing() {
        assert_eq!(grid(9, 9, 1.0, vec![1.0; 81]).noise(), None);
    }
}
