//! `hillwire import --log`: what was written on a round, taken into the log of a plan.

use super::answer::{Answer, Stop};
use super::import::{Options, nothing_in};
use crate::clock::today;
use crate::files::{PlanFile, Waiting, open_ground_of, open_written, rows_of};
use crate::words;
use hillwire_core::job::Job;
use hillwire_core::log::{Found, FoundAs, LogFrom, Taken, edits_of, judge};
use hillwire_core::outcome::{Kept, outcome};
use std::path::Path;

/// Takes what was written in.
///
/// # Errors
/// When a file cannot be used.
pub fn import_log(options: &Options, file: PlanFile, log: &Path, job: &Job) -> Result<Answer, Stop> {
    let rows = rows_of(&file)?;
    let written = open_written(log)?;
    job.proceed()?;
    let ground = open_ground_of(&file, None, job)?.map(|made| made.ground);
    let outcome = outcome(&file.plan, 0, ground.as_deref(), rows.rows(), &mut Kept::default());
    job.proceed()?;
    let from = LogFrom { plan: &file.plan, outcome: &outcome, catalogue: rows.rows(), on: today() };
    let (found, far) = judge(&from, &written.rows);
    let taken: Vec<Taken> = found.iter().map(|found| options.become_of(found)).collect();
    let mut plan = file.plan.clone();
    for edit in edits_of(&file.plan, found.iter().zip(&taken)) {
        plan = edit.apply(&plan).map_err(|trouble| Stop::unusable(format!("{}: {trouble}", log.display())))?;
    }
    let mut notes: Vec<String> = written.troubles.iter().chain(&far).map(words::log::trouble).collect();
    notes.extend(
        found
            .iter()
            .filter(|found| found.is_twice)
            .map(|found| format!("{} stands in the log already", words::log::written(found))),
    );
    let asked = found.iter().zip(&taken).filter(|(found, taken)| found.found == FoundAs::Unclear && **taken == Taken::Leave);
    notes.extend(asked.map(|(found, _)| format!("{} was not understood and is left out", words::log::written(found))));
    // What stands in the log already was read all the same.
    if taken.iter().all(|taken| *taken == Taken::Leave) && !found.iter().any(|found| found.is_twice) {
        return Err(nothing_in(log, &notes));
    }
    let notes = notes.into_iter().map(|note| format!("{}: {note}", log.display())).collect();
    let text = found.iter().zip(&taken).filter(|(_, taken)| **taken != Taken::Leave);
    let text: String =
        text.map(|(found, taken)| format!("{}: {}\n", words::log::written(found), words::log::taken(taken))).collect();
    let text = if text.is_empty() { "Nothing in it is new.\n".to_owned() } else { text };
    Ok(Answer { text, notes, outputs: vec![Waiting::of_plan(&options.out, &plan, &file.path)?], ..Answer::default() })
}

impl Options {
    /// What becomes of a row: what is not understood is a mark only when that was asked for.
    fn become_of(&self, found: &Found) -> Taken {
        match found.usual() {
            Taken::Leave if found.found == FoundAs::Unclear && self.marks => Taken::Mark,
            usual => usual,
        }
    }
}
