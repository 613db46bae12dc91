//! The card of the Round stage: what an inspection goes along.

use crate::card::{fact, facts, heading};
use crate::command::Command;
use crate::session::Session;
use crate::stages::cautions;
use crate::words;
use egui::Ui;
use hillwire_core::plan::Kind;
use hillwire_core::units::Length;

/// What the card shows.
pub fn card(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    heading(ui, "The round");
    let plan = session.plan();
    let is_fence = |id| plan.feature(id).is_some_and(|feature| matches!(feature.kind, Kind::Fence(_)));
    let fences = || session.outcome.lines.iter().filter(|line| is_fence(&line.id));
    if fences().next().is_none() {
        ui.label("Nothing to go round yet: draw a fence, and what there is to look at along it stands here.");
        return;
    }
    ui.label("One ride or walk along all lines, to see whether they are still right.");
    let length: Length = fences().map(|line| line.measure.ground_length).sum();
    let count = |is_meant: fn(&Kind) -> bool| plan.features.iter().filter(|feature| is_meant(&feature.kind)).count();
    facts(ui, "round-facts", |ui| {
        fact(ui, "fence to look along", &words::length(length, session.units()));
        fact(ui, "gates", &count(|kind| matches!(kind, Kind::Gate(_))).to_string());
        fact(ui, "cut-out switches", &count(|kind| matches!(kind, Kind::Cutout { .. })).to_string());
    });
    super::round_log::card(ui, session, commands);
    cautions(ui, &words::cautions::ON_THE_ROUND);
}
