//! Will it hold: the ground under a line, where posts go, what the strands do between them, what pulls on the posts.

pub mod corner;
pub mod embedment;
mod footing;
pub mod impact;
mod measure;
mod posts;
mod range;
mod results;
mod section;
pub mod spacing;
mod specification;
mod strike;
pub mod tension;
mod trouble;
mod verdict;

pub use footing::{Footing, FootingMap};
pub use measure::{SLOPE_PIECE_M, measure};
pub use posts::{BARE_ROCK_M, FORCED_TURN_DEG, SHARP_TURN_DEG, gate_place, line_hold};
pub use range::OutOfRange;
pub use results::*;
pub use section::{STEP_M, section, section_of};
pub use specification::{HungStrand, Specification};
pub use strike::{FirstToFail, JOINT_SHARE, March, StrikeLimits, StrikeOutcome, StrikeVerdict, StruckStrand};
pub use trouble::HoldError;
pub use verdict::{
    BENDING_SAFETY_FACTOR, PostVerdict, SAFETY_FACTOR, SAFETY_FACTOR_PERMANENT, breaking_pull, post_verdict, standing_capacity,
};
