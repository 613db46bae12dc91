//! Every file that ever did what no file may, with what it did and what is said of it now. A row is a file of `fixtures/`, with all that lies
//! beside it under the same stem, or one that `src/made.rs` makes because it is too large to keep.

mod driven;

use driven::{Report, follow, process};
use std::fs;
use std::path::Path;

struct Row {
    file: &'static str,
    by: By,
    /// What it once did.
    did: &'static str,
    now: Now,
}

/// Who reads it.
enum By {
    Reader(&'static str),
    Command(&'static str),
}

/// What is right.
#[derive(Clone, Copy)]
enum Now {
    /// It is read, and all that follows from it is worked out.
    Read,
    /// A command tells what was asked.
    Told,
    /// It is refused, and this is part of what is said.
    Refused(&'static str),
}

use By::{Command, Reader};
use Now::{Read, Refused, Told};

const fn row(file: &'static str, by: By, did: &'static str, now: Now) -> Row {
    Row { file, by, did, now }
}

const ROWS: [Row; 28] = [
    row(
        "rods.plan.geojson",
        Reader("plan"),
        "100 000 rods: aborted for want of 80 GB",
        Refused("earth, properties.rods: found 100000; allowed is"),
    ),
    row(
        "conductors.plan.geojson",
        Reader("plan"),
        "1000 conductors: longer than two minutes",
        Refused("properties.conductors: found 1000; allowed is"),
    ),
    row(
        "strands.plan.geojson",
        Reader("plan"),
        "300 strands: longer than a minute",
        Refused("builds[0].strands: found a list of 300"),
    ),
    row(
        "tangle.plan.geojson",
        Command("measure"),
        "a phone that lay still drawn as a fence: 13 s and 612 MB for 2 000 places, over 1 GB for 4 000",
        Refused("fences and lead-outs that cross at more than 20000 places"),
    ),
    row(
        "swapped.plan.geojson",
        Command("check"),
        "a corner 58 degrees away: its line was left out without a word",
        Refused("feature east"),
    ),
    row("names.plan.geojson", Reader("plan"), "markup and control characters in every name: escapes went to the terminal", Read),
    row(
        "shared-strings.xlsx",
        Reader("prices-xlsx"),
        "says 4 294 967 295 words: aborted for want of 103 GB",
        Refused("found 4294967295 texts; allowed are"),
    ),
    row("lying-size.xlsx", Reader("prices-xlsx"), "300 MB called a thousand bytes", Refused("spreadsheet")),
    row("semicolons.csv", Reader("readings"), "semicolons and decimal commas: refused, though rounds are read so", Read),
    row(
        "heading-only.csv",
        Reader("readings"),
        "a heading without readings: the message named the plan",
        Refused("a heading and nothing below it"),
    ),
    row(
        "many-readings.csv",
        Command("locate readings.plan.geojson --readings"),
        "300 readings: longer than two minutes",
        Refused("allowed are 40"),
    ),
    row("formula.gpx", Reader("gpx"), "a remark that is a formula: went into the table of the log as one", Read),
    row(
        "tie-point.tif",
        Reader("geotiff"),
        "a tie point that is no number: the message spoke of the size of cells",
        Refused("its corner lies at NaN"),
    ),
    row(
        "wide-picture.png",
        Reader("png"),
        "30 000 x 30 000 points: 6 GB, or a picture missing without a word",
        Refused("cannot be decoded"),
    ),
    row(
        "nothing-there.tif",
        Reader("geotiff"),
        "350 bytes that say 20 000 x 20 000 cells: 1.6 GB",
        Refused("it says 20000 columns and 20000 rows, but has only"),
    ),
    row("attributes.gpx", Reader("gpx"), "200 000 attributes in one element: 37 s", Refused("an element with 200002 attributes")),
    row(
        "many-texts.xlsx",
        Reader("prices-xlsx"),
        "ten million texts that no cell has: 50 s",
        Refused("texts; allowed are 500000"),
    ),
    row(
        "long-fence.plan.geojson",
        Command("check"),
        "a fence of 380 km by one wrong digit: 18 s for each command",
        Refused("fences and lead-outs of 38"),
    ),
    row("many-marks.plan.geojson", Command("measure"), "400 paddock marks in one paddock: over 22 s", Told),
    row(
        "many-paddocks.plan.geojson",
        Reader("plan"),
        "20 000 paddocks: over 21 s for measure, check and section",
        Refused("features of the kind paddock; allowed is 2000"),
    ),
    row("many-alike.plan.geojson", Command("check"), "1800 paddock marks in one paddock: 6 s and more, by the square", Told),
    row(
        "many-gates.plan.geojson",
        Reader("plan"),
        "20 000 gates: over 21 s for a round",
        Refused("features of the kind gate; allowed is 5000"),
    ),
    row(
        "many-earths.plan.geojson",
        Reader("plan"),
        "20 000 earths: 20 s for mend",
        Refused("features of the kind earth; allowed is 1000"),
    ),
    row(
        "many-energizers.plan.geojson",
        Reader("plan"),
        "100 energizers on a line: 8 s for check, 200: 31 s",
        Refused("features of the kind energizer; allowed is 30"),
    ),
    row(
        "many-properties.plan.geojson",
        Reader("plan"),
        "100 000 properties that are not known: 46 s for mend",
        Refused("feature pen, properties: found 100000 that are not known; allowed is 2000"),
    ),
    row("net.plan.geojson", Command("round"), "30 of 60 lines across as many others: 20 s for a round", Told),
    row("deep.plan.geojson", Reader("plan"), "lists 100 000 deep", Refused("line 1")),
    row("deep.kml", Reader("kml"), "elements 100 000 deep", Refused("nothing in it could be taken in")),
];

/// Why this is not how it ended, if so.
fn differs(report: &Report, now: &Now) -> Option<String> {
    let sort = report.sort.as_str();
    if let Some(fault) = report.fault() {
        return Some(fault);
    }
    let is_so = match now {
        Read => sort == "read",
        Told => sort == "told",
        Refused(says) => sort == "refused" && report.words.contains(says),
    };
    (!is_so).then(|| format!("{sort}: {}", report.words.chars().take(400).collect::<String>()))
}

/// Reads the file of a row in a folder of its own.
fn read(row: &Row) -> Report {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let stem = |name: &str| name.split('.').next().unwrap_or_default().to_owned();
    let mut is_kept = false;
    for (name, path) in fixtures() {
        if stem(&name) == stem(row.file) {
            fs::copy(path, folder.path().join(&name)).expect("the folder is ours");
            is_kept = true;
        }
    }
    if !is_kept {
        assert!(
            process(&["make", row.file], folder.path()).status().expect("the process starts").success(),
            "{} is nowhere",
            row.file
        );
    }
    let words = match row.by {
        Reader(reader) => ["read", reader, row.file],
        Command(command) => ["tell", command, row.file],
    };
    let mut reports = Vec::new();
    follow(&words, folder.path(), |report| reports.push(report));
    reports.pop().expect("one at least")
}

fn fixtures() -> Vec<(String, std::path::PathBuf)> {
    let entries = fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures")).expect("the fixtures are here").flatten();
    entries.map(|entry| (entry.file_name().to_string_lossy().into_owned(), entry.path())).collect()
}

#[test]
fn files_that_once_failed_are_read_or_refused_as_is_right() {
    let mut wrong = Vec::new();
    for row in &ROWS {
        if let Some(fault) = differs(&read(row), &row.now) {
            wrong.push(format!("{} ({}): {fault}", row.file, row.did));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn every_fixture_has_a_row_and_is_small() {
    for (name, path) in fixtures() {
        let stem = name.split('.').next();
        assert!(ROWS.iter().any(|row| row.file.split('.').next() == stem), "{name} has no row");
        assert!(fs::metadata(path).expect("it is listed").len() < 20_000, "{name} is not small");
    }
}
