//! Every caution of the one table stands where the table says: in what commands print, on sheets, on the page, in map files, in the README. The
//! window's own places are walked in `tests/screens`.

use crate::desk::{Desk, samples};
use crate::others::output_of;
use hillwire::words::cautions::{CAUTIONS, Place, at};

/// A plan with a bull and an overhead line. Only where a section is drawn it needs ground: there a tree carries a line.
fn desk() -> Desk {
    let desk = Desk::new();
    let plan = String::from_utf8(desk.read("larkfold.plan.geojson")).expect("UTF-8");
    let bull = plan.replacen(
        "{\"id\":\"sucklers\",\"species\":\"cattle\",",
        "{\"id\":\"sucklers\",\"species\":\"cattle\",\"class\":\"bull\",",
        1,
    );
    assert_ne!(bull, plan);
    let tree = "{\"type\":\"Feature\",\"id\":\"oak\",\"geometry\":{\"type\":\"Point\",\"coordinates\":[-2.2122,55.211793167]},\
                \"properties\":{\"kind\":\"tree\",\"diameter_m\":0.4}},\n";
    let flat = bull.replacen("\"elevation\":[{\"file\":\"larkfold.tif\"}]", "\"elevation\":[]", 1);
    assert_ne!(flat, bull);
    desk.write("bull.plan.geojson", flat);
    desk.write("tree.plan.geojson", plan.replacen("\"features\":[\n", &format!("\"features\":[\n{tree}"), 1));
    desk
}

fn in_one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What a command prints.
fn printed(desk: &Desk, words: &str) -> Option<String> {
    let ended = desk.run(words);
    assert!(ended.status < 2, "{words}: {ended:?}");
    Some(in_one_line(&ended.out))
}

/// What a file holds that a command wrote; of a PDF what poppler reads, which may be missing.
fn written(desk: &Desk, words: &str, name: &str) -> Option<String> {
    let ended = desk.run(words);
    assert_eq!(ended.status, 0, "{words}: {ended:?}");
    let text = if name.ends_with(".pdf") {
        output_of("pdftotext", &["-layout", &desk.path(name).display().to_string(), "-"])?
    } else {
        String::from_utf8(desk.read(name)).expect("UTF-8")
    };
    Some(in_one_line(&text.replace("&#39;", "'").replace("&apos;", "'").replace("<span class=\"own\">", " ")))
}

/// Everything that is read at a place, each by itself; `None` for places of the window.
fn outputs(desk: &Desk, place: Place) -> Option<Vec<Option<String>>> {
    const PLAN: &str = "bull.plan.geojson";
    let shared = |options: &str, name: &str| written(desk, &format!("share {PLAN} {name} --replace {options}"), name);
    Some(match place {
        Place::Check => vec![printed(desk, &format!("check {PLAN} --only barbed"))],
        Place::Mend => vec![printed(desk, &format!("mend {PLAN}"))],
        Place::OrderCommand => {
            vec![printed(desk, &format!("order {PLAN}"))]
        }
        Place::SectionCommand => vec![printed(desk, &format!("section {PLAN} --line west-field"))],
        Place::SectionWithTree => {
            let prints = printed(desk, "section tree.plan.geojson --line top-field --svg tree.svg --replace");
            vec![prints, Some(of_drawing(&desk.read("tree.svg")))]
        }
        Place::TrackSection => vec![printed(desk, &format!("section {PLAN} --line field-track"))],
        Place::PowerCommand => vec![printed(desk, &format!("power {PLAN}"))],
        Place::Locate => {
            desk.write("today.csv", "line,station_m,kv\ntop-field,60,6.1\ntop-field,250,3.2\n");
            vec![printed(desk, &format!("locate {PLAN} --readings today.csv"))]
        }
        Place::RoundCommand => vec![printed(desk, &format!("round {PLAN}"))],
        Place::RoundCommandWithStock => vec![printed(desk, &format!("round {PLAN}"))],
        Place::RoundSheet => vec![written(desk, &format!("round {PLAN} --sheet round.pdf --replace"), "round.pdf")],
        Place::RoundSheetWithStock => vec![written(desk, &format!("round {PLAN} --sheet round.pdf --replace"), "round.pdf")],
        Place::MapSheet => vec![shared("", "map.pdf")],
        Place::MapSheetForWork => vec![shared("--for contractor", "map.pdf")],
        Place::SectionSheet => vec![Some(of_drawing(&desk.read("tree.svg")))],
        Place::OrderSheet => vec![shared("--for supplier", "order.pdf")],
        Place::Page => vec![shared("", "page.html")],
        Place::PageEntry => vec![shared("", "page.html").map(|page| page.split("<h2>").skip(1).collect())],
        Place::MapFiles => ["map.geojson", "map.gpx", "map.kml"].map(|name| shared("", name)).into(),
        Place::Readme => {
            let readme = std::fs::read_to_string(samples().join("../README.md")).expect("part of the repository");
            vec![Some(in_one_line(&readme))]
        }
        _ => return None,
    })
}

/// The words of a drawing: its lines of text, one after the other.
fn of_drawing(svg: &[u8]) -> String {
    let svg = String::from_utf8_lossy(svg).replace("&#39;", "'").replace("&apos;", "'");
    let texts = svg.split("<text").skip(1).filter_map(|text| Some(text.split_once('>')?.1.split_once("</text>")?.0));
    in_one_line(&texts.collect::<Vec<_>>().join(" "))
}

#[test]
fn every_caution_stands_where_the_table_says() {
    let desk = desk();
    let mut places: Vec<Place> = CAUTIONS.iter().flat_map(|caution| caution.stands).copied().collect();
    places.sort_by_key(|place| *place as usize);
    places.dedup();
    let mut walked = 0;
    for place in places {
        let Some(outputs) = outputs(&desk, place) else { continue };
        walked += 1;
        for text in outputs.iter().flatten() {
            for says in at(place) {
                assert!(text.contains(says), "{place:?} does not say “{says}”: {text}");
            }
        }
    }
    assert_eq!(walked, 20, "a place of the table is neither here nor in the window");
}

#[test]
fn what_is_only_said_where_the_danger_is_is_not_said_elsewhere() {
    let desk = desk();
    let plain = printed(&desk, "round brackenhope.plan.geojson").expect("printed");
    assert!(at(Place::RoundCommandWithStock).all(|says| !plain.contains(says)), "three sows without litters: {plain}");
    let told = desk.run("round bull.plan.geojson --json").json();
    assert_eq!(told["may_attack"][0]["animal"], "bull");
    assert_eq!(told["may_attack"][0]["paddock"], "top");
    assert_eq!(told["may_attack"].as_array().map(Vec::len), Some(1), "ewes do not");
    let west = printed(&desk, "section bull.plan.geojson --line west-field").expect("printed");
    assert!(at(Place::SectionWithTree).all(|says| !west.contains(says)));
    let page = written(&desk, "share bull.plan.geojson page.html", "page.html").expect("written");
    let electric = page.matches(hillwire_core::share::ELECTRIC_CAUTION).count();
    assert_eq!(electric, 1, "what holds for the whole fence is said once in full");
}

#[test]
fn check_mend_and_order_end_with_the_general_caution() {
    let desk = desk();
    for words in ["check", "mend", "order"] {
        let text = printed(&desk, &format!("{words} bull.plan.geojson")).expect("printed");
        assert!(text.ends_with(at(Place::Check).last().expect("one")), "{words}: {text}");
    }
}
