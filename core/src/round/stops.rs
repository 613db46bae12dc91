//! Where one stops on a round, and what is done there.

use super::expect::{Expectation, Expected};
use super::feeding::Ration;
use super::fence::{Goes, Piece, Stretch, foot};
use crate::finding::Rule;
use crate::land::MapPoint;
use crate::plan::{FeatureId, Kind};
use crate::units::Length;

/// What is done at a stop.
#[derive(Clone, Debug, PartialEq)]
pub enum Task {
    /// The voltage is read.
    Read,
    /// A gate is looked at: handle, cable, whether it is shut and live.
    Gate(FeatureId),
    /// A cut-out switch is looked at.
    Switch(FeatureId),
    /// Where water crosses the line.
    WaterGap,
    /// Where animals run into the line.
    Strikes,
    /// A group is fed and watered.
    Feed(Ration),
}

impl Task {
    /// How long it takes, minutes.
    ///
    /// # Source
    /// Key `common-practice`.
    pub fn minutes(&self) -> f64 {
        match self {
            Self::Read | Self::Strikes => 1.0,
            Self::Gate(_) | Self::Switch(_) => 0.5,
            Self::WaterGap => 2.0,
            Self::Feed(_) => 5.0,
        }
    }
}

/// A place where one stops.
#[derive(Clone, Debug, PartialEq)]
pub struct Stop {
    /// The line it is on.
    pub line: FeatureId,
    /// Where on it.
    pub station: Length,
    /// The same on the map.
    pub at: MapPoint,
    /// What is done there.
    pub tasks: Vec<Task>,
    /// What a meter should read there; `None` where nothing arrives or nothing is read.
    pub expected: Option<Expected>,
}

impl Stop {
    /// How long it takes, minutes.
    pub fn minutes(&self) -> f64 {
        self.tasks.iter().map(Task::minutes).sum()
    }
}

/// Besides the far ends, gates and switches, the voltage is read about every so many metres: where a sound fence reads right at its far end,
/// nothing on the way there can be wrong. Readings every 100 m are for looking for a fault.
///
/// # Source
/// Key `maintenance-page`: sectors by cut-out switches, which stand about 400 m apart.
const READ_EVERY_M: f64 = 400.0;
/// Stops nearer to each other than this are one, metres.
const ONE_STOP_M: f64 = 8.0;
/// So much of a line to either side of a place is looked at in a short round, metres.
const AROUND_PLACE_M: f64 = 10.0;

/// Which way along a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sense {
    /// From its start.
    On,
    /// Towards its start.
    Back,
}

/// A stop that somebody has yet to come to.
struct Waiting {
    line: usize,
    plan_m: f64,
    stop: Stop,
}

/// All stops that nobody has come to yet.
pub(super) struct WaitingStops {
    waiting: Vec<Waiting>,
}

impl WaitingStops {
    /// Stops of a whole round: readings, gates, switches, water gaps, stretches that animals run into, groups to be fed.
    pub fn of(goes: &Goes, far: &[Stretch], rations: Vec<(usize, f64, Ration)>, expectation: Option<&Expectation>) -> Self {
        let mut places: Vec<(usize, f64, Task)> = Vec::new();
        for (line, outcome) in goes.lines() {
            let section = &outcome.section;
            let gates = goes.on_line(section, |kind| matches!(kind, Kind::Gate(_)));
            let switches = goes.on_line(section, |kind| matches!(kind, Kind::Cutout { .. }));
            places.extend(gates.iter().map(|(feature, plan_m)| (line, *plan_m, Task::Gate(feature.id.clone()))));
            places.extend(switches.iter().map(|(feature, plan_m)| (line, *plan_m, Task::Switch(feature.id.clone()))));
            if goes.is_fence(outcome) {
                let forced = gates.iter().chain(&switches).map(|(_, plan_m)| *plan_m);
                let ends = far.iter().filter(|stretch| stretch.line == line).map(|stretch| (stretch.from_m + stretch.to_m) / 2.0);
                let whole_m = section.samples[section.samples.len() - 1].plan_m;
                let read = reading_places(forced.chain(ends).collect(), whole_m);
                places.extend(read.into_iter().map(|plan_m| (line, plan_m, Task::Read)));
            }
        }
        places.extend(found(goes, Rule::WaterGap).into_iter().map(|stretch| (stretch.line, middle_m(stretch), Task::WaterGap)));
        places.extend(found(goes, Rule::Strikes).into_iter().map(|stretch| (stretch.line, middle_m(stretch), Task::Strikes)));
        places.extend(rations.into_iter().map(|(line, plan_m, ration)| (line, plan_m, Task::Feed(ration))));
        Self { waiting: together(goes, places, expectation) }
    }

    /// Those along a piece, in the order in which somebody comes to them.
    pub fn along(&mut self, piece: &Piece, sense: Sense) -> Vec<Stop> {
        // A stop at a cut belongs to whichever piece comes first.
        let is_here =
            |one: &Waiting| one.line == piece.line && one.plan_m >= piece.from_m - 1e-6 && one.plan_m <= piece.to_m + 1e-6;
        let (mut here, rest): (Vec<Waiting>, Vec<Waiting>) = std::mem::take(&mut self.waiting).into_iter().partition(is_here);
        self.waiting = rest;
        here.sort_by(|one, other| one.plan_m.total_cmp(&other.plan_m));
        if sense == Sense::Back {
            here.reverse();
        }
        here.into_iter().map(|one| one.stop).collect()
    }
}

fn middle_m(stretch: Stretch) -> f64 {
    (stretch.from_m + stretch.to_m) / 2.0
}

/// Forced places, and between them more, so that none is farther from the next than a reading's distance.
fn reading_places(mut forced: Vec<f64>, whole_m: f64) -> Vec<f64> {
    forced.sort_by(f64::total_cmp);
    forced.dedup_by(|later, earlier| *later - *earlier < ONE_STOP_M);
    let mut all = forced.clone();
    let stops: Vec<f64> = std::iter::once(0.0).chain(forced).chain([whole_m]).collect();
    for pair in stops.windows(2) {
        let count = ((pair[1] - pair[0]) / READ_EVERY_M).ceil().max(1.0) as usize;
        all.extend((1..count).map(|index| pair[0] + (pair[1] - pair[0]) * index as f64 / count as f64));
    }
    all.sort_by(f64::total_cmp);
    all
}

/// Places near to each other on a line become one stop.
fn together(goes: &Goes, mut places: Vec<(usize, f64, Task)>, expectation: Option<&Expectation>) -> Vec<Waiting> {
    places.sort_by(|one, other| one.0.cmp(&other.0).then(one.1.total_cmp(&other.1)));
    let mut all: Vec<Waiting> = Vec::new();
    for (line, plan_m, task) in places {
        if let Some(last) = all.last_mut().filter(|last| last.line == line && plan_m - last.plan_m <= ONE_STOP_M) {
            if !last.stop.tasks.contains(&task) {
                last.stop.tasks.push(task);
            }
            continue;
        }
        let outcome = &goes.outcome.lines[line];
        let Some(sample) = outcome.section.sample_at(plan_m) else { continue };
        let station = Length::metres(sample.station_m);
        let stop = Stop { line: outcome.id.clone(), station, at: sample.at, tasks: vec![task], expected: None };
        all.push(Waiting { line, plan_m, stop });
    }
    for one in &mut all {
        let reads = one.stop.tasks.contains(&Task::Read);
        one.stop.expected = expectation.filter(|_| reads).and_then(|known| known.at(&one.stop.line, one.stop.station));
    }
    all
}

/// Stretches that findings of a rule name.
pub(super) fn found(goes: &Goes, rule: Rule) -> Vec<Stretch> {
    let findings = goes.outcome.findings.iter().filter(|finding| finding.rule == rule);
    let stretch = |finding: &crate::finding::Finding| {
        let line = goes.outcome.lines.iter().position(|line| Some(&line.id) == finding.place.line.as_ref())?;
        let section = &goes.outcome.lines[line].section;
        let from_m = section.sample_at_station(finding.place.station?.as_metres())?.plan_m;
        let to_m =
            finding.place.until.and_then(|until| section.sample_at_station(until.as_metres())).map_or(from_m, |at| at.plan_m);
        Some(Stretch { line, from_m, to_m })
    };
    findings.filter_map(stretch).collect()
}

/// The far end of each branch: loose ends of fences, and the place of each closed line, or of one without a loose end, where least arrives.
pub(super) fn far_ends(goes: &Goes) -> Vec<Stretch> {
    let Some(frame) = goes.outcome.frame else { return Vec::new() };
    let network = crate::plan::Network::of(goes.plan, frame);
    let power = &goes.outcome.power;
    let state = power.state(goes.state);
    let mut all = Vec::new();
    for (line, outcome) in goes.lines() {
        if !goes.is_fence(outcome) {
            continue;
        }
        let whole_m = outcome.section.samples[outcome.section.samples.len() - 1].plan_m;
        let joints: Vec<f64> = network
            .line_index(&outcome.id)
            .map(|index| network.joints_of(index))
            .unwrap_or_default()
            .iter()
            .map(|(at_m, _)| *at_m)
            .collect();
        let is_loose = |end_m: f64| !outcome.section.closed && joints.iter().all(|joint_m| (joint_m - end_m).abs() > 1.0);
        let loose: Vec<f64> = [0.0, whole_m].into_iter().filter(|end_m| is_loose(*end_m)).collect();
        let least = || {
            let places = power.wiring.stations.iter().zip(&state?.stations).filter(|(station, _)| station.line == outcome.id);
            let fed = places.filter_map(|(station, arrived)| Some((station.plan.as_metres(), arrived.as_ref()?.loaded_v)));
            fed.min_by(|one, other| one.1.total_cmp(&other.1)).map(|(plan_m, _)| plan_m)
        };
        let ends = if loose.is_empty() { least().into_iter().collect() } else { loose };
        all.extend(ends.into_iter().map(|at_m: f64| Stretch { line, from_m: at_m, to_m: at_m }));
    }
    all
}

/// What a short round goes along: water gaps, what animals run into, far ends, and what lies far from every track.
pub(super) fn short(goes: &Goes, far: &[Stretch]) -> Vec<Stretch> {
    use crate::site::{ReachClass, Season};
    let mut all: Vec<Stretch> = found(goes, Rule::WaterGap);
    all.extend(found(goes, Rule::Strikes));
    all.extend_from_slice(far);
    for (line, outcome) in goes.lines() {
        let Some(reach) = &outcome.reach else { continue };
        let plan_m = |station: Length| outcome.section.sample_at_station(station.as_metres()).map_or(0.0, |sample| sample.plan_m);
        let is_far = reach.pieces.iter().filter(|piece| piece.class(Season::Summer) == ReachClass::Far);
        all.extend(is_far.map(|piece| Stretch { line, from_m: plan_m(piece.from), to_m: plan_m(piece.to) }));
    }
    widened(goes, all)
}

/// Stretches no shorter than what is looked at around a place, those that touch made one.
fn widened(goes: &Goes, mut all: Vec<Stretch>) -> Vec<Stretch> {
    for stretch in &mut all {
        let samples = &goes.outcome.lines[stretch.line].section.samples;
        let whole_m = samples.last().map_or(0.0, |sample| sample.plan_m);
        let middle_m = middle_m(*stretch);
        stretch.from_m = stretch.from_m.min(middle_m - AROUND_PLACE_M).max(0.0);
        stretch.to_m = stretch.to_m.max(middle_m + AROUND_PLACE_M).min(whole_m);
    }
    all.sort_by(|one, other| one.line.cmp(&other.line).then(one.from_m.total_cmp(&other.from_m)));
    let mut joined: Vec<Stretch> = Vec::new();
    for stretch in all {
        match joined.last_mut().filter(|last| last.line == stretch.line && stretch.from_m <= last.to_m + 2.0 * AROUND_PLACE_M) {
            Some(last) => last.to_m = last.to_m.max(stretch.to_m),
            None => joined.push(stretch),
        }
    }
    joined
}

/// Where on a line, and on which, the group of a paddock is served: at a gate of its fences nearest to its trough or feeding place, else where
/// they come nearest to it.
pub(super) fn serving_place(goes: &Goes, lines: &[FeatureId], served_at: MapPoint) -> Option<(usize, f64)> {
    let around = || goes.lines().filter(|(_, line)| lines.contains(&line.id));
    let gates = around().flat_map(|(line, outcome)| {
        let gates = goes.on_line(&outcome.section, |kind| matches!(kind, Kind::Gate(_)));
        gates.into_iter().map(move |(_, plan_m)| (line, plan_m)).collect::<Vec<_>>()
    });
    let away_m = |(line, plan_m): &(usize, f64)| {
        goes.outcome.lines[*line].section.sample_at(*plan_m).map_or(f64::INFINITY, |sample| sample.at.distance_m(served_at))
    };
    let gate = gates.min_by(|one, other| away_m(one).total_cmp(&away_m(other)));
    let beside = || {
        let feet = around().filter_map(|(line, outcome)| Some((line, foot(&outcome.section, served_at)?)));
        feet.min_by(|one, other| one.1.1.total_cmp(&other.1.1)).map(|(line, (plan_m, _))| (line, plan_m))
    };
    gate.or_else(beside)
}
