//! Which lines hang together: ends that meet, ends that lie on another line, corners that share a place.

use super::edit::JOINT_TOLERANCE_M;
use super::{FeatureId, Kind, Plan};
use crate::land::{Frame, MapPoint};
use rstar::primitives::{GeomWithData, Line};
use rstar::{AABB, RTree};
use std::collections::{BTreeMap, HashMap};

/// A fence or lead-out on the map.
#[derive(Clone, Debug, PartialEq)]
pub struct NetworkLine {
    /// Its id in the plan.
    pub id: FeatureId,
    /// Its corners, first and last included.
    pub corners: Vec<MapPoint>,
    /// Distance of each corner from the start along the line on the map, metres.
    pub corners_m: Vec<f64>,
    /// Whether it ends where it starts.
    pub closed: bool,
    /// Whether it is a fence (else a lead-out).
    pub is_fence: bool,
}

/// A place on a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OnLine {
    /// Index into [`Network::lines`].
    pub line: usize,
    /// Distance along the line on the map, metres.
    pub plan_m: f64,
}

/// A place where lines are joined.
#[derive(Clone, Debug, PartialEq)]
pub struct Joint {
    /// Where it is on the map.
    pub at: MapPoint,
    /// The places that are one there, by line and distance; two at least.
    pub meets: Vec<OnLine>,
}

/// Fences and lead-outs with their joints.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Network {
    /// Lines, in plan order. Lines that the frame does not reach are left out.
    pub lines: Vec<NetworkLine>,
    /// Joints, by the first line that is part of them.
    pub joints: Vec<Joint>,
}

/// A corner of a line, or a place between two of them.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Spot {
    Corner(usize),
    Between { leg: usize, plan_m: f64 },
}

/// A place on a line within reach of a point.
#[derive(Clone, Copy, Debug)]
struct Touch {
    spot: Spot,
    distance_m: f64,
}

/// An entry of the log that names its line is about its nearest place so far off, metres on the map: a satellite receiver under
/// trees is off by less (`common-practice`).
pub const ENTRY_REACH_M: f64 = 30.0;

impl Network {
    /// Where an entry of the log that names a line is on it, and how far off; `None` where the line is gone or has moved farther away than
    /// [`ENTRY_REACH_M`].
    pub fn entry_on(&self, line: &str, at: MapPoint) -> Option<(OnLine, f64)> {
        let index = self.lines.iter().position(|known| known.id.as_str() == line)?;
        let (plan_m, off_m) = self.lines[index].nearest(at)?;
        (off_m <= ENTRY_REACH_M).then_some((OnLine { line: index, plan_m }, off_m))
    }
}

impl NetworkLine {
    fn new(id: FeatureId, corners: Vec<MapPoint>, is_fence: bool) -> Self {
        let mut corners_m = vec![0.0];
        for leg in corners.windows(2) {
            corners_m.push(corners_m[corners_m.len() - 1] + leg[0].distance_m(leg[1]));
        }
        let closed = corners.len() > 2 && corners.first() == corners.last();
        Self { id, corners, corners_m, closed, is_fence }
    }

    /// Its length on the map, metres.
    pub fn length_m(&self) -> f64 {
        self.corners_m[self.corners_m.len() - 1]
    }

    /// The point at a distance along it.
    pub fn at(&self, plan_m: f64) -> MapPoint {
        let last = self.corners.len() - 1;
        let leg = self.corners_m.partition_point(|corner_m| *corner_m <= plan_m).clamp(1, last) - 1;
        let leg_m = self.corners_m[leg + 1] - self.corners_m[leg];
        let share = if leg_m > 0.0 { ((plan_m - self.corners_m[leg]) / leg_m).clamp(0.0, 1.0) } else { 0.0 };
        self.corners[leg].towards(self.corners[leg + 1], share)
    }

    /// The nearest place of it to a point: its distance along the line, and how far off the point is, metres on the map.
    pub fn nearest(&self, point: MapPoint) -> Option<(f64, f64)> {
        let feet = (0..self.corners.len().saturating_sub(1)).map(|leg| {
            let (share, off_m) = foot(point, self.corners[leg], self.corners[leg + 1]);
            (self.corners_m[leg] + share * (self.corners_m[leg + 1] - self.corners_m[leg]), off_m)
        });
        feet.min_by(|one, other| one.1.total_cmp(&other.1))
    }

    /// Indices of its loose ends: first and last corner, unless it is closed.
    fn ends(&self) -> Vec<usize> {
        if self.closed { Vec::new() } else { vec![0, self.corners.len() - 1] }
    }

    fn plan_m(&self, spot: Spot) -> f64 {
        match spot {
            Spot::Corner(corner) => self.corners_m[corner],
            Spot::Between { plan_m, .. } => plan_m,
        }
    }

    /// The nearest place of it, over these legs in their order; a corner within the joint's tolerance goes first.
    fn touch(&self, point: MapPoint, legs: &[usize]) -> Option<Touch> {
        let feet = legs.iter().map(|leg| {
            let (share, distance_m) = foot(point, self.corners[*leg], self.corners[*leg + 1]);
            (*leg, share, distance_m)
        });
        let (leg, share, distance_m) = feet.min_by(|(.., one), (.., other)| one.total_cmp(other))?;
        let nearest = if share <= 0.5 { leg } else { leg + 1 };
        let to_corner_m = self.corners[nearest].distance_m(point);
        Some(if to_corner_m <= JOINT_TOLERANCE_M {
            Touch { spot: Spot::Corner(nearest), distance_m: to_corner_m }
        } else {
            let leg_m = self.corners_m[leg + 1] - self.corners_m[leg];
            Touch { spot: Spot::Between { leg, plan_m: self.corners_m[leg] + share * leg_m }, distance_m }
        })
    }
}

/// Share and distance of the point of a leg that is nearest to a point.
pub(super) fn foot(point: MapPoint, from: MapPoint, to: MapPoint) -> (f64, f64) {
    let (way, off) = (to - from, point - from);
    let squared = way.x_m * way.x_m + way.y_m * way.y_m;
    let share = if squared > 0.0 { ((off.x_m * way.x_m + off.y_m * way.y_m) / squared).clamp(0.0, 1.0) } else { 0.0 };
    (share, from.towards(to, share).distance_m(point))
}

impl Network {
    /// The fences and lead-outs of a plan, joined where their ends meet or lie on another line within
    /// [`JOINT_TOLERANCE_M`], and where corners share a place.
    pub fn of(plan: &Plan, frame: Frame) -> Self {
        let lines = plan.features.iter().filter_map(|feature| {
            let is_fence = match &feature.kind {
                Kind::Fence(_) => true,
                Kind::LeadOut(_) => false,
                _ => return None,
            };
            let corners = feature.line()?.iter().map(|at| frame.to_map(*at)).collect::<Result<Vec<_>, _>>().ok()?;
            Some(NetworkLine::new(feature.id.clone(), corners, is_fence))
        });
        Self::of_lines(lines.collect())
    }

    pub(super) fn of_lines(lines: Vec<NetworkLine>) -> Self {
        let mut classes = Classes::default();
        let legs = legs_of(&lines);
        for (index, line) in lines.iter().enumerate() {
            for end in line.ends() {
                for (other, touch) in touches(&lines, &legs, index, end) {
                    classes.unite((index, Spot::Corner(end)), (other, touch.spot));
                }
            }
        }
        unite_shared_corners(&lines, &mut classes);
        let joints = classes.into_joints(&lines);
        Self { lines, joints }
    }

    /// Index of the line with this id.
    pub fn line_index(&self, id: &FeatureId) -> Option<usize> {
        self.lines.iter().position(|line| line.id == *id)
    }

    /// Joints that a line is part of, with the distances along it, in its order.
    pub fn joints_of(&self, line: usize) -> Vec<(f64, &Joint)> {
        let on_it = |joint| {
            let joint: &Joint = joint;
            joint.meets.iter().filter(move |meet| meet.line == line).map(move |meet| (meet.plan_m, joint))
        };
        let mut joints: Vec<_> = self.joints.iter().flat_map(on_it).collect();
        joints.sort_by(|(one, _), (other, _)| one.total_cmp(other));
        joints
    }

    /// Indices of the lines that a line touches.
    pub fn touching(&self, line: usize) -> Vec<usize> {
        let joints = self.joints_of(line);
        let mut others: Vec<_> =
            joints.iter().flat_map(|(_, joint)| &joint.meets).map(|meet| meet.line).filter(|other| *other != line).collect();
        others.sort_unstable();
        others.dedup();
        others
    }
}

/// All legs with their line and number, to be found by place.
type Legs = RTree<GeomWithData<Line<[f64; 2]>, (usize, usize)>>;

fn legs_of(lines: &[NetworkLine]) -> Legs {
    let of_line = |(index, line): (usize, &NetworkLine)| {
        let leg = move |(leg, ends): (usize, &[MapPoint])| {
            GeomWithData::new(Line::new([ends[0].x_m, ends[0].y_m], [ends[1].x_m, ends[1].y_m]), (index, leg))
        };
        line.corners.windows(2).enumerate().map(leg).collect::<Vec<_>>()
    };
    RTree::bulk_load(lines.iter().enumerate().flat_map(of_line).collect())
}

/// The places that an end of a line touches, on every other line and on its own beyond the leg it ends.
fn touches(lines: &[NetworkLine], legs: &Legs, index: usize, end: usize) -> Vec<(usize, Touch)> {
    let own = &lines[index];
    let point = own.corners[end];
    let own_leg = if end == 0 { 0 } else { end - 1 };
    let within = AABB::from_corners(
        [point.x_m - JOINT_TOLERANCE_M, point.y_m - JOINT_TOLERANCE_M],
        [point.x_m + JOINT_TOLERANCE_M, point.y_m + JOINT_TOLERANCE_M],
    );
    let mut near: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (line, leg) in legs.locate_in_envelope_intersecting(&within).map(|leg| leg.data) {
        // Of a line of one or two legs both ends cannot lie on the rest of it but by being the same place.
        if line != index || leg.abs_diff(own_leg) > 1 {
            near.entry(line).or_default().push(leg);
        }
    }
    let reach = near.into_iter().filter_map(|(line, mut legs)| {
        legs.sort_unstable();
        let touch = lines[line].touch(point, &legs)?;
        (touch.distance_m <= JOINT_TOLERANCE_M).then_some((line, touch))
    });
    reach.collect()
}

/// Corners of two lines that are drawn at one place are joined, whether or not they are ends.
fn unite_shared_corners(lines: &[NetworkLine], classes: &mut Classes) {
    let mut first: BTreeMap<(i64, i64), (usize, Spot)> = BTreeMap::new();
    for (index, line) in lines.iter().enumerate() {
        for (corner, at) in line.corners.iter().enumerate() {
            let place = (in_millimetres(at.x_m), in_millimetres(at.y_m));
            let spot = (index, Spot::Corner(corner));
            let met = *first.entry(place).or_insert(spot);
            if met != spot {
                classes.unite(met, spot);
            }
        }
    }
}

fn in_millimetres(metres: f64) -> i64 {
    // A frame reaches some thousand kilometres: far within 64 bits.
    (metres * 1e3).round() as i64
}

/// Places that are one, as a forest of unions.
#[derive(Default)]
struct Classes {
    spots: Vec<(usize, Spot)>,
    parents: Vec<usize>,
    numbers: HashMap<(usize, usize, Option<u64>), usize>,
}

impl Classes {
    fn number(&mut self, spot: (usize, Spot)) -> usize {
        let key = match spot.1 {
            Spot::Corner(corner) => (spot.0, corner, None),
            Spot::Between { leg, plan_m } => (spot.0, leg, Some(plan_m.to_bits())),
        };
        *self.numbers.entry(key).or_insert_with(|| {
            self.spots.push(spot);
            self.parents.push(self.parents.len());
            self.parents.len() - 1
        })
    }

    fn root(&self, mut number: usize) -> usize {
        while self.parents[number] != number {
            number = self.parents[number];
        }
        number
    }

    fn unite(&mut self, one: (usize, Spot), other: (usize, Spot)) {
        let (one, other) = (self.number(one), self.number(other));
        let (one, other) = (self.root(one), self.root(other));
        self.parents[one.max(other)] = one.min(other);
    }

    fn into_joints(self, lines: &[NetworkLine]) -> Vec<Joint> {
        let mut by_root: BTreeMap<usize, Vec<(usize, Spot)>> = BTreeMap::new();
        for (number, spot) in self.spots.iter().enumerate() {
            by_root.entry(self.root(number)).or_default().push(*spot);
        }
        let mut joints: Vec<_> = by_root.into_values().map(|spots| joint_of(lines, &spots)).collect();
        joints.sort_by(|one, other| {
            let key = |joint: &Joint| (joint.meets[0].line, joint.meets[0].plan_m);
            let ((line, plan_m), (other_line, other_m)) = (key(one), key(other));
            line.cmp(&other_line).then(plan_m.total_cmp(&other_m))
        });
        joints
    }
}

/// A joint lies on the line that goes through it, or where the first line ends.
fn joint_of(lines: &[NetworkLine], spots: &[(usize, Spot)]) -> Joint {
    let is_end = |line: &NetworkLine, spot: Spot| matches!(spot, Spot::Corner(corner) if line.ends().contains(&corner));
    let through = spots.iter().find(|(line, spot)| !is_end(&lines[*line], *spot)).unwrap_or(&spots[0]);
    let (line, spot) = (&lines[through.0], through.1);
    let at = match spot {
        Spot::Corner(corner) => line.corners[corner],
        Spot::Between { leg, plan_m } => {
            let leg_m = line.corners_m[leg + 1] - line.corners_m[leg];
            line.corners[leg].towards(line.corners[leg + 1], (plan_m - line.corners_m[leg]) / leg_m)
        }
    };
    let mut meets: Vec<_> = spots.iter().map(|(line, spot)| OnLine { line: *line, plan_m: lines[*line].plan_m(*spot) }).collect();
    meets.sort_by(|one, other| one.line.cmp(&other.line).then(one.plan_m.total_cmp(&other.plan_m)));
    Joint { at, meets }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(id: &str, corners: &[(f64, f64)]) -> NetworkLine {
        NetworkLine::new(FeatureId::new(id), corners.iter().map(|(x, y)| MapPoint::new(*x, *y)).collect(), true)
    }

    /// Joints as text: `0@100 1@0`.
    fn joints(lines: &[NetworkLine]) -> Vec<String> {
        let network = Network::of_lines(lines.to_vec());
        let meets = |joint: &Joint| {
            joint.meets.iter().map(|meet| format!("{}@{:.1}", meet.line, meet.plan_m)).collect::<Vec<_>>().join(" ")
        };
        network.joints.iter().map(meets).collect()
    }

    #[test]
    fn lines_are_joined_where_ends_meet_or_lie_on_another_line_within_the_tolerance() {
        let base = line("a", &[(0.0, 0.0), (100.0, 0.0), (100.0, 50.0)]);
        for (case, other, expected) in [
            ("end to end", line("b", &[(100.0, 50.0), (0.0, 80.0)]), vec!["0@150.0 1@0.0"]),
            ("end to end with a gap", line("b", &[(100.2, 50.1), (0.0, 80.0)]), vec!["0@150.0 1@0.0"]),
            ("beyond the tolerance", line("b", &[(100.4, 50.1), (200.0, 80.0)]), vec![]),
            ("end on a leg", line("b", &[(40.0, 0.25), (40.0, 60.0)]), vec!["0@40.0 1@0.0"]),
            ("end beside a leg", line("b", &[(40.0, 0.31), (40.0, 60.0)]), vec![]),
            ("end on a corner", line("b", &[(180.0, -30.0), (100.1, -0.1)]), vec!["0@100.0 1@85.3"]),
            ("crossing without a corner", line("b", &[(40.0, -20.0), (40.0, 60.0)]), vec![]),
            ("corner on a corner", line("b", &[(90.0, -20.0), (100.0, 0.0), (120.0, -9.0)]), vec!["0@100.0 1@22.4"]),
            ("both ends", line("b", &[(0.0, 0.0), (0.0, 50.0), (100.0, 50.0)]), vec!["0@0.0 1@0.0", "0@150.0 1@150.0"]),
        ] {
            assert_eq!(joints(&[base.clone(), other]), expected, "{case}");
        }
    }

    #[test]
    fn a_line_may_be_joined_to_itself() {
        let lasso = line("a", &[(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (40.0, 50.0), (40.0, 0.1)]);
        assert_eq!(joints(&[lasso]), vec!["0@40.0 0@259.9"]);
        let nearly_closed = line("a", &[(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 0.2)]);
        assert_eq!(joints(&[nearly_closed]), vec!["0@0.0 0@261.7"]);
    }

    #[test]
    fn three_ends_at_one_place_are_one_joint() {
        let lines = [
            line("a", &[(0.0, 0.0), (10.0, 0.0)]),
            line("b", &[(10.0, 0.0), (20.0, 9.0)]),
            line("c", &[(20.0, -9.0), (10.0, 0.1)]),
        ];
        assert_eq!(joints(&lines).len(), 1);
        let network = Network::of_lines(lines.to_vec());
        assert_eq!(network.touching(0), vec![1, 2]);
        assert_eq!(network.joints_of(2).len(), 1);
    }
}
