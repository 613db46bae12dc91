use super::*;
use crate::land::fixture::{chance, grid};
use std::sync::Arc;

fn ground(grid: Grid) -> Ground {
    let frame = Ground::frame_of(&grid).expect("in UTM");
    Ground::new(Arc::new(grid), frame).expect("in UTM")
}

/// Square cells of 1 m with heights of this shape, and white noise.
fn noisy(side: usize, noise_m: f64, seed: u64, height_m: impl Fn(f64, f64) -> f64) -> Ground {
    let cell = |k: usize| {
        let (x, y) = ((k % side) as f64, (k / side) as f64);
        (height_m(x, y) + noise_m * chance(seed * 1_000_003 + k as u64)) as f32
    };
    ground(grid(side, side, 1.0, (0..side * side).map(cell).collect()))
}

fn hillside(x: f64, y: f64) -> f64 {
    100.0 + 0.18 * x + 0.3 * y + 2.0 * (x / 38.0 + y / 50.0).sin()
}

#[test]
fn the_scatter_that_was_added_is_found_again_and_brought_below_three_centimetres() {
    for noise_m in [0.02, 0.05, 0.08, 0.12, 0.2] {
        let ground = noisy(160, noise_m, 1, hillside);
        let scatter = ground.scatter();
        let found_m = scatter.found().expect("large enough").as_metres();
        assert!((found_m / noise_m - 1.0).abs() < 0.06, "{found_m} for {noise_m}");
        let left_m = scatter.left().as_metres();
        assert!(left_m <= FINE_M + 1e-4 && left_m > 0.6 * FINE_M.min(noise_m), "{left_m} left of {noise_m}");
        assert_eq!(scatter.smoothed_over().is_some(), noise_m > FINE_M);
        let mut best = BestKnown::of(&ground);
        let (mut squares, mut count) = (0.0, 0.0);
        for k in 0..1600 {
            let (x, y) = (f64::from(20 + 3 * (k % 40)), f64::from(20 + 3 * (k / 40)));
            let known = best.at(ground.to_map(x, y)).expect("inside");
            squares += (known.height_m - hillside(x, y)).powi(2);
            count += 1.0;
        }
        let error_m = f64::sqrt(squares / count);
        assert!((error_m / left_m - 1.0).abs() < 0.12, "{noise_m}: {error_m} m off, {left_m} said");
    }
}

#[test]
fn planes_and_bowls_stay_as_they_are() {
    let kernel = Kernel::of(0.12, 1.0).expect("scatters");
    let bowl = |x: f64, y: f64| 3.0 + 0.4 * x - 0.7 * y + 0.01 * x * x - 0.02 * x * y + 0.015 * y * y;
    let heights = (0..60 * 60).map(|k| bowl(f64::from(k % 60), f64::from(k / 60)) as f32).collect();
    let grid = grid(60, 60, 1.0, heights);
    for (column, row) in [(30, 30), (25, 33)] {
        let (height_m, error_m) = kernel.at(&grid, column, row).expect("known");
        assert!((height_m - bowl(column as f64, row as f64)).abs() < 2e-3, "{height_m}");
        assert!((error_m - kernel.left_m).abs() < 1e-9);
    }
}

#[test]
fn beside_voids_and_at_the_edge_a_slope_is_still_a_slope_and_the_error_grows() {
    let kernel = Kernel::of(0.08, 1.0).expect("scatters");
    let mut holed = grid(40, 40, 1.0, (0..1600).map(|k| 0.3 * (k % 40) as f32).collect());
    holed.heights_m[20 * 40 + 21] = f32::NAN;
    for (column, row) in [(20, 20), (0, 0), (39, 3), (22, 20)] {
        let (height_m, error_m) = kernel.at(&holed, column, row).expect("known");
        assert!((height_m - 0.3 * column as f64).abs() < 1e-4, "{column} {row}: {height_m}");
        assert!(error_m > kernel.left_m && error_m <= 0.08 + 1e-9, "{column} {row}: {error_m}");
    }
    assert_eq!(kernel.at(&holed, 21, 20), None);
}

#[test]
fn a_hollow_that_stands_out_of_the_scatter_is_as_deep_as_it_was_before_it_was_smoothed() {
    let hollow = |x: f64, y: f64| {
        let r = (x - 60.0).hypot(y - 60.0);
        if r < 2.0 { -0.15 * (1.0 + (PI * r / 2.0).cos()) } else { 0.0 }
    };
    let depths: Vec<f64> = (0..40)
        .map(|seed| {
            let ground = noisy(120, 0.08, seed, |x, y| hillside(x, y) + hollow(x, y));
            let known = BestKnown::of(&ground).at(ground.to_map(60.0, 60.0)).expect("inside");
            hillside(60.0, 60.0) - known.height_m
        })
        .collect();
    let mean_m = depths.iter().sum::<f64>() / 40.0;
    assert!((0.24..0.34).contains(&mean_m), "{mean_m}");
    let seen = depths.iter().filter(|depth| **depth > 0.15).count();
    assert!(seen >= 34, "{seen} of 40: {depths:?}");
}

#[test]
fn heights_that_do_not_scatter_and_wide_cells_are_taken_as_they_are() {
    assert!(Kernel::of(0.03, 1.0).is_none() && Kernel::of(0.5, 12.0).is_none());
    let fine = noisy(60, 0.01, 3, hillside);
    let at = fine.to_map(20.3, 30.8);
    let known = BestKnown::of(&fine).at(at).expect("inside");
    assert_eq!(Some(known.height_m), fine.elevation_m(at));
    assert!(known.error_m > 0.005 && known.error_m < 0.015, "{known:?}");
}
