//! What would bring more to the far end: asked for with a button, tried beside the drawing thread, done in one step.

use crate::card::heading;
use crate::command::Command;
use crate::session::Session;
use crate::theme;
use crate::words;
use egui::{RichText, Ui};
use hillwire_core::catalogue::InUse;
use hillwire_core::finding::BiteChange;
use hillwire_core::land::Ground;
use hillwire_core::mend::{Grown, WhatHelps, grown, what_helps};
use hillwire_core::outcome::Outcome;
use hillwire_core::plan::{Gesture, Plan};
use hillwire_core::power::{STATES, edits};
use std::sync::Arc;

/// Everything that trying the changes needs.
pub struct HelpRequest {
    /// The plan.
    pub plan: Plan,
    /// The ground.
    pub ground: Option<Arc<Ground>>,
    /// What follows from the plan now.
    pub before: Arc<Outcome>,
    /// The catalogue's rows in use.
    pub rows: InUse,
}

/// What would help a revision of the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Helps {
    /// The revision.
    pub revision: u64,
    /// Changes that help, as they are shown.
    pub list: Vec<WhatHelps>,
    /// What growth and leaf-fall do.
    pub grown: Vec<Grown>,
}

/// Whether anybody has asked what would help the plan as it is.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Asked {
    /// Nobody has.
    #[default]
    Not,
    /// It is being tried.
    Underway,
    /// This.
    Answered(Helps),
}

/// Tries every change.
pub fn tried(request: &HelpRequest) -> Helps {
    let (ground, rows) = (request.ground.as_deref(), request.rows.rows());
    let list = what_helps(&request.plan, ground, &request.before, rows);
    Helps { revision: request.before.revision, list, grown: grown(&request.plan, ground, rows) }
}

impl Session {
    /// Has every change tried, when the consequences shown are those of the plan as it is.
    pub fn ask_what_helps(&mut self) {
        if self.is_settled() {
            self.helps = Asked::Underway;
            self.worker.request_helps(HelpRequest {
                plan: self.plan().clone(),
                ground: self.land.ground.clone(),
                before: Arc::clone(&self.outcome),
                rows: self.rows.clone(),
            });
        }
    }

    /// Takes the answer in, unless the plan has changed since.
    pub fn take_helps(&mut self, helps: Helps) {
        if self.helps == Asked::Underway && helps.revision == self.history.revision() {
            self.helps = Asked::Answered(helps);
        }
    }

    /// Makes a change that helps, in one step.
    pub fn help(&mut self, change: &BiteChange) {
        let what = words::bite::change(change, self.plan(), self.catalogue());
        let edits = edits(self.plan(), change);
        self.change(Gesture::Helped { what }, &edits);
    }
}

/// The button, then what would help.
pub fn card(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    if session.outcome.power.states.is_empty() {
        return;
    }
    ui.add_space(6.0);
    heading(ui, "What would help");
    let faint = theme::inks(ui).faint_ink;
    match &session.helps {
        Asked::Not => {
            let tip = "Tries more rods, thicker wire, a larger energizer, less growth …, each on a copy of the plan";
            if ui.button("Try changes").on_hover_text(tip).clicked() {
                commands.push(Command::AskWhatHelps);
            }
        }
        Asked::Underway => {
            ui.horizontal(|ui| {
                ui.spinner();
                ui.label("Trying …");
            });
        }
        Asked::Answered(helps) => {
            if helps.list.is_empty() {
                ui.label("Nothing that is tried here brings noticeably more to the far end.");
            } else {
                let state = helps.list.first().map_or("wet", |help| help.brings.state);
                let text = format!("More over 500 Ω at the far end in {state} ground, the cheapest first:");
                ui.label(RichText::new(text).color(faint));
            }
            helps.list.iter().for_each(|help| entry(ui, session, help, commands));
            if session.outcome.power.nothing_reaches() {
                ui.label(words::bite::NOTHING_REACHES);
            }
            growth(ui, session, &helps.grown);
        }
    }
}

/// What arrives by what grows and by the state of the ground; what the plan says now stands out.
fn growth(ui: &mut Ui, session: &Session, grown: &[Grown]) {
    if grown.is_empty() {
        return;
    }
    ui.add_space(6.0);
    heading(ui, "Growth and leaf-fall");
    let text =
        "Over 500 Ω at the far end, in kV. Fallen leaves count as heavy until they have rotted down. The plan's own is bold.";
    ui.add(egui::Label::new(RichText::new(text).color(theme::inks(ui).faint_ink)).wrap());
    egui::Grid::new("growth").num_columns(1 + STATES.len()).spacing([10.0, 2.0]).show(ui, |ui| {
        ui.label("");
        STATES.iter().for_each(|state| {
            ui.label(RichText::new(words::ground_state(*state)).color(theme::inks(ui).faint_ink));
        });
        ui.end_row();
        for row in grown {
            let is_now = row.vegetation == session.plan().head.ground.vegetation;
            let text = |text: String| if is_now { RichText::new(text).font(theme::bold(14.0)) } else { RichText::new(text) };
            ui.label(text(row.vegetation.to_owned()));
            row.loaded_v.iter().for_each(|volt| {
                ui.label(text(volt.map_or_else(|| "–".to_owned(), |volt| words::number_with(volt / 1e3, 1))));
            });
            ui.end_row();
        }
    });
}

fn entry(ui: &mut Ui, session: &Session, help: &WhatHelps, commands: &mut Vec<Command>) {
    let what = words::bite::change(&help.change, session.plan(), session.catalogue());
    let frame = egui::Frame::new().fill(ui.visuals().faint_bg_color).corner_radius(5.0);
    frame.inner_margin(egui::Margin::symmetric(8, 4)).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.add(egui::Label::new(RichText::new(&what).strong()).wrap());
        ui.horizontal(|ui| {
            ui.label(format!("+{}", words::voltage(help.gain_v)));
            ui.label("·");
            let cost = words::bite::costs(help, &session.plan().head.prices.currency);
            ui.label(cost).on_hover_text(words::sentence(&words::bite::brought(&help.brings)));
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                if help.change.is_outside() {
                    ui.label(RichText::new("work outside").color(theme::inks(ui).faint_ink));
                } else {
                    let button = ui.small_button("Do it").on_hover_text("Change the plan so, in one step that can be undone");
                    let name = format!("Do it: {what}");
                    button.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, &name));
                    if button.clicked() {
                        commands.push(Command::Help(help.change.clone()));
                    }
                }
            });
        });
    });
}
