//! The lines of a plan cut at every place that matters to the pulse.

use super::effects::breaks;
use super::wire_up::{Builder, Rails};
use crate::hold::Section;
use crate::land::MapPoint;
use crate::plan::{Feature, Gate, Kind, Network, NetworkLine, OnLine};

/// A point this near to a line is on it, metres on the map.
const ON_LINE_M: f64 = 1.0;
/// Distance of the places at which the pulse is worked out along a line, metres.
const STEP_M: f64 = 25.0;
/// Most places along all lines: in larger plans they stand further apart.
const MOST_PLACES: f64 = 400.0;
/// Places nearer to each other than this are one, metres.
const SAME_M: f64 = 1e-3;
/// Width of a gate that does not say, metres.
const GATE_WIDTH_M: f64 = 3.6;

/// A feature with its place on a line.
pub(super) struct Placed<'a> {
    pub feature: &'a Feature,
    pub line: usize,
    pub plan_m: f64,
}

impl Placed<'_> {
    /// Where a gate opens the line.
    pub fn gate(&self) -> Option<(f64, f64, &Gate)> {
        let Kind::Gate(gate) = &self.feature.kind else { return None };
        let half_m = gate.width.map_or(GATE_WIDTH_M, |width| width.as_metres()) / 2.0;
        Some((self.plan_m - half_m, self.plan_m + half_m, gate))
    }

    /// Whether the line is cut in two here, to be joined again or not.
    fn parts(&self, live: usize) -> bool {
        match &self.feature.kind {
            Kind::Cutout { .. } => true,
            Kind::Fault(fault) => breaks(fault, live),
            _ => false,
        }
    }
}

/// A line with its places.
pub(super) struct Course<'a> {
    pub line: usize,
    pub feature: &'a Feature,
    pub section: &'a Section,
    pub run: usize,
    pub stops: Vec<Stop>,
}

/// A place on a line: the rails that come from before it and those that go on; the same, unless something parts them here.
pub(super) struct Stop {
    pub plan_m: f64,
    pub before: Rails,
    pub after: Rails,
}

/// The nearest place on the lines that count, within [`ON_LINE_M`], and how far off it is.
pub(super) fn place_on(network: &Network, at: MapPoint, counts: impl Fn(&NetworkLine) -> bool) -> Option<(OnLine, f64)> {
    let lines = network.lines.iter().enumerate().filter(|(_, line)| counts(line));
    let places =
        lines.filter_map(|(index, line)| line.nearest(at).map(|(plan_m, off_m)| (OnLine { line: index, plan_m }, off_m)));
    places.min_by(|one, other| one.1.total_cmp(&other.1)).filter(|(_, off_m)| *off_m <= ON_LINE_M)
}

/// Every line that is strung with something.
pub(super) fn courses<'a>(builder: &mut Builder<'a>, placed: &[Placed]) -> Vec<Course<'a>> {
    let network = builder.from.network;
    let total_m: f64 = network.lines.iter().map(NetworkLine::length_m).sum();
    let step_m = STEP_M.max(total_m / MOST_PLACES);
    let mut made = Vec::new();
    for (index, line) in network.lines.iter().enumerate() {
        let plan = builder.from.plan;
        let (Some(feature), Some(section)) = (plan.feature(&line.id), builder.from.sections.get(&line.id)) else { continue };
        let Some(run) = builder.run_of(feature) else { continue };
        let leads_back = matches!(&feature.kind, Kind::LeadOut(lead_out) if lead_out.earth_return);
        let (has_earth, live) = (run.rails() > 1 || leads_back, run.live());
        let run = builder.run(run);
        let here: Vec<&Placed> = placed.iter().filter(|placed| placed.line == index).collect();
        let stops = cuts(network, index, &here, step_m).into_iter().map(|plan_m| {
            let mut rails = || Rails { hot: builder.pin(), earth: has_earth.then(|| builder.pin()) };
            let before = rails();
            let parted = here.iter().any(|placed| placed.parts(live) && (placed.plan_m - plan_m).abs() < SAME_M);
            Stop { plan_m, before, after: if parted { rails() } else { before } }
        });
        let stops = stops.collect();
        made.push(Course { line: index, feature, section, run, stops });
    }
    made
}

/// Where a line is cut: ends, corners where lines meet, both sides of gates, everything on it, and evenly between.
fn cuts(network: &Network, index: usize, here: &[&Placed], step_m: f64) -> Vec<f64> {
    let line = &network.lines[index];
    let length_m = line.length_m();
    let mut fixed = vec![0.0, length_m];
    fixed.extend(network.joints_of(index).iter().map(|(plan_m, _)| *plan_m));
    for placed in here {
        match placed.gate() {
            Some((start, end, _)) => fixed.extend([start, end]),
            None => fixed.push(placed.plan_m),
        }
    }
    fixed.iter_mut().for_each(|plan_m| *plan_m = plan_m.clamp(0.0, length_m));
    fixed.sort_by(f64::total_cmp);
    fixed.dedup_by(|next, before| *next - *before < SAME_M);
    let mut all = Vec::new();
    for pair in fixed.windows(2) {
        let pieces = ((pair[1] - pair[0]) / step_m).ceil().max(1.0);
        all.extend((0..pieces as usize).map(|piece| pair[0] + (pair[1] - pair[0]) * piece as f64 / pieces));
    }
    all.extend(fixed.last());
    all
}

impl Course<'_> {
    /// The stop at a place.
    pub fn stop(&self, plan_m: f64) -> Option<&Stop> {
        self.stops.iter().min_by(|one, other| (one.plan_m - plan_m).abs().total_cmp(&(other.plan_m - plan_m).abs()))
    }

    /// The rails at a place as another line meets them: beyond a switch at the very end of this one.
    pub fn outer(&self, plan_m: f64) -> Option<Rails> {
        let stop = self.stop(plan_m)?;
        let is_last = self.stops.last().is_some_and(|last| (last.plan_m - stop.plan_m).abs() < SAME_M);
        Some(if is_last { stop.after } else { stop.before })
    }

    /// The rails at a point of the map that lies on this line.
    pub fn touched(&self, network: &Network, at: MapPoint) -> Option<Rails> {
        let (plan_m, off_m) = network.lines[self.line].nearest(at)?;
        self.stop(plan_m).filter(|_| off_m <= ON_LINE_M).map(|stop| stop.after)
    }

    /// How far a point is off the nearest place of the line, and the rails of the stop next to it.
    pub fn nearest(&self, network: &Network, at: MapPoint) -> Option<(f64, Rails)> {
        let (plan_m, off_m) = network.lines[self.line].nearest(at)?;
        self.outer(plan_m).map(|rails| (off_m, rails))
    }

    /// Whether it is a fence.
    pub fn is_fence(&self) -> bool {
        matches!(self.feature.kind, Kind::Fence(_))
    }
}
