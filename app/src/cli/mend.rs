//! `hillwire mend`: what the findings offer to change, what that takes, and a plan with it done.

use super::answer::{Answer, Stop};
use super::json::{maybe, number};
use super::opened::{Opened, PlanOptions, day};
use super::outputs::{GEOJSON, Outputs, Writing};
use super::table::{cautions, paragraph};
use super::typed::which;
use crate::clock::today;
use crate::files::Waiting;
use crate::words::{self, cautions::Place};
use clap::Args;
use hillwire_core::finding::Finding;
use hillwire_core::job::Job;
use hillwire_core::mend::{MendChoice, MendReach, Trial, mend, mend_only_here};
use hillwire_core::plan::{Edit, UnitSystem};
use hillwire_core::units::Length;
use jiff::civil::Date;
use rayon::prelude::*;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

/// Every change of the plan that would remove a finding, with the parts it takes; with --take one of them is done.
#[derive(Args)]
#[command(
    after_help = "Example:\n  hillwire mend my-farm.plan.geojson\n  hillwire mend my-farm.plan.geojson --take 3 --out mended.plan.geojson"
)]
pub struct Options {
    #[command(flatten)]
    plan: PlanOptions,
    /// Judge stock that grows for this day instead of today
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    date: Option<Date>,
    /// List the mends from this number on; so many are listed at once
    #[arg(long, value_name = "NUMBER", default_value_t = 1, value_parser = which, conflicts_with = "take")]
    from: usize,
    /// Do the mend with this number, and write the plan to --out
    #[arg(long, value_name = "NUMBER", value_parser = which, requires = "out")]
    take: Option<usize>,
    /// Do it on the line of the finding alone, which gets a build of its own
    #[arg(long, requires = "take")]
    only_here: bool,
    /// Where to write the mended plan
    #[arg(long, short, value_name = "NEW.geojson", requires = "take")]
    out: Option<PathBuf>,
    #[command(flatten)]
    writing: Writing,
}

impl Options {
    fn day(&self) -> Date {
        self.date.unwrap_or_else(today)
    }
}

/// Lists mends, or does one.
///
/// # Errors
/// When a file cannot be used, or there is no mend with that number.
pub fn mends(options: &Options, job: &Job) -> Result<Answer, Stop> {
    let outputs = Outputs::new(options.writing).file(options.out.as_ref(), GEOJSON);
    let opened = options.plan.open_to_write(&outputs, Some(options.day()), job)?;
    let mut answer = match options.take.zip(options.out.as_ref()) {
        Some((number, out)) => done(options, &opened, number, out)?,
        None => listed(options, &opened, job)?,
    };
    answer.notes = opened.notes;
    Ok(answer)
}

/// All mends, in the order of the findings.
fn offered(opened: &Opened) -> Vec<(MendChoice, &Finding)> {
    let findings = opened.outcome.findings.iter().enumerate();
    let of = |(index, finding): (usize, &'_ Finding)| -> Vec<MendChoice> {
        let all = finding.remedies.iter().enumerate();
        let can = all.filter(|(_, remedy)| mend(&opened.file.plan, finding, remedy).is_some());
        can.map(|(remedy, _)| MendChoice { finding: index, remedy, reach: MendReach::AllOfBuild }).collect()
    };
    findings.flat_map(|(index, finding)| of((index, finding)).into_iter().map(move |choice| (choice, finding))).collect()
}

fn trial(options: &Options, opened: &Opened, choice: MendChoice) -> Result<Option<Trial>, Stop> {
    let (plan, ground) = (&opened.file.plan, opened.ground.as_deref());
    let before = (opened.outcome.as_ref(), opened.kept.aside());
    let tried = Trial::kept(choice, plan, ground, before, Some(options.day()), opened.catalogue());
    tried.map_err(|trouble| Stop::unusable(format!("{}: {trouble}", opened.file.path.display())))
}

fn done(options: &Options, opened: &Opened, number: usize, out: &Path) -> Result<Answer, Stop> {
    let all = offered(opened);
    let chosen = number.checked_sub(1).and_then(|index| all.get(index));
    let reach = if options.only_here { MendReach::OnlyHere } else { MendReach::AllOfBuild };
    let tried = chosen.map(|(choice, _)| trial(options, opened, MendChoice { reach, ..*choice })).transpose()?.flatten();
    if options.only_here && chosen.is_some() && tried.is_none() {
        let plan = opened.file.path.display();
        return Err(Stop::unusable(format!(
            "{plan}: mend {number} changes no build that other lines have too; leave --only-here out"
        )));
    }
    if let Some(worse) = tried.as_ref().filter(|tried| tried.is_worse()) {
        let (plan, (before, after)) = (opened.file.path.display(), worse.must_fix);
        return Err(Stop::unusable(format!(
            "{plan}: mend {number} would leave {after} findings that must be fixed, {before} before"
        )));
    }
    let Some(tried) = tried else {
        let (plan, count) = (opened.file.path.display(), all.len());
        return Err(Stop::unusable(format!("{plan}: it has no mend {number}; allowed are 1 to {count}")));
    };
    Ok(Answer { outputs: vec![Waiting::of_plan(out, &tried.mended, &opened.file.path)?], ..Answer::default() })
}

/// The most mends that are tried and listed at once: each is a whole plan worked out.
const LISTED: usize = 50;
/// The fewest.
const LISTED_AT_LEAST: usize = 4;
/// So many samples of ground under all lines are worked out in about a second: long lines have fewer of their mends listed at once.
const SAMPLES_AT_ONCE: usize = 300_000;

/// Mends that were tried, with their numbers and the findings that they are of.
type Tried<'a> = Vec<(usize, &'a Finding, Trial)>;

/// How many mends of this plan are listed at once.
fn at_once(opened: &Opened) -> usize {
    let samples: usize = opened.outcome.lines.iter().map(|line| line.section.samples.len()).sum();
    (SAMPLES_AT_ONCE / samples.max(1)).clamp(LISTED_AT_LEAST, LISTED)
}

fn listed(options: &Options, opened: &Opened, job: &Job) -> Result<Answer, Stop> {
    let offered = offered(opened);
    let first = options.from.max(1);
    if first > offered.len().max(1) {
        let (plan, count) = (opened.file.path.display(), offered.len());
        return Err(Stop::unusable(format!("{plan}: it has no mend {first}; allowed are 1 to {count}")));
    }
    let part = &offered[first.min(offered.len() + 1) - 1..offered.len().min(first - 1 + at_once(opened))];
    let tried = tried(options, opened, part, job)?;
    let numbered = tried.into_iter().zip(part).enumerate();
    let all: Tried = numbered.filter_map(|(nth, (trial, (_, finding)))| Some((first + nth, *finding, trial?))).collect();
    let counts = (first + part.len(), offered.len());
    Ok(if options.plan.json {
        Answer::json(&as_json(opened, &all, offered.len()))
    } else {
        Answer::text(as_text(opened, &all, counts))
    })
}

/// Each is tried. Several findings may offer the same change, of a build or of an energizer: that is tried once.
fn tried(options: &Options, opened: &Opened, part: &[(MendChoice, &Finding)], job: &Job) -> Result<Vec<Option<Trial>>, Stop> {
    let edits = |(choice, finding): &(MendChoice, &Finding)| mend(&opened.file.plan, finding, &finding.remedies[choice.remedy]);
    let edits: Vec<Option<Vec<Edit>>> = part.iter().map(edits).collect();
    let alike: Vec<usize> = edits.iter().map(|edits_of| edits.iter().position(|other| other == edits_of).unwrap_or(0)).collect();
    let done = AtomicUsize::new(0);
    let one = |nth: usize| {
        job.proceed()?;
        let tried = if alike[nth] == nth { trial(options, opened, part[nth].0)? } else { None };
        job.set_share_done((done.fetch_add(1, Ordering::Relaxed) + 1) as f64 / part.len() as f64);
        Ok::<_, Stop>(tried)
    };
    let firsts = (0..part.len()).into_par_iter().map(one).collect::<Result<Vec<_>, Stop>>()?;
    // What would leave more to be fixed is no mend; the others keep their numbers.
    let of = |(nth, first): (usize, &usize)| {
        let trial = firsts[*first].as_ref().filter(|trial| !trial.is_worse())?;
        Some(trial.offered_by(part[nth].0, &opened.file.plan, part[nth].1))
    };
    Ok(alike.iter().enumerate().map(of).collect())
}

fn as_json(opened: &Opened, all: &Tried, offered: usize) -> Value {
    let one = |(number_of, finding, trial): &(usize, &Finding, Trial)| {
        let told = |findings: &[Finding]| -> Vec<Value> {
            let one = |finding: &Finding| json!({ "rule": finding.rule, "weight": finding.weight, "line": finding.place.line.as_ref().map(|line| line.as_str()) });
            findings.iter().map(one).collect()
        };
        let parts: Vec<Value> = trial.parts.iter().map(|(id, more)| json!({ "id": id, "more": number(*more) })).collect();
        json!({
            "number": number_of,
            "rule": finding.rule,
            "weight": finding.weight,
            "line": finding.place.line.as_ref().map(|line| line.as_str()),
            "station_m": maybe(finding.place.station.map(Length::as_metres)),
            "do": words::does(&finding.remedies[trial.choice.remedy], &opened.file.plan, opened.catalogue(), UnitSystem::Metric),
            "parts": parts,
            "price": number(trial.price),
            "must_fix": [trial.must_fix.0, trial.must_fix.1],
            "look_at": [trial.look_at.0, trial.look_at.1],
            "ends": told(&trial.ends),
            "brings": told(&trial.brings),
            "shared": trial.shared.iter().map(|id| id.as_str()).collect::<Vec<_>>(),
            "only_here": mend_only_here(&opened.file.plan, finding, &finding.remedies[trial.choice.remedy]).is_some(),
        })
    };
    json!({ "mends": all.iter().map(one).collect::<Vec<_>>(), "offered": offered })
}

/// `next` is the number that the next part begins with.
fn as_text(opened: &Opened, all: &Tried, (next, offered): (usize, usize)) -> String {
    const INDENT: usize = 6;
    let mut text = String::new();
    for (number, finding, trial) in all {
        let place = words::place(finding, &opened.file.plan, opened.units);
        text += &paragraph(&format!("{number:>4}"), &format!("{}: {place}", words::rule(finding.rule)), INDENT);
        let does = words::does(&finding.remedies[trial.choice.remedy], &opened.file.plan, opened.catalogue(), opened.units);
        text += &paragraph("", &does, INDENT);
        for line in words::ends_and_brings(trial, &opened.file.plan, opened.units) {
            text += &paragraph("", &line, INDENT);
        }
        if let Some(shared) = words::shared(trial, &opened.file.plan) {
            text += &paragraph("", &shared, INDENT);
        }
        text += &paragraph("", &words::trial(trial, &opened.file.plan, opened.units, opened.catalogue()), INDENT);
        text.push('\n');
    }
    if all.is_empty() && offered == 0 {
        text.push_str("No finding of this plan can be mended by changing the plan.\n");
    }
    if next <= offered {
        text.push_str(&format!("There are {offered} mends in all: --from {next} lists those that follow.\n"));
    }
    text + &cautions(Place::Mend)
}
