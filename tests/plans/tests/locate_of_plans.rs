//! Where the fault is said to be: a stretch where readings leave a stretch, kinds of fault that a last digit exchanges not told apart, currents that
//! flow on.

use hillwire_core::catalogue::{Catalogue, GroundState};
use hillwire_core::outcome::{Kept, outcome};
use hillwire_core::plan::{FeatureId, Opened, read_plan};
use hillwire_core::power::{Foreseen, Located, Read, STRETCH, Wiring, locate};
use hillwire_core::units::Length;

/// A fence of three strands, 400 m long, with its energizer at the start.
fn fence() -> Wiring {
    let strand = |height: f64| format!(r#"{{"height_m":{height},"wire":"ht-12.5ga","live":true}}"#);
    let text = format!(
        r#"{{"type":"FeatureCollection","hillwire":{{"version":1,"name":"p","units":"metric","ground":{{"state":"damp","soil":"loam","vegetation":"light",
"rock_depth_m":null}},"elevation":[],"builds":[{{"id":"b","strands":[{},{},{}],"line_post":"t-post","corner_post":"wood-150","max_bay_m":8,
"tension_n":450}}],"stock":[],"prices":{{"currency":"GBP","items":{{}}}},"on_hand":{{}}}},"features":[
{{"type":"Feature","id":"f","geometry":{{"type":"LineString","coordinates":[[0,0],[{},0]]}},"properties":{{"kind":"fence","build":"b"}}}},
{{"type":"Feature","id":"e","geometry":{{"type":"Point","coordinates":[0,0]}},"properties":{{"kind":"energizer","model":"field"}}}}]}}"#,
        strand(0.45),
        strand(0.75),
        strand(1.05),
        400.0 / 111_319.49
    );
    let plan = match read_plan("p", text.as_bytes()) {
        Ok(Opened::Plan(plan, _)) => plan,
        other => panic!("a plan: {:?}", other.err()),
    };
    outcome(&plan, 0, None, Catalogue::built_in(), &mut Kept::default()).power.wiring.as_ref().clone()
}

/// What was read: metres along, kilovolts, amperes towards the end.
fn read((metres, kv, ampere): (f64, f64, Option<f64>)) -> Read {
    Read {
        line: FeatureId::new("f"),
        station: Length::metres(metres),
        volt: Some(kv * 1e3),
        ampere,
        towards_end: ampere.map(|_| true),
    }
}

fn first_is_a_stretch(located: &Located) -> bool {
    located.suspects.first().is_some_and(|first| first.stretch() > STRETCH)
}

#[test]
fn two_readings_far_apart_leave_a_stretch_and_a_digit_does_not_turn_the_verdict_round() {
    let (wiring, state) = (fence(), GroundState::Damp);
    let of = |kv: f64| [read((10.0, 6.5, None)), read((300.0, kv, None))];
    let foreseen = Foreseen::of(&wiring, state, &of(0.2)).expect("driven");
    // What the second meter reads: from next to nothing to a seventh.
    let all: Vec<Located> = (2..=10).map(|tenth| foreseen.locate(&of(f64::from(tenth) / 10.0)).expect("read")).collect();
    for (step, pair) in all.windows(2).enumerate() {
        let [one, other] = [&pair[0].suspects[0], &pair[1].suspects[0]];
        assert!(first_is_a_stretch(&pair[0]) && first_is_a_stretch(&pair[1]), "step {step}: {one:?}, {other:?}");
        let top = |kinds: hillwire_core::power::Kinds| {
            (kinds.ground >= kinds.most(), kinds.joint >= kinds.most(), kinds.broken >= kinds.most())
        };
        let is_exchanged = top(one.kinds) != top(other.kinds);
        let is_sure = one.kinds.most() >= 0.97 || other.kinds.most() >= 0.97;
        assert!(!(is_exchanged && is_sure), "step {step}: {:?} and {:?}", one.kinds, other.kinds);
        assert!(one.from < other.to && other.from < one.to, "step {step} moves the place: {one:?}, {other:?}");
    }
}

#[test]
fn one_more_reading_is_asked_for_while_the_stretch_is_long_and_a_break_between_near_readings_is_a_place() {
    let (wiring, state) = (fence(), GroundState::Damp);
    let located = locate(&wiring, state, &[read((10.0, 6.5, None)), read((300.0, 0.2, None))]).expect("read");
    let next = located.next.map(|next| wiring.stations[next].station.as_metres()).expect("one more");
    let first = &located.suspects[0];
    assert!(
        (first.from.as_metres()..=first.to.as_metres()).contains(&next) && (20.0..=290.0).contains(&next),
        "{next} of {first:?}"
    );
    // The same fence read on both sides of the break.
    let near = [read((10.0, 6.8, None)), read((270.0, 7.0, None)), read((300.0, 0.1, None))];
    let first = &locate(&wiring, state, &near).expect("read").suspects[0];
    assert!(first.stretch() <= STRETCH && first.from.as_metres() > 255.0 && first.to.as_metres() < 315.0, "{first:?}");
}

#[test]
fn a_current_that_flows_on_past_the_second_meter_accuses_what_lies_beyond() {
    let (wiring, state) = (fence(), GroundState::Damp);
    let of = |first_a: f64, second_a: f64| [read((10.0, 4.5, Some(first_a))), read((200.0, 4.4, Some(second_a)))];
    let foreseen = Foreseen::of(&wiring, state, &of(12.0, 12.0)).expect("driven");
    let beyond = |first_a: f64, second_a: f64| -> f64 {
        let located = foreseen.locate(&of(first_a, second_a)).expect("read");
        located.places.iter().filter(|(place, _)| place.station > Length::metres(200.0)).map(|(_, share)| share).sum()
    };
    // The same voltages: all of the current passes the second meter, or hardly any.
    let (flows_on, ends) = (beyond(12.0, 12.0), beyond(12.0, 1.5));
    assert!(flows_on > 0.9 && ends < 0.1, "beyond the second meter: {flows_on} and {ends}");
}
