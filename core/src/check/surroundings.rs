//! What stands around the lines, on the map: usable tracks, public ways, overhead lines, gates.

use crate::hold::along::distance_m;
use crate::land::{Frame, Ground, MapPoint, Position};
use crate::plan::{Feature, Kind, Plan, Track};
use crate::units::Length;
use rstar::primitives::Line;
use rstar::{PointDistance, RTree};

/// Steepest pitch that a vehicle with a load goes up, per cent.
///
/// # Source
/// Key `common-practice`: no rule gives one number; go there on foot first.
pub const STEEPEST_TRACK_PCT: f64 = 25.0;

/// The length over which that pitch is measured.
const PITCH_WINDOW_M: f64 = 20.0;
const PITCH_STEP_M: f64 = 5.0;

/// What stands around the lines of a plan.
#[derive(Clone, Debug, Default)]
pub struct Surroundings {
    tracks: RTree<Line<[f64; 2]>>,
    pub(super) has_track: bool,
    pub(super) ways: Vec<Way>,
    pub(super) overhead: Vec<Overhead>,
    pub(super) gates: Vec<MapPoint>,
}

/// A public way.
#[derive(Clone, Debug)]
pub(super) struct Way {
    pub name: String,
    pub points: Vec<MapPoint>,
}

/// An overhead power line.
#[derive(Clone, Debug)]
pub(super) struct Overhead {
    pub kv: Option<f64>,
    pub wire_height: Option<Length>,
    pub points: Vec<MapPoint>,
}

impl Surroundings {
    /// What stands around the lines of this plan. Tracks count where a vehicle can go along them and where they are not
    /// too steep; whether the vehicle can get past a steep pitch to what lies behind it is not asked.
    pub fn of(plan: &Plan, frame: Frame, ground: Option<&Ground>) -> Self {
        let mut all = Self::default();
        let mut pieces = Vec::new();
        for feature in &plan.features {
            match &feature.kind {
                Kind::Track(track) => {
                    all.has_track = true;
                    if takes_a_vehicle(track) {
                        pieces.extend(usable_pieces(&on_map(frame, feature), ground));
                    }
                }
                Kind::PublicWay { .. } => all.ways.push(Way { name: feature.label().to_owned(), points: on_map(frame, feature) }),
                Kind::OverheadLine { kv, wire_height } => {
                    all.overhead.push(Overhead { kv: *kv, wire_height: *wire_height, points: on_map(frame, feature) })
                }
                Kind::Gate(_) => all.gates.extend(feature.point().and_then(|at| frame.to_map(at).ok())),
                _ => {}
            }
        }
        all.tracks = RTree::bulk_load(pieces);
        all
    }

    /// How far the nearest usable track is on the map; `None` without one.
    pub(super) fn nearest_track_m(&self, at: MapPoint) -> Option<f64> {
        let point = [at.x_m, at.y_m];
        self.tracks.nearest_neighbor(&point).map(|piece| piece.distance_2(&point).sqrt())
    }

    /// Whether a feature belongs to what this is made of.
    pub fn is_part(feature: &Feature) -> bool {
        matches!(feature.kind, Kind::Track(_) | Kind::PublicWay { .. } | Kind::OverheadLine { .. } | Kind::Gate(_))
    }
}

fn takes_a_vehicle(track: &Track) -> bool {
    !matches!(track.vehicle.as_deref(), Some("none" | "foot"))
}

/// The corners of a line on the map; those that are on no map are left out.
fn on_map(frame: Frame, feature: &Feature) -> Vec<MapPoint> {
    let to_map = |at: &Position| frame.to_map(*at).ok();
    feature.line().unwrap_or_default().iter().filter_map(to_map).collect()
}

/// The pieces of a track that no window of 20 m finds too steep.
fn usable_pieces(corners: &[MapPoint], ground: Option<&Ground>) -> Vec<Line<[f64; 2]>> {
    let points = in_steps(corners);
    let heights: Vec<Option<f64>> =
        points.iter().map(|(at, _)| ground.and_then(|ground| ground.elevation(*at)).map(|height| height.as_metres())).collect();
    let mut steep = vec![false; points.len()];
    for (index, (_, plan_m)) in points.iter().enumerate() {
        let after = points.partition_point(|(_, other_m)| *other_m < plan_m + PITCH_WINDOW_M).min(points.len() - 1);
        let run_m = points[after].1 - plan_m;
        if let (Some(from), Some(to)) = (heights[index], heights[after])
            && run_m >= PITCH_WINDOW_M.min(points[points.len() - 1].1)
            && (to - from).abs() * 100.0 > STEEPEST_TRACK_PCT * run_m
        {
            steep[index..after].fill(true);
        }
    }
    let pieces = points.windows(2).zip(steep);
    pieces
        .filter(|(_, steep)| !steep)
        .map(|(pair, _)| Line::new([pair[0].0.x_m, pair[0].0.y_m], [pair[1].0.x_m, pair[1].0.y_m]))
        .collect()
}

/// Points along a line at every corner and at most 5 m apart, with their distance from its start.
fn in_steps(corners: &[MapPoint]) -> Vec<(MapPoint, f64)> {
    let mut points: Vec<(MapPoint, f64)> = corners.first().map(|first| (*first, 0.0)).into_iter().collect();
    let mut plan_m = 0.0;
    for leg in corners.windows(2) {
        let length_m = leg[0].distance_m(leg[1]);
        let count = (length_m / PITCH_STEP_M).ceil();
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
pub(super) fn nearest_m(at: MapPoint, points: &[MapPoint]) -> Option<f64> {
    points.windows(2).map(|piece| distance_m(at, piece[0], piece[1])).min_by(f64::total_cmp)
}
