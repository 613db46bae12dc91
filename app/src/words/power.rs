//! Volts, joules and ohms as people read them.

use super::names::label;
use super::numbers::{length, number_with};
use hillwire_core::catalogue::GroundState;
use hillwire_core::plan::{Plan, UnitSystem};
use hillwire_core::power::{Driven, EARTH_TEST_V, FarEnd, Limits, WiredEnergizer, Wiring, state_index};

/// A voltage: `5.4 kV`, `320 V`.
pub fn voltage(volt: f64) -> String {
    if volt.abs() < 999.5 {
        format!("{}\u{a0}V", number_with(volt, 0))
    } else {
        format!("{}\u{a0}kV", number_with(volt / 1e3, 1))
    }
}

/// An energy: `3.2 J`, `0.45 J`.
pub fn energy(joule: f64) -> String {
    format!("{}\u{a0}J", number_with(joule, if joule.abs() < 0.995 { 2 } else { 1 }))
}

/// A resistance: `19.8 Ω`, `2.2 kΩ`.
pub fn resistance(ohm: f64) -> String {
    match ohm.abs() {
        small if small < 99.5 => format!("{}\u{a0}Ω", number_with(ohm, 1)),
        middle if middle < 999.5 => format!("{}\u{a0}Ω", number_with(ohm, 0)),
        _ => format!("{}\u{a0}kΩ", number_with(ohm / 1e3, 1)),
    }
}

/// A current: `18 A`, `2.9 A`.
pub fn current(ampere: f64) -> String {
    format!("{}\u{a0}A", number_with(ampere, if ampere.abs() < 9.95 { 1 } else { 0 }))
}

/// Whether an impulse is within the standard, and in which of its two ways.
pub fn within_standard(limits: &Limits) -> &'static str {
    if !limits.kept() {
        "Beyond them: do not use it before somebody competent has looked at it."
    } else if limits.is_energy_kept() {
        "Within them by its energy, as far as these figures tell."
    } else {
        "More energy than 5\u{a0}J, but within them by its current for so short an impulse, as far as these figures tell. Local rules may still ask for the 5\u{a0}J."
    }
}

/// A time within a pulse: `15 µs`, `10 ms`.
pub fn pulse_time(seconds: f64) -> String {
    if seconds >= 9.95e-4 {
        return format!("{}\u{a0}ms", number_with(seconds * 1e3, 0));
    }
    format!("{}\u{a0}µs", number_with(seconds * 1e6, 0))
}

/// A state of the ground in a word.
pub fn ground_state(state: GroundState) -> &'static str {
    match state {
        GroundState::Dry => "dry",
        GroundState::Damp => "damp",
        GroundState::Wet => "wet",
        GroundState::Frozen => "frozen",
    }
}

/// What every place says where voltages are shown.
pub const POWER_CAUTION: &str = "Voltages are worked out, not measured: growth, joints and soil differ from any table, and a factor of two in what \
    leaks is usual. Read the fence with a voltmeter.";

/// Why nothing can be said about voltages.
pub fn undriven(wiring: &Wiring, plan: &Plan) -> String {
    match wiring.energizers.first() {
        None => "the plan has no energizer, so no pulse can be worked out; place one at the building with mains".to_owned(),
        Some(unit) if unit.source.is_none() => {
            format!(
                "nothing is known of the energizer “{}”: choose its class, or type in what is printed on it (figures must not contradict each other)",
                label(&unit.id, plan)
            )
        }
        Some(unit) => {
            format!("the energizer “{}” stands on no line: draw the lead-out from it to the fence", label(&unit.id, plan))
        }
    }
}

/// What an energizer does on its network.
pub fn driven(unit: &WiredEnergizer, plan: &Plan, driven: Option<Driven>, state: GroundState) -> String {
    let Some(driven) = driven else { return format!("The energizer “{}” drives nothing.", label(&unit.id, plan)) };
    let earth = &unit.earth;
    let rods = if earth.rods.count == 1 { "one rod".to_owned() } else { format!("{} rods", earth.rods.count) };
    let assumed = if earth.id.is_none() { " (none is drawn: three rods are assumed)" } else { "" };
    format!(
        "Energizer “{}”: {} at its terminals, {} at most, {} a pulse. Earth of {rods}{assumed}: {} when {}, lifted by {}.",
        label(&unit.id, plan),
        voltage(driven.terminal_v),
        current(driven.current_a),
        energy(driven.given_j),
        resistance(earth.ohm[state_index(state)]),
        ground_state(state),
        voltage(driven.earth_v),
    )
}

/// What a test of the earth would show.
pub fn earth_test(driven: &Driven) -> String {
    format!(
        "To test the earth, short the fence to the ground 100\u{a0}m away with a few metal posts: the rods then rise by about {}. Usual advice is {} at \
        most; what an animal gets changes far less.",
        voltage(driven.shorted_v),
        voltage(EARTH_TEST_V)
    )
}

/// Where least arrives.
pub fn far_end(far: &FarEnd, state: GroundState, line: &str, units: UnitSystem) -> String {
    format!(
        "Least when {}: {line}, {} along: a meter reads {}; over 500\u{a0}Ω {} and {} remain.",
        ground_state(state),
        length(far.station.station, units),
        voltage(far.arrived.open_v),
        voltage(far.arrived.loaded_v),
        energy(far.arrived.loaded_j),
    )
}
