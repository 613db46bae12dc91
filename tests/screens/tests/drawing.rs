//! Drawing on the map, and what follows from it in the tally.

use egui::Key;
use egui_kittest::kittest::Queryable;
use hillwire::selection::Selection;
use hillwire::session::Stage;
use hillwire::tools::ToolKind;
use hillwire_core::order::ItemGroup;
use hillwire_core::plan::{FeatureId, Geometry, Kind};
use tests_screens::{Screen, at_screen, click, click_on, drag, press, press_with_command, sample_screen, type_text, window};

/// A place of the sample's map where nothing is drawn within reach of the pointer, and 40 m east of it the ground is at another level: no contour
/// catches there.
fn free_place(screen: &mut Screen) -> (f64, f64) {
    let whole = window(screen).session.whole().expect("the sample has ground");
    (whole.min.x_m + 0.30 * (whole.max.x_m - whole.min.x_m), whole.min.y_m + 0.86 * (whole.max.y_m - whole.min.y_m))
}

fn fences(screen: &mut Screen) -> usize {
    let plan = window(screen).session.plan().clone();
    plan.features.iter().filter(|feature| matches!(feature.kind, Kind::Fence(_))).count()
}

fn fence_metres(screen: &mut Screen) -> f64 {
    let outcome = window(screen).session.outcome.clone();
    outcome.lines.iter().map(|line| line.measure.ground_length.as_metres()).sum()
}

fn insulators(screen: &mut Screen) -> f64 {
    let order = window(screen).session.outcome.order.clone();
    order.items.iter().filter(|item| item.group == ItemGroup::Insulators).map(|item| item.need).sum()
}

fn draw_square(screen: &mut Screen) {
    let (x, y) = free_place(screen);
    press(screen, Key::F);
    for (dx, dy) in [(0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0), (0.0, 0.0)] {
        let at = at_screen(screen, x + dx, y + dy);
        click(screen, at);
    }
}

#[test]
fn a_paddock_drawn_by_clicks_changes_the_tally_while_it_is_drawn() {
    let mut screen = sample_screen();
    let (before, before_m) = (fences(&mut screen), fence_metres(&mut screen));
    let insulators_before = insulators(&mut screen);
    let (x, y) = free_place(&mut screen);
    press(&mut screen, Key::F);
    let first = at_screen(&mut screen, x, y);
    click(&mut screen, first);
    let second = at_screen(&mut screen, x + 40.0, y);
    screen.hover_at(second);
    screen.run_steps(4);
    let while_drawing = fence_metres(&mut screen) - before_m;
    assert!(while_drawing > 39.9, "the leg under the pen counts already: {while_drawing}");
    assert!(screen.query_by_label("The whole plan takes").is_some() && screen.query_by_label("insulators").is_some());
    assert!(insulators(&mut screen) > insulators_before, "insulators are counted while the line is drawn");
    screen.key_press(Key::Escape);
    screen.run_steps(4);
    assert_eq!(fences(&mut screen), before, "giving up leaves no trace");
    draw_square(&mut screen);
    assert_eq!(fences(&mut screen), before + 1);
    assert!(fence_metres(&mut screen) - before_m >= 140.0);
    press(&mut screen, Key::P);
    let inside = at_screen(&mut screen, x + 20.0, y + 15.0);
    click(&mut screen, inside);
    let paddock = window(&mut screen).session.outcome.paddocks.last().cloned().expect("a paddock was set");
    // Corners may have snapped; the area is that of the corners as they stand, by the shoelace formula.
    let session = &window(&mut screen).session;
    let fence = session.plan().features.iter().rev().find(|feature| matches!(feature.kind, Kind::Fence(_))).expect("drawn");
    let corners: Vec<_> = fence.line().expect("a line").iter().map(|&at| session.frame.to_map(at).expect("near")).collect();
    let twice: f64 = corners.windows(2).map(|leg| leg[0].x_m * leg[1].y_m - leg[1].x_m * leg[0].y_m).sum();
    assert!((paddock.area.as_square_metres() - twice.abs() / 2.0).abs() < 0.5, "{:?} {twice}", paddock.area);
    assert!(paddock.area.as_square_metres() > 900.0);
}

#[test]
fn undo_names_what_it_takes_back_and_takes_it_back() {
    let mut screen = sample_screen();
    let before = window(&mut screen).session.plan().clone();
    draw_square(&mut screen);
    assert_ne!(*window(&mut screen).session.plan(), before);
    press_with_command(&mut screen, Key::Z);
    assert_eq!(*window(&mut screen).session.plan(), before);
    screen.key_press_modifiers(egui::Modifiers { shift: true, ..egui::Modifiers::COMMAND }, Key::Z);
    screen.run_steps(3);
    assert_ne!(*window(&mut screen).session.plan(), before, "redo draws it again");
}

#[test]
fn a_typed_length_is_the_length_on_the_ground() {
    let mut screen = sample_screen();
    let (x, y) = free_place(&mut screen);
    press(&mut screen, Key::F);
    let first = at_screen(&mut screen, x, y);
    click(&mut screen, first);
    type_text(&mut screen, "42 100");
    press(&mut screen, Key::Enter);
    press(&mut screen, Key::Enter);
    let session = &window(&mut screen).session;
    assert_eq!(session.tool, ToolKind::Choose, "the second Enter ends the line");
    let line = session.selection.only().and_then(|id| session.line_outcome(id)).expect("the new line is selected");
    assert!((line.measure.ground_length.as_metres() - 42.0).abs() < 0.02, "{:?}", line.measure);
}

#[test]
fn a_dragged_corner_moves_and_one_undo_puts_it_back() {
    let mut screen = sample_screen();
    draw_square(&mut screen);
    let id = window(&mut screen).session.selection.only().cloned().expect("the new line is selected");
    let (x, y) = free_place(&mut screen);
    let before = window(&mut screen).session.plan().feature(&id).cloned().expect("drawn");
    let (from, to) = (at_screen(&mut screen, x + 40.0, y + 30.0), at_screen(&mut screen, x + 52.0, y + 36.0));
    drag(&mut screen, from, to);
    let after = window(&mut screen).session.plan().feature(&id).cloned().expect("still there");
    let corners = |geometry: &Geometry| if let Geometry::Line(corners) = geometry { corners.clone() } else { Vec::new() };
    let (was, is) = (corners(&before.geometry), corners(&after.geometry));
    assert_eq!(was.iter().zip(&is).filter(|(a, b)| a != b).count(), 1, "one corner moved");
    press_with_command(&mut screen, Key::Z);
    assert_eq!(window(&mut screen).session.plan().feature(&id), Some(&before));
}

#[test]
fn backspace_and_escape_go_back_one_step_at_a_time() {
    let mut screen = sample_screen();
    let (x, y) = free_place(&mut screen);
    press(&mut screen, Key::F);
    for dx in [0.0, 30.0, 60.0] {
        let at = at_screen(&mut screen, x + dx, y);
        click(&mut screen, at);
    }
    let corners = |screen: &mut Screen| window(screen).session.draft.as_ref().map(|draft| draft.corners.len());
    assert_eq!(corners(&mut screen), Some(3));
    press(&mut screen, Key::Backspace);
    assert_eq!(corners(&mut screen), Some(2));
    press(&mut screen, Key::Escape);
    assert_eq!(corners(&mut screen), Some(1));
    press(&mut screen, Key::Escape);
    assert_eq!(corners(&mut screen), None);
}

#[test]
fn every_stage_shows_its_card() {
    let mut screen = sample_screen();
    for (stage, words) in [
        (Stage::Land, "What this grid is good for"),
        (Stage::Line, "Lines"),
        (Stage::Hold, "All posts"),
        (Stage::Order, "To buy"),
        (Stage::Round, "The round"),
        (Stage::Share, "Who gets it"),
    ] {
        screen.get_by_label(stage.text()).click();
        screen.run_steps(4);
        assert!(screen.query_by_label(words).is_some(), "{words}");
    }
}

#[test]
fn a_second_click_on_a_corner_picks_what_stands_in_it() {
    let mut screen = sample_screen();
    let (lead_out, energizer) = (FeatureId::new("lead-out"), FeatureId::new("energizer"));
    window(&mut screen).session.selection = Selection::of(lead_out.clone());
    let session = &window(&mut screen).session;
    let at = session.shapes.of(&energizer).and_then(|shape| shape.point()).expect("the sample has an energizer");
    let at = at_screen(&mut screen, at.x_m, at.y_m);
    click(&mut screen, at);
    assert_eq!(window(&mut screen).session.selection, Selection::of_corner(lead_out, 0));
    screen.run_steps(40);
    click(&mut screen, at);
    assert_eq!(window(&mut screen).session.selection.only(), Some(&energizer));
}

#[test]
fn a_paddock_in_open_ground_says_how_to_enclose_it_and_is_enclosed_when_a_line_is_closed_around_it() {
    let mut screen = sample_screen();
    let (x, y) = free_place(&mut screen);
    click_on(&mut screen, "Paddock");
    let at = at_screen(&mut screen, x + 20.0, y + 15.0);
    click(&mut screen, at);
    let paddock = window(&mut screen).session.selection.only().cloned().expect("it is chosen");
    let is_open = |screen: &mut Screen| {
        let outcome = window(screen).session.outcome.clone();
        outcome.paddocks.iter().find(|one| one.id == paddock).expect("in the plan").ring.is_empty()
    };
    assert!(is_open(&mut screen));
    assert!(screen.query_by_label_contains("This ground is open").is_some());
    draw_square(&mut screen);
    assert!(!is_open(&mut screen));
}

/// Corners of the last fence of the plan, metres on the map.
fn last_fence(screen: &mut Screen) -> Vec<(f64, f64)> {
    let session = &window(screen).session;
    let fence = session.plan().features.iter().rev().find(|feature| matches!(feature.kind, Kind::Fence(_))).expect("a fence");
    let corners = fence.line().expect("a line").iter().map(|&at| session.frame.to_map(at).expect("near"));
    corners.map(|at| (at.x_m, at.y_m)).collect()
}

/// Three corners set, and the pointer on its way to a fourth.
fn drawn_half(screen: &mut Screen) {
    let (x, y) = free_place(screen);
    press(screen, Key::F);
    for (dx, dy) in [(0.0, 0.0), (40.0, 0.0), (40.0, 30.0)] {
        let at = at_screen(screen, x + dx, y + dy);
        click(screen, at);
    }
    let next = at_screen(screen, x - 60.0, y + 30.0);
    screen.hover_at(next);
    screen.run_steps(4);
    assert_eq!(last_fence(screen).len(), 4, "the leg to come is shown while the pointer is on the map");
}

#[test]
fn only_corners_that_were_set_are_counted_kept_and_written() {
    type Way = fn(&mut Screen);
    let ways: [(&str, Way, bool); 5] = [
        ("the pointer leaves the map", |screen| screen.hover_at(egui::pos2(20.0, 200.0)), false),
        ("another stage", |screen| click_on(screen, "Share"), false),
        ("another tool", |screen| click_on(screen, "Lead-out"), true),
        ("the tool that selects", |screen| click_on(screen, "Select"), true),
        ("Enter", |screen| press(screen, Key::Enter), true),
    ];
    for (what, way, ends) in ways {
        let mut screen = sample_screen();
        let before = fences(&mut screen);
        drawn_half(&mut screen);
        way(&mut screen);
        screen.run_steps(4);
        assert_eq!(fences(&mut screen), before + 1, "{what}: nothing that was set is lost");
        assert_eq!(last_fence(&mut screen).len(), 3, "{what}");
        let draft = &window(&mut screen).session.draft;
        assert_eq!(draft.as_ref().is_none_or(|draft| draft.corners.is_empty()), ends, "{what}");
        if ends {
            window(&mut screen).session.notices.clear();
            press_with_command(&mut screen, Key::Z);
            assert_eq!(fences(&mut screen), before, "{what}: it is one step of undo");
        }
    }
}

#[test]
fn undo_takes_back_the_last_corner_while_a_line_is_drawn() {
    let mut screen = sample_screen();
    let before = fences(&mut screen);
    drawn_half(&mut screen);
    for left in [2, 1] {
        press_with_command(&mut screen, Key::Z);
        let corners = window(&mut screen).session.draft.as_ref().map(|draft| draft.corners.len());
        assert_eq!(corners, Some(left));
    }
    press_with_command(&mut screen, Key::Z);
    assert!(window(&mut screen).session.draft.is_none());
    assert_eq!(fences(&mut screen), before);
}
