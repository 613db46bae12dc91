//! The README's commands, as they stand there.

use crate::desk::{Desk, samples};

/// What a reader brings along.
const TODAY: &str = "line,station_m,kv\nwest,60,6.1\nwest,250,3.2\n";
const WALK: &str = "<gpx><trk><name>Old way</name><trkseg><trkpt lat=\"55.353\" lon=\"-3.463\"/><trkpt lat=\"55.354\" lon=\"-3.462\"/></trkseg></trk></gpx>";

#[test]
fn every_command_of_the_readme_works_on_the_sample_maps() {
    let desk = Desk::new();
    desk.write(
        "brackenhope-rounds.csv",
        std::fs::read(samples().join("brackenhope-rounds.csv")).expect("part of the repository"),
    );
    desk.write("today.csv", TODAY);
    desk.write("walk.gpx", WALK);
    let readme = std::fs::read_to_string(samples().join("../README.md")).expect("part of the repository");
    let commands: Vec<String> =
        readme.lines().filter_map(|line| line.strip_prefix("hillwire ")).map(|line| line.replace("sample-maps/", "")).collect();
    assert!(commands.len() >= 15, "{commands:?}");
    for words in commands {
        let ended = desk.run(&words);
        // What must be fixed ends a check with 1.
        let fine = if words.starts_with("check") { [0, 1] } else { [0, 0] };
        assert!(fine.contains(&ended.status), "{words}: {ended:?}");
    }
}

#[test]
fn a_plan_that_is_written_into_another_folder_finds_its_ground_there() {
    let desk = Desk::new();
    std::fs::create_dir(desk.path("elsewhere")).expect("the folder is ours");
    for words in [
        "mend brackenhope.plan.geojson --take 1 --out elsewhere/mended.plan.geojson",
        "reroute brackenhope.plan.geojson --line west --choose strikes -o elsewhere/moved.plan.geojson",
    ] {
        assert_eq!(desk.run(words).status, 0, "{words}");
    }
    for name in ["mended", "moved"] {
        let ended = desk.run(&format!("measure elsewhere/{name}.plan.geojson"));
        assert_eq!((ended.status, ended.err.as_str()), (0, ""), "{name}");
        let plan = String::from_utf8(desk.read(&format!("elsewhere/{name}.plan.geojson"))).expect("a text");
        assert!(plan.contains("brackenhope.tif"));
    }
}
