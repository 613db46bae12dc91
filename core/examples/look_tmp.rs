//! What the sample maps are there to show.

use hillwire_core::catalogue::Catalogue;
use hillwire_core::job::Job;
use hillwire_core::land::{GridFile, Ground, read_grid};
use hillwire_core::outcome::{Kept, Outcome, outcome};
use hillwire_core::plan::{Opened, Plan, read_plan};
use std::path::{Path, PathBuf};
use std::sync::Arc;

fn file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../sample-maps").join(name)
}

fn opened(name: &str) -> (Plan, Ground) {
    let text = std::fs::read(file(&format!("{name}.plan.geojson"))).expect("part of the repository");
    let Ok(Opened::Plan(plan, _)) = read_plan(name, &text) else { panic!("{name} is a plan") };
    let bytes = std::fs::read(file(&format!("{name}.tif"))).expect("part of the repository");
    let grid = Arc::new(read_grid(&GridFile { name, bytes: &bytes, prj: None }, &Job::new()).expect("a grid"));
    let frame = Ground::frame_of(&grid).expect("in UTM");
    (plan, Ground::new(grid, frame).expect("in UTM"))
}

fn worked_out(name: &str) -> Outcome {
    let (plan, ground) = opened(name);
    outcome(&plan, 1, Some(&ground), Catalogue::built_in(), &mut Kept::new())
}

fn main() {
    for name in ["brackenhope", "larkfold"] {
        let found = worked_out(name);
        println!("== {name}");
        for line in &found.lines {
            println!(
                "{} {:.0} m steepest {:.0} posts {} track {:?} {:?}",
                line.id,
                line.measure.ground_length.as_metres(),
                line.measure.steepest_pct,
                line.posts.len(),
                line.track_share,
                line.trouble
            );
        }
        for paddock in &found.paddocks {
            println!("{} {:.0} {:.0}", paddock.id, paddock.area.as_square_metres(), paddock.ground_area.as_square_metres());
        }
        for finding in &found.findings {
            println!(
                "{:?} {:?} {:?} {:.1}..{:.1} value {:.2} limit {:?} {:?} {:?}",
                finding.weight,
                finding.rule,
                finding.place.line.as_ref().map(|l| l.as_str()),
                finding.place.station.map_or(f64::NAN, |s| s.as_metres()),
                finding.place.until.map_or(f64::NAN, |s| s.as_metres()),
                finding.value,
                finding.limit,
                finding.reason,
                finding.remedies
            );
        }
    }
}
