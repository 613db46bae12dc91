//! `hillwire mend`: what the findings offer to change, what that takes, and a plan with it done.

use super::answer::{Answer, Stop};
use super::json::{maybe, number};
use super::opened::{Opened, PlanOptions, day};
use super::outputs::{GEOJSON, Outputs, Writing};
use super::table::paragraph;
use crate::clock::today;
use crate::files::Waiting;
use crate::words;
use clap::Args;
use hillwire_core::finding::Finding;
use hillwire_core::job::Job;
use hillwire_core::mend::{MendChoice, MendReach, Trial, mend, mend_only_here};
use hillwire_core::plan::UnitSystem;
use hillwire_core::units::Length;
use jiff::civil::Date;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

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
    /// Do the mend with this number, and write the plan to --out
    #[arg(long, value_name = "NUMBER", requires = "out")]
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
    let tried = Trial::of(choice, plan, ground, &opened.outcome, Some(options.day()), opened.catalogue());
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

fn listed(options: &Options, opened: &Opened, job: &Job) -> Result<Answer, Stop> {
    let mut all = Vec::new();
    let offered = offered(opened);
    let count = offered.len() as f64;
    for (index, (choice, finding)) in offered.into_iter().enumerate() {
        job.proceed()?;
        job.set_share_done(index as f64 / count);
        // What would leave more to be fixed is no mend; the others keep their numbers.
        let tried = trial(options, opened, choice)?.filter(|trial| !trial.is_worse());
        all.extend(tried.map(|trial| Listed { number: index + 1, finding, trial }));
    }
    Ok(if options.plan.json { Answer::json(&as_json(opened, &all)) } else { Answer::text(as_text(opened, &all)) })
}

/// A mend with its number.
struct Listed<'a> {
    number: usize,
    finding: &'a Finding,
    trial: Trial,
}

fn as_json(opened: &Opened, all: &[Listed]) -> Value {
    let one = |Listed { number: index, finding, trial }: &Listed| {
        let told = |findings: &[Finding]| -> Vec<Value> {
            let one = |finding: &Finding| json!({ "rule": finding.rule, "weight": finding.weight, "line": finding.place.line.as_ref().map(|line| line.as_str()) });
            findings.iter().map(one).collect()
        };
        let parts: Vec<Value> = trial.parts.iter().map(|(id, more)| json!({ "id": id, "more": number(*more) })).collect();
        json!({
            "number": index,
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
    json!({ "mends": all.iter().map(one).collect::<Vec<_>>() })
}

fn as_text(opened: &Opened, all: &[Listed]) -> String {
    const INDENT: usize = 6;
    let mut text = String::new();
    for Listed { number, finding, trial } in all {
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
    if all.is_empty() {
        text.push_str("No finding of this plan can be mended by changing the plan.\n");
    }
    text
}
