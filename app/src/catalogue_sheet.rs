//! The catalogue: every row with its numbers and where they come from, searchable by what is typed.

use crate::command::Command;
use crate::session::Session;
use crate::sheets::sheet;
use crate::theme::{self, bold};
use crate::words::{self, CatalogueRow};
use egui::{RichText, ScrollArea, TextEdit, Ui};

/// Draws the sheet.
pub fn show(ui: &Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let room = ui.ctx().content_rect().size();
    let open = sheet(ui, "Catalogue", |ui| {
        ui.set_width((room.x - 60.0).min(680.0));
        let units = session.units();
        // A handle of its own: the search below changes the session.
        let in_use = session.rows.clone();
        let rows = words::catalogue_rows(in_use.rows(), units);
        let found: Vec<&CatalogueRow<'_>> = rows.iter().filter(|row| is_found(row, &session.catalogue_search)).collect();
        search(ui, session, found.len(), rows.len());
        ui.add_space(4.0);
        let height = (room.y - 190.0).clamp(120.0, 560.0);
        ScrollArea::vertical().max_height(height).min_scrolled_height(height).auto_shrink([false, true]).show(ui, |ui| {
            if found.is_empty() {
                ui.label("Nothing in the catalogue is called that. Fewer letters find more.");
            }
            let mut heading = "";
            for row in found {
                if row.heading != heading {
                    heading = row.heading;
                    ui.add_space(6.0);
                    ui.label(RichText::new(heading).font(bold(16.0)));
                }
                entry(ui, row);
            }
        });
    });
    if !open {
        commands.push(Command::CloseSheet);
    }
}

fn search(ui: &mut Ui, session: &mut Session, found: usize, of: usize) {
    ui.horizontal(|ui| {
        let label = ui.label("Search");
        let field = TextEdit::singleline(&mut session.catalogue_search)
            .hint_text("wire, pig, loam, common practice …")
            .desired_width(300.0)
            .background_color(ui.visuals().faint_bg_color);
        ui.add(field).labelled_by(label.id);
        if !session.catalogue_search.is_empty() && ui.button("Show everything").clicked() {
            session.catalogue_search.clear();
        }
        ui.label(RichText::new(format!("{found} of {of} rows")).color(theme::inks(ui).faint_ink));
    });
}

/// Whether every word that is searched for stands in the row, its heading or one of its sources.
fn is_found(row: &CatalogueRow<'_>, search: &str) -> bool {
    let sources: String = row.sources().into_iter().map(words::source_in_full).collect();
    let text = format!("{} {} {} {sources}", row.heading, row.label, row.id).to_lowercase();
    search.to_lowercase().split_whitespace().all(|word| text.contains(word))
}

fn entry(ui: &mut Ui, row: &CatalogueRow<'_>) {
    let faint = theme::inks(ui).faint_ink;
    let frame =
        egui::Frame::new().fill(ui.visuals().faint_bg_color).corner_radius(5.0).inner_margin(egui::Margin::symmetric(8, 5));
    frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 2.0;
        ui.horizontal(|ui| {
            ui.label(RichText::new(&row.label).strong());
            ui.label(RichText::new(row.id).small().color(faint)).on_hover_text("Its id in plan files");
        });
        let facts: Vec<String> = row.facts.iter().map(|(what, how_much, _)| format!("{what} {how_much}")).collect();
        ui.label(facts.join("  ·  "));
        sources(ui, row);
    });
}

/// The row's own source, then those that single numbers have of their own.
fn sources(ui: &mut Ui, row: &CatalogueRow<'_>) {
    let faint = theme::inks(ui).faint_ink;
    for key in row.sources() {
        let of: Vec<&str> = row.facts.iter().filter(|(.., own)| *own == Some(key)).map(|(what, ..)| *what).collect();
        let source = words::source_in_full(key);
        let text = if key == row.source || of.is_empty() { source } else { format!("{}: {source}", of.join(", ")) };
        ui.label(RichText::new(text).small().color(faint));
    }
}
