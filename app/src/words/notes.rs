//! What is worth saying about a file that can be used.

use super::{count, length, share};
use hillwire_core::catalogue::OwnRowError;
use hillwire_core::land::GridNote;
use hillwire_core::plan::{PlanNote, UnitSystem};
use hillwire_core::units::Length;

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
        GridNote::RowsTurned => "its rows ran from south to north and were turned round".to_owned(),
        GridNote::Rotated { angle_deg } => format!("it stands at an angle of {angle_deg:.1}° to its map"),
        GridNote::OnlyFirstBand => "it holds more than one picture or band; the first was read".to_owned(),
    }
}

/// What a reader noticed about a plan.
pub fn plan_note(note: &PlanNote) -> String {
    match note {
        PlanNote::NewerVersion { found, known } => {
            format!("this plan is of version {found}, this program knows {known}: it can be looked at, not saved")
        }
        PlanNote::UnknownMember { feature: None, member } => {
            format!("{member} is not known to this program; it is kept as it is")
        }
        PlanNote::UnknownMember { feature: Some(feature), member } => {
            format!("{member} of {feature} is not known to this program; it is kept as it is")
        }
        PlanNote::UnknownProperty { feature, property } => {
            format!("the property {property} of {feature} is not known to this program; it is kept as it is")
        }
        PlanNote::UnknownKind { feature, kind } => format!("{feature} is of the unknown kind {kind:?}; it is kept as it is"),
        PlanNote::NoKind { feature } => format!("{feature} has no kind: say what it is"),
        PlanNote::GivenId { feature, line } => format!("the feature in line {line} had no id and is now called {feature}"),
        PlanNote::Heights { feature } => format!("the heights of {feature} are kept, but the elevation grid is used instead"),
        PlanNote::NoSuchBuild { feature, build } => {
            format!("{feature} names the build {build:?}, which the plan does not have: nothing is reckoned for it")
        }
        PlanNote::NoSuchClass { group, class, allowed } => format!(
            "the stock {group:?} is of the class {class:?}, which the catalogue does not have: nobody can say what holds it; allowed is one of {}",
            allowed.join(", ")
        ),
        PlanNote::RenamedClass { group, from, to } => {
            format!("the class of the stock {group:?} was {from:?} and is called {to:?} now")
        }
        PlanNote::RowsOfBefore { rows } => {
            format!(
                "own rows of {rows} were written for an earlier version: what they say of strands is kept, and no longer used to judge them"
            )
        }
        PlanNote::SamePlace { feature, corner } => format!("corner {corner} of {feature} lies on the one before it"),
        PlanNote::UnknownGeometry { feature } => {
            format!("{feature} has a shape that this program does not draw; it is kept as it is")
        }
        PlanNote::Thinned { feature, from, to } => {
            format!("{feature} had {from} places; {to} are kept, and nothing lies more than half a metre off")
        }
        PlanNote::TakenApart { feature, parts } => format!("{feature} had {parts} parts, which are now features of their own"),
    }
}
