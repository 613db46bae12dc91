//! Drawings as the pages of a PDF, with the program's own letters in it, so that words stay words.

use super::cleaned::cleaned;
use super::drawing::{Anchor, Drawing, Pen, Place, Shape, Type, rgb as parts};
use krilla::Document;
use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Point};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, LineCap, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, TextDirection};

/// A PDF that could not be made.
#[derive(Debug, thiserror::Error)]
pub enum PdfTrouble {
    /// A page without a size.
    #[error("a page of {width} × {height} points cannot be printed")]
    Page {
        /// Across.
        width: f64,
        /// Down.
        height: f64,
    },
    /// The writer says why.
    #[error("the sheets cannot be written: {0}")]
    Writing(String),
}

/// The letters of the drawings.
struct Letters {
    plain: Font,
    bold: Font,
}

impl Letters {
    fn own() -> Self {
        let font = |bytes: &'static [u8]| Font::new(bytes.to_vec().into(), 0).expect("our own letters can be read");
        Self {
            plain: font(include_bytes!("../../../assets/fonts/Lato-Regular.ttf")),
            bold: font(include_bytes!("../../../assets/fonts/Lato-Bold.ttf")),
        }
    }
}

/// Drawings one after the other, each a page of its own size in printer's points.
///
/// # Errors
/// [`PdfTrouble`].
pub fn pdf(title: &str, sheets: &[Drawing]) -> Result<Vec<u8>, PdfTrouble> {
    let letters = Letters::own();
    let mut document = Document::new();
    document.set_metadata(Metadata::new().title(cleaned(title)).creator("Hillwire".to_owned()));
    for sheet in sheets {
        let unprintable = PdfTrouble::Page { width: sheet.width, height: sheet.height };
        let size = PageSettings::from_wh(sheet.width as f32, sheet.height as f32).ok_or(unprintable)?;
        let mut page = document.start_page_with(size);
        let mut surface = page.surface();
        sheet.shapes.iter().for_each(|shape| draw(&mut surface, shape, &letters));
        surface.finish();
        page.finish();
    }
    document.finish().map_err(|trouble| PdfTrouble::Writing(format!("{trouble:?}")))
}

fn draw(surface: &mut Surface, shape: &Shape, letters: &Letters) {
    match shape {
        Shape::Line(places, pen) => stroked(surface, path(places, Ends::Open), *pen),
        Shape::Area(places, ink, opacity) => filled(surface, path(places, Ends::Joined), ink, *opacity),
        Shape::Disc(at, radius, ink) => filled(surface, circle(*at, *radius), ink, 1.0),
        Shape::Ring(at, radius, pen) => stroked(surface, circle(*at, *radius), *pen),
        Shape::Words(at, words, how) => written(surface, *at, words, *how, letters),
    }
}

fn colour(ink: &str) -> rgb::Color {
    let [red, green, blue] = parts(ink);
    rgb::Color::new(red, green, blue)
}

fn stroked(surface: &mut Surface, path: Option<Path>, pen: Pen) {
    let Some(path) = path else { return };
    let array: Vec<f32> = pen.dashes.iter().map(|part| *part as f32).collect();
    let dash = (!array.is_empty()).then_some(StrokeDash { array, offset: 0.0 });
    surface.set_fill(None);
    surface.set_stroke(Some(Stroke {
        paint: colour(pen.ink).into(),
        width: pen.width as f32,
        line_cap: LineCap::Butt,
        line_join: LineJoin::Round,
        dash,
        ..Stroke::default()
    }));
    surface.draw_path(&path);
}

fn filled(surface: &mut Surface, path: Option<Path>, ink: &str, opacity: f64) {
    let Some(path) = path else { return };
    surface.set_stroke(None);
    surface.set_fill(Some(fill(ink, opacity)));
    surface.draw_path(&path);
}

fn fill(ink: &str, opacity: f64) -> Fill {
    let opacity = NormalizedF32::new(opacity as f32).unwrap_or(NormalizedF32::ONE);
    Fill { paint: colour(ink).into(), opacity, rule: Default::default() }
}

enum Ends {
    Open,
    Joined,
}

fn path(places: &[Place], ends: Ends) -> Option<Path> {
    let mut builder = PathBuilder::new();
    let mut points = places.iter().map(|(x, y)| (*x as f32, *y as f32));
    let (x, y) = points.next()?;
    builder.move_to(x, y);
    points.for_each(|(x, y)| builder.line_to(x, y));
    if matches!(ends, Ends::Joined) {
        builder.close();
    }
    builder.finish()
}

/// Four curves whose middles lie on the circle within 0.03 % of its radius.
fn circle((x, y): Place, radius: f64) -> Option<Path> {
    const REACH: f64 = 0.552_284_75;
    let at = |dx: f64, dy: f64| ((x + dx * radius) as f32, (y + dy * radius) as f32);
    let mut builder = PathBuilder::new();
    let (left, top) = at(1.0, 0.0);
    builder.move_to(left, top);
    let mut from = (1.0, 0.0);
    for to in [(0.0, 1.0), (-1.0, 0.0), (0.0, -1.0), (1.0, 0.0)] {
        let (one, two) = (at(from.0 + to.0 * REACH, from.1 + to.1 * REACH), at(to.0 + from.0 * REACH, to.1 + from.1 * REACH));
        let end = at(to.0, to.1);
        builder.cubic_to(one.0, one.1, two.0, two.1, end.0, end.1);
        from = to;
    }
    builder.close();
    builder.finish()
}

fn written(surface: &mut Surface, (x, y): Place, words: &str, how: Type, letters: &Letters) {
    let font = if how.bold { &letters.bold } else { &letters.plain };
    let left = match how.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => 0.5,
        Anchor::End => 1.0,
    };
    let width = if left > 0.0 { super::letters::width(words, how) } else { 0.0 };
    surface.set_stroke(None);
    surface.set_fill(Some(fill(how.ink, 1.0)));
    let start = Point::from_xy((x - left * width) as f32, y as f32);
    surface.draw_text(start, font.clone(), how.size as f32, words, false, TextDirection::Auto);
}
