//! Paths of a plan's other files: relative to the folder that the plan is kept in, so that a folder can be moved as a whole.

use hillwire_core::plan::{Head, Plan};
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

/// A path outside a plan's folder is named from there when both lie in a folder at least so deep; else in full.
const DEEP_ENOUGH: usize = 2;

fn paths(head: &mut Head) -> impl Iterator<Item = &mut String> {
    let pictures = head.pictures.iter_mut().map(|link| &mut link.file);
    head.elevation.iter_mut().map(|link| &mut link.file).chain(pictures)
}

/// The folder of a file, in full.
fn folder_of(file: &Path) -> Option<PathBuf> {
    std::path::absolute(file).ok()?.parent().map(Path::to_owned)
}

fn written(path: &Path) -> String {
    path.to_string_lossy().replace('\\', "/")
}

/// Makes the paths of a plan's files relative to the folder it is saved in, where they lie in or below it.
pub fn with_paths_beside(head: &Head, file: &Path) -> Head {
    let (mut head, folder) = (head.clone(), folder_of(file));
    for path in paths(&mut head) {
        let relative = folder.as_ref().and_then(|folder| Path::new(path.as_str()).strip_prefix(folder).ok());
        if let Some(relative) = relative {
            *path = written(relative);
        }
    }
    head
}

/// Names a plan's files in full: the same files, wherever the plan is kept next.
pub fn with_paths_in_full(head: &Head, file: &Path) -> Head {
    let (mut head, folder) = (head.clone(), folder_of(file));
    for path in paths(&mut head).filter(|path| !Path::new(path.as_str()).is_absolute()) {
        if let Some(folder) = &folder {
            *path = written(&without_detours(&folder.join(path.as_str())));
        }
    }
    head
}

/// Whether two files are kept in the same folder.
pub fn is_beside(one: &Path, other: &Path) -> bool {
    folder_of(one) == folder_of(other)
}

/// A plan that was read from one place, as it is written to another: it names the same files.
pub fn moved(plan: &Plan, from: &Path, to: &Path) -> Plan {
    Plan { head: Arc::new(named_from(&plan.head, Some(from), to)), ..plan.clone() }
}

/// The head of a plan that was kept in one place, or nowhere, as it is kept in another: it names the same files.
pub fn named_from(head: &Head, from: Option<&Path>, to: &Path) -> Head {
    let mut head = match from {
        Some(from) if is_beside(from, to) => return head.clone(),
        Some(from) => with_paths_beside(&with_paths_in_full(head, from), to),
        None => with_paths_beside(head, to),
    };
    if let Some(folder) = folder_of(to) {
        for path in paths(&mut head).filter(|path| Path::new(path.as_str()).is_absolute()) {
            if let Some(way) = way_between(&folder, Path::new(path.as_str())) {
                *path = written(&way);
            }
        }
    }
    head
}

/// The path from a folder up and down again to a file.
fn way_between(folder: &Path, file: &Path) -> Option<PathBuf> {
    let (up, down): (Vec<_>, Vec<_>) = (folder.components().collect(), file.components().collect());
    let shared = up.iter().zip(&down).take_while(|(one, other)| one == other).count();
    let named = up[..shared].iter().filter(|part| matches!(part, Component::Normal(_))).count();
    let ups = up[shared..].iter().map(|_| Component::ParentDir);
    (named >= DEEP_ENOUGH).then(|| ups.chain(down[shared..].iter().copied()).collect())
}

/// `a/b/../c` as `a/c`.
fn without_detours(path: &Path) -> PathBuf {
    let mut plain = PathBuf::new();
    for part in path.components() {
        match part {
            Component::ParentDir if plain.file_name().is_some() => drop(plain.pop()),
            Component::CurDir => {}
            part => plain.push(part),
        }
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;
    use hillwire_core::plan::FileLink;

    #[cfg(unix)]
    #[test]
    fn a_plan_that_is_written_elsewhere_names_the_same_files() {
        for (named, from, to, expected) in [
            ("hill.tif", "/srv/keeper/farm/plan", "/srv/keeper/farm/copy", "hill.tif"),
            ("hill.tif", "/srv/keeper/farm/plan", "/srv/keeper/farm/out/copy", "../hill.tif"),
            ("grids/hill.tif", "/srv/keeper/farm/plan", "/srv/keeper/copy", "farm/grids/hill.tif"),
            ("../hill.tif", "/srv/keeper/farm/plan", "/srv/keeper/copy", "hill.tif"),
            ("../hill.tif", "/srv/keeper/farm/plan", "/srv/keeper/out/copy", "../hill.tif"),
            ("hill.tif", "/srv/keeper/farm/plan", "/media/stick/copy", "/srv/keeper/farm/hill.tif"),
            ("/data/hill.tif", "/srv/keeper/farm/plan", "/srv/keeper/copy", "/data/hill.tif"),
            ("/srv/keeper/hill.tif", "/srv/keeper/farm/plan", "/srv/keeper/copy", "hill.tif"),
        ] {
            let head = Head { elevation: vec![FileLink::from(named)], ..Head::default() };
            let moved = moved(&Plan::new(head, Vec::new()), Path::new(from), Path::new(to));
            assert_eq!(moved.head.elevation[0].file, expected, "{named} from {from} to {to}");
        }
    }
}
