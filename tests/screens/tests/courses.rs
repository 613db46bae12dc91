//! Other courses for a fence, from the card.

use egui::Key;
use egui_kittest::kittest::Queryable;
use hillwire::session::{Selection, Stage};
use hillwire_core::plan::{Feature, FeatureId, Fence, Geometry, Kind};
use tests_screens::{Screen, click_on, field, press_with_command, sample_screen, undone_next, window};

/// The sample with a fence by itself from the south-west to the south-east, straight over the track, and that fence chosen.
fn with_a_spur() -> Screen {
    let mut screen = sample_screen();
    let session = &mut window(&mut screen).session;
    let Some(Kind::Fence(west)) = session.plan().feature(&FeatureId::new("west")).map(|west| west.kind.clone()) else {
        panic!("a fence")
    };
    let corners =
        [(-3.4662, 55.3529), (-3.4585, 55.3525)].map(|(lon, lat)| hillwire_core::land::Position::from_degrees(lon, lat));
    let kind = Kind::Fence(Fence { build: west.build, ..Fence::default() });
    let spur = Feature::new(FeatureId::new("spur"), kind, Geometry::Line(corners.to_vec()));
    session.history.edit(&hillwire_core::plan::Edit::Add(Box::new(spur))).expect("a new fence");
    session.stage = Stage::Line;
    session.selection = Selection::of(FeatureId::new("spur"));
    screen.run_steps(5);
    screen
}

#[test]
fn other_courses_are_looked_for_shown_and_taken_in_one_step() {
    let mut screen = with_a_spur();
    let plan = window(&mut screen).session.plan().clone();
    click_on(&mut screen, "Look for other courses");
    screen.run_steps(4);
    let session = &window(&mut screen).session;
    let found = session.course_view.found().expect("found at once, for tests work so").clone();
    assert_eq!(session.plan(), &plan, "nothing is changed yet");
    assert!(!found.found.is_empty());
    for label in ["drawn", "water gaps", "The whole plan"] {
        assert!(screen.query_all_by_label_contains(label).next().is_some(), "{label}");
    }
    let take =
        screen.query_all_by_label_contains("Take course A: Cheapest").next().expect("the cheapest is offered").rect().center();
    screen.hover_at(take);
    screen.run_steps(3);
    assert_eq!(window(&mut screen).session.course_view.pointed, Some(0), "the course under the pointer stands out on the map");
    screen.query_all_by_label_contains("Take course A: Cheapest").next().expect("still").click();
    screen.run_steps(5);
    let session = &window(&mut screen).session;
    assert_eq!(session.plan().feature(&FeatureId::new("spur")), found.found[0].plan.feature(&FeatureId::new("spur")));
    assert!(session.course_view.found().is_none(), "they were courses of the plan as it was");
    assert_eq!(undone_next(&mut screen), "the other course of spur");
    press_with_command(&mut screen, Key::Z);
    assert_eq!(window(&mut screen).session.plan(), &plan);
}

#[test]
fn the_courses_of_a_plan_that_was_changed_are_forgotten_and_asked_for_anew() {
    let mut screen = with_a_spur();
    click_on(&mut screen, "Look for other courses");
    assert!(window(&mut screen).session.course_view.found().is_some());
    press_with_command(&mut screen, Key::Z);
    screen.run_steps(4);
    assert!(window(&mut screen).session.course_view.found().is_none());
    window(&mut screen).session.selection = Selection::of(FeatureId::new("lead-out"));
    screen.run_steps(3);
    assert!(screen.query_by_label("Look for other courses").is_none(), "a lead-out is not searched for");
    window(&mut screen).session.selection = Selection::of(FeatureId::new("between"));
    screen.run_steps(3);
    field(&screen, "Look for other courses");
}
