//! The sheet that shows what was written on a round before any of it is taken into the log: what was understood, and what has to be said.

use crate::command::Command;
use crate::log_view::{LogAsk, WrittenRound, is_asked};
use crate::session::Session;
use crate::sheets::sheet;
use crate::theme;
use crate::words;
use egui::{ComboBox, RichText, ScrollArea, Ui};
use hillwire_core::log::{Found, Taken};

/// Troubles that are listed before the rest is counted.
const MOST_TROUBLES: usize = 6;

/// Draws it.
pub fn show(ui: &Ui, session: &Session, commands: &mut Vec<Command>) {
    let Some(written) = &session.log_view.written else { return commands.push(Command::CloseSheet) };
    let open = sheet(ui, "What was written on the round", |ui| {
        ui.set_width(600.0);
        ui.label("Rows with a question mark were not understood: say what they are. Nothing of your plan changes before you take them in, and then it is one step to undo.");
        troubles(ui, written);
        ui.add_space(6.0);
        let rows = written.found.len();
        ScrollArea::vertical().max_height(320.0).auto_shrink([false, true]).show_rows(ui, 24.0, rows, |ui, shown| {
            for index in shown {
                row(ui, index, &written.found[index], &written.taken[index], commands);
            }
        });
        ui.add_space(8.0);
        ui.horizontal(|ui| {
            let count = written.taken.iter().filter(|taken| **taken != Taken::Leave).count();
            let text = if count == 1 { "Take 1 row in".to_owned() } else { format!("Take {count} rows in") };
            if ui.add_enabled(count > 0, egui::Button::new(text)).clicked() {
                commands.push(Command::Log(LogAsk::TakeIn));
            }
            if ui.button("Leave it all").clicked() {
                commands.push(Command::LeaveSheet);
            }
        });
    });
    if !open {
        commands.push(Command::CloseSheet);
    }
}

fn troubles(ui: &mut Ui, written: &WrittenRound) {
    if written.troubles.is_empty() {
        return;
    }
    ui.add_space(4.0);
    ui.label(RichText::new("Of these something cannot be used:").strong());
    let faint = theme::inks(ui).faint_ink;
    for trouble in written.troubles.iter().take(MOST_TROUBLES) {
        ui.add(egui::Label::new(RichText::new(trouble).small()).wrap());
    }
    if written.troubles.len() > MOST_TROUBLES {
        let more = written.troubles.len() - MOST_TROUBLES;
        ui.label(RichText::new(format!("and {more} more rows that cannot be used")).small().color(faint));
    }
}

fn row(ui: &mut Ui, index: usize, found: &Found, taken: &Taken, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        ui.allocate_ui_with_layout(egui::vec2(330.0, 20.0), egui::Layout::left_to_right(egui::Align::Center), |ui| {
            ui.set_min_width(330.0);
            let mark = if is_asked(found) { "? " } else { "" };
            let twice = if found.is_twice { " · stands in the log already" } else { "" };
            ui.add(egui::Label::new(format!("{mark}{}{twice}", words::log::written(found))).truncate());
        });
        let said = words::log::taken(taken);
        let combo = ComboBox::from_id_salt(("row of the round", index)).width(220.0).height(340.0).selected_text(&said);
        let shown = combo.show_ui(ui, |ui| {
            for choice in choices(found) {
                let text = words::log::taken(&choice);
                if ui.selectable_label(text == said, text).clicked() {
                    commands.push(Command::Log(LogAsk::Say(index, choice)));
                }
            }
        });
        let name = format!("what row {} is", found.number);
        shown.response.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::ComboBox, true, &name));
    });
}

/// What a row can be taken as: what it was understood as first.
fn choices(found: &Found) -> Vec<Taken> {
    let first = if is_asked(found) { found.as_reading() } else { Some(found.found.clone()) };
    let mut all: Vec<Taken> = first.map(Taken::As).into_iter().collect();
    all.extend(words::FAULTS.iter().map(|(word, _)| Taken::As(found.as_fault(word))));
    all.extend([Taken::As(found.as_photo()), Taken::Mark, Taken::Leave]);
    all
}
