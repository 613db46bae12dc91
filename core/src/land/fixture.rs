//! Small grids for the unit tests.

use super::{Crs, CrsKind, Georeference, Grid};

/// A grid of square cells in UTM zone 33 north, its first centre at (500000, 5000000).
pub fn grid(columns: usize, rows: usize, cell_m: f64, heights_m: Vec<f32>) -> Grid {
    assert_eq!(heights_m.len(), columns * rows);
    let crs = Crs { definition: "EPSG:32633".to_owned(), kind: CrsKind::Projected { metres_per_unit: 1.0 } };
    placed(columns, rows, (500_000.0, 5_000_000.0), (cell_m, -cell_m), crs, heights_m)
}

/// A grid with its axes along those of its coordinate system.
pub fn placed(columns: usize, rows: usize, origin: (f64, f64), cell: (f64, f64), crs: Crs, heights_m: Vec<f32>) -> Grid {
    let georeference = Georeference { origin, per_column: (cell.0, 0.0), per_row: (0.0, cell.1), crs };
    Grid { columns, rows, georeference, heights_m, notes: vec![] }
}

/// A plane in UTM zone 33 that rises towards the east and the north, 300 m high in its middle.
pub fn plane(columns: usize, rows: usize, cell_m: f64, east: f64, north: f64) -> Grid {
    let (middle_column, middle_row) = (0.5 * (columns as f64 - 1.0), 0.5 * (rows as f64 - 1.0));
    let height = |k: usize| {
        let (column, row) = ((k % columns) as f64, (k / columns) as f64);
        (300.0 + cell_m * (east * (column - middle_column) - north * (row - middle_row))) as f32
    };
    grid(columns, rows, cell_m, (0..columns * rows).map(height).collect())
}

/// Smooth hills and hollows in UTM zone 33, without two cells alike.
pub fn hills(columns: usize, rows: usize, cell_m: f64) -> Grid {
    let height = |k: usize| {
        let (x, y) = ((k % columns) as f64, (k / columns) as f64);
        let waves = 20.0 * (x / 9.0).sin() * (y / 7.0).cos() + 6.0 * (x / 3.1 + y / 4.3).sin();
        (400.0 + waves + 0.31 * x - 0.17 * y) as f32
    };
    grid(columns, rows, cell_m, (0..columns * rows).map(height).collect())
}

/// A number about zero with deviation 1, the same on every machine: the sum of twelve even ones, less six.
pub fn chance(seed: u64) -> f64 {
    let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x1234_5678_9ABC_DEF1;
    let mut even = || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    (0..12).map(|_| even()).sum::<f64>() - 6.0
}
