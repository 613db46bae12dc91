//! The card of a measured height: the height itself, and how far it is off the elevation grid.

use super::kind_change;
use crate::command::Command;
use crate::fields::{Grip, Unit, number, row, rows};
use crate::session::Session;
use crate::theme;
use crate::words;
use egui::{RichText, Ui};
use hillwire_core::plan::{Feature, Kind};
use hillwire_core::units::{Elevation, Length};

/// Heights on earth, metres.
const HEIGHTS_M: (f64, f64) = (-450.0, 9000.0);
/// Farther off than this, a height and the grid are not about the same ground, metres.
const FARTHEST_OFF_M: f64 = 30.0;

/// What the card offers: either number changes the other.
pub fn choices(ui: &mut Ui, session: &Session, feature: &Feature, height: Elevation, commands: &mut Vec<Command>) {
    let units = session.units();
    let grid = feature.point().and_then(|at| session.frame.to_map(at).ok()).and_then(|at| session.ground_at(at));
    let mut grip = Grip::default();
    let mut changed = None;
    rows(ui, "spot", |ui| {
        let tip = "The height of the ground that you measured, above the same zero as the elevation grid";
        row(ui, "height", tip, |ui| {
            let typed = number(ui, &mut grip, "height", Unit::elevation(units), height.as_metres(), HEIGHTS_M.0..=HEIGHTS_M.1);
            changed = typed.map(Elevation::metres);
        });
        let Some(grid) = grid else { return };
        row(ui, "off the grid", "How far the ground you measured lies above the elevation grid; below it with a minus", |ui| {
            let off = (height - grid).as_metres();
            let typed = number(ui, &mut grip, "off the grid", Unit::height(units), off, -FARTHEST_OFF_M..=FARTHEST_OFF_M);
            changed = changed.or(typed.map(|off| grid + Length::metres(off)));
        });
    });
    let says = match grid {
        Some(grid) => words::off_the_grid(height - grid, units),
        None => "The elevation grid has no height here to compare it with.".to_owned(),
    };
    ui.label(RichText::new(says).color(theme::inks(ui).faint_ink));
    let (gesture, _) = kind_change(feature, feature.kind.clone());
    let edits = changed.map(|height| vec![kind_change(feature, Kind::SpotHeight { height }).1]);
    grip.ask(gesture, edits, commands);
}
