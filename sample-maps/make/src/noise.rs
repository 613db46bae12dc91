//! Noise that is the same on every machine: an integer hash of the place, smoothed with polynomials only.

/// A number from 0 to 1 that belongs to this lattice point and seed.
pub fn lattice(seed: u32, column: i32, row: i32) -> f64 {
    f64::from(hash(seed, column, row)) / f64::from(u32::MAX)
}

/// Integer hash: multiply and shift until every input bit has touched every output bit.
fn hash(seed: u32, column: i32, row: i32) -> u32 {
    let mut mixed =
        seed.wrapping_mul(0x9E37_79B9) ^ (column as u32).wrapping_mul(0x85EB_CA6B) ^ (row as u32).wrapping_mul(0xC2B2_AE35);
    for (shift, factor) in [(16, 0x7FEB_352D), (15, 0x846C_A68B), (16, 0x9E37_79B1), (13, 0x85EB_CA77)] {
        mixed = (mixed ^ (mixed >> shift)).wrapping_mul(factor);
    }
    mixed ^ (mixed >> 16)
}

/// Smooth noise from -1 to 1 whose bumps are about `size_m` across.
pub fn smooth(seed: u32, x_m: f64, y_m: f64, size_m: f64) -> f64 {
    let (x, y) = (x_m / size_m, y_m / size_m);
    let (column, row) = (x.floor(), y.floor());
    let (u, v) = (fade(x - column), fade(y - row));
    let (column, row) = (column as i32, row as i32);
    let at = |dc: i32, dr: i32| lattice(seed, column + dc, row + dr);
    let south = at(0, 0) + (at(1, 0) - at(0, 0)) * u;
    let north = at(0, 1) + (at(1, 1) - at(0, 1)) * u;
    2.0 * (south + (north - south) * v) - 1.0
}

/// Several sizes of noise on top of each other, each half as wide and half as high as the one before.
pub fn layered(seed: u32, x_m: f64, y_m: f64, size_m: f64, layers: u32) -> f64 {
    let (mut sum, mut height, mut size) = (0.0, 1.0, size_m);
    for layer in 0..layers {
        sum += height * smooth(seed.wrapping_add(layer.wrapping_mul(101)), x_m, y_m, size);
        height *= 0.5;
        size *= 0.5;
    }
    sum
}

/// 6 t^5 - 15 t^4 + 10 t^3: 0 to 1 with flat ends.
pub fn fade(t: f64) -> f64 {
    let t = t.clamp(0.0, 1.0);
    t * t * t * (t * (t * 6.0 - 15.0) + 10.0)
}
