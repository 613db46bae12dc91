//! When a fence holds: one rule for every class of animal, every purpose and every bay.
//!
//! Everything that asks whether strands or netting hold an animal asks [`judge`]: the posts' spacing, dips and rises, gates, growth, the
//! catalogue's own proposals and the rows of `tests/published`.

mod judge;
mod limits;
mod verdict;

#[cfg(test)]
mod tests;

pub use judge::{counting, judge, judge_single};
pub use limits::Limits;
pub use verdict::{Barrier, Carries, Hung, Part, Verdict};

/// Gaps are judged to the nearest centimetre: nobody sets a wire closer. Half of one, metres.
pub const HAND_M: f64 = 0.005;
/// A published height is nominal: over uneven ground a lowest strand stands so much higher, metres.
///
/// # Source
/// Key `common-practice`.
pub const UNEVEN_M: f64 = 0.05;
/// A gap, a top or a net that misses its limit by more than this does not hold, metres.
///
/// # Source
/// Key `common-practice`.
pub const FAILS_BY_M: f64 = 0.05;
/// Share of the height that an animal gets under, up to which its lowest strand is fine: so that 30 cm hold pigs of 110 kg, as published.
///
/// # Source
/// Key `fibl-pigs-2019`.
pub const FINE_SHARE: f64 = 0.86;
/// A lowest strand so far above what is fine never counts as crept under, metres.
///
/// # Source
/// Key `common-practice`.
pub const CREEP_ROOM_M: f64 = 0.02;
/// Lowest clearance of a lowest strand over the ground, metres; of the class that gets in at the ground itself, none.
///
/// # Source
/// Key `common-practice`.
pub const LEAST_CLEARANCE_M: f64 = 0.05;

/// More than the hand can set.
pub(super) fn exceeds(value_m: f64, limit_m: f64) -> bool {
    value_m - limit_m > HAND_M + 1e-9
}
