//! Drawing the plan on the ground: areas first, then water and ways, then lines, posts and points.

use super::filling::{LookClass, ZONE_FILLINGS, pattern};
use super::look::LandLook;
use super::signs::{SignInks, sign};
use super::view::View;
use crate::session::{Session, Stage};
use crate::shapes::Shape;
use crate::theme::{Inks, bold};
use egui::{Align2, Color32, FontId, Painter, Pos2, Rect, Stroke, Vec2, vec2};
use hillwire_core::finding::{Finding, Weight};
use hillwire_core::land::MapPoint;
use hillwire_core::outcome::LineOutcome;
use hillwire_core::plan::{Geometry, Kind};
use std::collections::HashSet;
use std::sync::Arc;

/// What drawing needs to know about where it draws.
pub struct Canvas<'a> {
    /// Paints into the pane.
    pub painter: &'a Painter,
    /// The pane.
    pub pane: Rect,
    /// From where the map is looked at.
    pub view: View,
    /// Colours.
    pub inks: Inks,
}

impl Canvas<'_> {
    /// Where a map point stands on the screen.
    pub fn at(&self, at_map: MapPoint) -> Pos2 {
        self.view.at_screen(self.pane, at_map)
    }
    pub(super) fn points(&self, corners: &[MapPoint]) -> Vec<Pos2> {
        corners.iter().map(|&corner| self.at(corner)).collect()
    }
    /// The inks of a sign on the map.
    pub fn sign_inks(&self, ink: Color32) -> SignInks {
        SignInks { ink, paper: self.inks.halo }
    }
    /// A line with a halo, so that it stands off the ground.
    pub fn line(&self, points: Vec<Pos2>, width: f32, ink: Color32) {
        self.painter.add(egui::Shape::line(points.clone(), Stroke::new(width + 2.6, self.inks.halo)));
        self.painter.add(egui::Shape::line(points, Stroke::new(width, ink)));
    }
    /// Dashes with a halo.
    pub fn dashes(&self, points: &[Pos2], stroke: Stroke, dash: f32, gap: f32) {
        self.painter.add(egui::Shape::line(points.to_vec(), Stroke::new(stroke.width + 2.0, self.inks.halo.gamma_multiply(0.7))));
        self.painter.extend(egui::Shape::dashed_line(points, stroke, dash, gap));
    }
    /// Text with a halo.
    pub fn text(&self, at: Pos2, align: Align2, text: &str, font: FontId, ink: Color32) -> Rect {
        let galley = self.painter.layout_no_wrap(text.to_owned(), font, ink);
        let rect = align.anchor_size(at, galley.size());
        self.painter.rect_filled(rect.expand2(vec2(3.0, 0.5)), 3.0, self.inks.halo);
        self.painter.galley(rect.min, galley, ink);
        rect
    }
}

/// Everything of the plan except what the tool in hand adds.
pub fn draw_plan(canvas: &Canvas<'_>, session: &Session) {
    let shown = canvas.view.shown(canvas.pane);
    let margin = 40.0 * canvas.view.metres_per_point;
    let visible = |shape: &&Shape| {
        shape.extent.is_some_and(|extent| {
            extent.min.x_m <= shown.max.x_m + margin
                && extent.max.x_m >= shown.min.x_m - margin
                && extent.min.y_m <= shown.max.y_m + margin
                && extent.max.y_m >= shown.min.y_m - margin
        })
    };
    let shown = |shape: &&Shape| visible(shape) && session.shows_entry(&shape.feature);
    let shapes: Vec<&Shape> = session.shapes.all().filter(shown).collect();
    shapes.iter().for_each(|shape| draw_area(canvas, session, shape));
    draw_paddocks(canvas, session);
    shapes.iter().for_each(|shape| draw_way(canvas, shape, session.selection.has(&shape.feature.id)));
    crate::layouts::draw(canvas, session);
    draw_stretches(canvas, session);
    super::voltage::suspected(canvas, session);
    for shape in shapes.iter().filter(|shape| shape.feature.kind.carries_strands()) {
        let chosen = session.selection.has(&shape.feature.id);
        let line = session.line_outcome(&shape.feature.id);
        draw_chosen(canvas, shape, chosen);
        let drawn_by = |line: &Arc<LineOutcome>| {
            super::used::draw(canvas, session, line)
                || super::voltage::draw(canvas, session, line)
                || super::reached::draw(canvas, session, line)
        };
        if !line.is_some_and(drawn_by) {
            draw_strands(canvas, shape);
        }
    }
    session.outcome.lines.iter().for_each(|line| super::posts::draw(canvas, session, line));
    let mut past = HashSet::new();
    let is_seen = |shape: &&&Shape| is_seen(canvas, session, shape, &mut past);
    shapes.iter().filter(is_seen).for_each(|shape| draw_point(canvas, shape, session));
    super::voltage::marks(canvas, session);
    draw_findings(canvas, session);
    super::names::draw(canvas, session, &shapes);
}

fn draw_area(canvas: &Canvas<'_>, session: &Session, shape: &Shape) {
    let chosen = session.selection.has(&shape.feature.id);
    if !matches!(shape.feature.geometry, Geometry::Area(_)) {
        return;
    }
    let ink = match &shape.feature.kind {
        Kind::Zone(zone) => zone_ink(canvas, &zone.of),
        Kind::Building { .. } => canvas.inks.ink,
        Kind::Boundary { .. } => canvas.inks.boundary,
        _ => canvas.inks.faint_ink,
    };
    let rings: Vec<Vec<Pos2>> = shape.rings.iter().map(|ring| canvas.points(ring)).collect();
    match zone_class(session, &shape.feature.kind) {
        Some(class) => {
            let (texture, every) = pattern(canvas.painter.ctx(), &class);
            canvas.painter.add(super::area::patterned(&rings, texture.id(), every));
        }
        None if matches!(shape.feature.kind, Kind::Boundary { .. }) => {}
        None => {
            let strength = if matches!(shape.feature.kind, Kind::Building { .. }) { 0.75 } else { 0.10 };
            canvas.painter.add(super::area::filled_around_holes(&rings, ink.gamma_multiply(strength)));
        }
    }
    for ring in &rings {
        let stroke =
            Stroke::new(if chosen { 2.4 } else { 1.3 }, if chosen { canvas.inks.chosen } else { ink.gamma_multiply(0.8) });
        canvas.painter.extend(egui::Shape::dashed_line(ring, stroke, 5.0, 3.0));
    }
}

/// How a zone is filled where the ground is coloured by zones.
fn zone_class(session: &Session, kind: &Kind) -> Option<LookClass> {
    let Kind::Zone(zone) = kind else { return None };
    let by_zones = session.stage == Stage::Land && session.look.by == LandLook::Zones;
    let filling = ZONE_FILLINGS.into_iter().find(|(sort, ..)| by_zones && *sort == zone.of);
    filling.map(|(_, colour, filling)| LookClass { text: "", colour, filling })
}

fn zone_ink(canvas: &Canvas<'_>, of: &str) -> Color32 {
    match of {
        "rock" => canvas.inks.ink,
        "wet" => canvas.inks.water,
        "wood" => canvas.inks.public_way,
        "keep_out" => canvas.inks.must_fix,
        _ => canvas.inks.track,
    }
}

fn draw_paddocks(canvas: &Canvas<'_>, session: &Session) {
    for paddock in session.outcome.paddocks.iter().filter(|paddock| paddock.ring.len() >= 3) {
        let mut points = canvas.points(&paddock.ring);
        let strength = if session.selection.has(&paddock.id) { 0.22 } else { 0.11 };
        canvas.painter.add(super::area::filled(&points, canvas.inks.look_at.gamma_multiply(strength)));
        if session.selection.has(&paddock.id) {
            points.extend(points.first().copied());
            canvas.painter.add(egui::Shape::line(points, Stroke::new(2.0, canvas.inks.chosen)));
        }
    }
}

fn draw_way(canvas: &Canvas<'_>, shape: &Shape, chosen: bool) {
    if !matches!(shape.feature.geometry, Geometry::Line(_)) || shape.feature.kind.carries_strands() {
        return;
    }
    let (painter, inks) = (canvas.painter, &canvas.inks);
    let points = canvas.points(shape.first_ring());
    if chosen {
        painter.add(egui::Shape::line(points.clone(), Stroke::new(9.0, inks.chosen.gamma_multiply(0.45))));
    }
    match &shape.feature.kind {
        Kind::Track(track) => {
            let width_m = track.width.map_or(2.6, |width| width.as_metres());
            let width = canvas.view.points(width_m).clamp(2.5, 26.0);
            painter.add(egui::Shape::line(points.clone(), Stroke::new(width + 2.0, inks.track)));
            painter.add(egui::Shape::line(points, Stroke::new(width, inks.halo)));
        }
        Kind::Stream { width, seasonal, .. } => {
            let width = canvas.view.points(width.map_or(0.8, |width| width.as_metres())).clamp(1.6, 24.0);
            let stroke = Stroke::new(width, inks.water);
            if *seasonal { canvas.dashes(&points, stroke, 9.0, 4.0) } else { canvas.line(points, width, inks.water) }
        }
        Kind::Jumper(_) => canvas.line(points, 1.6, inks.lead_out),
        Kind::PublicWay { .. } => canvas.dashes(&points, Stroke::new(2.2, inks.public_way), 8.0, 4.5),
        Kind::OverheadLine { .. } => {
            canvas.line(points.clone(), 1.3, inks.ink);
            cross_ticks(canvas, &points);
        }
        Kind::Boundary { .. } => canvas.dashes(&points, Stroke::new(1.8, inks.boundary), 14.0, 5.0),
        _ => canvas.dashes(&points, Stroke::new(1.5, inks.faint_ink), 4.0, 3.0),
    }
}

/// Short strokes across a line every 46 points: wires overhead.
fn cross_ticks(canvas: &Canvas<'_>, points: &[Pos2]) {
    let mut left = 20.0;
    for leg in points.windows(2) {
        let along = leg[1] - leg[0];
        let length = along.length();
        let side = along.normalized().rot90() * 4.5;
        while left < length {
            let at = leg[0] + along * (left / length);
            canvas.painter.line_segment([at - side, at + side], Stroke::new(1.3, canvas.inks.ink));
            left += 46.0;
        }
        left -= length;
    }
}

fn draw_chosen(canvas: &Canvas<'_>, shape: &Shape, chosen: bool) {
    if chosen {
        let points = canvas.points(shape.first_ring());
        canvas.painter.add(egui::Shape::line(points, Stroke::new(9.0, canvas.inks.chosen.gamma_multiply(0.55))));
    }
}

fn draw_strands(canvas: &Canvas<'_>, shape: &Shape) {
    let points = canvas.points(shape.first_ring());
    if matches!(shape.feature.kind, Kind::LeadOut(_)) {
        canvas.dashes(&points, Stroke::new(2.4, canvas.inks.lead_out), 11.0, 3.0);
    } else {
        canvas.line(points, 2.6, canvas.inks.fence);
    }
}

/// Of past entries of the log that lie within so many points of each other one stands for all of its kind: nobody could tell them apart.
const PAST_APART: f32 = 3.0;

/// Whether a feature is drawn: not where one like it lies over it.
fn is_seen(
    canvas: &Canvas<'_>,
    session: &Session,
    shape: &Shape,
    past: &mut HashSet<(std::mem::Discriminant<Kind>, i32, i32)>,
) -> bool {
    let kind = &shape.feature.kind;
    let is_past = kind.is_log_entry() && !session.is_current(&shape.feature) && !session.selection.has(&shape.feature.id);
    let Some(at) = shape.point().filter(|_| is_past).map(|at| canvas.at(at)) else { return true };
    let square = |along: f32| (along / PAST_APART).round() as i32;
    past.insert((std::mem::discriminant(kind), square(at.x), square(at.y)))
}

fn draw_point(canvas: &Canvas<'_>, shape: &Shape, session: &Session) {
    let Some(at_map) = shape.point() else { return };
    let at = canvas.at(at_map);
    if session.selection.has(&shape.feature.id) {
        canvas.painter.circle_filled(at, 15.0, canvas.inks.chosen.gamma_multiply(0.5));
    }
    let ink = canvas.inks.ink;
    if shape.feature.kind.is_log_entry() && !session.is_current(&shape.feature) {
        return draw_past(canvas, at, &shape.feature.kind);
    }
    let name = match &shape.feature.kind {
        Kind::Gate(_) => return draw_gate(canvas, at, gate_direction(at_map, session)),
        Kind::Energizer { .. } => "energizer",
        Kind::Earth { .. } => "earth",
        Kind::Cutout { open: true } => "cutout_off",
        Kind::Cutout { .. } => "cutout",
        Kind::Jumper(_) => "jumper",
        Kind::Reading(_) => "reading",
        Kind::Fault(fault) => return draw_fault(canvas, at, fault.is_active()),
        Kind::Photo(_) => "photo",
        Kind::Building { mains: true } => "building_mains",
        Kind::Building { .. } => "building",
        Kind::Water => "water",
        Kind::Shelter => "shelter",
        Kind::Feed => "feed",
        Kind::Tree { .. } => "tree",
        Kind::Mark => "mark",
        Kind::SpotHeight { .. } => "spot_height",
        Kind::Paddock(_) => "paddock",
        _ => "unknown",
    };
    sign(name).paint(canvas.painter, at, 9.0, canvas.sign_inks(ink));
}

/// An earlier entry of the log: small, for there are many of them.
fn draw_past(canvas: &Canvas<'_>, at: Pos2, kind: &Kind) {
    let (name, size) = match kind {
        Kind::Reading(_) => {
            canvas.painter.circle(at, 2.6, canvas.inks.halo, Stroke::new(1.1, canvas.inks.faint_ink));
            return;
        }
        Kind::Photo(_) => ("photo", 6.0),
        _ => ("mended", 5.5),
    };
    sign(name).paint(canvas.painter, at, size, canvas.sign_inks(canvas.inks.faint_ink));
}

fn draw_fault(canvas: &Canvas<'_>, at: Pos2, stands: bool) {
    let (name, ink) = if stands { ("fault", canvas.inks.must_fix) } else { ("mended", canvas.inks.faint_ink) };
    sign(name).paint(canvas.painter, at, 8.0, canvas.sign_inks(ink));
}

fn draw_gate(canvas: &Canvas<'_>, at: Pos2, along: Vec2) {
    let side = along.rot90();
    let (a, b) = (at - along * 9.0, at + along * 9.0);
    canvas.painter.line_segment([a, b], Stroke::new(6.0, canvas.inks.halo));
    for (from, to) in [
        (a - side * 6.0, a + side * 6.0),
        (b - side * 6.0, b + side * 6.0),
        (a - side * 4.0, b + side * 4.0),
        (a + side * 4.0, b - side * 4.0),
    ] {
        canvas.painter.line_segment([from, to], Stroke::new(3.6, canvas.inks.halo));
        canvas.painter.line_segment([from, to], Stroke::new(1.8, canvas.inks.ink));
    }
}

/// The direction of the fence that a gate stands in, on the screen.
fn gate_direction(at: MapPoint, session: &Session) -> Vec2 {
    let legs = session.shapes.all().filter(|shape| shape.feature.kind.carries_strands());
    let legs = legs.flat_map(|shape| shape.first_ring().windows(2));
    let off = |leg: &&[MapPoint]| crate::tools::snap::nearest_on_leg(at, leg[0], leg[1]).distance_m(at);
    let nearest = legs.min_by(|a, b| off(a).total_cmp(&off(b)));
    nearest.map_or(vec2(1.0, 0.0), |leg| {
        let along = leg[1] - leg[0];
        vec2(along.x_m as f32, -along.y_m as f32).normalized()
    })
}

/// The colour of a weight; its shape says the same.
pub fn weight_ink(inks: &Inks, weight: Weight) -> Color32 {
    match weight {
        Weight::MustFix => inks.must_fix,
        Weight::LookAt => inks.look_at,
        Weight::Note => inks.note,
    }
}

/// The name of the sign of a weight.
pub fn weight_sign(weight: Weight) -> &'static str {
    match weight {
        Weight::MustFix => "must_fix",
        Weight::LookAt => "look_at",
        Weight::Note => "note",
    }
}

/// Where the sign of a finding stands, from its place.
pub const FINDING_ABOVE: Vec2 = vec2(0.0, -15.0);

fn draw_findings(canvas: &Canvas<'_>, session: &Session) {
    // The worst are drawn last, on top.
    for (index, finding) in session.outcome.findings.iter().enumerate().rev() {
        let chosen = session.selection.finding == Some(index);
        let ink = weight_ink(&canvas.inks, finding.weight);
        if finding.weight == Weight::Note && !chosen {
            continue;
        }
        let Ok(at) = session.frame.to_map(finding.place.at) else { continue };
        let at = canvas.at(at) + FINDING_ABOVE;
        if chosen {
            canvas.painter.circle_filled(at, 14.0, canvas.inks.chosen.gamma_multiply(0.6));
        }
        sign(weight_sign(finding.weight)).paint(canvas.painter, at, 8.5, canvas.sign_inks(ink));
    }
}

/// Stretches of findings lie under the strands, as a broad band.
fn draw_stretches(canvas: &Canvas<'_>, session: &Session) {
    for (index, finding) in session.outcome.findings.iter().enumerate().rev() {
        let ink = weight_ink(&canvas.inks, finding.weight);
        let chosen = session.selection.finding == Some(index);
        let shown = chosen || finding.weight != Weight::Note;
        if shown {
            draw_stretch(canvas, session, finding, if chosen { ink } else { ink.gamma_multiply(0.7) });
        }
    }
}

fn draw_stretch(canvas: &Canvas<'_>, session: &Session, finding: &Finding, ink: Color32) {
    let place = &finding.place;
    let (Some(line), Some(from), Some(until)) = (&place.line, place.station, place.until) else { return };
    let Some(outcome) = session.line_outcome(line) else { return };
    let samples = &outcome.section.samples;
    let first = samples.partition_point(|sample| sample.station_m < from.as_metres());
    let samples = samples[first..].iter().take_while(|sample| sample.station_m <= until.as_metres());
    let mut points: Vec<Pos2> = Vec::new();
    for sample in samples {
        let at = canvas.at(sample.at);
        if points.last().is_none_or(|last| last.distance_sq(at) > 6.0) {
            points.push(at);
        }
    }
    canvas.painter.add(egui::Shape::line(points, Stroke::new(10.0, ink.gamma_multiply(0.6))));
}

/// The name of the holding, large and quiet, while nothing is drawn yet.
pub fn draw_hint(canvas: &Canvas<'_>, text: &str) {
    // Clear of the north arrow on one side, and of the same room on the other; on a small map in several lines.
    let room = (canvas.pane.width() - 120.0).max(80.0);
    let galley = canvas.painter.layout(text.to_owned(), bold(15.0), canvas.inks.ink, room);
    let top = (canvas.pane.height() * 0.1).clamp(6.0, 54.0);
    let rect = Align2::CENTER_TOP.anchor_size(canvas.pane.center_top() + vec2(0.0, top), galley.size());
    canvas.painter.rect_filled(rect.expand2(vec2(5.0, 3.0)), 4.0, canvas.inks.halo);
    canvas.painter.galley(rect.min, galley, canvas.inks.ink);
}
