//! What each recipient's files hold of a plan full of secret words, in every form: the table of `core/src/share/recipient.rs`, read from outside.

use crate::desk::Desk;
use crate::others::output_of;
use calamine::{Data, Reader, Xlsx};
use std::io::Cursor;

/// Words of a plan, with who may read them, in the order keeper, neighbour, supplier, contractor, round.
const WORDS: [(&str, &str); 20] = [
    ("SECRETNOTE", "k--cr"),
    ("SECRETMARK", "k--cr"),
    ("SECRETROCK", "k--cr"),
    ("SECRETCROP", "k--cr"),
    ("SECRETTREE", "k--cr"),
    ("SECRETREADING", "k---r"),
    ("SECRETFAULT", "k---r"),
    ("SECRETPHOTO", "k---r"),
    ("SECRETHERD", "k---r"),
    ("97531", "k----"),
    ("86421", "k--c-"),
    ("SECRETID", "k--cr"),
    ("SECRETRODS", "k--cr"),
    ("SECRETTROUGH", "k--cr"),
    ("SECRETNEIGHBOUR", "k----"),
    ("SECRETLAYOUT", "k----"),
    ("SECRETMEMBER", "k----"),
    ("SECRETFILE", "k----"),
    ("SECRETMETER", "k----"),
    ("Known paddock", "kn-cr"),
];

const RECIPIENTS: [&str; 5] = ["keeper", "neighbour", "supplier", "contractor", "round"];
const FORMS: [&str; 9] = ["geojson", "gpx", "kml", "csv", "xlsx", "svg", "png", "pdf", "html"];

fn farm() -> Desk {
    let desk = Desk::new();
    std::fs::copy(desk.path("brackenhope.tif"), desk.path("SECRETFILE.tif")).expect("ours");
    let plan = String::from_utf8(desk.read("brackenhope.plan.geojson")).expect("UTF-8");
    let at = |nth: usize| format!("[{:.6},55.3545]", -3.4644 + 0.0004 * nth as f64);
    let point = |nth: usize, properties: &str| {
        format!(
            "{{\"type\":\"Feature\",\"id\":\"x{nth}\",\"geometry\":{{\"type\":\"Point\",\"coordinates\":{}}},\"properties\":{{{properties}}}}},\n",
            at(nth)
        )
    };
    let zone = |nth: usize, properties: &str| {
        let (west, east) = (-3.4644 + 0.0004 * nth as f64, -3.4642 + 0.0004 * nth as f64);
        format!(
            "{{\"type\":\"Feature\",\"id\":\"x{nth}\",\"geometry\":{{\"type\":\"Polygon\",\"coordinates\":[[[{west:.6},55.3542],[{east:.6},55.3542],[{east:.6},55.3544],[{west:.6},55.3542]]]}},\"properties\":{{\"kind\":\"zone\",{properties}}}}},\n"
        )
    };
    let further = [
        point(0, "\"kind\":\"mark\",\"name\":\"SECRETMARK\""),
        point(1, "\"kind\":\"tree\",\"name\":\"SECRETTREE\""),
        point(2, "\"kind\":\"reading\",\"name\":\"SECRETREADING\",\"kv\":6.1,\"at_time\":\"2026-04-02\",\"meter\":\"SECRETMETER\""),
        point(3, "\"kind\":\"fault\",\"name\":\"SECRETFAULT\",\"what\":\"branch\",\"seen\":\"2026-04-02\",\"mended\":\"2026-04-02\""),
        point(4, "\"kind\":\"photo\",\"name\":\"SECRETPHOTO\",\"file\":\"SECRETFILE.jpg\""),
        point(8, "\"kind\":\"earth\",\"name\":\"SECRETRODS\""),
        point(9, "\"kind\":\"water\",\"name\":\"SECRETTROUGH\""),
        zone(5, "\"name\":\"SECRETROCK\",\"of\":\"rock\",\"value\":0.3"),
        zone(6, "\"name\":\"SECRETCROP\",\"of\":\"crop\",\"value\":1.0"),
        "{\"type\":\"Feature\",\"id\":\"x7\",\"geometry\":{\"type\":\"LineString\",\"coordinates\":[[-3.4660,55.3538],[-3.4610,55.3538]]},\"properties\":{\"kind\":\"boundary\",\"neighbour\":\"SECRETNEIGHBOUR\"}},\n".to_owned(),
    ];
    let further = further.map(|feature| feature.replace("\"id\":\"x5\"", "\"id\":\"SECRETID\""));
    let changes = [
        ("\"features\":[\n", format!("\"features\":[\n{}", further.concat())),
        ("brackenhope.tif", "SECRETFILE.tif".to_owned()),
        (
            "\"kind\":\"fence\",\"name\":\"West paddock\"",
            "\"kind\":\"fence\",\"name\":\"Known paddock\",\"note\":\"SECRETNOTE\",\"mine\":\"SECRETMEMBER\"".to_owned(),
        ),
        ("gilts", "SECRETHERD".to_owned()),
        ("\"stake-sawn\":3.6", "\"stake-sawn\":97531".to_owned()),
        ("\"stake-sawn\":30", "\"stake-sawn\":86421".to_owned()),
        (
            "\"builds\":",
            "\"layouts\":[{\"name\":\"SECRETLAYOUT\",\"features\":[]}],\"whose\":\"SECRETMEMBER\",\"builds\":".to_owned(),
        ),
    ];
    let secret = changes.iter().fold(plan, |plan, (from, to)| {
        assert!(plan.contains(from), "{from}");
        plan.replace(from, to)
    });
    desk.write("secret.plan.geojson", secret);
    desk
}

/// All that can be read of a file; `None` where what reads it is not installed.
fn text_of(desk: &Desk, name: &str) -> Option<String> {
    let bytes = desk.read(name);
    if name.ends_with(".pdf") {
        return output_of("pdftotext", &["-layout", &desk.path(name).display().to_string(), "-"]);
    }
    if name.ends_with(".xlsx") {
        let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).expect("a spreadsheet");
        let cell = |cell: &Data| format!("{cell}\n");
        let sheets = book.worksheets();
        return Some(
            sheets.iter().map(|(name, cells)| name.clone() + &cells.rows().flatten().map(cell).collect::<String>()).collect(),
        );
    }
    Some(String::from_utf8_lossy(&bytes).into_owned())
}

#[test]
fn nobody_reads_in_any_form_what_is_not_theirs() {
    let desk = farm();
    for (column, recipient) in RECIPIENTS.iter().enumerate() {
        let mut written = 0;
        for form in FORMS {
            for more in ["", " --line west"] {
                let name = format!("{recipient}{}.{form}", more.len());
                let ended = desk.run(&format!("share secret.plan.geojson {name} --for {recipient}{more}"));
                if ended.status != 0 {
                    assert!(
                        ended.status == 2 && (ended.err.contains(" gets no ") || ended.err.contains("nothing to print")),
                        "{ended:?}"
                    );
                    continue;
                }
                written += 1;
                let Some(text) = text_of(&desk, &name) else { continue };
                let text = text.replace([' ', '\u{202f}', '\u{a0}'], "");
                for (word, who) in WORDS {
                    let may = who.as_bytes()[column] != b'-';
                    assert!(may || !text.contains(&word.replace(' ', "")), "{name}: {word}");
                }
            }
        }
        assert!(written >= 3, "{recipient}: {written}");
    }
}

#[test]
fn no_form_holds_signs_that_no_eye_sees() {
    const HIDDEN: [char; 14] = [
        '\u{202e}', '\u{2066}', '\u{2069}', '\u{200f}', '\u{61c}', '\u{200b}', '\u{feff}', '\u{85}', '\u{9b}', '\u{1b}', '\u{7}',
        '\u{7f}', '\u{1}', '\u{2060}',
    ];
    let desk = Desk::new();
    let plan = String::from_utf8(desk.read("brackenhope.plan.geojson")).expect("UTF-8");
    let escaped: String = HIDDEN.iter().map(|sign| format!("\\u{:04x}", u32::from(*sign))).collect();
    let named = format!("\"name\":\"West{escaped} \\rpaddock\",\"note\":\"seen{escaped}\"");
    let fault = format!(
        "\"features\":[\n{{\"type\":\"Feature\",\"id\":\"odd\",\"geometry\":{{\"type\":\"Point\",\"coordinates\":[-3.4644,55.3545]}},\"properties\":{{\"kind\":\"fault\",\"what\":\"branch\",\"seen\":\"2026-04-02\",\"parts\":\"a{escaped}\\rb\",\"note\":\"c{escaped}\\rd\"}}}},\n"
    );
    let odd = plan.replacen("\"name\":\"West paddock\"", &named, 1).replacen("\"features\":[\n", &fault, 1);
    assert!(odd.matches(&escaped).count() == 4, "the plan changed");
    desk.write("odd.plan.geojson", odd);
    for form in ["geojson", "gpx", "kml", "csv", "svg", "html"] {
        assert_eq!(desk.run(&format!("share odd.plan.geojson odd.{form} --for keeper")).status, 0, "{form}");
    }
    assert_eq!(desk.run("log odd.plan.geojson --csv log.csv").status, 0);
    for name in ["odd.geojson", "odd.gpx", "odd.kml", "odd.csv", "odd.svg", "odd.html", "log.csv"] {
        let text = String::from_utf8(desk.read(name)).expect("UTF-8").replace("\r\n", "\n");
        let found: Vec<char> = text.chars().filter(|sign| HIDDEN.contains(sign) || *sign == '\r').collect();
        assert!(found.is_empty(), "{name}: {found:?}");
        let is_written_out = HIDDEN.iter().any(|sign| text.contains(&format!("\\u{:04x}", u32::from(*sign))));
        assert!(!is_written_out, "{name}: a text is the same however it is written");
    }
}

#[test]
fn what_is_secret_to_others_stands_in_the_files_of_those_who_may_read_it() {
    let desk = farm();
    for (recipient, form, words) in [
        (
            "keeper",
            "geojson",
            &[
                "SECRETNOTE",
                "SECRETMARK",
                "SECRETROCK",
                "SECRETCROP",
                "SECRETTREE",
                "SECRETREADING",
                "SECRETFAULT",
                "SECRETPHOTO",
            ][..],
        ),
        ("contractor", "kml", &["SECRETNOTE", "SECRETMARK", "SECRETROCK", "Known paddock"]),
        ("round", "gpx", &["SECRETREADING", "SECRETFAULT", "SECRETMARK"]),
        ("keeper", "csv", &["97531", "86421"]),
        ("contractor", "csv", &["86421"]),
        ("neighbour", "geojson", &["Known paddock", "crop", "rock"]),
        ("neighbour --also marks", "gpx", &["SECRETMARK", "SECRETROCK", "SECRETCROP", "SECRETTREE"]),
        ("neighbour --also notes,log", "geojson", &["SECRETNOTE", "SECRETREADING"]),
    ] {
        let name = format!("{}.{form}", recipient.replace([' ', ','], "-"));
        let ended = desk.run(&format!("share secret.plan.geojson {name} --for {recipient}"));
        assert_eq!(ended.status, 0, "{recipient}: {ended:?}");
        let text = text_of(&desk, &name).expect("no program is needed");
        for word in words {
            assert!(text.contains(word), "{name}: {word}");
        }
    }
}
