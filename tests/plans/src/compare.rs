//! `hillwire compare`.

use crate::desk::{Desk, assert_fits, assert_keys};
use serde_json::{Value, json};

const KEYS: &str =
    "fence_m posts cost build_h strikes_per_year far_end_kv must_fix look_at water_gaps long_walk_m area_m2 corners round_min";

#[test]
fn two_plans_stand_side_by_side_with_the_figures_of_the_other_commands() {
    let desk = Desk::new();
    let told = desk.run("compare brackenhope.plan.geojson larkfold.plan.geojson --json").json();
    assert_keys(&told, "a b dominated owning break_even_wage break_even_per_strike break_even_per_gap_year years");
    for (side, name) in [("a", "brackenhope"), ("b", "larkfold")] {
        assert_keys(&told[side], KEYS);
        let findings = desk.run(&format!("check {name}.plan.geojson --json")).json();
        let must_fix = findings["findings"].as_array().expect("a list").iter().filter(|one| one["weight"] == "must_fix").count();
        assert_eq!(told[side]["must_fix"].as_f64(), Some(must_fix as f64), "{name}");
        let order = desk.run(&format!("order {name}.plan.geojson --json")).json();
        let (hours, expected) = (told[side]["build_h"].as_f64().expect("hours"), order["labour_h"].as_f64().expect("hours"));
        assert!((hours - expected).abs() < 0.05, "{name}: {hours} {expected}");
    }
}

#[test]
fn a_plan_beside_itself_differs_in_nothing() {
    let desk = Desk::new();
    let told = desk.run("compare brackenhope.plan.geojson brackenhope.plan.geojson --json").json();
    assert_eq!(told["a"], told["b"]);
    assert!(told["dominated"].is_null() && told["break_even_per_strike"].is_null());
    let ended = desk.run("compare brackenhope.plan.geojson larkfold.plan.geojson");
    assert_eq!(ended.status, 0, "{ended:?}");
    assert_fits(&ended.out);
}

#[test]
fn a_layout_that_was_set_aside_is_held_against_the_drawn_one() {
    let desk = Desk::new();
    let mut plan: Value = serde_json::from_slice(&desk.read("brackenhope.plan.geojson")).expect("JSON");
    let laid_out = |kind: &Value| !["track", "stream", "zone", "building", "boundary"].iter().any(|ground| kind == ground);
    let mut aside: Vec<Value> = plan["features"].as_array().expect("a list").clone();
    aside.retain(|feature| laid_out(&feature["properties"]["kind"]));
    let fences = aside.iter().filter(|feature| feature["properties"]["kind"] == "fence").count();
    assert!(fences > 1, "{fences}");
    let first = aside.iter().position(|feature| feature["properties"]["kind"] == "fence").expect("a fence");
    aside.remove(first);
    plan["hillwire"]["layouts"] = json!([{"name": "shorter", "features": aside}]);
    desk.write("two.plan.geojson", plan.to_string());
    let told = desk.run("compare two.plan.geojson --layout shorter --json").json();
    assert!(told["a"]["fence_m"].as_f64() > told["b"]["fence_m"].as_f64(), "{told}");
    let same = desk.run("compare two.plan.geojson brackenhope.plan.geojson --json").json();
    assert_eq!(same["a"], same["b"], "what is set aside changes nothing of the drawn one");
    let ended = desk.run("compare two.plan.geojson --layout nowhere");
    assert_eq!(ended.status, 2);
    assert!(ended.err.contains("found nowhere; allowed are shorter"), "{ended:?}");
}
