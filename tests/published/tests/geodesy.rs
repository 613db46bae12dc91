//! Distances and areas on the ellipsoid (GeographicLib), the transverse Mercator of the EPSG's worked example, and the working
//! frame against both.

use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic, PolygonArea, Winding};
use hillwire_core::land::{Frame, MapPoint, Position};
use hillwire_core::units::{FOOT_M, US_SURVEY_FOOT_M};
use proj::Proj;

/// Distance in metres and azimuth in degrees at the first of two places (latitude, longitude).
fn inverse(from: (f64, f64), to: (f64, f64)) -> (f64, f64) {
    let (distance_m, azimuth_deg, _, _) = Geodesic::wgs84().inverse(from.0, from.1, to.0, to.1);
    (distance_m, azimuth_deg)
}

/// Source: GeographicLib's own documentation and test set (the examples of its planimeter and geodesic pages).
#[test]
fn the_ruler_of_these_checks_measures_what_geographiclib_prints() {
    let rows = [
        ((40.6, -73.8), (51.6, -0.5), 5_551_759.400_319, 51.198_882_85),
        ((45.0, 7.0), (45.0, 8.0), 78_846.334_710, 89.646_442_11),
        ((46.4550, 15.8390), (46.4585, 15.8440), 546.730_600, 44.631_847_44),
    ];
    for (from, to, distance_m, azimuth_deg) in rows {
        let found = inverse(from, to);
        assert!((found.0 - distance_m).abs() < 1e-6 && (found.1 - azimuth_deg).abs() < 1e-8, "{found:?}");
    }
    let (lat, lon) = Geodesic::wgs84().direct(40.6399278, -73.7786925, 53.5, 5_850e3);
    assert!((lat - 49.014_717_227).abs() < 1e-9 && (lon - 2.561_487_461).abs() < 1e-9, "{lat} {lon}");
    let geodesic = Geodesic::wgs84();
    let mut polygon = PolygonArea::new(&geodesic, Winding::CounterClockwise);
    [0.0, 90.0, 180.0, 270.0].iter().for_each(|lon| polygon.add_point(89.0, *lon));
    let (perimeter_m, area_m2, corners) = polygon.compute(false);
    assert!((perimeter_m - 631_819.874_5).abs() < 1e-4 && (area_m2 - 24_952_305_678.0).abs() < 1.0 && corners == 4);
}

/// Source: EPSG Guidance Note 7-2, worked example of the transverse Mercator (published 577274.99 and 69740.50, to its
/// ellipsoid's rounding; from memory).
#[test]
fn the_transverse_mercator_of_the_epsg_example_comes_out() {
    let definition = "+proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996012717 +x_0=400000 +y_0=-100000 +a=6377563.396 +rf=299.3249646";
    let example = Proj::new(definition).expect("a definition of PROJ's");
    let (x, y) = example.project((0.5_f64.to_radians(), 50.5_f64.to_radians()), false).expect("near");
    assert!((x - 577_274.98).abs() < 0.02 && (y - 69_740.49).abs() < 0.02, "{x} {y}");
}

/// The frame through an independent route: azimuth and distance from its origin by GeographicLib. Near the origin any
/// map that is true there agrees to the square of distance over radius.
#[test]
fn near_its_origin_the_map_shows_distance_and_azimuth_as_they_are() {
    for (lat, lon) in [(0.0, 36.7), (46.46, 15.84), (69.6, 20.0), (-45.0, 170.5), (-33.25, -71.5), (52.0, 180.0)] {
        let frame = Frame::near(Position::from_degrees(lon, lat));
        for azimuth_deg in [0.0, 37.0, 90.0, 151.0, 222.0, 301.0] {
            let (place_lat, place_lon) = Geodesic::wgs84().direct(lat, lon, azimuth_deg, 320.0);
            let at = frame.to_map(Position::from_degrees(place_lon, place_lat)).expect("near");
            let azimuth = f64::to_radians(azimuth_deg);
            let expected = MapPoint::new(320.0 * azimuth.sin(), 320.0 * azimuth.cos());
            // Positions are kept to 1e-9 degree, 0.06 mm from rounding.
            assert!(at.distance_m(expected) < 1.2e-4, "{lat} {lon} {azimuth_deg}: {at:?}");
        }
    }
}

/// Source of the first row's value: PROJ, checked against an azimuthal equidistant map (equal to 1e-7 m).
#[test]
fn a_local_transverse_mercator_gives_the_listed_metres() {
    let local = Proj::new("+proj=tmerc +lat_0=46.457 +lon_0=15.842 +k=1 +ellps=WGS84 +units=m").expect("a definition of PROJ's");
    let (x, y) = local.project((15.845_f64.to_radians(), 46.459_f64.to_radians()), false).expect("near");
    assert!((x - 230.460_820).abs() < 1e-6 && (y - 222.324_901).abs() < 1e-6, "{x} {y}");
    let (distance_m, azimuth_deg) = inverse((46.457, 15.842), (46.459, 15.845));
    let azimuth = azimuth_deg.to_radians();
    assert!((distance_m * azimuth.sin() - x).abs() < 1e-6 && (distance_m * azimuth.cos() - y).abs() < 1e-6);
}

#[test]
fn a_metre_on_the_map_is_a_metre_on_the_ground_within_nine_kilometres() {
    for (lat, lon) in [(0.0, 36.7), (35.0, -84.2), (46.46, 15.84), (69.6, 20.0), (-45.0, 170.5)] {
        let frame = Frame::near(Position::from_degrees(lon, lat));
        for azimuth_deg in [0.0, 45.0, 90.0, 200.0] {
            let (from_lat, from_lon) = Geodesic::wgs84().direct(lat, lon, 90.0, 8_900.0);
            let (to_lat, to_lon) = Geodesic::wgs84().direct(from_lat, from_lon, azimuth_deg, 1_000.0);
            let map = |lat: f64, lon: f64| frame.to_map(Position::from_degrees(lon, lat)).expect("near");
            let found = map(from_lat, from_lon).distance_m(map(to_lat, to_lon));
            assert!((found / 1000.0 - 1.0).abs() < 1.3e-6, "{lat} {azimuth_deg}: {found}");
        }
    }
}

/// A farm of four corners: its area on the ellipsoid by GeographicLib, in the working frame, and in UTM.
#[test]
fn the_area_of_a_farm_is_right_in_the_frame_and_not_in_utm() {
    let corners = [(46.455, 15.839), (46.455, 15.845), (46.459, 15.845), (46.459, 15.839)];
    let geodesic = Geodesic::wgs84();
    let mut polygon = PolygonArea::new(&geodesic, Winding::CounterClockwise);
    corners.iter().for_each(|(lat, lon)| polygon.add_point(*lat, *lon));
    let (perimeter_m, area_m2, _) = polygon.compute(false);
    assert!((area_m2 - 204_952.152).abs() < 0.5e-3 && (perimeter_m - 1_811.159).abs() < 0.5e-3, "{area_m2} {perimeter_m}");
    let shoelace = |points: &[(f64, f64)]| {
        let doubled = |k: usize| {
            let (a, b) = (points[k], points[(k + 1) % points.len()]);
            (a.0 - points[0].0) * (b.1 - points[0].1) - (b.0 - points[0].0) * (a.1 - points[0].1)
        };
        0.5 * (0..points.len()).map(doubled).sum::<f64>()
    };
    let frame = Frame::near(Position::from_degrees(15.842, 46.457));
    let in_frame = corners.map(|(lat, lon)| frame.to_map(Position::from_degrees(lon, lat)).expect("near"));
    let error = shoelace(&in_frame.map(|point| (point.x_m, point.y_m))) / area_m2 - 1.0;
    assert!(error.abs() < 1e-6, "{error}");
    let utm = Proj::new_known_crs("EPSG:4326", "EPSG:32633", None).expect("known codes");
    let in_utm = corners.map(|(lat, lon)| utm.convert((lon, lat)).expect("near"));
    let error_pct = 100.0 * (shoelace(&in_utm) / area_m2 - 1.0);
    assert!((error_pct + 0.0697).abs() < 1e-4, "{error_pct}");
}

/// Source: the definitions of the two feet (0.3048 m; 1200/3937 m).
#[test]
fn over_three_hundred_thousand_feet_the_two_feet_differ_by_their_definition() {
    let difference_m = 300_000.0 * (US_SURVEY_FOOT_M - FOOT_M);
    assert!((difference_m - 0.1829).abs() < 1e-4, "{difference_m}");
}
