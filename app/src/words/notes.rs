//! What is worth saying about a file that can be used.

use super::{count, length, share};
use hillwire_core::bounds::shown;
use hillwire_core::catalogue::OwnRowError;
use hillwire_core::land::GridNote;
use hillwire_core::plan::{FeatureId, PlanNote, UnitSystem};
use hillwire_core::units::Length;
use std::mem::{Discriminant, discriminant};

/// An own row of a plan that cannot be used.
pub fn unusable_row(trouble: &OwnRowError) -> String {
    format!("{trouble}. Until that is mended the built-in catalogue is used alone.")
}

/// What a reader noticed about an elevation grid.
pub fn grid_note(note: &GridNote) -> String {
    let metres = |metres: f64| length(Length::metres(metres), UnitSystem::Metric);
    match note {
        GridNote::HeightsInFeet => "its heights are in feet; they were turned into metres".to_owned(),
        GridNote::HeightsTakenAsFeet => {
            "it does not say in what unit its heights are; its map is in feet, so they were taken as feet too".to_owned()
        }
        GridNote::MaybeFeet => {
            "it does not say in what unit its heights are, and they look like feet: lengths and slopes may be wrong".to_owned()
        }
        GridNote::MaybeUndeclaredVoid { value, share: part } => {
            format!(
                "{} of its cells hold {}: perhaps a sign for \"no height\" that the file does not declare",
                share(*part),
                count(*value)
            )
        }
        GridNote::ImpossibleMadeVoid { value, share: part } => {
            format!(
                "{} of its cells held heights that no land has, such as {}; they count as no height",
                share(*part),
                count(*value)
            )
        }
        GridNote::MaybePicture { .. } => "its numbers look like a picture rather than heights".to_owned(),
        GridNote::Coarse { spacing_m } => {
            format!("its cells are {} wide: dips and rises between posts do not show", metres(*spacing_m))
        }
        GridNote::Steps { step_m } => format!("its heights come in steps of {}: gentle slopes look like stairs", metres(*step_m)),
        GridNote::VoidNoNumber { found } => {
            format!(
                "its sign for \"no height\" is {found:?}, which is no number; it is not used, and all its cells count as ground"
            )
        }
        GridNote::RowsTurned => "its rows ran from south to north and were turned round".to_owned(),
        GridNote::Rotated { angle_deg } => format!("it stands at an angle of {angle_deg:.1}° to its map"),
        GridNote::OnlyFirstBand => "it holds more than one picture or band; the first was read".to_owned(),
    }
}

/// How many notes of one sort are told.
const TOLD: usize = 5;

/// What a reader noticed about a plan, one line each: the first of each sort, and how many more there are.
pub fn plan_notes(notes: &[PlanNote]) -> Vec<String> {
    let mut sorts: Vec<(Discriminant<PlanNote>, Vec<String>, usize)> = Vec::new();
    for note in notes {
        let sort = discriminant(note);
        let place = sorts.iter().position(|(other, ..)| *other == sort).unwrap_or_else(|| {
            sorts.push((sort, Vec::new(), 0));
            sorts.len() - 1
        });
        let (_, told, more) = &mut sorts[place];
        if told.len() < TOLD { told.push(plan_note(note)) } else { *more += 1 }
    }
    let lines = sorts.into_iter().flat_map(|(_, mut told, more)| {
        told.extend((more > 0).then(|| format!("... and {more} more notes of this sort")));
        told
    });
    lines.collect()
}

fn plan_note(note: &PlanNote) -> String {
    let text = |text: &str| shown(text);
    let name = |id: &FeatureId| shown(id.as_str());
    match note {
        PlanNote::NewerVersion { found, known } => {
            format!("this plan is of version {found}, this program knows {known}: it can be looked at, not saved")
        }
        PlanNote::UnknownMember { feature: None, member } => {
            format!("{} is not known to this program; it is kept as it is", text(member))
        }
        PlanNote::UnknownMember { feature: Some(feature), member } => {
            format!("{} of {} is not known to this program; it is kept as it is", text(member), name(feature))
        }
        PlanNote::UnknownProperty { feature, property } => {
            format!("the property {} of {} is not known to this program; it is kept as it is", text(property), name(feature))
        }
        PlanNote::UnknownKind { feature, kind } => {
            format!("{} is of the unknown kind {:?}; it is kept as it is", name(feature), text(kind))
        }
        PlanNote::NoKind { feature } => format!("{} has no kind: say what it is", name(feature)),
        PlanNote::GivenId { feature, line } => {
            format!("the feature in line {line} had no id and is now called {}", name(feature))
        }
        PlanNote::Heights { feature } => {
            format!("the heights of {} are kept, but the elevation grid is used instead", name(feature))
        }
        PlanNote::NoSuchBuild { feature, build } => {
            let (feature, build) = (name(feature), text(build));
            format!("{feature} names the build {build:?}, which the plan does not have: nothing is reckoned for it")
        }
        PlanNote::NoSuchClass { group, class, allowed } => format!(
            "the stock {:?} is of the class {:?}, which the catalogue does not have: nobody can say what holds it; allowed is one of {}",
            text(group),
            text(class),
            allowed.join(", ")
        ),
        PlanNote::RenamedClass { group, from, to } => {
            format!("the class of the stock {:?} was {from:?} and is called {to:?} now", text(group))
        }
        PlanNote::RowsOfBefore { rows } => {
            format!(
                "own rows of {rows} were written for an earlier version: what they say of strands is kept, and no longer used to judge them"
            )
        }
        PlanNote::SamePlace { feature, corner } => {
            format!("corner {corner} of {} lies on the one before it", name(feature))
        }
        PlanNote::UnknownGeometry { feature } => {
            format!("{} has a shape that this program does not draw; it is kept as it is", name(feature))
        }
        PlanNote::Thinned { feature, from, to } => {
            let feature = text(feature);
            format!("{feature} had {from} places; {to} are kept, and nothing lies more than half a metre off")
        }
        PlanNote::TakenApart { feature, parts: 0 } => format!("{} has no shape and is left out", text(feature)),
        PlanNote::TakenApart { feature, parts } => {
            format!("{} had {parts} parts, which are now features of their own", text(feature))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_notes_of_one_sort_are_told_by_the_first_and_a_count_and_found_texts_are_cut() {
        let unknown = |number: usize| PlanNote::UnknownProperty { feature: FeatureId::new("x"), property: format!("p{number}") };
        let kind = PlanNote::UnknownKind { feature: FeatureId::new("y"), kind: "k".repeat(100_000) };
        let notes: Vec<PlanNote> = (0..5000).map(unknown).chain([kind]).chain([unknown(5000)]).collect();
        let said = plan_notes(&notes);
        assert_eq!(said.len(), TOLD + 2, "{said:?}");
        assert_eq!(said[TOLD], "... and 4996 more notes of this sort");
        assert!(said[TOLD + 1].starts_with("y is of the unknown kind \"kkk") && said[TOLD + 1].chars().count() < 140, "{said:?}");
        assert_eq!(plan_notes(&notes[..TOLD]).len(), TOLD);
    }
}
