//! How pieces of wire are cut from rolls.

/// Wire that a joint takes, metres (`common-practice`).
pub const JOINT_M: f64 = 0.30;
/// What is left of a roll below this is not worth joining, metres (`common-practice`).
const LEAST_REMAINDER_M: f64 = 20.0;
/// Pieces up to which it is tried whether fewer rolls do without any joint.
const PIECES_TO_TRY: usize = 12;
/// Steps after which that search gives up.
const STEPS_TO_TRY: usize = 4000;

/// Where two lengths of wire are joined.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// Which piece, by its index among those that were asked for.
    pub piece: usize,
    /// How far from its start, metres.
    pub at_m: f64,
}

/// How pieces come out of rolls.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cut {
    /// Whole rolls opened, what was in the shed not counted.
    pub rolls: u32,
    /// Joints made.
    pub joints: Vec<Joint>,
    /// What is left in the end, metres: of the rolls in the shed in their order, then of the new ones.
    pub left_m: Vec<f64>,
}

/// What is in the shed as the rolls it lies on: an amount longer than a roll is whole rolls and what is left.
pub fn rolls_of(amounts_m: &[f64], roll_m: f64) -> Vec<f64> {
    let mut rolls = Vec::new();
    for amount_m in amounts_m {
        let whole = (amount_m / roll_m).floor();
        rolls.extend((0..whole as usize).map(|_| roll_m));
        rolls.push(amount_m - whole * roll_m);
    }
    rolls.retain(|rest| *rest > 0.0);
    rolls
}

/// Cuts pieces from what is in the shed, roll by roll, then from whole rolls: the longest piece first, from the first roll it fits in; a
/// piece that fits in none is joined from remainders before another roll is opened. Few pieces are tried in every way, so that no roll is
/// opened that a better distribution would save.
///
/// # Units
/// Metres.
/// # Valid for
/// Rolls longer than a few joints; pieces of any length (longer than a roll: joined).
/// # Source
/// `common-practice` (first-fit decreasing).
pub fn cut_rolls(pieces_m: &[f64], in_shed_m: &[f64], roll_m: f64) -> Cut {
    assert!(roll_m > 2.0 * LEAST_REMAINDER_M, "a roll of {roll_m} m");
    let mut by_length: Vec<usize> = (0..pieces_m.len()).collect();
    by_length.sort_by(|a, b| pieces_m[*b].total_cmp(&pieces_m[*a]));
    let mut cutting = Cutting { roll_m, rests: in_shed_m.to_vec(), cut: Cut::default() };
    for piece in &by_length {
        cutting.piece(*piece, pieces_m[*piece]);
    }
    let Cutting { rests, mut cut, .. } = cutting;
    cut.left_m = rests;
    let lengths: Vec<f64> = by_length.iter().map(|piece| pieces_m[*piece]).collect();
    without_joints(&lengths, in_shed_m, roll_m, &cut).unwrap_or(cut)
}

struct Cutting {
    roll_m: f64,
    rests: Vec<f64>,
    cut: Cut,
}

impl Cutting {
    fn piece(&mut self, piece: usize, length_m: f64) {
        let mut wanted_m = length_m;
        while wanted_m > 0.0 {
            if let Some(rest) = self.rests.iter_mut().find(|rest| **rest >= wanted_m) {
                *rest -= wanted_m;
                return;
            }
            let is_usable = |rest: &f64| *rest >= LEAST_REMAINDER_M;
            let usable_m: f64 = self.rests.iter().filter(|rest| is_usable(rest)).map(|rest| rest - JOINT_M).sum();
            if usable_m < wanted_m {
                self.rests.push(self.roll_m);
                self.cut.rolls += 1;
                if wanted_m <= self.roll_m {
                    continue;
                }
            }
            // Joined: the longest remainder goes in whole.
            let longest = self.rests.iter_mut().filter(|rest| is_usable(rest)).max_by(|a, b| a.total_cmp(b));
            wanted_m -= longest.map_or(self.roll_m, std::mem::take) - JOINT_M;
            self.cut.joints.push(Joint { piece, at_m: length_m - wanted_m });
        }
    }
}

/// The pieces, the longest first, out of fewer rolls than `than` opens, or of as many where that takes joints, each piece from one roll.
fn without_joints(lengths_m: &[f64], in_shed_m: &[f64], roll_m: f64, than: &Cut) -> Option<Cut> {
    if lengths_m.len() > PIECES_TO_TRY || lengths_m.first().is_some_and(|longest| *longest > roll_m) {
        return None;
    }
    let most = if than.joints.is_empty() { than.rolls.checked_sub(1)? } else { than.rolls };
    let total_m: f64 = lengths_m.iter().sum::<f64>() - in_shed_m.iter().sum::<f64>();
    let least = (total_m / roll_m).ceil().max(0.0) as u32;
    (least..=most).find_map(|rolls| {
        let mut rests_m = in_shed_m.to_vec();
        rests_m.extend((0..rolls).map(|_| roll_m));
        let mut steps = 0;
        packed(lengths_m, &mut rests_m, &mut steps).then(|| Cut { rolls, joints: Vec::new(), left_m: rests_m })
    })
}

fn packed(lengths_m: &[f64], rests_m: &mut [f64], steps: &mut usize) -> bool {
    let Some((length_m, others)) = lengths_m.split_first() else { return true };
    for index in 0..rests_m.len() {
        let rest_m = rests_m[index];
        // Rolls that are alike need not be tried twice.
        if rest_m < *length_m || rests_m[..index].iter().any(|before| (before - rest_m).abs() < 1e-9) {
            continue;
        }
        *steps += 1;
        if *steps > STEPS_TO_TRY {
            return false;
        }
        rests_m[index] -= length_m;
        if packed(others, rests_m, steps) {
            return true;
        }
        rests_m[index] = rest_m;
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn pieces_are_cut_as_a_careful_keeper_would() {
        let rows: [(&[f64], &[f64], f64, u32, usize); 9] = [
            (&[300.0, 300.0], &[], 805.0, 1, 0),
            (&[668.0, 668.0, 668.0], &[], 1219.0, 2, 1),
            (&[668.0, 668.0, 668.0], &[1219.0], 1219.0, 1, 1),
            (&[100.0], &[150.0], 400.0, 0, 0),
            (&[1000.0], &[], 400.0, 3, 2),
            (&[190.0, 190.0, 190.0, 15.0], &[], 200.0, 4, 0),
            (&[], &[], 400.0, 0, 0),
            // The longest first would put 60 and 40 together and open a third roll.
            (&[60.0, 50.0, 40.0, 30.0, 20.0], &[], 100.0, 2, 0),
            (&[80.0, 60.0], &[70.0, 90.0], 400.0, 0, 0),
        ];
        for (pieces, shed, roll, rolls, joints) in rows {
            let cut = cut_rolls(pieces, shed, roll);
            assert_eq!((cut.rolls, cut.joints.len()), (rolls, joints), "{pieces:?} {shed:?} {roll}");
        }
    }

    #[test]
    fn an_amount_longer_than_a_roll_lies_on_several() {
        for (amounts, rolls) in
            [(vec![1000.0], vec![400.0, 400.0, 200.0]), (vec![150.0, 60.0], vec![150.0, 60.0]), (vec![800.0], vec![400.0, 400.0])]
        {
            assert_eq!(rolls_of(&amounts, 400.0), rolls);
        }
    }

    #[test]
    fn a_joint_is_where_the_first_length_ends() {
        let cut = cut_rolls(&[1000.0], &[], 400.0);
        let expected = [Joint { piece: 0, at_m: 399.7 }, Joint { piece: 0, at_m: 799.4 }];
        for (joint, expected) in cut.joints.iter().zip(expected) {
            assert!(joint.piece == expected.piece && (joint.at_m - expected.at_m).abs() < 1e-9, "{joint:?}");
        }
    }

    /// The fewest rolls that any distribution takes, every piece from one roll: all of them are tried.
    fn fewest_by_trying_all(pieces: &[f64], shed: &[f64], roll: f64) -> usize {
        fn tried(pieces: &[f64], rests: &mut Vec<f64>, opened: usize, roll: f64, best: &mut usize) {
            let Some((piece, others)) = pieces.split_first() else {
                *best = opened.min(*best);
                return;
            };
            for index in 0..rests.len() {
                if rests[index] >= *piece {
                    rests[index] -= piece;
                    tried(others, rests, opened, roll, best);
                    rests[index] += piece;
                }
            }
            rests.push(roll - piece);
            tried(others, rests, opened + 1, roll, best);
            rests.pop();
        }
        let mut best = usize::MAX;
        tried(pieces, &mut shed.to_vec(), 0, roll, &mut best);
        best
    }

    proptest! {
        #[test]
        fn no_distribution_of_whole_pieces_takes_fewer_rolls(
            pieces in prop::collection::vec(5u32..200, 0..7), shed in prop::collection::vec(10u32..200, 0..3),
        ) {
            let metres = |list: &[u32]| list.iter().map(|value| f64::from(*value)).collect::<Vec<_>>();
            let (pieces, shed) = (metres(&pieces), metres(&shed));
            let cut = cut_rolls(&pieces, &shed, 200.0);
            let best = fewest_by_trying_all(&pieces, &shed, 200.0);
            prop_assert!(cut.rolls as usize <= best, "{} rolls, {} would do", cut.rolls, best);
            // Where it takes fewer, joints made it possible.
            prop_assert!(cut.rolls as usize == best || !cut.joints.is_empty());
        }

        #[test]
        fn what_is_cut_is_always_there_and_nothing_is_lost(
            pieces in prop::collection::vec(1.0..900.0f64, 0..16), shed in prop::collection::vec(1.0..500.0f64, 0..4),
            roll in 100.0..1300.0f64,
        ) {
            let cut = cut_rolls(&pieces, &shed, roll);
            let used: f64 = pieces.iter().sum::<f64>() + cut.joints.len() as f64 * JOINT_M;
            let had = shed.iter().sum::<f64>() + f64::from(cut.rolls) * roll;
            let left: f64 = cut.left_m.iter().sum();
            prop_assert!((had - used - left).abs() < 1e-6, "{had} {used} {left}");
            prop_assert!(cut.left_m.iter().all(|rest| *rest >= -1e-9));
            for joint in &cut.joints {
                prop_assert!(joint.at_m > 0.0 && joint.at_m < pieces[joint.piece] + 1e-9, "{joint:?}");
            }
        }
    }
}
