//! The card of the Land stage: what the elevation grid is, and what it can be trusted for.

use crate::card::{fact, facts, heading};
use crate::command::{Act, Command};
use crate::session::Session;
use crate::theme;
use crate::words::{self, cautions::Place};
use egui::{RichText, Ui};
use hillwire_core::land::{Paper, Survey, slope_classes};
use hillwire_core::plan::{Edit, Gesture, UnitSystem};
use hillwire_core::units::Length;

/// What the card shows.
pub fn card(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    if !session.land.surveys.is_empty() {
        super::reach::look(ui, session, commands);
        ui.add_space(4.0);
        super::small_cautions(ui, Place::Land);
        ui.add_space(8.0);
    }
    super::reach::card(ui, session);
    ui.add_space(8.0);
    super::lay::card(ui, session);
    heading(ui, "Ground");
    if session.land.surveys.is_empty() {
        let text = if session.worker.opening().is_some() {
            "The elevation grid is on its way."
        } else {
            "No elevation grid is loaded. Lines are measured flat."
        };
        ui.label(text);
        ui.add_space(6.0);
        crate::tally::act_button(ui, Act::NewPlan, commands);
        ui.add_space(8.0);
        crate::air::list(ui, session, commands);
        ui.add_space(8.0);
        super::season::editor(ui, session, commands);
        return;
    }
    let several = session.land.surveys.len() > 1;
    if several {
        ui.label("At each place the finest grid that has a height there counts.");
    }
    for (layer, survey) in session.land.surveys.iter().enumerate() {
        if several {
            ui.add_space(6.0);
            file_of(ui, session, layer, commands);
        }
        about(ui, layer, survey, session.units());
        ui.add_space(8.0);
        heading(ui, "What this grid is good for");
        ui.label(words::grid_trust(survey.cell_x_m.max(survey.cell_y_m)));
    }
    ui.add_space(8.0);
    super::season::editor(ui, session, commands);
    ui.add_space(8.0);
    crate::tally::act_button(ui, Act::AddGrid, commands);
    ui.add_space(8.0);
    crate::air::list(ui, session, commands);
}

/// The file of one of several grids, and the way to take it out.
fn file_of(ui: &mut Ui, session: &Session, layer: usize, commands: &mut Vec<Command>) {
    let Some(file) = session.land.files.get(layer) else { return };
    let name = file.file_name().unwrap_or(file.as_os_str()).to_string_lossy().into_owned();
    ui.horizontal(|ui| {
        ui.add(egui::Label::new(RichText::new(&name).strong()).truncate());
        let without = session.without_grid(file);
        let button = ui.add_enabled(without.is_some(), egui::Button::new("Take out").small());
        button.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, format!("Take out {name}")));
        if let (Some(head), true) = (without, button.on_hover_text("Make the ground without this grid; its file stays").clicked())
        {
            commands.push(Command::Change(Gesture::ChangedGrids, vec![Edit::SetHead(Box::new(head))]));
        }
    });
}

fn about(ui: &mut Ui, layer: usize, survey: &Survey, units: UnitSystem) {
    let metres = |value: f64| words::length(Length::metres(value), units);
    facts(ui, &format!("ground {layer}"), |ui| {
        fact(ui, "cells", &format!("{} × {}", survey.columns, survey.rows));
        fact(ui, "cell size", &format!("{} × {}", metres(survey.cell_x_m), metres(survey.cell_y_m)));
        fact(ui, "lowest", &survey.lowest_m.map_or_else(|| "–".to_owned(), metres));
        fact(ui, "highest", &survey.highest_m.map_or_else(|| "–".to_owned(), metres));
        fact(ui, "mean slope", &survey.mean_slope_pct.map_or_else(|| "–".to_owned(), words::percent));
        fact(ui, "steepest", &survey.steepest_slope_pct.map_or_else(|| "–".to_owned(), words::percent));
        fact(ui, "cells without height", &survey.void_cells.to_string());
        fact(ui, "coordinates", &survey.crs);
    });
}

pub(super) fn slope_key(ui: &mut Ui) {
    let paper = if ui.visuals().dark_mode { Paper::Dark } else { Paper::Light };
    let mut from = 0.0;
    for class in slope_classes(paper) {
        ui.horizontal(|ui| {
            let (rect, _) = ui.allocate_exact_size(egui::vec2(26.0, 14.0), egui::Sense::hover());
            let [r, g, b] = class.colour;
            ui.painter().rect(
                rect,
                2.0,
                egui::Color32::from_rgb(r, g, b),
                egui::Stroke::new(0.6, theme::inks(ui).faint_ink),
                egui::StrokeKind::Middle,
            );
            let text = match class.below_pct {
                Some(until) => format!("{from:.0} to {until:.0} %"),
                None => format!("over {from:.0} %"),
            };
            ui.label(text);
        });
        from = class.below_pct.unwrap_or(from);
    }
}
