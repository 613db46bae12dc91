//! Names on the map, placed so that they do not lie on each other or on the signs: what finds no room is left out.

use super::draw::{Canvas, FINDING_ABOVE};
use crate::session::Session;
use crate::shapes::Shape;
use crate::words;
use egui::{Align2, FontId, Pos2, Rect, Vec2, vec2};
use hillwire_core::finding::Weight;
use hillwire_core::land::MapPoint;
use hillwire_core::plan::Kind;

/// Names of points are left out when the map is looked at from farther than this.
const POINT_NAMES_BELOW: f64 = 1.1;
/// A line's name needs this much of its line on the screen.
const LEAST_LINE_POINTS: f32 = 90.0;

/// Draws the names of the shapes that are shown.
pub fn draw(canvas: &Canvas<'_>, session: &Session, shapes: &[&Shape]) {
    let mut taken = signs_taken(canvas, session, shapes);
    let mut named: Vec<&&Shape> =
        shapes.iter().filter(|shape| shape.feature.name.is_some() && is_named(shape, session)).collect();
    named.sort_by_key(|shape| (!session.selection.has(&shape.feature.id), rank(&shape.feature.kind)));
    for shape in named {
        let height = match shape.feature.kind {
            Kind::SpotHeight { height } => Some(words::elevation(height, session.units())),
            _ => None,
        };
        let name = height.as_deref().unwrap_or(shape.feature.label());
        let font = FontId::proportional(if matches!(shape.feature.kind, Kind::Paddock(_)) { 13.0 } else { 12.0 });
        let size = canvas.painter.layout_no_wrap(name.to_owned(), font.clone(), canvas.inks.ink).size() + vec2(6.0, 1.0);
        let free =
            |rect: &Rect| canvas.pane.shrink(2.0).contains_rect(*rect) && !taken.iter().any(|other| other.intersects(*rect));
        let places = places(canvas, shape, size);
        let Some(rect) = places.into_iter().find(free) else { continue };
        canvas.text(rect.center(), Align2::CENTER_CENTER, name, font, canvas.inks.ink);
        taken.push(rect);
    }
}

/// Entries of the log come by the thousand: only a chosen one is named.
fn is_named(shape: &Shape, session: &Session) -> bool {
    !shape.feature.kind.is_log_entry() || session.selection.has(&shape.feature.id)
}

/// Who is named first when room is short.
fn rank(kind: &Kind) -> u8 {
    match kind {
        Kind::Paddock(_) => 0,
        Kind::Fence(_) | Kind::LeadOut(_) => 1,
        Kind::Gate(_) | Kind::Energizer { .. } | Kind::Building { .. } => 2,
        Kind::Track(_) | Kind::PublicWay { .. } | Kind::OverheadLine { .. } | Kind::Stream { .. } => 3,
        Kind::Zone(_) | Kind::Boundary { .. } => 5,
        _ => 4,
    }
}

/// Where signs stand: no name may lie on them.
fn signs_taken(canvas: &Canvas<'_>, session: &Session, shapes: &[&Shape]) -> Vec<Rect> {
    let sign = |at: Pos2| Rect::from_center_size(at, Vec2::splat(17.0));
    let points = shapes.iter().filter_map(|shape| shape.point()).map(|at| sign(canvas.at(at)));
    let findings = session.outcome.findings.iter().filter(|finding| finding.weight != Weight::Note);
    let findings = findings.filter_map(|finding| session.frame.to_map(finding.place.at).ok());
    points.chain(findings.map(|at| sign(canvas.at(at) + FINDING_ABOVE))).collect()
}

fn places(canvas: &Canvas<'_>, shape: &Shape, size: Vec2) -> Vec<Rect> {
    if let Some(at) = shape.point() {
        if canvas.view.metres_per_point > POINT_NAMES_BELOW && !matches!(shape.feature.kind, Kind::Paddock(_)) {
            return Vec::new();
        }
        let at = canvas.at(at);
        let beside = 14.0 + size.x / 2.0;
        let above = 12.0 + size.y / 2.0;
        let offsets = [vec2(beside, 0.0), vec2(-beside, 0.0), vec2(0.0, -above), vec2(0.0, above)];
        return offsets.into_iter().map(|offset| Rect::from_center_size(at + offset, size)).collect();
    }
    beside_legs(canvas, shape.first_ring(), size)
}

/// Beside the middles of the legs that the pane shows, the longest first.
fn beside_legs(canvas: &Canvas<'_>, ring: &[MapPoint], size: Vec2) -> Vec<Rect> {
    let mut legs: Vec<(Pos2, Pos2)> = ring.windows(2).map(|leg| (canvas.at(leg[0]), canvas.at(leg[1]))).collect();
    let whole: f32 = legs.iter().map(|(a, b)| a.distance(*b)).sum();
    if whole < LEAST_LINE_POINTS {
        return Vec::new();
    }
    legs.retain(|(a, b)| canvas.pane.contains(a.lerp(*b, 0.5)));
    legs.sort_by(|a, b| b.0.distance(b.1).total_cmp(&a.0.distance(a.1)));
    legs.truncate(6);
    let around = |(a, b): (Pos2, Pos2)| {
        let middle = a.lerp(b, 0.5);
        let side = (b - a).normalized().rot90();
        // Far enough to clear the line whatever its direction: half the text's reach across the line.
        let reach = (side.x.abs() * size.x + side.y.abs() * size.y) / 2.0 + 6.0;
        [-1.0, 1.0].map(|sign| Rect::from_center_size(middle + side * (reach * sign), size))
    };
    legs.into_iter().flat_map(around).collect()
}
