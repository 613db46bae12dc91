//! Depth that a building code asks of a post not held at the ground.
//!
//! Source: International Building Code 1807.3.2.1, equation 18-1, with Table 1806.2. The worked row solves the printed equation by hand.
//!
//! By: ibc-1807-3-2-1, ibc-1806-2.

use hillwire_core::hold::embedment::{code_depth_m, code_term_m};

const POUND_N: f64 = 4.448_221_615_260_5;
const FOOT_M: f64 = 0.3048;
/// Pounds per square foot per foot, in Pa/m.
const PSF_PER_FT: f64 = POUND_N / (FOOT_M * FOOT_M * FOOT_M);

#[test]
fn a_thousand_pounds_at_four_feet_in_sand_need_eight_and_a_half_feet() {
    let bearing = 150.0 * PSF_PER_FT;
    let depth_m = code_depth_m(1000.0 * POUND_N, 4.0 * FOOT_M, FOOT_M, bearing).expect("in range");
    assert!((depth_m / FOOT_M - 8.43).abs() <= 0.005, "{}", depth_m / FOOT_M);
    let term_m = code_term_m(1000.0 * POUND_N, FOOT_M, bearing, depth_m);
    assert!((term_m / FOOT_M - 5.554).abs() <= 0.003, "{}: S1 is printed as 421 psf, three digits", term_m / FOOT_M);
}
