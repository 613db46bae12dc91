//! Netting in the place of strands.

use super::build::add_strand;
use crate::fields::{Grip, Unit, choice, length, row, rows};
use egui::Ui;
use hillwire_core::catalogue::Catalogue;
use hillwire_core::plan::{Build, Net, UnitSystem};

/// Netting in the place of strands: which, how high, and the way back.
pub fn editor(ui: &mut Ui, grip: &mut Grip, build: &mut Build, (units, catalogue): (UnitSystem, &Catalogue)) {
    let Some(net) = &mut build.net else { return };
    rows(ui, "netting", |ui| {
        row(ui, "netting", "One piece with its own stakes, from the ground to its top", |ui| {
            let all = catalogue.nets.iter().map(|row| (row.id.as_str(), row.label.as_str()));
            if let Some(id) = choice(ui, "netting", 180.0, &net.row, all) {
                net.height = catalogue.net(&id).map_or(net.height, |row| row.height);
                net.row = id;
            }
        });
        row(ui, "height of the net", "Of its top over the ground, at the stakes", |ui| {
            if let Some(height) = length(ui, grip, "height of the net", Unit::height(units), net.height, 0.3..=2.5) {
                net.height = height;
            }
        });
    });
    if ui.button("Strands instead").on_hover_text("Strands on posts in the place of the netting").clicked() {
        build.net = None;
        add_strand(build);
    }
}

/// A list of netting to take in the place of the strands.
pub fn instead(ui: &mut Ui, build: &mut Build, catalogue: &Catalogue) {
    let menu = ui.menu_button("Netting instead…", |ui| {
        for row in &catalogue.nets {
            if ui.button(&row.label).clicked() {
                build.net = Some(Net { row: row.id.clone(), height: row.height, ..Net::default() });
                build.strands.clear();
                build.max_bay = row.stakes;
                ui.close();
            }
        }
    });
    menu.response.on_hover_text("One piece with its own stakes in the place of strands");
}
