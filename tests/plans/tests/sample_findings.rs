//! What the sample maps are there to show: exactly the findings that their README promises, at their places; and that
//! their generator still writes them.

use hillwire_core::catalogue::Catalogue;
use hillwire_core::finding::{Finding, Rule, Weight};
use hillwire_core::job::Job;
use hillwire_core::land::{GridFile, Ground, read_grid};
use hillwire_core::outcome::{Kept, Outcome, outcome};
use hillwire_core::plan::{Opened, read_plan};
use hillwire_core::units::Length;
use std::path::{Path, PathBuf};
use std::sync::Arc;

fn file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-maps").join(name)
}

fn worked_out(name: &str) -> Outcome {
    let text = std::fs::read(file(&format!("{name}.plan.geojson"))).expect("part of the repository");
    let Ok(Opened::Plan(plan, _)) = read_plan(name, &text) else { panic!("{name} is a plan") };
    let bytes = std::fs::read(file(&format!("{name}.tif"))).expect("part of the repository");
    let grid = Arc::new(read_grid(&GridFile { name, bytes: &bytes, prj: None }, &Job::new()).expect("a grid"));
    let frame = Ground::frame_of(&grid).expect("in UTM");
    let ground = Ground::new(grid, frame).expect("in UTM");
    outcome(&plan, 1, Some(&ground), Catalogue::built_in(), &mut Kept::new())
}

/// Rule, weight, line (none: the plan as a whole), and about where along it, in metres.
type Promise = (Rule, Weight, &'static str, f64);

fn kept_promise(finding: &Finding, (rule, weight, line, station_m): &Promise) -> bool {
    let near = |station: Length| (station.as_metres() - station_m).abs() < 3.0;
    finding.rule == *rule
        && finding.weight == *weight
        && finding.place.line.as_ref().map_or("", |id| id.as_str()) == *line
        && finding.place.station.is_none_or(near)
}

fn promises(name: &str, promised: &[Promise]) {
    let findings = worked_out(name).findings;
    let told: Vec<String> = findings
        .iter()
        .map(|finding| format!("{:?} {:?} {:?} {:?}", finding.rule, finding.weight, finding.place.line, finding.place.station))
        .collect();
    assert_eq!(findings.len(), promised.len(), "{name}: {told:#?}");
    for (finding, promise) in findings.iter().zip(promised) {
        assert!(kept_promise(finding, promise), "{name}: promised {promise:?} of {told:#?}");
    }
}

#[test]
fn brackenhope_has_the_findings_of_its_readme() {
    promises(
        "brackenhope",
        &[
            (Rule::Gate, Weight::MustFix, "between", 77.1),
            (Rule::CornerLoad, Weight::MustFix, "west", 131.0),
            (Rule::CornerLoad, Weight::MustFix, "south", 80.1),
            (Rule::Dip, Weight::MustFix, "west", 293.9),
            (Rule::Dip, Weight::MustFix, "west", 351.3),
            (Rule::WaterGap, Weight::MustFix, "west", 293.9),
            (Rule::WaterGap, Weight::MustFix, "west", 357.1),
            (Rule::Holds, Weight::MustFix, "east", 0.0),
            (Rule::Water, Weight::MustFix, "", 0.0),
            (Rule::Gate, Weight::LookAt, "", 0.0),
            (Rule::CornerLoad, Weight::LookAt, "west", 182.7),
            (Rule::Uplift, Weight::LookAt, "west", 71.2),
            (Rule::Dip, Weight::LookAt, "between", 0.0),
            (Rule::CrossSlope, Weight::LookAt, "west", 351.3),
            (Rule::CrossSlope, Weight::LookAt, "east", 211.7),
            (Rule::Strikes, Weight::LookAt, "west", 44.5),
            (Rule::Strikes, Weight::LookAt, "west", 0.0),
            (Rule::Strikes, Weight::LookAt, "east", 20.4),
            (Rule::Strikes, Weight::LookAt, "south", 168.0),
            (Rule::StrikeWire, Weight::LookAt, "west", 44.5),
            (Rule::StrikeWire, Weight::LookAt, "west", 0.0),
            (Rule::StrikeWire, Weight::LookAt, "south", 168.0),
            (Rule::Rock, Weight::LookAt, "west", 350.9),
            (Rule::Rock, Weight::LookAt, "south", 67.2),
            (Rule::FarEnd, Weight::LookAt, "west", 375.0),
            (Rule::FarEnd, Weight::LookAt, "between", 103.1),
            (Rule::Erosion, Weight::LookAt, "", 0.0),
            (Rule::Gate, Weight::Note, "", 0.0),
            (Rule::Gate, Weight::Note, "", 0.0),
            (Rule::CrossSlope, Weight::Note, "between", 74.7),
            (Rule::CrossSlope, Weight::Note, "south", 169.9),
            (Rule::Tension, Weight::Note, "west", 70.6),
            (Rule::Tension, Weight::Note, "east", 204.2),
            (Rule::StrikeWire, Weight::Note, "east", 20.4),
            (Rule::TrackGrade, Weight::Note, "track", 0.0),
        ],
    );
}

#[test]
fn larkfold_has_the_findings_of_its_readme() {
    promises(
        "larkfold",
        &[
            (Rule::PublicWay, Weight::MustFix, "top-field", 284.0),
            (Rule::OverWay, Weight::MustFix, "lead-out", 214.5),
            (Rule::OverWay, Weight::MustFix, "lead-out-west", 65.7),
            (Rule::OverWay, Weight::MustFix, "lead-out-west", 62.1),
            (Rule::OverheadLine, Weight::LookAt, "top-field", 101.4),
            (Rule::OverheadLine, Weight::LookAt, "top-field", 498.3),
            (Rule::Gate, Weight::LookAt, "", 0.0),
            (Rule::Gate, Weight::LookAt, "", 0.0),
            (Rule::Strikes, Weight::LookAt, "top-field", 282.5),
            (Rule::LeadOut, Weight::LookAt, "lead-out", 0.0),
            (Rule::Holds, Weight::LookAt, "top-field", 0.0),
            (Rule::PublicWay, Weight::Note, "top-field", 259.7),
            (Rule::PublicWay, Weight::Note, "top-field", 814.1),
            (Rule::Gate, Weight::Note, "", 0.0),
            (Rule::CrossSlope, Weight::Note, "top-field", 70.3),
            (Rule::Tension, Weight::Note, "top-field", 4.6),
            (Rule::Tension, Weight::Note, "west-field", 319.4),
            (Rule::Access, Weight::Note, "top-field", 289.7),
            (Rule::Sight, Weight::Note, "top-field", 413.1),
            (Rule::Sight, Weight::Note, "west-field", 417.2),
            (Rule::AreaPerHead, Weight::Note, "", 0.0),
            (Rule::AreaPerHead, Weight::Note, "", 0.0),
            (Rule::TrackGrade, Weight::Note, "field-track", 0.0),
        ],
    );
}

#[test]
fn the_ground_of_the_samples_is_as_their_readme_says() {
    let relief = |name: &str| {
        let bytes = std::fs::read(file(&format!("{name}.tif"))).expect("part of the repository");
        let grid = read_grid(&GridFile { name, bytes: &bytes, prj: None }, &Job::new()).expect("a grid");
        let heights = || grid.heights_m.iter().copied();
        assert_eq!(grid.notes, [], "{name}");
        (
            grid.columns,
            grid.rows,
            heights().fold(f32::NEG_INFINITY, f32::max) - heights().fold(f32::INFINITY, f32::min),
            bytes.len(),
        )
    };
    for (name, cells, relief_m) in [("brackenhope", 600, 134.0), ("larkfold", 400, 60.0)] {
        let (columns, rows, found_m, size) = relief(name);
        assert_eq!((columns, rows), (cells, cells), "{name}");
        assert!((found_m - relief_m).abs() < 1.0 && size < 2_000_000, "{name}: {found_m} m, {size} bytes");
    }
    // The one energizer stands close to its fences, the other at the steading.
    for (name, about_m) in [("brackenhope", 20.0..60.0), ("larkfold", 380.0..450.0)] {
        let lead_out = worked_out(name).lines.iter().find(|line| line.id.as_str() == "lead-out").map(|line| line.measure);
        let length_m = lead_out.expect("drawn").ground_length.as_metres();
        assert!(about_m.contains(&length_m), "{name}: {length_m}");
    }
}

#[test]
fn paddocks_of_the_samples_are_enclosed() {
    for (name, paddocks) in [("brackenhope", 3), ("larkfold", 2)] {
        let found = worked_out(name);
        assert_eq!(found.paddocks.len(), paddocks, "{name}");
        assert!(found.paddocks.iter().all(|paddock| paddock.ring.len() >= 4), "{name}");
    }
}

#[test]
fn the_generator_writes_the_samples_byte_for_byte() {
    let samples = sample_maps::samples();
    assert_eq!(samples.len(), 2);
    for sample in samples {
        let stored = |ending: &str| std::fs::read(file(&format!("{}.{ending}", sample.name))).expect("part of the repository");
        assert!(stored("plan.geojson") == sample.plan, "{}: the plan differs", sample.name);
        if let Some(rounds) = &sample.rounds {
            let stored = std::fs::read_to_string(file(&format!("{}-rounds.csv", sample.name))).expect("part of the repository");
            assert_eq!(stored, *rounds, "{}", sample.name);
        }
        assert!(stored("tif") == sample.grid.to_geotiff().expect("can be written"), "{}: the grid differs", sample.name);
    }
}
