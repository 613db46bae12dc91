//! Whatever the plan: mends of one list do not undo each other, taking all of them ends, and what they take is in the order.

use hillwire_core::catalogue::Catalogue;
use hillwire_core::finding::{Finding, Remedy, Rule, Weight};
use hillwire_core::mend::{MendChoice, MendReach, Trial};
use hillwire_core::outcome::Outcome;
use hillwire_core::plan::{CornerChoice, Plan};
use jiff::civil::date;
use proptest::prelude::*;
use tests_advice::{Farm, Lie, build, outcome_on_ground, told};

/// More mends than this, one after the other, go in a circle.
const MOST_STEPS: usize = 24;

/// A fence of any build, well or badly made, with or without stock behind it.
fn any_farm() -> impl Strategy<Value = Farm> {
    let heights = prop::collection::btree_set(2_u32..28, 1..5);
    let wire = prop::sample::select(vec!["ht-12.5ga", "ht-14ga", "soft-14ga", "polywire", "tape-20"]);
    let line_post = prop::sample::select(vec!["wood-75", "wood-100", "t-post", "step-in", "stake-sawn"]);
    let corner_post = prop::sample::select(vec!["wood-100", "wood-150", "wood-200", "t-post", "step-in"]);
    let stock = prop::sample::select(vec![
        ("sheep", "ewe", 70.0),
        ("sheep", "lamb", 20.0),
        ("cattle", "cow", 600.0),
        ("goat", "goat", 60.0),
        ("pig", "grower", 40.0),
        ("pig", "sow", 200.0),
        ("horse", "horse", 500.0),
    ]);
    let energizer = prop::sample::select(vec!["portable", "small", "medium", "large"]);
    let fence = (heights, wire, line_post, corner_post, 30.0..1100.0f64, any::<[bool; 4]>());
    (fence, stock, energizer, prop::collection::vec(any::<bool>(), 5)).prop_map(|(fence, stock, energizer, braced)| {
        let (heights, wire, line_post, corner_post, tension_n, [spring, permanent, gate, ring]) = fence;
        let heights: Vec<f64> = heights.into_iter().map(|step| f64::from(step) * 0.05).collect();
        let mut built = build(&heights, wire, tension_n);
        line_post.clone_into(&mut built.line_post);
        corner_post.clone_into(&mut built.corner_post);
        (built.permanent, built.spring_n_per_m) = (permanent, spring.then_some(3000.0));
        let farm = if ring { Farm::paddock(built) } else { Farm::straight(built, 380.0) };
        let farm = if gate { farm.gate(3.6) } else { farm };
        let (species, class, weight_kg) = stock;
        let farm = if ring { farm.keeping(species, 6, weight_kg).classed(class) } else { farm };
        farm.driven_by(energizer).fenced(move |fence| {
            let is_braced = |corner: usize| braced.get(corner).copied().unwrap_or(true);
            fence
                .corners
                .iter_mut()
                .for_each(|(corner, choice): (&usize, &mut CornerChoice)| choice.brace = Some(is_braced(*corner)));
        })
    })
}

/// The mends of a plan as they are listed: those that can be taken and leave no more that must be fixed.
fn listed(plan: &Plan, before: &Outcome, lie: Lie) -> Vec<Trial> {
    let all = before
        .findings
        .iter()
        .enumerate()
        .flat_map(|(finding, found)| (0..found.remedies.len()).map(move |remedy| (finding, remedy)));
    let tried = all.filter_map(|(finding, remedy)| {
        let choice = MendChoice { finding, remedy, reach: MendReach::AllOfBuild };
        Trial::of(choice, plan, Some(lie.ground()), before, Some(date(2026, 4, 1)), Catalogue::built_in())
            .expect("the plan takes its edits")
    });
    tried.filter(|trial| !trial.is_worse()).collect()
}

/// What a finding is of, so that it is known again in another outcome.
fn of(finding: &Finding) -> (Rule, Option<i64>) {
    (finding.rule, finding.place.station.map(|station| (station.as_metres() / 4.0).round() as i64))
}

fn must_fix(outcome: &Outcome) -> usize {
    outcome.findings.iter().filter(|finding| finding.weight == Weight::MustFix).count()
}

/// What a remedy is made of, by catalogue id.
fn made_of(remedy: &Remedy) -> Vec<&str> {
    match remedy {
        Remedy::Brace { .. } | Remedy::BraceAll { .. } => vec!["brace-rail", "brace-pin"],
        Remedy::ThickerPost { post, .. } => vec![post],
        Remedy::TallerPosts { to, .. } => vec![to],
        Remedy::Crib { .. } => vec!["crib"],
        Remedy::OtherWire { wire, springs: None, .. } => vec![wire],
        Remedy::OtherWire { wire, .. } => vec![wire, "spring"],
        Remedy::Spring { .. } | Remedy::AddSprings { .. } => vec!["spring"],
        Remedy::HoldDown { .. } => vec!["hold-down"],
        _ => Vec::new(),
    }
}

/// Takes one mend after another, the first of the list or the last, until none is left. What was wrong on the way.
fn all_taken(farm: &Farm, lie: Lie, from_the_end: bool) -> Result<(), String> {
    let mut plan = farm.plan();
    let mut before = outcome_on_ground(&plan, lie);
    let first = must_fix(&before);
    let mut taken: Vec<String> = Vec::new();
    loop {
        let mut mends = listed(&plan, &before, lie);
        let next = if from_the_end { mends.pop() } else { mends.into_iter().next() };
        let Some(trial) = next else { break };
        let found = &before.findings[trial.choice.finding];
        let remedy = &found.remedies[trial.choice.remedy];
        taken.push(format!("{} -> {remedy:?}", told(found)));
        if taken.len() > MOST_STEPS {
            return Err(format!("no end of mends:\n{}", taken.join("\n")));
        }
        let after = outcome_on_ground(&trial.mended, lie);
        let missing = made_of(remedy).into_iter().find(|id| !after.order.items.iter().any(|item| item.id == *id));
        if let Some(missing) = missing {
            return Err(format!("{missing} is not in the order after\n{}", taken.join("\n")));
        }
        (plan, before) = (trial.mended, after);
    }
    if must_fix(&before) > first {
        return Err(format!("{first} must be fixed before, {} after\n{}", must_fix(&before), taken.join("\n")));
    }
    Ok(())
}

/// Whether of two mends of one list the second, taken after the first, brings back what the first ended.
fn undone(farm: &Farm, lie: Lie) -> Option<String> {
    let plan = farm.plan();
    let before = outcome_on_ground(&plan, lie);
    let mends = listed(&plan, &before, lie);
    for first in &mends {
        let ended = of(&before.findings[first.choice.finding]);
        let between = outcome_on_ground(&first.mended, lie);
        if between.findings.iter().any(|finding| of(finding) == ended) {
            continue;
        }
        for second in mends.iter().filter(|second| of(&before.findings[second.choice.finding]) != ended) {
            let other = &before.findings[second.choice.finding];
            let wanted = &other.remedies[second.choice.remedy];
            let again = listed(&first.mended, &between, lie).into_iter().find(|trial| {
                let found = &between.findings[trial.choice.finding];
                of(found) == of(other)
                    && std::mem::discriminant(&found.remedies[trial.choice.remedy]) == std::mem::discriminant(wanted)
            });
            let Some(again) = again else { continue };
            let after = outcome_on_ground(&again.mended, lie);
            if let Some(back) = after.findings.iter().find(|finding| of(finding) == ended && finding.weight != Weight::Note) {
                let one = &before.findings[first.choice.finding];
                return Some(format!(
                    "{} -> {:?}\nthen {} -> {wanted:?}\nbrings back {}",
                    told(one),
                    one.remedies[first.choice.remedy],
                    told(other),
                    told(back)
                ));
            }
        }
    }
    None
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, max_shrink_iters: 40, ..ProptestConfig::default() })]
    #[test]
    fn taking_every_mend_that_is_offered_ends_and_leaves_no_more_to_fix(farm in any_farm(), rough in any::<bool>(), from_the_end in any::<bool>()) {
        let lie = if rough { Lie::Rough } else { Lie::Smooth };
        prop_assert_eq!(all_taken(&farm, lie, from_the_end), Ok(()));
    }

    #[test]
    fn no_mend_of_a_list_undoes_another(farm in any_farm(), rough in any::<bool>()) {
        let lie = if rough { Lie::Rough } else { Lie::Smooth };
        prop_assert_eq!(undone(&farm, lie), None);
    }
}
