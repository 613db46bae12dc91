//! Moving corners and whole features, and what moves with them.

use super::near::{along, foot_on, length_m, shifted};
use super::stations::{LegLength, carry_stations};
use super::{EditError, JOINT_TOLERANCE_M, change, drop_plan_box, index_of};
use crate::land::{Frame, MapPoint, Position};
use crate::plan::{Feature, FeatureId, Geometry, Kind, Plan};
use serde_json::Number;
use std::collections::{BTreeMap, HashSet};

/// A piece of a line before and after: what lay on the old way keeps its share of the new one.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Piece {
    pub old: Vec<Position>,
    pub new: Vec<Position>,
}

/// The pieces of a line whose corners moved, leg by leg.
pub(super) fn legs(old: &[Position], new: &[Position]) -> Vec<Piece> {
    old.windows(2).zip(new.windows(2)).map(|(old, new)| Piece { old: old.to_vec(), new: new.to_vec() }).collect()
}

/// Puts a geometry in place, with its heights; bounding boxes that are no longer true go.
pub(super) fn set_geometry(plan: &mut Plan, index: usize, geometry: Geometry, heights: Vec<Vec<Number>>) {
    change(plan, index, |feature| {
        feature.geometry = geometry;
        feature.heights = heights;
        feature.foreign.shift_remove("bbox");
        feature.geometry_foreign.shift_remove("bbox");
    });
    drop_plan_box(plan);
}

/// Moves one corner, and what is joined to it.
pub(super) fn move_corner(plan: &mut Plan, index: usize, corner: usize, to: Position, leg_m: LegLength) -> Result<(), EditError> {
    let before = plan.clone();
    let feature = &before.features[index];
    let none = |corners| EditError::NoCorner { id: feature.id.clone(), corner, corners };
    match &feature.geometry {
        Geometry::Point(_) if corner == 0 => set_moved(plan, index, Geometry::Point(to)),
        Geometry::Point(_) => return Err(none(1)),
        Geometry::Line(old) => {
            let new = with_corner(&feature.id, old, corner, to)?;
            let pieces = legs(old, &new);
            set_moved(plan, index, Geometry::Line(new));
            carry_stations(plan, index, feature, &pieces, 0.0, leg_m);
            carry(plan, &before, BTreeMap::from([(index, pieces)]), leg_m)?;
        }
        Geometry::Area(rings) => {
            let mut rings = rings.clone();
            let outer = rings.first_mut().ok_or_else(|| none(0))?;
            *outer = with_corner(&feature.id, outer, corner, to)?;
            set_moved(plan, index, Geometry::Area(rings));
        }
        Geometry::Other(_) => return Err(none(0)),
    }
    Ok(())
}

/// Corners with one of them moved; a closed way stays closed.
fn with_corner(id: &FeatureId, old: &[Position], corner: usize, to: Position) -> Result<Vec<Position>, EditError> {
    if corner >= old.len() {
        return Err(EditError::NoCorner { id: id.clone(), corner, corners: old.len() });
    }
    let mut new = old.to_vec();
    new[corner] = to;
    let last = old.len() - 1;
    if old[0] == old[last] && (corner == 0 || corner == last) {
        (new[0], new[last]) = (to, to);
    }
    check_neighbours(id, old, &new)?;
    Ok(new)
}

/// No two neighbouring corners come to lie at one place that did not before.
pub(super) fn check_neighbours(id: &FeatureId, old: &[Position], new: &[Position]) -> Result<(), EditError> {
    let pairs = |corners: &[Position]| corners.windows(2).filter(|pair| pair[0] == pair[1]).count();
    if pairs(new) <= pairs(old) {
        return Ok(());
    }
    let corner = new.windows(2).position(|pair| pair[0] == pair[1]).map_or(0, |index| index + 1);
    Err(EditError::OnNeighbour { id: id.clone(), corner })
}

/// The same feature at other places: heights of corners that moved are no longer theirs.
fn set_moved(plan: &mut Plan, index: usize, geometry: Geometry) {
    let feature = &plan.features[index];
    let mut heights = feature.heights.clone();
    for (height, (old, new)) in heights.iter_mut().zip(places(&feature.geometry).into_iter().zip(places(&geometry))) {
        if old != new {
            height.clear();
        }
    }
    if heights.iter().all(Vec::is_empty) {
        heights.clear();
    }
    set_geometry(plan, index, geometry, heights);
}

/// All positions in order of writing.
fn places(geometry: &Geometry) -> Vec<Position> {
    match geometry {
        Geometry::Point(at) => vec![*at],
        Geometry::Line(corners) => corners.clone(),
        Geometry::Area(rings) => rings.concat(),
        Geometry::Other(_) => Vec::new(),
    }
}

/// Moves whole features, and what is joined to them.
pub(super) fn move_features(
    plan: &mut Plan,
    ids: &[FeatureId],
    by: MapPoint,
    frame: Frame,
    leg_m: LegLength,
) -> Result<(), EditError> {
    let before = plan.clone();
    let shift = |at: &Position| Ok::<_, EditError>(frame.to_position(frame.to_map(*at)? + by));
    let mut changes = BTreeMap::new();
    for id in ids {
        let index = index_of(&before, id)?;
        let (geometry, pieces) = match &before.features[index].geometry {
            Geometry::Point(at) => (Geometry::Point(shift(at)?), Vec::new()),
            Geometry::Line(corners) => {
                let new = corners.iter().map(shift).collect::<Result<Vec<_>, _>>()?;
                let pieces = legs(corners, &new);
                (Geometry::Line(new), pieces)
            }
            Geometry::Area(rings) => {
                let ring = |ring: &Vec<Position>| ring.iter().map(shift).collect::<Result<Vec<_>, _>>();
                (Geometry::Area(rings.iter().map(ring).collect::<Result<_, _>>()?), Vec::new())
            }
            // A geometry that is only kept stays where it is.
            Geometry::Other(_) => continue,
        };
        set_moved(plan, index, geometry);
        carry_stations(plan, index, &before.features[index], &pieces, 0.0, leg_m);
        changes.insert(index, pieces);
    }
    carry(plan, &before, changes, leg_m)
}

/// Which lines hang together where they touch.
pub(crate) fn can_join(one: &Kind, other: &Kind) -> bool {
    (one.carries_strands() && other.carries_strands()) || (one.word().is_some() && one.word() == other.word())
}

/// Points that belong to the line they stand on. Entries of the log are none of them: what was found stays where it was found.
fn stands_on_line(kind: &Kind) -> bool {
    matches!(kind, Kind::Gate(_) | Kind::Cutout { .. } | Kind::Jumper(_))
}

/// Whether the ends of the one go where the other goes: what joins up with it, and the ends of a jumper on strands.
fn hangs_on(one: &Kind, other: &Kind) -> bool {
    can_join(other, one) || (matches!(one, Kind::Jumper(_)) && other.carries_strands())
}

/// How often ends may hang on lines whose ends hang on lines ... A ring of lines that lie on each other ends here.
const DEEPEST_CHAIN: usize = 8;

/// Carries along whatever is joined to changed lines. `changes` holds the lines (and other features) that were changed on
/// purpose: they stay as they are.
pub(super) fn carry(
    plan: &mut Plan,
    before: &Plan,
    changes: BTreeMap<usize, Vec<Piece>>,
    leg_m: LegLength,
) -> Result<(), EditError> {
    let fixed: HashSet<usize> = changes.keys().copied().collect();
    let mut changes = changes;
    for _ in 0..DEEPEST_CHAIN {
        let mut moved = false;
        for (index, feature) in before.features.iter().enumerate() {
            if fixed.contains(&index) {
                continue;
            }
            let Some(geometry) = carried_geometry(before, feature, &changes) else {
                continue;
            };
            if geometry == plan.features[index].geometry {
                continue;
            }
            if let (Geometry::Line(old), Geometry::Line(new)) = (&feature.geometry, &geometry) {
                check_neighbours(&feature.id, old, new)?;
                let pieces = legs(old, new);
                carry_stations(plan, index, feature, &pieces, 0.0, leg_m);
                changes.insert(index, pieces);
            }
            set_moved(plan, index, geometry);
            moved = true;
        }
        if !moved {
            break;
        }
    }
    Ok(())
}

/// Where a feature comes to lie when it follows the changed lines; `None` for one that follows none.
fn carried_geometry(before: &Plan, feature: &Feature, changes: &BTreeMap<usize, Vec<Piece>>) -> Option<Geometry> {
    let carriers = |joined: &dyn Fn(&Kind) -> bool| -> Vec<&Piece> {
        let lines = changes.iter().filter(|(index, _)| {
            let carrier = &before.features[**index];
            carrier.id != feature.id && joined(&carrier.kind)
        });
        lines.flat_map(|(_, pieces)| pieces).collect()
    };
    match &feature.geometry {
        Geometry::Point(at) if stands_on_line(&feature.kind) => {
            carried_end(*at, &carriers(&Kind::carries_strands)).map(Geometry::Point)
        }
        Geometry::Line(corners) => {
            let carriers = carriers(&|kind| hangs_on(&feature.kind, kind));
            if carriers.is_empty() {
                return None;
            }
            let last = corners.len() - 1;
            let is_open = corners[0] != corners[last];
            let place = |(corner, at): (usize, &Position)| {
                let carried = if is_open && (corner == 0 || corner == last) {
                    carried_end(*at, &carriers)
                } else {
                    carried_vertex(*at, &carriers)
                };
                carried.unwrap_or(*at)
            };
            Some(Geometry::Line(corners.iter().enumerate().map(place).collect()))
        }
        _ => None,
    }
}

/// Where a corner goes that shares its place with a corner of a changed line.
fn carried_vertex(at: Position, pieces: &[&Piece]) -> Option<Position> {
    pieces.iter().find_map(|piece| {
        let (old, new) = (&piece.old, &piece.new);
        if old.len() == new.len() {
            return old.iter().position(|corner| *corner == at).map(|index| new[index]);
        }
        let ends = [(old.first(), new.first()), (old.last(), new.last())];
        ends.into_iter().find(|(old, _)| *old == Some(&at)).and_then(|(_, new)| new.copied())
    })
}

/// Where an end goes that lies on a changed line, or a point that stands on it.
fn carried_end(at: Position, pieces: &[&Piece]) -> Option<Position> {
    carried_vertex(at, pieces).or_else(|| {
        let feet = pieces.iter().flat_map(|piece| {
            piece.old.windows(2).enumerate().map(move |(leg, ends)| (piece, leg, foot_on([ends[0], ends[1]], at)))
        });
        let (piece, leg, foot) = feet.min_by(|(.., one), (.., other)| one.distance_m.total_cmp(&other.distance_m))?;
        if foot.distance_m > JOINT_TOLERANCE_M {
            return None;
        }
        let ends = [piece.old[leg], piece.old[leg + 1]];
        let before_m = length_m(&piece.old[..=leg]) + length_m(&ends) * foot.share;
        let whole_m = length_m(&piece.old);
        let share = if piece.old.len() == 2 || whole_m <= 0.0 { foot.share } else { before_m / whole_m };
        Some(shifted(along(&piece.new, share), foot.at, at))
    })
}
