//! Heights between cell centres by cubic convolution: for drawing, where bends matter more than that no height lies beyond its neighbours.

use super::{Contour, ContourError, Georeference, Grid, contours};
use crate::job::Job;
use rayon::prelude::*;

/// Cells from here on are drawn with lines between their centres, metres; twice as many, and four times as many.
const BENT_FROM_M: [(f64, usize); 2] = [(5.0, 4), (2.0, 2)];
/// More heights than these are not made between the cells.
const MOST_HEIGHTS: usize = 4_000_000;

/// Weight of a height at a distance in cells.
///
/// 1.5 t3 - 2.5 t2 + 1 up to one cell away, -0.5 t3 + 2.5 t2 - 4 t + 2 up to two
///
/// # Source
/// keys-1981, with a = -1/2
fn weight(cells: f64) -> f64 {
    let t = cells.abs();
    if t < 1.0 {
        (1.5 * t - 2.5) * t * t + 1.0
    } else if t < 2.0 {
        ((-0.5 * t + 2.5) * t - 4.0) * t + 2.0
    } else {
        0.0
    }
}

impl Grid {
    /// The height at a fractional (column, row) of cell centres in metres, from the sixteen around it; where one of these is missing or void,
    /// [`Grid::bilinear_m`].
    ///
    /// # Source
    /// keys-1981
    pub fn bicubic_m(&self, column: f64, row: f64) -> Option<f64> {
        let flat = self.bilinear_m(column, row)?;
        let (c, r) = (column.floor(), row.floor());
        let weights = |off: f64| -> [f64; 4] { std::array::from_fn(|k| weight(off + 1.0 - k as f64)) };
        let (across, down) = (weights(column - c), weights(row - r));
        let fits = c >= 1.0 && r >= 1.0 && c + 2.0 < self.columns as f64 && r + 2.0 < self.rows as f64;
        if !fits {
            return Some(flat);
        }
        let first = (r as usize - 1) * self.columns + c as usize - 1;
        let rows = down.iter().enumerate().map(|(k, weight)| {
            let heights = &self.heights_m[first + k * self.columns..][..4];
            weight * heights.iter().zip(across).map(|(height, weight)| f64::from(*height) * weight).sum::<f64>()
        });
        let bent: f64 = rows.sum();
        Some(if bent.is_finite() { bent } else { flat })
    }

    /// The same ground with more cells, `times` as many along every side, by [`Grid::bicubic_m`]; the centres of the old cells are some of the
    /// new ones.
    fn finer(&self, times: usize) -> Self {
        let (columns, rows) = ((self.columns - 1) * times + 1, (self.rows - 1) * times + 1);
        let step = 1.0 / times as f64;
        let mut heights_m = vec![f32::NAN; columns * rows];
        heights_m.par_chunks_mut(columns).enumerate().for_each(|(row, heights)| {
            for (column, height) in heights.iter_mut().enumerate() {
                *height = self.bicubic_m(column as f64 * step, row as f64 * step).map_or(f32::NAN, |height| height as f32);
            }
        });
        let per = |side: (f64, f64)| (side.0 * step, side.1 * step);
        let georeference = Georeference {
            per_column: per(self.georeference.per_column),
            per_row: per(self.georeference.per_row),
            ..self.georeference.clone()
        };
        Self { columns, rows, georeference, heights_m, notes: Vec::new() }
    }
}

/// Contour lines to be looked at: of coarse cells through heights between them, so that they bend as ground does. Points are in cells of the grid.
/// For what is measured there is [`contours`].
///
/// # Errors
/// As [`contours`].
pub fn contours_to_draw(grid: &Grid, every_m: f64, job: &Job) -> Result<Vec<Contour>, ContourError> {
    let sides = grid.cell_sides_m(0.5 * grid.rows as f64);
    let cell_m = sides.0.min(sides.1);
    let wanted = BENT_FROM_M.into_iter().find(|(from_m, _)| cell_m >= *from_m).map_or(1, |(_, times)| times);
    let fits = grid.columns > 1 && grid.rows > 1 && grid.heights_m.len() * wanted * wanted <= MOST_HEIGHTS;
    if wanted == 1 || !fits {
        return contours(grid, every_m, job);
    }
    let mut lines = contours(&grid.finer(wanted), every_m, job)?;
    for point in lines.iter_mut().flat_map(|line| &mut line.points) {
        *point = (point.0 / wanted as f64, point.1 / wanted as f64);
    }
    Ok(lines)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::fixture::{grid, plane};

    #[test]
    fn a_plane_stays_one_and_old_centres_keep_their_heights() {
        let plane = plane(9, 7, 4.0, 0.25, -0.5);
        let finer = plane.finer(4);
        assert_eq!((finer.columns, finer.rows), (33, 25));
        for row in 0..25_usize {
            for column in 0..33_usize {
                let (found, expected) = (finer.height_m(column, row), plane.bilinear_m(column as f64 / 4.0, row as f64 / 4.0));
                let off = found.zip(expected).map_or(f64::NAN, |(found, expected)| (found - expected).abs());
                assert!(off < 1e-4, "{column} {row}: {found:?} {expected:?}");
            }
        }
    }

    #[test]
    fn beside_a_void_heights_are_those_of_the_straight_way() {
        let heights = (0..49).map(|k| if k == 8 { f32::NAN } else { ((k % 7) * (k % 7)) as f32 }).collect();
        let ground = grid(7, 7, 10.0, heights);
        assert_eq!(ground.bicubic_m(2.5, 2.5), ground.bilinear_m(2.5, 2.5));
        assert_eq!(ground.bicubic_m(1.2, 1.2), None);
        let far = ground.bicubic_m(4.5, 4.0).expect("known");
        assert!((far - 4.5 * 4.5).abs() < 1e-9, "a square is bent exactly: {far}");
    }

    #[test]
    fn a_round_hill_of_coarse_cells_is_drawn_round() {
        let height =
            |k: usize| (500.0 - 0.05 * (((k % 21) as f64 - 10.0).powi(2) + ((k / 21) as f64 - 10.0).powi(2)) * 100.0) as f32;
        let hill = grid(21, 21, 10.0, (0..441).map(height).collect());
        let off = |lines: &[Contour]| {
            let line = lines.iter().find(|line| line.closed && (line.level_m - 420.0).abs() < 1e-6).expect("a circle");
            // Level 420 m lies 4 cells from the top.
            let middles = line.points.windows(2).map(|pair| (0.5 * (pair[0].0 + pair[1].0), 0.5 * (pair[0].1 + pair[1].1)));
            middles.map(|(x, y)| ((x - 10.0).hypot(y - 10.0) - 4.0).abs()).fold(0.0, f64::max)
        };
        let (straight, bent) = (contours(&hill, 20.0, &Job::new()), contours_to_draw(&hill, 20.0, &Job::new()));
        let (straight, bent) = (off(&straight.expect("drawn")), off(&bent.expect("drawn")));
        assert!(bent < 0.2 * straight, "{bent} {straight}");
    }
}
