use super::super::results::PostWhy;
use super::super::section::section_of;
use super::*;
use crate::land::{Frame, Position, ProfilePoint};
use crate::plan::{Build, Fence, Geometry, GroundChoice, Head, LeadOut, Strand, Zone};
use serde_json::Map;
use std::collections::BTreeMap;
use std::sync::Arc;

fn build() -> Build {
    let strand = |height_m| Strand::live(Length::metres(height_m), "ht-12.5ga");
    Build {
        id: "pig".to_owned(),
        strands: vec![strand(0.15), strand(0.35), strand(0.60)],
        line_post: "t-post".to_owned(),
        corner_post: "wood-150".to_owned(),
        max_bay: Length::metres(10.0),
        tension: Force::newtons(667.0),
        ..Build::default()
    }
}

fn plan() -> Plan {
    Plan { head: Arc::new(Head { builds: vec![build()], ..Head::default() }), features: vec![], foreign: Map::new() }
}

fn feature(kind: Kind) -> Feature {
    let id = FeatureId::new("line");
    Feature::new(id, kind, Geometry::Line(vec![]))
}

fn fence() -> Feature {
    feature(Kind::Fence(Fence { build: "pig".to_owned(), ..Fence::default() }))
}

/// A line over these corners with the ground's height given by the place, sampled every half metre.
fn over(corners: &[(f64, f64)], height_m: impl Fn(MapPoint) -> f64) -> Section {
    let mut profile = vec![];
    let mut plan_m = 0.0;
    for (index, leg) in corners.windows(2).enumerate() {
        let (from, to) = (MapPoint::new(leg[0].0, leg[0].1), MapPoint::new(leg[1].0, leg[1].1));
        let length = from.distance_m(to);
        let count = (length / 0.5).round() as usize;
        for k in 0..count {
            let at = from.towards(to, k as f64 / count as f64);
            let corner = (k == 0).then_some(index);
            profile.push(ProfilePoint {
                at,
                plan_m: plan_m + length * k as f64 / count as f64,
                ground_m: Some(height_m(at)),
                corner,
            });
        }
        plan_m += length;
    }
    let last = corners.last().map(|(x, y)| MapPoint::new(*x, *y)).expect("corners");
    profile.push(ProfilePoint { at: last, plan_m, ground_m: Some(height_m(last)), corner: Some(corners.len() - 1) });
    section_of(&FeatureId::new("line"), &profile)
}

fn hold_of(line: &Feature, section: &Section, gates: &[GatePlace]) -> Result<LineHold, HoldError> {
    let all = Catalogue::built_in();
    let ground = FootingMap::even(Footing::of(&GroundChoice::default(), all)?);
    line_hold(&plan(), line, section, gates, Terrain { footings: &ground, ground: None, clearance: None, placed: None }, all)
}

fn hold(section: &Section, gates: &[GatePlace]) -> LineHold {
    hold_of(&fence(), section, gates).expect("all rows are listed")
}

const SQUARE: [(f64, f64); 5] = [(0.0, 0.0), (50.0, 0.0), (50.0, 50.0), (0.0, 50.0), (0.0, 0.0)];

#[test]
fn a_flat_straight_line_has_ends_and_line_posts_and_nothing_pulls_up() {
    let held = hold(&over(&[(0.0, 0.0), (100.0, 0.0)], |_| 100.0), &[]);
    assert_eq!(held.posts.len(), 11);
    assert_eq!(held.bays.len(), 10);
    let roles: Vec<PostRole> = held.posts.iter().map(|post| post.role).collect();
    assert_eq!((roles[0], roles[10]), (PostRole::End, PostRole::End));
    assert!(roles[1..10].iter().all(|role| *role == PostRole::Line));
    assert!(held.posts.iter().all(|post| post.uplift.abs() < Force::newtons(1e-9)));
    // 3 x (667 N + 993 kN x 11.7e-6/K x 30 K) on the coldest day.
    assert!((held.posts[0].sideways.as_newtons() - 3.0 * (667.0 + 348.6)).abs() < 2.0, "{:?}", held.posts[0].sideways);
    assert!((held.posts[0].pull_height.as_metres() - 1.1 / 3.0).abs() < 1e-9);
    let gap = &held.bays[0].strands[0];
    assert!(gap.lowest_gap.as_metres() < 0.15 && gap.lowest_gap.as_metres() > 0.13 && gap.highest_gap == Length::metres(0.15));
}

#[test]
fn a_closed_line_counts_its_first_post_once() {
    let held = hold(&over(&SQUARE, |_| 0.0), &[]);
    assert_eq!((held.posts.len(), held.bays.len()), (20, 20));
    let corners: Vec<&Post> = held.posts.iter().filter(|post| post.role == PostRole::Corner).collect();
    assert_eq!(corners.len(), 4, "the first corner turns like the others");
    for post in corners {
        assert!((post.deflection_deg.expect("turns") - 90.0).abs() < 1e-9);
        assert!((post.sideways.as_newtons() - 3.0 * 1015.6 * 2f64.sqrt()).abs() < 4.0, "{:?}", post.sideways);
        assert_eq!(post.post, "wood-150");
    }
    assert_eq!(held.bays.last().map(|bay| bay.to), Some(Length::metres(200.0)));
}

#[test]
fn a_gate_has_a_post_on_both_sides_and_no_strands() {
    let gate = GatePlace { id: FeatureId::new("g"), plan_m: 25.3, width: Length::metres(3.6) };
    let held = hold(&over(&SQUARE, |_| 0.0), &[gate]);
    let gates: Vec<&Post> = held.posts.iter().filter(|post| post.role == PostRole::Gate).collect();
    assert_eq!(gates.len(), 2);
    assert!((gates[0].plan_m - 23.5).abs() < 1e-9 && (gates[1].plan_m - 27.1).abs() < 1e-9);
    assert!(gates.iter().all(|post| (post.sideways.as_newtons() - 3.0 * 1015.6).abs() < 4.0), "a gate post takes the whole pull");
    let open: Vec<&Bay> = held.bays.iter().filter(|bay| bay.gate.is_some()).collect();
    assert_eq!(open.len(), 1);
    assert!(open[0].strands.is_empty() && (open[0].to - open[0].from).as_metres() > 3.5);
}

#[test]
fn a_gate_beside_a_corner_shares_its_post_and_never_goes_round_it() {
    let gate = GatePlace { id: FeatureId::new("g"), plan_m: 48.5, width: Length::metres(3.6) };
    let held = hold(&over(&SQUARE, |_| 0.0), &[gate]);
    let gates: Vec<f64> = held.posts.iter().filter(|post| post.role == PostRole::Gate).map(|post| post.plan_m).collect();
    assert!((gates[0] - 46.4).abs() < 1e-9 && (gates[1] - 50.0).abs() < 1e-9, "{gates:?}");
}

#[test]
fn a_gate_point_finds_its_place_on_the_line() {
    let section = over(&SQUARE, |_| 0.0);
    let (place, off_m) = gate_place(&FeatureId::new("g"), MapPoint::new(51.0, 20.0), None, &section).expect("a line");
    assert!((place.plan_m - 70.0).abs() < 1e-9 && (off_m - 1.0).abs() < 1e-9);
    assert_eq!(place.width, Length::metres(3.6));
}

#[test]
fn a_dip_lifts_its_post_and_a_knoll_presses_its_own() {
    let dip = hold(&over(&[(0.0, 0.0), (20.0, 0.0)], |at| (at.x_m - 10.0).abs() * 0.3), &[]);
    let middle = dip.posts.iter().find(|post| (post.plan_m - 10.0).abs() < 0.1).expect("the dip is found");
    assert_eq!(middle.role, PostRole::Dip);
    // Three strands of 667 N, which 30 K of cold tighten by 993 kN x 11.7e-6 each.
    let cold_n = 3.0 * (667.0 + 30.0 * 11.7e-6 * Catalogue::built_in().wire("ht-12.5ga").expect("listed").stiffness.as_newtons());
    assert!((middle.uplift.as_newtons() - cold_n * 2.0 * 0.3 / 1.09f64.sqrt()).abs() < 1e-6, "{:?}", middle.uplift);
    assert_eq!(middle.why, PostWhy::LongestBay, "without it the bay would be 20 m long");
    let knoll = hold(&over(&[(0.0, 0.0), (20.0, 0.0)], |at| -(at.x_m - 10.0).abs() * 0.3), &[]);
    let middle = knoll.posts.iter().find(|post| (post.plan_m - 10.0).abs() < 0.1).expect("the knoll is found");
    assert!(middle.role == PostRole::Rise && middle.uplift < Force::ZERO);
}

#[test]
fn gentle_turns_add_up_to_a_post_and_take_a_larger_line_post() {
    // Four turns of 3 degrees each, 3 m apart: a wire cannot follow them without posts.
    let mut corners = vec![(0.0, 0.0), (20.0, 0.0)];
    for k in 1..=5 {
        let (x, y) = corners[corners.len() - 1];
        let way = f64::from(k) * 3f64.to_radians();
        corners.push((x + 3.0 * way.cos(), y + 3.0 * way.sin()));
    }
    let held = hold(&over(&corners, |_| 0.0), &[]);
    let turning: Vec<&Post> = held.posts.iter().filter(|post| post.corner.is_some() && post.role != PostRole::End).collect();
    assert!(turning.len() >= 2, "{turning:?}");
    let bend = hold(&over(&[(0.0, 0.0), (20.0, 0.0), (40.0, 5.0)], |_| 0.0), &[]);
    let corner = bend.posts.iter().find(|post| post.role == PostRole::Corner).expect("14 degrees");
    assert_eq!(corner.post, "stake-sawn", "next larger than a T-post, no shallower");
}

#[test]
fn what_the_keeper_decided_about_a_corner_holds() {
    let mut choices = BTreeMap::new();
    let choice =
        CornerChoice { post: Some("wood-200".to_owned()), rock_depth: Some(Length::metres(0.3)), ..CornerChoice::default() };
    choices.insert(1, choice);
    let posts = vec![Length::metres(13.25)];
    let line = feature(Kind::Fence(Fence { build: "pig".to_owned(), corners: choices, posts, ..Fence::default() }));
    let held = hold_of(&line, &over(&SQUARE, |_| 0.0), &[]).expect("all rows are listed");
    let corner = held.posts.iter().find(|post| post.corner == Some(1)).expect("stands");
    assert_eq!((corner.post.as_str(), corner.depth), ("wood-200", Length::metres(0.3)));
    assert!(corner.capacity.expect("soil") < Force::newtons(1.0), "0.3 m is no deeper than 1.5 diameters");
    assert!(held.posts.iter().any(|post| (post.plan_m - 13.25).abs() < 1e-9));
}

#[test]
fn the_first_and_the_last_corner_of_a_closed_line_are_one() {
    let choice = CornerChoice { post: Some("wood-200".to_owned()), ..CornerChoice::default() };
    let corners = BTreeMap::from([(4, choice)]);
    let line = feature(Kind::Fence(Fence { build: "pig".to_owned(), corners, ..Fence::default() }));
    let held = hold_of(&line, &over(&SQUARE, |_| 0.0), &[]).expect("all rows are listed");
    assert_eq!((held.posts.len(), held.posts[0].post.as_str()), (20, "wood-200"));
}

#[test]
fn a_lead_out_has_posts_at_its_spacing_and_none_in_the_ground() {
    let above = feature(Kind::LeadOut(LeadOut { spacing: Some(Length::metres(12.5)), ..LeadOut::default() }));
    let section = over(&[(0.0, 0.0), (100.0, 0.0)], |at| (at.x_m / 3.0).sin());
    assert_eq!(hold_of(&above, &section, &[]).expect("listed").posts.len(), 9);
    let below = feature(Kind::LeadOut(LeadOut { underground: true, ..LeadOut::default() }));
    assert_eq!(hold_of(&below, &section, &[]).expect("listed"), LineHold::default());
}

#[test]
fn what_the_plan_lacks_is_named() {
    let section = over(&[(0.0, 0.0), (100.0, 0.0)], |_| 0.0);
    let line = feature(Kind::Fence(Fence { build: "goat".to_owned(), ..Fence::default() }));
    assert_eq!(
        hold_of(&line, &section, &[]).expect_err("no such build").to_string(),
        "line line has the build \"goat\", which the plan does not list"
    );
    assert!(matches!(hold_of(&feature(Kind::Mark), &section, &[]), Err(HoldError::NotALine { .. })));
}

#[test]
fn a_line_without_ground_has_posts_and_no_gaps() {
    let corners = [(0.0, 0.0), (60.0, 0.0), (60.0, 60.0)].map(|(x, y)| MapPoint::new(x, y));
    let section = super::super::section(&FeatureId::new("line"), &corners, None, &[]);
    let held = hold(&section, &[]);
    assert_eq!(held.posts.len(), 13);
    assert!(held.bays.iter().all(|bay| bay.strands.is_empty() && bay.gate.is_none()));
    assert!(held.posts.iter().all(|post| post.ground.is_none()));
}

#[test]
fn no_post_goes_into_bare_rock_even_over_a_dip() {
    let frame = Frame::near(Position::from_degrees(0.0, 0.0));
    let ring = [(30.0, -5.0), (36.0, -5.0), (36.0, 5.0), (30.0, 5.0), (30.0, -5.0)];
    let ring: Vec<Position> = ring.map(|(x, y)| frame.to_position(MapPoint::new(x, y))).to_vec();
    let on_rock = |depth_m: f64| -> Vec<f64> {
        let zone = Zone { of: "rock".to_owned(), value: Some(depth_m.into()) };
        let zone = Feature::new(FeatureId::new("rock"), Kind::Zone(zone), Geometry::Area(vec![ring.clone()]));
        let mut plan = plan();
        plan.features.push(Arc::new(zone));
        let all = Catalogue::built_in();
        let ground = FootingMap::of(&plan, frame, all).expect("loam");
        let cleft = |at: MapPoint| if (32.0..34.0).contains(&at.x_m) { 98.0 } else { 100.0 };
        let section = over(&[(0.0, 0.0), (70.0, 0.0)], cleft);
        let hold = line_hold(
            &plan,
            &fence(),
            &section,
            &[],
            Terrain { footings: &ground, ground: None, clearance: None, placed: None },
            all,
        )
        .expect("all rows are listed");
        hold.posts.iter().map(|post| post.plan_m).filter(|plan_m| (30.1..35.9).contains(plan_m)).collect()
    };
    assert_eq!(on_rock(0.05), [] as [f64; 0]);
    assert!(!on_rock(0.3).is_empty(), "in a little soil the posts follow the cleft");
}

#[test]
fn a_post_in_a_narrow_dip_says_what_it_is_there_for() {
    let dip = hold(&over(&[(0.0, 0.0), (8.0, 0.0)], |at| (at.x_m - 4.0).abs() * 0.1), &[]);
    let middle = dip.posts.iter().find(|post| (post.plan_m - 4.0).abs() < 0.1).expect("the dip is found");
    let PostWhy::Band { strand, off, at } = middle.why else { panic!("{:?}", middle.why) };
    assert!(strand == 0 && (off.as_metres() - 0.4).abs() < 1e-6 && (at - middle.station).abs() < Length::metres(1e-6));
    let even = dip.even.expect("known ground");
    assert_eq!((even.posts, even.worst_off, even.worst_at), (2, off, at), "one bay of 8 m goes straight over");
    assert_eq!(dip.tightest, Some((0, 0)));
}

#[test]
fn a_tree_beside_the_line_takes_the_place_of_a_post_and_one_farther_off_does_not() {
    let frame = Frame::near(Position { lon_e9: 0, lat_e9: 50_000_000_000 });
    let tree = |x_m: f64, y_m: f64, diameter_m: Option<f64>| {
        let at = Geometry::Point(frame.to_position(MapPoint::new(x_m, y_m)));
        Feature::new(FeatureId::new("tree"), Kind::Tree { diameter: diameter_m.map(Length::metres) }, at)
    };
    let flat = over(&[(0.0, 0.0), (36.0, 0.0)], |_| 100.0);
    let at_m = |post: &Post| post.plan_m;
    for (name, drawn, expected) in [
        ("beside the line", tree(17.3, 0.25, None), Some(17.3)),
        ("thick enough", tree(17.3, -0.1, Some(0.15)), Some(17.3)),
        ("too thin", tree(17.3, 0.1, Some(0.1)), None),
        ("too far off", tree(17.3, 0.4, None), None),
    ] {
        let plan = Plan { features: vec![Arc::new(drawn)], ..plan() };
        let footings = FootingMap::of(&plan, frame, Catalogue::built_in()).expect("listed");
        let terrain = Terrain { footings: &footings, ground: None, clearance: None, placed: None };
        let hold = line_hold(&plan, &fence(), &flat, &[], terrain, Catalogue::built_in()).expect("listed");
        let found: Vec<&Post> = hold.posts.iter().filter(|post| post.post == TREE_POST).collect();
        assert_eq!(found.len(), usize::from(expected.is_some()), "{name}: {:?}", hold.posts.iter().map(at_m).collect::<Vec<_>>());
        assert_eq!(hold.posts.len(), 5, "{name}: four bays of 10 m at most");
        for (post, expected_m) in found.iter().zip(expected) {
            assert!((post.plan_m - expected_m).abs() < 0.01 && post.why == PostWhy::Tree, "{name}: {post:?}");
            assert!(hold.bays.iter().all(|bay| (bay.to - bay.from) <= Length::metres(10.001)), "{name}");
        }
    }
}
