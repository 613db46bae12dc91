//! The plain question that the tests of posts begin with.

use super::{Hanging, NO_DRILLING, Question};

/// Nothing forced, nothing dear, bays of 10 m at most.
pub fn ask<'a>(plan_m: &'a [f64], ground_m: &'a [Option<f64>], hanging: &'a Hanging) -> Question<'a> {
    Question {
        plan_m,
        ground_m,
        forced: &[],
        openings: &[],
        cost: None,
        offsets_m: NO_DRILLING,
        longest_bay_m: 10.0,
        shortest_bay_m: 0.0,
        hanging,
        unsure_m: None,
        pegs: None,
    }
}
