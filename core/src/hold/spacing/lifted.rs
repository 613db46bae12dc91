//! The cheapest posts when one that is lifted must be held down at a price: the path runs over bays instead of samples.

use super::search::stops;
use super::{Placement, Question, USUAL_COST};

/// What lifting costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoldDownCost {
    /// Tension of all strands together, N.
    pub tension_n: f64,
    /// A post that is pulled upwards by more than this is held down, N.
    pub limit_n: f64,
    /// What that costs, in thousandths of a driven post.
    pub cost: u32,
}

/// A bay that keeps the band, or an opening without strands.
#[derive(Clone, Copy)]
struct Edge {
    from: usize,
    to: usize,
    span_m: f64,
    /// Rise over length on the slope; `None` in an opening and over unknown ground: no strand is known to lift there.
    sine: Option<f64>,
}

#[derive(Clone, Copy)]
struct Best {
    cost: u64,
    square_m2: f64,
    before: usize,
}

const NOT_REACHED: Best = Best { cost: u64::MAX, square_m2: f64::INFINITY, before: usize::MAX };
const NONE: usize = usize::MAX;
const SAME_M: f64 = 1e-9;

/// The cheapest posts and hold-downs that keep the band everywhere; `None` where no placement does (then
/// [`super::place_posts`] says what is least bad). Takes time proportional to samples times the square of the samples in the longest bay.
///
/// # Units
/// As in [`Question`]; its offsets are not used.
/// # Valid for
/// As [`super::place_posts`].
/// # Source
/// `imai-iri-1988` for the path; the pull upwards by `statics`.
pub fn place_held_down(question: &Question, lifting: &HoldDownCost) -> Option<Placement> {
    let count = question.plan_m.len();
    let edges = edges(question);
    // Edges by the sample they begin at and by the one they end at.
    let (mut out, mut into) = (vec![Vec::new(); count], vec![Vec::new(); count]);
    for (index, edge) in edges.iter().enumerate() {
        out[edge.from].push(index);
        into[edge.to].push(index);
    }
    let mut best = vec![NOT_REACHED; edges.len()];
    let post = |sample: usize| question.cost.map_or(USUAL_COST, |costs| costs[sample]);
    // The stop that ends a piece is never refused.
    let cost_of = |edge: &Edge| u64::from(if post(edge.to) == u32::MAX { 0 } else { post(edge.to) });
    for sample in 0..count {
        for next in &out[sample] {
            let edge = edges[*next];
            let (own, square) = (cost_of(&edge), edge.span_m * edge.span_m);
            if sample == 0 {
                best[*next] = Best { cost: own, square_m2: square, before: NONE };
                continue;
            }
            for before in &into[sample] {
                let so_far = best[*before];
                if so_far.cost == u64::MAX {
                    continue;
                }
                let pull_n = lifting.tension_n * (edge.sine.unwrap_or(0.0) - edges[*before].sine.unwrap_or(0.0));
                let held = if pull_n > lifting.limit_n { u64::from(lifting.cost) } else { 0 };
                let (cost, square_m2) = (so_far.cost + own + held, so_far.square_m2 + square);
                let now = &mut best[*next];
                if cost < now.cost || (cost == now.cost && square_m2 < now.square_m2) {
                    *now = Best { cost, square_m2, before: *before };
                }
            }
        }
    }
    let rank = |index: &usize| (best[*index].cost, best[*index].square_m2);
    let last = into[count - 1].iter().copied().filter(|index| best[*index].cost < u64::MAX);
    let mut at = last.min_by(|one, other| rank(one).0.cmp(&rank(other).0).then(rank(one).1.total_cmp(&rank(other).1)))?;
    let mut posts = vec![count - 1];
    loop {
        posts.push(edges[at].from);
        if best[at].before == NONE {
            break;
        }
        at = best[at].before;
    }
    posts.reverse();
    Some(Placement { off_m: vec![0.0; posts.len()], is_peg: vec![false; posts.len()], posts, out_of_band: Vec::new() })
}

/// Every bay that may stand, by its first sample. None passes a place where a post must stand.
fn edges(question: &Question) -> Vec<Edge> {
    let stops = stops(question);
    let mut edges = Vec::new();
    for piece in stops.windows(2) {
        let (start, end) = (piece[0], piece[1]);
        if question.openings.contains(&(start, end)) {
            edges.push(Edge { from: start, to: end, span_m: 0.0, sine: None });
        } else {
            (start..end).for_each(|from| bays_from(question, from, (start, end), &mut edges));
        }
    }
    edges
}

fn bays_from(question: &Question, from: usize, piece: (usize, usize), edges: &mut Vec<Edge>) {
    let Question { plan_m, ground_m, cost, longest_bay_m, shortest_bay_m, hanging, .. } = *question;
    let unsure_m = |k: usize| question.unsure_m(k);
    let mut lowest_slope: Vec<f64> = vec![f64::NEG_INFINITY; hanging.floors().len()];
    let mut highest_slope = f64::INFINITY;
    let known = ground_m[piece.0..=piece.1].iter().all(Option::is_some);
    for to in from + 1..=piece.1 {
        let span_m = plan_m[to] - plan_m[from];
        if span_m > longest_bay_m + SAME_M {
            break;
        }
        let may_stand = to == piece.1 || cost.is_none_or(|costs| costs[to] != u32::MAX);
        let long_enough = span_m >= shortest_bay_m - SAME_M || (from, to) == piece;
        let (Some(z0), Some(z)) = (ground_m[from], ground_m[to]) else { continue };
        let slope = (z - z0) / span_m;
        let above = |(floor, lowest): (&super::hanging::Floor, &f64)| slope - floor.kappa_per_m * span_m >= *lowest;
        let fits = slope <= highest_slope && hanging.floors().iter().zip(&lowest_slope).all(above);
        if may_stand && long_enough && (fits || !known) {
            let sine = (z - z0) / span_m.hypot(z - z0);
            edges.push(Edge { from, to, span_m, sine: known.then_some(sine) });
        }
        highest_slope = highest_slope.min((z + hanging.ceiling_m().max(unsure_m(to)) - z0) / span_m);
        for (floor, lowest) in hanging.floors().iter().zip(&mut lowest_slope) {
            *lowest = lowest.max((z + floor.a_m.min(-unsure_m(to)) - z0) / span_m - floor.kappa_per_m * span_m);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::fixture::ask;
    use super::super::{Hanging, place_posts};
    use super::*;
    use proptest::prelude::*;

    fn lift_n(question: &Question, lifting: &HoldDownCost, before: usize, here: usize, after: usize) -> f64 {
        let z = |k: usize| question.ground_m[k].expect("known");
        let part = |k: usize| (z(k) - z(here)) / (question.plan_m[k] - question.plan_m[here]).hypot(z(k) - z(here));
        lifting.tension_n * (part(before) + part(after))
    }

    /// What a placement costs, in thousandths of a post.
    fn cost(question: &Question, lifting: &HoldDownCost, posts: &[usize]) -> u64 {
        let held =
            posts.windows(3).filter(|three| lift_n(question, lifting, three[0], three[1], three[2]) > lifting.limit_n).count();
        1000 * (posts.len() as u64 - 1) + u64::from(lifting.cost) * held as u64
    }

    fn keeps(question: &Question, posts: &[usize]) -> bool {
        posts.windows(2).all(|bay| {
            let (x0, x1) = (question.plan_m[bay[0]], question.plan_m[bay[1]]);
            let (z0, z1) = (question.ground_m[bay[0]].expect("known"), question.ground_m[bay[1]].expect("known"));
            let within = |k: usize| {
                let u_m = question.plan_m[k] - x0;
                let deviation_m = z0 + (z1 - z0) * u_m / (x1 - x0) - question.ground_m[k].expect("known");
                question.hanging.out_of_band(deviation_m, u_m, x1 - x0, 0.0).is_none_or(|(out_m, _)| out_m < 1e-9)
            };
            x1 - x0 <= question.longest_bay_m + 1e-9 && (bay[0] + 1..bay[1]).all(within)
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(120))]
        #[test]
        fn it_agrees_with_trying_every_placement(
            heights in prop::collection::vec(-0.5..0.5f64, 11), limit_n in 50.0..900.0f64, price in 0_u32..3000,
        ) {
            let plan_m: Vec<f64> = (0..11).map(f64::from).collect();
            let ground_m: Vec<Option<f64>> = heights.iter().map(|z| Some(*z)).collect();
            let hanging = Hanging::of_numbers(1e-3, -0.25, 0.3);
            let question = Question { longest_bay_m: 5.0, ..ask(&plan_m, &ground_m, &hanging) };
            let lifting = HoldDownCost { tension_n: 2000.0, limit_n, cost: price };
            let found = place_held_down(&question, &lifting).expect("neighbours always keep the band");
            prop_assert!(keeps(&question, &found.posts), "{:?}", found.posts);
            let all = (0_u32..1 << 9).map(|mask| -> Vec<usize> {
                (0..11).filter(|k| *k == 0 || *k == 10 || mask & (1 << (k - 1)) != 0).collect()
            });
            let least = all.filter(|posts| keeps(&question, posts)).map(|posts| cost(&question, &lifting, &posts)).min();
            prop_assert_eq!(Some(cost(&question, &lifting, &found.posts)), least);
        }
    }

    #[test]
    fn hold_downs_for_nothing_change_no_count() {
        let plan_m: Vec<f64> = (0..=80).map(|k| f64::from(k) * 0.5).collect();
        let ground_m: Vec<Option<f64>> = plan_m.iter().map(|x| Some((x / 3.0).sin() * 0.6)).collect();
        let hanging = Hanging::of_numbers(3e-4, -0.07, 0.10);
        let question = ask(&plan_m, &ground_m, &hanging);
        let free = place_held_down(&question, &HoldDownCost { tension_n: 2000.0, limit_n: 100.0, cost: 0 }).expect("kept");
        assert_eq!(free.posts.len(), place_posts(&question).posts.len());
    }
}
