//! Energizers larger than the plan needs.

use super::Checked;
use super::far_end::{AT_EASE, place_of_point};
use crate::catalogue::GroundState;
use crate::finding::{Bite, BiteChange, BiteRemedy, Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::plan::Kind;
use crate::power::{Energizer, Printed, Spectrum, StatePower, Wiring, least_times};
use crate::source::SourceKey;

/// Wet growth may come to leak this many times as much before anybody cuts it: a smaller unit is named only if it copes with that.
const GROWS_TO: f64 = 3.0;
/// A unit that stores less than this costs little more than a smaller one, joules.
const SMALL_J: f64 = 2.0;

/// The plan's one energizer, where the next smaller class would do even with three times the usual growth.
pub fn check(checked: &Checked) -> Vec<Finding> {
    larger_than_needed(checked).into_iter().collect()
}

fn larger_than_needed(checked: &Checked) -> Option<Finding> {
    let power = checked.power?;
    let [unit] = power.wiring.energizers.as_slice() else { return None };
    let Kind::Energizer(drawn) = &checked.plan.feature(&unit.id)?.kind else { return None };
    let stored_j = drawn.figures(checked.catalogue)?.stored_j;
    let now = least_times(&power.wiring, power.state(GroundState::Wet)?)?;
    if stored_j <= SMALL_J || now < AT_EASE {
        return None;
    }
    let smaller = checked.catalogue.energizers.iter().filter(|row| row.figures.stored_j < stored_j * 0.95);
    let smaller = smaller.max_by(|one, other| one.figures.stored_j.total_cmp(&other.figures.stored_j))?;
    let source = Energizer::fit(Printed::from(&smaller.figures)).ok()?;
    let tried = Wiring::clone(&power.wiring).leaking(GROWS_TO).driven_by(source);
    let times = least_times(&tried, &StatePower::of(&tried, GroundState::Wet, Spectrum::quick()))?;
    let change = BiteChange::Model { energizer: unit.id.clone(), model: smaller.id.clone() };
    Some(Finding {
        rule: Rule::EnergizerSize,
        weight: Weight::Note,
        place: place_of_point(checked, &unit.id)?,
        value: stored_j,
        limit: Some(smaller.figures.stored_j),
        unit: Unit::Joule,
        reason: Reason::Bite(Bite::LargerThanNeeded { model: smaller.id.clone(), times }),
        remedies: vec![Remedy::Bite(BiteRemedy::Change(change, None))],
        source: SourceKey::new("common-practice"),
    })
    .filter(|_| times >= AT_EASE)
}
