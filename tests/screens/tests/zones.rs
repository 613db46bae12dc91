//! Zones: what the keeper says of the ground, changed on their cards; rock found with a bar.

use egui_kittest::kittest::Queryable;
use hillwire::command::Command;
use hillwire::map::look::LandLook;
use hillwire::session::{Selection, Stage};
use hillwire::tools::Point;
use hillwire_core::finding::{Finding, LayRemedy, Remedy};
use hillwire_core::land::MapPoint;
use hillwire_core::plan::{Edit, Feature, FeatureId, Fence, Geometry, Gesture, Kind, Zone, ring_area};
use tests_screens::{Screen, click_on, fill, sample_screen, undone_next, window};

fn chosen_zone(screen: &mut Screen) -> Zone {
    let session = &window(screen).session;
    let Some(Kind::Zone(zone)) = session.chosen().map(|feature| feature.kind.clone()) else { panic!("a zone is chosen") };
    zone
}

#[test]
fn a_bar_that_met_rock_makes_a_disc_of_five_metres_whose_depth_is_typed() {
    let mut screen = sample_screen();
    let ctx = screen.ctx.clone();
    let at = window(&mut screen).session.outcome.lines[0].section.samples[0].at;
    window(&mut screen).perform(vec![Command::SetPoint(Point::Probe, at)], &ctx);
    screen.run_steps(4);
    assert_eq!(chosen_zone(&mut screen).of, "rock");
    let session = &window(&mut screen).session;
    let Some(Geometry::Area(rings)) = session.chosen().map(|feature| feature.geometry.clone()) else { panic!("an area") };
    let ring: Vec<MapPoint> = rings[0].iter().map(|corner| session.frame.to_map(*corner).expect("near")).collect();
    // A ring of sixteen corners around a circle of 5 m: 8 r² sin(tau / 16).
    let expected = 8.0 * 25.0 * (std::f64::consts::TAU / 16.0).sin();
    assert!((ring_area(&ring).as_square_metres() - expected).abs() < 0.05);
    fill(&mut screen, "depth of the rock", "0.4");
    assert_eq!(chosen_zone(&mut screen).value.and_then(|value| value.as_f64()), Some(0.4));
}

#[test]
fn a_zone_is_said_to_be_something_else_in_one_step() {
    let mut screen = sample_screen();
    let session = &mut window(&mut screen).session;
    let wet = session.plan().features.iter().find(|feature| feature.id.as_str() == "flush").expect("a wet zone").clone();
    session.selection = Selection::of(wet.id.clone());
    screen.run_steps(3);
    click_on(&mut screen, "the ground is");
    screen.run_steps(2);
    click_on(&mut screen, "Another soil");
    let zone = chosen_zone(&mut screen);
    let soil = window(&mut screen).session.plan().head.ground.soil.clone();
    assert_eq!((zone.of.as_str(), zone.value.as_ref().and_then(|value| value.as_str())), ("soil", Some(soil.as_str())));
    assert_eq!(undone_next(&mut screen), "changing Wet flush");
}

#[test]
fn the_key_of_the_zones_names_each_sort_with_its_ground() {
    let mut screen = sample_screen();
    let ctx = screen.ctx.clone();
    window(&mut screen).perform(vec![Command::Stage(Stage::Land), Command::LookAtLand(LandLook::Zones)], &ctx);
    screen.run_steps(4);
    for sort in ["Rock near the surface · ", "Wet ground · ", "Woodland · "] {
        assert!(screen.query_by_label_contains(sort).is_some(), "{sort}");
    }
    assert!(screen.query_by_label_contains("A crop · ").is_none());
}

#[test]
fn a_guess_about_the_ground_is_confirmed_with_a_button_and_made_no_longer() {
    let mut screen = sample_screen();
    screen.set_size(egui::Vec2::new(1280.0, 1300.0));
    screen.run_steps(3);
    // A fence in the bed of the burn: nobody drew wet ground there, and the ground says that water gathers.
    let session = &mut window(&mut screen).session;
    let burn = session.plan().features.iter().find(|feature| feature.id.as_str() == "burn").expect("a stream").clone();
    let fence = Kind::Fence(Fence { build: session.plan().head.builds[0].id.clone(), ..Fence::default() });
    let feature = Feature::new(FeatureId::new("low"), fence, burn.geometry.clone());
    session.change(Gesture::Drew { kind: "fence".to_owned() }, &[Edit::Add(Box::new(feature))]);
    screen.run_steps(4);
    let guess = |screen: &mut Screen| {
        let findings = window(screen).session.outcome.findings.clone();
        let is_guess = |finding: &Finding| finding.remedies.contains(&Remedy::Lay(LayRemedy::DrawWet));
        findings.iter().position(is_guess).map(|index| (index, findings.iter().filter(|finding| is_guess(finding)).count()))
    };
    let (index, count) = guess(&mut screen).expect("water gathers along the burn");
    let ctx = screen.ctx.clone();
    window(&mut screen).perform(vec![Command::Confirm(index, Remedy::Lay(LayRemedy::DrawWet))], &ctx);
    screen.run_steps(4);
    assert_eq!(chosen_zone(&mut screen).of, "wet");
    assert_eq!(undone_next(&mut screen), "drawing the zone");
    assert_eq!(guess(&mut screen).map_or(0, |(_, count)| count), count - 1, "that guess is made no longer");
}
