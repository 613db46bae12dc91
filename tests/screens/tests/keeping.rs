//! What is not saved: journals from before, plans that others change or have open, files that would be replaced.

use egui::Key;
use hillwire::command::{Act, Command};
use hillwire::session::{AfterUnsaved, Selection, Sheet, Stage};
use hillwire_core::plan::{Edit, FeatureId, Gesture, Kind, Plan};
use std::fs;
use std::path::Path;
use tests_screens::farm::{Farm, mark, name, name_in, open, perform, rename, shows};
use tests_screens::{Screen, click_on, press, press_with_command, type_text, window};

#[test]
fn nothing_but_discarding_takes_a_journal_away_and_that_can_be_had_back() {
    let farm = Farm::new();
    farm.ended_unsaved(&["Once", "Twice"]);
    for way_out in ["Escape", "keys and Escape", "Later", "another plan"] {
        let mut screen = farm.opened();
        assert!(shows(&screen, "There is more than was saved"), "{way_out}");
        assert!(shows(&screen, "The journal holds 2 changes made on"), "{way_out}");
        match way_out {
            "Escape" => press(&mut screen, Key::Escape),
            "keys and Escape" => {
                perform(&mut screen, Command::Act(Act::Keys));
                press(&mut screen, Key::Escape);
                assert!(shows(&screen, "There is more than was saved"), "it comes up again");
                press(&mut screen, Key::Escape);
            }
            "Later" => click_on(&mut screen, "Later"),
            _ => open(&mut screen, &farm.other()),
        }
        assert!(!shows(&screen, "There is more than was saved"), "{way_out}");
        assert_eq!(farm.journals(), ["brackenhope.plan.geojson.journal"], "{way_out}");
        if way_out != "another plan" {
            // It waits in sight, and what is drawn meanwhile goes elsewhere.
            assert!(shows(&screen, "A journal from before holds 2 changes"), "{way_out}");
        }
    }
    let mut screen = farm.opened();
    click_on(&mut screen, "Discard 2 changes");
    drop(screen);
    assert!(farm.journals().iter().all(|name| name.starts_with("discarded-")), "{:?}", farm.journals());
    let mut screen = farm.window();
    assert!(shows(&screen, "Kept aside") && shows(&screen, "2 changes made on"));
    click_on(&mut screen, "Look at what is kept of Twice");
    screen.run_steps(6);
    assert!(shows(&screen, "There is more than was saved"));
    click_on(&mut screen, "Bring it back");
    assert_eq!(name(&mut screen), "Twice");
    press_with_command(&mut screen, Key::Z);
    assert_eq!(name(&mut screen), "Brackenhope", "it is one step");
}

#[test]
fn a_plan_that_was_never_saved_waits_until_it_is_brought_back_or_discarded() {
    let farm = Farm::with_ground();
    {
        let mut screen = farm.window();
        open(&mut screen, &farm.path("brackenhope.tif"));
        perform(&mut screen, Command::Change(Gesture::ChangedPlan, vec![Edit::Add(Box::new(mark()))]));
    }
    for _ in 0..2 {
        let mut screen = farm.window();
        assert!(shows(&screen, "There is more than was saved"));
        press(&mut screen, Key::Escape);
        assert_eq!(farm.journals(), ["unsaved-1.journal"]);
    }
    let mut screen = farm.window();
    click_on(&mut screen, "Bring it back");
    screen.run_steps(6);
    let session = &window(&mut screen).session;
    assert!(session.plan().features.len() == 1 && session.land.ground.is_some() && session.is_unsaved());
}

#[test]
fn a_plan_that_another_program_changed_is_not_written_over_before_the_keeper_says_what_becomes_of_it() {
    let theirs = |farm: &Farm| {
        let text = fs::read_to_string(farm.plan()).expect("there");
        fs::write(farm.plan(), text.replacen("\"name\":\"Brackenhope\"", "\"name\":\"Theirs\"", 1)).expect("written");
    };
    for answer in ["Keep mine", "Take theirs", "Save mine beside it", "Look at both"] {
        let farm = Farm::new();
        let mut screen = farm.opened();
        rename(&mut screen, "Mine");
        theirs(&farm);
        press_with_command(&mut screen, Key::S);
        assert!(shows(&screen, "The plan file was changed elsewhere"), "{answer}");
        assert_eq!(name_in(&farm.plan()), "Theirs", "{answer}");
        click_on(&mut screen, answer);
        screen.run_steps(4);
        match answer {
            "Keep mine" => {
                assert_eq!(name_in(&farm.plan()), "Theirs", "not before it is saved");
                press_with_command(&mut screen, Key::S);
                assert_eq!(name_in(&farm.plan()), "Mine");
            }
            "Take theirs" => {
                assert_eq!(name(&mut screen), "Theirs");
                assert!(!window(&mut screen).session.is_unsaved());
                press_with_command(&mut screen, Key::Z);
                assert_eq!(name(&mut screen), "Mine");
            }
            "Save mine beside it" => {
                assert_eq!(name_in(&farm.plan()), "Theirs");
                assert_eq!(name_in(&farm.path("brackenhope-mine.plan.geojson")), "Mine");
                assert!(!window(&mut screen).session.is_unsaved());
            }
            _ => {
                assert!(shows(&screen, "Side by side") && shows(&screen, "was changed elsewhere"));
                press_with_command(&mut screen, Key::S);
                assert_eq!(name_in(&farm.plan()), "Theirs", "it is asked again");
            }
        }
    }
}

#[test]
fn a_change_of_the_plan_file_is_seen_when_the_window_comes_to_the_front() {
    let farm = Farm::new();
    let mut screen = farm.opened();
    screen.event(egui::Event::WindowFocused(true));
    screen.run_steps(3);
    assert_eq!(window(&mut screen).session.sheet, None);
    let text = fs::read_to_string(farm.plan()).expect("there");
    fs::write(farm.plan(), &text[..text.len() / 2]).expect("written");
    screen.event(egui::Event::WindowFocused(true));
    screen.run_steps(3);
    assert_eq!(window(&mut screen).session.sheet, Some(Sheet::Theirs));
    assert!(shows(&screen, "cannot be read as a plan") && shows(&screen, "You have changed nothing since."));
    press(&mut screen, Key::Escape);
    assert!(shows(&screen, "brackenhope.plan.geojson was changed elsewhere."));
}

#[test]
fn a_second_window_on_a_plan_says_so_and_looks_only_or_works_on_a_copy() {
    let farm = Farm::new();
    let mut first = farm.opened();
    rename(&mut first, "Unsaved in the first");
    while !window(&mut first).is_journalled() {
        std::thread::yield_now();
    }
    for answer in ["Look at it", "Work on a copy"] {
        let mut second = farm.opened();
        assert!(shows(&second, "This plan is open in another window"), "{answer}");
        assert!(!shows(&second, "There is more than was saved"), "a living journal is no crash");
        click_on(&mut second, answer);
        rename(&mut second, "Second");
        let ctx = second.ctx.clone();
        // Saving asks for a name; the plan's own one is refused.
        let is_copy = window(&mut second).session.home.path.is_none();
        assert_eq!(is_copy, answer == "Work on a copy");
        window(&mut second).perform(vec![Command::SavePath(farm.plan())], &ctx);
        second.run_steps(4);
        assert!(shows(&second, "this plan is open in another window; save under another name"), "{answer}");
        assert_eq!(name_in(&farm.plan()), "Brackenhope");
        let copy = farm.path(if is_copy { "copy.plan.geojson" } else { "looked.plan.geojson" });
        window(&mut second).perform(vec![Command::SavePath(copy.clone())], &ctx);
        second.run_steps(4);
        assert_eq!(name_in(&copy), "Second");
        assert!(window(&mut second).session.home.look_only.is_none());
    }
    press_with_command(&mut first, Key::S);
    assert_eq!(name_in(&farm.plan()), "Unsaved in the first");
    drop(first);
    let third = farm.opened();
    assert!(!shows(&third, "open in another window") && !shows(&third, "There is more than was saved"));
}

#[test]
fn saving_under_the_name_of_another_file_asks_and_the_name_that_is_offered_is_free() {
    let farm = Farm::with_ground();
    let other = farm.path("other.plan.geojson");
    fs::write(&other, "{\"name\":\"Other\"}").expect("written");
    let mut screen = farm.opened();
    rename(&mut screen, "Mine");
    perform(&mut screen, Command::SavePath(other.clone()));
    assert!(shows(&screen, "There is a file of that name"));
    assert_eq!(name_in(&other), "Other");
    click_on(&mut screen, "Do not save");
    assert_eq!(name_in(&other), "Other");
    assert!(window(&mut screen).session.is_unsaved());
    perform(&mut screen, Command::SavePath(other.clone()));
    click_on(&mut screen, "Replace other.plan.geojson");
    screen.run_steps(3);
    assert_eq!(name_in(&other), "Mine");
    assert!(shows(&screen, &format!("Saved: {}", other.display())));
    // Its own grid is never written over.
    perform(&mut screen, Command::SavePath(farm.path("brackenhope.tif")));
    assert!(window(&mut screen).session.notices.iter().any(|notice| notice.contains("brackenhope.tif: ")));
    perform(&mut screen, Command::SharePath(other.clone()));
    assert_eq!(name_in(&other), "Mine", "a file for others is not written over the plan");
}

#[test]
fn what_could_not_be_written_is_no_longer_said_once_it_is_written() {
    let farm = Farm::new();
    let mut screen = farm.opened();
    rename(&mut screen, "Mine");
    let path = farm.path("later/mine.plan.geojson");
    perform(&mut screen, Command::SavePath(path.clone()));
    let said = format!("{}: could not be written", path.display());
    assert!(shows(&screen, &said), "{:?}", window(&mut screen).session.notices);
    fs::create_dir(farm.path("later")).expect("made");
    perform(&mut screen, Command::SavePath(path.clone()));
    assert!(!shows(&screen, &said) && name_in(&path) == "Mine");
}

#[test]
fn a_plan_whose_file_is_gone_is_written_anew_only_when_the_keeper_says_so() {
    let farm = Farm::new();
    let mut screen = farm.opened();
    rename(&mut screen, "Mine");
    fs::remove_file(farm.plan()).expect("removed");
    press_with_command(&mut screen, Key::S);
    assert!(shows(&screen, "The file is no longer there"));
    assert!(!farm.plan().exists() && window(&mut screen).session.is_unsaved());
    click_on(&mut screen, "Write it anew: brackenhope.plan.geojson");
    screen.run_steps(3);
    assert_eq!(name_in(&farm.plan()), "Mine");
}

#[cfg(unix)]
#[test]
fn a_write_protected_plan_is_replaced_only_when_the_keeper_says_so() {
    use std::os::unix::fs::PermissionsExt;
    let farm = Farm::new();
    let mut screen = farm.opened();
    rename(&mut screen, "Mine");
    fs::set_permissions(farm.plan(), fs::Permissions::from_mode(0o444)).expect("set");
    press_with_command(&mut screen, Key::S);
    assert!(shows(&screen, "This file is write-protected"));
    assert_eq!(name_in(&farm.plan()), "Brackenhope");
    click_on(&mut screen, "Replace brackenhope.plan.geojson");
    screen.run_steps(3);
    assert_eq!(name_in(&farm.plan()), "Mine");
    assert_eq!(fs::metadata(farm.plan()).expect("there").permissions().mode() & 0o777, 0o444);
}

#[test]
fn the_same_plan_opened_again_shows_what_else_would_cost_and_reads_its_log_on_its_ground() {
    let farm = Farm::with_ground();
    let mut screen = farm.opened();
    for stage in [Stage::Order, Stage::Round] {
        perform(&mut screen, Command::Stage(stage));
        for _ in 0..2 {
            let session = &window(&mut screen).session;
            match stage {
                Stage::Order => {
                    let beside = session.order_view.beside.as_ref().expect("worked out");
                    assert!(!beside.variants.is_empty(), "what else would cost");
                }
                _ => assert!(session.log_view.read.is_some()),
            }
            open(&mut screen, &farm.plan());
            screen.run_steps(4);
        }
    }
}

#[test]
fn leaving_without_saving_says_what_goes_and_keeps_it_aside() {
    let farm = Farm::new();
    let mut screen = farm.opened();
    ["One", "Two", "Three"].iter().for_each(|name| rename(&mut screen, name));
    perform(&mut screen, Command::OpenPath(farm.other()));
    assert!(shows(&screen, "Not in the plan file: 3 changes, the first made on"));
    click_on(&mut screen, "Leave without saving");
    screen.run_steps(5);
    assert_eq!(name(&mut screen), "Larkfold");
    drop(screen);
    assert!(farm.journals()[0].starts_with("discarded-"), "{:?}", farm.journals());
    let mut screen = farm.window();
    let kept = window(&mut screen).session.keeping.kept.len();
    assert_eq!(kept, 1);
    assert!(shows(&screen, "Kept aside"));
    assert!(shows(&screen, "3 changes made on"));
    drop(screen);
    // Saved from the sheet, it goes on by itself.
    let mut screen = farm.opened();
    rename(&mut screen, "Saved");
    perform(&mut screen, Command::OpenPath(farm.other()));
    // There is another button of that name in the window.
    perform(&mut screen, Command::SaveThen(AfterUnsaved::Open));
    screen.run_steps(6);
    assert_eq!((name(&mut screen).as_str(), name_in(&farm.plan()).as_str()), ("Larkfold", "Saved"));
}

/// The window is asked to close, as by its cross.
fn ask_to_close(screen: &mut Screen) {
    let viewports = &mut screen.input_mut().viewports;
    viewports.entry(egui::ViewportId::ROOT).or_default().events.push(egui::ViewportEvent::Close);
    screen.run_steps(3);
}

/// Types into the name of the mark, and stays in the field.
fn type_a_name(screen: &mut Screen, text: &str) {
    window(screen).session.selection = Selection::of(FeatureId::new("a"));
    screen.run_steps(3);
    click_on(screen, "Name");
    type_text(screen, text);
}

fn name_of_mark(plan: &Plan) -> Option<String> {
    plan.feature(&FeatureId::new("a")).and_then(|mark| mark.name.clone())
}

#[test]
fn what_is_being_typed_counts_when_the_plan_is_saved_and_when_the_window_closes() {
    let farm = Farm::new();
    let mut screen = farm.opened();
    type_a_name(&mut screen, "Spring");
    press_with_command(&mut screen, Key::S);
    screen.run_steps(4);
    let saved = hillwire::files::open_plan(&farm.plan()).expect("a plan").plan;
    assert_eq!(name_of_mark(&saved).as_deref(), Some("Spring"));
    type_a_name(&mut screen, "Well");
    ask_to_close(&mut screen);
    assert!(shows(&screen, "This plan is not saved"));
    assert!(name_of_mark(window(&mut screen).session.plan()).is_some_and(|name| name.contains("Well")));
}

#[test]
fn a_window_that_holds_the_only_copy_of_a_plan_asks_before_it_closes_and_keeps_it_aside() {
    let farm = Farm::new();
    let mut screen = farm.opened();
    fs::remove_file(farm.plan()).expect("ours");
    ask_to_close(&mut screen);
    assert!(shows(&screen, "this window holds the only copy"));
    click_on(&mut screen, "Leave without saving");
    drop(screen);
    let journals = farm.journals();
    assert!(journals.len() == 1 && journals[0].starts_with("discarded-"), "{journals:?}");
}

#[test]
fn closing_without_saving_leaves_no_journal_that_would_be_taken_for_a_crash() {
    let farm = Farm::new();
    let mut screen = farm.opened();
    rename(&mut screen, "One");
    ask_to_close(&mut screen);
    click_on(&mut screen, "Leave without saving");
    drop(screen);
    assert!(farm.journals().iter().all(|name| name.starts_with("discarded-")), "{:?}", farm.journals());
    let screen = farm.opened();
    assert!(!shows(&screen, "There is more than was saved"));
}

#[test]
fn a_question_holds_keys_and_pointer_until_it_is_answered() {
    let farm = Farm::new();
    let mut screen = farm.opened();
    rename(&mut screen, "One");
    window(&mut screen).session.selection = Selection::of(FeatureId::new("a"));
    let stage = window(&mut screen).session.stage;
    ask_to_close(&mut screen);
    press(&mut screen, Key::Delete);
    press(&mut screen, Key::Num3);
    click_on(&mut screen, "Order");
    let session = &window(&mut screen).session;
    assert_eq!((session.plan().features.len(), session.stage), (1, stage));
    assert_eq!(session.sheet, Some(Sheet::Unsaved(AfterUnsaved::Close)));
    press(&mut screen, Key::Escape);
    assert_eq!(window(&mut screen).session.sheet, None);
    press(&mut screen, Key::Delete);
    assert_eq!(window(&mut screen).session.plan().features.len(), 0, "now they reach the plan again");
}

#[test]
fn a_plan_is_saved_with_its_own_ending_and_under_no_other() {
    let farm = Farm::new();
    let mut screen = farm.opened();
    rename(&mut screen, "One");
    perform(&mut screen, Command::SavePath(farm.path("mine.tif")));
    assert!(shows(&screen, "found the ending .tif") && !farm.path("mine.tif").exists());
    perform(&mut screen, Command::SavePath(farm.path("mine")));
    assert_eq!(name_in(&farm.path("mine.plan.geojson")), "One");
}

#[test]
fn escape_closes_an_open_list_and_then_the_sheet_whose_answers_wait() {
    let farm = Farm::new();
    let walk = farm.path("walk.gpx");
    fs::write(&walk, "<gpx><wpt lat=\"55.354\" lon=\"-3.463\"><name>Spring</name></wpt></gpx>").expect("written");
    let mut screen = farm.opened();
    open(&mut screen, &walk);
    click_on(&mut screen, "what Spring is");
    click_on(&mut screen, "Water");
    click_on(&mut screen, "what Spring is");
    press(&mut screen, Key::Escape);
    assert_eq!(window(&mut screen).session.sheet, Some(Sheet::Incoming), "only the list has closed");
    press(&mut screen, Key::Escape);
    assert_eq!(window(&mut screen).session.sheet, None);
    assert!(shows(&screen, "What came from another program waits to be taken in."));
    // Nor does another sheet, or more of the same, cost what was answered.
    open(&mut screen, &walk);
    perform(&mut screen, Command::Act(Act::Keys));
    press(&mut screen, Key::Escape);
    let incoming = window(&mut screen).session.incoming.clone().expect("it waits");
    assert_eq!(incoming.features.len(), 2);
    assert_ne!(incoming.takings[0], incoming.takings[1], "the first was answered");
    click_on(&mut screen, "Leave it all");
    assert!(window(&mut screen).session.incoming.is_none());
}

#[test]
fn what_is_under_way_when_the_program_ends_by_a_fault_of_its_own_is_offered_the_next_time() {
    let farm = Farm::new();
    {
        let mut screen = farm.opened();
        let session = &mut window(&mut screen).session;
        session.history.begin(Gesture::ChangedPlan);
        session.history.edit(&Edit::Remove(FeatureId::new("a"))).expect("it is there");
        window(&mut screen).rescue();
    }
    let mut screen = farm.opened();
    assert!(shows(&screen, "The journal holds 1 change made on"));
    click_on(&mut screen, "Bring it back");
    assert!(window(&mut screen).session.plan().features.is_empty());
}

/// Three corners of a fence are set on the farm, and the pointer is on its way to a fourth.
fn drawn_half(farm: &Farm) -> Screen {
    let mut screen = farm.opened();
    screen.run_steps(6);
    let whole = window(&mut screen).session.whole().expect("ground");
    let (x, y) = (whole.min.x_m + 0.25 * (whole.max.x_m - whole.min.x_m), whole.min.y_m + 0.86 * (whole.max.y_m - whole.min.y_m));
    press(&mut screen, Key::F);
    for (dx, dy) in [(0.0, 0.0), (40.0, 0.0), (40.0, 30.0)] {
        let at = tests_screens::at_screen(&mut screen, x + dx, y + dy);
        tests_screens::click(&mut screen, at);
    }
    let next = tests_screens::at_screen(&mut screen, x - 60.0, y + 30.0);
    screen.hover_at(next);
    screen.run_steps(4);
    screen
}

/// Corners of the last fence of a plan.
fn corners_of_last_fence(plan: &Plan) -> Option<usize> {
    plan.features
        .iter()
        .rev()
        .find(|feature| matches!(feature.kind, Kind::Fence(_)))
        .and_then(|fence| fence.line())
        .map(<[_]>::len)
}

#[test]
fn corners_that_were_set_are_in_the_journal_before_the_line_is_done() {
    let farm = Farm::with_ground();
    {
        let mut screen = drawn_half(&farm);
        assert!(window(&mut screen).session.draft.is_some(), "the program ends in the middle of it");
    }
    let mut screen = farm.opened();
    assert!(shows(&screen, "The journal holds 1 change made on"), "{:?}", farm.journals());
    click_on(&mut screen, "Bring it back");
    assert_eq!(corners_of_last_fence(window(&mut screen).session.plan()), Some(3), "what was set, not where the pointer was");
}

#[test]
fn saving_while_a_line_is_drawn_ends_it_and_writes_the_corners_that_were_set() {
    let farm = Farm::with_ground();
    let mut screen = drawn_half(&farm);
    press_with_command(&mut screen, Key::S);
    screen.run_steps(3);
    assert!(window(&mut screen).session.draft.is_none() && !window(&mut screen).session.is_unsaved());
    let written = fs::read(farm.plan()).expect("written");
    let Ok(hillwire_core::plan::Opened::Plan(plan, _)) = hillwire_core::plan::read_plan("farm", &written) else {
        panic!("a plan")
    };
    assert_eq!(corners_of_last_fence(&plan), Some(3));
}

#[test]
fn a_journal_that_cannot_stand_beside_its_plan_says_so_in_the_window() {
    let farm = Farm::new();
    let long = farm.path(&format!("{}.plan.geojson", "n".repeat(240)));
    fs::copy(farm.plan(), &long).expect("copied");
    {
        let mut screen = farm.window();
        open(&mut screen, &long);
        rename(&mut screen, "Changed");
        let began = std::time::Instant::now();
        while !shows(&screen, "the journal cannot be written (its name would be too long)") {
            assert!(began.elapsed().as_secs() < 20, "{:?}", window(&mut screen).session.notices);
            screen.step();
        }
    }
    let mut screen = farm.window();
    open(&mut screen, &long);
    assert!(shows(&screen, "The journal holds 1 change made on"));
}

#[test]
fn a_new_plan_that_is_refused_one_name_and_saved_in_another_folder_keeps_its_ground() {
    let farm = Farm::with_ground();
    let mut screen = farm.window();
    open(&mut screen, &farm.path("brackenhope.tif"));
    rename(&mut screen, "New");
    perform(&mut screen, Command::SavePath(farm.plan()));
    assert!(shows(&screen, "There is a file of that name"));
    click_on(&mut screen, "Do not save");
    for (name, ground) in
        [("data/new.plan.geojson", Path::new("../brackenhope.tif")), ("new.plan.geojson", Path::new("brackenhope.tif"))]
    {
        perform(&mut screen, Command::SavePath(farm.path(name)));
        screen.run_steps(4);
        assert!(!window(&mut screen).session.is_unsaved(), "{name}");
        let saved = hillwire::files::open_plan(&farm.path(name)).expect("saved").plan;
        let found = farm.path(name).with_file_name(&saved.head.elevation[0].file);
        assert_eq!(fs::canonicalize(found).ok(), fs::canonicalize(farm.path("brackenhope.tif")).ok(), "{name}");
        if name.starts_with("data") {
            assert_eq!(saved.head.elevation[0].file, ground.display().to_string(), "from there");
            screen = farm.window();
            open(&mut screen, &farm.path("brackenhope.tif"));
            rename(&mut screen, "New");
        } else {
            assert_eq!(Path::new(&saved.head.elevation[0].file), ground, "beside it, by its name");
        }
    }
}
