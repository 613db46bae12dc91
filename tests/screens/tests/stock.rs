//! Groups of animals, and the paddocks they are in.

use egui::Key;
use egui_kittest::kittest::Queryable;
use hillwire::session::{Selection, Stage};
use hillwire_core::plan::{Kind, Paddock, StockGroup};
use jiff::civil::date;
use tests_screens::{Screen, click_on, fill, press_with_command, sample_screen, undone_next, window};

fn hold_screen() -> Screen {
    let mut screen = sample_screen();
    window(&mut screen).session.stage = Stage::Hold;
    screen.run_steps(3);
    screen
}

fn groups(screen: &mut Screen) -> Vec<StockGroup> {
    window(screen).session.plan().head.stock.clone()
}

fn group(screen: &mut Screen, id: &str) -> StockGroup {
    groups(screen).into_iter().find(|group| group.id == id).expect("in the plan")
}

fn paddocks_with(screen: &mut Screen, id: &str) -> usize {
    let plan = window(screen).session.plan().clone();
    plan.features
        .iter()
        .filter(|feature| matches!(&feature.kind, Kind::Paddock(paddock) if paddock.stock.as_deref() == Some(id)))
        .count()
}

/// Unfolds the group's fields on the card.
fn unfold(screen: &mut Screen, id: &str) {
    let group = group(screen, id);
    let title = format!("{id}  ·  {} {}", group.head, hillwire::words::species(&group.species));
    click_on(screen, &title);
    screen.run_steps(12);
}

/// Selects the paddock with the group `gilts` in it.
fn paddock_screen() -> Screen {
    let mut screen = hold_screen();
    // The whole card, down to the growth strip of the second build.
    screen.set_size(egui::Vec2::new(1280.0, 2000.0));
    let session = &mut window(&mut screen).session;
    let has = |kind: &Kind| matches!(kind, Kind::Paddock(paddock) if paddock.stock.as_deref() == Some("gilts"));
    let paddock = session.plan().features.iter().find(|feature| has(&feature.kind)).expect("in the sample").clone();
    session.selection = Selection::of(paddock.id.clone());
    screen.run_steps(4);
    screen
}

fn paddock(screen: &mut Screen) -> Paddock {
    match window(screen).session.chosen().map(|feature| &feature.kind) {
        Some(Kind::Paddock(paddock)) => paddock.clone(),
        other => panic!("a paddock is selected, not {other:?}"),
    }
}

#[test]
fn a_new_group_is_told_its_number_weight_day_and_gain_each_in_one_named_step() {
    let mut screen = hold_screen();
    screen.set_size(egui::Vec2::new(1280.0, 1400.0));
    let before = groups(&mut screen).len();
    click_on(&mut screen, "New group of…");
    click_on(&mut screen, "sheep");
    assert_eq!(undone_next(&mut screen), "adding the group sheep");
    assert_eq!(groups(&mut screen).len(), before + 1);
    unfold(&mut screen, "sheep");
    fill(&mut screen, "head", "14");
    assert_eq!(undone_next(&mut screen), "changing the group sheep");
    click_on(&mut screen, "weight is known");
    fill(&mut screen, "weight", "32.5");
    fill(&mut screen, "weighed on", "2026-04-12");
    fill(&mut screen, "gain", "0.12");
    let sheep = group(&mut screen, "sheep");
    assert_eq!((sheep.head, sheep.as_of), (14, Some(date(2026, 4, 12))));
    assert!(sheep.weight_kg.is_some_and(|kg| (kg - 32.5).abs() < 1e-9), "{sheep:?}");
    assert!(sheep.gain_kg_per_day.is_some_and(|gain| (gain - 0.12).abs() < 1e-9), "{sheep:?}");
    for _ in 0..6 {
        press_with_command(&mut screen, Key::Z);
    }
    assert_eq!(groups(&mut screen).len(), before, "six steps back and the group is gone");
}

#[test]
fn a_day_that_no_calendar_has_is_refused_in_words() {
    let mut screen = paddock_screen();
    let before = paddock(&mut screen);
    for wrong in ["2026-02-30", "soon"] {
        tests_screens::field(&screen, "from").click();
        screen.run_steps(3);
        press_with_command(&mut screen, Key::A);
        tests_screens::type_text(&mut screen, wrong);
        screen.run_steps(2);
        assert!(screen.query_by_label_contains("No such day").is_some(), "{wrong}");
        tests_screens::press(&mut screen, Key::Enter);
        assert_eq!(paddock(&mut screen), before, "{wrong}");
        assert!(screen.query_by_label_contains("No such day").is_some(), "{wrong} stands there until it is mended");
    }
    fill(&mut screen, "from", "2026-05-01");
    assert!(screen.query_by_label_contains("No such day").is_none() && paddock(&mut screen).from.is_some());
}

#[test]
fn a_renamed_group_takes_its_paddocks_along_and_a_removed_one_leaves_them_empty() {
    let mut screen = hold_screen();
    let count = paddocks_with(&mut screen, "gilts");
    assert!(count > 0);
    unfold(&mut screen, "gilts");
    fill(&mut screen, "name of the group", "autumn pigs");
    assert_eq!((paddocks_with(&mut screen, "gilts"), paddocks_with(&mut screen, "autumn pigs")), (0, count));
    press_with_command(&mut screen, Key::Z);
    assert_eq!(paddocks_with(&mut screen, "gilts"), count);
    let before = groups(&mut screen);
    click_on(&mut screen, "Delete");
    assert_eq!(undone_next(&mut screen), "removing the group gilts");
    assert_eq!((groups(&mut screen).len(), paddocks_with(&mut screen, "gilts")), (before.len() - 1, 0));
    press_with_command(&mut screen, Key::Z);
    assert_eq!((groups(&mut screen), paddocks_with(&mut screen, "gilts")), (before, count));
}

/// The paddock with its group weighed on 1 April of a year that is far ahead: stock that has left is not judged.
fn far_ahead(screen: &mut Screen) {
    click_on(screen, "The group “gilts”");
    screen.run_steps(12);
    fill(screen, "weighed on", "2099-04-01");
}

#[test]
fn a_paddock_says_what_its_animals_weigh_and_need_when_they_come_and_when_they_leave() {
    let mut screen = paddock_screen();
    far_ahead(&mut screen);
    fill(&mut screen, "from", "2099-05-03");
    fill(&mut screen, "until", "2099-08-08");
    let of = paddock(&mut screen);
    assert_eq!((of.from, of.until), (Some(date(2099, 5, 3)), Some(date(2099, 8, 8))));
    // The sample: 4 gilts of 70 kg on 1 April that put on 0.6 kg a day. By hand: 32 days later 89.2 kg; 129 days later 147.4 kg.
    for text in ["3 May", "8 August", "89\u{a0}kg", "147\u{a0}kg"] {
        assert!(screen.query_all_by_label(text).next().is_some(), "{text}");
    }
    assert!(screen.query_by_label("Does the fence hold them?").is_some());
    // Theirs, and the one that they share with the goats.
    let strips = screen.query_all_by_label_contains("Growth strip from 3 May 2099 to 8 August 2099").count();
    assert_eq!(strips, 2, "a strip for each build around them says its days");
}

#[test]
fn of_stock_that_has_left_the_paddock_says_so_and_judges_nothing() {
    let mut screen = paddock_screen();
    fill(&mut screen, "from", "2026-05-03");
    fill(&mut screen, "until", "2026-08-08");
    assert!(screen.query_by_label_contains("They left on 8 August 2026").is_some());
    assert!(screen.query_by_label_contains("Holds them").is_none());
}

#[test]
fn strands_that_small_animals_creep_under_are_called_out_with_a_remedy() {
    let mut screen = paddock_screen();
    far_ahead(&mut screen);
    fill(&mut screen, "from", "2099-05-01");
    fill(&mut screen, "until", "2099-08-09");
    let said = |screen: &Screen, text: &str| screen.query_all_by_label_contains(text).next().is_some();
    assert!(!said(&screen, "look at now") && !said(&screen, "must fix now"));
    // Piglets of 15 kg stand 0.37 m high and go under a strand at 0.25 m: they may have 0.18 m.
    fill(&mut screen, "weighed on", "2099-05-01");
    fill(&mut screen, "weight", "15");
    screen.run_steps(4);
    assert!(said(&screen, "must fix now") && said(&screen, "Holds them from"), "and from when on it does");
    assert!(said(&screen, "→ "), "and what would hold");
    // The same pigs, heavy: strands at 0.25 and 0.50 m hold them.
    fill(&mut screen, "weight", "200");
    assert!(said(&screen, "Holds them until"));
}

#[test]
fn an_empty_paddock_offers_a_new_group_and_takes_it() {
    let mut screen = paddock_screen();
    click_on(&mut screen, "group");
    click_on(&mut screen, "nobody");
    assert_eq!(paddock(&mut screen).stock, None);
    click_on(&mut screen, "New group of…");
    click_on(&mut screen, "sheep");
    assert_eq!(paddock(&mut screen).stock.as_deref(), Some("sheep"));
}

#[test]
fn the_card_does_not_grow_while_something_wrong_is_typed() {
    let mut screen = paddock_screen();
    let map = screen.get_by_label("Map").rect();
    tests_screens::field(&screen, "from").click();
    screen.run_steps(3);
    tests_screens::type_text(&mut screen, "the first of May");
    screen.run_steps(6);
    assert_eq!(screen.get_by_label("Map").rect(), map);
}

#[test]
fn the_purpose_of_a_line_is_guessed_chosen_and_said_beside_what_it_holds() {
    let mut screen = hold_screen();
    screen.set_size(egui::Vec2::new(1280.0, 1400.0));
    let session = &mut window(&mut screen).session;
    let south = session.plan().features.iter().find(|feature| feature.id.as_str() == "south").expect("in the sample").clone();
    session.selection = Selection::of(south.id.clone());
    screen.run_steps(4);
    assert!(
        screen.query_by_label_contains("guessed: no end of the holding is drawn").is_some(),
        "the guess is shown with its reason"
    );
    click_on(&mut screen, "this line is");
    click_on(&mut screen, "at the boundary");
    let purpose = |screen: &mut Screen| match &window(screen).session.chosen().expect("still selected").kind {
        Kind::Fence(fence) => fence.purpose,
        other => panic!("{other:?}"),
    };
    assert_eq!(purpose(&mut screen), Some(hillwire_core::catalogue::Purpose::Boundary));
    assert!(
        screen.query_all_by_label_contains("holds, with a note").next().is_some(),
        "ponies at a boundary are never without a note"
    );
    press_with_command(&mut screen, Key::Z);
    assert_eq!(purpose(&mut screen), None);
}

#[test]
fn a_line_that_is_deleted_takes_its_gates_along_in_one_step_and_says_so() {
    let mut screen = hold_screen();
    let before = window(&mut screen).session.plan().clone();
    let session = &mut window(&mut screen).session;
    let east = before.features.iter().find(|feature| feature.id.as_str() == "east").expect("in the sample");
    session.selection = Selection::of(east.id.clone());
    screen.run_steps(3);
    tests_screens::press(&mut screen, Key::Delete);
    let after = window(&mut screen).session.plan().clone();
    let has = |plan: &hillwire_core::plan::Plan, id: &str| plan.features.iter().any(|feature| feature.id.as_str() == id);
    assert!(
        !has(&after, "east") && !has(&after, "gate-east") && has(&after, "gate-between"),
        "its own gate goes, the other stays"
    );
    assert!(screen.query_by_label_contains("What stood on it went with it").is_some());
    press_with_command(&mut screen, Key::Z);
    assert_eq!(window(&mut screen).session.plan(), &before, "one step back");
    assert!(screen.query_by_label_contains("What stood on it went with it").is_none(), "it is back");
}

#[test]
fn a_second_paddock_in_the_same_ground_is_refused_with_a_sentence() {
    let mut screen = hold_screen();
    let session = &mut window(&mut screen).session;
    let paddock = session.outcome.paddocks.first().expect("in the sample").clone();
    let mark = session.plan().feature(&paddock.id).and_then(|feature| feature.point()).expect("a point");
    let at = session.frame.to_map(mark).expect("near");
    let count = session.plan().features.len();
    session.set_point(hillwire::tools::Point::Paddock, at);
    screen.run_steps(3);
    assert_eq!(window(&mut screen).session.plan().features.len(), count);
    assert!(screen.query_by_label_contains("This ground is the paddock").is_some());
}
