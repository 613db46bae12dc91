//! What to cut before the leaves fall.

use super::Lesson;
use super::stretches::{BIN_M, bins};
use crate::catalogue::Hemisphere;
use crate::hold::inside;
use crate::land::{MapPoint, Position};
use crate::plan::{FeatureId, Geometry, Kind};
use crate::units::Length;
use jiff::civil::Date;

/// What hangs over a fence, or grows into it.
const GROWING: [&str; 2] = ["contact", "branch"];
/// Leaves fall from here on, in the north (`common-practice`).
const LEAF_FALL: (i8, i8) = (10, 1);
/// A piece in a wood that is shorter than this is not worth a line, metres.
const SHORTEST_WOOD_M: f64 = 5.0;

/// A stretch to look at.
#[derive(Clone, Debug, PartialEq)]
pub struct Wooded {
    /// The line.
    pub line: FeatureId,
    /// From here.
    pub from: Length,
    /// To here.
    pub to: Length,
    /// Its middle on the map.
    pub at: MapPoint,
    /// How often growth or a branch was found on it; 0 for a stretch in a wood where none was.
    pub found: u32,
}

/// What to cut before the leaves fall.
#[derive(Clone, Debug, PartialEq)]
pub struct Prune {
    /// The day before which.
    pub before: Date,
    /// Where growth and branches were found, the most often first.
    pub found: Vec<Wooded>,
    /// Where a line runs through wood.
    pub woods: Vec<Wooded>,
}

/// `None` where nothing grows near any line.
pub(super) fn prune(lesson: &Lesson) -> Option<Prune> {
    let prune = Prune { before: before(lesson)?, found: found(lesson), woods: woods(lesson) };
    (!prune.found.is_empty() || !prune.woods.is_empty()).then_some(prune)
}

/// The next fall of leaves.
fn before(lesson: &Lesson) -> Option<Date> {
    let on = lesson.from.on;
    let month = match lesson.hemisphere {
        Hemisphere::North => LEAF_FALL.0,
        Hemisphere::South => (LEAF_FALL.0 + 5) % 12 + 1,
    };
    let day = |year: i16| Date::new(year, month, LEAF_FALL.1).ok();
    day(on.year()).filter(|day| *day >= on).or_else(|| day(on.year() + 1))
}

fn found(lesson: &Lesson) -> Vec<Wooded> {
    let mut all = Vec::new();
    for (index, pieces) in bins(lesson, |word| GROWING.contains(&word)) {
        let line = &lesson.from.outcome.lines[index];
        let length_m = line.measure.ground_length.as_metres();
        let grown: Vec<(usize, u32)> = pieces.into_iter().enumerate().filter(|(_, found)| *found > 0).collect();
        // Pieces side by side are one stretch to cut.
        for run in grown.chunk_by(|one, next| one.0 + 1 == next.0) {
            let (from_m, to_m) = (run[0].0 as f64 * BIN_M, (run[run.len() - 1].0 + 1) as f64 * BIN_M);
            all.extend(stretch(lesson, index, (from_m, to_m.min(length_m)), run.iter().map(|(_, found)| found).sum()));
        }
    }
    all.sort_by_key(|stretch| std::cmp::Reverse(stretch.found));
    all
}

fn stretch(lesson: &Lesson, index: usize, (from_m, to_m): (f64, f64), found: u32) -> Option<Wooded> {
    let line = &lesson.from.outcome.lines[index];
    let at = line.section.sample_at_station(0.5 * (from_m + to_m))?.at;
    Some(Wooded { line: line.id.clone(), from: Length::metres(from_m), to: Length::metres(to_m), at, found })
}

/// Pieces of the lines that lie in a wood.
fn woods(lesson: &Lesson) -> Vec<Wooded> {
    let rings_of = |rings: &[Vec<Position>]| -> Option<Vec<Vec<MapPoint>>> {
        rings.iter().map(|ring| ring.iter().map(|at| lesson.frame.to_map(*at).ok()).collect()).collect()
    };
    let zones = lesson.from.plan.features.iter().filter_map(|feature| match (&feature.kind, &feature.geometry) {
        (Kind::Zone(zone), Geometry::Area(rings)) if zone.of == "wood" => rings_of(rings),
        _ => None,
    });
    let woods: Vec<Vec<Vec<MapPoint>>> = zones.collect();
    let is_wood = |at: MapPoint| woods.iter().any(|rings| rings.iter().filter(|ring| inside(ring, at)).count() % 2 == 1);
    let mut all = Vec::new();
    if woods.is_empty() {
        return all;
    }
    for (index, line) in lesson.from.outcome.lines.iter().enumerate() {
        let mut from_m = None;
        let mut last_m = 0.0;
        let mut close = |from_m: &mut Option<f64>, to_m: f64| {
            if let Some(start_m) = from_m.take().filter(|start_m| to_m - start_m >= SHORTEST_WOOD_M) {
                all.extend(stretch(lesson, index, (start_m, to_m), 0));
            }
        };
        for sample in &line.section.samples {
            last_m = sample.station_m;
            if is_wood(sample.at) {
                from_m.get_or_insert(sample.station_m);
            } else {
                close(&mut from_m, sample.station_m);
            }
        }
        close(&mut from_m, last_m);
    }
    all
}
