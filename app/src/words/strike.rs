//! What is said about animals that run into the strands.

use super::{item, length, mass, speed};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::finding::{Reason, Remedy, StrikeOutcome};
use hillwire_core::plan::UnitSystem;

/// What happens at which speed; empty for any other reason.
pub(super) fn struck(reason: &Reason, catalogue: &Catalogue, units: UnitSystem) -> String {
    let Reason::Struck { mass_kg, likely, flight, releases_from_m_per_s, breaks_from_m_per_s, wire, strain } = reason else {
        return String::new();
    };
    let releases = releases_from_m_per_s.map(|from| format!("come off their insulators from {} on", speed(from, units)));
    let breaks = breaks_from_m_per_s.map(|from| format!("break from {} on", speed(from, units)));
    let begins: Vec<String> = releases.into_iter().chain(breaks).collect();
    let in_flight = if likely.1 == flight.1 {
        String::new()
    } else {
        format!("; in flight, at {}, it {}", speed(flight.0, units), does_to_strands(flight.1))
    };
    format!(
        "A deer of {} that comes down at {} {} here{in_flight}. These strands ({}, {} between strainers) {}. It is assumed that the \
         strand alone stops the animal, from such a speed; how fast they come, known to a factor of two, and what a strand takes have not been measured.",
        mass(*mass_kg, units),
        speed(likely.0, units),
        does_to_strands(likely.1),
        item(wire, catalogue),
        length(*strain, units),
        begins.join(" and ")
    )
}

fn does_to_strands(outcome: StrikeOutcome) -> &'static str {
    match outcome {
        StrikeOutcome::Holds => "is stopped by a strand",
        StrikeOutcome::InsulatorsRelease => "takes a strand off its insulators",
        StrikeOutcome::Breaks => "breaks a strand",
    }
}

/// What to do about it; `None` for any other remedy.
pub(super) fn remedy(remedy: &Remedy, catalogue: &Catalogue, units: UnitSystem) -> Option<String> {
    let then = |from: &Option<f64>| match from {
        Some(from) => format!("then it breaks from {} on", speed(*from, units)),
        None => "then nothing that runs breaks it".to_owned(),
    };
    Some(match remedy {
        Remedy::AddSprings { springs, at, breaks_from_m_per_s, .. } => {
            let of_each = if springs.at_both_ends { 2 } else { 1 };
            let strains = if at.len() > of_each { "the strains that are" } else { "the strain that is" };
            let where_ = if springs.at_both_ends { ", at both ends" } else { "" };
            format!("Put a spring into each strand of {strains} hit here{where_}: {}.", then(breaks_from_m_per_s))
        }
        Remedy::OtherWire { wire, springs, breaks_from_m_per_s, .. } => {
            let springs = springs.map_or("", |springs| {
                if springs.at_both_ends { ", with springs at both ends of each strand" } else { ", with a spring in each strand" }
            });
            format!("Hang another wire on all lines of this build, {}{springs}: {}.", item(wire, catalogue), then(breaks_from_m_per_s))
        }
        Remedy::NoWireEndsIt => {
            "No wire of the catalogue, with or without springs, ends this: let animals see the strands, move the line away from the foot of \
             the slope, or keep wire and joiners at hand."
                .to_owned()
        }
        Remedy::SpareInsulators => {
            "Keep spare insulators at hand, look here first on every round, and stand clear of a strand that may snap.".to_owned()
        }
        _ => return None,
    })
}
