//! How long it takes on foot over open ground, from many places at once.

use super::{MapPoint, Reached, WorkingGrid};
use std::collections::BinaryHeap;

/// Steeper than this nobody walks with tools, rise over run.
///
/// # Source
/// Key `common-practice`.
pub const STEEPEST_WALK: f64 = 1.0;

/// How fast somebody walks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pace {
    /// Tobler's hiking function, away from paths.
    OffPath,
    /// Tobler's hiking function on a path.
    OnPath,
    /// Naismith's rule with Langmuir's corrections.
    ByClimb,
}

/// Away from paths somebody walks so much slower.
const OFF_PATH: f64 = 0.6;

/// Tobler's hiking function: `v = 6 exp(-3.5 |s + 0.05|)`.
///
/// # Units
/// `s` as rise over run in the direction of walking; the result in km/h.
/// # Valid for
/// Slopes up to 1, on a path.
/// # Source
/// `tobler-1993`.
pub fn tobler_km_per_h(slope: f64) -> f64 {
    6.0 * (-3.5 * (slope + 0.05).abs()).exp()
}

/// Naismith's rule with Langmuir's corrections: `0.72 s` a metre on the map, `6 s` more a metre of climb, `2 s` less a metre down where it
/// goes down at 5 to 12 degrees, `2 s` more where it is steeper.
///
/// # Units
/// Metres; the result in seconds.
/// # Valid for
/// A piece of one slope.
/// # Source
/// `naismith-langmuir`.
pub fn naismith_langmuir_s(run_m: f64, climb_m: f64) -> f64 {
    let flat_s = 0.72 * run_m;
    if climb_m >= 0.0 {
        return flat_s + 6.0 * climb_m;
    }
    let down_deg = (-climb_m).atan2(run_m).to_degrees();
    let per_m = match down_deg {
        steep if steep > 12.0 => 2.0,
        easy if easy >= 5.0 => -2.0,
        _ => 0.0,
    };
    flat_s - per_m * climb_m
}

impl Pace {
    /// How long a straight piece takes; `None` where it is too steep to walk.
    ///
    /// # Units
    /// Metres on the map, metres of climb (negative: down); seconds.
    /// # Valid for
    /// Pieces of one slope.
    /// # Source
    /// `tobler-1993`, `naismith-langmuir`; [`STEEPEST_WALK`].
    pub fn seconds(self, run_m: f64, climb_m: f64) -> Option<f64> {
        if run_m <= 0.0 {
            return Some(0.0);
        }
        let slope = climb_m / run_m;
        let is_walked = slope.abs() <= STEEPEST_WALK;
        let metres_per_s = |km_per_h: f64| km_per_h / 3.6;
        is_walked.then(|| match self {
            Self::OffPath => run_m / (OFF_PATH * metres_per_s(tobler_km_per_h(slope))),
            Self::OnPath => run_m / metres_per_s(tobler_km_per_h(slope)),
            Self::ByClimb => naismith_langmuir_s(run_m, climb_m),
        })
    }
}

/// Which way somebody walks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// From the starts to every cell.
    There,
    /// From every cell back to the nearest start.
    Back,
}

/// Steps to the eight neighbours of a cell and on to the eight cells a knight reaches: (columns, rows).
pub const MOVES: [(isize, isize); 16] = [
    (0, -1),
    (1, -1),
    (1, 0),
    (1, 1),
    (0, 1),
    (-1, 1),
    (-1, 0),
    (-1, -1),
    (1, -2),
    (2, -1),
    (2, 1),
    (1, 2),
    (-1, 2),
    (-2, 1),
    (-2, -1),
    (-1, -2),
];

/// Ground to walk over, with what nobody gets across.
#[derive(Clone, Debug)]
pub struct WalkGround<'a> {
    grid: &'a WorkingGrid,
    /// Moves that something is in the way of, a bit for each of [`MOVES`].
    barred: Vec<u16>,
}

impl<'a> WalkGround<'a> {
    /// Ground with nothing in the way.
    pub fn open(grid: &'a WorkingGrid) -> Self {
        Self { grid, barred: vec![0; grid.heights_m().len()] }
    }

    /// Nobody gets across this straight piece.
    pub fn bar(&mut self, from: MapPoint, to: MapPoint) {
        let (a, b) = (self.grid.to_cells(from), self.grid.to_cells(to));
        let around = |low: f64, high: f64, count: usize| {
            let first = (low.min(high) - 2.0).max(0.0).floor() as usize;
            first..((low.max(high) + 3.0).max(0.0).floor() as usize).min(count)
        };
        for row in around(a.1, b.1, self.grid.rows()) {
            for column in around(a.0, b.0, self.grid.columns()) {
                let here = (column as f64, row as f64);
                let mut barred = 0;
                for (bit, step) in MOVES.iter().enumerate() {
                    let there = (here.0 + step.0 as f64, here.1 + step.1 as f64);
                    if meet(here, there, a, b) {
                        barred |= 1 << bit;
                    }
                }
                let index = self.grid.index(column, row);
                self.barred[index] |= barred;
            }
        }
    }

    /// How long it takes from the nearest of the starts to every cell, or from every cell back to the nearest of them, in seconds; infinite
    /// where nobody gets to. A start is a cell with the time that is already spent there.
    ///
    /// Dijkstra's shortest ways with steps to sixteen neighbours: a way that points between two of them is at most 2.8 % too long.
    ///
    /// # Units
    /// Seconds.
    /// # Valid for
    /// Any grid; unknown cells are not walked.
    /// # Source
    /// `dijkstra-1959`; `tobler-1993` or `naismith-langmuir` for the pace.
    pub fn times(&self, starts: &[(usize, f64)], pace: Pace, way: Way) -> Vec<f64> {
        self.times_within(starts, pace, way, f64::INFINITY)
    }

    /// The same, as far as somebody gets in so many seconds; infinite beyond.
    pub fn times_within(&self, starts: &[(usize, f64)], pace: Pace, way: Way, most_s: f64) -> Vec<f64> {
        let mut seconds = vec![f64::INFINITY; self.barred.len()];
        let mut queue = BinaryHeap::new();
        for (cell, spent_s) in starts {
            if self.grid.heights_m()[*cell].is_finite() && *spent_s < seconds[*cell] {
                seconds[*cell] = *spent_s;
                queue.push(Reached { cost: *spent_s, index: *cell });
            }
        }
        let lengths_m = MOVES.map(|(columns, rows)| (columns as f64).hypot(rows as f64) * self.grid.spacing().as_metres());
        while let Some(Reached { cost: spent_s, index: cell }) = queue.pop() {
            if spent_s > seconds[cell] {
                continue;
            }
            for (bit, length_m) in lengths_m.iter().enumerate() {
                let Some(next) = self.beyond(cell, bit) else { continue };
                let climb_m = self.grid.heights_m()[next] - self.grid.heights_m()[cell];
                let climb_m = if way == Way::There { climb_m } else { -climb_m };
                let Some(step_s) = pace.seconds(*length_m, climb_m).filter(|step_s| step_s.is_finite()) else { continue };
                if spent_s + step_s < seconds[next] && spent_s + step_s <= most_s {
                    seconds[next] = spent_s + step_s;
                    queue.push(Reached { cost: spent_s + step_s, index: next });
                }
            }
        }
        seconds
    }

    /// The cells that the quickest way to a cell leads over, from a start on, by the times to all cells ([`Way::There`]).
    pub fn way(&self, times: &[f64], pace: Pace, to: usize) -> Vec<usize> {
        let mut way = vec![to];
        let mut cell = to;
        while times[cell].is_finite() && way.len() <= times.len() {
            let before = (0..MOVES.len()).filter_map(|bit| {
                let before = self.beyond(cell, bit).filter(|before| times[*before] < times[cell])?;
                let run_m = (MOVES[bit].0 as f64).hypot(MOVES[bit].1 as f64) * self.grid.spacing().as_metres();
                let step_s = pace.seconds(run_m, self.grid.heights_m()[cell] - self.grid.heights_m()[before])?;
                Some((before, times[before] + step_s))
            });
            match before.min_by(|one, other| one.1.total_cmp(&other.1)) {
                // A start is reached at once, not over another cell.
                Some((before, by_s)) if by_s <= times[cell] + 1e-6 => cell = before,
                _ => break,
            }
            way.push(cell);
        }
        way.reverse();
        way
    }

    /// The cell that a move leads to; `None` off the grid, onto unknown ground or where something is in the way.
    fn beyond(&self, cell: usize, bit: usize) -> Option<usize> {
        if self.barred[cell] & (1 << bit) != 0 {
            return None;
        }
        let (column, row) = self.grid.place(cell);
        let column = column.checked_add_signed(MOVES[bit].0).filter(|column| *column < self.grid.columns())?;
        let row = row.checked_add_signed(MOVES[bit].1).filter(|row| *row < self.grid.rows())?;
        let next = self.grid.index(column, row);
        self.grid.heights_m()[next].is_finite().then_some(next)
    }
}

/// Whether two straight pieces meet; touching counts.
fn meet(a: (f64, f64), b: (f64, f64), c: (f64, f64), d: (f64, f64)) -> bool {
    let (ab, cd, ac) = ((b.0 - a.0, b.1 - a.1), (d.0 - c.0, d.1 - c.1), (c.0 - a.0, c.1 - a.1));
    let turn = ab.0 * cd.1 - ab.1 * cd.0;
    let (along, across) = ((ac.0 * cd.1 - ac.1 * cd.0) / turn, (ac.0 * ab.1 - ac.1 * ab.0) / turn);
    // Parallel pieces give no number and do not meet.
    (0.0..=1.0).contains(&along) && (0.0..=1.0).contains(&across)
}
