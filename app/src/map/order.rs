//! The places that make one count of the order.

use super::draw::Canvas;
use crate::session::{Session, Stage};
use egui::{Align2, FontId, Stroke, vec2};
use hillwire_core::order::TakenAt;
use std::collections::BTreeMap;

/// Marks where the opened item goes: stretches as a broad band, single places as rings, as many as go there beside it.
pub fn draw(canvas: &Canvas<'_>, session: &Session) {
    let Some(item) = session.opened_item().filter(|_| session.stage == Stage::Order) else { return };
    let places = || item.why.iter().flat_map(|share| &share.places);
    places().for_each(|taken| stretch(canvas, session, taken));
    let shown = canvas.pane.expand(12.0);
    // Several counts at one place are one ring.
    let mut rings: BTreeMap<(i32, i32), (egui::Pos2, f64)> = BTreeMap::new();
    for taken in places().filter(|taken| taken.until.is_none()) {
        let Some(at) = session.outcome.map_point_of(session.plan(), taken).map(|at| canvas.at(at)) else { continue };
        if shown.contains(at) {
            let cell = ((at.x / 6.0).round() as i32, (at.y / 6.0).round() as i32);
            rings.entry(cell).or_insert((at, 0.0)).1 += taken.amount;
        }
    }
    let few = rings.len() <= 60;
    for (at, amount) in rings.values() {
        canvas.painter.circle_stroke(*at, 8.0, Stroke::new(4.6, canvas.inks.halo));
        canvas.painter.circle_stroke(*at, 8.0, Stroke::new(2.6, canvas.inks.chosen));
        if few {
            let text = crate::words::item_amount(*amount, item, session.units());
            canvas.text(*at + vec2(11.0, -9.0), Align2::LEFT_CENTER, &text, FontId::proportional(11.0), canvas.inks.ink);
        }
    }
}

fn stretch(canvas: &Canvas<'_>, session: &Session, taken: &TakenAt) {
    let Some(((from, until), line)) = taken.from.zip(taken.until).zip(session.line_outcome(&taken.feature)) else { return };
    let (from_m, until_m) = (from.as_metres(), until.as_metres());
    let passes_start = until_m < from_m;
    let is_in = |station_m: f64| {
        if passes_start { station_m >= from_m || station_m <= until_m } else { (from_m..=until_m).contains(&station_m) }
    };
    let mut points = Vec::new();
    let flush = |points: &mut Vec<egui::Pos2>| {
        if points.len() > 1 {
            canvas.painter.add(egui::Shape::line(points.clone(), Stroke::new(7.0, canvas.inks.chosen.gamma_multiply(0.5))));
        }
        points.clear();
    };
    let last = line.section.samples.len().saturating_sub(1);
    for (index, sample) in line.section.samples.iter().enumerate() {
        if !is_in(sample.station_m) {
            flush(&mut points);
        } else if index % 4 == 0 || index == last || line.section.corners.contains(&index) {
            points.push(canvas.at(sample.at));
        }
    }
    flush(&mut points);
}
