//! Mends tried on a copy of the plan.

use super::{difference, mend};
use crate::catalogue::Catalogue;
use crate::finding::Weight;
use crate::hold::leg_lengths;
use crate::land::Ground;
use crate::outcome::{Kept, Outcome, frame, outcome_on};
use crate::plan::{Edit, EditError, Gesture, History, Plan};
use jiff::civil::Date;

/// Which remedy of which finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MendChoice {
    /// The finding, by its index in the outcome.
    pub finding: usize,
    /// The remedy, by its index in the finding.
    pub remedy: usize,
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
    /// How many findings must be fixed before and after.
    pub must_fix: (usize, usize),
    /// How many are to be looked at before and after.
    pub look_at: (usize, usize),
}

impl Trial {
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
        let Some(edits) = finding.zip(remedy).and_then(|(finding, remedy)| mend(plan, finding, remedy)) else { return Ok(None) };
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
        Ok(Some(Self { choice, revision: before.revision, edits, mended, parts, price, must_fix, look_at }))
    }
}
