//! How wide words are in the program's own letters.

use super::drawing::Type;
use rustybuzz::{Face, UnicodeBuffer, shape};
use std::sync::OnceLock;

/// The width of words, in the unit of their size.
pub(super) fn width(words: &str, how: Type) -> f64 {
    let Some(face) = face(how) else { return 0.0 };
    let mut buffer = UnicodeBuffer::new();
    buffer.push_str(words);
    let glyphs = shape(face, &[], buffer);
    let units: i64 = glyphs.glyph_positions().iter().map(|glyph| i64::from(glyph.x_advance)).sum();
    units as f64 * how.size / f64::from(face.units_per_em())
}

/// The letters, read once: reading them takes far longer than measuring a word.
fn face(how: Type) -> Option<&'static Face<'static>> {
    static PLAIN: OnceLock<Option<Face<'static>>> = OnceLock::new();
    static BOLD: OnceLock<Option<Face<'static>>> = OnceLock::new();
    let (face, bytes): (_, &[u8]) = if how.bold {
        (&BOLD, include_bytes!("../../../assets/fonts/Lato-Bold.ttf"))
    } else {
        (&PLAIN, include_bytes!("../../../assets/fonts/Lato-Regular.ttf"))
    };
    face.get_or_init(|| Face::from_slice(bytes, 0)).as_ref()
}
