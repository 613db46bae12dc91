//! What lies under the map on the stage Round: the long section, or the log as a table, as plots, as a calendar of weeks.

mod months;
mod readings;
mod table;
mod weeks;

use crate::command::Command;
use crate::log_view::{Below, LogAsk};
use crate::session::{Session, Stage};
use crate::theme;
use egui::{FontId, Ui, vec2};

/// Draws the choice of what lies under the map, and the log where it is chosen; whether it did, so that no long section is needed.
pub fn show(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) -> bool {
    if session.stage != Stage::Round {
        return false;
    }
    ui.horizontal_wrapped(|ui| {
        for (below, text, tip) in Below::ALL {
            let tab = ui.selectable_label(session.log_view.below == below, text).on_hover_text(tip);
            let name = format!("Under the map: {}", text.to_lowercase());
            tab.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, &name));
            if tab.clicked() {
                commands.push(Command::Log(LogAsk::Below(below)));
            }
        }
    });
    if session.log_view.below == Below::Section {
        return false;
    }
    let Some(log) = session.log_view.log() else {
        empty(ui, "The log is being read …");
        return true;
    };
    if log.entries.is_empty() {
        empty(ui, "Nothing has been written down yet: set a reading or a fault on a line, or take in what you wrote on a round");
        return true;
    }
    match session.log_view.below {
        Below::Section => {}
        Below::Entries => table::show(ui, session, log, commands),
        Below::Readings => readings::show(ui, session, log, commands),
        Below::Months => months::show(ui, session, log, commands),
        Below::Weeks => weeks::show(ui, session, log, commands),
    }
    true
}

fn empty(ui: &mut Ui, text: &str) {
    let faint = theme::inks(ui).faint_ink;
    ui.centered_and_justified(|ui| {
        ui.label(egui::RichText::new(text).color(faint));
    });
}

/// The room for a plot: its painter, what is left within its margins, and the response of the whole.
fn plot(ui: &mut Ui, name: &str) -> (egui::Painter, egui::Rect, egui::Response) {
    let whole = ui.available_rect_before_wrap();
    let response = ui.allocate_rect(whole, egui::Sense::click());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Canvas, true, name));
    let painter = ui.painter_at(whole);
    painter.rect_filled(whole, 0.0, ui.visuals().extreme_bg_color);
    let inner = egui::Rect::from_min_max(whole.min + vec2(46.0, 12.0), whole.max - vec2(14.0, 20.0));
    (painter, inner, response)
}

/// The letters of axes.
fn small() -> FontId {
    FontId::proportional(11.0)
}
