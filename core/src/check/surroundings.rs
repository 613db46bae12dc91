//! What stands around the lines, on the map: public ways, overhead lines, gates.

use crate::hold::along::distance_m;
use crate::land::{Frame, MapPoint, Position};
use crate::plan::{Feature, Kind, Plan};
use crate::units::Length;

/// What stands around the lines of a plan.
#[derive(Clone, Debug, Default)]
pub struct Surroundings {
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
    /// What stands around the lines of this plan.
    pub fn of(plan: &Plan, frame: Frame) -> Self {
        let mut all = Self::default();
        for feature in &plan.features {
            match &feature.kind {
                Kind::PublicWay { .. } => all.ways.push(Way { name: feature.label().to_owned(), points: on_map(frame, feature) }),
                Kind::OverheadLine { kv, wire_height } => {
                    all.overhead.push(Overhead { kv: *kv, wire_height: *wire_height, points: on_map(frame, feature) })
                }
                Kind::Gate(_) => all.gates.extend(feature.point().and_then(|at| frame.to_map(at).ok())),
                _ => {}
            }
        }
        all
    }

    /// Whether a feature belongs to what this is made of.
    pub fn is_part(feature: &Feature) -> bool {
        matches!(feature.kind, Kind::PublicWay { .. } | Kind::OverheadLine { .. } | Kind::Gate(_))
    }
}

/// The corners of a line on the map; those that are on no map are left out.
fn on_map(frame: Frame, feature: &Feature) -> Vec<MapPoint> {
    let to_map = |at: &Position| frame.to_map(*at).ok();
    feature.line().unwrap_or_default().iter().filter_map(to_map).collect()
}

/// How far the nearest of these lines is.
pub(super) fn nearest_m(at: MapPoint, points: &[MapPoint]) -> Option<f64> {
    points.windows(2).map(|piece| distance_m(at, piece[0], piece[1])).min_by(f64::total_cmp)
}
