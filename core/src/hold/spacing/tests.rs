use super::fixture::ask;
use super::*;
use crate::plan::Strand;
use crate::units::Length;
use proptest::prelude::*;

fn steps(count: usize, step_m: f64) -> Vec<f64> {
    (0..count).map(|k| k as f64 * step_m).collect()
}

/// The same question by trying every subset of the samples: (posts, sum of squares) of the best.
fn by_trying_all(
    plan_m: &[f64],
    ground_m: &[Option<f64>],
    kappa: f64,
    a_m: f64,
    b_m: f64,
    longest_m: f64,
) -> Option<(usize, f64)> {
    let count = plan_m.len();
    let keeps = |i: usize, j: usize| {
        let span = plan_m[j] - plan_m[i];
        let height = |k: usize| ground_m[k].expect("known");
        span <= longest_m + 1e-9
            && (i + 1..j).all(|k| {
                let u = plan_m[k] - plan_m[i];
                let e = height(i) * (1.0 - u / span) + height(j) * u / span - height(k);
                e <= b_m && e - kappa * u * (span - u) >= a_m
            })
    };
    let mut best: Option<(usize, f64)> = None;
    for mask in 0_u32..1 << (count - 2) {
        let posts: Vec<usize> = (0..count).filter(|k| *k == 0 || *k == count - 1 || mask & (1 << (k - 1)) != 0).collect();
        if posts.windows(2).all(|bay| keeps(bay[0], bay[1])) {
            let squares = posts.windows(2).map(|bay| (plan_m[bay[1]] - plan_m[bay[0]]).powi(2)).sum();
            if best.is_none_or(|(n, s)| posts.len() < n || (posts.len() == n && squares < s)) {
                best = Some((posts.len(), squares));
            }
        }
    }
    best
}

fn answer(plan_m: &[f64], placement: &Placement) -> (usize, f64) {
    let squares = placement.posts.windows(2).map(|bay| (plan_m[bay[1]] - plan_m[bay[0]]).powi(2)).sum();
    (placement.posts.len(), squares)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]
    #[test]
    fn it_agrees_with_trying_every_placement(
        heights in prop::collection::vec(-0.4..0.4f64, 13),
        gaps in prop::collection::vec(0.3..1.5f64, 12),
        kappa in 0.0..0.02f64,
        a in -0.3..-0.01f64,
        b in 0.01..0.3f64,
        longest in 2.0..9.0f64,
    ) {
        let plan_m: Vec<f64> = std::iter::once(0.0).chain(gaps.iter().scan(0.0, |x, gap| { *x += gap; Some(*x) })).collect();
        let ground_m: Vec<Option<f64>> = heights.iter().map(|z| Some(*z)).collect();
        let hanging = Hanging::of_numbers(kappa, a, b);
        let placement = place_posts(&Question { longest_bay_m: longest, ..ask(&plan_m, &ground_m, &hanging) });
        let (posts, squares) = by_trying_all(&plan_m, &ground_m, kappa, a, b, longest).expect("every gap is short enough");
        let found = answer(&plan_m, &placement);
        prop_assert_eq!(found.0, posts);
        prop_assert!((found.1 - squares).abs() < 1e-9, "{} {}", found.1, squares);
        prop_assert!(placement.out_of_band.is_empty());
    }

    #[test]
    fn a_wider_band_or_a_longer_bay_never_takes_more_posts(
        heights in prop::collection::vec(-0.5..0.5f64, 40), more in 0.0..0.2f64, longer in 0.0..5.0f64,
    ) {
        let plan_m = steps(40, 0.5);
        let ground_m: Vec<Option<f64>> = heights.iter().map(|z| Some(*z)).collect();
        let (narrow, wide) = (Hanging::of_numbers(3e-4, -0.07, 0.10), Hanging::of_numbers(3e-4, -0.07 - more, 0.10 + more));
        let few = place_posts(&Question { longest_bay_m: 10.0 + longer, ..ask(&plan_m, &ground_m, &wide) }).posts.len();
        let many = place_posts(&ask(&plan_m, &ground_m, &narrow)).posts.len();
        prop_assert!(few <= many);
    }

    /// On the same smooth ground, sampled ten times as finely, posts that may stand where they might before are judged at more places:
    /// they never get fewer. (Where the finer samples also offer more places for posts, it can be fewer: see the test below.)
    #[test]
    fn ground_that_is_sampled_more_finely_never_needs_fewer_posts_at_the_same_places(waves in smooth_ground()) {
        let hanging = Hanging::of_numbers(3e-4, -0.07, 0.10);
        let coarse = sampled(&waves, 2.0);
        let seen_coarsely = place_posts(&ask(&coarse.0, &coarse.1, &hanging));
        let fine = sampled(&waves, 0.2);
        let cost: Vec<u32> = (0..fine.0.len()).map(|k| if k % 10 == 0 { USUAL_COST } else { u32::MAX }).collect();
        let seen_finely = place_posts(&Question { cost: Some(&cost), ..ask(&fine.0, &fine.1, &hanging) });
        // Two metres apart the ground may leave the band whatever is placed; then there is nothing to count.
        prop_assume!(seen_finely.out_of_band.is_empty());
        prop_assert!(seen_finely.posts.iter().all(|post| post % 10 == 0));
        prop_assert!(seen_finely.posts.len() >= seen_coarsely.posts.len());
    }

    #[test]
    fn a_tighter_strand_never_takes_more_posts(waves in smooth_ground(), slack in 1e-4..5e-3f64, share in 0.1..1.0f64) {
        let (plan_m, ground_m) = sampled(&waves, 0.5);
        let posts = |kappa| place_posts(&ask(&plan_m, &ground_m, &Hanging::of_numbers(kappa, -0.07, 0.10))).posts.len();
        prop_assert!(posts(slack * share) <= posts(slack));
    }
}

/// Waves of 12 to 60 m and up to a metre, laid over each other.
fn smooth_ground() -> impl Strategy<Value = Vec<(f64, f64, f64)>> {
    prop::collection::vec((0.0..1.0f64, 12.0..60.0f64, 0.0..std::f64::consts::TAU), 1..5)
}

/// 60 m of it at these steps.
fn sampled(waves: &[(f64, f64, f64)], step_m: f64) -> (Vec<f64>, Vec<Option<f64>>) {
    let plan_m = steps((60.0 / step_m).round() as usize + 1, step_m);
    let height = |x: &f64| waves.iter().map(|(high, long, from)| high * (std::f64::consts::TAU * x / long + from).sin()).sum();
    let ground_m = plan_m.iter().map(|x| Some(height(x))).collect();
    (plan_m, ground_m)
}

#[test]
fn finer_samples_can_save_posts_because_they_offer_places_for_them() {
    // Crests 7.5 m apart: samples every 2 m miss them, samples every half metre do not.
    let waves = [(0.3, 15.0, 1.0)];
    let hanging = Hanging::of_numbers(3e-4, -0.07, 0.10);
    let posts = |step_m| {
        let (plan_m, ground_m) = sampled(&waves, step_m);
        place_posts(&ask(&plan_m, &ground_m, &hanging)).posts.len()
    };
    assert!(posts(0.5) < posts(2.0));
}

#[test]
fn flat_ground_takes_a_post_at_each_longest_bay() {
    let (plan_m, hanging) = (steps(201, 0.5), Hanging::of_numbers(3e-4, -0.07, 0.10));
    let placement = place_posts(&ask(&plan_m, &vec![Some(100.0); 201], &hanging));
    assert_eq!(placement.posts, (0..=10).map(|k| k * 20).collect::<Vec<_>>());
}

#[test]
fn posts_go_evenly_where_the_ground_is_unknown() {
    let (plan_m, hanging) = (steps(191, 0.5), Hanging::of_numbers(3e-4, -0.07, 0.10));
    let placement = place_posts(&ask(&plan_m, &vec![None; 191], &hanging));
    let spans: Vec<f64> = placement.posts.windows(2).map(|bay| plan_m[bay[1]] - plan_m[bay[0]]).collect();
    assert_eq!(placement.posts.len(), 11, "95 m in ten bays");
    assert!(spans.iter().all(|span| (9.0..=10.0).contains(span)), "{spans:?}");
}

#[test]
fn a_post_stands_where_known_ground_ends() {
    let (plan_m, hanging) = (steps(41, 0.5), Hanging::of_numbers(3e-4, -0.07, 0.10));
    let ground_m: Vec<_> = (0..41).map(|k| (!(15..=20).contains(&k)).then_some(5.0)).collect();
    let placement = place_posts(&ask(&plan_m, &ground_m, &hanging));
    assert!(placement.posts.contains(&14) && placement.posts.contains(&21), "{:?}", placement.posts);
}

#[test]
fn forced_posts_stand_and_gates_stay_open() {
    let (plan_m, hanging) = (steps(81, 0.5), Hanging::of_numbers(3e-4, -0.07, 0.10));
    let mut ground_m = vec![Some(5.0); 81];
    ground_m[44] = Some(3.0);
    let question = Question { forced: &[10, 40, 48], openings: &[(40, 48)], ..ask(&plan_m, &ground_m, &hanging) };
    let placement = place_posts(&question);
    assert!([10, 40, 48].iter().all(|post| placement.posts.contains(post)));
    assert!(!placement.posts.iter().any(|post| (41..48).contains(post)), "{:?}", placement.posts);
    assert!(placement.out_of_band.is_empty(), "no strand crosses a gate");
}

#[test]
fn a_cliff_is_said_to_be_out_of_band_and_only_there() {
    let (plan_m, hanging) = (steps(81, 0.5), Hanging::of_numbers(3e-4, -0.07, 0.10));
    let ground_m: Vec<_> = (0..81).map(|k| Some(if k <= 40 { 10.0 } else { 7.0 })).collect();
    let placement = place_posts(&Question { shortest_bay_m: 1.0, ..ask(&plan_m, &ground_m, &hanging) });
    assert_eq!(placement.out_of_band.len(), 1, "{placement:?}");
    let bay = placement.out_of_band[0];
    let (from, to) = (placement.posts[bay], placement.posts[bay + 1]);
    assert!(from <= 40 && to > 40 && plan_m[to] - plan_m[from] >= 1.0 - 1e-9);
    let shortest = placement.posts.windows(2).map(|bay| plan_m[bay[1]] - plan_m[bay[0]]).fold(f64::INFINITY, f64::min);
    assert!(shortest >= 1.0 - 1e-9, "{shortest}");
    assert!(placement.posts.len() <= 8, "{:?}", placement.posts);
}

#[test]
fn a_post_goes_where_it_is_cheap_when_that_saves_nothing_else() {
    let (plan_m, hanging) = (steps(37, 0.5), Hanging::of_numbers(3e-4, -0.07, 0.10));
    let ground_m = vec![Some(0.0); 37];
    let mut cost = vec![1000; 37];
    cost[19] = 300;
    cost[18] = u32::MAX;
    let placement = place_posts(&Question { cost: Some(&cost), ..ask(&plan_m, &ground_m, &hanging) });
    assert_eq!(placement.posts, [0, 19, 36]);
    cost[16..=20].fill(u32::MAX);
    let placement = place_posts(&Question { cost: Some(&cost), ..ask(&plan_m, &ground_m, &hanging) });
    assert_eq!(placement.posts.len(), 4, "no place for one post in the middle: {:?}", placement.posts);
}

#[test]
fn a_strand_outside_its_own_band_is_named() {
    let strand = |height: f64, low: f64, high: f64| Strand {
        band: Some((Length::metres(low), Length::metres(high))),
        ..Strand::live(Length::metres(height), "ht-14ga")
    };
    let strands = [strand(0.2, 0.1, 0.3), strand(0.5, 0.55, 0.7)];
    let error = Hanging::of(&strands, &[3e-4, 3e-4]).expect_err("contradictory");
    assert_eq!(error.strand, 1);
    assert_eq!(error.to_string(), "strand 1 stands at 0.5 m, outside its own band of 0.55 to 0.7 m");
}

#[test]
fn one_point_or_none_is_a_line_without_bays() {
    let hanging = Hanging::free();
    assert!(place_posts(&ask(&[], &[], &hanging)).posts.is_empty());
    assert_eq!(place_posts(&ask(&[0.0], &[Some(1.0)], &hanging)).posts, [0]);
}
