//! The journal beside the plan: every finished change is on the disk a moment later, and comes back after a crash.

use hillwire_core::plan::{Head, Plan, journal_entry, replay};
use std::fs::{self, File, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Sender, channel};
use std::thread::JoinHandle;

/// Writes a journal on a thread of its own.
pub struct Journal {
    /// Where journals of plans stand that are kept nowhere yet.
    folder: Option<PathBuf>,
    /// The journal; `None` until there is something to write of a plan that is kept nowhere.
    place: Option<PathBuf>,
    /// The journal of an unsaved plan that the next entry makes needless.
    superseded: Option<PathBuf>,
    written: Plan,
    orders: Option<Sender<Order>>,
    writer: Option<JoinHandle<()>>,
}

/// What is still to be written is written before the program ends.
impl Drop for Journal {
    fn drop(&mut self) {
        self.orders = None;
        if let Some(writer) = self.writer.take() {
            let _ = writer.join();
        }
    }
}

enum Order {
    Append(PathBuf, String),
    Forget(PathBuf),
}

impl Journal {
    /// A journal that follows no plan yet; those of unsaved plans stand in a folder.
    pub fn new(folder: Option<PathBuf>) -> Self {
        let (orders, inbox) = channel();
        let writer = std::thread::spawn(move || {
            let mut open = None;
            for order in inbox {
                // A journal that cannot be written must not stop the work: saving itself says what is wrong with the disk.
                let _ = carry_out(&order, &mut open);
            }
        });
        let (orders, writer) = (Some(orders), Some(writer));
        Self { folder, place: None, superseded: None, written: empty(), orders, writer }
    }

    /// What is left of an unsaved plan from before, the latest first, of those that no other window is writing. It stays where it is until
    /// the journal goes on without it ([`Self::begin_unsaved`]) or is told to forget it.
    pub fn adopt_unsaved(&mut self) -> Option<Plan> {
        let (plan, place) = left_over_unsaved(self.folder.as_deref()?)?;
        self.place = Some(place);
        Some(plan)
    }

    /// Leaves what was adopted for another time.
    pub fn leave(&mut self) {
        self.place = None;
    }

    /// Goes on beside another plan file, which holds this plan.
    pub fn move_to(&mut self, plan_file: &Path, plan: Plan) {
        self.place = Some(beside(plan_file));
        self.written = plan;
    }

    /// Begins anew for a plan that is kept nowhere yet: its journal holds all of it. That of the unsaved plan before goes away once the new
    /// one is written.
    pub fn begin_unsaved(&mut self) {
        self.superseded = self.place.take().filter(|place| place.parent() == self.folder.as_deref());
        self.written = empty();
    }

    /// Whether there is a file that holds, or will hold, what is followed.
    pub fn has_begun(&self) -> bool {
        self.place.is_some()
    }

    /// Writes down what has changed since the last call.
    pub fn follow(&mut self, plan: &Plan) {
        if self.written == *plan {
            return;
        }
        if self.place.is_none() {
            self.place = self.folder.as_deref().and_then(for_unsaved);
        }
        if let Some(place) = self.place.clone() {
            self.order(Order::Append(place, journal_entry(&self.written, plan)));
            self.written = plan.clone();
        }
        if let Some(superseded) = self.superseded.take() {
            self.order(Order::Forget(superseded));
        }
    }

    /// Everything is saved, or not wanted: the journal goes away.
    pub fn forget(&mut self) {
        for place in self.place.take().into_iter().chain(self.superseded.take()) {
            self.order(Order::Forget(place));
        }
    }

    fn order(&self, order: Order) {
        // The writer lives as long as the journal.
        let _ = self.orders.as_ref().map(|orders| orders.send(order));
    }
}

/// The journal that was written last stays open, and locked: another window knows by that whose it is.
fn carry_out(order: &Order, open: &mut Option<(PathBuf, File)>) -> std::io::Result<()> {
    match order {
        Order::Append(place, entry) => {
            if open.as_ref().is_none_or(|(path, _)| path != place) {
                let file = OpenOptions::new().create(true).append(true).open(place)?;
                // On a file system without locks it is written all the same.
                let _ = file.try_lock();
                *open = Some((place.clone(), file));
            }
            let Some((_, file)) = open else { return Ok(()) };
            writeln!(file, "{}", entry.trim_end())?;
            file.sync_data()
        }
        Order::Forget(place) => {
            open.take_if(|(path, _)| path == place);
            fs::remove_file(place)
        }
    }
}

fn empty() -> Plan {
    Plan::new(Head::default(), Vec::new())
}

fn beside(plan_file: &Path) -> PathBuf {
    let name = plan_file.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    plan_file.with_file_name(format!("{name}.journal"))
}

/// How the journal of an unsaved plan is called, with a number.
const UNSAVED: (&str, &str) = ("unsaved-", ".journal");

/// Where journals of unsaved plans stand.
pub fn usual_folder() -> Option<PathBuf> {
    let folders = directories::ProjectDirs::from("", "", "hillwire")?;
    fs::create_dir_all(folders.data_dir()).ok()?;
    Some(folders.data_dir().to_owned())
}

/// A journal that nobody else has, empty and in the folder, so that no other window takes it.
fn for_unsaved(folder: &Path) -> Option<PathBuf> {
    let mut names = (1..1000).map(|number| folder.join(format!("{}{number}{}", UNSAVED.0, UNSAVED.1)));
    names.find(|place| OpenOptions::new().write(true).create_new(true).open(place).is_ok())
}

/// The latest journal of an unsaved plan that no window is writing and that holds something.
fn left_over_unsaved(folder: &Path) -> Option<(Plan, PathBuf)> {
    let is_one = |name: &str| name.starts_with(UNSAVED.0) && name.ends_with(UNSAVED.1);
    let entries = fs::read_dir(folder).ok()?.flatten().filter(|entry| entry.file_name().to_str().is_some_and(is_one));
    let written = |place: &PathBuf| fs::metadata(place).and_then(|known| known.modified()).ok();
    let mut places: Vec<PathBuf> = entries.map(|entry| entry.path()).collect();
    places.sort_by_key(|place| std::cmp::Reverse(written(place)));
    let is_free = |place: &PathBuf| File::open(place).is_ok_and(|file| file.try_lock().is_ok());
    places.into_iter().filter(is_free).find_map(|place| later_than(&place, &empty()).map(|plan| (plan, place)))
}

fn later_than(place: &Path, plan: &Plan) -> Option<Plan> {
    let text = fs::read_to_string(place).ok()?;
    let (later, entries) = replay(plan, &text);
    (entries > 0 && later != *plan).then_some(later)
}

/// What the journal of a plan file holds beyond the file: the plan as it was last, when that differs.
pub fn left_over(plan_file: &Path, plan: &Plan) -> Option<Plan> {
    later_than(&beside(plan_file), plan)
}

#[cfg(test)]
mod tests {
    use super::*;
    use hillwire_core::land::Position;
    use hillwire_core::plan::{Feature, FeatureId, Geometry, Kind};

    fn plan_with(marks: usize) -> Plan {
        let mark = |k: usize| {
            let at = Position::from_degrees(1.0 + k as f64 * 1e-4, 50.0);
            Feature::new(FeatureId::new(&format!("mark-{k}")), Kind::Mark, Geometry::Point(at))
        };
        Plan::new(Head::default(), (0..marks).map(mark).collect())
    }

    #[test]
    fn what_was_changed_after_the_last_save_comes_back_and_is_forgotten_once_saved() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("farm.plan.geojson");
        let mut journal = Journal::new(None);
        journal.move_to(&file, plan_with(1));
        journal.follow(&plan_with(2));
        journal.follow(&plan_with(5));
        drop(journal);
        assert_eq!(left_over(&file, &plan_with(1)), Some(plan_with(5)));
        let mut journal = Journal::new(None);
        journal.move_to(&file, plan_with(5));
        journal.forget();
        drop(journal);
        assert_eq!(left_over(&file, &plan_with(1)), None);
    }

    fn ended_with(folder: &Path, marks: usize) {
        let mut journal = Journal::new(Some(folder.to_owned()));
        journal.begin_unsaved();
        journal.follow(&plan_with(marks));
    }

    fn journals(folder: &Path) -> usize {
        fs::read_dir(folder).expect("a folder").count()
    }

    #[test]
    fn a_plan_that_was_never_saved_waits_until_it_is_wanted_whatever_else_is_drawn_meanwhile() {
        let folder = tempfile::tempdir().expect("a folder");
        let folder = folder.path();
        ended_with(folder, 3);
        // A file was opened instead, and another plan drawn that is kept nowhere either.
        let mut journal = Journal::new(Some(folder.to_owned()));
        assert_eq!(journal.adopt_unsaved(), Some(plan_with(3)));
        journal.leave();
        journal.begin_unsaved();
        journal.follow(&plan_with(1));
        drop(journal);
        assert_eq!(journals(folder), 2);
        // Both come back, one after the other; what was brought back is followed anew, in one journal of its own.
        let mut journal = Journal::new(Some(folder.to_owned()));
        let latest = journal.adopt_unsaved().expect("there are two");
        journal.begin_unsaved();
        journal.follow(&latest);
        drop(journal);
        assert_eq!(journals(folder), 2);
        for left in [1, 0] {
            let mut journal = Journal::new(Some(folder.to_owned()));
            assert!(journal.adopt_unsaved().is_some());
            journal.forget();
            drop(journal);
            assert_eq!(journals(folder), left);
        }
    }

    #[test]
    fn a_window_does_not_take_what_another_one_is_drawing() {
        let folder = tempfile::tempdir().expect("a folder");
        let mut first = Journal::new(Some(folder.path().to_owned()));
        first.begin_unsaved();
        first.follow(&plan_with(2));
        let (place, began) = (first.place.clone().expect("it has begun"), std::time::Instant::now());
        // What is on the disk is locked.
        while fs::metadata(&place).map_or(0, |known| known.len()) == 0 {
            assert!(began.elapsed().as_secs() < 20, "nothing is written");
            std::thread::yield_now();
        }
        first.follow(&plan_with(3));
        let mut second = Journal::new(Some(folder.path().to_owned()));
        assert!(first.has_begun() && second.adopt_unsaved().is_none());
        drop(first);
        assert_eq!(second.adopt_unsaved(), Some(plan_with(3)));
    }

    #[test]
    fn a_line_torn_by_the_crash_costs_only_itself() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("farm.plan.geojson");
        let mut journal = Journal::new(None);
        journal.move_to(&file, plan_with(1));
        journal.follow(&plan_with(2));
        journal.follow(&plan_with(3));
        drop(journal);
        let text = fs::read_to_string(beside(&file)).expect("written");
        fs::write(beside(&file), &text[..text.len() - 20]).expect("torn");
        assert_eq!(left_over(&file, &plan_with(1)), Some(plan_with(2)));
    }
}
