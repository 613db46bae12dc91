//! Where stations go when the corners of their line change.

use super::stations::way_m;
use super::{Cut, Edit, LegLength};
use crate::land::{Frame, MapPoint, Position};
use crate::plan::{Feature, FeatureId, Fence, Geometry, Head, Kind, Plan};
use crate::units::Length;
use proptest::prelude::*;

fn frame() -> Frame {
    Frame::near(Position { lon_e9: -3_810_000_000, lat_e9: 56_600_000_000 })
}

fn at(x_m: f64, y_m: f64) -> Position {
    frame().to_position(MapPoint::new(x_m, y_m))
}

fn id() -> FeatureId {
    FeatureId::new("a")
}

/// Lengths on the map of the tests.
fn on_map(leg: [Position; 2]) -> f64 {
    let [from, to] = leg.map(|at| frame().to_map(at).expect("near"));
    from.distance_m(to)
}

/// Ground that makes a leg longer the more it runs north; straight legs stay additive.
fn on_a_hill(leg: [Position; 2]) -> f64 {
    let [from, to] = leg.map(|at| frame().to_map(at).expect("near"));
    (to.x_m - from.x_m).hypot(1.5 * (to.y_m - from.y_m))
}

fn line(corners: &[(f64, f64)], stations_m: [&[f64]; 3]) -> Plan {
    let [posts, no_posts, hold_downs] = stations_m.map(|list| list.iter().copied().map(Length::metres).collect());
    let fence = Fence { build: "pig-2".to_owned(), posts, no_posts, hold_downs, ..Fence::default() };
    let corners = corners.iter().map(|(x, y)| at(*x, *y)).collect();
    Plan::new(Head::default(), vec![Feature::new(id(), Kind::Fence(fence), Geometry::Line(corners))])
}

/// Stations of posts, of places without, and of hold-downs.
fn stations(plan: &Plan, index: usize) -> [Vec<f64>; 3] {
    let Kind::Fence(fence) = &plan.features[index].kind else { panic!("a fence") };
    [&fence.posts, &fence.no_posts, &fence.hold_downs].map(|list| list.iter().map(|at| at.as_metres()).collect())
}

fn are_near(found: &[Vec<f64>; 3], expected: [&[f64]; 3], within_m: f64) -> bool {
    let near = |(found, expected): (&Vec<f64>, &&[f64])| {
        found.len() == expected.len() && found.iter().zip(*expected).all(|(a, b)| (a - b).abs() < within_m)
    };
    found.iter().zip(&expected).all(near)
}

const HOOK: &[(f64, f64)] = &[(0.0, 0.0), (100.0, 0.0), (200.0, 0.0), (200.0, 100.0)];
const SQUARE: &[(f64, f64)] = &[(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0), (0.0, 0.0)];

/// Half the diagonal of a square of 100 m.
const HALF_DIAGONAL_M: f64 = 100.0 * std::f64::consts::FRAC_1_SQRT_2;

#[test]
fn stations_keep_their_leg_and_their_share_of_it() {
    let given: [&[f64]; 3] = [&[50.0], &[150.0], &[250.0]];
    let diagonal_m = 2.0 * HALF_DIAGONAL_M;
    for (what, corners, edit, expected) in [
        (
            "a corner moved",
            HOOK,
            Edit::MoveCorner { id: id(), corner: 1, to: at(100.0, 75.0) },
            [vec![62.5], vec![187.5], vec![300.0]],
        ),
        (
            "an end moved",
            HOOK,
            Edit::MoveCorner { id: id(), corner: 3, to: at(200.0, 200.0) },
            [vec![50.0], vec![150.0], vec![300.0]],
        ),
        ("a corner on the leg", HOOK, Edit::InsertCorner { id: id(), before: 1, at: at(40.0, 0.0) }, given.map(<[f64]>::to_vec)),
        (
            "a leg before",
            HOOK,
            Edit::InsertCorner { id: id(), before: 0, at: at(-30.0, 0.0) },
            [vec![80.0], vec![180.0], vec![280.0]],
        ),
        ("a leg behind", HOOK, Edit::InsertCorner { id: id(), before: 4, at: at(0.0, 100.0) }, given.map(<[f64]>::to_vec)),
        ("the first leg gone", HOOK, Edit::RemoveCorner { id: id(), corner: 0 }, [vec![], vec![50.0], vec![150.0]]),
        ("the last leg gone", HOOK, Edit::RemoveCorner { id: id(), corner: 3 }, [vec![50.0], vec![150.0], vec![]]),
        ("a corner on the way gone", HOOK, Edit::RemoveCorner { id: id(), corner: 1 }, given.map(<[f64]>::to_vec)),
        (
            "a corner cut off",
            HOOK,
            Edit::RemoveCorner { id: id(), corner: 2 },
            [vec![50.0], vec![100.0 + 0.25 * diagonal_m], vec![100.0 + 0.75 * diagonal_m]],
        ),
        (
            "where a closed line begins",
            SQUARE,
            Edit::RemoveCorner { id: id(), corner: 4 },
            [vec![200.0 + 0.75 * diagonal_m], vec![50.0], vec![150.0]],
        ),
    ] {
        let after = edit.apply_on(&line(corners, given), &on_map).expect(what);
        let found = stations(&after, 0);
        let expected: [&[f64]; 3] = expected.each_ref().map(Vec::as_slice);
        assert!(are_near(&found, expected, 0.01), "{what}: {found:?} instead of {expected:?}");
    }
}

#[test]
fn posts_of_a_line_that_is_carried_along_keep_their_share() {
    let mut plan = line(&[(0.0, 0.0), (100.0, 0.0)], [&[], &[], &[]]);
    let mut across = (*line(&[(50.0, 0.0), (50.0, 100.0)], [&[25.0], &[], &[75.0]]).features[0]).clone();
    across.id = FeatureId::new("across");
    plan.features.push(across.into());
    let moved = Edit::MoveFeatures { ids: vec![id()], by: MapPoint::new(0.0, -100.0), frame: frame() };
    let found = stations(&moved.apply_on(&plan, &on_a_hill).expect("possible"), 1);
    // The leg across was 150 m long on the hill and is 300 m long now: shares of 25 / 150 and 75 / 150.
    assert!(are_near(&found, [&[50.0], &[], &[150.0]], 0.01), "{found:?}");
}

#[test]
fn a_line_turned_round_in_a_join_turns_all_its_stations() {
    let mut plan = line(&[(0.0, 0.0), (100.0, 0.0)], [&[10.0], &[20.0], &[30.0]]);
    let mut second = (*line(&[(200.0, 0.0), (100.0, 0.0)], [&[10.0], &[20.0], &[30.0]]).features[0]).clone();
    second.id = FeatureId::new("b");
    plan.features.push(second.into());
    let joined = Edit::JoinLines { first: id(), second: FeatureId::new("b") }.apply_on(&plan, &on_map).expect("they meet");
    let found = stations(&joined, 0);
    assert!(are_near(&found, [&[10.0, 190.0], &[20.0, 180.0], &[30.0, 170.0]], 0.01), "{found:?}");
}

/// A line of legs of 10 m at least, places on it as shares of its length, a leg, a share of that, and a place to go to.
type Drawn = (Vec<(f64, f64)>, [Vec<f64>; 3], usize, f64, (f64, f64));

fn drawn() -> impl Strategy<Value = Drawn> {
    let steps = proptest::collection::vec((10.0..200.0_f64, -150.0..150.0_f64), 2..6);
    let shares = || proptest::collection::vec(0.02..0.98_f64, 0..4);
    let place = (-200.0..200.0_f64, 210.0..400.0_f64);
    (steps, [shares(), shares(), shares()], any::<usize>(), 0.1..0.9_f64, place).prop_map(|(steps, shares, leg, share, to)| {
        let mut corners = vec![(0.0, 0.0)];
        for (x, y) in steps {
            let (last_x, last_y): (f64, f64) = corners[corners.len() - 1];
            corners.push((last_x + x, last_y + y));
        }
        let leg = leg % (corners.len() - 1);
        (corners, shares, leg, share, to)
    })
}

/// Leg and share of it at which each station lies.
fn by_leg(plan: &Plan, leg_m: LegLength) -> Vec<(usize, f64)> {
    let corners = plan.features[0].line().expect("a line");
    let place = |station_m: &f64| {
        let mut left_m = *station_m;
        let legs_m: Vec<f64> = corners.windows(2).map(|leg| leg_m([leg[0], leg[1]])).collect();
        let leg = legs_m.iter().position(|leg_m| {
            let is_on = left_m <= *leg_m;
            left_m -= if is_on { 0.0 } else { *leg_m };
            is_on
        });
        let leg = leg.unwrap_or(legs_m.len() - 1);
        (leg, left_m / legs_m[leg])
    };
    stations(plan, 0).iter().flatten().map(place).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn stations_stay_where_they_are_on_the_ground((corners, shares, leg, share, to) in drawn()) {
        let leg_m: LegLength = &on_a_hill;
        let way: Vec<Position> = corners.iter().map(|(x, y)| at(*x, *y)).collect();
        let length_m = way_m(&way, leg_m);
        let lists = shares.map(|list| {
            let mut list: Vec<f64> = list.iter().map(|share| share * length_m).collect();
            list.sort_by(f64::total_cmp);
            list
        });
        let start = line(&corners, lists.each_ref().map(Vec::as_slice));
        let after = |plan: &Plan, edit: Edit| edit.apply_on(plan, leg_m).expect("possible");
        let unmoved = |plan: &Plan| are_near(&stations(plan, 0), lists.each_ref().map(Vec::as_slice), 2e-3);

        let (from, next) = (corners[leg], corners[leg + 1]);
        let on_leg = at(from.0 + (next.0 - from.0) * share, from.1 + (next.1 - from.1) * share);
        let inserted = after(&start, Edit::InsertCorner { id: id(), before: leg + 1, at: on_leg });
        prop_assert!(unmoved(&inserted), "a corner put in: {:?}", stations(&inserted, 0));
        prop_assert!(unmoved(&after(&inserted, Edit::RemoveCorner { id: id(), corner: leg + 1 })), "and taken out");

        let cut = after(&start, Edit::SplitLine { id: id(), cut: Cut::Leg { leg, at: on_leg } });
        let kept: usize = [0, 1].iter().flat_map(|part| stations(&cut, *part)).map(|list| list.len()).sum();
        prop_assert_eq!(kept, lists.iter().map(Vec::len).sum::<usize>());
        let second = cut.features[1].id.clone();
        prop_assert!(unmoved(&after(&cut, Edit::JoinLines { first: id(), second })), "cut and joined");

        let moved = after(&start, Edit::MoveCorner { id: id(), corner: leg, to: at(to.0, to.1) });
        for (was, is) in by_leg(&start, leg_m).into_iter().zip(by_leg(&moved, leg_m)) {
            let apart = (is.0 as f64 + is.1) - (was.0 as f64 + was.1);
            prop_assert!(apart.abs() < 1e-6, "{was:?} {is:?}");
        }
        let back = after(&moved, Edit::MoveCorner { id: id(), corner: leg, to: way[leg] });
        prop_assert!(unmoved(&back), "there and back: {:?}", stations(&back, 0));
    }
}
