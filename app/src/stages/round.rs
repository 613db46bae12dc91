//! The card of the Round stage: how somebody goes round, the legs and stops in their order, and what is taken along.

use crate::card::heading;
use crate::command::Command;
use crate::round_view::{PartOfRound, RoundAsk};
use crate::session::Session;
use crate::stages::{cautions, small_cautions};
use crate::theme;
use crate::words::{self, cautions::Place};
use egui::{Button, CollapsingHeader, RichText, Ui};
use hillwire_core::round::{By, Extent, Round, Stop, Task};

/// What the card shows.
pub fn card(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    heading(ui, "The round");
    let view = &session.round_view;
    choices(ui, session, commands);
    match view.found.as_deref().map(|found| &found.round) {
        None if session.outcome.frame.is_none() || session.outcome.lines.is_empty() => {
            ui.label(words::round::no_round(hillwire_core::round::NoRound::NoLine));
        }
        None => {
            ui.horizontal(|ui| {
                ui.spinner();
                ui.label("Looking for the shortest way …");
            });
        }
        Some(Err(why)) => {
            ui.label(words::round::no_round(*why));
        }
        Some(Ok(round)) => shown(ui, session, round, commands),
    }
    super::round_log::card(ui, session, commands);
    cautions(ui, Place::Round);
}

fn choices(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let view = &session.round_view;
    ui.horizontal(|ui| {
        for (by, text, tip) in [
            (By::Vehicle, "With the vehicle", "Along tracks where they are and where that gains; it is left for what is walked"),
            (By::OnFoot, "On foot", "On foot all the way"),
        ] {
            if ui.radio(view.by == by, text).on_hover_text(tip).clicked() {
                commands.push(Command::Round(RoundAsk::By(by)));
            }
        }
    });
    ui.horizontal(|ui| {
        let short = "Water gaps, where animals run into the line, far ends, and what lies far from every track";
        for (extent, text, tip) in [(Extent::Whole, "All lines", "Along every line"), (Extent::Short, "The short round", short)] {
            if ui.radio(view.extent == extent, text).on_hover_text(tip).clicked() {
                commands.push(Command::Round(RoundAsk::Extent(extent)));
            }
        }
        if view.is_underway {
            ui.spinner();
        }
    });
    ui.add_space(4.0);
}

fn shown(ui: &mut Ui, session: &Session, round: &Round, commands: &mut Vec<Command>) {
    let faint = theme::inks(ui).faint_ink;
    ui.label(words::round::round_in_short(round, session.units()));
    for one in &round.fierce {
        ui.label(RichText::new(words::round::fierce(one, session.plan(), session.catalogue())).color(theme::inks(ui).must_fix));
    }
    if !round.fierce.is_empty() {
        small_cautions(ui, Place::RoundWithStock);
    }
    let from = format!("{} {}", words::round::round_for(round), words::round::yard(&round.yard, session.plan()));
    ui.label(RichText::new(from).small().color(faint));
    ui.add_space(4.0);
    ui.horizontal_wrapped(|ui| {
        if ui
            .button("Save for a phone…")
            .on_hover_text("The way and the stops as GPX, expected readings in their names")
            .clicked()
        {
            commands.push(Command::Round(RoundAsk::SaveWay));
        }
        if ui
            .button("Save sheets to print…")
            .on_hover_text("A map with the way, and a table to fill in by pencil, as PDF")
            .clicked()
        {
            commands.push(Command::Round(RoundAsk::SaveSheets));
        }
    });
    ui.add_space(8.0);
    folded(ui, "round-legs", &format!("Legs ({})", round.legs.len()), |ui| legs(ui, session, round, commands));
    let what = format!("Stops and what to read there ({})", round.stops.len());
    folded(ui, "round-stops", &what, |ui| stops(ui, session, round, commands));
    folded(ui, "round-kit", "Take along", |ui| kit(ui, session, round));
    ui.label(RichText::new(words::round::ROUND_LIMITS).small().color(faint));
}

/// A list that is opened by whoever wants it, close together.
fn folded(ui: &mut Ui, id: &str, text: &str, list: impl FnOnce(&mut Ui)) {
    CollapsingHeader::new(RichText::new(text).font(theme::bold(13.5))).id_salt(id).show(ui, |ui| {
        ui.spacing_mut().interact_size.y = 18.0;
        ui.spacing_mut().item_spacing.y = 1.0;
        ui.spacing_mut().button_padding = egui::vec2(4.0, 0.0);
        list(ui);
    });
}

fn legs(ui: &mut Ui, session: &Session, round: &Round, commands: &mut Vec<Command>) {
    for (index, leg) in round.legs.iter().enumerate() {
        let part = PartOfRound::Leg(index);
        let text = format!("{}  {}", index + 1, words::round::leg(leg, session.plan(), session.units()));
        row(ui, session, part, &text, commands);
        let stops = match leg.stops.len() {
            0 => String::new(),
            1 => format!(" · stop {}", leg.stops.start + 1),
            _ => format!(" · stops {} to {}", leg.stops.start + 1, leg.stops.end),
        };
        let facts = format!(
            "{} · {} · {}{stops}",
            words::round::bearing(leg.bearing_deg),
            words::length(leg.length, session.units()),
            words::round::minutes(round.leg_minutes(leg)),
        );
        under(ui, RichText::new(facts).small().color(theme::inks(ui).faint_ink));
    }
}

/// What stands under a row, a little to the right of it.
fn under(ui: &mut Ui, text: RichText) {
    ui.horizontal(|ui| {
        ui.add_space(18.0);
        ui.add(egui::Label::new(text).wrap());
    });
    ui.add_space(3.0);
}

fn stops(ui: &mut Ui, session: &Session, round: &Round, commands: &mut Vec<Command>) {
    if round.stops.is_empty() {
        ui.label("None.");
        return;
    }
    for (index, stop) in round.stops.iter().enumerate() {
        let text = format!("{}  {}", index + 1, words::round::stop_at(stop, session.plan(), session.units()));
        row(ui, session, PartOfRound::Stop(index), &text, commands);
        let faint = theme::inks(ui).faint_ink;
        let says = words::round::tasks_in_short(stop, session.plan(), session.units());
        let expected = stop.expected.map(|found| format!(" · {}", words::round::expected(found))).unwrap_or_default();
        under(ui, RichText::new(format!("{says}{expected}")).small().color(faint));
        for ration in rations(stop) {
            under(ui, RichText::new(words::round::ration(ration, session.units())).small());
        }
    }
    if round.stops.iter().any(|stop| stop.expected.is_some()) {
        ui.add_space(2.0);
        ui.label(RichText::new(words::round::LEAST_READING).small().color(theme::inks(ui).faint_ink));
        ui.label(RichText::new(words::POWER_CAUTION).small().color(theme::inks(ui).faint_ink));
    }
}

fn rations(stop: &Stop) -> impl Iterator<Item = &hillwire_core::round::Ration> {
    stop.tasks.iter().filter_map(|task| if let Task::Feed(ration) = task { Some(ration) } else { None })
}

/// A row that points at a part of the round.
fn row(ui: &mut Ui, session: &Session, part: PartOfRound, text: &str, commands: &mut Vec<Command>) {
    let chosen = session.round_view.chosen == Some(part);
    let button = Button::selectable(chosen, text).wrap();
    if ui.add(button).on_hover_text("Show it on the map").clicked() {
        commands.push(Command::Round(RoundAsk::Choose((!chosen).then_some(part))));
    }
}

fn kit(ui: &mut Ui, session: &Session, round: &Round) {
    for one in &round.kit {
        ui.label(format!("• {}", words::round::carried(one, session.catalogue())));
    }
    if round.likely.is_empty() {
        return;
    }
    ui.add_space(4.0);
    ui.label(RichText::new("What may have come in a week").strong());
    for one in round.likely.iter().take(6) {
        let (what, often) = words::round::likely(one, session.catalogue());
        ui.label(RichText::new(format!("{what}: {often}")).small());
    }
}
