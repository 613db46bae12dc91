//! Access: metres of a line within reach of a usable track.

use super::{Checked, CheckedLine};
use crate::finding::{Finding, Place, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::Section;
use crate::hold::along::{Piece, pieces, runs};
use crate::plan::Kind;
use crate::source::SourceKey;
use crate::units::Length;

/// From a vehicle on the track: the hand reaches the wire.
///
/// # Source
/// Key `common-practice`.
pub const BESIDE: Length = Length::metres(6.0);

/// From a vehicle on the track and a short walk with tools.
///
/// # Source
/// Key `common-practice`.
pub const WALK: Length = Length::metres(60.0);

/// A stretch out of reach that is shorter than this is not worth a word.
///
/// # Source
/// Key `common-practice`.
pub const LONGEST: Length = Length::metres(30.0);

const SOURCE: SourceKey = SourceKey::new("common-practice");
const STEP_M: f64 = 2.0;

/// Shares of a line, 0 to 1, by how far the nearest usable track is on the map.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrackShares {
    /// Within [`BESIDE`].
    pub beside: f64,
    /// Within [`WALK`].
    pub walk: f64,
}

/// How much of a line is within reach of a usable track; `None` when there is no track.
pub fn track_shares(checked: &Checked, section: &Section) -> Option<TrackShares> {
    let pieces = with_distance(checked, section)?;
    let whole_m: f64 = pieces.iter().map(|(piece, _)| piece.ground_m()).sum();
    let within = |reach: Length| {
        let near = pieces.iter().filter(|(_, distance_m)| *distance_m <= reach.as_metres());
        near.fold(0.0, |sum, (piece, _)| sum + piece.ground_m()) / whole_m
    };
    (whole_m > 0.0).then(|| TrackShares { beside: within(BESIDE), walk: within(WALK) })
}

/// The longest stretch of a line that is out of reach of every usable track.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let (Some(pieces), Some(shares)) = (with_distance(checked, line.section), track_shares(checked, line.section)) else {
        return Vec::new();
    };
    let far = pieces.into_iter().filter(|(_, distance_m)| *distance_m > WALK.as_metres()).map(|(piece, _)| piece).collect();
    let stretches = runs(far, |a: &Piece, b| (b.from.plan_m - a.to.plan_m).abs() < 0.01);
    let length_m = |run: &Vec<Piece>| run[run.len() - 1].to.station_m - run[0].from.station_m;
    let Some(longest) = stretches.into_iter().max_by(|a, b| length_m(a).total_cmp(&length_m(b))) else { return Vec::new() };
    let longest_m = length_m(&longest);
    if longest_m < LONGEST.as_metres() {
        return Vec::new();
    }
    let middle = longest[longest.len() / 2].middle();
    vec![Finding {
        rule: Rule::Access,
        weight: if matches!(line.feature.kind, Kind::Fence(_)) { Weight::LookAt } else { Weight::Note },
        place: checked.stretch(line, longest[0].from.station_m, longest[longest.len() - 1].to.station_m, middle),
        value: longest_m,
        limit: Some(LONGEST.as_metres()),
        unit: Unit::Metre,
        reason: Reason::OutOfReach { reach: WALK, longest: Length::metres(longest_m), share: shares.walk },
        remedies: vec![Remedy::TrackWithin { reach: WALK }],
        source: SOURCE,
    }]
}

/// A plan with fences and no track at all: reach cannot be judged.
pub fn check_plan(checked: &Checked) -> Vec<Finding> {
    let fence = checked.plan.features.iter().find(|feature| matches!(feature.kind, Kind::Fence(_)));
    let Some(at) = fence.and_then(|fence| fence.line()?.first().copied()) else { return Vec::new() };
    if checked.surroundings.has_track {
        return Vec::new();
    }
    vec![Finding {
        rule: Rule::Access,
        weight: Weight::Note,
        place: Place { line: None, station: None, until: None, at, cell: None },
        value: 0.0,
        limit: None,
        unit: Unit::One,
        reason: Reason::NoTrack,
        remedies: vec![Remedy::DrawTrack],
        source: SOURCE,
    }]
}

/// The line in short pieces, each with its distance from the nearest usable track; `None` when the plan has no track. Where
/// tracks are drawn and none is usable, every piece is infinitely far.
fn with_distance(checked: &Checked, section: &Section) -> Option<Vec<(Piece, f64)>> {
    let far = |piece: Piece| (piece, checked.surroundings.nearest_track_m(piece.middle()).unwrap_or(f64::INFINITY));
    checked.surroundings.has_track.then(|| pieces(section, STEP_M).into_iter().map(far).collect())
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
    fn a_fence_is_out_of_reach_where_no_vehicle_comes_within_a_walk() {
        // A fence along the middle from -150 to 150; the track 10 m beside it, from the west end to the place given.
        let rows = [
            ("track along the whole fence", 150.0, Some("utility"), None),
            ("track that ends 20 m short of reach: 150 - 60.0 - 69.2", 69.2, None, None),
            ("track to the middle: from sqrt(60^2 - 10^2) = 59.2 m past its end on", 0.0, None, Some((59.2, 150.0))),
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
                (Some(found), Some(asked)) => {
                    assert!((found.0 - asked.0).abs() < 2.1 && (found.1 - asked.1).abs() < 2.1, "{name}: {found:?}");
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
        assert_eq!(found.iter().map(|finding| &finding.reason).collect::<Vec<_>>(), [&Reason::NoTrack]);
    }
}
