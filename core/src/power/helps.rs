//! What would help: changes of the plan that bring more to the far end, each tried.

use super::voltage::{StatePower, least_times};
use super::wire_up::{WiredFrom, wire_up};
use super::wiring::Wiring;
use super::{Energizer, Laid, Power};
use crate::bounds::CONDUCTORS;
use crate::catalogue::{Catalogue, Conductor, EnergizerRow, GroundState, Vegetation, WireRow};
use crate::finding::{BiteChange, Brings};
use crate::hold::LEAD_OUT_WIRE;
use crate::plan::{Build, Edit, Feature, Head, Kind, Plan};
use crate::units::Length;
use rayon::prelude::*;

/// A strand that is added stands this much over the highest (`common-practice`).
const STRAND_ABOVE: Length = Length::metres(0.25);
/// Most rods that are offered: more in one row help little.
const MOST_RODS: u32 = 24;

/// A change with what it brings.
#[derive(Clone, Debug, PartialEq)]
pub struct Helped {
    /// The change.
    pub change: BiteChange,
    /// What arrives after it.
    pub brings: Brings,
}

/// Changes that may help a plan.
pub fn changes(plan: &Plan, catalogue: &Catalogue) -> Vec<BiteChange> {
    let mut all = Vec::new();
    for feature in &plan.features {
        of_feature(feature, catalogue, &mut all);
    }
    let used = |build: &&Build| {
        plan.features.iter().any(|feature| matches!(&feature.kind, Kind::Fence(fence) if fence.build == build.id))
    };
    for build in plan.head.builds.iter().filter(used) {
        let live = build.strands.iter().filter(|strand| strand.live).filter_map(|strand| catalogue.wire(&strand.wire));
        let thinnest = live.min_by(|one, other| one.diameter.as_metres().total_cmp(&other.diameter.as_metres()));
        all.extend(
            thinnest
                .and_then(|wire| better(wire, catalogue))
                .map(|wire| BiteChange::StrandWire { build: build.id.clone(), wire }),
        );
        all.push(BiteChange::OneStrandMore { build: build.id.clone() });
    }
    if plan.features.iter().any(|feature| matches!(&feature.kind, Kind::Fault(fault) if fault.is_active())) {
        all.push(BiteChange::FaultsMended);
    }
    let grown = Vegetation::WORDS.iter().position(|word| *word == plan.head.ground.vegetation);
    if let Some(less) = grown.and_then(|grown| Vegetation::WORDS.get(grown.checked_sub(1)?)) {
        all.push(BiteChange::Growth { vegetation: (*less).to_owned() });
    }
    all
}

fn of_feature(feature: &Feature, catalogue: &Catalogue, all: &mut Vec<BiteChange>) {
    let id = || feature.id.clone();
    match &feature.kind {
        Kind::Earth { rods, .. } => {
            let now = rods.unwrap_or(crate::plan::EARTH_RODS);
            all.extend(
                [now.saturating_add(1), now.saturating_mul(2)]
                    .into_iter()
                    .filter(|count| *count <= MOST_RODS)
                    .map(|count| BiteChange::Rods { earth: id(), count }),
            );
        }
        Kind::LeadOut(lead_out) => {
            let wire = catalogue.wire(lead_out.wire.as_deref().unwrap_or(LEAD_OUT_WIRE));
            all.extend(wire.and_then(|wire| better(wire, catalogue)).map(|wire| BiteChange::LeadOutWire { line: id(), wire }));
            let more = lead_out.conductors.unwrap_or(1).saturating_add(1);
            all.extend((more <= CONDUCTORS).then(|| BiteChange::Conductors { line: id(), count: more }));
        }
        Kind::Energizer(unit) => {
            let stored_j = unit.figures(catalogue).map(|figures| figures.stored_j);
            let larger =
                catalogue.energizers.iter().filter(|row| stored_j.is_none_or(|stored_j| row.figures.stored_j > stored_j));
            let within = larger.filter(|row| Energizer::fit((&row.figures).into()).is_ok_and(|source| source.limits().kept()));
            let next = within.min_by(|one, other| one.figures.stored_j.total_cmp(&other.figures.stored_j));
            all.extend(next.map(|row| BiteChange::Model { energizer: id(), model: row.id.clone() }));
        }
        Kind::Gate(gate) if gate.crossing.as_deref() == Some("none") => all.push(BiteChange::Crossing { gate: id() }),
        Kind::Cutout { open: true } => all.push(BiteChange::Closed { cutout: id() }),
        _ => {}
    }
}

/// The next wire of the same sort that carries better: round metal of the same make, thicker; for threads in plastic, round wire or
/// threads of a tenth of the resistance.
fn better(wire: &WireRow, catalogue: &Catalogue) -> Option<String> {
    let alike = |other: &&WireRow| match (wire.electrical, other.electrical) {
        (
            Conductor::Round { radius_m, resistivity_ohm_m, .. },
            Conductor::Round { radius_m: other_m, resistivity_ohm_m: other_ohm_m, .. },
        ) => other_m > radius_m * 1.01 && (other_ohm_m / resistivity_ohm_m - 1.0).abs() < 0.05 && other.metal == wire.metal,
        (Conductor::Constant { ohm_per_m, .. }, Conductor::Constant { ohm_per_m: other, .. }) => other < ohm_per_m * 0.5,
        _ => false,
    };
    let next = catalogue.wires.iter().filter(|wire| !wire.is_barbed).filter(alike);
    let next = next.max_by(|one, other| one.resistance_ohm_per_m.total_cmp(&other.resistance_ohm_per_m));
    next.map(|wire| wire.id.clone())
}

/// The edits that make a change; none where the plan lacks what it is about.
pub fn edits(plan: &Plan, change: &BiteChange) -> Vec<Edit> {
    let set = |id, how: &dyn Fn(&mut Kind)| {
        let feature = plan.feature(id);
        let changed = feature.map(|feature| {
            let mut kind = feature.kind.clone();
            how(&mut kind);
            Edit::SetKind { id: feature.id.clone(), kind: Box::new(kind) }
        });
        changed.into_iter().collect::<Vec<_>>()
    };
    let head = |how: &dyn Fn(&mut Head)| {
        let mut head = Head::clone(&plan.head);
        how(&mut head);
        vec![Edit::SetHead(Box::new(head))]
    };
    match change {
        BiteChange::Rods { earth, count } => set(earth, &|kind| {
            if let Kind::Earth { rods, .. } = kind {
                *rods = Some(*count);
            }
        }),
        BiteChange::LeadOutWire { line, wire } => set(line, &|kind| {
            if let Kind::LeadOut(lead_out) = kind {
                lead_out.wire = Some(wire.clone());
            }
        }),
        BiteChange::Conductors { line, count } => set(line, &|kind| {
            if let Kind::LeadOut(lead_out) = kind {
                lead_out.conductors = Some(*count);
            }
        }),
        BiteChange::Model { energizer, model } => set(energizer, &|kind| {
            *kind = Kind::Energizer(crate::plan::Energizer { model: Some(model.clone()), ..Default::default() });
        }),
        BiteChange::Crossing { gate } => set(gate, &|kind| {
            if let Kind::Gate(gate) = kind {
                gate.crossing = Some("underground".to_owned());
            }
        }),
        BiteChange::Closed { cutout } => set(cutout, &|kind| *kind = Kind::Cutout { open: false }),
        BiteChange::StrandWire { build, wire } => head(&|head| rewire(head, build, wire)),
        BiteChange::OneStrandMore { build } => head(&|head| one_more(head, build)),
        BiteChange::Growth { vegetation } => head(&|head| head.ground.vegetation.clone_from(vegetation)),
        BiteChange::FaultsMended => mended(plan),
    }
}

fn build_of<'a>(head: &'a mut Head, id: &str) -> Option<&'a mut Build> {
    head.builds.iter_mut().find(|build| build.id == id)
}

fn rewire(head: &mut Head, id: &str, wire: &str) {
    for strand in build_of(head, id).into_iter().flat_map(|build| &mut build.strands).filter(|strand| strand.live) {
        wire.clone_into(&mut strand.wire);
    }
}

fn one_more(head: &mut Head, id: &str) {
    if let Some(build) = build_of(head, id)
        && let Some(top) = build.strands.iter().rev().find(|strand| strand.live).cloned()
    {
        let mut strand = top;
        strand.height = build.strands.last().map_or(strand.height, |highest| highest.height) + STRAND_ABOVE;
        strand.band = None;
        build.strands.push(strand);
    }
}

/// Mended means taken out of the reckoning: the faults go from the copy.
fn mended(plan: &Plan) -> Vec<Edit> {
    let active = plan.features.iter().filter(|feature| matches!(&feature.kind, Kind::Fault(fault) if fault.is_active()));
    active.map(|feature| Edit::Remove(feature.id.clone())).collect()
}

/// Every change tried on a copy of the wires, the one that brings most over 500 ohm first; those that bring nothing are left out.
pub fn helps(from: &WiredFrom, power: &Power, changes: &[BiteChange], laid: &Laid) -> Vec<Helped> {
    let now_v = power.far_end(GroundState::Wet).map_or(0.0, |far| far.arrived.loaded_v);
    let tried = changes.par_iter().filter_map(|change| {
        let changed = edits(from.plan, change).iter().try_fold(from.plan.clone(), |plan, edit| edit.apply(&plan)).ok()?;
        let brings = brings(&wire_up(&WiredFrom { plan: &changed, ..*from }), laid)?;
        (brings.loaded_v > now_v * 1.002).then(|| Helped { change: change.clone(), brings })
    });
    let mut all: Vec<Helped> = tried.collect();
    all.sort_by(|one, other| other.brings.loaded_v.total_cmp(&one.brings.loaded_v));
    all
}

/// What arrives at the far end of a network in wet ground.
pub fn brings(wiring: &Wiring, laid: &Laid) -> Option<Brings> {
    if !wiring.is_driven() {
        return None;
    }
    let state = StatePower::of(wiring, GroundState::Wet, laid);
    let far = state.far_end(wiring)?;
    Some(Brings { open_v: far.arrived.open_v, loaded_v: far.arrived.loaded_v, times: least_times(wiring, &state) })
}

/// A smaller class of energizer that would do.
#[derive(Clone, Debug, PartialEq)]
pub struct Smaller {
    /// Its catalogue id.
    pub model: String,
    /// How many times what they mind every animal would get at least, with three times the usual growth in wet ground.
    pub times: f64,
}

/// Wet growth may come to leak this many times as much before anybody cuts it: a smaller unit is named only if it copes with that.
const GROWS_TO: f64 = 3.0;
/// Three times the growth takes at least so much of what arrives that it must have been this many times as much.
const GROWTH_TAKES: f64 = 1.1;
/// A unit that stores less than this costs little more than a smaller one, joules.
const SMALL_J: f64 = 2.0;

/// The smallest class below the plan's only energizer that would still give animals `times` what they mind.
pub fn smaller(from: &WiredFrom, power: &Power, times: f64, laid: &Laid) -> Option<Smaller> {
    let [unit] = power.wiring.energizers.as_slice() else { return None };
    let Kind::Energizer(drawn) = &from.plan.feature(&unit.id)?.kind else { return None };
    let figures = drawn.figures(from.catalogue)?;
    if figures.stored_j <= SMALL_J {
        return None;
    }
    let now = least_times(&power.wiring, power.state(GroundState::Wet)?)?;
    let mut rows: Vec<&EnergizerRow> =
        from.catalogue.energizers.iter().filter(|row| row.figures.stored_j < figures.stored_j * 0.95).collect();
    rows.sort_by(|one, other| other.figures.stored_j.total_cmp(&one.figures.stored_j));
    let with = |row: &EnergizerRow| {
        // What is hardly enough without growth need not be tried with it.
        if now * row.figures.at_500_ohm_kv / figures.at_500_ohm_kv < times * GROWTH_TAKES {
            return None;
        }
        let source = Energizer::fit((&row.figures).into()).ok()?;
        let tried = Wiring::clone(&power.wiring).leaking(GROWS_TO).driven_by(source);
        let found = least_times(&tried, &StatePower::of(&tried, GroundState::Wet, laid))?;
        (found >= times).then(|| Smaller { model: row.id.clone(), times: found })
    };
    rows.into_iter().map_while(with).last()
}
