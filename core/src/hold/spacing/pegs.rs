//! Pegs between posts: they hold strands at their height over a hump or in a hollow and bear no other load.
//!
//! Posts stand no farther apart than without them, and a peg is never pulled upwards by more than it holds. From one post the fewest pegs
//! to every place ahead are found number by number: of all ways to a peg that one is kept on which the strands come in steepest,
//! for it leaves the most room ahead, as the pull upwards is `V = T (sin out - sin in)`.

use super::hanging::Floor;
use super::{Hanging, Question};

/// No bay has more pegs than this: where it would, a post costs less, or the hollow wants filling (`common-practice`).
pub const MOST_PEGS: usize = 3;
const SAME_M: f64 = 1e-9;

/// What pegs may do.
#[derive(Clone, Copy, Debug)]
pub struct Pegs<'a> {
    /// What one costs, in thousandths of a driven post.
    pub cost: u32,
    /// Where one may stand, by sample.
    pub may_stand: &'a [bool],
    /// Tension of all strands together, N.
    pub tension_n: f64,
    /// What one holds upwards, N.
    pub hold_n: f64,
}

/// A piece of strands between two samples that keeps the band.
#[derive(Clone, Copy)]
struct Reach {
    to: usize,
    /// Rise over length on the slope.
    sine: f64,
}

/// All pieces of strands that keep the band between two stops.
pub(super) struct Bays<'a> {
    question: &'a Question<'a>,
    heights_m: &'a [f64],
    pegs: Pegs<'a>,
    start: usize,
    end: usize,
    /// Pieces by the sample they begin at; `first[k]..first[k + 1]` of sample `start + k`.
    reaches: Vec<Reach>,
    first: Vec<usize>,
}

impl<'a> Bays<'a> {
    pub(super) fn of(question: &'a Question<'a>, heights_m: &'a [f64], pegs: Pegs<'a>, (start, end): (usize, usize)) -> Self {
        let mut bays = Self { question, heights_m, pegs, start, end, reaches: Vec::new(), first: vec![0] };
        let mut lowest_slope = vec![0.0; question.hanging.floors().len()];
        for from in start..end {
            bays.add_from(from, &mut lowest_slope);
            bays.first.push(bays.reaches.len());
        }
        bays
    }

    /// The same sweep as for posts alone: each sample passed closes in the slopes that are left.
    fn add_from(&mut self, from: usize, lowest_slope: &mut [f64]) {
        let Question { plan_m, cost, longest_bay_m, shortest_bay_m, .. } = *self.question;
        let hanging: &Hanging = self.question.hanging;
        let (floors, ceiling_m) = (hanging.floors(), hanging.ceiling_m());
        let (x0, z0) = (plan_m[from], self.heights_m[from]);
        lowest_slope.fill(f64::NEG_INFINITY);
        let mut highest_slope = f64::INFINITY;
        for to in from + 1..=self.end {
            let (span_m, z) = (plan_m[to] - x0, self.heights_m[to]);
            if span_m > longest_bay_m + SAME_M {
                break;
            }
            let per_m = 1.0 / span_m;
            let slope = (z - z0) * per_m;
            let long_enough = span_m >= shortest_bay_m - SAME_M || (from, to) == (self.start, self.end);
            let may_end = to == self.end || self.pegs.may_stand[to] || cost.is_none_or(|costs| costs[to] != u32::MAX);
            let above = |(floor, lowest): (&Floor, &f64)| slope - floor.kappa_per_m * span_m >= *lowest;
            if long_enough && may_end && slope <= highest_slope && floors.iter().zip(&*lowest_slope).all(above) {
                self.reaches.push(Reach { to, sine: slope / (1.0 + slope * slope).sqrt() });
            }
            let unsure_m = self.question.unsure_m(to);
            highest_slope = highest_slope.min((z + ceiling_m.max(unsure_m) - z0) * per_m);
            let mut room = true;
            for (floor, lowest) in floors.iter().zip(&mut *lowest_slope) {
                *lowest = lowest.max((z + floor.a_m.min(-unsure_m) - z0) * per_m - floor.kappa_per_m * span_m);
                room &= *lowest <= highest_slope;
            }
            if !room {
                break;
            }
        }
    }

    fn reaches_of(&self, from: usize) -> &[Reach] {
        let k = from - self.start;
        &self.reaches[self.first[k]..self.first[k + 1]]
    }

    /// What this many pegs cost, in thousandths of a driven post.
    pub(super) fn cost_of(&self, pegs: usize) -> u64 {
        pegs as u64 * u64::from(self.pegs.cost)
    }

    /// Whether strands that come in like this may go out like that at a peg.
    fn holds(&self, sine_in: f64, sine_out: f64) -> bool {
        sine_out <= sine_in + self.pegs.hold_n / self.pegs.tension_n
    }

    /// Tells every sample that a bay from a post at `from` can end at, with the fewest pegs that do it.
    pub(super) fn from(&self, from: usize, offer: &mut impl FnMut(usize, usize)) {
        let last = self.last_in_reach(from);
        let direct = self.reaches_of(from);
        // By sample ahead: the steepest way in with the pegs so far, and whether it was told.
        let (mut steepest, mut is_told) = (vec![f64::NEG_INFINITY; last - from + 1], vec![false; last - from + 1]);
        for reach in direct {
            offer(reach.to, 0);
            (steepest[reach.to - from], is_told[reach.to - from]) = (reach.sine, true);
        }
        // Where strands reach every sample ahead without a peg, none is wanted.
        if direct.last().is_some_and(|reach| reach.to == last) && direct.len() + self.too_near(from, last) >= last - from {
            return;
        }
        let more_than_in = self.pegs.hold_n / self.pegs.tension_n;
        let mut next = vec![f64::NEG_INFINITY; last - from + 1];
        for pegs in 1..=MOST_PEGS {
            next.fill(f64::NEG_INFINITY);
            for peg in (from + 1..last).filter(|peg| steepest[peg - from] > f64::NEG_INFINITY && self.may_be_peg(*peg)) {
                let most = steepest[peg - from] + more_than_in;
                for reach in self.reaches_of(peg).iter().take_while(|reach| reach.to <= last) {
                    let kept = &mut next[reach.to - from];
                    if reach.sine <= most && reach.sine > *kept {
                        *kept = reach.sine;
                    }
                }
            }
            let mut any = false;
            for (ahead, _) in next.iter().enumerate().filter(|(_, sine)| **sine > f64::NEG_INFINITY) {
                any = true;
                if !std::mem::replace(&mut is_told[ahead], true) {
                    offer(from + ahead, pegs);
                }
            }
            if !any {
                break;
            }
            std::mem::swap(&mut steepest, &mut next);
        }
    }

    fn may_be_peg(&self, sample: usize) -> bool {
        sample < self.end && self.pegs.may_stand[sample]
    }

    /// The last sample that a bay from here may end at.
    fn last_in_reach(&self, from: usize) -> usize {
        let Question { plan_m, longest_bay_m, .. } = *self.question;
        let within = |to: &usize| plan_m[*to] - plan_m[from] <= longest_bay_m + SAME_M;
        (from + 1..=self.end).take_while(within).last().unwrap_or(from)
    }

    /// Samples ahead that are nearer than a bay may be short.
    fn too_near(&self, from: usize, last: usize) -> usize {
        let Question { plan_m, shortest_bay_m, .. } = *self.question;
        (from + 1..=last).take_while(|to| plan_m[*to] - plan_m[from] < shortest_bay_m - SAME_M).count()
    }

    /// Where this many pegs go between two posts: so that the strands follow the ground best (least integral of the square of their deviation).
    pub(super) fn best_places(&self, bay: (usize, usize), pegs: usize) -> Vec<usize> {
        let mut best = (f64::INFINITY, Vec::new());
        for reach in self.reaches_of(bay.0).iter().filter(|reach| reach.to < bay.1 && self.may_be_peg(reach.to)) {
            self.try_from(bay.1, *reach, self.off_m3(bay.0, reach.to), &mut vec![reach.to], pegs, &mut best);
        }
        best.1
    }

    fn try_from(&self, end: usize, came: Reach, off_m3: f64, places: &mut Vec<usize>, pegs: usize, best: &mut (f64, Vec<usize>)) {
        if off_m3 >= best.0 {
            return;
        }
        for reach in self.reaches_of(came.to).iter().filter(|reach| self.holds(came.sine, reach.sine)) {
            let off_m3 = off_m3 + self.off_m3(came.to, reach.to);
            if reach.to == end && places.len() == pegs {
                if off_m3 < best.0 {
                    *best = (off_m3, places.clone());
                }
            } else if reach.to < end && places.len() < pegs && self.may_be_peg(reach.to) {
                places.push(reach.to);
                self.try_from(end, *reach, off_m3, places, pegs, best);
                places.pop();
            }
        }
    }

    /// The square of the deviation of straight strands from the ground, summed over a piece.
    fn off_m3(&self, from: usize, to: usize) -> f64 {
        let (x, z) = (self.question.plan_m, self.heights_m);
        let slope = (z[to] - z[from]) / (x[to] - x[from]);
        let off_m = |k: usize| z[from] + slope * (x[k] - x[from]) - z[k];
        (from + 1..to).map(|k| off_m(k).powi(2) * (x[k + 1] - x[k - 1]) / 2.0).sum()
    }
}

#[cfg(test)]
#[path = "pegs_tests.rs"]
mod tests;
