//! Energizers whose impulse is more than the standard allows in either of its two ways, or peaks higher than is usual.

use super::Checked;
use super::far_end::place_of_point;
use crate::finding::{Bite, BiteRemedy, Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::power::{LONGEST_S, Limits, MOST_ENERGY_J, USUAL_PEAK_V, WiredEnergizer};
use crate::source::SourceKey;

/// Printed figures are rounded.
const ROUNDING: f64 = 0.03;

/// Every unit beyond the limits, or with figures that contradict each other.
pub fn check(checked: &Checked) -> Vec<Finding> {
    let units = || checked.power.into_iter().flat_map(|power| power.wiring.energizers.iter().zip(&power.limits));
    let contradictions =
        checked.power.into_iter().flat_map(|power| &power.wiring.energizers).filter_map(|unit| contradiction(checked, unit));
    let beyond = units().filter_map(|(unit, limits)| beyond(checked, unit, limits.filter(|limits| !limits.kept())?));
    let high = units().filter_map(|(unit, limits)| high(checked, unit, (*limits)?.open_v));
    beyond.chain(high).chain(contradictions).collect()
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

/// A peak that custom does not go beyond: no limit of the standard that was found.
fn high(checked: &Checked, unit: &WiredEnergizer, open_v: f64) -> Option<Finding> {
    Some(Finding {
        rule: Rule::EnergizerLimit,
        weight: Weight::LookAt,
        place: place_of_point(checked, &unit.id)?,
        value: open_v / 1e3,
        limit: Some(USUAL_PEAK_V / 1e3),
        unit: Unit::Kilovolt,
        reason: Reason::Bite(Bite::HighPeak { open_v, usual_v: USUAL_PEAK_V }),
        remedies: vec![Remedy::Bite(BiteRemedy::UnitWithinStandard)],
        source: SourceKey::new("common-practice"),
    })
    .filter(|_| open_v > USUAL_PEAK_V)
}

fn beyond(checked: &Checked, unit: &WiredEnergizer, limits: Limits) -> Option<Finding> {
    let (value, limit, in_unit, said) = if limits.is_too_long() {
        let (duration_s, longest_s) = (limits.duration_s, LONGEST_S);
        (duration_s * 1e3, LONGEST_S * 1e3, Unit::Millisecond, Bite::TooLong { duration_s, longest_s })
    } else {
        let Limits { energy_j, duration_s, current_a, most_current_a, .. } = limits;
        let over = Bite::OverLimit { energy_j, most_energy_j: MOST_ENERGY_J, duration_s, current_a, most_current_a };
        (energy_j, MOST_ENERGY_J, Unit::Joule, over)
    };
    Some(Finding {
        rule: Rule::EnergizerLimit,
        weight: Weight::MustFix,
        place: place_of_point(checked, &unit.id)?,
        value,
        limit: Some(limit),
        unit: in_unit,
        reason: Reason::Bite(said),
        remedies: vec![Remedy::Bite(BiteRemedy::UnitWithinStandard)],
        source: SourceKey::new("iec-60335-2-76"),
    })
}
