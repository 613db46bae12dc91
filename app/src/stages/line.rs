//! The card of the Line stage: the lines and paddocks with their lengths and areas, or the one that is selected.

use crate::card::{fact, facts, heading, name_field};
use crate::command::Command;
use crate::session::{Selection, Session};
use crate::words::{self, cautions::Place};
use egui::{RichText, Ui};
use hillwire_core::order::ItemGroup;
use hillwire_core::outcome::{LineOutcome, PaddockOutcome};
use hillwire_core::plan::{Feature, Kind, UnitSystem};
use hillwire_core::units::Length;

/// What the card shows.
pub fn card(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    crate::layouts::side_by_side(ui, session, commands);
    if session.selection.features.len() > 1 {
        heading(ui, &format!("{} things selected", session.selection.features.len()));
        ui.label("Drag one of them to move them together; Delete removes them.");
        return;
    }
    match session.chosen().cloned() {
        Some(feature) => of_feature(ui, session, &feature, commands),
        None => overview(ui, session, commands),
    }
}

fn overview(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    heading(ui, "Lines");
    if session.awaits_figures() {
        ui.label(words::WORKING_OUT);
    } else if session.outcome.lines.is_empty() {
        ui.label(
            "No fence is drawn yet. Take “Fence line” above the map and click its corners; the figures follow while you draw.",
        );
    }
    for line in &session.outcome.lines {
        let Some(feature) = session.plan().feature(&line.id) else { continue };
        let text = words::length(line.measure.ground_length, session.units());
        row(ui, feature, &text, commands);
    }
    it_takes(ui, session);
    if !session.outcome.paddocks.is_empty() {
        ui.add_space(8.0);
        heading(ui, "Paddocks");
    }
    for paddock in &session.outcome.paddocks {
        let Some(feature) = session.plan().feature(&paddock.id) else { continue };
        let text = if paddock.ring.is_empty() { "open".to_owned() } else { words::area(paddock.area, session.units()) };
        row(ui, feature, &text, commands);
    }
    crate::layouts::card(ui, session, commands);
    super::cautions(ui, Place::Line);
}

/// What the whole plan takes, as it stands: the figures follow while a line is drawn.
fn it_takes(ui: &mut Ui, session: &Session) {
    let items = &session.outcome.order.items;
    if items.is_empty() {
        return;
    }
    let sum = |group: ItemGroup| items.iter().filter(|item| item.group == group).map(|item| item.need).sum::<f64>();
    ui.add_space(8.0);
    heading(ui, "The whole plan takes");
    facts(ui, "takes", |ui| {
        fact(ui, "wire", &words::length(Length::metres(sum(ItemGroup::Wire)), session.units()));
        let pegs = words::pegs_in(&session.outcome.order);
        // The same number as everywhere; the order has more of them.
        let standing = session.outcome.lines.iter().map(|line| words::post_count(line)).sum::<usize>();
        fact(ui, "posts", &standing.to_string());
        let more = sum(ItemGroup::Posts) - pegs - standing as f64;
        if more > 0.0 {
            fact(ui, "for braces, spare", &words::count(more));
        }
        if pegs > 0.0 {
            fact(ui, "pegs", &words::count(pegs));
        }
        fact(ui, "insulators", &words::count(sum(ItemGroup::Insulators)));
    });
}

fn row(ui: &mut Ui, feature: &Feature, right: &str, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        let button = egui::Button::new((feature.label(), egui::Atom::grow(), right)).fill(egui::Color32::TRANSPARENT).truncate();
        let button = button.min_size(egui::vec2(ui.available_width(), 0.0));
        if ui.add(button).on_hover_text(words::kind(&feature.kind)).clicked() {
            commands.push(Command::Select(Selection::of(feature.id.clone())));
        }
    });
}

fn of_feature(ui: &mut Ui, session: &Session, feature: &Feature, commands: &mut Vec<Command>) {
    name_field(ui, feature, commands);
    ui.label(RichText::new(words::kind(&feature.kind)).weak());
    ui.add_space(4.0);
    if let Some(line) = session.line_outcome(&feature.id) {
        of_line(ui, line, session.units());
    }
    if let Some(paddock) = session.outcome.paddocks.iter().find(|paddock| paddock.id == feature.id) {
        of_paddock(ui, session, paddock);
    }
    crate::rerouting::card(ui, session, feature, commands);
    super::hold::properties(ui, session, feature, commands);
    caution(ui, feature);
}

fn of_line(ui: &mut Ui, line: &LineOutcome, units: UnitSystem) {
    let measure = &line.measure;
    facts(ui, "line", |ui| {
        let of_ground = |shown: String| if measure.has_no_ground() { "not known".to_owned() } else { shown };
        fact(ui, "on the ground", &of_ground(words::length(measure.ground_length, units)));
        fact(ui, "on the map", &words::length(measure.plan_length, units));
        fact(ui, "climbs", &of_ground(words::length(measure.climb, units)));
        fact(ui, "falls", &of_ground(words::length(measure.descent, units)));
        fact(ui, "steepest", &of_ground(words::percent(measure.steepest_pct)));
        fact(ui, "posts", &words::post_count(line).to_string());
        if let Some(share) = line.track_share {
            fact(ui, "beside a track", &words::share(share));
        }
        if measure.unknown.as_metres() > 0.5 && !measure.has_no_ground() {
            fact(ui, "without ground", &words::length(measure.unknown, units));
        }
    });
}

fn of_paddock(ui: &mut Ui, session: &Session, paddock: &PaddockOutcome) {
    let units = session.units();
    if paddock.ring.is_empty() {
        let has_fence = session.plan().features.iter().any(|feature| matches!(feature.kind, Kind::Fence(_)));
        ui.label(if has_fence {
            "This ground is open: the lines around it do not meet. Zoom in on their ends and let them snap together."
        } else {
            "Nothing encloses this ground yet: take “Fence line”, click its corners, and the first one again to close it."
        });
        return;
    }
    facts(ui, "paddock", |ui| {
        fact(ui, "area on the map", &words::area(paddock.area, units));
        fact(ui, "area on the ground", &words::area(paddock.ground_area, units));
        fact(ui, "edge", &words::length(paddock.perimeter, units));
    });
}

/// What to mind with what is no work of the fence itself.
fn caution(ui: &mut Ui, feature: &Feature) {
    let place = match feature.kind {
        Kind::OverheadLine { .. } => Place::OverheadCard,
        Kind::PublicWay { .. } => Place::WayCard,
        Kind::Track(_) => Place::TrackCard,
        _ => return,
    };
    ui.add_space(8.0);
    super::small_cautions(ui, place);
}
