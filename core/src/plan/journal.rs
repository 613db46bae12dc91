//! The journal beside a plan: one line of JSON per change, so that a crash loses nothing.

use super::file::{Record, read_record, write_record};
use super::{Feature, FeatureId, Plan};
use std::collections::{HashMap, HashSet};
use std::sync::Arc;

/// What changed from one plan to the next, as one line of JSON that ends in a line end; empty when nothing did.
pub fn journal_entry(before: &Plan, after: &Plan) -> String {
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
    if record.is_empty() { String::new() } else { write_record(&record) + "\n" }
}

/// The plan after all whole entries of a journal, and how many there were. A torn or foreign line ends it: what follows
/// builds on something that is lost.
pub fn replay(plan: &Plan, journal: &str) -> (Plan, usize) {
    let mut plan = plan.clone();
    let mut applied = 0;
    for line in journal.split_inclusive('\n') {
        let Some(record) = line.strip_suffix('\n').and_then(read_record) else {
            break;
        };
        plan = apply(&plan, &record);
        applied += 1;
    }
    (plan, applied)
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
        fn replaying_the_journal_gives_the_edited_plan(start in plan(), whims in whims(), turn in any::<bool>()) {
            let mut now = start.clone();
            let mut journal = String::new();
            let mut entries = 0;
            let mut last_but_one = start.clone();
            for whim in &whims {
                if let Ok(mut next) = edit_of(&now, whim).apply(&now) {
                    if turn {
                        let by = next.features.len().min(1);
                        next.features.rotate_left(by);
                    }
                    let entry = journal_entry(&now, &next);
                    prop_assert!(entry.is_empty() || entry.ends_with('\n') && entry.matches('\n').count() == 1);
                    if !entry.is_empty() {
                        entries += 1;
                        last_but_one = now;
                    }
                    journal.push_str(&entry);
                    now = next;
                }
            }
            let (back, applied) = replay(&start, &journal);
            prop_assert_eq!(applied, entries);
            prop_assert_eq!(write_plan(&back), write_plan(&now));
            if entries > 0 {
                let torn = replay(&start, &journal[..journal.len() - 1]);
                prop_assert_eq!(torn.1, entries - 1);
                prop_assert_eq!(write_plan(&torn.0), write_plan(&last_but_one));
            }
        }
    }
}
