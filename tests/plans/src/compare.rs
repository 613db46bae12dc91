//! `hillwire compare`.

use crate::desk::{Desk, assert_fits, assert_keys};

const KEYS: &str =
    "fence_m posts cost build_h strikes_per_year far_end_kv must_fix look_at water_gaps long_walk_m area_m2 corners";

#[test]
fn two_plans_stand_side_by_side_with_the_figures_of_the_other_commands() {
    let desk = Desk::new();
    let told = desk.run("compare brackenhope.plan.geojson larkfold.plan.geojson --json").json();
    assert_keys(&told, "a b dominated break_even_per_strike years");
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
