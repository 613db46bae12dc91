//! Pull on corner and end posts, braces and cribs: statics with round numbers.
//!
//! Balance of forces, worked by hand.
//!
//! By: closed form.

use hillwire_core::hold::corner::{Crib, brace_forces, corner_pull_n, crib_weight_n, uplift_n};

const POUND_N: f64 = 4.448_221_615_260_5;
const INCH_M: f64 = 0.0254;

#[test]
fn a_corner_pulls_twice_the_tension_times_the_sine_of_half_its_turn() {
    // R / T as printed, three digits.
    let rows =
        [(5.0, 0.087), (10.0, 0.174), (15.0, 0.261), (20.0, 0.347), (30.0, 0.518), (45.0, 0.765), (90.0, 1.414), (120.0, 1.732)];
    for (turn_deg, share) in rows {
        assert!((corner_pull_n(1.0, turn_deg).expect("in range") - share).abs() < 0.0005 + 1e-6, "{turn_deg}");
    }
    // Two equal forces at 120 degrees to each other have a resultant of the same size: exact.
    assert!((corner_pull_n(1.0, 60.0).expect("in range") - 1.0).abs() < 1e-9);
}

#[test]
fn three_strands_of_667_newtons_pull_as_worked() {
    for (turn_deg, pull_n) in [(15.0, 522.0), (30.0, 1036.0), (60.0, 2001.0), (90.0, 2830.0)] {
        let pull = corner_pull_n(3.0 * 667.0, turn_deg).expect("in range");
        assert!((pull - pull_n).abs() <= 0.5, "{turn_deg}: {pull}");
    }
}

#[test]
fn a_dip_of_a_metre_in_ten_lifts_by_two_tenths_of_the_tension() {
    // 2 T / sqrt(101).
    let lift = uplift_n(1000.0, [(1.0, 10.0), (1.0, 10.0)]);
    assert!((lift - 199.0).abs() < 0.05, "{lift}");
    // |V| = 2 T sin(delta / 2) for a change of grade delta, one strand of 667 N, printed to a newton.
    for (change_deg, lift_n) in [(5.0_f64, 58.0), (10.0, 116.0), (15.0, 174.0), (20.0, 232.0), (30.0, 345.0)] {
        let grade = (change_deg / 2.0).to_radians().tan();
        let lift = uplift_n(667.0, [(10.0 * grade, 10.0), (10.0 * grade, 10.0)]);
        assert!((lift - lift_n).abs() <= 0.5, "{change_deg}: {lift}");
    }
}

#[test]
fn a_brace_carries_what_statics_says() {
    // (pull N, height m, rail height m, length m) -> (rail, wire, uplift), printed to a newton.
    let rows = [((2001.0, 0.37, 0.6, 1.8), (1234.0, 1301.0, 411.0)), ((4448.0, 0.75, 0.9, 2.4), (3707.0, 3959.0, 1390.0))];
    for ((pull, height, rail, length), (rail_n, wire_n, uplift_n)) in rows {
        let forces = brace_forces(pull, height, rail, length).expect("in range");
        assert!((forces.rail_n - rail_n).abs() <= 0.5, "{forces:?}");
        assert!((forces.wire_n - wire_n).abs() <= 0.5, "{forces:?}");
        assert!((forces.uplift_n - uplift_n).abs() <= 0.5, "{forces:?}");
    }
    // 1500 lbf at 30 in, rail at 44 in, 8 ft long: 1023, 1125 and 469 lbf.
    let forces = brace_forces(1500.0 * POUND_N, 30.0 * INCH_M, 44.0 * INCH_M, 96.0 * INCH_M).expect("in range");
    for (found_n, pounds) in [(forces.rail_n, 1023.0), (forces.wire_n, 1125.0), (forces.uplift_n, 469.0)] {
        assert!((found_n / POUND_N - pounds).abs() <= 0.5, "{}", found_n / POUND_N);
    }
}

#[test]
fn half_the_brace_lifts_twice_as_hard() {
    let lift = |length| brace_forces(4448.0, 0.75, 0.9, length).expect("in range").uplift_n;
    assert!((lift(1.2) - 2780.0).abs() <= 0.5 && (lift(2.4) - 1390.0).abs() <= 0.5);
}

#[test]
fn a_crib_needs_rock_against_sliding_more_than_against_overturning() {
    let crib = |friction, slope_deg| Crib { friction, slope_deg, ..Crib::usual() };
    // (friction, slope) -> kilograms as worked with g = 9.81, for 2001 N at 0.37 m: 1.5 P / (mu cos a - 1.5 sin a).
    for (friction, slope_deg, kilograms) in
        [(0.35, 0.0, 874.0), (0.5, 0.0, 612.0), (0.5, 10.0, 1319.2), (0.7, 0.0, 437.0), (0.7, 20.0, 2113.5)]
    {
        let weight = crib_weight_n(2001.0, 0.37, crib(friction, slope_deg)).expect("in range").expect("holds");
        assert!((weight / 9.81 - kilograms).abs() <= 1.0, "{friction} {slope_deg}: {}", weight / 9.81);
    }
    // Against overturning alone (friction beyond any doubt): 1851 N.
    let weight = crib_weight_n(2001.0, 0.37, crib(1e6, 0.0)).expect("in range").expect("holds");
    assert!((weight - 1851.0).abs() <= 0.5, "{weight}");
    // From tan a = 0.35 / 1.5 on, 13.13 degrees, no weight holds with the safety wanted.
    for (slope_deg, holds) in [(13.1, true), (13.2, false), (20.0, false)] {
        assert_eq!(crib_weight_n(2001.0, 0.37, crib(0.35, slope_deg)).expect("in range").is_some(), holds, "{slope_deg}");
    }
}
