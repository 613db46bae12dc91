//! Work that is done in the order in which it was asked for, one after the other, and never dropped: saving.

use super::{Arrived, Outbox, Pace, guarded};
use crate::files::FileMark;
use crate::saving::{LastWritten, Looked, SaveEnd, SaveRequest, Theirs, save};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{Sender, channel};

/// An errand of the lane, with where its answer goes.
enum Errand {
    Save(Box<SaveRequest>, Outbox),
    Look(PathBuf, FileMark, Outbox),
}

/// The lane.
pub(super) struct Lane {
    errands: Option<Sender<Errand>>,
    last: LastWritten,
    underway: Arc<AtomicUsize>,
}

impl Lane {
    pub fn new(pace: Pace) -> Self {
        let underway = Arc::new(AtomicUsize::new(0));
        let (errands, inbox) = channel();
        if pace == Pace::Beside {
            let underway = Arc::clone(&underway);
            std::thread::spawn(move || {
                let mut last = None;
                for errand in inbox {
                    done(errand, &mut last, &underway);
                }
            });
        }
        Self { errands: (pace == Pace::Beside).then_some(errands), last: None, underway }
    }

    pub fn save(&mut self, request: SaveRequest, outbox: Outbox) {
        self.underway.fetch_add(1, Ordering::AcqRel);
        self.put(Errand::Save(Box::new(request), outbox));
    }

    pub fn look(&mut self, path: PathBuf, known: FileMark, outbox: Outbox) {
        self.put(Errand::Look(path, known, outbox));
    }

    /// How many saves are not done yet.
    pub fn underway(&self) -> usize {
        self.underway.load(Ordering::Acquire)
    }

    fn put(&mut self, errand: Errand) {
        match &self.errands {
            Some(errands) => drop(errands.send(errand)),
            None => done(errand, &mut self.last, &self.underway),
        }
    }
}

fn done(errand: Errand, last: &mut LastWritten, underway: &AtomicUsize) {
    match errand {
        Errand::Save(request, outbox) => {
            let end = guarded("saving the plan", || save(*request, last)).unwrap_or_else(SaveEnd::Failed);
            underway.fetch_sub(1, Ordering::AcqRel);
            outbox.send(Arrived::SaveEnded(end));
        }
        Errand::Look(path, known, outbox) => {
            let mut marks = vec![known];
            marks.extend(last.as_ref().filter(|(written, _)| *written == path).map(|(_, mark)| *mark));
            // What cannot be read is said when it is saved.
            let theirs = guarded("looking at the plan file", || Theirs::of(&path, &marks)).ok().and_then(Result::ok).flatten();
            let is_gone = !path.exists();
            outbox.send(Arrived::Looked(Box::new(Looked { path, is_gone, theirs })));
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::files::Guard;
    use crate::saving::{Replaces, SaveEnd, SaveRequest};
    use crate::worker::{Arrived, Pace, Worker};
    use hillwire_core::plan::{Head, Plan, write_plan};
    use std::time::{Duration, Instant};

    #[test]
    fn saves_land_in_the_order_in_which_they_were_asked_for_and_the_last_one_stays() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("farm.plan.geojson");
        let mut worker = Worker::new(&egui::Context::default(), Pace::Beside);
        for turn in 0..100 {
            let plan = Plan::new(Head { name: turn.to_string(), ..Head::default() }, Vec::new());
            let replaces = if turn == 0 { Replaces::Nothing } else { Replaces::Anything };
            let (bytes, guard) = (write_plan(&plan), Guard::default());
            let (even_protected, folder, hold, after) = (false, None, None, None);
            let path = path.clone();
            worker.save(SaveRequest { path, bytes, plan, replaces, even_protected, guard, folder, hold, after });
        }
        let (mut landed, began) = (Vec::new(), Instant::now());
        while landed.len() < 100 {
            assert!(began.elapsed() < Duration::from_secs(30), "only {} have landed", landed.len());
            for arrived in worker.arrivals() {
                let Arrived::SaveEnded(SaveEnd::Saved(saved)) = arrived else { panic!("it was not saved") };
                landed.push(saved.plan.head.name.clone());
            }
            std::thread::yield_now();
        }
        assert_eq!(landed, (0..100).map(|turn| turn.to_string()).collect::<Vec<_>>());
        assert_eq!(worker.saves_underway(), 0);
        assert!(std::fs::read_to_string(&path).expect("there").contains("\"name\":\"99\""));
    }
}
