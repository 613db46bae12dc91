//! Soil, rock, temperatures and snow: what the whole plan is worked out for.

use egui::Key;
use egui_kittest::kittest::Queryable;
use hillwire::session::Stage;
use hillwire_core::plan::{Head, UnitSystem};
use tests_screens::{Screen, click_on, field, fill, press_with_command, sample_screen, screen, undone_next, window};

fn land_screen() -> Screen {
    let mut screen = sample_screen();
    window(&mut screen).session.stage = Stage::Land;
    screen.run_steps(3);
    // It stands below what is said of reach and of the grid.
    field(&screen, "own value for the build-up").scroll_to_me();
    screen.run_steps(3);
    screen
}

fn head(screen: &mut Screen) -> Head {
    (*window(screen).session.plan().head).clone()
}

#[test]
fn every_choice_for_the_ground_and_the_season_is_one_named_step() {
    let mut screen = land_screen();
    let before = head(&mut screen);
    type Done = fn(&Head) -> bool;
    let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
    assert!(near(before.season.set_c, 15.0) && before.ground.rock_depth.is_none(), "{before:?}");
    let cases: [(&str, &str, Done, &str); 7] = [
        ("soil", "Stiff clay", |head| head.ground.soil == "stiff-clay", "changing the ground"),
        ("ground state", "wet", |head| head.ground.state == "wet", "changing the ground"),
        ("coldest day", "-22", |head| (head.season.coldest_c + 22.0).abs() < 1e-9, "changing the season"),
        ("day of tensioning", "5", |head| (head.season.set_c - 5.0).abs() < 1e-9, "changing the season"),
        ("hottest wire", "41", |head| (head.season.hottest_c - 41.0).abs() < 1e-9, "changing the season"),
        ("snow", "0.4", |head| (head.season.snow.as_metres() - 0.4).abs() < 1e-9, "changing the season"),
        ("own value for the build-up", "", |head| head.season.build_up.is_some(), "changing the season"),
    ];
    for (name, value, done, step) in cases {
        match (name, value) {
            ("soil" | "ground state", value) => {
                click_on(&mut screen, name);
                click_on(&mut screen, value);
            }
            (_, "") => click_on(&mut screen, name),
            _ => fill(&mut screen, name, value),
        }
        let after = head(&mut screen);
        assert!(done(&after), "{name}: {:?} {:?}", after.ground, after.season);
        assert_eq!(undone_next(&mut screen), step, "{name}");
        press_with_command(&mut screen, Key::Z);
        assert_eq!(head(&mut screen), before, "{name}");
    }
}

#[test]
fn the_day_of_tensioning_stays_between_the_coldest_and_the_hottest() {
    let mut screen = land_screen();
    fill(&mut screen, "day of tensioning", "55");
    assert!((head(&mut screen).season.set_c - 35.0).abs() < 1e-9, "{:?}", head(&mut screen).season);
}

#[test]
fn temperatures_are_in_fahrenheit_where_the_plan_is_in_feet() {
    let mut screen = land_screen();
    click_on(&mut screen, "Units");
    assert_eq!(window(&mut screen).session.units(), UnitSystem::Us);
    fill(&mut screen, "coldest day", "-13");
    // -13 F is -25 C exactly.
    assert!((head(&mut screen).season.coldest_c + 25.0).abs() < 1e-9, "{:?}", head(&mut screen).season);
}

#[test]
fn a_plan_without_a_grid_can_be_given_its_soil_too() {
    let mut screen = screen();
    let session = &mut window(&mut screen).session;
    session.sheet = None;
    session.stage = Stage::Land;
    screen.run_steps(3);
    click_on(&mut screen, "rock under the soil");
    assert!(head(&mut screen).ground.rock_depth.is_some());
    fill(&mut screen, "depth of the rock", "0.35");
    let depth_m = head(&mut screen).ground.rock_depth.map(|depth| depth.as_metres());
    assert!(depth_m.is_some_and(|depth_m| (depth_m - 0.35).abs() < 1e-9), "{depth_m:?}");
    assert!(screen.query_by_label("No elevation grid is loaded. Lines are measured flat.").is_some());
}
