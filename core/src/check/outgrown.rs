//! Fences that do not hold the stock behind them from some later day on.

use super::Checked;
use super::holds::{HeldRow, hang, on_day, source, spoken, told};
use crate::finding::{Finding, Grade, NotHeld, Reason, Remedy, Rule, Unit, WayOut, Weight};
use crate::stock::{OnDay, days_between};
use jiff::civil::Date;

/// How far ahead stock is looked at whose last day in a paddock is not known (`common-practice`: half a year).
pub const LOOK_AHEAD_DAYS: i32 = crate::stock::DAYS_LOOKED_AT;
/// Days before the strands are outgrown from which on somebody has to see to it (`common-practice`).
pub const SOON_DAYS: i32 = 30;

/// One finding for each paddock, build and purpose, and each of the two weights, that stops holding its stock while it is there.
pub fn check_plan(checked: &Checked) -> Vec<Finding> {
    let Some(today) = checked.on else { return Vec::new() };
    spoken(checked.held).into_iter().flat_map(|(row, lines)| of_row(checked, today, row, lines)).collect()
}

fn of_row(checked: &Checked, today: Date, row: &HeldRow, lines: usize) -> Vec<Finding> {
    let Some(days) = &row.days else { return Vec::new() };
    // What must be mended on the day that it has to be looked at is said once.
    let first = days.look_at.as_ref().filter(|on| days.must_fix.as_ref().is_none_or(|worse| worse.day > on.day));
    let later = [first, days.must_fix.as_ref()].into_iter().flatten();
    later.filter_map(|on| finding(checked, today, (row, lines), on)).collect()
}

fn finding(checked: &Checked, today: Date, (row, lines): (&HeldRow, usize), on: &OnDay) -> Option<Finding> {
    let told = told(checked, row)?;
    let days_left = days_between(today, on.day);
    let weight = match (days_left, on.verdict.grade) {
        (..=0, Grade::MustFix) => Weight::MustFix,
        (..=SOON_DAYS, _) => Weight::LookAt,
        _ => Weight::Note,
    };
    let way = on.verdict.way.unwrap_or(WayOut::Kind);
    let part = on.verdict.part(way);
    let remedy = row.days.as_ref().and_then(|days| days.remedy.clone());
    let hung = remedy.and_then(|remedy| hang(checked, told.build, remedy));
    Some(Finding {
        rule: Rule::Outgrown,
        weight,
        place: told.place.clone(),
        value: part.map_or(0.0, |part| part.value),
        limit: part.map(|part| part.limit),
        unit: if part.is_none() || way == WayOut::Number { Unit::One } else { Unit::Metre },
        reason: Reason::DoesNotHold(Box::new(NotHeld { from: Some(on.day), days_left, lines, ..on_day(row, &told, on) })),
        remedies: hung.into_iter().chain([Remedy::MoveStock { before: Some(on.day) }]).collect(),
        source: source(&told, way),
    })
}

#[cfg(test)]
#[path = "outgrown_tests.rs"]
mod tests;
