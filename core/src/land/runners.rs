//! Animals that run down a hillside: how many pass each cell in a year, how fast, and how many of them a fence stops.
//!
//! A hypothesis of ours with physical parts; nobody seems to have measured strikes against the ground above a fence. What it says of places
//! compared with each other hardly depends on the unknown numbers, what it says of counts depends on them by a factor of two or more.
//! Trails, food, water, dogs, hunting, roads and snow are not in it, and runners go down only.
//!
//! # Source
//! Key `runner-model`.

use super::drain::{Filled, Freeman, Receivers, crossing, distance_cells};
use super::{MapPoint, MapRect, WorkingGrid};
use crate::units::{Area, Length};

/// How animals run: the numbers nobody has measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Habits {
    /// They choose between the ways down by this power of their slope: between water's 1.1 and the 10 of a single trail.
    pub way_power: f64,
    /// How far a flight goes on a hillside, metres: one in e goes on.
    pub flight_m: f64,
    /// On ground flatter than this flights end sooner, in proportion.
    pub fades_below: f64,
    /// Speed at the start and on the flat, m/s.
    pub least_m_per_s: f64,
    /// The highest speed, m/s.
    pub most_m_per_s: f64,
    /// The slope from which on it is reached.
    pub fastest_from: f64,
    /// Over this way the square of the speed comes near what the slope allows, metres.
    pub picks_up_over_m: f64,
    /// Braking force over weight, on leaf litter.
    pub grip: f64,
    /// How far ahead a thin wire is seen in a wood at dusk, metres.
    pub sees_wire_m: f64,
    /// How far ahead a marked wire is seen, metres.
    pub sees_marks_m: f64,
}

impl Habits {
    /// What is taken for usual.
    ///
    /// # Source
    /// runner-model
    pub const USUAL: Self = Self {
        way_power: 4.0,
        flight_m: 200.0,
        fades_below: 0.1,
        least_m_per_s: 3.0,
        most_m_per_s: 8.0,
        fastest_from: 0.5,
        picks_up_over_m: 30.0,
        grip: 0.6,
        sees_wire_m: 8.0,
        sees_marks_m: 20.0,
    };
}

/// Braking that is left on ground too steep to stop on, m/s2.
const LEAST_BRAKING: f64 = 0.3;
const GRAVITY: f64 = 9.81;
/// Corners of a fence in the very middle of a cell are taken this far beside it, cells: a way through a corner would count twice or never.
const BESIDE_CELLS: (f64, f64) = (0.0013, 0.0017);

/// The way an animal needs to stop from a speed down a slope.
///
/// d = v^2 / (2 max(b, g (mu cos th - sin th))), th = atan(slope), b the braking that is always left
///
/// # Units
/// `speed_m_per_s` in m/s; the result in metres.
///
/// # Valid for
/// Slopes up to 1; `grip` 0.4 (mud, snow) to 0.8 (dry grass).
///
/// # Source
/// runner-model
pub fn stopping_m(speed_m_per_s: f64, slope: f64, grip: f64) -> f64 {
    let angle = slope.atan();
    let braking = (GRAVITY * (grip * angle.cos() - angle.sin())).max(LEAST_BRAKING);
    speed_m_per_s * speed_m_per_s / (2.0 * braking)
}

/// The chance that an animal cannot stop or turn in time: how far ahead it sees the fence is taken as exponential.
///
/// P = 1 - exp(-d / s)
///
/// # Units
/// Stopping way `d` and mean distance of sight `s` in metres; the result 0 to 1.
///
/// # Valid for
/// Any positive numbers.
///
/// # Source
/// runner-model
pub fn chance_of_striking(stopping_m: f64, sees_m: f64) -> f64 {
    1.0 - (-stopping_m / sees_m).exp()
}

/// Runners on a working grid, in a year.
#[derive(Clone, Debug, PartialEq)]
pub struct Runners {
    habits: Habits,
    grid: WorkingGrid,
    filled: Filled,
    /// Runners that are in each cell, those that start there included.
    passing: Vec<f64>,
    /// Their mean speed when they leave it, m/s.
    speed_m_per_s: Vec<f64>,
}

/// Runners from one cell to a neighbour.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Move {
    to: usize,
    runners: f64,
    /// Which of them are still running when they get there, 0 to 1.
    lasting: f64,
    slope: f64,
    /// Speed on arriving.
    speed_m_per_s: f64,
}

/// Runners across one place of a fence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crossing {
    /// How far along the piece of fence, 0 to 1.
    pub along: f64,
    /// Where.
    pub at: MapPoint,
    /// How many in a year.
    pub runners: f64,
    /// How many of them do not stop, in a year.
    pub strikes: f64,
    /// How many would not stop if the wire were marked.
    pub strikes_marked: f64,
    /// Their speed, m/s.
    pub speed_m_per_s: f64,
    /// The slope they come down.
    pub slope: f64,
    /// Degrees between their way and the fence; 90 is head-on.
    pub approach_deg: f64,
    /// The way they run, of length 1.
    pub way: MapPoint,
}

/// Where the runners of a place come from.
#[derive(Clone, Debug, PartialEq)]
pub struct Hillside {
    /// The fewest cells from which nine in ten of them come, the most giving first.
    pub cells: Vec<usize>,
    /// Their area.
    pub area: Area,
    /// Mean way from their start, on the map.
    pub way: Length,
}

impl Runners {
    /// Runners on the filled ground of a grid when `starts` gives how many begin in each cell in a year.
    ///
    /// From the highest cell down each hands its runners to lower neighbours by a power of the slope; on the way some give up, sooner on flat
    /// ground, and the square of their speed comes near what the slope allows.
    ///
    /// # Source
    /// runner-model
    pub fn of(grid: WorkingGrid, filled: Filled, habits: Habits, starts: impl Fn(usize) -> f64) -> Self {
        let (passing, speed_m_per_s) = (vec![0.0; filled.heights_m.len()], vec![0.0; filled.heights_m.len()]);
        let mut runners = Self { habits, grid, filled, passing, speed_m_per_s };
        // On the way down this holds the sum of speeds until a cell's turn comes.
        for nth in (0..runners.filled.order.len()).rev() {
            let cell = runners.filled.order[nth] as usize;
            let own = starts(cell);
            let all = runners.passing[cell] + own;
            let sum = runners.speed_m_per_s[cell] + own * habits.least_m_per_s;
            runners.passing[cell] = all;
            runners.speed_m_per_s[cell] = if all > 0.0 { sum / all } else { habits.least_m_per_s };
            let (mut moves, mut known) = ([None; 8], 0);
            runners.each_move(cell, |one| {
                moves[known] = Some(one);
                known += 1;
            });
            for Move { to, runners: going, lasting, speed_m_per_s, .. } in moves.into_iter().flatten() {
                runners.passing[to] += going * lasting;
                runners.speed_m_per_s[to] += going * lasting * speed_m_per_s;
            }
        }
        runners
    }

    /// The working grid.
    pub fn grid(&self) -> &WorkingGrid {
        &self.grid
    }

    /// How many pass a cell in a year, those that start there included.
    pub fn passing(&self, cell: usize) -> f64 {
        self.passing[cell]
    }

    fn each_move(&self, cell: usize, mut see: impl FnMut(Move)) {
        let (runners, speed) = (self.passing[cell], self.speed_m_per_s[cell]);
        if runners <= 0.0 {
            return;
        }
        let (habits, heights_m) = (self.habits, &self.filled.heights_m);
        let spacing_m = self.grid.spacing().as_metres();
        Freeman { power: habits.way_power }.each(&self.grid, heights_m, cell, |towards, to, share| {
            let way_m = spacing_m * distance_cells(towards);
            let slope = (heights_m[cell] - heights_m[to]) / way_m;
            let allowed =
                habits.least_m_per_s + (habits.most_m_per_s - habits.least_m_per_s) * (slope / habits.fastest_from).min(1.0);
            let (now2, allowed2) = (speed * speed, allowed * allowed);
            see(Move {
                to,
                runners: runners * share,
                lasting: (-way_m / (habits.flight_m * (slope / habits.fades_below).min(1.0))).exp(),
                slope,
                speed_m_per_s: (allowed2 + (now2 - allowed2) * (-way_m / habits.picks_up_over_m).exp()).sqrt(),
            });
        });
    }

    /// The runners across a straight piece of fence, along it.
    pub fn across(&self, from: MapPoint, to: MapPoint) -> Vec<Crossing> {
        let (from, to) = (self.beside_middles(from), self.beside_middles(to));
        let mut all = Vec::new();
        for cell in self.cells_near(from, to) {
            let here = self.grid.centre_of(cell);
            self.each_move(cell, |one| {
                let there = self.grid.centre_of(one.to);
                if let Some(along) = crossing(from, to, here, there) {
                    all.push(self.crossing_of(&one, (from, to), along, (here, there)));
                }
            });
        }
        all.sort_by(|one, other| one.along.total_cmp(&other.along));
        all
    }

    fn crossing_of(&self, one: &Move, fence: (MapPoint, MapPoint), along: f64, (here, there): (MapPoint, MapPoint)) -> Crossing {
        let way = (there - here) * (1.0 / here.distance_m(there));
        let head_on = head_on(fence, (here, there));
        let stopping_m = stopping_m(one.speed_m_per_s, one.slope, self.habits.grip);
        let strikes = |sees_m: f64| one.runners * chance_of_striking(stopping_m, sees_m) * head_on;
        Crossing {
            along,
            at: fence.0.towards(fence.1, along),
            runners: one.runners,
            strikes: strikes(self.habits.sees_wire_m),
            strikes_marked: strikes(self.habits.sees_marks_m),
            speed_m_per_s: one.speed_m_per_s,
            slope: one.slope,
            approach_deg: head_on.asin().to_degrees(),
            way,
        }
    }

    /// Where a point lies in the middle of a cell, a little beside it.
    fn beside_middles(&self, at: MapPoint) -> MapPoint {
        let (column, row) = self.grid.to_cells(at);
        let is_middle = |cells: f64| (cells - cells.round()).abs() < 1e-9;
        let off = |cells: f64, by: f64| if is_middle(cells) { cells + by } else { cells };
        self.grid.to_map(off(column, BESIDE_CELLS.1), off(row, BESIDE_CELLS.0))
    }

    /// The cells from which a step may cross a piece.
    fn cells_near(&self, from: MapPoint, to: MapPoint) -> impl Iterator<Item = usize> + '_ {
        let (a, b) = (self.grid.to_cells(from), self.grid.to_cells(to));
        let span = |a: f64, b: f64, count: usize| {
            let (low, high) = (a.min(b).floor() - 1.0, a.max(b).ceil() + 1.0);
            low.clamp(0.0, count as f64) as usize..(high + 1.0).clamp(0.0, count as f64) as usize
        };
        let columns = span(a.0, b.0, self.grid.columns());
        span(a.1, b.1, self.grid.rows()).flat_map(move |row| columns.clone().map(move |column| self.grid.index(column, row)))
    }

    /// The hillside whose runners cross any of these pieces of fence; `starts` as they were given. `None` where nobody does.
    pub fn hillside_above(&self, fence: &[(MapPoint, MapPoint)], starts: impl Fn(usize) -> f64) -> Option<Hillside> {
        /// Of the runners that come, the cells that give so many are named.
        const SHARE: f64 = 0.9;
        let fence: Vec<_> = fence.iter().map(|(from, to)| (self.beside_middles(*from), self.beside_middles(*to))).collect();
        let is_near: std::collections::HashSet<usize> = fence.iter().flat_map(|(from, to)| self.cells_near(*from, *to)).collect();
        let count = self.filled.heights_m.len();
        // Of those who leave a cell: how many cross the fence, and how far they still have to go there.
        let (mut crossing_share, mut way_m) = (vec![0.0; count], vec![0.0; count]);
        let mut gives: Vec<(usize, f64)> = Vec::new();
        for cell in self.filled.order.iter() {
            let cell = *cell as usize;
            let here = self.grid.centre_of(cell);
            let all = self.passing[cell];
            let (mut sum, mut sum_way) = (0.0, 0.0);
            self.each_move(cell, |one| {
                let there = self.grid.centre_of(one.to);
                let crosses =
                    is_near.contains(&cell) && fence.iter().any(|(from, to)| crossing(*from, *to, here, there).is_some());
                let share = one.runners / all * if crosses { 1.0 } else { one.lasting * crossing_share[one.to] };
                sum += share;
                sum_way += share * (here.distance_m(there) + if crosses { 0.0 } else { way_m[one.to] });
            });
            crossing_share[cell] = sum;
            way_m[cell] = if sum > 0.0 { sum_way / sum } else { 0.0 };
            if sum > 0.0 {
                gives.push((cell, sum * starts(cell)));
            }
        }
        gives.sort_by(|one, other| other.1.total_cmp(&one.1).then(one.0.cmp(&other.0)));
        let all: f64 = gives.iter().map(|(_, gives)| gives).sum();
        let mean_way_m = gives.iter().map(|(cell, gives)| gives * way_m[*cell]).sum::<f64>() / all;
        let enough = |so_far: &mut f64, gives: f64| {
            let before = *so_far;
            *so_far += gives;
            (before < SHARE * all).then_some(())
        };
        let cells: Vec<usize> =
            gives.into_iter().scan(0.0, |so_far, (cell, gives)| enough(so_far, gives).map(|()| cell)).collect();
        let cell_m2 = self.grid.spacing().as_metres().powi(2);
        let area = Area::square_metres(cell_m2 * cells.len() as f64);
        (all > 0.0).then_some(Hillside { cells, area, way: Length::metres(mean_way_m) })
    }
}

/// One step of runners from cell to cell.
#[derive(Clone, Copy, Debug)]
struct Step {
    here: MapPoint,
    there: MapPoint,
    /// Strikes in a year on a fence that stands square across it.
    head_on: f64,
    speed_m_per_s: f64,
}

/// The steps of all runners in a part of the ground laid out once, for whoever asks about thousands of short pieces of fence.
#[derive(Clone, Debug)]
pub struct RunnerSteps<'a> {
    runners: &'a Runners,
    /// Where the steps of each cell begin.
    first: Vec<u32>,
    steps: Vec<Step>,
}

impl Runners {
    /// The steps that begin in a rectangle.
    pub fn steps(&self, within: MapRect) -> RunnerSteps<'_> {
        let count = self.filled.heights_m.len();
        let (mut first, mut steps) = (Vec::with_capacity(count + 1), Vec::new());
        for cell in 0..count {
            first.push(steps.len() as u32);
            let here = self.grid.centre_of(cell);
            if !within.contains(here) {
                continue;
            }
            self.each_move(cell, |one| {
                let stopping_m = stopping_m(one.speed_m_per_s, one.slope, self.habits.grip);
                let head_on = one.runners * chance_of_striking(stopping_m, self.habits.sees_wire_m);
                let there = self.grid.centre_of(one.to);
                steps.push(Step { here, there, head_on, speed_m_per_s: one.speed_m_per_s });
            });
        }
        first.push(steps.len() as u32);
        RunnerSteps { runners: self, first, steps }
    }
}

impl RunnerSteps<'_> {
    /// What strikes a straight piece of fence in a year, step by step: how many, and how fast in m/s. The same as [`Runners::across`] says.
    pub fn each_strike(&self, from: MapPoint, to: MapPoint, mut see: impl FnMut(f64, f64)) {
        let (from, to) = (self.runners.beside_middles(from), self.runners.beside_middles(to));
        for cell in self.runners.cells_near(from, to) {
            for step in &self.steps[self.first[cell] as usize..self.first[cell + 1] as usize] {
                if crossing(from, to, step.here, step.there).is_some() {
                    see(step.head_on * head_on((from, to), (step.here, step.there)), step.speed_m_per_s);
                }
            }
        }
    }
}

/// How squarely a way meets a fence: 1 head-on, 0 along it.
fn head_on(fence: (MapPoint, MapPoint), way: (MapPoint, MapPoint)) -> f64 {
    let unit = |(a, b): (MapPoint, MapPoint)| (b - a) * (1.0 / a.distance_m(b));
    let (fence, way) = (unit(fence), unit(way));
    (fence.x_m * way.y_m - fence.y_m * way.x_m).abs().min(1.0)
}
