//! `hillwire share`.

use crate::desk::{Desk, SAMPLES};
use crate::others::{output_of, python};
use serde_json::Value;

const PLAN: &str = "brackenhope.plan.geojson";

#[test]
fn share_writes_geojson_that_any_map_program_reads() {
    let desk = Desk::new();
    for name in SAMPLES {
        let before = desk.read(name);
        let ended = desk.run(&format!("share {name} out.geojson --replace"));
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
    assert_eq!(desk.run(&format!("share {PLAN} order.csv")).status, 0);
    let sheet = String::from_utf8(desk.read("order.csv")).expect("UTF-8");
    assert!(sheet.starts_with("id,item,quantity,comes in,price of one,price,currency\r\n"), "{sheet}");
    assert!(sheet.lines().skip(1).all(|line| line.contains(",,,GBP") || line.contains(",,,,,GBP")), "{sheet}");
    let map = desk.run(&format!("share {PLAN} map.geojson --for supplier"));
    assert!(map.status == 2 && map.err.contains("the supplier gets no .geojson"), "{map:?}");
}

#[test]
fn a_map_of_more_than_the_frame_holds_is_refused() {
    let desk = Desk::new();
    for scale in ["1000001", "999999999"] {
        let ended = desk.run(&format!("share {PLAN} out.svg --scale {scale}"));
        assert_eq!(ended.status, 2, "{ended:?}");
        assert!(ended.err.contains(&format!("1 : {scale}")) && ended.err.contains("up to 1 : 1000000"), "{}", ended.err);
    }
    assert_eq!(desk.run(&format!("share {PLAN} out.svg --scale 1000000")).status, 0);
}

#[test]
fn share_refuses_an_ending_that_it_cannot_write() {
    let desk = Desk::new();
    let ended = desk.run(&format!("share {PLAN} out.docx"));
    assert_eq!(ended.status, 2);
    assert!(ended.err.contains(".docx") && ended.err.contains(".geojson"), "{}", ended.err);
}

/// The sample plan with a note, and what a neighbour must not learn.
fn private(desk: &Desk) -> [&'static str; 4] {
    let text = String::from_utf8(desk.read(PLAN)).expect("UTF-8");
    let noted = text.replacen("\"kind\":\"fence\",", "\"kind\":\"fence\",\"note\":\"paid too much for it\",", 1);
    assert_ne!(noted, text);
    desk.write("noted.plan.geojson", noted);
    ["paid too much", "gilts", "0.12", "14.5"]
}

#[test]
fn gdal_reads_every_map_file_with_all_its_lines() {
    let desk = Desk::new();
    let secrets = private(&desk);
    for (name, layers) in
        [("out.geojson", vec!["out"]), ("out.gpx", vec!["waypoints", "tracks"]), ("out.kml", vec!["Brackenhope"])]
    {
        assert_eq!(desk.run(&format!("share noted.plan.geojson {name}")).status, 0);
        let text = String::from_utf8(desk.read(name)).expect("UTF-8");
        assert!(secrets.iter().all(|secret| !text.contains(secret)), "{name}: a neighbour learns nothing private");
        assert!(text.contains("electric fence") && text.contains("painful shock"), "{name}");
        let path = desk.path(name).display().to_string();
        let mut count = 0;
        for layer in layers {
            let Some(says) = output_of("ogrinfo", &["-ro", "-so", &path, layer]) else { return };
            let found = says.lines().find_map(|line| line.strip_prefix("Feature Count: ")).expect("a count");
            count += found.trim().parse::<usize>().expect("a number");
        }
        let shared: Value = serde_json::from_slice(&desk.read("out.geojson")).expect("JSON");
        assert_eq!(count, shared["features"].as_array().map_or(0, Vec::len), "{name}: GDAL finds as many things");
    }
    assert_eq!(desk.run("share noted.plan.geojson builder.kml --for contractor").status, 0);
    assert!(String::from_utf8_lossy(&desk.read("builder.kml")).contains("paid too much"), "who builds it reads the notes");
}

#[test]
fn more_is_shared_only_where_it_is_asked_for_and_there_is_room_for_it() {
    let desk = Desk::new();
    let holds = |options: &str, part: &str| {
        let ended = desk.run(&format!("share brackenhope.plan.geojson out.html --replace {options}"));
        assert_eq!(ended.status, 0, "{ended:?}");
        String::from_utf8_lossy(&desk.read("out.html")).contains(part)
    };
    assert!(!holds("", "What was found") && holds("--also findings", "What was found"));
    assert!(!holds("--also notes", "What was found"), "one is not the other");
    for (words, allowed) in [
        ("share brackenhope.plan.geojson no.html --also prices", "findings, notes, marks, log"),
        ("share brackenhope.plan.geojson no.xlsx --also log", "prices"),
        ("share brackenhope.plan.geojson no.html --for round --also prices", "nothing more"),
    ] {
        let ended = desk.run(words);
        assert!(ended.status == 2 && ended.err.contains(allowed), "{ended:?}");
    }
    assert!(!desk.names().iter().any(|name| name.starts_with("no.")));
}

/// Of a page drawn by poppler: the shortest of the long dark runs at the left below the map. That is the black half of the scale bar; at its edges it
/// goes on in the rim of the white half.
const BAR: &str = r"
import sys
data = open(sys.argv[1], 'rb').read()
kind, size, most, pixels = data.split(b'\n', 3)
wide, high = map(int, size.split())
runs = []
for row in range(int(high * 0.6), high):
    run = best = 0
    for value in pixels[row * wide:row * wide + wide // 2]:
        run = run + 1 if value < 128 else 0
        best = max(best, run)
    if best > 300:
        runs.append(best)
print(min(runs))
";

#[test]
fn a_printed_map_is_to_scale_and_its_words_are_words() {
    let desk = Desk::new();
    for (paper, size) in [("a4", "595.276 x 841.89"), ("letter", "612 x 792")] {
        let ended = desk.run(&format!("share {PLAN} map.pdf --scale 5000 --paper {paper} --replace"));
        assert_eq!(ended.status, 0, "{ended:?}");
        let path = desk.path("map.pdf").display().to_string();
        let Some(about) = output_of("pdfinfo", &[&path]) else { return };
        let line = about.lines().find(|line| line.starts_with("Page size")).expect("it has a size").to_owned();
        let turned: Vec<&str> = size.split(" x ").collect();
        assert!(line.contains(size) || line.contains(&format!("{} x {}", turned[1], turned[0])), "{line}");
        let Some(words) = output_of("pdftotext", &["-layout", &path, "-"]) else { return };
        for wanted in
            ["Brackenhope", "Scale 1 : 5000", "electric fence", "Local codes", "″N", "″W", "Contour lines every", "West paddock"]
        {
            assert!(words.contains(wanted), "{wanted}: {words}");
        }
        assert!(!words.contains("gilts") && !words.contains('£'), "{words}");
        let picture = desk.path("page").display().to_string();
        if output_of("pdftoppm", &["-r", "600", "-gray", "-singlefile", &path, &picture]).is_none() {
            return;
        }
        // The black half of the bar is the longest dark run at the left below the map: 100 m at 1 : 5000 are 20 mm, 472.4 points of 600 to an inch.
        let Some(found) = python("sys", BAR, &[&format!("{picture}.pgm")]) else { return };
        let (found, wanted) = (found.trim().parse::<f64>().expect("a number"), 0.02 / 0.0254 * 600.0);
        assert!((found - wanted).abs() <= wanted * 0.005, "{found} {wanted}");
    }
}

#[test]
fn a_scale_that_does_not_fit_is_refused_with_the_one_that_does() {
    let desk = Desk::new();
    let ended = desk.run(&format!("share {PLAN} map.pdf --scale 500"));
    assert!(ended.status == 2 && ended.err.contains("does not fit on the sheet; 1 : "), "{ended:?}");
}

#[test]
fn sheets_hold_what_whoever_gets_them_may_see() {
    let desk = Desk::new();
    for (to, pages, has, has_not) in [
        ("neighbour", 1..=1, "map", "to buy"),
        ("supplier", 1..=2, "to buy", "long section"),
        ("contractor", 4..=8, "Work of one person", "£"),
        ("keeper", 4..=8, "£", "gilts of nobody"),
        ("round", 3..=7, "long section", "to buy"),
    ] {
        assert_eq!(desk.run(&format!("share {PLAN} {to}.pdf --for {to} --grey")).status, 0);
        let path = desk.path(&format!("{to}.pdf")).display().to_string();
        let Some(about) = output_of("pdfinfo", &[&path]) else { return };
        let found: usize =
            about.lines().find_map(|line| line.strip_prefix("Pages:")).and_then(|text| text.trim().parse().ok()).expect("pages");
        assert!(pages.contains(&found), "{to}: {found}");
        let words = output_of("pdftotext", &["-layout", &path, "-"]).unwrap_or_default();
        assert!(words.contains(has) && !words.contains(has_not), "{to}: {words}");
    }
}

#[test]
fn pictures_show_the_map_or_the_long_section_of_a_line() {
    let desk = Desk::new();
    assert_eq!(desk.run(&format!("share {PLAN} map.svg")).status, 0);
    let map = String::from_utf8(desk.read("map.svg")).expect("UTF-8");
    assert!(map.contains("mm\"") && map.contains("Scale 1 : "), "it is to scale");
    assert_eq!(desk.run(&format!("share {PLAN} map.png --for keeper")).status, 0);
    assert!(desk.read("map.png").starts_with(b"\x89PNG"));
    assert_eq!(desk.run(&format!("share {PLAN} section.svg --line west")).status, 0);
    assert!(String::from_utf8_lossy(&desk.read("section.svg")).contains("long section"));
    assert_eq!(desk.run(&format!("share {PLAN} section.svg --line nowhere")).status, 2);
}

#[test]
fn the_web_page_asks_nothing_of_any_other_place_and_keeps_what_is_private() {
    let desk = Desk::new();
    let secrets = private(&desk);
    let hostile = String::from_utf8(desk.read("noted.plan.geojson")).expect("UTF-8");
    desk.write("noted.plan.geojson", hostile.replacen("\"name\":\"West paddock\"", "\"name\":\"<script>x()</script>@map@\"", 1));
    assert_eq!(desk.run("share noted.plan.geojson page.html --contact Ring_the_bell").status, 0);
    let page = String::from_utf8(desk.read("page.html")).expect("UTF-8");
    assert!(page.len() < 1_500_000, "{} bytes", page.len());
    for wanted in ["default-src 'none'", "name=\"viewport\"", "Ring_the_bell", "painful shock", "Track gate"] {
        assert!(page.contains(wanted), "{wanted}");
    }
    for other in ["http:", "https:", "src=", "href=", "url(", "@import", "<script>x"] {
        assert!(!page.contains(other), "{other} asks for something");
    }
    assert!(secrets.iter().all(|secret| !page.contains(secret)));
    assert_eq!(desk.run("share noted.plan.geojson page.html --replace --for contractor").status, 0);
    assert!(String::from_utf8_lossy(&desk.read("page.html")).contains("What was found"));
}

/// What Chromium makes of a page: the document after its scripts have run, and what its console said.
fn in_chromium(page: &str, wide: u32) -> Option<(String, String)> {
    let size = format!("--window-size={wide},844");
    let own = tempfile::tempdir().expect("a folder for the browser");
    let kept = format!("--user-data-dir={}", own.path().display());
    let arguments =
        ["--headless", "--no-sandbox", "--disable-gpu", "--enable-logging=stderr", "--v=0", &kept, &size, "--dump-dom", page];
    let Ok(output) = std::process::Command::new("chromium").args(arguments).output() else {
        let _ = output_of("chromium", &[]);
        return None;
    };
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    Some((String::from_utf8_lossy(&output.stdout).into_owned(), String::from_utf8_lossy(&output.stderr).into_owned()))
}

#[test]
fn chromium_shows_the_page_on_a_desk_and_on_a_phone_without_a_complaint() {
    let desk = Desk::new();
    assert_eq!(desk.run(&format!("share {PLAN} page.html")).status, 0);
    let page = format!("file://{}", desk.path("page.html").display());
    for wide in [1280, 390] {
        let Some((document, console)) = in_chromium(&page, wide) else { return };
        assert!(!console.contains("CONSOLE"), "{console}");
        // The script has run: names that lie on each other are hidden, others are not, and signs keep their size.
        assert!(document.contains("visibility: visible"), "{wide}");
        assert!(document.contains("West paddock") && document.contains("Track gate"), "{wide}");
    }
}
