use super::*;
use crate::land::fixture::plane;
use crate::land::{Frame, MapPoint, Pace};
use crate::outcome::{Kept, outcome};
use crate::plan::{Build, Energizer, Feature, Fence, Geometry, Head, Kind, Paddock, StockGroup, Strand, Track};
use std::sync::Arc;

/// A plan around the middle of a plane that rises so much to the east.
struct Scene {
    ground: Ground,
    features: Vec<Feature>,
    head: Head,
}

impl Scene {
    fn new(east_slope: f64) -> Self {
        let grid = plane(180, 180, 5.0, east_slope, 0.0);
        let frame = Ground::frame_of(&grid).expect("in UTM");
        let ground = Ground::new(Arc::new(grid), frame).expect("in UTM");
        let strand = Strand::live(Length::metres(0.4), "ht-14ga");
        let build = Build { id: "one".to_owned(), strands: vec![strand], max_bay: Length::metres(10.0), ..Build::default() };
        Self { ground, features: Vec::new(), head: Head { builds: vec![build], ..Head::default() } }
    }

    fn frame(&self) -> Frame {
        self.ground.frame()
    }

    fn at(&self, (east_m, north_m): (f64, f64)) -> MapPoint {
        self.ground.extent().centre() + MapPoint::new(east_m, north_m)
    }

    fn line(mut self, kind: Kind, corners: &[(f64, f64)]) -> Self {
        let id = FeatureId::new(&format!("f{}", self.features.len()));
        let corners = corners.iter().map(|at| self.frame().to_position(self.at(*at))).collect();
        self.features.push(Feature::new(id, kind, Geometry::Line(corners)));
        self
    }

    fn point(mut self, kind: Kind, at: (f64, f64)) -> Self {
        let id = FeatureId::new(&format!("f{}", self.features.len()));
        let at = self.frame().to_position(self.at(at));
        self.features.push(Feature::new(id, kind, Geometry::Point(at)));
        self
    }

    fn fence(self, corners: &[(f64, f64)]) -> Self {
        self.line(Kind::Fence(Fence { build: "one".to_owned(), ..Fence::default() }), corners)
    }

    fn asked(by: By, extent: Extent) -> Asked {
        Asked { by, extent, on: None, state: GroundState::Damp }
    }

    fn round(&self, by: By, extent: Extent) -> Result<Round, NoRound> {
        let plan = Plan::new(self.head.clone(), self.features.clone());
        let catalogue = Catalogue::built_in();
        let outcome = outcome(&plan, 1, Some(&self.ground), catalogue, &mut Kept::default());
        let found = round(&plan, &outcome, Some(&self.ground), catalogue, Self::asked(by, extent));
        if let Ok(found) = &found {
            holds_together(found, &plan, &outcome, extent);
        }
        found
    }
}

/// Legs follow each other from the yard to the yard, and a whole round looks at every metre of every line once.
fn holds_together(round: &Round, plan: &Plan, outcome: &Outcome, extent: Extent) {
    let mut here = round.yard.at;
    for leg in &round.legs {
        let first = leg.path[0];
        let jump_m = here.distance_m(first);
        // From the seat one looks at a line that stands beside the track.
        assert!(jump_m < 12.0, "{jump_m} m lie between two legs");
        here = leg.path[leg.path.len() - 1];
        assert!(
            leg.length.as_metres().is_finite() && leg.seconds.is_finite() && (0.0..360.0).contains(&leg.bearing_deg),
            "{leg:?}"
        );
    }
    assert!(here.distance_m(round.yard.at) < 12.0, "it does not end where it began");
    for line in outcome.lines.iter().filter(|line| plan.feature(&line.id).is_some_and(|f| matches!(f.kind, Kind::Fence(_)))) {
        let legs = round.legs.iter().filter(|leg| leg.line.as_ref() == Some(&line.id));
        let seen: f64 = legs.filter_map(|leg| Some((leg.to? - leg.from?).as_metres().abs())).sum();
        let whole = line.measure.ground_length.as_metres();
        assert!(extent == Extent::Short && seen <= whole + 0.1 || (seen - whole).abs() < 0.1, "{}: {seen} of {whole}", line.id);
    }
}

fn walked_s(metres: f64) -> f64 {
    Pace::OffPath.seconds(metres, 0.0).expect("level")
}

const SQUARE: [(f64, f64); 5] = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0), (0.0, 0.0)];

fn energizer() -> Kind {
    Kind::Energizer(Energizer { model: Some("medium".to_owned()), ..Energizer::default() })
}

#[test]
fn a_square_is_walked_round_once_and_read_at_its_far_end() {
    let scene = Scene::new(0.0).fence(&SQUARE).point(energizer(), (0.0, 0.0));
    let found = scene.round(By::OnFoot, Extent::Whole).expect("a round");
    assert!(matches!(found.yard.by, YardBy::Energizer(_)));
    assert!((found.length().as_metres() - 400.0).abs() < 0.5, "{}", found.length().as_metres());
    assert_eq!(found.legs.len(), 1, "one line, one sense: {:?}", found.legs);
    assert!((found.legs[0].seconds - walked_s(400.0)).abs() < 2.0);
    let reads = found.stops.iter().filter(|stop| stop.tasks.contains(&Task::Read)).count();
    assert_eq!(reads, 1, "{:?}", found.stops);
    assert!((found.minutes() - walked_s(400.0) / 60.0 - reads as f64).abs() < 0.1, "a minute each");
    for stop in &found.stops {
        let expected = stop.expected.expect("it is fed");
        assert!(
            expected.volt > 1000.0 && expected.least_v < expected.volt && expected.least_v > 0.5 * expected.volt,
            "{expected:?}"
        );
    }
}

#[test]
fn a_leg_across_open_ground_tells_its_slope_and_the_stream_in_the_way() {
    let stream = || Kind::Stream { width: Some(Length::metres(0.5)), seasonal: false, culvert: false };
    // The fence lies 200 m down the slope, or the track leads beside it.
    for (slope, at_m, has_track, told) in [(0.15, -100.0, false, true), (0.15, -300.0, false, false), (0.0, -100.0, true, false)]
    {
        let mut scene = Scene::new(slope).fence(&[(0.0, 0.0), (0.0, 60.0)]).point(Kind::Building { mains: true }, (-200.0, 0.0));
        scene = scene.line(stream(), &[(at_m, -445.0), (at_m, 445.0)]);
        if has_track {
            scene = scene.line(Kind::Track(Track::default()), &[(-200.0, 0.0), (0.0, -2.0)]);
        }
        let found = scene.round(if has_track { By::Vehicle } else { By::OnFoot }, Extent::Whole).expect("a round");
        let open: Vec<&OpenGround> = found.legs.iter().filter_map(|leg| leg.open.as_ref()).collect();
        assert_eq!(open.iter().any(|open| !open.streams.is_empty()), told, "{:?}", found.legs);
        assert!(found.legs.iter().all(|leg| leg.how != How::Ride || leg.open.is_none()), "along the track: {:?}", found.legs);
        let steepest = open.iter().filter_map(|open| open.steepest_pct).fold(0.0, f64::max);
        assert!((steepest - if has_track { 0.0 } else { 15.0 }).abs() < 1.0, "{steepest}");
    }
}

#[test]
fn what_stands_beside_the_track_is_looked_at_from_the_seat() {
    let scene = Scene::new(0.0)
        .line(Kind::Track(Track::default()), &[(-50.0, -3.0), (250.0, -3.0)])
        .point(Kind::Building { mains: true }, (-50.0, -3.0))
        .fence(&[(0.0, 0.0), (200.0, 0.0)]);
    let found = scene.round(By::Vehicle, Extent::Whole).expect("a round");
    assert!(matches!(found.yard.by, YardBy::Building(_)));
    let along: Vec<&Leg> = found.legs.iter().filter(|leg| leg.how == How::RideAlong).collect();
    assert_eq!(along.len(), 1, "{:?}", found.legs);
    assert!((along[0].seconds - 200.0 * 3.6 / LOOKING_KM_PER_H).abs() < 1.0);
    assert!(found.legs.iter().all(|leg| leg.how.is_ridden()));
    // There and back: 50 m to the fence, 200 m along it, 250 m back at 20 km/h.
    let expected_s = 200.0 * 3.6 / LOOKING_KM_PER_H + 300.0 * 3.6 / 20.0;
    assert!((found.legs.iter().map(|leg| leg.seconds).sum::<f64>() - expected_s).abs() < 6.0, "{:?}", found.legs);
    let on_foot = scene.round(By::OnFoot, Extent::Whole).expect("a round");
    assert!(on_foot.minutes() > found.minutes() && on_foot.legs.iter().all(|leg| !leg.how.is_ridden()));
}

#[test]
fn the_vehicle_is_left_where_the_walk_is_shortest_and_fetched_again() {
    let scene = Scene::new(0.0)
        .line(Kind::Track(Track::default()), &[(-400.0, -20.0), (0.0, -20.0)])
        .point(Kind::Building { mains: true }, (-400.0, -20.0))
        .fence(&SQUARE);
    let found = scene.round(By::Vehicle, Extent::Whole).expect("a round");
    let hows: Vec<How> = found.legs.iter().map(|leg| leg.how).collect();
    assert_eq!((hows.first(), hows.last()), (Some(&How::Ride), Some(&How::Ride)), "{hows:?}");
    let walked: f64 = found.legs.iter().filter(|leg| !leg.how.is_ridden()).map(|leg| leg.length.as_metres()).sum();
    assert!((walked - 440.0).abs() < 5.0, "20 m there, round the square, 20 m back: {walked}");
    // Riding 400 m at 20 km/h twice, and a minute to leave and to fetch it.
    let seconds: f64 = found.legs.iter().map(|leg| leg.seconds).sum();
    assert!((seconds - walked_s(440.0) - 800.0 * 3.6 / 20.0 - 60.0).abs() < 15.0, "{seconds}");
}

#[test]
fn uphill_takes_longer_than_down_and_both_are_counted() {
    let scene = Scene::new(0.25).fence(&[(0.0, 0.0), (200.0, 0.0)]).point(energizer(), (0.0, 0.0));
    let found = scene.round(By::OnFoot, Extent::Whole).expect("a round");
    let seconds: f64 = found.legs.iter().map(|leg| leg.seconds).sum();
    let expected_s: f64 = [50.0, -50.0].iter().filter_map(|climb_m| Pace::OffPath.seconds(200.0, *climb_m)).sum();
    assert!((seconds / expected_s - 1.0).abs() < 0.02, "{seconds} {expected_s}");
}

#[test]
fn a_short_round_goes_to_far_ends_only_where_nothing_else_calls() {
    let scene = Scene::new(0.0)
        .line(Kind::Track(Track::default()), &[(0.0, -10.0), (300.0, -10.0)])
        .point(energizer(), (0.0, 0.0))
        .fence(&[(0.0, 0.0), (300.0, 0.0)]);
    let whole = scene.round(By::OnFoot, Extent::Whole).expect("a round");
    let short = scene.round(By::OnFoot, Extent::Short).expect("a round");
    let looked =
        |round: &Round| -> f64 { round.legs.iter().filter(|leg| leg.line.is_some()).map(|leg| leg.length.as_metres()).sum() };
    assert!((looked(&whole) - 300.0).abs() < 0.5 && looked(&short) < 45.0, "{} {}", looked(&whole), looked(&short));
    assert!(!short.stops.is_empty() && short.stops.len() <= whole.stops.len());
}

#[test]
fn groups_are_served_at_the_gate_of_their_paddock() {
    let paddock = Paddock { stock: Some("growers".to_owned()), ..Paddock::default() };
    let mut scene = Scene::new(0.0)
        .fence(&SQUARE)
        .point(energizer(), (0.0, 0.0))
        .point(Kind::Gate(crate::plan::Gate::default()), (50.0, 0.0))
        .point(Kind::Paddock(paddock), (50.0, 50.0));
    let growers = StockGroup {
        id: "growers".to_owned(),
        species: "pig".to_owned(),
        head: 10,
        weight_kg: Some(40.0),
        ..StockGroup::default()
    };
    scene.head.stock = vec![growers];
    let found = scene.round(By::OnFoot, Extent::Whole).expect("a round");
    let fed: Vec<(&Stop, &Ration)> = found
        .stops
        .iter()
        .flat_map(|stop| stop.tasks.iter().map(move |task| (stop, task)))
        .filter_map(|(stop, task)| if let Task::Feed(ration) = task { Some((stop, ration)) } else { None })
        .collect();
    let [(stop, ration)] = fed[..] else { panic!("{:?}", found.stops) };
    assert!((stop.station.as_metres() - 50.0).abs() < 0.1 && stop.tasks.len() == 3, "gate, reading, ration: {stop:?}");
    // Ten pigs of 40 kg: 1.6 kg each; two to three litres a kilogram of feed.
    assert_eq!(ration.feed_kg.map(|(from, _)| (from * 10.0).round()), Some(160.0));
    assert_eq!(ration.water_l.map(|(from, to)| (from.round(), to.round())), Some((32.0, 48.0)));
    assert!(
        found.kit.iter().any(|one| one.kit == "gate-handle")
            == found.likely.iter().any(|one| one.fault == "gate" && one.expected > 0.052)
    );
}

#[test]
fn without_a_line_or_a_way_there_is_no_round() {
    assert_eq!(Scene::new(0.0).point(energizer(), (0.0, 0.0)).round(By::OnFoot, Extent::Whole), Err(NoRound::NoLine));
    assert_eq!(Scene::new(0.0).round(By::Vehicle, Extent::Whole), Err(NoRound::NoLine));
}

#[test]
fn vehicles_go_slower_the_steeper_and_the_wetter_and_not_at_all_in_the_end() {
    // Loaded, on dry and on wet ground; steep tracks are walked when wet.
    for (grade_pct, dry, wet) in [
        (0.0, Some(20.0), Some(15.0)),
        (-7.0, Some(15.0), Some(10.0)),
        (15.0, Some(10.0), Some(6.0)),
        (25.0, Some(6.0), None),
        (31.0, None, None),
    ] {
        assert_eq!(riding_km_per_h(grade_pct, GroundState::Dry), dry, "{grade_pct}");
        assert_eq!(riding_km_per_h(grade_pct, GroundState::Wet), wet, "{grade_pct}");
    }
}
