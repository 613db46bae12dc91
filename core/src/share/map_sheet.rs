//! The map of a plan on a sheet of paper, to scale: north, a scale bar, a grid of coordinates, a key to the signs, cautions.

use super::clip::Frame as PaperFrame;
use super::drawing::{Anchor, Drawing, Pen, Place, Type, wrapped};
use super::map_marks::{Key, furniture, ink_of, key_of, sign_of};
use super::map_round;
use super::recipient::{Audience, Part};
use super::sheet_paper::{BODY, HEADING, INK, MARGIN, Paper, Turned, foot, inside};
use super::shown::{Shown, ShownShape, shown};
use super::signs::{self, meaning};
use crate::finding::Weight;
use crate::hold::{Post, PostRole};
use crate::land::{Frame, Ground, MapPoint, MapRect, Position};
use crate::outcome::Outcome;
use crate::plan::{Kind, Plan, UnitSystem};
use crate::round::{How, Round};

/// What is drawn.
pub struct MapSheet<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// What follows from it.
    pub outcome: &'a Outcome,
    /// The ground, for contour lines.
    pub ground: Option<&'a Ground>,
    /// Who gets it.
    pub to: Audience,
    /// What it is printed on.
    pub paper: Paper,
    /// Metres on the ground for one on paper; the largest picture that fits without it.
    pub scale: Option<u32>,
    /// The way round, for who goes it.
    pub round: Option<&'a Round>,
    /// What is written on it.
    pub words: MapWords,
}

/// What is written on a map sheet.
pub struct MapWords {
    /// Above everything.
    pub title: String,
    /// Under the title.
    pub facts: Vec<String>,
    /// At the foot.
    pub cautions: Vec<String>,
    /// Of a scale.
    pub scale: fn(u32) -> String,
    /// Of contour lines so far apart, in metres.
    pub contours: fn(f64) -> String,
    /// Of a way that is ridden, and of one that is walked.
    pub round: [&'static str; 2],
}

/// Why there is no sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum MapTrouble {
    /// Nothing that could be shown is drawn.
    #[error("nothing is drawn that could be shown on a map")]
    Nothing,
    /// It does not fit.
    #[error("at 1 : {scale} the plan does not fit on the sheet; 1 : {fits} does")]
    TooLarge {
        /// What was asked for.
        scale: u32,
        /// The largest picture that fits.
        fits: u32,
    },
    /// More would stand on the sheet than the map stays true for.
    #[error("found a map at 1 : {scale}; allowed are scales up to 1 : {SMALLEST}")]
    TooSmall {
        /// What was asked for.
        scale: u32,
    },
}

/// A sheet at this scale shows 300 km across.
const SMALLEST: u32 = 1_000_000;

/// Scales that people can reckon with.
const SCALES: [u32; 20] = [
    100, 200, 250, 500, 1000, 1250, 1500, 2000, 2500, 3000, 4000, 5000, 7500, 10_000, 20_000, 25_000, 50_000, 100_000, 250_000,
    500_000,
];
/// Printer's points to a metre.
pub(super) const POINTS_PER_M: f64 = 72.0 / 0.0254;
/// Paper left free round the plan, points.
const ROOM: f64 = 22.0;
/// A sheet while it is drawn.
pub(super) struct Sheet<'a> {
    pub drawing: Drawing,
    pub of: &'a MapSheet<'a>,
    pub frame: Frame,
    /// The part of the paper that holds the map.
    pub map: PaperFrame,
    pub middle: MapPoint,
    pub points_per_m: f64,
    pub scale: u32,
    taken: Vec<PaperFrame>,
    pub contour_m: Option<f64>,
}

/// Draws it.
///
/// # Errors
/// [`MapTrouble`].
pub fn map_sheet(of: &MapSheet) -> Result<Drawing, MapTrouble> {
    let all = shown(of.plan, of.outcome, of.to);
    let frame = of.outcome.frame.ok_or(MapTrouble::Nothing)?;
    let rect = extent(&all, frame).ok_or(MapTrouble::Nothing)?;
    let mut keys = keys(&all, of.to);
    if let Some(round) = of.round {
        keys.extend(round_keys(round, of.words.round));
    }
    let fits = |turned: Turned| {
        let map = map_frame(of, keys.len(), turned);
        let need = ((rect.max.x_m - rect.min.x_m) / (map.width() - 2.0 * ROOM))
            .max((rect.max.y_m - rect.min.y_m) / (map.height() - 2.0 * ROOM));
        SCALES.into_iter().find(|scale| f64::from(*scale) >= need * POINTS_PER_M).unwrap_or(SCALES[SCALES.len() - 1])
    };
    let turned = if fits(Turned::Across) < fits(Turned::Upright) { Turned::Across } else { Turned::Upright };
    let fits = fits(turned);
    let scale = of.scale.unwrap_or(fits);
    if scale > SMALLEST {
        return Err(MapTrouble::TooSmall { scale });
    }
    if scale < fits {
        return Err(MapTrouble::TooLarge { scale, fits });
    }
    let (width, height) = of.paper.points(turned);
    let mut sheet = Sheet {
        drawing: Drawing::sheet(width, height, &of.words.title),
        of,
        frame,
        map: map_frame(of, keys.len(), turned),
        middle: rect.centre(),
        points_per_m: POINTS_PER_M / f64::from(scale),
        scale,
        taken: Vec::new(),
        contour_m: None,
    };
    sheet.draw(&all, &keys);
    Ok(sheet.drawing)
}

/// Where the map lies: under the title, above the key and the cautions.
fn map_frame(of: &MapSheet, keys: usize, turned: Turned) -> PaperFrame {
    let (width, height) = of.paper.points(turned);
    let paper = inside(width, height);
    let top = paper.top + 24.0 + 12.0 * of.words.facts.len() as f64;
    let below = 46.0 + 12.0 * keys.div_ceil(key_columns(width)) as f64 + 10.0 * cautions(of, width).len() as f64;
    PaperFrame { top, bottom: paper.bottom - below, ..paper }
}

fn key_columns(width: f64) -> usize {
    if width > 700.0 { 5 } else { 4 }
}

fn cautions(of: &MapSheet, width: f64) -> Vec<String> {
    let letters = ((width - 2.0 * MARGIN) / 3.9) as usize;
    of.words.cautions.iter().flat_map(|caution| wrapped(caution, letters)).collect()
}

/// The ground that the fence and its paddocks cover; all that is drawn where there is no fence.
fn extent(all: &[Shown], frame: Frame) -> Option<MapRect> {
    let is_fence = |one: &&Shown| {
        matches!(
            one.feature.kind,
            Kind::Fence(_) | Kind::LeadOut(_) | Kind::Gate(_) | Kind::Energizer(_) | Kind::Earth { .. } | Kind::Paddock(_)
        )
    };
    let around = |things: Vec<&Shown>| MapRect::around(things.into_iter().flat_map(|one| on_map(&one.shape, frame)));
    around(all.iter().filter(is_fence).collect()).or_else(|| around(all.iter().collect()))
}

fn on_map(shape: &ShownShape, frame: Frame) -> Vec<MapPoint> {
    let points = |places: &[Position]| places.iter().filter_map(|at| frame.to_map(*at).ok()).collect::<Vec<_>>();
    match shape {
        ShownShape::Point(at) => points(&[*at]),
        ShownShape::Line(corners) => points(corners),
        ShownShape::Area(rings) => rings.first().map(|ring| points(ring)).unwrap_or_default(),
    }
}

/// What the key explains, each once.
fn keys(all: &[Shown], to: Audience) -> Vec<(Key, String)> {
    let mut keys: Vec<(Key, String)> = Vec::new();
    let mut add = |key: Key, says: &str| {
        if !keys.iter().any(|(_, known)| known == says) {
            keys.push((key, says.to_owned()));
        }
    };
    all.iter().for_each(|one| add(key_of(&one.feature.kind), one.kind));
    let short = |name: &'static str| meaning(name).split(':').next().unwrap_or_default();
    if to.sees(Part::Posts) {
        ["corner_post", "end_post", "line_post"].into_iter().for_each(|name| add(Key::Sign(name), short(name)));
    }
    if to.sees(Part::Findings) {
        ["must_fix", "look_at"].into_iter().for_each(|name| add(Key::Sign(name), short(name)));
    }
    keys
}

/// What the key explains of a round.
fn round_keys(round: &Round, says: [&str; 2]) -> Vec<(Key, String)> {
    let goes = |how: How| round.legs.iter().any(|leg| leg.how.is_ridden() == how.is_ridden());
    let manners = [How::Ride, How::Walk].into_iter().zip(says).filter(|(how, _)| goes(*how));
    manners.map(|(how, says)| (Key::Line(map_round::pen(how)), says.to_owned())).collect()
}

impl Sheet<'_> {
    fn draw(&mut self, all: &[Shown], keys: &[(Key, String)]) {
        self.drawing.area(&self.map.outline()[..4], "#fbf8f1", 1.0);
        self.contours();
        self.graticule();
        all.iter().filter(|one| matches!(one.shape, ShownShape::Area(_))).for_each(|one| self.area(one));
        all.iter().filter(|one| !one.feature.kind.carries_strands()).for_each(|one| self.line(one));
        all.iter().filter(|one| one.feature.kind.carries_strands()).for_each(|one| self.line(one));
        if self.of.to.sees(Part::Posts) {
            self.posts();
        }
        all.iter().for_each(|one| self.point(one));
        if self.of.to.sees(Part::Findings) {
            self.findings();
        }
        if let Some(round) = self.of.round {
            self.round(round);
        }
        self.names(all);
        self.drawing.line(&self.map.outline(), Pen::of(INK, 1.0));
        self.title();
        furniture(self, keys, key_columns(self.drawing.width));
        let cautions = cautions(self.of, self.drawing.width);
        let height = self.drawing.height;
        foot(&mut self.drawing, &cautions, height);
    }

    /// Where a map point lies on the paper.
    pub fn at(&self, point: MapPoint) -> Place {
        let (x, y) = self.map.middle();
        (x + (point.x_m - self.middle.x_m) * self.points_per_m, y - (point.y_m - self.middle.y_m) * self.points_per_m)
    }

    pub(super) fn on_paper(&self, places: &[Position]) -> Vec<Place> {
        places.iter().filter_map(|at| self.frame.to_map(*at).ok()).map(|at| self.at(at)).collect()
    }

    fn title(&mut self) {
        let of = self.of;
        self.drawing.words((MARGIN, MARGIN + 14.0), &of.words.title, HEADING);
        for (index, fact) in of.words.facts.iter().enumerate() {
            self.drawing.words((MARGIN, MARGIN + 28.0 + 12.0 * index as f64), fact, BODY);
        }
    }

    /// No name lies within so many points of this place.
    pub(super) fn keep_clear(&mut self, (x, y): Place, half: f64) {
        self.taken.push(PaperFrame { left: x - half, top: y - half, right: x + half, bottom: y + half });
    }

    pub(super) fn clipped(&mut self, line: &[Place], pen: Pen) {
        for part in self.map.parts_of(line) {
            self.drawing.line(&part, pen);
        }
    }

    fn area(&mut self, one: &Shown) {
        let ShownShape::Area(rings) = &one.shape else { return };
        let Some(ring) = rings.first() else { return };
        let corners = self.on_paper(ring);
        let ink = ink_of(&one.feature.kind);
        let strength = match one.feature.kind {
            Kind::Building { .. } => 0.7,
            Kind::Boundary { .. } => 0.0,
            _ => 0.12,
        };
        let inner = self.map.area_of(&corners);
        self.drawing.area(&inner, ink, strength);
        if !matches!(one.feature.kind, Kind::Paddock(_)) {
            self.clipped(&corners, Pen::dashed(ink, 0.7));
        }
    }

    fn line(&mut self, one: &Shown) {
        let ShownShape::Line(corners) = &one.shape else { return };
        let line = self.on_paper(corners);
        let Key::Line(pen) = key_of(&one.feature.kind) else { return };
        if one.feature.kind.carries_strands() {
            self.clipped(&line, Pen::of("#ffffff", pen.width + 1.6));
        }
        self.clipped(&line, pen);
    }

    fn point(&mut self, one: &Shown) {
        let ShownShape::Point(at) = &one.shape else { return };
        let Some(place) = self.on_paper(&[*at]).first().copied().filter(|place| self.map.holds(*place)) else { return };
        if let Some(name) = sign_of(&one.feature.kind) {
            self.drawing.disc(place, 6.4, "#ffffff");
            signs::draw(&mut self.drawing, name, place, 4.6, INK);
            self.taken.push(PaperFrame { left: place.0 - 6.0, top: place.1 - 6.0, right: place.0 + 6.0, bottom: place.1 + 6.0 });
        }
    }

    fn posts(&mut self) {
        let outcome = self.of.outcome;
        for line in &outcome.lines {
            let bays = line.hold.posts.len().max(2) as f64;
            let apart = line.measure.plan_length.as_metres() * self.points_per_m / bays;
            let strong = |post: &&Post| !matches!(post.role, PostRole::Line | PostRole::Dip | PostRole::Rise | PostRole::Peg);
            for post in line.hold.posts.iter().filter(|post| apart > 4.0 || strong(post)) {
                let place = self.at(post.at);
                if self.map.holds(place) {
                    let (name, half) = match post.role {
                        PostRole::Corner => ("corner_post", 2.3),
                        PostRole::End | PostRole::Stretch => ("end_post", 2.3),
                        PostRole::Gate => ("gate_post", 2.0),
                        PostRole::Peg => ("peg", 1.2),
                        _ => ("line_post", 1.5),
                    };
                    signs::draw(&mut self.drawing, name, place, half, INK);
                }
            }
        }
    }

    fn findings(&mut self) {
        let outcome = self.of.outcome;
        for finding in outcome.findings.iter().rev() {
            let (name, ink) = match finding.weight {
                Weight::MustFix => ("must_fix", "#c44800"),
                Weight::LookAt => ("look_at", "#b07600"),
                Weight::Note => continue,
            };
            let Some(place) = self.on_paper(&[finding.place.at]).first().copied() else { continue };
            let above = (place.0, place.1 - 8.0);
            if self.map.holds(above) {
                signs::draw(&mut self.drawing, name, above, 4.2, ink);
            }
        }
    }

    /// Names, as far as they do not lie on each other.
    fn names(&mut self, all: &[Shown]) {
        for one in all {
            let Some(name) = one.name else { continue };
            let places = self.on_paper_of(&one.shape);
            let Some(at) = places else { continue };
            let size = if matches!(one.feature.kind, Kind::Fence(_) | Kind::Paddock(_)) { 8.5 } else { 7.5 };
            let half = super::letters::width(name, Type { size, ..BODY }) / 2.0;
            let is_point = matches!(one.shape, ShownShape::Point(_));
            let offers = if is_point {
                [(half + 9.0, 3.0), (-half - 9.0, 3.0), (0.0, -9.0)]
            } else {
                [(0.0, -5.0), (0.0, 11.0), (half + 6.0, 3.0)]
            };
            for (dx, dy) in offers {
                let (x, y) = (at.0 + dx, at.1 + dy);
                let room = PaperFrame { left: x - half - 1.0, top: y - size, right: x + half + 1.0, bottom: y + 2.0 };
                let meets = |other: &PaperFrame| {
                    room.left < other.right && other.left < room.right && room.top < other.bottom && other.top < room.bottom
                };
                let fits = self.map.holds((room.left, room.top)) && self.map.holds((room.right, room.bottom));
                if fits && !self.taken.iter().any(meets) {
                    self.drawing.area(&room.outline()[..4], "#ffffff", 0.75);
                    self.drawing.words((x, y), name, Type { size, ink: INK, anchor: Anchor::Middle, bold: false });
                    self.taken.push(room);
                    break;
                }
            }
        }
    }

    fn on_paper_of(&self, shape: &ShownShape) -> Option<Place> {
        let middle = |places: Vec<Place>| {
            let inside: Vec<&Place> = places.iter().filter(|place| self.map.holds(**place)).collect();
            inside.get(inside.len() / 2).map(|place| **place)
        };
        match shape {
            ShownShape::Point(at) => self.on_paper(&[*at]).first().copied(),
            ShownShape::Line(corners) => middle(self.on_paper(corners)),
            ShownShape::Area(rings) => {
                let ring = self.on_paper(rings.first()?);
                let count = ring.len().max(1) as f64;
                let (x, y) = ring.iter().fold((0.0, 0.0), |(x, y), place| (x + place.0, y + place.1));
                Some((x / count, y / count)).filter(|place| self.map.holds(*place))
            }
        }
    }

    /// Whether the keeper counts in feet.
    pub fn in_feet(&self) -> bool {
        self.of.plan.head.units == UnitSystem::Us
    }
}
