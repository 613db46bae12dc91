use super::super::fixture::ask;
use super::super::{Placement, place_posts};
use super::*;
use proptest::prelude::*;

/// What a sample may carry.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Stands {
    Nothing,
    Post,
    Peg,
}

fn sine(question: &Question, from: usize, to: usize) -> f64 {
    let z = |k: usize| question.ground_m[k].expect("known");
    (z(to) - z(from)) / (question.plan_m[to] - question.plan_m[from]).hypot(z(to) - z(from))
}

fn keeps(question: &Question, from: usize, to: usize) -> bool {
    let z = |k: usize| question.ground_m[k].expect("known");
    let span_m = question.plan_m[to] - question.plan_m[from];
    (from + 1..to).all(|k| {
        let u_m = question.plan_m[k] - question.plan_m[from];
        let deviation_m = z(from) + (z(to) - z(from)) * u_m / span_m - z(k);
        let out = question.hanging.out_of_band(deviation_m, u_m, span_m, question.unsure_m(k));
        out.is_none_or(|(out_m, _)| out_m < 1e-12)
    })
}

/// Cost in thousandths of a post, and the sum of squares of bays between posts; `None` where it does not stand.
fn judged(question: &Question, stands: &[Stands]) -> Option<(u64, f64)> {
    let pegs = question.pegs.expect("pegs");
    let supports: Vec<usize> = (0..stands.len()).filter(|k| stands[*k] != Stands::Nothing).collect();
    let posts: Vec<usize> = (0..stands.len()).filter(|k| stands[*k] == Stands::Post).collect();
    let count = |bay: &[usize]| supports.iter().filter(|k| bay[0] < **k && **k < bay[1]).count();
    let short = |bay: &[usize]| question.plan_m[bay[1]] - question.plan_m[bay[0]] <= question.longest_bay_m + 1e-9;
    let held = |three: &[usize]| {
        let pull_n = pegs.tension_n * (sine(question, three[1], three[2]) - sine(question, three[0], three[1]));
        stands[three[1]] == Stands::Post || (pegs.may_stand[three[1]] && pull_n <= pegs.hold_n)
    };
    let stands_up = posts.windows(2).all(|bay| short(bay) && count(bay) <= MOST_PEGS)
        && supports.windows(2).all(|piece| keeps(question, piece[0], piece[1]))
        && supports.windows(3).all(held);
    let squares = posts.windows(2).map(|bay| (question.plan_m[bay[1]] - question.plan_m[bay[0]]).powi(2)).sum();
    let used = supports.len() - posts.len();
    stands_up.then(|| (1000 * (posts.len() as u64 - 1) + used as u64 * u64::from(pegs.cost), squares))
}

fn of(placement: &Placement, count: usize) -> Vec<Stands> {
    let mut stands = vec![Stands::Nothing; count];
    for (at, is_peg) in placement.posts.iter().zip(&placement.is_peg) {
        stands[*at] = if *is_peg { Stands::Peg } else { Stands::Post };
    }
    stands
}

/// Every way to leave samples free or put a post or a peg there.
fn all_ways(count: usize) -> impl Iterator<Item = Vec<Stands>> {
    let inner = u32::try_from(count - 2).expect("a few");
    (0..3_usize.pow(inner)).map(move |mut code| {
        let mut stands = vec![Stands::Post];
        for _ in 0..inner {
            stands.push([Stands::Nothing, Stands::Post, Stands::Peg][code % 3]);
            code /= 3;
        }
        stands.push(Stands::Post);
        stands
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    #[test]
    fn with_pegs_it_agrees_with_trying_every_placement(
        heights in prop::collection::vec(-0.3..0.3f64, 10),
        may_stand in prop::collection::vec(prop::bool::weighted(0.8), 10),
        unsure in prop::collection::vec(0.0..0.2f64, 10),
        price in 100_u32..1200,
        hold_n in 0.0..900.0f64,
        longest in 3.0..8.0f64,
    ) {
        let plan_m: Vec<f64> = (0..10).map(f64::from).collect();
        let ground_m: Vec<Option<f64>> = heights.iter().map(|z| Some(*z)).collect();
        let hanging = Hanging::of_numbers(1e-3, -0.08, 0.1);
        let pegs = Pegs { cost: price, may_stand: &may_stand, tension_n: 2000.0, hold_n };
        let question = Question {
            longest_bay_m: longest,
            pegs: Some(pegs),
            unsure_m: Some(&unsure),
            ..ask(&plan_m, &ground_m, &hanging)
        };
        let placement = place_posts(&question);
        let found = judged(&question, &of(&placement, 10));
        prop_assert!(found.is_some(), "does not stand: {placement:?}");
        let least = all_ways(10).filter_map(|stands| judged(&question, &stands)).min_by(|one, other| {
            one.0.cmp(&other.0).then(one.1.total_cmp(&other.1))
        });
        let (found, least) = (found.expect("stands"), least.expect("posts everywhere stand"));
        prop_assert_eq!(found.0, least.0);
        prop_assert!((found.1 - least.1).abs() < 1e-9, "{} {}", found.1, least.1);
    }
}

/// Flat ground with a hollow of this depth, a metre and a half to each side of the middle of a bay.
fn hollow(depth_m: f64) -> (Vec<f64>, Vec<Option<f64>>) {
    let plan_m: Vec<f64> = (0..=32).map(|k| f64::from(k) * 0.5).collect();
    let depth = |x: &f64| Some(100.0 - depth_m * (1.0 - (x - 4.0).abs() / 1.5).max(0.0));
    let ground_m = plan_m.iter().map(depth).collect();
    (plan_m, ground_m)
}

#[test]
fn a_peg_holds_strands_down_in_a_hollow_where_it_is_cheaper_and_strong_enough() {
    let hanging = Hanging::of_numbers(1e-4, -0.2, 0.10);
    let may_stand = [true; 33];
    let rows = [
        ("a slack strand", 300.0, 60.0, 300, 1),
        ("strands that would pull it out", 3000.0, 60.0, 300, 0),
        ("a peg dearer than a post", 300.0, 60.0, 1100, 0),
    ];
    for (name, tension_n, hold_n, cost, expected) in rows {
        let (plan_m, ground_m) = hollow(0.2);
        let pegs = Pegs { cost, may_stand: &may_stand, tension_n, hold_n };
        // Posts at 0, 8 and 16 m are taken as they are.
        let question = Question { longest_bay_m: 8.0, forced: &[16], pegs: Some(pegs), ..ask(&plan_m, &ground_m, &hanging) };
        let placed = place_posts(&question);
        let used: Vec<f64> =
            placed.posts.iter().zip(&placed.is_peg).filter(|(_, peg)| **peg).map(|(at, _)| plan_m[*at]).collect();
        assert_eq!(used.len(), expected, "{name}: {placed:?}");
        assert_eq!(placed.posts.len(), 4, "{name}: one more stands in the hollow");
        assert!(used.iter().all(|at| (at - 4.0).abs() < 0.6), "{name}: about its deepest place: {used:?}");
    }
}

#[test]
fn what_the_ground_does_not_tell_from_nothing_takes_neither_post_nor_peg() {
    let hanging = Hanging::of_numbers(1e-4, -0.07, 0.10);
    let (plan_m, ground_m) = hollow(0.14);
    let count = |unsure_m: f64| {
        let unsure = vec![unsure_m; 33];
        place_posts(&Question { longest_bay_m: 8.0, forced: &[16], unsure_m: Some(&unsure), ..ask(&plan_m, &ground_m, &hanging) })
            .posts
            .len()
    };
    assert_eq!([count(0.0), count(0.13), count(0.15)], [4, 4, 3]);
}
