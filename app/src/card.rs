//! The card: facts and choices for what is selected, then what the checker has to say.

use crate::command::Command;
use crate::map::draw::{weight_ink, weight_sign};
use crate::map::signs::{SignInks, sign};
use crate::mending;
use crate::session::{Selection, Session, Stage};
use crate::stages;
use crate::theme::{self, bold};
use crate::words;
use egui::{Grid, RichText, ScrollArea, Sense, TextEdit, Ui, Vec2};
use hillwire_core::finding::Finding;
use hillwire_core::plan::{Edit, Feature, Gesture};

/// Which finding was brought into view last.
const IN_VIEW: &str = "finding brought into view";

/// Draws the card.
pub fn show(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    ScrollArea::vertical().id_salt("card").auto_shrink(false).show(ui, |ui| {
        ui.add_space(4.0);
        match session.stage {
            Stage::Land => stages::land::card(ui, session, commands),
            Stage::Line => stages::line::card(ui, session, commands),
            Stage::Hold => stages::hold::card(ui, session, commands),
            Stage::Power => stages::power::card(ui, session, commands),
            Stage::Order => return stages::order::card(ui, session, commands),
            Stage::Round => return stages::round::card(ui, session, commands),
            Stage::Share => return stages::share::card(ui, session, commands),
        }
        ui.add_space(10.0);
        findings(ui, session, commands);
    });
}

/// A heading of the card.
pub fn heading(ui: &mut Ui, text: &str) {
    ui.label(RichText::new(text).font(bold(15.0)));
}

/// A table of facts.
pub fn facts(ui: &mut Ui, id: &str, rows: impl FnOnce(&mut Ui)) {
    Grid::new(id).num_columns(2).spacing([14.0, 3.0]).show(ui, rows);
}

/// One fact: what, and how much.
pub fn fact(ui: &mut Ui, what: &str, how_much: &str) {
    ui.label(RichText::new(what).color(theme::inks(ui).faint_ink));
    ui.label(how_much);
    ui.end_row();
}

/// The name of a feature, to be typed over.
pub fn name_field(ui: &mut Ui, feature: &Feature, commands: &mut Vec<Command>) {
    let id = ui.scope_id().with(("name", feature.id.as_str()));
    let mut text =
        ui.data_mut(|memory| memory.get_temp::<String>(id)).unwrap_or_else(|| feature.name.clone().unwrap_or_default());
    let edit = TextEdit::singleline(&mut text).font(bold(16.0)).hint_text(feature.id.as_str()).desired_width(f32::INFINITY);
    let response = ui.add(edit).on_hover_text("The name, as you call it");
    response.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::TextInput, true, "Name"));
    if response.lost_focus() {
        ui.data_mut(|memory| memory.remove::<String>(id));
        let name = Some(text.trim().to_owned()).filter(|name| !name.is_empty());
        if name != feature.name {
            let to = name.clone().unwrap_or_else(|| feature.id.to_string());
            let gesture = Gesture::Renamed { from: feature.label().to_owned(), to };
            commands.push(Command::Change(gesture, vec![Edit::SetName { id: feature.id.clone(), name }]));
        }
    } else if response.has_focus() {
        ui.data_mut(|memory| memory.insert_temp(id, text));
    }
}

fn findings(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let of_line = session.selection.only().filter(|id| session.line_outcome(id).is_some());
    let wanted = |finding: &Finding| match (session.stage, of_line) {
        (Stage::Land, _) => stages::stage_of(finding.rule) == Stage::Land,
        (Stage::Power, None) => stages::stage_of(finding.rule) == Stage::Power,
        (Stage::Power, Some(line)) => stages::stage_of(finding.rule) == Stage::Power && finding.place.line.as_ref() == Some(line),
        (_, Some(line)) => finding.place.line.as_ref() == Some(line),
        (_, None) => true,
    };
    let listed: Vec<(usize, &Finding)> =
        session.outcome.findings.iter().enumerate().filter(|(_, finding)| wanted(finding)).collect();
    if session.selection.finding.is_none() {
        ui.data_mut(|memory| memory.remove::<usize>(egui::Id::unique(IN_VIEW)));
    }
    heading(ui, if of_line.is_some() { "Findings on this line" } else { "Findings" });
    if listed.is_empty() {
        ui.label(match () {
            () if session.awaits_figures() => words::WORKING_OUT,
            () if session.outcome.lines.is_empty() => "None yet.",
            () => "Nothing to say.",
        });
    }
    for (index, finding) in listed {
        entry(ui, session, index, finding, commands);
    }
}

fn entry(ui: &mut Ui, session: &Session, index: usize, finding: &Finding, commands: &mut Vec<Command>) {
    let inks = theme::inks(ui);
    let chosen = session.selection.finding == Some(index);
    let fill = if chosen { inks.chosen.gamma_multiply(0.22) } else { ui.visuals().faint_bg_color };
    let frame = egui::Frame::new().fill(fill).corner_radius(5.0).inner_margin(egui::Margin::symmetric(8, 6));
    let shown = frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.horizontal_top(|ui| {
            let (rect, _) = ui.allocate_exact_size(Vec2::splat(18.0), Sense::hover());
            let ink = weight_ink(&inks, finding.weight);
            sign(weight_sign(finding.weight)).paint(
                ui.painter(),
                rect.center(),
                8.0,
                SignInks { ink, paper: ui.visuals().extreme_bg_color },
            );
            ui.vertical(|ui| entry_text(ui, session, index, finding, chosen, commands));
        });
    });
    // Whoever selects a finding on the map shall see what is said about it.
    let seen = egui::Id::unique(IN_VIEW);
    if chosen && ui.data(|memory| memory.get_temp::<usize>(seen)) != Some(index) {
        ui.data_mut(|memory| memory.insert_temp(seen, index));
        shown.response.scroll_to_me(Some(egui::Align::Center));
    }
}

fn entry_text(ui: &mut Ui, session: &Session, index: usize, finding: &Finding, chosen: bool, commands: &mut Vec<Command>) {
    let (units, catalogue) = (session.units(), session.catalogue());
    let place = words::place(finding, session.plan(), units);
    ui.label(RichText::new(format!("{} · {}", words::rule(finding.rule), words::weight(finding.weight))).strong());
    ui.label(RichText::new(place).small().color(theme::inks(ui).faint_ink));
    ui.label(words::says(finding, session.plan(), catalogue, units));
    if chosen {
        mending::remedies(ui, session, index, finding, commands);
        ui.label(RichText::new(words::source(&finding.source)).small().weak());
    }
    let text = if chosen { "Show again" } else { "Show" };
    let button =
        ui.small_button(text).on_hover_text("Bring the place into view, with what can be done and where the limit comes from");
    if button.clicked() {
        commands.push(Command::Select(Selection { finding: Some(index), ..session.selection.clone() }));
        commands.push(Command::Show(finding.place.clone()));
    }
}
