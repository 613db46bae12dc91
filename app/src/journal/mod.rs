//! The journal of a plan: every finished change is on the disk a moment later, and comes back after a crash.
//!
//! It stands beside the plan file (`place`), line by line, each with a checksum (`hillwire_core::plan::journal_line`); a thread of its own writes
//! it (`writer`). Nothing deletes a journal but that its changes are saved; what is discarded on purpose is kept aside for a week (`found`).

mod found;
mod place;
#[cfg(test)]
mod tests;
mod writer;

pub use found::{
    KEPT_S, KeptJournal, LeftOver, Told, all_kept, expire, in_use, left_over, left_over_unsaved, plan_of, unreadable, waits_for,
};
pub use place::{Held, Hold, Places, hold, hold_soon, true_path, usual_folder};
pub use writer::Report;

use crate::clock::now;
use crate::files::{Disk, RealDisk};
use hillwire_core::plan::{Plan, Stamp};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::Duration;
use writer::Writer;

/// How long saving waits for a journal that is being written.
const SAVING_WAITS: Duration = Duration::from_secs(2);

/// How long after a failure the disk is tried again.
const PATIENCE: Duration = Duration::from_secs(3);

/// What becomes of the journal, in the order in which it happens in the window.
#[derive(Debug)]
pub enum Keep {
    /// Another plan is open, whose journal may stand here; perhaps as a journal from before held it.
    Turned(Places, Option<LeftOver>),
    /// The same plan is kept elsewhere from now on.
    Moved(Places),
    /// What a journal held is in the plan now.
    BroughtBack(Places, LeftOver),
    /// All of the plan is in its file.
    Saved,
    /// The plan is as it is in its file, because what a journal brought back was undone: what it held stays kept aside.
    Undone,
    /// What is not saved is not wanted.
    DiscardOwn,
    /// What was left from before is not wanted.
    Discard(LeftOver),
}

enum Order {
    Keep(Box<Keep>),
    Follow(Plan, Stamp),
}

/// Writes a journal on a thread of its own.
pub struct Journal {
    folder: Option<PathBuf>,
    orders: Option<Sender<Order>>,
    reports: Receiver<Report>,
    writer: Option<JoinHandle<()>>,
    given: u64,
    shared: Arc<Shared>,
    /// Whether anything of the plan was followed since it was opened or saved.
    has_begun: bool,
    /// The plan file as it was last told, and its one path.
    of: Option<(PathBuf, String)>,
    since_ms: Option<i64>,
}

#[derive(Default)]
struct Shared {
    /// How many orders are done.
    done: AtomicU64,
    /// How many of them were on a disk when the last plan was.
    on_disk: AtomicU64,
    /// Has the window look at what is to be said.
    wake: Mutex<Option<Box<dyn Fn() + Send>>>,
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

impl Journal {
    /// A journal that follows no plan yet; what cannot stand beside its plan file stands in a folder.
    pub fn new(folder: Option<PathBuf>) -> Self {
        Self::on(RealDisk::default(), folder)
    }

    fn on(disk: impl Disk + 'static, folder: Option<PathBuf>) -> Self {
        let (orders, inbox) = channel();
        let (outbox, reports) = channel();
        let shared = Arc::new(Shared::default());
        let known = Arc::clone(&shared);
        let writer = std::thread::spawn(move || work(Writer::new(disk), &inbox, &outbox, &known));
        let (orders, writer) = (Some(orders), Some(writer));
        Self { folder, orders, reports, writer, given: 0, shared, has_begun: false, of: None, since_ms: None }
    }

    /// Has this called whenever there is something to say.
    pub fn wake_with(&mut self, wake: impl Fn() + Send + 'static) {
        if let Ok(mut place) = self.shared.wake.lock() {
            *place = Some(Box::new(wake));
        }
    }

    /// The folder.
    pub fn folder(&self) -> Option<&Path> {
        self.folder.as_deref()
    }

    /// What becomes of it.
    pub fn keep(&mut self, keep: Keep) {
        if !matches!(keep, Keep::Discard(_)) {
            (self.has_begun, self.since_ms) = (false, None);
        }
        if let Keep::BroughtBack(_, left) | Keep::Turned(_, Some(left)) = &keep {
            self.since_ms = left.told.since.map(jiff::Timestamp::as_millisecond);
        }
        self.order(Order::Keep(Box::new(keep)));
    }

    /// Writes down how the plan is now: this many changes are not saved. Comparing it with what is written is the writer's work.
    pub fn follow(&mut self, plan: &Plan, changes: u64, of: Option<&Path>) {
        let at_ms = now().as_millisecond();
        let since_ms = *self.since_ms.get_or_insert(at_ms);
        if self.of.as_ref().map(|(path, _)| path.as_path()) != of {
            self.of = of.map(|path| (path.to_owned(), true_path(path).to_string_lossy().into_owned()));
        }
        let of = self.of.as_ref().map(|(_, path)| path.clone());
        self.has_begun = true;
        self.order(Order::Follow(plan.clone(), Stamp { number: 0, since_ms, at_ms, changes, of }));
    }

    /// Whether anything of the plan was followed since it was opened or saved.
    pub fn has_begun(&self) -> bool {
        self.has_begun
    }

    /// When the first change was made that is not saved.
    pub fn since(&self) -> Option<jiff::Timestamp> {
        self.since_ms.and_then(|ms| jiff::Timestamp::from_millisecond(ms).ok())
    }

    /// Whether everything that was followed is on a disk.
    pub fn is_on_disk(&self) -> bool {
        self.shared.done.load(Ordering::Acquire) == self.given && self.shared.on_disk.load(Ordering::Acquire) == self.given
    }

    /// All that it was told so far.
    pub fn so_far(&self) -> SoFar {
        SoFar { shared: Arc::clone(&self.shared), given: self.given }
    }

    /// What is to be said since the last call.
    pub fn reports(&self) -> Vec<Report> {
        self.reports.try_iter().collect()
    }

    fn order(&mut self, order: Order) {
        self.given += 1;
        // The writer lives as long as the journal.
        if let Some(orders) = &self.orders {
            let _ = orders.send(order);
        }
    }
}

/// All that a journal was told up to some moment.
#[derive(Clone)]
pub struct SoFar {
    shared: Arc<Shared>,
    given: u64,
}

impl std::fmt::Debug for SoFar {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(formatter, "SoFar({})", self.given)
    }
}

impl SoFar {
    /// Waits until it is done; a disk that takes too long holds nothing up.
    pub fn wait(&self) {
        let began = std::time::Instant::now();
        while self.shared.done.load(Ordering::Acquire) < self.given && began.elapsed() < SAVING_WAITS {
            std::thread::sleep(Duration::from_micros(200));
        }
    }
}

/// Does what it is told, and tries again after a while what failed.
fn work<D: Disk>(mut writer: Writer<D>, inbox: &Receiver<Order>, outbox: &Sender<Report>, shared: &Shared) {
    let mut waiting: Option<Order> = None;
    loop {
        let next = match waiting.take() {
            Some(order) => Ok(order),
            None if writer.is_waiting() => inbox.recv_timeout(PATIENCE),
            None => inbox.recv().map_err(|_| RecvTimeoutError::Disconnected),
        };
        let mut done = 1;
        let is_on_disk = match next {
            Ok(Order::Follow(mut plan, mut stamp)) => {
                // Where the disk is slower than the hand, only the last of what waits is written.
                for order in inbox.try_iter() {
                    match order {
                        Order::Follow(later, with) => (plan, stamp, done) = (later, with, done + 1),
                        other => {
                            waiting = Some(other);
                            break;
                        }
                    }
                }
                writer.follow(plan, stamp)
            }
            Ok(Order::Keep(keep)) => {
                carry_out(&mut writer, *keep);
                !writer.is_waiting()
            }
            Err(RecvTimeoutError::Timeout) => {
                done = 0;
                writer.retry()
            }
            Err(RecvTimeoutError::Disconnected) => return,
        };
        let all = shared.done.fetch_add(done, Ordering::AcqRel) + done;
        if is_on_disk {
            shared.on_disk.store(all, Ordering::Release);
        }
        let reports = writer.reports();
        let has_news = !reports.is_empty();
        reports.into_iter().for_each(|report| drop(outbox.send(report)));
        if let (true, Ok(wake)) = (has_news, shared.wake.lock()) {
            wake.iter().for_each(|wake| wake());
        }
    }
}

fn carry_out<D: Disk>(writer: &mut Writer<D>, keep: Keep) {
    match keep {
        Keep::Turned(places, left) => writer.turn_to(places, left),
        Keep::Moved(places) => writer.move_to(places, None),
        Keep::BroughtBack(places, left) => writer.bring_back(places, left, now()),
        Keep::Saved => writer.saved(),
        Keep::Undone => writer.undone(),
        Keep::DiscardOwn => writer.discard_own(now()),
        Keep::Discard(left) => writer.discard(left, now()),
    }
}
