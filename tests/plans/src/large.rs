//! Plans and files as large as nobody's: made here, so that none has to be kept, for what must not grow beyond all bounds.

use crate::desk::Desk;
use serde_json::{Value, json};

/// The middle of what is made.
const MIDDLE: (f64, f64) = (-3.463, 55.3551);

/// A place so many metres east and north of the middle.
fn at(east_m: f64, north_m: f64) -> Value {
    const M_PER_DEGREE: f64 = 111_320.0;
    json!([MIDDLE.0 + east_m / (M_PER_DEGREE * MIDDLE.1.to_radians().cos()), MIDDLE.1 + north_m / M_PER_DEGREE])
}

fn feature(id: &str, kind: &str, geometry: &Value, properties: Value) -> Value {
    let mut properties = properties;
    properties["kind"] = kind.into();
    json!({ "type": "Feature", "id": id, "geometry": geometry, "properties": properties })
}

fn line(id: &str, kind: &str, places: &[Value], properties: Value) -> Value {
    feature(id, kind, &json!({ "type": "LineString", "coordinates": places }), properties)
}

fn plan(features: &[Value]) -> String {
    let strand = |height_m: f64| json!({ "height_m": height_m, "wire": "ht-14ga", "live": true });
    let build = json!({
        "id": "a", "strands": [strand(0.4), strand(0.8)], "line_post": "t-post", "corner_post": "wood-150", "max_bay_m": 8,
        "tension_n": 1800
    });
    let point = |east_m: f64| json!({ "type": "Point", "coordinates": at(east_m, 0.0) });
    let energizer = feature("unit", "energizer", &point(-20.0), json!({ "stored_j": 5, "open_kv": 8 }));
    let building = feature("shed", "building", &point(-25.0), json!({ "mains": true }));
    let all: Vec<&Value> = [&energizer, &building].into_iter().chain(features).collect();
    json!({ "type": "FeatureCollection", "hillwire": { "version": 1, "builds": [build] }, "features": all }).to_string()
}

/// So many short fences of three corners, side by side.
pub fn many_lines(count: usize) -> String {
    let side = (count as f64).sqrt().ceil() as usize;
    let fence = |index: usize| {
        let (east_m, north_m) = ((index % side) as f64 * 30.0, (index / side) as f64 * 30.0);
        let places = [at(east_m, north_m), at(east_m + 20.0, north_m + 3.0), at(east_m + 20.0, north_m + 18.0)];
        line(&format!("l{index}"), "fence", &places, json!({ "build": "a" }))
    };
    plan(&(0..count).map(fence).collect::<Vec<_>>())
}

/// One fence of so many corners, to and fro.
pub fn many_corners(count: usize) -> String {
    const ABREAST: usize = 200;
    let place = |index: usize| {
        let (row, column) = (index / ABREAST, index % ABREAST);
        let column = if row % 2 == 0 { column } else { ABREAST - 1 - column };
        at(column as f64 * 4.0, row as f64 * 4.0 + if column % 2 == 1 { 0.8 } else { 0.0 })
    };
    plan(&[line("west", "fence", &(0..count).map(place).collect::<Vec<_>>(), json!({ "build": "a" }))])
}

/// So many tracks, each of which crosses every other, and a fence beside them.
pub fn crossing_tracks(count: usize) -> String {
    let track = |index: usize| {
        let angle = std::f64::consts::PI * index as f64 / count as f64;
        let (east_m, north_m) = ((index * 7919 % 100) as f64 / 3.0, (index * 104_729 % 100) as f64 / 3.0);
        let (across_m, up_m) = (500.0 * angle.cos(), 500.0 * angle.sin());
        let places = [at(east_m - across_m, north_m - up_m), at(east_m + across_m, north_m + up_m)];
        line(&format!("t{index}"), "track", &places, json!({ "vehicle": "utility", "width_m": 3 }))
    };
    let fence = line("west", "fence", &[at(50.0, 50.0), at(250.0, 60.0), at(260.0, 300.0)], json!({ "build": "a" }));
    plan(&(0..count).map(track).chain([fence]).collect::<Vec<_>>())
}

/// So many waypoints of a phone.
pub fn waypoints(count: usize) -> String {
    let mut text = String::from("<?xml version=\"1.0\"?>\n<gpx version=\"1.1\">\n");
    for index in 0..count {
        let place = at((index % 1000) as f64 * 0.6, (index / 1000) as f64 * 0.6);
        let (day, hour, minute) = (1 + index % 27, index / 60 % 24, index % 60);
        let says = if index % 2 == 0 { "branch" } else { "5.2 kV" };
        text += &format!(
            "<wpt lat=\"{}\" lon=\"{}\"><time>2026-03-{day:02}T{hour:02}:{minute:02}:00Z</time><name>{says}</name></wpt>\n",
            place[1], place[0]
        );
    }
    text + "</gpx>\n"
}

#[test]
fn mends_of_a_plan_with_very_many_are_listed_in_parts_with_the_numbers_that_do_them() {
    let desk = Desk::new();
    desk.write("many.geojson", many_lines(60));
    let first = desk.run("mend many.geojson --json").json();
    let offered = first["offered"].as_u64().expect("a number");
    let numbers = |part: &Value| {
        let mends = part["mends"].as_array().expect("a list").clone();
        mends.iter().map(|mend| mend["number"].as_u64().expect("a number")).collect::<Vec<_>>()
    };
    assert!(offered > 50, "{offered}");
    assert_eq!(numbers(&first), (1..=50).collect::<Vec<_>>());
    let text = desk.run("mend many.geojson").out;
    assert!(text.contains(&format!("There are {offered} mends in all: --from 51 lists those that follow.\n")), "{text}");
    let second = desk.run("mend many.geojson --from 51 --json").json();
    assert_eq!(numbers(&second), (51..=offered.min(100)).collect::<Vec<_>>());
    let beyond = desk.run(&format!("mend many.geojson --from {}", offered + 1));
    assert_eq!((beyond.status, beyond.out.as_str()), (2, ""));
    assert_eq!(desk.run("mend many.geojson --take 51 --out mended.geojson").status, 0);
}

#[test]
fn one_line_of_very_many_corners_is_measured_and_checked() {
    let desk = Desk::new();
    desk.write("long.geojson", many_corners(5_000));
    let measured = desk.run("measure long.geojson --json").json();
    let length_m = measured["lines"][0]["ground_length_m"].as_f64().or(measured["lines"][0]["map_length_m"].as_f64());
    assert!(length_m.is_some_and(|length_m| (19_000.0..22_000.0).contains(&length_m)), "{measured:#}");
    assert!(desk.run("check long.geojson").status <= 1);
}

#[test]
fn tracks_that_meet_at_more_places_than_a_way_is_found_over_are_told() {
    let desk = Desk::new();
    desk.write("net.geojson", crossing_tracks(30));
    assert_eq!(desk.run("round net.geojson").status, 0, "435 places");
    desk.write("knot.geojson", crossing_tracks(400));
    let ended = desk.run("round knot.geojson");
    assert_eq!((ended.status, ended.out.as_str()), (2, ""));
    assert!(ended.err.contains("meet at more than"), "{}", ended.err);
}

#[test]
fn thousands_of_waypoints_are_taken_in() {
    let desk = Desk::new();
    desk.write("plan.geojson", many_lines(400));
    desk.write("round.gpx", waypoints(3_000));
    let ended = desk.run("import plan.geojson --log round.gpx --out after.geojson");
    assert_eq!(ended.status, 0, "{}", ended.err);
    assert_eq!(ended.out.lines().count(), 3_000);
}
