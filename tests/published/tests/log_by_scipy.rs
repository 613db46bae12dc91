//! The statistics of the log against scipy (`fixtures/make_log_reference.py` made the values): keys `gamma-poisson` and `least-squares`.
//!
//! By: program SciPy 1.17.

use hillwire_core::log::{rate, shrunk, slope};
use std::collections::BTreeMap;

/// Quantiles are found by steps: a part in ten thousand is far below what any rate is worth.
const NEAR: f64 = 1e-4;

fn rows(text: &str) -> Vec<Vec<f64>> {
    text.lines().skip(1).map(|line| line.split(',').map(|cell| cell.trim().parse().expect("a number")).collect()).collect()
}

fn near(found: f64, expected: f64) -> bool {
    (found - expected).abs() <= NEAR * expected.abs().max(1e-3)
}

#[test]
fn rates_and_their_intervals_are_those_of_scipys_gamma() {
    let rows = rows(include_str!("../fixtures/log/gamma.csv"));
    assert_eq!(rows.len(), 200);
    for row in &rows {
        let found = rate(row[0], row[1] as u32, row[2]).expect("a rate");
        let values = [(found.mean, row[3]), (found.between.0, row[4]), (found.between.1, row[5])];
        assert!(values.iter().all(|(found, expected)| near(*found, *expected)), "{row:?}: {found:?}");
        if (row[0] - 1.0).abs() < 1e-12 {
            let (times, between) = shrunk(row[1] as u32, row[2]).expect("a factor");
            assert!(near(times, row[3]) && near(between.0, row[4]) && near(between.1, row[5]), "{row:?}: {times} {between:?}");
        }
    }
}

#[test]
fn slopes_and_their_intervals_are_those_of_scipys_regression() {
    let mut cases: BTreeMap<u32, (Vec<(f64, f64)>, [f64; 3])> = BTreeMap::new();
    for row in rows(include_str!("../fixtures/log/slopes.csv")) {
        let (points, expected) = cases.entry(row[0] as u32).or_default();
        points.push((row[1], row[2]));
        *expected = [row[3], row[4], row[5]];
    }
    assert_eq!(cases.len(), 5);
    for (case, (points, [expected, low, high])) in cases {
        let found = slope(&points).expect("a slope");
        assert!(
            near(found.per_year, expected) && near(found.between.0, low) && near(found.between.1, high),
            "{case}: {found:?}, not {expected} ({low} to {high})"
        );
    }
}
