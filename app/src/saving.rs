//! Saving a plan over what stands there, and noticing what another program made of its file: nothing of anybody's is replaced unasked.

use crate::files::{self, FileMark, FileTrouble, Guard, Over, is_write_protected, mark_of, mark_of_bytes};
use crate::journal::{Held, Hold, SoFar, hold};
use hillwire_core::plan::{self, Plan};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What may be replaced by a plan that is saved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Replaces {
    /// Nothing: the name has to be free.
    Nothing,
    /// The plan's own file, as it was last read or written here.
    Own(Option<FileMark>),
    /// Whatever is there: the keeper has said so.
    Anything,
}

/// A plan to be saved.
#[derive(Clone, Debug)]
pub struct SaveRequest {
    /// Where.
    pub path: PathBuf,
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// The plan whose bytes these are.
    pub plan: Plan,
    /// What may be replaced.
    pub replaces: Replaces,
    /// Whether a file that is write-protected may be replaced too.
    pub even_protected: bool,
    /// What the plan is made from is never written over.
    pub guard: Guard,
    /// The data folder, where it stands which window has which plan open.
    pub folder: Option<PathBuf>,
    /// The plan that this window has open.
    pub hold: Option<Arc<Hold>>,
    /// What the journal has to have written before.
    pub after: Option<SoFar>,
}

/// A plan that was saved.
#[derive(Debug)]
pub struct Saved {
    /// Where.
    pub path: PathBuf,
    /// The plan, as it was when that was asked for.
    pub plan: Plan,
    /// Its file as it is now.
    pub mark: FileMark,
    /// That this window has it open.
    pub hold: Option<Arc<Hold>>,
}

/// Why nothing was written: the keeper has to say more.
#[derive(Clone, Debug)]
pub enum Refusal {
    /// Another file has that name.
    Exists,
    /// The file is write-protected.
    Protected,
    /// The plan's file is no longer where it was opened.
    Gone,
    /// Another program has written the plan's file meanwhile.
    Changed(Theirs),
}

/// The plan's file as another program left it.
#[derive(Clone, Debug)]
pub struct Theirs {
    /// The file.
    pub path: PathBuf,
    /// What tells it from others.
    pub mark: FileMark,
    /// Its bytes.
    pub bytes: Arc<[u8]>,
    /// The plan in it, or why it is none.
    pub plan: Result<Plan, String>,
}

/// The plan's file as it was found.
#[derive(Debug)]
pub struct Looked {
    /// The file.
    pub path: PathBuf,
    /// Whether there is none any more.
    pub is_gone: bool,
    /// What another program has written into it.
    pub theirs: Option<Theirs>,
}

impl Theirs {
    /// What stands in a file now, when that is not what is known of it. A file that is gone is nobody's.
    ///
    /// # Errors
    /// [`FileTrouble`] when it cannot be read.
    pub fn of(path: &Path, known: &[FileMark]) -> Result<Option<Self>, FileTrouble> {
        if known.iter().any(|mark| mark.looks_same(path)) {
            return Ok(None);
        }
        let unreadable = |reason| FileTrouble::Unreadable { file: path.to_owned(), reason };
        let Some((mark, bytes)) = mark_of(path).map_err(unreadable)? else { return Ok(None) };
        if known.iter().any(|known| known.same_content(&mark)) {
            return Ok(None);
        }
        let plan = match plan::read_plan(&path.display().to_string(), &bytes) {
            Ok(plan::Opened::Plan(plan, _)) => Ok(plan),
            Ok(plan::Opened::Import(..)) => Err(format!("{}: this is not a plan any more", path.display())),
            Err(trouble) => Err(trouble.to_string()),
        };
        Ok(Some(Self { path: path.to_owned(), mark, bytes: Arc::from(bytes), plan }))
    }
}

/// How saving ended.
#[derive(Debug)]
pub enum SaveEnd {
    /// It is on the disk.
    Saved(Box<Saved>),
    /// Nothing was written.
    Refused(Box<SaveRequest>, Refusal),
    /// It could not be written: one sentence.
    Failed(String),
}

/// What was written last, so that a save that was asked for before it was known does not take it for another program's.
pub type LastWritten = Option<(PathBuf, FileMark)>;

/// Saves a plan whole or not at all, unless it would take the place of what it may not.
pub fn save(request: SaveRequest, last: &mut LastWritten) -> SaveEnd {
    if let Over::Input(_) = request.guard.over(&request.path) {
        return SaveEnd::Failed(format!("{}: the plan needs this file; save under another name", request.path.display()));
    }
    if request.path.is_dir() {
        return SaveEnd::Failed(format!("{}: this is a folder; save under another name", request.path.display()));
    }
    let held = hold(&request.path, request.folder.as_deref(), request.hold.as_ref());
    if matches!(held, Held::Elsewhere) {
        let name = request.path.display();
        return SaveEnd::Failed(format!("{name}: this plan is open in another window; save under another name"));
    }
    match refusal(&request, last) {
        Ok(None) => {}
        Ok(Some(refusal)) => return SaveEnd::Refused(Box::new(request), refusal),
        Err(trouble) => return SaveEnd::Failed(trouble.to_string()),
    }
    request.after.iter().for_each(SoFar::wait);
    match files::write_whole(&request.path, &request.bytes) {
        Ok(()) => {
            let written = mark_of_bytes(&request.bytes);
            let mark = mark_of(&request.path).ok().flatten().map(|(mark, _)| mark).filter(|mark| mark.same_content(&written));
            let mark = mark.unwrap_or(written);
            *last = Some((request.path.clone(), mark));
            let hold = if let Held::Here(hold) = held { Some(hold) } else { None };
            SaveEnd::Saved(Box::new(Saved { path: request.path, plan: request.plan, mark, hold }))
        }
        Err(trouble) => SaveEnd::Failed(trouble.to_string()),
    }
}

fn refusal(request: &SaveRequest, last: &LastWritten) -> Result<Option<Refusal>, FileTrouble> {
    let path = &request.path;
    match request.replaces {
        Replaces::Nothing if path.exists() => return Ok(Some(Refusal::Exists)),
        Replaces::Own(Some(_)) if !path.exists() => return Ok(Some(Refusal::Gone)),
        Replaces::Own(known) => {
            // What is to be written may be there already.
            let mut marks = vec![mark_of_bytes(&request.bytes)];
            marks.extend(known);
            marks.extend(last.as_ref().filter(|(written, _)| written == path).map(|(_, mark)| *mark));
            if let Some(theirs) = Theirs::of(path, &marks)?.filter(|_| known.is_some()) {
                return Ok(Some(Refusal::Changed(theirs)));
            }
        }
        _ => {}
    }
    Ok((!request.even_protected && is_write_protected(path)).then_some(Refusal::Protected))
}

/// A name in a folder that no file has: the name itself, or with a number before its ending.
pub fn free_name(folder: &Path, name: &str) -> String {
    let (stem, ending) = [".plan.geojson", ".geojson"]
        .iter()
        .find_map(|ending| Some((name.strip_suffix(ending)?, *ending)))
        .or_else(|| name.rfind('.').filter(|at| *at > 0).map(|at| name.split_at(at)))
        .unwrap_or((name, ""));
    let mut names = std::iter::once(name.to_owned()).chain((2..).map(|number| format!("{stem}-{number}{ending}")));
    names.find(|name| !folder.join(name).exists()).unwrap_or_else(|| name.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use hillwire_core::plan::{Head, write_plan};
    use std::fs;

    fn request(path: &Path, name: &str, replaces: Replaces) -> SaveRequest {
        let plan = Plan::new(Head { name: name.to_owned(), ..Head::default() }, Vec::new());
        let (path, bytes) = (path.to_owned(), write_plan(&plan));
        SaveRequest {
            path,
            bytes,
            plan,
            replaces,
            even_protected: false,
            guard: Guard::default(),
            folder: None,
            hold: None,
            after: None,
        }
    }

    #[test]
    fn a_plan_takes_the_place_of_its_own_file_and_of_no_other_without_being_told() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("farm.plan.geojson");
        let mut last = None;
        let end = save(request(&path, "one", Replaces::Nothing), &mut last);
        let SaveEnd::Saved(saved) = end else { panic!("{end:?}") };
        assert!(matches!(save(request(&path, "two", Replaces::Nothing), &mut last), SaveEnd::Refused(_, Refusal::Exists)));
        // The second of two saves in a row knows only what was there before the first.
        let old = Replaces::Own(Some(saved.mark));
        for name in ["two", "three"] {
            assert!(matches!(save(request(&path, name, old), &mut last), SaveEnd::Saved(_)), "{name}");
        }
        // Another program writes it.
        let theirs = request(&path, "theirs", Replaces::Anything).bytes;
        fs::write(&path, &theirs).expect("written");
        let end = save(request(&path, "four", old), &mut last);
        let SaveEnd::Refused(_, Refusal::Changed(found)) = end else { panic!("{end:?}") };
        assert_eq!(found.plan.as_ref().map(|plan| plan.head.name.as_str()), Ok("theirs"));
        assert_eq!(fs::read(&path).expect("there"), theirs);
        assert!(matches!(save(request(&path, "four", Replaces::Own(Some(found.mark))), &mut last), SaveEnd::Saved(_)));
        // Half of it, as a synchronised folder may leave it.
        fs::write(&path, &theirs[..40]).expect("written");
        let end = save(request(&path, "five", Replaces::Own(Some(found.mark))), &mut None);
        assert!(matches!(&end, SaveEnd::Refused(_, Refusal::Changed(found)) if found.plan.is_err()), "{end:?}");
        // A file that is gone is asked about: its disk may have been taken out.
        fs::remove_file(&path).expect("removed");
        let end = save(request(&path, "six", Replaces::Own(Some(found.mark))), &mut None);
        assert!(matches!(&end, SaveEnd::Refused(_, Refusal::Gone)) && !path.exists(), "{end:?}");
        assert!(matches!(save(request(&path, "six", Replaces::Anything), &mut None), SaveEnd::Saved(_)));
        let folder = save(request(folder.path(), "six", Replaces::Anything), &mut None);
        assert!(matches!(&folder, SaveEnd::Failed(why) if why.contains("this is a folder")), "{folder:?}");
        // What the plan is made from is never written over, whatever was said.
        let over = SaveRequest { guard: Guard::default().with([path.clone()]), ..request(&path, "seven", Replaces::Anything) };
        assert!(matches!(save(over, &mut last), SaveEnd::Failed(_)));
    }

    #[cfg(unix)]
    #[test]
    fn a_write_protected_file_is_replaced_only_on_an_answer_and_keeps_its_rights() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("farm.plan.geojson");
        fs::write(&path, "{}").expect("written");
        for mode in [0o444, 0o464] {
            fs::set_permissions(&path, fs::Permissions::from_mode(mode)).expect("set");
            let own = Replaces::Own(mark_of(&path).expect("read").map(|(mark, _)| mark));
            if mode == 0o444 {
                let end = save(request(&path, "one", own), &mut None);
                assert!(matches!(end, SaveEnd::Refused(_, Refusal::Protected)), "{end:?}");
            }
            let told = SaveRequest { even_protected: true, ..request(&path, "two", own) };
            assert!(matches!(save(told, &mut None), SaveEnd::Saved(_)));
            assert_eq!(fs::metadata(&path).expect("there").permissions().mode() & 0o777, mode);
        }
    }

    #[test]
    fn the_name_that_is_offered_is_free() {
        let folder = tempfile::tempdir().expect("a folder");
        let offered = |name: &str| free_name(folder.path(), name);
        assert_eq!(offered("farm.plan.geojson"), "farm.plan.geojson");
        for taken in ["farm.plan.geojson", "farm-2.plan.geojson", "order.xlsx"] {
            fs::write(folder.path().join(taken), "x").expect("written");
        }
        assert_eq!([offered("farm.plan.geojson"), offered("order.xlsx")], ["farm-3.plan.geojson", "order-2.xlsx"]);
    }
}
