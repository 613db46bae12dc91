//! Mends tried on a copy of the plan.

use super::{difference, mend, mend_only_here};
use crate::catalogue::Catalogue;
use crate::finding::{Finding, Weight};
use crate::hold::leg_lengths;
use crate::land::Ground;
use crate::outcome::{Kept, Outcome, frame, outcome_on};
use crate::plan::{Edit, EditError, Feature, FeatureId, Gesture, History, Kind, Plan};
use jiff::civil::Date;
use std::collections::HashMap;

/// Which remedy of which finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MendChoice {
    /// The finding, by its index in the outcome.
    pub finding: usize,
    /// The remedy, by its index in the finding.
    pub remedy: usize,
    /// Where it reaches.
    pub reach: MendReach,
}

/// How far a mend of a build reaches.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum MendReach {
    /// Every line of the build.
    #[default]
    AllOfBuild,
    /// The line of the finding alone, which gets a build of its own.
    OnlyHere,
}

/// A mend that was tried on a copy of the plan.
#[derive(Clone, Debug)]
pub struct Trial {
    /// What was tried.
    pub choice: MendChoice,
    /// The revision of the plan it was tried on.
    pub revision: u64,
    /// What it changes.
    pub edits: Vec<Edit>,
    /// The plan with it done.
    pub mended: Plan,
    /// Parts it takes more, by catalogue id; less is negative. Net, before waste and packs.
    pub parts: Vec<(String, f64)>,
    /// What the whole order costs more.
    pub price: f64,
    /// The findings that it ends, and those that it brings, the worst first.
    pub ends: Vec<Finding>,
    /// Those that it brings.
    pub brings: Vec<Finding>,
    /// Other lines that it changes because they have the same build.
    pub shared: Vec<FeatureId>,
    /// How many findings must be fixed before and after.
    pub must_fix: (usize, usize),
    /// How many are to be looked at before and after.
    pub look_at: (usize, usize),
}

impl Trial {
    /// Whether it leaves more that must be fixed than there was.
    pub fn is_worse(&self) -> bool {
        self.must_fix.1 > self.must_fix.0
    }

    /// The same change as another finding offers it.
    pub fn offered_by(&self, choice: MendChoice, plan: &Plan, finding: &Finding) -> Self {
        Self { choice, shared: sharing(plan, finding, &self.edits), ..self.clone() }
    }

    /// Tries a mend of what follows from a plan; `None` where the remedy changes nothing in the plan. `on`: the day for which growing
    /// stock is judged, as it was for `before`.
    ///
    /// # Errors
    /// When the plan does not take its edits.
    pub fn of(
        choice: MendChoice,
        plan: &Plan,
        ground: Option<&Ground>,
        before: &Outcome,
        on: Option<Date>,
        catalogue: &Catalogue,
    ) -> Result<Option<Self>, EditError> {
        Self::kept(choice, plan, ground, (before, Kept::default()), on, catalogue)
    }

    /// The same with what was kept of working `before` out, so that only what the mend changes is worked out.
    ///
    /// # Errors
    /// When the plan does not take its edits.
    pub fn kept(
        choice: MendChoice,
        plan: &Plan,
        ground: Option<&Ground>,
        (before, mut kept): (&Outcome, Kept),
        on: Option<Date>,
        catalogue: &Catalogue,
    ) -> Result<Option<Self>, EditError> {
        let finding = before.findings.get(choice.finding);
        let remedy = finding.and_then(|finding| finding.remedies.get(choice.remedy));
        let edits = finding.zip(remedy).and_then(|(finding, remedy)| match choice.reach {
            MendReach::AllOfBuild => mend(plan, finding, remedy),
            MendReach::OnlyHere => mend_only_here(plan, finding, remedy),
        });
        let Some(edits) = edits else { return Ok(None) };
        let shared = finding.map_or_else(Vec::new, |finding| sharing(plan, finding, &edits));
        let mut history = History::new(plan.clone());
        history.begin(Gesture::Mended { label: String::new() });
        history.edit_anew(&edits, &leg_lengths(plan, frame(plan, ground), ground))?;
        history.commit();
        let mended = history.plan().clone();
        let after = outcome_on(on, &mended, 0, ground, catalogue, &mut kept);
        let (parts, price) = difference(&before.order, &after.order);
        let count = |outcome: &Outcome, weight| outcome.findings.iter().filter(|finding| finding.weight == weight).count();
        let both = |weight| (count(before, weight), count(&after, weight));
        let (must_fix, look_at) = (both(Weight::MustFix), both(Weight::LookAt));
        let (ends, brings) = (missing(&before.findings, &after.findings), missing(&after.findings, &before.findings));
        Ok(Some(Self { choice, revision: before.revision, edits, mended, parts, price, ends, brings, shared, must_fix, look_at }))
    }
}

/// Findings of the one list that the other has fewer of, by rule, line and weight.
fn missing(of: &[Finding], from: &[Finding]) -> Vec<Finding> {
    let key = |finding: &Finding| (finding.rule, finding.place.line.clone(), finding.weight);
    let mut left: HashMap<_, usize> = HashMap::new();
    from.iter().for_each(|finding| *left.entry(key(finding)).or_default() += 1);
    let is_missing = |finding: &&Finding| match left.get_mut(&key(finding)) {
        Some(count) if *count > 0 => {
            *count -= 1;
            false
        }
        _ => true,
    };
    of.iter().filter(is_missing).cloned().collect()
}

/// Other lines of the build that the edits change.
fn sharing(plan: &Plan, finding: &Finding, edits: &[Edit]) -> Vec<FeatureId> {
    let build_of = |feature: &Feature| match &feature.kind {
        Kind::Fence(fence) => Some(fence.build.clone()),
        _ => None,
    };
    let line = finding.place.line.as_ref().and_then(|id| plan.feature(id));
    let Some(build) = line.and_then(|line| build_of(line)) else { return Vec::new() };
    let changes = edits.iter().any(|edit| match edit {
        Edit::SetHead(head) => head.builds.iter().find(|other| other.id == build) != plan.build(&build),
        _ => false,
    });
    let others = plan.features.iter().filter(|other| build_of(other).as_ref() == Some(&build));
    let ids = others.map(|other| other.id.clone()).filter(|id| Some(id) != finding.place.line.as_ref());
    if changes { ids.collect() } else { Vec::new() }
}
