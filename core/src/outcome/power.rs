//! The pulse of the whole plan, from last time where no wire has changed.

use super::keep::{Kept, KeptLine};
use crate::catalogue::{AnimalRow, GroundState};
use crate::check::{AT_EASE, Checked, animal_in};
use crate::hold::Section;
use crate::plan::{FeatureId, Network};
use crate::power::{Power, WiredFrom, changes, helps, least_times, wire_up};
use std::collections::HashMap;
use std::sync::Arc;

/// What arrives at every place of the plan's lines; nothing where the soils of the plan are not known.
pub(super) fn power(checked: &Checked, lines: &[Arc<KeptLine>], kept: &mut Kept) -> Arc<Power> {
    let Some(footings) = checked.footings.filter(|_| !lines.is_empty()) else { return Arc::default() };
    let sections: HashMap<&FeatureId, &Section> = lines.iter().map(|line| (&line.feature.id, line.section.as_ref())).collect();
    let network = Network::of(checked.plan, checked.frame);
    let from = WiredFrom {
        plan: checked.plan,
        frame: checked.frame,
        network: &network,
        sections: &sections,
        footings,
        catalogue: checked.catalogue,
        animals: &animals(checked),
    };
    let wiring = wire_up(&from);
    let power = match kept.power.take().filter(|before| *before.wiring == wiring) {
        Some(before) => before,
        None => Arc::new(with_helps(&from, Power::of(Arc::new(wiring)))),
    };
    kept.power = Some(Arc::clone(&power));
    power
}

/// What would help is looked for where animals get too little.
fn with_helps(from: &WiredFrom, power: Power) -> Power {
    let times = power.state(GroundState::Wet).and_then(|state| least_times(&power.wiring, state));
    let is_short = times.is_some_and(|times| times < AT_EASE);
    let helps = if is_short { helps(from, &power, &changes(from.plan, from.catalogue)) } else { Vec::new() };
    Power { helps, ..power }
}

/// For every fence the animal behind it that minds the pulse least.
fn animals<'a>(checked: &Checked<'a>) -> HashMap<FeatureId, &'a AnimalRow> {
    let mut all: HashMap<FeatureId, &AnimalRow> = HashMap::new();
    for face in checked.paddocks {
        let Some(row) = animal_in(checked, &face.id) else { continue };
        for line in &face.lines {
            let known = all.entry(line.clone()).or_insert(row);
            if row.least_v > known.least_v {
                *known = row;
            }
        }
    }
    all
}
