//! Peak tensions, energies and speeds of strikes.
//!
//! Source: tables computed from the same closed form by a separate program in another language: they hold the program against slips, they do
//! not confirm the physics. What confirms it is the wire followed in time steps in `strike_dynamics.rs`. Breaking loads and knots, which do have
//! outside sources, are in `steel_wire.rs`.

use hillwire_core::catalogue::wire::{STEEL_YOUNG_PA, area_m2, breaking_n, gauge_diameter_m};
use hillwire_core::hold::impact::{Springs, TautWire, deflection_m, falling_energy_j, push_n, running_energy_j, speed_m_per_s};
use hillwire_core::hold::{StrikeLimits, StrikeOutcome, StruckStrand};

const KSI_PA: f64 = 6_894_757.293;
/// What a knot leaves, in all of these tables.
const KNOT: f64 = 0.65;

fn strain(gauge: &str, set_n: f64, length_m: f64) -> TautWire {
    let stiffness_n = STEEL_YOUNG_PA * area_m2(gauge_diameter_m(gauge).expect(gauge));
    TautWire { stiffness_n, length_m, set_n, springs: None }
}

fn breaks_at_n(gauge: &str, ksi: f64) -> f64 {
    breaking_n(gauge_diameter_m(gauge).expect(gauge), ksi * KSI_PA)
}

fn peak_n(strain: TautWire, energy_j: f64) -> f64 {
    strain.peak_n(energy_j).expect("in range")
}

#[test]
fn animals_carry_the_printed_energy() {
    // kg, m/s, J; printed to two or three digits.
    for (mass, speed, printed, half_digit) in [
        (20.0, 7.0, 490.0, 5.0),
        (60.0, 6.0, 1080.0, 5.0),
        (60.0, 10.0, 3000.0, 5.0),
        (90.0, 13.0, 7600.0, 50.0),
        (150.0, 5.0, 1900.0, 50.0),
        (600.0, 3.0, 2700.0, 50.0),
    ] {
        let found = running_energy_j(mass, speed).expect("in range");
        assert!((found - printed).abs() <= half_digit, "{mass} kg at {speed} m/s: {found}");
    }
    // A limb of 20 kg from 5 m, by hand: 20 x 9.80665 x 5.
    assert!((falling_energy_j(20.0, 5.0).expect("in range") - 980.665).abs() < 1e-9);
}

#[test]
fn wires_of_200_metres_reach_the_printed_share_of_their_strength() {
    // Gauge, ksi, set N, breaks at N, rate N/m, J to break it plain and at a knot; peak by breaking load at 500, 1080, 3000 J.
    let rows = [
        ("17", 60.0, 178.0, 611.0, 1478.0, 116.0, 43.0, [2.01, 2.94, 4.88]),
        ("17", 170.0, 445.0, 1732.0, 1478.0, 948.0, 362.0, [0.75, 1.06, 1.74]),
        ("14", 60.0, 356.0, 1342.0, 3243.0, 258.0, 98.0, [1.37, 1.99, 3.30]),
        ("14", 170.0, 667.0, 3801.0, 3243.0, 2159.0, 873.0, [0.51, 0.72, 1.17]),
        ("12.5", 60.0, 445.0, 2054.0, 4966.0, 405.0, 160.0, [1.11, 1.61, 2.67]),
        ("12.5", 200.0, 1112.0, 6848.0, 4966.0, 4597.0, 1870.0, [0.36, 0.51, 0.81]),
    ];
    for (gauge, ksi, set_n, printed_break_n, rate, plain_j, knot_j, shares) in rows {
        let (strain, break_n) = (strain(gauge, set_n, 200.0), breaks_at_n(gauge, ksi));
        let name = format!("{gauge} gauge, {ksi} ksi");
        // The tables start from diameters rounded to a micrometre: up to 0.07 % of the area.
        assert!((break_n - printed_break_n).abs() <= 0.5 + 7e-4 * break_n, "{name}: {break_n}");
        assert!((strain.rate_n_per_m().expect("in range") - rate).abs() <= 0.5 + 7e-4 * rate, "{name}");
        for (share, printed_j) in [(1.0, plain_j), (KNOT, knot_j)] {
            let found = strain.energy_to_reach_j(share * break_n).expect("in range");
            assert!((found - printed_j).abs() <= 0.5 + 7e-4 * printed_j, "{name} at {share}: {found} for {printed_j}");
        }
        for (energy_j, share) in [500.0, 1080.0, 3000.0].into_iter().zip(shares) {
            let found = peak_n(strain, energy_j) / break_n;
            assert!((found - share).abs() <= 0.0055, "{name}, {energy_j} J: {found} for {share}");
        }
    }
}

#[test]
fn length_and_springs_lower_the_peak_as_printed() {
    // 12.5 gauge at 1112 N, 3000 J; springs without an end to their travel, N at 50, 100, 200, 400 m.
    let rows = [
        (None, [10_974.0, 7_799.0, 5_571.0, 4_017.0]),
        (Some(5000.0), [5_020.0, 4_603.0, 4_023.0, 3_345.0]),
        (Some(2500.0), [3_816.0, 3_636.0, 3_349.0, 2_951.0]),
    ];
    for (spring, printed) in rows {
        for (length_m, printed_n) in [50.0, 100.0, 200.0, 400.0].into_iter().zip(printed) {
            let springs = spring.map(|rate_n_per_m| Springs { count: 1, rate_n_per_m, travel_m: None });
            let found = peak_n(TautWire { springs, ..strain("12.5", 1112.0, length_m) }, 3000.0);
            assert!((found - printed_n).abs() <= 2.0, "{length_m} m, {spring:?}: {found} for {printed_n}");
        }
    }
    assert!((peak_n(strain("14", 667.0, 200.0), 500.0) - 1920.0).abs() <= 0.5, "a fawn in 14 gauge");
}

#[test]
fn knots_hold_the_printed_energy() {
    // Set to 15 % of breaking; J at 50, 100, 200, 400 m.
    let rows = [
        ("12.5", 200.0, [472.0, 944.0, 1889.0, 3777.0]),
        ("14", 170.0, [223.0, 446.0, 891.0, 1782.0]),
        ("16", 170.0, [136.0, 272.0, 544.0, 1088.0]),
        ("17", 170.0, [101.0, 203.0, 406.0, 812.0]),
    ];
    for (gauge, ksi, printed) in rows {
        let break_n = breaks_at_n(gauge, ksi);
        for (length_m, printed_j) in [50.0, 100.0, 200.0, 400.0].into_iter().zip(printed) {
            let found = strain(gauge, 0.15 * break_n, length_m).energy_to_reach_j(KNOT * break_n).expect("in range");
            assert!((found - printed_j).abs() <= 0.5 + 7e-4 * printed_j, "{gauge}, {length_m} m: {found} for {printed_j}");
        }
    }
}

#[test]
fn sixty_kilograms_break_a_strand_at_the_printed_speed() {
    assert!((speed_m_per_s(1870.0, 60.0).expect("in range") - 7.90).abs() <= 0.005);
    let rows = [
        ("12.5", 200.0, 1112.0, KNOT, 7.9),
        ("12.5", 200.0, 1112.0, 1.0, 12.4),
        ("14", 170.0, 667.0, KNOT, 5.4),
        ("17", 170.0, 445.0, KNOT, 3.5),
        ("17", 60.0, 178.0, KNOT, 1.2),
    ];
    for (gauge, ksi, set_n, share, printed) in rows {
        let energy = strain(gauge, set_n, 200.0).energy_to_reach_j(share * breaks_at_n(gauge, ksi)).expect("in range");
        let found = speed_m_per_s(energy, 60.0).expect("in range");
        assert!((found - printed).abs() <= 0.05, "{gauge} gauge, {ksi} ksi, {share}: {found} for {printed}");
    }
}

#[test]
fn insulators_of_600_newtons_let_go_as_in_the_worked_cases() {
    // Bays of 8 m, 200 m between strainers, a knot; without what the moving wire adds. Gauge, ksi, set N, J; outcome, pairs.
    let rows = [
        ("12.5", 200.0, 1112.0, 3000.0, StrikeOutcome::InsulatorsRelease, 4),
        ("14", 170.0, 667.0, 1080.0, StrikeOutcome::InsulatorsRelease, 1),
        ("14", 170.0, 667.0, 1500.0, StrikeOutcome::Breaks, 1),
    ];
    for (gauge, ksi, set_n, energy_j, outcome, pairs) in rows {
        let (strain, breaking_n) = (strain(gauge, set_n, 200.0), breaks_at_n(gauge, ksi));
        let struck = StruckStrand { strain, bay_m: 8.0, pull_n: Some(600.0), breaking_n, joint_share: KNOT };
        let limits = StrikeLimits { pull_n: struck.pull_n, break_n: KNOT * breaking_n };
        let march = struck.march(limits, energy_j).expect("in range");
        assert_eq!((march.outcome, march.released_pairs), (outcome, pairs), "{gauge} {energy_j}: {march:?}");
        if gauge == "12.5" {
            assert!((march.peak_n - 4117.0).abs() <= 5.0 && (march.deflection_m - 4.3).abs() <= 0.05, "{march:?}");
            assert!((march.free_bay_m - 72.0).abs() < 1e-9 && (march.peak_n / breaking_n - 0.60).abs() <= 0.005);
        }
    }
}

#[test]
fn a_strand_a_metre_aside_pulls_on_its_insulators_as_printed() {
    // 2.5 kN, 1 m aside on a bay of 8 m: 14 degrees, 600 N on each side, twice that on the animal.
    let push = push_n(2500.0, 8.0, 1.0);
    assert!((push / 2.0 - 600.0).abs() <= 10.0, "{push}: printed to one digit");
    let stretch = 2.0 * (4.0f64.powi(2) + 1.0).sqrt() - 8.0;
    assert!((deflection_m(8.0, stretch).expect("in range") - 1.0).abs() < 1e-12);
}
