//! Where posts go along a profile: the fewest that keep every strand within its band, exactly.
//!
//! All strands of a bay hang from the same two posts, so they share one deviation curve e(x), chord minus ground. With h a strand's
//! height, lo and hi its band and s its sag, `lo <= h + e - s <= hi` everywhere. So the whole question is `a <= e - s` (slackest)
//! and `e <= b` (tightest), with `a = max(lo - h)` and `b = min(hi - h)` over the strands.
//!
//! Placing the fewest posts is a shortest path over the samples of the profile (the min-# problem of polyline approximation):
//! an edge from i to j is a bay that is short enough and keeps the band at every sample between. For a fixed i the test of an edge
//! takes one step: with `s' = slope - kappa L`, every sample between bounds s' from below and the slope from above.
//!
//! The ground is known only so well: what it does not tell from nothing (`Question::unsure_m`) takes no post, so a band is no narrower.
//!
//! Where only the height of a strand is at stake a light peg does instead of a post, if it is cheaper: see [`Pegs`].
//!
//! Where strands may be fixed a little off their height at a post, the path runs over (sample, offset) instead.

mod crowd;
#[cfg(test)]
mod fixture;
mod hanging;
mod lifted;
mod pegs;
mod placements;
mod search;
#[cfg(test)]
mod tests;

pub use crowd::{CROWDED_M, without_crowds};
pub use hanging::{ContradictoryBand, Hanging, LEAST_ROOM_M, kappa_per_m, sag_at};
pub use lifted::{HoldDownCost, place_held_down};
pub use pegs::{MOST_PEGS, Pegs};
pub use placements::Placements;
pub use search::place_posts;

/// Bays shorter than this are not planned, except between posts that must stand (`common-practice`).
pub const SHORTEST_BAY_M: f64 = 1.0;
/// What a post costs where nothing else is said.
pub const USUAL_COST: u32 = 1000;
/// A post where strands are never fixed off their height.
pub const NO_DRILLING: &[f64] = &[0.0];

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
    /// How far above or below their height strands may be fixed at a post, metres, one for all strands of a post; zero among
    /// them ([`NO_DRILLING`]: never).
    pub offsets_m: &'a [f64],
    /// Longest bay on the map, metres.
    pub longest_bay_m: f64,
    /// Shortest bay between posts that are free to move, metres.
    pub shortest_bay_m: f64,
    /// How the strands hang.
    pub hanging: &'a Hanging,
    /// How far the clearance over each sample may be off, metres; `None`: the ground is known for sure.
    pub unsure_m: Option<&'a [f64]>,
    /// Pegs that may stand between posts; `None`: none. None stand where strands are fixed off their height ([`Self::offsets_m`]).
    pub pegs: Option<Pegs<'a>>,
}

impl Question<'_> {
    /// How far the clearance over a sample may be off, metres.
    fn unsure_m(&self, sample: usize) -> f64 {
        self.unsure_m.map_or(0.0, |all| all[sample])
    }
}

/// Where posts go.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Placement {
    /// Samples with a post or a peg, rising, first and last included.
    pub posts: Vec<usize>,
    /// For each whether it is a peg.
    pub is_peg: Vec<bool>,
    /// For each how far off their height the strands are fixed there, metres.
    pub off_m: Vec<f64>,
    /// Bays (index of their first post) that leave the band because no placement could keep it.
    pub out_of_band: Vec<usize>,
}
