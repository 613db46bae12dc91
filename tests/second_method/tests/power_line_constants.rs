//! What a metre of fence wire is to a pulse, what an energizer gives, what rods are in soil.
//!
//! A second method, not outside values: W. H. Wise's and Deri's complex depth, Maxwell's coefficients, H. B. Dwight's rods and the closed form of a
//! charged capacitance behind a resistance, worked by an independent prototype in another language; rods also by its method of moments.

use hillwire_core::catalogue::Conductor;
use hillwire_core::power::earth::{
    Rod, buried_wire_ohm, mutual_ohm, rise_beside, rod_ohm, rods_for, rods_ohm, wire_on_ground_ohm,
};
use hillwire_core::power::strands::{PerMetre, Strand, capacitance_f_per_m};
use hillwire_core::power::wire::{RoundWire, direct_ohm_per_m};
use hillwire_core::power::{Energizer, FitError, Printed, most_current_a};
use num_complex::Complex64;
use std::f64::consts::PI;

/// Within a share of the printed value.
#[track_caller]
fn near(found: f64, printed: f64, share: f64, what: &str) {
    assert!((found / printed - 1.0).abs() <= share, "{what}: {found} for {printed}");
}

#[track_caller]
fn near_complex(found: Complex64, printed: (f64, f64), share: f64, what: &str) {
    let printed = Complex64::new(printed.0, printed.1);
    assert!((found - printed).norm() <= share * printed.norm(), "{what}: {found} for {printed}");
}

fn at_hertz(hertz: f64) -> Complex64 {
    Complex64::new(0.0, 2.0 * PI * hertz)
}

fn steel(diameter_m: f64, relative_permeability: f64, zinc_m: f64) -> RoundWire {
    RoundWire { radius_m: diameter_m / 2.0, resistivity_ohm_m: 1.75e-7, relative_permeability, zinc_m }
}

fn strand(height_m: f64) -> Strand {
    let conductor = Conductor::Round { radius_m: 1.2573e-3, resistivity_ohm_m: 1.75e-7, mu_r: 80.0, zinc_m: 0.0 };
    Strand { conductor, height_m, leak_s_per_m: 0.0, live: true }
}

#[test]
fn a_gauge_of_steel_wire_has_the_resistance_of_its_cross_section() {
    for (millimetres, ohm_per_km) in
        [(1.3716, 118.4), (1.5875, 88.41), (1.8288, 66.62), (2.0320, 53.96), (2.5146, 35.24), (3.7668, 15.70)]
    {
        near(direct_ohm_per_m(&steel(millimetres / 1e3, 80.0, 0.0)) * 1e3, ohm_per_km, 5e-4, &format!("{millimetres} mm"));
    }
}

#[test]
fn strands_over_ground_have_the_capacitance_of_their_images() {
    // Heights, pF/m.
    for (heights, picofarad) in
        [(&[0.5][..], 8.3297), (&[0.2, 0.45], 15.689), (&[0.2, 0.4, 0.6], 19.588), (&[0.15, 0.3, 0.45, 0.6, 0.9], 26.754)]
    {
        let strands: Vec<_> = heights.iter().map(|height| strand(*height)).collect();
        near(capacitance_f_per_m(&strands).sum() * 1e12, picofarad, 1e-4, &format!("{heights:?}"));
    }
}

#[test]
fn bonded_strands_hold_back_what_the_prototype_found() {
    // Heights, ohm/km at 10 kHz over 100 ohm.m.
    let rows = [
        (&[0.5][..], (113.26, 231.01)),
        (&[0.2, 0.45], (61.545, 151.03)),
        (&[0.2, 0.4, 0.6], (44.292, 124.31)),
        (&[0.15, 0.3, 0.45, 0.6, 0.9], (30.548, 100.78)),
    ];
    for (heights, printed) in rows {
        let strands: Vec<_> = heights.iter().map(|height| strand(*height)).collect();
        let line = PerMetre::of(&strands, 100.0, &[at_hertz(1e4)]);
        near_complex(line.series[0][(0, 0)] * 1e3, printed, 1e-4, &format!("{heights:?}"));
    }
}

const E6: Printed = Printed { stored_j: 6.0, open_v: 8800.0, at_500_ohm_v: 6000.0, output_j: Some(4.3) };

#[test]
fn printed_figures_of_five_classes_give_their_source() {
    // Stored, open, at 500, out | nF, ohm, charge share.
    let rows = [
        (6.0, 8800.0, 6000.0, Some(4.3), 145.01, 118.40, 0.9358),
        (6.0, 9000.0, 6000.0, Some(4.0), 131.07, 125.40, 0.8847),
        (3.0, 9000.0, 5500.0, Some(2.0), 67.76, 112.23, 0.9147),
        (1.0, 9000.0, 4200.0, Some(0.60), 24.46, 121.17, 0.9907),
        (15.0, 8500.0, 7200.0, Some(9.5), 285.28, 24.87, 0.6870),
        (4.5, 8800.0, 5800.0, None, 116.22, 122.05, 1.0),
    ];
    for (stored_j, open_v, at_500_ohm_v, output_j, nanofarad, ohm, charge_share) in rows {
        let source = Energizer::fit(Printed { stored_j, open_v, at_500_ohm_v, output_j }).expect("fits");
        let what = format!("{stored_j} J");
        near(source.farad * 1e9, nanofarad, 1e-3, &what);
        near(source.ohm, ohm, 1e-3, &what);
        near(source.charge_share, charge_share, 1e-3, &what);
        near(source.front_s, 5e-6, 1e-9, &what);
        let loaded = source.into_resistor(500.0);
        near(loaded.peak_v, at_500_ohm_v, 1e-6, &what);
        if let Some(output_j) = output_j {
            near(loaded.energy_j, output_j, 1e-6, &what);
        }
    }
}

#[test]
fn a_fitted_source_follows_its_load_curve() {
    let source = Energizer::fit(E6).expect("fits");
    let rows = [
        (50.0, 1.737, 1.384, 9.97),
        (100.0, 2.8501, 2.2202, 10.96),
        (200.0, 4.220, 3.182, 12.46),
        (500.0, 6.000, 4.300, 15.29),
        (1000.0, 7.044, 4.870, 17.95),
        (2000.0, 7.7609, 5.2158, 20.93),
        (5000.0, 8.310, 5.448, 25.17),
    ];
    for (ohm, kilovolts, joules, microseconds) in rows {
        let loaded = source.into_resistor(ohm);
        near(loaded.peak_v / 1e3, kilovolts, 1e-3, &format!("{ohm} ohm"));
        near(loaded.energy_j, joules, 1e-3, &format!("{ohm} ohm"));
        near(loaded.at_s * 1e6, microseconds, 1e-3, &format!("{ohm} ohm"));
    }
    let without_energy =
        Energizer::fit(Printed { stored_j: 4.5, open_v: 8800.0, at_500_ohm_v: 5800.0, output_j: None }).expect("fits");
    near(without_energy.into_resistor(200.0).peak_v, 4007.0, 1e-3, "200 ohm");
    near(without_energy.into_resistor(500.0).energy_j, 3.383, 1e-3, "500 ohm");
}

#[test]
fn the_limits_of_the_standard_are_kept_by_six_joules_and_broken_by_fifteen() {
    let limits = Energizer::fit(E6).expect("fits").limits();
    near(limits.duration_s, 141.1e-6, 5e-3, "duration");
    near(limits.current_a, 7.609, 5e-3, "current");
    near(limits.most_current_a, 12.13, 5e-3, "most current");
    assert!(limits.kept());
    near(most_current_a(0.1e-3), 15.688, 1e-3, "a tenth of a millisecond");
    let large =
        Energizer::fit(Printed { stored_j: 15.0, open_v: 8500.0, at_500_ohm_v: 7200.0, output_j: Some(9.5) }).expect("fits");
    assert!(!large.limits().kept());
}

#[test]
fn figures_that_contradict_each_other_are_refused_with_the_figure() {
    let broken = [
        (Printed { stored_j: 0.0, ..E6 }, "stored energy is 0; it must be above 0"),
        (Printed { at_500_ohm_v: 9000.0, ..E6 }, "9000 V at 500 ohm is not below 8800 V with nothing connected"),
        (Printed { output_j: Some(7.0), ..E6 }, "7 J come out of 6 J stored"),
    ];
    for (printed, says) in broken {
        assert_eq!(Energizer::fit(printed).expect_err("refused").to_string(), says);
    }
    let starved = Printed { stored_j: 0.01, output_j: None, ..E6 };
    assert_eq!(Energizer::fit(starved), Err(FitError::NoSource));
}

fn rod(length_m: f64, millimetres: f64) -> Rod {
    Rod { length_m, radius_m: millimetres / 2e3 }
}

#[test]
fn one_rod_meets_the_soil_as_dwight_has_it() {
    for (length_m, millimetres, soil_ohm_m, ohm) in
        [(1.8, 16.0, 100.0, 51.30), (1.0, 20.0, 100.0, 79.44), (2.0, 16.0, 300.0, 141.0), (0.5, 40.0, 100.0, 114.8)]
    {
        near(rod_ohm(rod(length_m, millimetres), soil_ohm_m), ohm, 1e-3, &format!("{length_m} m"));
    }
    near(rod_ohm(rod(1.8, 16.0), 100.0), 50.69, 2e-2, "method of moments");
}

#[test]
fn rods_in_a_row_help_each_other_less_than_their_number() {
    for (apart_m, ohm) in [(3.0, 4.764), (4.0, 3.718), (6.0, 2.565)] {
        near(mutual_ohm(rod(2.0, 16.0), apart_m, 100.0), ohm, 3e-4, &format!("{apart_m} m apart"));
    }
    for (count, ohm) in [(1, 47.01), (2, 25.89), (3, 18.35), (4, 14.39), (6, 10.21), (10, 6.615)] {
        near(rods_ohm(rod(2.0, 16.0), count, 3.0, 100.0).expect("rods"), ohm, 1e-3, &format!("{count} rods"));
    }
    near(rods_ohm(rod(2.0, 16.0), 3, 1.0, 100.0).expect("rods"), 21.75, 2e-3, "1 m apart");
    near(rods_ohm(rod(2.0, 16.0), 3, 6.0, 100.0).expect("rods"), 17.10, 1e-3, "6 m apart");
    near(rods_ohm(rod(1.8, 16.0), 3, 3.0, 100.0).expect("rods"), 19.82, 1e-3, "three of 1.8 m");
    for (soil_ohm_m, wanted_ohm, count) in [
        (30.0, 20.0, 1),
        (50.0, 20.0, 2),
        (100.0, 20.0, 3),
        (200.0, 20.0, 7),
        (300.0, 20.0, 11),
        (30.0, 10.0, 2),
        (50.0, 10.0, 3),
        (100.0, 10.0, 7),
        (1000.0, 50.0, 15),
    ] {
        assert_eq!(rods_for(rod(1.8, 16.0), 3.0, soil_ohm_m, wanted_ohm, 30), Some(count), "{soil_ohm_m} to {wanted_ohm}");
    }
    assert_eq!(rods_ohm(rod(1.8, 16.0), 0, 3.0, 100.0), None);
    assert_eq!(rods_for(rod(1.8, 16.0), 3.0, 1000.0, 20.0, 30), None);
}

#[test]
fn buried_and_fallen_wire_and_the_ground_beside_a_rod() {
    for (length_m, ohm) in [(10.0, 17.80), (30.0, 7.100), (100.0, 2.513)] {
        near(buried_wire_ohm(length_m, 1.25e-3, 0.3, 100.0), ohm, 1e-3, &format!("{length_m} m buried"));
    }
    for (length_m, ohm) in [(1.0, 210.0), (10.0, 28.3)] {
        near(wire_on_ground_ohm(length_m, 1.016e-3, 100.0), ohm, 2e-3, &format!("{length_m} m on the ground"));
    }
    near(rise_beside(rod(2.0, 16.0), 1.0), 0.2444, 1e-3, "1 m beside");
}
