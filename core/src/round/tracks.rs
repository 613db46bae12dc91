//! Tracks as ways of a round: where they meet, how fast they are ridden, what is reached from the yard.

use super::NoRound;
use super::ways::{Course, Places, Way};
use crate::catalogue::GroundState;
use crate::hold::along::{crossing, distance_m};
use crate::land::{Ground, MapPoint, Pace};
use rstar::primitives::{GeomWithData, Line};
use rstar::{AABB, RTree};
use std::collections::BTreeSet;
use std::ops::Range;

/// Tracks that come this near to each other are one for a vehicle, metres on the map (`common-practice`).
const MEET_M: f64 = 6.0;
/// Places on a track nearer to each other than this are one, metres.
const SAME_M: f64 = 1.0;
/// More places than this where tracks meet are no holding's: a way round over them would not be found in time.
const MOST_MEETS: usize = 20_000;
/// Slowly, where one looks at a fence from the seat, km/h: 8 to 12.
///
/// # Source
/// Key `common-practice`.
pub const LOOKING_KM_PER_H: f64 = 10.0;
/// The pieces over which the grade is taken, metres.
const PIECE_M: f64 = 20.0;

/// How fast a loaded farm vehicle goes along a track; `None` where it does not.
///
/// # Units
/// Grade in per cent, up or down; km/h.
/// # Valid for
/// Tracks; half of it off them.
/// # Source
/// Key `common-practice`; the steepest grade is that of `track-grades`.
pub fn riding_km_per_h(grade_pct: f64, state: GroundState) -> Option<f64> {
    let is_wet = state == GroundState::Wet;
    let (dry, wet) = match grade_pct.abs() {
        grade if grade < 5.0 => (20.0, Some(15.0)),
        grade if grade < 10.0 => (15.0, Some(10.0)),
        grade if grade < 20.0 => (10.0, Some(6.0)),
        grade if grade <= 30.0 => (6.0, None),
        _ => return None,
    };
    if is_wet { wet } else { Some(dry) }
}

/// Usable stretches of track that hang together with where the vehicle stands.
pub(super) struct Driven {
    runs: Vec<Vec<MapPoint>>,
    /// Distances along them on the map, metres.
    along_m: Vec<Vec<f64>>,
    /// Where two meet: run and distance along it, of both.
    meets: Vec<Meet>,
}

impl Driven {
    /// The stretches that a vehicle reaches from a place in this state of the ground; `None` where no track is.
    ///
    /// # Errors
    /// [`NoRound::TooManyMeets`].
    pub fn from(
        runs: &[Vec<MapPoint>],
        home: MapPoint,
        ground: Option<&Ground>,
        state: GroundState,
    ) -> Result<Option<Self>, NoRound> {
        let runs: Vec<Vec<MapPoint>> = runs.iter().flat_map(|run| ridden_parts(run, ground, state)).collect();
        let along_m: Vec<Vec<f64>> = runs.iter().map(|run| along(run)).collect();
        let meets = meets(&runs, &along_m)?;
        let all = Self { runs, along_m, meets };
        let nearest = all.nearest(home);
        Ok(nearest.map(|(nearest, _)| all.hanging_together_with(nearest)))
    }

    fn hanging_together_with(self, first: usize) -> Self {
        let mut is_reached = vec![false; self.runs.len()];
        let mut beside = vec![Vec::new(); self.runs.len()];
        for [(one, _), (other, _)] in &self.meets {
            beside[*one].push(*other);
            beside[*other].push(*one);
        }
        let mut waiting = vec![first];
        while let Some(run) = waiting.pop() {
            if !std::mem::replace(&mut is_reached[run], true) {
                waiting.extend_from_slice(&beside[run]);
            }
        }
        let number: Vec<usize> =
            is_reached.iter().scan(0, |next, is| Some(std::mem::replace(next, *next + usize::from(*is)))).collect();
        let meets = self.meets.into_iter().filter(|[(one, _), _]| is_reached[*one]);
        let meets = meets.map(|pair| pair.map(|(run, at_m)| (number[run], at_m))).collect();
        let keep = |index: usize| is_reached[index];
        let kept = |all: Vec<Vec<MapPoint>>| all.into_iter().enumerate().filter(|(i, _)| keep(*i)).map(|(_, run)| run).collect();
        let along_m = self.along_m.into_iter().enumerate().filter(|(i, _)| keep(*i)).map(|(_, run)| run).collect();
        Self { runs: kept(self.runs), along_m, meets }
    }

    /// The nearest place of a track: which run, how far along.
    pub fn nearest(&self, at: MapPoint) -> Option<(usize, f64)> {
        let pieces = self.runs.iter().enumerate().flat_map(|(run, points)| (1..points.len()).map(move |index| (run, index)));
        let (run, index, _) = pieces
            .map(|(run, index)| (run, index, distance_m(at, self.runs[run][index - 1], self.runs[run][index])))
            .min_by(|one, other| one.2.total_cmp(&other.2))?;
        let (from, to) = (self.runs[run][index - 1], self.runs[run][index]);
        let (way, off) = (to - from, at - from);
        let squared = way.x_m * way.x_m + way.y_m * way.y_m;
        let share = if squared > 0.0 { ((off.x_m * way.x_m + off.y_m * way.y_m) / squared).clamp(0.0, 1.0) } else { 0.0 };
        Some((run, self.along_m[run][index - 1] + share * squared.sqrt()))
    }

    /// The point there.
    pub fn at(&self, (run, at_m): (usize, f64)) -> MapPoint {
        let along_m = &self.along_m[run];
        let after = along_m.partition_point(|along_m| *along_m < at_m).clamp(1, along_m.len() - 1);
        let length_m = along_m[after] - along_m[after - 1];
        let share = if length_m > 0.0 { ((at_m - along_m[after - 1]) / length_m).clamp(0.0, 1.0) } else { 0.0 };
        self.runs[run][after - 1].towards(self.runs[run][after], share)
    }

    /// The points from one place of a run to another, in this order.
    pub fn between(&self, run: usize, from_m: f64, to_m: f64) -> Vec<MapPoint> {
        let (low_m, high_m) = (from_m.min(to_m), from_m.max(to_m));
        let inner: Range<usize> = self.along_m[run].partition_point(|at_m| *at_m <= low_m)
            ..self.along_m[run]
                .partition_point(|at_m| *at_m < high_m)
                .max(self.along_m[run].partition_point(|at_m| *at_m <= low_m));
        let mut points = vec![self.at((run, low_m))];
        points.extend_from_slice(&self.runs[run][inner]);
        points.push(self.at((run, high_m)));
        if to_m < from_m {
            points.reverse();
        }
        points
    }

    /// The ends and meets of the tracks and these further places on them as places, and the ways between neighbours: ridden, and walked.
    pub fn ways(
        &self,
        further: &[(usize, f64)],
        places: &mut Places,
        ground: Option<&Ground>,
        state: GroundState,
    ) -> (Vec<Way>, Vec<Way>) {
        let (mut ridden, mut walked) = (Vec::new(), Vec::new());
        for run in 0..self.runs.len() {
            let whole_m = self.along_m[run].last().copied().unwrap_or(0.0);
            let met = self.meets.iter().flatten().filter(|(one, _)| *one == run).map(|(_, at_m)| *at_m);
            let asked = further.iter().filter(|(one, _)| *one == run).map(|(_, at_m)| *at_m);
            let mut stops: Vec<f64> = met.chain(asked).chain([0.0, whole_m]).collect();
            stops.sort_by(f64::total_cmp);
            let numbers: Vec<usize> = stops.iter().map(|at_m| places.number(self.at((run, *at_m)), SAME_M)).collect();
            for (pair, stop) in numbers.windows(2).zip(stops.windows(2)).filter(|(pair, _)| pair[0] != pair[1]) {
                let points = self.between(run, stop[0], stop[1]);
                let course = Course::Track { run, from_m: stop[0], to_m: stop[1] };
                let way = |there_s, back_s| Way { from: pair[0], to: pair[1], there_s, back_s, course };
                let riding_s = riding_s(&points, ground, state, f64::INFINITY);
                ridden.push(way(riding_s, riding_s));
                walked.push(way(walking_s(&points, ground, Pace::OnPath, 1.0), walking_s(&points, ground, Pace::OnPath, -1.0)));
            }
        }
        for [one, other] in &self.meets {
            let (from, to) = (places.number(self.at(*one), SAME_M), places.number(self.at(*other), SAME_M));
            if from != to {
                let seconds = places.at[from].distance_m(places.at[to]) * 3.6 / LOOKING_KM_PER_H;
                let way = Way { from, to, there_s: seconds, back_s: seconds, course: Course::Straight };
                ridden.push(way);
                walked.push(way);
            }
        }
        (ridden, walked)
    }
}

fn along(run: &[MapPoint]) -> Vec<f64> {
    let mut along_m = vec![0.0];
    for pair in run.windows(2) {
        along_m.push(along_m[along_m.len() - 1] + pair[0].distance_m(pair[1]));
    }
    along_m
}

/// The parts of a run that are ridden in this state of the ground: on wet ground the steep ones are not.
fn ridden_parts(run: &[MapPoint], ground: Option<&Ground>, state: GroundState) -> Vec<Vec<MapPoint>> {
    let mut parts: Vec<Vec<MapPoint>> = Vec::new();
    let mut goes_on = false;
    for range in in_pieces(run) {
        let points = &run[range.clone()];
        if riding_km_per_h(grade_pct(points, ground), state).is_none() {
            goes_on = false;
            continue;
        }
        match parts.last_mut() {
            Some(part) if goes_on => part.extend_from_slice(&points[1..]),
            _ => parts.push(points.to_vec()),
        }
        goes_on = true;
    }
    parts
}

/// Ranges of points that make pieces of some twenty metres, each beginning where the last ends.
fn in_pieces(points: &[MapPoint]) -> Vec<Range<usize>> {
    let mut all = Vec::new();
    let (mut first, mut length_m) = (0, 0.0);
    for index in 1..points.len() {
        length_m += points[index - 1].distance_m(points[index]);
        if length_m >= PIECE_M || index + 1 == points.len() {
            all.push(first..index + 1);
            (first, length_m) = (index, 0.0);
        }
    }
    all
}

pub(super) fn length_m(points: &[MapPoint]) -> f64 {
    points.windows(2).map(|pair| pair[0].distance_m(pair[1])).sum()
}

/// Climb from the first to the last, metres; level where the ground is not known.
fn climb_m(points: &[MapPoint], ground: Option<&Ground>) -> f64 {
    let height_m = |at: Option<&MapPoint>| Some(ground?.elevation(*at?)?.as_metres());
    height_m(points.last()).zip(height_m(points.first())).map_or(0.0, |(to, from)| to - from)
}

fn grade_pct(points: &[MapPoint], ground: Option<&Ground>) -> f64 {
    let run_m = length_m(points);
    // Shorter than a vehicle, a step of the grid is no grade.
    if run_m < PIECE_M / 4.0 { 0.0 } else { 100.0 * climb_m(points, ground) / run_m }
}

/// How long a vehicle takes along these points, no faster than this; where it is too steep it crawls.
pub(super) fn riding_s(points: &[MapPoint], ground: Option<&Ground>, state: GroundState, most_km_per_h: f64) -> f64 {
    let piece = |range: Range<usize>| {
        let points = &points[range];
        let km_per_h = riding_km_per_h(grade_pct(points, ground), state).unwrap_or(6.0);
        length_m(points).hypot(climb_m(points, ground)) * 3.6 / km_per_h.min(most_km_per_h)
    };
    in_pieces(points).into_iter().map(piece).sum()
}

/// How long somebody walks along these points; `up` is 1 in their order and -1 the other way. Steeper than anybody walks counts as that.
pub(super) fn walking_s(points: &[MapPoint], ground: Option<&Ground>, pace: Pace, up: f64) -> f64 {
    let piece = |pair: &[MapPoint]| {
        let run_m = pair[0].distance_m(pair[1]);
        let climb_m = up * climb_m(pair, ground).clamp(-run_m, run_m);
        pace.seconds(run_m, climb_m).unwrap_or(0.0)
    };
    points.windows(2).map(piece).sum()
}

/// A place of one run that is also one of another: run and distance along it, of both.
type Meet = [(usize, f64); 2];

/// Where runs meet: they cross, or an end of one lies beside the other. In the order of the runs; for each first its crossings with later ones.
///
/// # Errors
/// [`NoRound::TooManyMeets`] as soon as there are more than anybody has.
fn meets(runs: &[Vec<MapPoint>], along_m: &[Vec<f64>]) -> Result<Vec<Meet>, NoRound> {
    let tree = legs_of(runs);
    let mut all: Vec<((usize, u8, usize, usize, usize), Meet)> = Vec::new();
    for (one, run) in runs.iter().enumerate() {
        for (i, a) in run.windows(2).enumerate() {
            for leg in tree.locate_in_envelope_intersecting(&around(a, 0.0)) {
                let (other, j) = leg.data;
                if other <= one {
                    continue;
                }
                let b = &runs[other][j..j + 2];
                if let Some((along, across)) = crossing(a[0], a[1], b[0], b[1]) {
                    let at_m = |along_m: &[f64], index: usize, share: f64| {
                        along_m[index] + share * (along_m[index + 1] - along_m[index])
                    };
                    let meet = [(one, at_m(&along_m[one], i, along)), (other, at_m(&along_m[other], j, across))];
                    all.push(((one, 0, other, i, j), meet));
                }
            }
        }
        for (end, at_m) in [(0, 0.0), (run.len() - 1, along_m[one][run.len() - 1])] {
            let near = tree.locate_in_envelope_intersecting(&around(&[run[end], run[end]], MEET_M));
            let others: BTreeSet<usize> = near.map(|leg| leg.data.0).filter(|other| *other != one).collect();
            for other in others {
                let near = beside(run[end], &runs[other], &along_m[other]).filter(|(_, off_m)| *off_m <= MEET_M);
                all.extend(near.map(|(other_m, _)| ((one, 1, other, end, 0), [(one, at_m), (other, other_m)])));
            }
        }
        if all.len() > MOST_MEETS {
            return Err(NoRound::TooManyMeets { most: MOST_MEETS });
        }
    }
    all.sort_by_key(|(order, _)| *order);
    Ok(all.into_iter().map(|(_, meet)| meet).collect())
}

/// The legs of all runs with their run and number.
fn legs_of(runs: &[Vec<MapPoint>]) -> RTree<GeomWithData<Line<[f64; 2]>, (usize, usize)>> {
    let legs = |(run, points): (usize, &Vec<MapPoint>)| {
        let leg = move |(index, leg): (usize, &[MapPoint])| {
            GeomWithData::new(Line::new([leg[0].x_m, leg[0].y_m], [leg[1].x_m, leg[1].y_m]), (run, index))
        };
        points.windows(2).enumerate().map(leg).collect::<Vec<_>>()
    };
    RTree::bulk_load(runs.iter().enumerate().flat_map(legs).collect())
}

fn around(points: &[MapPoint], off_m: f64) -> AABB<[f64; 2]> {
    let [one, other] = [points[0], points[1]];
    AABB::from_corners(
        [one.x_m.min(other.x_m) - off_m, one.y_m.min(other.y_m) - off_m],
        [one.x_m.max(other.x_m) + off_m, one.y_m.max(other.y_m) + off_m],
    )
}

/// The nearest place along a run, and how far off the point is.
fn beside(at: MapPoint, run: &[MapPoint], along_m: &[f64]) -> Option<(f64, f64)> {
    let near = (1..run.len()).map(|index| (index, distance_m(at, run[index - 1], run[index])));
    let (index, off_m) = near.min_by(|one, other| one.1.total_cmp(&other.1))?;
    let length_m = along_m[index] - along_m[index - 1];
    let from_m = run[index - 1].distance_m(at);
    let before_m = (from_m * from_m - off_m * off_m).max(0.0).sqrt().min(length_m);
    Some((along_m[index - 1] + before_m, off_m))
}
