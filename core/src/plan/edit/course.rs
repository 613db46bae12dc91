//! Corners into and out of a line; lines cut in two and made one.

use super::follow::{Piece, carry, check_neighbours, set_geometry};
use super::near::{Near, foot_on};
use super::stations::{LegLength, carry_stations, lists, restation, way_m};
use super::{Cut, EditError, JOINT_TOLERANCE_M, NoJoin, change, index_of};
use crate::land::Position;
use crate::plan::{CornerChoice, Feature, FeatureId, Geometry, Kind, Plan};
use crate::units::Length;
use serde_json::Number;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The corners of a line.
fn corners_of(plan: &Plan, index: usize) -> Result<&[Position], EditError> {
    plan.features[index].line().ok_or_else(|| EditError::NotALine(plan.features[index].id.clone()))
}

fn is_closed(corners: &[Position]) -> bool {
    corners.first() == corners.last()
}

/// Gives the corners of a fence other numbers; a number that becomes `None` loses its choice.
fn renumber(feature: &mut Feature, number: impl Fn(usize) -> Option<usize>) {
    if let Kind::Fence(fence) = &mut feature.kind {
        let choices = std::mem::take(&mut fence.corners);
        fence.corners = choices.into_iter().filter_map(|(index, choice)| Some((number(index)?, choice))).collect();
    }
}

/// Puts a corner in.
pub(super) fn insert_corner(
    plan: &mut Plan,
    index: usize,
    before: usize,
    at: Position,
    leg_m: LegLength,
) -> Result<(), EditError> {
    let was = plan.clone();
    let id = was.features[index].id.clone();
    let old = corners_of(&was, index)?;
    let count = old.len();
    if before > count || (is_closed(old) && (before == 0 || before == count)) {
        return Err(EditError::NoCorner { id, corner: before, corners: count });
    }
    let mut new = old.to_vec();
    new.insert(before, at);
    check_neighbours(&id, old, &new)?;
    let mut heights = was.features[index].heights.clone();
    if !heights.is_empty() {
        heights.insert(before, Vec::new());
    }
    set_geometry(plan, index, Geometry::Line(new), heights);
    change(plan, index, |feature| renumber(feature, |corner| Some(if corner >= before { corner + 1 } else { corner })));
    let mut pieces = whole_legs(old);
    if before > 0 && before < count {
        pieces[before - 1].new.insert(1, at);
    }
    let mut along = pieces.clone();
    if before == 0 {
        along.insert(0, Piece { old: Vec::new(), new: vec![at, old[0]] });
    }
    carry_stations(plan, index, &was.features[index], &along, 0.0, leg_m);
    carry(plan, &was, BTreeMap::from([(index, pieces)]), leg_m)
}

/// Legs that stay as they are.
fn whole_legs(corners: &[Position]) -> Vec<Piece> {
    corners.windows(2).map(|leg| Piece { old: leg.to_vec(), new: leg.to_vec() }).collect()
}

/// Takes a corner out. What stood on the two legs at the corner stands on the one that replaces them.
pub(super) fn remove_corner(plan: &mut Plan, index: usize, corner: usize, leg_m: LegLength) -> Result<(), EditError> {
    let was = plan.clone();
    let id = was.features[index].id.clone();
    let old = corners_of(&was, index)?;
    let (count, last) = (old.len(), old.len() - 1);
    if corner > last {
        return Err(EditError::NoCorner { id, corner, corners: count });
    }
    let closed = is_closed(old);
    // A closed line of three corners cannot lose one, an open one of two neither.
    if count <= if closed { 4 } else { 2 } {
        return Err(EditError::TooFewCorners(id));
    }
    let seam = closed && (corner == 0 || corner == last);
    let corner = if seam { 0 } else { corner };
    let mut new = old.to_vec();
    let mut heights = was.features[index].heights.clone();
    new.remove(corner);
    if !heights.is_empty() {
        heights.remove(corner);
    }
    if seam {
        new[last - 1] = new[0];
        if !heights.is_empty() {
            heights[last - 1] = heights[0].clone();
        }
    }
    check_neighbours(&id, old, &new)?;
    set_geometry(plan, index, Geometry::Line(new), heights);
    change(plan, index, |feature| {
        renumber(feature, |number| match number.cmp(&corner) {
            std::cmp::Ordering::Less => Some(number),
            std::cmp::Ordering::Equal => None,
            std::cmp::Ordering::Greater if seam && number == last => None,
            std::cmp::Ordering::Greater => Some(number - 1),
        });
    });
    let pieces = pieces_without(old, corner, seam);
    let lead_m = if seam { leg_m([old[0], old[1]]) } else { 0.0 };
    carry_stations(plan, index, &was.features[index], &along_the_new(old, &pieces, corner, seam), lead_m, leg_m);
    carry(plan, &was, BTreeMap::from([(index, pieces)]), leg_m)
}

/// The pieces that a corner left behind, in the order of the new line, with the leg that went.
fn along_the_new(old: &[Position], pieces: &[Piece], corner: usize, seam: bool) -> Vec<Piece> {
    let mut along = pieces.to_vec();
    let last = old.len() - 1;
    if seam {
        along.rotate_left(1);
    } else if corner == 0 {
        along.insert(0, Piece { old: old[..2].to_vec(), new: Vec::new() });
    } else if corner == last {
        along.push(Piece { old: old[last - 1..].to_vec(), new: Vec::new() });
    }
    along
}

fn pieces_without(old: &[Position], corner: usize, seam: bool) -> Vec<Piece> {
    let last = old.len() - 1;
    let mut pieces = whole_legs(old);
    let around = if seam {
        Some([old[last - 1], old[0], old[1]])
    } else if corner == 0 || corner == last {
        None
    } else {
        Some([old[corner - 1], old[corner], old[corner + 1]])
    };
    let Some([from, over, to]) = around else {
        // The leg at a loose end goes; what stood on it stays where it is, on nothing.
        pieces.remove(if corner == 0 { 0 } else { last - 1 });
        return pieces;
    };
    let merged = Piece { old: vec![from, over, to], new: vec![from, to] };
    if seam {
        pieces.remove(last - 1);
        pieces[0] = merged;
    } else {
        pieces.remove(corner);
        pieces[corner - 1] = merged;
    }
    pieces
}

/// Cuts a line in two.
pub(super) fn split(plan: &mut Plan, index: usize, cut: Cut, leg_m: LegLength) -> Result<(), EditError> {
    let feature = Arc::clone(&plan.features[index]);
    let none = || EditError::NoCut(feature.id.clone());
    let old = corners_of(plan, index)?;
    let (at, whole_corners, starts_at_corner) = match cut {
        Cut::Corner(corner) if corner > 0 && corner + 1 < old.len() => (old[corner], corner, true),
        Cut::Leg { leg, at } if leg + 1 < old.len() => {
            let foot = foot_on([old[leg], old[leg + 1]], at);
            if foot.distance_m > JOINT_TOLERANCE_M || foot.at == old[leg] || foot.at == old[leg + 1] {
                return Err(none());
            }
            (foot.at, leg + 1, false)
        }
        _ => return Err(none()),
    };
    let skip = if starts_at_corner { whole_corners + 1 } else { whole_corners };
    let first_corners: Vec<_> = old[..whole_corners].iter().copied().chain([at]).collect();
    let station = Length::metres(way_m(&first_corners, leg_m));
    let second_corners: Vec<_> = std::iter::once(at).chain(old[skip..].iter().copied()).collect();
    let at_height = if starts_at_corner { feature.heights.get(whole_corners).cloned() } else { None };
    let part_of = |heights: Vec<Vec<Number>>| if heights.iter().all(Vec::is_empty) { Vec::new() } else { heights };
    let cut_height = || [at_height.clone().unwrap_or_default()].into_iter();
    let heights = &feature.heights;
    let first_heights = part_of(heights.iter().take(whole_corners).cloned().chain(cut_height()).collect());
    let second_heights = part_of(cut_height().chain(heights.iter().skip(skip).cloned()).collect());

    let mut second = (*feature).clone();
    second.id = plan.fresh_id(feature.kind.word().unwrap_or("line"));
    plan.features.insert(index + 1, Arc::new(second));
    set_geometry(plan, index, Geometry::Line(first_corners), first_heights);
    set_geometry(plan, index + 1, Geometry::Line(second_corners), second_heights);
    let first_of_second = if starts_at_corner { whole_corners } else { whole_corners - 1 };
    change(plan, index, |first| {
        renumber(first, |corner| (corner < skip).then_some(corner));
        restation(first, |at| (at <= station).then_some(at));
    });
    change(plan, index + 1, |second| {
        renumber(second, |corner| corner.checked_sub(first_of_second).filter(|new| starts_at_corner || *new > 0));
        restation(second, |at| (at > station).then(|| at - station));
    });
    name_entries_after_cut(plan, index);
    Ok(())
}

/// Entries of the log that name a line that was cut name the part that is nearer to them.
fn name_entries_after_cut(plan: &mut Plan, first: usize) {
    let (one, other) = (Arc::clone(&plan.features[first]), Arc::clone(&plan.features[first + 1]));
    let off_m = |line: &Feature, at: Position| {
        let legs = line.line().unwrap_or_default().windows(2);
        legs.map(|leg| foot_on([leg[0], leg[1]], at).distance_m).fold(f64::INFINITY, f64::min)
    };
    let is_others =
        |feature: &Feature| names_line(feature, &one.id) && feature.point().is_some_and(|at| off_m(&other, at) < off_m(&one, at));
    rename_line(plan, &other.id, is_others);
}

fn names_line(entry: &Feature, line: &FeatureId) -> bool {
    entry.kind.entry_line().and_then(|of| of.line.as_deref()) == Some(line.as_str())
}

/// Has these entries of the log name a line.
fn rename_line(plan: &mut Plan, to: &FeatureId, which: impl Fn(&Feature) -> bool) {
    let named: Vec<usize> = (0..plan.features.len()).filter(|index| which(&plan.features[*index])).collect();
    for index in named {
        change(plan, index, |entry| {
            if let Some(of) = entry.kind.entry_line_mut() {
                of.line = Some(to.as_str().to_owned());
            }
        });
    }
}

/// What a line brings into a join: corners, heights, choices and stations, turned round if need be.
struct Strip {
    corners: Vec<Position>,
    heights: Vec<Vec<Number>>,
    choices: BTreeMap<usize, CornerChoice>,
    /// Stations, list by list.
    stations: [Vec<Length>; 5],
    length: Length,
}

impl Strip {
    fn of(feature: &Feature, corners: &[Position], leg_m: LegLength) -> Self {
        let (choices, stations) = match feature.kind.clone() {
            Kind::Fence(mut fence) => (std::mem::take(&mut fence.corners), lists(&mut fence).map(std::mem::take)),
            _ => Default::default(),
        };
        let heights = if feature.heights.is_empty() { vec![Vec::new(); corners.len()] } else { feature.heights.clone() };
        let length = Length::metres(way_m(corners, leg_m));
        Self { corners: corners.to_vec(), heights, choices, stations, length }
    }

    fn turned(mut self) -> Self {
        self.corners.reverse();
        self.heights.reverse();
        let last = self.corners.len() - 1;
        self.choices = self.choices.into_iter().filter_map(|(index, choice)| Some((last.checked_sub(index)?, choice))).collect();
        let turned = |list: &Vec<Length>| list.iter().rev().map(|at| (self.length - *at).max(Length::ZERO)).collect();
        self.stations = self.stations.each_ref().map(turned);
        self
    }

    /// The other one behind this one; the corner where they meet is this one's.
    fn followed_by(mut self, other: Self) -> Self {
        let offset = self.corners.len() - 1;
        self.corners.extend(&other.corners[1..]);
        self.heights.extend_from_slice(&other.heights[1..]);
        for (index, choice) in other.choices {
            self.choices.entry(index + offset).or_insert(choice);
        }
        for (list, others) in self.stations.iter_mut().zip(&other.stations) {
            list.extend(others.iter().map(|at| *at + self.length));
        }
        self.length += other.length;
        self
    }
}

/// Makes one line of two.
pub(super) fn join(plan: &mut Plan, first: &FeatureId, second: &FeatureId, leg_m: LegLength) -> Result<(), EditError> {
    let (one, other) = (index_of(plan, first)?, index_of(plan, second)?);
    let none = |why| EditError::NoJoin { first: first.clone(), second: second.clone(), why };
    let (corners, others) = (corners_of(plan, one)?, corners_of(plan, other)?);
    if one == other || is_closed(corners) || is_closed(others) {
        return Err(none(NoJoin::NoLooseEnd));
    }
    let (kept, taken) = (Arc::clone(&plan.features[one]), Arc::clone(&plan.features[other]));
    if !is_same_sort(&kept.kind, &taken.kind) {
        return Err(none(NoJoin::Different));
    }
    let (start, end) = (corners[0], corners[corners.len() - 1]);
    let (other_start, other_end) = (others[0], others[others.len() - 1]);
    let kept_strip = Strip::of(&kept, corners, leg_m);
    let taken_strip = Strip::of(&taken, others, leg_m);
    let ways = [(end, other_start), (end, other_end), (start, other_end), (start, other_start)];
    let gaps_m = ways.map(|(one, other)| Near::distance_m(one, other));
    let nearest = (0..ways.len()).min_by(|one, other| gaps_m[*one].total_cmp(&gaps_m[*other])).unwrap_or(0);
    if gaps_m[nearest] > JOINT_TOLERANCE_M {
        return Err(none(NoJoin::Apart));
    }
    let mut strip = match nearest {
        0 => kept_strip.followed_by(taken_strip),
        1 => kept_strip.followed_by(taken_strip.turned()),
        2 => taken_strip.followed_by(kept_strip),
        _ => taken_strip.turned().followed_by(kept_strip),
    };
    close_if_ends_meet(&mut strip);
    if strip.heights.iter().all(Vec::is_empty) {
        strip.heights.clear();
    }
    set_geometry(plan, one, Geometry::Line(strip.corners), strip.heights);
    change(plan, one, |feature| {
        if let Kind::Fence(fence) = &mut feature.kind {
            fence.corners = strip.choices;
            for (list, stations) in lists(fence).into_iter().zip(strip.stations) {
                *list = stations;
            }
        }
        for (key, value) in &taken.extra {
            if !feature.extra.contains_key(key) {
                feature.extra.insert(key.clone(), value.clone());
            }
        }
    });
    plan.features.remove(other);
    rename_line(plan, &kept.id, |entry| names_line(entry, &taken.id));
    Ok(())
}

/// A way whose two ends are joined to each other becomes closed.
fn close_if_ends_meet(strip: &mut Strip) {
    let last = strip.corners.len() - 1;
    if last >= 3 && Near::distance_m(strip.corners[0], strip.corners[last]) <= JOINT_TOLERANCE_M {
        strip.corners[last] = strip.corners[0];
    }
}

/// Kind and build are one; corners and posts may differ.
fn is_same_sort(one: &Kind, other: &Kind) -> bool {
    match (one, other) {
        (Kind::Fence(one), Kind::Fence(other)) => one.build == other.build,
        _ => one == other,
    }
}
