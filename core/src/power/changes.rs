//! Changes that may help: the cheapest and likeliest first.

use super::energizer::STANDARD_LOAD_OHM;
use super::wiring::{EarthRods, WiredEnergizer, Wiring, state_index};
use super::{CONNECTED_WITHIN_M, Energizer};
use crate::bounds::CONDUCTORS;
use crate::catalogue::{Catalogue, Conductor, GroundState, Metal, Vegetation, WireRow};
use crate::finding::BiteChange;
use crate::hold::LEAD_OUT_WIRE;
use crate::plan::{Build, EARTH_ROD_LENGTH, Feature, Kind, LeadOut, Plan, length_m};

/// Share of the pulse that may stay in the earth (`earth-share`: at 10 % an animal notices nothing).
pub const EARTH_SHARE: f64 = 0.1;
/// Most rods that are advised: the largest units ask for eight of 1.8 m (`earth-rod-sheet`), more help little.
pub const MOST_RODS: usize = 10;
/// A row of rods that is not enough is still named if it takes so much of the resistance away.
const WORTH_DRIVING: f64 = 0.3;
/// A wire carries noticeably better from this share of the resistance on.
const CARRIES_BETTER: f64 = 0.75;
/// What cutting leaves, in [`Vegetation::WORDS`]: light.
const CUT_TO: usize = 1;
/// A lead-out longer than this may be saved by a unit at the field, metres (`common-practice`).
const LONG_LEAD_OUT_M: f64 = 150.0;

/// Changes that may help a plan: growth and joints first, then the earth, the lead-out, the unit, the strands.
pub fn changes(plan: &Plan, catalogue: &Catalogue, wiring: &Wiring) -> Vec<BiteChange> {
    let mut all = Vec::new();
    // Who cuts at all cuts down to what is light.
    let grown = Vegetation::WORDS.iter().position(|word| *word == plan.head.ground.vegetation);
    if let Some(less) = grown.and_then(|grown| Vegetation::WORDS.get(grown.checked_sub(1)?.min(CUT_TO))) {
        all.push(BiteChange::Growth { vegetation: (*less).to_owned() });
    }
    if plan.features.iter().any(|feature| matches!(&feature.kind, Kind::Fault(fault) if fault.is_active())) {
        all.push(BiteChange::FaultsMended);
    }
    let features = || plan.features.iter().map(AsRef::as_ref);
    all.extend(features().filter_map(crossed));
    for cure in wiring.energizers.iter().flat_map(|unit| earth_cures(plan, wiring, unit)) {
        if !all.contains(&cure) {
            all.push(cure);
        }
    }
    all.extend(features().flat_map(|feature| of_lead_out(feature, catalogue)));
    all.extend(features().filter_map(|feature| nearer(plan, feature)));
    all.extend(features().filter_map(|feature| larger(feature, catalogue)));
    all.extend(plan.head.builds.iter().filter_map(|build| of_build(plan, build, catalogue)));
    all
}

fn crossed(feature: &Feature) -> Option<BiteChange> {
    let id = feature.id.clone();
    match &feature.kind {
        Kind::Gate(gate) if gate.crossing.as_deref() == Some("none") => Some(BiteChange::Crossing { gate: id }),
        Kind::Cutout { open: true } => Some(BiteChange::Closed { cutout: id }),
        _ => None,
    }
}

/// The state of the ground in which an earth is judged: dry, or frozen where the plan says that its ground is.
pub fn earth_state(plan: &Plan) -> GroundState {
    match GroundState::from_word(&plan.head.ground.state) {
        Some(GroundState::Frozen) => GroundState::Frozen,
        _ => GroundState::Dry,
    }
}

/// Share of the pulse that stays in an earth of so many ohm when 500 ohm are touched, 0 to 1; `None` for a unit that nothing is known of.
pub fn earth_share(unit: &WiredEnergizer, ohm: f64) -> Option<f64> {
    unit.source.map(|source| ohm / (ohm + source.ohm + STANDARD_LOAD_OHM))
}

/// What brings a weak earth to where it should be: as many rods as that takes, long ones; where no row is enough, strands that lead back, and rods as
/// far as they help. Nothing for an earth that is good enough or not drawn, or whose fences lead back already.
pub fn earth_cures(plan: &Plan, wiring: &Wiring, unit: &WiredEnergizer) -> Vec<BiteChange> {
    let state = state_index(earth_state(plan));
    let Some(earth) = unit.earth.id.clone() else { return Vec::new() };
    let is_weak = |ohm: f64| earth_share(unit, ohm).is_some_and(|share| share > EARTH_SHARE);
    let (rods, now_ohm) = (unit.earth.rods, unit.earth.ohm[state]);
    if !is_weak(now_ohm) || wiring.leads_back(unit) {
        return Vec::new();
    }
    let length = (rods.length < EARTH_ROD_LENGTH).then_some(EARTH_ROD_LENGTH);
    let first = if length.is_some() { rods.count } else { rods.count + 1 };
    let ohm = |count: usize| EarthRods { count, length: length.unwrap_or(rods.length), ..rods }.ohm(unit.earth.soil_ohm_m[state]);
    let rods = |count: usize| {
        let count = u32::try_from(count).unwrap_or(u32::MAX);
        BiteChange::Rods { earth: earth.clone(), count, length }
    };
    if let Some(enough) = (first..=MOST_RODS).find(|count| !is_weak(ohm(*count))) {
        return vec![rods(enough)];
    }
    let lead_back = can_lead_back(plan).then_some(BiteChange::EarthReturn);
    let helps = first <= MOST_RODS && ohm(MOST_RODS) < now_ohm * (1.0 - WORTH_DRIVING);
    lead_back.into_iter().chain(helps.then(|| rods(MOST_RODS))).collect()
}

/// Whether some fence has strands, and something is left to draw.
fn can_lead_back(plan: &Plan) -> bool {
    plan.head.builds.iter().any(|build| is_used(plan, build) && build.strands.iter().any(|strand| strand.live))
}

fn is_used(plan: &Plan, build: &Build) -> bool {
    plan.features.iter().any(|feature| matches!(&feature.kind, Kind::Fence(fence) if fence.build == build.id))
}

fn of_lead_out(feature: &Feature, catalogue: &Catalogue) -> Vec<BiteChange> {
    let Kind::LeadOut(lead_out) = &feature.kind else { return Vec::new() };
    let wire = catalogue.wire(lead_out.wire.as_deref().unwrap_or(LEAD_OUT_WIRE));
    let wires = wire.into_iter().flat_map(|wire| better(wire, catalogue));
    let mut all: Vec<BiteChange> =
        wires.map(|wire| BiteChange::LeadOutWire { line: feature.id.clone(), wire: wire.id.clone() }).collect();
    let more = lead_out.conductors.unwrap_or(1).saturating_add(1);
    all.extend((more <= CONDUCTORS).then(|| BiteChange::Conductors { line: feature.id.clone(), count: more }));
    all
}

/// Wires that carry noticeably better and can be bought for a fence: of steel and of aluminium the best each; of cables the best.
fn better<'a>(wire: &WireRow, catalogue: &'a Catalogue) -> Vec<&'a WireRow> {
    let is_cable = |row: &WireRow| matches!(row.electrical, Conductor::Cable { .. });
    let is_round = |row: &WireRow| matches!(row.electrical, Conductor::Round { .. }) && row.longest_bay.is_some();
    let best = |counts: &dyn Fn(&WireRow) -> bool| {
        let rows = catalogue.wires.iter().filter(|row| !row.is_barbed && counts(row));
        let carries = rows.filter(|row| row.resistance_ohm_per_m <= wire.resistance_ohm_per_m * CARRIES_BETTER);
        carries.min_by(|one, other| one.resistance_ohm_per_m.total_cmp(&other.resistance_ohm_per_m))
    };
    if is_cable(wire) {
        return best(&is_cable).into_iter().collect();
    }
    let steel = best(&|row| is_round(row) && row.metal == Metal::Steel && row.is_high_tensile());
    let aluminium = best(&|row| is_round(row) && row.metal == Metal::Aluminium);
    steel.into_iter().chain(aluminium).collect()
}

/// A unit that stands at the far end of its only lead-out instead.
fn nearer(plan: &Plan, feature: &Feature) -> Option<BiteChange> {
    let Kind::Energizer(_) = &feature.kind else { return None };
    let (lead_out, _) = its_lead_out(plan, feature)?;
    let long = length_m(lead_out.line()?) > LONG_LEAD_OUT_M;
    long.then(|| BiteChange::UnitNearer { energizer: feature.id.clone() })
}

/// The only lead-out of a unit, and whether the unit is at its start.
pub(super) fn its_lead_out<'a>(plan: &'a Plan, unit: &Feature) -> Option<(&'a Feature, bool)> {
    let at = unit.point()?;
    let ends = |feature: &'a Feature| {
        let corners = feature.line()?;
        let (first, last) = (*corners.first()?, *corners.last()?);
        let near = |end| length_m(&[at, end]) <= CONNECTED_WITHIN_M;
        match (near(first), near(last)) {
            (true, false) => Some((feature, true)),
            (false, true) => Some((feature, false)),
            _ => None,
        }
    };
    let mut lead_outs = plan.features.iter().filter(|feature| matches!(feature.kind, Kind::LeadOut(LeadOut { .. })));
    let only = lead_outs.next()?;
    if lead_outs.next().is_some() { None } else { ends(only) }
}

/// The next larger unit within the standard.
fn larger(feature: &Feature, catalogue: &Catalogue) -> Option<BiteChange> {
    let Kind::Energizer(unit) = &feature.kind else { return None };
    let stored_j = unit.figures(catalogue).map(|figures| figures.stored_j);
    let larger = catalogue.energizers.iter().filter(|row| stored_j.is_none_or(|stored_j| row.figures.stored_j > stored_j));
    let within = larger.filter(|row| Energizer::fit((&row.figures).into()).is_ok_and(|source| source.limits().kept()));
    let next = within.min_by(|one, other| one.figures.stored_j.total_cmp(&other.figures.stored_j))?;
    Some(BiteChange::Model { energizer: feature.id.clone(), model: next.id.clone() })
}

/// Threads in plastic carry little: threads of a tenth, or the same strands of a better make.
fn of_build(plan: &Plan, build: &Build, catalogue: &Catalogue) -> Option<BiteChange> {
    let live = build.strands.iter().filter(|strand| strand.live).filter_map(|strand| catalogue.wire(&strand.wire));
    let worst = live.max_by(|one, other| one.resistance_ohm_per_m.total_cmp(&other.resistance_ohm_per_m))?;
    let alike = |row: &&WireRow| match (worst.electrical, row.electrical) {
        (Conductor::Constant { .. }, Conductor::Constant { .. }) => true,
        (Conductor::Round { .. }, Conductor::Round { .. }) => row.metal == worst.metal && row.longest_bay.is_some(),
        _ => false,
    };
    let rows = catalogue.wires.iter().filter(|row| !row.is_barbed).filter(alike);
    let carries = rows.filter(|row| row.resistance_ohm_per_m <= worst.resistance_ohm_per_m * CARRIES_BETTER);
    let next = carries.min_by(|one, other| one.resistance_ohm_per_m.total_cmp(&other.resistance_ohm_per_m))?;
    is_used(plan, build).then(|| BiteChange::StrandWire { build: build.id.clone(), wire: next.id.clone() })
}
