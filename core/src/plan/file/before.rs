//! Plans that an earlier version wrote: what has another name now, and what is used no more.

use super::PlanNote;
use crate::catalogue::{Catalogue, SECTION_OF_BEFORE};
use crate::plan::Head;
use serde_json::Value;

/// Classes by species, as they were and as they are.
const RENAMED: [(&str, &str, &str); 1] = [("goat", "doe", "goat")];
/// Members of own animal rows that say how high strands hang, of before fences had rows.
const MEMBERS_OF_BEFORE: [&str; 3] = ["band_m", "creep_m", "jump_m"];

/// Brings a head to what this version calls things, and says what that changed and which classes nobody knows.
pub(super) fn taken_over(head: &mut Head) -> Vec<PlanNote> {
    let mut notes = Vec::new();
    for group in &mut head.stock {
        let now = |class: &String| RENAMED.iter().find(|(species, was, _)| group.species == *species && class == was);
        if let Some((_, from, to)) = group.class.as_ref().and_then(now) {
            group.class = Some((*to).to_owned());
            notes.push(PlanNote::RenamedClass { group: group.id.clone(), from: (*from).to_owned(), to: (*to).to_owned() });
        }
    }
    notes.extend(head.stock.iter().filter_map(|group| {
        let class = group.class.clone()?;
        let allowed = classes(head, &group.species);
        (!allowed.contains(&class)).then(|| PlanNote::NoSuchClass { group: group.id.clone(), class, allowed })
    }));
    if head.catalogue.contains_key(SECTION_OF_BEFORE) {
        notes.push(PlanNote::RowsOfBefore { rows: SECTION_OF_BEFORE.to_owned() });
    }
    let animals = head.catalogue.get("animal").and_then(Value::as_array).into_iter().flatten();
    let old = animals.filter(|row| MEMBERS_OF_BEFORE.iter().any(|member| row.get(member).is_some()));
    notes.extend(old.map(|row| {
        let id = row.get("id").and_then(Value::as_str).unwrap_or_default();
        PlanNote::RowsOfBefore { rows: format!("animal ({id})") }
    }));
    notes
}

/// The classes of a species, of the catalogue and of the plan's own rows.
fn classes(head: &Head, species: &str) -> Vec<String> {
    let built_in = Catalogue::built_in().animals.iter().filter(|row| row.species == species).map(|row| row.class.clone());
    let own = head.catalogue.get("animal").and_then(Value::as_array).into_iter().flatten();
    let own = own.filter(|row| row.get("species").and_then(Value::as_str) == Some(species));
    built_in.chain(own.filter_map(|row| Some(row.get("class")?.as_str()?.to_owned()))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::StockGroup;
    use serde_json::json;

    #[test]
    fn what_an_earlier_version_wrote_is_named_anew_and_said() {
        let group = |id: &str, species: &str, class: &str| StockGroup {
            id: id.to_owned(),
            species: species.to_owned(),
            class: Some(class.to_owned()),
            ..StockGroup::default()
        };
        let mut head = Head {
            stock: vec![
                group("milkers", "goat", "doe"),
                group("sows", "pig", "sow"),
                group("small", "pig", "kunekune"),
                group("odd", "pig", "boaar"),
            ],
            ..Head::default()
        };
        head.catalogue.insert("holding".to_owned(), json!([{ "species": "pig" }]));
        head.catalogue
            .insert("animal".to_owned(), json!([{ "id": "kune", "species": "pig", "class": "kunekune", "creep_m": 0.2 }]));
        let notes = taken_over(&mut head);
        assert_eq!(head.stock[0].class.as_deref(), Some("goat"));
        assert_eq!(notes.len(), 4, "{notes:?}");
        assert!(matches!(&notes[0], PlanNote::RenamedClass { group, .. } if group == "milkers"));
        assert!(
            matches!(&notes[1], PlanNote::NoSuchClass { group, allowed, .. } if group == "odd" && allowed.contains(&"litter".to_owned()))
        );
    }
}
