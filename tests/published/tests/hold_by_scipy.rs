//! Posts, strands and strikes worked out a second time by a general numerical library, the long way: soil pressures integrated down a post
//! and balanced, curves followed by their differential equations, unstretched lengths of wire kept, work integrated along force over stretch.
//!
//! Source: key `scipy`. Script `fixtures/make_hold_reference.py`, its tables in `fixtures/hold/`, printed to ten digits. It shares the
//! assumptions with the program (how soil presses, steel as a spring), none of the closed forms.
//!
//! By: program SciPy 1.17.

use hillwire_core::catalogue::round_post_moment_nm;
use hillwire_core::hold::embedment::{SetPost, bending_in_clay_nm, bending_in_sand_nm, broms_clay_n, broms_sand_n, code_depth_m};
use hillwire_core::hold::impact::{Springs, TautWire};
use hillwire_core::hold::tension::{HungWire, catenary_sag_m, friction_share, sag_m, tension_after_n};

/// Ten printed digits, and the integrals' own last ones.
const PRINTED: f64 = 1e-8;

fn rows<const N: usize>(text: &str, count: usize) -> Vec<[f64; N]> {
    let number = |word: &str| -> f64 { word.parse().expect("a number") };
    let row = |row: csv::StringRecord| -> [f64; N] {
        row.iter().map(number).collect::<Vec<f64>>().try_into().unwrap_or_else(|row| panic!("{N} numbers in {row:?}"))
    };
    let rows: Vec<[f64; N]> =
        csv::Reader::from_reader(text.as_bytes()).records().map(|record| row(record.expect("a row"))).collect();
    assert_eq!(rows.len(), count);
    rows
}

fn check(what: &str, found: f64, printed: f64, tolerance: f64) {
    assert!((found - printed).abs() <= tolerance * printed.abs(), "{what}: {found} for {printed}");
}

#[test]
fn posts_hold_what_balanced_soil_pressures_hold() {
    for row in rows(include_str!("../fixtures/hold/posts.csv"), 81) {
        let [width_m, depth_m, height_m, undrained_pa, weight, angle, clay_n, sand_n, half_clay_nm, half_sand_nm] = row;
        let post = SetPost { width_m, depth_m, height_m };
        let name = format!("{post:?}, {undrained_pa} Pa, {angle} degrees");
        check(&name, broms_clay_n(post, undrained_pa).expect("in range"), clay_n, PRINTED);
        check(&name, broms_sand_n(post, weight, angle).expect("in range"), sand_n, PRINTED);
        // The largest moment under half of the ultimate load; found by search, so to half the digits of the depth.
        check(&name, bending_in_clay_nm(post, undrained_pa, clay_n / 2.0).expect("in range"), half_clay_nm, 1e-7);
        check(&name, bending_in_sand_nm(post, weight, angle, sand_n / 2.0).expect("in range"), half_sand_nm, 1e-7);
    }
}

#[test]
fn round_posts_break_at_the_moment_that_their_section_adds_up_to() {
    for [diameter_m, rupture_pa, moment_nm] in rows(include_str!("../fixtures/hold/round_posts.csv"), 5) {
        check("round post", round_post_moment_nm(diameter_m, rupture_pa), moment_nm, PRINTED);
    }
}

#[test]
fn code_depths_are_the_roots_that_another_root_finder_finds() {
    for [load_n, height_m, width_m, bearing, depth_m] in rows(include_str!("../fixtures/hold/code_depths.csv"), 36) {
        let found = code_depth_m(load_n, height_m, width_m, bearing).expect("in range");
        check(&format!("{load_n} N at {height_m} m"), found, depth_m, PRINTED);
    }
}

#[test]
fn strands_hang_as_the_differential_equation_of_a_chain_says() {
    for [weight, stiffness_n, span_m, tension_n, sag, rest @ ..] in rows::<9>(include_str!("../fixtures/hold/strands.csv"), 18) {
        let name = format!("{weight} N/m, {span_m} m, {tension_n} N");
        check(&name, catenary_sag_m(weight, span_m, tension_n).expect("in range"), sag, PRINTED);
        // The parabola lies below the chain by (w L / 2 H)^2 / 12, to first order; half as much again covers the next one.
        let half = weight * span_m / (2.0 * tension_n);
        check(&name, sag_m(weight, span_m, tension_n).expect("in range"), sag, half * half / 12.0 * 1.5 + PRINTED);
        let wire = HungWire { weight_n_per_m: weight, stiffness_n, expansion_per_k: Some(11.7e-6) };
        for (warming_k, after_n) in [-40.0, -15.0, 20.0, 40.0].into_iter().zip(rest) {
            let found = tension_after_n(&wire, tension_n, span_m, warming_k).expect("in range");
            // Ours stops at the second term of the arc; the third is (w L / 2 T)^2 / 20 of it. Where heat leaves little tension the
            // sag decides, and half of that shows in the tension; heat on the stretched wire adds half a thousandth.
            let slack = weight * span_m / (2.0 * after_n.min(tension_n));
            check(&format!("{name}, {warming_k} K"), found, after_n, slack * slack / 20.0 + 2e-3);
        }
    }
}

#[test]
fn friction_eats_tension_as_its_differential_equation_says() {
    for [friction, turned_rad, share] in rows(include_str!("../fixtures/hold/friction.csv"), 9) {
        check("friction", friction_share(friction, turned_rad), share, PRINTED);
    }
}

#[test]
fn strikes_reach_the_tension_whose_work_is_their_energy() {
    for [stiffness_n, length_m, set_n, spring, energy_j, peak_n] in rows(include_str!("../fixtures/hold/strikes.csv"), 72) {
        let springs = (spring > 0.5).then_some(Springs { count: 1, rate_n_per_m: 5000.0, travel_m: Some(0.15) });
        let strain = TautWire { stiffness_n, length_m, set_n, springs };
        check(&format!("{strain:?}, {energy_j} J"), strain.peak_n(energy_j).expect("in range"), peak_n, PRINTED);
    }
}
