//! Access: metres of a line that are a long walk from every usable track.

use super::{Checked, CheckedLine};
use crate::finding::{Finding, HardToReach, Place, ReachRemedy, Reason, Remedy, Rule, Unit, Weight};
use crate::plan::Kind;
use crate::site::{ReachClass, ReachPiece, Season};
use crate::source::SourceKey;
use crate::units::Length;

/// A stretch that takes a long walk and is shorter than this is not worth a word.
///
/// # Source
/// Key `common-practice`.
pub const LONGEST: Length = Length::metres(30.0);

const SOURCE: SourceKey = SourceKey::new("common-practice");

/// The longest stretch of a line that takes a long walk from every usable track, and how long to its worst place.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let Some(reach) = line.reach else { return Vec::new() };
    // How far a place is on foot is the same in summer and in winter.
    let is_far = |piece: &ReachPiece| piece.class(Season::Summer) == ReachClass::Far;
    let run = reach.longest_run(is_far);
    let (Some(first), Some(last)) = (run.first(), run.last()) else { return Vec::new() };
    let longest = last.to - first.from;
    let Some(worst) = reach.worst().filter(|_| longest >= LONGEST) else { return Vec::new() };
    let whole: Length = reach.pieces.iter().map(ReachPiece::length).sum();
    let finite = |seconds: f64| seconds.is_finite().then_some(seconds);
    let far: Length = reach.pieces.iter().filter(|piece| is_far(piece)).map(ReachPiece::length).sum();
    vec![Finding {
        rule: Rule::Access,
        // A walk of some minutes is what keeping stock takes; a track costs more than the fence.
        weight: Weight::Note,
        place: checked.stretch(line, first.from.as_metres(), last.to.as_metres(), run[run.len() / 2].at),
        value: longest.as_metres(),
        limit: Some(LONGEST.as_metres()),
        unit: Unit::Metre,
        reason: Reason::Reach(HardToReach::LongWalk {
            longest,
            share: 1.0 - far / whole,
            there_s: finite(worst.minutes.there_s),
            back_s: finite(worst.minutes.back_s),
        }),
        remedies: vec![Remedy::Reach(ReachRemedy::WalkIt)],
        source: SOURCE,
    }]
}

/// A plan with fences and no track at all: reach cannot be judged.
pub fn check_plan(checked: &Checked) -> Vec<Finding> {
    let fence = checked.plan.features.iter().find(|feature| matches!(feature.kind, Kind::Fence(_)));
    let Some(at) = fence.and_then(|fence| fence.line()?.first().copied()) else { return Vec::new() };
    if checked.reach.tracks.has_track {
        return Vec::new();
    }
    vec![Finding {
        rule: Rule::Access,
        weight: Weight::Note,
        place: Place { line: None, station: None, until: None, at, cell: None },
        value: 0.0,
        limit: None,
        unit: Unit::One,
        reason: Reason::Reach(HardToReach::NoTrack),
        remedies: vec![Remedy::Reach(ReachRemedy::DrawTrack)],
        source: SOURCE,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat, ground};
    use crate::plan::Track;

    fn track(vehicle: Option<&str>) -> Kind {
        Kind::Track(Track { vehicle: vehicle.map(str::to_owned), ..Track::default() })
    }

    #[test]
    fn a_fence_is_out_of_reach_where_it_takes_more_than_five_minutes_on_foot() {
        // A fence along the middle from -150 to 150; the track 10 m beside it, from the west end to the place given. At 3.022 km/h five
        // minutes are 251.8 m.
        let rows = [
            ("track along the whole fence", 150.0, Some("utility"), None),
            ("track to the middle", 0.0, Some("utility"), None),
            ("track to 20 m short of five minutes: 150 - 251.8 - 20", -121.0, Some("utility"), None),
            ("from sqrt(251.8^2 - 10^2) = 251.6 m past its end on", -148.0, None, Some((103.6, 150.0))),
            ("a footpath is no track for a vehicle", 150.0, Some("foot"), Some((-150.0, 150.0))),
        ];
        for (name, to_m, vehicle, expected) in rows {
            let scene =
                Scene::on(flat()).fence(&[(-150.0, 0.0), (150.0, 0.0)]).line(track(vehicle), &[(-150.0, 10.0), (to_m, 10.0)]);
            let found = scene.say(Rule::Access);
            let stretch = found.first().map(|finding| {
                let metres = |length: Option<Length>| length.expect("a stretch").as_metres() - 150.0;
                (metres(finding.place.station), metres(finding.place.until))
            });
            match (stretch, expected) {
                (None, None) => {}
                // Pieces are 5 m long, and a way between two of sixteen directions is up to 2.8 % longer.
                (Some(found), Some(asked)) => {
                    assert!((found.0 - asked.0).abs() < 8.0 && (found.1 - asked.1).abs() < 0.5, "{name}: {found:?}");
                }
                other => panic!("{name}: {other:?}"),
            }
        }
    }

    #[test]
    fn a_pitch_of_more_than_a_quarter_over_twenty_metres_takes_the_track_out_of_use() {
        for (rise, is_usable) in [(0.24, true), (0.26, false)] {
            let slope = ground(400, 1.0, |east, _| 100.0 + rise * east);
            let scene =
                Scene::on(slope).fence(&[(-150.0, 0.0), (150.0, 0.0)]).line(track(None), &[(-150.0, 10.0), (150.0, 10.0)]);
            assert_eq!(scene.say(Rule::Access).is_empty(), is_usable, "{rise}");
        }
    }

    #[test]
    fn a_plan_without_a_track_is_told_so_once() {
        let found = Scene::on(flat()).fence(&[(0.0, 0.0), (50.0, 0.0)]).fence(&[(0.0, 20.0), (50.0, 20.0)]).say(Rule::Access);
        let no_track = Reason::Reach(HardToReach::NoTrack);
        assert_eq!(found.iter().map(|finding| &finding.reason).collect::<Vec<_>>(), [&no_track]);
    }
}
