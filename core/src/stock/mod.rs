//! The animals behind the fence: how heavy and how tall they are on a day, which fences hold them, on which days, what they need.

mod growth;
mod needs;
mod outgrown;
mod rule;
mod strands;

pub use growth::{
    Shoulder, ShoulderBasis, Weight, WeightBasis, days_between, fitting_row, shoulder, shoulder_of, weight_at, weight_on,
};
pub use needs::{
    DailyNeeds, GroundUse, days_to_move, days_to_turn, group_needs, growing_needs, grown_needs, head_guidance, paddocks_for_rest,
    rest_days, turned_m2_per_day, whole_days,
};
pub use outgrown::{DAYS_LOOKED_AT, HeldDays, Keeping, OnDay, StrandRemedy, held_days, lowest_for};
pub use rule::{
    Barrier, CREEP_ROOM_M, Carries, FAILS_BY_M, FINE_SHARE, HAND_M, Hung, LEAST_CLEARANCE_M, Limits, Part, UNEVEN_M, Verdict,
    counting, judge, judge_single,
};
pub use strands::{BUILD_UP_M, CLEAR_OF_GROUND_M, GroupThen, hung, judge_build, row_of};
