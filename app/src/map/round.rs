//! The way round on the map: legs with the way they go, and numbered stops.

use super::draw::Canvas;
use crate::round_view::PartOfRound;
use crate::session::{Session, Stage};
use crate::theme::bold;
use egui::{Align2, Pos2, Shape, Stroke, Vec2, vec2};
use hillwire_core::round::{Leg, Round};

/// The way is drawn so far to its right, points: there and back stand apart, and the fence is seen beside it.
const BESIDE: f32 = 5.0;
/// A mark of the way it goes every so many points.
const MARK_EVERY: f32 = 90.0;
/// Nearer stops than this are drawn without their numbers, points.
const APART: f32 = 15.0;

/// Draws the round, while its stage is open.
pub fn draw(canvas: &Canvas<'_>, session: &Session) {
    let Some(round) = session.round_view.round().filter(|_| session.stage == Stage::Round) else { return };
    for (index, leg) in round.legs.iter().enumerate() {
        let chosen = session.round_view.chosen == Some(PartOfRound::Leg(index));
        draw_leg(canvas, leg, chosen);
    }
    yard(canvas, round);
    stops(canvas, session, round);
}

fn draw_leg(canvas: &Canvas<'_>, leg: &Leg, chosen: bool) {
    let points = beside(&leg.path.iter().map(|at| canvas.at(*at)).collect::<Vec<_>>());
    if points.len() < 2 {
        return;
    }
    let ink = if chosen { canvas.inks.chosen } else { canvas.inks.ink };
    let width = if chosen { 3.6 } else { 2.0 };
    if leg.how.is_ridden() {
        canvas.line(points.clone(), width, ink);
    } else {
        canvas.dashes(&points, Stroke::new(width, ink), 6.0, 4.0);
    }
    for (at, way) in marks(&points) {
        let side = vec2(-way.y, way.x);
        let corners = vec![at + way * 6.0, at - way * 4.0 + side * 4.5, at - way * 4.0 - side * 4.5];
        canvas.painter.add(Shape::convex_polygon(corners, ink, Stroke::new(1.0, canvas.inks.halo)));
    }
}

/// The same way a little to its right; points closer than the pen is wide are left out.
fn beside(points: &[Pos2]) -> Vec<Pos2> {
    let mut thinned: Vec<Pos2> = Vec::with_capacity(points.len());
    for at in points {
        if thinned.last().is_none_or(|last| last.distance(*at) > 1.5) {
            thinned.push(*at);
        }
    }
    let way = |from: usize, to: usize| (thinned[to] - thinned[from]).normalized();
    let last = thinned.len().saturating_sub(1);
    let to_right = |index: usize| {
        let mean = if index == 0 {
            way(0, 1)
        } else if index == last {
            way(last - 1, last)
        } else {
            (way(index - 1, index) + way(index, index + 1)).normalized()
        };
        // Downwards on the screen is y: right of the way.
        thinned[index] + vec2(-mean.y, mean.x) * BESIDE
    };
    if last == 0 { Vec::new() } else { (0..=last).map(to_right).collect() }
}

/// Places along the way, and which way it goes there.
fn marks(points: &[Pos2]) -> Vec<(Pos2, Vec2)> {
    let mut all = Vec::new();
    let mut left = MARK_EVERY / 2.0;
    for pair in points.windows(2) {
        let (step, length) = (pair[1] - pair[0], pair[0].distance(pair[1]));
        let mut at = left;
        while at < length {
            all.push((pair[0] + step * (at / length), step / length));
            at += MARK_EVERY;
        }
        left = at - length;
    }
    all
}

fn yard(canvas: &Canvas<'_>, round: &Round) {
    let at = canvas.at(round.yard.at);
    canvas.painter.circle(at, 6.0, canvas.inks.halo, Stroke::new(2.4, canvas.inks.ink));
    // Names stand on the right of what is drawn, and earth rods often on the left of an energizer.
    canvas.text(at - vec2(0.0, 9.0), Align2::CENTER_BOTTOM, "from here", bold(11.0), canvas.inks.ink);
}

fn stops(canvas: &Canvas<'_>, session: &Session, round: &Round) {
    let mut drawn: Vec<Pos2> = Vec::new();
    let chosen = |index: usize| session.round_view.chosen == Some(PartOfRound::Stop(index));
    // What is pointed at keeps its number whatever stands beside it.
    let mut order: Vec<usize> = (0..round.stops.len()).collect();
    order.sort_by_key(|index| !chosen(*index));
    for index in order {
        let at = canvas.at(round.stops[index].at);
        if !canvas.pane.expand(12.0).contains(at) {
            continue;
        }
        if drawn.iter().any(|other| other.distance(at) < APART) {
            canvas.painter.circle_filled(at, 3.0, canvas.inks.ink);
            continue;
        }
        drawn.push(at);
        let (fill, ink) =
            if chosen(index) { (canvas.inks.chosen, canvas.inks.halo) } else { (canvas.inks.halo, canvas.inks.ink) };
        canvas.painter.circle(at, 8.5, fill, Stroke::new(1.6, canvas.inks.ink));
        canvas.painter.text(at, Align2::CENTER_CENTER, (index + 1).to_string(), bold(10.5), ink);
    }
}
