//! Which stretches of the tracks a vehicle gets to at all.

use super::cells::{line_on_map, rings_on_map};
use super::tracks::nearest_on_m;
use crate::land::{Frame, MapPoint};
use crate::plan::{Kind, Plan};

/// Stretches this near to each other are driven from one to the other, metres.
const JOINS_M: f64 = 10.0;
/// A stretch this near to a building begins in its yard, metres.
const YARD_M: f64 = 30.0;
/// A stretch that comes this near to a drawn end of a track reaches it, metres.
const END_M: f64 = 0.5;

/// For each stretch whether a vehicle gets there: from a building or a road, over stretches that join. Where none of them begins at one, nobody
/// knows whence a vehicle comes, and those at the ends of the tracks are taken to be driven on from there.
pub(super) fn reached(plan: &Plan, frame: Frame, runs: &[&[MapPoint]], ends: &[MapPoint]) -> Vec<bool> {
    let seeds: Vec<(Vec<MapPoint>, f64)> = plan
        .features
        .iter()
        .flat_map(|feature| match &feature.kind {
            Kind::PublicWay { use_by } if !matches!(use_by.as_deref(), Some("foot" | "horse")) => {
                vec![(line_on_map(frame, feature), JOINS_M)]
            }
            Kind::Building { .. } => {
                let at = feature.point().and_then(|at| frame.to_map(at).ok()).map(|at| vec![at, at]);
                at.into_iter().chain(rings_on_map(frame, feature)).map(|points| (points, YARD_M)).collect()
            }
            _ => Vec::new(),
        })
        .collect();
    let is_near = |run: &[MapPoint], points: &[MapPoint], within_m: f64| {
        run.iter().any(|at| nearest_on_m(*at, points).is_some_and(|off_m| off_m <= within_m))
    };
    let mut reached: Vec<bool> =
        runs.iter().map(|run| seeds.iter().any(|(points, within_m)| is_near(run, points, *within_m))).collect();
    if !reached.contains(&true) {
        let at_end = |run: &[MapPoint]| {
            [run.first(), run.last()].into_iter().flatten().any(|at| ends.iter().any(|end| end.distance_m(*at) <= END_M))
        };
        reached = runs.iter().map(|run| at_end(run)).collect();
    }
    let mut open: Vec<usize> = (0..runs.len()).filter(|run| reached[*run]).collect();
    while let Some(from) = open.pop() {
        for to in 0..runs.len() {
            if !reached[to] && (joins(runs[from], runs[to]) || joins(runs[to], runs[from])) {
                reached[to] = true;
                open.push(to);
            }
        }
    }
    reached
}

/// Whether a stretch begins or ends on another one.
fn joins(one: &[MapPoint], other: &[MapPoint]) -> bool {
    [one.first(), one.last()].into_iter().flatten().any(|end| nearest_on_m(*end, other).is_some_and(|off_m| off_m <= JOINS_M))
}
