//! Builds: strands, posts, tension; made from an animal, copied, renamed, removed.

use egui::Key;
use egui_kittest::kittest::Queryable;
use hillwire::session::{Selection, Stage};
use hillwire_core::plan::{Build, Kind, UnitSystem};
use tests_screens::{Screen, click_on, fill, press_with_command, sample_screen, undone_next, window};

/// The Hold stage with the first fence selected, and the id of its build.
fn hold_screen() -> (Screen, String) {
    let mut screen = sample_screen();
    // Tall enough for the whole card: a click by name goes to where it is shown.
    screen.set_size(egui::Vec2::new(1280.0, 1100.0));
    screen.run_steps(3);
    let session = &mut window(&mut screen).session;
    session.stage = Stage::Hold;
    let fence = session.plan().features.iter().find(|feature| matches!(feature.kind, Kind::Fence(_))).expect("a fence").clone();
    session.selection = Selection::of(fence.id.clone());
    screen.run_steps(4);
    let build = build_of_selected(&mut screen).id;
    (screen, build)
}

fn build_of_selected(screen: &mut Screen) -> Build {
    let session = &window(screen).session;
    let Some(Kind::Fence(fence)) = session.chosen().map(|feature| &feature.kind) else { panic!("a fence is selected") };
    session.plan().build(&fence.build).expect("its build").clone()
}

fn heights_cm(build: &Build) -> Vec<i64> {
    build.strands.iter().map(|strand| (strand.height.as_metres() * 100.0).round() as i64).collect()
}

#[test]
fn every_change_of_a_build_is_one_step_that_undo_takes_back() {
    let (mut screen, id) = hold_screen();
    let before = build_of_selected(&mut screen);
    type Done = fn(&Build) -> bool;
    let cases: [(&str, Option<&str>, Done); 9] = [
        ("strand 1 height", Some("0.2"), |build| heights_cm(build)[0] == 20),
        ("strand 1 live", None, |build| !build.strands[0].live),
        ("Remove strand 1", None, |build| build.strands.len() == 4),
        ("longest bay", Some("6.5"), |build| (build.max_bay.as_metres() - 6.5).abs() < 1e-9),
        ("tension as set", Some("500"), |build| (build.tension.as_newtons() - 500.0).abs() < 1e-9),
        ("spring", None, |build| build.spring_n_per_m == Some(5000.0)),
        ("follow the ground at posts", None, |build| (build.drill.as_metres() - 0.05).abs() < 1e-9),
        ("stands for good", None, |build| build.permanent),
        ("Add strand", None, |build| build.strands.len() == 6),
    ];
    for (name, typed, done) in cases {
        match typed {
            Some(value) => fill(&mut screen, name, value),
            None => click_on(&mut screen, name),
        }
        let after = build_of_selected(&mut screen);
        assert!(done(&after), "{name}: {after:?}");
        assert_eq!(undone_next(&mut screen), format!("changing the build {id}"), "{name}");
        press_with_command(&mut screen, Key::Z);
        assert_eq!(build_of_selected(&mut screen), before, "{name}: one undo takes it back");
    }
}

#[test]
fn a_new_strand_stands_fifteen_to_twenty_centimetres_above_the_top_one_and_is_wired_like_it() {
    let (mut screen, _) = hold_screen();
    let before = build_of_selected(&mut screen);
    click_on(&mut screen, "Add strand");
    let after = build_of_selected(&mut screen);
    let (top, new) = (before.strands.last().expect("strands"), after.strands.last().expect("strands"));
    let above_m = (new.height - top.height).as_metres();
    assert!((0.15..=0.201).contains(&above_m), "{above_m}");
    assert_eq!(new.wire, top.wire);
}

#[test]
fn a_dragged_height_is_one_step_however_long_the_drag() {
    let (mut screen, _) = hold_screen();
    let before = build_of_selected(&mut screen);
    let at = screen.get_by_label("strand 3 height").rect().center();
    tests_screens::drag(&mut screen, at, at + egui::vec2(24.0, 0.0));
    let after = build_of_selected(&mut screen);
    assert!(heights_cm(&after)[2] > heights_cm(&before)[2], "{after:?}");
    press_with_command(&mut screen, Key::Z);
    assert_eq!(build_of_selected(&mut screen), before);
}

#[test]
fn wires_and_posts_are_chosen_from_the_catalogue() {
    let (mut screen, _) = hold_screen();
    assert!(screen.query_by_label_contains("usual").is_some(), "the usual tension stands beside the tension");
    for (list, row) in [
        ("strand 2 wire", "High-tensile wire, 17 gauge (1.4 mm)"),
        ("line posts", "Wood post, 100 mm"),
        ("corner posts", "Wood post, 150 mm"),
    ] {
        click_on(&mut screen, list);
        click_on(&mut screen, row);
    }
    let build = build_of_selected(&mut screen);
    let chosen = [&build.strands[1].wire, &build.line_post, &build.corner_post];
    assert_eq!(chosen, ["ht-17ga", "wood-100", "wood-150"]);
}

#[test]
fn a_strand_does_not_pass_its_neighbour() {
    let (mut screen, _) = hold_screen();
    let before = heights_cm(&build_of_selected(&mut screen));
    fill(&mut screen, "strand 1 height", "2");
    let after = heights_cm(&build_of_selected(&mut screen));
    assert!(after[0] < before[1] && after[1] == before[1], "{after:?}");
}

#[test]
fn a_renamed_build_takes_its_lines_along_in_the_same_step() {
    let (mut screen, id) = hold_screen();
    let users = |screen: &mut Screen, id: &str| {
        let plan = window(screen).session.plan().clone();
        plan.features.iter().filter(|feature| matches!(&feature.kind, Kind::Fence(fence) if fence.build == id)).count()
    };
    let count = users(&mut screen, &id);
    assert!(count > 1, "several lines use it");
    fill(&mut screen, "name of the build", "hill goats");
    assert_eq!(users(&mut screen, "hill goats"), count);
    assert_eq!(build_of_selected(&mut screen).id, "hill goats");
    press_with_command(&mut screen, Key::Z);
    assert_eq!(users(&mut screen, &id), count);
}

#[test]
fn a_name_that_is_taken_is_refused_in_words() {
    let (mut screen, id) = hold_screen();
    click_on(&mut screen, "Copy");
    let copy = build_of_selected(&mut screen).id;
    assert_ne!(copy, id, "the line took the copy");
    screen.get_by_label("name of the build").click();
    screen.run_steps(3);
    press_with_command(&mut screen, Key::A);
    tests_screens::type_text(&mut screen, &id);
    screen.run_steps(2);
    assert!(screen.query_by_label("Another build is called that.").is_some());
    tests_screens::press(&mut screen, Key::Enter);
    assert_eq!(build_of_selected(&mut screen).id, copy);
}

#[test]
fn a_build_can_be_started_from_an_animal_and_removed_once_no_line_uses_it() {
    let (mut screen, id) = hold_screen();
    click_on(&mut screen, "New build from…");
    click_on(&mut screen, "Ewe or grown sheep");
    let sheep = build_of_selected(&mut screen);
    assert!(sheep.id.starts_with("sheep") || sheep.id.starts_with("ewe"), "{}", sheep.id);
    assert_eq!(undone_next(&mut screen), format!("adding the build {}", sheep.id));
    // A second one gets a name of its own.
    click_on(&mut screen, "New build from…");
    click_on(&mut screen, "Ewe or grown sheep");
    let second = build_of_selected(&mut screen).id;
    assert_ne!(second, sheep.id);
    press_with_command(&mut screen, Key::Z);
    press_with_command(&mut screen, Key::Z);
    assert_eq!(build_of_selected(&mut screen).id, id);
    press_with_command(&mut screen, Key::Z);
}

#[test]
fn heights_are_in_inches_where_the_plan_is_in_feet() {
    let (mut screen, _) = hold_screen();
    click_on(&mut screen, "Units");
    assert_eq!(window(&mut screen).session.units(), UnitSystem::Us);
    fill(&mut screen, "strand 1 height", "8");
    let height_m = build_of_selected(&mut screen).strands[0].height.as_metres();
    assert!((height_m - 8.0 * 0.0254).abs() < 1e-9, "{height_m}");
}

#[test]
fn only_a_build_that_no_line_uses_can_be_removed() {
    let mut screen = sample_screen();
    // Tall enough for the list of animals below the builds.
    screen.set_size(egui::Vec2::new(1280.0, 1100.0));
    window(&mut screen).session.stage = Stage::Hold;
    screen.run_steps(3);
    click_on(&mut screen, "New build from…");
    click_on(&mut screen, "Hen");
    let builds = |screen: &mut Screen| window(screen).session.plan().head.builds.clone();
    let new = builds(&mut screen).last().expect("added").id.clone();
    let count = builds(&mut screen).len();
    click_on(&mut screen, &format!("{new}  ·  not used"));
    screen.run_steps(12);
    click_on(&mut screen, "Delete");
    assert_eq!(undone_next(&mut screen), format!("removing the build {new}"));
    assert_eq!(builds(&mut screen).len(), count - 1);
    let used = builds(&mut screen)[0].id.clone();
    let title = format!("{used}  ·  2 lines");
    click_on(&mut screen, &title);
    screen.run_steps(12);
    click_on(&mut screen, "Delete");
    assert_eq!(builds(&mut screen).len(), count - 1, "a build in use stays");
}

#[test]
fn the_card_keeps_its_width_whatever_a_build_holds() {
    let (mut screen, _) = hold_screen();
    let map = screen.get_by_label("Map").rect();
    for name in
        ["strand 1 wire", "High-tensile wire, 17 gauge (1.4 mm)", "spring", "follow the ground at posts", "Add strand", "Units"]
    {
        click_on(&mut screen, name);
    }
    screen.run_steps(6);
    assert_eq!(screen.get_by_label("Map").rect(), map);
    for stage in Stage::ALL {
        window(&mut screen).session.stage = stage;
        window(&mut screen).session.selection = Selection::default();
        screen.run_steps(4);
        assert_eq!(screen.get_by_label("Map").rect(), map, "{}", stage.text());
    }
}
