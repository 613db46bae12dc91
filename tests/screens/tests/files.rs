//! Opening, refusing, units, saving.

use egui::Key;
use egui_kittest::kittest::Queryable;
use hillwire::command::Command;
use hillwire_core::plan::UnitSystem;
use std::fs;
use tests_screens::{Screen, click_on, press_with_command, sample_screen, samples, screen, screen_with, window};

#[test]
fn an_empty_window_offers_its_doors() {
    let screen = screen();
    for label in ["Look at a sample", "Start on your own ground", "Go on with a plan", "Draw a first paddock"] {
        assert!(screen.query_by_label(label).is_some(), "{label}");
    }
}

#[test]
fn the_sample_plan_opens_with_its_ground_and_its_findings() {
    let mut screen = sample_screen();
    let session = &window(&mut screen).session;
    assert_eq!(session.plan().head.name, "Brackenhope");
    assert!(session.land.ground.is_some() && !session.outcome.lines.is_empty() && !session.outcome.findings.is_empty());
    assert!(session.notices.is_empty(), "{:?}", session.notices);
}

#[test]
fn an_elevation_grid_alone_becomes_a_new_plan() {
    let mut screen = screen_with(&samples().join("brackenhope.tif"));
    let session = &window(&mut screen).session;
    assert!(session.land.ground.is_some() && session.plan().features.is_empty() && !session.plan().head.builds.is_empty());
}

#[test]
fn a_bad_file_shows_one_readable_message_and_leaves_the_plan_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, bytes, expected) in [
        ("broken.plan.geojson", &b"{\"type\":\"FeatureCollection\",\n\"features\":[{]}"[..], "line 2"),
        ("notes.txt", &b"just some words"[..], "notes.txt"),
        ("picture.png", &b"\x89PNG\r\n\x1a\n0000000000000000"[..], "picture"),
        ("empty.tif", &b""[..], "empty.tif"),
    ] {
        let path = folder.path().join(name);
        fs::write(&path, bytes).expect("written");
        let mut screen = sample_screen();
        let before = window(&mut screen).session.plan().clone();
        let ctx = screen.ctx.clone();
        window(&mut screen).open(path, &ctx);
        screen.run_steps(4);
        let session = &window(&mut screen).session;
        assert_eq!(session.notices.len(), 1, "{name}: {:?}", session.notices);
        assert!(session.notices[0].contains(expected), "{name}: {}", session.notices[0]);
        assert_eq!(*session.plan(), before, "{name}");
        let notice = session.notices[0].clone();
        assert!(screen.query_by_label(&notice).is_some(), "{name}: the message is on the screen");
    }
}

#[test]
fn units_change_over_everywhere_and_come_back() {
    let mut screen = sample_screen();
    screen.get_by_label("Units").click();
    screen.run_steps(4);
    assert_eq!(window(&mut screen).session.units(), UnitSystem::Us);
    assert!(screen.query_by_label_contains("ft of fence").is_some());
    screen.get_by_label("Units").click();
    screen.run_steps(4);
    assert!(screen.query_by_label_contains("m of fence").is_some());
}

#[test]
fn an_untouched_plan_is_saved_with_the_bytes_it_came_with() {
    let folder = tempfile::tempdir().expect("a folder");
    let original = fs::read_to_string(samples().join("brackenhope.plan.geojson")).expect("the sample");
    // A plan that somebody has edited by hand: other spaces than ours.
    let by_hand = original.replacen("{\"type\"", "{ \"type\"", 1);
    let path = folder.path().join("by-hand.plan.geojson");
    fs::write(&path, &by_hand).expect("written");
    fs::copy(samples().join("brackenhope.tif"), folder.path().join("brackenhope.tif")).expect("copied");
    let mut screen = screen_with(&path);
    let (ctx, copy) = (screen.ctx.clone(), folder.path().join("copy.plan.geojson"));
    window(&mut screen).perform(vec![Command::SavePath(copy.clone())], &ctx);
    assert_eq!(fs::read_to_string(copy).expect("saved"), by_hand);
}

#[test]
fn a_changed_plan_is_saved_elsewhere_and_opens_again_the_same_on_its_ground() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut screen = sample_screen();
    press_with_command(&mut screen, Key::A);
    window(&mut screen).session.selection.features.truncate(1);
    screen.key_press(Key::Delete);
    screen.run_steps(3);
    let (ctx, path) = (screen.ctx.clone(), folder.path().join("changed.plan.geojson"));
    window(&mut screen).perform(vec![Command::SavePath(path.clone())], &ctx);
    screen.run_steps(2);
    assert!(!window(&mut screen).session.is_unsaved());
    let changed = window(&mut screen).session.plan().clone();
    let mut again = screen_with(&path);
    assert_eq!(*window(&mut again).session.plan(), changed);
    assert!(window(&mut again).session.land.ground.is_some(), "the grid stayed where it was, and is found");
}

#[test]
fn the_map_is_saved_as_a_drawing_and_as_a_picture_and_nothing_where_nothing_is_drawn() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut screen = sample_screen();
    let ctx = screen.ctx.clone();
    let [drawing, picture] = ["map.svg", "map.png"].map(|name| folder.path().join(name));
    let commands = vec![Command::SharePath(drawing.clone()), Command::SharePath(picture.clone())];
    window(&mut screen).perform(commands, &ctx);
    screen.run_steps(3);
    assert!(fs::read_to_string(drawing).expect("written").contains("West paddock"));
    assert!(fs::read(picture).expect("written").starts_with(b"\x89PNG"));
    assert_eq!(window(&mut screen).session.notices.iter().filter(|notice| notice.starts_with("Written")).count(), 2);
    let mut empty = screen_with(&samples().join("brackenhope.tif"));
    let ctx = empty.ctx.clone();
    window(&mut empty).perform(vec![Command::SharePath(folder.path().join("none.svg"))], &ctx);
    empty.run_steps(3);
    assert!(window(&mut empty).session.notices.iter().any(|notice| notice.contains("nothing is drawn")));
}

#[test]
fn another_plan_takes_the_place_of_an_unsaved_one_only_once_the_keeper_says_so() {
    let mut screen = sample_screen();
    press_with_command(&mut screen, Key::A);
    window(&mut screen).session.selection.features.truncate(1);
    screen.key_press(Key::Delete);
    screen.run_steps(3);
    let changed = window(&mut screen).session.plan().clone();
    let folder = tempfile::tempdir().expect("a folder");
    let walk = folder.path().join("walk.gpx");
    fs::write(&walk, "<gpx><wpt lat=\"55.354\" lon=\"-3.463\"><name>Spring</name></wpt></gpx>").expect("written");
    let open = |screen: &mut Screen, path: &std::path::Path| {
        let ctx = screen.ctx.clone();
        window(screen).perform(vec![Command::OpenPath(path.to_owned())], &ctx);
        screen.run_steps(5);
    };
    open(&mut screen, &walk);
    assert!(screen.query_by_label("This plan is not saved").is_none(), "what is taken in takes nothing away");
    window(&mut screen).session.sheet = None;
    for (answer, is_other) in [("Stay", false), ("Leave without saving", true)] {
        for other in
            [samples().join("larkfold.plan.geojson"), samples().join("larkfold.tif")].into_iter().take(1 + usize::from(!is_other))
        {
            open(&mut screen, &other);
            assert!(screen.query_by_label("This plan is not saved").is_some(), "{}", other.display());
            assert_eq!(*window(&mut screen).session.plan(), changed);
            click_on(&mut screen, answer);
            screen.run_steps(5);
            assert_eq!(window(&mut screen).session.plan().head.name == "Larkfold", is_other);
        }
    }
    assert!(window(&mut screen).session.waiting_file.is_none());
}
