//! The posts of a line and the bays between them.

use super::corner::{corner_pull_n, uplift_n};
use super::results::{Bay, GatePlace, LineHold, Post, PostRole, Sample, Section, StrandGap};
use super::spacing::{Question, SHORTEST_BAY_M, USUAL_COST, place_posts, sag_at};
use super::specification::{Specification, post};
use super::verdict::{depth_available, standing_capacity};
use super::{Footing, FootingMap, HoldError};
use crate::catalogue::{Catalogue, PostMaterial, PostRow};
use crate::land::MapPoint;
use crate::plan::{CornerChoice, Feature, FeatureId, Kind, Plan};
use crate::units::{Elevation, Force, Length};
use std::collections::BTreeMap;

/// A post must stand where a line turns by more than this, degrees; gentler turns add up (`common-practice`).
pub const FORCED_TURN_DEG: f64 = 5.0;
/// A turn of this much or more takes a corner post; a gentler one the next larger line post, degrees (`common-practice`).
pub const SHARP_TURN_DEG: f64 = 20.0;
/// Width of a gate that does not say, metres.
pub const GATE_WIDTH_M: f64 = 3.6;
/// A gate post this near to a corner is the corner post, metres (`common-practice`).
const SNAP_M: f64 = 0.3;
/// Where rock is nearer than this no post that stands in soil goes in, metres (`common-practice`).
pub const BARE_ROCK_M: f64 = 0.1;
/// Samples nearer than this are one, metres.
const SAME_M: f64 = 1e-3;

/// Where a gate drawn at this point of the map opens a line: the nearest place on it, and how far off the point is, metres.
/// `None` for a line of less than two corners.
pub fn gate_place(id: &FeatureId, at: MapPoint, width: Option<Length>, section: &Section) -> Option<(GatePlace, f64)> {
    let corners: Vec<&Sample> = section.corners.iter().map(|index| &section.samples[*index]).collect();
    let nearest = |leg: &[&Sample]| {
        let way = leg[1].at - leg[0].at;
        let length2 = way.x_m * way.x_m + way.y_m * way.y_m;
        let to = at - leg[0].at;
        let share = if length2 > 0.0 { ((to.x_m * way.x_m + to.y_m * way.y_m) / length2).clamp(0.0, 1.0) } else { 0.0 };
        let off_m = at.distance_m(leg[0].at.towards(leg[1].at, share));
        (leg[0].plan_m + share * (leg[1].plan_m - leg[0].plan_m), off_m)
    };
    let (plan_m, off_m) = corners.windows(2).map(nearest).min_by(|a, b| a.1.total_cmp(&b.1))?;
    Some((GatePlace { id: id.clone(), plan_m, width: width.unwrap_or(Length::metres(GATE_WIDTH_M)) }, off_m))
}

/// Posts and bays of a fence or a lead-out. A lead-out in the ground has none.
///
/// # Errors
/// [`HoldError`] where the plan does not say what is needed.
pub fn line_hold(
    plan: &Plan,
    line: &Feature,
    section: &Section,
    gates: &[GatePlace],
    ground: &FootingMap,
    catalogue: &Catalogue,
) -> Result<LineHold, HoldError> {
    let no_choices = BTreeMap::new();
    let (specification, choices, wanted): (_, _, &[Length]) = match &line.kind {
        Kind::Fence(fence) => {
            let missing = || HoldError::NoBuild { line: line.id.clone(), build: fence.build.clone() };
            let build = plan.build(&fence.build).ok_or_else(missing)?;
            (Specification::of(build, catalogue)?, &fence.corners, &fence.posts)
        }
        Kind::LeadOut(lead_out) if lead_out.underground => return Ok(LineHold::default()),
        Kind::LeadOut(lead_out) => (Specification::of_lead_out(lead_out, catalogue)?, &no_choices, &[]),
        _ => return Err(HoldError::NotALine { id: line.id.clone() }),
    };
    if section.samples.len() < 2 {
        return Ok(LineHold::default());
    }
    let stand = Stand::of(section, gates, choices, wanted);
    let placed = stand.place(&specification, ground);
    let hold = Hold { stand: &stand, placed: &placed, specification: &specification, choices, closed: section.closed };
    Ok(LineHold { posts: hold.posts(ground, catalogue)?, bays: hold.bays() })
}

/// The samples of a section with those added where a post must stand.
struct Stand {
    samples: Vec<Sample>,
    /// Corner number by sample, rising.
    corners: Vec<(usize, usize)>,
    forced: Vec<usize>,
    openings: Vec<(usize, usize)>,
    gates: Vec<FeatureId>,
}

impl Stand {
    fn of(section: &Section, gates: &[GatePlace], choices: &BTreeMap<usize, CornerChoice>, wanted: &[Length]) -> Self {
        let corners_m: Vec<f64> = section.corners.iter().map(|index| section.samples[*index].plan_m).collect();
        let openings_m = openings(gates, &corners_m);
        let mut added_m: Vec<f64> = openings_m.iter().flat_map(|(_, from, to)| [*from, *to]).collect();
        let wanted = wanted.iter().filter_map(|station| section.sample_at_station(station.as_metres()));
        added_m.extend(wanted.map(|sample| sample.plan_m));
        let samples = with_samples(section, added_m.clone());
        let index = |plan_m: f64| samples.partition_point(|sample| sample.plan_m < plan_m - SAME_M / 2.0).min(samples.len() - 1);
        let corners: Vec<(usize, usize)> = corners_m.iter().enumerate().map(|(corner, at)| (index(*at), corner)).collect();
        let mut forced: Vec<usize> = added_m.iter().map(|at| index(*at)).collect();
        forced.extend(turning_corners(section, choices).into_iter().map(|corner| corners[corner].0));
        forced.sort_unstable();
        forced.dedup();
        let openings = openings_m.iter().map(|(_, from, to)| (index(*from), index(*to))).collect();
        Self { corners, forced, openings, gates: openings_m.into_iter().map(|(id, ..)| id).collect(), samples }
    }

    fn place(&self, specification: &Specification, ground: &FootingMap) -> Vec<usize> {
        let plan_m: Vec<f64> = self.samples.iter().map(|sample| sample.plan_m).collect();
        let ground_m: Vec<Option<f64>> = self.samples.iter().map(|sample| sample.ground_m).collect();
        let costs: Vec<u32> = self.samples.iter().map(|sample| cost(specification.line_post, &ground.at(sample.at))).collect();
        let question = Question {
            plan_m: &plan_m,
            ground_m: &ground_m,
            forced: &self.forced,
            openings: &self.openings,
            cost: Some(&costs),
            longest_bay_m: specification.longest_bay.as_metres(),
            shortest_bay_m: SHORTEST_BAY_M,
            hanging: &specification.hanging,
        };
        place_posts(&question).posts
    }

    fn gate_between(&self, from: usize, to: usize) -> Option<&FeatureId> {
        self.openings.iter().position(|opening| *opening == (from, to)).map(|index| &self.gates[index])
    }
}

/// What a post costs where it would stand: nobody drives one into bare rock.
fn cost(row: &PostRow, footing: &Footing) -> u32 {
    let on_rock = footing.rock_depth.is_some_and(|depth| depth < Length::metres(BARE_ROCK_M));
    if on_rock && row.stands_in_soil() { u32::MAX } else { USUAL_COST }
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
fn turn_deg(before: MapPoint, at: MapPoint, after: MapPoint) -> f64 {
    let (way, next) = (at - before, after - at);
    let cross = way.x_m * next.y_m - way.y_m * next.x_m;
    let dot = way.x_m * next.x_m + way.y_m * next.y_m;
    if cross == 0.0 && dot == 0.0 { 0.0 } else { cross.atan2(dot).to_degrees() }
}

struct Hold<'a> {
    stand: &'a Stand,
    placed: &'a [usize],
    specification: &'a Specification<'a>,
    choices: &'a BTreeMap<usize, CornerChoice>,
    closed: bool,
}

/// The neighbours of a post that strands lead to.
struct Sides {
    before: Option<usize>,
    after: Option<usize>,
    gate: bool,
}

impl Hold<'_> {
    fn sample(&self, place: usize) -> &Sample {
        &self.stand.samples[self.placed[place]]
    }

    /// Places of the posts of which each stands once.
    fn own_places(&self) -> usize {
        self.placed.len() - usize::from(self.closed)
    }

    fn sides(&self, place: usize) -> Sides {
        let last = self.placed.len() - 1;
        let before = if place > 0 { Some(place - 1) } else { self.closed.then(|| last - 1) };
        let after = (place < last).then(|| place + 1);
        let gate = |from: usize, to: usize| self.stand.gate_between(self.placed[from], self.placed[to]).is_some();
        // The first place of a closed line is its last one too.
        let gate_before = before.is_some_and(|before| gate(before, before + 1));
        let gate_after = after.is_some_and(|after| gate(place, after));
        Sides { before: before.filter(|_| !gate_before), after: after.filter(|_| !gate_after), gate: gate_before || gate_after }
    }

    fn posts(&self, ground: &FootingMap, catalogue: &Catalogue) -> Result<Vec<Post>, HoldError> {
        (0..self.own_places()).map(|place| self.post(place, ground, catalogue)).collect()
    }

    fn post(&self, place: usize, ground: &FootingMap, catalogue: &Catalogue) -> Result<Post, HoldError> {
        let sample = self.sample(place);
        let sides = self.sides(place);
        let corner = self.stand.corners.iter().find(|(index, _)| *index == self.placed[place]).map(|(_, corner)| *corner);
        let choice = corner.and_then(|corner| self.choice(corner));
        let is_end = !self.closed && (place == 0 || place == self.placed.len() - 1);
        let deflection_deg = self.deflection_deg(place, is_end);
        let uplift = self.uplift(sample, &sides);
        let role = self.role(&sides, is_end, deflection_deg, uplift);
        let row = match choice.and_then(|choice| choice.post.as_deref()) {
            Some(id) => post(id, catalogue)?,
            None => self.row(role, deflection_deg, catalogue),
        };
        let mut footing: Footing = ground.at(sample.at);
        footing.rock_depth = choice.and_then(|choice| choice.rock_depth).or(footing.rock_depth);
        let pull_height = self.specification.pull_height();
        let depth = depth_available(row, footing.rock_depth);
        Ok(Post {
            station: Length::metres(sample.station_m),
            plan_m: sample.plan_m,
            at: sample.at,
            ground: sample.ground_m.map(Elevation::metres),
            role,
            post: row.id.clone(),
            corner,
            braced: choice.and_then(|choice| choice.brace).unwrap_or(row.id == "stay-strainer"),
            deflection_deg,
            uplift,
            sideways: self.sideways(&sides, deflection_deg),
            pull_height,
            depth,
            capacity: standing_capacity(row, depth, pull_height, &footing),
        })
    }

    /// What the keeper decided about a corner; the first and the last corner of a closed line are one.
    fn choice(&self, corner: usize) -> Option<&CornerChoice> {
        let last = self.stand.corners.len() - 1;
        self.choices.get(&corner).or_else(|| self.choices.get(&last).filter(|_| self.closed && corner == 0))
    }

    fn deflection_deg(&self, place: usize, is_end: bool) -> Option<f64> {
        if is_end {
            return None;
        }
        let before = if place > 0 { place - 1 } else { self.placed.len() - 2 };
        Some(turn_deg(self.sample(before).at, self.sample(place).at, self.sample(place + 1).at).abs())
    }

    fn uplift(&self, sample: &Sample, sides: &Sides) -> Force {
        let neighbours = [sides.before, sides.after].into_iter().flatten().filter_map(|place| {
            let neighbour = self.sample(place);
            let rise_m = neighbour.ground_m.zip(sample.ground_m).map(|(there, here)| there - here)?;
            Some((rise_m, neighbour.at.distance_m(sample.at)))
        });
        Force::newtons(uplift_n(self.specification.set().as_newtons(), neighbours))
    }

    fn sideways(&self, sides: &Sides, deflection_deg: Option<f64>) -> Force {
        let cold = self.specification.cold();
        match (sides.before, sides.after) {
            (None, None) => Force::ZERO,
            (Some(_), Some(_)) => {
                let turn_deg = deflection_deg.unwrap_or(0.0);
                Force::newtons(corner_pull_n(cold.as_newtons(), turn_deg).expect("a turn is 0 to 180 degrees"))
            }
            _ => cold,
        }
    }

    fn role(&self, sides: &Sides, is_end: bool, deflection_deg: Option<f64>, uplift: Force) -> PostRole {
        let turns = deflection_deg.is_some_and(|turn| turn > FORCED_TURN_DEG);
        // A change of grade counts like a turn of the same angle.
        let noticed = self.specification.set() * (2.0 * (FORCED_TURN_DEG.to_radians() / 2.0).sin());
        match () {
            () if sides.gate => PostRole::Gate,
            () if is_end => PostRole::End,
            () if turns => PostRole::Corner,
            () if uplift > noticed => PostRole::Dip,
            () if -uplift > noticed => PostRole::Rise,
            () => PostRole::Line,
        }
    }

    fn row<'c>(&'c self, role: PostRole, deflection_deg: Option<f64>, catalogue: &'c Catalogue) -> &'c PostRow {
        let sharp = deflection_deg.is_some_and(|turn| turn >= SHARP_TURN_DEG);
        match role {
            PostRole::End | PostRole::Gate => self.specification.corner_post,
            PostRole::Corner if sharp => self.specification.corner_post,
            PostRole::Corner => next_larger(self.specification.line_post, self.specification.corner_post, catalogue),
            PostRole::Line | PostRole::Dip | PostRole::Rise => self.specification.line_post,
        }
    }

    fn bays(&self) -> Vec<Bay> {
        (1..self.placed.len()).map(|to| self.bay(self.placed[to - 1], self.placed[to])).collect()
    }

    fn bay(&self, from: usize, to: usize) -> Bay {
        let samples = &self.stand.samples[from..=to];
        let gate = self.stand.gate_between(from, to).cloned();
        let strands = if gate.is_some() { vec![] } else { gaps(samples, self.specification) };
        Bay {
            from: Length::metres(samples[0].station_m),
            to: Length::metres(samples[samples.len() - 1].station_m),
            strands,
            gate,
        }
    }
}

/// The next larger wood post than the line's, no shallower, up to its corner post.
fn next_larger<'a>(line: &PostRow, corner: &'a PostRow, catalogue: &'a Catalogue) -> &'a PostRow {
    let larger = |row: &&PostRow| row.material == PostMaterial::Wood && row.width > line.width && row.depth >= line.depth;
    let next = catalogue.posts.iter().filter(larger).min_by(|a, b| a.width.as_metres().total_cmp(&b.width.as_metres()));
    next.filter(|row| row.width < corner.width).unwrap_or(corner)
}

/// What each strand does in a bay; nothing where the ground is unknown at either post.
fn gaps(samples: &[Sample], specification: &Specification) -> Vec<StrandGap> {
    let (first, last) = (samples[0], samples[samples.len() - 1]);
    let Some((z0, z1)) = first.ground_m.zip(last.ground_m) else { return vec![] };
    let span_m = last.plan_m - first.plan_m;
    let gap = |strand: &super::HungStrand| {
        let mut gap = StrandGap {
            height: strand.height,
            lowest_gap: strand.height,
            lowest_gap_at: Length::metres(first.station_m),
            highest_gap: strand.height,
            highest_gap_at: Length::metres(first.station_m),
        };
        for sample in samples {
            let Some(z) = sample.ground_m else { continue };
            let u_m = sample.plan_m - first.plan_m;
            let straight = strand.height + Length::metres(z0 + (z1 - z0) * u_m / span_m - z);
            let slack = straight - sag_at(strand.slackest_kappa_per_m, u_m, span_m);
            if slack < gap.lowest_gap {
                (gap.lowest_gap, gap.lowest_gap_at) = (slack, Length::metres(sample.station_m));
            }
            if straight > gap.highest_gap {
                (gap.highest_gap, gap.highest_gap_at) = (straight, Length::metres(sample.station_m));
            }
        }
        gap
    };
    specification.strands.iter().map(gap).collect()
}

#[cfg(test)]
#[path = "posts_tests.rs"]
mod tests;
