//! The card of a living tree: how thick it is, and what to mind where it carries strands.

use super::kind_change;
use crate::command::Command;
use crate::fields::{Grip, Unit, number, row, rows, tick};
use crate::session::Session;
use crate::words::{self, cautions::Place};
use egui::Ui;
use hillwire_core::plan::{Feature, Kind};
use hillwire_core::units::Length;

/// Trunks, metres.
const DIAMETER_M: (f64, f64) = (0.03, 3.0);
/// What a trunk is taken for first when somebody wants to say how thick it is, metres.
const FIRST_M: f64 = 0.2;

/// What the card offers.
pub fn choices(ui: &mut Ui, session: &Session, feature: &Feature, diameter: Option<Length>, commands: &mut Vec<Command>) {
    let mut grip = Grip::default();
    let mut changed = diameter;
    rows(ui, "tree", |ui| {
        let tip = "How thick the trunk is at the height of the strands. Unticked: thick enough to carry them";
        row(ui, "trunk", tip, |ui| {
            let mut known = diameter.is_some();
            if tick(ui, "thickness of the trunk is known", &mut known, tip) {
                changed = known.then_some(Length::metres(FIRST_M));
            }
            if let Some(now) = diameter.filter(|_| known) {
                let unit = Unit::height(session.units());
                if let Some(typed) =
                    number(ui, &mut grip, "thickness of the trunk", unit, now.as_metres(), DIAMETER_M.0..=DIAMETER_M.1)
                {
                    changed = Some(Length::metres(typed));
                }
            }
        });
    });
    ui.label(words::tree(session.catalogue(), session.units()));
    super::small_cautions(ui, Place::TreeCard);
    let (gesture, _) = kind_change(feature, feature.kind.clone());
    let edits = (changed != diameter).then(|| vec![kind_change(feature, Kind::Tree { diameter: changed }).1]);
    grip.ask(gesture, edits, commands);
}
