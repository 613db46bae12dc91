//! `hillwire locate`.

use crate::desk::{Desk, assert_fits, assert_keys, filled};
use serde_json::Value;

/// Readings at these places of the fence as `hillwire power` works them out with a fault, as a table.
fn readings(desk: &Desk, fault: &str, places: &[(&str, f64)]) -> String {
    let told = desk.run(&format!("power brackenhope.plan.geojson --ground damp --fault {fault} --json")).json();
    let stations = filled(&told, "stations");
    let nearest = |line: &str, station_m: f64| {
        let off = |station: &&Value| (station["station_m"].as_f64().expect("metres") - station_m).abs();
        let on_line = stations.iter().filter(|station| station["line"] == line);
        on_line.min_by(|a, b| off(a).total_cmp(&off(b))).expect("the line has places")
    };
    let mut table = "line,station_m,kv\n".to_owned();
    for (line, station_m) in places {
        let station = nearest(line, *station_m);
        table.push_str(&format!("{line},{},{}\n", station["station_m"], station["peak_kv"]));
    }
    table
}

const ROUND: [(&str, f64); 5] = [("lead-out", 20.0), ("west", 100.0), ("west", 245.0), ("west", 350.0), ("east", 150.0)];

#[test]
fn a_fault_put_in_by_one_command_is_found_by_the_other() {
    let desk = Desk::new();
    desk.write("read.csv", readings(&desk, "west@250:60", &ROUND));
    let told = desk.run("locate brackenhope.plan.geojson --readings read.csv --ground damp --json").json();
    assert_keys(&told, "ground suspects nothing leakage_times readings next");
    let suspects = filled(&told, "suspects");
    suspects.iter().for_each(|suspect| assert_keys(suspect, "line from_m to_m at probability conductance_ms ohm sort kinds"));
    let holds = |suspect: &Value| {
        let (from_m, to_m) = (suspect["from_m"].as_f64().expect("metres"), suspect["to_m"].as_f64().expect("metres"));
        suspect["line"] == "west" && (from_m - 1.0..=to_m + 1.0).contains(&250.0)
    };
    assert!(holds(&suspects[0]), "{suspects:?}");
    assert!(told["nothing"].as_f64() < Some(0.05), "{}", told["nothing"]);
}

#[test]
fn readings_as_they_should_be_accuse_nobody() {
    let desk = Desk::new();
    desk.write("read.csv", readings(&desk, "west@250:100000000", &ROUND));
    let told = desk.run("locate brackenhope.plan.geojson --readings read.csv --ground damp --json").json();
    let first = told["suspects"].as_array().and_then(|all| all.first()).and_then(|first| first["probability"].as_f64());
    assert!(told["nothing"].as_f64() > first, "{told}");
    let ended = desk.run("locate brackenhope.plan.geojson --readings read.csv --ground damp");
    assert!(ended.status == 0 && ended.out.contains("accuse nobody"), "{ended:?}");
    assert_fits(&ended.out);
}

#[test]
fn rows_that_cannot_be_used_are_named() {
    let desk = Desk::new();
    let rows = [
        ("line,station_m,kv\nwest,ten,4\n", "row 2, station_m: found ten; allowed is metres from the line's start"),
        ("line,kv\nwest,4\n", "read.csv: no row has headings for a place and for what was found; needed are"),
        ("line,station_m,kv\nwest,10,4\nnorth,10,4\n", "row 3: there is no line \"north\""),
        ("line,station_m,kv\nwest,99999,4\n", "is not on line"),
        ("line,station_m,kv\nwest,10,-4\n", "row 2, kv: found -4; allowed is kilovolts from 0 to 100"),
        (
            "line;station_m;kv\nwest;10,5;99999\n",
            "row 2, kv: found 99999; allowed is kilovolts from 0 to 100, or volts from 100 to 20000",
        ),
        ("line,station_m,amp\nwest,10,2000\n", "row 2, amp: found 2000; allowed is a number from 0 to 1000"),
        ("line,station_m,kv,amp,towards\nwest,10,4,2,up\n", "towards is \"up\""),
        ("line,station_m,kv\nwest,10\n", "read.csv: found no row with a voltage or a current; allowed is one reading a row"),
        ("line,station_m,kv\n", "read.csv: found a heading and nothing below it; allowed is one reading a row"),
    ];
    for (table, part) in rows {
        desk.write("read.csv", table);
        let ended = desk.run("locate brackenhope.plan.geojson --readings read.csv");
        assert!(ended.status == 2 && ended.out.is_empty() && ended.err.contains(part), "{table}: {ended:?}");
    }
}

#[test]
fn a_table_says_the_same_in_every_form_and_a_row_without_a_reading_is_left_out() {
    let desk = Desk::new();
    let rows = [
        ("line", "station_m", "kv", "what"),
        ("west", "100.5", "6.1", ""),
        ("West paddock", "245", "3.2", "branch"),
        ("east", "150", "", "strike"),
    ];
    let written = |separator: &str, comma: &str| {
        let cell = |text: &str| text.replace('.', comma);
        let row = |(line, station, kv, what): &(&str, &str, &str, &str)| {
            [*line, &cell(station), &cell(kv), *what].join(separator) + "\r\n"
        };
        rows.iter().map(row).collect::<String>()
    };
    desk.write("comma.csv", written(",", "."));
    desk.write("semicolon.csv", written(";", ","));
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    for (row, (line, station, kv, what)) in rows.iter().enumerate() {
        for (column, text) in [line, station, kv, what].into_iter().enumerate() {
            let (row, column) = (row as u32, column as u16);
            match text.parse::<f64>() {
                Ok(number) => sheet.write_number(row, column, number).expect("in memory"),
                Err(_) => sheet.write_string(row, column, *text).expect("in memory"),
            };
        }
    }
    desk.write("sheet.xlsx", book.save_to_buffer().expect("in memory"));
    let told = ["comma.csv", "semicolon.csv", "sheet.xlsx"].map(|name| {
        let ended = desk.run(&format!("locate brackenhope.plan.geojson --readings {name} --json"));
        assert!(
            ended.status == 0 && ended.err.contains("one row without a voltage or a current is left out"),
            "{name}: {ended:?}"
        );
        ended.json()
    });
    assert_eq!(filled(&told[0], "readings").len(), 2);
    assert_eq!(told[0], told[1]);
    assert_eq!(told[0], told[2]);
}
