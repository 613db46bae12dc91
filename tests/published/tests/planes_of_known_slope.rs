//! Ground length on planes of known slope, anywhere on Earth, to one part in 100,000. The truth does not come from the map:
//! a plane is laid over the place by distance and azimuth on the ellipsoid (GeographicLib), written into grids of several
//! coordinate systems, and measured along lines whose true length on the ellipsoid is known.
//!
//! By: program GeographicLib.

use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic};
use hillwire_core::land::{Crs, CrsKind, Georeference, Grid, Ground, Position};
use proj::Proj;
use std::sync::Arc;

/// Rise over run of the plane towards the east and the north of its middle.
const RISE: (f64, f64) = (0.35, -0.22);
const SIDE: usize = 100;
const CELL_M: f64 = 30.0;

/// Metres east and north of a middle by distance and azimuth: the azimuthal equidistant map.
fn from_middle(middle: (f64, f64), place: (f64, f64)) -> (f64, f64) {
    let (distance_m, azimuth_deg, _, _) = Geodesic::wgs84().inverse(middle.0, middle.1, place.0, place.1);
    let azimuth = azimuth_deg.to_radians();
    (distance_m * azimuth.sin(), distance_m * azimuth.cos())
}

fn plane_m(middle: (f64, f64), place: (f64, f64)) -> f64 {
    let (east_m, north_m) = from_middle(middle, place);
    RISE.0 * east_m + RISE.1 * north_m
}

/// A grid over a middle (latitude, longitude) in a coordinate system, with the plane in it.
fn grid(middle: (f64, f64), code: &str) -> Grid {
    let (kind, cell, centre) = if code == "EPSG:4326" {
        let east: f64 = Geodesic::wgs84().inverse(middle.0, middle.1, middle.0, middle.1 + 1e-3);
        let north: f64 = Geodesic::wgs84().inverse(middle.0, middle.1, middle.0 + 1e-3, middle.1);
        (CrsKind::Geographic, (CELL_M * 1e-3 / east, CELL_M * 1e-3 / north), (middle.1, middle.0))
    } else {
        let project = Proj::new_known_crs("EPSG:4326", code, None).expect("a known code");
        let centre = project.convert((middle.1, middle.0)).expect("in reach");
        (CrsKind::Projected { metres_per_unit: 1.0 }, (CELL_M, CELL_M), centre)
    };
    let half = 0.5 * (SIDE as f64 - 1.0);
    let origin = (centre.0 - half * cell.0, centre.1 + half * cell.1);
    let to_degrees = Proj::new_known_crs(code, "EPSG:4326", None).expect("a known code");
    let height = |k: usize| {
        let (column, row) = ((k % SIDE) as f64, (k / SIDE) as f64);
        let (lon, lat) = to_degrees.convert((origin.0 + column * cell.0, origin.1 - row * cell.1)).expect("in reach");
        plane_m(middle, (lat, lon)) as f32
    };
    let crs = Crs { definition: code.to_owned(), kind };
    let georeference = Georeference { origin, per_column: (cell.0, 0.0), per_row: (0.0, -cell.1), crs };
    Grid { columns: SIDE, rows: SIDE, georeference, heights_m: (0..SIDE * SIDE).map(height).collect(), notes: vec![] }
}

/// Places (latitude, longitude) with the systems they are surveyed in: the right zone, the wrong zone, degrees.
const PLACES: [((f64, f64), &[&str]); 8] = [
    ((0.002, 36.73), &["EPSG:32637", "EPSG:4326"]),
    ((36.6, -84.1), &["EPSG:32616", "EPSG:32617", "EPSG:4326"]),
    // On the edge of UTM zones 33 and 34.
    ((46.46, 18.0), &["EPSG:32633", "EPSG:32634", "EPSG:4326"]),
    ((60.3, 5.999), &["EPSG:32631", "EPSG:32632"]),
    ((69.6, 20.31), &["EPSG:32634", "EPSG:4326"]),
    ((-45.04, 169.6), &["EPSG:32759", "EPSG:2193", "EPSG:4326"]),
    // On the edge of UTM zones 18 and 19, south.
    ((-33.25, -72.0), &["EPSG:32718", "EPSG:32719"]),
    // On the date line.
    ((-17.02, 179.998), &["EPSG:32760", "EPSG:4326"]),
];

#[test]
fn ground_length_on_a_plane_is_right_to_one_part_in_a_hundred_thousand_anywhere_on_earth() {
    let mut worst = 0.0_f64;
    for (middle, codes) in PLACES {
        for code in codes {
            let grid = grid(middle, code);
            let ground = Ground::new(Arc::new(grid.clone()), Ground::frame_of(&grid).expect("placed")).expect("placed");
            for (azimuth_deg, back_m, ahead_m) in
                [(0.0, 1400.0, 1350.0), (63.0, 1350.0, 1400.0), (90.0, 900.0, 1200.0), (151.7, 1300.0, 10.0)]
            {
                let place =
                    |distance_m: f64| -> (f64, f64) { Geodesic::wgs84().direct(middle.0, middle.1, azimuth_deg, distance_m) };
                let ends = [place(-back_m), place(ahead_m)];
                let corners = ends.map(|(lat, lon)| ground.frame().to_map(Position::from_degrees(lon, lat)).expect("near"));
                let points = ground.profile(&corners);
                let height = |k: usize| points[k].ground_m.expect("on the grid");
                let found: f64 =
                    (1..points.len()).map(|k| (points[k].plan_m - points[k - 1].plan_m).hypot(height(k) - height(k - 1))).sum();
                let azimuth = f64::to_radians(azimuth_deg);
                let expected = (back_m + ahead_m) * 1.0_f64.hypot(RISE.0 * azimuth.sin() + RISE.1 * azimuth.cos());
                let error = found / expected - 1.0;
                worst = worst.max(error.abs());
                assert!(error.abs() < 1e-5, "{middle:?} {code} {azimuth_deg}: {found} for {expected}");
            }
            let slope = ground.gradient(ground.to_map(50.3, 47.1)).expect("on the grid");
            assert!((slope.east - RISE.0).abs() < 2e-4 && (slope.north - RISE.1).abs() < 2e-4, "{middle:?} {code}: {slope:?}");
        }
    }
    // A tenth of what is allowed is left for the heights' single precision.
    assert!(worst < 5e-6, "{worst}");
}

#[test]
fn ground_area_on_a_plane_is_map_area_times_its_steepness_in_every_system() {
    let stretch = (1.0 + RISE.0 * RISE.0 + RISE.1 * RISE.1).sqrt();
    for (middle, codes) in [PLACES[2], PLACES[5]] {
        for code in codes {
            let grid = grid(middle, code);
            let ground = Ground::new(Arc::new(grid.clone()), Ground::frame_of(&grid).expect("placed")).expect("placed");
            let corners = [(20.0, 1000.0), (130.0, 800.0), (250.0, 1100.0)].map(|(azimuth_deg, distance_m)| {
                let (lat, lon): (f64, f64) = Geodesic::wgs84().direct(middle.0, middle.1, azimuth_deg, distance_m);
                (from_middle(middle, (lat, lon)), ground.frame().to_map(Position::from_degrees(lon, lat)).expect("near"))
            });
            let [(a, _), (b, _), (c, _)] = corners;
            let map_m2 = 0.5 * ((b.0 - a.0) * (c.1 - a.1) - (c.0 - a.0) * (b.1 - a.1)).abs();
            let found = ground.surface_area(&corners.map(|(_, point)| point)).expect("on the grid").as_square_metres();
            assert!((found / (map_m2 * stretch) - 1.0).abs() < 1e-5, "{middle:?} {code}: {found} for {}", map_m2 * stretch);
        }
    }
}
