//! `hillwire survey`.

use crate::desk::{Desk, assert_fits, assert_keys};
use serde_json::Value;

const KEYS: &str = "columns rows cell_x_m cell_y_m crs lowest_m highest_m void_cells mean_slope_pct steepest_slope_pct";

#[test]
fn survey_tells_what_the_grid_is() {
    let desk = Desk::new();
    let ended = desk.run("survey brackenhope.tif --json");
    assert_eq!(ended.status, 0, "{ended:?}");
    let survey = ended.json();
    assert_keys(&survey, KEYS);
    assert_eq!((&survey["columns"], &survey["rows"]), (&Value::from(600), &Value::from(600)));
    assert!((survey["cell_x_m"].as_f64().expect("a number") - 1.0).abs() < 1e-3, "{survey}");
    let relief_m = survey["highest_m"].as_f64().expect("known") - survey["lowest_m"].as_f64().expect("known");
    assert!((relief_m - 134.0).abs() < 1.0, "the sample's README says 134 m, found {relief_m}");
}

#[test]
fn survey_writes_slope_shade_and_contours() {
    let desk = Desk::new();
    let ended = desk.run("survey larkfold.tif --slope s.tif --shade s.png --contours c.geojson --every 10");
    assert_eq!(ended.status, 0, "{ended:?}");
    assert_fits(&ended.out);
    assert!(desk.read("s.tif").starts_with(b"II*\0"), "a TIFF begins so");
    assert!(desk.read("s.png").starts_with(b"\x89PNG"), "a PNG begins so");
    let contours: Value = serde_json::from_slice(&desk.read("c.geojson")).expect("GeoJSON");
    let lines = contours["features"].as_array().expect("a list");
    assert!(lines.len() > 5, "{} contours", lines.len());
    for line in lines {
        let height_m = line["properties"]["height_m"].as_f64().expect("each has its height");
        assert!((height_m / 10.0 - (height_m / 10.0).round()).abs() < 1e-9, "{height_m} is no multiple of 10");
    }
    let slope = desk.run("survey s.tif --json");
    assert_eq!(slope.status, 0, "the slope is a grid again: {slope:?}");
    assert_eq!(slope.json()["columns"], desk.run("survey larkfold.tif --json").json()["columns"]);
}

#[test]
fn survey_writes_how_much_ground_drains_through_every_cell() {
    let desk = Desk::new();
    let ended = desk.run("survey larkfold.tif --drainage d.tif");
    assert_eq!(ended.status, 0, "{ended:?}");
    // Read as a grid its hectares are heights: one cell of 2 m the least, no more than the whole sheet of 64 ha the most.
    let drainage = desk.run("survey d.tif --json").json();
    let (least, most) = (drainage["lowest_m"].as_f64().expect("known"), drainage["highest_m"].as_f64().expect("known"));
    assert!((least - 0.0004).abs() < 1e-6 && (10.0..=64.0).contains(&most), "{least} {most}");
}

#[test]
fn survey_in_feet_says_so_and_json_stays_metric() {
    let desk = Desk::new();
    assert!(desk.run("survey larkfold.tif --units us").out.contains("\u{a0}ft"));
    assert_eq!(desk.run("survey larkfold.tif --units us --json").out, desk.run("survey larkfold.tif --json").out);
}
