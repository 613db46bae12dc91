//! Posts in the long section: chosen, dragged, added, taken out, pinned, held down.

use egui::{Event, Key, Modifiers, PointerButton, Pos2};
use egui_kittest::kittest::Queryable;
use hillwire::session::{Selection, Stage};
use hillwire_core::hold::{Post, PostRole};
use hillwire_core::plan::{Edit, Feature, FeatureId, Fence, Geometry, Gesture, Kind};
use hillwire_core::units::Length;
use tests_screens::{Screen, click, click_on, drag, press, press_with_command, sample_screen, undone_next, window};

/// The sample with a short line of one leg drawn on it, selected on the Hold stage.
fn short_line_screen() -> (Screen, FeatureId) {
    let mut screen = sample_screen();
    // Tall enough for the whole card: a click by name goes to where it is shown.
    screen.set_size(egui::Vec2::new(1280.0, 1100.0));
    screen.run_steps(3);
    let session = &mut window(&mut screen).session;
    let whole = session.whole().expect("the sample has ground");
    let (x, y) = (whole.min.x_m + 0.25 * (whole.max.x_m - whole.min.x_m), whole.min.y_m + 0.86 * (whole.max.y_m - whole.min.y_m));
    let corner = |dx: f64| session.position(hillwire_core::land::MapPoint::new(x + dx, y));
    let build = session.plan().head.builds[0].id.clone();
    let id = FeatureId::new("short");
    let kind = Kind::Fence(Fence { build, ..Fence::default() });
    let line = Feature::new(id.clone(), kind, Geometry::Line(vec![corner(0.0), corner(60.0)]));
    session.change(Gesture::Drew { kind: "fence".to_owned() }, &[Edit::Add(Box::new(line))]);
    session.stage = Stage::Hold;
    session.selection = Selection::of(id.clone());
    screen.run_steps(5);
    (screen, id)
}

fn fence(screen: &mut Screen, id: &FeatureId) -> Fence {
    match window(screen).session.plan().feature(id).map(|feature| feature.kind.clone()) {
        Some(Kind::Fence(fence)) => fence,
        other => panic!("a fence, not {other:?}"),
    }
}

fn posts(screen: &mut Screen, id: &FeatureId) -> Vec<Post> {
    window(screen).session.line_outcome(id).expect("worked out").hold.posts.clone()
}

/// Where a post stands in the long section, by its name.
fn at_post(screen: &Screen, index: usize) -> Pos2 {
    screen.get_by_label_contains(&format!("Post {} at ", index + 1)).rect().center()
}

/// A post that can be moved, with neighbours on both sides well away on the screen.
fn free_post(screen: &mut Screen, id: &FeatureId) -> usize {
    let posts = posts(screen, id);
    let is_free = |post: &Post| matches!(post.role, PostRole::Line | PostRole::Dip | PostRole::Rise);
    let index = (1..posts.len() - 1).filter(|&index| is_free(&posts[index])).max_by(|&a, &b| {
        let room = |index: usize| {
            (posts[index + 1].station - posts[index].station).min(posts[index].station - posts[index - 1].station).as_metres()
        };
        room(a).total_cmp(&room(b))
    });
    index.expect("a post between the ends")
}

fn metres(stations: &[Length]) -> Vec<f64> {
    stations.iter().map(|station| station.as_metres()).collect()
}

#[test]
fn a_planned_post_that_is_dragged_is_pinned_where_it_is_let_go_and_one_undo_takes_it_back() {
    let (mut screen, id) = short_line_screen();
    let (before, all_before) = (fence(&mut screen, &id), posts(&mut screen, &id));
    let index = free_post(&mut screen, &id);
    let from = at_post(&screen, index);
    drag(&mut screen, from, from + egui::vec2(14.0, 0.0));
    let after = fence(&mut screen, &id);
    assert_eq!((after.posts.len(), after.no_posts.len()), (1, 0), "the new place and nothing else: {after:?}");
    let moved_m = after.posts[0].as_metres() - all_before[index].station.as_metres();
    assert!(moved_m > 0.2, "{moved_m}");
    let stands = posts(&mut screen, &id).into_iter().find(|post| post.pinned).expect("it stands there");
    assert!((stands.station - after.posts[0]).as_metres().abs() < 0.01, "{stands:?}");
    assert!(undone_next(&mut screen).starts_with("moving a post of"), "{}", undone_next(&mut screen));
    press_with_command(&mut screen, Key::Z);
    assert_eq!(fence(&mut screen, &id), before);
    assert_eq!(posts(&mut screen, &id), all_before);
}

#[test]
fn a_pinned_post_that_is_dragged_keeps_its_number_and_takes_its_hold_down_along() {
    let (mut screen, id) = short_line_screen();
    let index = free_post(&mut screen, &id);
    let at = at_post(&screen, index);
    click(&mut screen, at);
    click_on(&mut screen, "Pin here");
    click_on(&mut screen, "held down");
    let pinned = fence(&mut screen, &id);
    assert_eq!((pinned.posts.len(), pinned.hold_downs.len()), (1, 1), "{pinned:?}");
    let index = posts(&mut screen, &id).iter().position(|post| post.pinned).expect("pinned");
    let from = at_post(&screen, index);
    drag(&mut screen, from, from + egui::vec2(-16.0, 0.0));
    let moved = fence(&mut screen, &id);
    assert_eq!((moved.posts.len(), moved.hold_downs.len()), (1, 1), "{moved:?}");
    assert!(moved.posts[0] < pinned.posts[0] && metres(&moved.posts) == metres(&moved.hold_downs), "{moved:?}");
}

#[test]
fn consequences_follow_while_a_post_is_held_and_escape_puts_it_back() {
    let (mut screen, id) = short_line_screen();
    let (before, all_before) = (fence(&mut screen, &id), posts(&mut screen, &id));
    let index = free_post(&mut screen, &id);
    let from = at_post(&screen, index);
    screen.hover_at(from);
    screen.step();
    screen.drag_at(from);
    screen.step();
    for dx in [6.0, 12.0, 18.0] {
        screen.hover_at(from + egui::vec2(dx, 0.0));
        screen.run_steps(3);
    }
    assert_ne!(posts(&mut screen, &id), all_before, "live, before letting go");
    press(&mut screen, Key::Escape);
    screen.drop_at(from + egui::vec2(18.0, 0.0));
    screen.run_steps(4);
    assert_eq!(fence(&mut screen, &id), before);
}

#[test]
fn a_click_with_shift_or_the_button_adds_a_post_at_that_station() {
    let (mut screen, id) = short_line_screen();
    let section = screen.get_by_label("Long section").rect();
    let place = |share: f32| Pos2::new(section.left() + 46.0 + share * (section.width() - 62.0), section.top() + 12.0);
    for (pressed, at) in [(true, place(0.4)), (false, place(0.4))] {
        screen.event(Event::PointerMoved(at));
        screen.event(Event::PointerButton { pos: at, button: PointerButton::Primary, pressed, modifiers: Modifiers::SHIFT });
        screen.event(Event::ModifiersChanged(Modifiers::SHIFT));
        screen.step();
    }
    screen.event(Event::ModifiersChanged(Modifiers::NONE));
    screen.run_steps(4);
    let length_m = posts(&mut screen, &id).last().map_or(0.0, |post| post.station.as_metres());
    let added = fence(&mut screen, &id).posts;
    assert_eq!(added.len(), 1);
    assert!((added[0].as_metres() - 0.4 * length_m).abs() < 0.5, "{added:?} of {length_m}");
    assert!(undone_next(&mut screen).starts_with("a new post in"), "{}", undone_next(&mut screen));
    click_on(&mut screen, "Add posts");
    click(&mut screen, place(0.6));
    click(&mut screen, place(0.8));
    assert_eq!(fence(&mut screen, &id).posts.len(), 3);
    press(&mut screen, Key::Escape);
    assert!(!window(&mut screen).session.adds_posts);
    click(&mut screen, place(0.7));
    assert_eq!(fence(&mut screen, &id).posts.len(), 3, "a plain click adds nothing");
}

#[test]
fn delete_takes_a_pinned_post_out_and_keeps_planned_ones_away() {
    let (mut screen, id) = short_line_screen();
    let index = free_post(&mut screen, &id);
    let station = posts(&mut screen, &id)[index].station;
    let at = at_post(&screen, index);
    click(&mut screen, at);
    press(&mut screen, Key::Delete);
    let without = fence(&mut screen, &id);
    assert_eq!((without.posts.len(), without.no_posts.len()), (0, 1), "{without:?}");
    assert!((without.no_posts[0] - station).as_metres().abs() < 0.01);
    assert!(window(&mut screen).session.plan().feature(&id).is_some(), "the line stays");
    assert!(posts(&mut screen, &id).iter().all(|post| (post.station - station).as_metres().abs() > 0.5), "none is planned near");
    click_on(&mut screen, "Allow again");
    assert!(fence(&mut screen, &id).no_posts.is_empty());
    // A pinned one is taken out without a trace.
    let at = at_post(&screen, index);
    click(&mut screen, at);
    click_on(&mut screen, "Pin here");
    press(&mut screen, Key::Backspace);
    let without = fence(&mut screen, &id);
    assert_eq!((without.posts.len(), without.no_posts.len()), (0, 0), "{without:?}");
}

#[test]
fn the_card_of_a_post_says_why_it_stands_there_and_what_pulls_at_it() {
    let (mut screen, id) = short_line_screen();
    let all = posts(&mut screen, &id);
    let at = at_post(&screen, 0);
    click(&mut screen, at);
    let said = |screen: &Screen, text: &str| screen.query_all_by_label_contains(text).next().is_some();
    assert!(said(&screen, "Post at 0.0"), "the end post is chosen");
    assert!(said(&screen, "The line ends here, and the post takes the strain."));
    assert!(said(&screen, &hillwire::words::force(all[0].sideways, hillwire_core::plan::UnitSystem::Metric)));
    assert!(screen.query_by_label("Take out").is_none(), "an end post is not taken out here");
    press(&mut screen, Key::Delete);
    assert_eq!(posts(&mut screen, &id), all, "nor by the key");
    assert!(said(&screen, "Corner, end and gate posts stand where the map has them"));
}

#[test]
fn the_wheel_looks_closer_along_the_line_and_a_button_shows_it_whole_again() {
    let (mut screen, id) = short_line_screen();
    let at = screen.get_by_label("Long section").rect().center();
    screen.hover_at(at);
    screen.step();
    let wheel = |up: f32| Event::MouseWheel {
        unit: egui::MouseWheelUnit::Point,
        delta: egui::vec2(0.0, up),
        phase: egui::TouchPhase::Move,
        source: egui::MouseWheelSource::Unknown,
        modifiers: Modifiers::NONE,
    };
    screen.event(wheel(300.0));
    screen.run_steps(20);
    let stretch = window(&mut screen).session.section_stretch.clone().expect("a part of the line is shown");
    let length_m = posts(&mut screen, &id).last().map_or(0.0, |post| post.station.as_metres());
    assert!(stretch.to_m - stretch.from_m < 0.7 * length_m && stretch.from_m > 0.0, "{stretch:?} of {length_m}");
    click_on(&mut screen, "Whole line");
    assert_eq!(window(&mut screen).session.section_stretch, None);
    assert!(screen.query_by_label("Whole line").is_none(), "the button is there only while it does something");
}

#[test]
fn a_corner_or_end_can_have_another_post_a_brace_and_a_depth_of_its_own() {
    let (mut screen, id) = short_line_screen();
    let at = at_post(&screen, 0);
    click(&mut screen, at);
    click_on(&mut screen, "post of this corner");
    click_on(&mut screen, "Wood post, 200 mm");
    click_on(&mut screen, "braced");
    click_on(&mut screen, "own depth");
    tests_screens::fill(&mut screen, "set this deep", "1.1");
    let choice = fence(&mut screen, &id).corners.get(&0).cloned().expect("said something about the first corner");
    assert_eq!((choice.post.as_deref(), choice.brace), (Some("wood-200"), Some(true)));
    assert!(choice.depth.is_some_and(|depth| (depth.as_metres() - 1.1).abs() < 1e-9), "{choice:?}");
    let first = posts(&mut screen, &id)[0].clone();
    assert!(first.post == "wood-200" && first.braced && (first.depth.as_metres() - 1.1).abs() < 1e-9, "{first:?}");
    for _ in 0..4 {
        press_with_command(&mut screen, Key::Z);
    }
    assert!(fence(&mut screen, &id).corners.is_empty(), "four steps back and nothing is said about it");
}

#[test]
fn posts_follow_a_corner_that_is_dragged_on_the_map_in_one_step_of_undo() {
    let (mut screen, id) = short_line_screen();
    let kept = Fence {
        posts: vec![Length::metres(20.0)],
        no_posts: vec![Length::metres(35.0)],
        hold_downs: vec![Length::metres(20.0)],
        ..fence(&mut screen, &id)
    };
    let edit = Edit::SetKind { id: id.clone(), kind: Box::new(Kind::Fence(kept)) };
    window(&mut screen).session.change(Gesture::PinnedPost { label: "short".to_owned() }, &[edit]);
    screen.run_steps(4);
    let before = fence(&mut screen, &id);
    let ground_m =
        |screen: &mut Screen| window(screen).session.line_outcome(&id).expect("worked out").measure.ground_length.as_metres();
    let before_m = ground_m(&mut screen);
    let corner = window(&mut screen)
        .session
        .plan()
        .feature(&id)
        .and_then(|line| line.line().map(|corners| corners[1]))
        .expect("two corners");
    let session = &window(&mut screen).session;
    let at = session.view.at_screen(session.pane, session.frame.to_map(corner).expect("near"));
    drag(&mut screen, at, at + egui::vec2(40.0, 25.0));
    let (after, after_m) = (fence(&mut screen, &id), ground_m(&mut screen));
    assert!((after_m - before_m).abs() > 5.0, "{before_m} {after_m}");
    let shares = |fence: &Fence, whole_m: f64| -> Vec<f64> {
        [&fence.posts, &fence.no_posts, &fence.hold_downs].into_iter().flatten().map(|at| at.as_metres() / whole_m).collect()
    };
    for (was, is) in shares(&before, before_m).into_iter().zip(shares(&after, after_m)) {
        // On the ground, not on the map: the line now runs over other slopes.
        assert!((was - is).abs() < 1e-6, "{was} {is}");
    }
    assert!(undone_next(&mut screen).starts_with("moving"), "{}", undone_next(&mut screen));
    press_with_command(&mut screen, Key::Z);
    assert_eq!(fence(&mut screen, &id), before);
}
