//! Whole grids at once: slope and shade of every cell, and the figures that describe a grid.

use super::slope::Axes;
use super::{Gradient, Grid};
use rayon::prelude::*;

/// What is true of a grid as a whole. Slopes are Horn's, of the cells with all eight neighbours known.
#[derive(Clone, Debug, PartialEq)]
pub struct Survey {
    /// Number of columns.
    pub columns: usize,
    /// Number of rows.
    pub rows: usize,
    /// Size of a cell along its row in the middle of the grid, metres of the grid's own projection.
    pub cell_x_m: f64,
    /// Size of a cell along its column in the middle of the grid, metres of the grid's own projection.
    pub cell_y_m: f64,
    /// The coordinate reference system as the grid states it.
    pub crs: String,
    /// Lowest height, metres; `None` when every cell is void.
    pub lowest_m: Option<f64>,
    /// Highest height, metres.
    pub highest_m: Option<f64>,
    /// Mean height, metres.
    pub mean_m: Option<f64>,
    /// Cells without a height.
    pub void_cells: usize,
    /// Mean slope in percent; `None` when no cell has a slope.
    pub mean_slope_pct: Option<f64>,
    /// Steepest slope in percent.
    pub steepest_slope_pct: Option<f64>,
    /// The middle one of all slopes in percent (the lower of the two when there are two).
    pub median_slope_pct: Option<f64>,
}

/// Where the light comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sun {
    /// Degrees clockwise from north.
    pub azimuth_deg: f64,
    /// Degrees above the horizon.
    pub height_deg: f64,
}

impl Sun {
    /// The custom of maps: from the north-west, half way up.
    pub const NORTH_WEST: Self = Self { azimuth_deg: 315.0, height_deg: 45.0 };

    /// The factors of I = (level - east p - north q) / sqrt(1 + p^2 + q^2).
    pub(super) fn factors(self) -> Light {
        let (azimuth, height) = (self.azimuth_deg.to_radians(), self.height_deg.to_radians());
        Light { level: height.sin(), east: height.cos() * azimuth.sin(), north: height.cos() * azimuth.cos() }
    }
}

/// A direction of light as the dot product with the ground's normal needs it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Light {
    pub level: f64,
    pub east: f64,
    pub north: f64,
}

/// The light that falls on the ground: I = max(0, (sin e - cos e (p sin A + q cos A)) / sqrt(1 + p^2 + q^2)), the dot
/// product of the ground's normal with the direction to the sun, 0 to 1.
///
/// # Units
/// p, q rise over run to the east and north; A, e degrees.
///
/// # Source
/// horn-1981 (the reflectance of a white surface).
pub fn hillshade(ground: Gradient, sun: Sun) -> f64 {
    let light = sun.factors();
    let Gradient { east: p, north: q } = ground;
    ((light.level - light.east * p - light.north * q) / (1.0 + p * p + q * q).sqrt()).max(0.0)
}

impl Grid {
    /// Horn's gradient of a cell along the axes of the grid's own coordinate system, in metres of its projection; `None` at
    /// the rim of the grid and where any of the nine cells is void.
    ///
    /// p = ((z3 + 2 z6 + z9) - (z1 + 2 z4 + z7)) / (8 dx), q = ((z1 + 2 z2 + z3) - (z7 + 2 z8 + z9)) / (8 dy), with the
    /// window z1 z2 z3 / z4 z5 z6 / z7 z8 z9, northern row first. Degrees are measured on the ellipsoid row by row.
    ///
    /// # Source
    /// horn-1981.
    pub fn cell_gradient(&self, column: usize, row: usize) -> Option<Gradient> {
        let (per_column, per_row) = self.horn(column, row)?;
        Some(self.axes(row as f64).gradient(per_column, per_row))
    }
}

/// The slope of every cell in percent, row by row, in Horn's way; NaN at the rim and beside void cells.
pub fn slope_grid_pct(grid: &Grid) -> Vec<f32> {
    let mut slopes = vec![0.0; grid.columns * grid.rows];
    slope_rows_pct(grid, 0, &mut slopes);
    slopes
}

/// As [`slope_grid_pct`], for the rows from `first` on that there is room for.
pub fn slope_rows_pct(grid: &Grid, first: usize, slopes: &mut [f32]) {
    let rows = slopes.par_chunks_mut(grid.columns.max(1)).enumerate();
    rows.for_each(|(row, slopes)| row_of_slopes_pct(grid, first + row, slopes));
}

/// The shade of every cell, row by row: 1 + 254 I with the light of [`Sun::NORTH_WEST`], 0 at the rim and beside void cells.
pub fn shade_grid(grid: &Grid) -> Vec<u8> {
    let mut shades = vec![0; grid.columns * grid.rows];
    let light = Sun::NORTH_WEST.factors();
    let (level, east, north) = (light.level as f32, light.east as f32, light.north as f32);
    shades.par_chunks_mut(grid.columns.max(1)).enumerate().for_each(|(row, shades)| {
        if let Some(rows) = Rows::around(grid, row) {
            rows.each(&mut shades[1..], |p, q| {
                let dot = (level - east * p - north * q) / (1.0 + p * p + q * q).sqrt();
                // Half a step is added so that the cut to a whole number rounds; NaN becomes 0.
                let shade = 1.5 + 254.0 * if dot < 0.0 { 0.0 } else { dot };
                shade as i32 as u8
            });
        }
    });
    shades
}

fn row_of_slopes_pct(grid: &Grid, row: usize, slopes: &mut [f32]) {
    let Some(rows) = Rows::around(grid, row) else { return slopes.fill(f32::NAN) };
    rows.each(&mut slopes[1..], |p, q| 100.0 * (p * p + q * q).sqrt());
    slopes[0] = f32::NAN;
    slopes[grid.columns - 1] = f32::NAN;
}

/// Three neighbouring rows of a grid and the shape of the middle one's cells, in single precision: differences of heights
/// are exact in it, so the slopes keep seven digits.
struct Rows<'a> {
    north: &'a [f32],
    here: &'a [f32],
    south: &'a [f32],
    east_by: (f32, f32),
    north_by: (f32, f32),
}

impl<'a> Rows<'a> {
    /// `None` for the first and the last row and for grids too narrow to have an inner cell.
    fn around(grid: &'a Grid, row: usize) -> Option<Self> {
        let columns = grid.columns;
        if row == 0 || row + 1 >= grid.rows || columns < 3 {
            return None;
        }
        let line = |row: usize| &grid.heights_m[row * columns..(row + 1) * columns];
        let Axes { east, north } = grid.axes(row as f64);
        let eighth = |pair: (f64, f64)| ((pair.0 / 8.0) as f32, (pair.1 / 8.0) as f32);
        Some(Self { north: line(row - 1), here: line(row), south: line(row + 1), east_by: eighth(east), north_by: eighth(north) })
    }

    /// Writes what `value` makes of Horn's gradient (east, north) of every inner cell, the first of them first.
    #[inline]
    fn each<T>(&self, out: &mut [T], value: impl Fn(f32, f32) -> T) {
        let inner = self.here.len() - 2;
        let (n, h, s) = (self.north, self.here, self.south);
        let (n0, n1, n2) = (&n[..inner], &n[1..=inner], &n[2..]);
        let (h0, h1, h2) = (&h[..inner], &h[1..=inner], &h[2..]);
        let (s0, s1, s2) = (&s[..inner], &s[1..=inner], &s[2..]);
        let (n2, h2, s2, out) = (&n2[..inner], &h2[..inner], &s2[..inner], &mut out[..inner]);
        for i in 0..inner {
            // A void cell makes the value void although Horn's weights leave it out.
            let void = 0.0 * h1[i];
            let across = (n2[i] - n0[i]) + 2.0 * (h2[i] - h0[i]) + (s2[i] - s0[i]) + void;
            let down = (s0[i] - n0[i]) + 2.0 * (s1[i] - n1[i]) + (s2[i] - n2[i]);
            let p = self.east_by.0 * across + self.east_by.1 * down;
            let q = self.north_by.0 * across + self.north_by.1 * down;
            out[i] = value(p, q);
        }
    }
}

/// The figures that describe a grid.
pub fn survey(grid: &Grid) -> Survey {
    let middle_row = 0.5 * (grid.rows as f64 - 1.0);
    let (cell_x_m, cell_y_m) = grid.cell_sides_m(middle_row);
    let heights = grid.heights_m.par_chunks(grid.columns.max(1)).map(Heights::of_row).reduce(Heights::default, Heights::and);
    let slopes = Slopes::of(grid, |_| true, |slope| slope.to_bits() >> 16);
    let known = (heights.count > 0).then_some(&heights);
    let sloping = (slopes.count > 0).then_some(&slopes);
    Survey {
        columns: grid.columns,
        rows: grid.rows,
        cell_x_m,
        cell_y_m,
        crs: grid.georeference.crs.definition.clone(),
        lowest_m: known.map(|heights| f64::from(heights.lowest)),
        highest_m: known.map(|heights| f64::from(heights.highest)),
        mean_m: known.map(|heights| heights.sum / heights.count as f64),
        void_cells: grid.heights_m.len() - heights.count,
        mean_slope_pct: sloping.map(|slopes| slopes.sum / slopes.count as f64),
        steepest_slope_pct: sloping.map(|slopes| f64::from(slopes.steepest)),
        median_slope_pct: sloping.map(|slopes| median(grid, slopes)),
    }
}

/// The exact median without a copy of the slopes: positive floats order like their bits, so one pass counts them by their
/// upper half, and a second one those of the middle class by their lower half.
fn median(grid: &Grid, by_upper: &Slopes) -> f64 {
    let rank = (by_upper.count - 1) / 2;
    let (upper, before) = class_of_rank(&by_upper.classes, rank);
    let by_lower = Slopes::of(grid, |slope| slope.to_bits() >> 16 == upper, |slope| slope.to_bits() & 0xFFFF);
    let (lower, _) = class_of_rank(&by_lower.classes, rank - before);
    f64::from(f32::from_bits(upper << 16 | lower))
}

/// The class in which the value of this rank lies, and how many lie in the classes before it.
fn class_of_rank(classes: &[u32], rank: usize) -> (u32, usize) {
    let mut before = 0;
    for (class, count) in (0..).zip(classes) {
        if rank < before + *count as usize {
            return (class, before);
        }
        before += *count as usize;
    }
    unreachable!("a rank is below the number of values counted")
}

#[derive(Clone, Copy)]
struct Heights {
    lowest: f32,
    highest: f32,
    sum: f64,
    count: usize,
}

impl Default for Heights {
    fn default() -> Self {
        Self { lowest: f32::INFINITY, highest: f32::NEG_INFINITY, sum: 0.0, count: 0 }
    }
}

impl Heights {
    fn of_row(heights: &[f32]) -> Self {
        let mut all = Self::default();
        for height in heights.iter().filter(|height| height.is_finite()) {
            all.lowest = all.lowest.min(*height);
            all.highest = all.highest.max(*height);
            all.sum += f64::from(*height);
            all.count += 1;
        }
        all
    }

    fn and(self, other: Self) -> Self {
        Self {
            lowest: self.lowest.min(other.lowest),
            highest: self.highest.max(other.highest),
            sum: self.sum + other.sum,
            count: self.count + other.count,
        }
    }
}

struct Slopes {
    steepest: f32,
    sum: f64,
    count: usize,
    classes: Vec<u32>,
}

impl Slopes {
    fn none() -> Self {
        Self { steepest: 0.0, sum: 0.0, count: 0, classes: vec![0; 1 << 16] }
    }

    /// Counts the slopes of a grid that `wanted` takes, by class.
    fn of(grid: &Grid, wanted: impl Fn(f32) -> bool + Sync, class: impl Fn(f32) -> u32 + Sync) -> Self {
        const ROWS_AT_ONCE: usize = 128;
        let bands = grid.rows.div_ceil(ROWS_AT_ONCE);
        let fold = |mut all: Self, band: usize| {
            let mut slopes = vec![0.0; grid.columns];
            for row in band * ROWS_AT_ONCE..grid.rows.min((band + 1) * ROWS_AT_ONCE) {
                row_of_slopes_pct(grid, row, &mut slopes);
                for slope in slopes.iter().copied().filter(|slope| slope.is_finite() && wanted(*slope)) {
                    all.steepest = all.steepest.max(slope);
                    all.sum += f64::from(slope);
                    all.count += 1;
                    all.classes[class(slope) as usize] += 1;
                }
            }
            all
        };
        (0..bands).into_par_iter().fold(Self::none, fold).reduce(Self::none, Self::and)
    }

    fn and(mut self, other: Self) -> Self {
        self.classes.iter_mut().zip(&other.classes).for_each(|(mine, theirs)| *mine += theirs);
        Self {
            steepest: self.steepest.max(other.steepest),
            sum: self.sum + other.sum,
            count: self.count + other.count,
            classes: self.classes,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::fixture::{grid, hills, plane};

    #[test]
    fn the_figures_of_a_plane_are_its_own() {
        let survey = survey(&plane(40, 30, 2.0, 0.3, 0.4));
        assert_eq!((survey.columns, survey.rows, survey.void_cells), (40, 30, 0));
        for (found, expected) in [
            (Some(survey.cell_x_m), 2.0),
            (survey.mean_m, 300.0),
            (survey.lowest_m, 300.0 - 39.0 * 0.3 - 29.0 * 0.4),
            (survey.highest_m, 300.0 + 39.0 * 0.3 + 29.0 * 0.4),
            (survey.mean_slope_pct, 50.0),
            (survey.median_slope_pct, 50.0),
            (survey.steepest_slope_pct, 50.0),
        ] {
            let found = found.expect("known");
            assert!((found - expected).abs() < 1e-3, "{found} {expected}");
        }
    }

    #[test]
    fn whole_grids_agree_with_their_cells_taken_one_by_one() {
        let mut ground = hills(57, 43, 5.0);
        for void in [0, 700, 701, 1500, 57 * 43 - 1] {
            ground.heights_m[void] = f32::NAN;
        }
        let (slopes, shades) = (slope_grid_pct(&ground), shade_grid(&ground));
        let mut known = vec![];
        for row in 0..43 {
            for column in 0..57 {
                let (slope, shade) = (slopes[row * 57 + column], shades[row * 57 + column]);
                let Some(gradient) = ground.cell_gradient(column, row) else {
                    assert!(slope.is_nan() && shade == 0, "{column} {row}: {slope} {shade}");
                    continue;
                };
                let exact = 1.0 + 254.0 * hillshade(gradient, Sun::NORTH_WEST);
                assert!((f64::from(slope) - gradient.slope_pct()).abs() < 1e-3, "{column} {row}: {slope}");
                assert!((f64::from(shade) - exact).abs() < 0.501, "{column} {row}: {shade} {exact}");
                known.push(slope);
            }
        }
        known.sort_by(f32::total_cmp);
        let survey = survey(&ground);
        assert_eq!(survey.void_cells, 5);
        assert_eq!(survey.median_slope_pct, Some(f64::from(known[(known.len() - 1) / 2])));
        assert_eq!(survey.steepest_slope_pct, Some(f64::from(known[known.len() - 1])));
        let mean = known.iter().map(|slope| f64::from(*slope)).sum::<f64>() / known.len() as f64;
        assert!((survey.mean_slope_pct.expect("known") - mean).abs() < 1e-9);
    }

    #[test]
    fn a_grid_without_heights_or_without_inner_cells_has_no_figures_but_no_trouble() {
        let void = survey(&grid(4, 4, 1.0, vec![f32::NAN; 16]));
        assert_eq!((void.lowest_m, void.mean_m, void.mean_slope_pct, void.void_cells), (None, None, None, 16));
        let narrow = survey(&grid(2, 4, 1.0, vec![1.0; 8]));
        assert_eq!((narrow.lowest_m, narrow.median_slope_pct), (Some(1.0), None));
    }

    #[test]
    fn a_grid_at_an_angle_has_the_slopes_of_one_along_the_axes() {
        let mut turned = plane(20, 20, 2.0, 0.3, 0.0);
        let (sine, cosine) = 0.5_f64.sin_cos();
        turned.georeference.per_column = (2.0 * cosine, -2.0 * sine);
        turned.georeference.per_row = (-2.0 * sine, -2.0 * cosine);
        let gradient = turned.cell_gradient(9, 9).expect("inner");
        // It rises along its columns' direction, now turned by 0.5 radian clockwise.
        assert!((gradient.east - 0.3 * cosine).abs() < 1e-5 && (gradient.north + 0.3 * sine).abs() < 1e-5, "{gradient:?}");
        assert!((slope_grid_pct(&turned)[9 * 20 + 9] - 30.0).abs() < 1e-3);
    }
}
