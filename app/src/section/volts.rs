//! Voltage along the line on the stage Power: a curve for each state of the ground over a quiet picture of it, what the stock minds, and
//! what was read.

use super::chart::{Chart, nice_step};
use crate::power_view::need_v;
use crate::session::{Session, Stage};
use crate::theme::Inks;
use crate::words;
use egui::{Align2, Color32, FontId, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};
use hillwire_core::catalogue::GroundState;
use hillwire_core::outcome::LineOutcome;
use hillwire_core::power::STATES;
use hillwire_core::units::Length;

/// Where the pane is narrower, in points (with large text), readings do without their day.
const ROOM_FOR_DAYS: f32 = 420.0;

/// Kilovolts as heights in the pane.
#[derive(Clone, Copy)]
struct Scale {
    top: f32,
    bottom: f32,
    most_kv: f64,
}

impl Scale {
    fn y(&self, kv: f64) -> f32 {
        self.bottom - (kv / self.most_kv) as f32 * (self.bottom - self.top)
    }
}

/// Paints the curves; whether it did.
pub fn paint(painter: &Painter, chart: &Chart, line: &LineOutcome, session: &Session, inks: &Inks) -> bool {
    if session.stage != Stage::Power || session.outcome.power.states.is_empty() {
        return false;
    }
    let (top, bottom) = chart.curves();
    let scale = Scale { top, bottom, most_kv: most_kv(line, session) };
    suspected(painter, chart, scale, (line, session), inks);
    axis(painter, chart, scale, inks);
    let shown = session.power_view.state;
    for state in STATES.into_iter().filter(|state| *state != shown).chain([shown]) {
        curve(painter, chart, scale, (line, session), state, inks);
    }
    let taken = readings(painter, chart, scale, (line, session), inks);
    need(painter, chart, scale, (line, session), &taken, inks);
    key(painter, chart, session, inks);
    if let Some(pointed) = session.power_view.pulse_at.as_ref().filter(|pointed| pointed.line == line.id) {
        let x = chart.x(pointed.station_m);
        painter.line_segment([pos2(x, top), pos2(x, bottom)], Stroke::new(1.6, inks.ink));
    }
    true
}

/// The highest value that has to find room, rounded up.
fn most_kv(line: &LineOutcome, session: &Session) -> f64 {
    let states = session.outcome.power.states.iter();
    let places = states.flat_map(|state| session.places_of(&line.id, state));
    let kilovolts = places.map(|(_, station, arrived)| {
        let volts = arrived.and_then(|arrived| session.power_view.measured.of(&arrived)).unwrap_or(0.0);
        volts.max(if station.is_fence { need_v(station) } else { 0.0 }) / 1e3
    });
    let read = session.readings_on(line).map(|(_, kv, _)| kv.abs());
    (kilovolts.chain(read).fold(1.0, f64::max) * 1.08).ceil()
}

/// How the curve of a state is drawn: its ink, and dashes that say the same.
fn look(inks: &Inks, state: GroundState) -> (Color32, Option<(f32, f32)>) {
    match state {
        GroundState::Dry => (inks.look_at, Some((3.0, 3.0))),
        GroundState::Damp => (inks.good, Some((8.0, 3.0))),
        GroundState::Wet => (inks.note, None),
        GroundState::Frozen => (inks.boundary, Some((2.5, 6.0))),
    }
}

fn stroke(painter: &Painter, points: Vec<Pos2>, width: f32, (ink, dashes): (Color32, Option<(f32, f32)>)) {
    let stroke = Stroke::new(width, ink);
    match dashes {
        Some((dash, gap)) => painter.extend(Shape::dashed_line(&points, stroke, dash, gap)),
        None => {
            painter.add(Shape::line(points, stroke));
        }
    }
}

fn curve(
    painter: &Painter,
    chart: &Chart,
    scale: Scale,
    (line, session): (&LineOutcome, &Session),
    state: GroundState,
    inks: &Inks,
) {
    let Some(arrived) = session.outcome.power.state(state) else { return };
    let width = if state == session.power_view.state { 3.0 } else { 1.8 };
    let mut points: Vec<Pos2> = Vec::new();
    for (_, station, arrived) in session.places_of(&line.id, arrived) {
        match arrived.and_then(|arrived| session.power_view.measured.of(&arrived)) {
            Some(volts) => points.push(pos2(chart.x(station.station.as_metres()), scale.y(volts / 1e3))),
            // What is not fed breaks the curve.
            None => stroke(painter, std::mem::take(&mut points), width, look(inks, state)),
        }
    }
    stroke(painter, points, width, look(inks, state));
}

/// What the stock behind the line minds: below it a pulse is not minded. Its words keep clear of what is `taken`.
fn need(painter: &Painter, chart: &Chart, scale: Scale, (line, session): (&LineOutcome, &Session), taken: &[Rect], inks: &Inks) {
    let Some(stations) = session.power_stations.get(&line.id).cloned() else { return };
    let Some(station) = session.outcome.power.wiring.stations.get(stations.start).filter(|station| station.is_fence) else {
        return;
    };
    let (from_m, to_m) = chart.shown_m();
    let y = scale.y(need_v(station) / 1e3);
    let ends = [pos2(chart.x(from_m), y), pos2(chart.x(to_m), y)];
    painter.extend(Shape::dashed_line(&ends, Stroke::new(1.2, inks.must_fix), 3.0, 4.0));
    let whose = if station.bitten().is_some() { "the stock minds" } else { "stock usually minds" };
    let text = format!("{whose} from {}", words::voltage(need_v(station)));
    let galley = painter.layout_no_wrap(text, FontId::proportional(11.0), inks.must_fix);
    let room = (chart.rect.right() - 40.0 - galley.size().x - ends[0].x).max(4.0);
    let place = |share: f32| Rect::from_min_size(ends[0] + vec2((share * room).max(4.0), 2.0), galley.size());
    let is_free = |rect: &Rect| !taken.iter().any(|other| other.intersects(*rect));
    let rect = [0.0, 0.25, 0.5, 0.75, 1.0].map(place).into_iter().find(is_free).unwrap_or_else(|| place(0.0));
    painter.rect_filled(rect.expand2(vec2(2.0, 0.0)), 2.0, inks.halo);
    painter.galley(rect.min, galley, inks.must_fix);
}

/// The stretch that most probably holds the fault.
fn suspected(painter: &Painter, chart: &Chart, scale: Scale, (line, session): (&LineOutcome, &Session), inks: &Inks) {
    let Some(suspect) = session.suspected().filter(|suspect| suspect.line == line.id) else { return };
    let (from, to) = (chart.x(suspect.from.as_metres()), chart.x(suspect.to.as_metres()));
    let rect = Rect::from_min_max(pos2(from, scale.top), pos2(to.max(from + 4.0), scale.bottom));
    painter.rect_filled(rect, 0.0, inks.boundary.gamma_multiply(0.35));
}

fn axis(painter: &Painter, chart: &Chart, scale: Scale, inks: &Inks) {
    let step = nice_step(scale.most_kv / f64::from((scale.bottom - scale.top) / 24.0).max(1.0));
    let right = chart.rect.right() - 6.0;
    let font = FontId::proportional(11.0);
    let mut kv = 0.0;
    while kv <= scale.most_kv + 1e-9 {
        let y = scale.y(kv);
        let text = if kv + step > scale.most_kv + 1e-9 { format!("{} kV", words::count(kv)) } else { words::count(kv) };
        painter.text(pos2(right, y), Align2::RIGHT_CENTER, text, font.clone(), inks.ink);
        kv += step;
    }
}

/// What was read, with its day; where that is written.
fn readings(painter: &Painter, chart: &Chart, scale: Scale, (line, session): (&LineOutcome, &Session), inks: &Inks) -> Vec<Rect> {
    let shown = chart.shown_m();
    let mut taken = Vec::new();
    for (station, kv, feature) in session.readings_on(line) {
        if !(shown.0..=shown.1).contains(&station.as_metres()) {
            continue;
        }
        let at = pos2(chart.x(station.as_metres()), scale.y(kv));
        painter.circle(at, 4.5, inks.chosen, Stroke::new(1.6, inks.ink));
        let day = match &feature.kind {
            hillwire_core::plan::Kind::Reading(reading) => reading.at_time.as_deref().unwrap_or(""),
            _ => "",
        };
        let mut text = words::voltage(kv * 1e3);
        if chart.rect.width() > ROOM_FOR_DAYS {
            text.push_str(&format!(" read {}", day.get(..10).unwrap_or(day)));
        }
        let galley = painter.layout_no_wrap(text, FontId::proportional(11.0), inks.ink);
        let right = at.x + galley.size().x + 10.0 < chart.rect.right() - 40.0;
        let min = at + vec2(if right { 7.0 } else { -7.0 - galley.size().x }, -15.0);
        let rect = Rect::from_min_size(min, galley.size()).expand(2.0);
        painter.rect_filled(rect, 2.0, inks.halo);
        painter.galley(min, galley, inks.ink);
        taken.push(rect);
    }
    taken
}

/// Which curve is which.
fn key(painter: &Painter, chart: &Chart, session: &Session, inks: &Inks) {
    let mut at = pos2(chart.x(chart.shown_m().0) + 4.0, chart.rect.top() + 10.0);
    for state in STATES {
        let width = if state == session.power_view.state { 3.0 } else { 1.8 };
        stroke(painter, vec![at, at + vec2(24.0, 0.0)], width, look(inks, state));
        let text = words::ground_state(state);
        let drawn = painter.text(at + vec2(29.0, 0.0), Align2::LEFT_CENTER, text, FontId::proportional(11.0), inks.ink);
        at.x = drawn.right() + 16.0;
        if at.x + 60.0 > chart.rect.right() {
            at = pos2(chart.x(chart.shown_m().0) + 4.0, at.y + 14.0);
        }
    }
}

/// What arrives near a station, in words for the pointer.
pub fn reading(line: &LineOutcome, station_m: f64, session: &Session) -> Option<String> {
    if session.stage != Stage::Power {
        return None;
    }
    let index = session.station_near(&line.id, station_m)?;
    let station = session.outcome.power.wiring.stations.get(index)?;
    let place = words::length(Length::metres(station.station.as_metres()), session.units());
    let Some(arrived) = session.power_shown()?.stations.get(index).copied().flatten() else {
        return Some(format!("at {place}: no pulse gets here"));
    };
    let state = words::ground_state(session.power_view.state);
    let mut text = format!(
        "{state}, at {place}: a meter reads {}\nover 500\u{a0}Ω {} and {}",
        words::voltage(arrived.open_v),
        words::voltage(arrived.loaded_v),
        words::energy(arrived.loaded_j)
    );
    if let Some(animal_v) = arrived.animal_v {
        text.push_str(&format!("\nthe animal gets {}", words::voltage(animal_v)));
    }
    Some(text)
}
