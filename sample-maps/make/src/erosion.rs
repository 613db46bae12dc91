//! A landscape worn by running water: uplift against streams that cut (stream power law) and soil that creeps.
//!
//! dh/dt = U - K A^(1/2) S + D lap(h), solved implicitly along the streams from the valley upwards, which is what gives
//! the ground its ridges, spurs and branching gullies. Only the four operations and the square root are used, so the
//! result has the same bits everywhere.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// Square cells, row 0 in the south.
#[derive(Clone)]
pub struct Field {
    /// Cells across and up.
    pub size: usize,
    /// Width of a cell.
    pub cell_m: f64,
    /// Coordinates of the centre of cell (0, 0), both axes.
    pub origin_m: f64,
    /// One value per cell, row by row from the south.
    pub values: Vec<f64>,
}

impl Field {
    /// A field whose values come from the place.
    pub fn from_place(size: usize, cell_m: f64, origin_m: f64, value: impl Fn(f64, f64) -> f64) -> Self {
        let at = |index: usize| origin_m + cell_m * index as f64;
        let values = (0..size * size).map(|index| value(at(index % size), at(index / size))).collect();
        Self { size, cell_m, origin_m, values }
    }

    /// Coordinates of a cell's centre.
    pub fn place(&self, index: usize) -> (f64, f64) {
        let at = |index: usize| self.origin_m + self.cell_m * index as f64;
        (at(index % self.size), at(index / self.size))
    }

    fn cell(&self, column: i64, row: i64) -> f64 {
        let last = self.size as i64 - 1;
        self.values[(row.clamp(0, last) * self.size as i64 + column.clamp(0, last)) as usize]
    }

    /// Uniform cubic B-spline through the neighbourhood: smooth everywhere, never overshooting.
    pub fn spline(&self, x_m: f64, y_m: f64) -> f64 {
        let (x, y) = ((x_m - self.origin_m) / self.cell_m, (y_m - self.origin_m) / self.cell_m);
        let (column, row) = (x.floor(), y.floor());
        let (across, up) = (weights(x - column), weights(y - row));
        let (column, row) = (column as i64, row as i64);
        let mut sum = 0.0;
        for (dr, up) in up.iter().enumerate() {
            for (dc, across) in across.iter().enumerate() {
                sum += up * across * self.cell(column + dc as i64 - 1, row + dr as i64 - 1);
            }
        }
        sum
    }
}

fn weights(t: f64) -> [f64; 4] {
    let (t2, t3) = (t * t, t * t * t);
    [
        (1.0 - 3.0 * t + 3.0 * t2 - t3) / 6.0,
        (4.0 - 6.0 * t2 + 3.0 * t3) / 6.0,
        (1.0 + 3.0 * t + 3.0 * t2 - 3.0 * t3) / 6.0,
        t3 / 6.0,
    ]
}

/// How the land rises and wears.
pub struct Wear {
    /// Cutting by streams, per unit of time and square root of square metre.
    pub cutting: f64,
    /// Creep of soil, square metres per unit of time.
    pub creep: f64,
    /// Length of a step.
    pub step: f64,
    /// Number of steps.
    pub steps: usize,
}

/// Where the water of each cell goes, and how much gathers.
pub struct Drainage {
    /// Cells from the valley upwards.
    pub order: Vec<usize>,
    /// The cell each cell drains to; itself for the valley.
    pub below: Vec<usize>,
    /// Ground that drains through each cell, square metres.
    pub area_m2: Vec<f64>,
}

#[derive(PartialEq)]
struct Wave(f64, usize);
impl Eq for Wave {}
impl Ord for Wave {
    fn cmp(&self, other: &Self) -> Ordering {
        other.0.total_cmp(&self.0).then(other.1.cmp(&self.1))
    }
}
impl PartialOrd for Wave {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

const AROUND: [(i64, i64); 8] = [(0, 1), (1, 1), (1, 0), (1, -1), (0, -1), (-1, -1), (-1, 0), (-1, 1)];

fn neighbours(size: usize, index: usize) -> impl Iterator<Item = (usize, f64)> {
    let (column, row, size) = ((index % size) as i64, (index / size) as i64, size as i64);
    AROUND.into_iter().filter_map(move |(dc, dr)| {
        let (column, row) = (column + dc, row + dr);
        let inside = (0..size).contains(&column) && (0..size).contains(&row);
        inside.then(|| ((row * size + column) as usize, if dc != 0 && dr != 0 { std::f64::consts::SQRT_2 } else { 1.0 }))
    })
}

/// Floods from the valley cells upwards (priority flood), so that every cell has a way down.
pub fn drainage(height: &Field, valley: &[bool]) -> Drainage {
    let count = height.values.len();
    let (mut below, mut level, mut seen) = (vec![usize::MAX; count], height.values.clone(), vec![false; count]);
    let (mut order, mut heap) = (Vec::with_capacity(count), BinaryHeap::new());
    for index in (0..count).filter(|index| valley[*index]) {
        seen[index] = true;
        below[index] = index;
        heap.push(Wave(level[index], index));
    }
    while let Some(Wave(here, index)) = heap.pop() {
        order.push(index);
        for (next, _) in neighbours(height.size, index) {
            if !seen[next] {
                seen[next] = true;
                level[next] = level[next].max(here + 1e-4);
                below[next] = index;
                heap.push(Wave(level[next], next));
            }
        }
    }
    for &index in order.iter().filter(|index| !valley[**index]) {
        let fall = |(next, distance): (usize, f64)| ((level[index] - level[next]) / distance, next);
        let steepest = neighbours(height.size, index).map(fall).max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((fall, next)) = steepest
            && fall > 0.0
        {
            below[index] = next;
        }
    }
    let mut area_m2 = vec![height.cell_m * height.cell_m; count];
    for &index in order.iter().rev().filter(|index| !valley[**index]) {
        area_m2[below[index]] += area_m2[index];
    }
    Drainage { order, below, area_m2 }
}

/// Lets the land rise and wear. Valley cells stay where they are.
pub fn wear(height: &mut Field, uplift: &Field, valley: &[bool], how: &Wear) {
    for _ in 0..how.steps {
        let water = drainage(height, valley);
        for &index in water.order.iter().filter(|index| !valley[**index]) {
            let below = water.below[index];
            let (x, y) = height.place(index);
            let (bx, by) = height.place(below);
            let distance = ((x - bx) * (x - bx) + (y - by) * (y - by)).sqrt();
            let share = how.cutting * how.step * water.area_m2[index].sqrt() / distance;
            let raised = height.values[index] + uplift.values[index] * how.step;
            height.values[index] = (raised + share * height.values[below].min(raised)) / (1.0 + share);
        }
        creep(height, valley, how.creep * how.step);
    }
}

/// Soil creep, in steps short enough to be stable.
fn creep(height: &mut Field, valley: &[bool], amount_m2: f64) {
    let limit_m2 = 0.2 * height.cell_m * height.cell_m;
    let rounds = (amount_m2 / limit_m2).ceil().max(1.0);
    let share = amount_m2 / rounds / (height.cell_m * height.cell_m);
    for _ in 0..rounds as usize {
        let before = height.clone();
        for index in (0..before.values.len()).filter(|index| !valley[*index]) {
            let (column, row) = ((index % before.size) as i64, (index / before.size) as i64);
            let around = before.cell(column - 1, row)
                + before.cell(column + 1, row)
                + before.cell(column, row - 1)
                + before.cell(column, row + 1);
            height.values[index] += share * (around - 4.0 * before.values[index]);
        }
    }
}
