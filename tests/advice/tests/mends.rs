//! Whatever the plan: mends of one list do not undo each other, taking all of them ends, and what they take is in the order.

use hillwire_core::catalogue::Catalogue;
use hillwire_core::finding::{Finding, Remedy, Rule, Weight};
use hillwire_core::mend::{MendChoice, MendReach, Trial};
use hillwire_core::outcome::{Kept, Outcome, outcome_on};
use hillwire_core::plan::{CornerChoice, Plan};
use jiff::civil::{Date, date};
use proptest::prelude::*;
use tests_advice::{Farm, Lie, build, told};

/// More mends than this, one after the other, go in a circle.
const MOST_STEPS: usize = 40;
const DAY: Date = date(2026, 4, 1);

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

/// A plan with what follows from it, and what was kept of working that out.
struct Known {
    plan: Plan,
    outcome: Outcome,
    kept: Kept,
    lie: Lie,
}

impl Known {
    fn of(plan: Plan, lie: Lie) -> Self {
        let mut kept = Kept::new();
        let outcome = outcome_on(Some(DAY), &plan, 1, Some(lie.ground()), Catalogue::built_in(), &mut kept);
        Self { plan, outcome, kept, lie }
    }

    fn choices(&self) -> impl DoubleEndedIterator<Item = MendChoice> {
        let all = self.outcome.findings.iter().enumerate();
        let of = |(finding, found): (usize, &Finding)| (0..found.remedies.len()).map(move |remedy| (finding, remedy));
        all.flat_map(of).map(|(finding, remedy)| MendChoice { finding, remedy, reach: MendReach::AllOfBuild })
    }

    /// The mend as it is listed: one that can be taken and leaves no more that must be fixed.
    fn listed(&self, choice: MendChoice) -> Option<Trial> {
        let before = (&self.outcome, self.kept.aside());
        let tried = Trial::kept(choice, &self.plan, Some(self.lie.ground()), before, Some(DAY), Catalogue::built_in());
        tried.expect("the plan takes its edits").filter(|trial| !trial.is_worse())
    }

    fn remedy(&self, choice: MendChoice) -> (&Finding, &Remedy) {
        let finding = &self.outcome.findings[choice.finding];
        (finding, &finding.remedies[choice.remedy])
    }

    fn told(&self, choice: MendChoice) -> String {
        let (finding, remedy) = self.remedy(choice);
        format!("{} -> {remedy:?}", told(finding))
    }

    fn must_fix(&self) -> usize {
        self.outcome.findings.iter().filter(|finding| finding.weight == Weight::MustFix).count()
    }
}

/// What a finding is of, so that it is known again in another outcome.
fn of(finding: &Finding) -> (Rule, Option<i64>) {
    (finding.rule, finding.place.station.map(|station| (station.as_metres() / 4.0).round() as i64))
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
    let mut now = Known::of(farm.plan(), lie);
    let first = now.must_fix();
    let mut taken: Vec<String> = Vec::new();
    loop {
        let next = if from_the_end {
            now.choices().rev().find_map(|choice| now.listed(choice))
        } else {
            now.choices().find_map(|choice| now.listed(choice))
        };
        let Some(trial) = next else { break };
        taken.push(now.told(trial.choice));
        if taken.len() > MOST_STEPS {
            return Err(format!("no end of mends:\n{}", taken.join("\n")));
        }
        let after = Known::of(trial.mended, lie);
        let is_there = |id: &&str| after.outcome.order.items.iter().any(|item| item.id == *id);
        if let Some(missing) = made_of(now.remedy(trial.choice).1).into_iter().find(|id| !is_there(id)) {
            return Err(format!("{missing} is not in the order after\n{}", taken.join("\n")));
        }
        now = after;
    }
    if now.must_fix() > first {
        return Err(format!("{first} must be fixed before, {} after\n{}", now.must_fix(), taken.join("\n")));
    }
    Ok(())
}

/// What mends change in a build, as numbers: a mend that moves one of them back undoes the mend that moved it.
fn numbers(plan: &Plan) -> [f64; 5] {
    let build = &plan.head.builds[0];
    let heights = || build.strands.iter().map(|strand| strand.height.as_metres());
    let post_m = |id: &str| Catalogue::built_in().post(id).map_or(0.0, |row| row.length.as_metres());
    let lowest = heights().fold(f64::INFINITY, f64::min);
    [build.tension.as_newtons(), lowest, build.strands.len() as f64, post_m(&build.line_post), f64::from(build.springs())]
}

/// Whether of two mends of one list the second, taken after the first, undoes what the first did.
fn undone(farm: &Farm, lie: Lie) -> Option<String> {
    let before = Known::of(farm.plan(), lie);
    for first in before.choices().filter_map(|choice| before.listed(choice)) {
        let between = Known::of(first.mended, lie);
        let is_listed = |found: &Finding, remedy: &Remedy| {
            before.choices().filter(|choice| choice.finding != first.choice.finding).any(|choice| {
                let (other, wanted) = before.remedy(choice);
                of(other) == of(found) && std::mem::discriminant(remedy) == std::mem::discriminant(wanted)
            })
        };
        for choice in between.choices() {
            let (found, remedy) = between.remedy(choice);
            let Some(second) = is_listed(found, remedy).then(|| between.listed(choice)).flatten() else { continue };
            let moves = [&before.plan, &between.plan, &second.mended].map(numbers);
            let goes_back = |k: usize| (moves[1][k] - moves[0][k]) * (moves[2][k] - moves[1][k]) < -1e-9;
            if let Some(k) = (0..5).find(|k| goes_back(*k)) {
                let (one, other) = (before.told(first.choice), between.told(choice));
                return Some(format!("{one}\nthen {other}\n{:?}", moves.map(|of| of[k])));
            }
        }
    }
    None
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, max_shrink_iters: 40, ..ProptestConfig::default() })]
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
