//! What a new plan starts with: builds for the usual stock, to be changed by whoever knows better.

use hillwire_core::plan::{Build, FileLink, Head, Plan, Strand};
use hillwire_core::units::{Force, Length};
use std::path::Path;

/// A new plan on an elevation grid. The grid's path stays absolute until the plan is saved.
pub fn plan_on(grid: &Path) -> Plan {
    let stem = grid.file_stem().map(|stem| stem.to_string_lossy().replace(['_', '-'], " ")).unwrap_or_default();
    let mut letters = stem.chars();
    let name = letters.next().map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str());
    let absolute = std::path::absolute(grid).unwrap_or_else(|_| grid.to_owned());
    let elevation = vec![FileLink::from(absolute.to_string_lossy().as_ref())];
    Plan::new(Head { name, elevation, builds: builds(), ..Head::default() }, Vec::new())
}

/// Makes the paths of a plan's files relative to the folder it is saved in, where they lie in or below it.
pub fn with_paths_beside(plan: &Plan, file: &Path) -> Head {
    let mut head = (*plan.head).clone();
    let folder = file.parent().map(|folder| std::path::absolute(folder).unwrap_or_else(|_| folder.to_owned()));
    for link in head.elevation.iter_mut().chain(&mut head.pictures) {
        let relative = folder.as_ref().and_then(|folder| Path::new(&link.file).strip_prefix(folder).ok());
        if let Some(relative) = relative {
            link.file = relative.to_string_lossy().replace('\\', "/");
        }
    }
    head
}

/// Strands by stock, at the heights of the animal catalogue's rows; where it has none, common practice, no source.
fn builds() -> Vec<Build> {
    vec![
        build("pig-2", &[0.20, 0.45], 8.0, 450.0),
        build("weaner-3", &[0.10, 0.25, 0.40], 8.0, 450.0),
        build("sheep-4", &[0.15, 0.32, 0.52, 0.75], 10.0, 600.0),
        build("cattle-2", &[0.50, 0.90], 15.0, 667.0),
    ]
}

fn build(id: &str, heights_m: &[f64], max_bay_m: f64, tension_n: f64) -> Build {
    let strand = |&height_m: &f64| Strand {
        height: Length::metres(height_m),
        wire: "ht-14ga".to_owned(),
        live: true,
        ..Strand::default()
    };
    Build {
        id: id.to_owned(),
        strands: heights_m.iter().map(strand).collect(),
        line_post: "wood-75".to_owned(),
        corner_post: "wood-150".to_owned(),
        max_bay: Length::metres(max_bay_m),
        tension: Force::newtons(tension_n),
        ..Build::default()
    }
}
