//! What stands around the lines, on the map: public ways, tracks, overhead lines, gates, boundaries.

use crate::finding::Passing;
use crate::hold::along::distance_m;
use crate::land::{Frame, MapPoint, Position};
use crate::plan::{Feature, Gate, Geometry, Kind, Plan, Track};
use crate::units::Length;

/// What stands around the lines of a plan.
#[derive(Clone, Debug, Default)]
pub struct Surroundings {
    pub(super) ways: Vec<Way>,
    pub(super) overhead: Vec<Overhead>,
    pub(super) gates: Vec<DrawnGate>,
    /// Tracks and public roads that vehicles use.
    pub(super) vehicle_ways: Vec<VehicleWay>,
    /// Tracks of the holding that are walked only.
    pub(super) paths: Vec<Path>,
    pub(super) boundaries: Vec<Boundary>,
}

/// A way that vehicles use.
#[derive(Clone, Debug)]
pub(super) struct VehicleWay {
    pub name: String,
    pub is_public: bool,
    pub points: Vec<MapPoint>,
}

/// A track that is walked only.
#[derive(Clone, Debug)]
pub(super) struct Path {
    pub name: String,
    pub points: Vec<MapPoint>,
}

/// Where the holding ends.
#[derive(Clone, Debug)]
pub(super) struct Boundary {
    pub name: String,
    pub neighbour: Option<String>,
    /// Whether it goes around the holding, which lies inside.
    pub is_ring: bool,
    pub points: Vec<MapPoint>,
}

/// A gate.
#[derive(Clone, Debug)]
pub(super) struct DrawnGate {
    pub at: MapPoint,
    /// Whether its strands are live; a gate that does not say is.
    pub is_live: bool,
    /// Whether the pulse crosses over it, in the air.
    pub is_crossed_overhead: bool,
}

/// A public way.
#[derive(Clone, Debug)]
pub(super) struct Way {
    pub name: String,
    pub passing: Passing,
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
                Kind::PublicWay { use_by } => {
                    let (name, points) = (feature.label().to_owned(), on_map(frame, feature));
                    let passing = passing(use_by.as_deref());
                    if passing == Passing::Vehicles {
                        all.vehicle_ways.push(VehicleWay { name: name.clone(), is_public: true, points: points.clone() });
                    }
                    all.ways.push(Way { name, passing, points });
                }
                Kind::Track(track) if takes_a_vehicle(track) => {
                    let (name, points) = (feature.label().to_owned(), on_map(frame, feature));
                    all.vehicle_ways.push(VehicleWay { name, is_public: false, points });
                }
                Kind::Track(track) if track.vehicle.as_deref() == Some("foot") => {
                    all.paths.push(Path { name: feature.label().to_owned(), points: on_map(frame, feature) })
                }
                Kind::Boundary { neighbour } => all.boundaries.extend(boundary(frame, feature, neighbour.clone())),
                Kind::OverheadLine { kv, wire_height } => {
                    all.overhead.push(Overhead { kv: *kv, wire_height: *wire_height, points: on_map(frame, feature) })
                }
                Kind::Gate(gate) => {
                    let at = feature.point().and_then(|at| frame.to_map(at).ok());
                    all.gates.extend(at.map(|at| drawn_gate(gate, at)));
                }
                _ => {}
            }
        }
        all
    }

    /// Whether a feature belongs to what this is made of.
    pub fn is_part(feature: &Feature) -> bool {
        matches!(
            feature.kind,
            Kind::PublicWay { .. } | Kind::OverheadLine { .. } | Kind::Gate(_) | Kind::Track(_) | Kind::Boundary { .. }
        )
    }
}

/// A way that does not say who uses it may be ridden on.
fn passing(use_by: Option<&str>) -> Passing {
    match use_by {
        Some("road") => Passing::Vehicles,
        Some("foot") => Passing::Walkers,
        _ => Passing::Riders,
    }
}

fn drawn_gate(gate: &Gate, at: MapPoint) -> DrawnGate {
    let is_crossed_overhead = gate.crossing.as_deref() == Some("overhead");
    DrawnGate { at, is_live: gate.live.unwrap_or(true), is_crossed_overhead }
}

fn takes_a_vehicle(track: &Track) -> bool {
    !matches!(track.vehicle.as_deref(), Some("none" | "foot"))
}

/// A ring when it is drawn as an area or ends where it begins.
fn boundary(frame: Frame, feature: &Feature, neighbour: Option<String>) -> Option<Boundary> {
    let (points, is_area) = match &feature.geometry {
        Geometry::Area(rings) => (rings.first()?.iter().filter_map(|at| frame.to_map(*at).ok()).collect(), true),
        _ => (on_map(frame, feature), false),
    };
    let is_closed = points.len() > 3 && points.first() == points.last();
    Some(Boundary { name: feature.label().to_owned(), neighbour, is_ring: is_area || is_closed, points })
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
