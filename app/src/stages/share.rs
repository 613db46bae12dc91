//! The card of the Share stage: the plan for somebody else.

use crate::card::heading;
use crate::command::Command;
use crate::fields::{choice, row, rows, text, tick};
use crate::session::Session;
use crate::share_view::ShareAsk;
use crate::theme;
use crate::words::{self, cautions::Place};
use egui::{RichText, Ui};
use hillwire_core::share::{Audience, Paper, Part, Recipient};

/// Scales that are offered.
const SCALES: [(&str, &str); 8] = [
    ("", "as large as it fits"),
    ("500", "1 : 500"),
    ("1000", "1 : 1000"),
    ("1250", "1 : 1250"),
    ("2500", "1 : 2500"),
    ("5000", "1 : 5000"),
    ("10000", "1 : 10 000"),
    ("25000", "1 : 25 000"),
];

/// What the card shows.
pub fn card(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let to = &session.share_view.to;
    heading(ui, "Who gets it");
    for recipient in Recipient::ALL {
        if ui.radio(to.audience.recipient == recipient, words::recipient(recipient)).clicked() {
            commands.push(Command::Share(ShareAsk::For(recipient)));
        }
    }
    ui.label(RichText::new(words::recipient_sees(to.audience.recipient)).small().color(theme::inks(ui).faint_ink));
    also(ui, to.audience, commands);
    ui.add_space(10.0);
    heading(ui, "How");
    how(ui, session, commands);
    ui.add_space(6.0);
    let look = ui.add_enabled(!session.share_view.is_drawing, egui::Button::new("Look at the sheets…"));
    if look.on_hover_text("As they would be printed: map, long sections and order, as far as they may be seen").clicked() {
        commands.push(Command::Share(ShareAsk::Look));
    }
    ui.add_space(10.0);
    heading(ui, "Save as");
    for (ending, name, tip) in words::FORMS.into_iter().filter(|(ending, ..)| words::gets(to.audience, ending)) {
        if ui.button(format!("{name}…")).on_hover_text(tip).clicked() {
            commands.push(Command::ShareAs(ending));
        }
    }
    ui.add_space(10.0);
    super::small_cautions(ui, Place::Share);
}

/// What they are shown on top, as the keeper chooses.
fn also(ui: &mut Ui, to: Audience, commands: &mut Vec<Command>) {
    let may_see: Vec<Part> = to.recipient.may_see().collect();
    if may_see.is_empty() {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        ui.label("show also");
        for (part, name, tip) in words::EXTRAS.into_iter().filter(|(part, ..)| may_see.contains(part)) {
            let mut is_shown = to.sees(part);
            if ui.checkbox(&mut is_shown, name).on_hover_text(tip).changed() {
                commands.push(Command::Share(ShareAsk::Also(part)));
            }
        }
    });
}

fn how(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let to = &session.share_view.to;
    rows(ui, "share-how", |ui| {
        row(ui, "paper", "What it is printed on", |ui| {
            let chosen = if to.paper == Paper::A4 { "A4" } else { "Letter" };
            let papers = [("A4", "A4"), ("Letter", "US Letter")];
            if let Some(paper) = choice(ui, "paper", 150.0, chosen, papers.into_iter()) {
                commands.push(Command::Share(ShareAsk::On(if paper == "A4" { Paper::A4 } else { Paper::Letter })));
            }
        });
        row(ui, "scale", "Of the map: metres on the ground for one on paper", |ui| {
            let chosen = to.scale.map(|scale| scale.to_string()).unwrap_or_default();
            if let Some(scale) = choice(ui, "scale", 150.0, &chosen, SCALES.into_iter()) {
                commands.push(Command::Share(ShareAsk::Scale(scale.parse().ok())));
            }
        });
        row(ui, "in grey", "For printers without colour", |ui| {
            let mut grey = to.grey;
            if tick(ui, "in grey", &mut grey, "Shades of grey that are as bright as the colours") {
                commands.push(Command::Share(ShareAsk::Grey(grey)));
            }
        });
        row(ui, "whom to ask", "It stands on the map sheet and on the web page", |ui| {
            let now = to.contact.clone().unwrap_or_default();
            let refuse = |typed: &str| (typed.chars().count() > 120).then(|| "At most 120 letters.".to_owned());
            if let Some(contact) = text(ui, "whom to ask", 150.0, &now, "name, telephone", refuse) {
                commands.push(Command::Share(ShareAsk::Contact(Some(contact).filter(|contact| !contact.is_empty()))));
            }
        });
    });
}
