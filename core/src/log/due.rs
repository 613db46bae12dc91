//! When the next round is due.

use super::Lesson;
use super::faults::FaultRate;
use crate::plan::Kind;
use crate::units::Length;
use jiff::ToSpan;
use jiff::civil::Date;

/// New animals try a fence in their first days: so long it is read daily.
///
/// # Source
/// Key `fence-maintenance`.
pub const DAILY_FOR: i8 = 7;
/// Afterwards it is gone round so often, days.
///
/// # Source
/// Key `fence-maintenance`.
const USUAL_DAYS: i8 = 7;
/// Once so many faults are expected since the last round, the next one is due (`common-practice`: one is worth the way).
pub const LIKELY_FAULTS: f64 = 1.0;

/// Why a round is due on its day.
#[derive(Clone, Debug, PartialEq)]
pub enum WhyDue {
    /// None has been written down yet.
    NoneYet,
    /// Animals came into a paddock less than a week ago.
    NewAnimals {
        /// The paddock's name.
        paddock: String,
        /// The day they came.
        since: Date,
    },
    /// A week has passed.
    Week,
    /// A fault is likely before the week is over.
    LikelyFault,
}

/// When the next round is due.
#[derive(Clone, Debug, PartialEq)]
pub struct Due {
    /// The last day on which anything was written down.
    pub last: Option<Date>,
    /// The day.
    pub next: Date,
    /// Why.
    pub why: WhyDue,
    /// How many days it is late, 0 where it is not.
    pub late_days: i32,
    /// How many faults are expected to have come since the last round.
    pub expected: f64,
    /// How many are expected from one round to the next at a week apart, now.
    pub weekly: f64,
}

/// When the next round is due; `None` without a fence.
pub(super) fn due(lesson: &Lesson, rates: &[FaultRate]) -> Option<Due> {
    if lesson.fence_km * 1000.0 < Length::metres(1.0).as_metres() {
        return None;
    }
    let on = lesson.from.on;
    let last = lesson.rounds.iter().rev().map(|round| round.day).find(|day| *day <= on);
    let expect = |from: Date, until: Date| -> f64 {
        let faults = rates.iter().filter_map(|rate| {
            let row = lesson.from.catalogue.fault(&rate.kind)?;
            Some(rate.yearly? * row.years_between(from, until, lesson.hemisphere))
        });
        faults.sum()
    };
    let after = |day: Date, days: i8| day.checked_add(i32::from(days).days()).unwrap_or(day);
    let weekly = expect(on, after(on, USUAL_DAYS));
    let Some(last) = last else {
        return Some(Due { last: None, next: on, why: WhyDue::NoneYet, late_days: 0, expected: 0.0, weekly });
    };
    let likely = (1..USUAL_DAYS).map(|days| after(last, days)).find(|day| expect(last, *day) >= LIKELY_FAULTS);
    let (next, why) = match (newcomers(lesson), likely) {
        (Some((paddock, since)), _) => (after(last, 1), WhyDue::NewAnimals { paddock, since }),
        (None, Some(day)) => (day, WhyDue::LikelyFault),
        (None, None) => (after(last, USUAL_DAYS), WhyDue::Week),
    };
    let late_days = next.until(on).map_or(0, |span| span.get_days()).max(0);
    Some(Due { last: Some(last), next, why, late_days, expected: expect(last, on), weekly })
}

/// The paddock into which animals came last, if that is less than a week ago.
fn newcomers(lesson: &Lesson) -> Option<(String, Date)> {
    let on = lesson.from.on;
    let paddocks = lesson.from.plan.features.iter().filter_map(|feature| match &feature.kind {
        Kind::Paddock(paddock) if paddock.stock.is_some() => Some((feature.label().to_owned(), paddock.from?)),
        _ => None,
    });
    let fresh =
        paddocks.filter(|(_, since)| *since <= on && since.until(on).is_ok_and(|span| span.get_days() < i32::from(DAILY_FOR)));
    fresh.max_by_key(|(_, since)| *since)
}
