//! The shortest path over the samples of a profile.

use super::hanging::Floor;
use super::pegs::Bays;
use super::{Placement, Question, USUAL_COST};
use std::ops::Range;

/// What a post costs where it is forbidden and no bay reaches across: more than any length out of band.
const FORBIDDEN_COST: u64 = 100_000 * USUAL_COST as u64;
/// What it costs to fix the strands of a post off their height: enough to be left out where it saves no post.
const OFFSET_COST: u64 = 1;
/// Lengths that differ by less are the same, metres.
const SAME_M: f64 = 1e-9;
/// What a metre out of band costs where it cannot be helped: as much as a hundred posts.
const OUT_COST_PER_M: f64 = 100.0 * USUAL_COST as f64;

/// The best way to a state: a post at a sample with its strands at an offset.
#[derive(Clone, Copy)]
struct Best {
    cost: u64,
    square_m2: f64,
    /// The state before.
    from: usize,
    /// Pegs in the bay from there.
    pegs: usize,
}

const NOT_REACHED: Best = Best { cost: u64::MAX, square_m2: f64::INFINITY, from: usize::MAX, pegs: 0 };

impl Best {
    fn is_reached(&self) -> bool {
        self.cost < u64::MAX
    }
    fn improve(&mut self, cost: u64, square_m2: f64, from: usize) {
        self.improve_with(cost, square_m2, from, 0);
    }
    fn improve_with(&mut self, cost: u64, square_m2: f64, from: usize, pegs: usize) {
        if cost < self.cost || (cost == self.cost && square_m2 < self.square_m2) {
            *self = Self { cost, square_m2, from, pegs };
        }
    }
}

/// The fewest posts and pegs (by cost) that keep the band everywhere, the bays between posts as even as that allows (least sum of squares).
/// Takes time proportional to samples times samples in the longest bay times offsets squared, and memory for samples times offsets.
///
/// Where no placement keeps the band (a cliff between two posts that cannot be nearer than the shortest bay), that piece between two
/// forced posts is placed with the least length out of band, and its offending bays are reported.
///
/// # Units
/// As in [`Question`].
/// # Valid for
/// Arrays of equal length, rising `plan_m`, rising `forced`.
/// # Source
/// `imai-iri-1988` (min-# with vertical tolerance); the test of an edge in one step is our own. That posts belong on
/// knolls and in draws to keep the lowest wire's height is what `bc-four-strand` asks for; here they end up there by themselves.
pub fn place_posts(question: &Question) -> Placement {
    let count = question.plan_m.len();
    assert_eq!(count, question.ground_m.len(), "one height for each sample");
    if count == 0 {
        return Placement::default();
    }
    let heights_m: Vec<f64> = question.ground_m.iter().map(|height| height.unwrap_or(f64::NAN)).collect();
    let mut search = Search::of(question, &heights_m);
    let mut openings = question.openings.iter().peekable();
    let mut out_of_reach = Vec::new();
    for pair in stops(question).windows(2) {
        let (start, end) = (pair[0], pair[1]);
        if openings.next_if(|opening| **opening == (start, end)).is_some() {
            search.opening(start, end);
        } else if !search.piece(start, end) {
            out_of_reach.push((start, end));
        }
    }
    search.placement(&out_of_reach)
}

/// Samples where a post must stand: the ends, the forced ones, and the last known ground before and after an unknown stretch.
pub(super) fn stops(question: &Question) -> Vec<usize> {
    let last = question.plan_m.len() - 1;
    let mut stops = vec![0, last];
    stops.extend(question.forced.iter().copied().filter(|index| *index <= last));
    let known = |index: usize| question.ground_m[index].is_some();
    let inside_opening = |index: usize| question.openings.iter().any(|(start, end)| *start < index && index < *end);
    stops.extend((0..last).filter(|k| known(*k) != known(k + 1)).map(|k| if known(k) { k } else { k + 1 }));
    stops.sort_unstable();
    stops.dedup();
    stops.retain(|index| !inside_opening(*index));
    stops
}

/// What a post at this sample costs; the stop that ends a piece is never refused. `None` where it may not stand.
fn post_cost(costs: Option<&[u32]>, sample: usize, end: usize) -> Option<u64> {
    match costs {
        None => Some(u64::from(USUAL_COST)),
        Some(costs) if costs[sample] != u32::MAX => Some(u64::from(costs[sample])),
        Some(_) => (sample == end).then_some(0),
    }
}

/// An offset with what it costs beyond the post.
#[derive(Clone, Copy)]
struct Offset {
    off_m: f64,
    cost: u64,
}

struct Search<'a> {
    question: &'a Question<'a>,
    /// Heights of the ground, NaN where they are unknown.
    heights_m: &'a [f64],
    offsets: Vec<Offset>,
    /// By sample, then by offset.
    best: Vec<Best>,
    lowest_slope: Vec<f64>,
}

impl<'a> Search<'a> {
    fn of(question: &'a Question<'a>, heights_m: &'a [f64]) -> Self {
        let off_pattern = |off_m: f64| Offset { off_m, cost: if off_m.abs() > SAME_M { OFFSET_COST } else { 0 } };
        let mut offsets: Vec<Offset> = question.offsets_m.iter().map(|off_m| off_pattern(*off_m)).collect();
        offsets.retain(|offset| offset.cost == 0 || question.hanging.allows_at_post(offset.off_m));
        let mut best = vec![NOT_REACHED; question.plan_m.len() * offsets.len()];
        for (state, offset) in best.iter_mut().zip(&offsets) {
            *state = Best { cost: offset.cost, square_m2: 0.0, from: usize::MAX, pegs: 0 };
        }
        let lowest_slope = vec![0.0; question.hanging.floors().len()];
        Self { question, heights_m, offsets, best, lowest_slope }
    }

    /// The states of a sample.
    fn states(&self, sample: usize) -> Range<usize> {
        sample * self.offsets.len()..(sample + 1) * self.offsets.len()
    }
    fn offset(&self, state: usize) -> Offset {
        self.offsets[state % self.offsets.len()]
    }

    /// Across a gate no strand has to keep a band.
    fn opening(&mut self, start: usize, end: usize) {
        for from in self.states(start) {
            let here = self.best[from];
            if here.is_reached() {
                for to in self.states(end) {
                    let cost = here.cost + self.offset(to).cost;
                    self.best[to].improve(cost, here.square_m2, from);
                }
            }
        }
    }

    /// Posts from the stop `start` to the stop `end`. Whether the band can be kept there; where it cannot, at the least price.
    fn piece(&mut self, start: usize, end: usize) -> bool {
        // Known ground ends at a stop, so a piece is known throughout or not at all between its ends.
        let known = self.question.ground_m[start..=end].iter().all(Option::is_some);
        let pegged = self.question.pegs.filter(|_| known && self.offsets.len() == 1);
        let bays = pegged.map(|pegs| Bays::of(self.question, self.heights_m, pegs, (start, end)));
        for from in start..end {
            for state in self.states(from) {
                if !self.best[state].is_reached() {
                    continue;
                }
                if let Some(bays) = &bays {
                    self.bays_with_pegs(bays, from, end);
                } else if known {
                    self.bays_within_band(from, state, (start, end));
                } else {
                    self.bays_anywhere(from, state, (start, end));
                }
            }
        }
        let is_kept = self.states(end).any(|state| self.best[state].is_reached());
        if !is_kept {
            let count = self.offsets.len();
            self.best[(start + 1) * count..(end + 1) * count].fill(NOT_REACHED);
            for from in start..end {
                for state in self.states(from) {
                    if self.best[state].is_reached() {
                        self.bays_at_a_price(from, state, (start, end));
                        if let Some(bays) = &bays {
                            self.bays_with_pegs(bays, from, end);
                        }
                    }
                }
            }
        }
        is_kept
    }

    /// Whether a bay of this length may stand between these samples; bays between neighbouring stops may be as short as they are.
    fn long_enough(&self, from: usize, to: usize, piece: (usize, usize), span_m: f64) -> bool {
        span_m >= self.question.shortest_bay_m - SAME_M || (from, to) == piece
    }

    /// Offers every bay from a state at sample `from` that keeps the band to the samples after it.
    ///
    /// Bounds only close in: once none is left between them, no farther bay keeps the band.
    fn bays_within_band(&mut self, from: usize, state: usize, piece: (usize, usize)) {
        let Question { plan_m, cost, longest_bay_m, shortest_bay_m, hanging, unsure_m, .. } = *self.question;
        let (count, end) = (self.offsets.len(), piece.1);
        let (ahead_m, heights_m) = (&plan_m[from + 1..=end], &self.heights_m[from + 1..=end]);
        let (x0, z0) = (plan_m[from], self.heights_m[from] + self.offset(state).off_m);
        let (reached, ahead) = self.best.split_at_mut((from + 1) * count);
        let here = reached[state];
        let (floors, ceiling_m) = (hanging.floors(), hanging.ceiling_m());
        self.lowest_slope.fill(f64::NEG_INFINITY);
        let mut highest_slope = f64::INFINITY;
        for (step, ((x, z), states)) in ahead_m.iter().zip(heights_m).zip(ahead.chunks_exact_mut(count)).enumerate() {
            let span_m = x - x0;
            if span_m > longest_bay_m + SAME_M {
                break;
            }
            let (to, per_m) = (from + 1 + step, 1.0 / span_m);
            let long_enough = span_m >= shortest_bay_m - SAME_M || (from, to) == piece;
            if long_enough && let Some(cost) = post_cost(cost, to, end) {
                for (offset, best) in self.offsets.iter().zip(states) {
                    let slope = (z + offset.off_m - z0) * per_m;
                    let above = |(floor, lowest): (&Floor, &f64)| slope - floor.kappa_per_m * span_m >= *lowest;
                    if slope <= highest_slope && floors.iter().zip(&self.lowest_slope).all(above) {
                        best.improve(here.cost + cost + offset.cost, here.square_m2 + span_m * span_m, state);
                    }
                }
            }
            let unsure_m = unsure_m.map_or(0.0, |all| all[to]);
            highest_slope = highest_slope.min((z + ceiling_m.max(unsure_m) - z0) * per_m);
            let mut room = true;
            for (floor, lowest) in floors.iter().zip(&mut self.lowest_slope) {
                *lowest = lowest.max((z + floor.a_m.min(-unsure_m) - z0) * per_m - floor.kappa_per_m * span_m);
                room &= *lowest <= highest_slope;
            }
            if !room {
                break;
            }
        }
    }

    /// Offers every bay from a post at `from`, with as few pegs in it as keep the band.
    fn bays_with_pegs(&mut self, bays: &Bays, from: usize, end: usize) {
        let here = self.best[from];
        let Question { plan_m, cost, .. } = *self.question;
        bays.from(from, &mut |to, pegs| {
            if let Some(post) = post_cost(cost, to, end) {
                let span_m = plan_m[to] - plan_m[from];
                let cost = here.cost + post + bays.cost_of(pegs);
                self.best[to].improve_with(cost, here.square_m2 + span_m * span_m, from, pegs);
            }
        });
    }

    /// Offers every bay from `from` that is short enough, over ground that nobody knows.
    fn bays_anywhere(&mut self, from: usize, state: usize, piece: (usize, usize)) {
        let here = self.best[state];
        for to in from + 1..=piece.1 {
            let span_m = self.question.plan_m[to] - self.question.plan_m[from];
            if span_m > self.question.longest_bay_m + SAME_M {
                break;
            }
            if self.long_enough(from, to, piece, span_m)
                && let Some(cost) = post_cost(self.question.cost, to, piece.1)
            {
                self.offer(to, here.cost + cost, here.square_m2 + span_m * span_m, state);
            }
        }
    }

    /// Offers every bay from `from`, each metre out of band at its price. Neighbouring samples are always joined.
    fn bays_at_a_price(&mut self, from: usize, state: usize, piece: (usize, usize)) {
        let here = self.best[state];
        for to in from + 1..=piece.1 {
            let span_m = self.question.plan_m[to] - self.question.plan_m[from];
            let next = to == from + 1;
            let long_enough = self.long_enough(from, to, piece, span_m);
            if !next && span_m > self.question.longest_bay_m + SAME_M {
                break;
            }
            if !next && !long_enough {
                continue;
            }
            // Too short a bay is the last resort: as bad as being out of band all along it.
            let out_m = if long_enough { self.out_of_band_m(from, to) } else { self.question.shortest_bay_m };
            let post = post_cost(self.question.cost, to, piece.1).unwrap_or(FORBIDDEN_COST);
            let cost = here.cost + post + (out_m * OUT_COST_PER_M).round() as u64;
            self.offer(to, cost, here.square_m2 + span_m * span_m, state);
        }
    }

    /// A way to a sample with its strands at their height.
    fn offer(&mut self, sample: usize, cost: u64, square_m2: f64, from: usize) {
        for state in self.states(sample) {
            if self.offset(state).cost == 0 {
                self.best[state].improve(cost, square_m2, from);
            }
        }
    }

    /// Length of a bay, in plan metres, at whose samples a strand leaves the band; each sample stands for half the way to its neighbours.
    fn out_of_band_m(&self, from: usize, to: usize) -> f64 {
        length_out_of_band_m(self.question, from, to)
    }

    /// Back from the cheapest state at the end; bays of pieces that could not be kept are judged one by one.
    fn placement(&self, out_of_reach: &[(usize, usize)]) -> Placement {
        let mut placement = Placement::default();
        let rank = |state: &usize| (self.best[*state].cost, self.best[*state].square_m2);
        let cheaper = |one: &usize, other: &usize| {
            let (one, other) = (rank(one), rank(other));
            one.0.cmp(&other.0).then(one.1.total_cmp(&other.1))
        };
        let mut at = self.states(self.question.plan_m.len() - 1).min_by(cheaper);
        while let Some(state) = at {
            placement.posts.push(state / self.offsets.len());
            placement.is_peg.push(false);
            placement.off_m.push(self.offset(state).off_m);
            let Best { from, pegs, .. } = self.best[state];
            at = Some(from).filter(|from| *from != usize::MAX);
            if let Some(options) = self.question.pegs.filter(|_| pegs > 0) {
                // Strands are at their height at pegs, so a state is a sample.
                let bay = (from, state);
                let places = Bays::of(self.question, self.heights_m, options, bay).best_places(bay, pegs);
                placement.posts.extend(places.iter().rev());
                placement.is_peg.extend(places.iter().map(|_| true));
                placement.off_m.extend(places.iter().map(|_| 0.0));
            }
        }
        placement.posts.reverse();
        placement.is_peg.reverse();
        placement.off_m.reverse();
        let is_out = |bay: &[usize]| {
            let within = |piece: &&(usize, usize)| piece.0 <= bay[0] && bay[1] <= piece.1;
            out_of_reach.iter().any(|piece| within(&piece)) && self.out_of_band_m(bay[0], bay[1]) > 0.0
        };
        let bays = placement.posts.windows(2).enumerate();
        placement.out_of_band = bays.filter(|(_, bay)| is_out(bay)).map(|(index, _)| index).collect();
        placement
    }
}

/// Length of a bay, in plan metres, at whose samples a strand leaves the band; each sample stands for half the way to its neighbours.
pub(in crate::hold) fn length_out_of_band_m(question: &Question, from: usize, to: usize) -> f64 {
    let Question { plan_m, ground_m, hanging, .. } = *question;
    let (Some(z0), Some(z1)) = (ground_m[from], ground_m[to]) else { return 0.0 };
    let span_m = plan_m[to] - plan_m[from];
    let slope = (z1 - z0) / span_m;
    let is_out = |k: &usize| {
        let u_m = plan_m[*k] - plan_m[from];
        ground_m[*k].is_some_and(|z| hanging.out_of_band(z0 + slope * u_m - z, u_m, span_m, question.unsure_m(*k)).is_some())
    };
    (from + 1..to).filter(is_out).map(|k| (plan_m[k + 1] - plan_m[k - 1]) / 2.0).sum()
}
