//! Where along a line posts may and must stand, and where the fewest of them go.

use super::clearance_error_m;
use super::peg::Peg;
use super::posts::Terrain;
use super::results::{GatePlace, Sample, Section};
use super::spacing::{
    Hanging, HoldDownCost, NO_DRILLING, Pegs, Placement, Question, SHORTEST_BAY_M, USUAL_COST, place_held_down, place_posts,
    without_crowds,
};
use super::specification::Specification;
use super::strain::LONGEST_PULL_M;
use super::verdict::{lifting_capacity, lifting_factor};
use super::{Footing, FootingMap};
use crate::catalogue::{GroundState, PostRow};
use crate::land::MapPoint;
use crate::plan::{CornerChoice, FeatureId, Fence};
use crate::units::Length;
use std::collections::BTreeMap;

/// A post must stand where a line turns by more than this, degrees; gentler turns add up (`common-practice`).
pub const FORCED_TURN_DEG: f64 = 5.0;
/// Where rock is nearer than this no post that stands in soil goes in, metres (`common-practice`).
pub const BARE_ROCK_M: f64 = 0.1;
/// A living tree this near to a line carries its strands, held off by a bracket, metres on the map (`common-practice`).
pub const TREE_BESIDE_M: f64 = 0.3;
/// It needs no post and no hole (`common-practice`).
const TREE_COST: u32 = 300;
/// Where the keeper wants no post, none is planned so near, metres on the map.
pub const CLEAR_OF_POSTS_M: f64 = 0.6;
/// A post whose rock lies above its depth costs a bar and an hour (`common-practice`).
const SHALLOW_ROCK_COST: u32 = 1500;
/// A post in ground that gives costs a little more than one in firm ground: it may stand elsewhere (`common-practice`).
const SOFT_GROUND_COST: u32 = 1200;
/// Soil that holds less than this undrained gives, Pa.
const SOFT_UNDRAINED_PA: f64 = 20e3;
/// A gate post this near to a corner is the corner post, metres (`common-practice`).
const SNAP_M: f64 = 0.3;
/// Samples nearer than this are one, metres.
const SAME_M: f64 = 1e-3;

/// The samples of a section with those added where a post must stand.
pub(super) struct Stand {
    pub samples: Vec<Sample>,
    /// Corner number by sample, rising.
    pub corners: Vec<(usize, usize)>,
    /// Samples with a post that the keeper placed, rising.
    pub pinned: Vec<usize>,
    forced: Vec<usize>,
    /// Samples beside which a tree stands, rising.
    trees: Vec<usize>,
    openings: Vec<(usize, usize)>,
    gates: Vec<FeatureId>,
    /// Samples where strands are made off, rising: the ends and the posts of gates.
    pub anchors: Vec<usize>,
    /// Places on the map where no post shall stand, metres along the line.
    clear_m: Vec<f64>,
}

impl Stand {
    /// `fence`: what the keeper decided about the line's posts; `trees`: the living trees of the plan.
    pub fn of(section: &Section, gates: &[GatePlace], fence: &Fence, trees: &[MapPoint]) -> Self {
        let corners_m: Vec<f64> = section.corners.iter().map(|index| section.samples[*index].plan_m).collect();
        let openings_m = openings(gates, &corners_m);
        let on_map = |stations: &[Length]| -> Vec<f64> {
            let samples = stations.iter().filter_map(|station| section.sample_at_station(station.as_metres()));
            samples.map(|sample| sample.plan_m).collect()
        };
        let (pinned_m, clear_m) = (on_map(&fence.posts), on_map(&fence.no_posts));
        let opened_m = || openings_m.iter().flat_map(|(_, from, to)| [*from, *to]);
        let added_m: Vec<f64> = opened_m().chain(pinned_m.iter().copied()).collect();
        let trees_m: Vec<f64> = trees.iter().filter_map(|tree| foot_m(section, *tree)).collect();
        let samples = with_samples(section, added_m.iter().chain(&trees_m).copied().collect());
        let index = |plan_m: f64| samples.partition_point(|sample| sample.plan_m < plan_m - SAME_M / 2.0).min(samples.len() - 1);
        let rising = |mut indices: Vec<usize>| {
            indices.sort_unstable();
            indices.dedup();
            indices
        };
        let corners: Vec<(usize, usize)> = corners_m.iter().enumerate().map(|(corner, at)| (index(*at), corner)).collect();
        // Round a closed line with a gate strands run from gate to gate.
        let runs_around = section.closed && !openings_m.is_empty();
        let ends = (!runs_around).then_some([0, samples.len() - 1]).into_iter().flatten();
        let turning = turning_corners(section, &fence.corners).into_iter().map(|corner| corners[corner].0);
        Self {
            pinned: rising(pinned_m.iter().map(|at| index(*at)).collect()),
            forced: rising(added_m.iter().map(|at| index(*at)).chain(turning).collect()),
            trees: rising(trees_m.iter().map(|at| index(*at)).collect()),
            anchors: rising(opened_m().map(index).chain(ends).collect()),
            openings: openings_m.iter().map(|(_, from, to)| (index(*from), index(*to))).collect(),
            gates: openings_m.into_iter().map(|(id, ..)| id).collect(),
            corners,
            samples,
            clear_m,
        }
    }

    /// Length on the ground of the longest strain that strands are put up in, before the posts are known.
    pub fn longest_strain(&self) -> Length {
        let station_m = |sample: usize| self.samples[sample].station_m;
        let around_m = station_m(self.samples.len() - 1);
        let first = self.anchors.first().map(|first| station_m(*first) + around_m);
        let stops: Vec<f64> = self.anchors.iter().map(|stop| station_m(*stop)).chain(first).collect();
        let runs = stops.windows(2).map(|run| (run[1] - run[0]).min(LONGEST_PULL_M));
        Length::metres(runs.fold(0.0, f64::max))
    }

    /// The fewest posts and pegs, with the strands hanging as told.
    pub fn place(&self, specification: &Specification, hanging: &Hanging, terrain: Terrain, peg: Option<&Peg>) -> Placement {
        let ground = terrain.footings;
        let plan_m: Vec<f64> = self.samples.iter().map(|sample| sample.plan_m).collect();
        let ground_m: Vec<Option<f64>> = self.samples.iter().map(|sample| sample.ground_m).collect();
        let costs: Vec<u32> = (0..self.samples.len()).map(|sample| self.cost(specification.line_post, sample, ground)).collect();
        let drill_m = specification.drill.as_metres();
        let offsets_m = [-drill_m, -drill_m / 2.0, 0.0, drill_m / 2.0, drill_m];
        let unsure_m: Vec<f64> = self.samples.iter().map(|sample| clearance_error_m(sample.error_m)).collect();
        let may_stand: Vec<bool> = peg.map_or_else(Vec::new, |peg| self.places_for(peg, ground));
        let question = Question {
            plan_m: &plan_m,
            ground_m: &ground_m,
            forced: &self.forced,
            openings: &self.openings,
            cost: Some(&costs),
            offsets_m: if drill_m > 0.0 { &offsets_m } else { NO_DRILLING },
            longest_bay_m: specification.longest_bay.as_metres(),
            shortest_bay_m: SHORTEST_BAY_M,
            hanging,
            unsure_m: Some(&unsure_m),
            pegs: peg.map(|peg| Pegs {
                cost: peg.cost,
                may_stand: &may_stand,
                tension_n: specification.cold().as_newtons(),
                hold_n: peg.holds.as_newtons(),
            }),
        };
        let held_down = lifting(specification, ground).and_then(|lifting| place_held_down(&question, &lifting));
        let placed =
            held_down.unwrap_or_else(|| terrain.placed.map_or_else(|| place_posts(&question), |kept| kept.place(&question)));
        without_crowds(&question, placed, |sample| self.must_stand(sample))
    }

    /// Whether a post stands here whatever the ground does.
    fn must_stand(&self, sample: usize) -> bool {
        self.forced.binary_search(&sample).is_ok() || self.is_tree(sample)
    }

    /// Where a peg may stand, by sample: not at a corner, which pulls it sideways, nor where it does not go in or is not wanted.
    fn places_for(&self, peg: &Peg, ground: &FootingMap) -> Vec<bool> {
        let goes_in = |sample: &Sample| {
            let footing = ground.at(sample.at);
            let rock = footing.rock_depth.is_some_and(|depth| depth < peg.row.depth);
            !(rock || footing.keep_out || footing.soil.is_rock() || self.is_clear(sample))
        };
        let mut may_stand: Vec<bool> = self.samples.iter().map(goes_in).collect();
        self.corners.iter().for_each(|(sample, _)| may_stand[*sample] = false);
        may_stand
    }

    /// Whether the keeper wants nothing to stand here.
    fn is_clear(&self, sample: &Sample) -> bool {
        self.clear_m.iter().any(|clear_m| (clear_m - sample.plan_m).abs() < CLEAR_OF_POSTS_M)
    }

    /// What a post costs where it would stand.
    fn cost(&self, row: &PostRow, index: usize, ground: &FootingMap) -> u32 {
        let (sample, is_tree) = (&self.samples[index], self.is_tree(index));
        let footing = ground.at(sample.at);
        let unwanted = self.is_clear(sample);
        if unwanted || footing.keep_out || !is_tree && is_bare_rock(&footing) && row.stands_in_soil() {
            return u32::MAX;
        }
        let is_shallow = row.stands_in_soil() && footing.rock_depth.is_some_and(|rock| rock < row.depth);
        let is_soft = footing.state == GroundState::Wet || footing.soil.undrained_pa.is_some_and(|pa| pa < SOFT_UNDRAINED_PA);
        match () {
            () if is_tree => TREE_COST,
            () if is_shallow => SHALLOW_ROCK_COST,
            () if is_soft => SOFT_GROUND_COST,
            () => USUAL_COST,
        }
    }

    /// The number of the corner at a sample, the first where several stand there.
    pub fn corner_at(&self, sample: usize) -> Option<usize> {
        let first = self.corners.partition_point(|(at, _)| *at < sample);
        self.corners.get(first).filter(|(at, _)| *at == sample).map(|(_, corner)| *corner)
    }

    /// Whether a tree stands beside a sample.
    pub fn is_tree(&self, sample: usize) -> bool {
        self.trees.binary_search(&sample).is_ok()
    }

    /// The gate between two samples, if they are its posts.
    pub fn gate_between(&self, from: usize, to: usize) -> Option<&FeatureId> {
        self.openings.iter().position(|opening| *opening == (from, to)).map(|index| &self.gates[index])
    }
}

/// What lifting costs, where the build says what a hold-down costs and strands are not drilled off their height; judged for a line post
/// in the plan's usual ground.
fn lifting(specification: &Specification, ground: &FootingMap) -> Option<HoldDownCost> {
    let cost = specification.hold_down_cost.filter(|_| specification.drill <= Length::ZERO)?;
    let row = specification.line_post;
    let capacity = lifting_capacity(row, row.depth, &ground.everywhere())?;
    Some(HoldDownCost {
        tension_n: specification.cold().as_newtons(),
        limit_n: (capacity / lifting_factor(row)).as_newtons(),
        cost: (cost * f64::from(USUAL_COST)).round() as u32,
    })
}

/// Whether nobody drives a post in here.
pub(super) fn is_bare_rock(footing: &Footing) -> bool {
    footing.rock_depth.is_some_and(|depth| depth < Length::metres(BARE_ROCK_M))
}

/// Where a line passes a tree that is near enough, metres along the line on the map.
fn foot_m(section: &Section, tree: MapPoint) -> Option<f64> {
    let feet = section.corners.windows(2).map(|leg| {
        let (from, to) = (&section.samples[leg[0]], &section.samples[leg[1]]);
        let (way, off) = (to.at - from.at, tree - from.at);
        let length2 = way.x_m * way.x_m + way.y_m * way.y_m;
        let share = if length2 > 0.0 { ((off.x_m * way.x_m + off.y_m * way.y_m) / length2).clamp(0.0, 1.0) } else { 0.0 };
        (tree.distance_m(from.at.towards(to.at, share)), from.plan_m + (to.plan_m - from.plan_m) * share)
    });
    feet.filter(|(off_m, _)| *off_m <= TREE_BESIDE_M).min_by(|one, other| one.0.total_cmp(&other.0)).map(|(_, plan_m)| plan_m)
}

/// Where gates open the line, rising, each within one leg; a gate that would overlap the one before is left out.
fn openings(gates: &[GatePlace], corners_m: &[f64]) -> Vec<(FeatureId, f64, f64)> {
    let mut openings: Vec<_> = gates
        .iter()
        .filter_map(|gate| {
            let leg = corners_m.windows(2).find(|leg| gate.plan_m <= leg[1]).or(corners_m.windows(2).last())?;
            let width_m = gate.width.as_metres().min(leg[1] - leg[0]);
            let mut from_m = (gate.plan_m - width_m / 2.0).clamp(leg[0], leg[1] - width_m);
            if from_m - leg[0] < SNAP_M {
                from_m = leg[0];
            } else if leg[1] - (from_m + width_m) < SNAP_M {
                from_m = leg[1] - width_m;
            }
            (width_m > SAME_M).then(|| (gate.id.clone(), from_m, from_m + width_m))
        })
        .collect();
    openings.sort_by(|a, b| a.1.total_cmp(&b.1));
    let mut end_m = f64::NEG_INFINITY;
    openings.retain(|(_, from_m, to_m)| {
        let free = *from_m >= end_m - SAME_M;
        if free {
            end_m = *to_m;
        }
        free
    });
    openings
}

/// The section's samples, those too near to each other left out, with samples added at these places.
fn with_samples(section: &Section, mut added_m: Vec<f64>) -> Vec<Sample> {
    added_m.sort_by(f64::total_cmp);
    let mut added = added_m.into_iter().peekable();
    let mut samples: Vec<Sample> = Vec::with_capacity(section.samples.len() + added.len());
    let push = |sample: Sample, samples: &mut Vec<Sample>| {
        if samples.last().is_none_or(|last| sample.plan_m - last.plan_m > SAME_M) {
            samples.push(sample);
        }
    };
    for sample in &section.samples {
        while let Some(plan_m) = added.next_if(|plan_m| *plan_m < sample.plan_m - SAME_M) {
            if let Some(between) = section.sample_at(plan_m) {
                push(between, &mut samples);
            }
        }
        added.next_if(|plan_m| (*plan_m - sample.plan_m).abs() <= SAME_M);
        push(*sample, &mut samples);
    }
    samples
}

/// Corners where a post must stand: the line turns there, alone or together with the gentle turns before, or the keeper said so.
fn turning_corners(section: &Section, choices: &BTreeMap<usize, CornerChoice>) -> Vec<usize> {
    let at: Vec<MapPoint> = section.corners.iter().map(|index| section.samples[*index].at).collect();
    let mut gathered_deg = 0.0;
    let turning = (1..at.len().saturating_sub(1)).filter(|corner| {
        gathered_deg += turn_deg(at[corner - 1], at[*corner], at[corner + 1]);
        let forced = f64::abs(gathered_deg) > FORCED_TURN_DEG || choices.contains_key(corner);
        if forced {
            gathered_deg = 0.0;
        }
        forced
    });
    turning.collect()
}

/// How much the way turns, degrees, positive to the left; 0 where it has no direction.
pub(super) fn turn_deg(before: MapPoint, at: MapPoint, after: MapPoint) -> f64 {
    let (way, next) = (at - before, after - at);
    let cross = way.x_m * next.y_m - way.y_m * next.x_m;
    let dot = way.x_m * next.x_m + way.y_m * next.y_m;
    if cross == 0.0 && dot == 0.0 { 0.0 } else { cross.atan2(dot).to_degrees() }
}
