//! What the ground is coloured by on the stage Land: a picture over the relief, made off the drawing thread.

use super::view::View;
use crate::worker::Arrived;
use egui::{Color32, ColorImage, Mesh, Painter, Pos2, Rect, TextureHandle, TextureOptions, pos2};
use hillwire_core::land::{MapPoint, MapRect, Seen, WorkingGrid};
use hillwire_core::site::{FARTHEST_SEEN, Reach};
use hillwire_core::units::Length;
use rayon::prelude::*;
use std::sync::Arc;

/// What the ground is coloured by.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum LandLook {
    /// How steep it is.
    #[default]
    Slope,
    /// How long it takes on foot from the nearest usable track.
    Walk,
    /// Whether it is seen from the usable tracks.
    Seen,
}

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

/// Longest walk of each class, minutes; the last class is what nobody gets to.
const WALKS_MIN: [f64; 4] = [2.0, 5.0, 10.0, f64::INFINITY];

/// The classes of walking times.
pub const WALK_CLASSES: [LookClass; 5] = [
    class("up to 2 minutes", Color32::from_rgb(0, 158, 115), Filling::Plain),
    class("2 to 5 minutes", Color32::from_rgb(240, 228, 66), Filling::Plain),
    class("5 to 10 minutes", Color32::from_rgb(230, 159, 0), Filling::Stripes),
    class("more than 10 minutes", Color32::from_rgb(190, 72, 0), Filling::Plain),
    class("nobody gets there", Color32::from_rgb(70, 60, 70), Filling::Crossed),
];

/// The classes of sight.
pub const SEEN_CLASSES: [LookClass; 3] = [
    class("seen all the year", Color32::from_rgb(0, 158, 115), Filling::Plain),
    class("seen once the leaves have fallen", Color32::from_rgb(230, 159, 0), Filling::Stripes),
    class("hidden", Color32::from_rgb(80, 60, 110), Filling::Plain),
];

const fn class(text: &'static str, colour: Color32, filling: Filling) -> LookClass {
    LookClass { text, colour, filling }
}

/// Height over the ground that is looked for from the tracks: the top of a low fence.
pub const LOOKED_FOR: Length = Length::metres(1.0);

impl LandLook {
    /// All looks with their names and what they show.
    pub const ALL: [(Self, &'static str, &'static str); 3] = [
        (Self::Slope, "slope", "How steep the ground is"),
        (Self::Walk, "minutes on foot", "How long it takes on foot, with tools, from the nearest usable track"),
        (Self::Seen, "seen from the tracks", "Whether something 1 m high is seen from the seat on a usable track, within 300 m"),
    ];

    /// Its classes, for the key; none where it has a key of its own.
    pub fn classes(self) -> &'static [LookClass] {
        match self {
            Self::Slope => &[],
            Self::Walk => &WALK_CLASSES,
            Self::Seen => &SEEN_CLASSES,
        }
    }
}

/// Tells one picture from another: the look, and what it was made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LookKey {
    look: LandLook,
    made_of: usize,
}

impl LookKey {
    /// The picture of a look that needs one.
    pub fn of(look: LandLook, reach: &Arc<Reach>) -> Option<Self> {
        let has_one = look != LandLook::Slope && reach.walking.is_some();
        has_one.then(|| Self { look, made_of: Arc::as_ptr(reach).addr() })
    }
}

/// What the ground is coloured by, with its picture.
#[derive(Clone, Default)]
pub struct LookView {
    /// The look.
    pub by: LandLook,
    /// The picture that came last.
    pub picture: Option<LookPicture>,
    /// What was asked for last; what it is made of is kept, so that nothing else can come to lie at its address.
    asked: Option<(LookKey, Arc<Reach>)>,
}

impl LookView {
    /// The picture that has to be made now, once for each; what is no longer wanted is put away.
    pub fn follow(&mut self, reach: &Arc<Reach>) -> Option<LookRequest> {
        let wanted = LookKey::of(self.by, reach);
        if wanted == self.asked.as_ref().map(|(key, _)| *key) {
            return None;
        }
        self.asked = wanted.map(|key| (key, Arc::clone(reach)));
        if wanted.is_none_or(|key| self.picture.as_ref().is_some_and(|picture| picture.key.look != key.look)) {
            self.picture = None;
        }
        wanted.map(|key| LookRequest { key, reach: Arc::clone(reach) })
    }

    /// Takes a picture in, unless another one is wanted by now.
    pub fn take(&mut self, picture: LookPicture) {
        if self.asked.as_ref().is_some_and(|(key, _)| *key == picture.key) {
            self.picture = Some(picture);
        }
    }
}

/// A picture to be made.
pub struct LookRequest {
    /// Its name.
    pub key: LookKey,
    /// What it is made of.
    pub reach: Arc<Reach>,
}

/// A picture of the ground in classes.
#[derive(Clone)]
pub struct LookPicture {
    /// Its name.
    pub key: LookKey,
    /// The picture, north up.
    pub image: Arc<ColorImage>,
    /// Where it lies on the map.
    pub rect: MapRect,
}

/// Most pixels along a side of a picture.
const MOST_PIXELS: usize = 2048;
/// Pixels to a cell, as long as the picture stays small enough.
const PIXELS_TO_A_CELL: usize = 6;

impl LookRequest {
    /// Makes it.
    pub fn paint(&self) -> Arrived {
        let walking = self.reach.walking.as_ref().expect("asked for only where there is a way on foot");
        let grid = walking.grid();
        let class_of = |cell: usize| -> Option<LookClass> {
            match self.key.look {
                LandLook::Walk => Some(walk_class(walking.there_s()[cell])).filter(|_| grid.heights_m()[cell].is_finite()),
                _ => seen_class(&self.reach, grid.centre_of(cell)),
            }
        };
        let classes: Vec<Option<LookClass>> = (0..grid.heights_m().len()).into_par_iter().map(class_of).collect();
        Arrived::Look(LookPicture { key: self.key, image: Arc::new(image_of(grid, &classes)), rect: grid.extent() })
    }
}

fn walk_class(seconds: f64) -> LookClass {
    let minutes = seconds / 60.0;
    let index = WALKS_MIN.iter().position(|most| minutes <= *most && minutes.is_finite());
    WALK_CLASSES[index.unwrap_or(WALKS_MIN.len())]
}

fn seen_class(reach: &Reach, at: MapPoint) -> Option<LookClass> {
    let is_near = reach.tracks.nearest_m(at).is_some_and(|off_m| off_m <= FARTHEST_SEEN.as_metres());
    let seen = reach.look_out.as_ref().filter(|_| is_near)?.sees(at, LOOKED_FOR)?;
    Some(match seen {
        Seen { summer: true, .. } => SEEN_CLASSES[0],
        Seen { leaf_off: true, .. } => SEEN_CLASSES[1],
        Seen { .. } => SEEN_CLASSES[2],
    })
}

fn image_of(grid: &WorkingGrid, classes: &[Option<LookClass>]) -> ColorImage {
    let longest = grid.columns().max(grid.rows());
    let scale = (MOST_PIXELS / longest).clamp(1, PIXELS_TO_A_CELL);
    let (width, height) = (grid.columns() * scale, grid.rows() * scale);
    let mut pixels = vec![Color32::TRANSPARENT; width * height];
    pixels.par_chunks_mut(width).enumerate().for_each(|(y, line)| {
        for (x, pixel) in line.iter_mut().enumerate() {
            if let Some(class) = classes[grid.index(x / scale, y / scale)] {
                *pixel = class.pixel(x, y);
            }
        }
    });
    ColorImage::new([width, height], pixels)
}

impl LookClass {
    /// Its colour at a pixel.
    fn pixel(&self, x: usize, y: usize) -> Color32 {
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

/// The picture as the graphics card has it.
#[derive(Default)]
pub struct LookTexture {
    drawn: Option<(LookKey, TextureHandle)>,
}

impl LookTexture {
    /// Draws a picture over the relief.
    pub fn draw(&mut self, painter: &Painter, pane: Rect, view: &View, picture: &LookPicture) {
        if self.drawn.as_ref().is_none_or(|(key, _)| *key != picture.key) {
            let texture = painter.ctx().load_texture("look", ColorImage::clone(&picture.image), TextureOptions::LINEAR);
            self.drawn = Some((picture.key, texture));
        }
        let Some((_, texture)) = &self.drawn else { return };
        let MapRect { min, max } = picture.rect;
        let corner = |x_m: f64, y_m: f64| -> Pos2 { view.at_screen(pane, MapPoint::new(x_m, y_m)) };
        let rect = Rect::from_two_pos(corner(min.x_m, max.y_m), corner(max.x_m, min.y_m));
        let mut mesh = Mesh::with_texture(texture.id());
        mesh.add_rect_with_uv(rect, Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0)), Color32::WHITE);
        painter.add(mesh);
    }
}
