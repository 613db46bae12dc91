//! Unlimited undo, one step per gesture. Steps share all features that they did not change.

use super::{Edit, EditError, Gesture, Head, LegLength, Plan};
use std::sync::Arc;

/// One step: what was done, and the plans before and after.
#[derive(Clone, Debug)]
struct Step {
    gesture: Gesture,
    before: Plan,
    after: Plan,
}

/// A gesture that is not finished.
#[derive(Clone, Debug)]
struct OpenGesture {
    gesture: Gesture,
    before: Plan,
}

/// A plan with everything that was done to it.
#[derive(Clone, Debug)]
pub struct History {
    plan: Plan,
    revision: u64,
    done: Vec<Step>,
    undone: Vec<Step>,
    open: Option<OpenGesture>,
    saved: Plan,
    /// How many steps led to what is saved; `None` once they cannot be taken or undone to it any more.
    saved_at: Option<usize>,
}

impl History {
    /// A plan to which nothing was done; it counts as saved.
    pub fn new(plan: Plan) -> Self {
        Self { saved: plan.clone(), plan, revision: 0, done: Vec::new(), undone: Vec::new(), open: None, saved_at: Some(0) }
    }

    /// The plan as it stands, an open gesture included.
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// Grows with every change of the plan, undoing and redoing included.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// Begins a gesture: every edit until [`History::commit`] belongs to it. One that was still open is committed.
    pub fn begin(&mut self, gesture: Gesture) {
        self.commit();
        self.open = Some(OpenGesture { gesture, before: self.plan.clone() });
    }

    /// Whether a gesture is open.
    pub fn is_open(&self) -> bool {
        self.open.is_some()
    }

    /// Does one edit: within the open gesture, else as a step of its own that is called `ChangedPlan`.
    ///
    /// # Errors
    /// [`EditError`]; nothing is changed then.
    pub fn edit(&mut self, edit: &Edit) -> Result<(), EditError> {
        self.edit_as(edit, Gesture::ChangedPlan)
    }

    /// Does one edit: within the open gesture, else as a step of its own with this name.
    ///
    /// # Errors
    /// [`EditError`]; nothing is changed then.
    pub fn edit_as(&mut self, edit: &Edit, gesture: Gesture) -> Result<(), EditError> {
        let after = edit.apply(&self.plan)?;
        if self.open.is_some() {
            self.set_plan(after);
        } else {
            self.begin(gesture);
            self.set_plan(after);
            self.commit();
        }
        Ok(())
    }

    /// Does these edits instead of all that the open gesture did before. A drag gives its whole way from its start each
    /// time the pointer moves: so nothing that it only passed over comes along. `leg_m` says how long legs are on the ground.
    ///
    /// # Errors
    /// [`EditError`]; nothing is changed then.
    ///
    /// # Panics
    /// Without an open gesture.
    pub fn edit_anew(&mut self, edits: &[Edit], leg_m: LegLength) -> Result<(), EditError> {
        let open = self.open.as_ref().expect("a gesture is open");
        let after = edits.iter().try_fold(open.before.clone(), |plan, edit| edit.apply_on(&plan, leg_m))?;
        self.set_plan(after);
        Ok(())
    }

    /// Ends the open gesture. One that changed nothing leaves no step.
    pub fn commit(&mut self) {
        let Some(OpenGesture { gesture, before }) = self.open.take() else {
            return;
        };
        if is_same(&before, &self.plan) {
            return;
        }
        self.undone.clear();
        self.saved_at = self.saved_at.filter(|at| *at <= self.done.len());
        self.done.push(Step { gesture, before, after: self.plan.clone() });
    }

    /// Ends the open gesture and takes back what it did.
    pub fn abandon(&mut self) {
        if let Some(open) = self.open.take() {
            self.set_plan(open.before);
        }
    }

    /// Takes the last step back; an open gesture is taken back first, as a step of its own. Gives what was undone.
    pub fn undo(&mut self) -> Option<&Gesture> {
        self.commit();
        let step = self.done.pop()?;
        self.set_plan(step.before.clone());
        self.undone.push(step);
        self.next_redo()
    }

    /// Does the last undone step again. Gives what was redone.
    pub fn redo(&mut self) -> Option<&Gesture> {
        self.commit();
        let step = self.undone.pop()?;
        self.set_plan(step.after.clone());
        self.done.push(step);
        self.next_undo()
    }

    /// What [`History::undo`] would take back.
    pub fn next_undo(&self) -> Option<&Gesture> {
        let open = self.open.as_ref().filter(|open| !is_same(&open.before, &self.plan)).map(|open| &open.gesture);
        open.or(self.done.last().map(|step| &step.gesture))
    }

    /// What [`History::redo`] would do again.
    pub fn next_redo(&self) -> Option<&Gesture> {
        self.undone.last().map(|step| &step.gesture)
    }

    /// Whether the plan is as it was when it was opened or last saved.
    pub fn is_saved(&self) -> bool {
        is_same(&self.saved, &self.plan)
    }

    /// The plan as it was opened or last saved.
    pub fn saved(&self) -> &Plan {
        &self.saved
    }

    /// Says that this plan is saved: the one that was handed over for saving, when more was done meanwhile.
    pub fn mark_saved_as(&mut self, plan: Plan) {
        let before = || self.done.iter().rposition(|step| is_same(&step.before, &plan));
        self.saved_at = if is_same(&self.plan, &plan) { Some(self.done.len()) } else { before() };
        self.saved = plan;
    }

    /// Gives the head of every plan that is kept here another form of the same, as when the plan's files are named from another folder: no step, and what
    /// was saved stays saved.
    pub fn rename(&mut self, renamed: impl Fn(&Head) -> Head) {
        let mut known: Vec<(Arc<Head>, Arc<Head>)> = Vec::new();
        let mut head_of = |head: &Arc<Head>| {
            if let Some((_, new)) = known.iter().find(|(old, _)| Arc::ptr_eq(old, head)) {
                return Arc::clone(new);
            }
            let new = renamed(head);
            let new = if new == **head { Arc::clone(head) } else { Arc::new(new) };
            known.push((Arc::clone(head), Arc::clone(&new)));
            new
        };
        let steps = self.done.iter_mut().chain(&mut self.undone).flat_map(|step| [&mut step.before, &mut step.after]);
        let open = self.open.as_mut().map(|open| &mut open.before);
        for plan in steps.chain(open).chain([&mut self.saved]) {
            plan.head = head_of(&plan.head);
        }
        let plan = Plan { head: head_of(&self.plan.head), ..self.plan.clone() };
        self.set_plan(plan);
    }

    /// How many steps lie between the plan as it stands and what is saved: what would be lost without saving.
    pub fn unsaved_steps(&self) -> usize {
        match self.saved_at {
            _ if self.is_saved() => 0,
            Some(at) => at.abs_diff(self.done.len()).max(1),
            None => self.done.len().max(1),
        }
    }

    fn set_plan(&mut self, plan: Plan) {
        if !is_same(&self.plan, &plan) {
            self.revision += 1;
        }
        self.plan = plan;
    }
}

/// Whether two plans are equal; shared features are not looked into.
fn is_same(one: &Plan, other: &Plan) -> bool {
    let same_features = one.features.len() == other.features.len()
        && one.features.iter().zip(&other.features).all(|(one, other)| Arc::ptr_eq(one, other) || one == other);
    same_features && (Arc::ptr_eq(&one.head, &other.head) || one.head == other.head) && one.foreign == other.foreign
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::arbitrary::{edit_of, plan, whims};
    use crate::plan::write_plan;
    use proptest::prelude::*;

    #[test]
    fn it_counts_the_steps_that_are_not_saved_also_when_saving_ends_later_and_after_undoing() {
        let named = |name: &str| Edit::SetHead(Box::new(super::super::Head { name: name.to_owned(), ..Default::default() }));
        let mut history = History::new(Plan::new(super::super::Head::default(), Vec::new()));
        for name in ["a", "b", "c"] {
            history.edit(&named(name)).expect("allowed");
        }
        assert_eq!(history.unsaved_steps(), 3);
        let asked = history.plan().clone();
        history.edit(&named("d")).expect("allowed");
        history.mark_saved_as(asked);
        assert_eq!(history.unsaved_steps(), 1);
        history.undo();
        assert_eq!(history.unsaved_steps(), 0);
        history.undo();
        assert_eq!(history.unsaved_steps(), 1);
        // What was saved can no longer be come to by undoing.
        history.edit(&named("e")).expect("allowed");
        assert_eq!(history.unsaved_steps(), 3);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn undoing_all_restores_the_plan_and_redoing_all_the_edits(start in plan(), whims in whims(), gestures in any::<u16>()) {
            let mut history = History::new(start.clone());
            for (index, whim) in whims.iter().enumerate() {
                if gestures >> index & 1 == 1 {
                    history.begin(Gesture::Moved { count: 1 });
                }
                let before = history.plan().clone();
                if history.edit(&edit_of(&before, whim)).is_err() {
                    prop_assert_eq!(history.plan(), &before);
                }
            }
            history.commit();
            let end = history.plan().clone();
            while history.undo().is_some() {}
            prop_assert_eq!(write_plan(history.plan()), write_plan(&start));
            prop_assert!(history.is_saved());
            while history.redo().is_some() {}
            prop_assert_eq!(write_plan(history.plan()), write_plan(&end));
        }
    }
}
