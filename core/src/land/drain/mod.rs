//! What water does on bare ground: hollows filled, the way down from every cell, and how much ground lies above it.
//!
//! Trees, soil and rain are not in it, nor pipes that nobody drew: it says where water would gather on the ground as the grid has it.

mod fill;
mod links;
mod shares;
mod wet;
mod whole;

pub use fill::{FALL_PER_CELL_M, Filled};
pub use links::{Link, Links};
pub use shares::{D8, DInfinity, Freeman, Receivers, gathered, source_shares};
pub use wet::{FLATTEST, wetness};
pub use whole::{DrainageError, drainage_ha};

pub(super) use links::crossing;
pub(super) use shares::distance_cells;

use super::{MapPoint, WorkingGrid};
use crate::units::{Area, Length};

/// The eight neighbours of a cell as (columns, rows), clockwise from north; where two ways are alike the first one counts.
pub(super) const NEIGHBOURS: [(isize, isize); 8] = [(0, -1), (1, -1), (1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1)];

/// How far the neighbours are, in cells.
pub(super) const DISTANCES: [f64; 8] = {
    const D: f64 = std::f64::consts::SQRT_2;
    [1.0, D, 1.0, D, 1.0, D, 1.0, D]
};

/// The ways of water on a working grid.
#[derive(Clone, Debug, PartialEq)]
pub struct Drainage {
    grid: WorkingGrid,
    filled: Filled,
    down: Vec<u8>,
    /// Cells that drain through each cell, itself counted.
    cells: Vec<u32>,
    /// Whether more may come to each cell from beyond the known ground.
    fed_from_beyond: Vec<bool>,
}

impl Drainage {
    /// Hollows filled so that every cell drains, the steepest way down, and what gathers on it. Along each of the lines in `breaches`
    /// water gets through whatever lies across it: a culvert, or a stream that was walked.
    pub fn of(grid: WorkingGrid, breaches: &[Vec<MapPoint>]) -> Self {
        let grid = breaches.iter().fold(grid, |grid, line| fill::breached(grid, line));
        let filled = Filled::falling(&grid);
        let down = shares::steepest(&grid, &filled.heights_m);
        let cells = shares::counts(&grid, &filled, &down);
        let fed_from_beyond = shares::fed_from_beyond(&grid, &down);
        Self { grid, filled, down, cells, fed_from_beyond }
    }

    /// The ground, breached where that was asked for, with its hollows.
    pub fn grid(&self) -> &WorkingGrid {
        &self.grid
    }

    /// The ground with its hollows filled.
    pub fn filled(&self) -> &Filled {
        &self.filled
    }

    /// How deep a hollow is at a cell before water runs over its rim; `None` where the ground is not known.
    pub fn hollow(&self, index: usize) -> Option<Length> {
        let depth_m = self.filled.heights_m[index] - self.grid.heights_m()[index];
        depth_m.is_finite().then(|| Length::metres(depth_m))
    }

    /// The cell that water from this one runs to; `None` where it leaves the ground that is known.
    pub fn downstream(&self, index: usize) -> Option<usize> {
        shares::next_on(&self.grid, index, self.down[index])
    }

    /// The ground that drains through a cell, itself included.
    pub fn upslope(&self, index: usize) -> Area {
        self.cell_area() * f64::from(self.cells[index])
    }

    fn cell_area(&self) -> Area {
        Area::square_metres(self.grid.spacing().as_metres().powi(2))
    }

    /// Every step of water from a cell to the next through which at least this much ground drains.
    pub fn links(&self, least: Area) -> Links {
        links::links(self, least)
    }

    /// For every cell how high it lies above the channel that its water runs into, a channel being where at least this much ground
    /// drains; NaN where it runs off the known ground before.
    pub fn above_channel_m(&self, channel: Area) -> Vec<f64> {
        wet::above_channel_m(self, channel)
    }
}
