//! The stage Land: how lines are reached, and what the ground is coloured by.

use egui_kittest::kittest::Queryable;
use hillwire::command::Command;
use hillwire::map::look::{LandLook, RUNNER_CLASSES};
use hillwire::session::Selection;
use hillwire::stage::Stage;
use hillwire_core::finding::Rule;
use hillwire_core::plan::{Edit, FeatureId, Gesture, Kind};
use hillwire_core::site::{ReachClass, Season};
use tests_screens::{Screen, click_on, sample_screen, window};

fn perform(screen: &mut Screen, commands: Vec<Command>) {
    let ctx = screen.ctx.clone();
    window(screen).perform(commands, &ctx);
    screen.run_steps(6);
}

#[test]
fn the_card_tells_how_all_fences_are_reached_and_the_selected_one_alone() {
    let mut screen = sample_screen();
    perform(&mut screen, vec![Command::Stage(Stage::Land)]);
    assert!(screen.query_by_label("How all fences are reached").is_some());
    assert!(screen.query_by_label_contains("The longest walk is to East paddock").is_some());
    let id = FeatureId::new("east");
    perform(&mut screen, vec![Command::Select(Selection::of(id.clone()))]);
    assert!(screen.query_by_label("How East paddock is reached").is_some());
    let line = window(&mut screen).session.line_outcome(&id).expect("drawn").clone();
    let near = line.reach.as_ref().expect("there is a track").length_of(ReachClass::Near, Season::LeafOff);
    let metres = format!("{:.0}\u{a0}m", near.as_metres());
    let shown =
        screen.query_all_by_label(&metres).count() + screen.query_all_by_label(&metres.replace('\u{a0}', "\u{202f}")).count();
    assert!(shown > 0, "{metres} stands in the table");
}

#[test]
fn the_ground_is_coloured_by_what_is_asked_for_and_each_look_has_its_key() {
    let mut screen = sample_screen();
    perform(&mut screen, vec![Command::Stage(Stage::Land)]);
    assert!(screen.query_by_label("over 60 %").is_some(), "slope comes first");
    for (button, of_the_key, look) in [
        ("minutes on foot", "nobody gets there", LandLook::Walk),
        ("seen from the tracks", "seen once the leaves have fallen", LandLook::Seen),
        ("water", "5 ha and more: a channel", LandLook::Water),
        ("wet ground", "probably wet", LandLook::Wet),
        ("running animals", "from here to the chosen stretch", LandLook::Runners),
    ] {
        click_on(&mut screen, button);
        screen.run_steps(4);
        assert_eq!(window(&mut screen).session.look.by, look);
        assert!(screen.query_by_label(of_the_key).is_some(), "{button}");
        let picture = window(&mut screen).session.look.picture.clone().expect("painted");
        let colours: std::collections::HashSet<_> = picture.image.pixels.iter().collect();
        assert!(colours.len() > 3, "{button}: several classes, some of them striped");
    }
    click_on(&mut screen, "slope");
    screen.run_steps(4);
    assert!(window(&mut screen).session.look.picture.is_none());
}

#[test]
fn without_a_usable_track_the_card_says_what_is_missing() {
    let mut screen = sample_screen();
    let id = FeatureId::new("track");
    let track = window(&mut screen).session.plan().feature(&id).expect("drawn").clone();
    let Kind::Track(mut of) = track.kind.clone() else { panic!("a track") };
    of.vehicle = Some("foot".to_owned());
    let edit = Edit::SetKind { id: id.clone(), kind: Box::new(Kind::Track(of)) };
    let gesture = Gesture::ChangedKind { label: "Hill track".to_owned(), kind: "track".to_owned() };
    perform(&mut screen, vec![Command::Stage(Stage::Land), Command::Change(gesture, vec![edit])]);
    click_on(&mut screen, "minutes on foot");
    screen.run_steps(4);
    assert!(screen.query_by_label_contains("a track that a vehicle can use").is_some());
    assert!(screen.query_by_label_contains("Nobody gets on foot").is_some());
    let gone = Edit::Remove(id);
    perform(&mut screen, vec![Command::Change(Gesture::Removed { label: "Hill track".to_owned() }, vec![gone])]);
    assert!(screen.query_by_label_contains("No track is drawn yet").is_some());
}

#[test]
fn the_hillside_of_a_chosen_stretch_is_drawn_and_the_limits_of_the_model_are_told() {
    let mut screen = sample_screen();
    perform(&mut screen, vec![Command::Stage(Stage::Land), Command::LookAtLand(LandLook::Runners)]);
    assert!(screen.query_by_label_contains("neither the comparison of places nor the count has been measured").is_some());
    assert!(screen.query_by_label_contains("Strikes on all fences").is_some());
    let hillside = RUNNER_CLASSES[3].colour.gamma_multiply(0.55);
    let is_drawn = |screen: &mut Screen| {
        let picture = window(screen).session.look.picture.clone().expect("painted");
        picture.image.pixels.contains(&hillside)
    };
    assert!(!is_drawn(&mut screen), "nothing is chosen");
    let findings = window(&mut screen).session.outcome.findings.clone();
    let index = findings.iter().position(|finding| finding.rule == Rule::Strikes).expect("the sample has one");
    let line = findings[index].place.line.clone().expect("on a line");
    perform(&mut screen, vec![Command::Select(Selection { finding: Some(index), ..Selection::of(line) })]);
    screen.run_steps(6);
    assert!(is_drawn(&mut screen));
}

#[test]
fn a_chosen_track_shows_its_long_section_with_its_length_on_the_ground() {
    let mut screen = sample_screen();
    let session = &mut window(&mut screen).session;
    let track = session.outcome.reach.tracks.judged[0].clone();
    session.selection = Selection::of(track.id.clone());
    screen.run_steps(4);
    assert!(screen.query_by_label("Long section of the track").is_some());
    let units = window(&mut screen).session.units();
    let says = hillwire::words::track_in_short(&track, units);
    assert!(says.contains(&hillwire::words::length(track.length(), units)), "{says}");
    assert!(screen.query_by_label(&says).is_some(), "{says}");
    assert!(track.length().as_metres() > track.points.windows(2).map(|pair| pair[0].at.distance_m(pair[1].at)).sum::<f64>());
}
