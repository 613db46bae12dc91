use super::writer::Writer;
use super::*;
use crate::files::Standing;
use hillwire_core::land::Position;
use hillwire_core::plan::{Feature, FeatureId, Geometry, Head, Kind, replay};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{self, ErrorKind};

fn plan_with(marks: usize) -> Plan {
    let mark = |k: usize| {
        let at = Position::from_degrees(1.0 + k as f64 * 1e-4, 50.0);
        Feature::new(FeatureId::new(&format!("mark-{k}")), Kind::Mark, Geometry::Point(at))
    };
    Plan::new(Head::default(), (0..marks).map(mark).collect())
}

fn stamp(changes: u64) -> Stamp {
    Stamp { changes, since_ms: 1, at_ms: 2, ..Stamp::default() }
}

/// A journal of a plan file, all of it written.
fn ended(file: &Path, folder: Option<&Path>, marks: &[usize]) {
    let mut journal = Journal::new(folder.map(Path::to_owned));
    journal.keep(Keep::Turned(Places::of_plan(file, folder.map(Path::to_owned)), None));
    for (change, marks) in marks.iter().enumerate() {
        journal.follow(&plan_with(*marks), change as u64 + 1, Some(file));
    }
}

fn ended_unsaved(folder: &Path, marks: usize) {
    let mut journal = Journal::new(Some(folder.to_owned()));
    journal.keep(Keep::Turned(Places::of_unsaved(Some(folder.to_owned())), None));
    journal.follow(&plan_with(marks), marks as u64, None);
}

fn journals(folder: &Path) -> Vec<String> {
    let names = fs::read_dir(folder).expect("a folder").flatten().map(|entry| entry.file_name().to_string_lossy().into_owned());
    let mut names: Vec<String> = names.filter(|name| name.ends_with(".journal")).collect();
    names.sort();
    names
}

fn waiting_in(folder: &Path) -> Vec<String> {
    journals(folder).into_iter().filter(|name| !name.starts_with("discarded-")).collect()
}

#[test]
fn what_was_changed_after_the_last_save_comes_back_with_its_number_and_goes_once_it_is_saved() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("farm.plan.geojson");
    fs::write(&file, "{}").expect("written");
    ended(&file, None, &[2, 5]);
    let left = left_over(&file, &plan_with(1), None).expect("it is there");
    assert_eq!((left.plan.clone(), left.told.changes), (plan_with(5), 2));
    assert_eq!(left.told.of, Some(true_path(&file)));
    assert!(left.told.since <= left.told.at && left.told.at.is_some());
    assert_eq!(left.told.saved_after, None);
    drop(left);
    // The plan file is saved later than that.
    let later = std::time::SystemTime::now() + std::time::Duration::from_secs(60);
    fs::File::options().append(true).open(&file).and_then(|file| file.set_modified(later)).expect("ours");
    let saved_after = left_over(&file, &plan_with(1), None).expect("it is there").told.saved_after;
    assert!(saved_after.is_some(), "what is older than the plan file says so");
    let by_two_paths = [file.clone(), folder.path().join(".").join("farm.plan.geojson")];
    let kept = all_kept(None, &by_two_paths[..]);
    assert_eq!(kept.len(), 1, "once, and although the plan file itself cannot be read");
    assert_eq!(kept[0].told.saved_after, saved_after);
    // It needs no plan file to build on, whatever became of that.
    assert_eq!(left_over(&file, &plan_with(9), None).map(|left| left.plan), Some(plan_with(5)));
    assert!(left_over(&file, &plan_with(5), None).is_none(), "the plan file has all of it");
    let mut journal = Journal::new(None);
    journal.keep(Keep::Turned(Places::of_plan(&file, None), None));
    journal.follow(&plan_with(7), 1, Some(&file));
    journal.keep(Keep::Saved);
    drop(journal);
    assert!(left_over(&file, &plan_with(1), None).is_none());
    assert!(journals(folder.path()).is_empty());
}

#[test]
fn a_window_writes_into_no_journal_that_still_waits_for_an_answer() {
    let data = tempfile::tempdir().expect("a folder");
    let folder = data.path();
    let file = folder.join("farm.plan.geojson");
    fs::write(&file, "{}").expect("written");
    let left = |saved: usize| left_over(&file, &plan_with(saved), Some(folder));
    // Two sets wait: one beside the plan, one in the data folder.
    ended(&file, Some(folder), &[3]);
    let offered = left(0).expect("it is there");
    ended(&file, Some(folder), &[7]);
    drop(offered);
    // The later one is brought back and saved.
    let latest = left(0).expect("two are there");
    assert_eq!(latest.plan, plan_with(7));
    let places = || Places::of_plan(&file, Some(folder.to_owned()));
    let mut journal = Journal::new(Some(folder.to_owned()));
    journal.keep(Keep::Turned(places(), None));
    journal.keep(Keep::BroughtBack(places(), latest));
    journal.follow(&plan_with(7), 1, Some(&file));
    journal.keep(Keep::Saved);
    drop(journal);
    assert_eq!(left(7).map(|left| left.plan), Some(plan_with(3)), "the older one still waits");
    // Another window is told of it, answers nothing, and is killed.
    ended(&file, Some(folder), &[8]);
    assert_eq!(journals(folder).len(), 2);
    assert_eq!(left(7).map(|left| left.plan), Some(plan_with(8)));
    assert!(waits_for(&file, Some(folder)));
    fs::remove_file(&file).expect("ours");
    assert!(waits_for(&file, Some(folder)), "also when the plan file is gone");
    assert_eq!(all_kept(Some(folder), std::slice::from_ref(&file)).len(), 2);
}

#[test]
fn nothing_but_saving_and_discarding_takes_a_journal_away_and_what_is_discarded_is_kept_for_a_week() {
    let data = tempfile::tempdir().expect("a folder");
    let folder = data.path();
    let file = folder.join("farm.plan.geojson");
    fs::write(&file, "{}").expect("written");
    ended(&file, Some(folder), &[3]);
    // It is offered, nothing is said, and another plan is opened.
    let offered = left_over(&file, &plan_with(0), Some(folder)).expect("it is there");
    drop(offered);
    assert_eq!(journals(folder), ["farm.plan.geojson.journal"]);
    // While it waits, what is drawn goes into another one, and both come back: the later first.
    let offered = left_over(&file, &plan_with(0), Some(folder)).expect("it is there");
    ended(&file, Some(folder), &[7]);
    drop(offered);
    assert_eq!(journals(folder).len(), 2);
    let latest = left_over(&file, &plan_with(0), Some(folder)).expect("two are there");
    assert_eq!(latest.plan, plan_with(7));
    let mut journal = Journal::new(Some(folder.to_owned()));
    journal.keep(Keep::Turned(Places::of_plan(&file, Some(folder.to_owned())), None));
    journal.keep(Keep::Discard(latest));
    drop(journal);
    assert_eq!(left_over(&file, &plan_with(0), Some(folder)).map(|left| left.plan), Some(plan_with(3)));
    // What was discarded is listed, and can be had back.
    let kept = all_kept(Some(folder), &[]);
    let aside: Vec<&KeptJournal> = kept.iter().filter(|kept| kept.discarded.is_some()).collect();
    let [aside] = aside.as_slice() else { panic!("{kept:?}") };
    assert_eq!((aside.told.changes, aside.told.of.clone()), (1, Some(true_path(&file))));
    expire(Some(folder), now());
    assert!(aside.place.exists(), "a week has not gone by");
    let back = LeftOver::at(&aside.place, Some(&plan_with(0))).expect("it is there");
    assert!(back.was_discarded() && back.plan == plan_with(7));
    drop(back);
    // After a week it goes.
    let old = folder.join("discarded-1000-1.journal");
    fs::write(&old, "x").expect("written");
    expire(Some(folder), now());
    assert!(!old.exists() && journals(folder).len() == 2);
}

#[test]
fn what_is_brought_back_is_written_anew_before_its_old_journal_goes() {
    let data = tempfile::tempdir().expect("a folder");
    let folder = data.path();
    let file = folder.join("farm.plan.geojson");
    fs::write(&file, "{}").expect("written");
    // What the first one left waits while the second one is brought back.
    for (marks, waiting) in [(&[4][..], 1), (&[6], 2)] {
        ended(&file, Some(folder), marks);
        let left = left_over(&file, &plan_with(0), Some(folder)).expect("it is there");
        let plan = left.plan.clone();
        let mut journal = Journal::new(Some(folder.to_owned()));
        let places = Places::of_plan(&file, Some(folder.to_owned()));
        journal.keep(Keep::Turned(places.clone(), None));
        journal.keep(Keep::BroughtBack(places, left));
        journal.follow(&plan, 1, Some(&file));
        drop(journal);
        assert_eq!(left_over(&file, &plan_with(0), Some(folder)).map(|left| left.plan), Some(plan));
        assert_eq!(waiting_in(folder).len(), waiting);
    }
    let [beside, other] = &waiting_in(folder)[..] else { panic!("two") };
    assert!(beside == "farm.plan.geojson.journal" && other.ends_with("-2.journal"), "written anew, the old one is gone");
    fs::remove_file(folder.join(other)).expect("ours");
    // The same of a plan that is kept nowhere.
    ended_unsaved(folder, 3);
    let left = left_over_unsaved(Some(folder)).expect("it is there");
    let plan = left.plan.clone();
    let mut journal = Journal::new(Some(folder.to_owned()));
    journal.keep(Keep::Turned(Places::of_unsaved(Some(folder.to_owned())), Some(left)));
    journal.follow(&plan, 3, None);
    drop(journal);
    assert_eq!(waiting_in(folder), ["farm.plan.geojson.journal", "unsaved-2.journal"]);
    assert_eq!(left_over_unsaved(Some(folder)).map(|left| left.plan), Some(plan));
}

#[test]
fn a_journal_goes_along_with_a_folder_that_is_moved_and_not_with_one_that_is_copied() {
    for (is_moved, expected) in [(true, Some(plan_with(5))), (false, None)] {
        let data = tempfile::tempdir().expect("a folder");
        let [old, new] = ["old", "new"].map(|name| data.path().join(name));
        fs::create_dir(&old).expect("made");
        fs::write(old.join("farm.plan.geojson"), "{}").expect("written");
        ended(&old.join("farm.plan.geojson"), None, &[5]);
        if is_moved {
            fs::rename(&old, &new).expect("moved");
        } else {
            fs::create_dir(&new).expect("made");
            for name in ["farm.plan.geojson", "farm.plan.geojson.journal"] {
                fs::copy(old.join(name), new.join(name)).expect("copied");
            }
        }
        let found = left_over(&new.join("farm.plan.geojson"), &plan_with(0), Some(data.path()));
        assert_eq!(found.map(|left| left.plan), expected, "{is_moved}");
    }
}

#[test]
fn a_journal_of_which_no_line_can_be_read_is_told() {
    let data = tempfile::tempdir().expect("a folder");
    let file = data.path().join("farm.plan.geojson");
    fs::write(&file, "{}").expect("written");
    assert_eq!(unreadable(&file), None);
    ended(&file, None, &[5]);
    assert_eq!(unreadable(&file), None);
    let place = data.path().join("farm.plan.geojson.journal");
    let whole = fs::read(&place).expect("ours");
    fs::write(&place, &whole[..whole.len() / 2]).expect("torn");
    assert_eq!(unreadable(&file), Some(true_path(&place)));
    assert!(left_over(&file, &plan_with(0), None).is_none() && place.exists());
}

#[test]
fn a_living_journal_is_no_crash_and_nobody_else_takes_it() {
    let data = tempfile::tempdir().expect("a folder");
    let folder = data.path();
    let file = folder.join("farm.plan.geojson");
    fs::write(&file, "{}").expect("written");
    let mut first = Journal::new(Some(folder.to_owned()));
    let places = Places::of_plan(&file, Some(folder.to_owned()));
    first.keep(Keep::Turned(places, None));
    first.follow(&plan_with(2), 1, Some(&file));
    let began = std::time::Instant::now();
    while !first.is_on_disk() {
        assert!(began.elapsed().as_secs() < 20, "nothing is written");
        std::thread::yield_now();
    }
    assert!(left_over(&file, &plan_with(0), Some(folder)).is_none());
    // A second window that looks only keeps its own changes in the data folder.
    let mut second = Journal::new(Some(folder.to_owned()));
    second.keep(Keep::Turned(Places::of_plan_held_elsewhere(&file, Some(folder.to_owned())), None));
    second.follow(&plan_with(8), 1, Some(&file));
    drop(second);
    first.follow(&plan_with(3), 2, Some(&file));
    assert_eq!(in_use(Some(folder), std::slice::from_ref(&file)), 1, "it is told that there is one");
    drop(first);
    assert_eq!(in_use(Some(folder), std::slice::from_ref(&file)), 0);
    let text = fs::read_to_string(folder.join("farm.plan.geojson.journal")).expect("there");
    assert_eq!(replay(&plan_with(0), &text).plan, plan_with(3));
    assert_eq!(journals(folder).len(), 2);
}

#[test]
fn a_plan_whose_name_leaves_no_room_for_a_journal_has_one_in_the_data_folder() {
    let data = tempfile::tempdir().expect("a folder");
    let folder = data.path();
    let file = folder.join(format!("{}.plan.geojson", "n".repeat(242)));
    fs::write(&file, "{}").expect("written");
    let mut journal = Journal::new(Some(folder.to_owned()));
    journal.keep(Keep::Turned(Places::of_plan(&file, Some(folder.to_owned())), None));
    journal.follow(&plan_with(2), 1, Some(&file));
    let began = std::time::Instant::now();
    let mut reports = Vec::new();
    while reports.is_empty() {
        assert!(began.elapsed().as_secs() < 20, "nothing is said");
        reports.extend(journal.reports());
    }
    assert!(matches!(&reports[0], Report::Elsewhere { reason, .. } if reason.contains("too long")), "{reports:?}");
    drop(journal);
    assert_eq!(left_over(&file, &plan_with(0), Some(folder)).map(|left| left.plan), Some(plan_with(2)));
}

#[cfg(unix)]
#[test]
fn a_journal_of_the_first_form_beside_a_link_comes_back_and_stands_alone_from_then_on() {
    let data = tempfile::tempdir().expect("a folder");
    let (file, link) = (data.path().join("farm.plan.geojson"), data.path().join("link.geojson"));
    fs::write(&file, "{}").expect("written");
    std::os::unix::fs::symlink(&file, &link).expect("linked");
    let mark = "{\"type\":\"Feature\",\"id\":\"mark-1\",\"properties\":{\"kind\":\"mark\"},\"geometry\":{\"type\":\"Point\",\"coordinates\":[1.0001,50]}}";
    fs::write(place::beside(&link), format!("{{\"changed\":[{mark}]}}\n{{\"changed\":[{mark}")).expect("written");
    let left = left_over(&link, &plan_with(1), None).expect("it is there");
    assert_eq!((left.plan.clone(), left.told.changes), (plan_with(2), 1));
    drop(left);
    // The plan file changes under it.
    assert_eq!(left_over(&link, &plan_with(0), None).map(|left| left.plan), Some(plan_with(2)));
}

/// A disk that fails, and that loses what was not brought to it when the power goes.
#[derive(Default)]
struct Frail {
    /// By path: what is safe, what is only written, and whether the name is safe.
    files: BTreeMap<PathBuf, (Vec<u8>, Vec<u8>, bool)>,
    open: BTreeSet<PathBuf>,
    room: Option<usize>,
    refused: Option<PathBuf>,
    no_sync: bool,
}

impl Frail {
    /// The power goes, and some of what was only written got to the disk all the same.
    fn crash(&self, lucky: usize) -> BTreeMap<PathBuf, Vec<u8>> {
        let safe = self.files.iter().filter(|(_, (.., has_name))| *has_name);
        let kept = |(safe, written, _): &(Vec<u8>, Vec<u8>, bool)| {
            let mut all = safe.clone();
            all.extend(written.iter().take(lucky % (written.len() + 1)));
            all
        };
        safe.map(|(path, file)| (path.clone(), kept(file))).collect()
    }
}

impl Disk for Frail {
    fn open(&mut self, place: &Path, only_new: bool) -> io::Result<Standing> {
        if self.refused.as_deref() == place.parent() {
            return Err(ErrorKind::PermissionDenied.into());
        }
        if self.files.contains_key(place) && self.open.contains(place) {
            return Ok(Standing::Same);
        }
        if self.files.contains_key(place) && only_new {
            return Err(ErrorKind::AlreadyExists.into());
        }
        self.open.insert(place.to_owned());
        let found = self.files.contains_key(place);
        self.files.entry(place.to_owned()).or_default();
        Ok(if found { Standing::Found } else { Standing::Made })
    }
    fn append(&mut self, place: &Path, bytes: &[u8]) -> io::Result<()> {
        let room = self.room.map_or(bytes.len(), |room| room.min(bytes.len()));
        self.room = self.room.map(|left| left - room);
        self.files.get_mut(place).ok_or(ErrorKind::NotFound)?.1.extend(&bytes[..room]);
        // Half a line stays: the worst that a disk can do.
        if room < bytes.len() { Err(ErrorKind::StorageFull.into()) } else { Ok(()) }
    }
    fn sync(&mut self, place: &Path) -> io::Result<()> {
        if self.no_sync {
            return Err(ErrorKind::StorageFull.into());
        }
        let file = self.files.get_mut(place).ok_or(ErrorKind::NotFound)?;
        let written = std::mem::take(&mut file.1);
        file.0.extend(written);
        Ok(())
    }
    fn sync_name(&mut self, place: &Path) -> io::Result<()> {
        self.files.get_mut(place).ok_or(ErrorKind::NotFound)?.2 = true;
        Ok(())
    }
    fn close(&mut self, place: &Path) {
        self.open.remove(place);
    }
    fn remove(&mut self, place: &Path) -> io::Result<()> {
        self.open.remove(place);
        self.files.remove(place).map(drop).ok_or_else(|| ErrorKind::NotFound.into())
    }
    fn move_to(&mut self, from: &Path, to: &Path) -> io::Result<()> {
        let file = self.files.remove(from).ok_or(ErrorKind::NotFound)?;
        self.files.insert(to.to_owned(), file);
        Ok(())
    }
}

fn frail() -> Writer<Frail> {
    let mut writer = Writer::new(Frail::default());
    let (home, folder) = (Some(PathBuf::from("/farm/a.journal")), Some(PathBuf::from("/data")));
    writer.turn_to(Places { home, folder, prefix: "plan-1-".to_owned() }, None);
    writer
}

/// The best that any of the journals holds.
fn comes_back(files: &BTreeMap<PathBuf, Vec<u8>>) -> usize {
    let marks = |bytes: &Vec<u8>| replay(&plan_with(0), &String::from_utf8_lossy(bytes)).plan.features.len();
    files.values().map(marks).max().unwrap_or(0)
}

#[test]
fn what_was_said_to_be_on_the_disk_is_there_after_the_power_went_whatever_failed_before() {
    // Any of these happens between two changes; all sequences of four of them.
    const TURNS: usize = 6;
    for sequence in 0..TURNS.pow(4) {
        let mut writer = frail();
        let (mut said, mut left) = (0, sequence);
        for step in 1..=4 {
            match left % TURNS {
                0 => {}
                1 => writer.disk().room = Some(70),
                2 => writer.disk().room = None,
                3 => writer.disk().refused = Some(PathBuf::from("/farm")),
                4 => writer.disk().refused = None,
                _ => writer.disk().no_sync = !writer.disk().no_sync,
            }
            left /= TURNS;
            if writer.follow(plan_with(step), stamp(step as u64)) {
                said = step;
            }
            for lucky in [0, 33, 1_000_000] {
                let back = comes_back(&writer.disk().crash(lucky));
                assert!(
                    back >= said && back <= step,
                    "sequence {sequence}, step {step}: {said} were said to be there, {back} are"
                );
            }
        }
        // Once the disk takes it, all of it is there again, in its own place and nowhere else.
        (writer.disk().room, writer.disk().refused, writer.disk().no_sync) = (None, None, false);
        assert!(writer.follow(plan_with(6), stamp(6)));
        let files = writer.disk().crash(0);
        assert_eq!((comes_back(&files), files.len()), (6, 1), "sequence {sequence}");
        assert!(files.contains_key(Path::new("/farm/a.journal")), "sequence {sequence}");
    }
}

#[test]
fn a_full_disk_is_said_once_and_so_is_that_it_works_again() {
    let mut writer = frail();
    assert!(writer.follow(plan_with(1), stamp(1)));
    assert!(writer.reports().is_empty());
    writer.disk().room = Some(40);
    for marks in [2, 3] {
        assert!(!writer.follow(plan_with(marks), stamp(1)));
    }
    let reports = writer.reports();
    assert!(matches!(reports.as_slice(), [Report::Nowhere { reason, .. }] if reason == "the disk is full"), "{reports:?}");
    // Nothing was drawn since, and the disk has room again.
    writer.disk().room = None;
    assert!(writer.is_waiting() && writer.retry() && !writer.is_waiting());
    assert_eq!(comes_back(&writer.disk().crash(0)), 3);
    assert!(matches!(writer.reports().as_slice(), [Report::Back(_)]));
    // A folder that may not be written: the data folder takes it, and gives it back.
    writer.disk().refused = Some(PathBuf::from("/farm"));
    assert!(writer.follow(plan_with(4), stamp(1)) && writer.follow(plan_with(5), stamp(1)));
    assert!(matches!(writer.reports().as_slice(), [Report::Elsewhere { place, .. }] if place.starts_with("/data")));
    writer.disk().refused = None;
    assert!(writer.follow(plan_with(6), stamp(1)));
    assert!(matches!(writer.reports().as_slice(), [Report::Back(_)]));
    assert_eq!(writer.disk().crash(0).len(), 1);
}
