//! Buying in stages: what one paddock takes before the rest.

use crate::plan::{Feature, FeatureId, Kind, Plan, foot_on};
use std::collections::HashSet;

/// How far a thing on a line may lie off it, metres on the map (`common-practice`).
const ON_LINE_M: f64 = 1.0;

/// Which part of the plan is bought.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Part {
    /// All of it.
    #[default]
    Whole,
    /// The fences around one paddock, and what brings the pulse to them.
    First {
        /// The paddock.
        paddock: FeatureId,
        /// The fences around it.
        lines: Vec<FeatureId>,
    },
}

/// The plan without the fences that are not built yet, and without what stands on them. Lead-outs, energizers and earths are needed from the
/// beginning.
pub fn part_of(plan: &Plan, part: &Part) -> Plan {
    let Part::First { lines, .. } = part else { return plan.clone() };
    let wanted: HashSet<&FeatureId> = lines.iter().collect();
    let is_later = |feature: &Feature| matches!(feature.kind, Kind::Fence(_)) && !wanted.contains(&feature.id);
    let standing: Vec<&Feature> = plan.features.iter().map(AsRef::as_ref).filter(|feature| !is_later(feature)).collect();
    let is_on_something = |feature: &Feature| {
        let Some(at) = feature.point() else { return true };
        let lines = standing.iter().filter(|line| line.kind.carries_strands()).filter_map(|line| line.line());
        let mut legs = lines.flat_map(|corners| corners.windows(2));
        legs.any(|leg| foot_on([leg[0], leg[1]], at).distance_m <= ON_LINE_M)
    };
    let stands_on_line = |kind: &Kind| matches!(kind, Kind::Cutout { .. } | Kind::Jumper(_) | Kind::Gate(_));
    let is_wanted = |feature: &Feature| !is_later(feature) && (!stands_on_line(&feature.kind) || is_on_something(feature));
    let mut first = plan.clone();
    first.features.retain(|feature| is_wanted(feature));
    first
}
