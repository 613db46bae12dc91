//! A line as it may be rerouted: the places that it keeps, and the spans between them.

use crate::hold::{GATE_WITHIN_M, Section, gate_place};
use crate::land::{Frame, MapPoint};
use crate::plan::{Edit, FeatureId, Fence, Joint, Kind, Network, Plan};
use std::collections::BTreeSet;
use std::ops::Range;

/// Places of a line nearer to each other than this are one, metres.
const SAME_PLACE_M: f64 = 0.3;

/// A place of a course.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stop {
    pub at: MapPoint,
    /// Whether it stays where it is.
    pub is_kept: bool,
    /// Whether it is a corner of the line as it is drawn.
    pub is_corner: bool,
    /// Whether the line runs on through a gate here, straight to the next place.
    pub is_gate: bool,
}

/// A course with the places that it keeps.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Course {
    pub places: Vec<Stop>,
}

/// Places of a found course nearer to each other than this are one, metres: where corners were moved they may meet.
const DOUBLED_M: f64 = 0.01;

impl Course {
    /// Of a fence as it is drawn. It keeps its ends, corners of which the keeper has said something, places where other lines are joined to it,
    /// and its gates. A line that goes round ground, alone or with others, keeps every corner: drawn straight it would go
    /// round nothing. `None` for a line that is on no map.
    pub fn drawn(plan: &Plan, frame: Frame, section: &Section, fence: &Fence, id: &FeatureId) -> Option<Self> {
        let network = Network::of(plan, frame);
        let index = network.line_index(id)?;
        let line = &network.lines[index];
        let last = line.corners.len() - 1;
        let goes_round = line.closed || closes_ground(&network, index);
        let corner = |(number, at): (usize, &MapPoint)| {
            let is_kept = number == 0 || number == last || goes_round || fence.corners.contains_key(&number);
            (line.corners_m[number], Stop { at: *at, is_kept, is_corner: true, is_gate: false })
        };
        let mut stops: Vec<(f64, Stop)> = line.corners.iter().enumerate().map(corner).collect();
        let mut keep =
            |plan_m: f64, is_gate: bool| match stops.iter_mut().find(|(known_m, _)| (known_m - plan_m).abs() < SAME_PLACE_M) {
                Some((_, stop)) => (stop.is_kept, stop.is_gate) = (true, stop.is_gate || is_gate),
                None => stops.push((plan_m, Stop { at: line.at(plan_m), is_kept: true, is_corner: false, is_gate })),
            };
        network.joints_of(index).into_iter().for_each(|(plan_m, _)| keep(plan_m, false));
        for (from_m, until_m) in gates(plan, frame, section) {
            keep(from_m.max(0.0), true);
            keep(until_m.min(line.length_m()), false);
        }
        stops.sort_by(|one, other| one.0.total_cmp(&other.0));
        Some(Self { places: stops.into_iter().map(|(_, stop)| stop).collect() })
    }

    /// Places of it.
    pub fn points(&self, range: Range<usize>) -> Vec<MapPoint> {
        self.places[range].iter().map(|stop| stop.at).collect()
    }

    /// All its places.
    pub fn all_points(&self) -> Vec<MapPoint> {
        self.points(0..self.places.len())
    }

    /// The stretches between neighbouring places that it keeps, by number, those through gates left out.
    pub fn spans(&self) -> Vec<(usize, usize)> {
        let kept: Vec<usize> = (0..self.places.len()).filter(|index| self.places[*index].is_kept).collect();
        let pairs = kept.windows(2).map(|pair| (pair[0], pair[1]));
        pairs.filter(|(from, _)| !self.places[*from].is_gate).collect()
    }

    /// With the places between two others replaced.
    pub fn with(&self, (from, until): (usize, usize), between: &[MapPoint]) -> Self {
        let stop = |at: &MapPoint| Stop { at: *at, is_kept: false, is_corner: false, is_gate: false };
        let between: Vec<Stop> = between.iter().map(stop).collect();
        Self { places: [&self.places[..=from], &between, &self.places[until..]].concat() }
    }

    /// Whether it crosses itself.
    pub fn crosses_itself(&self) -> bool {
        let points = self.all_points();
        let legs: Vec<&[MapPoint]> = points.windows(2).collect();
        let meet =
            |one: &[MapPoint], other: &[MapPoint]| crate::hold::along::crossing(one[0], one[1], other[0], other[1]).is_some();
        let is_closed = points.first() == points.last();
        let meets_later = |(nth, one): (usize, &&[MapPoint])| {
            let later = legs.iter().enumerate().skip(nth + 2);
            later.filter(|(other, _)| !(is_closed && nth == 0 && other + 1 == legs.len())).any(|(_, other)| meet(one, other))
        };
        legs.iter().enumerate().any(meets_later)
    }

    /// Whether two courses are the same, to half a metre.
    pub fn is_like(&self, other: &Self) -> bool {
        let pairs = || self.places.iter().zip(&other.places);
        self.places.len() == other.places.len() && pairs().all(|(one, other)| one.at.distance_m(other.at) < 0.5)
    }

    /// The same with one corner where two places came to lie on each other; those that are kept stay.
    pub fn without_doubled(&self) -> Self {
        let mut places: Vec<Stop> = Vec::with_capacity(self.places.len());
        for stop in &self.places {
            let before = places.last().filter(|last| last.at.distance_m(stop.at) < DOUBLED_M).map(|last| last.is_kept);
            match before {
                Some(_) if !stop.is_kept => continue,
                Some(false) => drop(places.pop()),
                _ => {}
            }
            places.push(*stop);
        }
        Self { places }
    }

    /// The edits that make this course of the drawn one, from span to span.
    pub fn edits(&self, drawn: &Self, id: &FeatureId, frame: Frame) -> Vec<Edit> {
        let runs = |course: &Self| -> Vec<Vec<Stop>> {
            let mut all: Vec<Vec<Stop>> = Vec::new();
            for stop in &course.places {
                if stop.is_kept || all.is_empty() {
                    all.push(Vec::new());
                }
                all.last_mut().into_iter().for_each(|run| run.push(*stop));
            }
            all
        };
        let (before, after) = (runs(drawn), runs(self));
        let is_changed: Vec<bool> = before.iter().zip(&after).map(|(before, after)| before[1..] != after[1..]).collect();
        let insert = |before: usize, at: MapPoint| Edit::InsertCorner { id: id.clone(), before, at: frame.to_position(at) };
        let (mut edits, mut moves, mut number) = (Vec::new(), Vec::new(), 0);
        for (nth, before) in before.iter().enumerate() {
            // A place between corners becomes one where the line no longer runs straight through it.
            let is_corner = before[0].is_corner || is_changed[nth] || nth > 0 && is_changed[nth - 1];
            if is_corner && !before[0].is_corner {
                edits.push(insert(number, before[0].at));
            }
            number += usize::from(is_corner) + before.len() - 1;
        }
        number = 0;
        for (nth, (before, after)) in before.iter().zip(&after).enumerate() {
            number += usize::from(before[0].is_corner || is_changed[nth] || nth > 0 && is_changed[nth - 1]);
            if is_changed[nth] {
                moves.extend(before[1..].iter().map(|_| Edit::RemoveCorner { id: id.clone(), corner: number }));
                moves.extend(after[1..].iter().enumerate().map(|(past, stop)| insert(number + past, stop.at)));
            }
            number += if is_changed[nth] { after.len() - 1 } else { before.len() - 1 };
        }
        [edits, moves].concat()
    }
}

/// Whether a line goes round ground together with others: from one of its places to another there is a way along other lines.
fn closes_ground(network: &Network, index: usize) -> bool {
    let mut part_of: Vec<usize> = (0..network.lines.len()).collect();
    let lines_at =
        |joint: &Joint| -> Vec<usize> { joint.meets.iter().map(|meet| meet.line).filter(|line| *line != index).collect() };
    for joint in &network.joints {
        for pair in lines_at(joint).windows(2) {
            let (keep, drop) = (part_of[pair[0]], part_of[pair[1]]);
            part_of.iter_mut().filter(|part| **part == drop).for_each(|part| *part = keep);
        }
    }
    // Each joint counts once, whichever of its lines are of the same part.
    let parts_at = |joint: &Joint| -> BTreeSet<usize> { lines_at(joint).into_iter().map(|line| part_of[line]).collect() };
    let touches_itself = |joint: &Joint| joint.meets.iter().filter(|meet| meet.line == index).count() > 1;
    if network.joints_of(index).into_iter().any(|(_, joint)| touches_itself(joint)) {
        return true;
    }
    let mut reached = BTreeSet::new();
    network.joints_of(index).into_iter().flat_map(|(_, joint)| parts_at(joint)).any(|part| !reached.insert(part))
}

/// The gates of a line: from where to where they open it on the map.
fn gates(plan: &Plan, frame: Frame, section: &Section) -> Vec<(f64, f64)> {
    let mut all = Vec::new();
    for feature in &plan.features {
        let Kind::Gate(gate) = &feature.kind else { continue };
        let at = feature.point().and_then(|at| frame.to_map(at).ok());
        let place =
            at.and_then(|at| gate_place(&feature.id, at, gate.width, section)).filter(|(_, off_m)| *off_m <= GATE_WITHIN_M);
        let half_m = |width: crate::units::Length| 0.5 * width.as_metres();
        all.extend(place.map(|(place, _)| (place.plan_m - half_m(place.width), place.plan_m + half_m(place.width))));
    }
    all
}
