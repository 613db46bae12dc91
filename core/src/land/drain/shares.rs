//! How water of a cell is shared among its neighbours: all to one, to two, or to all lower ones; and what gathers then.

use super::super::WorkingGrid;
use super::fill::{Filled, drop_per_cell};
use super::{DISTANCES, NEIGHBOURS};
use rayon::prelude::*;

/// No way down.
const NOWHERE: u8 = 8;

/// Off the grid.
const OFF: usize = usize::MAX;

/// The eight neighbours of a cell; [`OFF`] beyond the edge.
#[inline]
fn around(grid: &WorkingGrid, index: usize) -> [usize; 8] {
    let (column, row) = grid.place(index);
    let columns = grid.columns();
    if column > 0 && row > 0 && column + 1 < columns && row + 1 < grid.rows() {
        return NEIGHBOURS.map(|(across, down)| index.wrapping_add_signed(down * columns as isize + across));
    }
    NEIGHBOURS.map(|(across, down)| {
        let (Some(column), Some(row)) = (column.checked_add_signed(across), row.checked_add_signed(down)) else { return OFF };
        if column < columns && row < grid.rows() { grid.index(column, row) } else { OFF }
    })
}

/// The neighbour that a steepest way leads to; `None` where there is no way down.
pub(super) fn next_on(grid: &WorkingGrid, index: usize, towards: u8) -> Option<usize> {
    let (across, down) = *NEIGHBOURS.get(usize::from(towards))?;
    Some(index.wrapping_add_signed(down * grid.columns() as isize + across))
}

/// The steepest way down from a cell; of ways alike the first.
fn steepest_of(grid: &WorkingGrid, heights_m: &[f64], index: usize) -> u8 {
    let mut best = (0.0, NOWHERE);
    for (towards, other) in (0..NOWHERE).zip(around(grid, index)) {
        if other == OFF {
            continue;
        }
        let drop = drop_per_cell(heights_m, index, other, usize::from(towards));
        if drop > best.0 {
            best = (drop, towards);
        }
    }
    best.1
}

/// The steepest way down from every cell, as a number into the eight neighbours.
///
/// Where ground is missing beside a cell, the ground opposite is continued there: water that would run on past the edge leaves, instead of
/// gathering along it into a channel that is not there.
///
/// # Source
/// ocallaghan-mark-1984; the edge is this project's own
pub(super) fn steepest(grid: &WorkingGrid, heights_m: &[f64]) -> Vec<u8> {
    let way = |index: usize| {
        let towards = steepest_of(grid, heights_m, index);
        if towards == NOWHERE || runs_off(grid, heights_m, index, towards) { NOWHERE } else { towards }
    };
    (0..heights_m.len()).into_par_iter().with_min_len(4096).map(way).collect()
}

/// Whether the ground beyond the edge, continued from the other side of the cell, falls more steeply than the steepest way on the grid.
fn runs_off(grid: &WorkingGrid, heights_m: &[f64], index: usize, towards: u8) -> bool {
    let around = around(grid, index);
    let height = |other: usize| heights_m.get(other).copied().filter(|height| height.is_finite());
    let here = heights_m[index];
    let steepest = height(around[usize::from(towards)]).map_or(0.0, |there| (here - there) / DISTANCES[usize::from(towards)]);
    let fall_beyond = |k: usize| {
        let opposite = height(around[(k + 4) % 8]).filter(|_| height(around[k]).is_none())?;
        Some((opposite - here) / DISTANCES[k])
    };
    (0..8).filter_map(fall_beyond).any(|fall| fall > steepest)
}

/// How many cells drain through each, itself counted; 0 where the ground is not known.
pub(super) fn counts(grid: &WorkingGrid, filled: &Filled, down: &[u8]) -> Vec<u32> {
    let mut cells = vec![0_u32; down.len()];
    filled.order.iter().for_each(|cell| cells[*cell as usize] = 1);
    for cell in filled.order.iter().rev() {
        let cell = *cell as usize;
        if let Some(next) = next_on(grid, cell, down[cell]) {
            cells[next] += cells[cell];
        }
    }
    cells
}

/// Whether water may come to each cell from beyond the known ground: it, or a cell above it, lies at the edge and drains inwards.
pub(super) fn fed_from_beyond(grid: &WorkingGrid, down: &[u8]) -> Vec<bool> {
    let mut is_fed = vec![false; down.len()];
    let is_known = |cell: usize| cell != OFF && grid.heights_m()[cell].is_finite();
    let is_edge = |cell: &usize| is_known(*cell) && !around(grid, *cell).into_iter().all(is_known);
    for cell in (0..down.len()).filter(is_edge) {
        let mut at = next_on(grid, cell, down[cell]);
        while let Some(next) = at.filter(|next| !is_fed[*next]) {
            is_fed[next] = true;
            at = next_on(grid, next, down[next]);
        }
    }
    is_fed
}

/// A way of sharing what a cell has among its neighbours.
pub trait Receivers: Sync {
    /// Calls `give` with a direction (0 north, clockwise), a neighbour and its share; the shares make 1, or there are none.
    fn each(&self, grid: &WorkingGrid, heights_m: &[f64], index: usize, give: impl FnMut(usize, usize, f64));
}

/// All to the steepest neighbour.
///
/// # Source
/// ocallaghan-mark-1984
#[derive(Clone, Copy, Debug)]
pub struct D8;

impl Receivers for D8 {
    fn each(&self, grid: &WorkingGrid, heights_m: &[f64], index: usize, mut give: impl FnMut(usize, usize, f64)) {
        let towards = steepest_of(grid, heights_m, index);
        if let Some(other) = next_on(grid, index, towards) {
            give(usize::from(towards), other, 1.0);
        }
    }
}

/// To each lower neighbour by the power of its slope: share = g^p / sum of g^p.
///
/// # Source
/// freeman-1991, with p = 1.1 for water
#[derive(Clone, Copy, Debug)]
pub struct Freeman {
    /// The power of the slope.
    pub power: f64,
}

impl Freeman {
    /// For water.
    pub const WATER: Self = Self { power: 1.1 };
}

impl Receivers for Freeman {
    fn each(&self, grid: &WorkingGrid, heights_m: &[f64], index: usize, mut give: impl FnMut(usize, usize, f64)) {
        let mut lower = [(0, 0.0); 8];
        let mut sum = 0.0;
        for (towards, (one, other)) in lower.iter_mut().zip(around(grid, index)).enumerate() {
            if other == OFF {
                continue;
            }
            let drop = drop_per_cell(heights_m, index, other, towards);
            if drop > 0.0 {
                *one = (other, drop.powf(self.power));
                sum += one.1;
            }
        }
        for (towards, (other, weight)) in lower.into_iter().enumerate().filter(|(_, (_, weight))| *weight > 0.0) {
            give(towards, other, weight / sum);
        }
    }
}

/// To the one or two neighbours beside the steepest way down over the eight planes through the cell and two neighbours.
///
/// # Source
/// tarboton-1997
#[derive(Clone, Copy, Debug)]
pub struct DInfinity;

/// The planes around a cell: the neighbour straight beside it, the one at the corner, the quarter turns the plane begins from, and whether
/// its angle counts on from there (1) or back (-1). Counter-clockwise from the east.
const PLANES: [(usize, usize, f64, f64); 8] = [
    (2, 1, 0.0, 1.0),
    (0, 1, 1.0, -1.0),
    (0, 7, 1.0, 1.0),
    (6, 7, 2.0, -1.0),
    (6, 5, 2.0, 1.0),
    (4, 5, 3.0, -1.0),
    (4, 3, 3.0, 1.0),
    (2, 3, 4.0, -1.0),
];

impl DInfinity {
    /// The steepest way down, radians counter-clockwise from the east, 0 to 2 pi; `None` where all planes rise.
    pub fn angle(grid: &WorkingGrid, heights_m: &[f64], index: usize) -> Option<f64> {
        const EIGHTH: f64 = std::f64::consts::FRAC_PI_4;
        let around = around(grid, index).map(|other| heights_m.get(other).copied().filter(|height| height.is_finite()));
        let here = heights_m[index];
        let mut best = (0.0, None);
        for (beside, corner, quarter, sense) in PLANES {
            let (Some(beside), Some(corner)) = (around[beside], around[corner]) else { continue };
            let (along, across) = (here - beside, beside - corner);
            let turn = across.atan2(along);
            let (turn, slope) = match turn {
                turn if turn < 0.0 => (0.0, along),
                turn if turn > EIGHTH => (EIGHTH, (here - corner) / std::f64::consts::SQRT_2),
                turn => (turn, along.hypot(across)),
            };
            if slope > best.0 {
                best = (slope, Some(sense * turn + quarter * std::f64::consts::FRAC_PI_2));
            }
        }
        best.1
    }
}

impl Receivers for DInfinity {
    fn each(&self, grid: &WorkingGrid, heights_m: &[f64], index: usize, mut give: impl FnMut(usize, usize, f64)) {
        /// A share below this is rounding.
        const SNAP: f64 = 1e-9;
        let Some(angle) = Self::angle(grid, heights_m, index) else {
            // At the edge of the known ground planes are missing though a neighbour may be lower.
            return D8.each(grid, heights_m, index, give);
        };
        let eighths = angle / std::f64::consts::FRAC_PI_4;
        let whole = (eighths + SNAP).floor();
        let second = (eighths - whole).max(0.0);
        // Counter-clockwise from the east to clockwise from the north.
        let towards = |eighth: f64| (10 - (eighth as usize % 8)) % 8;
        for (towards, share) in [(towards(whole), 1.0 - second), (towards(whole + 1.0), second)] {
            if share > SNAP {
                give(towards, around(grid, index)[towards], share);
            }
        }
    }
}

/// What gathers in each cell when every cell has what `own` says and hands all it has on to its neighbours; NaN where there is no ground.
///
/// The order of the ground decides, so that each cell has all it will have before it gives: receivers must be lower. On ground with hollows what
/// gathers there stays there.
pub fn gathered(grid: &WorkingGrid, filled: &Filled, receivers: &impl Receivers, own: impl Fn(usize) -> f64) -> Vec<f64> {
    let mut all = vec![f64::NAN; filled.heights_m.len()];
    filled.order.iter().for_each(|cell| all[*cell as usize] = own(*cell as usize));
    for cell in filled.order.iter().rev() {
        hand_on(grid, filled, receivers, *cell as usize, &mut all);
    }
    all
}

/// A cell gives what it has to its neighbours.
pub(super) fn hand_on(grid: &WorkingGrid, filled: &Filled, receivers: &impl Receivers, cell: usize, all: &mut [f64]) {
    let has = all[cell];
    receivers.each(grid, &filled.heights_m, cell, |_, other, share| all[other] += share * has);
}

/// The share of what each cell has that comes through one of the target cells; NaN where there is no ground.
pub fn source_shares(
    grid: &WorkingGrid,
    filled: &Filled,
    receivers: &impl Receivers,
    is_target: impl Fn(usize) -> bool,
) -> Vec<f64> {
    let mut shares = vec![f64::NAN; filled.heights_m.len()];
    for cell in &filled.order {
        let cell = *cell as usize;
        let mut sum = 0.0;
        receivers.each(grid, &filled.heights_m, cell, |_, other, share| sum += share * shares[other]);
        shares[cell] = if is_target(cell) { 1.0 } else { sum };
    }
    shares
}

/// How far a neighbour is, in cells.
pub(in super::super) fn distance_cells(towards: usize) -> f64 {
    DISTANCES[towards]
}
