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
        for row in check["holds"].as_array().expect("a list") {
            assert_keys(row, "line group class weight_kg purpose purpose_from verdict under between over");
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
        assert!(ended.out.contains(" note\n\n"), "counts, then the caution: {}", ended.out);
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
    let on = |rule: &str, day: &str| desk.run(&format!("check brackenhope.plan.geojson --only {rule} --date {day} --json"));
    // 70 kg on 1 April and 0.6 kg a day: three months before that the gilts weigh 16 kg, and go under strands that hold them grown.
    let early = on("holds", "2026-01-01").json();
    let findings = filled(&early, "findings");
    assert!(findings.iter().any(|finding| finding["says"].as_str().is_some_and(|says| says.contains("gilts"))), "{early}");
    let gilts = |check: &serde_json::Value| -> String {
        let rows = filled(check, "holds").iter().filter(|row| row["group"] == "gilts" && row["line"] == "east");
        rows.map(|row| row["verdict"].as_str().unwrap_or_default().to_owned()).collect()
    };
    assert_eq!(gilts(&early), "must_fix", "0.26 m of room under the lowest strand, 0.18 m are allowed at 15 kg");
    assert_eq!(on("tomorrow", "2026-01-01").status, 2);
    assert_eq!(on("holds", "tomorrow").status, 2);
}

/// A square of 80 m with this build and stock, and this much said of the paddock.
fn square(build: &str, stock: &str, paddock: &str, corners: &[(f64, f64)]) -> String {
    let corners: Vec<String> =
        corners.iter().map(|(east, north)| format!("[{},{}]", -3.81 + east * 1.6e-5, 56.6 + north * 9e-6)).collect();
    format!(
        "{{\"type\":\"FeatureCollection\",\"hillwire\":{{\"version\":1,\"name\":\"Square\",\"units\":\"metric\",\"ground\":{{\"state\":\"damp\",\"soil\":\"loam\",\
         \"vegetation\":\"light\",\"rock_depth_m\":null}},\"builds\":[{{\"id\":\"b\",{build},\"line_post\":\"t-post\",\"corner_post\":\"wood-150\",\
         \"max_bay_m\":8,\"tension_n\":450}}],\"stock\":[{stock}]}},\"features\":[{{\"type\":\"Feature\",\"id\":\"ring\",\"geometry\":{{\"type\":\
         \"LineString\",\"coordinates\":[{}]}},\"properties\":{{\"kind\":\"fence\",\"build\":\"b\"}}}},{{\"type\":\"Feature\",\"id\":\"field\",\
         \"geometry\":{{\"type\":\"Point\",\"coordinates\":[-3.80936,56.60036]}},\"properties\":{{\"kind\":\"paddock\",\"stock\":\"herd\"{paddock}}}}}]}}",
        corners.join(",")
    )
}

const RING: [(f64, f64); 5] = [(0.0, 0.0), (80.0, 0.0), (80.0, 80.0), (0.0, 80.0), (0.0, 0.0)];

fn strands(heights: &[f64]) -> String {
    let strand = |height: &f64| format!("{{\"height_m\":{height},\"wire\":\"ht-14ga\",\"live\":true}}");
    format!("\"strands\":[{}]", heights.iter().map(strand).collect::<Vec<_>>().join(","))
}

fn herd(species: &str, class: &str, kg: f64) -> String {
    format!("{{\"id\":\"herd\",\"species\":\"{species}\",\"class\":\"{class}\",\"head\":4,\"weight_kg\":{kg}}}")
}

#[test]
fn check_says_for_every_line_and_group_whether_it_holds_and_by_which_numbers() {
    let desk = Desk::new();
    let said = |name: &str, build: &str, stock: &str, purpose: &str| -> serde_json::Value {
        let paddock = if purpose.is_empty() { String::new() } else { format!(",\"purpose\":\"{purpose}\"") };
        desk.write(name, square(build, stock, &paddock, &RING));
        let check = desk.run(&format!("check {name} --json --date 2026-05-01")).json();
        let rows = filled(&check, "holds");
        assert_eq!(rows.len(), 1, "{check}");
        assert_keys(&rows[0], "line group class weight_kg purpose purpose_from verdict under between over holds_from holds_to");
        rows[0].clone()
    };
    let cow = herd("cattle", "cow", 600.0);
    let rows = [
        ("cow-single", strands(&[0.90]), cow.clone(), "interior", "note"),
        ("cow-boundary", strands(&[0.90]), cow.clone(), "boundary", "must_fix"),
        ("cow-guessed", strands(&[0.90]), cow, "", "look_at"),
        ("pigs", strands(&[0.15, 0.21]), herd("pig", "grower", 25.0), "interior", "must_fix"),
        ("lambs", strands(&[0.12, 0.27, 0.47, 0.70]), herd("sheep", "lamb", 20.0), "interior", "holds"),
        ("hens", "\"net\":{\"id\":\"net-poultry\",\"height_m\":1.2}".to_owned(), herd("poultry", "hen", 2.0), "interior", "note"),
        ("does", strands(&[0.15, 0.30, 0.50, 0.75, 1.05]), herd("goat", "doe", 60.0), "interior", "holds"),
    ];
    for (name, build, stock, purpose, verdict) in rows {
        let row = said(&format!("{name}.plan.geojson"), &build, &stock, purpose);
        assert_eq!(row["verdict"], verdict, "{name}: {row}");
    }
}

/// The sample with its builds of strands turned into sheep netting, and ewes for its animals.
fn netted(desk: &Desk) -> String {
    let plan = String::from_utf8(desk.read("brackenhope.plan.geojson")).expect("UTF-8");
    let mut plan: serde_json::Value = serde_json::from_str(&plan).expect("JSON");
    for build in plan["hillwire"]["builds"].as_array_mut().expect("builds") {
        let build = build.as_object_mut().expect("an object");
        build.remove("strands");
        build.insert("net".to_owned(), serde_json::json!({"id": "net-sheep-90", "height_m": 0.9}));
        build.insert("max_bay_m".to_owned(), serde_json::json!(3.5));
    }
    for group in plan["hillwire"]["stock"].as_array_mut().expect("groups") {
        let keep = group["id"].clone();
        *group = serde_json::json!({"id": keep, "species": "sheep", "class": "ewe", "head": 20, "weight_kg": 70});
    }
    plan.to_string()
}

#[test]
fn netting_is_judged_over_dips_stands_on_its_own_stakes_and_leaks_more_than_strands() {
    let desk = Desk::new();
    desk.write("net.plan.geojson", netted(&desk));
    let check = desk.run("check net.plan.geojson --json --date 2026-05-01").json();
    let of = |rule: &str| filled(&check, "findings").iter().filter(|found| found["rule"] == rule).cloned().collect::<Vec<_>>();
    let dips = of("dip");
    assert!(!dips.is_empty() && of("corner_load").is_empty(), "{dips:?}");
    let text = desk.run("check net.plan.geojson --only dip --date 2026-05-01").out;
    assert!(text.contains("the foot of the netting stands") && text.contains("peg the foot of the netting down"), "{text}");
    for dip in &dips {
        // A ewe lifts a net whose foot stands 0.10 m off the ground (slu-predator-fence): the limit of its row.
        assert!(dip["value"].as_f64() > Some(0.10) && dip["limit"].as_f64() == Some(0.10), "{dip}");
        let (line, from, until) = (&dip["line"], dip["station_m"].as_f64(), dip["until_m"].as_f64());
        let holds = filled(&check, "holds").iter().filter(|row| row["line"] == *line && row["verdict"] != "note").count();
        assert!(holds > 0 && until > from, "{dip}");
    }
    let section = desk.run("section net.plan.geojson --line west --json").json();
    let posts = filled(&section, "posts");
    assert!(posts.iter().all(|post| post["post"] == "step-in" || post["role"] == "gate" || post["post"] == "tree"), "{posts:?}");
    let volts = |plan: &str| desk.run(&format!("power {plan} --json")).json()["far_end"]["loaded_500_kv"].as_f64();
    let (net, strands) = (volts("net.plan.geojson"), volts("brackenhope.plan.geojson"));
    assert!(net.is_some() && net < strands, "{net:?} {strands:?}");
}

#[test]
fn a_paddock_that_lost_a_side_must_be_fixed() {
    let desk = Desk::new();
    let boars = herd("pig", "boar", 280.0);
    desk.write("open.plan.geojson", square(&strands(&[0.15, 0.30, 0.60]), &boars, "", &RING[..4]));
    let ended = desk.run("check open.plan.geojson --only enclosed --json");
    let check = ended.json();
    let [finding] = filled(&check, "findings") else { panic!("{check}") };
    assert_eq!((ended.status, &finding["weight"]), (1, &"must_fix".into()));
    assert!((finding["value"].as_f64().expect("a width") - 80.0).abs() < 2.0, "{finding}");
}
