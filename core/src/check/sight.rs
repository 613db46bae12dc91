//! Sight: metres of a line in a row that are seen from no usable track.

use super::{Checked, CheckedLine};
use crate::finding::{Finding, HardToReach, ReachRemedy, Reason, Remedy, Rule, Unit, Weight};
use crate::site::{LineReach, ReachPiece, Season};
use crate::source::SourceKey;
use crate::units::Length;

/// A hidden stretch that is shorter than this is looked at in passing.
///
/// # Source
/// Key `common-practice`.
pub const LONGEST: Length = Length::metres(150.0);

/// The longest hidden stretch of a line, all the year or else in summer. It is worth a note: most fences have one.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let Some(reach) = line.reach else { return Vec::new() };
    let all_year = hidden(reach, Season::LeafOff);
    let in_summer = hidden(reach, Season::Summer);
    let is_long = |run: &&[ReachPiece]| length(run) > LONGEST;
    let Some(run) = Some(all_year).filter(is_long).or(Some(in_summer).filter(is_long)) else { return Vec::new() };
    let seen = |season: Season| reach.seen_share(season).unwrap_or(0.0);
    let until = run[run.len() - 1].to;
    vec![Finding {
        rule: Rule::Sight,
        weight: Weight::Note,
        place: checked.stretch(line, run[0].from.as_metres(), until.as_metres(), run[run.len() / 2].at),
        value: length(run).as_metres(),
        limit: Some(LONGEST.as_metres()),
        unit: Unit::Metre,
        reason: Reason::Reach(HardToReach::Hidden {
            longest: length(run),
            seen_summer: seen(Season::Summer),
            seen_leaf_off: seen(Season::LeafOff),
        }),
        remedies: vec![Remedy::Reach(ReachRemedy::WalkIt)],
        source: SourceKey::new("woodland-sight"),
    }]
}

fn hidden(reach: &LineReach, season: Season) -> &[ReachPiece] {
    reach.longest_run(|piece| piece.is_seen(season) == Some(false))
}

fn length(run: &[ReachPiece]) -> Length {
    run.first().zip(run.last()).map_or(Length::ZERO, |(first, last)| last.to - first.from)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat, ground};
    use crate::plan::{Kind, Track, Zone};

    fn wood() -> Kind {
        Kind::Zone(Zone { of: "wood".to_owned(), ..Zone::default() })
    }

    /// A fence along the middle, from -190 to 190, a track beside it in the north.
    fn scene(on: crate::land::Ground, track_north_m: f64) -> Scene {
        let track = Kind::Track(Track::default());
        Scene::on(on).fence(&[(-190.0, 0.0), (190.0, 0.0)]).line(track, &[(-190.0, track_north_m), (190.0, track_north_m)])
    }

    #[test]
    fn a_fence_behind_a_ridge_is_hidden_and_one_in_front_of_it_is_seen() {
        // A ridge of 6 m along y = 30, 4 m wide at its foot on each side: from a track at y = 80 the fence at y = 0 is behind it.
        let ridged = || ground(400, 1.0, |_, north| 100.0 + (6.0 - (north - 30.0).abs() * 0.6).max(0.0));
        for (name, track_north_m, expected) in [("behind", 80.0, Some(Weight::Note)), ("in front", -60.0, None)] {
            let found = scene(ridged(), track_north_m).say(Rule::Sight);
            assert_eq!(found.first().map(|finding| finding.weight), expected, "{name}");
            assert!(found.iter().all(|finding| finding.value > 370.0), "{name}: the whole fence");
        }
    }

    #[test]
    fn what_only_summer_hides_is_a_note() {
        // Woodland between the track and the fence, so many metres deep: 30 m are seen through in summer, 60 m in winter.
        for (deep_m, expected) in [(20.0, None), (45.0, Some(Weight::Note)), (75.0, Some(Weight::Note))] {
            let (low, high) = (4.0, 4.0 + deep_m);
            let scene = scene(flat(), 90.0).area(wood(), &[(-199.0, low), (199.0, low), (199.0, high), (-199.0, high)]);
            let found = scene.say(Rule::Sight);
            assert_eq!(found.first().map(|finding| finding.weight), expected, "{deep_m}");
        }
    }
}
