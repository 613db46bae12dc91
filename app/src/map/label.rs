//! What the map says in words: the label at the pointer, the scale bar, north, and the height under the pointer.

use super::draw::Canvas;
use super::pointer::Reached;
use crate::session::Session;
use crate::tools::draw::{Draft, bearing_deg};
use crate::words;
use egui::{Align2, FontId, Pos2, Stroke, pos2, vec2};
use hillwire_core::land::MapPoint;
use hillwire_core::plan::UnitSystem;
use hillwire_core::units::{FOOT_M, Length};

/// The label beside the pointer: the leg under the pen, or what has caught.
pub fn at_pointer(canvas: &Canvas<'_>, session: &Session, reached: &Reached) {
    let mut lines = session.draft.as_ref().map_or_else(Vec::new, |draft| leg_lines(session, draft, reached.at));
    if let Some(caught) = reached.caught {
        let at = canvas.at(reached.at);
        canvas.painter.circle_stroke(at, 7.0, Stroke::new(2.0, canvas.inks.chosen));
        lines.push(caught.word().to_owned());
    }
    if lines.is_empty() {
        return;
    }
    let font = FontId::proportional(13.0);
    let text = lines.join("\n");
    let galley = canvas.painter.layout_no_wrap(text, font, canvas.inks.ink);
    let mut at = reached.at_screen + vec2(18.0, 14.0);
    if at.x + galley.size().x + 10.0 > canvas.pane.right() {
        at.x = reached.at_screen.x - galley.size().x - 22.0;
    }
    if at.y + galley.size().y + 8.0 > canvas.pane.bottom() {
        at.y = reached.at_screen.y - galley.size().y - 18.0;
    }
    let rect = egui::Rect::from_min_size(at, galley.size()).expand2(vec2(7.0, 4.0));
    canvas.painter.rect(rect, 4.0, canvas.inks.paper, Stroke::new(1.0, canvas.inks.faint_ink), egui::StrokeKind::Outside);
    canvas.painter.galley(at, galley, canvas.inks.ink);
}

fn leg_lines(session: &Session, draft: &Draft, to: MapPoint) -> Vec<String> {
    let Some(&from) = draft.corners.last() else {
        return vec!["click the first corner".to_owned()];
    };
    if !draft.typed.is_empty() {
        let unit = if session.units() == UnitSystem::Us { "ft" } else { "m" };
        let typed = match draft.typed.split_once(' ') {
            Some((length, bearing)) => format!("{length} {unit}, {bearing}°"),
            None => format!("{} {unit}", draft.typed),
        };
        return vec![format!("{typed}, then Enter"), "12 75: length and bearing".to_owned()];
    }
    let plan = Length::metres(from.distance_m(to));
    if plan.as_metres() < 0.05 {
        return vec![format!("{} corners", draft.corners.len())];
    }
    let on_ground = session.on_ground(&[from, to]);
    let leg = on_ground.unwrap_or(plan);
    let mut lines = vec![format!("{}   {}°", words::length(leg, session.units()), bearing_deg(from, to).round())];
    if let Some(slope) = slope_pct(session, from, to) {
        let word = if slope > 0.5 {
            " up"
        } else if slope < -0.5 {
            " down"
        } else {
            " level"
        };
        lines.push(format!("{}{word}", words::percent(slope.abs())));
    }
    if draft.corners.len() > 1 {
        let mut all = draft.corners.clone();
        all.push(to);
        let total =
            session.on_ground(&all).unwrap_or_else(|| Length::metres(all.windows(2).map(|leg| leg[0].distance_m(leg[1])).sum()));
        lines.push(format!("{} in all", words::length(total, session.units())));
    }
    if on_ground.is_none() {
        lines.push("no ground here: flat length".to_owned());
    }
    lines
}

fn slope_pct(session: &Session, from: MapPoint, to: MapPoint) -> Option<f64> {
    let ground = session.land.ground.as_ref()?;
    let rise = ground.elevation(to)? - ground.elevation(from)?;
    Some(100.0 * rise.as_metres() / from.distance_m(to))
}

/// Scale bar, north, and the height and slope under the pointer.
pub fn furniture(canvas: &Canvas<'_>, session: &Session, at: Option<MapPoint>) {
    scale_bar(canvas, session.units());
    north(canvas);
    let under = at.and_then(|at| under_pointer(session, at));
    if let Some(text) = under {
        let at = canvas.pane.right_bottom() + vec2(-12.0, -12.0);
        canvas.text(at, Align2::RIGHT_BOTTOM, &text, FontId::proportional(12.0), canvas.inks.ink);
    }
}

fn under_pointer(session: &Session, at: MapPoint) -> Option<String> {
    let ground = session.land.ground.as_ref()?;
    let height = ground.elevation(at)?;
    let height = words::length(Length::metres(height.as_metres()), session.units());
    let slope =
        ground.gradient(at).map_or_else(String::new, |gradient| format!(" · slope {}", words::percent(gradient.slope_pct())));
    Some(format!("height {height}{slope}"))
}

fn scale_bar(canvas: &Canvas<'_>, units: UnitSystem) {
    let unit_m = if units == UnitSystem::Us { FOOT_M } else { 1.0 };
    let room_m = 130.0 * canvas.view.metres_per_point / unit_m;
    let power = 10.0_f64.powf(room_m.log10().floor());
    let nice = [5.0, 2.0, 1.0].into_iter().map(|step| step * power).find(|length| *length <= room_m).unwrap_or(power);
    let width = canvas.view.points(nice * unit_m);
    let left = canvas.pane.left_bottom() + vec2(14.0, -16.0);
    let right = left + vec2(width, 0.0);
    let tick = vec2(0.0, 6.0);
    let bar = |width: f32, ink| {
        for (a, b) in [(left, right), (left - tick, left), (right - tick, right)] {
            canvas.painter.line_segment([a, b], Stroke::new(width, ink));
        }
    };
    bar(4.4, canvas.inks.halo);
    bar(1.8, canvas.inks.ink);
    let text = words::set_length(Length::metres(nice * unit_m), units);
    canvas.text(
        pos2(left.x + width / 2.0, left.y - 7.0),
        Align2::CENTER_BOTTOM,
        &text,
        FontId::proportional(12.0),
        canvas.inks.ink,
    );
}

/// Map north is up: the frame's convergence over a holding is far below what a compass shows.
fn north(canvas: &Canvas<'_>) {
    let tip: Pos2 = canvas.pane.right_top() + vec2(-24.0, 18.0);
    let (left, right, foot) = (tip + vec2(-7.0, 24.0), tip + vec2(7.0, 24.0), tip + vec2(0.0, 18.0));
    canvas.painter.add(super::area::filled(&[tip, right, foot, left], canvas.inks.halo));
    canvas.painter.add(super::area::filled(&[tip, foot, left], canvas.inks.ink));
    canvas.painter.add(egui::Shape::closed_line(vec![tip, right, foot, left], Stroke::new(1.0, canvas.inks.ink)));
    canvas.text(tip + vec2(0.0, 27.0), Align2::CENTER_TOP, "N", crate::theme::bold(12.0), canvas.inks.ink);
}

/// The place on the map that the pointer is at in the long section.
pub fn section_pointer(canvas: &Canvas<'_>, session: &Session) {
    let Some(pointed) = &session.pointed_in_section else { return };
    let Some(line) = session.line_outcome(&pointed.line) else { return };
    if let Some(at) = crate::section::at_station(line, pointed.station_m) {
        canvas.painter.circle(canvas.at(at), 6.5, canvas.inks.chosen, Stroke::new(2.0, canvas.inks.ink));
    }
}
