//! Energizers whose impulse is more than the standard allows.

use super::Checked;
use super::far_end::place_of_point;
use crate::finding::{Bite, BiteRemedy, Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::power::{HIGHEST_PEAK_V, Limits, MOST_ENERGY_J, WiredEnergizer};
use crate::source::SourceKey;

/// Every unit beyond the limits.
pub fn check(checked: &Checked) -> Vec<Finding> {
    let units = checked.power.into_iter().flat_map(|power| power.wiring.energizers.iter().zip(&power.limits));
    units.filter_map(|(unit, limits)| beyond(checked, unit, limits.filter(|limits| !limits.kept())?)).collect()
}

fn beyond(checked: &Checked, unit: &WiredEnergizer, limits: Limits) -> Option<Finding> {
    let (value, limit, in_unit) = if limits.energy_j > MOST_ENERGY_J {
        (limits.energy_j, MOST_ENERGY_J, Unit::Joule)
    } else {
        (limits.open_v / 1e3, HIGHEST_PEAK_V / 1e3, Unit::Kilovolt)
    };
    Some(Finding {
        rule: Rule::EnergizerLimit,
        weight: Weight::MustFix,
        place: place_of_point(checked, &unit.id)?,
        value,
        limit: Some(limit),
        unit: in_unit,
        reason: Reason::Bite(Bite::OverLimit {
            energy_j: limits.energy_j,
            open_v: limits.open_v,
            current_a: limits.current_a,
            most_current_a: limits.most_current_a,
        }),
        remedies: vec![Remedy::Bite(BiteRemedy::UnitWithinStandard)],
        source: SourceKey::new("iec-60335-2-76"),
    })
}
