//! What stands on the ground in the way of a fence: what it may not cross, and what it crosses with a gate.

use crate::land::{Frame, MapPoint, Position};
use crate::plan::{Feature, FeatureId, Geometry, Kind, Plan};
use rstar::primitives::Line;
use rstar::{AABB, RTree};

/// What is crossed this near to a fixed place of the line is where the line was joined to it, metres.
const AT_FIXED_M: f64 = 0.5;

/// Nearer than this to another fence or a building there is no room to work, metres.
///
/// # Source
/// Key `common-practice`.
const ROOM_M: f64 = 2.0;

/// Straight pieces by where they are.
#[derive(Clone, Debug, Default)]
struct Pieces {
    tree: RTree<Line<[f64; 2]>>,
}

/// What a course may meet.
#[derive(Clone, Debug, Default)]
pub(super) struct Obstacles {
    bars: Pieces,
    ways: Pieces,
    /// Other fences and buildings.
    beside: Pieces,
    fixed: Vec<MapPoint>,
}

impl Pieces {
    fn of(lines: &[Vec<MapPoint>]) -> Self {
        let piece = |pair: &[MapPoint]| Line::new([pair[0].x_m, pair[0].y_m], [pair[1].x_m, pair[1].y_m]);
        Self { tree: RTree::bulk_load(lines.iter().flat_map(|line| line.windows(2).map(piece)).collect()) }
    }

    /// Where a straight piece crosses them.
    fn crossed(&self, from: MapPoint, to: MapPoint) -> impl Iterator<Item = MapPoint> + '_ {
        let around = AABB::from_corners([from.x_m, from.y_m], [to.x_m, to.y_m]);
        let point = |at: [f64; 2]| MapPoint::new(at[0], at[1]);
        self.tree.locate_in_envelope_intersecting(&around).filter_map(move |line| {
            let (along, _) = crate::hold::along::crossing(from, to, point(line.from), point(line.to))?;
            Some(from.towards(to, along))
        })
    }
}

impl Obstacles {
    /// Of a plan, for one of its lines with places that it keeps.
    pub fn of(plan: &Plan, frame: Frame, line: &FeatureId, fixed: Vec<MapPoint>) -> Self {
        let (mut bars, mut ways, mut beside) = (Vec::new(), Vec::new(), Vec::new());
        for feature in plan.features.iter().filter(|feature| feature.id != *line) {
            match &feature.kind {
                Kind::Fence(_) | Kind::Building { .. } => beside.extend(lines(feature, frame)),
                Kind::Boundary { .. } => bars.extend(lines(feature, frame)),
                Kind::Zone(zone) if zone.of == "keep_out" => bars.extend(lines(feature, frame)),
                Kind::Track(_) | Kind::PublicWay { .. } => ways.extend(lines(feature, frame)),
                _ => {}
            }
        }
        bars.extend_from_slice(&beside);
        Self { bars: Pieces::of(&bars), ways: Pieces::of(&ways), beside: Pieces::of(&beside), fixed }
    }

    /// How often a straight piece goes where no fence may go.
    pub fn barred(&self, from: MapPoint, to: MapPoint) -> u32 {
        let is_joint = |at: &MapPoint| self.fixed.iter().any(|fixed| fixed.distance_m(*at) < AT_FIXED_M);
        self.bars.crossed(from, to).filter(|at| !is_joint(at)).count() as u32
    }

    /// Whether another fence or a building is too near to work beside it.
    pub fn is_beside(&self, at: MapPoint) -> bool {
        self.beside.tree.locate_within_distance([at.x_m, at.y_m], ROOM_M * ROOM_M).next().is_some()
    }

    /// How many tracks and public ways it crosses.
    pub fn ways(&self, from: MapPoint, to: MapPoint) -> f64 {
        self.ways.crossed(from, to).count() as f64
    }
}

/// The lines of a line, the rings of an area.
fn lines(feature: &Feature, frame: Frame) -> Vec<Vec<MapPoint>> {
    let on_map = |places: &[Position]| places.iter().filter_map(|at| frame.to_map(*at).ok()).collect();
    match &feature.geometry {
        Geometry::Line(corners) => vec![on_map(corners)],
        Geometry::Area(rings) => rings.iter().map(|ring| on_map(ring)).collect(),
        _ => Vec::new(),
    }
}
