//! `hillwire round`.

use crate::desk::{Desk, SAMPLES, assert_fits, assert_keys};
use crate::others::output_of;
use serde_json::Value;

fn numbers(list: &Value, key: &str) -> Vec<f64> {
    list.as_array().expect("a list").iter().filter_map(|row| row[key].as_f64()).collect()
}

#[test]
fn a_round_looks_at_every_line_and_its_sums_are_those_of_its_parts() {
    let desk = Desk::new();
    // The one is driven by a battery in a shed, the other by the mains of its steading.
    for (name, yard) in SAMPLES.into_iter().zip(["energizer", "building"]) {
        for how in ["", " --on-foot"] {
            let told = desk.run(&format!("round {name} --date 2026-10-15 --json{how}")).json();
            assert_keys(&told, "by extent date ground yard legs length_m ridden_m minutes kit likely may_attack stops");
            assert_keys(&told["legs"][0], "how line from_m to_m bearing_deg length_m minutes stops way");
            assert_keys(&told["stops"][0], "number leg line station_m at minutes tasks expect_kv least_kv");
            assert_eq!(told["yard"]["by"], yard);
            let close = |sum: f64, key: &str| (sum - told[key].as_f64().expect("a number")).abs() < 0.1;
            assert!(close(numbers(&told["legs"], "length_m").iter().sum(), "length_m"), "{name}");
            assert!(close(numbers(&told["legs"], "minutes").iter().sum(), "minutes"), "{name}");
            // Every metre of every line once, as `measure` has it.
            let measured = desk.run(&format!("measure {name} --json")).json();
            for line in measured["lines"].as_array().expect("lines") {
                let legs = told["legs"].as_array().expect("legs").iter().filter(|leg| leg["line"] == line["id"]);
                let seen: f64 =
                    legs.map(|leg| (leg["to_m"].as_f64().unwrap_or(0.0) - leg["from_m"].as_f64().unwrap_or(0.0)).abs()).sum();
                let whole = line["ground_length_m"].as_f64().expect("a length");
                assert!((seen - whole).abs() < 0.2, "{name}: {} {seen} {whole}", line["id"]);
            }
            for stop in told["stops"].as_array().expect("stops") {
                let (expected, least) = (stop["expect_kv"].as_f64(), stop["least_kv"].as_f64());
                assert_eq!(expected.is_some(), least.is_some());
                assert!(expected.zip(least).is_none_or(|(expected, least)| least > 0.7 * expected && least < expected), "{stop}");
            }
            if !how.is_empty() {
                assert_eq!(told["ridden_m"], 0.0);
            }
        }
    }
}

#[test]
fn expected_readings_are_those_of_power_in_the_same_ground() {
    let desk = Desk::new();
    let told = desk.run(&format!("round {} --ground wet --json", SAMPLES[0])).json();
    let power = desk.run(&format!("power {} --ground wet --json", SAMPLES[0])).json();
    let peaks: Vec<f64> =
        power["stations"].as_array().expect("stations").iter().filter_map(|row| row["peak_kv"].as_f64()).collect();
    let (low, high) = peaks.iter().fold((f64::INFINITY, 0.0_f64), |(low, high), kv| (low.min(*kv), high.max(*kv)));
    let expected = numbers(&told["stops"], "expect_kv");
    assert!(expected.len() > 5 && expected.iter().all(|kv| (low - 1e-3..=high + 1e-3).contains(kv)), "{expected:?} {low} {high}");
}

#[test]
fn a_short_round_is_shorter_and_goes_to_the_water_gaps() {
    let desk = Desk::new();
    let whole = desk.run("round brackenhope.plan.geojson --json").json();
    let short = desk.run("round brackenhope.plan.geojson --short --json").json();
    assert!(short["minutes"].as_f64() < whole["minutes"].as_f64());
    let gaps = |told: &Value| {
        let stops = told["stops"].as_array().expect("stops").clone();
        stops
            .iter()
            .filter(|stop| stop["tasks"].as_array().expect("tasks").iter().any(|task| task["what"] == "water_gap"))
            .count()
    };
    assert!(gaps(&short) > 0);
    assert_eq!(gaps(&short), gaps(&whole));
}

#[test]
fn what_is_carried_and_fed_follows_the_day() {
    let desk = Desk::new();
    let on = |day: &str| desk.run(&format!("round brackenhope.plan.geojson --date {day} --json")).json();
    let expected = |told: &Value, fault: &str| {
        let rows = told["likely"].as_array().expect("a list").clone();
        rows.iter().find(|row| row["fault"] == fault).and_then(|row| row["expected"].as_f64()).expect("listed")
    };
    let (june, december) = (on("2026-06-10"), on("2026-12-10"));
    assert!(expected(&june, "contact") > 5.0 * expected(&december, "contact"), "growth comes in summer");
    assert!(expected(&december, "branch") > 2.0 * expected(&june, "branch"), "branches come in winter");
    let feed = |told: &Value| -> Vec<Value> {
        let stops = told["stops"].as_array().expect("stops").clone();
        stops
            .iter()
            .flat_map(|stop| stop["tasks"].as_array().expect("tasks").clone())
            .filter(|task| task["what"] == "feed")
            .collect()
    };
    let kg = |told: &Value| feed(told).iter().filter_map(|task| task["feed_kg"][0].as_f64()).sum::<f64>();
    assert!(!feed(&june).is_empty());
    assert!(kg(&june) > kg(&on("2026-05-10")), "growing stock eats more a month later");
}

#[test]
fn gdal_reads_the_way_and_the_stops_with_their_readings() {
    let desk = Desk::new();
    let ended = desk.run("round brackenhope.plan.geojson --gpx round.gpx --json");
    assert_eq!(ended.status, 0, "{ended:?}");
    let told = ended.json();
    let path = desk.path("round.gpx").display().to_string();
    let Some(points) = output_of("ogrinfo", &["-ro", "-q", "-al", &path, "waypoints"]) else { return };
    let names: Vec<&str> = points.lines().filter_map(|line| line.trim().strip_prefix("name (String) = ")).collect();
    assert_eq!(names.len(), told["stops"].as_array().map_or(0, Vec::len), "a waypoint for each stop");
    assert!(names[1].starts_with("02") && names.iter().any(|name| name.contains(" kV, least ")), "{names:?}");
    let Some(tracks) = output_of("ogrinfo", &["-ro", "-q", "-al", &path, "tracks"]) else { return };
    let parts = tracks.lines().find(|line| line.contains("MULTILINESTRING")).expect("a way").matches("),(").count() + 1;
    assert_eq!(parts, told["legs"].as_array().map_or(0, Vec::len), "a segment for each leg");
}

#[test]
fn the_table_fits_and_says_what_to_mind() {
    let desk = Desk::new();
    for name in SAMPLES {
        let before = desk.read(name);
        let ended = desk.run(&format!("round {name}"));
        assert_eq!(ended.status, 0, "{ended:?}");
        assert_fits(&ended.out);
        for words in ["Take along:", "Vehicles overturn", "switch the energizer off", "cross a live line at a gate only"] {
            assert!(ended.out.replace('\n', " ").contains(words), "{words}: {}", ended.out);
        }
        assert_eq!(desk.read(name), before, "no command changes its input");
    }
}

#[test]
fn without_a_line_there_is_no_round_and_nothing_is_written() {
    let desk = Desk::new();
    let empty = r#"{"type":"FeatureCollection","hillwire":{"version":1,"name":"Empty"},"features":[]}"#;
    desk.write("empty.plan.geojson", empty);
    let ended = desk.run("round empty.plan.geojson --gpx round.gpx");
    assert_eq!(ended.status, 2, "{ended:?}");
    assert!(ended.err.contains("empty.plan.geojson") && ended.err.contains("draw a fence"), "{}", ended.err);
    assert!(!desk.names().contains(&"round.gpx".to_owned()));
}

#[test]
fn the_round_is_printed_as_a_table_to_fill_in_and_drawn_on_its_map() {
    let desk = Desk::new();
    for (paper, size) in [("a4", "595.276 x 841.89"), ("letter", "612 x 792")] {
        let told = desk.run(&format!("round brackenhope.plan.geojson --sheet round.pdf --replace --paper {paper} --json"));
        assert_eq!(told.status, 0, "{told:?}");
        let told = told.json();
        let path = desk.path("round.pdf").display().to_string();
        let Some(about) = output_of("pdfinfo", &[&path]) else { return };
        assert!(about.contains(size), "{about}");
        let Some(words) = output_of("pdftotext", &["-layout", &path, "-"]) else { return };
        for heading in ["expected kV", "least kV", "read kV", "note", "Take along:", "dry / damp / wet / frozen"] {
            assert!(words.contains(heading), "{heading}: {words}");
        }
        let one_line = words.split_whitespace().collect::<Vec<_>>().join(" ");
        for caution in ["Before you work on the fence switch the energizer off", "come before anything that is said here"] {
            assert!(one_line.contains(caution), "{words}");
        }
        for stop in told["stops"].as_array().expect("stops") {
            let number = stop["number"].as_u64().expect("a number").to_string();
            let expected = stop["expect_kv"].as_f64().map_or_else(String::new, |kv| format!("{kv:.1}"));
            let is_row = |line: &str| line.split_whitespace().next() == Some(number.as_str()) && line.contains(&expected);
            assert!(words.lines().any(is_row), "stop {number} with {expected}: {words}");
        }
    }
    assert_eq!(desk.run("round brackenhope.plan.geojson --sheet round.svg").status, 0);
    assert!(String::from_utf8_lossy(&desk.read("round.svg")).contains("expected kV"));
    let refused = desk.run("round brackenhope.plan.geojson --sheet round.docx");
    assert!(refused.status == 2 && refused.err.contains("round.docx") && refused.err.contains(".pdf or .svg"), "{refused:?}");
    // Whoever goes round it gets the way on the map and the table behind it; the neighbour gets neither.
    assert_eq!(desk.run("share brackenhope.plan.geojson way.svg --for round").status, 0);
    let way = String::from_utf8_lossy(&desk.read("way.svg")).into_owned();
    assert!(way.contains("the round, on foot") && way.contains("the round, ridden"), "the key explains both");
    assert_eq!(desk.run("share brackenhope.plan.geojson way.svg --replace --for neighbour").status, 0);
    assert!(!String::from_utf8_lossy(&desk.read("way.svg")).contains("the round"));
    assert_eq!(desk.run("share brackenhope.plan.geojson way.pdf --for round --grey").status, 0);
    let Some(words) = output_of("pdftotext", &[&desk.path("way.pdf").display().to_string(), "-"]) else { return };
    assert!(words.contains("read kV"), "{words}");
}
