//! What a fault does to the pulse.

use super::earth::{Rod, rod_ohm, wire_on_ground_ohm};
use super::wiring::STATES;
use crate::plan::Fault;

/// Resistance of a branch against the wire, by state of the ground, ohm: wet bark 1 to 10 kohm, a dry twig hardly anything
/// (`contact-ranges`).
const BRANCH_OHM: [f64; STATES.len()] = [20_000.0, 5_000.0, 2_000.0, 20_000.0];
/// A cracked insulator on a metal post, ohm, besides the post's own footing (`contact-ranges`).
const INSULATOR_OHM: f64 = 1_000.0;
/// The footing of a metal post.
const POST: Rod = Rod { length_m: 0.5, radius_m: 0.02 };
/// A strand in running water, ohm (`contact-ranges`: 5 to 30).
const WATER_OHM: f64 = 20.0;
/// A cable whose sheath is through, ohm (`contact-ranges`: 20 to 300).
const CABLE_OHM: f64 = 100.0;
/// How many times its resistance an earth has that is said to be weak (`contact-ranges`).
const WEAK_EARTH: f64 = 5.0;
/// A bad joint, ohm (`contact-ranges`: 10 to 5000).
const JOINT_OHM: f64 = 500.0;
/// How much of a fallen or sunk strand lies on the ground, metres, in half contact (`common-practice`).
const LYING_M: f64 = 2.0;
const LYING_RADIUS_M: f64 = 1e-3;
/// Resistance of a broken strand, ohm.
const BROKEN_OHM: f64 = 1e9;

/// What a fault is to the network.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Effect {
    /// It leads to the ground, by state, ohm.
    ToGround([f64; STATES.len()]),
    /// It stands in the way, ohm.
    Along(f64),
}

/// What an active fault does; `None` for those that electricity does not notice, and for those that are mended. A resistance in the plan
/// goes before what is usual. Faults count for all strands of a line, which hang together; a break is one of a single strand, and of
/// `live` strands the others carry the pulse on.
pub(super) fn effect(fault: &Fault, live: usize, soil_ohm_m: [f64; STATES.len()]) -> Option<Effect> {
    if !fault.is_active() {
        return None;
    }
    let to_ground = |usual: [f64; STATES.len()]| Effect::ToGround(fault.ohm.map_or(usual, |ohm| [ohm; STATES.len()]));
    Some(match fault.what.as_deref()? {
        "contact" | "branch" => to_ground(BRANCH_OHM),
        "insulator" => to_ground(soil_ohm_m.map(|soil| INSULATOR_OHM + rod_ohm(POST, soil))),
        "cable" => to_ground([CABLE_OHM; STATES.len()]),
        "sunk" | "wire down" | "rooted" => {
            to_ground(soil_ohm_m.map(|soil| 2.0 * wire_on_ground_ohm(LYING_M, LYING_RADIUS_M, soil)))
        }
        "water gap" => to_ground([WATER_OHM; STATES.len()]),
        "joint" => Effect::Along(fault.ohm.unwrap_or(JOINT_OHM)),
        "break" if live < 2 => Effect::Along(BROKEN_OHM),
        _ => return None,
    })
}

/// What faults of the earth make of its resistance, by state.
pub(super) fn weakened<'a>(faults: impl Iterator<Item = &'a Fault>, ohm: [f64; STATES.len()]) -> [f64; STATES.len()] {
    let mut weak = faults.filter(|fault| fault.is_active() && fault.what.as_deref() == Some("earth"));
    weak.next().map_or(ohm, |fault| fault.ohm.map_or(ohm.map(|ohm| ohm * WEAK_EARTH), |said| [said; STATES.len()]))
}

/// Whether a fault stands in the way of the pulse on a line of so many live strands.
pub(super) fn breaks(fault: &Fault, live: usize) -> bool {
    let along = fault.what.as_deref().is_some_and(|what| what == "joint" || (what == "break" && live < 2));
    fault.is_active() && along
}
