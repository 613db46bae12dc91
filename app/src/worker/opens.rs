//! Opening files: a plan first, then its ground, a coarse look before all of it.

use super::{Arrived, GroundStage, Opening, Outbox, Worker};
use crate::journal::{self, Hold};
use crate::opening::{self, FileTrouble, MadeGround, Opened, OpenedPlan};
use crate::words;
use hillwire_core::job::Job;
use hillwire_core::land::{Frame, Ground};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

/// What opening a plan needs to know of journals and of other windows.
#[derive(Clone, Debug, Default)]
pub struct Keeps {
    /// The data folder.
    pub folder: Option<PathBuf>,
    /// The plan that this window has open.
    pub hold: Option<Arc<Hold>>,
}

impl Worker {
    /// Opens a plan with its ground, or an elevation grid alone.
    pub fn open(&mut self, path: PathBuf, keeping: Keeps, now_s: f64) {
        let name = path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned());
        let job = self.begin_opening(name, now_s);
        self.run("opening the file", move |outbox| {
            if let Err(trouble) = open_file(&path, &keeping, &job, outbox) {
                let waits = !path.exists() && journal::waits_for(&path, keeping.folder.as_deref());
                let more = if waits { words::CHANGES_WAIT } else { "" };
                outbox.send(Arrived::Trouble(format!("{trouble}{more}")));
            }
        });
    }

    /// Opens a plan that is in memory already, with its ground.
    pub fn open_plan(&mut self, plan: OpenedPlan, now_s: f64) {
        let job = self.begin_opening(plan.plan.head.name.clone(), now_s);
        self.run("opening the plan", move |outbox| {
            if let Err(trouble) = bring_in(Opened::Plan(Box::new(plan)), &job, outbox) {
                outbox.send(Arrived::Trouble(trouble.to_string()));
            }
        });
    }

    /// Opens the grids of the plan that is open anew.
    pub fn open_grids(&mut self, paths: Vec<PathBuf>, frame: Frame, now_s: f64) {
        let job = self.begin_opening("the elevation grids".to_owned(), now_s);
        self.run("opening the elevation grids", move |outbox| {
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
}

/// The elevation grids that a file brings along.
pub(super) fn grids_of(opened: &Opened) -> Vec<PathBuf> {
    if let Opened::Plan(plan) = opened { plan.grids.clone() } else { Vec::new() }
}

/// Opens a file; a plan comes with its journal from before, and this window takes hold of it.
fn open_file(path: &Path, keeping: &Keeps, job: &Job, outbox: &Outbox) -> Result<(), FileTrouble> {
    let mut opened = opening::open_anything(path)?;
    if let Opened::Plan(plan) = &mut opened {
        plan.take_hold(keeping.folder.as_deref(), keeping.hold.as_ref());
    }
    bring_in(opened, job, outbox)
}

/// Hands a file over, and the ground that belongs to it.
fn bring_in(opened: Opened, job: &Job, outbox: &Outbox) -> Result<(), FileTrouble> {
    // What a journal brings back is there whatever became of its ground.
    let is_new = matches!(&opened, Opened::Plan(plan) if plan.home.path.is_none() && plan.left_over.is_none());
    let grids = grids_of(&opened);
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
