//! The spreadsheet of the order, read by other programs: openpyxl, and LibreOffice which works its formulas out.

use crate::desk::Desk;
use crate::others::{output_of, python};
use serde_json::Value;

const PLAN: &str = "brackenhope.plan.geojson";

/// Every cell of every sheet as openpyxl reads it, formulas as formulas.
const CELLS: &str = "import json, sys, openpyxl\n\
book = openpyxl.load_workbook(sys.argv[1])\n\
print(json.dumps({sheet.title: [[cell.value for cell in row] for row in sheet.iter_rows()] for sheet in book}))";

/// What the formulas are worth, worked out by hand in Python over the same cells: rows, then their sum.
fn worth(rows: &[Value]) -> f64 {
    let number = |cell: &Value| cell.as_f64().unwrap_or(0.0);
    let quantity = |row: &Value| match row[2].as_str() {
        Some(formula) => {
            assert!(formula.starts_with("=ROUNDUP(ROUND(MAX(0,I"), "{formula}");
            let holds: f64 = formula
                .split(")/")
                .nth(1)
                .and_then(|rest| rest.split(',').next())
                .and_then(|text| text.parse().ok())
                .expect("a number");
            let wanted = (number(&row[8]) - number(&row[9])).max(0.0) / holds;
            let step = if formula.ends_with(",1)") { 10.0 } else { 1.0 };
            ((wanted * step * 1e6).round() / 1e6).ceil() / step
        }
        None => number(&row[2]),
    };
    rows.iter().map(|row| quantity(row) * number(&row[4])).sum()
}

#[test]
fn openpyxl_reads_formulas_that_give_our_own_total() {
    let desk = Desk::new();
    assert_eq!(desk.run(&format!("order {PLAN} --xlsx order.xlsx")).status, 0);
    let order = desk.run(&format!("order {PLAN} --json")).json();
    let Some(read) = python("openpyxl", CELLS, &[&desk.path("order.xlsx").display().to_string()]) else { return };
    let sheets: Value = serde_json::from_str(&read).expect("JSON");
    let rows = sheets["Order"].as_array().expect("the sheet is there");
    assert_eq!(rows[0][0], "id");
    let items = &rows[1..rows.len() - 1];
    assert_eq!(items.len(), order["items"].as_array().map_or(0, Vec::len));
    let total = rows.last().expect("rows")[5].as_str().expect("a formula").to_owned();
    assert_eq!(total, format!("=SUM(F2:F{})", rows.len() - 1));
    let found = worth(items);
    assert!((found - order["total"].as_f64().expect("a number")).abs() < 0.01, "{found} {}", order["total"]);
    assert!(sheets["Work"].as_array().is_some_and(|rows| rows.len() > 3));
}

#[test]
fn what_is_typed_over_in_another_program_still_adds_up_and_comes_back() {
    let desk = Desk::new();
    assert_eq!(desk.run(&format!("order {PLAN} --xlsx order.xlsx")).status, 0);
    // A supplier fills a price in and saves.
    let fill_in = "import sys, openpyxl\n\
        book = openpyxl.load_workbook(sys.argv[1])\n\
        sheet = book['Order']\n\
        row = next(row for row in sheet.iter_rows(min_row=2) if row[0].value == 'strainer')\n\
        row[4].value = 3.5\n\
        book.save(sys.argv[2])";
    let (order, filled) = (desk.path("order.xlsx").display().to_string(), desk.path("filled.xlsx").display().to_string());
    if python("openpyxl", fill_in, &[&order, &filled]).is_none() {
        return;
    }
    let before = desk.run(&format!("order {PLAN} --json")).json();
    let back = desk.run(&format!("order {PLAN} --prices filled.xlsx --json")).json();
    let strainer =
        back["prices"].as_array().and_then(|rows| rows.iter().find(|row| row["id"] == "strainer")).expect("it came back").clone();
    assert_eq!((strainer["unit_price"].as_f64(), strainer["before"].as_f64()), (Some(3.5), None));
    assert!(back["total"].as_f64() > before["total"].as_f64());
    // LibreOffice works the formulas out anew. The sum is the last number of its row, whose text has a comma of its own.
    let folder = desk.path("out");
    let arguments = ["--headless", "--convert-to", "csv", "--outdir", &folder.display().to_string(), &filled];
    let Some(_) = output_of("soffice", &arguments) else { return };
    let csv = std::fs::read_to_string(folder.join("filled.csv")).expect("it was written");
    let total: f64 = csv.lines().last().and_then(|line| line.rsplit(',').find_map(|cell| cell.parse().ok())).expect("a sum");
    assert!((total - back["total"].as_f64().expect("a number")).abs() < 0.01, "{total} {}", back["total"]);
}
