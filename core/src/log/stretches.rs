//! Stretches of a line that fail more often than the rest of it.

use super::Lesson;
use crate::land::MapPoint;
use crate::plan::FeatureId;
use crate::units::Length;
use statrs::distribution::{ContinuousCDF, Gamma};

/// Length of the pieces that are compared, metres.
pub const BIN_M: f64 = 50.0;
/// How strongly a piece is drawn to its line's mean: as much as so many expected faults.
const PULL: f64 = 2.0;
/// The share of certainty of the interval that is told.
const CERTAINTY: f64 = 0.9;

/// A stretch that fails more often than its line.
#[derive(Clone, Debug, PartialEq)]
pub struct Weak {
    /// The line.
    pub line: FeatureId,
    /// From here.
    pub from: Length,
    /// To here.
    pub to: Length,
    /// Its middle on the map.
    pub at: MapPoint,
    /// Faults and strikes that were seen on it.
    pub seen: u32,
    /// How many times as often as its line it fails.
    pub times: f64,
    /// Nine in ten values that fit lie between these.
    pub between: (f64, f64),
}

/// How many times as often as expected something comes at a place, drawn to once where little was seen: the mean, and between what nine
/// in ten values lie.
///
/// seen ~ Poisson(theta E), theta ~ Gamma(k, k); then theta ~ Gamma(k + n, k + E), k = 2
///
/// # Units
/// Pure numbers.
///
/// # Valid for
/// Places that differ by no more than a few times.
///
/// # Source
/// gamma-poisson
///
/// # Errors
/// `None` for an expectation that is negative or not a number.
pub fn shrunk(seen: u32, expected: f64) -> Option<(f64, (f64, f64))> {
    let (shape, rate) = (PULL + f64::from(seen), PULL + expected);
    let gamma = Gamma::new(shape, rate).ok().filter(|_| expected >= 0.0)?;
    let tail = 0.5 * (1.0 - CERTAINTY);
    Some((shape / rate, (gamma.inverse_cdf(tail), gamma.inverse_cdf(1.0 - tail))))
}

/// How many of these entries lie in each piece of every line; the last piece is as long as what is left.
pub(super) fn bins(lesson: &Lesson, counts: impl Fn(&str) -> bool) -> Vec<(usize, Vec<u32>)> {
    let lines = lesson.from.outcome.lines.iter().enumerate().map(|(index, line)| {
        let pieces = (line.measure.ground_length.as_metres() / BIN_M).ceil().max(1.0);
        (index, vec![0_u32; pieces as usize])
    });
    let mut all: Vec<(usize, Vec<u32>)> = lines.collect();
    for entry in lesson.entries {
        let (Some(word), Some(on)) = (entry.fault_word(), entry.on()) else { continue };
        let Some((_, pieces)) = all.iter_mut().find(|(index, _)| lesson.from.outcome.lines[*index].id == on.line) else {
            continue;
        };
        if counts(word) {
            let piece = ((on.station.as_metres() / BIN_M).max(0.0) as usize).min(pieces.len() - 1);
            pieces[piece] += 1;
        }
    }
    all
}

/// Stretches that fail more often than their line for certain, the worst first.
pub(super) fn weak(lesson: &Lesson) -> Vec<Weak> {
    let mut all = Vec::new();
    for (index, pieces) in bins(lesson, |_| true) {
        let line = &lesson.from.outcome.lines[index];
        let length_m = line.measure.ground_length.as_metres();
        let total: u32 = pieces.iter().sum();
        for (piece, seen) in pieces.iter().enumerate().filter(|(_, seen)| **seen > 1) {
            let from_m = piece as f64 * BIN_M;
            let to_m = (from_m + BIN_M).min(length_m);
            let expected = f64::from(total) * (to_m - from_m) / length_m;
            let Some((times, between)) = shrunk(*seen, expected) else { continue };
            let Some(sample) = line.section.sample_at_station(0.5 * (from_m + to_m)) else { continue };
            if between.0 > 1.0 {
                let (from, to) = (Length::metres(from_m), Length::metres(to_m));
                all.push(Weak { line: line.id.clone(), from, to, at: sample.at, seen: *seen, times, between });
            }
        }
    }
    all.sort_by(|one, other| other.times.total_cmp(&one.times));
    all
}
