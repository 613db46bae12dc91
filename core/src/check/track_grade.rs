//! Tracks that are too steep or too narrow for their vehicle, or end where nobody can turn.

use super::Checked;
use crate::finding::{Finding, HardToReach, Place, ReachRemedy, Reason, Remedy, Rule, TrackHindrance, Unit, Weight};
use crate::land::MapPoint;
use crate::site::{HinderedStretch, JudgedTrack};
use crate::source::SourceKey;
use crate::units::Length;

/// What is said of the tracks; of each kind of trouble the worst place of each track.
pub fn check_plan(checked: &Checked) -> Vec<Finding> {
    checked.reach.tracks.judged.iter().flat_map(|track| of_track(checked, track)).collect()
}

fn of_track(checked: &Checked, track: &JudgedTrack) -> Vec<Finding> {
    let steep = [TrackHindrance::Grade, TrackHindrance::SideSlope].into_iter().filter_map(|kind| steep(checked, track, kind));
    let narrow = track.too_narrow.map(|narrow| Finding {
        value: narrow.has.as_metres(),
        limit: Some(narrow.needs.as_metres()),
        remedies: vec![Remedy::Reach(ReachRemedy::WidenTrack { to: narrow.needs }), Remedy::Reach(ReachRemedy::LeaveTrack)],
        ..plain(checked, track, first_place(checked, track), Weight::LookAt, HardToReach::NarrowTrack)
    });
    let ends = track.dead_ends.iter().map(|end| Finding {
        remedies: vec![Remedy::Reach(ReachRemedy::TurningPlace)],
        ..plain(checked, track, *end, Weight::Note, HardToReach::NoTurning)
    });
    steep.chain(narrow).chain(ends).collect()
}

/// The worst stretch of a track that is too steep in this way, else nearly so.
fn steep(checked: &Checked, track: &JudgedTrack, kind: TrackHindrance) -> Option<Finding> {
    let alike = || track.stretches.iter().filter(|stretch| stretch.hindrance == kind);
    let is_out_of_use = alike().any(|stretch| stretch.is_out_of_use);
    let meant = || alike().filter(|stretch| stretch.is_out_of_use == is_out_of_use);
    let over_limit = |stretch: &HinderedStretch| stretch.worst_pct / stretch.limit_pct;
    let worst = meant().max_by(|a, b| over_limit(a).total_cmp(&over_limit(b)))?;
    let over: Length = meant().map(|stretch| stretch.to - stretch.from).sum();
    let weight = if is_out_of_use { Weight::MustFix } else { Weight::LookAt };
    let reason = HardToReach::SteepTrack { hindrance: kind, over, is_out_of_use, is_wet: worst.is_wet };
    let smooth = if kind == TrackHindrance::Grade { ReachRemedy::EasierTrack } else { ReachRemedy::CutTrack };
    let leave = is_out_of_use.then_some(ReachRemedy::LeaveTrack);
    let found = plain(checked, track, worst.at, weight, reason);
    Some(Finding {
        place: Place { station: Some(worst.from), until: Some(worst.to), ..found.place },
        value: worst.worst_pct,
        limit: Some(worst.limit_pct),
        unit: Unit::Percent,
        remedies: [smooth].into_iter().chain(leave).map(Remedy::Reach).collect(),
        source: SourceKey::new(if kind == TrackHindrance::Grade { "track-grades" } else { "side-slopes" }),
        ..found
    })
}

fn first_place(checked: &Checked, track: &JudgedTrack) -> MapPoint {
    let first = checked.plan.feature(&track.id).and_then(|feature| feature.line()?.first().copied());
    first.and_then(|at| checked.frame.to_map(at).ok()).unwrap_or_default()
}

fn plain(checked: &Checked, track: &JudgedTrack, at: MapPoint, weight: Weight, reason: HardToReach) -> Finding {
    Finding {
        rule: Rule::TrackGrade,
        weight,
        place: Place {
            line: Some(track.id.clone()),
            station: None,
            until: None,
            at: checked.frame.to_position(at),
            cell: checked.cell_at(at),
        },
        value: 0.0,
        limit: None,
        unit: Unit::Metre,
        reason: Reason::Reach(reason),
        remedies: Vec::new(),
        source: SourceKey::new("common-practice"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat, ground};
    use crate::plan::{Kind, Track, Zone};

    fn said(scene: &Scene) -> Vec<(Weight, bool)> {
        let steep = |finding: &Finding| matches!(finding.reason, Reason::Reach(HardToReach::SteepTrack { .. }));
        scene.say(Rule::TrackGrade).iter().map(|finding| (finding.weight, steep(finding))).collect()
    }

    fn across(rise: f64, track: Track, up_the_slope: bool) -> Scene {
        let slope = ground(400, 1.0, |east, _| 100.0 + rise * east);
        let places = if up_the_slope { [(-150.0, 0.0), (150.0, 0.0)] } else { [(0.0, -150.0), (0.0, 150.0)] };
        // A road at both ends, so that nothing is said of turning.
        let road = |at: (f64, f64)| [(at.0 - 3.0, at.1 - 3.0), (at.0 + 3.0, at.1 + 3.0)];
        let way = || Kind::PublicWay { use_by: None };
        Scene::on(slope).line(Kind::Track(track), &places).line(way(), &road(places[0])).line(way(), &road(places[1]))
    }

    #[test]
    fn a_track_is_held_against_its_grade_and_only_uncut_ground_against_its_side_slope() {
        let cut = || Track { surface: Some("stone".to_owned()), ..Track::default() };
        let uncut = || Track { surface: Some("uncut".to_owned()), ..Track::default() };
        let rows = [
            ("19 % up", 0.19, cut(), true, vec![]),
            ("21 % up", 0.21, cut(), true, vec![(Weight::LookAt, true)]),
            ("26 % up", 0.26, cut(), true, vec![(Weight::MustFix, true)]),
            ("26 % across, cut level", 0.26, cut(), false, vec![]),
            ("17 % across, uncut", 0.17, uncut(), false, vec![]),
            ("19 % across, uncut", 0.19, uncut(), false, vec![(Weight::LookAt, true)]),
            ("23 % across, uncut", 0.23, uncut(), false, vec![(Weight::MustFix, true)]),
            ("21 % across, nothing said of its surface", 0.21, Track::default(), false, vec![(Weight::LookAt, true)]),
            ("23 % across, nothing said of its surface", 0.23, Track::default(), false, vec![(Weight::MustFix, true)]),
            ("30 % up, on foot", 0.30, Track { vehicle: Some("foot".to_owned()), ..cut() }, true, vec![]),
        ];
        for (name, rise, track, up_the_slope, expected) in rows {
            assert_eq!(said(&across(rise, track, up_the_slope)), expected, "{name}");
        }
    }

    #[test]
    fn what_only_a_pitch_too_steep_leads_to_is_not_reached() {
        // A pitch of 40 m between flat ground; the fence stands at the far end of the track, the yard at its near one.
        let pitch = |share: f64| ground(800, 1.0, move |east, _| 100.0 + share * east.clamp(-20.0, 20.0));
        let track = || Kind::Track(Track::default());
        let fence = [(280.0, 30.0), (380.0, 30.0)];
        for (share, round_way, is_far) in [(0.23, false, false), (0.28, false, true), (0.28, true, false)] {
            let mut scene = Scene::on(pitch(share)).fence(&fence).line(track(), &[(-380.0, 0.0), (380.0, 0.0)]);
            scene = scene.point(Kind::Building { mains: true }, (-380.0, 5.0));
            if round_way {
                let road = Kind::PublicWay { use_by: Some("road".to_owned()) };
                scene = scene.line(road, &[(380.0, -300.0), (380.0, 0.0)]);
            }
            assert_eq!(!scene.say(Rule::Access).is_empty(), is_far, "{share} {round_way}");
        }
    }

    #[test]
    fn wet_soil_halves_what_a_track_may_climb() {
        for (rise, expected) in [(0.095, vec![]), (0.11, vec![(Weight::LookAt, true)]), (0.13, vec![(Weight::MustFix, true)])] {
            let wet = Kind::Zone(Zone { of: "wet".to_owned(), ..Zone::default() });
            let square = [(-60.0, -60.0), (60.0, -60.0), (60.0, 60.0), (-60.0, 60.0)];
            let scene = across(rise, Track::default(), true).area(wet, &square);
            assert_eq!(said(&scene), expected, "{rise}");
            let found = scene.say(Rule::TrackGrade);
            let over_m = |finding: &Finding| match &finding.reason {
                Reason::Reach(HardToReach::SteepTrack { over, is_wet: true, .. }) => over.as_metres(),
                other => panic!("{other:?}"),
            };
            assert!(found.iter().all(|finding| (over_m(finding) - 120.0).abs() < 5.1), "the wet part only, in steps of 5 m");
        }
    }

    #[test]
    fn a_track_narrower_than_its_vehicle_asks_is_told_and_does_not_count() {
        for (width_m, vehicle, is_told) in [(1.9, "utility", true), (2.1, "utility", false), (2.1, "tractor", true)] {
            let track = Track { width: Some(Length::metres(width_m)), vehicle: Some(vehicle.to_owned()), ..Track::default() };
            let scene = across(0.0, track, true).fence(&[(-100.0, 50.0), (100.0, 50.0)]);
            assert_eq!(said(&scene).len(), usize::from(is_told), "{width_m} {vehicle}");
            assert_eq!(scene.say(Rule::Access).len(), usize::from(is_told), "{width_m} {vehicle}");
        }
    }

    #[test]
    fn a_track_that_ends_on_a_slope_has_no_place_to_turn_and_one_on_the_flat_has() {
        let track = || Kind::Track(Track::default());
        let ends = [(-100.0, 0.0), (100.0, 0.0)];
        assert_eq!(Scene::on(flat()).line(track(), &ends).say(Rule::TrackGrade), []);
        let leaning = ground(400, 1.0, |_, north| 100.0 + 0.15 * north);
        let found = Scene::on(leaning).line(track(), &ends).say(Rule::TrackGrade);
        assert_eq!(found.iter().map(|finding| finding.weight).collect::<Vec<_>>(), [Weight::Note, Weight::Note]);
    }

    #[test]
    fn a_track_has_its_length_on_the_ground_and_its_steep_stretch_at_its_station() {
        // 40 m of a known share between flat ground: closed form.
        let rise = 0.30;
        let pitch = ground(400, 1.0, move |east, _| 100.0 + rise * east.clamp(-20.0, 20.0));
        let tracks = Scene::on(pitch).line(Kind::Track(Track::default()), &[(-100.0, 0.0), (100.0, 0.0)]).tracks();
        let track = &tracks.judged[0];
        let pitch_m = 40.0 * (1.0_f64 + rise * rise).sqrt();
        assert!((track.length().as_metres() - 160.0 - pitch_m).abs() < 0.2, "{:?}", track.length());
        let (up, down) = track.climb_and_descent();
        assert!((up.as_metres() - 12.0).abs() < 0.01 && down.as_metres() < 0.01, "{up:?} {down:?}");
        assert!(track.steepest_pct.is_some_and(|pct| (pct - 30.0).abs() < 0.1) && track.leans_pct.is_some_and(|pct| pct < 0.1));
        let out: Vec<_> = track.stretches.iter().filter(|stretch| stretch.is_out_of_use).collect();
        assert_eq!(out.len(), 1, "{:?}", track.stretches);
        assert!((out[0].from.as_metres() - 80.0).abs() < 5.1 && (out[0].to.as_metres() - 80.0 - pitch_m).abs() < 5.3, "{out:?}");
        assert!((track.out_of_use() - (out[0].to - out[0].from)).abs() < Length::metres(0.001));
        assert_eq!(track.points.len(), track.pieces.len() + 1);
    }

    #[test]
    fn a_track_along_a_slope_says_how_far_it_leans_and_one_without_ground_has_its_length_on_the_map() {
        let slope = || ground(400, 1.0, |east, _| 100.0 + 0.26 * east);
        let scene = Scene::on(slope()).line(Kind::Track(Track::default()), &[(0.0, -50.0), (0.0, 50.0)]);
        let tracks = scene.tracks();
        let track = &tracks.judged[0];
        assert!(track.leans_pct.is_some_and(|pct| (pct - 26.0).abs() < 0.1) && track.steepest_pct.is_some_and(|pct| pct < 0.1));
        assert!((track.length().as_metres() - 100.0).abs() < 0.05 && (track.out_of_use().as_metres() - 100.0).abs() < 0.2);
        // What is out of use by its grade and by its side slope at once counts once.
        let both = ground(400, 1.0, |east, north| 100.0 + 0.30 * east + 0.30 * north);
        let tracks = Scene::on(both).line(Kind::Track(Track::default()), &[(0.0, -50.0), (0.0, 50.0)]).tracks();
        assert_eq!(tracks.judged[0].stretches.len(), 2);
        assert!((tracks.judged[0].out_of_use() - tracks.judged[0].length()).abs() < Length::metres(0.01));
    }
}
