//! The card of the Hold stage: posts by role and how the line is built; and the choices that a selected feature offers.

use super::{
    build, cautions, corner, drawn_by, energizer, leads, observed, paddock, post, reach, season, set_kind, spot, stock, tree,
    zone,
};
use crate::card::{fact, facts, heading};
use crate::clock::today;
use crate::command::Command;
use crate::fields::{choice, row, rows};
use crate::session::Session;
use crate::tools::{DRAWN, Drawn, POINTS};
use crate::words::{self, cautions::Place};
use egui::{CollapsingHeader, Ui};
use hillwire_core::hold::PostRole;
use hillwire_core::outcome::LineOutcome;
use hillwire_core::plan::{Feature, Geometry, Kind, UnitSystem};
use hillwire_core::units::Length;
use std::sync::Arc;

/// What the card shows.
pub fn card(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let chosen = session.chosen().and_then(|feature| session.line_outcome(&feature.id).map(|line| (feature, line)));
    if let Some((feature, Kind::Paddock(of))) = session.chosen().map(|feature| (feature, &feature.kind)) {
        heading(ui, feature.label());
        paddock::choices(ui, session, feature, of, commands);
        return;
    }
    drawn_by::choice(ui, session, commands);
    ui.add_space(6.0);
    match chosen {
        Some((feature, line)) => {
            heading(ui, feature.label());
            if session.selection.post.is_none() && session.selection.corner.is_none() {
                posts(ui, std::slice::from_ref(line), session.units());
                CollapsingHeader::new("Why these posts").show(ui, |ui| {
                    for note in words::section_notes(line, &session.cells_under(&line.section), session.units()) {
                        ui.label(note);
                    }
                });
            }
            build_of(ui, session, feature, commands);
        }
        None => {
            heading(ui, "All posts");
            posts(ui, &session.outcome.lines, session.units());
            ui.add_space(6.0);
            season::summary(ui, session, commands);
            stock::overview(ui, session, commands);
            build::overview(ui, session, commands);
        }
    }
    cautions(ui, Place::Hold);
}

fn posts(ui: &mut Ui, lines: &[Arc<LineOutcome>], units: UnitSystem) {
    facts(ui, "posts", |ui| {
        for role in PostRole::ALL {
            let count = lines.iter().map(|line| words::posts_with_role(line, role)).sum::<usize>();
            if count > 0 {
                fact(ui, words::role(role), &count.to_string());
            }
        }
        let walk: usize = lines.iter().filter_map(|line| words::pegs_on_walk(line)).sum();
        if walk > 0 {
            fact(ui, "pegs found on the walk", &format!("about {walk}"));
        }
    });
    let mut bays: Vec<f64> =
        lines.iter().flat_map(|line| line.hold.bays.iter().map(|bay| (bay.to - bay.from).as_metres())).collect();
    bays.sort_by(f64::total_cmp);
    if let (Some(shortest), Some(longest)) = (bays.first(), bays.last()) {
        let length = |metres: &f64| words::length(Length::metres(*metres), units);
        ui.label(format!("bays from {} to {}", length(shortest), length(longest)));
    }
}

/// The choices that a feature of its kind offers.
pub fn properties(ui: &mut Ui, session: &Session, feature: &Feature, commands: &mut Vec<Command>) {
    super::round_log::stands(ui, session, feature);
    match &feature.kind {
        Kind::Fence(fence) => {
            leads::along_fence(ui, session, feature, fence, commands);
            build_of(ui, session, feature, commands);
        }
        Kind::LeadOut(lead_out) => leads::lead_out(ui, session, feature, lead_out, commands),
        Kind::Gate(gate) => leads::gate(ui, session, feature, gate, commands),
        Kind::Energizer(unit) => {
            energizer::choices(ui, session, feature, unit, commands);
            cautions(ui, Place::EnergizerCard);
        }
        Kind::Earth { .. } => {
            energizer::earth(ui, session, feature, commands);
            cautions(ui, Place::EarthCard);
        }
        Kind::Cutout { .. } => leads::cutout(ui, feature, commands),
        Kind::Jumper(jumper) => leads::jumper(ui, feature, jumper, commands),
        Kind::Reading(reading) => observed::reading(ui, feature, reading, commands),
        Kind::Fault(fault) => observed::fault(ui, feature, fault, commands),
        Kind::Photo(photo) => observed::photo(ui, feature, photo, commands),
        Kind::Building { mains } => {
            let mut has = *mains;
            if ui.checkbox(&mut has, "mains electricity").changed() {
                set_kind(feature, Kind::Building { mains: has }, commands);
            }
        }
        Kind::Paddock(of) => paddock::choices(ui, session, feature, of, commands),
        Kind::SpotHeight { height } => spot::choices(ui, session, feature, *height, commands),
        Kind::Tree { diameter } => tree::choices(ui, session, feature, *diameter, commands),
        Kind::Track(track) => {
            track_choices(ui, feature, track, commands);
            reach::of_track(ui, session, feature);
        }
        Kind::Zone(of) => zone::choices(ui, session, feature, of, commands),
        Kind::Other(None) => what_is_it(ui, session, feature, commands),
        _ => {}
    }
}

fn track_choices(ui: &mut Ui, feature: &Feature, track: &hillwire_core::plan::Track, commands: &mut Vec<Command>) {
    let now = track.vehicle.as_deref().unwrap_or("utility");
    let choices = [("foot", "on foot only"), ("utility", "a utility vehicle"), ("tractor", "a tractor"), ("none", "nothing")];
    let picked = rows(ui, "track", |ui| {
        row(ui, "usable by", "What can go along it in an ordinary year", |ui| {
            choice(ui, "usable by", 150.0, now, choices.into_iter())
        })
    });
    if let Some(vehicle) = picked {
        set_kind(feature, Kind::Track(hillwire_core::plan::Track { vehicle: Some(vehicle), ..track.clone() }), commands);
    }
}

/// A feature from another program came without a kind: the keeper says what it is.
fn what_is_it(ui: &mut Ui, session: &Session, feature: &Feature, commands: &mut Vec<Command>) {
    ui.label("It came from another file. What is it?");
    let fits = |drawn: &&Drawn| match feature.geometry {
        Geometry::Line(_) => !drawn.is_area(),
        Geometry::Area(_) => drawn.is_area() || **drawn == Drawn::Boundary,
        _ => false,
    };
    ui.horizontal_wrapped(|ui| {
        for drawn in DRAWN.iter().filter(fits) {
            if ui.button(drawn.text()).on_hover_text(drawn.tip()).clicked() {
                set_kind(feature, drawn.kind(session.plan()), commands);
            }
        }
        for point in POINTS.iter().filter(|_| feature.point().is_some()) {
            if ui.button(point.text()).on_hover_text(point.tip()).clicked() {
                let ground = feature.point().and_then(|at| session.ground_at(session.frame.to_map(at).ok()?));
                commands.extend(point.kind(ground, today()).map(|kind| {
                    let (gesture, edit) = super::kind_change(feature, kind);
                    Command::Change(gesture, vec![edit])
                }));
            }
        }
    });
}

fn build_of(ui: &mut Ui, session: &Session, feature: &Feature, commands: &mut Vec<Command>) {
    let Kind::Fence(fence) = &feature.kind else { return };
    super::held::of_line(ui, session, feature, fence, commands);
    post::card(ui, session, feature, fence, commands);
    corner::card(ui, session, feature, fence, commands);
    post::unwanted(ui, session, feature, fence, commands);
    build::of_line(ui, session, feature, fence, commands);
}
