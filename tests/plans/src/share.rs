//! `hillwire share`.

use crate::desk::{Desk, SAMPLES};
use serde_json::Value;

#[test]
fn share_writes_geojson_that_any_map_program_reads() {
    let desk = Desk::new();
    for name in SAMPLES {
        let before = desk.read(name);
        let ended = desk.run(&format!("share {name} out.geojson"));
        assert_eq!((ended.status, ended.out.as_str()), (0, ""), "{ended:?}");
        let shared: Value = serde_json::from_slice(&desk.read("out.geojson")).expect("JSON");
        assert_eq!(shared["type"], "FeatureCollection");
        let features = shared["features"].as_array().expect("a list");
        assert!(features.len() > 5);
        for feature in features {
            assert_eq!(feature["type"], "Feature");
            assert!(feature["properties"].is_object() && feature["geometry"]["coordinates"].is_array(), "{feature}");
        }
        assert_eq!(desk.read(name), before, "no command changes its input");
    }
}

#[test]
fn a_supplier_gets_what_is_to_be_bought_and_no_price_of_anybody_else() {
    let desk = Desk::new();
    assert_eq!(desk.run("share brackenhope.plan.geojson order.csv").status, 0);
    let sheet = String::from_utf8(desk.read("order.csv")).expect("UTF-8");
    assert!(sheet.starts_with("id,item,quantity,comes in,price of one,price,currency\r\n"), "{sheet}");
    assert!(sheet.lines().skip(1).all(|line| line.contains(",,,GBP") || line.contains(",,,,,GBP")), "{sheet}");
}

#[test]
fn share_refuses_an_ending_that_it_cannot_write() {
    let desk = Desk::new();
    let ended = desk.run("share brackenhope.plan.geojson out.docx");
    assert_eq!(ended.status, 2);
    assert!(ended.err.contains(".docx") && ended.err.contains(".geojson"), "{}", ended.err);
}
