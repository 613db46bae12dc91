//! Steel wire by gauge: size, mass, breaking load.
//!
//! Sources: US Steel Wire Gauge (from memory); ASTM A854/A854M-08 for the grades of 12.5 gauge high-tensile wire (200 ksi); NRCS
//! Pacific Islands 382, June 2013, for "1,600 lb" of high-tensile and "under 550 lb" of ordinary 12.5 gauge wire; The Press, 18 April 1980,
//! for knots in 2.5 mm wire tested by the New Zealand Agricultural Engineering Institute.
//!
//! By: us-steel-wire-gauge.

use hillwire_core::catalogue::Catalogue;
use hillwire_core::catalogue::wire::{area_m2, breaking_n, gauge_diameter_m};

const POUND_N: f64 = 4.448_221_615_260_5;
const KSI_PA: f64 = 6_894_757.293;

/// By: us-steel-wire-gauge, astm-a854.
#[test]
fn gauges_have_the_printed_size_and_break_at_the_printed_load() {
    // gauge, diameter mm, area mm2, lbf at 60 and at 200 ksi, as printed.
    let rows = [
        ("9", 3.767, 11.14, 1036.0, 3455.0),
        ("11", 3.061, 7.36, 684.0, 2281.0),
        ("12", 2.680, 5.64, 525.0, 1748.0),
        ("12.5", 2.515, 4.97, 462.0, 1540.0),
        ("13", 2.324, 4.24, 395.0, 1315.0),
        ("14", 2.032, 3.24, 302.0, 1005.0),
        ("15.5", 1.702, 2.28, 212.0, 705.0),
        ("16", 1.588, 1.98, 184.0, 614.0),
        ("17", 1.372, 1.48, 137.0, 458.0),
        ("20", 0.884, 0.61, 57.0, 190.0),
    ];
    for (gauge, diameter_mm, area_mm2, soft_lbf, hard_lbf) in rows {
        let diameter_m = gauge_diameter_m(gauge).expect(gauge);
        assert!((diameter_m * 1e3 - diameter_mm).abs() <= 0.0006, "{gauge}: {diameter_m}");
        // Printed from the diameter rounded to a micrometre: that is up to 0.0005 mm2 more.
        assert!((area_m2(diameter_m) * 1e6 - area_mm2).abs() <= 0.0055, "{gauge}");
        for (ksi, lbf) in [(60.0, soft_lbf), (200.0, hard_lbf)] {
            let found = breaking_n(diameter_m, ksi * KSI_PA) / POUND_N;
            assert!((found - lbf).abs() <= 0.51, "{gauge} at {ksi} ksi: {found}");
        }
    }
}

/// By: nrcs-pacific-382.
#[test]
fn wire_of_12_5_gauge_is_as_strong_as_the_specification_has_it() {
    let wire = Catalogue::built_in().wire("ht-12.5ga").expect("listed");
    assert!((wire.breaking.as_newtons() / POUND_N - 1600.0).abs() < 100.0, "1,600 lb are asked for: {:?}", wire.breaking);
    let soft = Catalogue::built_in().wire("soft-12.5ga").expect("listed");
    assert!(soft.breaking.as_newtons() / POUND_N < 550.0, "ordinary wire breaks below 550 lb: {:?}", soft.breaking);
}

/// By: wire-knots-1980.
#[test]
fn a_knot_leaves_what_was_measured_of_the_better_and_the_worse_ones() {
    // Newtons at the knot of 6650 N wire: reef 4425, figure of eight 4314, double loop 2935.
    let share = Catalogue::built_in().wire("ht-12.5ga").expect("listed").joint_share;
    assert!((2935.0 / 6650.0..=4425.0 / 6650.0).contains(&share), "{share}");
}
