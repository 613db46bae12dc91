//! Ends of tracks where nobody can turn a vehicle.

use super::cells::{line_on_map, rings_on_map};
use super::tracks::nearest_on_m;
use crate::land::{Frame, Ground, MapPoint};
use crate::plan::{Feature, Kind, Plan};
use std::f64::consts::TAU;

/// An end this near to another way goes on there.
const GOES_ON_M: f64 = 10.0;
/// An end this near to a building is a yard.
const YARD_M: f64 = 30.0;
/// An end this near to where the ground is no longer known goes on beyond it.
const RIM_M: f64 = 20.0;
/// A vehicle turns on a circle of this radius.
///
/// # Source
/// Key `common-practice`: a farm vehicle with a trailer needs more.
const TURN_M: f64 = 6.0;
/// Ground flatter than this is turned on, rise over run.
///
/// # Source
/// Key `side-slopes`.
const FLAT_ENOUGH: f64 = 0.10;

/// The ends of a track that lead nowhere and have no level ground to turn on.
pub(super) fn dead_ends(
    plan: &Plan,
    frame: Frame,
    ground: Option<&Ground>,
    track: &Feature,
    corners: &[MapPoint],
) -> Vec<MapPoint> {
    let (Some(ground), [first, .., last]) = (ground, corners) else { return Vec::new() };
    let is_dead = |end: &MapPoint| !leads_on(plan, frame, track, *end) && has_room(ground, *end) == Some(false);
    [*first, *last].into_iter().filter(is_dead).collect()
}

fn leads_on(plan: &Plan, frame: Frame, track: &Feature, end: MapPoint) -> bool {
    plan.features.iter().filter(|feature| feature.id != track.id).any(|feature| {
        let near = |points: &[MapPoint], within_m: f64| nearest_on_m(end, points).is_some_and(|off_m| off_m <= within_m);
        match &feature.kind {
            Kind::Track(_) | Kind::PublicWay { .. } | Kind::Boundary { .. } => {
                near(&line_on_map(frame, feature), GOES_ON_M)
                    || rings_on_map(frame, feature).iter().any(|ring| near(ring, GOES_ON_M))
            }
            Kind::Building { .. } => {
                let at = feature.point().and_then(|at| frame.to_map(at).ok());
                at.is_some_and(|at| at.distance_m(end) <= YARD_M)
                    || rings_on_map(frame, feature).iter().any(|ring| near(ring, YARD_M))
            }
            _ => false,
        }
    })
}

/// Whether a vehicle can turn at a place or a little beside it; `None` where the ground is not known all round.
fn has_room(ground: &Ground, at: MapPoint) -> Option<bool> {
    let around = |middle: MapPoint, radius_m: f64| {
        (0..8).map(move |k| {
            let angle = k as f64 / 8.0 * TAU;
            middle + MapPoint::new(angle.cos(), angle.sin()) * radius_m
        })
    };
    let is_known = around(at, RIM_M).all(|place| ground.elevation(place).is_some());
    let is_flat = |middle: MapPoint| {
        let heights: Option<Vec<f64>> =
            around(middle, TURN_M).map(|place| ground.elevation(place).map(|height| height.as_metres())).collect();
        heights.is_some_and(|z| (0..4).all(|k| (z[k] - z[k + 4]).abs() <= FLAT_ENOUGH * 2.0 * TURN_M))
    };
    is_known.then(|| is_flat(at) || around(at, TURN_M).any(is_flat))
}
