//! `hillwire mend`.

use crate::desk::{Desk, assert_fits, assert_keys, filled};

#[test]
fn mends_are_listed_with_what_they_take_and_one_is_done_into_a_new_file() {
    let desk = Desk::new();
    let plan = "brackenhope.plan.geojson";
    let listed = desk.run(&format!("mend {plan} --date 2026-04-01 --json")).json();
    let mends = filled(&listed, "mends");
    for mend in mends {
        assert_keys(mend, "number rule weight line station_m do parts price must_fix look_at ends brings shared only_here");
    }
    let worse = |mend: &serde_json::Value| mend["must_fix"][1].as_u64() > mend["must_fix"][0].as_u64();
    assert!(!mends.iter().any(worse), "none leaves more to be fixed: {listed}");
    let lift = mends.iter().find(|mend| mend["rule"] == "uplift").expect("posts are lifted");
    assert_eq!(lift["parts"][0]["id"], "hold-down");
    assert_eq!(lift["look_at"][0].as_u64().map(|before| before - 1), lift["look_at"][1].as_u64(), "one finding less: {lift}");
    assert_fits(&desk.run(&format!("mend {plan}")).out);
    let done = desk.run(&format!("mend {plan} --take {} --out mended.plan.geojson", lift["number"]));
    assert_eq!((done.status, done.err.as_str()), (0, ""));
    let lifted = |plan: &str| desk.run(&format!("check {plan} --only uplift --json")).json()["findings"].as_array().map(Vec::len);
    assert_eq!(lifted("mended.plan.geojson").map(|left| left + 1), lifted(plan));
}

#[test]
fn a_mend_that_is_not_offered_is_refused_and_nothing_is_written() {
    let desk = Desk::new();
    let ended = desk.run("mend brackenhope.plan.geojson --take 999 --out mended.plan.geojson");
    assert_eq!(ended.status, 2);
    assert!(ended.err.contains("no mend 999") && ended.err.contains("1 to "), "{}", ended.err);
    assert_eq!(desk.run("check mended.plan.geojson").status, 2, "there is no such file");
}
