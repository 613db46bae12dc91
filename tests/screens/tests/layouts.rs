//! Layouts set aside, taken, and held side by side.

use egui::Key;
use egui_kittest::kittest::Queryable;
use hillwire_core::plan::{Edit, Gesture, Kind, Plan};
use tests_screens::{Screen, click_on, fill, press_with_command, sample_screen, undone_next, window};

fn plan(screen: &mut Screen) -> Plan {
    window(screen).session.plan().clone()
}

/// The sample plan with its layout set aside as “first”, and the first fence taken away since.
fn with_another_layout() -> Screen {
    let mut screen = sample_screen();
    // Tall enough for the whole card: a click by name goes to where it is shown.
    screen.set_size(egui::Vec2::new(1280.0, 1300.0));
    screen.run_steps(3);
    fill(&mut screen, "Name of the layout", "first");
    click_on(&mut screen, "Set aside");
    assert_eq!(undone_next(&mut screen), "setting the layout “first” aside");
    let session = &mut window(&mut screen).session;
    let fence = session.plan().features.iter().find(|feature| matches!(feature.kind, Kind::Fence(_))).expect("a fence").clone();
    session.change(Gesture::Removed { label: fence.label().to_owned() }, &[Edit::Remove(fence.id.clone())]);
    screen.run_steps(4);
    screen
}

#[test]
fn taking_a_layout_is_one_step_and_sets_the_drawn_one_aside() {
    let mut screen = with_another_layout();
    let before = plan(&mut screen);
    click_on(&mut screen, "Take first");
    assert_eq!(undone_next(&mut screen), "taking the layout “first”");
    let after = plan(&mut screen);
    assert_eq!(after.features.len(), before.features.len() + 1);
    let names: Vec<&str> = after.head.layouts.iter().map(|layout| layout.name.as_str()).collect();
    assert_eq!(names, ["As drawn before"]);
    press_with_command(&mut screen, Key::Z);
    assert_eq!(plan(&mut screen), before);
}

#[test]
fn two_layouts_stand_side_by_side_and_follow_every_change() {
    let mut screen = with_another_layout();
    assert!(screen.query_by_label("Side by side").is_none());
    click_on(&mut screen, "Compare first");
    screen.run_steps(3);
    screen.get_by_label("Side by side");
    let differences = |screen: &Screen| screen.query_all_by_label_contains("+").count();
    assert!(differences(&screen) > 0);
    press_with_command(&mut screen, Key::Z);
    screen.run_steps(4);
    let session = &window(&mut screen).session;
    let other = session.layout_view.other.as_ref().expect("still compared");
    let rows = hillwire_core::compare::compare((session.plan(), &session.outcome), (&other.plan, &other.outcome));
    assert!(rows.iter().all(|row| row.a == row.b), "{rows:?}");
    click_on(&mut screen, "Forget first");
    screen.run_steps(3);
    assert!(screen.query_by_label("Side by side").is_none());
}
