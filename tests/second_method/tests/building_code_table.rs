//! Depth that a building code asks of a post, against a table of an independent prototype that solved the same equation.

use hillwire_core::hold::embedment::code_depth_m;

/// Pounds per square foot per foot, in Pa/m.
const PSF_PER_FT: f64 = 4.448_221_615_260_5 / (0.3048 * 0.3048 * 0.3048);

#[test]
fn the_load_allowed_at_a_depth_asks_for_that_depth() {
    // Post of 150 mm pulled at 0.37 m: allowed newtons in clay (100 psf/ft) and gravel (200 psf/ft), printed to a newton.
    let rows = [
        (0.30, 13.0, 26.0),
        (0.45, 36.0, 72.0),
        (0.60, 72.0, 145.0),
        (0.75, 123.0, 246.0),
        (0.90, 188.0, 375.0),
        (1.20, 362.0, 724.0),
    ];
    for (depth_m, clay_n, gravel_n) in rows {
        for (load_n, psf_per_ft) in [(clay_n, 100.0), (gravel_n, 200.0)] {
            let asked = |load: f64| code_depth_m(load, 0.37, 0.15, psf_per_ft * PSF_PER_FT).expect("in range");
            // The printed load is rounded to a newton: the depth lies between those of half a newton less and more.
            assert!(
                asked(load_n - 0.5) <= depth_m && depth_m <= asked(load_n + 0.5),
                "{depth_m} m, {load_n} N: {}",
                asked(load_n)
            );
        }
    }
}
