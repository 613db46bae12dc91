//! The stage Power: energizer, earth, leads, switches, readings and faults, set on the map and changed in the card.

use egui::Key;
use egui_kittest::kittest::Queryable;
use hillwire::helping::Asked;
use hillwire::power_view::Measured;
use hillwire::session::{Selection, Stage};
use hillwire::tools::snap::nearest_on_leg;
use hillwire::tools::{Point, ToolKind};
use hillwire::words;
use hillwire_core::catalogue::{Catalogue, GroundState};
use hillwire_core::finding::BiteChange;
use hillwire_core::land::MapPoint;
use hillwire_core::mend::Grown;
use hillwire_core::plan::{Edit, Feature, FeatureId, Geometry, Gesture, Kind, Reading};
use hillwire_core::power::{STATES, readings_of};
use hillwire_core::units::Length;
use tests_screens::{
    Screen, click, click_on, field, fill, press, press_with_command, sample_screen, samples, screen_with, undone_next, window,
};

fn power_screen() -> Screen {
    power_of(sample_screen())
}

/// The sample whose energizer stands far from its fences.
fn long_lead_screen() -> Screen {
    power_of(screen_with(&samples().join("larkfold.plan.geojson")))
}

fn power_of(mut screen: Screen) -> Screen {
    // Tall enough for the whole card: a click by name goes to where it is shown.
    screen.set_size(egui::Vec2::new(1280.0, 2000.0));
    window(&mut screen).session.stage = Stage::Power;
    screen.run_steps(4);
    screen
}

fn select(screen: &mut Screen, fits: fn(&Kind) -> bool) -> FeatureId {
    let session = &mut window(screen).session;
    let id = session.plan().features.iter().find(|feature| fits(&feature.kind)).expect("in the sample").id.clone();
    session.selection = Selection::of(id.clone());
    screen.run_steps(4);
    id
}

fn chosen(screen: &mut Screen) -> Feature {
    window(screen).session.chosen().expect("selected").as_ref().clone()
}

/// A field or list by its name, what is typed or picked, and whether it has arrived.
type Case = (&'static str, Typed, fn(&Kind) -> bool);

enum Typed {
    In(&'static str),
    Picked(&'static str),
    Clicked,
}

fn every_change_is_one_step(screen: &mut Screen, cases: &[Case]) {
    let before = chosen(screen);
    for (name, typed, done) in cases {
        match typed {
            Typed::In(value) => fill(screen, name, value),
            Typed::Picked(row) => {
                click_on(screen, name);
                click_on(screen, row);
            }
            Typed::Clicked => click_on(screen, name),
        }
        let after = chosen(screen);
        assert!(done(&after.kind), "{name}: {:?}", after.kind);
        assert_eq!(undone_next(screen), format!("changing {}", before.label()), "{name}");
        press_with_command(screen, Key::Z);
        assert_eq!(chosen(screen), before, "{name}: one undo takes it back");
    }
}

#[test]
fn an_energizer_has_a_class_or_its_own_figures() {
    let mut screen = power_screen();
    select(&mut screen, |kind| matches!(kind, Kind::Energizer(_)));
    let cases: [Case; 3] = [
        (
            "class of the energizer",
            Typed::Picked("Field energizer, 3 J stored"),
            |kind| matches!(kind, Kind::Energizer(unit) if unit.model.as_deref() == Some("field")),
        ),
        ("stored energy", Typed::In("4,5"), |kind| matches!(kind, Kind::Energizer(unit) if unit.stored_j == Some(4.5))),
        ("voltage at 500 Ω", Typed::In("5.8"), |kind| matches!(kind, Kind::Energizer(unit) if unit.at_500_ohm_kv == Some(5.8))),
    ];
    every_change_is_one_step(&mut screen, &cases);
    assert!(screen.query_by_label_contains("Somebody caught in the fence").is_some(), "the cautions stand beside it");
    click_on(&mut screen, "class of the energizer");
    click_on(&mut screen, "none: as printed on it");
    assert!(screen.query_by_label_contains("Until then nothing is known about its pulse").is_some());
    for (name, value) in [("stored energy", "6"), ("voltage open", "8.8"), ("voltage at 500 Ω", "6")] {
        fill(&mut screen, name, value);
    }
    assert!(screen.query_by_label_contains("8.8\u{a0}kV open").is_some(), "three figures are enough");
}

#[test]
fn a_figure_that_cannot_be_is_refused_under_its_field() {
    let mut screen = power_screen();
    select(&mut screen, |kind| matches!(kind, Kind::Energizer(_)));
    let before = chosen(&mut screen);
    fill(&mut screen, "voltage open", "800");
    assert_eq!(chosen(&mut screen), before);
    assert!(screen.query_by_label_contains("A number from 0.1 to 20, or nothing.").is_some());
}

#[test]
fn earth_lead_out_gate_and_growth_are_changed_in_one_step_each() {
    let mut screen = power_screen();
    select(&mut screen, |kind| matches!(kind, Kind::Earth { .. }));
    let cases: [Case; 3] = [
        ("rods", Typed::In("6"), |kind| matches!(kind, Kind::Earth { rods: Some(6), .. })),
        (
            "thickness of a rod",
            Typed::In("20"),
            |kind| matches!(kind, Kind::Earth { rod_diameter: Some(thick), .. } if (thick.as_metres() - 0.02).abs() < 1e-9),
        ),
        (
            "rods apart",
            Typed::In("2.5"),
            |kind| matches!(kind, Kind::Earth { spacing: Some(apart), .. } if *apart == Length::metres(2.5)),
        ),
    ];
    every_change_is_one_step(&mut screen, &cases);
    assert!(
        screen.query_by_label_contains("at least 10 m from every other earth").is_none(),
        "folded away: the worst stands open"
    );
    select(&mut screen, |kind| matches!(kind, Kind::LeadOut(_)));
    let cases: [Case; 4] = [
        ("in the ground", Typed::Clicked, |kind| matches!(kind, Kind::LeadOut(lead) if lead.underground)),
        ("conductors", Typed::In("3"), |kind| matches!(kind, Kind::LeadOut(lead) if lead.conductors == Some(3))),
        (
            "wire of the lead-out",
            Typed::Picked("Aluminium wire, 12.5 gauge (2.5 mm)"),
            |kind| matches!(kind, Kind::LeadOut(lead) if lead.wire.as_deref() == Some("alu-12.5ga")),
        ),
        (
            "vegetation along this line",
            Typed::Picked("overgrown"),
            |kind| matches!(kind, Kind::LeadOut(lead) if lead.vegetation.as_deref() == Some("overgrown")),
        ),
    ];
    every_change_is_one_step(&mut screen, &cases);
    select(&mut screen, |kind| matches!(kind, Kind::Gate(_)));
    let cases: [Case; 2] = [
        (
            "how the pulse crosses",
            Typed::Picked("overhead"),
            |kind| matches!(kind, Kind::Gate(gate) if gate.crossing.as_deref() == Some("overhead")),
        ),
        ("live gate", Typed::Clicked, |kind| matches!(kind, Kind::Gate(gate) if gate.live.is_some())),
    ];
    every_change_is_one_step(&mut screen, &cases);
    select(&mut screen, |kind| matches!(kind, Kind::Fence(_)));
    let cases: [Case; 1] = [(
        "vegetation along this line",
        Typed::Picked("heavy: grass, bramble, fallen leaves"),
        |kind| matches!(kind, Kind::Fence(fence) if fence.vegetation.as_deref() == Some("heavy")),
    )];
    every_change_is_one_step(&mut screen, &cases);
}

/// Half way along the first leg of the first fence: the map point, and where it is on the screen.
fn on_fence(screen: &mut Screen) -> (MapPoint, egui::Pos2) {
    let session = &window(screen).session;
    let fence = session.shapes.all().find(|shape| matches!(shape.feature.kind, Kind::Fence(_))).expect("in the sample");
    let at = fence.first_ring()[0].towards(fence.first_ring()[1], 0.5);
    (at, session.view.at_screen(session.pane, at))
}

#[test]
fn switches_jumpers_readings_and_faults_are_set_onto_the_nearest_line() {
    let mut screen = power_screen();
    for (button, fits) in [
        ("Cut-out switch", (|kind| matches!(kind, Kind::Cutout { open: false })) as fn(&Kind) -> bool),
        ("Jumper", |kind| matches!(kind, Kind::Jumper(_))),
        ("Reading", |kind| matches!(kind, Kind::Reading(reading) if reading.kv.is_none() && reading.at_time.is_some())),
        ("Fault", |kind| matches!(kind, Kind::Fault(fault) if fault.is_active() && fault.what.as_deref() == Some("contact"))),
    ] {
        let (at, at_screen) = on_fence(&mut screen);
        click_on(&mut screen, button);
        click(&mut screen, at_screen + egui::vec2(0.0, 6.0));
        let feature = chosen(&mut screen);
        assert!(fits(&feature.kind), "{button}: {:?}", feature.kind);
        let session = &window(&mut screen).session;
        let set = session.frame.to_map(feature.point().expect("a point")).expect("near");
        assert!(set.distance_m(at) < 8.0 * session.view.metres_per_point, "{button} stands where it was clicked");
        let lines = session.shapes.all().filter(|shape| shape.feature.kind.carries_strands());
        let legs = lines.flat_map(|shape| shape.first_ring().windows(2));
        let off_m = legs.map(|leg| nearest_on_leg(set, leg[0], leg[1]).distance_m(set)).fold(f64::INFINITY, f64::min);
        assert!(off_m < 0.01, "{button} stands {off_m} m beside its line");
        press_with_command(&mut screen, Key::Z);
        window(&mut screen).session.selection = Selection::default();
        screen.run_steps(3);
    }
    let session = &mut window(&mut screen).session;
    session.tool = ToolKind::Set(Point::Cutout);
    screen.run_steps(2);
    let far = window(&mut screen).session.pane.left_top() + egui::vec2(12.0, 60.0);
    click(&mut screen, far);
    let said = window(&mut screen).session.notices.last().cloned().unwrap_or_default();
    assert_eq!(said, "A cut-out switch stands in a fence or a lead-out: click nearer to one.");
}

#[test]
fn a_reading_takes_what_the_meter_shows_and_a_fault_is_mended() {
    let mut screen = power_screen();
    let (_, at_screen) = on_fence(&mut screen);
    click_on(&mut screen, "Reading");
    click(&mut screen, at_screen);
    let cases: [Case; 4] = [
        ("voltage", Typed::In("5.4"), |kind| matches!(kind, Kind::Reading(reading) if reading.kv == Some(5.4))),
        ("current", Typed::In("12"), |kind| matches!(kind, Kind::Reading(reading) if reading.amp == Some(12.0))),
        (
            "current flows",
            Typed::Picked("towards its start"),
            |kind| matches!(kind, Kind::Reading(reading) if reading.direction.as_deref() == Some("start")),
        ),
        ("energizer on", Typed::Clicked, |kind| matches!(kind, Kind::Reading(reading) if reading.energizer_on == Some(false))),
    ];
    every_change_is_one_step(&mut screen, &cases);
    window(&mut screen).session.selection = Selection::default();
    screen.run_steps(3);
    click_on(&mut screen, "Fault");
    click(&mut screen, at_screen + egui::vec2(0.0, 1.0));
    let cases: [Case; 3] = [
        (
            "what is wrong",
            Typed::Picked("a bad joint"),
            |kind| matches!(kind, Kind::Fault(fault) if fault.what.as_deref() == Some("joint")),
        ),
        ("resistance of the fault", Typed::In("150"), |kind| matches!(kind, Kind::Fault(fault) if fault.ohm == Some(150.0))),
        ("Mended today", Typed::Clicked, |kind| matches!(kind, Kind::Fault(fault) if !fault.is_active())),
    ];
    every_change_is_one_step(&mut screen, &cases);
}

#[test]
fn measured_resistivity_and_leakage_replace_the_usual_ones() {
    let mut screen = power_screen();
    fill(&mut screen, "resistivity of the ground", "250");
    fill(&mut screen, "leakage of a strand", "180");
    let ground = window(&mut screen).session.plan().head.ground.clone();
    assert_eq!((ground.resistivity_ohm_m, ground.leakage_us_per_km), (Some(250.0), Some(180.0)));
    click_on(&mut screen, "leakage of a strand");
    press_with_command(&mut screen, Key::A);
    press(&mut screen, Key::Backspace);
    press(&mut screen, Key::Enter);
    assert_eq!(window(&mut screen).session.plan().head.ground.leakage_us_per_km, None);
    assert_eq!(undone_next(&mut screen), "changing the ground");
}

/// Without a no-break space, as a test writes it.
fn plain(text: &str) -> String {
    text.replace('\u{a0}', " ")
}

fn far_end_v(screen: &mut Screen, state: GroundState) -> f64 {
    window(screen).session.outcome.power.far_end(state).expect("something is fed").arrived.open_v
}

#[test]
fn the_tally_says_what_a_meter_reads_at_the_far_end_in_wet_ground_and_leads_there() {
    let mut screen = sample_screen();
    let far_v = far_end_v(&mut screen, GroundState::Wet);
    let text = format!("far end {} wet", words::voltage(far_v));
    click_on(&mut screen, &text);
    let session = &window(&mut screen).session;
    let far = session.outcome.power.far_end(GroundState::Wet).expect("something is fed");
    assert_eq!(session.stage, Stage::Power);
    assert_eq!(session.selection.only(), Some(&far.station.line));
    assert!(session.view.centre.distance_m(far.station.at) < 0.01);
}

#[test]
fn without_an_energizer_the_tally_leads_to_placing_one_and_an_unknown_one_is_asked_about() {
    let mut screen = sample_screen();
    let session = &mut window(&mut screen).session;
    let unit = session.plan().features.iter().find(|feature| matches!(feature.kind, Kind::Energizer(_))).expect("one").clone();
    session.change(Gesture::Removed { label: "Energizer".to_owned() }, &[Edit::Remove(unit.id.clone())]);
    screen.run_steps(4);
    click_on(&mut screen, "no energizer yet");
    assert_eq!(window(&mut screen).session.tool, ToolKind::Set(Point::Energizer));
    assert!(screen.query_all_by_label_contains("The plan has no energizer").next().is_some());
    let session = &window(&mut screen).session;
    let at = session.frame.to_map(unit.point().expect("a point")).expect("near");
    let at_screen = session.view.at_screen(session.pane, at);
    click(&mut screen, at_screen);
    assert!(matches!(chosen(&mut screen).kind, Kind::Energizer(_)));
    window(&mut screen).session.selection = Selection::default();
    screen.run_steps(4);
    click_on(&mut screen, "no pulse");
    click_on(&mut screen, "class of the energizer");
    click_on(&mut screen, "Large mains energizer, 6 J stored");
    assert!(far_end_v(&mut screen, GroundState::Wet) > 3000.0, "it drives the fence");
}

#[test]
fn the_card_shows_the_far_end_in_every_state_as_it_is_worked_out() {
    let mut screen = power_screen();
    for state in STATES {
        let power = window(&mut screen).session.outcome.power.clone();
        let far = power.far_end(state).expect("something is fed");
        for text in
            [words::voltage(far.arrived.open_v), words::voltage(far.arrived.loaded_v), words::energy(far.arrived.loaded_j)]
        {
            assert!(screen.query_all_by_label(&text).next().is_some(), "{}: {}", words::ground_state(state), plain(&text));
        }
    }
    click_on(&mut screen, "damp");
    click_on(&mut screen, "over 500 Ω");
    let view = window(&mut screen).session.power_view.clone();
    assert_eq!((view.state, view.measured), (GroundState::Damp, Measured::Over500));
}

#[test]
fn a_click_on_a_line_draws_the_pulse_there_and_another_state_draws_another() {
    let mut screen = power_screen();
    let (_, at_screen) = on_fence(&mut screen);
    click(&mut screen, at_screen);
    assert!(screen.query_by_label("The pulse over time").is_some());
    let peak = |screen: &mut Screen| {
        let session = &window(screen).session;
        let shape = session.pulse.as_ref().expect("a pulse");
        let place = session.power_shown().expect("driven").stations[shape.of.station].expect("fed");
        let [open, loaded] = &shape.pulses;
        assert!((open.peak().value.abs() - place.open_v).abs() < 1.0, "the picture is of the number");
        assert!((loaded.peak().value.abs() - place.loaded_v).abs() < 1.0);
        open.peak().value.abs()
    };
    let wet_v = peak(&mut screen);
    click_on(&mut screen, "dry");
    assert!(peak(&mut screen) > wet_v, "less leaks in dry ground");
    let at = field(&screen, "Long section").rect().center();
    let before = window(&mut screen).session.power_view.pulse_at.clone();
    click(&mut screen, at);
    let after = window(&mut screen).session.power_view.pulse_at.clone();
    assert!(after.is_some() && after != before, "{after:?}");
}

#[test]
fn a_fault_on_the_line_weakens_the_far_end_at_once_and_undo_gives_it_back() {
    let mut screen = power_screen();
    let before_v = far_end_v(&mut screen, GroundState::Wet);
    let (_, at_screen) = on_fence(&mut screen);
    click_on(&mut screen, "Fault");
    click(&mut screen, at_screen);
    fill(&mut screen, "resistance of the fault", "100");
    let with_fault_v = far_end_v(&mut screen, GroundState::Wet);
    assert!(with_fault_v < 0.8 * before_v, "{with_fault_v} V of {before_v} V");
    press_with_command(&mut screen, Key::Z);
    press_with_command(&mut screen, Key::Z);
    assert!((far_end_v(&mut screen, GroundState::Wet) - before_v).abs() < 1e-6);
}

#[test]
fn a_click_on_the_selected_switch_turns_it_and_what_lies_behind_is_no_longer_fed() {
    let mut screen = long_lead_screen();
    let session = &window(&mut screen).session;
    let lead = session.shapes.all().find(|shape| matches!(shape.feature.kind, Kind::LeadOut(_))).expect("in the sample");
    let ring = lead.first_ring();
    let at_screen = session.view.at_screen(session.pane, ring[1].towards(ring[2], 0.5));
    click_on(&mut screen, "Cut-out switch");
    click(&mut screen, at_screen);
    let open = |screen: &mut Screen| matches!(chosen(screen).kind, Kind::Cutout { open: true });
    assert!(!open(&mut screen));
    let fed = |screen: &mut Screen| window(screen).session.outcome.power.far_end(GroundState::Wet).is_some();
    assert!(fed(&mut screen));
    click(&mut screen, at_screen);
    assert!(open(&mut screen) && !fed(&mut screen), "no fence is fed behind it");
    click_on(&mut screen, "on: the pulse passes");
    assert!(!open(&mut screen) && fed(&mut screen));
}

#[test]
fn what_would_help_is_tried_on_asking_done_in_one_step_and_forgotten_when_the_plan_changes() {
    let mut screen = long_lead_screen();
    screen.set_size(egui::Vec2::new(1280.0, 2400.0));
    screen.run_steps(3);
    click_on(&mut screen, "Try changes");
    let Asked::Answered(helps) = window(&mut screen).session.helps.clone() else { panic!("an answer") };
    assert!(screen.query_by_label("Growth and leaf-fall").is_some());
    let wet = |grown: &Grown| grown.loaded_v[2].expect("fed");
    assert!(helps.grown.len() == 4 && helps.grown.windows(2).all(|pair| wet(&pair[0]) > wet(&pair[1])), "{:?}", helps.grown);
    let inside =
        helps.list.iter().find(|help| matches!(help.change, BiteChange::Conductors { .. } | BiteChange::LeadOutWire { .. }));
    let help = inside.expect("a better lead-out helps where it is long").clone();
    let before = window(&mut screen).session.outcome.power.far_end(GroundState::Wet).expect("fed").arrived.loaded_v;
    let what = words::bite::change(&help.change, window(&mut screen).session.plan(), Catalogue::built_in());
    click_on(&mut screen, &format!("Do it: {what}"));
    let session = &window(&mut screen).session;
    let after = session.outcome.power.far_end(GroundState::Wet).expect("fed").arrived.loaded_v;
    assert!(
        (after - before - help.gain_v).abs() < 0.01 * help.gain_v.max(20.0),
        "{before} V, {after} V, promised {}",
        help.gain_v
    );
    assert_eq!(session.helps, Asked::Not, "what was tried belongs to the plan before");
    assert_eq!(undone_next(&mut screen), format!("the change “{what}”"));
    press_with_command(&mut screen, Key::Z);
    let back = window(&mut screen).session.outcome.power.far_end(GroundState::Wet).expect("fed").arrived.loaded_v;
    assert!((back - before).abs() < 1e-6);
    if helps.list.iter().any(|help| matches!(help.change, BiteChange::Growth { .. })) {
        click_on(&mut screen, "Try changes");
        assert!(screen.query_by_label_contains("work outside").is_some(), "nobody cuts growth by a click");
    }
}

/// Readings as a perfect meter would take them in damp ground with 60 ohm between the west line and the ground at 250 m.
fn add_readings_of_a_fault(screen: &mut Screen) {
    let session = &mut window(screen).session;
    let wiring = session.outcome.power.wiring.clone();
    let faulty = wiring.with_contact(&FeatureId::new("west"), Length::metres(250.0), 60.0).expect("a wire runs there");
    let line = |name: &str, at_m: f64| (FeatureId::new(name), Length::metres(at_m));
    let places = [line("west", 100.0), line("west", 245.0), line("west", 350.0), line("east", 150.0), line("lead-out", 20.0)];
    let reads = readings_of(&faulty, GroundState::Damp, &places);
    let mut edits = Vec::new();
    for (number, read) in reads.iter().enumerate() {
        let section = &session.line_outcome(&read.line).expect("in the sample").section;
        let at = section.samples.iter().find(|sample| sample.station_m >= read.station.as_metres()).expect("on the line").at;
        let reading = Reading {
            kv: read.volt.map(|volt| volt / 1e3),
            amp: read.ampere,
            direction: read.towards_end.map(|end| if end { "end" } else { "start" }.to_owned()),
            at_time: Some("2026-06-01".to_owned()),
            ..Reading::default()
        };
        let id = FeatureId::new(&format!("reading-{number}"));
        let geometry = Geometry::Point(session.position(at));
        edits.push(Edit::Add(Box::new(Feature::new(id, Kind::Reading(reading), geometry))));
    }
    session.change(Gesture::Imported { count: edits.len() }, &edits);
    screen.run_steps(4);
}

#[test]
fn readings_lead_to_the_line_of_the_fault_and_are_forgotten_when_the_plan_changes() {
    let mut screen = power_screen();
    assert!(screen.query_by_label_contains("Set readings on the lines where you took them").is_some());
    add_readings_of_a_fault(&mut screen);
    click_on(&mut screen, "Look for it");
    let suspect = window(&mut screen).session.suspected().expect("somebody is accused").clone();
    assert_eq!(suspect.line.as_str(), "west");
    assert!(suspect.from < Length::metres(260.0) && suspect.to > Length::metres(240.0), "{suspect:?}");
    let said = words::bite::suspected(&suspect, "West paddock", hillwire_core::plan::UnitSystem::Metric);
    assert!(screen.query_by_label(&said).is_some(), "the card says it: {said}");
    click_on(&mut screen, "Show West paddock");
    assert_eq!(window(&mut screen).session.selection.only().map(FeatureId::as_str), Some("west"));
    press_with_command(&mut screen, Key::Z);
    assert!(window(&mut screen).session.suspected().is_none(), "what was found belongs to the plan before");
}
