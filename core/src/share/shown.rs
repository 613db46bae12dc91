//! What of a plan somebody is shown: names, words and places that need no glossary. Every form of map is written from it.

use super::recipient::{Audience, Part};
use crate::land::{Frame, MapPoint, Position};
use crate::outcome::{LineOutcome, Outcome};
use crate::plan::{Feature, FeatureId, Geometry, Kind, PaddockFace, Plan, paddocks};
use serde_json::{Value, json};
use std::collections::HashMap;

/// What everybody who meets the fence has to know.
pub const ELECTRIC_CAUTION: &str = "Electric fence: it gives a painful shock. Do not touch it, lean anything on it or climb through it; \
     keep children and animals away. Local rules for electric fences and their warning signs come first.";

/// The same where there is one above it that says more.
pub const ELECTRIC_IN_SHORT: &str = "Electric: do not touch it.";

/// What everybody who works near an overhead line has to know.
pub const OVERHEAD_CAUTION: &str = "Overhead power line: keep people, poles, wire and machines well away from it. Ask the network's \
     operator before any work near it; its rules come first.";

/// One thing as it is shown.
#[derive(Clone, Debug)]
pub(super) struct Shown<'a> {
    pub feature: &'a Feature,
    /// What it is called in the plan, where that may be known.
    pub id: Option<&'a FeatureId>,
    /// Its kind, and which of its kind it is in the plan's order: what it is called where nothing of the keeper's may be known.
    pub number: String,
    /// What it is called, where that may be known.
    pub name: Option<&'a str>,
    /// What it is, to somebody who has never built a fence.
    pub kind: &'a str,
    pub shape: ShownShape,
    /// Further facts, each with its key.
    pub facts: Vec<(&'static str, Value)>,
    pub note: Option<&'a str>,
    pub caution: Option<&'static str>,
}

/// Where it is.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum ShownShape {
    Point(Position),
    Line(Vec<Position>),
    /// Closed rings, the outer one first.
    Area(Vec<Vec<Position>>),
}

impl Shown<'_> {
    /// Its name, else what it is.
    pub fn title(&self) -> &str {
        self.name.unwrap_or(self.kind)
    }
}

/// Everything of the plan that somebody may see, in plan order.
pub(super) fn shown<'a>(plan: &'a Plan, outcome: &Outcome, to: Audience) -> Vec<Shown<'a>> {
    let faces = first_place(plan).map(|place| {
        let frame = Frame::near(place);
        (frame, paddocks(plan, frame))
    });
    let one = |feature: &'a Feature| {
        let face = faces.as_ref().and_then(|(frame, faces)| Some((*frame, faces.iter().find(|face| face.id == feature.id)?)));
        one(plan, outcome, feature, face, to)
    };
    let mut of_kind: HashMap<&str, usize> = HashMap::new();
    let numbered = |shown: Shown<'a>, word: &str, number: usize| Shown { number: format!("{word}-{number}"), ..shown };
    let mut all = Vec::new();
    for feature in &plan.features {
        let word = feature.kind.word().unwrap_or("thing");
        let number = of_kind.entry(word).or_default();
        *number += 1;
        all.extend(one(feature).map(|shown| numbered(shown, word, *number)));
    }
    all
}

/// A place in the middle of things for a frame to work in.
fn first_place(plan: &Plan) -> Option<Position> {
    plan.features.iter().find_map(|feature| match &feature.geometry {
        Geometry::Point(at) => Some(*at),
        Geometry::Line(corners) => corners.first().copied(),
        Geometry::Area(rings) => rings.first().and_then(|ring| ring.first()).copied(),
        Geometry::Other(_) => None,
    })
}

/// The part of a plan's knowledge that a kind belongs to; `None` for what nobody else can make sense of.
fn part_of(kind: &Kind) -> Option<Part> {
    Some(match kind {
        Kind::Fence(_) | Kind::LeadOut(_) | Kind::Gate(_) | Kind::Energizer(_) | Kind::Cutout { .. } | Kind::Jumper(_) => {
            Part::Fence
        }
        Kind::Earth { .. } | Kind::Water | Kind::Shelter | Kind::Feed => Part::Works,
        Kind::Paddock(_) => Part::Paddocks,
        Kind::Reading(_) | Kind::Fault(_) | Kind::Photo(_) => Part::Log,
        Kind::Mark => Part::Marks,
        Kind::Other(_) => return None,
        _ => Part::Surroundings,
    })
}

/// The part of a plan's knowledge that the name of a kind belongs to: what the keeper calls ground and trees is a remark of their own.
fn part_of_name(kind: &Kind) -> Option<Part> {
    match kind {
        Kind::Zone(_) | Kind::Tree { .. } | Kind::SpotHeight { .. } => Some(Part::Marks),
        kind => part_of(kind),
    }
}

/// What a kind is called by somebody who has never built a fence; `None` for what is nobody else's business.
fn kind_in_words(kind: &Kind) -> Option<&str> {
    Some(match kind {
        Kind::Fence(_) => "electric fence",
        Kind::LeadOut(lead_out) if lead_out.underground => "buried cable to the fence",
        Kind::LeadOut(_) => "wire to the electric fence",
        Kind::Gate(gate) if gate.live == Some(true) => "electric gate",
        Kind::Gate(_) => "gate",
        Kind::Energizer { .. } => "energizer of the electric fence",
        Kind::Earth { .. } => "earth rods of the electric fence",
        Kind::Cutout { .. } => "switch in the electric fence",
        Kind::Jumper(_) => "wire that joins electric fences",
        Kind::Track(_) => "track",
        Kind::PublicWay { .. } => "public way",
        Kind::OverheadLine { .. } => "overhead power line",
        Kind::Stream { .. } => "stream",
        Kind::Boundary { .. } => "boundary",
        Kind::Building { .. } => "building",
        Kind::Zone(zone) => match zone.of.as_str() {
            "soil" => "soil",
            "rock" => "rock",
            "wet" => "wet ground",
            "wood" => "wood",
            "crop" => "crop",
            _ => "ground to keep out of",
        },
        Kind::Paddock(_) => "paddock",
        Kind::Water => "drinking water",
        Kind::Shelter => "shelter",
        Kind::Feed => "feeding place",
        Kind::SpotHeight { .. } => "measured height",
        Kind::Tree { .. } => "tree",
        Kind::Mark => "mark",
        Kind::Reading(_) => "reading",
        Kind::Fault(fault) => fault.what.as_deref().unwrap_or("fault"),
        Kind::Photo(_) => "photo",
        Kind::Other(_) => return None,
    })
}

fn caution(kind: &Kind) -> Option<&'static str> {
    match kind {
        Kind::Fence(_)
        | Kind::LeadOut(_)
        | Kind::Energizer { .. }
        | Kind::Earth { .. }
        | Kind::Cutout { .. }
        | Kind::Jumper(_) => Some(ELECTRIC_CAUTION),
        Kind::Gate(gate) if gate.live == Some(true) => Some(ELECTRIC_CAUTION),
        Kind::OverheadLine { .. } => Some(OVERHEAD_CAUTION),
        _ => None,
    }
}

fn one<'a>(
    plan: &Plan,
    outcome: &Outcome,
    feature: &'a Feature,
    face: Option<(Frame, &PaddockFace)>,
    to: Audience,
) -> Option<Shown<'a>> {
    let kind = kind_in_words(&feature.kind)?;
    part_of(&feature.kind).filter(|part| to.sees(*part))?;
    let enclosed = face.filter(|(_, face)| face.open.is_none());
    let shape = match enclosed {
        Some((frame, face)) => paddock_area(frame, face),
        None => shape(&feature.geometry)?,
    };
    let mut facts = Vec::new();
    if let Some(line) = outcome.lines.iter().find(|line| line.id == feature.id) {
        line_facts(plan, feature, line, &mut facts);
    }
    if let Some((_, face)) = enclosed {
        paddock_facts(outcome, face, &mut facts);
    }
    match &feature.kind {
        Kind::Gate(gate) => facts.extend(gate.width.map(|width| ("width_m", rounded(width.as_metres(), 2)))),
        Kind::Reading(reading) => {
            facts.extend(reading.kv.map(|kv| ("kv", rounded(kv, 2))));
            facts.extend(reading.at_time.as_ref().map(|at| ("at_time", json!(at))));
        }
        Kind::Fault(fault) => {
            facts.extend(fault.seen.as_ref().map(|at| ("seen", json!(at))));
            facts.extend(fault.mended.as_ref().map(|at| ("mended", json!(at))));
        }
        Kind::Photo(photo) => facts.extend(photo.at_time.as_ref().map(|at| ("at_time", json!(at)))),
        _ => {}
    }
    let note = feature.note.as_deref().filter(|_| to.sees(Part::Notes));
    let name = feature.name.as_deref().filter(|_| part_of_name(&feature.kind).is_some_and(|part| to.sees(part)));
    let id = to.sees(Part::Ids).then_some(&feature.id);
    Some(Shown { feature, id, number: String::new(), name, kind, shape, facts, note, caution: caution(&feature.kind) })
}

fn line_facts(plan: &Plan, feature: &Feature, line: &LineOutcome, facts: &mut Vec<(&'static str, Value)>) {
    match &feature.kind {
        Kind::Fence(fence) => {
            if let Some(build) = plan.build(&fence.build) {
                facts.push(("strands", json!(build.strands.len())));
                let top_m = build.strands.iter().map(|strand| strand.height.as_metres()).reduce(f64::max);
                facts.extend(top_m.map(|top_m| ("height_m", rounded(top_m, 2))));
            }
            facts.push(("posts", json!(line.standing_posts().count())));
        }
        Kind::LeadOut(lead_out) => {
            let height = lead_out.height.filter(|_| !lead_out.underground);
            facts.extend(height.map(|height| ("height_m", rounded(height.as_metres(), 2))));
        }
        _ => {}
    }
    facts.push(("length_m", rounded(line.measure.ground_length.as_metres(), 1)));
}

fn paddock_facts(outcome: &Outcome, face: &PaddockFace, facts: &mut Vec<(&'static str, Value)>) {
    facts.push(("area_m2", rounded(face.area().as_square_metres(), 0)));
    if let Some(paddock) = outcome.paddocks.iter().find(|paddock| paddock.id == face.id && !paddock.ring.is_empty()) {
        facts.push(("ground_area_m2", rounded(paddock.ground_area.as_square_metres(), 0)));
    }
    facts.push(("perimeter_m", rounded(face.perimeter().as_metres(), 1)));
}

/// The number with so many decimals, as short as it prints.
pub(super) fn rounded(value: f64, decimals: u32) -> Value {
    let factor = f64::from(10_u32.pow(decimals));
    let value = (value * factor).round() / factor;
    if value.fract() == 0.0 && value.abs() < 1e15 { json!(value as i64) } else { json!(value) }
}

fn shape(geometry: &Geometry) -> Option<ShownShape> {
    Some(match geometry {
        Geometry::Point(at) => ShownShape::Point(*at),
        Geometry::Line(corners) => ShownShape::Line(corners.clone()),
        // Rings are right-handed in a plan already.
        Geometry::Area(rings) => ShownShape::Area(rings.clone()),
        Geometry::Other(_) => return None,
    })
}

/// Outer ring anticlockwise, holes clockwise, as the paddock's face has them.
fn paddock_area(frame: Frame, face: &PaddockFace) -> ShownShape {
    let ring = |ring: &Vec<MapPoint>| ring.iter().chain(ring.first()).map(|at| frame.to_position(*at)).collect();
    ShownShape::Area(std::iter::once(&face.ring).chain(&face.holes).map(ring).collect())
}
