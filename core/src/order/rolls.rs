//! How pieces of wire are cut from rolls.

/// Wire that a joint takes, metres (`common-practice`).
pub const JOINT_M: f64 = 0.30;
/// What is left of a roll below this is not worth joining, metres (`common-practice`).
const LEAST_REMAINDER_M: f64 = 20.0;

/// How pieces come out of rolls.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cut {
    /// Whole rolls opened, what was in the shed not counted.
    pub rolls: u32,
    /// Joints made.
    pub joints: u32,
}

/// Cuts pieces from what is in the shed, then from whole rolls: the longest piece first, from the first roll it fits in; a piece that
/// fits in none is joined from remainders before another roll is opened.
///
/// # Units
/// Metres.
/// # Valid for
/// Rolls longer than a few joints; pieces of any length (longer than a roll: joined).
/// # Source
/// `common-practice` (first-fit decreasing).
pub fn cut_rolls(pieces_m: &[f64], in_shed_m: f64, roll_m: f64) -> Cut {
    assert!(roll_m > 2.0 * LEAST_REMAINDER_M, "a roll of {roll_m} m");
    let mut pieces = pieces_m.to_vec();
    pieces.sort_by(|a, b| b.total_cmp(a));
    let mut rests = if in_shed_m > 0.0 { vec![in_shed_m] } else { vec![] };
    let mut cut = Cut::default();
    for piece_m in pieces {
        let mut wanted_m = piece_m;
        while wanted_m > 0.0 {
            if let Some(rest) = rests.iter_mut().find(|rest| **rest >= wanted_m) {
                *rest -= wanted_m;
                break;
            }
            let usable_m: f64 = rests.iter().filter(|rest| **rest >= LEAST_REMAINDER_M).map(|rest| rest - JOINT_M).sum();
            if usable_m < wanted_m && wanted_m <= roll_m {
                rests.push(roll_m);
                cut.rolls += 1;
                continue;
            }
            // Joined: the longest remainder goes in whole, or a new roll where the remainders together do not suffice.
            let longest = rests.iter_mut().filter(|rest| usable_m >= wanted_m && **rest >= LEAST_REMAINDER_M);
            match longest.max_by(|a, b| a.total_cmp(b)) {
                Some(rest) => wanted_m -= std::mem::take(rest) - JOINT_M,
                None => {
                    cut.rolls += 1;
                    wanted_m -= roll_m - JOINT_M;
                }
            }
            cut.joints += 1;
        }
    }
    cut
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn pieces_are_cut_as_a_careful_keeper_would() {
        let rows: [(&[f64], f64, f64, u32, u32); 7] = [
            (&[300.0, 300.0], 0.0, 805.0, 1, 0),
            (&[668.0, 668.0, 668.0], 0.0, 1219.0, 2, 1),
            (&[668.0, 668.0, 668.0], 1219.0, 1219.0, 1, 1),
            (&[100.0], 150.0, 400.0, 0, 0),
            (&[1000.0], 0.0, 400.0, 3, 2),
            (&[190.0, 190.0, 190.0, 15.0], 0.0, 200.0, 4, 0),
            (&[], 0.0, 400.0, 0, 0),
        ];
        for (pieces, shed, roll, rolls, joints) in rows {
            assert_eq!(cut_rolls(pieces, shed, roll), Cut { rolls, joints }, "{pieces:?} {shed} {roll}");
        }
    }

    proptest! {
        #[test]
        fn what_is_cut_is_always_there_and_never_more_than_a_roll_too_many(
            pieces in prop::collection::vec(1.0..900.0f64, 0..12), shed in 0.0..500.0f64, roll in 100.0..1300.0f64,
        ) {
            let cut = cut_rolls(&pieces, shed, roll);
            let total: f64 = pieces.iter().sum::<f64>() + f64::from(cut.joints) * JOINT_M;
            let bought = f64::from(cut.rolls) * roll;
            prop_assert!(shed + bought >= total - 1e-6, "{} + {} < {}", shed, bought, total);
            // Every roll but the last was opened because what was left, small rests apart, did not suffice.
            let lost = (pieces.len() as f64 + f64::from(cut.rolls) + 1.0) * (LEAST_REMAINDER_M + JOINT_M) + roll;
            prop_assert!(bought <= total + lost, "{} {}", bought, total);
        }
    }
}
