//! Tracks on the ground: where a vehicle gets along them, and what takes a stretch out of use.

use super::cells::{line_on_map, rings_on_map};
use super::judged::{HinderedStretch, JudgedTrack, TooNarrow, TrackPiece, points_on_ground};
use super::{turning, ways_in};
use crate::finding::TrackHindrance;
use crate::hold::along::distance_m;
use crate::hold::inside;
use crate::land::{Frame, Ground, MapPoint};
use crate::plan::{Feature, Kind, Plan, Track};
use crate::units::Length;
use rstar::primitives::Line;
use rstar::{PointDistance, RTree};

/// Steepest grade over 20 m that an empty vehicle goes up or down, per cent.
///
/// # Source
/// Key `track-grades`, its limit for a short pitch: no rule gives one number for a farm vehicle, go there on foot first.
pub const GRADE_LIMIT_PCT: f64 = 25.0;
/// Above this grade somebody should know.
///
/// # Source
/// Key `track-grades`.
pub const GRADE_CAUTION_PCT: f64 = 20.0;
/// What a loaded vehicle goes up at most, over a long way and over a short one, per cent.
///
/// # Source
/// Key `track-grades`.
pub const LOADED_GRADES_PCT: (f64, f64) = (8.0, 12.0);
/// Steepest side slope of ground that is not cut into a track, of any vehicle, per cent.
///
/// # Source
/// Chosen here from what key `side-slopes` says.
pub const SIDE_LIMIT_PCT: f64 = 22.0;
/// Above this side slope somebody should know.
///
/// # Source
/// Key `side-slopes`.
pub const SIDE_CAUTION_PCT: f64 = 18.0;
/// On wet soil the limits are this share of what they are.
///
/// # Source
/// Key `common-practice`.
const ON_WET: f64 = 0.5;
/// The length over which a grade is measured.
const WINDOW_M: f64 = 20.0;
const STEP_M: f64 = 5.0;

/// How wide a track must be for a vehicle, with room beside its wheels.
///
/// # Source
/// Key `common-practice`.
fn needed_width(vehicle: &str) -> Option<Length> {
    match vehicle {
        "utility" => Some(Length::metres(2.0)),
        "tractor" => Some(Length::metres(2.8)),
        _ => None,
    }
}

/// The tracks of a plan.
#[derive(Clone, Debug, Default)]
pub struct Tracks {
    /// Whether the plan has any, usable or not.
    pub has_track: bool,
    /// Those that a vehicle shall use, with what hinders it.
    pub judged: Vec<JudgedTrack>,
    usable: RTree<Line<[f64; 2]>>,
    runs: Vec<Vec<MapPoint>>,
}

/// A point of a track, and how far along it is on the map.
pub(super) type Step = (MapPoint, f64);

impl Tracks {
    /// The tracks of a plan. What lies behind a stretch that is out of use counts only where another way leads to it.
    pub fn of(plan: &Plan, frame: Frame, ground: Option<&Ground>) -> Self {
        let mut all = Self::default();
        let wet = wet_zones(plan, frame);
        let mut drawn = Vec::new();
        for feature in &plan.features {
            let Kind::Track(track) = &feature.kind else { continue };
            all.has_track = true;
            if takes_a_vehicle(track) {
                drawn.push((feature, track, line_on_map(frame, feature)));
            }
        }
        let mut pieces = Vec::new();
        let mut found: Vec<(usize, Vec<MapPoint>)> = Vec::new();
        for (feature, track, corners) in &drawn {
            let judged = judged_track(plan, frame, ground, (feature, track, corners), &wet);
            if judged.0.too_narrow.is_none() {
                found.extend(judged.1.into_iter().map(|run| (all.judged.len(), run)));
            }
            all.judged.push(judged.0);
        }
        let ends: Vec<MapPoint> =
            drawn.iter().flat_map(|(.., corners)| [corners.first(), corners.last()]).flatten().copied().collect();
        let runs: Vec<&[MapPoint]> = found.iter().map(|(_, run)| run.as_slice()).collect();
        let reached = ways_in::reached(plan, frame, &runs, &ends);
        for ((track, run), reached) in found.into_iter().zip(reached) {
            if reached { all.runs.push(run) } else { all.judged[track].behind.push(run) }
        }
        for run in &all.runs {
            pieces.extend(run.windows(2).map(|pair| Line::new([pair[0].x_m, pair[0].y_m], [pair[1].x_m, pair[1].y_m])));
        }
        all.usable = RTree::bulk_load(pieces);
        all
    }

    /// How far the nearest usable track is on the map; `None` without one.
    pub fn nearest_m(&self, at: MapPoint) -> Option<f64> {
        let point = [at.x_m, at.y_m];
        self.usable.nearest_neighbor(&point).map(|piece| piece.distance_2(&point).sqrt())
    }

    /// The nearest point of a usable track.
    pub fn nearest(&self, at: MapPoint) -> Option<MapPoint> {
        let piece = self.usable.nearest_neighbor(&[at.x_m, at.y_m])?;
        let point = piece.nearest_point(&[at.x_m, at.y_m]);
        Some(MapPoint::new(point[0], point[1]))
    }

    /// The usable stretches, as points at most 5 m apart.
    pub fn runs(&self) -> &[Vec<MapPoint>] {
        &self.runs
    }
}

/// What is said of a track, and its stretches that are in use.
fn judged_track(
    plan: &Plan,
    frame: Frame,
    ground: Option<&Ground>,
    (feature, track, corners): (&Feature, &Track, &[MapPoint]),
    wet: &[Vec<Vec<MapPoint>>],
) -> (JudgedTrack, Vec<Vec<MapPoint>>) {
    let steps = in_steps(corners);
    let (mut stretches, in_use) = judge(&steps, track, ground, wet);
    let points = points_on_ground(&steps, ground);
    let on_ground = |plan: Length| {
        let step = steps.partition_point(|step| step.1 < plan.as_metres() - 1e-6);
        Length::metres(points.get(step).or(points.last()).map_or(0.0, |point| point.station_m))
    };
    for stretch in &mut stretches {
        (stretch.from, stretch.to) = (on_ground(stretch.from), on_ground(stretch.to));
    }
    let pieces: Vec<TrackPiece> = ground.map_or_else(Vec::new, |ground| {
        let sides = side_slopes_pct(&steps, ground);
        grades_pct(&steps, ground)
            .into_iter()
            .zip(sides)
            .map(|(grade_pct, leans_pct)| TrackPiece { grade_pct, leans_pct })
            .collect()
    });
    let most = |of: fn(&TrackPiece) -> f64| ground.map(|_| pieces.iter().map(of).fold(0.0, f64::max));
    let (steepest_pct, leans_pct) = (most(|piece| piece.grade_pct), most(|piece| piece.leans_pct));
    let out_of_use: Vec<bool> = in_use.iter().map(|used| !used).collect();
    let judged = JudgedTrack {
        id: feature.id.clone(),
        stretches,
        too_narrow: too_narrow(track),
        dead_ends: turning::dead_ends(plan, frame, ground, feature, corners),
        points,
        pieces,
        steepest_pct,
        leans_pct,
        barred: runs_of(&steps, &out_of_use),
        behind: Vec::new(),
    };
    (judged, runs_of(&steps, &in_use))
}

/// Whether its surface says that somebody cut it level; a track of which nothing is said lies as the ground does.
fn is_cut(track: &Track) -> bool {
    !matches!(track.surface.as_deref(), None | Some("uncut" | "none"))
}

fn takes_a_vehicle(track: &Track) -> bool {
    !matches!(track.vehicle.as_deref(), Some("none" | "foot"))
}

fn too_narrow(track: &Track) -> Option<TooNarrow> {
    let needs = needed_width(track.vehicle.as_deref().unwrap_or("utility"))?;
    track.width.filter(|has| *has < needs).map(|has| TooNarrow { has, needs })
}

fn wet_zones(plan: &Plan, frame: Frame) -> Vec<Vec<Vec<MapPoint>>> {
    let is_wet = |feature: &&std::sync::Arc<Feature>| matches!(&feature.kind, Kind::Zone(zone) if zone.of == "wet");
    plan.features.iter().filter(is_wet).map(|feature| rings_on_map(frame, feature)).collect()
}

/// What hinders along a track, and for each step whether it is in use.
fn judge(
    steps: &[Step],
    track: &Track,
    ground: Option<&Ground>,
    wet: &[Vec<Vec<MapPoint>>],
) -> (Vec<HinderedStretch>, Vec<bool>) {
    let Some(ground) = ground else { return (Vec::new(), vec![true; steps.len().saturating_sub(1)]) };
    let is_wet = |at: MapPoint| wet.iter().any(|rings| rings.iter().filter(|ring| inside(ring, at)).count() % 2 == 1);
    let shares: Vec<f64> =
        steps.windows(2).map(|pair| if is_wet(pair[0].0.towards(pair[1].0, 0.5)) { ON_WET } else { 1.0 }).collect();
    let grades = grades_pct(steps, ground);
    let sides = if is_cut(track) { vec![0.0; grades.len()] } else { side_slopes_pct(steps, ground) };
    let kinds = [
        (TrackHindrance::Grade, &grades, GRADE_CAUTION_PCT, GRADE_LIMIT_PCT),
        (TrackHindrance::SideSlope, &sides, SIDE_CAUTION_PCT, SIDE_LIMIT_PCT),
    ];
    let mut stretches = Vec::new();
    let mut in_use = vec![true; grades.len()];
    for (hindrance, found, caution_pct, limit_pct) in kinds {
        let held_against = |step: usize| {
            let (caution, limit) = (caution_pct * shares[step], limit_pct * shares[step]);
            let over = |limit: f64| found[step] > limit;
            if over(limit) { Some((true, limit)) } else { over(caution).then_some((false, caution)) }
        };
        let states: Vec<Option<(bool, f64)>> = (0..found.len()).map(held_against).collect();
        for (used, state) in in_use.iter_mut().zip(&states) {
            *used &= state.is_none_or(|(is_out, _)| !is_out);
        }
        stretches.extend(stretches_of(hindrance, steps, found, &states, &shares));
    }
    stretches.sort_by(|a, b| a.from.as_metres().total_cmp(&b.from.as_metres()));
    (stretches, in_use)
}

/// Neighbouring steps that are hindered alike, each run with its worst place.
fn stretches_of(
    hindrance: TrackHindrance,
    steps: &[Step],
    found_pct: &[f64],
    states: &[Option<(bool, f64)>],
    shares: &[f64],
) -> Vec<HinderedStretch> {
    let mut all: Vec<HinderedStretch> = Vec::new();
    for (step, state) in states.iter().enumerate() {
        let Some((is_out_of_use, limit_pct)) = *state else { continue };
        let (from, to) = (Length::metres(steps[step].1), Length::metres(steps[step + 1].1));
        let here = HinderedStretch {
            hindrance,
            is_out_of_use,
            from,
            to,
            at: steps[step].0.towards(steps[step + 1].0, 0.5),
            worst_pct: found_pct[step],
            limit_pct,
            is_wet: shares[step] < 1.0,
        };
        match all.last_mut() {
            Some(last) if last.is_out_of_use == is_out_of_use && (from - last.to).abs() < Length::metres(0.01) => {
                let begun = last.from;
                if here.worst_pct / here.limit_pct > last.worst_pct / last.limit_pct {
                    *last = here;
                }
                (last.from, last.to) = (begun, to);
            }
            _ => all.push(here),
        }
    }
    all
}

/// The steepest grade of a way over 20 m, per cent; 0 where the ground is not known.
pub(crate) fn steepest_grade_pct(way: &[MapPoint], ground: &Ground) -> f64 {
    grades_pct(&in_steps(way), ground).into_iter().fold(0.0, f64::max)
}

/// For each step the steepest of the windows of 20 m that it lies in, per cent; 0 where the ground is not known.
fn grades_pct(steps: &[Step], ground: &Ground) -> Vec<f64> {
    let heights: Vec<Option<f64>> = steps.iter().map(|(at, _)| ground.elevation(*at).map(|height| height.as_metres())).collect();
    let mut grades = vec![0.0; steps.len().saturating_sub(1)];
    let Some(whole_m) = steps.last().map(|step| step.1) else { return grades };
    for (index, (_, plan_m)) in steps.iter().enumerate() {
        let after = steps.partition_point(|(_, other_m)| *other_m < plan_m + WINDOW_M).min(steps.len() - 1);
        let run_m = steps[after].1 - plan_m;
        if let (Some(from), Some(to)) = (heights[index], heights[after])
            && run_m > 0.0
            && run_m >= WINDOW_M.min(whole_m)
        {
            let grade_pct = 100.0 * (to - from).abs() / run_m;
            grades[index..after].iter_mut().for_each(|worst| *worst = grade_pct.max(*worst));
        }
    }
    grades
}

/// For each step how much the ground leans across the track, the mean of the step and its neighbours, per cent.
fn side_slopes_pct(steps: &[Step], ground: &Ground) -> Vec<f64> {
    let side = |pair: &[Step]| {
        let along = pair[1].0 - pair[0].0;
        let length_m = along.x_m.hypot(along.y_m);
        let gradient = ground.gradient(pair[0].0.towards(pair[1].0, 0.5))?;
        (length_m > 0.0).then(|| 100.0 * (gradient.east * along.y_m - gradient.north * along.x_m) / length_m)
    };
    let sides: Vec<f64> = steps.windows(2).map(|pair| side(pair).unwrap_or(0.0)).collect();
    let mean = |step: usize| {
        let around = &sides[step.saturating_sub(1)..(step + 2).min(sides.len())];
        (around.iter().sum::<f64>() / around.len() as f64).abs()
    };
    (0..sides.len()).map(mean).collect()
}

/// Runs of steps that are in use, as points.
fn runs_of(steps: &[Step], in_use: &[bool]) -> Vec<Vec<MapPoint>> {
    let mut all: Vec<Vec<MapPoint>> = Vec::new();
    let mut goes_on = false;
    for (step, used) in in_use.iter().enumerate() {
        if *used {
            match all.last_mut() {
                Some(run) if goes_on => run.push(steps[step + 1].0),
                _ => all.push(vec![steps[step].0, steps[step + 1].0]),
            }
        }
        goes_on = *used;
    }
    all
}

/// Points along a line at every corner and at most 5 m apart, with their distance from its start.
fn in_steps(corners: &[MapPoint]) -> Vec<Step> {
    let mut points: Vec<Step> = corners.first().map(|first| (*first, 0.0)).into_iter().collect();
    let mut plan_m = 0.0;
    for leg in corners.windows(2) {
        let length_m = leg[0].distance_m(leg[1]);
        let count = (length_m / STEP_M).ceil();
        points.extend(
            (1..=count as usize)
                .map(|index| index as f64 / count)
                .map(|share| (leg[0].towards(leg[1], share), plan_m + share * length_m)),
        );
        plan_m += length_m;
    }
    points
}

/// How far the nearest of these lines is.
pub(super) fn nearest_on_m(at: MapPoint, points: &[MapPoint]) -> Option<f64> {
    points.windows(2).map(|piece| distance_m(at, piece[0], piece[1])).min_by(f64::total_cmp)
}
