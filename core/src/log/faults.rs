//! How often each kind of fault comes: the log set against the planning defaults.

use super::Lesson;
use crate::catalogue::{FaultPer, FaultRow};
use crate::plan::Kind;
use jiff::civil::Date;
use statrs::distribution::{ContinuousCDF, Gamma};
use std::collections::BTreeMap;

/// How much a planning default is worth beside the log: so many kilometre-years (or gate-years, or system-years) of having watched.
///
/// # Source
/// Key `fault-defaults`.
pub const PRIOR_YEARS: f64 = 2.0;
/// From so many faults and strikes on, the log outweighs the defaults (`fault-defaults`).
pub const ENOUGH_ENTRIES: usize = 20;
/// The share of certainty of the interval that is told.
const CERTAINTY: f64 = 0.9;

/// How often something comes, with what may be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rate {
    /// The mean of what the rate may be, by year and kilometre, gate or system.
    pub mean: f64,
    /// Nine in ten rates that fit lie between these.
    pub between: (f64, f64),
}

/// One kind of fault.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultRate {
    /// Its word.
    pub kind: String,
    /// How many were seen after the first day of the log, on which faults of any age were found.
    pub seen: u32,
    /// The same by month, January first, over all years and from the first day on.
    pub by_month: [u32; 12],
    /// What rates are counted for; `None` for a kind that has no planning default.
    pub per: Option<FaultPer>,
    /// How many years of that were watched, from the first to the last day of the log, weighed by the season: a summer's log says little about
    /// winter's faults, and a log that ended says nothing about what came after.
    pub watched: f64,
    /// The planning default, by year.
    pub default_per_year: Option<f64>,
    /// Default and log together; `None` for a kind that has no planning default.
    pub rate: Option<Rate>,
    /// Expected in a year on this fence; `None` for a kind that has no planning default.
    pub yearly: Option<f64>,
    /// What default and log together expect on this fence, by month, January first, in the days of it that were watched over all years; zeros
    /// for a kind that has no planning default.
    pub expected_by_month: [f64; 12],
}

/// The rate after `seen` faults in `watched` years, where the default is worth [`PRIOR_YEARS`].
///
/// seen ~ Poisson(lambda T), lambda ~ Gamma(a, b) with a = default b, b = prior; then lambda ~ Gamma(a + n, b + T), with mean
/// (a + n) / (b + T)
///
/// # Units
/// Faults by year and kilometre (gate, system).
///
/// # Valid for
/// Faults that come one by one, at a rate that the season alone changes.
///
/// # Source
/// gamma-poisson
///
/// # Errors
/// `None` for a default that is not above zero or a time that is negative.
pub fn rate(default_per_year: f64, seen: u32, watched: f64) -> Option<Rate> {
    let (shape, years) = (default_per_year * PRIOR_YEARS + f64::from(seen), PRIOR_YEARS + watched);
    let gamma = Gamma::new(shape, years).ok().filter(|_| watched >= 0.0)?;
    let tail = 0.5 * (1.0 - CERTAINTY);
    Some(Rate { mean: shape / years, between: (gamma.inverse_cdf(tail), gamma.inverse_cdf(1.0 - tail)) })
}

/// Every kind: those with a planning default in the catalogue's order, then what else was found.
pub(super) fn rates(lesson: &Lesson) -> Vec<FaultRate> {
    let mut seen = seen(lesson);
    let rows = lesson.from.catalogue.faults.iter();
    let mut all: Vec<FaultRate> = rows
        .filter_map(|row| {
            let counted = seen.remove(&row.id);
            (counted.is_some() || may_come(row, lesson)).then(|| with_default(row, &counted.unwrap_or_default(), lesson))
        })
        .collect();
    all.extend(seen.into_iter().map(|(kind, counted)| FaultRate {
        kind,
        seen: counted.after_first,
        by_month: counted.by_month,
        per: None,
        watched: 0.0,
        default_per_year: None,
        rate: None,
        yearly: None,
        expected_by_month: [0.0; 12],
    }));
    all
}

#[derive(Default)]
struct Counted {
    after_first: u32,
    by_month: [u32; 12],
}

fn seen(lesson: &Lesson) -> BTreeMap<String, Counted> {
    let first = lesson.rounds.first().map(|round| round.day);
    let mut all: BTreeMap<String, Counted> = BTreeMap::new();
    for entry in lesson.entries {
        let (Some(kind), Some(day)) = (entry.fault_word(), entry.day) else { continue };
        if day > lesson.from.on {
            continue;
        }
        let counted = all.entry(kind.to_owned()).or_default();
        counted.after_first += u32::from(Some(day) > first);
        if let Some(month) = usize::try_from(day.month() - 1).ok().and_then(|index| counted.by_month.get_mut(index)) {
            *month += 1;
        }
    }
    all
}

/// Whether a kind can come on this fence at all.
fn may_come(row: &FaultRow, lesson: &Lesson) -> bool {
    row.only_behind.as_ref().is_none_or(|species| lesson.from.plan.head.stock.iter().any(|group| group.species == *species))
}

/// How many kilometres, gates or systems the fence has.
fn units(per: FaultPer, lesson: &Lesson) -> f64 {
    let count =
        |is_one: fn(&Kind) -> bool| lesson.from.plan.features.iter().filter(|feature| is_one(&feature.kind)).count() as f64;
    match per {
        FaultPer::Km => lesson.fence_km,
        FaultPer::Gate => count(|kind| matches!(kind, Kind::Gate(_))),
        FaultPer::System => count(|kind| matches!(kind, Kind::Energizer(_))),
    }
}

/// The first and the last day of the log up to the day of the question.
fn watched(lesson: &Lesson) -> Option<(Date, Date)> {
    let last = lesson.rounds.iter().rev().find(|round| round.day <= lesson.from.on)?;
    Some((lesson.rounds.first()?.day, last.day))
}

fn with_default(row: &FaultRow, counted: &Counted, lesson: &Lesson) -> FaultRate {
    let units = units(row.per, lesson);
    let months = watched(lesson).map_or([0.0; 12], |(first, last)| row.years_by_month(first, last, lesson.hemisphere));
    let watched = units * months.iter().sum::<f64>();
    let rate = rate(row.per_year, counted.after_first, watched);
    let yearly = rate.map(|rate| rate.mean * units);
    FaultRate {
        kind: row.id.clone(),
        seen: counted.after_first,
        by_month: counted.by_month,
        per: Some(row.per),
        watched,
        default_per_year: Some(row.per_year),
        rate,
        yearly,
        expected_by_month: months.map(|years| years * yearly.unwrap_or_default()),
    }
}
