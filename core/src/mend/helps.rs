//! What a change of the wires brings to the far end, beside what it costs.

use super::difference;
use crate::catalogue::{Catalogue, GroundState, Vegetation};
use crate::finding::{BiteChange, Brings};
use crate::land::Ground;
use crate::outcome::{Kept, Outcome, outcome};
use crate::plan::{Edit, Plan};
use crate::power::{NOTICED, Power, STATES, applied, brings, changes, is_judged, own_state};

/// A change tried on a copy of the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct WhatHelps {
    /// The change.
    pub change: BiteChange,
    /// What arrives after it.
    pub brings: Brings,
    /// How much more over 500 ohm at the far end, in the state of the ground that is worst, volts.
    pub gain_v: f64,
    /// Parts it takes more, by catalogue id; less is negative.
    pub parts: Vec<(String, f64)>,
    /// What the whole order costs more.
    pub price: f64,
    /// Parts among those that have no price in the plan.
    pub unpriced: usize,
}

impl WhatHelps {
    /// Whether its price is known in full.
    pub fn is_priced(&self) -> bool {
        self.unpriced == 0
    }
}

/// Every change that brings noticeably more where animals get least, or to the far end in wet ground without stock. First those that cost nothing, then
/// those with a price, the most for the money first, last those without, the cheapest and likeliest first; those that only reach together at the end.
pub fn what_helps(plan: &Plan, ground: Option<&Ground>, before: &Outcome, catalogue: &Catalogue) -> Vec<WhatHelps> {
    let own = own_state(plan);
    let state = worst_state(&before.power, own);
    let Some(now) = brings(&before.power, state, own) else { return Vec::new() };
    let mut kept = Kept::default();
    outcome(plan, 0, ground, catalogue, &mut kept);
    let mut all: Vec<WhatHelps> = Vec::new();
    let together = before.power.helps.iter().map(|help| &help.change).filter(|change| matches!(change, BiteChange::Together(_)));
    for change in changes(plan, catalogue, &before.power.wiring).into_iter().chain(together.cloned()) {
        let Some(changed) = applied(plan, &change) else { continue };
        let after = outcome(&changed, 0, ground, catalogue, &mut kept);
        let Some(brings) = brings(&after.power, state, own) else { continue };
        let gain_v = brings.loaded_v - now.loaded_v;
        let is_noticed = match (brings.times, now.times) {
            (Some(then), Some(now)) => then >= now * (1.0 + NOTICED),
            _ => gain_v >= now.loaded_v * NOTICED,
        };
        if !is_noticed {
            continue;
        }
        let (parts, price) = difference(&before.order, &after.order);
        let unpriced = parts.iter().filter(|(id, amount)| *amount > 0.0 && !plan.head.prices.items.contains_key(id)).count();
        all.push(WhatHelps { change, brings, gain_v, parts, price, unpriced });
    }
    all.sort_by(|one, other| rank(one).cmp(&rank(other)).then(worth(other).total_cmp(&worth(one))));
    all
}

/// The state of the ground in which animals get least of what they mind; without stock, in which least arrives.
fn worst_state(power: &Power, own: GroundState) -> GroundState {
    let judged = power.states.iter().filter(|state| is_judged(state.state, own));
    let least = judged.filter_map(|state| Some((state.least(&power.wiring)?.0, state.state)));
    let least = least.min_by(|one, other| one.0.total_cmp(&other.0)).map(|least| least.1);
    least.or_else(|| power.weakest_state(own)).unwrap_or(GroundState::Wet)
}

/// What arrives at the far end when this grows along the lines that have no word of their own.
#[derive(Clone, Debug, PartialEq)]
pub struct Grown {
    /// What grows: a word of [`Vegetation::WORDS`].
    pub vegetation: &'static str,
    /// Peak over 500 ohm where it is least, by state of the ground in the order of [`STATES`]; `None` where nothing is fed. Volts.
    pub loaded_v: [Option<f64>; STATES.len()],
}

/// Growth and leaf-fall, from nothing to green through the fence. A leakage that somebody measured belongs to what grew then: it is left aside.
pub fn grown(plan: &Plan, ground: Option<&Ground>, catalogue: &Catalogue) -> Vec<Grown> {
    let mut kept = Kept::default();
    let with = |vegetation: &'static str| {
        let mut head = plan.head.as_ref().clone();
        vegetation.clone_into(&mut head.ground.vegetation);
        head.ground.leakage_us_per_km = None;
        let plan = Edit::SetHead(Box::new(head)).apply(plan).ok()?;
        let power = outcome(&plan, 0, ground, catalogue, &mut kept).power;
        let loaded_v = STATES.map(|state| power.far_end(state).map(|far| far.arrived.loaded_v));
        Some(Grown { vegetation, loaded_v })
    };
    Vegetation::WORDS.into_iter().filter_map(with).collect()
}

fn rank(help: &WhatHelps) -> u8 {
    if matches!(help.change, BiteChange::Together(_)) {
        return 3;
    }
    match (help.is_priced(), help.price > 0.0) {
        (true, false) => 0,
        (true, true) => 1,
        (false, _) => 2,
    }
}

/// Volts for the money; where there is none they stay as they are listed.
fn worth(help: &WhatHelps) -> f64 {
    if rank(help) == 1 { help.gain_v / help.price } else { 0.0 }
}
