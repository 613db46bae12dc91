//! Whether a line holds the stock behind it: for whom, what for, and what it is worth.

use super::paddock::purpose_row;
use super::set_kind;
use crate::card::heading;
use crate::command::Command;
use crate::session::Session;
use crate::theme;
use crate::words;
use egui::{RichText, Ui};
use hillwire_core::check::HeldRow;
use hillwire_core::finding::Grade;
use hillwire_core::plan::{Feature, Fence, Kind};

/// The purpose of a line, to be chosen, and what the line is worth for each group behind it.
pub fn of_line(ui: &mut Ui, session: &Session, feature: &Feature, fence: &Fence, commands: &mut Vec<Command>) {
    ui.add_space(6.0);
    heading(ui, "Does it hold?");
    let mut changed = fence.clone();
    let tip = "What the line parts its stock from. Inside: paddocks on both sides. At the boundary: nothing of yours beyond. Beside a road: a \
               boundary within 30 m of a road, a railway or a public path";
    purpose_row(ui, "this line is", &mut changed.purpose, tip);
    if changed != *fence {
        set_kind(feature, Kind::Fence(changed), commands);
    }
    let Some(line) = session.line_outcome(&feature.id) else { return };
    if line.holds.is_empty() {
        let says = "No stock stands behind this line, so nothing says what it has to hold.";
        ui.label(RichText::new(says).small().color(theme::inks(ui).faint_ink));
    }
    for row in &line.holds {
        one(ui, session, row);
    }
}

fn one(ui: &mut Ui, session: &Session, row: &HeldRow) {
    let inks = theme::inks(ui);
    let ink = match row.worst.grade {
        Grade::MustFix => inks.must_fix,
        Grade::LookAt => inks.look_at,
        Grade::Note | Grade::Holds => inks.good,
    };
    let class =
        session.catalogue().animals.iter().find(|animal| animal.id == row.behind.animal).map(|animal| animal.label.as_str());
    let class = class.and_then(|label| label.split(',').next()).unwrap_or(row.behind.animal.as_str());
    let whom = row.behind.group.as_deref().unwrap_or("this build");
    let kg = words::mass(row.behind.kg, session.units());
    ui.label(RichText::new(format!("{whom}: {class}, {kg}: {}", words::grade(row.worst.grade))).color(ink));
    let because = words::guessed_because(row.behind.basis);
    let guessed = because.map_or_else(String::new, |because| format!(", guessed: {because}"));
    ui.label(RichText::new(format!("{}{guessed}", words::purpose(row.purpose))).small().color(inks.faint_ink));
}
