//! What leads the pulse on: the lead-out, the crossing of a gate, switches, jumpers; and what grows along a line.

use super::{cautions, change_kind, set_kind};
use crate::command::Command;
use crate::fields::{Grip, Unit, choice, choice_shown_as, length, number, row, rows, text, tick};
use crate::session::Session;
use crate::theme;
use crate::words::{self, cautions::Place};
use egui::{RichText, Ui};
use hillwire_core::bounds::{CONDUCTORS, STRANDS};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::hold::{LEAD_OUT_HEIGHT_M, LEAD_OUT_SPACING_M, LEAD_OUT_WIRE};
use hillwire_core::plan::{Feature, Fence, Gate, Jumper, Kind, LeadOut, UnitSystem};
use hillwire_core::units::Length;

/// The cable of a crossing where the plan names no other.
const CABLE: &str = "hv-cable";
/// Clear width of a gate where the plan does not say it.
const GATE_WIDTH: Length = Length::metres(3.6);
const VEGETATION: &str = "What grows into this line: it leads the pulse away, the more the wetter it is";

/// What grows along a fence line.
pub fn along_fence(ui: &mut Ui, session: &Session, feature: &Feature, fence: &Fence, commands: &mut Vec<Command>) {
    let of_plan = &session.plan().head.ground.vegetation;
    let of_plan = words::VEGETATION.iter().find(|(word, _)| word == of_plan).map_or(of_plan.as_str(), |(_, text)| text);
    let as_elsewhere = format!("as elsewhere ({of_plan})");
    let width = list_width(ui);
    let picked = rows(ui, "along-fence", |ui| vegetation(ui, width, &as_elsewhere, fence.vegetation.as_deref()));
    if let Some(vegetation) = picked {
        set_kind(feature, Kind::Fence(Fence { vegetation, ..fence.clone() }), commands);
    }
    let at: Vec<String> = fence.springs.iter().map(|station| words::length(*station, session.units())).collect();
    if !at.is_empty() {
        ui.horizontal_wrapped(|ui| {
            ui.label(format!("Springs put in at {}.", at.join(", ")));
            if ui.small_button("Take the springs out").clicked() {
                set_kind(feature, Kind::Fence(Fence { springs: Vec::new(), ..fence.clone() }), commands);
            }
        });
    }
}

/// Room for a list beside what it is called: to be asked for outside a table, whose columns are as wide as what they hold.
fn list_width(ui: &Ui) -> f32 {
    (ui.available_width() - 110.0).clamp(120.0, 240.0)
}

/// A row with the choice of what grows along a line; `left_out` says what holds where nothing is chosen.
fn vegetation(ui: &mut Ui, width: f32, left_out: &str, now: Option<&str>) -> Option<Option<String>> {
    let all = [("", left_out)].into_iter().chain(words::VEGETATION);
    let picked =
        row(ui, "vegetation", VEGETATION, |ui| choice(ui, "vegetation along this line", width, now.unwrap_or_default(), all));
    picked.map(|word| Some(word).filter(|word| !word.is_empty()))
}

/// The lead-out: its wire, conductors, height, or that it lies in the ground.
pub fn lead_out(ui: &mut Ui, session: &Session, feature: &Feature, lead_out: &LeadOut, commands: &mut Vec<Command>) {
    let mut changed = lead_out.clone();
    let mut grip = Grip::default();
    let width = list_width(ui);
    rows(ui, "lead-out", |ui| {
        let tip = "Ticked: an insulated cable in conduit in the ground. Unticked: wires on insulators on posts of their own";
        row(ui, "in the ground", tip, |ui| tick(ui, "in the ground", &mut changed.underground, tip));
        let usual = if changed.underground { CABLE } else { LEAD_OUT_WIRE };
        wire_row(ui, (session.catalogue(), width), ["wire", "wire of the lead-out", usual], &mut changed.wire);
        row(ui, "conductors", "Wires side by side that carry the pulse together", |ui| {
            let now = f64::from(changed.conductors.unwrap_or(1));
            if let Some(typed) = number(ui, &mut grip, "conductors", Unit::pieces(), now, 1.0..=f64::from(CONDUCTORS)) {
                changed.conductors = Some(typed.round() as u32);
            }
        });
        let tip = "Ticked: one wire more leads back from the earth-return strands of the fence to the energizer's earth";
        row(ui, "earth return", tip, |ui| tick(ui, "earth return", &mut changed.earth_return, tip));
        if !changed.underground {
            above_ground(ui, (session.units(), width), &mut grip, &mut changed);
        }
    });
    let kind = (changed != *lead_out).then(|| Kind::LeadOut(changed));
    change_kind(grip, feature, kind, commands);
    cautions(ui, Place::LeadCard);
}

fn above_ground(ui: &mut Ui, (units, width): (UnitSystem, f32), grip: &mut Grip, lead_out: &mut LeadOut) {
    let unit = Unit::length(units);
    row(ui, "height", "How high it hangs over the ground at its posts", |ui| {
        let now = lead_out.height.unwrap_or(Length::metres(LEAD_OUT_HEIGHT_M));
        lead_out.height = length(ui, grip, "height of the lead-out", unit, now, 0.2..=8.0).or(lead_out.height);
    });
    row(ui, "posts apart", "The longest distance between its posts", |ui| {
        let now = lead_out.spacing.unwrap_or(Length::metres(LEAD_OUT_SPACING_M));
        lead_out.spacing = length(ui, grip, "posts of the lead-out apart", unit, now, 1.0..=60.0).or(lead_out.spacing);
    });
    if let Some(picked) = vegetation(ui, width, "clear: it is kept free", lead_out.vegetation.as_deref()) {
        lead_out.vegetation = picked;
    }
}

/// A row with the choice of a wire; `usual` stands for it where the plan names none.
fn wire_row(ui: &mut Ui, (catalogue, width): (&Catalogue, f32), [what, name, usual]: [&str; 3], wire: &mut Option<String>) {
    row(ui, what, "The wire or cable that it is made of", |ui| {
        let now = wire.as_deref().unwrap_or(usual).to_owned();
        let shown = catalogue.wire(&now).map_or_else(|| now.clone(), |row| words::wire_in_short(&row.label));
        let rows = catalogue.wires.iter().map(|row| (row.id.as_str(), row.label.as_str()));
        if let Some(picked) = choice_shown_as(ui, name, width, (&now, RichText::new(shown)), rows) {
            *wire = Some(picked);
        }
    });
}

/// A gate: how wide it opens, and how the pulse gets across.
pub fn gate(ui: &mut Ui, session: &Session, feature: &Feature, gate: &Gate, commands: &mut Vec<Command>) {
    let mut changed = gate.clone();
    let mut grip = Grip::default();
    let list = list_width(ui);
    rows(ui, "gate", |ui| {
        row(ui, "width", "How wide the gate opens", |ui| {
            let now = gate.width.unwrap_or(GATE_WIDTH);
            changed.width = length(ui, &mut grip, "width", Unit::length(session.units()), now, 0.8..=12.0).or(gate.width);
        });
        let tip = "Ticked: what closes the gate carries the pulse while it is closed";
        row(ui, "live", tip, |ui| {
            let mut live = gate.live.unwrap_or(true);
            if tick(ui, "live gate", &mut live, tip) {
                changed.live = Some(live);
            }
        });
        row(ui, "pulse crosses", "How the pulse gets to the other side, also while the gate is open", |ui| {
            let now = gate.crossing.as_deref().unwrap_or("underground");
            if let Some(crossing) = choice(ui, "how the pulse crosses", list, now, words::CROSSINGS.into_iter()) {
                changed.crossing = Some(crossing);
            }
        });
        if changed.crossing.as_deref() != Some("none") {
            wire_row(ui, (session.catalogue(), list), ["cable", "cable of the crossing", CABLE], &mut changed.cable);
        }
    });
    let kind = (changed != *gate).then(|| Kind::Gate(changed));
    change_kind(grip, feature, kind, commands);
}

/// A cut-out switch: on or off.
pub fn cutout(ui: &mut Ui, feature: &Feature, commands: &mut Vec<Command>) {
    let now = if matches!(feature.kind, Kind::Cutout { open: true }) { "open" } else { "closed" };
    let tip = "Switched off, the part behind it gets nothing: so a fault is narrowed down. A click on the selected switch on the map turns it too";
    ui.horizontal_wrapped(|ui| {
        for (word, text) in words::SWITCH {
            if ui.selectable_label(word == now, text).on_hover_text(tip).clicked() && word != now {
                set_kind(feature, Kind::Cutout { open: word == "open" }, commands);
            }
        }
    });
    cautions(ui, Place::FenceCard);
}

/// A jumper: which strands it joins.
pub fn jumper(ui: &mut Ui, feature: &Feature, jumper: &Jumper, commands: &mut Vec<Command>) {
    ui.push_id(feature.id.as_str(), |ui| {
        let typed = rows(ui, "jumper", |ui| {
            row(ui, "strands", "Numbers of the strands that it joins, 1 the lowest", |ui| {
                let numbers: Vec<String> = jumper.strands.iter().map(u32::to_string).collect();
                let refuse =
                    |typed: &str| strands_typed(typed).is_none().then(|| "Numbers like 1, 3; or nothing for all.".to_owned());
                text(ui, "strands that it joins", 110.0, &numbers.join(", "), "all live ones", refuse)
            })
        });
        if let Some(strands) = typed.and_then(|typed| strands_typed(&typed)) {
            set_kind(feature, Kind::Jumper(Jumper { strands, ..jumper.clone() }), commands);
        }
    });
    let text = "It joins strands, and lines that meet or nearly meet here, so that the pulse has more than one way.";
    ui.label(RichText::new(text).color(theme::inks(ui).faint_ink));
    cautions(ui, Place::FenceCard);
}

/// `1, 3` as numbers; `None` for what is not.
fn strands_typed(typed: &str) -> Option<Vec<u32>> {
    let words = typed.split([',', ' ']).filter(|word| !word.is_empty());
    words.map(|word| word.parse().ok().filter(|number| (1..=STRANDS as u32).contains(number))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strands_are_numbers_from_one_with_commas_or_spaces_between() {
        for (typed, expected) in [
            ("1, 3", Some(vec![1, 3])),
            ("1 2,3", Some(vec![1, 2, 3])),
            ("", Some(vec![])),
            ("0", None),
            ("top", None),
            ("1-3", None),
        ] {
            assert_eq!(strands_typed(typed), expected, "{typed}");
        }
    }
}
