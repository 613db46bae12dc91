//! What stands in the way of writing to a path: what is written never takes the place of what it is made from, and of nothing else unasked.

use super::air::world_endings;
use super::waiting::is_stream;
use hillwire_core::plan::Head;
use std::ffi::OsStr;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// What stands at a path that is to be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Over {
    /// Nothing, or what cannot be replaced: a device, a pipe, a folder.
    Nothing,
    /// The plan itself: right for saving it, wrong for anything else.
    Own,
    /// A file that the plan or the command reads, or the plan's journal: never written over.
    Input(PathBuf),
    /// Any other file: written over only once somebody has said so.
    Another {
        /// When it was last changed, where the system knows.
        modified: Option<SystemTime>,
    },
}

/// The files that outlive whatever is written: the plan, its journal, what it reads, and what a command reads.
#[derive(Clone, Debug, Default)]
pub struct Guard {
    own: Option<PathBuf>,
    inputs: Vec<PathBuf>,
}

impl Guard {
    /// The files of a plan: itself, its elevation grids, its air photos, and what lies beside these and is read with them.
    pub fn of_plan(file: Option<&Path>, head: &Head) -> Self {
        let folder = file.and_then(Path::parent).unwrap_or(Path::new(""));
        let links = head.elevation.iter().map(|link| &link.file).chain(head.pictures.iter().map(|link| &link.file));
        Self { own: file.map(Path::to_owned), inputs: Vec::new() }.with(links.map(|named| folder.join(named)))
    }

    /// An elevation grid, and what lies beside it and is read with it.
    pub fn of_grid(grid: &Path) -> Self {
        Self { own: Some(grid.to_owned()), inputs: Vec::new() }.with([grid.to_owned()])
    }

    /// These files too, with what lies beside them and is read with them.
    #[must_use]
    pub fn with(mut self, inputs: impl IntoIterator<Item = PathBuf>) -> Self {
        for input in inputs {
            let beside = world_endings(&input).into_iter().chain(["prj".to_owned(), "PRJ".to_owned()]);
            let beside: Vec<PathBuf> = beside.map(|ending| input.with_extension(ending)).filter(|path| path.exists()).collect();
            self.inputs.push(input);
            self.inputs.extend(beside);
        }
        self
    }

    /// What stands in the way of writing to a path.
    pub fn over(&self, path: &Path) -> Over {
        let about = fs::metadata(path).ok();
        if is_stream(path) || about.as_ref().is_some_and(fs::Metadata::is_dir) {
            return Over::Nothing;
        }
        // What is missing is guarded too: a grid that is not there today is still named by the plan.
        let place = place_of(path);
        if let Some(own) = &self.own {
            let own = place_of(own);
            if place == own {
                return Over::Own;
            }
            if is_journal(&place, &own) {
                return Over::Input(path.to_owned());
            }
        }
        if let Some(input) = self.inputs.iter().find(|input| place_of(input) == place) {
            return Over::Input(input.clone());
        }
        about.or_else(|| link_to_no_end(path)).map_or(Over::Nothing, |about| Over::Another { modified: about.modified().ok() })
    }
}

/// A link that leads back to itself: a file that is there, although nothing can be read of it. One that leads to a place where nothing is yet is
/// a name for that place.
fn link_to_no_end(path: &Path) -> Option<fs::Metadata> {
    let leads_nowhere = |reason: io::Error| reason.kind() != io::ErrorKind::NotFound;
    let link = fs::symlink_metadata(path).ok().filter(fs::Metadata::is_symlink)?;
    fs::metadata(path).is_err_and(leads_nowhere).then_some(link)
}

/// Whether two paths name one file.
pub fn same_place(one: &Path, other: &Path) -> bool {
    place_of(one) == place_of(other)
}

/// A file's own place, however it is spelled and through whatever links; of a file that is not there yet, the place where it would be.
fn place_of(path: &Path) -> PathBuf {
    fs::canonicalize(path).unwrap_or_else(|_| {
        let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        fs::canonicalize(folder).map_or_else(|_| path.to_owned(), |folder| folder.join(path.file_name().unwrap_or_default()))
    })
}

/// Whether a file is the journal that stands beside a plan file, or was made from it.
fn is_journal(place: &Path, plan: &Path) -> bool {
    let name = |path: &Path| path.file_name().map(OsStr::to_string_lossy).unwrap_or_default().into_owned();
    place.parent() == plan.parent() && name(place).starts_with(&format!("{}.journal", name(plan)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use hillwire_core::plan::{FileLink, PictureLink};

    #[test]
    fn what_a_plan_is_made_from_is_told_from_all_other_files() {
        let folder = tempfile::tempdir().expect("a folder");
        let at = |name: &str| folder.path().join(name);
        fs::create_dir(at("grids")).expect("made");
        for name in [
            "farm.plan.geojson",
            "farm.plan.geojson.journal",
            "grids/hill.asc",
            "grids/hill.prj",
            "air.png",
            "air.pgw",
            "read.csv",
        ] {
            fs::write(at(name), b"x").expect("written");
        }
        fs::write(at("other.csv"), b"x").expect("written");
        let head = Head {
            elevation: vec![FileLink::from("grids/hill.asc"), FileLink::from("missing.tif")],
            pictures: vec![PictureLink::from("air.png")],
            ..Head::default()
        };
        let guard = Guard::of_plan(Some(&at("farm.plan.geojson")), &head).with([at("read.csv")]);
        for name in ["farm.plan.geojson", "./farm.plan.geojson", "grids/../farm.plan.geojson"] {
            assert_eq!(guard.over(&at(name)), Over::Own, "{name}");
        }
        for name in
            ["farm.plan.geojson.journal", "grids/hill.asc", "grids/hill.prj", "missing.tif", "air.png", "air.pgw", "read.csv"]
        {
            assert!(matches!(guard.over(&at(name)), Over::Input(_)), "{name}: {:?}", guard.over(&at(name)));
        }
        for name in ["new.csv", "grids", "no-such-folder/a.csv"] {
            assert_eq!(guard.over(&at(name)), Over::Nothing, "{name}");
        }
        assert!(matches!(guard.over(&at("other.csv")), Over::Another { modified: Some(_) }));
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink(at("grids/hill.asc"), at("link.csv")).expect("linked");
            assert!(matches!(guard.over(&at("link.csv")), Over::Input(_)));
            assert_eq!(guard.over(Path::new("/dev/null")), Over::Nothing);
            std::os::unix::fs::symlink(at("loop.csv"), at("loop.csv")).expect("linked");
            assert!(matches!(guard.over(&at("loop.csv")), Over::Another { .. }), "it stays unless somebody says otherwise");
            std::os::unix::fs::symlink(at("not-yet.csv"), at("ahead.csv")).expect("linked");
            assert_eq!(guard.over(&at("ahead.csv")), Over::Nothing);
        }
    }
}
