//! The card of a zone: what the ground is there, and how deep its rock or which its soil.

use super::change_kind;
use crate::command::Command;
use crate::fields::{Grip, Unit, choice, number, row, rows};
use crate::map::filling::{LookClass, ZONE_FILLINGS};
use crate::session::Session;
use crate::words;
use egui::{Sense, Ui, vec2};
use hillwire_core::plan::{Feature, Kind, Zone, ring_area};
use serde_json::Value;

/// The sorts of ground a zone can be.
pub const SORTS: [&str; 6] = ["rock", "wet", "wood", "soil", "crop", "keep_out"];
/// How deep rock may lie, metres.
const DEPTHS_M: (f64, f64) = (0.0, 3.0);
/// What rock is taken for first when a zone is said to be of rock, metres.
const FIRST_DEPTH_M: f64 = 0.3;

/// What the card offers.
pub fn choices(ui: &mut Ui, session: &Session, feature: &Feature, zone: &Zone, commands: &mut Vec<Command>) {
    let mut grip = Grip::default();
    let mut changed = None;
    rows(ui, "zone", |ui| {
        let sorts = SORTS.into_iter().map(|sort| (sort, words::zone(sort)));
        row(ui, "the ground is", "What it is here, in place of what holds for the rest of the plan", |ui| {
            if let Some(of) = choice(ui, "the ground is", 170.0, &zone.of, sorts) {
                let value = first_value(&of, session);
                changed = Some(Zone { of, value });
            }
        });
        if zone.of == "rock" {
            let depth_m = zone.value.as_ref().and_then(Value::as_f64).unwrap_or(0.0);
            let tip =
                "From the surface to where a bar meets rock; 0 is bare rock. It decides posts, drilling, earth rods and corners";
            row(ui, "depth of the rock", tip, |ui| {
                let unit = Unit::height(session.units());
                let typed = number(ui, &mut grip, "depth of the rock", unit, depth_m, DEPTHS_M.0..=DEPTHS_M.1);
                changed = typed.map(|depth_m| Zone { value: Some(depth_m.into()), ..zone.clone() });
            });
        }
        if zone.of == "soil" {
            let soils = session.catalogue().soils.iter().map(|row| (row.id.as_str(), row.label.as_str()));
            let now = zone.value.as_ref().and_then(Value::as_str).unwrap_or("");
            row(ui, "soil", "What holds the posts here", |ui| {
                if let Some(id) = choice(ui, "soil", 170.0, now, soils) {
                    changed = Some(Zone { value: Some(id.into()), ..zone.clone() });
                }
            });
        }
    });
    ui.label(words::zone_means(&zone.of));
    change_kind(grip, feature, changed.map(Kind::Zone), commands);
}

fn first_value(of: &str, session: &Session) -> Option<Value> {
    match of {
        "rock" => Some(FIRST_DEPTH_M.into()),
        "soil" => Some(session.plan().head.ground.soil.as_str().into()),
        _ => None,
    }
}

/// The sorts of zones that are drawn, with the ground that they cover.
pub fn key(ui: &mut Ui, session: &Session) {
    let mut any = false;
    for (sort, colour, filling) in ZONE_FILLINGS {
        let is_of = |kind: &Kind| matches!(kind, Kind::Zone(zone) if zone.of == sort);
        let shapes: Vec<_> = session.shapes.all().filter(|shape| is_of(&shape.feature.kind)).collect();
        if shapes.is_empty() {
            continue;
        }
        any = true;
        let of_rings = |rings: &[Vec<_>]| rings.iter().skip(1).fold(ring_area(&rings[0]), |area, hole| area - ring_area(hole));
        let area = shapes.iter().filter(|shape| !shape.rings.is_empty()).map(|shape| of_rings(&shape.rings)).sum();
        ui.horizontal(|ui| {
            let (rect, _) = ui.allocate_exact_size(vec2(26.0, 14.0), Sense::hover());
            LookClass { text: "", colour, filling }.swatch(ui.painter(), rect);
            ui.label(format!("{} · {}", words::zone(sort), words::area(area, session.units())));
        });
    }
    if !any {
        ui.label("No zone is drawn yet. “More…” above the map has them; a probed rock is one as well.");
    }
}
