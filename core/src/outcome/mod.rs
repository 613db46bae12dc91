//! Everything that follows from a plan on its ground: what the window shows and the commands print.

mod around;
mod keep;
mod lie;
mod lines;
mod power;
#[cfg(test)]
mod tests;

pub use keep::Kept;

use crate::catalogue::Catalogue;
use crate::check::{Checked, HeldRow, check_plan, sort};
use crate::finding::Finding;
use crate::hold::{FootingMap, HoldError, LineHold, LineMeasure, Post, PostRole, Section};
use crate::land::{Frame, Ground, MapPoint, Position};
use crate::order::{BuiltLine, Order, Part, Site, TakenAt, Variant, order, part_of, variants};
use crate::plan::{FeatureId, Geometry, Plan};
use crate::power::Power;
use crate::site::{HillRunners, LineReach, LineRuns, Reach, Scale, Water, strike_scale};
use crate::units::{Area, Length};
use jiff::civil::Date;
use std::sync::Arc;

/// What follows for one line.
#[derive(Clone, Debug, PartialEq)]
pub struct LineOutcome {
    /// The line.
    pub id: FeatureId,
    /// Lengths and slopes.
    pub measure: LineMeasure,
    /// The ground under it.
    pub section: Section,
    /// Its posts, bays and strains; none where [`Self::trouble`] says why.
    pub hold: Arc<LineHold>,
    /// What runs down to it; `None` of a lead-out, and where the ground does not tell.
    pub runs: Option<Arc<LineRuns>>,
    /// How it is reached and seen from the tracks; `None` without a track.
    pub reach: Option<Arc<LineReach>>,
    /// Share of its length within a short walk of a usable track ([`crate::site::WALK`]), 0 to 1; `None` without a track.
    pub track_share: Option<f64>,
    /// Share of its length that is reached from a vehicle on a usable track ([`crate::site::BESIDE`]), 0 to 1; `None` without a
    /// track.
    pub beside_share: Option<f64>,
    /// What it is worth for every group behind it.
    pub holds: Vec<HeldRow>,
    /// Why its posts cannot be worked out.
    pub trouble: Option<HoldError>,
}

impl LineOutcome {
    /// The posts to be driven, in order, each once. Pegs are none.
    pub fn standing_posts(&self) -> impl Iterator<Item = &Post> {
        self.hold.posts.iter().filter(|post| post.role != PostRole::Peg)
    }

    /// Pegs between the posts, and the stakes of netting.
    pub fn standing_pegs(&self) -> impl Iterator<Item = &Post> {
        self.hold.posts.iter().filter(|post| post.role == PostRole::Peg)
    }
}

/// What follows for one paddock.
#[derive(Clone, Debug, PartialEq)]
pub struct PaddockOutcome {
    /// The paddock's point.
    pub id: FeatureId,
    /// The corners that enclose it, on the map, not closed; empty when it is open.
    pub ring: Vec<MapPoint>,
    /// Area on the map, fenced ground within it taken off.
    pub area: Area,
    /// Area on the ground; on the map where the ground is not known throughout.
    pub ground_area: Area,
    /// Length of its edge on the map.
    pub perimeter: Length,
    /// The fences around it, and around what stands free within it, in plan order.
    pub lines: Vec<FeatureId>,
}

/// Everything that follows from one revision of a plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outcome {
    /// The revision of the plan it was made from.
    pub revision: u64,
    /// The frame of its map points; `None` before anything was worked out.
    pub frame: Option<Frame>,
    /// Fences and lead-outs, in plan order; those that the working frame does not reach are named by a finding instead.
    pub lines: Vec<Arc<LineOutcome>>,
    /// Paddocks, in plan order.
    pub paddocks: Vec<PaddockOutcome>,
    /// What lines are reached and seen by.
    pub reach: Arc<Reach>,
    /// What arrives of the pulse at every place of the lines.
    pub power: Arc<Power>,
    /// What water does on the ground; `None` where that is not known.
    pub water: Option<Arc<Water>>,
    /// Animals that run down it; `None` where that is not known.
    pub runners: Option<Arc<HillRunners>>,
    /// How many strikes there are for each that the model expects, by the plan's own log; `None` where nothing is known of strikes.
    pub strike_scale: Option<Scale>,
    /// What the checker has to say, worst first.
    pub findings: Vec<Finding>,
    /// What to buy.
    pub order: Order,
}

impl Outcome {
    /// What one part of the plan takes, built before the rest.
    pub fn order_of(&self, plan: &Plan, part: &Part, catalogue: &Catalogue) -> Order {
        let plan = &part_of(plan, part);
        self.built(plan, catalogue, |lines, site| order(plan, lines, site, catalogue)).unwrap_or_default()
    }

    /// The part of the plan that is built first when a paddock is wanted first.
    pub fn first(&self, paddock: &FeatureId) -> Option<Part> {
        let found = self.paddocks.iter().find(|row| row.id == *paddock && !row.lines.is_empty())?;
        Some(Part::First { paddock: found.id.clone(), lines: found.lines.clone() })
    }

    /// What changes of the builds would cost, posts standing where they stand.
    pub fn variants(&self, plan: &Plan, catalogue: &Catalogue) -> Vec<Variant> {
        let ask = |lines: &[BuiltLine], site: &Site| variants(plan, lines, site, catalogue, &self.order);
        self.built(plan, catalogue, ask).unwrap_or_default()
    }

    fn built<T>(&self, plan: &Plan, catalogue: &Catalogue, with: impl FnOnce(&[BuiltLine], &Site) -> T) -> Option<T> {
        let frame = self.frame?;
        let footings = FootingMap::of(plan, frame, catalogue);
        let standing = self.lines.iter().filter(|line| plan.feature(&line.id).is_some());
        let lines: Vec<BuiltLine> = standing.map(|line| built(line)).collect();
        Some(with(&lines, &Site { frame, footings: footings.as_ref().ok() }))
    }

    /// Where on the globe a part of an item goes; the middle of a stretch.
    pub fn place_of(&self, plan: &Plan, taken: &TakenAt) -> Option<Position> {
        Some(self.frame?.to_position(self.map_point_of(plan, taken)?))
    }

    /// The same on the map.
    pub fn map_point_of(&self, plan: &Plan, taken: &TakenAt) -> Option<MapPoint> {
        let on_line = || {
            let line = self.lines.iter().find(|line| line.id == taken.feature)?;
            let (from, until) = (taken.from?, taken.until);
            // A stretch that passes the start of a closed line has its middle where it begins.
            let middle = until.filter(|until| *until >= from).map_or(from, |until| (from + until) / 2.0);
            Some(line.section.sample_at_station(middle.as_metres())?.at)
        };
        let drawn = || match &plan.feature(&taken.feature)?.geometry {
            Geometry::Point(at) => self.frame?.to_map(*at).ok(),
            Geometry::Line(corners) => self.frame?.to_map(*corners.get(corners.len() / 2)?).ok(),
            _ => None,
        };
        on_line().or_else(drawn)
    }
}

/// The working frame of a plan: that of its ground, else the middle of everything drawn.
pub fn frame(plan: &Plan, ground: Option<&Ground>) -> Frame {
    if let Some(ground) = ground {
        return ground.frame();
    }
    Frame::near(plan.middle().unwrap_or(Position::from_degrees(0.0, 0.0)))
}

/// Everything that follows from a plan, whatever the day: nothing is said about stock that grows. See [`outcome_on`].
pub fn outcome(plan: &Plan, revision: u64, ground: Option<&Ground>, catalogue: &Catalogue, kept: &mut Kept) -> Outcome {
    outcome_on(None, plan, revision, ground, catalogue, kept)
}

/// Everything that follows from a plan on a day. `kept` holds what the last call worked out; what has not changed since is taken
/// from there, and the result is the same as with an empty one.
pub fn outcome_on(
    on: Option<Date>,
    plan: &Plan,
    revision: u64,
    ground: Option<&Ground>,
    catalogue: &Catalogue,
    kept: &mut Kept,
) -> Outcome {
    let frame = frame(plan, ground);
    let given = kept.given(plan, frame, ground, catalogue);
    let footings = FootingMap::of(plan, frame, catalogue);
    let faces = around::faces(plan, &given.ground, kept);
    let checked = Checked {
        plan,
        catalogue,
        frame,
        ground,
        smooth_ground: given.smooth_ground.as_deref(),
        footings: footings.as_ref().ok(),
        surroundings: &given.surroundings,
        reach: &given.reach,
        water: given.land.water.as_deref(),
        runners: given.land.runners.as_deref(),
        paddocks: &faces.faces,
        power: None,
        held: &[],
        on,
    };
    let lines = lines::work_out(&checked, footings.as_ref().err(), &given, kept);
    let mut findings: Vec<Finding> = lines.iter().flat_map(|line| line.findings.iter().cloned()).collect();
    let power = power::power(&checked, &lines, &given, kept);
    let held: Vec<HeldRow> = lines.iter().flat_map(|line| line.outcome.holds.iter().cloned()).collect();
    findings.extend(check_plan(&Checked { power: Some(&power), held: &held, ..checked }));
    sort(&mut findings);
    let paddocks = around::paddock_outcomes(&checked, &faces, kept);
    let built: Vec<BuiltLine> = lines.iter().map(|line| built(&line.outcome)).collect();
    let strike_scale = strike_scale(plan, lines.iter().filter_map(|line| line.outcome.runs.as_deref()), on);
    let outcome = Outcome {
        revision,
        strike_scale,
        water: given.land.water.clone(),
        runners: given.land.runners.clone(),

        frame: Some(frame),
        lines: lines.iter().map(|line| Arc::clone(&line.outcome)).collect(),
        paddocks,
        reach: Arc::clone(&given.reach),
        power,
        findings,
        order: order(plan, &built, &Site { frame, footings: footings.as_ref().ok() }, catalogue),
    };
    kept.keep(given, lines);
    outcome
}

impl Outcome {
    /// Strikes on a line in a year: by the model, scaled by the log where there is one. `None` where the ground does not tell.
    pub fn strikes_per_year(&self, line: &LineOutcome) -> Option<f64> {
        Some(line.runs.as_ref()?.strikes() * self.strike_scale.map_or(1.0, Scale::factor))
    }
}

fn built(line: &LineOutcome) -> BuiltLine<'_> {
    BuiltLine {
        id: &line.id,
        measure: &line.measure,
        section: &line.section,
        posts: &line.hold.posts,
        bays: &line.hold.bays,
        strains: &line.hold.strains,
        on_walk: line.hold.on_walk.as_ref(),
    }
}
