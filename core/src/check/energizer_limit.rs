//! Energizers whose impulse is more than the standard allows.

use super::Checked;
use super::far_end::place_of_point;
use crate::finding::{Bite, BiteRemedy, Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::power::{HIGHEST_PEAK_V, Limits, MOST_ENERGY_J, WiredEnergizer};
use crate::source::SourceKey;

/// Printed figures are rounded.
const ROUNDING: f64 = 0.03;

/// Every unit beyond the limits, or with figures that contradict each other.
pub fn check(checked: &Checked) -> Vec<Finding> {
    let units = checked.power.into_iter().flat_map(|power| power.wiring.energizers.iter().zip(&power.limits));
    let contradictions =
        checked.power.into_iter().flat_map(|power| &power.wiring.energizers).filter_map(|unit| contradiction(checked, unit));
    let beyond = units.filter_map(|(unit, limits)| beyond(checked, unit, limits.filter(|limits| !limits.kept())?));
    beyond.chain(contradictions).collect()
}

/// Figures that no unit can have together: more would come out than goes in.
fn contradiction(checked: &Checked, unit: &WiredEnergizer) -> Option<Finding> {
    let times = unit.source?.charge_share;
    Some(Finding {
        rule: Rule::EnergizerLimit,
        weight: Weight::LookAt,
        place: place_of_point(checked, &unit.id)?,
        value: times * 100.0,
        limit: Some(100.0),
        unit: Unit::Percent,
        reason: Reason::Bite(Bite::Contradiction { times }),
        remedies: vec![Remedy::Bite(BiteRemedy::SayFigures)],
        source: SourceKey::new("pulse-source"),
    })
    .filter(|_| times > 1.0 + ROUNDING)
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
