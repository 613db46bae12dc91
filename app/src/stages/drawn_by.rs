//! The choice by what lines are drawn on the stage Hold, with what the strokes mean.

use crate::command::Command;
use crate::map::used::{DrawnBy, NEAR, stroke_of};
use crate::session::Session;
use crate::theme;
use crate::words;
use egui::{Sense, Stroke, Ui, vec2};

const CHOICES: [(DrawnBy, &str, &str); 4] = [
    (DrawnBy::Kind, "their kind", "Fence lines as they are drawn everywhere else"),
    (DrawnBy::Heights, "heights", "How far strands leave their heights over dips and rises, against what their band allows"),
    (
        DrawnBy::Loads,
        "loads",
        "How hard the strands pull at the posts, sideways or upwards, against what the ground holds with its safety factor",
    ),
    (
        DrawnBy::Tension,
        "tension",
        "What friction takes of the tension away from the strainer, against the most that is planned for",
    ),
];

/// The choice, and the key to it.
pub fn choice(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    ui.label("Lines on the map show");
    ui.horizontal_wrapped(|ui| {
        for (what, text, tip) in CHOICES {
            if ui.selectable_label(session.drawn_by == what, text).on_hover_text(tip).clicked() {
                commands.push(Command::DrawBy(what));
            }
        }
    });
    if session.drawn_by == DrawnBy::Kind {
        return;
    }
    let near = words::share(NEAR);
    let rows = [
        (Some(0.0), format!("below {near} of what is allowed")),
        (Some(0.9), format!("{near} to all of it")),
        (Some(1.1), "beyond what is allowed".to_owned()),
        (None, "not known".to_owned()),
    ];
    for (used, text) in rows {
        ui.horizontal(|ui| {
            let (rect, _) = ui.allocate_exact_size(vec2(26.0, 12.0), Sense::hover());
            let (width, ink) = stroke_of(&theme::inks(ui), used);
            ui.painter().hline(rect.x_range(), rect.center().y, Stroke::new(width, ink));
            ui.label(text);
        });
    }
}
