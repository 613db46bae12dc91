//! Hollows filled to their rims.

use super::super::{MapPoint, WorkingGrid};
use super::{DISTANCES, DrainageError, NEIGHBOURS};
use crate::job::Job;
use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;

/// How much filled ground falls from cell to cell, metres: enough to lead water out, far below what a grid knows.
pub const FALL_PER_CELL_M: f64 = 1e-5;

/// Ground without hollows.
#[derive(Clone, Debug, PartialEq)]
pub struct Filled {
    /// Heights row by row from the north; NaN where there is none.
    pub heights_m: Vec<f64>,
    /// All known cells, the lowest first.
    pub order: Vec<u32>,
}

/// A cell at the edge of what has been reached.
#[derive(Clone, Copy, PartialEq)]
struct Front {
    height_m: f64,
    /// Cells of one height come out as they went in, so that results repeat on every machine.
    nth: u32,
    cell: u32,
}

impl Eq for Front {}

impl PartialOrd for Front {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Front {
    fn cmp(&self, other: &Self) -> Ordering {
        self.height_m.total_cmp(&other.height_m).then(self.nth.cmp(&other.nth))
    }
}

impl Filled {
    /// Every hollow filled level with the lowest place of its rim. The ground ends at its edge and at unknown cells: water leaves there.
    ///
    /// Priority-flood: from the outlets inwards, always on from the lowest cell reached; a neighbour is raised to it if it lies lower. Raised
    /// cells need no place in the queue, they are gone on from at once.
    ///
    /// # Source
    /// barnes-2014
    pub fn level(grid: &WorkingGrid) -> Self {
        let mut flood = Flood::of(grid);
        let mut hollow: Vec<Front> = Vec::new();
        while let Some(from) = hollow.pop().or_else(|| flood.next()) {
            flood.order.push(from.cell);
            for step in flood.steps {
                let Some(front) = flood.reach(from, step, 0.0) else { continue };
                if front.height_m > from.height_m { flood.queue.push(Reverse(front)) } else { hollow.push(front) }
            }
        }
        flood.filled()
    }

    /// The same, with filled ground that falls by [`FALL_PER_CELL_M`] from cell to cell towards its outlet, so that every cell but the outlets
    /// has a lower neighbour.
    ///
    /// # Source
    /// barnes-2014
    pub fn falling(grid: &WorkingGrid) -> Self {
        let mut flood = Flood::of(grid);
        while let Some(from) = flood.next() {
            flood.fall_on(from);
        }
        flood.filled()
    }

    /// As [`Self::falling`], of rows that are handed over one by one, in memory that is asked for beforehand. Half of `job` is done then.
    pub(super) fn falling_of_rows(
        (columns, rows): (usize, usize),
        row: impl Fn(usize, &mut [f64]),
        job: &Job,
    ) -> Result<Self, DrainageError> {
        /// So many cells are gone through between two looks at the job.
        const ASKED_EVERY: usize = 1 << 16;
        let mut flood = Flood::over((columns, rows), row)?;
        let cells = columns * rows;
        while let Some(from) = flood.next() {
            flood.fall_on(from);
            if flood.order.len().is_multiple_of(ASKED_EVERY) {
                job.proceed()?;
                job.set_share_done(0.5 * flood.order.len() as f64 / cells as f64);
            }
        }
        Ok(flood.filled())
    }
}

/// The flood on its way inwards. Cells are counted with a rim of one cell around the grid that counts as reached, so that every cell has
/// eight neighbours.
struct Flood {
    heights_m: Vec<f64>,
    reached: Vec<bool>,
    queue: BinaryHeap<Reverse<Front>>,
    order: Vec<u32>,
    steps: [isize; 8],
    pushed: u32,
    /// Columns and rows without the rim.
    size: (usize, usize),
}

/// Memory for so many values; refused where the system has none.
fn room<T>(values: usize) -> Result<Vec<T>, DrainageError> {
    let mut room = Vec::new();
    let bytes = (values * size_of::<T>()) as u64;
    room.try_reserve_exact(values).map_err(|_| DrainageError::NoMemory { bytes })?;
    Ok(room)
}

impl Flood {
    fn of(grid: &WorkingGrid) -> Self {
        let columns = grid.columns();
        let row = |row: usize, line: &mut [f64]| line.copy_from_slice(&grid.heights_m()[row * columns..][..columns]);
        Self::over((columns, grid.rows()), row).expect("the working grid had memory, and this takes twice that")
    }

    fn over((columns, rows): (usize, usize), row: impl Fn(usize, &mut [f64])) -> Result<Self, DrainageError> {
        let width = columns + 2;
        let mut heights_m = room(width * (rows + 2))?;
        heights_m.resize(width * (rows + 2), f64::NAN);
        for index in 0..rows {
            row(index, &mut heights_m[(index + 1) * width + 1..][..columns]);
        }
        let mut reached = room(heights_m.len())?;
        reached.extend(heights_m.iter().map(|height: &f64| !height.is_finite()));
        let steps = NEIGHBOURS.map(|(across, down)| down * width as isize + across);
        let order = room(columns * rows)?;
        let mut flood = Self { heights_m, reached, queue: BinaryHeap::new(), order, steps, pushed: 0, size: (columns, rows) };
        for row in 1..=rows {
            for cell in (row * width + 1)..(row * width + 1 + columns) {
                let is_outlet =
                    !flood.reached[cell] && steps.iter().any(|step| flood.heights_m[cell.wrapping_add_signed(*step)].is_nan());
                if is_outlet {
                    let front = flood.front(cell);
                    flood.queue.push(Reverse(front));
                }
            }
        }
        // Only now: what has been reached must not make its neighbours look like outlets.
        let outlets: Vec<u32> = flood.queue.iter().map(|Reverse(front)| front.cell).collect();
        outlets.into_iter().for_each(|cell| flood.reached[cell as usize] = true);
        Ok(flood)
    }

    /// Goes on from a cell to its neighbours, each a little higher at least.
    fn fall_on(&mut self, from: Front) {
        self.order.push(from.cell);
        for step in self.steps {
            if let Some(front) = self.reach(from, step, FALL_PER_CELL_M) {
                self.queue.push(Reverse(front));
            }
        }
    }

    fn front(&mut self, cell: usize) -> Front {
        self.pushed += 1;
        Front { height_m: self.heights_m[cell], nth: self.pushed, cell: u32::try_from(cell).expect("grids have fewer cells") }
    }

    fn next(&mut self) -> Option<Front> {
        self.queue.pop().map(|Reverse(front)| front)
    }

    /// The neighbour one step on, raised above the cell it was reached from; `None` where something was before.
    fn reach(&mut self, from: Front, step: isize, rise_m: f64) -> Option<Front> {
        let cell = (from.cell as usize).wrapping_add_signed(step);
        if std::mem::replace(&mut self.reached[cell], true) {
            return None;
        }
        self.heights_m[cell] = self.heights_m[cell].max(from.height_m + rise_m);
        Some(self.front(cell))
    }

    /// Without the rim again, in the memory that there is.
    fn filled(self) -> Filled {
        let Self { mut heights_m, mut order, size: (columns, rows), .. } = self;
        let width = columns + 2;
        for row in 0..rows {
            let first = (row + 1) * width + 1;
            heights_m.copy_within(first..first + columns, row * columns);
        }
        heights_m.truncate(columns * rows);
        let (width, columns) = (width as u32, columns as u32);
        order.iter_mut().for_each(|cell| *cell = (*cell / width - 1) * columns + *cell % width - 1);
        Filled { heights_m, order }
    }
}

/// The ground cut along a line so far that water gets from its higher end to its lower one: no cell on the way is higher than those before.
pub(super) fn breached(grid: WorkingGrid, line: &[MapPoint]) -> WorkingGrid {
    let mut cells = cells_along(&grid, line);
    cells.retain(|cell| grid.heights_m()[*cell].is_finite());
    let (Some(first), Some(last)) = (cells.first(), cells.last()) else { return grid };
    if grid.heights_m()[*first] < grid.heights_m()[*last] {
        cells.reverse();
    }
    let mut heights_m = grid.heights_m().to_vec();
    let mut lowest_m = f64::INFINITY;
    for cell in cells {
        lowest_m = lowest_m.min(heights_m[cell]);
        heights_m[cell] = lowest_m;
    }
    grid.with_heights(heights_m)
}

/// The cells a line runs through, in its order, each next to the one before.
pub(in super::super) fn cells_along(grid: &WorkingGrid, line: &[MapPoint]) -> Vec<usize> {
    /// Steps this short pass no cell by.
    const STEP_CELLS: f64 = 0.25;
    let mut cells: Vec<usize> = Vec::new();
    for leg in line.windows(2) {
        let steps = (leg[0].distance_m(leg[1]) / (STEP_CELLS * grid.spacing().as_metres())).ceil().max(1.0);
        let along = (0..=steps as usize).filter_map(|step| grid.cell_of(leg[0].towards(leg[1], step as f64 / steps)));
        for cell in along {
            if cells.last() != Some(&cell) {
                cells.push(cell);
            }
        }
    }
    cells
}

/// The rise from a cell to a neighbour over the way there, in cells.
#[inline]
pub(super) fn drop_per_cell(heights_m: &[f64], from: usize, to: usize, towards: usize) -> f64 {
    (heights_m[from] - heights_m[to]) / DISTANCES[towards]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    fn grid(columns: usize, heights_m: &[f64]) -> WorkingGrid {
        WorkingGrid::from_heights(columns, Length::metres(10.0), MapPoint::new(5.0, 95.0), heights_m.to_vec())
    }

    #[test]
    fn an_unknown_cell_in_a_hollow_lets_the_water_out() {
        let mut heights = vec![9.0; 25];
        [6, 7, 8, 11, 12, 13, 16, 17, 18].into_iter().for_each(|k| heights[k] = 5.0);
        assert!((Filled::level(&grid(5, &heights)).heights_m[12] - 9.0).abs() < 1e-12);
        heights[8] = f64::NAN;
        let filled = Filled::level(&grid(5, &heights));
        assert!((filled.heights_m[12] - 5.0).abs() < 1e-12);
        assert_eq!(filled.order.len(), 24);
    }

    #[test]
    fn the_order_runs_from_the_lowest_to_the_highest() {
        let heights: Vec<f64> = (0..400).map(|k: usize| (k * 7919 % 101) as f64).collect();
        let grid = grid(20, &heights);
        for filled in [Filled::level(&grid), Filled::falling(&grid)] {
            let sorted =
                filled.order.windows(2).all(|two| filled.heights_m[two[0] as usize] <= filled.heights_m[two[1] as usize]);
            assert!(sorted && filled.order.len() == 400);
            assert!(filled.heights_m.iter().zip(&heights).all(|(filled, before)| filled >= before));
        }
    }

    #[test]
    fn a_line_across_a_dam_lets_the_water_through_whichever_way_it_was_drawn() {
        // A valley falling to the east between steep sides and a head, with a dam across it in column 5.
        let height = |k: usize| {
            let (column, row) = ((k % 10) as f64, (k / 10) as f64);
            20.0 - 0.5 * column + 2.0 * (row - 4.0).abs() + [10.0, 0.0, 0.0, 0.0, 0.0, 6.0, 0.0, 0.0, 0.0, 0.0][k % 10]
        };
        let dammed = grid(10, &(0..90).map(height).collect::<Vec<f64>>());
        let raised =
            |grid: &WorkingGrid| Filled::level(grid).heights_m.iter().zip(grid.heights_m()).filter(|(a, b)| a > b).count();
        assert!(raised(&dammed) > 5);
        let culvert = [dammed.centre(4, 4), dammed.centre(6, 4)];
        for line in [culvert, [culvert[1], culvert[0]]] {
            assert_eq!(raised(&breached(dammed.clone(), &line)), 0);
        }
        assert_eq!(cells_along(&dammed, &culvert), [44, 45, 46]);
    }
}
