//! The card of the energizer and of the earth rods: what they are, to be shown with the cautions beside them.

use super::change_kind;
use crate::card::{fact, facts};
use crate::command::Command;
use crate::fields::{Figure, Grip, Unit, choice, figure, length, number, row, rows};
use crate::session::Session;
use crate::theme;
use crate::words;
use egui::{RichText, Ui};
use hillwire_core::bounds::RODS;
use hillwire_core::catalogue::Figures;
use hillwire_core::plan::{EARTH_ROD_DIAMETER, EARTH_ROD_LENGTH, EARTH_ROD_SPACING, EARTH_RODS, Energizer, Feature, Kind};
use hillwire_core::units::Length;
use std::ops::RangeInclusive;

/// The class that stands for "none of them".
const NO_CLASS: (&str, &str) = ("", "none: as printed on it");
/// Figures that can be printed on a unit: joules, kilovolts.
const JOULES: RangeInclusive<f64> = 0.01..=100.0;
const KILOVOLTS: RangeInclusive<f64> = 0.1..=20.0;

/// The energizer: a class, or what is printed on the unit.
pub fn choices(ui: &mut Ui, session: &Session, feature: &Feature, energizer: &Energizer, commands: &mut Vec<Command>) {
    // Every unit has fields of its own: what is typed into one is not shown in another.
    ui.push_id(feature.id.as_str(), |ui| {
        let mut changed = energizer.clone();
        class(ui, session, &mut changed);
        printed(ui, session, &mut changed);
        let kind = (changed != *energizer).then(|| Kind::Energizer(changed));
        change_kind(Grip::default(), feature, kind, commands);
    });
    let says = match energizer.figures(session.catalogue()) {
        Some(figures) => format!("Worked out with {}.", words::figures(&figures)),
        None => "Choose a class, or type the stored energy and both voltages from the plate of your unit. Until then nothing is \
                 known about its pulse."
            .to_owned(),
    };
    ui.label(RichText::new(says).color(theme::inks(ui).faint_ink));
}

fn class(ui: &mut Ui, session: &Session, energizer: &mut Energizer) {
    let width = (ui.available_width() - 70.0).clamp(120.0, 240.0);
    rows(ui, "energizer-class", |ui| {
        let classes = session.catalogue().energizers.iter().map(|row| (row.id.as_str(), row.label.as_str()));
        let now = energizer.model.clone().unwrap_or_default();
        row(ui, "class", "About how strong it is, where nothing is printed on it or none is bought yet", |ui| {
            if let Some(class) = choice(ui, "class of the energizer", width, &now, [NO_CLASS].into_iter().chain(classes)) {
                energizer.model = Some(class).filter(|class| !class.is_empty());
            }
        });
    });
}

fn printed(ui: &mut Ui, session: &Session, energizer: &mut Energizer) {
    ui.add_space(4.0);
    ui.label("Printed on the unit");
    let class = energizer.model.as_deref().and_then(|id| session.catalogue().energizer(id)).map(|row| row.figures);
    let of_class = |figure: fn(&Figures) -> Option<f64>| class.as_ref().and_then(figure).map(words::count).unwrap_or_default();
    let hints = [
        of_class(|class| Some(class.stored_j)),
        of_class(|class| class.output_j),
        of_class(|class| Some(class.open_kv)),
        of_class(|class| Some(class.at_500_ohm_kv)),
    ];
    rows(ui, "energizer-printed", |ui| {
        let fields = [
            ("stored energy", "J", JOULES, "What it stores for each pulse", &mut energizer.stored_j),
            (
                "energy out",
                "J",
                JOULES,
                "What comes out of it into 500 ohm, or the output as it is printed",
                &mut energizer.output_j,
            ),
            ("voltage open", "kV", KILOVOLTS, "Its peak with nothing connected", &mut energizer.open_kv),
            ("voltage at 500 Ω", "kV", KILOVOLTS, "Its peak with 500 ohm connected", &mut energizer.at_500_ohm_kv),
        ];
        for ((what, unit, range, tip, value), hint) in fields.into_iter().zip(&hints) {
            row(ui, what, tip, |ui| {
                if let Some(typed) = figure(ui, what, *value, &Figure { unit, hint, range }) {
                    *value = typed;
                }
            });
        }
    });
}

/// The earth rods: how many, how long, how thick, how far apart.
pub fn earth(ui: &mut Ui, session: &Session, feature: &Feature, commands: &mut Vec<Command>) {
    let Kind::Earth { rods: count, rod_length, rod_diameter, spacing } = &feature.kind else { return };
    let units = session.units();
    let (mut count, mut long, mut thick, mut apart) = (
        count.unwrap_or(EARTH_RODS),
        rod_length.unwrap_or(EARTH_ROD_LENGTH),
        rod_diameter.unwrap_or(EARTH_ROD_DIAMETER),
        spacing.unwrap_or(EARTH_ROD_SPACING),
    );
    let before = (count, long, thick, apart);
    let mut grip = Grip::default();
    rows(ui, "earth", |ui| {
        row(ui, "rods", "How many rods stand in the ground and are joined to one earth", |ui| {
            let typed = number(ui, &mut grip, "rods", Unit::pieces(), f64::from(count), 1.0..=f64::from(RODS));
            count = typed.map_or(count, |typed| typed.round() as u32);
        });
        let mut size = |what: &str, tip: &str, value: &mut Length, unit: Unit, range: RangeInclusive<f64>| {
            row(ui, what, tip, |ui| *value = length(ui, &mut grip, what, unit, *value, range).unwrap_or(*value));
        };
        size("length of a rod", "How deep each rod stands in the ground", &mut long, Unit::height(units), 0.2..=10.0);
        size("thickness of a rod", "Its diameter; it matters little", &mut thick, Unit::thickness(units), 0.004..=0.1);
        size(
            "rods apart",
            "Rods closer than their length share the same ground and help each other little",
            &mut apart,
            Unit::length(units),
            0.1..=30.0,
        );
    });
    facts(ui, "earth-facts", |ui| fact(ui, "in the ground", &words::length(long * f64::from(count), units)));
    let kind = ((count, long, thick, apart) != before).then_some(Kind::Earth {
        rods: Some(count),
        rod_length: Some(long),
        rod_diameter: Some(thick),
        spacing: Some(apart),
    });
    change_kind(grip, feature, kind, commands);
}
