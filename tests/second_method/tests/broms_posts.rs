//! What soil holds of a short post pulled sideways, ultimate.
//!
//! Source: B. B. Broms 1964, clay as given in Fundamentals of Foundation Engineering 6.24, sand from memory. The rows were computed by an
//! independent prototype in another language that iterated the three equations for clay; they are printed to a newton.

use hillwire_core::hold::embedment::{SetPost, broms_clay_n, broms_sand_n, uplift_capacity_n};

fn post(depth_m: f64) -> SetPost {
    SetPost { width_m: 0.15, depth_m, height_m: 0.37 }
}

#[test]
fn a_post_of_150_mm_holds_in_clay_and_in_sand_what_the_prototype_found() {
    // depth m, clay of 50 kPa, of 25 kPa, sand of 33 degrees and 18 kN/m3.
    let rows = [
        (0.30, 150.0, 75.0, 185.0),
        (0.45, 1200.0, 600.0, 509.0),
        (0.60, 2990.0, 1495.0, 1020.0),
        (0.75, 5303.0, 2651.0, 1725.0),
        (0.90, 7992.0, 3996.0, 2629.0),
        (1.20, 14136.0, 7068.0, 5040.0),
    ];
    for (depth_m, firm_n, soft_n, sand_n) in rows {
        let found = [
            broms_clay_n(post(depth_m), 50e3).expect("in range"),
            broms_clay_n(post(depth_m), 25e3).expect("in range"),
            broms_sand_n(post(depth_m), 18e3, 33.0).expect("in range"),
        ];
        for (found_n, printed_n) in found.into_iter().zip([firm_n, soft_n, sand_n]) {
            assert!((found_n - printed_n).abs() <= 0.51, "{depth_m} m: {found_n} for {printed_n}");
        }
    }
}

#[test]
fn fifteen_centimetres_deeper_more_than_doubles_what_a_post_holds() {
    // An Australian note on goat fences, citing tests, says of strainers: 150 mm deeper, more than twice the load. A trend only.
    let hold = |depth| broms_clay_n(post(depth), 50e3).expect("in range");
    assert!(hold(0.60) / hold(0.45) > 2.0);
}

#[test]
fn shaft_friction_holds_a_driven_post_down_by_kilonewtons() {
    // Order of magnitude by the alpha method, printed to 0.1 kN: diameter, depth, friction.
    for (width_m, depth_m, friction_pa, kilonewtons) in
        [(0.10, 0.6, 10e3, 1.9), (0.10, 0.6, 20e3, 3.8), (0.15, 0.9, 20e3, 8.5), (0.045, 0.45, 10e3, 0.6)]
    {
        let found = uplift_capacity_n(width_m, depth_m, friction_pa, 0.0).expect("in range") / 1e3;
        assert!((found - kilonewtons).abs() <= 0.05, "{width_m} {depth_m}: {found}");
    }
}
