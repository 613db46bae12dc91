//! What a journal brings back, what becomes of it when that is undone, and what is said where nothing can be kept.

use egui::Key;
use hillwire::command::Command;
use hillwire::keeping::KeepAsk;
use hillwire::session::{Selection, Sheet};
use hillwire_core::plan::FeatureId;
use std::fs;
use tests_screens::farm::{Farm, name, name_in, open, perform, rename, shows};
use tests_screens::{Screen, click_on, press, press_with_command, type_text, window};

/// The window is asked to close, as by its cross.
fn ask_to_close(screen: &mut Screen) {
    let viewports = &mut screen.input_mut().viewports;
    viewports.entry(egui::ViewportId::ROOT).or_default().events.push(egui::ViewportEvent::Close);
    screen.run_steps(3);
}

fn asides(farm: &Farm) -> usize {
    farm.journals().iter().filter(|name| name.starts_with("discarded-")).count()
}

#[test]
fn what_was_brought_back_and_undone_stays_kept_aside_and_what_was_saved_does_not() {
    for (is_undone, kept) in [(true, 1), (false, 0)] {
        let farm = Farm::new();
        farm.ended_unsaved(&["Twice"]);
        let mut screen = farm.opened();
        click_on(&mut screen, "Bring it back");
        assert_eq!(name(&mut screen), "Twice");
        if is_undone {
            press_with_command(&mut screen, Key::Z);
        } else {
            press_with_command(&mut screen, Key::S);
            screen.run_steps(3);
        }
        ask_to_close(&mut screen);
        assert!(window(&mut screen).session.may_close, "{is_undone}: nothing is asked");
        drop(screen);
        assert_eq!(asides(&farm), kept, "{is_undone}: {:?}", farm.journals());
        if is_undone {
            let mut screen = farm.window();
            click_on(&mut screen, "Look at what is kept of Twice");
            screen.run_steps(6);
            assert!(shows(&screen, "What was discarded of “Twice” is still kept: 1 change"));
            // Looked at and left, it is no crash of the next time.
            click_on(&mut screen, "Leave it");
            drop(screen);
            assert!(!shows(&farm.opened(), "There is more than was saved"));
            assert_eq!(asides(&farm), 1);
        }
    }
}

#[test]
fn what_waits_tells_what_it_would_undo_and_stays_with_its_own_plan() {
    let farm = Farm::new();
    farm.ended_unsaved(&["Twice"]);
    let mut screen = farm.opened();
    click_on(&mut screen, "Later");
    rename(&mut screen, "Since");
    perform(&mut screen, Command::Keep(KeepAsk::Show(Sheet::LeftOver)));
    screen.run_steps(2);
    assert!(shows(&screen, "What was changed here since then goes with it"));
    press(&mut screen, Key::Escape);
    press_with_command(&mut screen, Key::S);
    screen.run_steps(3);
    perform(&mut screen, Command::Keep(KeepAsk::Show(Sheet::LeftOver)));
    screen.run_steps(2);
    assert!(shows(&screen, "bringing them back undoes what was saved since"));
    press(&mut screen, Key::Escape);
    // Saved as another plan, it is that one's no longer.
    perform(&mut screen, Command::SavePath(farm.path("third.plan.geojson")));
    screen.run_steps(4);
    assert!(!shows(&screen, "A journal from before holds"));
    drop(screen);
    assert!(shows(&farm.opened(), "There is more than was saved"));
    assert_eq!(name_in(&farm.path("third.plan.geojson")), "Since");
}

#[test]
fn a_plan_saved_elsewhere_names_its_ground_from_there_and_one_that_could_not_be_saved_is_as_before() {
    let farm = Farm::with_ground();
    let mut screen = farm.opened();
    perform(&mut screen, Command::SavePath(farm.path("nowhere/copy.plan.geojson")));
    screen.run_steps(4);
    let session = &window(&mut screen).session;
    assert!(!session.is_unsaved() && session.history.next_undo().is_none());
    assert_eq!(session.plan().head.elevation[0].file, "brackenhope.tif");
    rename(&mut screen, "Elsewhere");
    perform(&mut screen, Command::SavePath(farm.path("data/copy.plan.geojson")));
    screen.run_steps(4);
    let saved = hillwire::files::open_plan(&farm.path("data/copy.plan.geojson")).expect("saved").plan;
    assert_eq!(saved.head.elevation[0].file, "../brackenhope.tif");
    // What is undone now names the same file.
    press_with_command(&mut screen, Key::Z);
    let session = &window(&mut screen).session;
    assert!(session.plan().head.elevation[0].file == "../brackenhope.tif" && session.land.ground.is_some());
}

#[test]
fn backspace_after_typing_takes_no_line_away_until_something_else_is_clicked() {
    for ends_by in [Key::S, Key::Enter] {
        let farm = Farm::new();
        let mut screen = farm.opened();
        window(&mut screen).session.selection = Selection::of(FeatureId::new("a"));
        screen.run_steps(3);
        click_on(&mut screen, "Name");
        type_text(&mut screen, "Spring");
        if ends_by == Key::S {
            press_with_command(&mut screen, Key::S)
        } else {
            press(&mut screen, Key::Enter)
        }
        screen.run_steps(3);
        press(&mut screen, Key::Backspace);
        assert_eq!(window(&mut screen).session.plan().features.len(), 1, "{ends_by:?}");
        press(&mut screen, Key::Escape);
        window(&mut screen).session.selection = Selection::of(FeatureId::new("a"));
        press(&mut screen, Key::Backspace);
        assert_eq!(window(&mut screen).session.plan().features.len(), 0, "{ends_by:?}: on purpose it does");
    }
}

#[test]
fn leaving_says_so_where_no_disk_keeps_what_goes() {
    let farm = Farm::new();
    // Neither a file nor a folder can be made below a file.
    fs::write(farm.path("full"), "").expect("written");
    let long = farm.path(&format!("{}.plan.geojson", "n".repeat(240)));
    fs::copy(farm.plan(), &long).expect("copied");
    let mut screen = tests_screens::screen_keeping(Some(farm.path("full")));
    open(&mut screen, &long);
    rename(&mut screen, "Changed");
    let began = std::time::Instant::now();
    while !window(&mut screen).session.keeping.is_nowhere {
        assert!(began.elapsed().as_secs() < 20, "{:?}", window(&mut screen).session.notices);
        screen.step();
    }
    ask_to_close(&mut screen);
    assert!(shows(&screen, "left without saving, these changes are gone"));
    assert!(!shows(&screen, "kept aside for a week"));
}
