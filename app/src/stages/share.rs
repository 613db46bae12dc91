//! The card of the Share stage: the plan for somebody else.

use crate::card::heading;
use crate::command::Command;
use egui::{RichText, Ui};

/// What the card shows.
pub fn card(ui: &mut Ui, commands: &mut Vec<Command>) {
    heading(ui, "For the neighbour");
    ui.label("Lines, gates and paddocks with their lengths, in a form that any map program opens.");
    if ui.button("Save as GeoJSON…").on_hover_text("An open form of map file (RFC 7946), in longitude and latitude").clicked() {
        commands.push(Command::ShareAs("geojson"));
    }
    ui.add_space(10.0);
    heading(ui, "For the supplier");
    ui.label("What is to be bought, as a table that can be priced.");
    if ui.button("Save as a table…").on_hover_text("A CSV file that any spreadsheet opens").clicked() {
        commands.push(Command::ShareAs("csv"));
    }
    ui.add_space(10.0);
    heading(ui, "For whoever builds it");
    ui.label("The long section of the line that is shown below: posts, strands, findings, on one sheet.");
    ui.horizontal(|ui| {
        if ui.button("Save as a picture…").on_hover_text("A PNG file, for a message or for paper").clicked() {
            commands.push(Command::ShareAs("png"));
        }
        if ui.button("Save as a drawing…").on_hover_text("An SVG file: sharp at any size").clicked() {
            commands.push(Command::ShareAs("svg"));
        }
    });
    ui.add_space(10.0);
    let caution = "Whoever gets the map should know: the fence is live. Warning signs stand at every way in and along public ways; \
                   local codes come first.";
    ui.label(RichText::new(caution).small().color(crate::theme::inks(ui).must_fix));
}
