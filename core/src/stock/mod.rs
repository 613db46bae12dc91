//! The animals behind the fence: how heavy and how tall they are on a day, which strands hold them, when they outgrow them, what they need.

mod growth;
mod needs;
mod outgrown;
mod strands;

pub use growth::{Shoulder, ShoulderBasis, Weight, WeightBasis, days_between, fitting_row, shoulder, weight_on};
pub use needs::{
    DailyNeeds, GroundUse, days_to_move, days_to_turn, group_needs, growing_needs, grown_needs, head_guidance, paddocks_for_rest,
    rest_days, whole_days,
};
pub use outgrown::{Keeping, Outgrown, StrandRemedy, outgrown};
pub use strands::{BUILD_UP_M, CLEAR_OF_GROUND_M, HeldHeight, Lack, holds, lacks, lowest_band};
