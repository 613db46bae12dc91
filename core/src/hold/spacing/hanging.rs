//! How far strands may leave the shape of the ground: one pair of numbers for all of them.

use crate::plan::Strand;
use crate::units::{Force, Length};

/// Bands that differ by less are the same: that much is lost in taking heights from heights, metres.
const SAME_M: f64 = 1e-9;
/// Nobody sets a strand truer than this: a band leaves at least so much room below and above the strand (`common-practice`).
pub const LEAST_ROOM_M: f64 = 0.005;

/// How far strands may leave the ground's shape: one pair of numbers for all of them.
#[derive(Clone, Debug, PartialEq)]
pub struct Hanging {
    floors: Vec<Floor>,
    ceiling: Option<Ceiling>,
}

/// A strand that can be the first to come too near to the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::hold) struct Floor {
    pub strand: usize,
    /// `kappa = w / (2 H)` slackest, 1/m.
    pub kappa_per_m: f64,
    /// a in m, below zero.
    pub a_m: f64,
}

/// The strand that is the first to stand too high.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Ceiling {
    strand: usize,
    /// b in m, above zero.
    b_m: f64,
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
        let bands: Vec<(Length, Length)> = strands.iter().map(Strand::clearance_band).collect();
        Self::within(strands, &bands, kappa_per_m)
    }

    /// The same with these bands in the place of the strands' usual ones.
    ///
    /// # Errors
    /// As [`Self::of`].
    pub fn within(strands: &[Strand], bands: &[(Length, Length)], kappa_per_m: &[f64]) -> Result<Self, ContradictoryBand> {
        let mut hanging = Self::free();
        for (strand, ((row, (lowest, highest)), kappa)) in strands.iter().zip(bands.iter().copied()).zip(kappa_per_m).enumerate()
        {
            if lowest > row.height || highest < row.height {
                return Err(ContradictoryBand {
                    strand,
                    height_m: row.height.as_metres(),
                    lowest_m: lowest.as_metres(),
                    highest_m: highest.as_metres(),
                });
            }
            hanging.add(strand, *kappa, (lowest - row.height).as_metres(), (highest - row.height).as_metres());
        }
        Ok(hanging)
    }

    /// Strands that may hang anywhere: a lead-out.
    pub fn free() -> Self {
        Self { floors: vec![], ceiling: None }
    }

    /// From numbers: every strand of the same wire, `a <= e - kappa u (L - u)`, `e <= b`.
    pub fn of_numbers(kappa_per_m: f64, a_m: f64, b_m: f64) -> Self {
        let mut hanging = Self::free();
        hanging.add(0, kappa_per_m, a_m, b_m);
        hanging
    }

    fn add(&mut self, strand: usize, kappa_per_m: f64, a_m: f64, b_m: f64) {
        let (a_m, b_m) = (a_m.min(-LEAST_ROOM_M), b_m.max(LEAST_ROOM_M));
        if self.ceiling.is_none_or(|ceiling| b_m < ceiling.b_m - SAME_M) {
            self.ceiling = Some(Ceiling { strand, b_m });
        }
        if self.floors.iter().any(|other| other.kappa_per_m >= kappa_per_m && other.a_m >= a_m - SAME_M) {
            return;
        }
        self.floors.retain(|other| other.kappa_per_m > kappa_per_m || other.a_m > a_m);
        self.floors.push(Floor { strand, kappa_per_m, a_m });
    }

    /// The band of the tightest strand: a below zero, b above; infinite where strands may hang anywhere.
    pub fn band_m(&self) -> (f64, f64) {
        (self.tightest_floor().map_or(f64::NEG_INFINITY, |floor| floor.a_m), self.ceiling_m())
    }
    /// The strands, 0 the lowest, that decide over dips and over rises: (the first to stand too high, the first to come too near
    /// to the ground); `None` where strands may hang anywhere.
    pub fn tightest(&self) -> Option<(usize, usize)> {
        Some((self.ceiling?.strand, self.tightest_floor()?.strand))
    }
    /// The same strands, slacker: their tension is this share of what it was.
    pub fn slackened(&self, share: f64) -> Self {
        let slacker = |floor: &Floor| Floor { kappa_per_m: floor.kappa_per_m / share, ..*floor };
        Self { floors: self.floors.iter().map(slacker).collect(), ceiling: self.ceiling }
    }
    /// How far the straight line between two posts is out of what the strands may do at one place: above zero out of band,
    /// with the strand that is out first; `None` within the band.
    ///
    /// # Units
    /// `deviation_m`: the straight line above the ground at the place; `u_m` from the first post of a bay of `span_m`; `unsure_m`: what the
    /// ground there does not tell from nothing, a band is no narrower.
    pub fn out_of_band(&self, deviation_m: f64, u_m: f64, span_m: f64, unsure_m: f64) -> Option<(f64, usize)> {
        let high = self.ceiling.map(|ceiling| (deviation_m - ceiling.b_m.max(unsure_m), ceiling.strand));
        let low = |floor: &Floor| {
            let sag_m = sag_at(floor.kappa_per_m, u_m, span_m).as_metres();
            (floor.a_m.min(-unsure_m) - deviation_m + sag_m, floor.strand)
        };
        let all = self.floors.iter().map(low).chain(high);
        all.filter(|(out_m, _)| *out_m > 0.0).max_by(|one, other| one.0.total_cmp(&other.0))
    }
    /// Whether a strand may be fixed so far above or below its height at a post.
    pub fn allows_at_post(&self, off_m: f64) -> bool {
        self.out_of_band(off_m, 0.0, 1.0, 0.0).is_none()
    }

    pub(in crate::hold) fn floors(&self) -> &[Floor] {
        &self.floors
    }
    pub(in crate::hold) fn ceiling_m(&self) -> f64 {
        self.ceiling.map_or(f64::INFINITY, |ceiling| ceiling.b_m)
    }
    /// `kappa` of the slackest strand, 1/m; zero where strands may hang anywhere.
    pub(in crate::hold) fn slackest_kappa_per_m(&self) -> f64 {
        self.floors.iter().map(|floor| floor.kappa_per_m).fold(0.0, f64::max)
    }
    fn tightest_floor(&self) -> Option<&Floor> {
        self.floors.iter().max_by(|one, other| one.a_m.total_cmp(&other.a_m))
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
pub fn kappa_per_m(weight_n_per_m: f64, tension: Force) -> f64 {
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
