//! A fence beside a track: the track's course moved aside, and where it is best to come to it and to leave it.

use super::search::{Lattice, Spread};
use super::setting::Scales;
use crate::hold::along::distance_m;
use crate::job::{Cancelled, Job};
use crate::land::MapPoint;

/// How far beside a track a fence runs: half a vehicle with its mirror, a strip that is kept clear, an open door.
///
/// # Source
/// Key `common-practice`.
pub const BESIDE_TRACK_M: f64 = 3.0;
/// Round joins are drawn in steps no wider than this, degrees.
const ROUND_STEP_DEG: f64 = 15.0;
/// What comes nearer to the track than this share of the distance lies in a loop and is left out.
const IN_A_LOOP: f64 = 0.99;

/// A line moved aside, to its left when `by_m` is above zero: with round joins where it turns away, without the loops where it turns in.
///
/// # Units
/// Metres.
/// # Valid for
/// Lines that do not cross themselves.
/// # Source
/// Closed forms: a circle of radius r becomes one of radius r + o (`common-practice`).
pub fn moved_aside(line: &[MapPoint], by_m: f64) -> Vec<MapPoint> {
    let mut line = line.to_vec();
    line.dedup_by(|one, other| one.distance_m(*other) < 1e-6);
    let left = |leg: &[MapPoint]| {
        let way = (leg[1] - leg[0]) * (1.0 / leg[0].distance_m(leg[1]));
        MapPoint::new(-way.y_m, way.x_m)
    };
    let sides: Vec<MapPoint> = line.windows(2).map(left).collect();
    let (Some(first), Some(last)) = (sides.first(), sides.last()) else { return line };
    let mut points = vec![line[0] + *first * by_m];
    for (nth, pair) in sides.windows(2).enumerate() {
        points.extend(join_at(line[nth + 1], pair[0], pair[1], by_m));
    }
    points.push(line[line.len() - 1] + *last * by_m);
    let away_m = |at: MapPoint| line.windows(2).map(|leg| distance_m(at, leg[0], leg[1])).fold(f64::INFINITY, f64::min);
    points.retain(|at| away_m(*at) >= IN_A_LOOP * by_m.abs());
    points
}

/// The places of a moved line at a corner between two legs with these left sides.
fn join_at(at: MapPoint, before: MapPoint, after: MapPoint, by_m: f64) -> Vec<MapPoint> {
    let cross = before.x_m * after.y_m - before.y_m * after.x_m;
    let dot = before.x_m * after.x_m + before.y_m * after.y_m;
    let turn = cross.atan2(dot);
    // To the left it turns into a fence on its left.
    if turn * by_m >= 0.0 {
        return vec![at + (before + after) * (by_m / (1.0 + dot))];
    }
    let steps = (turn.abs().to_degrees() / ROUND_STEP_DEG).ceil().max(1.0);
    let side = |step: usize| {
        let (sin, cos) = (turn * step as f64 / steps).sin_cos();
        MapPoint::new(before.x_m * cos - before.y_m * sin, before.x_m * sin + before.y_m * cos)
    };
    (0..=steps as usize).map(|step| at + side(step) * by_m).collect()
}

/// Where a way joins a line and where it leaves it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joined {
    /// The place of the line at which it is joined, by number.
    pub enter: usize,
    /// The place at which it is left; never before the other.
    pub leave: usize,
    /// The cost of all.
    pub cost: f64,
}

/// The cheapest way that runs along a line for a while: `min over i <= j of to[i] + along[j] - along[i] + from[j]`, in one pass that keeps the
/// least of `to[i] - along[i]`. `None` where nothing of it is finite.
///
/// # Units
/// Any cost.
/// # Valid for
/// Three lists of one length; `along` is the cost from the first place.
/// # Source
/// Arithmetic (`common-practice`).
pub fn join(to: &[f64], along: &[f64], from: &[f64]) -> Option<Joined> {
    let mut least: Option<(f64, usize)> = None;
    let mut best: Option<Joined> = None;
    for (leave, ((to, along), from)) in to.iter().zip(along).zip(from).enumerate() {
        if least.is_none_or(|(least, _)| to - along < least) {
            least = Some((to - along, leave));
        }
        let Some((before, enter)) = least else { continue };
        let cost = before + along + from;
        if cost.is_finite() && best.is_none_or(|best| cost < best.cost) {
            best = Some(Joined { enter, leave, cost });
        }
    }
    best
}

/// The cheapest course between the ends of a lattice that runs beside one of these tracks for a while; `None` where none does.
pub(super) fn beside_track(
    lattice: &Lattice,
    scales: Scales,
    tracks: &[Vec<MapPoint>],
    job: &Job,
) -> Result<Option<Vec<MapPoint>>, Cancelled> {
    let (there, back) = rayon::join(|| lattice.spread(0, job), || lattice.spread(1, job));
    let (there, back) = (there?, back?);
    let mut best: Option<(f64, Vec<MapPoint>)> = None;
    for (track, side) in tracks.iter().flat_map(|track| [(track, BESIDE_TRACK_M), (track, -BESIDE_TRACK_M)]) {
        job.proceed()?;
        let mut line = moved_aside(track, side);
        for _ in 0..2 {
            let found = free_runs(&line, scales).into_iter().filter_map(|run| along(lattice, scales, run, &there, &back));
            best = found.chain(best).min_by(|one, other| one.0.total_cmp(&other.0));
            line.reverse();
        }
    }
    Ok(best.map(|(_, course)| course))
}

/// The stretches of a line over known ground on which a fence may stand.
fn free_runs<'a>(line: &'a [MapPoint], scales: Scales) -> Vec<&'a [MapPoint]> {
    let is_free = |from: &MapPoint, to: &MapPoint| scales.judged.is_known(*from) && scales.leg(*from, *to).is_finite();
    line.chunk_by(is_free).filter(|run| run.len() > 1).collect()
}

fn along(lattice: &Lattice, scales: Scales, run: &[MapPoint], there: &Spread, back: &Spread) -> Option<(f64, Vec<MapPoint>)> {
    let nodes: Vec<Option<u32>> = run.iter().map(|at| lattice.node_at(*at)).collect();
    let to_line = |spread: &Spread| -> Vec<f64> {
        let reach = |(node, at): (&Option<u32>, &MapPoint)| {
            node.map_or(f64::INFINITY, |node| spread.cost[node as usize] + scales.leg(lattice.at(node), *at))
        };
        nodes.iter().zip(run).map(reach).collect()
    };
    let mut along = vec![0.0];
    run.windows(2).for_each(|leg| along.push(along[along.len() - 1] + scales.leg(leg[0], leg[1])));
    let joined = join(&to_line(there), &along, &to_line(back))?;
    let (enter, leave) = (nodes[joined.enter]?, nodes[joined.leave]?);
    let mut course = there.way(lattice, enter);
    course.extend_from_slice(&run[joined.enter..=joined.leave]);
    let mut rest = back.way(lattice, leave);
    rest.reverse();
    course.extend(rest);
    course.dedup_by(|one, other| one.distance_m(*other) < 0.01);
    Some((joined.cost, course))
}
