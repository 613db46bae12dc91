//! The catalogue: every number with its source, found by what is typed.

use egui_kittest::kittest::Queryable;
use hillwire::session::{Selection, Sheet, Stage};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::plan::Kind;
use tests_screens::{Screen, click_on, field, press, sample_screen, type_text, window};

fn is_shown(screen: &Screen, text: &str) -> bool {
    screen.query_all_by_label_contains(text).next().is_some()
}

#[test]
fn the_menu_opens_the_catalogue_and_typing_finds_a_row_with_its_source() {
    let mut screen = sample_screen();
    click_on(&mut screen, "Menu");
    click_on(&mut screen, "Catalogue");
    assert_eq!(window(&mut screen).session.sheet, Some(Sheet::Catalogue));
    screen.run_steps(4);
    // A wire that no build of the sample is of: the card beneath shows those.
    let other = &Catalogue::built_in().wires[1];
    assert!(is_shown(&screen, &other.label));
    click_on(&mut screen, "Search");
    type_text(&mut screen, "loam");
    screen.run_steps(3);
    assert!(is_shown(&screen, "Firm loam") && !is_shown(&screen, &other.label));
    assert!(is_shown(&screen, "undrained strength 50"), "its numbers");
    let key = &Catalogue::built_in().soil("loam").expect("listed").sources.source;
    assert!(is_shown(&screen, &key.entry().expect("listed").title), "its source, spelled out");
    click_on(&mut screen, "Show everything");
    assert!(is_shown(&screen, &other.label));
    press(&mut screen, egui::Key::Escape);
}

#[test]
fn rows_are_found_by_the_title_of_their_source_and_a_miss_says_so() {
    let mut screen = sample_screen();
    let ctx = screen.ctx.clone();
    for (search, found) in [("wire gauge", "High-tensile wire, 14 gauge"), ("zebra", "Nothing in the catalogue is called that.")]
    {
        let command = hillwire::command::Command::ShowCatalogue(search.to_owned());
        window(&mut screen).perform(vec![command], &ctx);
        screen.run_steps(4);
        assert!(is_shown(&screen, found), "{search}");
    }
}

#[test]
fn a_question_mark_beside_a_wire_or_post_leads_to_its_row() {
    let mut screen = sample_screen();
    let session = &mut window(&mut screen).session;
    session.stage = Stage::Hold;
    let fence = session.plan().features.iter().find(|feature| matches!(feature.kind, Kind::Fence(_))).expect("a fence").clone();
    session.selection = Selection::of(fence.id.clone());
    screen.run_steps(4);
    for (mark, label) in [
        ("What is known about this wire", "High-tensile wire, 12.5 gauge (2.5 mm)"),
        ("What is known about the line posts", "Sawn stake, 75 mm square"),
        ("What is known about the corner posts", "Wood post, 200 mm"),
    ] {
        field(&screen, mark).scroll_to_me();
        screen.run_steps(12);
        click_on(&mut screen, mark);
        assert_eq!(window(&mut screen).session.sheet, Some(Sheet::Catalogue), "{mark}");
        assert_eq!(window(&mut screen).session.catalogue_search, label);
        assert!(is_shown(&screen, "1 of "), "{mark}");
        window(&mut screen).session.sheet = None;
        screen.run_steps(2);
    }
}

#[test]
fn a_row_of_the_keepers_own_is_offered_where_posts_are_chosen_and_stands_in_the_catalogue() {
    let folder = tempfile::tempdir().expect("a folder");
    for name in ["brackenhope.plan.geojson", "brackenhope.tif"] {
        std::fs::copy(tests_screens::samples().join(name), folder.path().join(name)).expect("copied");
    }
    let plan = folder.path().join("brackenhope.plan.geojson");
    let text = std::fs::read_to_string(&plan).expect("the plan");
    let own = r#""catalogue":{"post":[{"id":"larch-110","label":"Larch post, 110 mm","material":"wood","width_m":0.11,"length_m":1.8,"depth_m":0.6,"mass_kg":9,"insulator":"screw-ring","place_cost":1}]},
 "prices""#;
    std::fs::write(&plan, text.replacen("\"prices\"", own, 1)).expect("written");
    let mut screen = tests_screens::screen_with(&plan);
    let session = &window(&mut screen).session;
    assert!(session.catalogue().post("larch-110").is_some(), "{:?}", session.notices);
    window(&mut screen).session.stage = Stage::Hold;
    let fence = window(&mut screen).session.plan().features[0].id.clone();
    window(&mut screen).session.selection = Selection::of(fence);
    screen.set_size(egui::Vec2::new(1280.0, 1100.0));
    screen.run_steps(4);
    click_on(&mut screen, "line posts");
    // It stands at the end of a list that is scrolled.
    screen.get_by_label("Larch post, 110 mm").click_accesskit();
    screen.run_steps(4);
    let plan = window(&mut screen).session.plan().clone();
    assert_eq!(plan.head.builds[0].line_post, "larch-110");
}
