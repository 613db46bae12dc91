//! Where posts go along a profile: the fewest that keep every strand within its band, exactly.
//!
//! All strands of a bay hang from the same two posts, so they share one deviation curve e(x), chord minus ground. With h a strand's
//! height, lo and hi its band and s its sag, `lo <= h + e - s <= hi` everywhere. So the whole question is `a <= e - s` (slackest)
//! and `e <= b` (tightest), with `a = max(lo - h)` and `b = min(hi - h)` over the strands.
//!
//! Placing the fewest posts is a shortest path over the samples of the profile (the min-# problem of polyline approximation):
//! an edge from i to j is a bay that is short enough and keeps the band at every sample between. For a fixed i the test of an edge
//! takes one step: with `s' = slope - kappa L`, every sample between bounds s' from below and the slope from above.

use crate::plan::Strand;
use crate::units::Length;

/// Bays shorter than this are not planned, except between posts that must stand (`common-practice`).
pub const SHORTEST_BAY_M: f64 = 1.0;
/// Nobody sets a strand truer than this: a band leaves at least so much room below and above the strand (`common-practice`).
pub const LEAST_ROOM_M: f64 = 0.005;

/// How far strands may leave the ground's shape: one pair of numbers for all of them.
#[derive(Clone, Debug, PartialEq)]
pub struct Hanging {
    /// For each strand that can be the lowest to matter: (kappa in 1/m, a in m), `kappa = w / (2 H)` slackest, a below zero.
    floors: Vec<(f64, f64)>,
    /// b in m, above zero.
    ceiling_m: f64,
}

/// A band that no placement can keep, whatever the ground.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("strand {strand} stands at {height_m} m, outside its own band of {lowest_m} to {highest_m} m")]
pub struct ContradictoryBand {
    /// Which strand, 0 the lowest.
    pub strand: usize,
    /// Its height at the posts.
    pub height_m: f64,
    /// Lowest clearance it may have.
    pub lowest_m: f64,
    /// Highest clearance it may have.
    pub highest_m: f64,
}

impl Hanging {
    /// From strands and, for each, `kappa = w / (2 H)` at the slackest tension.
    ///
    /// # Errors
    /// [`ContradictoryBand`] for the first strand whose height is outside its own band.
    pub fn of(strands: &[Strand], kappa_per_m: &[f64]) -> Result<Self, ContradictoryBand> {
        let mut hanging = Self::free();
        for (strand, (row, kappa)) in strands.iter().zip(kappa_per_m).enumerate() {
            let (lowest, highest) = row.clearance_band();
            if lowest > row.height || highest < row.height {
                return Err(ContradictoryBand {
                    strand,
                    height_m: row.height.as_metres(),
                    lowest_m: lowest.as_metres(),
                    highest_m: highest.as_metres(),
                });
            }
            hanging.add(*kappa, (lowest - row.height).as_metres(), (highest - row.height).as_metres());
        }
        Ok(hanging)
    }

    /// Strands that may hang anywhere: a lead-out.
    pub fn free() -> Self {
        Self { floors: vec![], ceiling_m: f64::INFINITY }
    }

    /// From numbers: every strand of the same wire, `a <= e - kappa u (L - u)`, `e <= b`.
    pub fn of_numbers(kappa_per_m: f64, a_m: f64, b_m: f64) -> Self {
        let mut hanging = Self::free();
        hanging.add(kappa_per_m, a_m, b_m);
        hanging
    }

    fn add(&mut self, kappa: f64, a_m: f64, b_m: f64) {
        let a_m = a_m.min(-LEAST_ROOM_M);
        self.ceiling_m = self.ceiling_m.min(b_m.max(LEAST_ROOM_M));
        if self.floors.iter().any(|(other_kappa, other_a)| *other_kappa >= kappa && *other_a >= a_m) {
            return;
        }
        self.floors.retain(|(other_kappa, other_a)| *other_kappa > kappa || *other_a > a_m);
        self.floors.push((kappa, a_m));
    }

    /// The band of the tightest strand: a below zero, b above; infinite where strands may hang anywhere.
    pub fn band_m(&self) -> (f64, f64) {
        (self.floors.iter().fold(f64::NEG_INFINITY, |a, floor| a.max(floor.1)), self.ceiling_m)
    }
}

/// What is asked of a placement. Arrays are parallel: one entry for each sample of the profile.
#[derive(Clone, Copy, Debug)]
pub struct Question<'a> {
    /// Distance along the line on the map, metres, rising.
    pub plan_m: &'a [f64],
    /// Height of the ground, metres; `None` where it is unknown: posts go evenly there.
    pub ground_m: &'a [Option<f64>],
    /// Samples where a post must stand, rising; the first and the last sample always are.
    pub forced: &'a [usize],
    /// Pairs of forced samples with a gate between them: no strand to keep, no post between.
    pub openings: &'a [(usize, usize)],
    /// What a post costs at each sample, in thousandths of a driven post; `None`: 1000 everywhere. `u32::MAX` forbids it.
    pub cost: Option<&'a [u32]>,
    /// Longest bay on the map, metres.
    pub longest_bay_m: f64,
    /// Shortest bay between posts that are free to move, metres.
    pub shortest_bay_m: f64,
    /// How the strands hang.
    pub hanging: &'a Hanging,
}

/// Where posts go.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Placement {
    /// Samples with a post, rising, first and last included.
    pub posts: Vec<usize>,
    /// Bays (index of their first post) that leave the band because no placement could keep it.
    pub out_of_band: Vec<usize>,
}

/// What a post costs where nothing else is said.
pub const USUAL_COST: u32 = 1000;
/// What a post costs where it is forbidden and no bay reaches across: more than any length out of band.
const FORBIDDEN_COST: u64 = 100_000 * USUAL_COST as u64;
/// Lengths that differ by less are the same, metres.
const SAME_M: f64 = 1e-9;
/// What a metre out of band costs where it cannot be helped: as much as a hundred posts.
const OUT_COST_PER_M: f64 = 100.0 * USUAL_COST as f64;

#[derive(Clone, Copy)]
struct Best {
    cost: u64,
    square_m2: f64,
    from: usize,
}

const NOT_REACHED: Best = Best { cost: u64::MAX, square_m2: f64::INFINITY, from: usize::MAX };

impl Best {
    fn improve(&mut self, cost: u64, square_m2: f64, from: usize) {
        if cost < self.cost || (cost == self.cost && square_m2 < self.square_m2) {
            *self = Self { cost, square_m2, from };
        }
    }
}

/// The fewest posts (by cost) that keep the band everywhere, the bays as even as that allows (least sum of squares).
/// Takes time proportional to samples times samples in the longest bay, and memory for the samples only.
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
    let mut placement = Placement::default();
    if count == 0 {
        return placement;
    }
    placement.posts.push(0);
    let stops = stops(question);
    let mut openings = question.openings.iter().peekable();
    let heights_m = question.ground_m.iter().map(|height| height.unwrap_or(f64::NAN)).collect();
    let mut search = Search { question, heights_m, best: Vec::new(), lowest_slope: vec![0.0; question.hanging.floors.len()] };
    for pair in stops.windows(2) {
        let (start, end) = (pair[0], pair[1]);
        if openings.next_if(|opening| **opening == (start, end)).is_some() {
            placement.posts.push(end);
        } else {
            search.piece(start, end, &mut placement);
        }
    }
    placement
}

/// Samples where a post must stand: the ends, the forced ones, and the last known ground before and after an unknown stretch.
fn stops(question: &Question) -> Vec<usize> {
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

struct Search<'a> {
    question: &'a Question<'a>,
    /// Heights of the ground, NaN where they are unknown.
    heights_m: Vec<f64>,
    best: Vec<Best>,
    lowest_slope: Vec<f64>,
}

impl Search<'_> {
    /// Posts from the stop `start` (already placed) to the stop `end`.
    fn piece(&mut self, start: usize, end: usize, placement: &mut Placement) {
        self.begin(start, end);
        // Known ground ends at a stop, so a piece is known throughout or not at all between its ends.
        let known = self.question.ground_m[start..=end].iter().all(Option::is_some);
        for from in start..end {
            if self.best[from - start].cost == u64::MAX {
                continue;
            }
            if known {
                self.bays_within_band(from, start, end);
            } else {
                self.bays_anywhere(from, start, end);
            }
        }
        let kept = self.best[end - start].cost < u64::MAX;
        if !kept {
            self.begin(start, end);
            for from in start..end {
                if self.best[from - start].cost < u64::MAX {
                    self.bays_at_a_price(from, start, end);
                }
            }
        }
        let first_bay = placement.posts.len() - 1;
        let mut at = end;
        while at != start {
            placement.posts.push(at);
            at = self.best[at - start].from;
        }
        placement.posts[first_bay + 1..].reverse();
        if !kept {
            let bays = first_bay..placement.posts.len() - 1;
            let out = bays.filter(|bay| self.out_of_band_m(placement.posts[*bay], placement.posts[bay + 1]) > 0.0);
            placement.out_of_band.extend(out);
        }
    }

    fn begin(&mut self, start: usize, end: usize) {
        self.best.clear();
        self.best.resize(end - start + 1, NOT_REACHED);
        self.best[0] = Best { cost: 0, square_m2: 0.0, from: start };
    }

    /// Whether a bay of this length may stand between these samples; bays between neighbouring stops may be as short as they are.
    fn long_enough(&self, from: usize, to: usize, piece: (usize, usize), span_m: f64) -> bool {
        span_m >= self.question.shortest_bay_m - SAME_M || (from, to) == piece
    }

    /// Offers every bay from `from` that keeps the band to the samples after it.
    ///
    /// Bounds only close in: once none is left between them, no farther bay keeps the band.
    fn bays_within_band(&mut self, from: usize, start: usize, end: usize) {
        let Question { plan_m, cost, longest_bay_m, shortest_bay_m, hanging, .. } = *self.question;
        let (ahead_m, heights_m) = (&plan_m[from + 1..=end], &self.heights_m[from + 1..=end]);
        let (x0, z0) = (plan_m[from], self.heights_m[from]);
        let (reached, ahead) = self.best.split_at_mut(from - start + 1);
        let here = reached[from - start];
        self.lowest_slope.fill(f64::NEG_INFINITY);
        let mut highest_slope = f64::INFINITY;
        for (step, ((x, z), best)) in ahead_m.iter().zip(heights_m).zip(ahead).enumerate() {
            let span_m = x - x0;
            if span_m > longest_bay_m + SAME_M {
                break;
            }
            let per_m = 1.0 / span_m;
            let slope = (z - z0) * per_m;
            let mut fits = slope <= highest_slope;
            highest_slope = highest_slope.min((z + hanging.ceiling_m - z0) * per_m);
            let mut room = true;
            for ((kappa, a_m), lowest) in hanging.floors.iter().zip(&mut self.lowest_slope) {
                fits &= slope - kappa * span_m >= *lowest;
                *lowest = lowest.max((z + a_m - z0) * per_m - kappa * span_m);
                room &= *lowest <= highest_slope;
            }
            let to = from + 1 + step;
            let long_enough = span_m >= shortest_bay_m - SAME_M || (from, to) == (start, end);
            if fits
                && long_enough
                && let Some(cost) = post_cost(cost, to, end)
            {
                best.improve(here.cost + cost, here.square_m2 + span_m * span_m, from);
            }
            if !room {
                break;
            }
        }
    }

    /// Offers every bay from `from` that is short enough, over ground that nobody knows.
    fn bays_anywhere(&mut self, from: usize, start: usize, end: usize) {
        let here = self.best[from - start];
        for to in from + 1..=end {
            let span_m = self.question.plan_m[to] - self.question.plan_m[from];
            if span_m > self.question.longest_bay_m + SAME_M {
                break;
            }
            if self.long_enough(from, to, (start, end), span_m)
                && let Some(cost) = post_cost(self.question.cost, to, end)
            {
                self.best[to - start].improve(here.cost + cost, here.square_m2 + span_m * span_m, from);
            }
        }
    }

    /// Offers every bay from `from`, each metre out of band at its price. Neighbouring samples are always joined.
    fn bays_at_a_price(&mut self, from: usize, start: usize, end: usize) {
        let here = self.best[from - start];
        for to in from + 1..=end {
            let span_m = self.question.plan_m[to] - self.question.plan_m[from];
            let next = to == from + 1;
            if !next && span_m > self.question.longest_bay_m + SAME_M {
                break;
            }
            if !next && !self.long_enough(from, to, (start, end), span_m) {
                continue;
            }
            // Too short a bay is the last resort: as bad as being out of band all along it.
            let too_short = next && !self.long_enough(from, to, (start, end), span_m);
            let out_m = if too_short { self.question.shortest_bay_m } else { self.out_of_band_m(from, to) };
            let cost = post_cost(self.question.cost, to, end).unwrap_or(FORBIDDEN_COST) + (out_m * OUT_COST_PER_M).round() as u64;
            self.best[to - start].improve(here.cost + cost, here.square_m2 + span_m * span_m, from);
        }
    }

    /// Length of a bay, in plan metres, at whose samples a strand leaves the band; each sample stands for half the way to its neighbours.
    fn out_of_band_m(&self, from: usize, to: usize) -> f64 {
        let Question { plan_m, ground_m, hanging, .. } = *self.question;
        let (Some(z0), Some(z1)) = (ground_m[from], ground_m[to]) else { return 0.0 };
        let span_m = plan_m[to] - plan_m[from];
        let slope = (z1 - z0) / span_m;
        let out = |k: &usize| {
            let u_m = plan_m[*k] - plan_m[from];
            ground_m[*k].is_some_and(|z| {
                let deviation_m = z0 + slope * u_m - z;
                deviation_m > hanging.ceiling_m
                    || hanging.floors.iter().any(|(kappa, a_m)| deviation_m - kappa * u_m * (span_m - u_m) < *a_m)
            })
        };
        (from + 1..to).filter(out).map(|k| (plan_m[k + 1] - plan_m[k - 1]) / 2.0).sum()
    }
}

/// `kappa = w / (2 H)`: the sag of a bay of span L at u is `kappa u (L - u)`.
///
/// # Units
/// `weight_n_per_m` (w) in N/m, `tension_n` (H) in newtons; the result in 1/m.
/// # Valid for
/// Tensions above zero.
/// # Source
/// `statics`.
pub fn kappa_per_m(weight_n_per_m: f64, tension: crate::units::Force) -> f64 {
    weight_n_per_m / (2.0 * tension.as_newtons())
}

/// Sag at a place of a bay: `s = kappa u (L - u)`.
///
/// # Units
/// Metres; `kappa_per_m` in 1/m.
/// # Valid for
/// `0 <= u <= L`.
/// # Source
/// `statics`.
pub fn sag_at(kappa_per_m: f64, u_m: f64, span_m: f64) -> Length {
    Length::metres(kappa_per_m * u_m * (span_m - u_m))
}

#[cfg(test)]
#[path = "spacing_tests.rs"]
mod tests;
