//! Lines drawn by what arrives of the pulse, and the place where least of it does.

use super::draw::Canvas;
use super::signs::sign;
use crate::power_view::{Bite, bite, need_v};
use crate::session::{Session, Stage};
use crate::theme::{Inks, bold};
use crate::words;
use egui::{Align2, Color32, Pos2, Stroke, vec2};
use hillwire_core::outcome::LineOutcome;

/// How a bite is drawn: its ink, and a width that says the same to those who do not see the ink.
pub fn stroke_of(inks: &Inks, bite: Bite) -> (f32, Color32) {
    match bite {
        Bite::Less => (6.0, inks.must_fix),
        Bite::Just => (4.2, inks.look_at),
        Bite::Well => (2.6, inks.good),
    }
}

/// How a line is drawn that no pulse gets to: dashes, and how long they and their gaps are.
pub fn not_fed(inks: &Inks) -> (Stroke, f32, f32) {
    (Stroke::new(2.4, inks.faint_ink), 5.0, 5.0)
}

/// Draws a line from station to station; whether it was drawn so.
pub fn draw(canvas: &Canvas<'_>, session: &Session, line: &LineOutcome) -> bool {
    let Some(state) = session.power_shown().filter(|_| session.stage == Stage::Power) else { return false };
    let places: Vec<_> = session.places_of(&line.id, state).collect();
    if places.len() < 2 {
        return false;
    }
    for pair in places.windows(2) {
        let points = between(canvas, line, [pair[0].1.station.as_metres(), pair[1].1.station.as_metres()]);
        let worth = |(_, station, arrived): &crate::power_view::Place<'_>| {
            // Nothing is asked of a lead-out: no animal shall touch it.
            let volts = session.power_view.measured.of((*arrived).as_ref()?).filter(|_| station.is_fence)?;
            Some(bite(volts, need_v(station)))
        };
        let fed = pair.iter().all(|(_, _, arrived)| arrived.is_some());
        match worth(&pair[0]).zip(worth(&pair[1])) {
            Some((from, to)) => {
                let (width, ink) = stroke_of(&canvas.inks, from.min(to));
                canvas.line(points, width, ink);
            }
            None if fed => canvas.line(points, 2.0, canvas.inks.lead_out),
            None => {
                let (stroke, dash, gap) = not_fed(&canvas.inks);
                canvas.dashes(&points, stroke, dash, gap);
            }
        }
    }
    true
}

/// The line on the screen between two of its stations, with the corners between them.
pub(super) fn between(canvas: &Canvas<'_>, line: &LineOutcome, [from_m, to_m]: [f64; 2]) -> Vec<Pos2> {
    let end = |station_m| crate::section::at_station(line, station_m).map(|at| canvas.at(at));
    let samples = &line.section.samples;
    let corners = &line.section.corners;
    let station_m = |index: &usize| samples.get(*index).map_or(f64::INFINITY, |sample| sample.station_m);
    let first = corners.partition_point(|index| station_m(index) <= from_m);
    let inside = corners[first..].iter().take_while(|index| station_m(index) < to_m).map(|index| canvas.at(samples[*index].at));
    end(from_m).into_iter().chain(inside).chain(end(to_m)).collect()
}

/// The stretch that most probably holds the fault, as a broad band under the strands.
pub fn suspected(canvas: &Canvas<'_>, session: &Session) {
    let Some(suspect) = session.suspected().filter(|_| session.stage == Stage::Power) else { return };
    let Some(line) = session.line_outcome(&suspect.line) else { return };
    let mut points = between(canvas, line, [suspect.from.as_metres(), suspect.to.as_metres()]);
    if let (1 | 2, Some(&at)) = (points.len(), points.first())
        && points.iter().all(|point| point.distance(at) < 12.0)
    {
        // A single place is shown as large as a finger.
        points = vec![at - vec2(6.0, 0.0), at + vec2(6.0, 0.0)];
    }
    canvas.painter.add(egui::Shape::line(points, Stroke::new(16.0, canvas.inks.boundary.gamma_multiply(0.55))));
}

/// Marks where least arrives, and the place whose pulse is drawn.
pub fn marks(canvas: &Canvas<'_>, session: &Session) {
    if session.stage != Stage::Power {
        return;
    }
    let state = session.power_view.state;
    if let Some(pointed) = &session.power_view.pulse_at
        && let Some(line) = session.line_outcome(&pointed.line)
        && let Some(at) = crate::section::at_station(line, pointed.station_m)
    {
        canvas.painter.circle(canvas.at(at), 6.0, canvas.inks.paper, Stroke::new(2.4, canvas.inks.ink));
    }
    if let Some(suspect) = session.suspected()
        && let Some(line) = session.line_outcome(&suspect.line)
        && let Some(at) = crate::section::at_station(line, suspect.likeliest.as_metres())
    {
        let text = format!("fault? {}", words::share(suspect.probability));
        canvas.text(canvas.at(at) - vec2(0.0, 26.0), Align2::CENTER_BOTTOM, &text, bold(12.0), canvas.inks.ink);
    }
    if let Some(far) = session.outcome.power.far_end(state) {
        let at = canvas.at(far.station.at);
        sign("far_end").paint(canvas.painter, at, 8.0, canvas.sign_inks(canvas.inks.ink));
        let text = format!("far end {}", words::voltage(far.arrived.open_v));
        canvas.text(at + vec2(0.0, 14.0), Align2::CENTER_TOP, &text, bold(12.0), canvas.inks.ink);
    }
}
