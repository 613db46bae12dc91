//! Reaching and seeing lines from the tracks, as sentences.

use super::{length, percent, set_length, share};
use hillwire_core::finding::{HardToReach, ReachRemedy, TrackHindrance};
use hillwire_core::plan::UnitSystem;
use hillwire_core::site::{JudgedTrack, LOADED_GRADES_PCT, ReachClass, TrackPiece};
use hillwire_core::units::Length;

/// A track as a whole: `412 m on the ground · climbs 31 m · falls 2 m · steepest 24 % over 20 m · leans across by up to 12 %`.
pub fn track_in_short(track: &JudgedTrack, units: UnitSystem) -> String {
    let (climb, descent) = track.climb_and_descent();
    let slope = |pct: Option<f64>| pct.map_or_else(|| "an unknown share".to_owned(), percent);
    let mut text = format!(
        "{} on the ground · climbs {} · falls {} · steepest {} over {} · ground leans across by up to {}",
        length(track.length(), units),
        length(climb, units),
        length(descent, units),
        slope(track.steepest_pct),
        set_length(Length::metres(20.0), units),
        slope(track.leans_pct)
    );
    if track.out_of_use() > Length::ZERO {
        text += &format!(" · {} too steep to drive", length(track.out_of_use(), units));
    }
    text
}

/// A place of a track: `at 128 m · grade 21 % · leans across by 7 %`.
pub fn track_at(station: Length, piece: TrackPiece, units: UnitSystem) -> String {
    format!("at {} · grade {} · leans across by {}", length(station, units), percent(piece.grade_pct), percent(piece.leans_pct))
}

/// What hinders on a track, short enough for a row.
pub fn hindrance(hindrance: TrackHindrance) -> &'static str {
    match hindrance {
        TrackHindrance::Grade => "grade",
        TrackHindrance::SideSlope => "side slope",
    }
}

/// How a place is reached, short enough for a row.
pub fn reach_class(class: ReachClass) -> &'static str {
    match class {
        ReachClass::FromSeat => "from the seat",
        ReachClass::Near => "near",
        ReachClass::ShortWalk => "short walk",
        ReachClass::Far => "long walk",
    }
}

/// What a class means.
pub fn reach_class_means(class: ReachClass, units: UnitSystem) -> String {
    let beside = set_length(hillwire_core::site::BESIDE, units);
    let walk = set_length(hillwire_core::site::WALK, units);
    match class {
        ReachClass::FromSeat => format!("within {beside} of a usable track, and seen from it"),
        ReachClass::Near => format!("within two minutes on foot, or seen from a track within {walk}"),
        ReachClass::ShortWalk => "within five minutes on foot".to_owned(),
        ReachClass::Far => "farther on foot, or nobody gets there".to_owned(),
    }
}

/// How long somebody walks: `7 minutes`, `1 hour 20 minutes`.
pub fn on_foot(seconds: f64) -> String {
    if !seconds.is_finite() {
        return "nobody gets there".to_owned();
    }
    let minutes = (seconds / 60.0).round() as u64;
    let of_minutes = |minutes: u64| if minutes == 1 { "1\u{a0}minute".to_owned() } else { format!("{minutes}\u{a0}minutes") };
    match (minutes / 60, minutes % 60) {
        (0, 0) => "less than a minute".to_owned(),
        (0, minutes) => of_minutes(minutes),
        (1, 0) => "1\u{a0}hour".to_owned(),
        (1, minutes) => format!("1\u{a0}hour {}", of_minutes(minutes)),
        (hours, 0) => format!("{hours}\u{a0}hours"),
        (hours, minutes) => format!("{hours}\u{a0}hours {}", of_minutes(minutes)),
    }
}

/// The longest walk: `to the far corner` and how long it takes.
pub fn longest_walk(to: &str, there_s: f64, back_s: f64, by_climb_s: f64) -> String {
    if !there_s.is_finite() {
        return format!("Nobody gets on foot {to} from a usable track.");
    }
    format!(
        "The longest walk is {to}: {} there with tools, {} back. Reckoned by distance and climb alone: {} there.",
        on_foot(there_s),
        on_foot(back_s),
        on_foot(by_climb_s)
    )
}

/// What was found and why it matters. `value` and `limit` are those of the finding.
pub fn says(why: &HardToReach, value: f64, limit: Option<f64>, units: UnitSystem) -> String {
    match why {
        HardToReach::LongWalk { longest, share: near, there_s, back_s } => {
            let walk = match there_s.zip(*back_s) {
                Some((there_s, back_s)) => {
                    format!("To the worst place of the line one walks {}, and {} back", on_foot(there_s), on_foot(back_s))
                }
                None => "To the worst place of the line nobody gets on foot from a usable track".to_owned(),
            };
            format!(
                "This stretch of {} lies more than five minutes on foot from every usable track. {walk}. {} of the line is nearer.",
                length(*longest, units),
                share(*near)
            )
        }
        HardToReach::NoTrack => {
            "The plan has no track that a vehicle can use, so nobody can say how much of this line can be reached.".to_owned()
        }
        HardToReach::Hidden { longest, seen_summer, seen_leaf_off } => format!(
            "From the seat nobody sees this stretch of {}: a fallen strand is found only on foot. Of the whole line {} is seen in summer and {} once \
            the leaves have fallen.",
            length(*longest, units),
            share(*seen_summer),
            share(*seen_leaf_off)
        ),
        HardToReach::SteepTrack { hindrance, over, is_out_of_use, is_wet } => {
            let how = match hindrance {
                TrackHindrance::Grade => "climbs",
                TrackHindrance::SideSlope => "leans to one side",
            };
            let soil = if *is_wet { " on wet soil" } else { "" };
            let then = if *is_out_of_use {
                "reach is counted without it and without what only it leads to: even an empty vehicle may slide or overturn".to_owned()
            } else {
                let (long, short) = LOADED_GRADES_PCT;
                format!(
                    "near what an empty vehicle can do; loaded, foresters stay below {} on long climbs and {} on short ones",
                    percent(long),
                    percent(short)
                )
            };
            format!(
                "The track {how} at {} here, and {}{soil} is held against it; such stretches make {} in all. That is {then}.",
                percent(value),
                percent(limit.unwrap_or_default()),
                length(*over, units)
            )
        }
        HardToReach::NarrowTrack => format!(
            "The track is {} wide, and its vehicle needs {} with room beside the wheels. Reach is counted without it.",
            set_length(Length::metres(value), units),
            set_length(Length::metres(limit.unwrap_or_default()), units)
        ),
        HardToReach::NoTurning => {
            "The track ends here on sloping ground, and nothing tells how a vehicle turns: backing down a slope is how they roll over.".to_owned()
        }
    }
}

/// What can be done about it.
pub fn does(remedy: &ReachRemedy, units: UnitSystem) -> String {
    match remedy {
        ReachRemedy::TrackWithin { reach } => {
            format!("Bring a track to within {} of it, or move the line to where a track is.", set_length(*reach, units))
        }
        ReachRemedy::DrawTrack => "Draw the tracks that a vehicle can use.".to_owned(),
        ReachRemedy::InSight => "Move the line to where it is seen, or keep down what grows in between.".to_owned(),
        ReachRemedy::WalkIt => "Walk this stretch on every round.".to_owned(),
        ReachRemedy::EasierTrack => "Lead the track round at an easier grade.".to_owned(),
        ReachRemedy::CutTrack => "Cut the track level across the slope, and say in the plan what its surface is.".to_owned(),
        ReachRemedy::LeaveTrack => "Say in the plan that only feet use it.".to_owned(),
        ReachRemedy::WidenTrack { to } => format!("Widen the track to {}.", set_length(*to, units)),
        ReachRemedy::TurningPlace => "Make level ground to turn on, or lead the track on to another one.".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn walks_are_told_in_minutes_and_hours() {
        let plain = |seconds: f64| on_foot(seconds).replace('\u{a0}', " ");
        for (seconds, expected) in [
            (12.0, "less than a minute"),
            (61.0, "1 minute"),
            (610.0, "10 minutes"),
            (3600.0, "1 hour"),
            (3660.0, "1 hour 1 minute"),
            (8000.0, "2 hours 13 minutes"),
            (f64::INFINITY, "nobody gets there"),
        ] {
            assert_eq!(plain(seconds), expected);
        }
    }

    #[test]
    fn every_reason_is_told_in_whole_sentences_and_every_remedy_is_an_instruction() {
        let m = Length::metres;
        let steep =
            |hindrance, is_out_of_use, is_wet| HardToReach::SteepTrack { hindrance, over: m(40.0), is_out_of_use, is_wet };
        let reasons = [
            HardToReach::LongWalk { longest: m(143.0), share: 0.62, there_s: Some(421.0), back_s: Some(380.0) },
            HardToReach::LongWalk { longest: m(143.0), share: 0.0, there_s: None, back_s: None },
            HardToReach::NoTrack,
            HardToReach::Hidden { longest: m(210.0), seen_summer: 0.3, seen_leaf_off: 0.55 },
            steep(TrackHindrance::Grade, true, true),
            steep(TrackHindrance::SideSlope, false, false),
            HardToReach::NarrowTrack,
            HardToReach::NoTurning,
        ];
        for reason in reasons {
            for units in [UnitSystem::Metric, UnitSystem::Us] {
                let says = says(&reason, 2.0, Some(2.8), units);
                assert!(says.starts_with(char::is_uppercase) && says.ends_with('.') && !says.contains("  "), "{says}");
                assert!(units == UnitSystem::Metric || !says.contains("\u{a0}m "), "{says}");
            }
        }
        let remedies = [
            ReachRemedy::TrackWithin { reach: m(60.0) },
            ReachRemedy::DrawTrack,
            ReachRemedy::InSight,
            ReachRemedy::WalkIt,
            ReachRemedy::EasierTrack,
            ReachRemedy::CutTrack,
            ReachRemedy::LeaveTrack,
            ReachRemedy::WidenTrack { to: m(2.8) },
            ReachRemedy::TurningPlace,
        ];
        for remedy in remedies {
            let does = does(&remedy, UnitSystem::Metric);
            assert!(does.starts_with(char::is_uppercase) && does.ends_with('.'), "{does}");
        }
    }
}
