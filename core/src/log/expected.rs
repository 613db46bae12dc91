//! What a reading should have been: the fence as the plan has it, without any fault.

use super::LogFrom;
use super::entry::{Entry, What};
use crate::catalogue::GroundState;
use crate::hold::{FootingMap, Section};
use crate::land::Frame;
use crate::plan::{Feature, FeatureId, Kind, Network, Plan};
use crate::power::{Laid, Power, STATES, WiredFrom, state_index, wire_up};
use std::collections::HashMap;
use std::sync::Arc;

/// A voltmeter and the model together are off by this share before a reading says anything (`common-practice`: cheap meters read within 5 %,
/// and nobody knows the growth along a fence better than that).
pub const METER_SHARE: f64 = 0.1;

/// What should be read at a place without any fault.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expectation {
    /// The least that the states of the ground allow, kilovolts: in wet ground, or in the one that was.
    pub low_kv: f64,
    /// The most: in dry ground, or in the one that was.
    pub high_kv: f64,
    /// The state of the ground, where the entry says it.
    pub ground: Option<GroundState>,
}

impl Expectation {
    /// Its middle, kilovolts.
    pub fn middle_kv(&self) -> f64 {
        0.5 * (self.low_kv + self.high_kv)
    }
    /// The value below which something is wrong, kilovolts.
    pub fn least_kv(&self) -> f64 {
        self.low_kv * (1.0 - METER_SHARE)
    }
    /// The value above which the fence is better than the plan says, kilovolts.
    pub fn most_kv(&self) -> f64 {
        self.high_kv * (1.0 + METER_SHARE)
    }
}

/// A reading beside what was expected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Against {
    /// Too little: something leads away, or stands in the way.
    Below,
    /// As expected.
    Within,
    /// More: the plan asks too little of the fence, or less grows along it.
    Above,
}

/// A reading beside what was expected.
pub fn held_against(kv: f64, expected: &Expectation) -> Against {
    if kv < expected.least_kv() {
        Against::Below
    } else if kv > expected.most_kv() {
        Against::Above
    } else {
        Against::Within
    }
}

/// By line, what a meter reads at its places in each state of the ground: distance on the map in metres, kilovolts.
type AlongLines = HashMap<FeatureId, Vec<(f64, [Option<f64>; STATES.len()])>>;

/// Gives every reading on a line what it should have been.
pub(super) fn expect(from: &LogFrom, frame: Frame, network: &Network, entries: &mut [Entry]) {
    let has_reading = entries.iter().any(|entry| entry.kv().is_some());
    let Some(power) = (if has_reading { sound(from, frame, network) } else { None }) else { return };
    let along = along_lines(&power);
    for entry in entries {
        let What::Reading { ground, is_on: true, .. } = entry.what else { continue };
        let Some((line, plan_m)) = entry.on().map(|on| (&on.line, on.plan_m)) else { continue };
        let Some(places) = along.get(line) else { continue };
        entry.expected = match ground {
            Some(state) => at(places, plan_m, state).map(|kv| Expectation { low_kv: kv, high_kv: kv, ground }),
            None => at(places, plan_m, GroundState::Dry)
                .zip(at(places, plan_m, GroundState::Wet))
                .map(|(dry, wet)| Expectation { low_kv: dry.min(wet), high_kv: dry.max(wet), ground: None }),
        };
    }
}

/// The pulse of the fence without its faults.
fn sound(from: &LogFrom, frame: Frame, network: &Network) -> Option<Arc<Power>> {
    let known = &from.outcome.power;
    if !known.wiring.is_driven() {
        return None;
    }
    let is_fault = |feature: &Arc<Feature>| matches!(&feature.kind, Kind::Fault(fault) if fault.is_active());
    if !from.plan.features.iter().any(is_fault) {
        return Some(Arc::clone(known));
    }
    let features = from.plan.features.iter().filter(|feature| !feature.kind.is_log_entry()).cloned().collect();
    let plan = Plan { features, ..from.plan.clone() };
    let footings = FootingMap::of(&plan, frame, from.catalogue).ok()?;
    let sections: HashMap<&FeatureId, &Section> = from.outcome.lines.iter().map(|line| (&line.id, &line.section)).collect();
    let animals = HashMap::new();
    let wired = WiredFrom {
        plan: &plan,
        frame,
        network,
        sections: &sections,
        footings: &footings,
        catalogue: from.catalogue,
        animals: &animals,
    };
    Some(Arc::new(Power::of(Arc::new(wire_up(&wired)), &Laid::default())))
}

fn along_lines(power: &Power) -> AlongLines {
    let mut all = AlongLines::new();
    for (index, station) in power.wiring.stations.iter().enumerate() {
        let kv = STATES.map(|state| {
            let arrived = power.state(state)?.stations.get(index)?.as_ref()?;
            Some(arrived.open_v / 1000.0)
        });
        all.entry(station.line.clone()).or_default().push((station.plan.as_metres(), kv));
    }
    for places in all.values_mut() {
        places.sort_by(|one, other| one.0.total_cmp(&other.0));
    }
    all
}

/// Between the neighbouring places, in proportion.
fn at(places: &[(f64, [Option<f64>; STATES.len()])], plan_m: f64, state: GroundState) -> Option<f64> {
    let index = state_index(state);
    let next = places.partition_point(|(place_m, _)| *place_m < plan_m);
    let after = places.get(next).or(places.last())?;
    let before = places.get(next.saturating_sub(1)).unwrap_or(after);
    let (low, high) = (before.1[index]?, after.1[index]?);
    let wide_m = after.0 - before.0;
    let share = if wide_m > 0.0 { ((plan_m - before.0) / wide_m).clamp(0.0, 1.0) } else { 0.0 };
    Some(low + (high - low) * share)
}
