//! What would help: changes of the plan that bring more where animals get least, each tried.

use super::changes::changes;
use super::edits::applied;
use super::voltage::{StatePower, is_judged, least_times};
use super::wire_up::{WiredFrom, wire_up};
use super::wiring::{STATES, Wiring};
use super::{Energizer, Laid, Power};
use crate::catalogue::{EnergizerRow, GroundState};
use crate::finding::{BiteChange, Brings};
use crate::plan::{Kind, Plan};
use rayon::prelude::*;

/// A change that brings less than this share more is not named: no meter shows it.
pub const NOTICED: f64 = 0.05;
/// Most changes that are tried together.
const MOST_TOGETHER: usize = 6;

/// A change with what it brings.
#[derive(Clone, Debug, PartialEq)]
pub struct Helped {
    /// The change.
    pub change: BiteChange,
    /// What arrives after it.
    pub brings: Brings,
}

/// The state of the ground that the plan says.
pub fn own_state(plan: &Plan) -> GroundState {
    GroundState::from_word(&plan.head.ground.state).unwrap_or_default()
}

/// Every change that helps noticeably, tried on a copy of the wires: the cheapest and likeliest first. Where none of them reaches what the stock minds,
/// the least of them together that do come last.
pub fn helps(from: &WiredFrom, power: &Power, laid: &Laid) -> Vec<Helped> {
    let own = own_state(from.plan);
    let Some(now) = Reached::of(&power.wiring, &power.states, own) else { return Vec::new() };
    let reached = |change: &BiteChange| {
        let plan = applied(from.plan, change)?;
        let wiring = wire_up(&WiredFrom { plan: &plan, ..*from });
        let states = judged(&wiring, own, laid)?;
        Some((change.clone(), Reached::of(&wiring, &states, own)?, brings_of(&wiring, &states, now.state, own)?))
    };
    let all = changes(from.plan, from.catalogue, &power.wiring);
    let tried: Vec<(BiteChange, Reached, Brings)> = all.par_iter().filter_map(reached).collect();
    let noticed = tried.into_iter().filter(|(_, then, _)| then.times >= now.times * (1.0 + NOTICED));
    let mut helped: Vec<Helped> = noticed.map(|(change, _, brings)| Helped { change, brings }).collect();
    if !helped.iter().any(Helped::reaches) {
        helped.extend(together(&helped, |change| Some(Helped { change: change.clone(), brings: reached(change)?.2 })));
    }
    helped
}

impl Helped {
    /// Whether every animal gets what is asked for it then.
    pub fn reaches(&self) -> bool {
        self.brings.times.is_some_and(|times| times >= 1.0)
    }
}

/// The fewest changes, one of a kind, that reach together what none reaches alone; those come first that come first in the list.
fn together(alone: &[Helped], reached: impl Fn(&BiteChange) -> Option<Helped>) -> Option<Helped> {
    let mut taken: Vec<BiteChange> = Vec::new();
    for help in alone.iter().take(MOST_TOGETHER) {
        if taken.iter().any(|known| excludes(known, &help.change)) {
            continue;
        }
        taken.push(help.change.clone());
        if taken.len() < 2 || !reached(&BiteChange::Together(taken.clone())).is_some_and(|help| help.reaches()) {
            continue;
        }
        // What is not needed is left out again, the dearest last.
        let mut index = taken.len() - 1;
        while index > 0 && taken.len() > 2 {
            index -= 1;
            let mut fewer = taken.clone();
            fewer.remove(index);
            if reached(&BiteChange::Together(fewer.clone())).is_some_and(|help| help.reaches()) {
                taken = fewer;
            }
        }
        return reached(&BiteChange::Together(taken));
    }
    None
}

/// Whether nobody would do both: they are about the same thing.
fn excludes(one: &BiteChange, other: &BiteChange) -> bool {
    use BiteChange::{Conductors, EarthReturn, LeadOutWire, Model, Rods, UnitNearer};
    let lead_out = |change: &BiteChange| matches!(change, LeadOutWire { .. } | Conductors { .. } | UnitNearer { .. });
    let earth = |change: &BiteChange| matches!(change, Rods { .. } | EarthReturn);
    let model = |change: &BiteChange| matches!(change, Model { .. });
    (lead_out(one) && lead_out(other)) || (earth(one) && earth(other)) || (model(one) && model(other))
}

/// Where animals get least of what is asked for them.
struct Reached {
    state: GroundState,
    times: f64,
}

impl Reached {
    fn of(wiring: &Wiring, states: &[StatePower], own: GroundState) -> Option<Self> {
        let judged = states.iter().filter(|state| is_judged(state.state, own));
        let all = judged.filter_map(|state| Some(Self { state: state.state, times: state.least(wiring)?.0 }));
        all.min_by(|one, other| one.times.total_cmp(&other.times))
    }
}

fn judged(wiring: &Wiring, own: GroundState, laid: &Laid) -> Option<Vec<StatePower>> {
    let states = STATES.into_iter().filter(|state| is_judged(*state, own));
    wiring.is_driven().then(|| states.map(|state| StatePower::of(wiring, state, laid)).collect())
}

fn brings_of(wiring: &Wiring, states: &[StatePower], state: GroundState, own: GroundState) -> Option<Brings> {
    let of_state = states.iter().find(|of| of.state == state)?;
    let far = of_state.far_end(wiring)?;
    Some(Brings {
        state: state.word(),
        open_v: far.arrived.open_v,
        loaded_v: far.arrived.loaded_v,
        times: least_times(wiring, states, own),
    })
}

/// What arrives at the far end in this state of the ground, and what animals get where they get least.
pub fn brings(power: &Power, state: GroundState, own: GroundState) -> Option<Brings> {
    brings_of(&power.wiring, &power.states, state, own)
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
    let own = own_state(from.plan);
    let now = least_times(&power.wiring, &power.states, own)?;
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
        let found = StatePower::of(&tried, GroundState::Wet, laid).least(&tried)?.0;
        (found >= times).then(|| Smaller { model: row.id.clone(), times: found })
    };
    rows.into_iter().map_while(with).last()
}
