//! Energizers larger than the plan needs.

use super::Checked;
use super::far_end::place_of_point;
use crate::finding::{Bite, BiteChange, BiteRemedy, Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::plan::Kind;
use crate::source::SourceKey;

/// The plan's one energizer, where the next smaller class would do even with three times the usual growth.
pub fn check(checked: &Checked) -> Vec<Finding> {
    larger_than_needed(checked).into_iter().collect()
}

fn larger_than_needed(checked: &Checked) -> Option<Finding> {
    let power = checked.power?;
    let smaller = power.smaller.as_ref()?;
    let unit = power.wiring.energizers.first()?;
    // While the earth is bad nobody knows what the unit can do.
    if super::earth::is_weak(checked, power, unit) {
        return None;
    }
    let Kind::Energizer(drawn) = &checked.plan.feature(&unit.id)?.kind else { return None };
    let change = BiteChange::Model { energizer: unit.id.clone(), model: smaller.model.clone() };
    Some(Finding {
        rule: Rule::EnergizerSize,
        weight: Weight::Note,
        place: place_of_point(checked, &unit.id)?,
        value: drawn.figures(checked.catalogue)?.stored_j,
        limit: Some(checked.catalogue.energizer(&smaller.model)?.figures.stored_j),
        unit: Unit::Joule,
        reason: Reason::Bite(Bite::LargerThanNeeded { model: smaller.model.clone(), times: smaller.times }),
        remedies: vec![Remedy::Bite(BiteRemedy::Change(change, None))],
        source: SourceKey::new("common-practice"),
    })
}
