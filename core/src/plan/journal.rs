//! The journal beside a plan: one line of JSON per change, so that a crash loses nothing.

use super::file::{Entry, Record, Stamp, read_entry, write_entry};
use super::{Feature, FeatureId, Head, Plan};
use std::collections::{HashMap, HashSet};
use std::sync::Arc;

/// What changed from one plan to the next, as one line of JSON that ends in a line end; without a plan before it, all of the plan: such a
/// line stands alone.
pub fn journal_line(before: Option<&Plan>, after: &Plan, stamp: Stamp) -> String {
    let nothing = Plan::new(Head::default(), Vec::new());
    let record = difference(before.unwrap_or(&nothing), after);
    write_entry(&Entry { stamp: Some(stamp), is_whole: before.is_none(), record }) + "\n"
}

fn difference(before: &Plan, after: &Plan) -> Record {
    let old: HashMap<&FeatureId, &Arc<Feature>> = before.features.iter().map(|feature| (&feature.id, feature)).collect();
    let kept: HashSet<&FeatureId> = after.features.iter().map(|feature| &feature.id).collect();
    let is_changed =
        |feature: &&Arc<Feature>| old.get(&feature.id).is_none_or(|old| !Arc::ptr_eq(old, feature) && old != feature);
    let changed: Vec<_> = after.features.iter().filter(is_changed).cloned().collect();
    let removed: Vec<_> =
        before.features.iter().filter(|feature| !kept.contains(&feature.id)).map(|feature| feature.id.clone()).collect();
    let head = (!Arc::ptr_eq(&before.head, &after.head) && before.head != after.head).then(|| Arc::clone(&after.head));
    let foreign = (before.foreign != after.foreign).then(|| after.foreign.clone());
    let mut record = Record { changed, removed, order: None, head, foreign };
    let as_replayed = apply(before, &record);
    let same_order = as_replayed.features.iter().map(|feature| &feature.id).eq(after.features.iter().map(|feature| &feature.id));
    if !same_order {
        record.order = Some(after.features.iter().map(|feature| feature.id.clone()).collect());
    }
    record
}

/// What a journal holds.
#[derive(Clone, Debug)]
pub struct Replayed {
    /// The plan as it was last, as far as whole lines lead.
    pub plan: Plan,
    /// How many lines led there.
    pub entries: usize,
    /// What the last of them says of itself; `None` in the first form of the journal.
    pub stamp: Option<Stamp>,
    /// Whether nothing is missing: false where a line is torn that no later whole plan makes good.
    pub is_complete: bool,
}

/// The plan after a journal. A line that is torn costs only itself and what builds on it: the next one that holds the whole plan stands
/// alone. Lines of the first form, which have no number, build on the plan and on each other.
pub fn replay(plan: &Plan, journal: &str) -> Replayed {
    let mut got = Replayed { plan: plan.clone(), entries: 0, stamp: None, is_complete: true };
    for line in journal.split_inclusive('\n').filter(|line| *line != "\n") {
        let entry = line.strip_suffix('\n').and_then(read_entry);
        match entry {
            Some(entry) if entry.is_whole => {
                got.plan = apply(&Plan::new(Head::default(), Vec::new()), &entry.record);
                (got.stamp, got.is_complete) = (entry.stamp, true);
                got.entries += 1;
            }
            Some(entry) if got.is_complete && follows(got.stamp.as_ref(), entry.stamp.as_ref()) => {
                got.plan = apply(&got.plan, &entry.record);
                got.stamp = entry.stamp;
                got.entries += 1;
            }
            _ => got.is_complete = false,
        }
    }
    got
}

/// Whether a line builds on the one before it.
fn follows(before: Option<&Stamp>, stamp: Option<&Stamp>) -> bool {
    match (before, stamp) {
        (Some(before), Some(stamp)) => stamp.number == before.number + 1,
        (None, None) => true,
        // A line of one form never builds on one of the other.
        _ => false,
    }
}

/// Changed features stay where they are, new ones come to the end, unless the order says otherwise.
fn apply(plan: &Plan, record: &Record) -> Plan {
    let mut next = plan.clone();
    let removed: HashSet<&FeatureId> = record.removed.iter().collect();
    next.features.retain(|feature| !removed.contains(&feature.id));
    let mut places: HashMap<FeatureId, usize> =
        next.features.iter().enumerate().map(|(index, feature)| (feature.id.clone(), index)).collect();
    for feature in &record.changed {
        match places.get(&feature.id) {
            Some(index) => next.features[*index] = Arc::clone(feature),
            None => {
                places.insert(feature.id.clone(), next.features.len());
                next.features.push(Arc::clone(feature));
            }
        }
    }
    if let Some(order) = &record.order {
        let places: HashMap<&FeatureId, usize> = order.iter().enumerate().map(|(index, id)| (id, index)).collect();
        next.features.sort_by_key(|feature| places.get(&feature.id).copied().unwrap_or(usize::MAX));
    }
    if let Some(head) = &record.head {
        next.head = Arc::clone(head);
    }
    if let Some(foreign) = &record.foreign {
        next.foreign.clone_from(foreign);
    }
    next
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::arbitrary::{edit_of, plan, whims};
    use crate::plan::write_plan;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn replaying_the_journal_gives_the_edited_plan_whatever_was_hurt_as_far_as_lines_lead(start in plan(), whims in whims(), turn in any::<bool>(), hurt in 0_usize..100) {
            let mut now = start.clone();
            let mut journal = vec![journal_line(None, &start, Stamp::default())];
            let mut plans = vec![start.clone()];
            for whim in &whims {
                if let Ok(mut next) = edit_of(&now, whim).apply(&now) {
                    if turn {
                        let by = next.features.len().min(1);
                        next.features.rotate_left(by);
                    }
                    let number = journal.len() as u64;
                    let line = journal_line(Some(&now), &next, Stamp { number, ..Stamp::default() });
                    prop_assert!(line.ends_with('\n') && line.matches('\n').count() == 1);
                    journal.push(line);
                    plans.push(next.clone());
                    now = next;
                }
            }
            let is = |got: &Replayed, plan: usize| write_plan(&got.plan) == write_plan(&plans[plan]);
            // A journal stands alone: it makes no difference what it is replayed on.
            let back = replay(&Plan::new(Head::default(), Vec::new()), &journal.concat());
            prop_assert!(back.is_complete && is(&back, plans.len() - 1));
            prop_assert_eq!(back.entries, journal.len());
            // A torn line, a missing one and one with a letter changed cost what builds on them, and nothing before.
            let last = journal.len() - 1;
            let hurt = hurt % journal.len();
            let whole = journal_line(None, &now, Stamp { number: 1000, ..Stamp::default() });
            for how in 0..3 {
                let mut damaged = journal.clone();
                match how {
                    0 => { let half = damaged[hurt].floor_char_boundary(damaged[hurt].len() / 2); damaged[hurt].truncate(half); damaged[hurt].push('\n'); }
                    1 => damaged[hurt] = String::new(),
                    _ => damaged[hurt] = damaged[hurt].replacen("\"at\":0", "\"at\":7", 1),
                }
                let got = replay(&start, &damaged.concat());
                prop_assert!(is(&got, hurt.saturating_sub(1)), "{how}");
                prop_assert!(!got.is_complete || (how == 1 && (hurt == last)), "{how}");
                // A whole plan after it makes good what was lost.
                let got = replay(&start, &(damaged.concat() + "\n" + &whole));
                prop_assert!(got.is_complete && is(&got, last), "{how}");
            }
        }
    }

    #[test]
    fn a_journal_of_the_first_form_is_read_up_to_its_torn_line() {
        let line = |id: &str| {
            format!(
                "{{\"changed\":[{{\"type\":\"Feature\",\"id\":\"{id}\",\"properties\":{{\"kind\":\"mark\"}},\"geometry\":{{\"type\":\"Point\",\"coordinates\":[1,50]}}}}]}}\n"
            )
        };
        let start = Plan::new(Head::default(), Vec::new());
        let (one, two) = (line("a"), line("b"));
        let got = replay(&start, &(one.clone() + &two));
        assert_eq!((got.plan.features.len(), got.entries, got.is_complete), (2, 2, true));
        let got = replay(&start, &(one + &two[..two.len() - 9]));
        assert_eq!((got.plan.features.len(), got.entries, got.is_complete), (1, 1, false));
    }
}
