//! Pieces between two posts that must stand, from last time where nothing they rest on has changed: moving one post leaves all others.

use super::search::stops;
use super::{Hanging, Pegs, Placement, Question, place_posts};
use std::collections::HashMap;
use std::sync::Mutex;

/// More pieces than this are not kept.
const MOST: usize = 2000;

/// Pieces that were placed before.
#[derive(Debug, Default)]
pub struct Placements {
    known: Mutex<HashMap<Vec<u64>, Vec<(Hanging, Placement)>>>,
}

impl Placements {
    /// As [`place_posts`], piece by piece. Where strands may be fixed off their height one piece rests on the next, and nothing is kept.
    pub fn place(&self, question: &Question) -> Placement {
        if question.offsets_m.len() > 1 || question.plan_m.len() < 2 {
            return place_posts(question);
        }
        let mut whole = Placement { posts: vec![0], is_peg: vec![false], off_m: vec![0.0], out_of_band: Vec::new() };
        for pair in stops(question).windows(2) {
            let (start, end) = (pair[0], pair[1]);
            if question.openings.contains(&(start, end)) {
                whole.posts.push(end);
                whole.is_peg.push(false);
                whole.off_m.push(0.0);
                continue;
            }
            let piece = self.piece(question, start, end);
            let before = whole.posts.len() - 1;
            whole.out_of_band.extend(piece.out_of_band.iter().map(|bay| bay + before));
            whole.posts.extend(piece.posts[1..].iter().map(|post| post + start));
            whole.is_peg.extend(&piece.is_peg[1..]);
            whole.off_m.extend(&piece.off_m[1..]);
        }
        whole
    }

    fn piece(&self, question: &Question, start: usize, end: usize) -> Placement {
        let within = start..end + 1;
        let piece = Question {
            plan_m: &question.plan_m[within.clone()],
            ground_m: &question.ground_m[within.clone()],
            forced: &[],
            openings: &[],
            cost: question.cost.map(|cost| &cost[within.clone()]),
            unsure_m: question.unsure_m.map(|unsure_m| &unsure_m[within.clone()]),
            pegs: question.pegs.map(|pegs| Pegs { may_stand: &pegs.may_stand[within], ..pegs }),
            ..*question
        };
        let key = key_of(&piece);
        let is_same = |(hanging, _): &&(Hanging, Placement)| hanging == question.hanging;
        let known = self.known.lock().ok().and_then(|known| Some(known.get(&key)?.iter().find(is_same)?.1.clone()));
        known.unwrap_or_else(|| {
            let placed = place_posts(&piece);
            if let Ok(mut known) = self.known.lock() {
                if known.len() >= MOST {
                    known.clear();
                }
                known.entry(key).or_default().push((question.hanging.clone(), placed.clone()));
            }
            placed
        })
    }
}

/// Every number that a piece rests on but how its strands hang.
fn key_of(piece: &Question) -> Vec<u64> {
    let mut key = Vec::with_capacity(4 * piece.plan_m.len() + 8);
    key.extend([piece.longest_bay_m.to_bits(), piece.shortest_bay_m.to_bits()]);
    key.extend(piece.plan_m.iter().map(|x| x.to_bits()));
    key.extend(piece.ground_m.iter().map(|z| z.unwrap_or(f64::NAN).to_bits()));
    key.extend(piece.unsure_m.into_iter().flatten().map(|off_m| off_m.to_bits()));
    let may_stand = |k: usize| piece.pegs.is_some_and(|pegs| pegs.may_stand[k]);
    let costs = piece.cost.into_iter().flatten().enumerate();
    key.extend(costs.map(|(k, cost)| u64::from(*cost) << 1 | u64::from(may_stand(k))));
    if let Some(pegs) = piece.pegs {
        key.extend([u64::from(pegs.cost), pegs.tension_n.to_bits(), pegs.hold_n.to_bits()]);
    }
    key
}

#[cfg(test)]
mod tests {
    use super::super::fixture::ask;
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]
        #[test]
        fn piece_by_piece_the_posts_stand_as_in_one_go_and_as_the_first_time(
            heights in prop::collection::vec(-0.4..0.4f64, 60),
            hole in prop::option::of((5_usize..50, 1_usize..6)),
            forced in prop::collection::btree_set(1_usize..59, 0..6),
            may_stand in prop::collection::vec(prop::bool::weighted(0.7), 60),
            gate in any::<bool>(),
            shortest_bay_m in 0.0..1.2f64,
        ) {
            let plan_m: Vec<f64> = (0..60).map(|k| f64::from(k) * 0.5).collect();
            let is_hole = |k: usize| hole.is_some_and(|(from, count)| (from..from + count).contains(&k));
            let ground_m: Vec<Option<f64>> = heights.iter().enumerate().map(|(k, z)| (!is_hole(k)).then_some(*z)).collect();
            let forced: Vec<usize> = forced.into_iter().collect();
            let first = forced.windows(2).next().filter(|_| gate).map(|pair| (pair[0], pair[1]));
            let openings: Vec<(usize, usize)> = first.into_iter().collect();
            let hanging = Hanging::of_numbers(1e-3, -0.08, 0.1);
            let pegs = Some(Pegs { cost: 300, may_stand: &may_stand, tension_n: 1500.0, hold_n: 200.0 });
            let question = Question { forced: &forced, openings: &openings, shortest_bay_m, pegs, ..ask(&plan_m, &ground_m, &hanging) };
            let kept = Placements::default();
            let (first, again) = (kept.place(&question), kept.place(&question));
            prop_assert_eq!(&first, &again);
            let whole = place_posts(&question);
            let told = |placed: &Placement| {
                let square: f64 = placed.posts.windows(2).map(|bay| (plan_m[bay[1]] - plan_m[bay[0]]).powi(2)).sum();
                (placed.posts.len(), placed.is_peg.iter().filter(|is_peg| **is_peg).count(), placed.out_of_band.len(), square)
            };
            let (first, whole) = (told(&first), told(&whole));
            prop_assert_eq!((first.0, first.1, first.2), (whole.0, whole.1, whole.2));
            prop_assert!((first.3 - whole.3).abs() < 1e-6);
        }
    }
}
