//! Earth rods that take too much of the pulse in dry ground, or that nobody has drawn.

use super::Checked;
use super::far_end::place_of_point;
use crate::catalogue::GroundState;
use crate::finding::{Bite, BiteChange, BiteRemedy, Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::power::{STANDARD_LOAD_OHM, WiredEnergizer, state_index};
use crate::source::SourceKey;

/// Share of the pulse that may stay in the earth (`earth-share`: at 10 % an animal notices nothing).
pub const SHARE: f64 = 0.1;
/// From this share on the fence cannot work as it should.
const TOO_MUCH: f64 = 0.3;
/// Most rods that are advised.
const MOST_RODS: usize = 24;

/// Every energizer with a weak earth or none.
pub fn check(checked: &Checked) -> Vec<Finding> {
    let Some(power) = checked.power else { return Vec::new() };
    power.wiring.energizers.iter().filter_map(|unit| earth(checked, unit)).collect()
}

fn earth(checked: &Checked, unit: &WiredEnergizer) -> Option<Finding> {
    let source = unit.source?;
    let dry = state_index(GroundState::Dry);
    let (ohm, rods) = (unit.earth.ohm[dry], unit.earth.rods);
    let share_of = |ohm: f64| ohm / (ohm + source.ohm + STANDARD_LOAD_OHM);
    let share = share_of(ohm);
    let Some(id) = &unit.earth.id else {
        return Some(Finding {
            rule: Rule::Earth,
            weight: Weight::LookAt,
            place: place_of_point(checked, &unit.id)?,
            value: 0.0,
            limit: Some(1.0),
            unit: Unit::One,
            reason: Reason::Bite(Bite::NoEarth),
            remedies: vec![Remedy::Bite(BiteRemedy::PlaceEarth)],
            source: SourceKey::new("earth-rod-sheet"),
        });
    };
    let most_ohm = (source.ohm + STANDARD_LOAD_OHM) * SHARE / (1.0 - SHARE);
    let enough = (rods.count + 1..=MOST_RODS)
        .find(|count| crate::power::EarthRods { count: *count, ..rods }.ohm(unit.earth.soil_ohm_m[dry]) <= most_ohm);
    let remedy = match enough.and_then(|count| u32::try_from(count).ok()) {
        Some(count) => BiteRemedy::Change(BiteChange::Rods { earth: id.clone(), count }, None),
        None => BiteRemedy::EarthStrand,
    };
    let place = place_of_point(checked, id)?;
    (share > SHARE).then(|| Finding {
        rule: Rule::Earth,
        weight: if share > TOO_MUCH { Weight::MustFix } else { Weight::LookAt },
        place,
        value: ohm,
        limit: Some(most_ohm),
        unit: Unit::Ohm,
        reason: Reason::Bite(Bite::WeakEarth { ohm, rods: rods.count, share }),
        remedies: vec![Remedy::Bite(remedy)],
        source: SourceKey::new("earth-share"),
    })
}
