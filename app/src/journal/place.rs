//! Where journals stand: beside the plan file, or in the user's data folder; which of them is whose, and which plan is open in which window.

use crate::files::try_lock;
use std::fs::{self, File, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

/// How journals in the data folder are called: of plans that are kept nowhere, of plan files, and what was discarded and is kept aside.
pub(super) const UNSAVED: &str = "unsaved-";
pub(super) const OF_PLAN: &str = "plan-";
pub(super) const DISCARDED: &str = "discarded-";
/// How each of them ends.
pub(super) const ENDING: &str = ".journal";

/// Where journals stand that cannot stand beside a plan file.
pub fn usual_folder() -> Option<PathBuf> {
    let folders = directories::ProjectDirs::from("", "", "hillwire")?;
    fs::create_dir_all(folders.data_dir()).ok()?;
    Some(folders.data_dir().to_owned())
}

/// The one path of a plan file, whatever links lead to it.
pub fn true_path(plan_file: &Path) -> PathBuf {
    let absolute = || std::path::absolute(plan_file).unwrap_or_else(|_| plan_file.to_owned());
    fs::canonicalize(plan_file).unwrap_or_else(|_| match (plan_file.parent(), plan_file.file_name()) {
        (Some(folder), Some(name)) => fs::canonicalize(folder).map_or_else(|_| absolute(), |folder| folder.join(name)),
        _ => absolute(),
    })
}

/// The journal beside a plan file.
pub fn beside(plan_file: &Path) -> PathBuf {
    let mut name = plan_file.file_name().map(std::ffi::OsStr::to_owned).unwrap_or_default();
    name.push(ENDING);
    plan_file.with_file_name(name)
}

/// Where the journal of a plan may stand.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Places {
    /// Where it belongs.
    pub home: Option<PathBuf>,
    /// Where else it may stand: the data folder,
    pub folder: Option<PathBuf>,
    /// with a name that begins so.
    pub prefix: String,
}

impl Places {
    /// Of a plan that is kept nowhere.
    pub fn of_unsaved(folder: Option<PathBuf>) -> Self {
        Self { home: None, folder, prefix: UNSAVED.to_owned() }
    }

    /// Of a plan file.
    pub fn of_plan(plan_file: &Path, folder: Option<PathBuf>) -> Self {
        let path = true_path(plan_file);
        Self { home: Some(beside(&path)), folder, prefix: prefix_of(&path) }
    }

    /// Of a plan file that another window has open: the place beside it is that one's.
    pub fn of_plan_held_elsewhere(plan_file: &Path, folder: Option<PathBuf>) -> Self {
        Self { home: None, ..Self::of_plan(plan_file, folder) }
    }

    /// Names in the data folder, in turn.
    pub(super) fn elsewhere(&self) -> impl Iterator<Item = PathBuf> + use<> {
        let prefix = self.prefix.clone();
        let numbered = move |folder: PathBuf| {
            let prefix = prefix.clone();
            (1..1000).map(move |number| folder.join(format!("{prefix}{number}{ENDING}")))
        };
        self.folder.clone().into_iter().flat_map(numbered)
    }
}

/// How the journals of a plan file are called in the data folder.
pub(super) fn prefix_of(true_path: &Path) -> String {
    format!("{OF_PLAN}{}-", key_of(true_path))
}

/// A short name for a path (FNV-1a, 64 bits): what it is a name of stands in the file as well.
fn key_of(true_path: &Path) -> String {
    let bytes = true_path.as_os_str().as_encoded_bytes();
    let hash =
        bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3));
    format!("{hash:016x}")
}

/// That this window has a plan file open. It ends with the window, however that ends.
#[derive(Debug)]
pub struct Hold {
    true_path: PathBuf,
    _file: File,
}

/// Who has a plan file open.
#[derive(Clone, Debug)]
pub enum Held {
    /// This window.
    Here(Arc<Hold>),
    /// Another one.
    Elsewhere,
    /// That cannot be told: there is no folder for locks.
    Unknown,
}

/// How long a program that was killed may take to be gone, and its locks with it.
pub(super) const DYING: Duration = Duration::from_millis(1500);

/// Takes hold of a plan file for this window; one that is just being closed, or dies, is waited for.
pub fn hold_soon(plan_file: &Path, folder: Option<&Path>, mine: Option<&Arc<Hold>>) -> Held {
    let began = Instant::now();
    loop {
        match hold(plan_file, folder, mine) {
            Held::Elsewhere if began.elapsed() < DYING => std::thread::sleep(Duration::from_millis(50)),
            held => return held,
        }
    }
}

/// Takes hold of a plan file for this window, which may have it already.
pub fn hold(plan_file: &Path, folder: Option<&Path>, mine: Option<&Arc<Hold>>) -> Held {
    let true_path = true_path(plan_file);
    if let Some(mine) = mine.filter(|mine| mine.true_path == true_path) {
        return Held::Here(Arc::clone(mine));
    }
    let Some(folder) = folder.map(|folder| folder.join("open")) else { return Held::Unknown };
    let place = folder.join(format!("{}.lock", key_of(&true_path)));
    let made = fs::create_dir_all(&folder).and_then(|()| OpenOptions::new().create(true).append(true).open(&place));
    let Ok(mut file) = made else { return Held::Unknown };
    if !try_lock(&file) {
        return Held::Elsewhere;
    }
    // For whoever looks into the folder; nothing reads it.
    let _ = file.set_len(0).and_then(|()| writeln!(file, "{}", true_path.display()));
    Held::Here(Arc::new(Hold { true_path, _file: file }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_window_has_a_plan_however_its_path_is_spelled_until_it_ends() {
        let folder = tempfile::tempdir().expect("a folder");
        let (data, plan) = (folder.path().join("data"), folder.path().join("farm.plan.geojson"));
        fs::write(&plan, "{}").expect("written");
        let Held::Here(first) = hold(&plan, Some(&data), None) else { panic!("nobody else has it") };
        let again = folder.path().join(".").join("farm.plan.geojson");
        assert!(matches!(hold(&again, Some(&data), None), Held::Elsewhere));
        assert!(matches!(hold(&again, Some(&data), Some(&first)), Held::Here(_)), "the same window may open it again");
        assert!(matches!(hold(&folder.path().join("other.geojson"), Some(&data), None), Held::Here(_)));
        drop(first);
        assert!(matches!(hold(&again, Some(&data), None), Held::Here(_)), "a lock that nobody holds blocks nobody");
        assert!(matches!(hold(&plan, None, None), Held::Unknown));
    }

    #[cfg(unix)]
    #[test]
    fn a_plan_has_one_journal_whatever_links_lead_to_it() {
        let folder = tempfile::tempdir().expect("a folder");
        let (plan, link) = (folder.path().join("farm.plan.geojson"), folder.path().join("link.geojson"));
        fs::write(&plan, "{}").expect("written");
        std::os::unix::fs::symlink(&plan, &link).expect("linked");
        assert_eq!(Places::of_plan(&link, None), Places::of_plan(&plan, None));
        let new = folder.path().join("not-yet.plan.geojson");
        assert_eq!(true_path(&new), fs::canonicalize(folder.path()).expect("there").join("not-yet.plan.geojson"));
    }
}
