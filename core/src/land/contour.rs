//! Contour lines by marching squares on cell centres.
//!
//! The grid is cut into bands of rows that are worked on in parallel. Inside a band no point is ever looked up by its
//! coordinates: a crossing of a level with an edge between two centres is a numbered node, found by exact integers (edge
//! and level), with at most two neighbours. Following neighbours gives pieces of lines; pieces that end on the edge between
//! two bands are then joined, again by number.

use super::Grid;
use super::coarse::Coarse;
use super::contour_join::{End, Piece, joined};
use crate::bounds::CONTOUR_POINTS;
use crate::job::{Cancelled, Job};
use rayon::prelude::*;
use std::ops::Range;
use std::sync::atomic::{AtomicUsize, Ordering};

/// A line of equal height.
#[derive(Clone, Debug, PartialEq)]
pub struct Contour {
    /// Its height, metres.
    pub level_m: f64,
    /// Whether its end is its beginning; the first point is not repeated at the end.
    pub closed: bool,
    /// Fractional (column, row) of cell centres.
    pub points: Vec<(f64, f64)>,
}

impl Contour {
    /// Its points from end to end: those of a closed line come back to the first.
    pub fn way(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        let back = self.closed.then(|| self.points.first()).flatten();
        self.points.iter().chain(back).copied()
    }
}

/// Why there are no contours.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum ContourError {
    /// Nobody wanted them any more.
    #[error(transparent)]
    Cancelled(#[from] Cancelled),
    /// An interval that is not a height.
    #[error("contours every {every_m} m: at least {least_m} m is allowed")]
    Interval {
        /// What was asked for.
        every_m: f64,
        /// The smallest allowed.
        least_m: f64,
    },
    /// More of them than can be held.
    #[error("contours every {every_m} m would have {points} points, allowed are {most}: {}", fitting(*finest_m))]
    TooMany {
        /// What was asked for.
        every_m: f64,
        /// Points that the lines would have.
        points: u64,
        /// How many they may have.
        most: u64,
        /// The finest interval of a plain number at which there are few enough; `None` where there is none.
        finest_m: Option<f64>,
    },
}

fn fitting(finest_m: Option<f64>) -> String {
    finest_m.map_or_else(
        || "no interval has so few on this grid".to_owned(),
        |finest_m| format!("every {finest_m} m is the finest that this grid allows"),
    )
}

/// The smallest interval between contours in metres: finer than any grid's heights.
pub const LEAST_INTERVAL_M: f64 = 0.01;

/// Rows of squares in a band.
const BAND_ROWS: usize = 128;

/// Contour lines of a whole grid at every multiple of `every_m`, lowest first.
///
/// A centre on a level counts as above it. The line crosses an edge where the straight line between its two heights
/// meets the level; in a saddle the mean of the four heights decides which corners join. Squares with a void corner have none.
///
/// # Errors
/// [`ContourError::Cancelled`] after the job is cancelled; [`ContourError::Interval`] below [`LEAST_INTERVAL_M`];
/// [`ContourError::TooMany`] of more than [`CONTOUR_POINTS`].
pub fn contours(grid: &Grid, every_m: f64, job: &Job) -> Result<Vec<Contour>, ContourError> {
    contours_in(grid, 0, 0..grid.columns, 0..grid.rows, every_m, job)
}

/// Contour lines of a part of a grid at a level, for the window: heights are those of blocks of 2^level cells a side, and the
/// lines end at the edge of the part. Their points are in cells of the whole grid.
///
/// # Errors
/// As [`contours`].
pub fn contours_in(
    grid: &Grid,
    level: u8,
    columns: Range<usize>,
    rows: Range<usize>,
    every_m: f64,
    job: &Job,
) -> Result<Vec<Contour>, ContourError> {
    if !(every_m.is_finite() && every_m >= LEAST_INTERVAL_M) {
        return Err(ContourError::Interval { every_m, least_m: LEAST_INTERVAL_M });
    }
    let coarse = Coarse::new(grid, level);
    let blocks = |cells: Range<usize>, all: usize| (cells.start / coarse.side(), cells.end.div_ceil(coarse.side()).min(all));
    let ((left, right), (top, bottom)) = (blocks(columns, coarse.size().0), blocks(rows, coarse.size().1));
    if right < left + 2 || bottom < top + 2 {
        return Ok(vec![]);
    }
    let means;
    let (heights, stride) = if level == 0 {
        (&grid.heights_m[top * grid.columns + left..], grid.columns)
    } else {
        means = coarse.heights((left as isize, top as isize), right - left, bottom - top);
        (means.as_slice(), right - left)
    };
    let field = Field { heights, stride, columns: right - left, rows: bottom - top, every_m };
    let points = field.points();
    if points > CONTOUR_POINTS {
        return Err(ContourError::TooMany { every_m, points, most: CONTOUR_POINTS, finest_m: field.finest_m(points) });
    }
    let mut lines = field.lines(job)?;
    if level > 0 || left > 0 || top > 0 {
        for point in lines.iter_mut().flat_map(|line| &mut line.points) {
            *point = (coarse.cell_at(point.0 + left as f64), coarse.cell_at(point.1 + top as f64));
        }
    }
    Ok(lines)
}

/// Heights to draw lines through.
#[derive(Clone, Copy)]
pub(super) struct Field<'a> {
    /// Row by row.
    pub heights: &'a [f32],
    /// From one row to the next.
    pub stride: usize,
    /// Columns of centres.
    pub columns: usize,
    /// Rows of centres.
    pub rows: usize,
    /// Between two levels, metres.
    pub every_m: f64,
}

/// The step of a void centre: no height has it.
const VOID: i32 = Field::VOID;
/// No node.
const NONE: u32 = u32::MAX;

impl<'a> Field<'a> {
    /// The step of a void centre.
    pub(super) const VOID: i32 = i32::MIN;

    /// All of a grid.
    pub(super) fn whole(grid: &'a Grid, every_m: f64) -> Self {
        Self { heights: &grid.heights_m, stride: grid.columns, columns: grid.columns, rows: grid.rows, every_m }
    }

    fn lines(&self, job: &Job) -> Result<Vec<Contour>, Cancelled> {
        let squares = self.rows - 1;
        let bands = squares.div_ceil(BAND_ROWS);
        let done = AtomicUsize::new(0);
        let pieces = (0..bands)
            .into_par_iter()
            .map(|band| {
                job.proceed()?;
                let pieces = Band::traced(self, band * BAND_ROWS..squares.min((band + 1) * BAND_ROWS));
                job.set_share_done((done.fetch_add(1, Ordering::Relaxed) + 1) as f64 / bands as f64);
                Ok(pieces)
            })
            .collect::<Result<Vec<_>, Cancelled>>()?;
        job.proceed()?;
        Ok(joined(pieces, self.every_m))
    }

    fn row(&self, row: usize) -> &[f32] {
        &self.heights[row * self.stride..row * self.stride + self.columns]
    }

    /// For every centre of a row the number of the highest level at or below it.
    pub(super) fn steps(&self, row: usize, steps: &mut Vec<i32>) {
        steps.clear();
        steps.extend(
            self.row(row).iter().map(
                |height| {
                    if height.is_finite() { (f64::from(*height) / self.every_m).floor() as i32 } else { VOID }
                },
            ),
        );
    }
}

/// The nodes on the edges along one row of centres: edge `k` from centre `k` to `k + 1` has those of levels
/// min + 1 to max of its two steps, from `starts[k]` on.
#[derive(Default)]
struct RowEdges {
    steps: Vec<i32>,
    starts: Vec<u32>,
    nodes: Vec<u32>,
}

impl RowEdges {
    fn fill(&mut self, field: &Field, row: usize) {
        field.steps(row, &mut self.steps);
        self.starts.clear();
        let mut start = 0;
        for pair in self.steps.windows(2) {
            self.starts.push(start);
            if pair[0] != VOID && pair[1] != VOID {
                start += pair[0].abs_diff(pair[1]);
            }
        }
        self.nodes.clear();
        self.nodes.resize(start as usize, NONE);
    }
}

/// The work on one band.
struct Band<'a> {
    field: &'a Field<'a>,
    points: Vec<(f64, f64)>,
    links: Vec<[u32; 2]>,
    levels: Vec<i32>,
    /// Nodes on the vertical edge west of the current square, and on the one east of it.
    west: Vec<u32>,
    east: Vec<u32>,
}

/// The four sides of a square.
#[derive(Clone, Copy)]
enum Side {
    West,
    North,
    East,
    South,
}

impl<'a> Band<'a> {
    /// The pieces of all lines in these rows of squares.
    fn traced(field: &'a Field<'a>, rows: Range<usize>) -> Vec<Piece> {
        let (points, links, levels) = (vec![], vec![], vec![]);
        let mut band = Self { field, points, links, levels, west: vec![], east: vec![] };
        let (mut north, mut south) = (RowEdges::default(), RowEdges::default());
        north.fill(field, rows.start);
        let mut top = vec![];
        for row in rows.clone() {
            south.fill(field, row + 1);
            band.row_of_squares(row, &mut north, &mut south);
            if row == rows.start {
                top.clone_from(&north.nodes);
            }
            std::mem::swap(&mut north, &mut south);
        }
        band.pieces(&top, &north.nodes)
    }

    fn row_of_squares(&mut self, row: usize, north: &mut RowEdges, south: &mut RowEdges) {
        self.west.clear();
        let (above, below) = (self.field.row(row), self.field.row(row + 1));
        for column in 0..self.field.columns - 1 {
            let steps = [north.steps[column], north.steps[column + 1], south.steps[column + 1], south.steps[column]];
            let (lowest, highest) = steps.iter().fold((i32::MAX, VOID), |ends, step| (ends.0.min(*step), ends.1.max(*step)));
            self.east.clear();
            if lowest < highest && lowest != VOID {
                let heights = [above[column], above[column + 1], below[column + 1], below[column]].map(f64::from);
                let square = Square { column, row, steps, heights };
                self.east.resize(steps[1].abs_diff(steps[2]) as usize, NONE);
                if self.west.is_empty() {
                    // The square to the west was skipped as void, or nothing crosses this edge.
                    self.west.resize(steps[0].abs_diff(steps[3]) as usize, NONE);
                }
                for level in lowest + 1..=highest {
                    self.segments(&square, level, north, south);
                }
            }
            std::mem::swap(&mut self.west, &mut self.east);
        }
    }

    /// The one or two segments of a level in a square it crosses.
    fn segments(&mut self, square: &Square, level: i32, north: &mut RowEdges, south: &mut RowEdges) {
        use Side::{East, North, South, West};
        let above = square.steps.map(|step| step >= level);
        let pairs: &[(Side, Side)] = match above {
            [true, false, false, false] | [false, true, true, true] => &[(West, North)],
            [false, true, false, false] | [true, false, true, true] => &[(North, East)],
            [true, true, false, false] | [false, false, true, true] => &[(West, East)],
            [false, false, true, false] | [true, true, false, true] => &[(East, South)],
            [false, true, true, false] | [true, false, false, true] => &[(North, South)],
            [false, false, false, true] | [true, true, true, false] => &[(West, South)],
            [true, false, true, false] | [false, true, false, true] => {
                let high_middle = 0.25 * square.heights.iter().sum::<f64>() >= f64::from(level) * self.field.every_m;
                // The pair of corners that agrees with the middle is joined through it; the lines cut off the others.
                if high_middle == above[0] { &[(North, East), (West, South)] } else { &[(West, North), (East, South)] }
            }
            [true, true, true, true] | [false, false, false, false] => return,
        };
        for (from, to) in pairs {
            let from = self.node(square, *from, level, north, south);
            let to = self.node(square, *to, level, north, south);
            self.link(from, to);
            self.link(to, from);
        }
    }

    /// The node of a level on a side of a square, made when it is met first.
    fn node(&mut self, square: &Square, side: Side, level: i32, north: &mut RowEdges, south: &mut RowEdges) -> u32 {
        let (from, to) = match side {
            Side::West => (0, 3),
            Side::North => (0, 1),
            Side::East => (1, 2),
            Side::South => (3, 2),
        };
        let in_edge = (level - 1 - square.steps[from].min(square.steps[to])) as usize;
        let kept = match side {
            Side::West => &mut self.west[in_edge],
            Side::North => &mut north.nodes[north.starts[square.column] as usize + in_edge],
            Side::East => &mut self.east[in_edge],
            Side::South => &mut south.nodes[south.starts[square.column] as usize + in_edge],
        };
        if *kept == NONE {
            *kept = u32::try_from(self.points.len()).expect("a band has fewer crossings than 2^32");
            let (a, b) = (square.heights[from], square.heights[to]);
            let level_m = f64::from(level) * self.field.every_m;
            // Never quite on a centre, so that two lines of one level cannot touch there.
            let share = ((level_m - a) / (b - a)).clamp(1e-9, 1.0 - 1e-9);
            let (x, y) = (square.column as f64, square.row as f64);
            self.points.push(match side {
                Side::West => (x, y + share),
                Side::North => (x + share, y),
                Side::East => (x + 1.0, y + share),
                Side::South => (x + share, y + 1.0),
            });
            self.links.push([NONE; 2]);
            self.levels.push(level);
        }
        *kept
    }

    fn link(&mut self, from: u32, to: u32) {
        let links = &mut self.links[from as usize];
        if links[0] == NONE { links[0] = to } else { links[1] = to }
    }

    /// Follows all neighbours: first from nodes with one neighbour only, then round the loops that are left.
    fn pieces(mut self, top: &[u32], bottom: &[u32]) -> Vec<Piece> {
        let mut ends = vec![End::Free; self.points.len()];
        for (nodes, make) in [(top, End::Top as fn(u32) -> End), (bottom, End::Bottom)] {
            for (number, node) in (0..).zip(nodes).filter(|(_, node)| **node != NONE) {
                ends[*node as usize] = make(number);
            }
        }
        let mut pieces = vec![];
        for node in 0..self.points.len() {
            if self.links[node][0] != NONE && self.links[node][1] == NONE {
                let (points, last) = self.followed(node);
                pieces.push(Piece { level: self.levels[node], ends: Some([ends[node], ends[last]]), points });
            }
        }
        for node in 0..self.points.len() {
            if self.links[node][0] != NONE {
                let (points, _) = self.followed(node);
                pieces.push(Piece { level: self.levels[node], ends: None, points });
            }
        }
        pieces
    }

    /// The points from a node on along its neighbours, which are unlinked on the way; and the last node.
    fn followed(&mut self, first: usize) -> (Vec<(f64, f64)>, usize) {
        let mut points = vec![];
        let (mut before, mut node) = (NONE, first);
        loop {
            points.push(self.points[node]);
            let [a, b] = std::mem::replace(&mut self.links[node], [NONE; 2]);
            let next = if a == before { b } else { a };
            if next == NONE || next as usize == first {
                points.shrink_to_fit();
                return (points, node);
            }
            (before, node) = (node as u32, next as usize);
        }
    }
}

/// Four centres: north-west, north-east, south-east, south-west.
struct Square {
    column: usize,
    row: usize,
    steps: [i32; 4],
    heights: [f64; 4],
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::land::fixture::{grid, hills};
    use std::collections::HashMap;

    fn lines(grid: &Grid, every_m: f64) -> Vec<Contour> {
        contours(grid, every_m, &Job::new()).expect("not cancelled")
    }

    fn length(line: &Contour) -> f64 {
        let step = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).hypot(a.1 - b.1);
        let open: f64 = line.points.windows(2).map(|pair| step(pair[0], pair[1])).sum();
        open + if line.closed { step(line.points[0], line.points[line.points.len() - 1]) } else { 0.0 }
    }

    #[test]
    fn one_high_centre_has_a_diamond_around_it() {
        let found = lines(&grid(3, 3, 1.0, vec![0.1, 0.1, 0.1, 0.1, 1.1, 0.1, 0.1, 0.1, 0.1]), 0.6);
        assert_eq!(found.len(), 1);
        assert!(found[0].closed && found[0].points.len() == 4 && (found[0].level_m - 0.6).abs() < 1e-12);
        assert!((length(&found[0]) - 2.828_427).abs() < 1e-6, "{:?}", found[0]);
        let points = &found[0].points;
        assert_eq!(
            found[0].way().collect::<Vec<_>>(),
            [points.as_slice(), &points[..1]].concat(),
            "it comes back to its first point"
        );
        let cross = |k: usize| points[k].0 * points[(k + 1) % 4].1 - points[(k + 1) % 4].0 * points[k].1;
        let area = 0.5 * (0..4).map(cross).sum::<f64>().abs();
        assert!((area - 0.5).abs() < 1e-6, "{area}");
    }

    #[test]
    fn a_cone_has_circles_however_many_bands_they_run_through() {
        for side in [101_usize, 401] {
            let middle = (side / 2) as f64;
            let height = |k: usize| (1000.0 - ((k % side) as f64 - middle).hypot((k / side) as f64 - middle)) as f32;
            let cone = grid(side, side, 1.0, (0..side * side).map(height).collect());
            // 970 m at 30 cells from the top, 873 m at 127.
            let found = lines(&cone, 97.0);
            let circles: Vec<_> = found.iter().filter(|line| line.closed).collect();
            assert_eq!(circles.len(), if side == 101 { 1 } else { 2 });
            for circle in circles {
                let radius = 1000.0 - circle.level_m;
                let expected = std::f64::consts::TAU * radius;
                assert!((length(circle) / expected - 1.0).abs() < 1e-3, "{radius}: {}", length(circle));
                // A chain of straight pieces inside a circle of 30 cells, worked out by an independent program.
                assert!(radius > 31.0 || (length(circle) - 188.4828).abs() < 1e-3, "{}", length(circle));
                let off = |point: &(f64, f64)| ((point.0 - middle).hypot(point.1 - middle) - radius).abs();
                assert!(circle.points.iter().map(off).fold(0.0, f64::max) < 0.13 / radius.sqrt());
            }
        }
    }

    #[test]
    fn in_a_saddle_the_mean_decides_which_corners_join() {
        // Heights above 1: [1, .2] over [.2, 1]; the mean is .6, or .48 when the low corners sink to -.04.
        type Ends = [(f64, f64); 2];
        let rows: [(f64, [Ends; 2]); 2] = [
            (0.2, [[(0.625, 0.0), (1.0, 0.375)], [(0.0, 0.625), (0.375, 1.0)]]),
            (-0.04, [[(0.0, 0.480_769), (0.480_769, 0.0)], [(0.519_231, 1.0), (1.0, 0.519_231)]]),
        ];
        for (low, expected) in rows {
            let heights = [1.0, low, low, 1.0].map(|height: f64| (1.0 + height) as f32);
            let mut found = lines(&grid(2, 2, 1.0, heights.to_vec()), 1.5);
            assert_eq!(found.len(), 2);
            for line in &mut found {
                line.points.sort_by(|a, b| a.0.total_cmp(&b.0));
            }
            for ends in expected {
                let near = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).abs() < 1e-6 && (a.1 - b.1).abs() < 1e-6;
                let same = |line: &Contour| line.points.len() == 2 && (0..2).all(|k| near(line.points[k], ends[k]));
                assert!(found.iter().any(same), "{low}: {ends:?} not in {found:?}");
            }
        }
    }

    /// Every segment of every level, found square by square with nothing shared.
    fn segments_one_by_one(grid: &Grid, every_m: f64) -> usize {
        let mut count = 0;
        for row in 0..grid.rows - 1 {
            for column in 0..grid.columns - 1 {
                let corners = [(0, 0), (1, 0), (1, 1), (0, 1)].map(|(x, y)| grid.height_m(column + x, row + y));
                let Some(corners) = corners.into_iter().collect::<Option<Vec<_>>>() else { continue };
                for level in -100..1000 {
                    let above: Vec<_> = corners.iter().map(|height| (height / every_m).floor() as i32 >= level).collect();
                    let changes = (0..4).filter(|k| above[*k] != above[(k + 1) % 4]).count();
                    count += changes / 2;
                }
            }
        }
        count
    }

    #[test]
    fn joining_loses_and_doubles_no_segment_even_around_voids_and_on_levels() {
        let mut rough = hills(70, 300, 5.0);
        for k in (0..rough.heights_m.len()).step_by(97) {
            rough.heights_m[k] = f32::NAN;
        }
        for k in (0..rough.heights_m.len()).step_by(3) {
            rough.heights_m[k] = rough.heights_m[k].round();
        }
        for every_m in [0.5, 1.0, 7.0] {
            let found = lines(&rough, every_m);
            let segments: usize = found.iter().map(|line| line.points.len() - usize::from(!line.closed)).sum();
            assert_eq!(segments, segments_one_by_one(&rough, every_m), "every {every_m} m");
            let mut ends: HashMap<(u64, u64, u64), usize> = HashMap::new();
            for line in found.iter().filter(|line| !line.closed) {
                for end in [line.points[0], line.points[line.points.len() - 1]] {
                    *ends.entry((end.0.to_bits(), end.1.to_bits(), line.level_m.to_bits())).or_default() += 1;
                }
            }
            assert!(ends.values().all(|count| *count == 1), "two lines of one level end on the same crossing");
        }
    }

    #[test]
    fn every_point_of_a_contour_has_its_height() {
        let ground = hills(60, 150, 2.0);
        for line in lines(&ground, 2.5) {
            for (column, row) in &line.points {
                let height = ground.bilinear_m(*column, *row).expect("on the grid");
                assert!((height - line.level_m).abs() < 1e-4, "{column} {row}: {height} {}", line.level_m);
            }
        }
    }

    #[test]
    fn a_part_of_the_ground_has_that_part_of_the_lines() {
        let ground = hills(60, 150, 2.0);
        let part = contours_in(&ground, 0, 20..41, 30..61, 5.0, &Job::new()).expect("not cancelled");
        let inside = |point: &(f64, f64)| (20.0..=40.0).contains(&point.0) && (30.0..=60.0).contains(&point.1);
        assert!(!part.is_empty() && part.iter().flat_map(|line| &line.points).all(inside));
        let coarse = contours_in(&ground, 2, 0..60, 0..150, 5.0, &Job::new()).expect("not cancelled");
        assert!(!coarse.is_empty() && coarse.iter().flat_map(|line| &line.points).all(|point| point.0 < 60.0 && point.1 < 150.0));
        assert_eq!(contours_in(&ground, 0, 5..6, 0..150, 5.0, &Job::new()), Ok(vec![]));
    }

    #[test]
    fn level_ground_has_no_contours_and_unusable_wishes_are_refused() {
        let level = grid(5, 5, 1.0, vec![10.0; 25]);
        assert!(lines(&level, 5.0).is_empty());
        for every_m in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(matches!(contours(&level, every_m, &Job::new()), Err(ContourError::Interval { .. })));
        }
        let job = Job::new();
        job.cancel();
        assert_eq!(contours(&level, 1.0, &job), Err(ContourError::Cancelled(Cancelled)));
    }
}
