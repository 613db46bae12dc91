//! A found course drawn tight: corners that nothing speaks for are left out, the others stand where it costs least.

use super::course::Course;
use super::setting::Scales;
use crate::job::{Cancelled, Job};
use crate::land::MapPoint;

/// A chord that costs so much more than the way it replaces is taken: fewer corners are worth it.
const DEARER: f64 = 1.002;
/// How often corners are moved at most.
const ROUNDS: usize = 3;

/// Leaves corners out and moves the others, as long as that costs less or hardly more; places that are kept stay.
pub(super) fn tighten(course: &mut Course, scales: Scales, job: &Job) -> Result<(), Cancelled> {
    pull(course, scales, job)?;
    settle(course, scales, job)?;
    pull(course, scales, job)
}

/// Replaces ways by their chords, the longest first.
fn pull(course: &mut Course, scales: Scales, job: &Job) -> Result<(), Cancelled> {
    let mut from = 0;
    while from + 2 < course.places.len() {
        job.proceed()?;
        let stretch = course.places[from + 1..].iter().position(|place| place.is_kept).map_or(0, |kept| from + 1 + kept);
        let farthest = (from + 2..=stretch).rev().find(|until| is_better(course, from, *until, scales));
        match farthest {
            Some(until) => drop(course.places.drain(from + 1..until)),
            None => from += 1,
        }
    }
    Ok(())
}

/// Whether the chord between two places of a course is to be preferred; the turns at both are counted.
fn is_better(course: &Course, from: usize, until: usize, scales: Scales) -> bool {
    let first = from.saturating_sub(1);
    let past = (until + 2).min(course.places.len());
    let way = course.points(first..past);
    let chord = [&way[..=from - first], &way[until - first..]].concat();
    let (way, chord) = (scales.course(&way), scales.course(&chord));
    chord.is_finite() && (chord <= DEARER * way || way.is_infinite())
}

/// Moves each corner to where it costs least, in ever smaller steps.
fn settle(course: &mut Course, scales: Scales, job: &Job) -> Result<(), Cancelled> {
    let cell_m = scales.judged.relief.grid().spacing().as_metres();
    for round in 0..ROUNDS {
        let step_m = cell_m * [1.0, 0.5, 0.25][round];
        for index in 1..course.places.len().saturating_sub(1) {
            job.proceed()?;
            if !course.places[index].is_kept {
                settle_one(course, index, step_m, scales);
            }
        }
    }
    Ok(())
}

fn settle_one(course: &mut Course, index: usize, step_m: f64, scales: Scales) {
    let (first, past) = (index.saturating_sub(2), (index + 3).min(course.places.len()));
    let mut way = course.points(first..past);
    let (at, here) = (index - first, course.places[index].at);
    let mut best = (scales.course(&way), here);
    for (east, north) in [(1.0, 0.0), (0.7, 0.7), (0.0, 1.0), (-0.7, 0.7), (-1.0, 0.0), (-0.7, -0.7), (0.0, -1.0), (0.7, -0.7)] {
        way[at] = here + MapPoint::new(east, north) * step_m;
        let cost = if scales.judged.is_known(way[at]) { scales.course(&way) } else { f64::INFINITY };
        if cost < best.0 {
            best = (cost, way[at]);
        }
    }
    course.places[index].at = best.1;
}
