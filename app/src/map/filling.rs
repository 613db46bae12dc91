//! How classes of ground are filled: colours with patterns, so that they are told apart without the colour too.

use egui::{Color32, ColorImage, Mesh, Painter, Rect, TextureHandle, TextureOptions};

/// How a class is filled, so that it is told apart without its colour too.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Filling {
    /// All over.
    Plain,
    /// Stripes from lower left to upper right.
    Stripes,
    /// Crossed stripes.
    Crossed,
}

/// One class of a look.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LookClass {
    /// What it means.
    pub text: &'static str,
    /// Its colour.
    pub colour: Color32,
    /// How it is filled.
    pub filling: Filling,
}

/// How each sort of zone is filled: told apart without its colour too.
pub const ZONE_FILLINGS: [(&str, Color32, Filling); 6] = [
    ("rock", Color32::from_rgb(70, 60, 70), Filling::Crossed),
    ("wet", Color32::from_rgb(0, 114, 178), Filling::Stripes),
    ("wood", Color32::from_rgb(128, 168, 96), Filling::Plain),
    ("soil", Color32::from_rgb(190, 72, 0), Filling::Stripes),
    ("crop", Color32::from_rgb(240, 228, 66), Filling::Plain),
    ("keep_out", Color32::from_rgb(204, 121, 167), Filling::Crossed),
];

/// Side of the pattern of a filling, pixels: it repeats.
const PATTERN: usize = 12;

/// The pattern of a class as a texture that repeats, made once, and how many points it is wide.
pub fn pattern(ctx: &egui::Context, class: &LookClass) -> (TextureHandle, f32) {
    let id = egui::Id::unique(("pattern", class.colour, class.filling as u8));
    let made = ctx.data(|memory| memory.get_temp::<TextureHandle>(id)).unwrap_or_else(|| {
        let pixels = (0..PATTERN * PATTERN).map(|k| class.pixel(k % PATTERN, k / PATTERN)).collect();
        let options = TextureOptions { wrap_mode: egui::TextureWrapMode::Repeat, ..TextureOptions::NEAREST };
        let made = ctx.load_texture("pattern", ColorImage::new([PATTERN, PATTERN], pixels), options);
        ctx.data_mut(|memory| memory.insert_temp(id, made.clone()));
        made
    });
    (made, PATTERN as f32)
}

impl LookClass {
    /// Its colour at a pixel.
    pub fn pixel(&self, x: usize, y: usize) -> Color32 {
        let strong = match self.filling {
            Filling::Plain => true,
            Filling::Stripes => (x + y) % 6 < 3,
            Filling::Crossed => (x + y) % 6 < 2 || (x + 6000 - y % 6000) % 6 < 2,
        };
        self.colour.gamma_multiply(if strong { 0.55 } else { 0.16 })
    }

    /// Its swatch in a key.
    pub fn swatch(&self, painter: &Painter, rect: Rect) {
        // Rectangles of one pixel would vanish in the smoothing of edges; a mesh has none.
        let mut mesh = Mesh::default();
        for y in 0..rect.height() as usize {
            for x in 0..rect.width() as usize {
                let at = rect.min + egui::vec2(x as f32, y as f32);
                mesh.add_colored_rect(Rect::from_min_size(at, egui::Vec2::splat(1.0)), self.pixel(x, y));
            }
        }
        painter.add(mesh);
    }
}
