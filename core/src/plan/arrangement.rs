//! Pieces of line that cut the map into faces: vertices on a fine grid of whole numbers, so that "left of" and "within" are exact.

use crate::land::MapPoint;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// Grid lines per metre: 0.01 mm, finer than the plan file's 0.1 mm.
const PER_METRE: f64 = 1e5;

/// A vertex on the grid.
pub(super) type Vertex = (i64, i64);

/// The vertex nearest to a point. The frame's reach of some thousand kilometres takes 37 bits, products of differences 76.
pub(super) fn vertex(point: MapPoint) -> Vertex {
    ((point.x_m * PER_METRE).round() as i64, (point.y_m * PER_METRE).round() as i64)
}

/// The vertex as a point.
pub(super) fn point((x, y): Vertex) -> MapPoint {
    MapPoint::new(x as f64 / PER_METRE, y as f64 / PER_METRE)
}

/// Twice the area of the triangle: positive when `c` lies left of the way from `a` to `b`.
fn cross(a: Vertex, b: Vertex, c: Vertex) -> i128 {
    let wide = |one: i64, other: i64| i128::from(one) - i128::from(other);
    wide(b.0, a.0) * wide(c.1, a.1) - wide(b.1, a.1) * wide(c.0, a.0)
}

/// Twice the area of a ring, positive anticlockwise. The ring's last piece, back to the first vertex, adds nothing.
pub(super) fn doubled_area(ring: &[Vertex]) -> i128 {
    let Some(first) = ring.first() else { return 0 };
    ring.windows(2).map(|pair| cross(*first, pair[0], pair[1])).sum()
}

/// Whether a ring winds around a vertex that is not on it.
pub(super) fn is_within(ring: &[Vertex], at: Vertex) -> bool {
    let mut inside = false;
    for (index, from) in ring.iter().enumerate() {
        let to = ring[(index + 1) % ring.len()];
        if (from.1 > at.1) != (to.1 > at.1) {
            let upwards = to.1 > from.1;
            if (cross(*from, to, at) > 0) == upwards {
                inside = !inside;
            }
        }
    }
    inside
}

/// A piece between two vertices, the smaller one first.
type Edge = (Vertex, Vertex);

/// One side of the pieces around one face.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Contour {
    /// Its vertices, with the face on the left.
    pub ring: Vec<Vertex>,
    /// Names of the lines it runs along.
    pub lines: BTreeSet<usize>,
    /// The connected part of the arrangement it belongs to.
    part: usize,
}

/// A face: its outer ring anticlockwise, and the contours of what stands free within it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Face {
    pub ring: Contour,
    pub holes: Vec<Contour>,
}

/// All pieces with the lines they belong to; no two cross.
#[derive(Clone, Debug, Default)]
pub(super) struct Arrangement {
    edges: BTreeMap<Edge, BTreeSet<usize>>,
}

impl Arrangement {
    /// The arrangement of pieces, each with the name of its line, split wherever two of them meet.
    pub fn of(pieces: impl IntoIterator<Item = (Vertex, Vertex, usize)>) -> Self {
        let mut all = Self::default();
        for (from, to, line) in pieces {
            all.add(from, to, &BTreeSet::from([line]));
        }
        // A crossing rounded to the grid moves its pieces by less than a grid step; what that touches is split again.
        const ROUNDS: usize = 5;
        for _ in 0..ROUNDS {
            if !all.split_at_meetings() {
                break;
            }
        }
        all
    }

    /// Names of the lines that run along a piece.
    pub fn lines_of(&self, (from, to): (Vertex, Vertex)) -> impl Iterator<Item = usize> + '_ {
        self.edges.get(&(from.min(to), from.max(to))).into_iter().flatten().copied()
    }

    fn add(&mut self, from: Vertex, to: Vertex, lines: &BTreeSet<usize>) {
        if from != to {
            self.edges.entry((from.min(to), from.max(to))).or_default().extend(lines);
        }
    }

    /// Splits every piece where another one meets it; whether there was anything to split.
    fn split_at_meetings(&mut self) -> bool {
        let edges: Vec<Edge> = self.edges.keys().copied().collect();
        let mut cuts: HashMap<usize, Vec<Vertex>> = HashMap::new();
        for (index, one) in edges.iter().enumerate() {
            // Edges are sorted by their western vertex: the rest begins east of this one's end.
            for (other_index, other) in edges.iter().enumerate().skip(index + 1) {
                if other.0.0 > one.1.0 {
                    break;
                }
                for meeting in meetings(*one, *other) {
                    for (index, edge) in [(index, one), (other_index, other)] {
                        if meeting != edge.0 && meeting != edge.1 {
                            cuts.entry(index).or_default().push(meeting);
                        }
                    }
                }
            }
        }
        let any = !cuts.is_empty();
        for (index, mut cuts) in cuts {
            let (from, to) = edges[index];
            let lines = self.edges.remove(&edges[index]).unwrap_or_default();
            cuts.sort_by_key(|cut| squared(from, *cut));
            let mut last = from;
            for next in cuts.into_iter().chain([to]) {
                self.add(last, next, &lines);
                last = next;
            }
        }
        any
    }

    /// Vertices at which only one piece ends.
    pub fn loose_ends(&self) -> Vec<Vertex> {
        let mut degrees: BTreeMap<Vertex, usize> = BTreeMap::new();
        for (from, to) in self.edges.keys() {
            *degrees.entry(*from).or_default() += 1;
            *degrees.entry(*to).or_default() += 1;
        }
        degrees.into_iter().filter(|(_, degree)| *degree == 1).map(|(vertex, _)| vertex).collect()
    }

    /// The bounded faces. Pieces with the same face on both sides (loose ends, ties between islands) enclose nothing and
    /// are left out first.
    pub fn faces(&self) -> Vec<Face> {
        let (contours, sides) = self.contours();
        let mut ring_edges = self.clone();
        ring_edges.edges.retain(|(from, to), _| sides.get(&(*from, *to)) != sides.get(&(*to, *from)));
        let contours = if ring_edges.edges.len() == self.edges.len() { contours } else { ring_edges.contours().0 };
        let (rings, outlines): (Vec<_>, Vec<_>) = contours.into_iter().partition(|contour| doubled_area(&contour.ring) > 0);
        let mut faces: Vec<_> = rings.into_iter().map(|ring| Face { ring, holes: Vec::new() }).collect();
        for outline in outlines {
            let around = |face: &&mut Face| face.ring.part != outline.part && is_within(&face.ring.ring, outline.ring[0]);
            let innermost = faces.iter_mut().filter(around).min_by_key(|face| doubled_area(&face.ring.ring));
            if let Some(face) = innermost {
                face.holes.push(outline);
            }
        }
        faces
    }

    /// Walks along all pieces with the left hand on them. Gives the contours, and which contour each side belongs to.
    fn contours(&self) -> (Vec<Contour>, HashMap<Edge, usize>) {
        let mut around: BTreeMap<Vertex, Vec<Vertex>> = BTreeMap::new();
        for (from, to) in self.edges.keys() {
            around.entry(*from).or_default().push(*to);
            around.entry(*to).or_default().push(*from);
        }
        for (middle, others) in &mut around {
            others.sort_by(|one, other| by_bearing(*middle, *one, *other));
        }
        let parts = parts(&around);
        let mut sides: HashMap<Edge, usize> = HashMap::new();
        let mut contours = Vec::new();
        for start in around.iter().flat_map(|(from, others)| others.iter().map(move |to| (*from, *to))) {
            if sides.contains_key(&start) {
                continue;
            }
            let mut contour = Contour { ring: Vec::new(), lines: BTreeSet::new(), part: parts[&start.0] };
            let mut side = start;
            while sides.insert(side, contours.len()).is_none() {
                contour.ring.push(side.0);
                contour.lines.extend(&self.edges[&(side.0.min(side.1), side.0.max(side.1))]);
                let others = &around[&side.1];
                let back = others.iter().position(|other| *other == side.0).expect("every piece has two sides");
                // The next piece clockwise from the way back keeps the face on the left.
                side = (side.1, others[(back + others.len() - 1) % others.len()]);
            }
            contours.push(contour);
        }
        (contours, sides)
    }
}

fn squared(from: Vertex, to: Vertex) -> i128 {
    let wide = |one: i64, other: i64| i128::from(one) - i128::from(other);
    wide(to.0, from.0).pow(2) + wide(to.1, from.1).pow(2)
}

/// Order anticlockwise from east, by exact comparison.
fn by_bearing(middle: Vertex, one: Vertex, other: Vertex) -> std::cmp::Ordering {
    let is_lower = |at: Vertex| at.1 < middle.1 || (at.1 == middle.1 && at.0 < middle.0);
    is_lower(one).cmp(&is_lower(other)).then_with(|| 0.cmp(&cross(middle, one, other)))
}

/// The connected part of every vertex.
fn parts(around: &BTreeMap<Vertex, Vec<Vertex>>) -> HashMap<Vertex, usize> {
    let mut parts = HashMap::new();
    for (number, start) in around.keys().enumerate() {
        let mut waiting = vec![*start];
        while let Some(vertex) = waiting.pop() {
            if parts.contains_key(&vertex) {
                continue;
            }
            parts.insert(vertex, number);
            waiting.extend(&around[&vertex]);
        }
    }
    parts
}

/// Where two pieces meet: at a crossing, at an end that lies on the other one, at both ends of what they share.
fn meetings(one: Edge, other: Edge) -> Vec<Vertex> {
    let north = |edge: Edge| edge.0.1.max(edge.1.1);
    let south = |edge: Edge| edge.0.1.min(edge.1.1);
    if south(one) > north(other) || south(other) > north(one) {
        return Vec::new();
    }
    let [a, b] = [cross(one.0, one.1, other.0), cross(one.0, one.1, other.1)];
    let [c, d] = [cross(other.0, other.1, one.0), cross(other.0, other.1, one.1)];
    let ends = [(a, other.0, one), (b, other.1, one), (c, one.0, other), (d, one.1, other)];
    let touching: Vec<_> =
        ends.into_iter().filter(|(side, at, edge)| *side == 0 && is_between(*edge, *at)).map(|(_, at, _)| at).collect();
    if !touching.is_empty() {
        return touching;
    }
    if a.signum() * b.signum() < 0 && c.signum() * d.signum() < 0 {
        let share = c as f64 / (c - d) as f64;
        let along = |from: i64, to: i64| from + ((to - from) as f64 * share).round() as i64;
        return vec![(along(one.0.0, one.1.0), along(one.0.1, one.1.1))];
    }
    Vec::new()
}

/// Whether a vertex on a piece's straight lies between its ends.
fn is_between((from, to): Edge, at: Vertex) -> bool {
    (from.0.min(to.0)..=from.0.max(to.0)).contains(&at.0) && (from.1.min(to.1)..=from.1.max(to.1)).contains(&at.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::collection::vec;
    use proptest::prelude::*;

    fn arrangement(pieces: &[[i64; 4]]) -> Arrangement {
        Arrangement::of(pieces.iter().enumerate().map(|(line, [a, b, c, d])| ((*a, *b), (*c, *d), line)))
    }

    fn areas(pieces: &[[i64; 4]]) -> Vec<i128> {
        let net =
            |face: &Face| doubled_area(&face.ring.ring) + face.holes.iter().map(|hole| doubled_area(&hole.ring)).sum::<i128>();
        let mut areas: Vec<_> = arrangement(pieces).faces().iter().map(net).collect();
        areas.sort_unstable();
        areas
    }

    fn square(x: i64, y: i64, side: i64) -> Vec<[i64; 4]> {
        let (east, north) = (x + side, y + side);
        vec![[x, y, east, y], [east, y, east, north], [east, north, x, north], [x, north, x, y]]
    }

    #[test]
    fn faces_are_what_the_pieces_enclose() {
        for (case, pieces, expected) in [
            ("a square", square(0, 0, 10), vec![200]),
            ("a square with a tail", [square(0, 0, 10), vec![[10, 10, 20, 20]]].concat(), vec![200]),
            ("a square with a thorn inside", [square(0, 0, 10), vec![[0, 0, 4, 5]]].concat(), vec![200]),
            ("a square cut in two", [square(0, 0, 10), vec![[4, -3, 4, 14]]].concat(), vec![80, 120]),
            ("an island", [square(0, 0, 10), square(2, 2, 4)].concat(), vec![32, 168]),
            ("an island that is tied", [square(0, 0, 10), square(2, 2, 4), vec![[0, 0, 2, 2]]].concat(), vec![32, 168]),
            ("an island on an island", [square(0, 0, 10), square(2, 2, 6), square(4, 4, 2)].concat(), vec![8, 64, 128]),
            ("two islands", [square(0, 0, 10), square(1, 1, 2), square(5, 5, 3)].concat(), vec![8, 18, 174]),
            ("overlapping squares", [square(0, 0, 10), square(5, 5, 10)].concat(), vec![50, 150, 150]),
            ("a shared side drawn twice", [square(0, 0, 10), square(10, 0, 10)].concat(), vec![200, 200]),
            ("a bow tie", vec![[0, 0, 10, 10], [10, 10, 10, 0], [10, 0, 0, 10], [0, 10, 0, 0]], vec![50, 50]),
            ("an open way", square(0, 0, 10)[..3].to_vec(), vec![]),
        ] {
            assert_eq!(areas(&pieces), expected, "{case}");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        /// Euler: faces = edges - vertices + parts (bounded ones), counted on the pieces alone.
        #[test]
        fn as_many_faces_as_euler_counts(pieces in vec(prop::array::uniform4(-2000_i64..2000), 1..14)) {
            let all = arrangement(&pieces);
            prop_assert!(!all.clone().split_at_meetings());
            let mut around: BTreeMap<Vertex, Vec<Vertex>> = BTreeMap::new();
            for (from, to) in all.edges.keys() {
                around.entry(*from).or_default().push(*to);
                around.entry(*to).or_default().push(*from);
            }
            let parts: BTreeSet<_> = parts(&around).into_values().collect();
            prop_assert_eq!(all.faces().len(), all.edges.len() + parts.len() - around.len());
        }
    }
}
