//! How a strand hangs, and what temperature does to it.
//!
//! Sources: parabola and catenary in closed form; Hooke's law with E 200 GPa and 11.7e-6/K; British Columbia factsheet 307.220-1 (2015):
//! fences pull 1,000 to 1,500 lbf on a brace and up to 2,500 lbf in cold weather; Euler and Eytelwein's rope friction.
//!
//! By: closed form.

use hillwire_core::catalogue::wire::{STEEL_EXPANSION_PER_K, STEEL_YOUNG_PA, area_m2, gauge_diameter_m};
use hillwire_core::hold::tension::{
    catenary_sag_m, friction_share, sag_m, tension_for_sag_n, tightening_n, tightening_with_spring_n,
};

const POUND_N: f64 = 4.448_221_615_260_5;
/// Weight of 12.5 gauge steel wire, N/m.
const WEIGHT: f64 = 0.3823;

fn stiffness_n(gauge: &str) -> f64 {
    STEEL_YOUNG_PA * area_m2(gauge_diameter_m(gauge).expect("listed"))
}

#[test]
fn sags_are_the_printed_ones() {
    assert!((sag_m(WEIGHT, 15.0, 1112.0).expect("in range") * 1e3 - 9.67).abs() <= 0.005);
    assert!((tension_for_sag_n(WEIGHT, 10.0, 0.01).expect("in range") - 477.9).abs() <= 0.05);
    // Millimetres at spans of 4, 6, 10, 15, 20, 30 m.
    let rows = [
        (100.0, [8.0, 17.0, 48.0, 108.0, 191.0, 430.0]),
        (445.0, [2.0, 4.0, 11.0, 24.0, 43.0, 97.0]),
        (667.0, [1.0, 3.0, 7.0, 16.0, 29.0, 65.0]),
        (1112.0, [1.0, 2.0, 4.0, 10.0, 17.0, 39.0]),
    ];
    for (tension_n, sags_mm) in rows {
        for (span_m, sag_mm) in [4.0, 6.0, 10.0, 15.0, 20.0, 30.0].into_iter().zip(sags_mm) {
            // Printed from 39.0 g/m.
            let found = sag_m(0.0390 * 9.80665, span_m, tension_n).expect("in range") * 1e3;
            assert!((found - sag_mm).abs() <= 0.51, "{tension_n} N, {span_m} m: {found}");
        }
    }
}

#[test]
fn the_parabola_stands_for_the_catenary() {
    // H (cosh(w L / 2 H) - 1) / w and w L^2 / 8 H with w = 0.382312 N/m, by hand to six digits.
    let catenary = catenary_sag_m(0.382_312, 30.0, 100.0).expect("in range");
    let parabola = sag_m(0.382_312, 30.0, 100.0).expect("in range");
    assert!((catenary - 0.430_219).abs() <= 6e-7 && (parabola - 0.430_101).abs() <= 5e-7, "{catenary} {parabola}");
    assert!((catenary / parabola - 1.0) * 100.0 < 0.03);
}

#[test]
fn forty_kelvin_tighten_a_strand_by_hookes_law() {
    let rigid = tightening_n(stiffness_n("12.5"), STEEL_EXPANSION_PER_K, 40.0);
    assert!((rigid - 464.8).abs() <= 0.2, "{rigid}: printed from a stiffness of 993 kN");
    for (spring, tightened_n) in [(5000.0, 233.0), (2600.0, 160.0)] {
        let found = tightening_with_spring_n(stiffness_n("12.5"), STEEL_EXPANSION_PER_K, 40.0, 200.0, spring).expect("in range");
        assert!((found - tightened_n).abs() <= 0.5, "{spring}: {found}");
    }
    // Newtons per kelvin by gauge, printed to 0.1.
    for (gauge, per_kelvin) in [("12.5", 11.6), ("14", 7.6), ("16", 4.6), ("17", 3.5)] {
        assert!((tightening_n(stiffness_n(gauge), STEEL_EXPANSION_PER_K, 1.0) - per_kelvin).abs() <= 0.05, "{gauge}");
    }
}

#[test]
fn the_stress_of_a_kelvin_is_the_same_in_every_gauge() {
    for gauge in ["9", "12.5", "14", "17"] {
        let stress_pa =
            tightening_n(stiffness_n(gauge), STEEL_EXPANSION_PER_K, 1.0) / area_m2(gauge_diameter_m(gauge).expect("listed"));
        assert!((stress_pa / 1e6 - 2.34).abs() <= 0.005, "{gauge}: {stress_pa}");
    }
}

/// By: bc-307-220.
#[test]
fn six_wires_pull_a_brace_as_hard_as_the_factsheet_says() {
    // Six wires set to 250 lbf, cooled by 100 degrees Fahrenheit: "up to 2,500 lbf in cold weather", and well above the 1,500 of a warm day.
    let cold = tightening_n(stiffness_n("12.5"), STEEL_EXPANSION_PER_K, 100.0 / 1.8);
    let total_lbf = 6.0 * (250.0 + cold / POUND_N);
    assert!((2250.0..=2500.0).contains(&total_lbf), "{total_lbf}");
}

#[test]
fn friction_leaves_the_printed_share() {
    for (turned, share) in [(0.5, 0.905), (1.0, 0.819), (1.57, 0.731), (2.0, 0.670), (3.0, 0.549)] {
        assert!((friction_share(0.2, turned) - share).abs() <= 0.00051, "{turned}");
    }
}
