//! Law, neighbours and the daily work, as sentences.

use super::{area, count, gap, length, percent, set_length};
use hillwire_core::finding::{Keeping, KeepingRemedy, Passing};
use hillwire_core::plan::UnitSystem;
use hillwire_core::units::Length;

/// What was found and why it matters.
pub fn says(why: &Keeping, value: f64, limit: Option<f64>, units: UnitSystem) -> String {
    let limit_m = Length::metres(limit.unwrap_or_default());
    match why {
        Keeping::OffOwnLand { over, farthest } => format!(
            "{} of this line lies beyond the boundary, up to {} beyond it.",
            length(*over, units),
            length(*farthest, units)
        ),
        Keeping::CrossesBoundary { boundary } => {
            format!("The line crosses the boundary “{boundary}”: on one side of it the land is somebody else's.")
        }
        Keeping::OnBoundary { over, neighbour } => format!(
            "{} of this line runs on the boundary itself{}. Whose fence it is, who mends it and from which side has to be agreed.",
            length(*over, units),
            neighbour.as_ref().map_or(String::new(), |neighbour| format!(", with {neighbour} beyond it"))
        ),
        Keeping::BesideWay { .. } | Keeping::LiveGateOnWay { .. } | Keeping::LowOverWay { .. } | Keeping::ClosesTrack { .. } => {
            about_ways(why, limit_m, units).unwrap_or_default()
        }
        Keeping::NoGate => {
            "No gate leads into this paddock: neither stock nor feed gets in without taking strands down.".to_owned()
        }
        Keeping::UnderGate { gate, animal } => format!(
            "Under “{gate}” {} gets through: a strand as low as the line's would stand {} above the ground there, and {} is allowed. What hangs \
             in the gate has the same limits.",
            super::findings::with_article(animal.split(',').next().unwrap_or(animal)).to_lowercase(),
            gap(Length::metres(value), units),
            gap(limit_m, units)
        ),
        Keeping::GateTooWide { gate } => format!(
            "“{gate}” opens {}, and no gate of the catalogue spans more than {}: it sags and drags.",
            length(Length::metres(value), units),
            length(limit_m, units)
        ),
        Keeping::GateOnSlope => format!(
            "The ground around this gate slopes by {}: it swings by itself, drags on the high side, and mud runs to it.",
            percent(value)
        ),
        Keeping::GateInWet { zone } => format!("This gate stands in “{zone}”: hooves and wheels make a bog of it."),
        Keeping::NoWater { stream: None } => "No water is drawn in this paddock, and there is stock in it.".to_owned(),
        Keeping::NoWater { stream: Some(stream) } => format!(
            "The only water in this paddock is “{stream}”. Stock fouls and breaks its banks, it may run dry, and the law may keep stock out of it."
        ),
        Keeping::WaterFar => format!(
            "From the farthest corner of this paddock the water is {} away; {} is far enough.",
            length(Length::metres(value), units),
            set_length(limit_m, units)
        ),
        Keeping::TooMany { head, keeping, is_ceiling } => format!(
            "{} head on all paddocks of this group are {} to the hectare. The highest number known is {} ({keeping}){}",
            count(f64::from(*head)),
            count(value),
            count(limit.unwrap_or_default()),
            if *is_ceiling { ", a ceiling." } else { ": the ground is bare before long." }
        ),
        Keeping::BarbedLive { strand } => {
            format!(
                "Strand {strand}, counted from below, is barbed wire and live. Whoever is caught in it gets pulse after pulse."
            )
        }
        Keeping::BarbedNear { live, barbed } => format!(
            "Live strand {live} hangs {} from barbed strand {barbed}, counted from below: an animal that touches one is caught in the other.",
            gap(Length::metres(value), units)
        ),
    }
}

/// What was found where a line meets a way or a track.
fn about_ways(why: &Keeping, limit_m: Length, units: UnitSystem) -> Option<String> {
    Some(match why {
        Keeping::BesideWay { way, over, signs } => format!(
            "{} of this fence is met by whoever uses “{way}”: warning signs belong there, {} at least.",
            length(*over, units),
            count(f64::from(*signs))
        ),
        Keeping::LiveGateOnWay { way } => {
            format!(
                "The gate where “{way}” passes is live. A live gate is no way through for the public: it must carry no pulse."
            )
        }
        Keeping::LowOverWay { way, height, passing } => format!(
            "The lead-out hangs {} over “{way}”. {} must not reach it: {} at least.",
            length(*height, units),
            match passing {
                Passing::Vehicles => "A vehicle with its load",
                Passing::Riders => "A rider on a horse",
                Passing::Walkers => "A hand held up",
            },
            length(limit_m, units)
        ),
        Keeping::ClosesTrack { track, nearest_gate } => format!(
            "The fence closes the track “{track}”{}",
            nearest_gate.map_or(": the plan has no gate at all.".to_owned(), |off| format!(
                ": the nearest gate is {} away.",
                length(off, units)
            ))
        ),
        _ => return None,
    })
}

/// What to do.
pub fn does(remedy: &KeepingRemedy, units: UnitSystem) -> String {
    match remedy {
        KeepingRemedy::MoveInside => "Move it back onto your own ground.".to_owned(),
        KeepingRemedy::AgreeWithNeighbour => {
            "Agree on it in writing with whoever owns the land beyond, before a post is driven.".to_owned()
        }
        KeepingRemedy::SignsEvery(every) => {
            format!("Hang signs at least every {}, and at every gate, stile and bend.", set_length(*every, units))
        }
        KeepingRemedy::RaiseOrBury(to) => {
            format!("Bury it in conduit across the way, or raise it on tall posts to {}; mark the posts.", length(*to, units))
        }
        KeepingRemedy::Bury => {
            "Bury it in conduit across the way. A power line runs here: never raise a wire near it.".to_owned()
        }
        KeepingRemedy::GateHere => "Place a gate there.".to_owned(),
        KeepingRemedy::CloseUnderGate => "Close the gap under the gate with a board, a chain or a strand of its own.".to_owned(),
        KeepingRemedy::PartGate => "Make the opening narrower, or part it with a post into two gates.".to_owned(),
        KeepingRemedy::MoveGate => "Move it to level, dry ground, best near a corner that stock is driven into.".to_owned(),
        KeepingRemedy::PlaceWater => "Place a trough or drinkers, where the pipe and the vehicle get to.".to_owned(),
        KeepingRemedy::FewerHead(head) => format!("Keep {} head at most on this ground.", count(f64::from(*head))),
        KeepingRemedy::MoreGround(needed) => format!("Give the group {} in all.", area(*needed, units)),
        KeepingRemedy::SmoothWire => "Use smooth wire for every live strand.".to_owned(),
        KeepingRemedy::Offset(by) => format!("Hang the live strand on offsets, {} away at least.", gap(*by, units)),
        KeepingRemedy::WorkAway(by) => format!(
            "Keep post drivers, tippers, ladders and long wire {} away from it on the ground until whoever runs it has been asked.",
            length(*by, units)
        ),
        KeepingRemedy::LocalCode(code) => format!("Check your local code; what is asked here is that of “{code}”."),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn everything_is_said_in_whole_sentences() {
        let m = Length::metres;
        let text = |word: &str| word.to_owned();
        let reasons = [
            Keeping::OffOwnLand { over: m(20.0), farthest: m(3.0) },
            Keeping::CrossesBoundary { boundary: text("March") },
            Keeping::OnBoundary { over: m(80.0), neighbour: None },
            Keeping::OnBoundary { over: m(80.0), neighbour: Some(text("Mill Farm")) },
            Keeping::BesideWay { way: text("Mill path"), over: m(140.0), signs: 2 },
            Keeping::LowOverWay { way: text("Forest track"), height: m(2.4), passing: Passing::Vehicles },
            Keeping::LowOverWay { way: text("Mill path"), height: m(2.4), passing: Passing::Riders },
            Keeping::LiveGateOnWay { way: text("Mill path") },
            Keeping::ClosesTrack { track: text("Forest track"), nearest_gate: None },
            Keeping::ClosesTrack { track: text("Forest track"), nearest_gate: Some(m(30.0)) },
            Keeping::NoGate,
            Keeping::GateOnSlope,
            Keeping::GateTooWide { gate: text("Low gate") },
            Keeping::GateInWet { zone: text("Wet flush") },
            Keeping::NoWater { stream: None },
            Keeping::NoWater { stream: Some(text("Bracken Burn")) },
            Keeping::WaterFar,
            Keeping::TooMany { head: 40, keeping: text("growing pigs on grass"), is_ceiling: true },
            Keeping::TooMany { head: 40, keeping: text("growing pigs on grass"), is_ceiling: false },
            Keeping::BarbedLive { strand: 1 },
            Keeping::BarbedNear { live: 2, barbed: 3 },
        ];
        let remedies = [
            KeepingRemedy::MoveInside,
            KeepingRemedy::AgreeWithNeighbour,
            KeepingRemedy::SignsEvery(m(100.0)),
            KeepingRemedy::RaiseOrBury(m(5.5)),
            KeepingRemedy::Bury,
            KeepingRemedy::GateHere,
            KeepingRemedy::MoveGate,
            KeepingRemedy::PartGate,
            KeepingRemedy::CloseUnderGate,
            KeepingRemedy::PlaceWater,
            KeepingRemedy::FewerHead(12),
            KeepingRemedy::MoreGround(hillwire_core::units::Area::square_metres(12_000.0)),
            KeepingRemedy::SmoothWire,
            KeepingRemedy::Offset(m(0.15)),
            KeepingRemedy::WorkAway(m(9.0)),
            KeepingRemedy::LocalCode(text("Great Britain")),
        ];
        let units = UnitSystem::Metric;
        let said = reasons.iter().map(|why| says(why, 12.0, Some(8.0), units));
        for sentence in said.chain(remedies.iter().map(|remedy| does(remedy, units))) {
            assert!(sentence.ends_with('.') && !sentence.contains("  ") && !sentence.contains(" ."), "{sentence}");
        }
    }
}
