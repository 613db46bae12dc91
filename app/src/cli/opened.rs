//! A plan with its ground and everything that follows from them: what most commands start from.

use super::Units;
use super::answer::Stop;
use super::outputs::Outputs;
use crate::files::{Guard, MadeGround, PlanFile, open_ground_of, open_plan, rows_of};
use crate::words;
use clap::Args;
use hillwire_core::catalogue::{Catalogue, InUse};
use hillwire_core::job::Job;
use hillwire_core::land::{Frame, Ground, MapPoint};
use hillwire_core::outcome::{self, Kept, Outcome};
use hillwire_core::plan::{FeatureId, UnitSystem};
use jiff::civil::Date;
use serde_json::Value;
use std::path::PathBuf;
use std::sync::Arc;

/// Which plan, and how to print.
#[derive(Args)]
pub struct PlanOptions {
    /// Plan file
    #[arg(value_name = "PLAN")]
    pub plan: PathBuf,
    /// Print one JSON document, in SI units
    #[arg(long)]
    pub json: bool,
    /// Units of the table, instead of the plan's own
    #[arg(long, value_enum)]
    pub units: Option<Units>,
}

/// A plan, its ground, and what follows.
pub struct Opened {
    /// The plan as it stands in its file.
    pub file: PlanFile,
    /// The map's frame.
    pub frame: Frame,
    /// The ground, when the plan has an elevation grid.
    pub ground: Option<Arc<Ground>>,
    /// The catalogue's rows, the plan's own among them.
    pub rows: InUse,
    /// What follows.
    pub outcome: Arc<Outcome>,
    /// What was kept of working that out.
    pub kept: Kept,
    /// Units to print in.
    pub units: UnitSystem,
    /// What is worth saying about the files.
    pub notes: Vec<String>,
}

/// A day on the command line, for options of all commands.
pub fn day(text: &str) -> Result<Date, String> {
    let allowed = || "allowed is a day as 2026-05-01: year-month-day".to_owned();
    words::typed_day(text).ok().flatten().ok_or_else(allowed)
}

impl PlanOptions {
    /// Reads the plan and its grid, and reckons everything that follows.
    ///
    /// # Errors
    /// When a file cannot be used.
    pub fn open(&self, job: &Job) -> Result<Opened, Stop> {
        self.open_on(None, job)
    }

    /// The same, with stock that grows judged for a day.
    ///
    /// # Errors
    /// When a file cannot be used.
    pub fn open_on(&self, day: Option<Date>, job: &Job) -> Result<Opened, Stop> {
        self.open_to_write(&Outputs::default(), day, job)
    }

    /// The same for a command that writes: what it may not write it is told before any work is done.
    ///
    /// # Errors
    /// When a file cannot be used, or an output must not be written.
    pub fn open_to_write(&self, outputs: &Outputs, day: Option<Date>, job: &Job) -> Result<Opened, Stop> {
        outputs.check_names()?;
        let file = open_plan(&self.plan)?;
        outputs.check(Guard::of_plan(Some(&file.path), &file.plan.head))?;
        let rows = rows_of(&file)?;
        let made = open_ground_of(&file, None, job)?;
        let ground = made.as_ref().map(|made| Arc::clone(&made.ground));
        job.proceed()?;
        let mut kept = Kept::default();
        let outcome = outcome::outcome_on(day, &file.plan, 0, ground.as_deref(), rows.rows(), &mut kept);
        job.proceed()?;
        let notes = notes(&file, made.as_ref());
        let units = self.units.map_or(file.plan.head.units, UnitSystem::from);
        let frame = outcome::frame(&file.plan, ground.as_deref());
        Ok(Opened { file, frame, rows, ground, outcome: Arc::new(outcome), kept, units, notes })
    }
}

fn notes(file: &PlanFile, made: Option<&MadeGround>) -> Vec<String> {
    let mut notes: Vec<String> =
        words::plan_notes(&file.notes).into_iter().map(|note| format!("{}: {note}", file.path.display())).collect();
    for (path, layer) in made.into_iter().flat_map(MadeGround::layers) {
        notes.extend(layer.grid().notes.iter().map(|note| format!("{}: {}", path.display(), words::grid_note(note))));
    }
    notes
}

impl Opened {
    /// The catalogue that the plan is worked out with.
    pub fn catalogue(&self) -> &Catalogue {
        self.rows.rows()
    }
    /// What a feature is called, when it has a name of its own.
    pub fn name(&self, id: &FeatureId) -> String {
        self.file.plan.feature(id).and_then(|feature| feature.name.clone()).unwrap_or_default()
    }
    /// A place on the map as `[longitude, latitude]`.
    pub fn place(&self, at: MapPoint) -> Value {
        super::json::place(self.frame.to_position(at))
    }
}
