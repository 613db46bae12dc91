//! `hillwire check`.

use crate::desk::{Desk, SAMPLES, assert_fits, assert_keys, filled};

#[test]
fn check_gives_findings_with_their_place_reason_and_source() {
    let desk = Desk::new();
    for name in SAMPLES {
        let ended = desk.run(&format!("check {name} --json"));
        let check = ended.json();
        let findings = filled(&check, "findings");
        for finding in findings {
            assert_keys(finding, "rule weight line station_m until_m at value limit unit says do source");
            assert!(finding["says"].as_str().is_some_and(|says| says.ends_with('.')), "{finding}");
            assert!(
                finding["do"].as_str().is_some_and(|says| says.ends_with('.')),
                "every finding says what can be done: {finding}"
            );
        }
        for line in filled(&check, "lines") {
            assert_keys(line, "id track_share seen_share seen_leaf_off_share reach strikes_per_year worst_corner_ratio");
        }
        let must_fix = findings.iter().any(|finding| finding["weight"] == "must_fix");
        assert_eq!(ended.status, u8::from(must_fix), "status 1 says that something must be fixed");
    }
}

#[test]
fn check_prints_findings_that_fit_and_counts_them() {
    let desk = Desk::new();
    for units in ["metric", "us"] {
        let ended = desk.run(&format!("check brackenhope.plan.geojson --units {units}"));
        assert_fits(&ended.out);
        assert!(ended.out.trim_end().ends_with(" note"), "{}", ended.out);
    }
}

#[test]
fn check_of_one_rule_shows_only_that_rule() {
    let desk = Desk::new();
    let check = desk.run("check brackenhope.plan.geojson --only corner_load --json").json();
    assert!(filled(&check, "findings").iter().all(|finding| finding["rule"] == "corner_load"));
    let wrong = desk.run("check brackenhope.plan.geojson --only corners");
    assert_eq!(wrong.status, 2);
    assert!(wrong.err.contains("corner_load"), "{}", wrong.err);
}

#[test]
fn check_judges_growing_stock_for_the_day_that_is_asked_for() {
    let desk = Desk::new();
    let on = |day: &str| desk.run(&format!("check brackenhope.plan.geojson --only outgrown --date {day} --json"));
    // 35 kg on 1 April and 0.65 kg a day: a month before that the growers weigh 15 kg and go under the lowest strand.
    let early = on("2026-03-01");
    assert_eq!(early.status, 1);
    let found = early.json();
    let [finding] = filled(&found, "findings") else { panic!("{found}") };
    assert_eq!((&finding["weight"], &finding["unit"]), (&"must_fix".into(), &"m".into()));
    assert!((finding["value"].as_f64().expect("a number") - 0.15).abs() < 1e-9, "{finding}");
    assert!(finding["says"].as_str().is_some_and(|says| says.contains("growers") && says.contains("under")), "{finding}");
    let later = on("2026-06-01");
    assert_eq!((later.status, later.json()["findings"].as_array().map(Vec::len)), (0, Some(0)));
    let wrong = on("tomorrow");
    assert_eq!(wrong.status, 2);
}
