//! What journals from before hold: changes that were never saved, and those that were discarded and are kept aside for a week.

use super::place::{DISCARDED, ENDING, OF_PLAN, UNSAVED, beside, prefix_of, true_path};
use crate::files::{lock_soon, try_lock};
use hillwire_core::plan::{Head, Plan, Replayed, Stamp, journal_line, replay};
use jiff::Timestamp;
use std::collections::BTreeSet;
use std::fs::{self, File, OpenOptions};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

/// How long what was discarded is kept.
pub const KEPT_S: i64 = 7 * 24 * 3600;

/// Changes that were not saved, as a journal from before holds them. While this is there no other window takes the journal.
#[derive(Debug)]
pub struct LeftOver {
    /// The plan with them.
    pub plan: Plan,
    /// The journal.
    pub place: PathBuf,
    /// What it says of itself.
    pub told: Told,
    /// Whether the plan is kept nowhere else.
    pub is_unsaved: bool,
    lock: Option<File>,
}

/// What a journal says of itself.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Told {
    /// The plan's name.
    pub name: String,
    /// How many changes are in it that were not saved.
    pub changes: u64,
    /// When the first of them was made; `None` in the first form of the journal.
    pub since: Option<Timestamp>,
    /// When the last one was.
    pub at: Option<Timestamp>,
    /// The plan file.
    pub of: Option<PathBuf>,
    /// When the plan file was saved, if that was after the last of them.
    pub saved_after: Option<Timestamp>,
}

impl Told {
    /// Beside its plan file as that stands now.
    fn beside(mut self, plan_file: &Path) -> Self {
        let saved =
            || fs::metadata(plan_file).and_then(|known| known.modified()).ok().and_then(|time| Timestamp::try_from(time).ok());
        self.saved_after = self.at.and_then(|at| saved().filter(|saved| *saved > at));
        self
    }

    /// As it stands in the journal.
    pub(super) fn stamp(&self) -> Stamp {
        let ms = |time: Option<Timestamp>| time.map_or(0, Timestamp::as_millisecond);
        let of = self.of.as_ref().map(|of| of.to_string_lossy().into_owned());
        Stamp { number: 1, since_ms: ms(self.since), at_ms: ms(self.at), changes: self.changes, of }
    }

    fn of(replayed: &Replayed) -> Self {
        let time = |ms: i64| Timestamp::from_millisecond(ms).ok().filter(|_| ms != 0);
        let stamp = replayed.stamp.clone();
        let name = replayed.plan.head.name.trim().to_owned();
        match stamp {
            Some(Stamp { since_ms, at_ms, changes, of, .. }) => {
                Self { name, changes, since: time(since_ms), at: time(at_ms), of: of.map(PathBuf::from), ..Self::default() }
            }
            None => Self { name, changes: replayed.entries as u64, ..Self::default() },
        }
    }
}

impl LeftOver {
    /// Whether it was discarded on purpose, and is kept aside.
    pub fn was_discarded(&self) -> bool {
        is_named(&self.place, DISCARDED)
    }

    /// What one journal holds beyond a plan, wherever it stands; `None` of a plan that is kept nowhere.
    pub fn at(place: &Path, plan: Option<&Plan>) -> Option<Self> {
        let (file, replayed) = read(place, plan.unwrap_or(&nothing()))?;
        let mut told = Told::of(&replayed);
        if let Some(of) = told.of.clone().filter(|_| plan.is_some()) {
            told = told.beside(&of);
        }
        let is_more = replayed.entries > 0 && plan.is_none_or(|plan| *plan != replayed.plan);
        is_more.then(|| Self { told, plan: replayed.plan, place: place.to_owned(), is_unsaved: plan.is_none(), lock: Some(file) })
    }

    /// Gives the lock back: the journal goes on in the same file.
    pub(super) fn unlock(&mut self) {
        self.lock = None;
    }

    /// What a journal holds beyond a plan, if nobody writes it now. One that holds the very plan is needless and goes.
    fn of(place: &Path, plan: &Plan) -> Option<Self> {
        let (file, replayed) = read(place, plan)?;
        let is_more = replayed.entries > 0 && replayed.plan != *plan;
        if replayed.entries > 0 && !is_more {
            // Where that is not allowed it stays, and nothing is written into it.
            let _ = fs::remove_file(place);
        }
        let (told, is_unsaved) = (Told::of(&replayed), is_named(place, UNSAVED));
        is_more.then(|| Self { told, plan: replayed.plan, place: place.to_owned(), is_unsaved, lock: Some(file) })
    }
}

/// Reads a journal that nobody writes now, and locks it.
fn read(place: &Path, plan: &Plan) -> Option<(File, Replayed)> {
    let mut file = File::open(place).ok()?;
    if !file.metadata().ok()?.is_file() || !lock_soon(&file) {
        return None;
    }
    let mut bytes = Vec::new();
    file.read_to_end(&mut bytes).ok()?;
    // A letter torn in two is in a line that its checksum refuses.
    let replayed = replay(plan, &String::from_utf8_lossy(&bytes));
    Some((file, replayed))
}

/// What a journal holds, without a lock on it; `None` while a window writes it.
fn seen(place: &Path, plan: &Plan) -> Option<Replayed> {
    let is_free = File::open(place).is_ok_and(|file| try_lock(&file));
    let bytes = is_free.then(|| fs::read(place).ok()).flatten()?;
    Some(replay(plan, &String::from_utf8_lossy(&bytes))).filter(|replayed| replayed.entries > 0)
}

fn nothing() -> Plan {
    Plan::new(Head::default(), Vec::new())
}

/// What the journals of a plan file hold beyond the file, the latest first.
pub fn left_over(plan_file: &Path, plan: &Plan, folder: Option<&Path>) -> Option<LeftOver> {
    let path = true_path(plan_file);
    let mut places = vec![beside(&path)];
    // The first form of the journal stood beside a link.
    let beside_link = beside(plan_file);
    if !places.iter().any(|place| same_file(place, &beside_link)) {
        places.push(beside_link);
    }
    places.extend(named(folder, &prefix_of(&path)));
    let found = places.iter().filter_map(|place| LeftOver::of(place, plan));
    let home = beside(&path);
    // A folder that was moved took the journal along, and the plan that it names is no longer there.
    let moved_along = |found: &LeftOver, of: &Path| found.place == home && !of.exists();
    let is_of = |found: &LeftOver| {
        found.told.since.is_none() || found.told.of.as_deref().is_none_or(|of| of == path || moved_along(found, of))
    };
    let mut latest = found.filter(is_of).max_by_key(|found| written(&found.told, &found.place))?;
    latest.told = latest.told.clone().beside(&path);
    if latest.told.since.is_none() {
        stand_alone(&latest);
    }
    Some(latest)
}

/// How many journals a window that is open has in use, or offers just now: nobody else may look into them.
pub fn in_use(folder: Option<&Path>, plan_files: &[PathBuf]) -> usize {
    let beside: BTreeSet<PathBuf> = plan_files.iter().map(|file| beside(&true_path(file))).collect();
    let in_folder = [UNSAVED, OF_PLAN].into_iter().flat_map(|prefix| named(folder, prefix));
    beside.into_iter().chain(in_folder).filter(|place| File::open(place).is_ok_and(|file| !try_lock(&file))).count()
}

/// The journal beside a plan file when no line of it can be read, and no window writes it.
pub fn unreadable(plan_file: &Path) -> Option<PathBuf> {
    let place = beside(&true_path(plan_file));
    let is_there = fs::metadata(&place).is_ok_and(|known| known.is_file() && known.len() > 0);
    let (_, replayed) = is_there.then(|| read(&place, &nothing())).flatten()?;
    (replayed.entries == 0).then_some(place)
}

/// Whether a journal waits of a plan file that may be gone.
pub fn waits_for(plan_file: &Path, folder: Option<&Path>) -> bool {
    let path = true_path(plan_file);
    std::iter::once(beside(&path)).chain(named(folder, &prefix_of(&path))).any(|place| seen(&place, &nothing()).is_some())
}

/// The latest journal of a plan that is kept nowhere.
pub fn left_over_unsaved(folder: Option<&Path>) -> Option<LeftOver> {
    let found = named(folder, UNSAVED).filter_map(|place| LeftOver::of(&place, &nothing()));
    found.max_by_key(|found| written(&found.told, &found.place))
}

fn same_file(one: &Path, other: &Path) -> bool {
    matches!((fs::canonicalize(one), fs::canonicalize(other)), (Ok(one), Ok(other)) if one == other)
}

/// Journals in the data folder whose names begin so.
fn named(folder: Option<&Path>, prefix: &str) -> impl Iterator<Item = PathBuf> {
    let entries = folder.and_then(|folder| fs::read_dir(folder).ok()).into_iter().flatten().flatten();
    let is_one = |name: &str| name.starts_with(prefix) && name.ends_with(ENDING);
    let mut places: Vec<_> =
        entries.filter(|entry| entry.file_name().to_str().is_some_and(is_one)).map(|entry| entry.path()).collect();
    places.sort();
    places.into_iter()
}

/// When a journal was written last, milliseconds since 1970.
fn written(told: &Told, place: &Path) -> i64 {
    let by_file = || fs::metadata(place).and_then(|known| known.modified()).ok().and_then(|time| Timestamp::try_from(time).ok());
    told.at.or_else(by_file).map_or(0, Timestamp::as_millisecond)
}

/// A journal of the first form builds on the plan file: from now on it holds all of its plan.
fn stand_alone(left: &LeftOver) {
    let stamp = Stamp { number: 1, changes: left.told.changes, ..Stamp::default() };
    let line = format!("\n{}", journal_line(None, &left.plan, stamp));
    // In a folder that cannot be written it stays as it is.
    let _ = OpenOptions::new().append(true).open(&left.place).and_then(|mut file| file.write_all(line.as_bytes()));
}

/// A journal that is kept, as the welcome sheet lists it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeptJournal {
    /// Where.
    pub place: PathBuf,
    /// What it says of itself.
    pub told: Told,
    /// When it was discarded; `None` for what still waits for an answer.
    pub discarded: Option<Timestamp>,
}

/// Journals that wait for an answer, of plans kept nowhere, in the data folder and beside these plan files; then what was discarded. The
/// latest first.
pub fn all_kept(folder: Option<&Path>, plan_files: &[PathBuf]) -> Vec<KeptJournal> {
    // One plan file may be named in several ways.
    let plan_files: BTreeSet<PathBuf> = plan_files.iter().map(|file| true_path(file)).collect();
    let beside_files = plan_files.iter().map(|file| (beside(file), Some(file)));
    let in_folder = [UNSAVED, OF_PLAN].into_iter().flat_map(|prefix| named(folder, prefix)).map(|place| (place, None));
    let waiting = beside_files.chain(in_folder).filter_map(|(place, file)| {
        let mut told = Told::of(&seen(&place, &nothing())?);
        told.of = told.of.or_else(|| file.cloned());
        // Nothing waits where the plan file holds the same.
        let of = told.of.clone().filter(|of| of.is_file());
        let is_more = of.is_none_or(|of| {
            let plan = crate::files::open_plan(&of).map(|opened| opened.plan);
            // One that cannot be read holds nothing of it.
            plan.map_or(true, |plan| seen(&place, &plan).is_some_and(|replayed| replayed.plan != plan))
        });
        if let Some(of) = told.of.clone() {
            told = told.beside(&of);
        }
        is_more.then_some(KeptJournal { place, told, discarded: None })
    });
    let mut waiting: Vec<KeptJournal> = waiting.collect();
    let discarded = named(folder, DISCARDED).filter_map(|place| {
        let discarded = Timestamp::from_second(discarded_s(&place)?).ok();
        Some(KeptJournal { told: Told::of(&seen(&place, &nothing())?), place, discarded })
    });
    let mut discarded: Vec<KeptJournal> = discarded.collect();
    for kept in [&mut waiting, &mut discarded] {
        kept.sort_by_key(|kept| std::cmp::Reverse(written(&kept.told, &kept.place)));
    }
    waiting.append(&mut discarded);
    waiting
}

/// The plan with the changes that a kept journal holds; `None` where it is gone, or a window writes it.
pub fn plan_of(kept: &KeptJournal) -> Option<Plan> {
    let saved = kept.told.of.as_ref().and_then(|of| crate::files::open_plan(of).ok()).map_or_else(nothing, |opened| opened.plan);
    seen(&kept.place, &saved).map(|replayed| replayed.plan)
}

fn is_named(place: &Path, prefix: &str) -> bool {
    place.file_name().and_then(|name| name.to_str()).is_some_and(|name| name.starts_with(prefix))
}

/// A name for a journal that is discarded now.
pub(super) fn name_for_discarded(folder: &Path, now: Timestamp) -> Option<PathBuf> {
    let second = now.as_second();
    let mut names = (1..1000).map(|number| folder.join(format!("{DISCARDED}{second}-{number}{ENDING}")));
    names.find(|place| !place.exists())
}

/// When a journal was discarded, seconds since 1970.
fn discarded_s(place: &Path) -> Option<i64> {
    place.file_name()?.to_str()?.strip_prefix(DISCARDED)?.split('-').next()?.parse().ok()
}

/// What was discarded more than a week ago goes.
pub fn expire(folder: Option<&Path>, now: Timestamp) {
    for place in named(folder, DISCARDED) {
        if discarded_s(&place).is_some_and(|second| now.as_second() - second > KEPT_S) {
            let _ = fs::remove_file(place);
        }
    }
}
