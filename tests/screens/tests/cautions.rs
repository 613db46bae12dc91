//! Every caution of the one table stands where the table says: the places of the window. Commands, sheets, page and README are walked in `tests/plans`.

use egui_kittest::kittest::Queryable;
use hillwire::session::{Selection, Sheet, Stage};
use hillwire::words::cautions::{CAUTIONS, Place, at};
use hillwire_core::plan::Kind;
use std::fs;
use tests_screens::{Screen, press, samples, screen, screen_with, window};

/// The open sample with a tree, a fault, a reading, and a bull in one of its paddocks. Without ground: no caution asks for any.
fn everything() -> (tempfile::TempDir, Screen) {
    let folder = tempfile::tempdir().expect("a folder");
    let plan = fs::read_to_string(samples().join("larkfold.plan.geojson")).expect("part of the repository");
    let more = "\"features\":[\n\
        {\"type\":\"Feature\",\"id\":\"oak\",\"geometry\":{\"type\":\"Point\",\"coordinates\":[-2.2122,55.2118]},\"properties\":{\"kind\":\"tree\",\"diameter_m\":0.4}},\n\
        {\"type\":\"Feature\",\"id\":\"fault\",\"geometry\":{\"type\":\"Point\",\"coordinates\":[-2.2122,55.211793]},\"properties\":{\"kind\":\"fault\",\"what\":\"contact\"}},\n\
        {\"type\":\"Feature\",\"id\":\"reading\",\"geometry\":{\"type\":\"Point\",\"coordinates\":[-2.2122,55.211793]},\"properties\":{\"kind\":\"reading\",\"kv\":5.1}},\n";
    let with = plan
        .replacen("\"species\":\"cattle\",", "\"species\":\"cattle\",\"class\":\"bull\",", 1)
        .replacen("\"features\":[\n", more, 1)
        .replacen("\"elevation\":[{\"file\":\"larkfold.tif\"}]", "\"elevation\":[]", 1);
    let path = folder.path().join("all.plan.geojson");
    fs::write(&path, with).expect("the folder is ours");
    let mut screen = screen_with(&path);
    screen.set_size(egui::Vec2::new(1280.0, 3000.0));
    screen.run_steps(4);
    (folder, screen)
}

fn choose(screen: &mut Screen, stage: Stage, fits: Option<fn(&Kind) -> bool>) {
    let session = &mut window(screen).session;
    session.stage = stage;
    session.selection = Selection::default();
    if let Some(fits) = fits {
        let feature = session.plan().features.iter().find(|feature| fits(&feature.kind)).expect("it is in the plan");
        session.selection = Selection::of(feature.id.clone());
    }
    screen.run_steps(4);
}

/// Brings a place onto the screen; `false` for those that are none of the window's.
fn go_to(screen: &mut Screen, place: Place) -> bool {
    let (stage, fits): (Stage, Option<fn(&Kind) -> bool>) = match place {
        Place::Line => (Stage::Line, None),
        Place::Hold => (Stage::Hold, None),
        Place::Power => (Stage::Power, None),
        Place::Order => (Stage::Order, None),
        Place::Round | Place::RoundWithStock => (Stage::Round, None),
        Place::Share => (Stage::Share, None),
        Place::EnergizerCard => (Stage::Power, Some(|kind| matches!(kind, Kind::Energizer(_)))),
        Place::EarthCard => (Stage::Power, Some(|kind| matches!(kind, Kind::Earth { .. }))),
        Place::LeadCard => (Stage::Line, Some(|kind| matches!(kind, Kind::LeadOut(_)))),
        Place::FenceCard => (Stage::Power, Some(|kind| matches!(kind, Kind::Fault(_)))),
        Place::ReadingCard => (Stage::Power, Some(|kind| matches!(kind, Kind::Reading(_)))),
        Place::OverheadCard => (Stage::Line, Some(|kind| matches!(kind, Kind::OverheadLine { .. }))),
        Place::WayCard => (Stage::Line, Some(|kind| matches!(kind, Kind::PublicWay { .. }))),
        Place::TrackCard => (Stage::Line, Some(|kind| matches!(kind, Kind::Track(_)))),
        Place::TreeCard => (Stage::Line, Some(|kind| matches!(kind, Kind::Tree { .. }))),
        _ => return false,
    };
    choose(screen, stage, fits);
    true
}

/// Everything that is folded away is opened, as whoever wants to read it does.
fn unfold(screen: &mut Screen) {
    let folded = screen.query_by_label_contains("What else to mind (");
    if let Some(heading) = folded {
        heading.click();
        screen.run_steps(30);
    }
}

#[track_caller]
fn says_all(screen: &Screen, place: Place) {
    for says in at(place) {
        assert!(screen.query_by_label_contains(says).is_some(), "{place:?} does not say “{says}”");
    }
}

#[test]
fn every_caution_stands_on_its_screen_the_worst_of_them_without_a_click() {
    let (_folder, mut screen) = everything();
    let mut places: Vec<Place> = CAUTIONS.iter().flat_map(|caution| caution.stands).copied().collect();
    places.sort_by_key(|place| *place as usize);
    places.dedup();
    let mut walked = 0;
    for place in places {
        if !go_to(&mut screen, place) {
            continue;
        }
        walked += 1;
        let worst = at(place).next().expect("it has one");
        assert!(screen.query_by_label_contains(worst).is_some(), "{place:?} does not say at once “{worst}”");
        unfold(&mut screen);
        says_all(&screen, place);
        let open = at(place).filter(|says| says.len() > 150).count();
        assert!(open <= 5, "{place:?}: a wall of text");
    }
    assert_eq!(walked, 16, "a place of the table is neither here nor in tests/plans, Land and the first sheet apart");
}

#[test]
fn the_first_sheet_and_the_stage_land_say_what_to_mind() {
    let mut first = screen();
    window(&mut first).session.sheet = Some(Sheet::Welcome);
    first.run_steps(3);
    says_all(&first, Place::Start);
    let mut land = tests_screens::sample_screen();
    window(&mut land).session.stage = Stage::Land;
    land.set_size(egui::Vec2::new(1280.0, 2000.0));
    land.run_steps(4);
    says_all(&land, Place::Land);
}

#[test]
fn where_no_bull_stands_the_round_says_nothing_of_one() {
    let mut screen = screen_with(&samples().join("brackenhope.plan.geojson"));
    screen.set_size(egui::Vec2::new(1280.0, 2600.0));
    press(&mut screen, egui::Key::Escape);
    choose(&mut screen, Stage::Round, None);
    assert!(at(Place::RoundWithStock).all(|says| screen.query_by_label_contains(says).is_none()));
}
