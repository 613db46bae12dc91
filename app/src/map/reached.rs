//! Lines drawn by how they are reached, on the stage Land.

use super::draw::Canvas;
use super::voltage::between;
use crate::session::{Session, Stage};
use crate::theme::Inks;
use egui::{Color32, Painter, Pos2, Stroke};
use hillwire_core::outcome::LineOutcome;
use hillwire_core::site::{ReachClass, Season};

/// How a class is drawn: its ink, and a width and dashes that say the same to those who do not see the ink.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReachStroke {
    width: f32,
    ink: Color32,
    /// Length of a dash and of the gap behind it; `None`: unbroken.
    dashes: Option<(f32, f32)>,
}

impl ReachStroke {
    /// Of a class.
    pub fn of(inks: &Inks, class: ReachClass) -> Self {
        match class {
            ReachClass::FromSeat => Self { width: 2.4, ink: inks.good, dashes: None },
            ReachClass::Near => Self { width: 4.2, ink: inks.good, dashes: Some((12.0, 3.0)) },
            ReachClass::ShortWalk => Self { width: 4.2, ink: inks.look_at, dashes: Some((6.0, 4.0)) },
            ReachClass::Far => Self { width: 6.0, ink: inks.must_fix, dashes: Some((2.5, 2.5)) },
        }
    }

    /// Paints it, over a halo.
    pub fn paint(self, painter: &Painter, points: Vec<Pos2>, halo: Color32) {
        painter.add(egui::Shape::line(points.clone(), Stroke::new(self.width + 2.6, halo)));
        let stroke = Stroke::new(self.width, self.ink);
        match self.dashes {
            None => drop(painter.add(egui::Shape::line(points, stroke))),
            Some((dash, gap)) => painter.extend(egui::Shape::dashed_line(&points, stroke, dash, gap)),
        }
    }
}

/// Draws a line class by class; whether it was drawn so.
pub fn draw(canvas: &Canvas<'_>, session: &Session, line: &LineOutcome) -> bool {
    let Some(reach) = line.reach.as_ref().filter(|_| session.stage == Stage::Land) else { return false };
    let class = |piece: &hillwire_core::site::ReachPiece| piece.class(Season::Summer);
    for run in reach.pieces.chunk_by(|a, b| class(a) == class(b)) {
        let points = between(canvas, line, [run[0].from.as_metres(), run[run.len() - 1].to.as_metres()]);
        ReachStroke::of(&canvas.inks, class(&run[0])).paint(canvas.painter, points, canvas.inks.halo);
    }
    true
}
