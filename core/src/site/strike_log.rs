//! What strikes that were seen say about how many there are: the keeper's own log outranks every model.

use super::LineRuns;
use crate::plan::{Kind, Plan};
use jiff::civil::Date;

/// Days of a year.
const YEAR_DAYS: f64 = 365.25;
/// The share of certainty of the interval that is told.
const CERTAINTY: f64 = 0.9;
/// Fewer strikes seen than this, and the interval is told with the number.
pub const ENOUGH_SEEN: u32 = 10;

/// How many strikes there are for each that the model expects.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// Strikes seen.
    pub seen: u32,
    /// Strikes that the model expects in the time that was watched.
    pub expected: f64,
    /// The mean of what the scale may be.
    pub mean: f64,
    /// Nine in ten scales that fit lie between these.
    pub between: (f64, f64),
}

/// The scale after `seen` strikes where the model expected so many, by Bayes' rule: before, the model may be wrong by any factor around 1.
///
/// seen ~ Poisson(theta E), theta ~ Gamma(1, 1); then theta ~ Gamma(1 + n, 1 + E), with mean (1 + n) / (1 + E)
///
/// # Units
/// Pure numbers.
///
/// # Valid for
/// Strikes that come one by one. A herd through one gap counts once.
///
/// # Source
/// gamma-poisson
pub fn scale(seen: u32, expected: f64) -> Scale {
    let (shape, rate) = (seen + 1, 1.0 + expected);
    let tail = 0.5 * (1.0 - CERTAINTY);
    let between = (gamma_quantile(shape, tail) / rate, gamma_quantile(shape, 1.0 - tail) / rate);
    Scale { seen, expected, mean: f64::from(shape) / rate, between }
}

/// Where a gamma variable of whole shape and rate 1 has this much below it: the chance that a Poisson count of mean x is `shape` or more.
fn gamma_quantile(shape: u32, below: f64) -> f64 {
    let chance = |x: f64| {
        let mut term = (-x).exp();
        let mut fewer = 0.0;
        for count in 0..shape {
            fewer += term;
            term *= x / f64::from(count + 1);
        }
        1.0 - fewer
    };
    let (mut low, mut high) = (0.0, 10.0 * f64::from(shape) + 10.0);
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if chance(middle) < below { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

impl Scale {
    /// What strikes of the model are multiplied by: nothing was learned while none was seen.
    pub fn factor(self) -> f64 {
        if self.seen == 0 { 1.0 } else { self.mean }
    }
}

/// What a fault of the log is called that a running animal made.
pub const STRIKE: &str = "strike";

/// The scale by the plan's own log: faults that are strikes, from its first dated entry to this day, or to its last one. `None` without
/// anything to compare them with.
pub fn strike_scale<'a>(plan: &Plan, lines: impl Iterator<Item = &'a LineRuns>, on: Option<Date>) -> Option<Scale> {
    let entries: Vec<(Date, bool)> = plan.features.iter().filter_map(|feature| entry(&feature.kind)).collect();
    let expected: Vec<f64> = lines.map(LineRuns::strikes).collect();
    let first = entries.iter().map(|(day, _)| *day).min();
    let last = on.or(entries.iter().map(|(day, _)| *day).max());
    let years = first.zip(last).map_or(0.0, |(first, last)| years_watched(first, last));
    let seen = entries.iter().filter(|(day, is_strike)| *is_strike && last.is_none_or(|last| *day <= last)).count();
    (!expected.is_empty()).then(|| scale(u32::try_from(seen).unwrap_or(u32::MAX), years * expected.iter().sum::<f64>()))
}

/// The day of an entry of the log, and whether it is a strike.
fn entry(kind: &Kind) -> Option<(Date, bool)> {
    let day = |at: &Option<String>| at.as_ref()?.get(..10)?.parse().ok();
    match kind {
        Kind::Fault(fault) => {
            Some((day(&fault.seen)?, fault.what.as_deref().is_some_and(|what| what.eq_ignore_ascii_case(STRIKE))))
        }
        Kind::Reading(reading) => Some((day(&reading.at_time)?, false)),
        _ => None,
    }
}

/// How many years a log covers that began on one day and is read on another; at least one, for what was seen on the first day says nothing
/// about how often.
fn years_watched(first: Date, on: Date) -> f64 {
    let days = first.until(on).map_or(0, |span| span.get_days());
    (f64::from(days) / YEAR_DAYS).max(1.0)
}
