//! How far the heights of a grid scatter, and the ground as it is best known: smoothed over the plane where they scatter too far for a fence.

use super::{Grid, Ground, MapPoint};
use crate::units::Length;
use std::collections::HashMap;
use std::f64::consts::PI;

/// Heights that scatter by no more than this are taken as they are; others are smoothed just enough to bring it below, metres: unsmoothed, 5 cm
/// on cells of 1 m fence a smooth hillside with half a dozen posts too many, 8 cm with twice as many (`grid-trial`).
pub const FINE_M: f64 = 0.03;
/// The tenth percentile over blocks that [`Grid::noise`] gives is this share of the deviation of white noise (`grid-trial`).
const PERCENTILE_SHARE: f64 = 0.84;
/// Heights are smoothed over no more than this, metres (deviation of the bell): more would take away the hollows that matter.
const WIDEST_M: f64 = 3.0;
/// The narrowest bell that changes anything, cells.
const NARROWEST_CELLS: f64 = 0.3;
/// A table of weights ends at so many deviations of its bell.
const REACH: f64 = 3.5;
/// A hollow or a hump is what stands out between the smoothed ground and the ground smoothed over so many cells.
const WIDE_CELLS: f64 = 3.0;
/// Where it stands out by so many deviations of the scatter it begins to count as real, and at the second number it does (`grid-trial`).
const REAL: (f64, f64) = (2.5, 3.5);
/// The hollow whose depth is reckoned back is half as wide as this, metres, and no narrower than so many cells.
const HOLLOW_M: f64 = 2.0;
const HOLLOW_CELLS: f64 = 2.0;
/// No hollow is reckoned deeper than so much of it was left by the smoothing.
const LEAST_LEFT: f64 = 0.3;

/// How far the heights of one grid scatter from cell to cell.
#[derive(Clone, Debug, Default)]
pub struct Scatter {
    found_m: Option<f64>,
    kernel: Option<Kernel>,
}

impl Scatter {
    /// Of a grid with cells of this size.
    pub fn of(grid: &Grid, cell: Length) -> Self {
        let found_m = grid.noise().map(|noise| noise.as_metres() / PERCENTILE_SHARE);
        let kernel = found_m.and_then(|scatter_m| Kernel::of(scatter_m, cell.as_metres()));
        Self { found_m, kernel }
    }

    /// The deviation of one cell's height, errors of measurement and real roughness together; `None` for a grid of a few cells.
    pub fn found(&self) -> Option<Length> {
        self.found_m.map(Length::metres)
    }

    /// What is left of it in the ground under fences; zero where nothing is known of it.
    pub fn left(&self) -> Length {
        Length::metres(self.left_m())
    }

    /// Over what width heights are smoothed under fences; `None` where they are taken as they are.
    pub fn smoothed_over(&self) -> Option<Length> {
        self.kernel.as_ref().map(|kernel| Length::metres(kernel.width_m))
    }

    fn left_m(&self) -> f64 {
        self.kernel.as_ref().map_or(self.found_m.unwrap_or(0.0), |kernel| kernel.left_m)
    }
}

/// Weights of the two cells that lie opposite each other about a cell, so that no slope and no curve of the ground shifts it.
#[derive(Clone, Copy, Debug)]
struct Pair {
    columns: isize,
    rows: isize,
    smooth: f64,
    band: f64,
}

/// A two-dimensional kernel of fourth order: `K = (2 - t) exp(-t)`, `t = r^2 / (2 sigma^2)`, which leaves planes and paraboloids alone.
#[derive(Clone, Debug)]
struct Kernel {
    pairs: Vec<Pair>,
    /// Weight of the cell itself among those of both tables.
    own: (f64, f64),
    scatter_m: f64,
    left_m: f64,
    /// Deviation of what stands out by scatter alone.
    band_m: f64,
    /// What the smoothing leaves of a hollow of the usual width.
    gain: f64,
    width_m: f64,
}

impl Kernel {
    /// Just wide enough for this scatter; `None` where it is fine already, or the cells are too wide to be smoothed.
    fn of(scatter_m: f64, cell_m: f64) -> Option<Self> {
        let widest = WIDEST_M / cell_m;
        if scatter_m <= FINE_M || widest < NARROWEST_CELLS {
            return None;
        }
        let (mut narrow, mut sigma) = (NARROWEST_CELLS, widest);
        if Table::bell(widest).norm() * scatter_m < FINE_M {
            for _ in 0..24 {
                let middle = (narrow + sigma) / 2.0;
                let is_wide = Table::bell(middle).norm() * scatter_m <= FINE_M;
                if is_wide { sigma = middle } else { narrow = middle }
            }
        }
        let smooth = Table::bell(sigma);
        let band = smooth.less(&smooth.through(&Table::bell(WIDE_CELLS.max(1.7 * sigma))));
        let half = (HOLLOW_M / cell_m).max(HOLLOW_CELLS);
        let hollow = |r: f64| if r < half { (1.0 + (PI * r / half).cos()) / 2.0 } else { 0.0 };
        let pair = |(columns, rows): (isize, isize)| Pair {
            columns,
            rows,
            smooth: smooth.at(columns, rows),
            band: band.at(columns, rows),
        };
        Some(Self {
            pairs: band.half().map(pair).collect(),
            own: (smooth.at(0, 0), band.at(0, 0)),
            scatter_m,
            left_m: scatter_m * smooth.norm(),
            band_m: scatter_m * band.norm(),
            gain: smooth.response(hollow).clamp(LEAST_LEFT, 1.0),
            width_m: 2.0 * sigma * cell_m,
        })
    }

    /// Height and its deviation at a cell; `None` where it is void. A pair of which one is unknown is left out, and the cell itself stands in.
    fn at(&self, grid: &Grid, column: usize, row: usize) -> Option<(f64, f64)> {
        let here_m = f64::from(grid.heights_m[row * grid.columns + column]);
        if !here_m.is_finite() {
            return None;
        }
        let (mut shift_m, mut out_m, mut lost) = (0.0, 0.0, Lost::default());
        for pair in &self.pairs {
            let one = height_m(grid, column.checked_add_signed(pair.columns), row.checked_add_signed(pair.rows));
            let other = height_m(grid, column.checked_add_signed(-pair.columns), row.checked_add_signed(-pair.rows));
            let curve_m = one + other - 2.0 * here_m;
            if curve_m.is_finite() {
                shift_m += pair.smooth * curve_m;
                out_m += pair.band * curve_m;
            } else {
                lost.add(pair);
            }
        }
        let left_m = lost.smooth.norm(self.left_m / self.scatter_m, self.own.0) * self.scatter_m;
        let band_m = lost.band.norm(self.band_m / self.scatter_m, self.own.1) * self.scatter_m;
        let out = if band_m > 0.0 { out_m.abs() / band_m } else { 0.0 };
        let real = ((out - REAL.0) / (REAL.1 - REAL.0)).clamp(0.0, 1.0);
        let deeper = real * (1.0 / self.gain - 1.0);
        Some((here_m + shift_m + deeper * out_m, left_m))
    }
}

/// Pairs that were left out of both tables.
#[derive(Clone, Copy, Default)]
struct Lost {
    smooth: Sums,
    band: Sums,
}

impl Lost {
    fn add(&mut self, pair: &Pair) {
        self.smooth.add(pair.smooth);
        self.band.add(pair.band);
    }
}

/// Sum of weights, and of their squares.
#[derive(Clone, Copy, Default)]
struct Sums(f64, f64);

impl Sums {
    fn add(&mut self, weight: f64) {
        *self = Self(self.0 + weight, self.1 + weight * weight);
    }
    /// The norm of a table without these pairs, their weight given to the cell itself.
    fn norm(self, whole: f64, own: f64) -> f64 {
        let now = own + 2.0 * self.0;
        (whole * whole - own * own - 2.0 * self.1 + now * now).max(0.0).sqrt()
    }
}

fn height_m(grid: &Grid, column: Option<usize>, row: Option<usize>) -> f64 {
    match (column, row) {
        (Some(column), Some(row)) if column < grid.columns && row < grid.rows => {
            f64::from(grid.heights_m[row * grid.columns + column])
        }
        _ => f64::NAN,
    }
}

/// Weights of the cells about one, square, with an odd side.
struct Table {
    radius: isize,
    weights: Vec<f64>,
}

impl Table {
    fn of(radius: isize, weight: impl Fn(isize, isize) -> f64) -> Self {
        let side = -radius..=radius;
        let weights = side.clone().flat_map(|row| side.clone().map(move |column| (column, row)));
        Self { radius, weights: weights.map(|(column, row)| weight(column, row)).collect() }
    }

    /// The bell of fourth order with this deviation in cells; its weights sum to 1.
    fn bell(sigma: f64) -> Self {
        let raw = Self::of((REACH * sigma).ceil() as isize, |column, row| {
            let t = (column * column + row * row) as f64 / (2.0 * sigma * sigma);
            (2.0 - t) * (-t).exp()
        });
        let sum: f64 = raw.weights.iter().sum();
        Self { weights: raw.weights.iter().map(|weight| weight / sum).collect(), ..raw }
    }

    fn at(&self, column: isize, row: isize) -> f64 {
        if column.abs() > self.radius || row.abs() > self.radius {
            return 0.0;
        }
        let side = 2 * self.radius + 1;
        self.weights[((row + self.radius) * side + column + self.radius) as usize]
    }

    /// One table after the other.
    fn through(&self, next: &Self) -> Self {
        let inner = -self.radius..=self.radius;
        Self::of(self.radius + next.radius, |column, row| {
            let part = |(c, r): (isize, isize)| self.at(c, r) * next.at(column - c, row - r);
            inner.clone().flat_map(|r| inner.clone().map(move |c| (c, r))).map(part).sum()
        })
    }

    fn less(&self, other: &Self) -> Self {
        Self::of(self.radius.max(other.radius), |column, row| self.at(column, row) - other.at(column, row))
    }

    /// What the table makes of the deviation of white noise.
    fn norm(&self) -> f64 {
        self.weights.iter().map(|weight| weight * weight).sum::<f64>().sqrt()
    }

    /// What it makes of a shape, in its middle.
    fn response(&self, shape: impl Fn(f64) -> f64) -> f64 {
        let side = -self.radius..=self.radius;
        let cells = side.clone().flat_map(|row| side.clone().map(move |column| (column, row)));
        cells.map(|(column, row)| self.at(column, row) * shape((column as f64).hypot(row as f64))).sum()
    }

    /// One cell of each pair about the middle.
    fn half(&self) -> impl Iterator<Item = (isize, isize)> {
        let radius = self.radius;
        let cells = (0..=radius).flat_map(move |row| (-radius..=radius).map(move |column| (column, row)));
        cells.filter(|(column, row)| *row > 0 || *column > 0)
    }
}

/// A height of the ground and how far it may be off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KnownHeight {
    /// The height, metres.
    pub height_m: f64,
    /// Its deviation, metres; the depth of a hollow that was reckoned back is less sure.
    pub error_m: f64,
}

/// The ground as it is best known, for many places near each other: each cell is smoothed once.
pub struct BestKnown<'a> {
    ground: &'a Ground,
    cells: HashMap<(usize, usize), Option<(f64, f64)>>,
}

impl<'a> BestKnown<'a> {
    /// Of a ground.
    pub fn of(ground: &'a Ground) -> Self {
        Self { ground, cells: HashMap::new() }
    }

    /// The height at a place, bilinear between cells as in the grid itself; known wherever [`Ground::elevation`] knows one.
    pub fn at(&mut self, at: MapPoint) -> Option<KnownHeight> {
        let ground = self.ground;
        ground.layers().enumerate().find_map(|(layer, of)| self.in_layer(layer, of, at))
    }

    fn in_layer(&mut self, layer: usize, of: &Ground, at: MapPoint) -> Option<KnownHeight> {
        let as_it_is = of.own_elevation_m(at)?;
        let scatter = of.scatter();
        let Some(kernel) = &scatter.kernel else {
            return Some(KnownHeight { height_m: as_it_is, error_m: scatter.left_m() });
        };
        let (column, row) = of.to_cells(at);
        let grid = of.grid();
        let mut known = KnownHeight { height_m: 0.0, error_m: 0.0 };
        for (column, row, weight) in grid.around(column, row)? {
            if weight > 0.0 {
                let key = (layer, row * grid.columns + column);
                let (height_m, error_m) = (*self.cells.entry(key).or_insert_with(|| kernel.at(grid, column, row)))?;
                known.height_m += weight * height_m;
                known.error_m += weight * error_m;
            }
        }
        Some(known)
    }
}

#[cfg(test)]
#[path = "scatter_tests.rs"]
mod tests;
