//! `hillwire recover`: changes that were never saved, or were discarded and are kept aside for a week.

use super::answer::{Answer, Stop};
use super::outputs::{GEOJSON, Outputs, Writing};
use super::table::paragraph;
use crate::clock::here;
use crate::files::{Guard, Waiting};
use crate::journal::{self, KEPT_S, KeptJournal};
use crate::{recent, words};
use clap::Args;
use jiff::Timestamp;
use serde_json::{Value, json};
use std::path::PathBuf;

/// Changes that the window never saved, and those that were discarded less than a week ago: lists them, or writes the plan with them to a file. The
/// journal stays where it is.
#[derive(Args)]
#[command(
    after_help = "Examples:\n  hillwire recover\n  hillwire recover my-farm.plan.geojson\n  hillwire recover --take 1 --out found.plan.geojson"
)]
pub struct Options {
    /// A plan file whose journals are looked for too, besides those of the plans that were opened last
    #[arg(value_name = "PLAN")]
    plan: Option<PathBuf>,
    /// Write the plan with the changes of this number to --out
    #[arg(long, value_name = "NUMBER", requires = "out")]
    take: Option<usize>,
    /// Where to write it
    #[arg(short, long, value_name = "PLAN", requires = "take")]
    out: Option<PathBuf>,
    /// Print one JSON document
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    writing: Writing,
}

/// Lists the journals that are kept, or writes the plan of one.
///
/// # Errors
/// When there is none of that number, or the output cannot be written.
pub fn recover(options: &Options) -> Result<Answer, Stop> {
    let outputs = Outputs::new(options.writing).file(options.out.as_ref(), GEOJSON);
    outputs.check_names()?;
    let folder = journal::usual_folder();
    let (there, gone) = recent::load();
    let plans: Vec<PathBuf> = there.into_iter().chain(gone).chain(options.plan.clone()).collect();
    let kept = journal::all_kept(folder.as_deref(), &plans);
    let (Some(number), Some(out)) = (options.take, options.out.as_ref()) else {
        return Ok(listed(options, &kept, journal::in_use(folder.as_deref(), &plans)));
    };
    let one = number.checked_sub(1).and_then(|index| kept.get(index));
    let one = one.ok_or_else(|| Stop::unusable(words::no_such_journal(number, kept.len())))?;
    let plan = journal::plan_of(one).ok_or_else(|| Stop::unusable(words::journal_gone(&one.place)))?;
    let of = one.told.of.clone().unwrap_or_else(|| out.clone());
    outputs.check(Guard::of_plan(one.told.of.as_deref(), &plan.head).with([one.place.clone()]))?;
    Ok(Answer { outputs: vec![Waiting::of_plan(out, &plan, &of)?], ..Answer::default() })
}

fn listed(options: &Options, kept: &[KeptJournal], in_use: usize) -> Answer {
    if options.json {
        return Answer::json(&json!({ "journals": kept.iter().map(as_json).collect::<Vec<_>>(), "in_use": in_use }));
    }
    let lines = kept.iter().zip(1..).map(|(one, number)| paragraph(&format!("{number}."), &told(one), 4));
    let open = (in_use > 0).then(|| paragraph("", &words::journals_in_use(in_use), 0));
    let text: String = lines.chain(open).collect();
    Answer::text(if text.is_empty() { "Nothing waits to be saved, and nothing is kept aside.\n".to_owned() } else { text })
}

fn told(one: &KeptJournal) -> String {
    let (since, at) = (one.told.since.map(here), one.told.at.map(here));
    let changes = words::these_changes(one.told.changes, since.as_ref(), at.as_ref());
    let goes = goes(one).map(|at| here(at).date());
    words::kept_journal(&one.told.name, &changes, one.told.of.as_deref(), goes, one.told.saved_after.map(here).as_ref())
}

/// When it is taken away; nothing takes away what waits for an answer.
fn goes(one: &KeptJournal) -> Option<Timestamp> {
    one.discarded.and_then(|at| Timestamp::from_second(at.as_second() + KEPT_S).ok())
}

fn as_json(one: &KeptJournal) -> Value {
    json!({
        "journal": one.place.display().to_string(),
        "plan": one.told.of.as_ref().map(|of| of.display().to_string()),
        "name": one.told.name,
        "changes": one.told.changes,
        "since": one.told.since.map(|at| here(at).to_string()),
        "until": one.told.at.map(|at| here(at).to_string()),
        "saved_after": one.told.saved_after.map(|at| here(at).to_string()),
        "goes": goes(one).map(|at| here(at).to_string()),
    })
}
