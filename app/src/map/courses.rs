//! Other courses for a line beside the drawn one, each with dashes of its own.

use super::draw::Canvas;
use crate::rerouting::LETTERS;
use crate::session::{Session, Stage};
use crate::theme::{Inks, bold};
use egui::{Align2, Color32, Painter, Pos2, Stroke};
use hillwire_core::land::MapPoint;

/// How a course is drawn: its ink, and dashes that say the same to those who do not see the ink.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CourseStroke {
    width: f32,
    ink: Color32,
    dashes: &'static [f32],
    gaps: &'static [f32],
}

impl CourseStroke {
    /// Of the first, second, third course.
    pub fn of(inks: &Inks, index: usize) -> Self {
        let (ink, dashes, gaps): (Color32, &[f32], &[f32]) = match index {
            0 => (inks.good, &[14.0], &[5.0]),
            1 => (inks.boundary, &[12.0, 2.5], &[4.0, 4.0]),
            _ => (inks.ink, &[3.0], &[4.0]),
        };
        Self { width: 3.0, ink, dashes, gaps }
    }

    fn broad(self) -> Self {
        Self { width: 5.0, ..self }
    }

    /// Paints it, over a halo.
    pub fn paint(self, painter: &Painter, points: &[Pos2], halo: Color32) {
        painter.add(egui::Shape::line(points.to_vec(), Stroke::new(self.width + 2.6, halo)));
        let stroke = Stroke::new(self.width, self.ink);
        painter.extend(egui::Shape::dashed_line_with_offset(points, stroke, self.dashes, self.gaps, 0.0));
    }
}

/// The courses that were found, while their line is chosen; the one that is pointed at last and broad.
pub fn draw(canvas: &Canvas<'_>, session: &Session) {
    let Some(found) = session.course_view.found() else { return };
    if session.stage != Stage::Line || session.selection.only() != Some(&found.line) {
        return;
    }
    let pointed = session.course_view.pointed;
    let mut order: Vec<usize> = (0..found.found.len().min(LETTERS.len())).collect();
    order.sort_by_key(|index| pointed == Some(*index));
    for index in order {
        let course = &found.found[index].points;
        let points: Vec<Pos2> = course.iter().map(|at| canvas.at(*at)).collect();
        let stroke = CourseStroke::of(&canvas.inks, index);
        let stroke = if pointed == Some(index) { stroke.broad() } else { stroke };
        stroke.paint(canvas.painter, &points, canvas.inks.halo);
        // The letters stand apart where courses share their ends.
        let at = canvas.at(share_of(course, [0.35, 0.5, 0.65][index]));
        canvas.text(at, Align2::CENTER_CENTER, LETTERS[index], bold(13.0), stroke.ink);
    }
}

/// The place after a share of a course.
fn share_of(course: &[MapPoint], share: f64) -> MapPoint {
    let mut left_m = share * course.windows(2).map(|leg| leg[0].distance_m(leg[1])).sum::<f64>();
    for leg in course.windows(2) {
        let length_m = leg[0].distance_m(leg[1]);
        if left_m <= length_m && length_m > 0.0 {
            return leg[0].towards(leg[1], left_m / length_m);
        }
        left_m -= length_m;
    }
    course.last().copied().unwrap_or_default()
}
