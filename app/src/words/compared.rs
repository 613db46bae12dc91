//! Two layouts side by side, as people read them.

use super::{area, count, length, money_short, number_with, voltage};
use hillwire_core::compare::{Dominated, Figure};
use hillwire_core::plan::UnitSystem;
use hillwire_core::units::{Area, Length};

/// What a figure is called.
pub fn compared_what(figure: Figure) -> &'static str {
    match figure {
        Figure::Fence => "Fence on the ground",
        Figure::Posts => "Posts of the fences",
        Figure::Corners => "Of them corners, ends and gate posts",
        Figure::Cost => "Cost of materials",
        Figure::Build => "Hours to build",
        Figure::Strikes => "Strikes a year",
        Figure::FarEnd => "Far end, wet, over 500\u{a0}Ω",
        Figure::WaterGaps => "Water gaps",
        Figure::LongWalk => "A long walk from a track",
        Figure::Area => "Enclosed ground",
        Figure::MustFix => "Must fix",
        Figure::LookAt => "Look at",
    }
}

/// A value of a figure, or a difference.
pub fn compared(figure: Figure, value: f64, currency: &str, units: UnitSystem) -> String {
    match figure {
        Figure::Fence | Figure::LongWalk => length(Length::metres(value), units),
        Figure::Cost => money_short(value, currency),
        Figure::Build => format!("{}\u{a0}h", number_with(value, 1)),
        Figure::Strikes => number_with(value, 2),
        Figure::FarEnd => voltage(value),
        Figure::Area => area(Area::square_metres(value), units),
        Figure::Posts | Figure::Corners | Figure::WaterGaps | Figure::MustFix | Figure::LookAt => count(value),
    }
}

/// What the rows say together.
pub fn compared_in_all(
    dominated: Option<Dominated>,
    break_even: Option<f64>,
    years: f64,
    currency: &str,
    [a, b]: [&str; 2],
) -> Vec<String> {
    let speaks = dominated.map(|one| {
        let (worse, other) = if one == Dominated::A { (a, b) } else { (b, a) };
        format!("Of these figures none speaks for “{worse}” against “{other}”.")
    });
    let pays = break_even.map(|price| {
        format!(
            "Over {} years the dearer one pays for itself through fewer strikes if one strike costs {} or more.",
            count(years),
            money_short(price, currency)
        )
    });
    let limits = "Strikes compare places, they are no forecast. What is not known is left out of any judgement.".to_owned();
    speaks.into_iter().chain(pays).chain([limits]).collect()
}
