//! Our own signs, from `assets/signs/signs.toml`, as shapes of a drawing.

use super::drawing::{Drawing, Pen, Place};
use serde::Deserialize;
use std::sync::OnceLock;

#[derive(Deserialize)]
#[serde(rename_all = "snake_case")]
enum Part {
    Fill(Vec<[f64; 2]>),
    Hole(Vec<[f64; 2]>),
    Line(Vec<[f64; 2]>),
    Disc([f64; 3]),
    Ring([f64; 3]),
}

#[derive(Deserialize)]
struct Sign {
    name: String,
    meaning: String,
    strokes: Vec<Part>,
}

#[derive(Deserialize)]
struct SignFile {
    sign: Vec<Sign>,
}

fn signs() -> &'static [Sign] {
    static SIGNS: OnceLock<SignFile> = OnceLock::new();
    let read = || toml::from_str(include_str!("../../../assets/signs/signs.toml")).expect("our own signs can be read");
    &SIGNS.get_or_init(read).sign
}

fn sign(name: &str) -> Option<&'static Sign> {
    signs().iter().find(|sign| sign.name == name)
}

/// What a sign stands for.
pub(super) fn meaning(name: &str) -> &'static str {
    sign(name).map_or("", |sign| sign.meaning.as_str())
}

/// Draws a sign about its middle, so large from its middle to its edge.
pub(super) fn draw(drawing: &mut Drawing, name: &str, (x, y): Place, half: f64, ink: &'static str) {
    let Some(sign) = sign(name) else { return };
    let at = |[dx, dy]: &[f64; 2]| (x + dx * half, y + dy * half);
    let pen = Pen::of(ink, (half * 0.28).max(0.6));
    for part in &sign.strokes {
        match part {
            Part::Fill(corners) => drawing.area(&corners.iter().map(at).collect::<Vec<_>>(), ink, 1.0),
            Part::Hole(corners) => drawing.area(&corners.iter().map(at).collect::<Vec<_>>(), "#ffffff", 1.0),
            Part::Line(corners) => drawing.line(&corners.iter().map(at).collect::<Vec<_>>(), pen),
            Part::Disc([dx, dy, radius]) => drawing.disc(at(&[*dx, *dy]), radius * half, ink),
            Part::Ring([dx, dy, radius]) => drawing.ring(at(&[*dx, *dy]), radius * half, pen),
        }
    }
}
