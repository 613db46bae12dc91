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
            (Rule::CornerLoad, Weight::MustFix, "east", 112.1),
            (Rule::Dip, Weight::MustFix, "east", 266.9),
            (Rule::Dip, Weight::MustFix, "between", 63.1),
            (Rule::WaterGap, Weight::MustFix, "west", 384.4),
            (Rule::WaterGap, Weight::MustFix, "east", 267.4),
            (Rule::Gate, Weight::LookAt, "between", 64.4),
            (Rule::Gate, Weight::LookAt, "", 0.0),
            (Rule::Uplift, Weight::LookAt, "west", 19.1),
            (Rule::Uplift, Weight::LookAt, "east", 27.9),
            (Rule::Dip, Weight::LookAt, "west", 206.8),
            (Rule::CrossSlope, Weight::LookAt, "east", 266.9),
            (Rule::Strikes, Weight::LookAt, "west", 354.9),
            (Rule::Strikes, Weight::LookAt, "west", 36.7),
            (Rule::Strikes, Weight::LookAt, "east", 236.0),
            (Rule::Strikes, Weight::LookAt, "east", 29.9),
            (Rule::StrikeWire, Weight::LookAt, "west", 354.9),
            (Rule::StrikeWire, Weight::LookAt, "west", 36.7),
            (Rule::StrikeWire, Weight::LookAt, "east", 29.9),
            (Rule::Rock, Weight::LookAt, "east", 104.3),
            (Rule::Rock, Weight::LookAt, "east", 266.2),
            (Rule::Erosion, Weight::LookAt, "", 0.0),
            (Rule::Erosion, Weight::LookAt, "", 0.0),
            (Rule::Gate, Weight::Note, "", 0.0),
            (Rule::Gate, Weight::Note, "", 0.0),
            (Rule::CrossSlope, Weight::Note, "west", 56.4),
            (Rule::CrossSlope, Weight::Note, "between", 63.1),
            (Rule::Tension, Weight::Note, "west", 249.5),
            (Rule::Tension, Weight::Note, "east", 234.3),
            (Rule::Sight, Weight::Note, "west", 0.0),
            (Rule::Sight, Weight::Note, "lead-out", 186.1),
            (Rule::Slope, Weight::Note, "", 0.0),
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
            (Rule::OverWay, Weight::MustFix, "lead-out-west", 65.7),
            (Rule::OverWay, Weight::MustFix, "lead-out-west", 62.1),
            (Rule::OverheadLine, Weight::LookAt, "top-field", 101.4),
            (Rule::OverheadLine, Weight::LookAt, "top-field", 498.3),
            (Rule::Gate, Weight::LookAt, "", 0.0),
            (Rule::Gate, Weight::LookAt, "", 0.0),
            (Rule::Strikes, Weight::LookAt, "top-field", 282.5),
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
    let lead_out = worked_out("brackenhope").lines.iter().find(|line| line.id.as_str() == "lead-out").map(|line| line.measure);
    let length_m = lead_out.expect("drawn").ground_length.as_metres();
    assert!((380.0..450.0).contains(&length_m), "{length_m}");
}

#[test]
fn paddocks_of_the_samples_are_enclosed() {
    for name in ["brackenhope", "larkfold"] {
        let found = worked_out(name);
        assert_eq!(found.paddocks.len(), 2);
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
