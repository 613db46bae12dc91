//! What edits promise.

use super::near::Near;
use super::*;
use crate::plan::arbitrary::{edit_of, plan, whims};
use crate::plan::{EntryLine, Fence, Gate, Opened, Reading, paddocks, read_plan, write_plan};
use crate::units::Length;
use proptest::prelude::*;

const MIDDLE: Position = Position { lon_e9: -3_810_000_000, lat_e9: 56_600_000_000 };

fn frame() -> Frame {
    Frame::near(MIDDLE)
}

fn at(x_m: f64, y_m: f64) -> Position {
    frame().to_position(MapPoint::new(x_m, y_m))
}

fn id(text: &str) -> FeatureId {
    FeatureId::new(text)
}

fn fence(name: &str, corners: &[(f64, f64)]) -> Feature {
    let corners = corners.iter().map(|(x, y)| at(*x, *y)).collect();
    Feature::new(id(name), Kind::Fence(Fence { build: "pig-2".to_owned(), ..Fence::default() }), Geometry::Line(corners))
}

fn point(name: &str, kind: Kind, x: f64, y: f64) -> Feature {
    Feature::new(id(name), kind, Geometry::Point(at(x, y)))
}

/// A square of two lines, a fence across it, a gate on the square and one on the fence across.
fn holding() -> Plan {
    Plan::new(
        Head::default(),
        vec![
            fence("a", &[(0.0, 0.0), (100.0, 0.0), (100.0, 100.0)]),
            fence("b", &[(100.0, 100.0), (0.0, 100.0), (0.0, 0.0)]),
            fence("across", &[(40.0, 0.1), (40.0, 99.9)]),
            point("gate", Kind::Gate(Gate::default()), 75.0, 0.0),
            point("gate across", Kind::Gate(Gate::default()), 40.0, 50.0),
            point("west", Kind::Paddock(Default::default()), 20.0, 50.0),
            point("east", Kind::Paddock(Default::default()), 70.0, 50.0),
        ],
    )
}

fn after(plan: &Plan, edit: Edit) -> Plan {
    edit.apply(plan).expect("the edit is possible")
}

/// Corners in metres, rounded.
fn corners(plan: &Plan, name: &str) -> Vec<(f64, f64)> {
    let feature = plan.feature(&id(name)).expect("it is there");
    let places = match &feature.geometry {
        Geometry::Point(at) => vec![*at],
        Geometry::Line(corners) => corners.clone(),
        _ => Vec::new(),
    };
    let metres = |at: Position| frame().to_map(at).expect("near");
    places.into_iter().map(metres).map(|at| ((at.x_m * 10.0).round() / 10.0, (at.y_m * 10.0).round() / 10.0)).collect()
}

fn areas(plan: &Plan) -> Vec<f64> {
    paddocks(plan, frame()).iter().map(|paddock| paddock.area().as_square_metres().round()).collect()
}

#[test]
fn a_corner_takes_along_what_is_joined_to_it() {
    let plan = holding();
    assert_eq!(areas(&plan), [4000.0, 6000.0]);
    let moved = after(&plan, Edit::MoveCorner { id: id("a"), corner: 1, to: at(100.0, -40.0) });
    assert_eq!(corners(&moved, "across"), [(40.0, -15.9), (40.0, 99.9)]);
    assert_eq!(corners(&moved, "gate"), [(75.0, -30.0)]);
    let middle_m = (99.9 - 15.9) / 2.0;
    assert!((corners(&moved, "gate across")[0].1 - middle_m).abs() < 0.2);
    // The end across lay 0.1 m beside the leg and still does: a hundredth of the paddocks' breadth either way.
    assert!((areas(&moved)[0] - 4320.0).abs() < 5.0 && (areas(&moved)[1] - 7680.0).abs() < 5.0);
    let at_joint = after(&plan, Edit::MoveCorner { id: id("a"), corner: 0, to: at(-20.0, -10.0) });
    assert_eq!(corners(&at_joint, "b"), [(100.0, 100.0), (0.0, 100.0), (-20.0, -10.0)]);
    assert_eq!(areas(&at_joint).len(), 2);
    assert!(areas(&at_joint).iter().all(|area| *area > 0.0));
}

#[test]
fn a_jumper_goes_where_the_lines_go_that_it_joins() {
    let wire = |name: &str, ends: [(f64, f64); 2]| {
        let ends = ends.map(|(x, y)| at(x, y)).to_vec();
        Feature::new(id(name), Kind::Jumper(Default::default()), Geometry::Line(ends))
    };
    let mut features: Vec<Feature> = holding().features.iter().map(|feature| feature.as_ref().clone()).collect();
    features.push(point("between strands", Kind::Jumper(Default::default()), 75.0, 0.0));
    features.push(wire("between lines", [(100.0, 50.0), (40.0, 50.0)]));
    let plan = Plan::new(Head::default(), features);
    let moved = after(&plan, Edit::MoveFeatures { ids: vec![id("a")], by: MapPoint::new(10.0, -20.0), frame: frame() });
    assert_eq!(corners(&moved, "between strands"), [(85.0, -20.0)]);
    assert_eq!(corners(&moved, "between lines")[0], (110.0, 30.0));
    let jumper_moved = after(&plan, Edit::MoveCorner { id: id("between lines"), corner: 0, to: at(100.0, 20.0) });
    assert_eq!(corners(&jumper_moved, "a"), corners(&plan, "a"), "a line does not follow its jumper");
}

#[test]
fn a_closed_line_stays_closed_whichever_end_moves() {
    let ring = fence("a", &[(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 0.0)]);
    let plan = Plan::new(Head::default(), vec![ring]);
    for corner in [0, 3] {
        let moved = after(&plan, Edit::MoveCorner { id: id("a"), corner, to: at(-5.0, 5.0) });
        assert_eq!(corners(&moved, "a"), [(-5.0, 5.0), (100.0, 0.0), (100.0, 100.0), (-5.0, 5.0)]);
    }
    let cut = after(&plan, Edit::SplitLine { id: id("a"), cut: Cut::Corner(2) });
    assert_eq!(corners(&cut, "a"), [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0)]);
    assert_eq!(corners(&cut, "fence-1"), [(100.0, 100.0), (0.0, 0.0)]);
    let whole = after(&cut, Edit::JoinLines { first: id("a"), second: id("fence-1") });
    assert_eq!(whole, plan);
    let refused = Edit::RemoveCorner { id: id("a"), corner: 1 }.apply(&plan);
    assert_eq!(refused, Err(EditError::TooFewCorners(id("a"))));
}

#[test]
fn a_whole_line_takes_along_the_ends_that_are_joined_to_it() {
    let moved = after(&holding(), Edit::MoveFeatures { ids: vec![id("a")], by: MapPoint::new(10.0, -20.0), frame: frame() });
    assert_eq!(corners(&moved, "a"), [(10.0, -20.0), (110.0, -20.0), (110.0, 80.0)]);
    assert_eq!(corners(&moved, "b"), [(110.0, 80.0), (0.0, 100.0), (10.0, -20.0)]);
    assert_eq!(corners(&moved, "gate"), [(85.0, -20.0)]);
    assert_eq!(areas(&moved).iter().filter(|area| **area > 0.0).count(), 2);
}

#[test]
fn corners_come_and_go_with_their_choices_and_gates() {
    let plan = holding();
    let more = after(&plan, Edit::InsertCorner { id: id("a"), before: 1, at: at(50.0, -50.0) });
    assert_eq!(corners(&more, "a"), [(0.0, 0.0), (50.0, -50.0), (100.0, 0.0), (100.0, 100.0)]);
    assert_eq!(corners(&more, "gate"), [(75.0, -25.0)]);
    assert_eq!(corners(&more, "across")[0], (40.0, -39.9));
    let back = after(&more, Edit::RemoveCorner { id: id("a"), corner: 1 });
    assert_eq!(corners(&back, "a"), corners(&plan, "a"));
    assert_eq!(corners(&back, "gate"), corners(&plan, "gate"));
    let (was, is) = (corners(&plan, "across")[0], corners(&back, "across")[0]);
    assert!((was.0 - is.0).abs() < 0.11 && (was.1 - is.1).abs() < 0.11, "{was:?} {is:?}");
}

#[test]
fn a_cut_keeps_choices_and_fixed_posts_on_their_side() {
    let mut line = fence("a", &[(0.0, 0.0), (100.0, 0.0), (200.0, 0.0), (300.0, 10.0)]);
    if let Kind::Fence(fence) = &mut line.kind {
        fence.posts = vec![Length::metres(50.0), Length::metres(120.0), Length::metres(210.0)];
        fence.corners =
            [1, 2].map(|corner| (corner, crate::plan::CornerChoice { brace: Some(true), ..Default::default() })).into();
    }
    let plan = Plan::new(Head::default(), vec![line]);
    // On ground that is longer than the map.
    let longer = |leg: [Position; 2]| Near::distance_m(leg[0], leg[1]) * 160.0 / 150.0;
    let cut = Edit::SplitLine { id: id("a"), cut: Cut::Leg { leg: 1, at: at(150.0, 0.2) } };
    let cut = cut.apply_on(&plan, &longer).expect("the edit is possible");
    let kinds: Vec<_> = cut.features.iter().map(|feature| &feature.kind).collect();
    let (Kind::Fence(first), Kind::Fence(second)) = (kinds[0], kinds[1]) else { panic!("two fences") };
    assert_eq!((first.posts.len(), second.posts.len()), (2, 1));
    assert!((second.posts[0].as_metres() - 50.0).abs() < 0.6);
    assert_eq!(first.corners.keys().copied().collect::<Vec<_>>(), [1]);
    assert_eq!(second.corners.keys().copied().collect::<Vec<_>>(), [1]);
    assert_eq!((first.build.as_str(), second.build.as_str()), ("pig-2", "pig-2"));
    let whole = Edit::JoinLines { first: id("a"), second: id("fence-1") }.apply_on(&cut, &longer).expect("they meet");
    let Kind::Fence(whole) = &whole.features[0].kind else { panic!("a fence") };
    assert_eq!(whole.corners.keys().copied().collect::<Vec<_>>(), [1, 3]);
    assert_eq!(whole.posts.iter().map(|post| post.as_metres().round()).collect::<Vec<_>>(), [50.0, 120.0, 210.0]);
}

#[test]
fn what_cannot_be_done_says_why_and_changes_nothing() {
    let plan = holding();
    let line = |name: &str, corners: &[(f64, f64)]| Box::new(fence(name, corners));
    for (edit, said) in [
        (Edit::Remove(id("x")), "the plan has no feature x"),
        (Edit::RemoveAll(vec![id("a"), id("x"), id("y")]), "the plan has no feature x"),
        (Edit::Add(line("a", &[(0.0, 0.0), (9.0, 0.0)])), "the plan already has a feature a"),
        (Edit::MoveCorner { id: id("a"), corner: 3, to: at(0.0, 0.0) }, "a has no corner 3; it has 3"),
        (Edit::MoveCorner { id: id("a"), corner: 1, to: at(0.0, 0.0) }, "corner 1 of a would lie on its neighbour"),
        (Edit::InsertCorner { id: id("gate"), before: 0, at: at(0.0, 0.0) }, "gate is not a line"),
        (Edit::RemoveCorner { id: id("across"), corner: 0 }, "across would have too few corners"),
        (Edit::SplitLine { id: id("a"), cut: Cut::Corner(0) }, "a cannot be cut there"),
        (Edit::SplitLine { id: id("a"), cut: Cut::Leg { leg: 0, at: at(50.0, 0.5) } }, "a cannot be cut there"),
        (
            Edit::JoinLines { first: id("a"), second: id("across") },
            "a and across cannot be made one line: their ends lie more than 0.3 m apart",
        ),
        (
            Edit::SetKind { id: id("a"), kind: Box::new(Kind::Water) },
            "geometry.type: \"LineString\" cannot stand in a plan; allowed is Point for a water",
        ),
        (
            Edit::SetGeometry { id: id("a"), geometry: Geometry::Line(vec![at(0.0, 0.0)]) },
            "geometry.coordinates: 1 corners cannot stand in a plan; allowed is 2 corners or more",
        ),
        (
            Edit::MoveCorner { id: id("gate"), corner: 0, to: Position { lon_e9: 0, lat_e9: 91_000_000_000 } },
            "geometry.coordinates[1]: 91 cannot stand in a plan; allowed is a latitude from -90 to 90 degrees",
        ),
    ] {
        assert_eq!(edit.apply(&plan).expect_err(said).to_string(), said);
    }
    let mut head = Head::default();
    head.prices.items.insert("t-post".to_owned(), f64::NAN);
    assert!(matches!(Edit::SetHead(Box::new(head)).apply(&plan), Err(EditError::NotAllowed(_))));
}

fn map_length_m(line: &[Position]) -> f64 {
    let map: Vec<_> = line.iter().map(|at| frame().to_map(*at).expect("near")).collect();
    map.windows(2).map(|leg| leg[0].distance_m(leg[1])).sum()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn an_edited_plan_can_be_saved_and_opened(start in plan(), whims in whims()) {
        let mut now = start;
        for whim in &whims {
            let edit = edit_of(&now, whim);
            if let Ok(next) = edit.apply(&now) {
                if let Edit::SplitLine { id, .. } = &edit {
                    let line = |plan: &Plan, index: usize| plan.features[index].line().map(map_length_m).unwrap_or_default();
                    let index = now.features.iter().position(|feature| feature.id == *id).unwrap_or_default();
                    let (whole_m, parts_m) = (line(&now, index), line(&next, index) + line(&next, index + 1));
                    prop_assert!((whole_m - parts_m).abs() <= 1e-3 + whole_m * 1e-6, "{whole_m} {parts_m}");
                }
                now = next;
            }
        }
        let text = write_plan(&now);
        match read_plan("p", &text) {
            Ok(Opened::Plan(back, _)) => prop_assert_eq!(back, now),
            other => prop_assert!(false, "{:?}", other),
        }
    }
}

/// The features that an edit is asked to change.
fn named(edit: &Edit) -> Vec<FeatureId> {
    match edit {
        Edit::Add(feature) => vec![feature.id.clone()],
        Edit::AddAll(features) => features.iter().map(|feature| feature.id.clone()).collect(),
        Edit::Remove(id)
        | Edit::MoveCorner { id, .. }
        | Edit::InsertCorner { id, .. }
        | Edit::RemoveCorner { id, .. }
        | Edit::SetGeometry { id, .. }
        | Edit::SetKind { id, .. }
        | Edit::SetName { id, .. }
        | Edit::SetNote { id, .. }
        | Edit::SplitLine { id, .. } => vec![id.clone()],
        Edit::MoveFeatures { ids, .. } | Edit::RemoveAll(ids) => ids.clone(),
        Edit::JoinLines { first, second } => vec![first.clone(), second.clone()],
        Edit::SetHead(_) | Edit::Replace(_) => Vec::new(),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn an_entry_of_the_log_stays_where_it_was_found_whatever_becomes_of_everything_else(start in plan(), whims in whims()) {
        let mut now = start;
        for whim in &whims {
            let edit = edit_of(&now, whim);
            let Ok(next) = edit.apply(&now) else { continue };
            let named = named(&edit);
            for entry in now.features.iter().filter(|entry| entry.kind.is_log_entry() && !named.contains(&entry.id)) {
                let after = next.feature(&entry.id);
                prop_assert!(after.is_some(), "{edit:?} took {entry:?} away");
                let after = after.expect("it is there");
                prop_assert_eq!(&after.geometry, &entry.geometry, "{:?}", edit);
                let without_line = |feature: &Feature| {
                    let mut kind = feature.kind.clone();
                    kind.entry_line_mut().expect("an entry").line = None;
                    kind
                };
                prop_assert_eq!(without_line(after), without_line(entry), "{:?}", edit);
            }
            now = next;
        }
    }
}

#[test]
fn an_entry_names_the_part_of_its_line_that_is_left_to_it() {
    let of = |line: &str| EntryLine { line: Some(line.to_owned()), off: None };
    let read =
        |name: &str, line: &str, x: f64| point(name, Kind::Reading(Reading { of: of(line), ..Reading::default() }), x, 0.0);
    let features =
        vec![fence("a", &[(0.0, 0.0), (100.0, 0.0)]), read("near", "a", 20.0), read("far", "a", 90.0), read("of b", "b", 90.0)];
    let plan = Plan::new(Head::default(), features);
    let line_of = |plan: &Plan, name: &str| plan.feature(&id(name)).and_then(|entry| entry.kind.entry_line()?.line.clone());
    let cut = after(&plan, Edit::SplitLine { id: id("a"), cut: Cut::Leg { leg: 0, at: at(50.0, 0.0) } });
    let lines = ["near", "far", "of b"].map(|name| line_of(&cut, name).expect("named"));
    assert_eq!(lines, ["a", "fence-1", "b"]);
    let whole = after(&cut, Edit::JoinLines { first: id("a"), second: id("fence-1") });
    assert_eq!(line_of(&whole, "far").as_deref(), Some("a"));
    let moved = after(&plan, Edit::MoveCorner { id: id("a"), corner: 1, to: at(100.0, 30.0) });
    assert_eq!(corners(&moved, "far"), [(90.0, 0.0)]);
    let left: Vec<FeatureId> =
        after(&plan, Edit::RemoveAll(vec![id("far"), id("a")])).features.iter().map(|f| f.id.clone()).collect();
    assert_eq!(left, [id("near"), id("of b")]);
    let gone = after(&plan, Edit::Remove(id("a")));
    assert_eq!((corners(&gone, "far"), line_of(&gone, "far").as_deref()), (vec![(90.0, 0.0)], Some("a")));
}

#[test]
fn distances_nearby_are_those_of_the_map() {
    for (x, y) in [(100.0, 0.0), (0.0, 100.0), (60.0, 80.0)] {
        assert!((Near::distance_m(at(0.0, 0.0), at(x, y)) - 100.0).abs() < 0.6, "{x} {y}");
    }
}
