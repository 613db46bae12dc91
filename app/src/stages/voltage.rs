//! What arrives of the pulse, in the card of the stage Power: which state and which voltage are shown, the far end, the energizer's part.

use crate::card::{fact, facts, heading};
use crate::command::Command;
use crate::map::voltage::{not_fed, stroke_of};
use crate::power_view::{Bite, Measured, USUAL_NEED_V, WELL};
use crate::session::{Selection, Session};
use crate::theme;
use crate::words;
use egui::{Grid, RichText, Sense, Shape, Stroke, Ui, vec2};
use hillwire_core::catalogue::GroundState;
use hillwire_core::plan::{Feature, FeatureId};
use hillwire_core::power::{Arrived, LONGEST_S, Limits, MOST_ENERGY_J, STATES, WiredEnergizer, state_index};

/// Which state of the ground, and which voltage.
pub fn choices(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let (state, measured) = (session.power_view.state, session.power_view.measured);
    ui.label("Lines on the map show, with the ground");
    ui.horizontal_wrapped(|ui| {
        for one in STATES {
            let tip = "How wet the ground is: it leaks more when wet, and carries the pulse back badly when dry or frozen";
            if ui.selectable_label(state == one, words::ground_state(one)).on_hover_text(tip).clicked() {
                commands.push(Command::ShowPower(one, measured));
            }
        }
    });
    ui.horizontal_wrapped(|ui| {
        for (one, (text, tip)) in Measured::ALL.into_iter().zip(words::MEASURED) {
            if ui.selectable_label(measured == one, text).on_hover_text(tip).clicked() {
                commands.push(Command::ShowPower(state, one));
            }
        }
    });
}

/// What the strokes on the map mean.
pub fn key(ui: &mut Ui, session: &Session) {
    let (low, high) = session.needs_v().unwrap_or((USUAL_NEED_V, USUAL_NEED_V));
    let range = |times: f64| {
        let (low, high) = (words::voltage(low * times), words::voltage(high * times));
        if low == high { low } else { format!("{low} to {high}") }
    };
    let rows = [
        (Some(Bite::Well), format!("well above what the stock minds: from {}", range(WELL))),
        (Some(Bite::Just), format!("just what it minds: from {}", range(1.0))),
        (Some(Bite::Less), format!("less than it minds: below {}", range(1.0))),
        (None, "not fed".to_owned()),
    ];
    let inks = theme::inks(ui);
    for (bite, text) in rows {
        ui.horizontal(|ui| {
            let (rect, _) = ui.allocate_exact_size(vec2(26.0, 12.0), Sense::hover());
            let ends = [rect.left_center(), rect.right_center()];
            match bite.map(|bite| stroke_of(&inks, bite)) {
                Some((width, ink)) => drop(ui.painter().line_segment(ends, Stroke::new(width, ink))),
                None => {
                    let (stroke, dash, gap) = not_fed(&inks);
                    ui.painter().extend(Shape::dashed_line(&ends, stroke, dash, gap));
                }
            }
            ui.add(egui::Label::new(text).wrap());
        });
    }
    if session.needs_v().is_none() {
        ui.label(RichText::new("No stock is behind these lines: what most stock minds is taken.").color(inks.faint_ink));
    }
}

/// What arrives in each state: what a meter reads, and what remains over 500 ohm and in the animal.
pub fn table(ui: &mut Ui, session: &Session, id: &str, at: impl Fn(GroundState) -> Option<Arrived>) {
    let rows: Vec<(GroundState, Option<Arrived>)> = STATES.into_iter().map(|state| (state, at(state))).collect();
    let any_animal = rows.iter().any(|(_, arrived)| arrived.is_some_and(|arrived| arrived.animal_v.is_some()));
    let faint = theme::inks(ui).faint_ink;
    Grid::new(id).num_columns(5).spacing([10.0, 3.0]).show(ui, |ui| {
        let headings = ["", "meter", "500\u{a0}Ω", "energy", if any_animal { "animal" } else { "" }];
        headings.iter().for_each(|heading| drop(ui.label(RichText::new(*heading).small().color(faint))));
        ui.end_row();
        for (state, arrived) in rows {
            let shown = state == session.power_view.state;
            let cell = |ui: &mut Ui, text: String| {
                let text = if shown { RichText::new(text).strong().font(theme::bold(14.0)) } else { RichText::new(text) };
                ui.label(text);
            };
            cell(ui, words::ground_state(state).to_owned());
            match arrived {
                Some(arrived) => {
                    cell(ui, words::voltage(arrived.open_v));
                    cell(ui, words::voltage(arrived.loaded_v));
                    cell(ui, words::energy(arrived.loaded_j));
                    cell(ui, arrived.animal_v.map(words::voltage).unwrap_or_default());
                }
                None => cell(ui, "–".to_owned()),
            }
            ui.end_row();
        }
    });
}

/// Where least arrives, in every state; or why nothing is known.
pub fn far_end(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    heading(ui, "The far end");
    let power = &session.outcome.power;
    if power.states.is_empty() {
        ui.label(words::sentence(&words::undriven(&power.wiring, session.plan())));
        return;
    }
    let state = session.power_view.state;
    match power.far_end(state) {
        Some(far) => {
            let line = session.plan().feature(&far.station.line).map_or("", |feature| feature.label());
            let text = format!("{}: {line}, {}", words::ground_state(state), words::length(far.station.station, session.units()));
            let tip = "Where least arrives of the pulse. A click shows the place";
            if ui.button(text).on_hover_text(tip).clicked() {
                commands.push(Command::Select(Selection::of(far.station.line.clone())));
                commands.push(Command::ShowPoint(far.station.at));
            }
        }
        None => {
            ui.label("No fence is fed.");
        }
    }
    table(ui, session, "far-end", |state| power.far_end(state).map(|far| far.arrived));
    ui.label(RichText::new(words::POWER_CAUTION).small().color(theme::inks(ui).faint_ink));
}

/// The lowest place of a line in each state.
pub fn of_line(ui: &mut Ui, session: &Session, line: &FeatureId) {
    if session.outcome.power.states.is_empty() {
        return;
    }
    ui.add_space(6.0);
    heading(ui, "Its lowest place");
    match session.lowest_of(line, session.power_view.state) {
        Some((station, _)) => {
            let at = words::length(station.station, session.units());
            ui.label(format!("{}: at {at}", words::ground_state(session.power_view.state)));
            table(ui, session, "lowest", |state| session.lowest_of(line, state).map(|(_, arrived)| arrived));
        }
        None => {
            ui.label("No pulse gets to this line: see that it meets a line that is fed, and that no switch before it is off.");
        }
    }
}

/// What arrives where a switch, a reading or a fault stands.
pub fn here(ui: &mut Ui, session: &Session, feature: &Feature) {
    let Some(place) = session.place_on_line(feature) else { return };
    let Some(station) = session.station_near(&place.line, place.station_m) else { return };
    if session.outcome.power.states.is_empty() {
        return;
    }
    ui.add_space(6.0);
    heading(ui, "What arrives here");
    table(ui, session, "here", |state| session.outcome.power.state(state)?.stations.get(station).copied().flatten());
}

/// What every energizer gives to its network, and what its earth does.
pub fn energizers(ui: &mut Ui, session: &Session) {
    for (index, unit) in session.outcome.power.wiring.energizers.iter().enumerate() {
        ui.add_space(6.0);
        let label = session.plan().feature(&unit.id).map_or("", |feature| feature.label());
        heading(ui, &format!("{label} at work, {}", words::ground_state(session.power_view.state)));
        at_work(ui, session, index, unit);
    }
}

/// The same for the energizer that is selected, with the limits of the standard.
pub fn of_energizer(ui: &mut Ui, session: &Session, feature: &Feature) {
    let units = session.outcome.power.wiring.energizers.iter().enumerate();
    let Some((index, unit)) = units.into_iter().find(|(_, unit)| unit.id == feature.id) else { return };
    ui.add_space(6.0);
    heading(ui, &format!("At work, {}", words::ground_state(session.power_view.state)));
    at_work(ui, session, index, unit);
    if let Some(limits) = session.outcome.power.limits.get(index).copied().flatten() {
        ui.add_space(6.0);
        heading(ui, "Limits of the standard, into 500 Ω");
        limits_of(ui, &limits);
    }
}

fn at_work(ui: &mut Ui, session: &Session, index: usize, unit: &WiredEnergizer) {
    let state = session.power_view.state;
    let Some(driven) = session.power_shown().and_then(|shown| shown.energizers.get(index).copied().flatten()) else {
        ui.label("It drives nothing.");
        return;
    };
    facts(ui, &format!("driven-{index}"), |ui| {
        fact(ui, "at its terminals", &words::voltage(driven.terminal_v));
        fact(ui, "gives", &format!("{} a pulse, {} at most", words::energy(driven.given_j), words::current(driven.current_a)));
        let rods = if unit.earth.id.is_none() { "none drawn, three rods assumed" } else { "" };
        fact(ui, "its earth has", &[&words::resistance(unit.earth.ohm[state_index(state)]), rods].join(" "));
        fact(ui, "lifted by", &words::voltage(driven.earth_v));
        fact(ui, "when shorted", &words::voltage(driven.shorted_v));
        if let Some(limits) = session.outcome.power.limits.get(index).copied().flatten() {
            fact(ui, "standard's limits", if limits.kept() { "kept" } else { "not kept" });
        }
    });
}

fn limits_of(ui: &mut Ui, limits: &Limits) {
    let of = |value: String, most: String| format!("{value} of {most} allowed");
    facts(ui, "limits", |ui| {
        fact(ui, "energy", &of(words::energy(limits.energy_j), words::energy(MOST_ENERGY_J)));
        fact(ui, "or current", &of(words::current(limits.current_a), words::current(limits.most_current_a)));
        fact(ui, "lasts", &of(words::pulse_time(limits.duration_s), words::pulse_time(LONGEST_S)));
    });
    let inks = theme::inks(ui);
    let ink = if limits.kept() { inks.faint_ink } else { inks.must_fix };
    ui.label(RichText::new(words::within_standard(limits)).color(ink));
}

/// The resistance of the earth rods in every state.
pub fn of_earth(ui: &mut Ui, session: &Session, feature: &Feature) {
    let units = &session.outcome.power.wiring.energizers;
    let Some(unit) = units.iter().find(|unit| unit.earth.id.as_ref() == Some(&feature.id)) else { return };
    ui.add_space(6.0);
    heading(ui, "Resistance of the earth");
    facts(ui, "earth-by-state", |ui| {
        for state in STATES {
            fact(ui, words::ground_state(state), &words::resistance(unit.earth.ohm[state_index(state)]));
        }
    });
}
