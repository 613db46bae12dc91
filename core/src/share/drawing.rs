//! A drawing under the pen: shapes and text in points from the top left corner. SVG and PDF are written from the same shapes.

use super::cleaned::cleaned;

/// A drawing.
#[derive(Clone, Debug, Default)]
pub struct Drawing {
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) paper: &'static str,
    pub(super) title: String,
    pub(super) size: Size,
    pub(super) shapes: Vec<Shape>,
}

/// How large a drawing is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Size {
    /// As large as a screen shows its points.
    #[default]
    Screen,
    /// Its points are printer's points, 72 to an inch: it measures what it says.
    Paper,
}

/// One shape.
#[derive(Clone, Debug)]
pub(super) enum Shape {
    Line(Vec<Place>, Pen),
    Area(Vec<Place>, &'static str, f64),
    Disc(Place, f64, &'static str),
    Ring(Place, f64, Pen),
    Words(Place, String, Type),
}

/// What a line is drawn with.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pen {
    pub ink: &'static str,
    pub width: f64,
    /// Lengths of dashes and of the gaps between them, points; a whole line without any.
    pub dashes: &'static [f64],
    /// Two lines with white between them.
    pub is_double: bool,
}

/// Where a text stands on its place.
#[derive(Clone, Copy, Debug)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// How a text is written.
#[derive(Clone, Copy, Debug)]
pub(super) struct Type {
    pub size: f64,
    pub ink: &'static str,
    pub anchor: Anchor,
    pub bold: bool,
}

pub(super) type Place = (f64, f64);

/// Patterns that are told apart without colour.
pub(super) const DASHED: &[f64] = &[5.0, 4.0];
pub(super) const LONG_DASHED: &[f64] = &[11.0, 3.0];
pub(super) const DOTTED: &[f64] = &[1.5, 2.5];
pub(super) const DASH_DOT: &[f64] = &[8.0, 2.5, 1.5, 2.5];
pub(super) const DASH_DOT_DOT: &[f64] = &[8.0, 2.0, 1.5, 2.0, 1.5, 2.0];

impl Pen {
    pub const fn of(ink: &'static str, width: f64) -> Self {
        Self { ink, width, dashes: &[], is_double: false }
    }
    pub const fn dashed(ink: &'static str, width: f64) -> Self {
        Self::of(ink, width).with(DASHED)
    }
    pub const fn with(self, dashes: &'static [f64]) -> Self {
        Self { dashes, ..self }
    }
    pub const fn double(ink: &'static str, width: f64) -> Self {
        Self { is_double: true, ..Self::of(ink, width) }
    }
    /// What lies between its two lines.
    pub fn between(self, paper: &'static str) -> Option<Self> {
        self.is_double.then(|| Self::of(paper, 0.5 * self.width))
    }
}

impl Drawing {
    /// Nothing drawn yet on paper of this colour; `title` is what is read aloud.
    pub(super) fn new(width: f64, height: f64, paper: &'static str, title: &str) -> Self {
        Self { width, height, paper, title: cleaned(title), size: Size::Screen, shapes: Vec::new() }
    }

    /// A sheet of paper, in printer's points.
    pub(super) fn sheet(width: f64, height: f64, title: &str) -> Self {
        Self { size: Size::Paper, ..Self::new(width, height, "#ffffff", title) }
    }

    pub(super) fn line(&mut self, places: &[Place], pen: Pen) {
        if places.len() > 1 {
            let pens = [Some(pen), pen.between("#ffffff")].into_iter().flatten();
            self.shapes.extend(pens.map(|pen| Shape::Line(places.to_vec(), pen)));
        }
    }

    pub(super) fn area(&mut self, places: &[Place], fill: &'static str, opacity: f64) {
        if places.len() > 2 {
            self.shapes.push(Shape::Area(places.to_vec(), fill, opacity));
        }
    }

    pub(super) fn disc(&mut self, at: Place, radius: f64, fill: &'static str) {
        self.shapes.push(Shape::Disc(at, radius, fill));
    }

    pub(super) fn ring(&mut self, at: Place, radius: f64, pen: Pen) {
        self.shapes.push(Shape::Ring(at, radius, pen));
    }

    pub(super) fn words(&mut self, at: Place, words: &str, how: Type) {
        self.shapes.push(Shape::Words(at, cleaned(words), how));
    }

    /// The same in shades of grey.
    pub fn in_grey(mut self) -> Self {
        for shape in &mut self.shapes {
            match shape {
                Shape::Line(_, pen) | Shape::Ring(_, _, pen) => pen.ink = grey(pen.ink),
                Shape::Area(_, ink, _) | Shape::Disc(_, _, ink) => *ink = grey(ink),
                Shape::Words(_, _, how) => how.ink = grey(how.ink),
            }
        }
        self
    }

    /// The same made smaller (or larger) and laid at a place of a sheet.
    pub(super) fn laid_on(self, sheet: &mut Self, (left, top): Place, factor: f64) {
        let put = |(x, y): Place| (left + x * factor, top + y * factor);
        let pen = |pen: Pen| Pen { width: pen.width * factor, ..pen };
        for shape in self.shapes {
            sheet.shapes.push(match shape {
                Shape::Line(places, with) => Shape::Line(places.into_iter().map(put).collect(), pen(with)),
                Shape::Area(places, fill, opacity) => Shape::Area(places.into_iter().map(put).collect(), fill, opacity),
                Shape::Disc(at, radius, fill) => Shape::Disc(put(at), radius * factor, fill),
                Shape::Ring(at, radius, with) => Shape::Ring(put(at), radius * factor, pen(with)),
                Shape::Words(at, words, how) => Shape::Words(put(at), words, Type { size: how.size * factor, ..how }),
            });
        }
    }
}

/// Red, green and blue of a colour.
pub(super) fn rgb(ink: &str) -> [u8; 3] {
    let part = |at: usize| ink.get(at..at + 2).and_then(|text| u8::from_str_radix(text, 16).ok()).unwrap_or(0);
    [part(1), part(3), part(5)]
}

/// Shades of grey, from black to white.
const GREYS: [&str; 9] = ["#000000", "#202020", "#404040", "#606060", "#808080", "#a0a0a0", "#c0c0c0", "#e0e0e0", "#ffffff"];

/// The shade that is as bright as a colour (luma of ITU-R BT.601).
fn grey(ink: &str) -> &'static str {
    let [red, green, blue] = rgb(ink).map(f64::from);
    let luma = 0.299 * red + 0.587 * green + 0.114 * blue;
    GREYS[((luma / 32.0).round() as usize).min(GREYS.len() - 1)]
}

/// Words in lines of so many letters at most.
pub(super) fn wrapped(words: &str, letters: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.split(' ') {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= letters => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_wrapped_between_words_only() {
        assert_eq!(wrapped("one two three", 7), ["one two", "three"]);
        assert_eq!(wrapped("alongword a", 4), ["alongword", "a"]);
    }

    #[test]
    fn colours_become_the_shade_that_is_as_bright() {
        for (ink, shade) in [("#ffffff", "#ffffff"), ("#000000", "#000000"), ("#ff0000", "#404040"), ("#00ff00", "#a0a0a0")] {
            assert_eq!(grey(ink), shade, "{ink}");
        }
    }
}
