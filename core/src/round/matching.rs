//! Pairs of places such that the ways between them are shortest in all.

/// So many places are paired exactly: a table over their subsets has 65 536 rows.
const EXACT_UP_TO: usize = 16;

/// Pairs of `0..count` (an even number) with the least sum of costs. Exact up to sixteen; beyond, each takes its nearest, pairs are
/// changed over until none gains, and every pair is put together anew with those near to it.
///
/// `f(S) = min over j in S of f(S - {i, j}) + cost(i, j)`, i the first of S.
///
/// # Units
/// Any, the same for all costs.
/// # Valid for
/// Costs that are the same both ways.
/// # Source
/// `held-karp-1962` for the table over subsets; `common-practice` for the rest.
pub fn pairs(count: usize, cost: impl Fn(usize, usize) -> f64) -> Vec<(usize, usize)> {
    if count <= EXACT_UP_TO {
        return exact(count, cost);
    }
    anew_with_the_near(changed_over(nearest_first(count, &cost), &cost), &cost)
}

fn exact(count: usize, cost: impl Fn(usize, usize) -> f64) -> Vec<(usize, usize)> {
    let whole = 1_usize << count;
    let costs: Vec<f64> =
        (0..count * count).map(|k| if k / count < k % count { cost(k / count, k % count) } else { 0.0 }).collect();
    // What can be left when the first has gone with any other again and again: a small part of all subsets.
    let mut is_left = vec![false; whole];
    is_left[whole - 1] = true;
    for set in (1..whole).rev().filter(|set| set.count_ones().is_multiple_of(2)) {
        if is_left[set] {
            let without_first = set & (set - 1);
            others(without_first).for_each(|other| is_left[without_first & !(1 << other)] = true);
        }
    }
    let mut least = vec![f64::INFINITY; whole];
    let mut with = vec![0_usize; whole];
    least[0] = 0.0;
    for set in (1..whole).filter(|set| is_left[*set]) {
        let (first, without_first) = (set.trailing_zeros() as usize, set & (set - 1));
        for other in others(without_first) {
            let sum = least[without_first & !(1 << other)] + costs[first * count + other];
            if sum < least[set] {
                (least[set], with[set]) = (sum, other);
            }
        }
    }
    let mut all = Vec::with_capacity(count / 2);
    let mut set = whole - 1;
    while set != 0 && least[set].is_finite() {
        let first = set.trailing_zeros() as usize;
        all.push((first, with[set]));
        set &= !(1 << first) & !(1 << with[set]);
    }
    all
}

/// The members of a set, the least first.
fn others(mut set: usize) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let first = (set != 0).then(|| set.trailing_zeros() as usize)?;
        set &= set - 1;
        Some(first)
    })
}

fn nearest_first(count: usize, cost: &impl Fn(usize, usize) -> f64) -> Vec<(usize, usize)> {
    let mut ways: Vec<(f64, usize, usize)> =
        (0..count).flat_map(|one| (one + 1..count).map(move |other| (one, other))).map(|(a, b)| (cost(a, b), a, b)).collect();
    ways.sort_by(|one, other| one.0.total_cmp(&other.0));
    let mut is_free = vec![true; count];
    let mut all = Vec::with_capacity(count / 2);
    for (_, one, other) in ways {
        if is_free[one] && is_free[other] {
            (is_free[one], is_free[other]) = (false, false);
            all.push((one, other));
        }
    }
    all
}

/// Two pairs change over as long as that gains.
fn changed_over(mut all: Vec<(usize, usize)>, cost: &impl Fn(usize, usize) -> f64) -> Vec<(usize, usize)> {
    loop {
        let mut gained = false;
        for one in 0..all.len() {
            for other in one + 1..all.len() {
                let ((a, b), (c, d)) = (all[one], all[other]);
                let now = cost(a, b) + cost(c, d);
                for [first, second] in [[(a, c), (b, d)], [(a, d), (b, c)]] {
                    if cost(first.0, first.1) + cost(second.0, second.1) < now - 1e-9 {
                        (all[one], all[other]) = (first, second);
                        gained = true;
                        break;
                    }
                }
            }
        }
        if !gained {
            return all;
        }
    }
}

/// So many pairs are put together anew at once.
const ANEW: usize = 6;

/// Each pair with those nearest to it is put together exactly, as long as that gains.
fn anew_with_the_near(mut all: Vec<(usize, usize)>, cost: &impl Fn(usize, usize) -> f64) -> Vec<(usize, usize)> {
    let sum = |pairs: &[(usize, usize)]| pairs.iter().map(|(one, other)| cost(*one, *other)).sum::<f64>();
    // What was put together already and stands as it stood comes out the same again.
    let mut tried: Vec<Vec<(usize, usize)>> = vec![Vec::new(); all.len()];
    loop {
        let mut gained = false;
        for first in 0..all.len() {
            let (a, b) = all[first];
            let away = |(c, d): (usize, usize)| cost(a, c).min(cost(a, d)).min(cost(b, c)).min(cost(b, d));
            let mut near: Vec<(f64, usize)> =
                (0..all.len()).filter(|pair| *pair != first).map(|pair| (away(all[pair]), pair)).collect();
            near.sort_by(|one, other| one.0.total_cmp(&other.0));
            let near: Vec<usize> = near.into_iter().take(ANEW - 1).map(|(_, pair)| pair).chain([first]).collect();
            let old: Vec<(usize, usize)> = near.iter().map(|pair| all[*pair]).collect();
            if tried[first] == old {
                continue;
            }
            tried[first].clone_from(&old);
            let places: Vec<usize> = old.iter().flat_map(|(one, other)| [*one, *other]).collect();
            let new = exact(places.len(), |one, other| cost(places[one], places[other]));
            let new: Vec<(usize, usize)> = new.iter().map(|(one, other)| (places[*one], places[*other])).collect();
            if sum(&new) < sum(&old) - 1e-9 {
                near.iter().zip(new).for_each(|(pair, new)| all[*pair] = new);
                gained = true;
            }
        }
        if !gained {
            return all;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn sum(pairs: &[(usize, usize)], at: &[(f64, f64)]) -> f64 {
        pairs.iter().map(|(one, other)| (at[*one].0 - at[*other].0).hypot(at[*one].1 - at[*other].1)).sum()
    }

    proptest! {
        #[test]
        fn pairs_take_every_place_once_and_changing_over_stays_near_to_exact(
            at in prop::collection::vec((0.0..100.0f64, 0.0..100.0f64), 2..14),
        ) {
            let count = at.len() / 2 * 2;
            let cost = |one: usize, other: usize| (at[one].0 - at[other].0).hypot(at[one].1 - at[other].1);
            let exact = exact(count, cost);
            let near = changed_over(nearest_first(count, &cost), &cost);
            for found in [&exact, &near] {
                let mut seen: Vec<usize> = found.iter().flat_map(|(one, other)| [*one, *other]).collect();
                seen.sort_unstable();
                prop_assert_eq!(seen, (0..count).collect::<Vec<_>>());
            }
            prop_assert!(sum(&exact, &at) <= sum(&near, &at) + 1e-9);
            prop_assert!(sum(&near, &at) <= 1.6 * sum(&exact, &at) + 1e-9);
        }
    }

    #[test]
    fn nothing_has_no_pairs() {
        assert!(pairs(0, |_, _| 1.0).is_empty());
    }
}
