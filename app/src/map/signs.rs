//! Our own signs, read from `assets/signs/signs.toml` and painted at any size.

use egui::{Color32, Painter, Pos2, Shape, Stroke, pos2};
use serde::Deserialize;
use std::sync::OnceLock;

#[derive(Deserialize)]
#[serde(rename_all = "snake_case")]
enum Part {
    Fill(Vec<[f32; 2]>),
    Hole(Vec<[f32; 2]>),
    Line(Vec<[f32; 2]>),
    Disc([f32; 3]),
    Ring([f32; 3]),
}

/// One sign.
#[derive(Deserialize)]
pub struct Sign {
    name: String,
    /// What it stands for.
    pub meaning: String,
    strokes: Vec<Part>,
}

#[derive(Deserialize)]
struct SignFile {
    sign: Vec<Sign>,
}

/// All signs, in the order of the key.
pub fn all() -> &'static [Sign] {
    static SIGNS: OnceLock<Vec<Sign>> = OnceLock::new();
    SIGNS.get_or_init(|| {
        let file: SignFile = toml::from_str(include_str!("../../../assets/signs/signs.toml"))
            .expect("assets/signs/signs.toml is part of the program");
        file.sign
    })
}

/// The sign with this name.
pub fn sign(name: &str) -> &'static Sign {
    all().iter().find(|sign| sign.name == name).unwrap_or_else(|| panic!("no sign named {name}"))
}

/// The colours of a sign.
#[derive(Clone, Copy)]
pub struct SignInks {
    /// Fills and lines.
    pub ink: Color32,
    /// Holes, and the rim that lifts it off the ground.
    pub paper: Color32,
}

impl Sign {
    /// Its name in the file.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Paints it with this half width in points.
    pub fn paint(&self, painter: &Painter, centre: Pos2, half: f32, inks: SignInks) {
        let at = |[x, y]: [f32; 2]| pos2(centre.x + x * half, centre.y + y * half);
        let width = (half * 0.22).max(1.2);
        for part in &self.strokes {
            match part {
                Part::Fill(corners) => {
                    painter.add(polygon(corners.iter().copied().map(at).collect(), inks.ink, Stroke::new(1.2, inks.paper)));
                }
                Part::Hole(corners) => {
                    painter.add(polygon(corners.iter().copied().map(at).collect(), inks.paper, Stroke::NONE));
                }
                Part::Line(corners) => {
                    let points: Vec<Pos2> = corners.iter().copied().map(at).collect();
                    painter.add(Shape::line(points.clone(), Stroke::new(width + 2.4, inks.paper)));
                    painter.add(Shape::line(points, Stroke::new(width, inks.ink)));
                }
                Part::Disc([x, y, r]) => {
                    painter.circle(at([*x, *y]), r * half, inks.ink, Stroke::new(1.0, inks.paper));
                }
                Part::Ring([x, y, r]) => {
                    painter.circle_stroke(at([*x, *y]), r * half, Stroke::new(width + 2.0, inks.paper));
                    painter.circle_stroke(at([*x, *y]), r * half, Stroke::new(width, inks.ink));
                }
            }
        }
    }
}

/// A polygon with a rim. A notched one is cut into triangles and has no rim.
fn polygon(corners: Vec<Pos2>, fill: Color32, rim: Stroke) -> Shape {
    if is_convex(&corners) { Shape::convex_polygon(corners, fill, rim) } else { super::area::filled(&corners, fill) }
}

fn is_convex(corners: &[Pos2]) -> bool {
    let n = corners.len();
    let turn = |i: usize| {
        let (a, b, c) = (corners[i], corners[(i + 1) % n], corners[(i + 2) % n]);
        (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
    };
    (0..n).all(|i| turn(i) >= 0.0) || (0..n).all(|i| turn(i) <= 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sign_lies_in_its_square_and_has_a_meaning() {
        for sign in all() {
            assert!(!sign.meaning.is_empty(), "{}", sign.name);
            let points = sign.strokes.iter().flat_map(|part| match part {
                Part::Fill(corners) | Part::Hole(corners) | Part::Line(corners) => corners.clone(),
                Part::Disc([x, y, r]) | Part::Ring([x, y, r]) => vec![[x - r, y - r], [x + r, y + r]],
            });
            for [x, y] in points {
                assert!(x.abs() <= 1.0 && y.abs() <= 1.0, "{} reaches {x} {y}", sign.name);
            }
        }
    }
}
