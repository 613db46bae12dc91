//! `hillwire log`, and `hillwire import --log`.

use crate::desk::{Desk, assert_fits, assert_keys, filled, samples};
use serde_json::Value;

/// Places on the west line of Brackenhope, as `hillwire section` tells them: latitude and longitude.
fn place(desk: &Desk, station_m: f64) -> (f64, f64) {
    let told = desk.run("section brackenhope.plan.geojson --line west --json").json();
    let off = |station: &&Value| (station["station_m"].as_f64().expect("metres") - station_m).abs();
    let stations = filled(&told, "stations");
    let nearest = stations.iter().min_by(|one, other| off(one).total_cmp(&off(other))).expect("it has stations");
    (nearest["at"][1].as_f64().expect("latitude"), nearest["at"][0].as_f64().expect("longitude"))
}

fn waypoint((lat, lon): (f64, f64), name: &str, time: &str) -> String {
    format!("<wpt lat=\"{lat}\" lon=\"{lon}\"><time>{time}</time><name>{name}</name></wpt>\n")
}

/// What entries say, without their ids, which are made anew.
fn said(desk: &Desk, plan: &str) -> Vec<String> {
    let told = desk.run(&format!("log {plan} --date 2026-10-01 --json")).json();
    let keys = ["kind", "what", "time", "line", "kv", "mended", "minutes", "parts", "note"];
    let mut said: Vec<String> =
        filled(&told, "entries").iter().map(|entry| keys.map(|key| entry[key].to_string()).join(" ")).collect();
    said.sort();
    said
}

#[test]
fn the_samples_season_of_rounds_is_taken_in_whole_and_so_is_what_the_log_writes_out() {
    let desk = Desk::new();
    desk.write("rounds.csv", std::fs::read(samples().join("brackenhope-rounds.csv")).expect("part of the repository"));
    let taken = desk.run("import brackenhope.plan.geojson --log rounds.csv --out season.plan.geojson");
    assert_eq!((taken.status, taken.err.as_str()), (0, ""), "every row is understood");
    let rows = desk.read("rounds.csv").iter().filter(|byte| **byte == b'\n').count() - 1;
    let season = said(&desk, "season.plan.geojson");
    assert_eq!(season.len(), rows);
    let told = desk.run("log season.plan.geojson --date 2026-10-01 --csv log.csv --json").json();
    filled(&told["prune"], "found");
    let standing = filled(&told, "entries").iter().filter(|entry| entry["kind"] == "fault" && entry["mended"].is_null()).count();
    assert_eq!(standing, 0, "all of it was mended");

    let again = desk.run("import brackenhope.plan.geojson --log log.csv --out again.plan.geojson");
    assert_eq!((again.status, again.err.as_str()), (0, ""));
    assert_eq!(said(&desk, "again.plan.geojson"), season);
}

#[test]
fn a_round_written_on_a_phone_is_taken_in_read_back_and_taught() {
    let desk = Desk::new();
    let (near, far) = (place(&desk, 40.0), place(&desk, 250.0));
    let points = [
        waypoint(near, "5.2 kV", "2026-05-03T09:10:00Z"),
        waypoint(near, "5.2 kV", "2026-05-03T09:10:00Z"),
        waypoint(far, "insulator broken, mended", "2026-05-03T09:20:00Z"),
        waypoint(far, "the old oak", "2026-05-03T09:25:00Z"),
        waypoint((far.1, far.0), "branch", "2026-05-03T09:30:00Z"),
        "<wpt lat=\"north\" lon=\"1\"><name>branch</name></wpt>".to_owned(),
    ];
    desk.write("round.gpx", format!("<gpx>\n{}</gpx>", points.concat()));
    let before = desk.read("brackenhope.plan.geojson");
    let ended = desk.run("import brackenhope.plan.geojson --log round.gpx --out after.plan.geojson");
    assert_eq!(ended.status, 0, "{ended:?}");
    assert_eq!(ended.out.lines().count(), 2, "{}", ended.out);
    for part in [
        "row 5: found",
        "other way round",
        "row 6: found lat=\"north\"",
        "row 2: “5.2 kV”",
        "stands in the log already",
        "the old oak",
    ] {
        assert!(ended.err.contains(part), "{part}: {}", ended.err);
    }
    assert_eq!(desk.read("brackenhope.plan.geojson"), before, "no command changes its input");

    let told = desk.run("log after.plan.geojson --date 2026-05-08 --csv log.csv --json").json();
    assert_keys(&told, "entries rounds fence_km due rates places weak prune years");
    let entries = filled(&told, "entries");
    entries.iter().for_each(|entry| {
        let keys = "id kind what time at line station_m off_m stands kv amp expected_low_kv expected_high_kv against mended minutes parts note";
        assert_keys(entry, keys);
    });
    let of = |id: &str| entries.iter().find(|entry| entry["id"] == id).unwrap_or_else(|| panic!("no {id}"));
    let read = of("reading-1");
    assert_eq!((&read["kv"], &read["line"], &read["stands"]), (&Value::from(5.2), &Value::from("west"), &Value::from("on")));
    assert!((read["station_m"].as_f64().expect("metres") - 40.0).abs() < 1.0, "{read}");
    assert!(read["expected_low_kv"].as_f64() < read["expected_high_kv"].as_f64(), "{read}");
    assert_eq!((&of("fault-1")["what"], &of("fault-1")["mended"]), (&Value::from("insulator"), &Value::from("2026-05-03")));
    filled(&told, "rates").iter().for_each(|rate| {
        let keys = "kind seen by_month expected_by_month per watched_years default_per_year per_year per_year_low per_year_high here_per_year";
        assert_keys(rate, keys);
    });
    assert_eq!(told["due"]["next"], "2026-05-10");
    assert_eq!(desk.read("log.csv").split(|byte| *byte == b'\n').count(), entries.len() + 2);

    let again = desk.run("import after.plan.geojson --log log.csv --out again.plan.geojson");
    assert!(again.status == 0 && again.out.starts_with("Nothing"), "what was written out stands in the log already: {again:?}");
    let marks = desk.run("import after.plan.geojson --log round.gpx --marks --out marks.plan.geojson");
    assert!(marks.out.contains("the old oak") && marks.out.contains("a mark"), "{marks:?}");
    let text = desk.run("log after.plan.geojson --date 2026-05-08");
    assert!(text.status == 0 && text.out.contains("The next round is due on 10 May 2026"), "{text:?}");
    assert_fits(&text.out);
}

#[test]
fn what_is_no_log_of_a_round_is_refused_with_its_place_and_nothing_is_written() {
    let desk = Desk::new();
    let bomb =
        "<!DOCTYPE gpx [<!ENTITY a \"aaaa\"><!ENTITY b \"&a;&a;\">]>\n<gpx><wpt lat=\"1\" lon=\"1\"><name>&b;</name></wpt></gpx>";
    let rows: [(&str, &[u8], &str); 11] = [
        ("torn.gpx", b"<gpx>\n<wpt lat=", "line 2"),
        ("bomb.gpx", bomb.as_bytes(), "without a document type"),
        ("other.gpx", b"<kml/>", "<gpx>"),
        ("wrong.csv", b"a,b\n1,2\n", "lat and lon"),
        ("bytes.csv", b"lat,lon,what\n1,\xff,x\n", "no UTF-8"),
        ("torn.xlsx", b"PK\x03\x04torn", "what is packed in it is broken"),
        ("empty.csv", b"", "lat and lon"),
        ("open.csv", b"lat,lon,what\n\"55.3545,-3.4644,branch\n55.3545,-3.4643,post\n", "a quote opened in row 2 is not closed"),
        ("old.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "old or password-protected workbooks"),
        ("nothing.csv", b"lat,lon,what\n91,1,x\n", "nothing in it could be taken in, and no plan is written: row 2"),
        ("big.xlsx", b"PK\x01\x02000000000000000000000\xff\xff\xff\xff", "too large unpacked"),
    ];
    for (name, bytes, expected) in rows {
        desk.write(name, bytes);
        let before = desk.names();
        let ended = desk.run(&format!("import brackenhope.plan.geojson --log {name} --out new.geojson"));
        assert!(ended.status == 2 && ended.err.contains(expected) && ended.err.contains(name), "{name}: {ended:?}");
        assert_eq!(desk.names(), before, "{name}");
    }
    let both = desk.run("import brackenhope.plan.geojson walk.gpx --log round.gpx --out new.geojson");
    assert_eq!(both.status, 2, "{both:?}");
    assert_eq!(desk.run("import brackenhope.plan.geojson --out new.geojson").status, 2);
    assert_eq!(desk.run("log brackenhope.plan.geojson --csv brackenhope.plan.geojson").status, 2);
}

#[test]
fn rows_that_cannot_be_used_do_not_keep_the_others_out() {
    let desk = Desk::new();
    let (lat, lon) = place(&desk, 100.0);
    let comma = |degrees: f64| degrees.to_string().replace('.', ",");
    let table = format!(
        "\u{feff}lat;lon;time;what;kv\r\n{};{};3.5.2026 14:20;branch\u{0};\r\n;;;;\r\n95;1;;slack;\r\n{lat};{lon};03/05/2026;;4,8\r\n0;0;;slack;\r\n",
        comma(lat),
        comma(lon)
    );
    desk.write("round.csv", table);
    let ended = desk.run("import brackenhope.plan.geojson --log round.csv --out after.plan.geojson");
    assert_eq!((ended.status, ended.out.lines().count()), (0, 2), "{ended:?}");
    for part in ["row 4, lat: found 95", "row 5, time: found 03/05/2026", "row 6: found latitude 0"] {
        assert!(ended.err.contains(part), "{part}: {}", ended.err);
    }
    let told = desk.run("log after.plan.geojson --json").json();
    let times: Vec<Value> = filled(&told, "entries").iter().map(|entry| entry["time"].clone()).collect();
    assert!(times.contains(&Value::from("2026-05-03T14:20:00")) && times.contains(&Value::Null), "{times:?}");
}
