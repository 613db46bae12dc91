//! The only way to change a plan.

mod course;
mod follow;
mod near;
mod stations;
#[cfg(test)]
mod stations_tests;
#[cfg(test)]
mod tests;

pub(crate) use near::{foot_on, length_m};
pub use stations::LegLength;

use super::file::{NotAllowed, as_in_file, head_as_in_file, own_names};
use super::{Beyond, Feature, FeatureId, Geometry, Head, Kind, Plan};
use crate::land::{Frame, FrameError, MapPoint, Position};
use std::collections::HashSet;
use std::sync::Arc;

/// Lines whose ends coincide, or whose end lies on another line within this distance, are joined there (assets/plan-file.md;
/// common practice, no source).
pub const JOINT_TOLERANCE_M: f64 = 0.3;

/// Where a line is cut in two.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cut {
    /// At a corner, by its index.
    Corner(usize),
    /// On the leg that begins at this corner, at the point of it nearest to a place.
    Leg {
        /// Index of the leg's first corner.
        leg: usize,
        /// A place on the leg or within the joint's tolerance of it.
        at: Position,
    },
}

/// One change of a plan.
///
/// Corners that share their place with a moved corner (of lines that can be joined: fences and lead-outs with each other,
/// other lines with their like) move with it; ends that lie on a moved leg, and gates and cut-outs that stand on it, keep
/// their share of the leg. So paddocks stay closed. Stations that a fence keeps for its posts keep their share of the
/// leg they are on. Entries of the log (readings, faults, photos) stay where they are unless they are moved or removed themselves.
#[derive(Clone, Debug, PartialEq)]
pub enum Edit {
    /// Adds a feature at the end.
    Add(Box<Feature>),
    /// Adds many features at the end, in one go.
    AddAll(Vec<Feature>),
    /// Takes a feature away.
    Remove(FeatureId),
    /// Takes many features away, in one go.
    RemoveAll(Vec<FeatureId>),
    /// Moves one corner of a line or of an area's outer ring, or a point (corner 0).
    MoveCorner {
        /// The feature.
        id: FeatureId,
        /// Index of the corner.
        corner: usize,
        /// Where to.
        to: Position,
    },
    /// Puts a corner into a line: before corner `before`, at its end when `before` is the number of corners.
    InsertCorner {
        /// The line.
        id: FeatureId,
        /// Index of the corner that follows.
        before: usize,
        /// Where.
        at: Position,
    },
    /// Takes a corner out of a line.
    RemoveCorner {
        /// The line.
        id: FeatureId,
        /// Index of the corner.
        corner: usize,
    },
    /// Moves whole features.
    MoveFeatures {
        /// Which.
        ids: Vec<FeatureId>,
        /// Metres east and north on the map.
        by: MapPoint,
        /// The map's frame.
        frame: Frame,
    },
    /// Replaces where a feature lies. Nothing follows it.
    SetGeometry {
        /// The feature.
        id: FeatureId,
        /// The new geometry.
        geometry: Geometry,
    },
    /// Says what a feature is, with the properties of its kind.
    SetKind {
        /// The feature.
        id: FeatureId,
        /// The kind.
        kind: Box<Kind>,
    },
    /// Names a feature, or takes its name away.
    SetName {
        /// The feature.
        id: FeatureId,
        /// The name.
        name: Option<String>,
    },
    /// Notes something about a feature, or takes the note away.
    SetNote {
        /// The feature.
        id: FeatureId,
        /// The note.
        note: Option<String>,
    },
    /// Cuts a line in two, which stay joined. The first keeps the id; both keep build, name and note. A closed line is
    /// cut at the corner where it begins and here.
    SplitLine {
        /// The line.
        id: FeatureId,
        /// Where.
        cut: Cut,
    },
    /// Makes one line of two of the same kind (and build) that share an end. It keeps the first one's id, name and note.
    JoinLines {
        /// The line that grows.
        first: FeatureId,
        /// The line that is taken up into it, turned round if need be.
        second: FeatureId,
    },
    /// Replaces the head: name, units, ground, builds, stock, prices.
    SetHead(Box<Head>),
    /// Puts a whole plan in the place of this one: what a journal held, or what another program made of the plan file.
    Replace(Box<Plan>),
}

/// Why an edit cannot be done. The plan stays as it was.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum EditError {
    /// No feature has this id.
    #[error("the plan has no feature {0}")]
    NoFeature(FeatureId),
    /// Another feature has this id.
    #[error("the plan already has a feature {0}")]
    IdTaken(FeatureId),
    /// It has no such corner, or it is not of a geometry with corners.
    #[error("{id} has no corner {corner}; it has {corners}")]
    NoCorner {
        /// The feature.
        id: FeatureId,
        /// The index asked for.
        corner: usize,
        /// How many corners it has.
        corners: usize,
    },
    /// It is not a line.
    #[error("{0} is not a line")]
    NotALine(FeatureId),
    /// What would be left is not a line or not an area any more.
    #[error("{0} would have too few corners")]
    TooFewCorners(FeatureId),
    /// Two neighbouring corners would lie at the same place.
    #[error("corner {corner} of {id} would lie on its neighbour")]
    OnNeighbour {
        /// The feature.
        id: FeatureId,
        /// Index of the corner.
        corner: usize,
    },
    /// A cut at an end, or beside the leg.
    #[error("{0} cannot be cut there")]
    NoCut(FeatureId),
    /// The two lines do not share an end, or are not of one kind and build.
    #[error("{first} and {second} cannot be made one line: {why}")]
    NoJoin {
        /// The one.
        first: FeatureId,
        /// The other.
        second: FeatureId,
        /// What is in the way.
        why: NoJoin,
    },
    /// The place is out of the map's reach.
    #[error(transparent)]
    Frame(#[from] FrameError),
    /// A value that no plan file may hold.
    #[error(transparent)]
    NotAllowed(#[from] NotAllowed),
    /// Something that goes beyond the bounds of a plan: it could not be read again.
    #[error(transparent)]
    Beyond(#[from] Beyond),
}

/// What is in the way of joining two lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoJoin {
    /// Their ends lie apart.
    #[error("their ends lie more than 0.3 m apart")]
    Apart,
    /// One is a fence and the other is not, or their builds differ.
    #[error("they differ in kind or build")]
    Different,
    /// It is the same line twice, or one of them is closed.
    #[error("one of them has no loose end")]
    NoLooseEnd,
}

impl Edit {
    /// The plan after the edit, on flat ground: [`Self::apply_on`] where the ground is known.
    ///
    /// # Errors
    /// [`EditError`]; the plan is not changed then.
    pub fn apply(&self, plan: &Plan) -> Result<Plan, EditError> {
        self.apply_on(plan, &|[from, to]| near::Near::distance_m(from, to))
    }

    /// The plan after the edit. `leg_m` says how long legs are on the ground, so that posts keep their places.
    ///
    /// # Errors
    /// [`EditError`]; the plan is not changed then.
    pub fn apply_on(&self, plan: &Plan, leg_m: LegLength) -> Result<Plan, EditError> {
        let mut next = plan.clone();
        match self {
            Self::Add(feature) => add_all(&mut next, std::slice::from_ref(feature))?,
            Self::AddAll(features) => add_all(&mut next, features)?,
            Self::Remove(id) => {
                let index = index_of(plan, id)?;
                next.features.remove(index);
                drop_plan_box(&mut next);
            }
            Self::RemoveAll(ids) => remove_all(&mut next, ids)?,
            Self::MoveCorner { id, corner, to } => follow::move_corner(&mut next, index_of(plan, id)?, *corner, *to, leg_m)?,
            Self::InsertCorner { id, before, at } => course::insert_corner(&mut next, index_of(plan, id)?, *before, *at, leg_m)?,
            Self::RemoveCorner { id, corner } => course::remove_corner(&mut next, index_of(plan, id)?, *corner, leg_m)?,
            Self::MoveFeatures { ids, by, frame } => follow::move_features(&mut next, ids, *by, *frame, leg_m)?,
            Self::SetGeometry { id, geometry } => {
                let index = index_of(plan, id)?;
                follow::set_geometry(&mut next, index, geometry.clone(), Vec::new());
            }
            Self::SetKind { id, kind } => set_kind(&mut next, index_of(plan, id)?, kind),
            Self::SetName { id, name } => change(&mut next, index_of(plan, id)?, |feature| {
                feature.name.clone_from(name);
                feature.extra.shift_remove("name");
            }),
            Self::SetNote { id, note } => change(&mut next, index_of(plan, id)?, |feature| {
                feature.note.clone_from(note);
                feature.extra.shift_remove("note");
            }),
            Self::SplitLine { id, cut } => course::split(&mut next, index_of(plan, id)?, *cut, leg_m)?,
            Self::JoinLines { first, second } => course::join(&mut next, first, second, leg_m)?,
            Self::SetHead(head) => {
                next.head = Arc::new(head_as_in_file(head)?);
            }
            Self::Replace(plan) => next = (**plan).clone(),
        }
        settle_changed(plan, &mut next)?;
        match next.beyond() {
            Some(beyond) => Err(beyond.into()),
            None => Ok(next),
        }
    }
}

fn remove_all(plan: &mut Plan, ids: &[FeatureId]) -> Result<(), EditError> {
    let mut gone: HashSet<&FeatureId> = ids.iter().collect();
    plan.features.retain(|feature| !gone.remove(&feature.id));
    drop_plan_box(plan);
    gone.into_iter().min().map_or(Ok(()), |missing| Err(EditError::NoFeature(missing.clone())))
}

fn index_of(plan: &Plan, id: &FeatureId) -> Result<usize, EditError> {
    plan.features.iter().position(|feature| feature.id == *id).ok_or_else(|| EditError::NoFeature(id.clone()))
}

/// Changes one feature; the others stay shared with the plan before.
fn change(plan: &mut Plan, index: usize, with: impl FnOnce(&mut Feature)) {
    with(Arc::make_mut(&mut plan.features[index]));
}

/// The plan's own bounding box is no longer true once something has moved.
fn drop_plan_box(plan: &mut Plan) {
    plan.foreign.shift_remove("bbox");
}

fn add_all(plan: &mut Plan, features: &[Feature]) -> Result<(), EditError> {
    // One is looked for faster than a set of all is made.
    if let [feature] = features
        && plan.feature(&feature.id).is_none()
    {
        push(plan, feature);
        drop_plan_box(plan);
        return Ok(());
    }
    let mut taken: HashSet<FeatureId> = plan.features.iter().map(|feature| feature.id.clone()).collect();
    for feature in features {
        if !taken.insert(feature.id.clone()) {
            return Err(EditError::IdTaken(feature.id.clone()));
        }
        push(plan, feature);
    }
    drop_plan_box(plan);
    Ok(())
}

fn push(plan: &mut Plan, feature: &Feature) {
    let mut feature = feature.clone();
    forget_extra_of_kind(&mut feature);
    plan.features.push(Arc::new(feature));
}

fn set_kind(plan: &mut Plan, index: usize, kind: &Kind) {
    change(plan, index, |feature| {
        feature.kind = kind.clone();
        forget_extra_of_kind(feature);
    });
}

/// What the kind now says itself, a property kept from elsewhere cannot say as well.
fn forget_extra_of_kind(feature: &mut Feature) {
    let own = own_names(&feature.kind);
    let named = [("kind", true), ("name", feature.name.is_some()), ("note", feature.note.is_some())];
    feature.extra.retain(|key, _| !own.contains(&key.as_str()) && !named.iter().any(|(name, is_said)| *is_said && name == key));
    if !matches!(feature.kind, Kind::Other(_)) {
        for key in ["name", "note"] {
            feature.extra.shift_remove(key);
        }
    }
}

/// Whatever differs must be something that a plan file can hold, and be as reading it back would give it.
fn settle_changed(before: &Plan, after: &mut Plan) -> Result<(), EditError> {
    // Most features stand where they stood: only where one does not, all have to be looked through.
    let mut old: Option<HashSet<*const Feature>> = None;
    for (index, feature) in after.features.iter_mut().enumerate() {
        let stands = |other: &Arc<Feature>| Arc::ptr_eq(other, feature);
        if before.features.get(index).is_some_and(stands)
            || (index > 0 && before.features.get(index - 1).is_some_and(stands))
            || before.features.get(index + 1).is_some_and(stands)
        {
            continue;
        }
        if index < before.features.len() {
            let all = old.get_or_insert_with(|| before.features.iter().map(Arc::as_ptr).collect());
            if all.contains(&Arc::as_ptr(feature)) {
                continue;
            }
        }
        let settled = as_in_file(feature)?;
        if settled != **feature {
            *feature = Arc::new(settled);
        }
    }
    Ok(())
}
