//! The earth: how rods and buried wire meet the soil.

use nalgebra::{DMatrix, DVector};
use std::f64::consts::PI;

/// Gauss-Legendre points and weights on 0..1, exact to the ninth power.
const GAUSS: [(f64, f64); 5] = [
    (0.046_910_077_030_668, 0.118_463_442_528_094_5),
    (0.230_765_344_947_158_5, 0.239_314_335_249_683_2),
    (0.5, 0.284_444_444_444_444_4),
    (0.769_234_655_052_841_5, 0.239_314_335_249_683_2),
    (0.953_089_922_969_332, 0.118_463_442_528_094_5),
];

/// A driven rod, its head at the surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rod {
    /// Length in the ground (L), metres.
    pub length_m: f64,
    /// Radius (a), metres.
    pub radius_m: f64,
}

/// Resistance of one rod to far ground: `R = rho/(2 pi L) (ln(4 L/a) - 1)`.
///
/// # Units
/// `soil_ohm_m` (rho) in ohm.m; ohm.
/// # Valid for
/// `L` many times `a`; even soil. It is 1 to 2 % above the method of moments.
/// # Source
/// `dwight-1936`.
pub fn rod_ohm(rod: Rod, soil_ohm_m: f64) -> f64 {
    soil_ohm_m / (2.0 * PI * rod.length_m) * ((4.0 * rod.length_m / rod.radius_m).ln() - 1.0)
}

/// What one rod lifts another like it at a distance, per ampere: the potential of a uniform leak, averaged over the other rod,
/// `R_ij = (1/L) int_0^L rho/(4 pi L) (asinh((z+L)/s) - asinh((z-L)/s)) dz`.
///
/// # Units
/// `apart_m` (s) in metres; ohm.
/// # Source
/// `dwight-1936` (the integral itself).
pub fn mutual_ohm(rod: Rod, apart_m: f64, soil_ohm_m: f64) -> f64 {
    let length_m = rod.length_m;
    let at = |z: f64| ((z + length_m) / apart_m).asinh() - ((z - length_m) / apart_m).asinh();
    // The integrand bends within a distance s of the ends; halves keep the rule exact where rods stand close.
    const PIECES: usize = 8;
    let piece_m = length_m / PIECES as f64;
    let mean = (0..PIECES).flat_map(|piece| GAUSS.map(|(x, weight)| at((piece as f64 + x) * piece_m) * weight)).sum::<f64>()
        / PIECES as f64;
    soil_ohm_m / (4.0 * PI * length_m) * mean
}

/// Resistance of rods in a straight row, joined: `R = 1/(1^T R^-1 1)`.
///
/// # Units
/// `apart_m` between neighbours, metres; ohm. `None` for no rods.
/// # Source
/// `dwight-1936`.
pub fn rods_ohm(rod: Rod, count: usize, apart_m: f64, soil_ohm_m: f64) -> Option<f64> {
    if count == 0 {
        return None;
    }
    // In an even row it only counts how many steps two rods stand apart.
    let by_steps: Vec<f64> = (0..count)
        .map(|steps| match steps {
            0 => rod_ohm(rod, soil_ohm_m),
            steps => mutual_ohm(rod, apart_m * steps as f64, soil_ohm_m),
        })
        .collect();
    let matrix = DMatrix::from_fn(count, count, |i, j| by_steps[i.abs_diff(j)]);
    let shared = matrix.lu().solve(&DVector::from_element(count, 1.0))?;
    Some(1.0 / shared.sum())
}

/// How many rods in a row bring the earth to `wanted_ohm` or below; `None` if `most` are not enough.
pub fn rods_for(rod: Rod, apart_m: f64, soil_ohm_m: f64, wanted_ohm: f64, most: usize) -> Option<usize> {
    (1..=most).find(|count| rods_ohm(rod, *count, apart_m, soil_ohm_m).is_some_and(|ohm| ohm <= wanted_ohm))
}

/// Resistance of a straight wire buried level: `R = rho/(pi L) (ln(2 L/sqrt(2 a d)) - 1)`.
///
/// # Units
/// Length, radius (a) and depth (d) in metres; ohm.
/// # Valid for
/// Depth much smaller than the length.
/// # Source
/// `dwight-1936`, `sunde-1949`.
pub fn buried_wire_ohm(length_m: f64, radius_m: f64, depth_m: f64, soil_ohm_m: f64) -> f64 {
    soil_ohm_m / (PI * length_m) * ((2.0 * length_m / (2.0 * radius_m * depth_m).sqrt()).ln() - 1.0)
}

/// Resistance of a bare wire that lies on the ground, in full contact: `R = rho/(pi L) (ln(2 L/a) - 1)`.
///
/// # Units
/// Metres, ohm.m; ohm.
/// # Source
/// `sunde-1949`.
pub fn wire_on_ground_ohm(length_m: f64, radius_m: f64, soil_ohm_m: f64) -> f64 {
    soil_ohm_m / (PI * length_m) * ((2.0 * length_m / radius_m).ln() - 1.0)
}

/// How much of a rod's rise the ground beside it already shows: `asinh(L/r)/(ln(4 L/a) - 1)`, 0 to 1.
///
/// # Units
/// `beside_m` (r) in metres.
/// # Source
/// `dwight-1936` (potential of the same uniform leak at the surface).
pub fn rise_beside(rod: Rod, beside_m: f64) -> f64 {
    (rod.length_m / beside_m).asinh() / ((4.0 * rod.length_m / rod.radius_m).ln() - 1.0)
}
