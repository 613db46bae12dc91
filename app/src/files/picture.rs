//! Pictures for others: a drawing as SVG made into PNG, with the program's own letters.

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree, fontdb};
use std::sync::Arc;

/// A drawing that cannot be made into a picture.
#[derive(Debug, thiserror::Error)]
pub enum PictureTrouble {
    /// The drawing is no SVG.
    #[error("the drawing cannot be read: {0}")]
    Drawing(String),
    /// It is too large or empty.
    #[error("a picture of {width} × {height} points cannot be made")]
    Size {
        /// Across.
        width: u32,
        /// Down.
        height: u32,
    },
    /// The picture cannot be packed.
    #[error("the picture cannot be packed: {0}")]
    Packing(String),
}

/// Points of the picture for each of the drawing: sharp in print at the width of a page.
const POINTS: f32 = 1.5;

/// A picture in memory.
pub struct Look {
    /// Points across.
    pub width: usize,
    /// Points down.
    pub height: usize,
    /// Red, green, blue and opacity, row by row.
    pub rgba: Vec<u8>,
}

/// The drawing as a picture in memory.
///
/// # Errors
/// [`PictureTrouble`].
pub fn look_of(svg: &[u8]) -> Result<Look, PictureTrouble> {
    let picture = drawn(svg)?;
    let (width, height) = (picture.width() as usize, picture.height() as usize);
    // Paper covers everything: no point is see-through.
    Ok(Look { width, height, rgba: picture.take() })
}

/// The drawing as PNG.
///
/// # Errors
/// [`PictureTrouble`].
pub fn png_of(svg: &[u8]) -> Result<Vec<u8>, PictureTrouble> {
    drawn(svg)?.encode_png().map_err(|trouble| PictureTrouble::Packing(trouble.to_string()))
}

fn drawn(svg: &[u8]) -> Result<Pixmap, PictureTrouble> {
    let mut letters = fontdb::Database::new();
    letters.load_font_data(include_bytes!("../../../assets/fonts/Lato-Regular.ttf").to_vec());
    letters.load_font_data(include_bytes!("../../../assets/fonts/Lato-Bold.ttf").to_vec());
    letters.set_sans_serif_family("Lato");
    let options = Options { fontdb: Arc::new(letters), ..Options::default() };
    let tree = Tree::from_data(svg, &options).map_err(|trouble| PictureTrouble::Drawing(trouble.to_string()))?;
    let size = tree.size();
    let [width, height] = [size.width(), size.height()].map(|side| (side * POINTS).ceil() as u32);
    let mut picture = Pixmap::new(width, height).ok_or(PictureTrouble::Size { width, height })?;
    resvg::render(&tree, Transform::from_scale(POINTS, POINTS), &mut picture.as_mut());
    Ok(picture)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drawing_becomes_a_picture_with_letters_in_it() {
        let svg = |words: &str| {
            let text = format!(
                "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"80\" height=\"40\" font-family=\"Lato, sans-serif\">\
                 <rect width=\"100%\" height=\"100%\" fill=\"#fff\"/><text x=\"4\" y=\"30\" font-size=\"24\">{words}</text></svg>"
            );
            image::load_from_memory(&png_of(text.as_bytes()).expect("drawn")).expect("a picture").to_luma8()
        };
        let (empty, written) = (svg(""), svg("Hill"));
        assert_eq!((written.width(), written.height()), (120, 60));
        let dark = |picture: &image::GrayImage| picture.pixels().filter(|pixel| pixel.0[0] < 128).count();
        assert_eq!(dark(&empty), 0);
        assert!(dark(&written) > 100, "{}", dark(&written));
        assert!(png_of(b"no drawing").is_err());
    }
}
