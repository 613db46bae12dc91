//! The card's part about running animals: how many strikes, and what the keeper's own log says of that.

use crate::card::heading;
use crate::session::Session;
use crate::theme;
use crate::words;
use egui::{RichText, Ui};
use hillwire_core::outcome::LineOutcome;
use hillwire_core::site::Cover;

/// Strikes on the selected line, or on all fences; nothing where the ground does not tell.
pub fn card(ui: &mut Ui, session: &Session) {
    let outcome = &session.outcome;
    let chosen = session.chosen().and_then(|feature| session.line_outcome(&feature.id));
    let lines: Vec<&LineOutcome> = match chosen {
        Some(line) => vec![line],
        None => outcome.lines.iter().map(AsRef::as_ref).collect(),
    };
    let strikes: Vec<f64> = lines.iter().filter_map(|line| outcome.strikes_per_year(line)).collect();
    let (Some(scale), false) = (outcome.strike_scale, strikes.is_empty()) else { return };
    heading(ui, "Running animals");
    let total: f64 = strikes.iter().sum();
    let what = if chosen.is_some() { "Strikes on this line" } else { "Strikes on all fences" };
    ui.label(format!("{what}: {}. Seen so far: {}.", words::strikes_a_year(total, scale), words::strikes_seen(scale)));
    let inks = theme::inks(ui);
    if outcome.runners.as_ref().is_some_and(|runners| runners.cover == Cover::Everywhere) {
        ui.label("No wood is drawn, so flights are taken to start everywhere alike. Draw the woods as zones.");
    }
    ui.label(RichText::new(words::RUNNER_LIMITS).small().color(inks.faint_ink));
    ui.add_space(8.0);
}
