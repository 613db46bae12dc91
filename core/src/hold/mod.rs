//! Will it hold: the ground under a line, where posts go, what the strands do between them, what pulls on the posts.

pub(crate) mod along;
mod clearance;
pub mod corner;
pub mod embedment;
mod footing;
mod gaps;
pub mod impact;
mod measure;
mod peg;
mod posts;
mod range;
mod results;
mod section;
pub mod spacing;
mod specification;
mod spots;
mod stand;
pub mod strain;
mod strike;
mod strung;
mod sure;
pub mod tension;
mod trouble;
mod used;
mod verdict;
mod why;

pub use crate::finding::{FirstToFail, StrikeOutcome};
pub use clearance::Clearance;
pub use corner::{FULL_CRIB_KG, crib_kg};
pub(crate) use footing::inside;
pub use footing::{Footing, FootingMap, TREE_POST};
pub use measure::{SLOPE_PIECE_M, measure};
pub use peg::Peg;
pub(crate) use posts::footing_of;
pub use posts::{GATE_WITHIN_M, SAME_POST_M, SHARP_TURN_DEG, Terrain, gate_place, line_hold, specification_of};
pub use range::OutOfRange;
pub use results::*;
pub use section::{STEP_M, leg_lengths, section, section_of};
pub use specification::{
    HAND_TIGHT, HungStrand, LEAD_OUT_HEIGHT_M, LEAD_OUT_SPACING_M, LEAD_OUT_WIRE, SLACK_SHARE, Specification,
};
pub(crate) use spots::spot_heights;
pub use spots::{SPOT_BESIDE_M, SPOT_REACH_M, SpotHeight};
pub use stand::{BARE_ROCK_M, CLEAR_OF_POSTS_M, FORCED_TURN_DEG, TREE_BESIDE_M};
pub use strike::{JOINT_SHARE, March, StrikeLimits, StrikeVerdict, StruckStrand};
pub use sure::{CELLS_PER_BAY, clearance_error_m};
pub use trouble::HoldError;
pub(crate) use verdict::bare_verdict;
pub use verdict::{
    BENDING_SAFETY_FACTOR, BRACE_M, DRIVEN_FACTOR, DUG_FACTOR, PostVerdict, RAIL_HEIGHT_M, SAFETY_FACTOR,
    SAFETY_FACTOR_PERMANENT, breaking_pull, lifting_capacity, lifting_factor, post_verdict, standing_capacity,
};
pub use why::{even_bays, fewest_even_posts};
