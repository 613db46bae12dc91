//! What other programs drew, taken into the plan after somebody has said what it is.

use egui_kittest::kittest::Queryable;
use hillwire::session::Sheet;
use hillwire_core::plan::Kind;
use std::fs;
use tests_screens::{Screen, click_on, press_with_command, sample_screen, undone_next, window};

const WALK: &str = "<gpx><wpt lat=\"56.6001\" lon=\"-3.8\"><name>Spring</name></wpt>\
    <rte><name>Old way</name><rtept lat=\"56.600\" lon=\"-3.80\"/><rtept lat=\"56.601\" lon=\"-3.80\"/></rte>\
    <rte><name>Ditch</name><rtept lat=\"56.602\" lon=\"-3.80\"/><rtept lat=\"56.603\" lon=\"-3.80\"/></rte></gpx>";

fn with_walk(text: &str) -> Screen {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("walk.gpx");
    fs::write(&path, text).expect("written");
    let mut screen = sample_screen();
    let ctx = screen.ctx.clone();
    window(&mut screen).open(path, &ctx);
    screen.run_steps(6);
    screen
}

fn named(screen: &mut Screen, name: &str) -> Option<Kind> {
    let plan = window(screen).session.plan().clone();
    plan.features.iter().find(|feature| feature.name.as_deref() == Some(name)).map(|feature| feature.kind.clone())
}

#[test]
fn nothing_changes_until_it_is_said_what_came_and_then_it_is_one_step() {
    let mut screen = with_walk(WALK);
    let before = window(&mut screen).session.plan().clone();
    assert_eq!(window(&mut screen).session.sheet, Some(Sheet::Incoming));
    for label in ["all lines (2)", "all points (1)", "Old way · line, 2 corners", "Spring · point"] {
        assert!(screen.query_by_label(label).is_some(), "{label}");
    }
    click_on(&mut screen, "all lines");
    click_on(&mut screen, "Overhead power line");
    click_on(&mut screen, "what Ditch is");
    click_on(&mut screen, "Stream");
    click_on(&mut screen, "what Spring is");
    click_on(&mut screen, "leave it out");
    assert_eq!(*window(&mut screen).session.plan(), before);
    let said = window(&mut screen).session.incoming.as_ref().map(|incoming| incoming.takings.clone());
    assert!(screen.query_by_label("Take 2 things in").is_some(), "{said:?}");
    click_on(&mut screen, "Take 2 things in");
    screen.run_steps(4);
    assert!(matches!(named(&mut screen, "Old way"), Some(Kind::OverheadLine { .. })));
    assert!(matches!(named(&mut screen, "Ditch"), Some(Kind::Stream { .. })));
    assert_eq!(named(&mut screen, "Spring"), None);
    assert_eq!(window(&mut screen).session.sheet, None);
    assert_eq!(undone_next(&mut screen), "taking in 2 features");
    press_with_command(&mut screen, egui::Key::Z);
    screen.run_steps(4);
    assert_eq!(*window(&mut screen).session.plan(), before);
}

#[test]
fn what_came_can_be_left_and_a_file_with_nothing_in_it_is_told() {
    let mut screen = with_walk(WALK);
    let before = window(&mut screen).session.plan().clone();
    click_on(&mut screen, "Leave it all");
    screen.run_steps(4);
    assert!(window(&mut screen).session.incoming.is_none());
    assert_eq!(*window(&mut screen).session.plan(), before);

    let mut screen = with_walk("<gpx/>");
    assert_eq!(window(&mut screen).session.sheet, None);
    assert!(window(&mut screen).session.notices.iter().any(|notice| notice.contains("nothing in that file")));
}
