//! The sample maps' plans are canonical: opening and saving them gives the same bytes.

use hillwire_core::plan::{Opened, read_plan, write_plan};
use std::path::Path;

fn sample_plans() -> Vec<(String, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-maps");
    let mut plans = Vec::new();
    for entry in std::fs::read_dir(folder).expect("the folder is part of the repository") {
        let path = entry.expect("readable").path();
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        if name.ends_with(".plan.geojson") {
            plans.push((name, std::fs::read(&path).expect("readable")));
        }
    }
    plans
}

#[test]
fn a_sample_plan_opens_without_a_note_and_saves_to_the_same_bytes() {
    let plans = sample_plans();
    assert!(plans.len() >= 2);
    for (name, text) in plans {
        match read_plan(&name, &text) {
            Ok(Opened::Plan(plan, notes)) => {
                assert_eq!(notes, [], "{name}");
                let saved = String::from_utf8(write_plan(&plan)).expect("UTF-8");
                let opened = String::from_utf8(text).expect("UTF-8");
                for (saved, opened) in saved.lines().zip(opened.lines()) {
                    assert_eq!(saved, opened, "{name}");
                }
                assert_eq!(saved.len(), opened.len(), "{name}");
            }
            other => panic!("{name}: {other:?}"),
        }
    }
}
