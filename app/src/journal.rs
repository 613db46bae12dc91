//! The journal beside the plan: every finished change is on the disk a moment later, and comes back after a crash.

use hillwire_core::plan::{Head, Plan, journal_entry, replay};
use std::fs::{self, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Sender, channel};
use std::thread::JoinHandle;

/// Writes a journal on a thread of its own.
pub struct Journal {
    place: Option<PathBuf>,
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
    /// A journal for a plan with nothing in it that is kept nowhere.
    pub fn new() -> Self {
        let (orders, inbox) = channel();
        let writer = std::thread::spawn(move || {
            for order in inbox {
                // A journal that cannot be written must not stop the work: saving itself says what is wrong with the disk.
                let _ = carry_out(&order);
            }
        });
        Self { place: for_unsaved(), written: empty(), orders: Some(orders), writer: Some(writer) }
    }

    /// Goes on beside another plan file, which holds this plan.
    pub fn move_to(&mut self, plan_file: &Path, plan: Plan) {
        self.place = Some(beside(plan_file));
        self.written = plan;
    }

    /// Begins anew for a plan that is kept nowhere yet: its journal holds all of it.
    pub fn begin_unsaved(&mut self) {
        self.place = for_unsaved();
        self.forget();
        self.written = empty();
    }

    /// Writes down what has changed since the last call.
    pub fn follow(&mut self, plan: &Plan) {
        if let Some(place) = self.place.clone()
            && self.written != *plan
        {
            self.order(Order::Append(place, journal_entry(&self.written, plan)));
            self.written = plan.clone();
        }
    }

    /// Everything is saved: the journal goes away.
    pub fn forget(&mut self) {
        if let Some(place) = self.place.clone() {
            self.order(Order::Forget(place));
        }
    }

    fn order(&self, order: Order) {
        // The writer lives as long as the journal.
        let _ = self.orders.as_ref().map(|orders| orders.send(order));
    }
}

fn carry_out(order: &Order) -> std::io::Result<()> {
    match order {
        Order::Append(place, entry) => {
            let mut file = OpenOptions::new().create(true).append(true).open(place)?;
            writeln!(file, "{}", entry.trim_end())?;
            file.sync_data()
        }
        Order::Forget(place) => fs::remove_file(place),
    }
}

fn empty() -> Plan {
    Plan::new(Head::default(), Vec::new())
}

fn beside(plan_file: &Path) -> PathBuf {
    let name = plan_file.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    plan_file.with_file_name(format!("{name}.journal"))
}

fn for_unsaved() -> Option<PathBuf> {
    let folders = directories::ProjectDirs::from("", "", "hillwire")?;
    fs::create_dir_all(folders.data_dir()).ok()?;
    Some(folders.data_dir().join("unsaved.journal"))
}

/// What the journal of a plan file holds beyond the file: the plan as it was last, when that differs.
pub fn left_over(plan_file: Option<&Path>, plan: &Plan) -> Option<Plan> {
    let place = plan_file.map(beside).or_else(for_unsaved)?;
    let text = fs::read_to_string(place).ok()?;
    let (later, entries) = replay(plan, &text);
    (entries > 0 && later != *plan).then_some(later)
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
        let mut journal = Journal::new();
        journal.move_to(&file, plan_with(1));
        journal.follow(&plan_with(2));
        journal.follow(&plan_with(5));
        drop(journal);
        assert_eq!(left_over(Some(&file), &plan_with(1)), Some(plan_with(5)));
        let mut journal = Journal::new();
        journal.move_to(&file, plan_with(5));
        journal.forget();
        drop(journal);
        assert_eq!(left_over(Some(&file), &plan_with(1)), None);
    }

    #[test]
    fn a_line_torn_by_the_crash_costs_only_itself() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("farm.plan.geojson");
        let mut journal = Journal::new();
        journal.move_to(&file, plan_with(1));
        journal.follow(&plan_with(2));
        journal.follow(&plan_with(3));
        drop(journal);
        let text = fs::read_to_string(beside(&file)).expect("written");
        fs::write(beside(&file), &text[..text.len() - 20]).expect("torn");
        assert_eq!(left_over(Some(&file), &plan_with(1)), Some(plan_with(2)));
    }
}
