//! Lines drawn by how much of what is allowed they use: strand heights, loads on posts, tension.

use super::draw::Canvas;
use crate::session::Session;
use egui::Color32;
use hillwire_core::hold::{SAFETY_FACTOR, SAFETY_FACTOR_PERMANENT};
use hillwire_core::outcome::LineOutcome;
use hillwire_core::plan::{Build, Kind};

/// What lines are drawn by.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DrawnBy {
    /// What they are.
    #[default]
    Kind,
    /// How far strands leave their heights.
    Heights,
    /// How hard posts are pulled.
    Loads,
    /// What friction takes of the tension.
    Tension,
}

/// From here on a line is near its limit.
pub const NEAR: f64 = 0.7;

/// How a share of what is allowed is drawn: its ink, and a width that says the same to those who do not see the ink.
pub fn stroke_of(canvas_inks: &crate::theme::Inks, used: Option<f64>) -> (f32, Color32) {
    match used {
        None => (1.6, canvas_inks.faint_ink),
        Some(used) if used > 1.0 => (6.0, canvas_inks.must_fix),
        Some(used) if used > NEAR => (4.2, canvas_inks.look_at),
        Some(_) => (2.4, canvas_inks.good),
    }
}

/// Draws a line bay by bay; whether it was drawn so.
pub fn draw(canvas: &Canvas<'_>, session: &Session, line: &LineOutcome) -> bool {
    let Some(build) = build_of(session, line).filter(|_| session.lines_show() != DrawnBy::Kind) else { return false };
    for index in 0..line.hold.bays.len() {
        let Some((from, to)) = line.hold.posts_of(index).filter(|_| line.hold.bays[index].gate.is_none()) else { continue };
        let (width, ink) = stroke_of(&canvas.inks, used(session.lines_show(), line, build, index));
        canvas.line(vec![canvas.at(from.at), canvas.at(to.at)], width, ink);
    }
    true
}

fn build_of<'a>(session: &'a Session, line: &LineOutcome) -> Option<&'a Build> {
    let Kind::Fence(fence) = &session.plan().feature(&line.id)?.kind else { return None };
    session.plan().build(&fence.build).filter(|_| !line.hold.bays.is_empty())
}

/// How much of what is allowed a bay of a line uses.
pub fn used(by: DrawnBy, line: &LineOutcome, build: &Build, index: usize) -> Option<f64> {
    let bay = &line.hold.bays[index];
    match by {
        DrawnBy::Kind => None,
        DrawnBy::Heights => bay.height_used(&line.hold.bands),
        DrawnBy::Tension => Some(bay.tension_used()),
        DrawnBy::Loads => {
            let factor = if build.permanent { SAFETY_FACTOR_PERMANENT } else { SAFETY_FACTOR };
            let (from, to) = line.hold.posts_of(index)?;
            [from, to].into_iter().filter_map(|post| post.load_used(factor)).reduce(f64::max)
        }
    }
}
