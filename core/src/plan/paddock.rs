//! Paddocks: the ground that fences enclose around a paddock's point.

use super::arrangement::{Arrangement, Face, Vertex, doubled_area, is_within, point, vertex};
use super::network::{Network, NetworkLine, foot};
use super::{FeatureId, Kind, Plan};
use crate::land::{Frame, MapPoint};
use crate::units::{Area, Length};
use std::collections::{BTreeSet, HashMap};

/// The ground around a paddock's point.
#[derive(Clone, Debug, PartialEq)]
pub struct PaddockFace {
    /// The paddock's point.
    pub id: FeatureId,
    /// The corners of the fences around it on the map, anticlockwise, not closed; empty when it is open.
    pub ring: Vec<MapPoint>,
    /// Fenced ground within it that does not belong to it, each ring clockwise, not closed.
    pub holes: Vec<Vec<MapPoint>>,
    /// The fences around it, and around its holes, in plan order.
    pub lines: Vec<FeatureId>,
    /// Those of its lines beyond which, somewhere along it, lies no other paddock.
    pub outer: Vec<FeatureId>,
    /// Why it is open; `None` when it is enclosed.
    pub open: Option<OpenReason>,
}

/// Why no ground is enclosed around a paddock's point.
#[derive(Clone, Debug, PartialEq)]
pub enum OpenReason {
    /// The plan has no fence that the map's frame reaches.
    NoFence,
    /// Closing the gap between these two places would enclose it.
    Gap {
        /// A loose end of a fence.
        from: MapPoint,
        /// The nearest place to join it to.
        to: MapPoint,
        /// The distance between them.
        width: Length,
    },
    /// Fences enclose no ground around it, and no single gap is to blame.
    NotAround,
}

impl PaddockFace {
    /// Area on the map, holes taken off.
    pub fn area(&self) -> Area {
        let holes: f64 = self.holes.iter().map(|hole| ring_area(hole).as_square_metres()).sum();
        Area::square_metres(ring_area(&self.ring).as_square_metres() - holes)
    }
    /// Length on the map of everything that bounds it, holes included.
    pub fn perimeter(&self) -> Length {
        std::iter::once(&self.ring).chain(&self.holes).map(|ring| ring_length(ring)).sum()
    }
}

/// The area within a ring of points on the map (not closed), whichever way round.
///
/// A = |sum of (x_i y_{i+1} - x_{i+1} y_i)| / 2, taken about the first point so that far from the origin no digits are lost.
///
/// # Units
/// Points in metres, area in square metres.
/// # Valid for
/// Rings that do not cross themselves.
/// # Source
/// `meister-1769`, the surveyor's formula.
pub fn ring_area(ring: &[MapPoint]) -> Area {
    let Some(first) = ring.first() else { return Area::ZERO };
    let cross = |pair: &[MapPoint]| {
        let (one, other) = (pair[0] - *first, pair[1] - *first);
        one.x_m * other.y_m - other.x_m * one.y_m
    };
    Area::square_metres((ring.windows(2).map(cross).sum::<f64>() / 2.0).abs())
}

/// The length around a ring of points on the map (not closed).
pub fn ring_length(ring: &[MapPoint]) -> Length {
    let ways = ring.iter().zip(ring.iter().cycle().skip(1));
    Length::metres(ways.map(|(from, to)| from.distance_m(*to)).sum())
}

/// The ground of every paddock of the plan, in plan order. Fences enclose ground where they are joined or cross; gates do
/// not open it; lead-outs and boundaries do not enclose. Paddocks that the frame does not reach are left out.
pub fn paddocks(plan: &Plan, frame: Frame) -> Vec<PaddockFace> {
    let points = plan.features.iter().filter(|feature| matches!(feature.kind, Kind::Paddock(_)));
    let points: Vec<_> = points.filter_map(|feature| Some((feature.id.clone(), frame.to_map(feature.point()?).ok()?))).collect();
    if points.is_empty() {
        return Vec::new();
    }
    let mut network = Network::of(plan, frame);
    if network.lines.iter().any(|line| !line.is_fence) {
        network = Network::of_lines(network.lines.into_iter().filter(|line| line.is_fence).collect());
    }
    let ground = Ground::of(&network);
    let mut faces: Vec<PaddockFace> = points.into_iter().map(|(id, at)| ground.around(id, at)).collect();
    ground.tell_outer(&mut faces);
    faces
}

/// The fences of a plan, cut into faces.
struct Ground<'a> {
    lines: &'a [NetworkLine],
    pieces: Vec<(Vertex, Vertex, usize)>,
    arrangement: Arrangement,
    faces: Vec<Face>,
}

impl<'a> Ground<'a> {
    fn of(network: &'a Network) -> Self {
        let mut pieces = Vec::new();
        for (index, line) in network.lines.iter().enumerate() {
            let way = way_through_joints(network, index, line);
            pieces.extend(way.windows(2).map(|pair| (pair[0], pair[1], index)));
        }
        let arrangement = Arrangement::of(pieces.iter().copied());
        let faces = arrangement.faces();
        Self { lines: &network.lines, pieces, arrangement, faces }
    }

    fn around(&self, id: FeatureId, at: MapPoint) -> PaddockFace {
        let Some(face) = innermost(&self.faces, vertex(at)) else {
            let open = Some(self.why_open(at));
            return PaddockFace { id, ring: Vec::new(), holes: Vec::new(), lines: Vec::new(), outer: Vec::new(), open };
        };
        let points = |ring: &[Vertex]| ring.iter().map(|at| point(*at)).collect::<Vec<_>>();
        let mut lines = face.ring.lines.clone();
        lines.extend(face.holes.iter().flat_map(|hole| &hole.lines));
        PaddockFace {
            id,
            ring: points(&face.ring.ring),
            holes: face.holes.iter().map(|hole| points(&hole.ring)).collect(),
            lines: lines.into_iter().map(|line| self.lines[line].id.clone()).collect(),
            outer: Vec::new(),
            open: None,
        }
    }

    /// Which lines of each face have no other face beyond them somewhere.
    fn tell_outer(&self, faces: &mut [PaddockFace]) {
        let edges = |face: &PaddockFace| -> Vec<(Vertex, Vertex)> {
            let rings = std::iter::once(&face.ring).chain(&face.holes);
            let of_ring = |ring: &Vec<MapPoint>| -> Vec<(Vertex, Vertex)> {
                let next = ring.iter().cycle().skip(1);
                ring.iter().zip(next).map(|(from, to)| (vertex(*from), vertex(*to))).collect()
            };
            rings.flat_map(of_ring).map(|(from, to)| (from.min(to), from.max(to))).collect()
        };
        // Two marks in one ring are one face.
        let mut sides: HashMap<(Vertex, Vertex), usize> = HashMap::new();
        for (index, face) in faces.iter().enumerate() {
            if faces[..index].iter().all(|other| other.ring != face.ring) {
                for edge in edges(face) {
                    *sides.entry(edge).or_default() += 1;
                }
            }
        }
        for face in faces {
            let alone = edges(face).into_iter().filter(|edge| sides.get(edge) == Some(&1));
            let lines: BTreeSet<usize> = alone.flat_map(|edge| self.arrangement.lines_of(edge)).collect();
            face.outer = lines.into_iter().map(|line| self.lines[line].id.clone()).collect();
        }
    }

    /// Tries the narrowest gaps at loose ends: the first that would enclose the point is to blame.
    fn why_open(&self, at: MapPoint) -> OpenReason {
        if self.lines.is_empty() {
            return OpenReason::NoFence;
        }
        const TRIED: usize = 8;
        for (width_m, from, to) in self.gaps().into_iter().take(TRIED) {
            let closing = (vertex(from), vertex(to), usize::MAX);
            let closed = Arrangement::of(self.pieces.iter().copied().chain([closing]));
            if innermost(&closed.faces(), vertex(at)).is_some() {
                return OpenReason::Gap { from, to, width: Length::metres(width_m) };
            }
        }
        OpenReason::NotAround
    }

    /// From every loose end to the nearest other loose end and to the nearest fence, the narrowest first.
    fn gaps(&self) -> Vec<(f64, MapPoint, MapPoint)> {
        let ends: Vec<_> = self.arrangement.loose_ends().into_iter().map(point).collect();
        let mut gaps = Vec::new();
        for (index, from) in ends.iter().enumerate() {
            let others = ends.iter().enumerate().filter(|(other, _)| *other > index);
            gaps.extend(others.map(|(_, to)| (from.distance_m(*to), *from, *to)));
            gaps.extend(self.nearest_fence(*from));
        }
        gaps.retain(|(width_m, ..)| *width_m > 0.0);
        gaps.sort_by(|(one, ..), (other, ..)| one.total_cmp(other));
        gaps
    }

    /// The nearest point of any piece that does not end at a loose end.
    fn nearest_fence(&self, end: MapPoint) -> Option<(f64, MapPoint, MapPoint)> {
        let own = vertex(end);
        let others = self.pieces.iter().filter(|(from, to, _)| *from != own && *to != own);
        let feet = others.map(|(from, to, _)| {
            let (from, to) = (point(*from), point(*to));
            let (share, distance_m) = foot(end, from, to);
            (distance_m, end, from.towards(to, share))
        });
        feet.min_by(|(one, ..), (other, ..)| one.total_cmp(other))
    }
}

/// The smallest face around a vertex: of fences within fences the inner one.
fn innermost(faces: &[Face], at: Vertex) -> Option<&Face> {
    let around = faces.iter().filter(|face| is_within(&face.ring.ring, at));
    around.min_by_key(|face| doubled_area(&face.ring.ring))
}

/// The line's corners and joints in order, each joint at its one place.
fn way_through_joints(network: &Network, index: usize, line: &NetworkLine) -> Vec<Vertex> {
    let mut stops: Vec<(f64, MapPoint)> = line.corners_m.iter().copied().zip(line.corners.iter().copied()).collect();
    for (plan_m, joint) in network.joints_of(index) {
        // A joint at a corner takes the corner's place.
        stops.retain(|(corner_m, _)| (corner_m - plan_m).abs() > f64::EPSILON * (1.0 + plan_m));
        stops.push((plan_m, joint.at));
    }
    stops.sort_by(|(one, _), (other, _)| one.total_cmp(other));
    let mut way: Vec<_> = stops.into_iter().map(|(_, at)| vertex(at)).collect();
    way.dedup();
    way
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::Position;
    use crate::plan::{Feature, Fence, Geometry, Head, LeadOut};

    const MIDDLE: Position = Position { lon_e9: -3_810_000_000, lat_e9: 56_600_000_000 };

    fn frame() -> Frame {
        Frame::near(MIDDLE)
    }

    fn line(kind: Kind, id: &str, corners: &[(f64, f64)]) -> Feature {
        let corners = corners.iter().map(|(x, y)| frame().to_position(MapPoint::new(*x, *y))).collect();
        Feature::new(FeatureId::new(id), kind, Geometry::Line(corners))
    }

    fn fence(id: &str, corners: &[(f64, f64)]) -> Feature {
        line(Kind::Fence(Fence::default()), id, corners)
    }

    fn paddock(x: f64, y: f64) -> Feature {
        let at = frame().to_position(MapPoint::new(x, y));
        Feature::new(FeatureId::new("p"), Kind::Paddock(Default::default()), Geometry::Point(at))
    }

    /// Area in whole square metres, or why it is open; and the lines around.
    fn ground(fences: Vec<Feature>) -> (String, Vec<String>) {
        let plan = Plan::new(Head::default(), fences.into_iter().chain([paddock(20.0, 20.0)]).collect());
        let found = paddocks(&plan, frame()).pop().expect("one paddock");
        let said = match &found.open {
            None => format!("{:.0}", found.area().as_square_metres()),
            Some(OpenReason::Gap { width, .. }) => format!("gap {:.1}", width.as_metres()),
            Some(reason) => format!("{reason:?}"),
        };
        (said, found.lines.iter().map(ToString::to_string).collect())
    }

    const SQUARE: [(f64, f64); 5] = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0), (0.0, 0.0)];

    #[test]
    fn a_paddock_is_what_fences_enclose_around_its_point() {
        let u = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)];
        let island = [(60.0, 60.0), (80.0, 60.0), (80.0, 80.0), (60.0, 80.0), (60.0, 60.0)];
        let lead_out = |corners| line(Kind::LeadOut(LeadOut::default()), "l", corners);
        for (case, fences, said, lines) in [
            ("a closed line", vec![fence("a", &SQUARE)], "10000", "a"),
            ("two lines end to end", vec![fence("a", &u), fence("b", &[(0.0, 100.0), (0.0, 0.0)])], "10000", "a b"),
            ("ends 0.2 m apart", vec![fence("a", &u), fence("b", &[(0.0, 99.8), (0.0, 0.2)])], "10000", "a b"),
            ("ends that lie on legs", vec![fence("a", &u), fence("b", &[(50.0, 0.2), (50.0, 99.9)])], "gap 100.0", ""),
            ("a dividing fence", vec![fence("a", &SQUARE), fence("b", &[(40.0, 0.2), (40.0, 99.8)])], "4000", "a b"),
            (
                "a dividing fence past the edge",
                vec![fence("a", &SQUARE), fence("b", &[(40.0, -9.0), (40.0, 120.0)])],
                "4000",
                "a b",
            ),
            ("an island", vec![fence("a", &SQUARE), fence("b", &island)], "9600", "a b"),
            (
                "another paddock beside it",
                vec![fence("a", &SQUARE), fence("b", &[(100.0, 0.0), (200.0, 50.0), (100.0, 100.0)])],
                "10000",
                "a",
            ),
            ("a gap of half a metre", vec![fence("a", &u), fence("b", &[(0.0, 99.5), (0.0, 0.0)])], "gap 0.5", ""),
            ("a lead-out does not enclose", vec![fence("a", &u), lead_out(&[(0.0, 100.0), (0.0, 0.0)])], "gap 100.0", ""),
            ("elsewhere", vec![fence("a", &[(300.0, 0.0), (400.0, 0.0), (400.0, 90.0), (300.0, 0.0)])], "NotAround", ""),
            ("no fence", vec![], "NoFence", ""),
        ] {
            let lines: Vec<String> = lines.split_whitespace().map(str::to_owned).collect();
            assert_eq!(ground(fences), (said.to_owned(), lines), "{case}");
        }
    }

    #[test]
    fn area_and_perimeter_are_those_of_the_rings() {
        let plan = Plan::new(Head::default(), vec![fence("a", &SQUARE), paddock(20.0, 20.0)]);
        let found = &paddocks(&plan, frame())[0];
        assert_eq!(found.ring.len(), 4);
        assert!((found.area().as_square_metres() - 1e4).abs() < 0.1);
        assert!((found.perimeter().as_metres() - 400.0).abs() < 1e-3);
    }

    #[test]
    fn a_gate_does_not_open_a_paddock_and_two_paddocks_share_their_fence() {
        let divider = fence("b", &[(40.0, 0.0), (40.0, 100.0)]);
        let mut other = paddock(70.0, 20.0);
        other.id = FeatureId::new("q");
        let plan = Plan::new(Head::default(), vec![fence("a", &SQUARE), divider, paddock(20.0, 20.0), other]);
        let areas: Vec<_> = paddocks(&plan, frame()).iter().map(|paddock| paddock.area().as_square_metres().round()).collect();
        assert_eq!(areas, [4000.0, 6000.0]);
    }
}
