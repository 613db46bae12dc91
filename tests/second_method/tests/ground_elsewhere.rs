//! Heights, lengths and contours of a steep forested hillside (10 m) as an independent program of our own found them.

use hillwire_core::job::Job;
use hillwire_core::land::{Frame, Grid, GridFile, Ground, MapPoint, contours, read_grid};
use std::sync::Arc;
use tests_published::further_ground;

fn grid(name: &str) -> Option<Grid> {
    let bytes = std::fs::read(further_ground(name)?).unwrap_or_else(|error| panic!("{name}: {error}"));
    Some(read_grid(&GridFile { name, bytes: &bytes, prj: None }, &Job::new()).unwrap_or_else(|error| panic!("{name}: {error}")))
}

/// A place given from the outer corner of the first cell, in metres east and south, as fractional cells of 10 m.
fn cells(east_m: f64, south_m: f64) -> (f64, f64) {
    (east_m / 10.0 - 0.5, south_m / 10.0 - 0.5)
}

#[test]
fn heights_between_centres_of_the_steep_hillside_are_the_listed_ones() {
    let Some(grid) = grid("cascades10m_wa.tif") else { return };
    // Metres east and south; bilinear, and by cubic convolution with a = -1/2.
    let rows = [(405.0, 605.0, 339.9739, 339.9739), (410.0, 610.0, 338.6704, 338.6009), (412.5, 603.0, 344.3030, 344.3148)];
    for (east_m, south_m, straight, bent) in rows {
        let (column, row) = cells(east_m, south_m);
        for (found, expected) in [(grid.bilinear_m(column, row), straight), (grid.bicubic_m(column, row), bent)] {
            let height = found.expect("inside");
            assert!((height - expected).abs() < 1e-4, "{east_m} {south_m}: {height} for {expected}");
        }
    }
    let (column, row) = cells(1.0, 300.0);
    assert_eq!((grid.bilinear_m(column, row), grid.bicubic_m(column, row)), (None, None));
}

#[test]
fn a_line_over_the_steep_hillside_has_the_listed_ground_length() {
    let Some(grid) = grid("cascades10m_wa.tif") else { return };
    let frame: Frame = Ground::frame_of(&grid).expect("placed");
    let ground = Ground::new(Arc::new(grid), frame).expect("placed");
    let end = |east_m: f64| {
        let (column, row) = cells(east_m, 905.0);
        ground.to_map(column, row)
    };
    let ends: [MapPoint; 2] = [end(105.0), end(655.0)];
    let points = ground.profile(&ends);
    // The listed length is in the grid's own projection; the map's metres are true ones, so its plan length is scaled back.
    let scale = 550.0 / ends[0].distance_m(ends[1]);
    assert!((scale - 1.0).abs() < 2e-4, "{scale}");
    let height = |k: usize| points[k].ground_m.expect("on the grid");
    let legs = (1..points.len()).map(|k| ((points[k].plan_m - points[k - 1].plan_m) * scale).hypot(height(k) - height(k - 1)));
    let length: f64 = legs.sum();
    assert!((length - 569.8222).abs() < 1e-3, "{length}");
}

#[test]
fn the_contours_of_the_steep_hillside_are_the_listed_ones() {
    let Some(grid) = grid("cascades10m_wa.tif") else { return };
    let found = contours(&grid, 100.0, &Job::new()).expect("not cancelled");
    for (level_m, length_m) in [(300.0, 1101.2), (400.0, 1057.7)] {
        let lines: Vec<_> = found.iter().filter(|line| (line.level_m - level_m).abs() < 1e-9).collect();
        assert_eq!(lines.len(), 1, "{level_m} m");
        let step = |pair: &[(f64, f64)]| 10.0 * (pair[0].0 - pair[1].0).hypot(pair[0].1 - pair[1].1);
        let length: f64 = lines[0].points.windows(2).map(step).sum();
        assert!((length - length_m).abs() < 0.1, "{level_m} m: {length}");
    }
}
