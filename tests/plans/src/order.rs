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
    let wire = items.iter().find(|item| item["id"] == "ht-12.5ga").expect("the sample is built of it");
    assert!(wire["need"].as_f64() > Some(1000.0), "{wire}");
}

#[test]
fn order_prints_a_table_and_writes_one_for_spreadsheets() {
    let desk = Desk::new();
    for name in SAMPLES {
        let ended = desk.run(&format!("order {name} --csv o.csv --replace"));
        assert_eq!(ended.status, 0, "{ended:?}");
        assert_fits(&ended.out);
        let csv = String::from_utf8(desk.read("o.csv")).expect("UTF-8");
        assert!(csv.lines().count() > 5, "{csv}");
    }
}

#[test]
fn every_count_is_explained_by_its_places() {
    let desk = Desk::new();
    let order = desk.run("order brackenhope.plan.geojson --json").json();
    let corner = filled(&order, "items").iter().find(|item| item["id"] == "donut").expect("the sample has corners").clone();
    let placed: f64 = filled(&corner, "why")
        .iter()
        .flat_map(|share| share["places"].as_array().cloned().unwrap_or_default())
        .map(|place| {
            assert_keys(&place, "feature station_m until_m at amount");
            assert_eq!(place["at"].as_array().map(Vec::len), Some(2), "{place}");
            place["amount"].as_f64().expect("a number")
        })
        .sum();
    let net = corner["need"].as_f64().expect("a number");
    assert!(placed > 0.0 && placed <= net, "{placed} {net}");
    let says = desk.run("order brackenhope.plan.geojson --why donut");
    assert_eq!(says.status, 0);
    assert!(says.out.contains("strands round sharp corners") && says.out.contains(", at "), "{}", says.out);
    assert_fits(&says.out);
    assert_eq!(desk.run("order brackenhope.plan.geojson --why no-such").status, 2);
}

#[test]
fn work_is_reckoned_in_hours_that_add_up() {
    let desk = Desk::new();
    let order = desk.run("order brackenhope.plan.geojson --json").json();
    let sum: f64 = filled(&order, "work").iter().filter_map(|work| work["hours"].as_f64()).sum();
    assert!((sum - order["labour_h"].as_f64().expect("a number")).abs() < 0.01 && sum > 10.0, "{sum}");
    for variant in filled(&order, "what_if") {
        assert_keys(variant, "build change strand_m wire adds adds_h unpriced");
        assert!(variant["adds_h"].as_f64() >= Some(0.0), "{variant}");
    }
}

#[test]
fn one_paddock_takes_less_than_all_of_the_plan() {
    let desk = Desk::new();
    let all = desk.run("order brackenhope.plan.geojson --json").json();
    let first = desk.run("order brackenhope.plan.geojson --paddock west --json");
    let none = desk.run("order brackenhope.plan.geojson --paddock nowhere");
    assert_eq!(none.status, 2, "{none:?}");
    assert!(none.err.contains("--paddock: found nowhere"), "{}", none.err);
    let first = if first.status == 0 {
        first.json()
    } else {
        let id = none
            .err
            .rsplit(": ")
            .next()
            .and_then(|ids| ids.trim().split(", ").next())
            .expect("it names those there are")
            .to_owned();
        desk.run(&format!("order brackenhope.plan.geojson --paddock {id} --json")).json()
    };
    assert!(first["total"].as_f64() < all["total"].as_f64());
    assert!(first["labour_h"].as_f64() < all["labour_h"].as_f64());
}

#[test]
fn a_sheet_goes_out_is_filled_in_and_comes_back_and_nothing_changes_unless_asked() {
    let desk = Desk::new();
    let plan = "brackenhope.plan.geojson";
    let before = desk.read(plan);
    assert_eq!(desk.run(&format!("order {plan} --csv sheet.csv")).status, 0);
    let sheet = String::from_utf8(desk.read("sheet.csv")).expect("UTF-8");
    let fill_in = |line: &str| {
        let mut cells: Vec<&str> = line.split(',').collect();
        if cells[0] == "strainer" {
            cells[4] = "3.50";
        }
        cells.join(",")
    };
    let filled: Vec<String> = sheet.lines().map(fill_in).chain(["unicorn,,1,piece,5".to_owned()]).collect();
    desk.write("filled.csv", filled.join("\n"));
    let read = desk.run(&format!("order {plan} --prices filled.csv"));
    assert_eq!(read.status, 0, "{read:?}");
    assert!(read.out.contains("In-line strainer") && read.out.contains("nothing called “unicorn” here"), "{}", read.out);
    assert_fits(&read.out);
    assert_eq!(desk.read(plan), before);
    assert_eq!(desk.run(&format!("order {plan} --prices filled.csv --out priced.plan.geojson")).status, 0);
    let order = desk.run("order priced.plan.geojson --json").json();
    let strainer =
        order["items"].as_array().and_then(|items| items.iter().find(|item| item["id"] == "strainer")).expect("bought").clone();
    assert_eq!(strainer["unit_price"], 3.5);
    assert!(strainer["priced_on"].is_string());
    for (name, bytes) in [("broken.xlsx", &b"PK\x03\x04 torn"[..]), ("empty.csv", b""), ("other.csv", b"a,b\n1,2\n")] {
        desk.write(name, bytes);
        let refused = desk.run(&format!("order {plan} --prices {name} --out never.plan.geojson"));
        assert_eq!(refused.status, 2, "{refused:?}");
        assert!(refused.err.contains(name) && !desk.names().iter().any(|name| name.starts_with("never")), "{refused:?}");
    }
}
