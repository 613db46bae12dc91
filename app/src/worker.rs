//! Work off the drawing thread: opening files, consequences, shaded tiles, contours. The newest request wins; the window never waits.
//!
//! Every answer carries which plan was open when it was asked for: one that comes late is not taken for an answer of the plan that is open
//! now. What goes wrong inside the program while work is done ends that piece of work, with a message, and nothing else.

mod arrived;
mod errands;
mod lane;
mod opens;

pub use arrived::{Arrived, GroundStage};
pub use opens::Keeps;

use crate::clock::today;
use crate::helping::{self, HelpRequest};
use crate::locating::{self, LocateRequest};
use crate::map::contours;
use crate::map::look::LookRequest;
use crate::map::tiles::TileRequest;
use crate::mending::{TrialRequest, tried};
use crate::opening::Opened;
use crate::power_view::{PulseOf, PulseShape};
use crate::words;
use hillwire_core::catalogue::InUse;
use hillwire_core::job::Job;
use hillwire_core::land::{Ground, survey};
use hillwire_core::outcome::{Kept, outcome_on};
use hillwire_core::plan::Plan;
use hillwire_core::power::Power;
use lane::Lane;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Condvar, Mutex};

/// Does a piece of work; where something goes wrong inside the program, gives a sentence that names what was being done.
fn guarded<T>(what: &str, work: impl FnOnce() -> T) -> Result<T, String> {
    catch_unwind(AssertUnwindSafe(work)).map_err(|panic| {
        let says = panic.downcast_ref::<&str>().map(ToString::to_string).or_else(|| panic.downcast_ref::<String>().cloned());
        words::broke(what, says.as_deref())
    })
}

/// Whether work runs beside the window or at once, as tests want it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pace {
    /// On threads of its own.
    Beside,
    /// Immediately, in the caller.
    AtOnce,
}

/// A plan and its ground, waiting for its consequences.
struct OutcomeRequest {
    plan: Plan,
    revision: u64,
    ground: Option<Arc<Ground>>,
    generation: u64,
    rows: InUse,
    outbox: Outbox,
}

/// A place for one request: a newer one replaces an older one that nobody has begun.
struct Slot<T> {
    newest: Mutex<Option<T>>,
    filled: Condvar,
}

impl<T> Slot<T> {
    fn new() -> Arc<Self> {
        Arc::new(Self { newest: Mutex::new(None), filled: Condvar::new() })
    }
    fn put(&self, request: T) {
        *self.newest.lock().expect("no holder panics") = Some(request);
        self.filled.notify_one();
    }
    fn wait(&self) -> T {
        let mut newest = self.newest.lock().expect("no holder panics");
        loop {
            if let Some(request) = newest.take() {
                return request;
            }
            newest = self.filled.wait(newest).expect("no holder panics");
        }
    }
}

/// Sends results and wakes the window.
#[derive(Clone)]
struct Outbox {
    sender: Sender<Sent>,
    ctx: egui::Context,
    /// Which plan is open while this is asked for.
    of: u64,
    /// Which file was on its way in.
    opening: u64,
}

/// A result, with what it belongs to.
struct Sent {
    of: u64,
    opening: u64,
    arrived: Arrived,
}

impl Outbox {
    fn send(&self, arrived: Arrived) {
        // The window may have been closed meanwhile: then nobody wants it.
        let _ = self.sender.send(Sent { of: self.of, opening: self.opening, arrived });
        self.ctx.request_repaint();
    }
}

/// The window's work beside drawing.
pub struct Worker {
    pace: Pace,
    outbox: Outbox,
    inbox: Receiver<Sent>,
    lane: Lane,
    outcome_slot: Arc<Slot<OutcomeRequest>>,
    tile_slot: Arc<Slot<Vec<TileRequest>>>,
    kept: Kept,
    /// The file being opened now, with its progress.
    opening: Option<Opening>,
}

/// A file on its way in.
pub struct Opening {
    /// Its name, for the keeper.
    pub name: String,
    /// Progress and cancel.
    pub job: Arc<Job>,
    /// When it began, by the window's clock in seconds.
    pub began_s: f64,
}

impl Worker {
    /// Work for a window. Threads end with the process.
    pub fn new(ctx: &egui::Context, pace: Pace) -> Self {
        let (sender, inbox) = channel();
        let outbox = Outbox { sender, ctx: ctx.clone(), of: 0, opening: 0 };
        let (outcome_slot, tile_slot, kept) = (Slot::new(), Slot::new(), Kept::default());
        let worker = Self { pace, outbox, inbox, lane: Lane::new(pace), outcome_slot, tile_slot, kept, opening: None };
        if pace == Pace::Beside {
            worker.start_outcome_thread();
            worker.start_tile_thread();
        }
        worker
    }

    /// Answers of work that is asked for from now on belong to this plan.
    pub fn turn_to(&mut self, plan: u64) {
        self.outbox.of = plan;
    }

    /// What has come since the last call and is still worth something.
    pub fn arrivals(&mut self) -> Vec<Arrived> {
        let sent: Vec<_> = self.inbox.try_iter().collect();
        let mut arrived = Vec::with_capacity(sent.len());
        for Sent { of, opening, arrived: one } in sent {
            let is_late = of != self.outbox.of && !one.outlives_its_plan();
            // A plan or a ground that another one was opened after.
            let is_opened = matches!(one, Arrived::Opened(Opened::Plan(_)) | Arrived::Ground(..) | Arrived::NoGround);
            if is_late || is_opened && opening != self.outbox.opening {
                continue;
            }
            let ends = match &one {
                Arrived::Ground(_, GroundStage::Whole) | Arrived::NoGround | Arrived::Trouble(_) | Arrived::Broke(_) => true,
                Arrived::Opened(opened) => opens::grids_of(opened).is_empty(),
                _ => false,
            };
            if ends && opening == self.outbox.opening {
                self.opening = None;
            }
            arrived.push(if of == self.outbox.of { one } else { one.of_another_plan() });
        }
        arrived
    }

    /// The file on its way in, if any.
    pub fn opening(&self) -> Option<&Opening> {
        self.opening.as_ref()
    }

    /// Stops the file on its way in.
    pub fn cancel_opening(&mut self) {
        self.outbox.opening += 1;
        if let Some(opening) = self.opening.take() {
            opening.job.cancel();
        }
    }

    /// Whether work runs beside the window.
    pub fn pace(&self) -> Pace {
        self.pace
    }

    /// How many saves are not done yet.
    pub fn saves_underway(&self) -> usize {
        self.lane.underway()
    }

    /// Asks for the consequences of a plan.
    pub fn request_outcome(&mut self, plan: Plan, revision: u64, (ground, generation): (Option<Arc<Ground>>, u64), rows: InUse) {
        let request = OutcomeRequest { plan, revision, ground, generation, rows, outbox: self.outbox.clone() };
        match self.pace {
            Pace::Beside => self.outcome_slot.put(request),
            Pace::AtOnce => answer(&request, &mut self.kept),
        }
    }

    /// Asks what would bring more to the far end.
    pub fn request_helps(&self, request: HelpRequest) {
        self.run("trying what would help", move |outbox| outbox.send(Arrived::Helps(helping::tried(&request))));
    }

    /// Has a fault looked for.
    pub fn request_locate(&self, request: LocateRequest) {
        self.run("looking for the fault", move |outbox| outbox.send(Arrived::Found(Box::new(locating::looked(request)))));
    }

    /// Asks for the pulse at a place.
    pub fn request_pulse(&self, power: Arc<Power>, of: PulseOf) {
        self.run("working out the pulse", move |outbox| {
            if let Some(pulses) = power.pulses(of.station, of.state) {
                outbox.send(Arrived::Pulse(Box::new(PulseShape { of, pulses })));
            }
        });
    }

    /// Has a mend tried.
    pub fn request_trial(&self, request: TrialRequest) {
        self.run("trying the mend", move |outbox| match tried(&request) {
            Ok(trial) => trial.into_iter().for_each(|trial| outbox.send(Arrived::Trial(Box::new(trial)))),
            Err(trouble) => outbox.send(Arrived::Trouble(trouble.to_string())),
        });
    }

    /// Asks for shaded tiles; what an earlier call asked for and nobody began is forgotten.
    pub fn request_tiles(&mut self, wanted: Vec<TileRequest>) {
        match self.pace {
            Pace::Beside => self.tile_slot.put(wanted),
            Pace::AtOnce => wanted.iter().for_each(|tile| self.outbox.send(tile.shade())),
        }
    }

    /// Asks for a picture of the ground in classes.
    pub fn request_look(&self, request: LookRequest) {
        self.run("colouring the ground", move |outbox| outbox.send(request.paint()));
    }

    /// Asks for what a ground is, and for its contour lines.
    pub fn request_survey(&mut self, ground: Arc<Ground>) {
        self.run("looking at the elevation grids", move |outbox| {
            outbox.send(Arrived::Surveys(Arc::new(ground.layers().map(|layer| survey(layer.grid())).collect())));
            if let Some(lines) = contours::lines_of(&ground, &Job::new()) {
                outbox.send(Arrived::Contours(Arc::new(lines)));
            }
        });
    }

    fn run(&self, what: &'static str, work: impl FnOnce(&Outbox) + Send + 'static) {
        let outbox = self.outbox.clone();
        let work = move || {
            if let Err(broke) = guarded(what, || work(&outbox)) {
                outbox.send(Arrived::Broke(broke));
            }
        };
        match self.pace {
            Pace::Beside => drop(std::thread::spawn(work)),
            Pace::AtOnce => work(),
        }
    }

    fn start_outcome_thread(&self) {
        let slot = Arc::clone(&self.outcome_slot);
        std::thread::spawn(move || {
            let mut kept = Kept::default();
            loop {
                answer(&slot.wait(), &mut kept);
            }
        });
    }

    fn start_tile_thread(&self) {
        let (slot, outbox) = (Arc::clone(&self.tile_slot), self.outbox.clone());
        std::thread::spawn(move || {
            loop {
                for tile in slot.wait() {
                    match guarded("shading the ground", || tile.shade()) {
                        Ok(arrived) => outbox.send(arrived),
                        Err(broke) => outbox.send(Arrived::Broke(broke)),
                    }
                    if slot.newest.lock().expect("no holder panics").is_some() {
                        break;
                    }
                }
            }
        });
    }
}

fn answer(request: &OutcomeRequest, kept: &mut Kept) {
    let ground = request.ground.as_deref();
    let outcome = || outcome_on(Some(today()), &request.plan, request.revision, ground, request.rows.rows(), kept);
    let outbox = &request.outbox;
    match guarded("working out what follows from the plan", outcome) {
        Ok(outcome) => outbox.send(Arrived::Outcome(Arc::new(outcome), request.generation)),
        Err(broke) => {
            // What was kept may be half done.
            *kept = Kept::default();
            outbox.send(Arrived::Broke(broke));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::{Duration, Instant};

    fn wait_for(worker: &mut Worker, is_it: impl Fn(&Arrived) -> bool) -> Option<Arrived> {
        let began = Instant::now();
        while began.elapsed() < Duration::from_secs(20) {
            if let Some(found) = worker.arrivals().into_iter().find(&is_it) {
                return Some(found);
            }
            std::thread::yield_now();
        }
        None
    }

    #[test]
    fn work_that_breaks_says_what_was_being_done_and_the_next_is_done_all_the_same() {
        let ctx = egui::Context::default();
        for pace in [Pace::Beside, Pace::AtOnce] {
            let mut worker = Worker::new(&ctx, pace);
            worker.run("counting sheep", |_| panic!("one jumped back"));
            let broke = wait_for(&mut worker, |arrived| matches!(arrived, Arrived::Broke(_)));
            let Some(Arrived::Broke(text)) = broke else { panic!("nothing came") };
            assert!(text.contains("counting sheep") && text.contains("one jumped back"), "{text}");
            worker.run("nothing", |outbox| outbox.send(Arrived::NoGround));
            assert!(wait_for(&mut worker, |arrived| matches!(arrived, Arrived::NoGround)).is_some());
        }
    }

    #[test]
    fn an_answer_of_a_plan_that_is_no_longer_open_is_not_taken() {
        let mut worker = Worker::new(&egui::Context::default(), Pace::AtOnce);
        worker.run("nothing", |outbox| outbox.send(Arrived::Looks(Ok(Vec::new()))));
        worker.run("nothing", |outbox| outbox.send(Arrived::Trouble("it is full".to_owned())));
        worker.turn_to(1);
        let left = worker.arrivals();
        assert!(matches!(left.as_slice(), [Arrived::Trouble(_)]), "what is true of any plan is said");
        worker.run("nothing", |outbox| outbox.send(Arrived::Looks(Ok(Vec::new()))));
        worker.run("nothing", |outbox| outbox.send(Arrived::NoGround));
        worker.cancel_opening();
        assert!(matches!(worker.arrivals().as_slice(), [Arrived::Looks(_)]), "the ground was of a file that is no longer wanted");
    }
}
