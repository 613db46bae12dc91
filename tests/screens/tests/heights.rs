//! Measured heights: set on the ground, told as a height or as what the grid is off by.

use egui::Key;
use egui_kittest::kittest::Queryable;
use hillwire::command::Command;
use hillwire::tools::{Point, ToolKind};
use hillwire_core::plan::{Kind, UnitSystem};
use hillwire_core::units::Elevation;
use tests_screens::{Screen, at_screen, click, click_on, fill, press_with_command, sample_screen, screen, undone_next, window};

/// Sets a measured height somewhere in the sample; the height of the grid there.
fn set_one(screen: &mut Screen) -> Elevation {
    let whole = window(screen).session.whole().expect("the sample has ground");
    let (x, y) = (whole.min.x_m + 0.3 * (whole.max.x_m - whole.min.x_m), whole.min.y_m + 0.85 * (whole.max.y_m - whole.min.y_m));
    click_on(screen, "More…");
    click_on(screen, "Measured height");
    assert_eq!(window(screen).session.tool, ToolKind::Set(Point::SpotHeight));
    let at = at_screen(screen, x, y);
    click(screen, at);
    let session = &window(screen).session;
    let at = session.chosen().and_then(|feature| feature.point()).expect("the new height is selected");
    session.ground_at(session.frame.to_map(at).expect("near")).expect("ground")
}

fn height(screen: &mut Screen) -> Elevation {
    match window(screen).session.chosen().map(|feature| feature.kind.clone()) {
        Some(Kind::SpotHeight { height }) => height,
        other => panic!("a measured height is selected, not {other:?}"),
    }
}

#[test]
fn a_new_height_is_that_of_the_grid_and_follows_what_is_typed() {
    let mut screen = sample_screen();
    let grid = set_one(&mut screen);
    // A place is kept to nine decimals of a degree: the ground may differ by a hair from where the click was.
    assert!((height(&mut screen) - grid).as_metres().abs() < 1e-3);
    assert!(screen.query_by_label("On the grid.").is_some());
    fill(&mut screen, "off the grid", "-0.35");
    assert!(((height(&mut screen) - grid).as_metres() + 0.35).abs() < 1e-9, "{:?} {grid:?}", height(&mut screen));
    assert!(screen.query_by_label("0.35\u{a0}m below the grid").is_some());
    assert!(undone_next(&mut screen).starts_with("changing Measured height"), "{}", undone_next(&mut screen));
    fill(&mut screen, "height", "250.5");
    assert!((height(&mut screen).as_metres() - 250.5).abs() < 1e-9);
    press_with_command(&mut screen, Key::Z);
    press_with_command(&mut screen, Key::Z);
    assert!((height(&mut screen) - grid).as_metres().abs() < 1e-3, "undone step by step");
}

#[test]
fn the_difference_is_in_inches_where_the_plan_is_in_feet() {
    let mut screen = sample_screen();
    let grid = set_one(&mut screen);
    let ctx = screen.ctx.clone();
    window(&mut screen).perform(vec![Command::Units(UnitSystem::Us)], &ctx);
    screen.run_steps(3);
    fill(&mut screen, "off the grid", "10");
    assert!(((height(&mut screen) - grid).as_metres() - 0.254).abs() < 1e-9);
}

#[test]
fn without_a_grid_no_height_is_set_and_the_window_says_why() {
    let mut screen = screen();
    let ctx = screen.ctx.clone();
    window(&mut screen).session.sheet = None;
    let at = hillwire_core::land::MapPoint::new(0.0, 0.0);
    window(&mut screen).perform(vec![Command::SetPoint(Point::SpotHeight, at)], &ctx);
    screen.run_steps(3);
    assert!(window(&mut screen).session.plan().features.is_empty());
    assert!(screen.query_by_label_contains("The elevation grid has no height here").is_some());
}
