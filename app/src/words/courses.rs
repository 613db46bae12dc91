//! Other courses for a line, as people read them.

use super::{count, length, number_with};
use hillwire_core::plan::UnitSystem;
use hillwire_core::reroute::{Aim, Amounts, NoCourse, Term, Weights};
use hillwire_core::units::Length;

/// What a course is the best for.
pub fn aim(aim: Aim) -> &'static str {
    match aim {
        Aim::Cheapest => "cheapest",
        Aim::FewestStrikes => "fewest strikes",
        Aim::ClosestToTrack => "nearest to a track",
    }
}

/// Several of them, as a heading.
pub fn aims(aims: &[Aim]) -> String {
    let all: Vec<&str> = aims.iter().map(|one| aim(*one)).collect();
    let text = all.join(", ");
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// What money goes to along a course.
pub fn term(term: Term, weights: &Weights) -> String {
    match term {
        Term::Build => "Building on this slope".to_owned(),
        Term::Soil => "Thin and wet soil, hollows".to_owned(),
        Term::Corners => "Corner posts".to_owned(),
        Term::Water => "Water gaps".to_owned(),
        Term::Ways => "Gates in tracks and ways".to_owned(),
        Term::Strikes => format!("Strikes over {} years", count(weights.years)),
        Term::Walking => format!("Walking to it, {} visits", count(weights.visits)),
    }
}

/// What is said first of a course with which more must be fixed.
pub fn more_to_fix(more: usize) -> String {
    let things = if more == 1 { "1 more finding".to_owned() } else { format!("{more} more findings") };
    format!("With it {things} must be fixed: look at the table before you take it.")
}

/// What a course is in one sentence.
pub fn course(amounts: &Amounts, units: UnitSystem) -> String {
    let ground = length(Length::metres(amounts.ground_m), units);
    let gaps = match amounts.gaps.round() {
        gaps if gaps < 0.5 => "no water gap".to_owned(),
        gaps if gaps < 1.5 => "1 water gap".to_owned(),
        gaps => format!("{} water gaps", count(gaps)),
    };
    format!("{ground} on the ground, {gaps}, {} strikes a year", number_with(amounts.strikes(), 2))
}

/// What is said where a course goes where no fence may go.
pub const BARRED: &str = "As it is drawn the line runs over the boundary, through a building, ground that is kept out of or another fence: no price speaks for that.";

/// How far such a course is to be believed.
pub const COURSE_LIMITS: &str = "Prices here only weigh one thing against another; no contractor has offered them. The search knows the grid, the plan and nothing else: walk \
     the course with its pegs before a post is driven, and look up for overhead lines and dead wood. Strikes compare places, they are no forecast.";

/// Why there is no other course.
pub fn no_course(trouble: &NoCourse) -> String {
    match trouble {
        NoCourse::NoFence(id) => format!("the plan has no fence “{id}”"),
        NoCourse::NoGround => {
            "the plan has no elevation grid under this line; without heights nothing speaks for another course".to_owned()
        }
        NoCourse::TooCoarse => {
            "the cells of the ground are too wide to tell of water, animals and slopes; allowed are cells up to 20 m".to_owned()
        }
        NoCourse::NothingMoves => {
            "every stretch between places that stay (ends, gates, joints, corners of which you have said something) is \
                                   shorter than 30 m: there is nothing to move"
                .to_owned()
        }
        NoCourse::TooLong => "the ground around this line has too many cells to search; cut the line in two first".to_owned(),
        NoCourse::Edit(trouble) => trouble.to_string(),
        NoCourse::Cancelled(trouble) => trouble.to_string(),
    }
}

/// What is said where the drawn course is the best that is known.
pub fn stands(stands: &[Aim]) -> String {
    let best = |one: &Aim| match one {
        Aim::Cheapest => "the cheapest",
        Aim::FewestStrikes => "the one with the fewest strikes",
        Aim::ClosestToTrack => "the one nearest to a track",
    };
    let all: Vec<&str> = stands.iter().map(best).collect();
    format!("Of all courses that were found the drawn one is {}.", all.join(" and "))
}
