//! What a plan that was read is good for: it is measured, checked, ordered, shared and looked at by every command.

use crate::chance::Chance;
use crate::desk::{Ended, comes_back, refused, refused_by, run};
use crate::escapes;
use hillwire::files::{Addressed, PlanFile, Sharing, open_ground_of, rows_of};
use hillwire_core::job::Job;
use hillwire_core::land::Ground;
use hillwire_core::outcome::{Kept, Outcome, outcome_on};
use hillwire_core::plan::Kind;
use hillwire_core::share::{Audience, Paper, Part, Recipient};
use jiff::civil::date;

/// Commands that look at a plan, without its name.
const COMMANDS: [&str; 12] = [
    "measure",
    "check",
    "order",
    "power --ground damp",
    "locate",
    "round",
    "round --on-foot --short",
    "log",
    "mend",
    "check --json",
    "measure --json --units us",
    "order --json",
];

/// Everything that follows from a plan, and what of it a few people get.
pub fn all_that_follows(file: &PlanFile, name: &str, chance: &mut Chance) -> Ended {
    let rows = match rows_of(file) {
        Ok(rows) => rows,
        Err(trouble) => return refused(&trouble.to_string(), name, &["found", "allowed"]),
    };
    let made = match open_ground_of(file, None, &Job::new()) {
        Ok(made) => made,
        // It may be the grid that cannot be used: then that is named.
        Err(trouble) => return refused(&trouble.to_string(), "", &[]),
    };
    let ground = made.as_ref().map(|made| &*made.ground);
    let day = chance.one_in(2).then(|| date(2026, 5, 1));
    let outcome = outcome_on(day, &file.plan, 0, ground, rows.rows(), &mut Kept::default());
    let to = addressed(&outcome, file, chance);
    let sharing = Sharing { plan: &file.plan, outcome: &outcome, catalogue: rows.rows(), ground, to: &to, on: date(2026, 5, 1) };
    if let Err(fault) = shared(&sharing, chance) {
        return Ended::Wrong(fault);
    }
    if chance.one_in(10)
        && let Err(fault) = looked_at(file, name, ground, chance)
    {
        return Ended::Wrong(fault);
    }
    Ended::Read
}

/// Somebody who gets it, with some of what they may be shown.
fn addressed(outcome: &Outcome, file: &PlanFile, chance: &mut Chance) -> Addressed {
    let recipient =
        chance.pick(&[Recipient::Keeper, Recipient::Neighbour, Recipient::Supplier, Recipient::Contractor, Recipient::Round]);
    let mut audience = Audience::from(recipient);
    for part in recipient.may_see() {
        if !audience.sees(part) && part != Part::Prices && chance.one_in(2) {
            audience = audience.turned(part);
        }
    }
    let contact = file.plan.features.iter().find_map(|feature| feature.note.clone());
    let line = outcome.lines.get(chance.below(outcome.lines.len())).map(|line| line.id.clone());
    Addressed {
        audience,
        paper: chance.pick(&[Paper::A4, Paper::Letter]),
        grey: chance.one_in(3),
        scale: chance.one_in(3).then(|| chance.pick(&[1, 500, 1250, u32::MAX])),
        line: line.filter(|_| chance.one_in(4)),
        contact,
        round: Default::default(),
    }
}

/// What they get, in a few forms, held to what keeps it harmless.
fn shared(sharing: &Sharing<'_>, chance: &mut Chance) -> Result<(), String> {
    let quick = ["geojson", "gpx", "kml", "csv", "svg", "html"];
    let slow = ["pdf", "xlsx", "png"];
    let slow = slow.into_iter().filter(|ending| chance.one_in(if *ending == "png" { 25 } else { 6 }));
    for ending in quick.into_iter().chain(slow.collect::<Vec<_>>()) {
        match sharing.bytes(ending) {
            Ok(bytes) => {
                if let Some(fault) = escapes::fault_of(ending, &bytes) {
                    return Err(format!("shared as .{ending}: {fault}"));
                }
            }
            Err(says) if says.trim().is_empty() => return Err(format!("shared as .{ending}: refused without a word")),
            Err(_) => {}
        }
    }
    Ok(())
}

/// Looked at by two commands and changed by one.
fn looked_at(file: &PlanFile, name: &str, ground: Option<&Ground>, chance: &mut Chance) -> Result<(), String> {
    let command = chance.pick(&COMMANDS);
    let words: Vec<&str> = command.split(' ').collect();
    let words: Vec<&str> = words[..1].iter().copied().chain([name]).chain(words[1..].iter().copied()).collect();
    told(&words, name)?;
    let fence = file.plan.features.iter().find(|feature| matches!(feature.kind, Kind::Fence(_)));
    if let Some(fence) = fence.filter(|fence| !fence.id.as_str().starts_with('-')) {
        let line = fence.id.as_str();
        told(&["section", name, "--line", line, "--csv", "section.csv", "--replace"], name)?;
        if ground.is_some() && chance.one_in(6) {
            told(&["reroute", name, "--line", line], name)?;
        }
    }
    if chance.one_in(3) && told(&["mend", name, "--take", "1", "--out", "mended.plan.geojson", "--replace"], name)? {
        let mended =
            hillwire::files::open_plan("mended.plan.geojson".as_ref()).map_err(|trouble| format!("mended: {trouble}"))?;
        comes_back(&mended.plan).map_err(|fault| format!("mended: {fault}"))?;
    }
    Ok(())
}

/// Whether the command did it; an error for what a command must not do.
fn told(words: &[&str], name: &str) -> Result<bool, String> {
    let said = run(words)?;
    if said.status != 2 {
        return Ok(true);
    }
    match refused_by(&said, name, &[]) {
        Ended::Wrong(fault) => Err(format!("{words:?}: {fault}")),
        _ => Ok(false),
    }
}
