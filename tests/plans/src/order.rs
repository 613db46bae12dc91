//! `hillwire order`.

use crate::desk::{Desk, SAMPLES, assert_fits, assert_keys, filled};

#[test]
fn order_lists_items_whose_prices_add_up() {
    let desk = Desk::new();
    let order = desk.run("order brackenhope.plan.geojson --json").json();
    assert_keys(&order, "items total currency labour_h");
    assert_eq!(order["currency"], "GBP");
    let items = filled(&order, "items");
    items.iter().for_each(|item| assert_keys(item, "id what need on_hand buy unit unit_price price"));
    let sum: f64 = items.iter().filter_map(|item| item["price"].as_f64()).sum();
    assert!((sum - order["total"].as_f64().expect("a sum")).abs() < 0.01 * items.len() as f64, "{sum} {}", order["total"]);
    let wire = items.iter().find(|item| item["id"] == "ht-14ga").expect("the sample is built of it");
    assert!(wire["need"].as_f64() > Some(1000.0), "{wire}");
}

#[test]
fn order_prints_a_table_and_writes_one_for_spreadsheets() {
    let desk = Desk::new();
    for name in SAMPLES {
        let ended = desk.run(&format!("order {name} --csv o.csv"));
        assert_eq!(ended.status, 0, "{ended:?}");
        assert_fits(&ended.out);
        let csv = String::from_utf8(desk.read("o.csv")).expect("UTF-8");
        assert!(csv.lines().count() > 5, "{csv}");
    }
}
