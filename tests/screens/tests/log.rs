//! The log in the window: writing down what was found, the table, the plots, the weeks, taking in a round, what it teaches.

use egui::Key;
use egui_kittest::kittest::Queryable;
use hillwire::command::Command;
use hillwire::log_view::{Below, LogAsk};
use hillwire::session::{Selection, Stage};
use hillwire_core::plan::{Edit, FeatureId, Gesture, Kind};
use hillwire_core::units::Length;
use tests_screens::rounds::{add_rounds, off_line};
use tests_screens::{Screen, click, click_on, press_with_command, sample_screen, samples, window};

fn round_screen(rounds: u32) -> Screen {
    let mut screen = sample_screen();
    add_rounds(&mut screen, rounds);
    window(&mut screen).session.stage = Stage::Round;
    screen.run_steps(4);
    screen
}

fn perform(screen: &mut Screen, ask: LogAsk) {
    let ctx = screen.ctx.clone();
    window(screen).perform(vec![Command::Log(ask)], &ctx);
    screen.run_steps(4);
}

#[test]
fn what_was_found_is_written_down_by_clicking_the_line_and_says_where_it_stands() {
    let mut screen = round_screen(0);
    assert!(screen.query_by_label_contains("No round has been written down yet").is_some());
    for (button, fits) in [
        ("Write down: reading", (|kind| matches!(kind, Kind::Reading(_))) as fn(&Kind) -> bool),
        ("Write down: fault", |kind| matches!(kind, Kind::Fault(fault) if fault.is_active())),
        ("Write down: strike", |kind| matches!(kind, Kind::Fault(fault) if fault.what.as_deref() == Some("strike"))),
        ("Write down: photo", |kind| matches!(kind, Kind::Photo(photo) if photo.at_time.is_some())),
    ] {
        let at = {
            let session = &window(&mut screen).session;
            let shape = session.shapes.of(&FeatureId::new("west")).expect("in the sample");
            let place = shape.first_ring()[0].towards(shape.first_ring()[1], 0.4);
            session.view.at_screen(session.pane, place)
        };
        click_on(&mut screen, button);
        click(&mut screen, at);
        let feature = window(&mut screen).session.chosen().expect("it is chosen").clone();
        assert!(fits(&feature.kind), "{button}: {:?}", feature.kind);
        if !matches!(feature.kind, Kind::Photo(_)) {
            assert_eq!(feature.kind.entry_line().and_then(|of| of.line.as_deref()), Some("west"), "{button}");
        }
        screen.run_steps(3);
        assert!(
            screen.query_all_by_label_contains("of West paddock.").next().is_some(),
            "{button}: the card says where it stands"
        );
        press_with_command(&mut screen, Key::Z);
        window(&mut screen).session.selection = Selection::default();
        screen.run_steps(3);
    }
}

#[test]
fn the_log_is_a_table_that_sorts_and_points_to_places() {
    let mut screen = round_screen(104);
    click_on(&mut screen, "Under the map: log");
    let first = |screen: &mut Screen| {
        let view = &window(screen).session.log_view;
        let index = *view.order.first().expect("rows");
        view.log().expect("read").entries[index].id.as_str().to_owned()
    };
    let newest = first(&mut screen);
    click_on(&mut screen, "Sort by what");
    let by_what = first(&mut screen);
    assert_ne!(newest, by_what);
    click_on(&mut screen, "Sort by expected");
    let lowest = first(&mut screen);
    click_on(&mut screen, "Sort by expected");
    assert_ne!(first(&mut screen), lowest, "again turns it round");
    click_on(&mut screen, "Sort by where");
    click_on(&mut screen, "Sort by when");
    assert_eq!(first(&mut screen), newest);
    let row = screen.query_all_by_label_contains("kV · ").next().expect("a row of a reading");
    row.click();
    screen.run_steps(4);
    let session = &window(&mut screen).session;
    let chosen = session.chosen().expect("a row chooses its entry");
    assert!(chosen.kind.is_log_entry());
    let at = session.frame.to_map(chosen.point().expect("a point")).expect("near");
    assert!(session.view.centre.distance_m(at) < 1.0, "the map shows its place");
}

#[test]
fn of_twenty_thousand_entries_only_the_rows_that_are_seen_are_made() {
    let mut screen = round_screen(4400);
    window(&mut screen).session.log_view.below = Below::Entries;
    screen.run_steps(4);
    let entries = window(&mut screen).session.log_view.order.len();
    assert!(entries >= 20_000, "{entries}");
    let rows = screen.query_all_by_label_contains(" paddock").count();
    assert!((3..200).contains(&rows), "{rows} rows are made");
    let session = &window(&mut screen).session;
    let shown =
        session.plan().features.iter().filter(|feature| feature.kind.is_log_entry() && session.shows_entry(feature)).count();
    assert!(shown > 0 && shown < 300, "the map shows one year of them: {shown}");
}

#[test]
fn readings_months_and_weeks_are_drawn_and_a_year_is_chosen() {
    let mut screen = round_screen(104);
    click_on(&mut screen, "Under the map: readings");
    assert!(screen.query_by_label("Readings over time").is_some());
    assert!(screen.query_by_label("place of the readings").is_some());
    click_on(&mut screen, "Under the map: faults by month");
    assert!(screen.query_by_label("kind of fault").is_some());
    click_on(&mut screen, "Under the map: weeks");
    let year = screen.query_by_label_contains("2024: 35 weeks gone round").expect("a row for every year");
    year.click();
    screen.run_steps(3);
    assert_eq!(window(&mut screen).session.log_view.year, Some(2024));
    click_on(&mut screen, "Under the map: long section");
    assert!(screen.query_by_label("Long section").is_some());
}

#[test]
fn the_card_says_what_the_log_teaches_and_shows_the_place() {
    let mut screen = round_screen(104);
    for part in ["A round was due on", "fall by", "fails", "Before 1 October", "2025:", "After wind, snow"] {
        assert!(screen.query_all_by_label_contains(part).next().is_some(), "{part}");
    }
    let falling = screen.query_all_by_label_contains("Show: Readings at").next().expect("a way to the place");
    falling.click_accesskit();
    screen.run_steps(4);
    assert_eq!(window(&mut screen).session.selection.only().map(FeatureId::as_str), Some("west"));
}

#[test]
fn a_round_of_a_phone_is_shown_asked_about_and_taken_in_one_step() {
    let mut screen = round_screen(0);
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("round.csv");
    std::fs::write(
        &path,
        "line,station_m,time,what\nwest,40,2026-05-03,5.2 kV\nwest,60,2026-05-03,an odd thing\nnorth,1,2026-05-03,branch\n",
    )
    .expect("written");
    let before = window(&mut screen).session.plan().clone();
    perform(&mut screen, LogAsk::Read(path));
    assert!(screen.query_by_label_contains("row 4, line: found north").is_some());
    assert!(screen.query_by_label_contains("? row 3").is_some(), "what is not understood has a question mark");
    assert_eq!(*window(&mut screen).session.plan(), before, "nothing changes before it is taken in");
    click_on(&mut screen, "what row 3 is");
    click_on(&mut screen, "a bad joint");
    click_on(&mut screen, "Take 2 rows in");
    let session = &window(&mut screen).session;
    assert_eq!(session.plan().features.len(), before.features.len() + 2);
    assert!(
        session
            .plan()
            .features
            .iter()
            .any(|one| matches!(&one.kind, Kind::Fault(fault) if fault.what.as_deref() == Some("joint")))
    );
    press_with_command(&mut screen, Key::Z);
    assert_eq!(*window(&mut screen).session.plan(), before, "one step of undo");
}

#[test]
fn an_entry_keeps_its_place_when_its_line_is_moved_boxed_or_removed() {
    let mut screen = round_screen(3);
    let frame = window(&mut screen).session.frame;
    let by = hillwire_core::land::MapPoint::new(12.0, 9.0);
    let moved = Edit::MoveFeatures { ids: vec![FeatureId::new("west")], by, frame };
    let gesture = Gesture::Moved { count: 1 };
    window(&mut screen).session.change(gesture, &[moved]);
    screen.run_steps(4);
    assert!(off_line(&mut screen, "reading-1") > Length::metres(1.0));
    window(&mut screen).session.selection = Selection::of(FeatureId::new("reading-1"));
    screen.run_steps(3);
    assert!(screen.query_by_label_contains("which has moved since").is_some(), "the card says so");
    press_with_command(&mut screen, Key::A);
    let session = &window(&mut screen).session;
    let is_entry = |id: &FeatureId| session.plan().feature(id).is_some_and(|feature| feature.kind.is_log_entry());
    assert!(!session.selection.features.iter().any(is_entry), "what is drawn is selected, not the log");
    let entries = session.plan().features.iter().filter(|feature| feature.kind.is_log_entry()).count();
    screen.key_press(Key::Delete);
    screen.run_steps(4);
    let left = window(&mut screen).session.plan().features.len();
    assert_eq!(left, entries, "everything drawn is gone, the log is there");
}

#[test]
fn a_table_that_is_dropped_on_the_window_is_told_by_its_headings_and_changes_nothing_by_itself() {
    let mut screen = sample_screen();
    let folder = tempfile::tempdir().expect("a folder");
    let before = window(&mut screen).session.plan().clone();
    let season = samples().join("brackenhope-rounds.csv");
    let prices = folder.path().join("quote.csv");
    std::fs::write(&prices, "id,price of one\nwood-75,4.50\n").expect("written");
    for (path, says) in [(season, "Take 119 rows in"), (prices, "Take these prices")] {
        let ctx = screen.ctx.clone();
        window(&mut screen).open(path, &ctx);
        screen.run_steps(6);
        assert!(screen.query_by_label_contains(says).is_some(), "{says}");
        assert_eq!(*window(&mut screen).session.plan(), before);
    }
}
