//! The cheapest way over the cells: from place to place with the heading in mind, and from one place to everywhere.

use super::setting::{Scales, corners_of};
use crate::job::{Cancelled, Job};
use crate::land::{MOVES, MapPoint, Reached};
use std::collections::BinaryHeap;

/// No fence turns by more than this at one post, degrees.
///
/// # Source
/// Key `common-practice`.
const SHARPEST_DEG: f64 = 100.0;
/// The places that are searched lie this far beside the middles of cells, in cells: a way through the very middle would cross a channel there
/// twice or never.
const BESIDE_CELLS: (f64, f64) = (0.0017, 0.0013);
const HEADINGS: usize = 16;
const NONE: u32 = u32::MAX;
/// After so many cells the one who waits is asked whether it still matters.
const ASKED_EVERY: usize = 4096;

/// Cells that a course may pass, with the places it runs between.
pub(super) struct Lattice<'a> {
    scales: Scales<'a>,
    /// The cell of each node.
    cells: Vec<u32>,
    /// The node of each cell.
    nodes: Vec<u32>,
    ends: [(u32, MapPoint); 2],
    is_poor: Vec<bool>,
}

/// From one end: what it costs to each node, and by which node one comes.
pub(super) struct Spread {
    pub cost: Vec<f64>,
    by: Vec<u32>,
}

impl<'a> Lattice<'a> {
    /// The allowed cells of the known ground between two places; `None` where these are not on it, or in one cell.
    pub fn new(scales: Scales<'a>, ends: [MapPoint; 2], is_allowed: impl Fn(usize) -> bool) -> Option<Self> {
        let grid = scales.judged.relief.grid();
        let count = grid.columns() * grid.rows();
        let (mut cells, mut nodes) = (Vec::new(), vec![NONE; count]);
        let known = (0..count).filter(|cell| grid.heights_m()[*cell].is_finite() && is_allowed(*cell));
        for cell in known {
            nodes[cell] = cells.len() as u32;
            cells.push(cell as u32);
        }
        let end = |at: MapPoint| Some((nodes[grid.cell_of(at)?], at)).filter(|(node, _)| *node != NONE);
        let ends = [end(ends[0])?, end(ends[1])?];
        let mut lattice = Self { scales, cells, nodes, ends, is_poor: Vec::new() };
        lattice.is_poor = (0..lattice.cells.len() as u32).map(|node| scales.judged.is_poor(lattice.at(node))).collect();
        (ends[0].0 != ends[1].0).then_some(lattice)
    }

    /// The place of a node.
    pub fn at(&self, node: u32) -> MapPoint {
        if let Some((_, at)) = self.ends.iter().find(|(end, _)| *end == node) {
            return *at;
        }
        let grid = self.scales.judged.relief.grid();
        let (column, row) = grid.place(self.cells[node as usize] as usize);
        grid.to_map(column as f64 + BESIDE_CELLS.0, row as f64 + BESIDE_CELLS.1)
    }

    /// The node whose cell a place lies in.
    pub fn node_at(&self, at: MapPoint) -> Option<u32> {
        self.scales.judged.relief.grid().cell_of(at).map(|cell| self.nodes[cell]).filter(|node| *node != NONE)
    }

    fn beyond(&self, node: u32, heading: usize) -> Option<u32> {
        let grid = self.scales.judged.relief.grid();
        let (column, row) = grid.place(self.cells[node as usize] as usize);
        let column = column.checked_add_signed(MOVES[heading].0).filter(|column| *column < grid.columns())?;
        let row = row.checked_add_signed(MOVES[heading].1).filter(|row| *row < grid.rows())?;
        Some(self.nodes[grid.index(column, row)]).filter(|next| *next != NONE)
    }

    /// The cheapest course between the two places, corners only; `None` where there is none.
    ///
    /// A*: a state is a cell with the heading one came by; what is still to come is at least the level metres to the end.
    pub fn cheapest(&self, job: &Job) -> Result<Option<Vec<MapPoint>>, Cancelled> {
        let turns = turns();
        let states = self.cells.len() * HEADINGS;
        let (mut cost, mut by) = (vec![f64::INFINITY; states], vec![NONE; states]);
        let mut legs = vec![f32::NAN; states];
        let [(start, _), (goal, aim)] = self.ends;
        let still = |node: u32| self.scales.weights.metre * self.at(node).distance_m(aim);
        let mut open = BinaryHeap::new();
        for heading in 0..HEADINGS {
            let index = start * HEADINGS as u32 + heading as u32;
            cost[index as usize] = 0.0;
            open.push(Reached { cost: still(start), index });
        }
        let mut popped = 0;
        while let Some(Reached { cost: whole, index }) = open.pop() {
            popped += 1;
            if popped % ASKED_EVERY == 0 {
                job.proceed()?;
            }
            let (node, heading, spent) = (index / HEADINGS as u32, index as usize % HEADINGS, cost[index as usize]);
            if node == goal {
                return Ok(Some(self.corners(&by, index)));
            }
            if whole > spent + still(node) + 1e-9 {
                continue;
            }
            for (next_heading, turn_deg) in turns[heading].iter().enumerate() {
                if *turn_deg > SHARPEST_DEG {
                    continue;
                }
                let Some(next) = self.beyond(node, next_heading) else { continue };
                let leg = &mut legs[node as usize * HEADINGS + next_heading];
                if leg.is_nan() {
                    *leg = self.scales.leg(self.at(node), self.at(next)) as f32;
                }
                let reached = spent + f64::from(*leg) + self.corner(node, *turn_deg);
                let next_index = next * HEADINGS as u32 + next_heading as u32;
                if reached < cost[next_index as usize] {
                    (cost[next_index as usize], by[next_index as usize]) = (reached, index);
                    open.push(Reached { cost: reached + still(next), index: next_index });
                }
            }
        }
        Ok(None)
    }

    fn corner(&self, node: u32, turn_deg: f64) -> f64 {
        let corners = corners_of(turn_deg);
        let is_poor = corners > 0.0 && self.is_poor[node as usize];
        self.scales.weights.corner * corners + if is_poor { self.scales.weights.poor_corner } else { 0.0 }
    }

    /// The way back to the start, turned round, without the places in the middle of straight runs.
    fn corners(&self, by: &[u32], last: u32) -> Vec<MapPoint> {
        let states: Vec<u32> =
            std::iter::successors(Some(last), |index| Some(by[*index as usize]).filter(|by| *by != NONE)).collect();
        let heading = |index: u32| index as usize % HEADINGS;
        let mut points = Vec::new();
        for (nth, index) in states.iter().enumerate() {
            let node = index / HEADINGS as u32;
            let runs_on = nth > 0 && nth + 1 < states.len() && heading(states[nth - 1]) == heading(*index);
            let is_beside_end = nth == 1 || nth + 2 == states.len();
            if !runs_on || is_beside_end {
                points.push(self.at(node));
            }
        }
        points.reverse();
        points
    }

    /// What it costs from one of the two places to every node, turns left aside (Dijkstra).
    pub fn spread(&self, end: usize, job: &Job) -> Result<Spread, Cancelled> {
        let (mut cost, mut by) = (vec![f64::INFINITY; self.cells.len()], vec![NONE; self.cells.len()]);
        let start = self.ends[end].0;
        cost[start as usize] = 0.0;
        let mut open = BinaryHeap::from([Reached { cost: 0.0, index: start }]);
        let mut popped = 0;
        while let Some(Reached { cost: spent, index: node }) = open.pop() {
            popped += 1;
            if popped % ASKED_EVERY == 0 {
                job.proceed()?;
            }
            if spent > cost[node as usize] {
                continue;
            }
            for heading in 0..HEADINGS {
                let Some(next) = self.beyond(node, heading) else { continue };
                if cost[next as usize] <= spent {
                    continue;
                }
                let reached = spent + self.scales.leg(self.at(node), self.at(next));
                if reached < cost[next as usize] {
                    (cost[next as usize], by[next as usize]) = (reached, node);
                    open.push(Reached { cost: reached, index: next });
                }
            }
        }
        Ok(Spread { cost, by })
    }
}

impl Spread {
    /// The places from where it spreads to a node.
    pub fn way(&self, lattice: &Lattice, node: u32) -> Vec<MapPoint> {
        let back = std::iter::successors(Some(node), |node| Some(self.by[*node as usize]).filter(|by| *by != NONE));
        let mut points: Vec<MapPoint> = back.map(|node| lattice.at(node)).collect();
        points.reverse();
        points
    }
}

/// Degrees between all headings.
fn turns() -> [[f64; HEADINGS]; HEADINGS] {
    let angle = |heading: usize| {
        let (east, south) = MOVES[heading];
        (south as f64).atan2(east as f64).to_degrees()
    };
    std::array::from_fn(|from| {
        std::array::from_fn(|to| {
            let turn = (angle(to) - angle(from)).rem_euclid(360.0);
            turn.min(360.0 - turn)
        })
    })
}
