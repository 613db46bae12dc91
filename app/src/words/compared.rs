//! Two layouts side by side, as people read them.

use super::{area, count, length, money_short, number_with, voltage};
use hillwire_core::compare::{Compared, Dominated, Figure, Term};
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
        Figure::Round => "A round of all lines",
    }
}

/// The same where there is little room.
pub fn compared_in_short(figure: Figure) -> &'static str {
    match figure {
        Figure::Fence => "fence",
        Figure::Posts => "posts",
        Figure::Corners => "corners, gates",
        Figure::Cost => "materials",
        Figure::Build => "work",
        Figure::Strikes => "strikes a year",
        Figure::FarEnd => "far end, wet",
        Figure::WaterGaps => "water gaps",
        Figure::LongWalk => "a long walk",
        Figure::Area => "enclosed",
        Figure::MustFix => "must fix",
        Figure::LookAt => "look at",
        Figure::Round => "a round",
    }
}

/// A value of a figure, or a difference.
pub fn compared(figure: Figure, value: f64, currency: &str, units: UnitSystem) -> String {
    match figure {
        Figure::Fence | Figure::LongWalk => length(Length::metres(value), units),
        Figure::Cost => money_short(value, currency),
        Figure::Round => format!("{}\u{a0}min", number_with(value, 0)),
        Figure::Build => format!("{}\u{a0}h", number_with(value, 1)),
        Figure::Strikes => number_with(value, 2),
        Figure::FarEnd => voltage(value),
        Figure::Area => area(Area::square_metres(value), units),
        Figure::Posts | Figure::Corners | Figure::WaterGaps | Figure::MustFix | Figure::LookAt => count(value),
    }
}

/// By how much the second one has more of it; nothing where that is not known.
pub fn compared_by(row: &Compared, currency: &str, units: UnitSystem) -> String {
    let Some(by) = row.a.zip(row.b).map(|(a, b)| b - a) else { return String::new() };
    if by.abs() < 1e-9 {
        return "same".to_owned();
    }
    format!("{}{}", if by > 0.0 { "+" } else { "" }, compared(row.figure, by, currency, units))
}

/// A part of what a layout costs to own.
pub fn owning_what(term: Term) -> &'static str {
    match term {
        Term::Materials => "Materials",
        Term::Building => "Hours to build",
        Term::Strikes => "Strikes",
        Term::WaterGaps => "Water gaps",
    }
}

/// The price of a part at which both layouts cost the same.
pub fn even_at(term: Term, price: f64, currency: &str) -> String {
    let one = match term {
        Term::Materials => "",
        Term::Building => " an hour",
        Term::Strikes => " each",
        Term::WaterGaps => " a year",
    };
    format!("{}{one}", money_short(price, currency))
}

/// What “even at” means.
pub const EVEN_AT: &str =
    "“Even at” is the price of a row at which both cost the same, with all other prices as they are. Nothing is discounted.";

/// What the rows say together.
pub fn compared_in_all(dominated: Option<Dominated>, [a, b]: [&str; 2]) -> Vec<String> {
    let speaks = dominated.map(|one| {
        let (worse, other) = if one == Dominated::A { (a, b) } else { (b, a) };
        format!("Of these figures none speaks for “{worse}” against “{other}”.")
    });
    let limits = "Strikes compare places, they are no forecast. What is not known is left out of any judgement.".to_owned();
    speaks.into_iter().chain([limits]).collect()
}
