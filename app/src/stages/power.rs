//! The card of the Power stage: what drives the fence, what weakens it, and what was measured; or the one of them that is selected.

use super::{cautions, energizer, hold, leads, pulse, season, voltage};
use crate::card::{heading, name_field};
use crate::command::Command;
use crate::helping;
use crate::locating;
use crate::session::{Selection, Session};
use crate::theme;
use crate::tools::{POWER_POINTS, Point, ToolKind};
use crate::words::{self, cautions::Place};
use egui::{RichText, Ui};
use hillwire_core::plan::{Feature, Kind};
use std::sync::Arc;

/// What the card shows.
pub fn card(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    match session.chosen().cloned() {
        Some(feature) => of_feature(ui, session, &feature, commands),
        None => overview(ui, session, commands),
    }
}

fn of_feature(ui: &mut Ui, session: &Session, feature: &Feature, commands: &mut Vec<Command>) {
    name_field(ui, feature, commands);
    ui.label(RichText::new(words::kind(&feature.kind)).weak());
    ui.add_space(4.0);
    if session.line_outcome(&feature.id).is_some() {
        voltage::choices(ui, session, commands);
        voltage::of_line(ui, session, &feature.id);
        pulse::picture(ui, session);
        ui.add_space(6.0);
    }
    match &feature.kind {
        // Its build is the business of the stage Hold.
        Kind::Fence(fence) => leads::along_fence(ui, session, feature, fence, commands),
        kind if stands_on_line(kind) => {
            hold::properties(ui, session, feature, commands);
            voltage::here(ui, session, feature);
        }
        Kind::Energizer(unit) => {
            energizer::choices(ui, session, feature, unit, commands);
            voltage::of_energizer(ui, session, feature);
            cautions(ui, Place::EnergizerCard);
        }
        Kind::Earth { .. } => {
            energizer::earth(ui, session, feature, commands);
            voltage::of_earth(ui, session, feature);
            cautions(ui, Place::EarthCard);
        }
        _ => hold::properties(ui, session, feature, commands),
    }
}

fn stands_on_line(kind: &Kind) -> bool {
    matches!(kind, Kind::Cutout { .. } | Kind::Jumper(_) | Kind::Fault(_) | Kind::Reading(_) | Kind::Photo(_) | Kind::Gate(_))
}

fn overview(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    if !session.outcome.power.states.is_empty() {
        voltage::choices(ui, session, commands);
        voltage::key(ui, session);
        ui.add_space(6.0);
    }
    voltage::far_end(ui, session, commands);
    pulse::picture(ui, session);
    locating::card(ui, session, commands);
    helping::card(ui, session, commands);
    voltage::energizers(ui, session);
    ui.add_space(6.0);
    heading(ui, "What drives the fence");
    let listed = list(ui, session, |kind| matches!(kind, Kind::Energizer(_) | Kind::Earth { .. }), commands);
    if listed == 0 {
        ui.label("No energizer stands in this plan yet. Set one, and its earth rods, then draw the lead-out to the fence.");
    }
    ui.add_space(6.0);
    heading(ui, "Switches, jumpers, faults, readings");
    if list(ui, session, |kind| stands_on_line(kind) && !matches!(kind, Kind::Gate(_)), commands) == 0 {
        ui.label(RichText::new("None yet.").color(theme::inks(ui).faint_ink));
    }
    ui.add_space(6.0);
    set_buttons(ui, session, commands);
    ui.add_space(8.0);
    season::ground_of_pulse(ui, session, commands);
    cautions(ui, Place::Power);
}

/// Features of some kinds, each a button that selects it; how many there are.
fn list(ui: &mut Ui, session: &Session, fits: impl Fn(&Kind) -> bool, commands: &mut Vec<Command>) -> usize {
    let fitting: Vec<&Arc<Feature>> = session.plan().features.iter().filter(|feature| fits(&feature.kind)).collect();
    for feature in &fitting {
        let right = words::pulse_fact(&feature.kind, session.catalogue());
        let button = egui::Button::new((feature.label(), egui::Atom::grow(), right)).fill(egui::Color32::TRANSPARENT).truncate();
        let button = button.min_size(egui::vec2(ui.available_width(), 0.0));
        if ui.add(button).on_hover_text(words::kind(&feature.kind)).clicked() {
            commands.push(Command::Select(Selection::of(feature.id.clone())));
        }
    }
    fitting.len()
}

fn set_buttons(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    ui.label("Set on the map");
    ui.horizontal_wrapped(|ui| {
        for &point in POWER_POINTS {
            set_button(ui, session, point, commands);
        }
    });
}

fn set_button(ui: &mut Ui, session: &Session, point: Point, commands: &mut Vec<Command>) {
    let tool = ToolKind::Set(point);
    let in_hand = session.tool == tool;
    if ui.add(egui::Button::selectable(in_hand, point.text())).on_hover_text(point.tip()).clicked() {
        commands.push(Command::Take(if in_hand { ToolKind::Choose } else { tool }));
    }
}
