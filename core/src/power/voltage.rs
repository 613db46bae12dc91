//! What arrives: peak voltage and energy at every place of a plan's lines, by state of the ground.

use super::energizer::{Limits, STANDARD_LOAD_OHM};
use super::helps::{Helped, Smaller};
use super::laid::Laid;
use super::solve::{Between, Solved};
use super::spectrum::{Pulse, Spectrum, Work};
use super::wiring::{STATES, Station, Wiring, state_index};
use crate::catalogue::GroundState;
use rayon::prelude::*;
use std::sync::Arc;

/// What follows electrically from a plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Power {
    /// The network.
    pub wiring: Arc<Wiring>,
    /// By state of the ground, in the order of [`STATES`]; empty where nothing drives the network.
    pub states: Vec<StatePower>,
    /// By energizer of the wiring, its impulse beside what the standard allows.
    pub limits: Vec<Option<Limits>>,
    /// A smaller class of energizer that would do, if the plan's one is larger than it needs.
    pub smaller: Option<Smaller>,
    /// What would bring more; filled in only where animals get less than they mind.
    pub helps: Vec<Helped>,
}

/// What arrives in one state of the ground.
#[derive(Clone, Debug, PartialEq)]
pub struct StatePower {
    /// The state.
    pub state: GroundState,
    /// By station of the wiring; `None` where no pulse gets.
    pub stations: Vec<Option<Arrived>>,
    /// By energizer of the wiring; `None` for one that drives nothing.
    pub energizers: Vec<Option<Driven>>,
}

/// What arrives at a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arrived {
    /// Peak with nothing connected: what a meter of high resistance reads. Volts.
    pub open_v: f64,
    /// When it is reached, seconds.
    pub open_at_s: f64,
    /// Peak over 500 ohm, volts.
    pub loaded_v: f64,
    /// Energy in 500 ohm, joules.
    pub loaded_j: f64,
    /// Peak over the animal that asks most of this line, volts; `None` where no stock is behind it.
    pub animal_v: Option<f64>,
}

/// What an energizer does on its network.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Driven {
    /// Peak between its terminals, volts.
    pub terminal_v: f64,
    /// Peak of its earth against far ground, volts.
    pub earth_v: f64,
    /// What its earth would rise by if the fence were shorted to the ground 100 m away, volts (`earth_test_v` of the energizer).
    pub shorted_v: f64,
    /// Peak of its current, amperes.
    pub current_a: f64,
    /// Energy that leaves it, joules.
    pub given_j: f64,
}

/// A place where something is lowest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FarEnd<'a> {
    /// The place.
    pub station: &'a Station,
    /// What arrives there.
    pub arrived: Arrived,
}

impl Power {
    /// In every state of the ground.
    pub fn of(wiring: Arc<Wiring>, laid: &Laid) -> Self {
        if !wiring.is_driven() {
            return Self { wiring, ..Self::default() };
        }
        let states = STATES.into_par_iter().map(|state| StatePower::of(&wiring, state, laid)).collect();
        let limits = wiring.energizers.iter().map(|unit| unit.source.map(|source| source.limits())).collect();
        Self { wiring, states, limits, ..Self::default() }
    }

    /// The state of the ground, of those that are judged, in which least arrives over 500 ohm at the far end.
    pub fn weakest_state(&self, own: GroundState) -> Option<GroundState> {
        let judged = self.states.iter().filter(|state| is_judged(state.state, own));
        let far = judged.filter_map(|state| Some((state.far_end(&self.wiring)?.arrived.loaded_v, state.state)));
        far.min_by(|one, other| one.0.total_cmp(&other.0)).map(|far| far.1)
    }

    /// Whether changes were tried because animals get too little, and none is enough.
    pub fn nothing_reaches(&self) -> bool {
        !self.helps.is_empty() && !self.helps.iter().any(Helped::reaches)
    }

    /// In one state; `None` where nothing drives the network.
    pub fn state(&self, state: GroundState) -> Option<&StatePower> {
        self.states.get(state_index(state))
    }

    /// The place of a fence at which a body gets least in a state: where the pulse over 500 ohm is lowest.
    pub fn far_end(&self, state: GroundState) -> Option<FarEnd<'_>> {
        self.state(state)?.far_end(&self.wiring)
    }

    /// The pulse at a station of [`Wiring::stations`] in a state, with nothing connected and over 500 ohm.
    pub fn pulses(&self, station: usize, state: GroundState) -> Option<[Pulse; 2]> {
        let station = self.wiring.stations.get(station)?;
        let spectrum = Spectrum::quick();
        let circuit = self.wiring.circuit(state, spectrum);
        let solved = Solved::new(&circuit, spectrum);
        let between = Between::Ground(station.hot);
        Some([solved.open(between), solved.loaded(between, STANDARD_LOAD_OHM)])
    }
}

impl StatePower {
    /// The place of a fence at which a body gets least: where the pulse over 500 ohm is lowest.
    pub fn far_end<'a>(&self, wiring: &'a Wiring) -> Option<FarEnd<'a>> {
        let places = wiring.stations.iter().zip(&self.stations).filter(|(station, _)| station.is_fence);
        let fed = places.filter_map(|(station, arrived)| Some(FarEnd { station, arrived: (*arrived)? }));
        fed.min_by(|one, other| one.arrived.loaded_v.total_cmp(&other.arrived.loaded_v))
    }

    /// Solves the network of a plan in one state.
    pub fn of(wiring: &Wiring, state: GroundState, laid: &Laid) -> Self {
        let spectrum = Spectrum::quick();
        let circuit = wiring.circuit_of(state, spectrum, laid);
        let solved = Solved::new(&circuit, spectrum);
        let fed = circuit.fed();
        let stations = wiring
            .stations
            .par_iter()
            .map_init(Work::default, |work, station| fed[station.hot].map(|_| arrived(&solved, work, station, state)));
        let stations = stations.collect();
        let mut number = 0;
        let energizers = wiring.energizers.iter().map(|energizer| {
            let driven =
                energizer.drives().then(|| driven(&solved, number, laid, energizer.earth.soil_ohm_m[state_index(state)]));
            number += usize::from(driven.is_some());
            driven.flatten()
        });
        let energizers = energizers.collect();
        Self { state, stations, energizers }
    }
}

/// What arrives at one station: from strand to ground, or from strand to strand where that is more.
fn arrived(solved: &Solved, work: &mut Work, station: &Station, state: GroundState) -> Arrived {
    let ways: Vec<Between> = std::iter::once(Between::Ground(station.hot))
        .chain(station.earth.map(|earth| Between::Rails(station.hot, earth)))
        .collect();
    let pulses: Vec<[Pulse; 2]> = ways.iter().map(|way| solved.open_and_loaded_in(work, *way, STANDARD_LOAD_OHM)).collect();
    let open = pulses.iter().map(|[open, _]| open.peak()).max_by(|one, other| one.value.abs().total_cmp(&other.value.abs()));
    let loaded = pulses.iter().map(|[_, pulse]| (pulse.peak().value.abs(), pulse.square_seconds() / STANDARD_LOAD_OHM));
    let loaded = loaded.max_by(|one, other| one.0.total_cmp(&other.0)).unwrap_or_default();
    let animal_v = station.animal.as_ref().and_then(|animal| {
        let mut peak = |way: &Between| {
            let ohm = if matches!(way, Between::Ground(_)) { animal.through_ohm[state_index(state)] } else { animal.body_ohm };
            solved.loaded_in(work, *way, ohm).peak().value.abs()
        };
        ways.iter().map(&mut peak).max_by(f64::total_cmp)
    });
    let open = open.unwrap_or_default();
    Arrived { open_v: open.value.abs(), open_at_s: open.at_s, loaded_v: loaded.0, loaded_j: loaded.1, animal_v }
}

fn driven(solved: &Solved, number: usize, laid: &Laid, soil_ohm_m: f64) -> Option<Driven> {
    let source = solved.circuit().sources.get(number)?;
    let (terminal, current) = (solved.open(Between::Rails(source.hot, source.earth)), solved.current(number)?);
    let given: f64 = terminal.samples.iter().zip(&current.samples).map(|(volt, ampere)| volt * ampere).sum();
    Some(Driven {
        terminal_v: terminal.peak().value,
        earth_v: solved.open(Between::Ground(source.earth)).peak().value.abs(),
        shorted_v: laid.earth_test_v(&source.energizer, source.earth_ohm, soil_ohm_m),
        current_a: current.peak().value,
        given_j: given * terminal.step_s,
    })
}

/// The least that any animal gets of what is asked for it, in times, over the states of the ground that are judged ([`is_judged`]); `None` without
/// stock behind any fed line.
pub fn least_times(wiring: &Wiring, states: &[StatePower], own: GroundState) -> Option<f64> {
    let judged = states.iter().filter(|state| is_judged(state.state, own));
    judged.filter_map(|state| Some(state.least(wiring)?.0)).min_by(f64::total_cmp)
}

/// Whether a state of the ground is judged with its full weight: frost only where the plan says that its ground is frozen.
pub fn is_judged(state: GroundState, own: GroundState) -> bool {
    state != GroundState::Frozen || own == GroundState::Frozen
}

impl StatePower {
    /// The place where an animal gets least of what is asked for it, and how many times that is.
    pub fn least<'a>(&self, wiring: &'a Wiring) -> Option<(f64, &'a Station)> {
        let times = wiring
            .stations
            .iter()
            .zip(&self.stations)
            .filter_map(|(station, arrived)| Some((felt_v(arrived.as_ref()?)? / station.animal.as_ref()?.asked_v, station)));
        times.min_by(|one, other| one.0.total_cmp(&other.0))
    }
}

/// What counts for an animal: the lower of what a meter reads and what it gets.
pub fn felt_v(arrived: &Arrived) -> Option<f64> {
    arrived.animal_v.map(|animal_v| animal_v.min(arrived.open_v))
}
