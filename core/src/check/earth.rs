//! Earth rods that take too much of the pulse in dry or frozen ground, or that nobody has drawn.

use super::Checked;
use super::far_end::place_of_point;
use crate::finding::{Bite, BiteRemedy, Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::power::{EARTH_SHARE, Power, STANDARD_LOAD_OHM, WiredEnergizer, earth_cures, earth_share, earth_state, state_index};
use crate::source::SourceKey;

/// From this share on the fence cannot work as it should.
const TOO_MUCH: f64 = 0.3;

/// Every energizer with a weak earth or none.
pub fn check(checked: &Checked) -> Vec<Finding> {
    let Some(power) = checked.power else { return Vec::new() };
    power.wiring.energizers.iter().filter_map(|unit| earth(checked, power, unit)).collect()
}

/// Whether more of the pulse stays in an energizer's earth than should, and nothing else leads back to it.
pub(super) fn is_weak(checked: &Checked, power: &Power, unit: &WiredEnergizer) -> bool {
    let share = earth_share(unit, unit.earth.ohm[state_index(earth_state(checked.plan))]);
    share.is_some_and(|share| share > EARTH_SHARE) && !power.wiring.leads_back(unit)
}

fn earth(checked: &Checked, power: &Power, unit: &WiredEnergizer) -> Option<Finding> {
    let source = unit.source?;
    let Some(id) = &unit.earth.id else { return not_drawn(checked, unit) };
    let state = earth_state(checked.plan);
    let (ohm, rods) = (unit.earth.ohm[state_index(state)], unit.earth.rods);
    let share = earth_share(unit, ohm)?;
    let most_ohm = (source.ohm + STANDARD_LOAD_OHM) * EARTH_SHARE / (1.0 - EARTH_SHARE);
    let place = place_of_point(checked, id)?;
    is_weak(checked, power, unit).then(|| {
        let cures = earth_cures(checked.plan, &power.wiring, unit);
        let brings = |change| power.helps.iter().find(|help| help.change == change).map(|help| help.brings);
        let cures = cures.into_iter().map(|change| BiteRemedy::Change(change.clone(), brings(change)));
        Finding {
            rule: Rule::Earth,
            weight: if share > TOO_MUCH { Weight::MustFix } else { Weight::LookAt },
            place,
            value: ohm,
            limit: Some(most_ohm),
            unit: Unit::Ohm,
            reason: Reason::Bite(Bite::WeakEarth { state: state.word(), ohm, rods: rods.count, share }),
            remedies: cures.chain([BiteRemedy::DampPlace]).map(Remedy::Bite).collect(),
            source: SourceKey::new("earth-share"),
        }
    })
}

fn not_drawn(checked: &Checked, unit: &WiredEnergizer) -> Option<Finding> {
    Some(Finding {
        rule: Rule::Earth,
        weight: Weight::LookAt,
        place: place_of_point(checked, &unit.id)?,
        value: 0.0,
        limit: Some(1.0),
        unit: Unit::One,
        reason: Reason::Bite(Bite::NoEarth),
        remedies: vec![Remedy::Bite(BiteRemedy::PlaceEarth)],
        source: SourceKey::new("earth-rod-sheet"),
    })
}
