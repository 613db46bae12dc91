//! What the ground is coloured by on the stage Land: a picture over the relief, made off the drawing thread.

use super::filling::{Filling, LookClass};
use super::view::View;
use crate::worker::Arrived;
use egui::{Color32, ColorImage, Mesh, Painter, Pos2, Rect, TextureHandle, TextureOptions, pos2};
use hillwire_core::finding::{Finding, Rule};
use hillwire_core::land::{MapPoint, MapRect, Seen, WorkingGrid};
use hillwire_core::outcome::{LineOutcome, Outcome};
use hillwire_core::site::{FARTHEST_SEEN, HillRunners, Reach, Water};
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
    /// How much ground drains through it.
    Water,
    /// How wet it tends to be for its place.
    Wet,
    /// Where running animals pass.
    Runners,
    /// What the keeper says of the ground, zone by zone.
    Zones,
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

/// The classes of water: how much ground drains through a cell.
pub const WATER_CLASSES: [LookClass; 3] = [
    class("half a hectare to 2 ha drain here", Color32::from_rgb(86, 180, 233), Filling::Stripes),
    class("2 to 5 ha drain here", Color32::from_rgb(0, 114, 178), Filling::Plain),
    class("5 ha and more: a channel", Color32::from_rgb(8, 40, 110), Filling::Plain),
];
const WATER_FROM_HA: [f64; 3] = [0.5, 2.0, 5.0];

/// The classes of wetness, by the index ln(a / tan b).
pub const WET_CLASSES: [LookClass; 2] = [
    class("damp for its place", Color32::from_rgb(86, 180, 233), Filling::Stripes),
    class("probably wet", Color32::from_rgb(0, 90, 160), Filling::Plain),
];
const WET_FROM: [f64; 2] = [8.0, 9.0];

/// The classes of running animals: how many pass, held against the mean of this ground; and where those of a chosen stretch start.
pub const RUNNER_CLASSES: [LookClass; 4] = [
    class("2 to 4 times as many as on average", Color32::from_rgb(240, 228, 66), Filling::Plain),
    class("4 to 8 times as many", Color32::from_rgb(230, 159, 0), Filling::Stripes),
    class("more than 8 times as many", Color32::from_rgb(190, 72, 0), Filling::Plain),
    class("from here to the chosen stretch", Color32::from_rgb(110, 60, 150), Filling::Crossed),
];
const RUNNERS_FROM: [f64; 3] = [2.0, 4.0, 8.0];

const fn class(text: &'static str, colour: Color32, filling: Filling) -> LookClass {
    LookClass { text, colour, filling }
}

/// Height over the ground that is looked for from the tracks: the top of a low fence.
pub const LOOKED_FOR: Length = Length::metres(1.0);

impl LandLook {
    /// All looks with their names and what they show.
    pub const ALL: [(Self, &'static str, &'static str); 7] = [
        (Self::Slope, "slope", "How steep the ground is"),
        (Self::Walk, "minutes on foot", "How long it takes on foot, with tools, from the nearest usable track"),
        (Self::Seen, "seen from the tracks", "Whether something 1 m high is seen from the seat on a usable track, within 300 m"),
        (
            Self::Water,
            "water",
            "How much ground drains through each place, by the elevation grid; pipes and ditches that nobody drew are not in it",
        ),
        (Self::Wet, "wet ground", "Where much ground drains to and it hardly falls; go and see after rain"),
        (
            Self::Runners,
            "running animals",
            "Where animals that run downhill pass; choose a finding about them to see where nine in ten of those at its stretch start",
        ),
        (Self::Zones, "zones", "What you drew of soil, rock, wet ground, wood and ground to keep out of"),
    ];

    /// Its classes, for the key; none where it has a key of its own.
    pub fn classes(self) -> &'static [LookClass] {
        match self {
            Self::Slope | Self::Zones => &[],
            Self::Walk => &WALK_CLASSES,
            Self::Seen => &SEEN_CLASSES,
            Self::Water => &WATER_CLASSES,
            Self::Wet => &WET_CLASSES,
            Self::Runners => &RUNNER_CLASSES,
        }
    }
}

/// Tells one picture from another: the look, what it was made of, and the stretch of line that is chosen, by its stations in millimetres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LookKey {
    look: LandLook,
    made_of: usize,
    stretch: Option<(usize, i64, i64)>,
}

/// What pictures are made of.
#[derive(Clone)]
pub struct LookGround {
    reach: Arc<Reach>,
    water: Option<Arc<Water>>,
    runners: Option<Arc<HillRunners>>,
    stretch: Option<Stretch>,
}

/// A stretch of a line at which running animals arrive.
#[derive(Clone)]
struct Stretch {
    line: Arc<LineOutcome>,
    from: Length,
    until: Length,
}

impl LookGround {
    /// Of what follows from the plan; `finding` is the one that is chosen.
    pub fn of(outcome: &Outcome, finding: Option<&Finding>) -> Self {
        let stretch = |finding: &Finding| {
            let place = Some(&finding.place).filter(|_| matches!(finding.rule, Rule::Strikes | Rule::StrikeWire))?;
            let line = outcome.lines.iter().find(|line| Some(&line.id) == place.line.as_ref())?;
            Some(Stretch { line: Arc::clone(line), from: place.station?, until: place.until? })
        };
        Self {
            reach: Arc::clone(&outcome.reach),
            water: outcome.water.clone(),
            runners: outcome.runners.clone(),
            stretch: finding.and_then(stretch),
        }
    }

    /// Whether there is anything to show by a look.
    pub fn shows(&self, look: LandLook) -> bool {
        self.key(look).is_some()
    }

    fn key(&self, look: LandLook) -> Option<LookKey> {
        let made_of = match look {
            LandLook::Slope | LandLook::Zones => None,
            LandLook::Walk | LandLook::Seen => self.reach.walking.is_some().then(|| Arc::as_ptr(&self.reach).addr()),
            LandLook::Water | LandLook::Wet => self.water.as_ref().map(|water| Arc::as_ptr(water).addr()),
            LandLook::Runners => self.runners.as_ref().map(|runners| Arc::as_ptr(runners).addr()),
        };
        let millimetres = |length: Length| (length.as_metres() * 1000.0).round() as i64;
        let stretch = self.stretch.as_ref().filter(|_| look == LandLook::Runners);
        let stretch = stretch.map(|at| (Arc::as_ptr(&at.line).addr(), millimetres(at.from), millimetres(at.until)));
        made_of.map(|made_of| LookKey { look, made_of, stretch })
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
    asked: Option<(LookKey, LookGround)>,
}

impl LookView {
    /// The picture that has to be made now, once for each; what is no longer wanted is put away.
    pub fn follow(&mut self, ground: &LookGround) -> Option<LookRequest> {
        let wanted = ground.key(self.by);
        if wanted == self.asked.as_ref().map(|(key, _)| *key) {
            return None;
        }
        self.asked = wanted.map(|key| (key, ground.clone()));
        if wanted.is_none_or(|key| self.picture.as_ref().is_some_and(|picture| picture.key.look != key.look)) {
            self.picture = None;
        }
        wanted.map(|key| LookRequest { key, ground: ground.clone() })
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
    pub ground: LookGround,
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
        let ground = &self.ground;
        let picture = match self.key.look {
            LandLook::Water | LandLook::Wet => ground.water.as_ref().map(|water| water_classes(self.key.look, water)),
            LandLook::Runners => ground.runners.as_ref().map(|runners| runner_classes(runners, ground.stretch.as_ref())),
            LandLook::Slope | LandLook::Zones | LandLook::Walk | LandLook::Seen => reach_classes(self.key.look, &ground.reach),
        };
        let (grid, classes) = picture.expect("asked for only where there is something to show");
        Arrived::Look(LookPicture { key: self.key, image: Arc::new(image_of(grid, &classes)), rect: grid.extent() })
    }
}

type Classes<'a> = (&'a WorkingGrid, Vec<Option<LookClass>>);

fn reach_classes(look: LandLook, reach: &Reach) -> Option<Classes<'_>> {
    let walking = reach.walking.as_ref()?;
    let grid = walking.grid();
    let class_of = |cell: usize| match look {
        LandLook::Walk => Some(walk_class(walking.there_s()[cell])).filter(|_| grid.heights_m()[cell].is_finite()),
        _ => seen_class(reach, grid.centre_of(cell)),
    };
    Some((grid, each_cell(grid, class_of)))
}

fn each_cell(grid: &WorkingGrid, class_of: impl Fn(usize) -> Option<LookClass> + Send + Sync) -> Vec<Option<LookClass>> {
    (0..grid.heights_m().len()).into_par_iter().map(class_of).collect()
}

fn water_classes(look: LandLook, water: &Water) -> Classes<'_> {
    let class_of = |cell: usize| match look {
        LandLook::Water => last_class(&WATER_CLASSES, &WATER_FROM_HA, water.drainage().upslope(cell).as_hectares()),
        _ => last_class(&WET_CLASSES, &WET_FROM, water.wetness_of(cell)?),
    };
    (water.grid(), each_cell(water.grid(), class_of))
}

fn runner_classes<'a>(runners: &'a HillRunners, stretch: Option<&Stretch>) -> Classes<'a> {
    let grid = runners.grid();
    let known = || (0..grid.heights_m().len()).filter(|cell| grid.heights_m()[*cell].is_finite());
    let mean = known().map(|cell| runners.passing(cell)).sum::<f64>() / known().count().max(1) as f64;
    let mut classes = each_cell(grid, |cell| last_class(&RUNNER_CLASSES, &RUNNERS_FROM, runners.passing(cell) / mean));
    let hillside = stretch.and_then(|at| runners.hillside(&at.line.section, at.from, at.until));
    for cell in hillside.into_iter().flat_map(|hillside| hillside.cells) {
        classes[cell] = Some(RUNNER_CLASSES[3]);
    }
    (grid, classes)
}

/// The last class that a value reaches.
fn last_class(classes: &[LookClass], from: &[f64], value: f64) -> Option<LookClass> {
    from.iter().rposition(|from| value >= *from).map(|index| classes[index])
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
