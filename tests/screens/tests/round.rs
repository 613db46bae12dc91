//! The stage Round: the way round in legs, stops with what to read there, what is taken along.

use egui_kittest::kittest::Queryable;
use hillwire::round_view::PartOfRound;
use hillwire::session::Stage;
use hillwire_core::round::{By, Extent};
use tests_screens::{Screen, click_on, sample_screen, screen, window};

fn round_screen() -> Screen {
    let mut screen = sample_screen();
    screen.set_size(egui::Vec2::new(1280.0, 2600.0));
    window(&mut screen).session.stage = Stage::Round;
    screen.run_steps(4);
    screen
}

#[test]
fn without_a_fence_the_round_says_what_is_wanted() {
    let mut screen = screen();
    window(&mut screen).session.stage = Stage::Round;
    screen.run_steps(3);
    assert!(screen.query_by_label_contains("Nothing to go round yet").is_some());
    assert!(screen.query_by_label_contains("Vehicles overturn on slopes").is_some());
}

#[test]
fn legs_and_stops_are_listed_and_pointing_at_one_shows_it() {
    let mut screen = round_screen();
    let session = &window(&mut screen).session;
    let round = session.round_view.round().expect("there is one").clone();
    let (plan, units) = (session.plan().clone(), session.units());
    click_on(&mut screen, &format!("Legs ({})", round.legs.len()));
    click_on(&mut screen, &format!("Stops and what to read there ({})", round.stops.len()));
    screen.run_steps(20);
    let stop = round.stops.iter().position(|stop| stop.expected.is_some()).expect("something is read");
    click_on(&mut screen, &format!("{}  {}", stop + 1, hillwire::words::round::stop_at(&round.stops[stop], &plan, units)));
    let session = &window(&mut screen).session;
    assert_eq!(session.round_view.chosen, Some(PartOfRound::Stop(stop)));
    assert!(session.view.centre.distance_m(round.stops[stop].at) < 0.01, "it has come to the middle of the map");
    click_on(&mut screen, &format!("1  {}", hillwire::words::round::leg(&round.legs[0], &plan, units)));
    assert_eq!(window(&mut screen).session.round_view.chosen, Some(PartOfRound::Leg(0)));
    assert!(screen.query_all_by_label_contains(", least ").count() > 1);
}

#[test]
fn the_round_on_foot_and_the_short_round_are_worked_out_on_asking() {
    let mut screen = round_screen();
    let minutes = |screen: &mut Screen| window(screen).session.round_view.round().expect("a round").minutes();
    let whole = minutes(&mut screen);
    click_on(&mut screen, "The short round");
    screen.run_steps(3);
    assert_eq!(window(&mut screen).session.round_view.extent, Extent::Short);
    assert!(minutes(&mut screen) < whole);
    click_on(&mut screen, "On foot");
    screen.run_steps(3);
    let round = window(&mut screen).session.round_view.round().expect("a round").clone();
    assert_eq!(round.asked.by, By::OnFoot);
    assert!(round.legs.iter().all(|leg| !leg.how.is_ridden()));
}

#[test]
fn the_tally_tells_how_long_the_round_takes_and_leads_to_it() {
    let mut screen = sample_screen();
    screen.run_steps(3);
    let minutes = window(&mut screen).session.round_view.round().expect("a round").minutes();
    let text = format!("round {}\u{a0}min", hillwire::words::count(minutes.round()));
    click_on(&mut screen, &text);
    assert_eq!(window(&mut screen).session.stage, Stage::Round);
}
