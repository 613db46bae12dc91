//! How wide words are in the program's own letters.

use super::drawing::Type;
use rustybuzz::{Face, UnicodeBuffer, shape};

/// The width of words, in the unit of their size.
pub(super) fn width(words: &str, how: Type) -> f64 {
    let bytes: &[u8] = if how.bold {
        include_bytes!("../../../assets/fonts/Lato-Bold.ttf")
    } else {
        include_bytes!("../../../assets/fonts/Lato-Regular.ttf")
    };
    let Some(face) = Face::from_slice(bytes, 0) else { return 0.0 };
    let mut buffer = UnicodeBuffer::new();
    buffer.push_str(words);
    let glyphs = shape(&face, &[], buffer);
    let units: i64 = glyphs.glyph_positions().iter().map(|glyph| i64::from(glyph.x_advance)).sum();
    units as f64 * how.size / f64::from(face.units_per_em())
}
