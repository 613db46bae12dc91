//! The working frame against geodesics and areas on the ellipsoid (GeographicLib), and the two feet against their definitions.
//!
//! By: program GeographicLib.

use geographiclib_rs::{DirectGeodesic, Geodesic, PolygonArea, Winding};
use hillwire_core::land::{Frame, MapPoint, Position};
use hillwire_core::units::{FOOT_M, US_SURVEY_FOOT_M};

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

/// A farm of four corners: its area on the ellipsoid by GeographicLib, and in the working frame.
#[test]
fn the_area_of_a_farm_in_the_frame_is_that_on_the_ellipsoid() {
    let corners = [(46.455, 15.839), (46.455, 15.845), (46.459, 15.845), (46.459, 15.839)];
    let geodesic = Geodesic::wgs84();
    let mut polygon = PolygonArea::new(&geodesic, Winding::CounterClockwise);
    corners.iter().for_each(|(lat, lon)| polygon.add_point(*lat, *lon));
    let (_, area_m2, _) = polygon.compute(false);
    let frame = Frame::near(Position::from_degrees(15.842, 46.457));
    let at = corners.map(|(lat, lon)| frame.to_map(Position::from_degrees(lon, lat)).expect("near"));
    let doubled = |k: usize| at[k].x_m * at[(k + 1) % 4].y_m - at[(k + 1) % 4].x_m * at[k].y_m;
    let error = 0.5 * (0..4).map(doubled).sum::<f64>() / area_m2 - 1.0;
    assert!(error.abs() < 1e-6, "{error}");
}

/// Source: the definitions of the two feet (0.3048 m; 1200/3937 m).
/// By: closed form.
#[test]
fn over_three_hundred_thousand_feet_the_two_feet_differ_by_their_definition() {
    let difference_m = 300_000.0 * (US_SURVEY_FOOT_M - FOOT_M);
    assert!((difference_m - 0.1829).abs() < 1e-4, "{difference_m}");
}
