//! Hollows that would take a post or a peg at every step: they are left open between their rims, and somebody decides.

use super::{Placement, Question};

/// Posts and pegs on average no farther apart than this crowd a hollow, metres: more than two would stand within three (`common-practice`).
pub const CROWDED_M: f64 = 1.5;
/// Fewer between two rims are no crowd.
const MORE_THAN: usize = 2;
const SAME_M: f64 = 1e-6;

/// The placement with every crowd in a hollow taken out: more than two posts or pegs between its rims, none farther than 1.5 m from the next. The
/// hollow stays as one bay that is out of band, to be filled, closed or gone round. On humps they stay, and where the rims are farther from each other
/// than a bay is long. `must_stand`: samples where a post stands whatever the ground does.
pub fn without_crowds(question: &Question, placed: Placement, must_stand: impl Fn(usize) -> bool) -> Placement {
    let x = |place: usize| question.plan_m[placed.posts[place]];
    let mut taken_out = vec![false; placed.posts.len()];
    let mut first = 0;
    while first + 1 < placed.posts.len() {
        let is_free = |place: usize| !must_stand(placed.posts[place]);
        let mut last = first;
        while last + 1 < placed.posts.len() && x(last + 1) - x(last) <= CROWDED_M + SAME_M && (last == first || is_free(last)) {
            last += 1;
        }
        let is_crowd = last - first > MORE_THAN + 1
            && x(last) - x(first) <= question.longest_bay_m + SAME_M
            && hangs_too_high(question, placed.posts[first], placed.posts[last]);
        if is_crowd {
            taken_out[first + 1..last].fill(true);
        }
        first = if is_crowd { last } else { first + 1 };
    }
    if !taken_out.contains(&true) {
        return placed;
    }
    let left: Vec<usize> = (0..placed.posts.len()).filter(|place| !taken_out[*place]).collect();
    // A rim takes the place of what stood between: it is a post.
    let is_rim = |place: usize| taken_out.get(place + 1) == Some(&true) || place > 0 && taken_out[place - 1];
    let new_bay = |bay: &[usize]| bay[1] - bay[0] > 1 || placed.out_of_band.contains(&bay[0]);
    Placement {
        out_of_band: left.windows(2).enumerate().filter(|(_, bay)| new_bay(bay)).map(|(index, _)| index).collect(),
        posts: left.iter().map(|place| placed.posts[*place]).collect(),
        is_peg: left.iter().map(|place| placed.is_peg[*place] && !is_rim(*place)).collect(),
        off_m: left.iter().map(|place| placed.off_m[*place]).collect(),
    }
}

/// Whether strands between two samples would be worst where they hang too high.
fn hangs_too_high(question: &Question, from: usize, to: usize) -> bool {
    let Question { plan_m, ground_m, hanging, .. } = *question;
    let Some((z0, z1)) = ground_m[from].zip(ground_m[to]) else { return false };
    let span_m = plan_m[to] - plan_m[from];
    let worst = (from + 1..to).filter_map(|k| {
        let u_m = plan_m[k] - plan_m[from];
        let off_m = z0 + (z1 - z0) * u_m / span_m - ground_m[k]?;
        Some((hanging.out_of_band(off_m, u_m, span_m, question.unsure_m(k))?.0, off_m))
    });
    worst.max_by(|one, other| one.0.total_cmp(&other.0)).is_some_and(|(_, off_m)| off_m > 0.0)
}

#[cfg(test)]
mod tests {
    use super::super::fixture::ask;
    use super::super::{Hanging, place_posts};
    use super::*;

    /// Level ground with a shape about its middle, sampled every half metre over 40 m.
    fn around(shape: impl Fn(f64) -> f64) -> (Vec<f64>, Vec<Option<f64>>) {
        let plan_m: Vec<f64> = (0..=80).map(|k| f64::from(k) * 0.5).collect();
        let ground_m = plan_m.iter().map(|x| Some(100.0 + shape(x - 20.0))).collect();
        (plan_m, ground_m)
    }

    #[test]
    fn a_rough_cleft_is_left_open_and_a_rough_hump_or_a_smooth_hollow_is_not() {
        let hanging = Hanging::of_numbers(1e-4, -0.07, 0.10);
        let rough = |x: f64| 1.0 - 0.2 * (x * 2.2).cos();
        type Shape<'a> = &'a dyn Fn(f64) -> f64;
        let rows: [(&str, Shape, bool); 3] = [
            ("a cleft", &|x: f64| -(2.0 * rough(x) * (1.0 - (x / 3.5).powi(2))).max(0.0), true),
            ("a hump", &|x: f64| (2.0 * rough(x) * (1.0 - (x / 3.5).powi(2))).max(0.0), false),
            ("a wide hollow", &|x: f64| -0.5 * (1.0 + (x / 6.0).clamp(-3.0, 3.0).cos()), false),
        ];
        for (name, shape, expected) in rows {
            let (plan_m, ground_m) = around(shape);
            let question = Question { longest_bay_m: 8.0, shortest_bay_m: 1.0, ..ask(&plan_m, &ground_m, &hanging) };
            let full = place_posts(&question);
            let left = without_crowds(&question, full.clone(), |_| false);
            assert_eq!(left.posts.len() < full.posts.len(), expected, "{name}: {full:?} {left:?}");
            assert!(left.posts.iter().all(|post| full.posts.contains(post)), "{name}");
            let longest = left.posts.windows(2).map(|bay| plan_m[bay[1]] - plan_m[bay[0]]).fold(0.0, f64::max);
            assert!(longest <= 8.0 + 1e-9, "{name}");
            let stays = without_crowds(&question, full.clone(), |_| true);
            assert_eq!(stays, full, "{name}: posts that must stand stay");
        }
    }
}
