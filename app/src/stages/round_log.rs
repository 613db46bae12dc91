//! The log's part of the card of the stage Round: writing down what was found, taking in a round, what the log teaches.

use crate::card::heading;
use crate::command::Command;
use crate::log_view::LogAsk;
use crate::session::{Selection, Session};
use crate::theme;
use crate::tools::{Point, ToolKind};
use crate::words;
use egui::{RichText, Ui};
use hillwire_core::log::{Log, Stands};
use hillwire_core::plan::Feature;

/// What can be written down.
const FOUND: [Point; 4] = [Point::Reading, Point::Fault, Point::Strike, Point::Photo];

/// What the card shows of the log.
pub fn card(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    if let Some(feature) = session.chosen().filter(|feature| feature.kind.is_log_entry()) {
        ui.add_space(8.0);
        heading(ui, feature.label());
        super::hold::properties(ui, session, feature, commands);
    }
    ui.add_space(8.0);
    heading(ui, "Write down what was found");
    ui.label(RichText::new("Choose what it is, then click the line where it was.").color(theme::inks(ui).faint_ink));
    ui.horizontal_wrapped(|ui| {
        for point in FOUND {
            let kind = ToolKind::Set(point);
            let in_hand = session.tool == kind;
            let button = ui.selectable_label(in_hand, point.text()).on_hover_text(point.tip());
            let name = format!("Write down: {}", point.text().to_lowercase());
            button.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, &name));
            if button.clicked() {
                commands.push(Command::Take(if in_hand { ToolKind::Choose } else { kind }));
            }
        }
    });
    let tip = "Waypoints of a phone (GPX), or a table (CSV, XLSX) with lat and lon, or line and station_m, and what, time, kv";
    if ui.button("Take in a round…").on_hover_text(tip).clicked() {
        commands.push(Command::Log(LogAsk::AskForRound));
    }
    let Some(read) = &session.log_view.read else { return };
    if read.log.entries.is_empty() && read.log.due.is_none() {
        return;
    }
    ui.add_space(8.0);
    heading(ui, "What the log teaches");
    counted(ui, &read.log);
    for teaching in &read.teaches {
        lesson(ui, teaching, commands);
    }
    ui.add(egui::Label::new(RichText::new(words::log::AFTER_A_STORM).color(theme::inks(ui).faint_ink)).wrap());
    rates(ui, session, &read.log);
}

fn counted(ui: &mut Ui, log: &Log) {
    let text = match log.days() {
        Some((first, last)) => {
            let rounds = if log.rounds.len() == 1 { "1 round".to_owned() } else { format!("{} rounds", log.rounds.len()) };
            format!("{} entries of {rounds}, from {} to {}.", log.entries.len(), words::day(first), words::day(last))
        }
        None => "No entry has a day yet.".to_owned(),
    };
    ui.label(RichText::new(text).color(theme::inks(ui).faint_ink));
}

/// A sentence, with a way to its place.
fn lesson(ui: &mut Ui, teaching: &words::log::Teaching, commands: &mut Vec<Command>) {
    let frame =
        egui::Frame::new().fill(ui.visuals().faint_bg_color).corner_radius(5.0).inner_margin(egui::Margin::symmetric(8, 4));
    frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.add(egui::Label::new(&teaching.says).wrap());
        let Some(at) = teaching.at else { return };
        let button = ui.small_button("Show").on_hover_text("Bring the place into view");
        let name = format!("Show: {}", teaching.says);
        button.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, &name));
        if button.clicked() {
            if let Some((line, _)) = &teaching.line {
                commands.push(Command::Select(Selection::of(line.clone())));
            }
            commands.push(Command::Log(LogAsk::At(at)));
        }
    });
}

/// How often what fails, as a table that opens.
fn rates(ui: &mut Ui, session: &Session, log: &Log) {
    ui.add_space(4.0);
    egui::CollapsingHeader::new("How often what fails").id_salt("fault rates").show(ui, |ui| {
        ui.add(
            egui::Label::new(RichText::new(words::log::worth(log, session.units())).small().color(theme::inks(ui).faint_ink))
                .wrap(),
        );
        egui::Grid::new("fault-rates").num_columns(4).spacing([8.0, 2.0]).striped(true).show(ui, |ui| {
            for text in ["", "seen", "a year per km, gate, unit", "here"] {
                ui.add(egui::Label::new(RichText::new(text).small().strong()).wrap());
            }
            ui.end_row();
            for rate in &log.rates {
                let [what, seen, default, now, yearly] = words::log::rate_cells(rate, session.catalogue());
                ui.add(egui::Label::new(RichText::new(what).small()).wrap());
                ui.label(RichText::new(seen).small());
                ui.label(RichText::new(now).small()).on_hover_text(format!("Planned with {default}"));
                ui.label(RichText::new(yearly).small());
                ui.end_row();
            }
        });
    });
}

/// Where an entry of the log stands, beside its own choices.
pub fn stands(ui: &mut Ui, session: &Session, feature: &Feature) {
    let entry = session.log_view.log().and_then(|log| log.entries.iter().find(|entry| entry.id == feature.id));
    let Some(entry) = entry.filter(|_| feature.kind.is_log_entry()) else { return };
    let text = words::sentence(&words::log::stands(entry, session.plan(), session.units()));
    let ink = if matches!(entry.stands, Stands::On(_)) { theme::inks(ui).faint_ink } else { theme::inks(ui).look_at };
    ui.add(egui::Label::new(RichText::new(text).color(ink)).wrap());
    if let Some((kv, expected)) = entry.kv().zip(entry.expected) {
        let text = format!("{}: {}", words::log::expectation(&expected), words::log::against(kv, &expected));
        ui.label(RichText::new(format!("A sound fence reads {text}.")).color(theme::inks(ui).faint_ink));
    }
}
