//! Strands over the ground as one electrical line: what a metre of them holds back, stores and leaks.

use super::wire::{MU0_H_PER_M, RoundWire, internal_ohm_per_m};
use crate::catalogue::Conductor;
use nalgebra::{DMatrix, DVector};
use num_complex::Complex64;
use std::f64::consts::PI;

/// Permittivity of free space, F/m.
pub const EPS0_F_PER_M: f64 = 8.854_187_8e-12;

/// One strand of a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strand {
    /// What it is made of.
    pub conductor: Conductor,
    /// Height over the ground, metres.
    pub height_m: f64,
    /// What leaks from it to the ground, S/m.
    pub leak_s_per_m: f64,
    /// Whether it carries the pulse; else it leads back to the energizer's earth.
    pub live: bool,
}

/// A metre of a line with one rail (live strands bonded) or two (live strands, earth strands).
#[derive(Clone, Debug, PartialEq)]
pub struct PerMetre {
    /// Series impedance by frequency, ohm/m; rails x rails.
    pub series: Vec<DMatrix<Complex64>>,
    /// Shunt admittance by frequency, S/m; rails x rails.
    pub shunt: Vec<DMatrix<Complex64>>,
}

/// What a metre of a conductor holds back by itself, ohm.
pub fn own_ohm_per_m(conductor: &Conductor, s: Complex64) -> Complex64 {
    match *conductor {
        Conductor::Round { radius_m, resistivity_ohm_m, mu_r, zinc_m } => {
            internal_ohm_per_m(&RoundWire { radius_m, resistivity_ohm_m, relative_permeability: mu_r, zinc_m }, s)
        }
        Conductor::Constant { ohm_per_m, .. } | Conductor::Cable { ohm_per_m, .. } => Complex64::from(ohm_per_m),
    }
}

/// Series impedance of strands that stand side by side over lossy ground, each with return through the ground:
/// `Z_ij = s mu0/(2 pi) ln((h_i + h_j + 2 p)/d_ij)`, `p = sqrt(rho/(s mu0))`, on the diagonal `d_ii = a_i` and the wire's own impedance.
///
/// # Units
/// `s` in 1/s, `soil_ohm_m` (rho) in ohm.m; ohm per metre, strands x strands.
/// # Valid for
/// Strands one above the other. Within 2.4 % of Carson's integral for 30 to 1000 ohm.m and 1 to 100 kHz.
/// # Source
/// `deri-1981`.
pub fn series_ohm_per_m(strands: &[Strand], soil_ohm_m: f64, s: Complex64) -> DMatrix<Complex64> {
    let depth = (Complex64::from(soil_ohm_m) / (s * MU0_H_PER_M)).sqrt();
    let factor = s * MU0_H_PER_M / (2.0 * PI);
    DMatrix::from_fn(strands.len(), strands.len(), |i, j| {
        let (one, other) = (&strands[i], &strands[j]);
        let mutual = factor * ((depth * 2.0 + one.height_m + other.height_m) / apart_m(strands, i, j)).ln();
        if i == j { mutual + own_ohm_per_m(&one.conductor, s) } else { mutual }
    })
}

/// Capacitance of strands over the ground by Maxwell's coefficients: `P_ij = ln((h_i + h_j)/d_ij)/(2 pi eps0)`, `C = P^-1`.
///
/// # Units
/// F/m, strands x strands.
/// # Valid for
/// Strands at different heights; two in one place count as touching side by side.
/// # Source
/// `line-constants`.
pub fn capacitance_f_per_m(strands: &[Strand]) -> DMatrix<f64> {
    let coefficients = DMatrix::from_fn(strands.len(), strands.len(), |i, j| {
        ((strands[i].height_m + strands[j].height_m) / apart_m(strands, i, j)).ln() / (2.0 * PI * EPS0_F_PER_M)
    });
    coefficients.try_inverse().expect("strands apart from each other and from the ground have a capacitance")
}

/// Distance of two strands, that of a strand to itself being its radius.
fn apart_m(strands: &[Strand], i: usize, j: usize) -> f64 {
    let touching_m = strands[i].conductor.radius_m().max(strands[j].conductor.radius_m());
    if i == j { strands[i].conductor.radius_m() } else { (strands[i].height_m - strands[j].height_m).abs().max(2.0 * touching_m) }
}

impl PerMetre {
    /// Strands of a line, the live ones bonded to one rail and the earth ones, if any, to a second:
    /// `Z = (B^T Z^-1 B)^-1`, `C = B^T P^-1 B`, with B one column a rail.
    ///
    /// # Valid for
    /// Strands bonded at both ends of a run. With one end bonded only, ends differ by less than 0.15 % as long as no fault sits on a
    /// single strand.
    pub fn of(strands: &[Strand], soil_ohm_m: f64, points: &[Complex64]) -> Self {
        let rails = if strands.iter().all(|strand| strand.live) { 1 } else { 2 };
        let rail = |strand: &Strand| usize::from(!strand.live);
        let real = DMatrix::from_fn(strands.len(), rails, |i, j| f64::from(u8::from(rail(&strands[i]) == j)));
        let bond = real.map(Complex64::from);
        let capacitance = real.transpose() * capacitance_f_per_m(strands) * &real;
        let mut leak = DVector::<f64>::zeros(rails);
        for strand in strands {
            leak[rail(strand)] += strand.leak_s_per_m;
        }
        let leak: DMatrix<f64> = DMatrix::from_diagonal(&leak);
        let series = points.iter().map(|s| {
            let strands_in = inverse(series_ohm_per_m(strands, soil_ohm_m, *s));
            inverse(bond.transpose() * strands_in * &bond)
        });
        let shunt = points.iter().map(|s| capacitance.map(|farad| *s * farad) + leak.map(Complex64::from));
        Self { series: series.collect(), shunt: shunt.collect() }
    }

    /// An insulated cable in the ground: core of `conductor`, insulation up to `outer_m` radius:
    /// `C = 2 pi eps0 eps_r / ln(b/a)`, `L = mu0/(2 pi) ln(b/a)` and the ground outside it.
    ///
    /// # Source
    /// `line-constants`.
    pub fn of_cable(conductor: &Conductor, outer_m: f64, permittivity: f64, soil_ohm_m: f64, points: &[Complex64]) -> Self {
        let inside = (outer_m / conductor.radius_m()).ln();
        let farad = 2.0 * PI * EPS0_F_PER_M * permittivity / inside;
        let one = |value| DMatrix::from_element(1, 1, value);
        let series = points.iter().map(|s| {
            let depth = (Complex64::from(soil_ohm_m) / (*s * MU0_H_PER_M)).sqrt();
            let around = *s * MU0_H_PER_M / (2.0 * PI) * ((depth * 2.0 / outer_m).ln() + inside);
            one(own_ohm_per_m(conductor, *s) + around)
        });
        let shunt = points.iter().map(|s| one(*s * farad));
        Self { series: series.collect(), shunt: shunt.collect() }
    }

    /// So many alike side by side, far enough apart to have nothing to do with each other.
    pub fn times(mut self, count: usize) -> Self {
        let count = Complex64::from(count.max(1) as f64);
        self.series.iter_mut().for_each(|series| *series /= count);
        self.shunt.iter_mut().for_each(|shunt| *shunt *= count);
        self
    }

    /// The same constants at every frequency: ohm, henry, siemens and farad per metre of one rail.
    pub fn constant(ohm: f64, henry: f64, siemens: f64, farad: f64, points: &[Complex64]) -> Self {
        let one = |value| DMatrix::from_element(1, 1, value);
        Self {
            series: points.iter().map(|s| one(*s * henry + ohm)).collect(),
            shunt: points.iter().map(|s| one(*s * farad + siemens)).collect(),
        }
    }

    /// How many rails.
    pub fn rails(&self) -> usize {
        self.series.first().map_or(1, DMatrix::nrows)
    }
}

/// Inverse of a matrix of a passive line.
pub(super) fn inverse(matrix: DMatrix<Complex64>) -> DMatrix<Complex64> {
    matrix.try_inverse().expect("what a passive line holds back is never nothing")
}
