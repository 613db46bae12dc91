//! Lines that no pulse gets to.

use super::Checked;
use super::far_end::{place, place_of_point};
use crate::finding::{Bite, BiteChange, BiteRemedy, Finding, Place, Reason, Remedy, Rule, Unfed, Unit, Weight};
use crate::plan::{Feature, Kind};
use crate::power::{Power, Station, WiredEnergizer};
use crate::source::SourceKey;
use crate::units::Length;

/// The plan without a working energizer, or every fence that is not fed throughout.
pub fn check(checked: &Checked) -> Vec<Finding> {
    let Some(power) = checked.power else { return Vec::new() };
    let fences: Vec<&Feature> =
        checked.plan.features.iter().map(AsRef::as_ref).filter(|feature| matches!(feature.kind, Kind::Fence(_))).collect();
    if fences.is_empty() {
        return Vec::new();
    }
    if !power.wiring.is_driven() {
        return vec![undriven(checked, power.wiring.energizers.first(), fences[0])];
    }
    let cut_off: Vec<Finding> = fences.into_iter().filter_map(|fence| not_fed(checked, power, fence)).collect();
    // Where a line is not fed throughout, that says more than an open gate.
    let open = if cut_off.is_empty() { open_gates(checked) } else { Vec::new() };
    cut_off.into_iter().chain(open).collect()
}

fn undriven(checked: &Checked, unit: Option<&WiredEnergizer>, first: &Feature) -> Finding {
    let (why, remedy) = match unit {
        None => (Unfed::NoEnergizer, BiteRemedy::PlaceEnergizer),
        Some(unit) if unit.source.is_none() => (Unfed::UnknownEnergizer(unit.id.clone()), BiteRemedy::SayFigures),
        Some(unit) => (Unfed::FarFromLines(unit.id.clone()), BiteRemedy::LeadTo),
    };
    let here = unit.and_then(|unit| place_of_point(checked, &unit.id));
    let at_fence = || Place { line: Some(first.id.clone()), station: None, until: None, at: first.places()[0], cell: None };
    // A plan without an energizer is simply not that far yet.
    let weight = if unit.is_none() { Weight::Note } else { Weight::MustFix };
    finding(weight, here.unwrap_or_else(at_fence), 0.0, why, remedy)
}

fn not_fed(checked: &Checked, power: &Power, fence: &Feature) -> Option<Finding> {
    let arrived = &power.states.first()?.stations;
    let on_it: Vec<(&Station, bool)> = power
        .wiring
        .stations
        .iter()
        .zip(arrived)
        .filter(|(station, _)| station.line == fence.id)
        .map(|(station, arrived)| (station, arrived.is_some()))
        .collect();
    if on_it.is_empty() {
        let Kind::Fence(drawn) = &fence.kind else { return None };
        let build = checked.plan.build(&drawn.build)?;
        let dead = build.strands.iter().all(|strand| !strand.live);
        let at = Place { line: Some(fence.id.clone()), station: None, until: None, at: *fence.places().first()?, cell: None };
        return dead.then(|| finding(Weight::Note, at, 0.0, Unfed::NoLiveStrand, BiteRemedy::LeadTo));
    }
    let over: Length =
        on_it.windows(2).filter(|pair| !pair[0].1 && !pair[1].1).map(|pair| pair[1].0.station - pair[0].0.station).sum();
    let first = on_it.iter().find(|(_, fed)| !fed)?.0;
    Some(finding(Weight::MustFix, place(checked, first), over.as_metres(), Unfed::CutOff { over }, BiteRemedy::LeadTo))
}

/// Gates that stop the pulse between two sides that both have it: a ring that is fed from one side only.
fn open_gates(checked: &Checked) -> Vec<Finding> {
    let open = checked.plan.features.iter().filter(|feature| match &feature.kind {
        Kind::Gate(gate) => gate.crossing.as_deref() == Some("none") && gate.live != Some(true),
        _ => false,
    });
    let told = open.filter_map(|gate| {
        let at = place_of_point(checked, &gate.id)?;
        let change = BiteChange::Crossing { gate: gate.id.clone() };
        Some(finding(Weight::Note, at, 0.0, Unfed::OpenAt { gate: gate.id.clone() }, BiteRemedy::Change(change, None)))
    });
    told.collect()
}

fn finding(weight: Weight, place: Place, value: f64, why: Unfed, remedy: BiteRemedy) -> Finding {
    Finding {
        rule: Rule::Unfed,
        weight,
        place,
        value,
        limit: Some(0.0),
        unit: Unit::Metre,
        reason: Reason::Bite(Bite::NotFed(why)),
        remedies: vec![Remedy::Bite(remedy)],
        source: SourceKey::new("common-practice"),
    }
}
