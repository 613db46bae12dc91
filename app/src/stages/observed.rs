//! The cards of a reading and of a fault: what was measured, what was found.

use super::{cautions, change_kind, set_kind, small_cautions};
use crate::clock::today;
use crate::command::Command;
use crate::fields::{Figure, Grip, choice, figure, row, rows, text, tick};
use crate::words::{self, cautions::Place};
use egui::{RichText, Ui};
use hillwire_core::plan::{Fault, Feature, Kind, Photo, Reading};

/// A photograph: its file, when it was taken.
pub fn photo(ui: &mut Ui, feature: &Feature, photo: &Photo, commands: &mut Vec<Command>) {
    let mut changed = photo.clone();
    ui.push_id(feature.id.as_str(), |ui| {
        rows(ui, "photo", |ui| {
            words_row(ui, ("file", "Its name, beside the plan or with its folder"), "file of the photo", &mut changed.file);
            words_row(ui, ("when", "The day or the time"), "when it was taken", &mut changed.at_time);
        });
    });
    let kind = (changed != *photo).then(|| Kind::Photo(changed));
    change_kind(Grip::default(), feature, kind, commands);
}

/// The state of the ground when a reading was taken.
const GROUND_THEN: [(&str, &str); 5] =
    [("", "not known"), ("dry", "dry"), ("damp", "damp"), ("wet", "wet"), ("frozen", "frozen")];

/// A reading: voltage, current and its direction, when, with what.
pub fn reading(ui: &mut Ui, feature: &Feature, reading: &Reading, commands: &mut Vec<Command>) {
    let mut changed = reading.clone();
    ui.push_id(feature.id.as_str(), |ui| {
        rows(ui, "reading", |ui| {
            measured(ui, &mut changed);
            let tip = "Unticked: measured while the energizer was off";
            row(ui, "energizer on", tip, |ui| {
                let mut on = changed.energizer_on.unwrap_or(true);
                if tick(ui, "energizer on", &mut on, tip) {
                    changed.energizer_on = Some(on);
                }
            });
            words_row(ui, ("when", "The day or the time, as you write it"), "when it was read", &mut changed.at_time);
            row(ui, "ground then", "How wet it was: what is expected of the fence depends on it", |ui| {
                let now = changed.ground.clone().unwrap_or_default();
                if let Some(word) = choice(ui, "ground at the reading", 120.0, &now, GROUND_THEN.into_iter()) {
                    changed.ground = Some(word).filter(|word| !word.is_empty());
                }
            });
            words_row(ui, ("meter", "With which instrument: readings of one meter compare best"), "meter", &mut changed.meter);
        });
    });
    let kind = (changed != *reading).then(|| Kind::Reading(changed));
    change_kind(Grip::default(), feature, kind, commands);
    small_cautions(ui, Place::ReadingCard);
}

fn measured(ui: &mut Ui, reading: &mut Reading) {
    row(ui, "voltage", "The peak between the strand and the ground, as the meter shows it", |ui| {
        if let Some(typed) = figure(ui, "voltage", reading.kv, &Figure { unit: "kV", hint: "–", range: 0.0..=20.0 }) {
            reading.kv = typed;
        }
    });
    row(ui, "current", "The peak in the strands here, where the meter shows it", |ui| {
        if let Some(typed) = figure(ui, "current", reading.amp, &Figure { unit: "A", hint: "–", range: 0.0..=200.0 }) {
            reading.amp = typed;
        }
    });
    row(ui, "current flows", "Which way the meter says the current goes: that is where it is lost", |ui| {
        let now = reading.direction.clone().unwrap_or_default();
        if let Some(word) = choice(ui, "current flows", 190.0, &now, words::DIRECTIONS.into_iter()) {
            reading.direction = Some(word).filter(|word| !word.is_empty());
        }
    });
}

/// A row with a text that may be empty.
fn words_row(ui: &mut Ui, (what, tip): (&str, &str), name: &str, value: &mut Option<String>) {
    row(ui, what, tip, |ui| {
        let now = value.clone().unwrap_or_default();
        if let Some(typed) = text(ui, name, 120.0, &now, "", |_| None) {
            *value = Some(typed).filter(|typed| !typed.is_empty());
        }
    });
}

/// A fault: what is wrong, how much it leads away, when it was seen and mended.
pub fn fault(ui: &mut Ui, feature: &Feature, fault: &Fault, commands: &mut Vec<Command>) {
    let mut changed = fault.clone();
    ui.push_id(feature.id.as_str(), |ui| {
        rows(ui, "fault", |ui| {
            row(ui, "what", "What is wrong here", |ui| {
                let now = changed.what.clone().unwrap_or_default();
                if let Some(word) = choice(ui, "what is wrong", 190.0, &now, words::FAULTS.into_iter()) {
                    changed.what = Some(word);
                }
            });
            let tip =
                "What it has to the ground, or along the strand for a joint, where it is known: the lower a contact, the worse";
            row(ui, "resistance", tip, |ui| {
                let shown = Figure { unit: "Ω", hint: "usual", range: 0.0..=1e7 };
                if let Some(typed) = figure(ui, "resistance of the fault", changed.ohm, &shown) {
                    changed.ohm = typed;
                }
            });
            words_row(ui, ("seen", "The day it was seen"), "seen on", &mut changed.seen);
            words_row(ui, ("mended", "The day it was mended; empty while it stands"), "mended on", &mut changed.mended);
            row(ui, "took", "How long mending took", |ui| {
                let shown = Figure { unit: "min", hint: "–", range: 0.0..=10_000.0 };
                if let Some(typed) = figure(ui, "minutes of mending", changed.minutes, &shown) {
                    changed.minutes = typed;
                }
            });
            words_row(ui, ("used", "What it took: 2 insulators, 1 joiner"), "parts used", &mut changed.parts);
            words_row(ui, ("photo", "The file of a photograph of it"), "photo of the fault", &mut changed.photo);
        });
    });
    let kind = (changed != *fault).then(|| Kind::Fault(changed));
    change_kind(Grip::default(), feature, kind, commands);
    if fault.what.as_deref() == Some("break") {
        ui.label(RichText::new(words::BREAK_OF_ONE).small().weak());
    }
    if fault.is_active()
        && ui.button("Mended today").on_hover_text("It no longer weakens the fence; it stays on the map as mended").clicked()
    {
        let mended = Some(today().to_string());
        set_kind(feature, Kind::Fault(Fault { mended, ..fault.clone() }), commands);
    }
    cautions(ui, Place::FenceCard);
}
