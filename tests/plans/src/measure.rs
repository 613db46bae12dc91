//! `hillwire measure`.

use crate::desk::{Desk, SAMPLES, assert_fits, assert_keys, filled};

#[test]
fn measure_gives_every_line_and_paddock() {
    let desk = Desk::new();
    let ended = desk.run("measure brackenhope.plan.geojson --json");
    assert_eq!(ended.status, 0, "{ended:?}");
    let measure = ended.json();
    for line in filled(&measure, "lines") {
        assert_keys(line, "id kind plan_length_m ground_length_m climb_m descent_m steepest_pct");
        let (plan_m, ground_m) = (line["plan_length_m"].as_f64(), line["ground_length_m"].as_f64());
        assert!(ground_m > plan_m, "on a hillside the ground is longer than the map: {line}");
    }
    for paddock in filled(&measure, "paddocks") {
        assert_keys(paddock, "id area_m2 ground_area_m2 perimeter_m");
        assert!(paddock["ground_area_m2"].as_f64() > paddock["area_m2"].as_f64(), "{paddock}");
    }
}

#[test]
fn measure_prints_tables_that_fit_in_both_systems() {
    let desk = Desk::new();
    for name in SAMPLES {
        for units in ["metric", "us"] {
            let ended = desk.run(&format!("measure {name} --units {units}"));
            assert_eq!(ended.status, 0, "{ended:?}");
            assert_fits(&ended.out);
            assert!(ended.out.contains(if units == "us" { "\u{a0}ft" } else { "\u{a0}m" }), "{}", ended.out);
        }
    }
}
