//! Unusable input: one clear message that names the file, the place, what was found and what is allowed; nothing written.

use crate::desk::{Desk, Ended};

/// Runs it, and holds that it wrote nothing and said one thing.
#[track_caller]
fn refused(desk: &Desk, words: &str) -> Ended {
    let before = desk.names();
    let ended = desk.run(words);
    assert_eq!(ended.status, 2, "{words}: {ended:?}");
    assert_eq!(ended.out, "", "{words}");
    assert_eq!(ended.err.lines().count(), 1, "{words}: one message, not {}", ended.err);
    assert_eq!(desk.names(), before, "{words}: nothing is written");
    ended
}

#[test]
fn grids_that_are_none_are_refused_by_name() {
    let desk = Desk::new();
    desk.write("empty.tif", "");
    desk.write("letter.tif", "Dear neighbour,\nhere are the heights.\n");
    desk.write("picture.png", b"\x89PNG\r\n\x1a\n");
    desk.write("short.tif", &desk.read("brackenhope.tif")[..20_000]);
    desk.write("half.asc", "ncols 3\nnrows 3\nxllcorner 0\nyllcorner 0\ncellsize 1\n1 2 3\n4 5\n");
    desk.write("nowhere.asc", "ncols 3\nnrows 3\nxllcorner 0\nyllcorner 0\ncellsize 1\n1 2 3\n4 5 6\n7 8 9\n");
    for name in ["missing.tif", "empty.tif", "letter.tif", "picture.png", "short.tif", "half.asc", "nowhere.asc"] {
        let ended = refused(&desk, &format!("survey {name} --slope s.tif --json"));
        assert!(ended.err.contains(name), "{}", ended.err);
    }
}

#[test]
fn plans_that_are_none_are_refused_with_line_and_property() {
    let desk = Desk::new();
    let plan = String::from_utf8(desk.read("brackenhope.plan.geojson")).expect("UTF-8");
    let cases = [
        ("cut.geojson", plan[..plan.len() / 2].to_owned(), "line"),
        ("word.geojson", plan.replace("\"max_bay_m\":8", "\"max_bay_m\":\"eight\""), "max_bay_m"),
        ("globe.geojson", plan.replace("[-3.46231976,55.355162498]", "[-3.46,155.35]"), "feature"),
        (
            "purpose.geojson",
            plan.replacen("\"kind\":\"paddock\",", "\"kind\":\"paddock\",\"purpose\":\"outside\",", 1),
            "purpose: found \"outside\"; allowed is one of interior, boundary, roadside",
        ),
        ("weight.geojson", plan.replacen("\"weight_kg\":70", "\"weight_kg\":-70", 1), "weight_kg: found -70; allowed is"),
        (
            "net.geojson",
            plan.replacen("\"id\":\"gilt-2\",\"strands\"", "\"id\":\"gilt-2\",\"net\":{\"id\":\"net-poultry\"},\"strands\"", 1),
            "height_m: found nothing",
        ),
        ("kml.geojson", "<kml></kml>".to_owned(), "line 1"),
        ("plain.geojson", "{\"type\":\"FeatureCollection\",\"features\":[]}".to_owned(), "hillwire"),
        ("none.geojson", plan.replace("brackenhope.tif", "lost.tif"), "lost.tif"),
        (
            "own.geojson",
            with_own_post(&plan, "\"deep\""),
            "hillwire.catalogue.post[0] (chestnut), depth_m: found \"deep\"; allowed is",
        ),
    ];
    for (name, text, part) in cases {
        assert_ne!(text, plan, "{name}: the case changes something");
        desk.write(name, text);
        for command in ["measure", "check", "order", "section --line west"] {
            let ended = refused(&desk, &format!("{command} {name}"));
            assert!(ended.err.contains(name) && ended.err.contains(part), "{name}: {}", ended.err);
        }
        refused(&desk, &format!("share {name} out.csv"));
    }
}

/// The plan with a post of its own, whose depth is this, in the place of the line posts.
pub fn with_own_post(plan: &str, depth_m: &str) -> String {
    let post = "{\"id\": \"chestnut\", \"label\": \"Split chestnut\", \"material\": \"wood\", \"width_m\": 0.09, \"length_m\": 1.7, \
                \"depth_m\": DEPTH, \"mass_kg\": 6, \"insulator\": \"screw-ring\", \"place_cost\": 1}";
    let rows = format!("\"catalogue\": {{\"post\": [{}]}},\n  \"prices\"", post.replace("DEPTH", depth_m));
    plan.replacen("\"prices\"", &rows, 1).replace("\"line_post\":\"stake-sawn\"", "\"line_post\":\"chestnut\"")
}

#[test]
fn a_plan_is_worked_out_and_ordered_with_its_own_catalogue_rows() {
    let desk = Desk::new();
    let plan = String::from_utf8(desk.read("brackenhope.plan.geojson")).expect("UTF-8");
    desk.write("own.geojson", with_own_post(&plan, "0.5"));
    for (words, output) in
        [("order own.geojson", ""), ("order own.geojson --csv o.csv", "o.csv"), ("share own.geojson s.csv", "s.csv")]
    {
        let ended = desk.run(words);
        assert_eq!(ended.status, 0, "{words}: {ended:?}");
        let text = if output.is_empty() { ended.out } else { String::from_utf8(desk.read(output)).expect("UTF-8") };
        assert!(text.contains("Split chestnut") && !text.contains("Sawn stake"), "{words}: {text}");
    }
    let check = desk.run("check own.geojson --json");
    assert!(check.status <= 1 && !check.out.contains("stake-sawn"), "{}", check.err);
}

#[test]
fn outputs_over_the_input_or_over_each_other_are_refused() {
    let desk = Desk::new();
    refused(&desk, "survey brackenhope.tif --slope brackenhope.tif");
    refused(&desk, "survey brackenhope.tif --slope same.tif --shade same.tif");
    refused(&desk, "share brackenhope.plan.geojson brackenhope.plan.geojson");
    refused(&desk, "survey brackenhope.tif --contours c.geojson --every 0");
}

#[test]
fn contours_without_end_are_refused_with_the_finest_interval_that_the_grid_allows() {
    let desk = Desk::new();
    let ended = refused(&desk, "survey brackenhope.tif --contours c.geojson --every 0.01");
    for part in ["brackenhope.tif: contours every 0.01 m would have", "allowed are 4000000: every 0.05 m is the finest"] {
        assert!(ended.err.contains(part), "{}", ended.err);
    }
}

#[test]
fn an_output_that_cannot_be_written_has_its_own_status_and_leaves_nothing() {
    let desk = Desk::new();
    let before = desk.names();
    for words in [
        "survey larkfold.tif --slope s.tif --shade no-such-folder/s.png",
        "share brackenhope.plan.geojson no-such-folder/out.geojson",
        "order brackenhope.plan.geojson --csv no-such-folder/o.csv",
    ] {
        let ended = desk.run(words);
        assert_eq!((ended.status, ended.out.as_str()), (3, ""), "{words}: {ended:?}");
        assert!(ended.err.contains("no-such-folder"), "{}", ended.err);
        assert_eq!(desk.names(), before, "{words}");
    }
}

#[test]
fn wrong_options_are_refused_and_help_is_not_trouble() {
    let desk = Desk::new();
    for words in ["survey", "check brackenhope.plan.geojson --colour red", "dance", "survey a.tif --every 5", ""] {
        let ended = desk.run(words);
        assert_eq!((ended.status, ended.out.as_str()), (2, ""), "{words}: {ended:?}");
        assert!(!ended.err.is_empty());
    }
    for words in ["--help", "survey --help", "--version"] {
        let ended = desk.run(words);
        assert_eq!((ended.status, ended.err.as_str()), (0, ""), "{words}");
    }
}

#[test]
fn options_that_cannot_be_are_refused_with_what_is_allowed() {
    let desk = Desk::new();
    let cases = [
        ("compare brackenhope.plan.geojson larkfold.plan.geojson --years -3", "'-3'", "a number from 0 to 1000000000"),
        ("compare brackenhope.plan.geojson larkfold.plan.geojson --wage -0.5", "'-0.5'", "a number from 0 to 1000000000"),
        ("compare brackenhope.plan.geojson larkfold.plan.geojson --years 1e300", "'1e300'", "a number from 0 to 1000000000"),
        ("share brackenhope.plan.geojson out.pdf --scale 0", "'0'", "a whole number from 1 to 1000000000"),
        ("share brackenhope.plan.geojson out.pdf --scale many", "'many'", "a whole number from 1 to 1000000000"),
        ("mend brackenhope.plan.geojson --from 99999999999", "'99999999999'", "a whole number from 1 to 1000000"),
        ("survey brackenhope.tif --contours c.geojson --every wide", "'wide'", "a number such as 2.5"),
        ("log brackenhope.plan.geojson --date yesterday", "'yesterday'", "a day as 2026-05-01"),
        ("round brackenhope.plan.geojson --date 2026-13-40", "'2026-13-40'", "a day as 2026-05-01"),
        ("check brackenhope.plan.geojson --date 2026-02-30", "'2026-02-30'", "a day as 2026-05-01"),
        ("mend brackenhope.plan.geojson --date 2026-05", "'2026-05'", "a day as 2026-05-01"),
        ("reroute brackenhope.plan.geojson --line west --date 0", "'0'", "a day as 2026-05-01"),
    ];
    for (words, found, allowed) in cases {
        let ended = desk.run(words);
        assert_eq!((ended.status, ended.out.as_str()), (2, ""), "{words}");
        for part in [found, allowed] {
            assert!(ended.err.contains(part), "{words}: {}", ended.err);
        }
    }
}

#[test]
fn a_quote_that_is_not_closed_is_refused_by_whoever_reads_a_table() {
    let desk = Desk::new();
    desk.write("prices.csv", "id,price of one\n\"stake-sawn,2\nht-12.5ga,90\n");
    desk.write("readings.csv", "line,station_m,kv\n\"west,10,5\nwest,50,4\n");
    for words in ["order brackenhope.plan.geojson --prices prices.csv", "locate brackenhope.plan.geojson --readings readings.csv"]
    {
        let ended = desk.run(words);
        assert_eq!(ended.status, 2, "{words}: {ended:?}");
        assert!(ended.err.contains("a quote opened in row 2 is not closed"), "{words}: {ended:?}");
    }
}

#[test]
fn contours_that_fall_on_no_ground_are_told() {
    let desk = Desk::new();
    for (every, is_told) in [("1e300", true), ("5000", true), ("5", false)] {
        let ended = desk.run(&format!("survey brackenhope.tif --contours c.geojson --every {every} --replace"));
        assert_eq!(ended.status, 0, "{every}: {ended:?}");
        assert_eq!(ended.err.contains(" falls on this ground, which lies between "), is_told, "{every}: {ended:?}");
        assert!(ended.err.len() < 300, "{every}: {ended:?}");
    }
}

#[test]
fn a_grid_alone_is_told_of_without_a_plan() {
    let desk = Desk::new();
    desk.write("world.asc", "ncols 3\nnrows 3\nxllcorner -75\nyllcorner -75\ncellsize 50\n1 2 3\n4 5 6\n7 8 9\n");
    desk.write("world.prj", "EPSG:4326");
    let ended = refused(&desk, "survey world.asc");
    assert!(!ended.err.contains("plan") && ended.err.contains("from its middle"), "{}", ended.err);
}

#[test]
fn a_sign_for_no_height_that_is_no_number_is_told() {
    const SIGN: &[u8] = b"-9999\0";
    let desk = Desk::new();
    assert_eq!(desk.run("survey brackenhope.tif --slope s.tif").status, 0);
    let mut tiff = desk.read("s.tif");
    let at = tiff.windows(SIGN.len()).position(|here| here == SIGN).expect("it has one");
    tiff[at..at + SIGN.len()].copy_from_slice(b"empty\0");
    desk.write("odd.tif", tiff);
    let ended = desk.run("survey odd.tif");
    assert!(ended.err.contains("its sign for \"no height\" is \"empty\", which is no number"), "{ended:?}");
    assert!(!desk.run("survey s.tif").err.contains("no number"));
}

#[test]
fn what_is_found_is_shown_short() {
    let desk = Desk::new();
    let plan = String::from_utf8(desk.read("brackenhope.plan.geojson")).expect("UTF-8");
    let many: String = (0..1500).map(|number| format!("\"p{number}\":1,")).collect();
    desk.write("many.geojson", plan.replacen("\"kind\":\"fence\",", &format!("\"kind\":\"fence\",{many}"), 1));
    desk.write("kind.geojson", plan.replacen("\"kind\":\"gate\",", &format!("\"kind\":\"{}\",", "k".repeat(100_000)), 1));
    for name in ["many.geojson", "kind.geojson"] {
        let ended = desk.run(&format!("measure {name}"));
        assert!(ended.err.len() < 2500, "{name}: {} bytes", ended.err.len());
    }
    let ended = desk.run("power brackenhope.plan.geojson --fault west@1e308");
    assert!(ended.status == 2 && ended.err.contains("no wire at 1e308 m") && ended.err.len() < 300, "{}", ended.err);
}

#[test]
fn the_help_names_every_exit_status() {
    let help = Desk::new().run("--help").out;
    for status in ["0 done", "1 done", "2 unusable", "3 an output", "130, 143 or 129 stopped by an interrupt (SIGINT)"] {
        assert!(help.contains(status), "{help}");
    }
}

/// A TIFF of one byte order and one list, with these bytes in the place of the first number of a tag.
fn with_number(tiff: &[u8], tag: u16, index: usize, number: f64) -> Vec<u8> {
    let short = |at: usize| usize::from(u16::from_le_bytes([tiff[at], tiff[at + 1]]));
    let long = |at: usize| u32::from_le_bytes([tiff[at], tiff[at + 1], tiff[at + 2], tiff[at + 3]]) as usize;
    let list = long(4);
    let entry =
        (0..short(list)).map(|entry| list + 2 + 12 * entry).find(|at| short(*at) == usize::from(tag)).expect("it has the tag");
    let at = long(entry + 8) + 8 * index;
    [&tiff[..at], &number.to_le_bytes(), &tiff[at + 8..]].concat()
}

#[test]
fn numbers_that_are_no_places_are_told_as_what_they_are_and_short() {
    /// Tags of a GeoTIFF: width and height of a cell; a cell and its place.
    const SCALE: u16 = 33550;
    const TIE: u16 = 33922;
    let desk = Desk::new();
    let tiff = desk.read("brackenhope.tif");
    for (tag, index, number, says) in [
        (TIE, 3, f64::NAN, "its corner lies at NaN, "),
        (TIE, 0, f64::INFINITY, "its corner lies at "),
        (TIE, 4, 1e300, "its corner lies at "),
        (SCALE, 0, 1e300, "its cells are 1e300 by "),
        (SCALE, 0, f64::NAN, "its cells are NaN by "),
        (SCALE, 1, 0.0, " by 0; both must be numbers above 0"),
    ] {
        desk.write("odd.tif", with_number(&tiff, tag, index, number));
        let ended = refused(&desk, "survey odd.tif");
        assert!(ended.err.contains("odd.tif: ") && ended.err.contains(says), "{tag} {number}: {}", ended.err);
        assert!(ended.err.len() < 400, "{tag} {number}: {}", ended.err);
    }
    desk.write("wide.asc", "ncols 3\nnrows 3\nxllcorner 0\nyllcorner 0\ncellsize -1e300\n1 2 3\n4 5 6\n7 8 9\n");
    let ended = refused(&desk, "survey wide.asc");
    assert!(ended.err.contains("line 5: cellsize") && ended.err.len() < 300, "{}", ended.err);
}

#[test]
fn xml_that_is_none_is_told_what_is_wrong_with_it() {
    let desk = Desk::new();
    for (text, says) in [
        (
            "<gpx>\n<wpt lat=\"1\" lon=\"2\"><name>a</wpt></gpx>",
            "line 2: found the end tag </wpt>; allowed is </name>, which is still open",
        ),
        ("<gpx>\n<wpt lat=\"1\" lon=\"2\">", "line 2: found the end of the file inside an element"),
        ("<!DOCTYPE gpx [<!ENTITY a \"b\">]><gpx/>", "found a document type; allowed is XML without a document type"),
        ("<gpx><name>a & b</name></gpx>", "line 1: found an & that begins no reference; allowed is &amp;"),
    ] {
        for name in ["walk.gpx", "walk.kml"] {
            desk.write(name, text);
            for words in ["", "--log "] {
                let ended = refused(&desk, &format!("import brackenhope.plan.geojson {words}{name} --out new.geojson"));
                assert!(ended.err.contains(name) && ended.err.contains(says), "{text}: {}", ended.err);
            }
        }
    }
}

#[test]
fn what_a_plan_lacks_is_said_of_the_plan() {
    let desk = Desk::new();
    let plan = String::from_utf8(desk.read("brackenhope.plan.geojson")).expect("UTF-8");
    let (head, _) = plan.split_once("\"features\"").expect("it has some");
    desk.write("empty.plan.geojson", format!("{head}\"features\":[]}}"));
    for form in ["html", "svg", "pdf"] {
        let ended = refused(&desk, &format!("share empty.plan.geojson out.{form}"));
        assert!(ended.err.contains("empty.plan.geojson: ") && !ended.err.contains("out."), "{}", ended.err);
    }
}

#[test]
fn a_place_far_from_the_plan_is_refused_with_its_feature_corner_and_values() {
    let desk = Desk::new();
    let plan = String::from_utf8(desk.read("brackenhope.plan.geojson")).expect("UTF-8");
    let corner = "[-3.46231976,55.355162498]";
    let cases = [
        ("swapped.geojson", "[55.355195574,-3.463077225]", "are longitude and latitude exchanged?"),
        ("zero.geojson", "[0,0]", "longitude 0, latitude 0 often stands where nothing was known"),
        ("far.geojson", "[18.5,-33.9]", "longitude 18.5, latitude -33.9"),
    ];
    for (name, place, part) in cases {
        let text = plan.replacen(corner, place, 1);
        assert_ne!(text, plan, "{name}");
        desk.write(name, text);
        for command in ["measure", "check", "order", "round"] {
            let ended = refused(&desk, &format!("{command} {name}"));
            for part in
                [name, "line ", "feature ", "geometry.coordinates[", " km from the middle of the plan at longitude -3.4", part]
            {
                assert!(ended.err.contains(part), "{name}: {} lacks {part}", ended.err);
            }
        }
    }
}

/// The sample plan with everything in it moved east.
fn moved_east(desk: &Desk, degrees: f64) -> String {
    fn shift(value: &mut serde_json::Value, degrees: f64) {
        match value.as_array_mut() {
            Some(pair) if pair.len() >= 2 && pair[0].is_number() => {
                let lon = pair[0].as_f64().expect("a number") + degrees;
                pair[0] = (if lon > 180.0 { lon - 360.0 } else { lon }).into();
            }
            Some(list) => list.iter_mut().for_each(|inner| shift(inner, degrees)),
            None => {}
        }
    }
    let mut plan: serde_json::Value = serde_json::from_slice(&desk.read("brackenhope.plan.geojson")).expect("JSON");
    for feature in plan["features"].as_array_mut().expect("a list") {
        shift(&mut feature["geometry"]["coordinates"], degrees);
    }
    plan.to_string()
}

#[test]
fn a_grid_of_another_place_is_refused_with_where_both_lie() {
    let desk = Desk::new();
    desk.write("elsewhere.geojson", moved_east(&desk, 30.0));
    for command in ["measure", "check", "order", "round"] {
        let ended = refused(&desk, &format!("{command} elsewhere.geojson"));
        for part in ["brackenhope.tif", "the grid lies around longitude -3.4", "the plan around longitude 26.5", "another place?"]
        {
            assert!(ended.err.contains(part), "{} lacks {part}", ended.err);
        }
    }
}

#[test]
fn a_plan_across_the_date_line_is_worked_out_as_anywhere_else() {
    let desk = Desk::new();
    let without_grid = |text: String| text.replace("[{\"file\":\"brackenhope.tif\"}]", "[]");
    // The sample lies around longitude -3.463: then around 180.
    desk.write("here.geojson", without_grid(moved_east(&desk, 0.0)));
    desk.write("date-line.geojson", without_grid(moved_east(&desk, 183.4628)));
    for command in ["measure", "order"] {
        let [here, there] =
            ["here", "date-line"].map(|name| desk.run(&format!("{command} {name}.geojson --json"))).map(|ended| ended.json());
        let count = |value: &serde_json::Value| {
            value.as_object().map(|all| all.values().map(|one| one.as_array().map_or(0, Vec::len)).collect::<Vec<_>>())
        };
        assert_eq!(count(&here), count(&there), "{command}");
    }
    let measured = |name: &str| desk.run(&format!("measure {name}.geojson")).out;
    assert_eq!(measured("here").lines().count(), measured("date-line").lines().count());
}

#[test]
fn features_of_another_program_far_from_the_plan_are_refused_in_the_same_words() {
    let desk = Desk::new();
    let cases = [
        ("kansas.gpx", "<gpx><wpt lat=\"38.5\" lon=\"-98.4\"><name>Old well</name></wpt></gpx>", "(Old well)"),
        (
            "turned.gpx",
            "<gpx><trk><name>Walk</name><trkseg><trkpt lat=\"-3.46\" lon=\"55.355\"/><trkpt lat=\"-3.47\" lon=\"55.356\"/></trkseg></trk></gpx>",
            "are longitude and latitude exchanged?",
        ),
        (
            "turned.kml",
            "<kml><Placemark><LineString><coordinates>55.355,-3.46 55.356,-3.47</coordinates></LineString></Placemark></kml>",
            "are longitude and latitude exchanged?",
        ),
        ("turned.geojson", "{\"type\":\"Point\",\"coordinates\":[55.355,-3.46]}", "are longitude and latitude exchanged?"),
    ];
    for (name, text, part) in cases {
        desk.write(name, text);
        let ended = refused(&desk, &format!("import brackenhope.plan.geojson {name} --out out.geojson"));
        for part in [name, "km from the middle of the plan", "allowed is a place within 300 km of it", part] {
            assert!(ended.err.contains(part), "{} lacks {part}", ended.err);
        }
    }
}

#[test]
fn more_than_a_laptop_bears_is_refused_with_what_is_allowed_before_it_is_worked_out() {
    let desk = Desk::new();
    let plan = String::from_utf8(desk.read("brackenhope.plan.geojson")).expect("UTF-8");
    let strand = "{\"height_m\":0.2,\"wire\":\"ht-14ga\",\"live\":true}";
    let strands = format!("\"strands\":[{},", vec![strand; 600].join(","));
    let name = format!("\"name\":\"{}\"", "n".repeat(5000));
    let earth = |rods: &str| {
        let earth = format!(
            "{{\"type\":\"Feature\",\"id\":\"e9\",\"geometry\":{{\"type\":\"Point\",\"coordinates\":[-3.463,55.355]}},\"properties\":{{\"kind\":\"earth\",\"rods\":{rods}}}}},"
        );
        plan.replacen("\"features\":[", &format!("\"features\":[{earth}"), 1)
    };
    let lead_out = |conductors: &str| {
        let lead = format!(
            "{{\"type\":\"Feature\",\"id\":\"o9\",\"geometry\":{{\"type\":\"LineString\",\"coordinates\":[[-3.463,55.355],[-3.464,55.355]]}},\"properties\":{{\"kind\":\"lead_out\",\"conductors\":{conductors}}}}},"
        );
        plan.replacen("\"features\":[", &format!("\"features\":[{lead}"), 1)
    };
    let cases = [
        ("rods.geojson", earth("100000"), "rods: found 100000; allowed is a whole number from 0 to 60"),
        ("conductors.geojson", lead_out("1000"), "conductors: found 1000; allowed is a whole number from 0 to 6"),
        ("more.geojson", lead_out("2147483648"), "allowed is a whole number from 0 to 6"),
        ("strands.geojson", plan.replacen("\"strands\":[", &strands, 1), "found a list of 605; allowed is 30 at most"),
        (
            "bay.geojson",
            plan.replacen("\"max_bay_m\":8", "\"max_bay_m\":0.0001", 1),
            "max_bay_m: found 0.0001; allowed is a number from 0.5",
        ),
        (
            "name.geojson",
            plan.replacen("\"name\":\"West paddock\"", &name, 1),
            "found a text of 5000 letters; allowed is 500 letters at most",
        ),
    ];
    for (name, text, part) in cases {
        assert_ne!(text, plan, "{name}");
        desk.write(name, text);
        for words in ["check {}", "power {}", "order {}", "share {} x.pdf"] {
            let ended = refused(&desk, &words.replace("{}", name));
            assert!(ended.err.contains(part), "{name}: {}", ended.err);
        }
    }
}

#[test]
fn a_spreadsheet_that_claims_more_texts_than_it_holds_is_refused() {
    let desk = Desk::new();
    desk.write("count.xlsx", include_bytes!("../fixtures/false-count.xlsx"));
    for words in [
        "order brackenhope.plan.geojson --prices count.xlsx",
        "import brackenhope.plan.geojson --log count.xlsx --out after.geojson",
    ] {
        let ended = refused(&desk, words);
        assert!(ended.err.contains("count.xlsx") && ended.err.contains("uniqueCount: found 4294967295"), "{}", ended.err);
    }
}
