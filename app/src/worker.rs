//! Work off the drawing thread: opening files, consequences, shaded tiles, contours. The newest request wins; the window never waits.

mod errands;

use crate::air::ReadPhoto;
use crate::clock::today;
use crate::files::Look;
use crate::helping::{self, HelpRequest, Helps};
use crate::layouts::Other;
use crate::locating::{self, Found, LocateRequest};
use crate::log_view::{ReadLog, WrittenRound};
use crate::map::contours::{self, ContourLine};
use crate::map::look::{LookPicture, LookRequest};
use crate::map::tiles::{TileKey, TileRequest};
use crate::mending::{TrialRequest, tried};
use crate::opening::{self, FileTrouble, MadeGround, Opened, OpenedPlan};
use crate::order_view::Beside;
use crate::power_view::{PulseOf, PulseShape};
use crate::rerouting::CourseAnswer;
use crate::round_view;
use hillwire_core::catalogue::InUse;
use hillwire_core::job::Job;
use hillwire_core::land::{Frame, Ground, ShadeTile, Survey, survey};
use hillwire_core::mend::Trial;
use hillwire_core::order::quote::Quote;
use hillwire_core::outcome::{Kept, Outcome, outcome_on};
use hillwire_core::plan::Plan;
use hillwire_core::power::Power;
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Condvar, Mutex};

/// What comes back from work.
pub enum Arrived {
    /// Consequences of a revision.
    Outcome(Arc<Outcome>),
    /// What would bring more to the far end.
    Helps(Helps),
    /// What is worked out beside the order.
    Beside(Box<Beside>),
    /// Another layout, to be held against the drawn one.
    Other(Result<Box<Other>, String>),
    /// Sheets for somebody else, as they would be printed.
    Looks(Result<Vec<Arc<Look>>, String>),
    /// Prices that came back.
    Quote(Box<Quote>),
    /// The log, and what it teaches.
    Log(Box<ReadLog>),
    /// What was written on a round.
    WrittenRound(Box<WrittenRound>),
    /// The way round.
    Round(Box<round_view::Found>),
    /// Where the fault is.
    Found(Box<Found>),
    /// The pulse at a place.
    Pulse(Box<PulseShape>),
    /// A file was read.
    Opened(Opened),
    /// Ground for the plan: a coarse first look, then all of it.
    Ground(MadeGround, GroundStage),
    /// The plan has no elevation grid any more.
    NoGround,
    /// The plan was saved, as it was when that was asked for.
    Saved(PathBuf, Plan),
    /// A file for somebody else was written.
    Written(PathBuf),
    /// A shaded tile.
    Tile(TileKey, Option<ShadeTile>),
    /// A picture of the ground in classes.
    Look(LookPicture),
    /// An air photo was read.
    Photo(Box<Result<ReadPhoto, String>>),
    /// What each elevation grid is, the finest first.
    Surveys(Arc<Vec<Survey>>),
    /// Contour lines of a ground.
    Contours(Arc<Vec<ContourLine>>),
    /// Other courses of a line.
    Courses(Box<CourseAnswer>),
    /// A mend was tried.
    Trial(Box<Trial>),
    /// Something went wrong: one sentence for people.
    Trouble(String),
}

/// How much of the ground has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GroundStage {
    /// A coarse picture; the whole is still being read.
    FirstLook,
    /// All of it.
    Whole,
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
    rows: InUse,
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
    sender: Sender<Arrived>,
    ctx: egui::Context,
}

impl Outbox {
    fn send(&self, arrived: Arrived) {
        // The window may have been closed meanwhile: then nobody wants it.
        let _ = self.sender.send(arrived);
        self.ctx.request_repaint();
    }
}

/// The window's work beside drawing.
pub struct Worker {
    pace: Pace,
    outbox: Outbox,
    inbox: Receiver<Arrived>,
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
        let outbox = Outbox { sender, ctx: ctx.clone() };
        let worker =
            Self { pace, outbox, inbox, outcome_slot: Slot::new(), tile_slot: Slot::new(), kept: Kept::default(), opening: None };
        if pace == Pace::Beside {
            worker.start_outcome_thread();
            worker.start_tile_thread();
        }
        worker
    }

    /// What has come since the last call.
    pub fn arrivals(&mut self) -> Vec<Arrived> {
        let arrived: Vec<_> = self.inbox.try_iter().collect();
        let finished =
            arrived.iter().any(|a| matches!(a, Arrived::Ground(_, GroundStage::Whole) | Arrived::NoGround | Arrived::Trouble(_)));
        let no_grid = arrived.iter().any(|a| matches!(a, Arrived::Opened(opened) if grids_of(opened).is_empty()));
        if finished || no_grid {
            self.opening = None;
        }
        arrived
    }

    /// The file on its way in, if any.
    pub fn opening(&self) -> Option<&Opening> {
        self.opening.as_ref()
    }

    /// Stops the file on its way in.
    pub fn cancel_opening(&mut self) {
        if let Some(opening) = self.opening.take() {
            opening.job.cancel();
        }
    }

    /// Asks for the consequences of a plan.
    pub fn request_outcome(&mut self, plan: Plan, revision: u64, ground: Option<Arc<Ground>>, rows: InUse) {
        let request = OutcomeRequest { plan, revision, ground, rows };
        match self.pace {
            Pace::Beside => self.outcome_slot.put(request),
            Pace::AtOnce => self.outbox.send(Arrived::Outcome(answer(&request, &mut self.kept))),
        }
    }

    /// Asks what would bring more to the far end.
    pub fn request_helps(&self, request: HelpRequest) {
        self.run(move |outbox| outbox.send(Arrived::Helps(helping::tried(&request))));
    }

    /// Has a fault looked for.
    pub fn request_locate(&self, request: LocateRequest) {
        self.run(move |outbox| outbox.send(Arrived::Found(Box::new(locating::looked(request)))));
    }

    /// Asks for the pulse at a place.
    pub fn request_pulse(&self, power: Arc<Power>, of: PulseOf) {
        self.run(move |outbox| {
            if let Some(pulses) = power.pulses(of.station, of.state) {
                outbox.send(Arrived::Pulse(Box::new(PulseShape { of, pulses })));
            }
        });
    }

    /// Has a mend tried.
    pub fn request_trial(&self, request: TrialRequest) {
        self.run(move |outbox| match tried(&request) {
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
        self.run(move |outbox| outbox.send(request.paint()));
    }

    /// Asks for what a ground is, and for its contour lines.
    pub fn request_survey(&mut self, ground: Arc<Ground>) {
        self.run(move |outbox| {
            outbox.send(Arrived::Surveys(Arc::new(ground.layers().map(|layer| survey(layer.grid())).collect())));
            if let Some(lines) = contours::lines_of(&ground, &Job::new()) {
                outbox.send(Arrived::Contours(Arc::new(lines)));
            }
        });
    }

    /// Opens a plan with its ground, or an elevation grid alone.
    pub fn open(&mut self, path: PathBuf, now_s: f64) {
        let name = path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned());
        let job = self.begin_opening(name, now_s);
        self.run(move |outbox| {
            if let Err(trouble) = open_file(&path, &job, outbox) {
                outbox.send(Arrived::Trouble(trouble.to_string()));
            }
        });
    }

    /// Opens a plan that is in memory already, with its ground.
    pub fn open_plan(&mut self, plan: OpenedPlan, now_s: f64) {
        let job = self.begin_opening(plan.plan.head.name.clone(), now_s);
        self.run(move |outbox| {
            if let Err(trouble) = bring_in(Opened::Plan(Box::new(plan)), &job, outbox) {
                outbox.send(Arrived::Trouble(trouble.to_string()));
            }
        });
    }

    /// Opens the grids of the plan that is open anew.
    pub fn open_grids(&mut self, paths: Vec<PathBuf>, frame: Frame, now_s: f64) {
        let job = self.begin_opening("the elevation grids".to_owned(), now_s);
        self.run(move |outbox| {
            let (made, troubles) = opening::open_grounds(&paths, Some(frame), &job, &|_| {});
            outbox.send(made.map_or(Arrived::NoGround, |made| Arrived::Ground(made, GroundStage::Whole)));
            troubles.into_iter().for_each(|trouble| outbox.send(Arrived::Trouble(trouble.to_string())));
        });
    }

    fn begin_opening(&mut self, name: String, now_s: f64) -> Arc<Job> {
        self.cancel_opening();
        let job = Arc::new(Job::new());
        self.opening = Some(Opening { name, job: Arc::clone(&job), began_s: now_s });
        job
    }

    fn run(&self, work: impl FnOnce(&Outbox) + Send + 'static) {
        let outbox = self.outbox.clone();
        match self.pace {
            Pace::Beside => drop(std::thread::spawn(move || work(&outbox))),
            Pace::AtOnce => work(&outbox),
        }
    }

    fn start_outcome_thread(&self) {
        let (slot, outbox) = (Arc::clone(&self.outcome_slot), self.outbox.clone());
        std::thread::spawn(move || {
            let mut kept = Kept::default();
            loop {
                let request = slot.wait();
                outbox.send(Arrived::Outcome(answer(&request, &mut kept)));
            }
        });
    }

    fn start_tile_thread(&self) {
        let (slot, outbox) = (Arc::clone(&self.tile_slot), self.outbox.clone());
        std::thread::spawn(move || {
            loop {
                for tile in slot.wait() {
                    outbox.send(tile.shade());
                    if slot.newest.lock().expect("no holder panics").is_some() {
                        break;
                    }
                }
            }
        });
    }
}

fn answer(request: &OutcomeRequest, kept: &mut Kept) -> Arc<Outcome> {
    let ground = request.ground.as_deref();
    Arc::new(outcome_on(Some(today()), &request.plan, request.revision, ground, request.rows.rows(), kept))
}

/// The elevation grids that a file brings along.
fn grids_of(opened: &Opened) -> Vec<PathBuf> {
    if let Opened::Plan(plan) = opened { plan.grids.clone() } else { Vec::new() }
}

fn open_file(path: &std::path::Path, job: &Job, outbox: &Outbox) -> Result<(), FileTrouble> {
    bring_in(opening::open_anything(path)?, job, outbox)
}

/// Hands a file over, and the ground that belongs to it.
fn bring_in(opened: Opened, job: &Job, outbox: &Outbox) -> Result<(), FileTrouble> {
    let (grids, is_new) = (grids_of(&opened), matches!(&opened, Opened::Plan(plan) if plan.home.path.is_none()));
    let frame = if let Opened::Plan(plan) = &opened { plan.frame() } else { None };
    let opened = Arrived::Opened(opened);
    if grids.is_empty() {
        outbox.send(opened);
        return Ok(());
    }
    // A new plan replaces the open one only once its ground has proved to be usable.
    let mut waiting = Some(opened);
    if !is_new {
        waiting.take().into_iter().for_each(|opened| outbox.send(opened));
    }
    let waiting = Mutex::new(waiting);
    let plan_first = || waiting.lock().expect("no holder panics").take().into_iter().for_each(|opened| outbox.send(opened));
    let first_look = |ground: Ground| {
        plan_first();
        let made = MadeGround { ground: Arc::new(ground), files: grids.iter().take(1).cloned().collect() };
        outbox.send(Arrived::Ground(made, GroundStage::FirstLook));
    };
    let (made, mut troubles) = opening::open_grounds(&grids, frame, job, &first_look);
    if let Some(made) = made {
        plan_first();
        outbox.send(Arrived::Ground(made, GroundStage::Whole));
    }
    let last = troubles.pop();
    troubles.into_iter().for_each(|trouble| outbox.send(Arrived::Trouble(trouble.to_string())));
    last.map_or(Ok(()), Err)
}
