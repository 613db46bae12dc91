//! What a wire does to a pulse: its own impedance, skin effect and zinc included.

use num_complex::Complex64;
use std::f64::consts::PI;

/// Permeability of free space, H/m.
pub const MU0_H_PER_M: f64 = 4e-7 * PI;
/// Resistivity of zinc, ohm.m (source: from memory, any table).
pub const ZINC_RESISTIVITY_OHM_M: f64 = 5.92e-8;

/// A round metal wire.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RoundWire {
    /// Outer radius, metres.
    pub radius_m: f64,
    /// Resistivity of the core, ohm.m.
    pub resistivity_ohm_m: f64,
    /// Relative permeability of the core.
    pub relative_permeability: f64,
    /// Thickness of the zinc on it, metres; 0 for none.
    pub zinc_m: f64,
}

/// Ratio I1(z)/I0(z) of modified Bessel functions for a positive real part, by Gauss's continued fraction
/// `I1/I0 = 1/(2/z + 1/(4/z + 1/(6/z + ...)))`, evaluated from behind.
///
/// # Valid for
/// `Re z > 0`. The terms grow with |z|; above 600 the asymptotic ratio is exact to 1e-9.
/// # Source
/// `dlmf-bessel` 10.33.
pub fn bessel_ratio(z: Complex64) -> Complex64 {
    if z.norm() > 600.0 {
        let inverse = 1.0 / z;
        return 1.0 - inverse * 0.5 - inverse * inverse * 0.125 - inverse * inverse * inverse * 0.125;
    }
    let terms = 40 + (2.0 * z.norm()) as usize;
    let step = 2.0 / z;
    (1..=terms).rev().fold(Complex64::ZERO, |below, n| 1.0 / (step * n as f64 + below))
}

/// Internal impedance of a metre of round wire, with its zinc as a thin pipe beside it:
/// `Zint = rho m / (2 pi a) I0(m a)/I1(m a)`, `m = sqrt(s mu0 mur / rho)`; `Z = 1 / (1/Zint + 1/Rzn)`,
/// `Rzn = rho_zn / (pi (a^2 - (a - t)^2))`.
///
/// # Units
/// `s` in 1/s; ohm per metre.
/// # Valid for
/// Zinc much thinner than its skin depth: to about 100 kHz within 1 % of the two-layer solution.
/// # Source
/// `schelkunoff-1934`.
pub fn internal_ohm_per_m(wire: &RoundWire, s: Complex64) -> Complex64 {
    let core_m = wire.radius_m - wire.zinc_m;
    let m = (s * (MU0_H_PER_M * wire.relative_permeability / wire.resistivity_ohm_m)).sqrt();
    let core = m * (wire.resistivity_ohm_m / (2.0 * PI * core_m)) / bessel_ratio(m * core_m);
    if wire.zinc_m <= 0.0 {
        return core;
    }
    let zinc_siemens_m = PI * (wire.radius_m * wire.radius_m - core_m * core_m) / ZINC_RESISTIVITY_OHM_M;
    1.0 / (1.0 / core + zinc_siemens_m)
}

/// Resistance of a metre to direct current: `R = rho / (pi a^2)`, the zinc beside it.
///
/// # Units
/// Ohm per metre.
/// # Source
/// Definition of resistivity: `statics`.
pub fn direct_ohm_per_m(wire: &RoundWire) -> f64 {
    let core_m = wire.radius_m - wire.zinc_m;
    let core = PI * core_m * core_m / wire.resistivity_ohm_m;
    let zinc = PI * (wire.radius_m * wire.radius_m - core_m * core_m) / ZINC_RESISTIVITY_OHM_M;
    1.0 / (core + zinc)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn at_low_frequency_the_impedance_is_the_resistance() {
        let wire = RoundWire { radius_m: 1e-3, resistivity_ohm_m: 1.75e-7, relative_permeability: 80.0, zinc_m: 34e-6 };
        let found = internal_ohm_per_m(&wire, Complex64::new(0.0, 1.0));
        assert!((found.re / direct_ohm_per_m(&wire) - 1.0).abs() < 1e-6, "{found}");
    }

    #[test]
    fn the_continued_fraction_meets_the_asymptotic_series_where_they_change_hands() {
        let direction = Complex64::new(1.0, 1.0) / 2.0_f64.sqrt();
        let (below, above) = (bessel_ratio(direction * 599.9), bessel_ratio(direction * 600.1));
        assert!((below - above).norm() < 1e-6);
    }
}
