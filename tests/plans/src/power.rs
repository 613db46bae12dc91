//! `hillwire power`.

use crate::desk::{Desk, SAMPLES, assert_fits, assert_keys, filled};
use serde_json::Value;

fn far_kv(told: &Value, key: &str) -> f64 {
    told["far_end"][key].as_f64().unwrap_or_else(|| panic!("{key} of {}", told["far_end"]))
}

#[test]
fn power_tells_what_arrives_at_every_place() {
    let desk = Desk::new();
    for name in SAMPLES {
        let told = desk.run(&format!("power {name} --json")).json();
        assert_keys(&told, "ground energizer earth further_energizers far_end stations");
        assert_keys(&told["energizer"], "peak_kv output_j current_a given_j duration_us within_standard");
        assert_keys(&told["earth"], "ohm kv rods shorted_kv");
        assert_keys(&told["far_end"], "line station_m at peak_kv loaded_500_kv");
        assert_eq!(told["ground"], "wet", "where most is lost");
        let stations = filled(&told, "stations");
        stations
            .iter()
            .for_each(|station| assert_keys(station, "line station_m at peak_kv loaded_500_kv energy_500_j animal_kv"));
        let least = stations.iter().filter(|station| station["animal_kv"].is_number());
        let least = least.filter_map(|station| station["loaded_500_kv"].as_f64()).fold(f64::INFINITY, f64::min);
        assert!((least - far_kv(&told, "loaded_500_kv")).abs() < 1e-3, "{name}: {least} {}", told["far_end"]);
    }
}

#[test]
fn wetter_ground_and_faults_leave_less_at_the_far_end() {
    let desk = Desk::new();
    let of =
        |options: &str| far_kv(&desk.run(&format!("power brackenhope.plan.geojson --json {options}")).json(), "loaded_500_kv");
    let ladder = [of("--ground damp"), of("--ground wet"), of("--fault west@200"), of("--fault west@200:30")];
    assert!(ladder.windows(2).all(|pair| pair[0] > pair[1]), "{ladder:?}");
}

#[test]
fn power_prints_a_table_and_writes_one_for_spreadsheets() {
    let desk = Desk::new();
    for name in SAMPLES {
        let ended = desk.run(&format!("power {name} --csv v.csv --replace --what-helps"));
        assert_eq!(ended.status, 0, "{ended:?}");
        assert_fits(&ended.out);
        assert!(ended.out.contains("licensed electrician"), "cautions stand with it: {}", ended.out);
        let csv = String::from_utf8(desk.read("v.csv")).expect("UTF-8");
        let rows = csv.lines().count() - 1;
        assert_eq!(rows, filled(&desk.run(&format!("power {name} --json")).json(), "stations").len());
    }
}

#[test]
fn what_helps_comes_with_volts_and_price_and_growth_takes_more_the_more_there_is() {
    let desk = Desk::new();
    let told = desk.run("power brackenhope.plan.geojson --what-helps --json").json();
    for help in filled(&told, "what_helps") {
        assert_keys(help, "what gain_500_kv loaded_500_kv peak_kv price parts");
        assert!(help["gain_500_kv"].as_f64() > Some(0.0), "{help}");
    }
    let growth = filled(&told, "growth");
    let wet: Vec<f64> = growth.iter().filter_map(|row| row["loaded_500_kv"]["wet"].as_f64()).collect();
    assert!(wet.len() == 4 && wet.windows(2).all(|pair| pair[0] > pair[1]), "{growth:?}");
    let now = growth.iter().find(|row| row["vegetation"] == "light").expect("the plan's own");
    assert!((now["loaded_500_kv"]["wet"].as_f64().expect("fed") - far_kv(&told, "loaded_500_kv")).abs() < 1e-3, "{now}");
}

#[test]
fn what_cannot_be_worked_out_is_refused_in_one_sentence() {
    let desk = Desk::new();
    let plan = String::from_utf8(desk.read("brackenhope.plan.geojson")).expect("UTF-8");
    desk.write("bare.geojson", plan.replace("\"kind\":\"energizer\"", "\"kind\":\"mark\""));
    let rows = [
        ("power bare.geojson", "energizer"),
        ("power brackenhope.plan.geojson --fault west", "no @"),
        ("power brackenhope.plan.geojson --fault nowhere@5", "its lines are"),
        ("power brackenhope.plan.geojson --fault west@99999", "m long"),
        ("power brackenhope.plan.geojson --fault west@5:-3", "resistance"),
    ];
    for (words, part) in rows {
        let ended = desk.run(words);
        assert!(ended.status == 2 && ended.out.is_empty() && ended.err.contains(part), "{words}: {ended:?}");
    }
}
