//! Readings place by place: what they were, and whether they get less.

use super::Lesson;
use crate::land::Position;
use crate::plan::FeatureId;
use crate::units::Length;
use jiff::civil::Date;
use statrs::distribution::{ContinuousCDF, StudentsT};

/// Readings within so much of each other along a line were taken at one place (`common-practice`: a satellite receiver, a few paces).
const ONE_PLACE_M: f64 = 25.0;
/// Fewer readings than this have no trend.
const FEWEST: usize = 4;
/// Readings within a shorter time have none either, years: two months of one season say nothing.
const SHORTEST_YEARS: f64 = 60.0 / 365.25;
/// The share of certainty of the interval that is told.
const CERTAINTY: f64 = 0.9;

/// How fast something changes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slope {
    /// The least-squares slope, by year.
    pub per_year: f64,
    /// Nine in ten slopes that fit lie between these.
    pub between: (f64, f64),
}

impl Slope {
    /// Whether it falls for certain: the whole interval lies below zero.
    pub fn falls(&self) -> bool {
        self.between.1 < 0.0
    }
}

/// Readings of one place.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceReadings {
    /// The line.
    pub line: FeatureId,
    /// Their middle along it.
    pub station: Length,
    /// Where the last one was taken.
    pub at: Position,
    /// Indices of its entries, the oldest first.
    pub entries: Vec<usize>,
    /// How their difference from what was expected changes, kilovolts by year.
    pub slope: Option<Slope>,
}

/// The slope of a straight line through points by least squares, with its interval by Student's t.
///
/// b = Sxy / Sxx, s2 = (Syy - b Sxy) / (n - 2), b +- t(n - 2) sqrt(s2 / Sxx)
///
/// # Units
/// Years against anything.
///
/// # Valid for
/// Errors that are independent, of one size and nearly normal.
///
/// # Source
/// least-squares
///
/// # Errors
/// `None` for fewer than four points, or where they lie within two months.
pub fn slope(points: &[(f64, f64)]) -> Option<Slope> {
    let count = points.len() as f64;
    let (first, last) = points.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (x, _)| (low.min(*x), high.max(*x)));
    if points.len() < FEWEST || last - first < SHORTEST_YEARS {
        return None;
    }
    let mean_x = points.iter().map(|(x, _)| x).sum::<f64>() / count;
    let mean_y = points.iter().map(|(_, y)| y).sum::<f64>() / count;
    let sum = |of: &dyn Fn(f64, f64) -> f64| points.iter().map(|(x, y)| of(x - mean_x, y - mean_y)).sum::<f64>();
    let (xx, xy, yy) = (sum(&|x, _| x * x), sum(&|x, y| x * y), sum(&|_, y| y * y));
    let per_year = xy / xx;
    let spread = ((yy - per_year * xy).max(0.0) / (count - 2.0) / xx).sqrt();
    let times = StudentsT::new(0.0, 1.0, count - 2.0).ok()?.inverse_cdf(0.5 + 0.5 * CERTAINTY);
    Some(Slope { per_year, between: (per_year - times * spread, per_year + times * spread) })
}

/// All places at which anything was read, in the order of the lines.
pub(super) fn places(lesson: &Lesson) -> Vec<PlaceReadings> {
    let readings = lesson.entries.iter().enumerate().filter(|(_, entry)| entry.kv().is_some());
    let mut along: Vec<(usize, f64, usize)> = readings
        .filter_map(|(index, entry)| {
            let on = entry.on()?;
            Some((lesson.network.line_index(&on.line)?, on.station.as_metres(), index))
        })
        .collect();
    along.sort_by(|one, other| one.0.cmp(&other.0).then(one.1.total_cmp(&other.1)));
    let mut places = Vec::new();
    let mut rest = along.as_slice();
    while let Some((line, start_m, _)) = rest.first() {
        let count = rest.partition_point(|(other, station_m, _)| other == line && *station_m <= start_m + ONE_PLACE_M);
        let (here, after) = rest.split_at(count);
        places.push(place(lesson, *line, here));
        rest = after;
    }
    places
}

fn place(lesson: &Lesson, line: usize, here: &[(usize, f64, usize)]) -> PlaceReadings {
    let mut entries: Vec<usize> = here.iter().map(|(.., index)| *index).collect();
    entries.sort_unstable();
    let middle_m = here.iter().map(|(_, station_m, _)| station_m).sum::<f64>() / here.len() as f64;
    let last = entries.last().copied().unwrap_or_default();
    let first_day = entries.iter().find_map(|index| lesson.entries[*index].day);
    let points: Vec<(f64, f64)> = entries
        .iter()
        .filter_map(|index| {
            let entry = &lesson.entries[*index];
            let years = years_after(first_day?, entry.day?);
            Some((years, entry.kv()? - entry.expected.map_or(0.0, |expected| expected.middle_kv())))
        })
        .collect();
    let is_one_sort = entries.iter().all(|index| lesson.entries[*index].expected.is_some())
        || entries.iter().all(|index| lesson.entries[*index].expected.is_none());
    PlaceReadings {
        line: lesson.network.lines[line].id.clone(),
        station: Length::metres(middle_m),
        at: lesson.entries[last].at,
        slope: slope(&points).filter(|_| is_one_sort),
        entries,
    }
}

/// Years from one day to another.
pub(super) fn years_after(from: Date, to: Date) -> f64 {
    from.until(to).map_or(0.0, |span| f64::from(span.get_days())) / crate::catalogue::YEAR_DAYS
}
