//! `hillwire reroute`.

use crate::desk::{Desk, assert_fits, assert_keys, filled};
use serde_json::Value;

const ALONG: &str = "map_m ground_m water_gaps strikes_per_year breaking_per_year thin_soil_m wet_soil_m ways barred costs cost";

/// Brackenhope with a fence by itself below the paddocks, drawn straight across the track.
fn with_a_spur(desk: &Desk) {
    let mut plan: Value = serde_json::from_slice(&desk.read("brackenhope.plan.geojson")).expect("JSON");
    let features = plan["features"].as_array_mut().expect("features");
    features.push(serde_json::json!({
        "type": "Feature", "id": "spur", "properties": {"kind": "fence", "build": features[0]["properties"]["build"]},
        "geometry": {"type": "LineString", "coordinates": [[-3.4662, 55.3529], [-3.4585, 55.3525]]},
    }));
    desk.write("spur.plan.geojson", plan.to_string());
}

#[test]
fn courses_are_listed_with_what_speaks_for_them_and_one_is_written_into_a_new_file() {
    let desk = Desk::new();
    with_a_spur(&desk);
    let before = desk.read("spur.plan.geojson");
    let told = desk.run("reroute spur.plan.geojson --line spur --date 2026-04-01 --json").json();
    assert_keys(&told, "line weights drawn courses");
    assert_keys(&told["drawn"], "along figures best_for");
    assert_keys(&told["drawn"]["along"], ALONG);
    let courses = filled(&told, "courses");
    let figure = |of: &Value, name: &str| of["figures"][name].as_f64();
    for course in courses {
        assert_keys(course, "for more_to_fix corners along figures");
        assert_keys(&course["along"], ALONG);
    }
    let cheapest = courses.iter().find(|one| one["for"].as_array().is_some_and(|of| of.contains(&"cheapest".into())));
    let cheapest = cheapest.expect("a cheaper one");
    let cost = |of: &Value| of["along"]["cost"].as_f64();
    // Where the drawn one goes where no fence may go it has no cost.
    assert!(cost(&told["drawn"]).is_none_or(|drawn| cost(cheapest).expect("known") < drawn), "{told}");
    let ended = desk.run("reroute spur.plan.geojson --line spur --date 2026-04-01 -o moved.plan.geojson");
    assert_eq!((ended.status, ended.out.as_str()), (0, ""), "{ended:?}");
    assert_eq!(desk.read("spur.plan.geojson"), before, "the input stays as it is");
    let compared = desk.run("compare spur.plan.geojson moved.plan.geojson --json").json();
    for name in ["fence_m", "posts", "strikes_per_year", "area_m2"] {
        let (listed, compared) = (figure(cheapest, name), compared["b"][name].as_f64());
        assert!(listed.zip(compared).is_some_and(|(one, other)| (one - other).abs() < 0.01), "{name}: {listed:?} {compared:?}");
    }
    let table = desk.run("reroute spur.plan.geojson --line spur");
    assert_eq!(table.status, 0, "{table:?}");
    assert_fits(&table.out);
    assert!(table.out.contains("A  ") && table.out.contains("As drawn") && table.out.contains("Water gaps"), "{}", table.out);
}

#[test]
fn paddocks_keep_their_corners_and_their_ground() {
    let desk = Desk::new();
    let told = desk.run("reroute brackenhope.plan.geojson --line west --json").json();
    let before = desk.run("measure brackenhope.plan.geojson --json").json();
    let area = |paddocks: &Value| -> f64 {
        let list = paddocks["paddocks"].as_array().expect("paddocks");
        list.iter().map(|one| one["area_m2"].as_f64().expect("an area")).sum()
    };
    for course in told["courses"].as_array().expect("a list") {
        let (with, without) = (course["figures"]["area_m2"].as_f64().expect("closed"), area(&before));
        assert!((with / without - 1.0).abs() < 0.2, "{with} {without}");
    }
}

#[test]
fn what_cannot_be_looked_for_or_written_is_said_and_nothing_is_written() {
    let desk = Desk::new();
    with_a_spur(&desk);
    for (words, says) in [
        ("reroute brackenhope.plan.geojson --line nowhere", "no fence “nowhere”"),
        ("reroute brackenhope.plan.geojson --line burn -o moved.plan.geojson", "no fence “burn”"),
        ("reroute brackenhope.plan.geojson --line west -o brackenhope.plan.geojson", "brackenhope.plan.geojson"),
        ("reroute spur.plan.geojson --line spur --weight wire=3", "no weight wire"),
        ("reroute spur.plan.geojson --line spur --weight corner=-3", "0 or more"),
    ] {
        let ended = desk.run(words);
        assert_eq!(ended.status, 2, "{words}: {ended:?}");
        assert!(ended.err.contains(says), "{words}: {}", ended.err);
    }
    assert!(!desk.names().contains(&"moved.plan.geojson".to_owned()));
}
