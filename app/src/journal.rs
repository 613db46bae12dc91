//! The journal beside the plan: every finished change is on the disk a moment later, and comes back after a crash.

use hillwire_core::plan::{Plan, journal_entry, replay};
use std::fs::{self, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Sender, channel};

/// Writes a journal on a thread of its own.
pub struct Journal {
    place: Option<PathBuf>,
    written: Plan,
    orders: Sender<Order>,
}

enum Order {
    Append(PathBuf, String),
    Forget(PathBuf),
}

impl Journal {
    /// A journal with nowhere to write yet.
    pub fn new(plan: Plan) -> Self {
        let (orders, inbox) = channel();
        std::thread::spawn(move || {
            for order in inbox {
                // A journal that cannot be written must not stop the work: saving itself says what is wrong with the disk.
                let _ = carry_out(&order);
            }
        });
        Self { place: None, written: plan, orders }
    }

    /// Goes on beside another plan file; `None` for a plan that is nowhere yet.
    pub fn move_to(&mut self, plan_file: Option<&Path>, plan: Plan) {
        self.place = plan_file.map(beside).or_else(for_unsaved);
        self.written = plan;
    }

    /// Writes down what has changed since the last call.
    pub fn follow(&mut self, plan: &Plan) {
        if let Some(place) = &self.place
            && self.written != *plan
        {
            let _ = self.orders.send(Order::Append(place.clone(), journal_entry(&self.written, plan)));
            self.written = plan.clone();
        }
    }

    /// Everything is saved: the journal goes away.
    pub fn forget(&mut self) {
        if let Some(place) = &self.place {
            let _ = self.orders.send(Order::Forget(place.clone()));
        }
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
