//! `hillwire import`: what another program drew, taken into a plan.

use super::answer::{Answer, Stop};
use super::import_log::import_log;
use super::outputs::{GEOJSON, Outputs, Writing};
use crate::files::{Guard, PlanFile, Waiting, open_foreign, open_ground_of, open_plan};
use crate::words;
use clap::Args;
use hillwire_core::job::Job;
use hillwire_core::plan::{Edit, Feature, FeatureId, FreshIds, Geometry, Kind, Plan, kinds_to_take, word_to_take};
use std::collections::HashSet;
use std::path::{Path, PathBuf};

/// What another program drew, taken into a plan: lines, areas and points of a GPX, KML or GeoJSON file. With --log, what was written on a
/// round: waypoints of a phone (GPX), or a table (CSV, XLSX) with lat and lon, or line and station_m, and what, time, kv, minutes, parts, note.
#[derive(Args)]
#[command(after_help = "Examples:\n  hillwire import my-farm.plan.geojson walk.gpx --as track --out with-track.plan.geojson\n  \
    hillwire import my-farm.plan.geojson --log round.gpx --out after-round.plan.geojson")]
pub struct Options {
    /// Plan file
    #[arg(value_name = "PLAN")]
    pub(super) plan: PathBuf,
    /// File of the other program
    #[arg(value_name = "FILE", required_unless_present = "log")]
    file: Option<PathBuf>,
    /// What was written on a round, instead: names such as `branch`, `5.2 kV` or `insulator broken, mended` are understood
    #[arg(long, value_name = "F.gpx|csv|xlsx", conflicts_with = "file")]
    log: Option<PathBuf>,
    /// Take what is not understood of a log in as marks instead of leaving it out
    #[arg(long, requires = "log")]
    pub(super) marks: bool,
    /// What its lines are
    #[arg(long = "as", value_name = "KIND", default_value = "track")]
    lines: String,
    /// What its points are
    #[arg(long, value_name = "KIND", default_value = "mark")]
    points: String,
    /// What its areas are
    #[arg(long, value_name = "KIND", default_value = "boundary")]
    areas: String,
    /// Where to write the plan with them
    #[arg(long, short, value_name = "NEW.geojson")]
    pub(super) out: PathBuf,
    #[command(flatten)]
    writing: Writing,
}

/// Takes features in.
///
/// # Errors
/// When a file cannot be used, or a kind is asked for that such features cannot be.
pub fn import(options: &Options, job: &Job) -> Result<Answer, Stop> {
    let outputs = Outputs::new(options.writing).file(Some(&options.out), GEOJSON);
    let outputs = outputs.reading(options.file.as_deref()).reading(options.log.as_deref());
    outputs.check_names()?;
    let plan = open_plan(&options.plan)?;
    outputs.check(Guard::of_plan(Some(&plan.path), &plan.plan.head))?;
    match (&options.log, &options.file) {
        (Some(log), _) => import_log(options, plan, log, job),
        (None, Some(file)) => drawn(options, plan, file, job),
        (None, None) => {
            Err(Stop::unusable("name a file of another program, or what was written on a round with --log".to_owned()))
        }
    }
}

fn drawn(options: &Options, read: PlanFile, file: &Path, job: &Job) -> Result<Answer, Stop> {
    job.proceed()?;
    // While nothing is drawn, the plan lies where its ground is.
    let ground = if read.plan.features.is_empty() { open_ground_of(&read, None, job)? } else { None };
    let ground = ground.map(|made| made.ground.frame().origin());
    let plan = read.plan;
    let (features, notes) = open_foreign(file)?;
    let refused = |trouble: &dyn std::fmt::Display| Stop::unusable(format!("{}: {trouble}", file.display()));
    if let Some(far) = plan.far_from_it(&features, ground) {
        return Err(refused(&far));
    }
    let mut taken: HashSet<FeatureId> = plan.features.iter().map(|feature| feature.id.clone()).collect();
    let mut ids = FreshIds::new("import");
    let mut counts: Vec<(Kind, usize)> = Vec::new();
    let mut added = Vec::new();
    for mut feature in features {
        let Some(kind) = options.kind_of(&feature, &plan)? else { continue };
        if !taken.insert(feature.id.clone()) {
            feature.id = ids.next(|id| taken.contains(id));
            taken.insert(feature.id.clone());
        }
        match counts.iter_mut().find(|(of, _)| *of == kind) {
            Some((_, count)) => *count += 1,
            None => counts.push((kind.clone(), 1)),
        }
        feature.kind = kind;
        added.push(feature);
    }
    let plan = Edit::AddAll(added).apply(&plan).map_err(|trouble| refused(&trouble))?;
    let text = counts.iter().map(|(kind, count)| format!("{}\n", words::plural_kind(*count, kind))).collect::<String>();
    let notes = words::plan_notes(&notes);
    if counts.is_empty() {
        return Err(nothing_in(file, &notes));
    }
    let notes = notes.into_iter().map(|note| format!("{}: {note}", file.display())).collect();
    Ok(Answer { text, notes, outputs: vec![Waiting::of_plan(&options.out, &plan, &options.plan)?], ..Answer::default() })
}

/// Nothing of a file is taken in: no plan is written, and the first reasons are told.
pub(super) fn nothing_in(file: &Path, reasons: &[String]) -> Stop {
    const FIRST: usize = 3;
    let mut told: Vec<String> = reasons.iter().take(FIRST).cloned().collect();
    if reasons.len() > FIRST {
        told.push(format!("and {} more", reasons.len() - FIRST));
    }
    let why = if told.is_empty() { String::new() } else { format!(": {}", told.join("; ")) };
    Stop::unusable(format!("{}: nothing in it could be taken in, and no plan is written{why}", file.display()))
}

impl Options {
    /// What a feature is taken as; `None` for a geometry that is not drawn.
    fn kind_of(&self, feature: &Feature, plan: &Plan) -> Result<Option<Kind>, Stop> {
        let (option, word) = match feature.geometry {
            Geometry::Line(_) => ("--as", &self.lines),
            Geometry::Point(_) => ("--points", &self.points),
            Geometry::Area(_) => ("--areas", &self.areas),
            Geometry::Other(_) => return Ok(None),
        };
        let kinds = kinds_to_take(&feature.geometry, plan);
        if let Some(kind) = kinds.iter().find(|kind| word_to_take(kind) == word) {
            return Ok(Some(kind.clone()));
        }
        let allowed: Vec<&str> = kinds.iter().map(word_to_take).collect();
        Err(Stop::unusable(format!("{option}: found {word}; allowed are {}", allowed.join(", "))))
    }
}
