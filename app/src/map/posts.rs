//! Posts on the map: their signs, those that the keeper put or holds down, the chosen one.

use super::draw::Canvas;
use super::signs::sign;
use crate::section::is_at;
use crate::session::{Session, Stage};
use egui::{Pos2, vec2};
use hillwire_core::hold::{Post, PostRole};
use hillwire_core::outcome::LineOutcome;
use hillwire_core::units::Length;

/// Posts nearer to each other than this on the screen are drawn only where they take strain.
const APART_POINTS: f32 = 7.0;
/// Posts farther from each other than this have room for what the keeper said about them.
const ROOM_POINTS: f32 = 16.0;

/// How far apart the posts of a line are on the screen, on average.
fn spacing(session: &Session, line: &LineOutcome) -> f32 {
    let bays = line.hold.posts.len().saturating_sub(1).max(1) as f64;
    session.view.points(line.measure.plan_length.as_metres() / bays)
}

fn takes_strain(post: &Post) -> bool {
    matches!(post.role, PostRole::Corner | PostRole::End | PostRole::Stretch)
}

/// Draws the posts of a line.
pub fn draw(canvas: &Canvas<'_>, session: &Session, line: &LineOutcome) {
    let spacing = spacing(session, line);
    let shown = canvas.pane.expand(10.0);
    let chosen = session.selection.post.filter(|_| session.selection.has(&line.id));
    for post in &line.hold.posts {
        let at = canvas.at(post.at);
        let is_chosen = chosen.is_some_and(|chosen| is_at(post, chosen));
        if !shown.contains(at) || spacing <= APART_POINTS && !takes_strain(post) && !is_chosen {
            continue;
        }
        if is_chosen {
            canvas.painter.circle_filled(at, 9.0, canvas.inks.chosen.gamma_multiply(0.85));
        }
        draw_one(canvas, post, at, spacing);
    }
}

fn draw_one(canvas: &Canvas<'_>, post: &Post, at: Pos2, spacing: f32) {
    let (name, half) = match post.role {
        PostRole::Line => ("line_post", 3.4),
        PostRole::Corner => ("corner_post", 4.2),
        PostRole::End | PostRole::Stretch => ("end_post", 4.2),
        PostRole::Gate => ("gate_post", 4.2),
        PostRole::Dip => ("dip_post", 4.6),
        PostRole::Rise => ("rise_post", 4.6),
        PostRole::Peg => ("peg", 2.6),
    };
    let half = if takes_strain(post) { half } else { half * (spacing / 14.0).clamp(0.6, 1.0) };
    sign(name).paint(canvas.painter, at, half, canvas.sign_inks(canvas.inks.ink));
    if spacing < ROOM_POINTS {
        return;
    }
    if post.pinned {
        sign("pinned_post").paint(canvas.painter, at + vec2(12.0, -12.0), 5.5, canvas.sign_inks(canvas.inks.ink));
    }
    if post.held_down {
        sign("hold_down").paint(canvas.painter, at + vec2(12.0, 12.0), 5.5, canvas.sign_inks(canvas.inks.good));
    }
}

/// The station of the selected line's post at a place on the screen, where posts are far enough apart to be told.
pub fn post_at(session: &Session, at: Pos2) -> Option<Length> {
    let line = session.line_outcome(session.selection.only()?)?;
    if session.stage != Stage::Hold || spacing(session, line) <= APART_POINTS {
        return None;
    }
    let off = |post: &&Post| session.view.at_screen(session.pane, post.at).distance(at);
    let nearest = line.hold.posts.iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
    (off(&nearest) <= 6.0).then_some(nearest.station)
}
