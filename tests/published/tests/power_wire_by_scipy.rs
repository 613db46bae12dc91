//! What a metre of fence wire is to a pulse: Bessel functions as scipy's `ive` gives them (`scipy`), and the ground under a wire by the integral of
//! J. R. Carson 1926 that `deri-1981` stands for.
//!
//! By: program SciPy 1.17.

use hillwire_core::catalogue::Conductor;
use hillwire_core::power::strands::{PerMetre, Strand};
use hillwire_core::power::wire::{RoundWire, internal_ohm_per_m};
use num_complex::Complex64;
use std::f64::consts::PI;

/// Within a share of the printed value.
#[track_caller]
fn near(found: Complex64, printed: (f64, f64), share: f64, what: &str) {
    let printed = Complex64::new(printed.0, printed.1);
    assert!((found - printed).norm() <= share * printed.norm(), "{what}: {found} for {printed}");
}

fn at_hertz(hertz: f64) -> Complex64 {
    Complex64::new(0.0, 2.0 * PI * hertz)
}

fn steel(diameter_m: f64, relative_permeability: f64, zinc_m: f64) -> RoundWire {
    RoundWire { radius_m: diameter_m / 2.0, resistivity_ohm_m: 1.75e-7, relative_permeability, zinc_m }
}

#[test]
fn skin_effect_follows_the_bessel_functions() {
    // Permeability, zinc, hertz, ohm/km. With zinc: the thin pipe, beside it the exact two layers, which it leaves by 0.25 %
    // at 10 kHz and 1 % at 100 kHz.
    let rows = [
        (80.0, 0.0, 1e3, (40.51, 23.27), 2e-4),
        (80.0, 0.0, 1e4, (103.512_77, 93.355_07), 1e-6),
        (200.0, 0.0, 1e3, (56.19, 45.30), 2e-4),
        (200.0, 0.0, 1e4, (158.0, 148.4), 5e-4),
        (80.0, 34e-6, 1e4, (83.972_33, 40.513_51), 1e-6),
        (80.0, 34e-6, 1e4, (84.02, 40.74), 3e-3),
        (80.0, 34e-6, 1e5, (153.7, 41.3), 1.05e-2),
    ];
    for (permeability, zinc_m, hertz, printed, share) in rows {
        let found = internal_ohm_per_m(&steel(2.5146e-3, permeability, zinc_m), at_hertz(hertz)) * 1e3;
        near(found, printed, share, &format!("{permeability} {zinc_m} {hertz}"));
    }
}

/// `j w mu0/pi int_0^inf exp(-2 h u) / (u + sqrt(u^2 + m^2)) du`, worked in u = exp(x).
fn carson_ohm_per_m(height_m: f64, soil_ohm_m: f64, s: Complex64) -> Complex64 {
    let wave = (s * 4e-7 * PI / soil_ohm_m).sqrt();
    let steps = 40_000;
    let (from, to) = (1e-7_f64.ln(), 1e3_f64.ln());
    let step = (to - from) / f64::from(steps);
    let integral: Complex64 = (0..=steps)
        .map(|n| {
            let u = (from + step * f64::from(n)).exp();
            (-2.0 * height_m * u).exp() / (u + (wave * wave + u * u).sqrt()) * u * step
        })
        .sum();
    s * 4e-7 * integral
}

/// By: deri-1981.
#[test]
fn a_wire_over_ground_meets_what_the_integral_over_the_ground_gives() {
    let (height_m, radius_m) = (0.5, 1.2573e-3);
    let conductor = Conductor::Round { radius_m, resistivity_ohm_m: 1.75e-7, mu_r: 80.0, zinc_m: 0.0 };
    for (soil_ohm_m, hertz) in [(30.0, 1e3), (100.0, 1e4), (300.0, 3e4), (1000.0, 1e5)] {
        let s = at_hertz(hertz);
        let strand = Strand { conductor, height_m, leak_s_per_m: 0.0, live: true };
        let found = PerMetre::of(&[strand], soil_ohm_m, &[s]).series[0][(0, 0)];
        let of_wire = internal_ohm_per_m(&steel(2.0 * radius_m, 80.0, 0.0), s) + s * 2e-7 * (2.0 * height_m / radius_m).ln();
        let whole = of_wire + carson_ohm_per_m(height_m, soil_ohm_m, s);
        // The complex depth is known to leave the integral by up to 12 %; of the whole that is little.
        near(found, (whole.re, whole.im), 0.024, &format!("{soil_ohm_m} ohm m, {hertz} Hz"));
        let ground = found - of_wire;
        let exact = whole - of_wire;
        near(ground, (exact.re, exact.im), 0.13, &format!("the ground's share: {soil_ohm_m} ohm m, {hertz} Hz"));
    }
}
