//! Faults found again from readings with a voltmeter's errors.
//!
//! The network, the case and what can be told from how many readings: an independent prototype of the same method in another language. Its readings
//! have 5 % of error in volts and 10 % in amperes.

use hillwire_core::catalogue::{Catalogue, GroundState};
use hillwire_core::outcome::{Kept, outcome};
use hillwire_core::plan::{FeatureId, Opened, read_plan};
use hillwire_core::power::{Foreseen, LocateError, Read, Sort, Wiring, locate, readings_of};
use hillwire_core::units::Length;

/// Lead-out of 500 m (two wires) to J; from there 400 m of three strands to A, and 300 m of two to B with 150 m of one further to C.
fn network() -> Wiring {
    // Degrees for metres at the equator, east and north.
    let east = |metres: f64| metres / 111_319.49;
    let north = |metres: f64| metres / 110_574.3;
    let strands = |heights: &[f64]| {
        let all: Vec<String> =
            heights.iter().map(|height| format!(r#"{{"height_m":{height},"wire":"ht-14ga","live":true}}"#)).collect();
        all.join(",")
    };
    let build = |id: &str, heights: &[f64]| {
        format!(
            r#"{{"id":"{id}","strands":[{}],"line_post":"t-post","corner_post":"wood-150","max_bay_m":8,"tension_n":450}}"#,
            strands(heights)
        )
    };
    let line = |id: &str, from: (f64, f64), to: (f64, f64), properties: &str| {
        format!(
            r#"{{"type":"Feature","id":"{id}","geometry":{{"type":"LineString","coordinates":[[{},{}],[{},{}]]}},"properties":{{{properties}}}}}"#,
            east(from.0),
            north(from.1),
            east(to.0),
            north(to.1)
        )
    };
    let text = format!(
        r#"{{"type":"FeatureCollection","hillwire":{{"version":1,"name":"tree","units":"metric",
"ground":{{"state":"damp","soil":"loam","vegetation":"heavy","rock_depth_m":null}},"elevation":[],"builds":[{},{},{}],"stock":[],
"prices":{{"currency":"GBP","items":{{}}}},"on_hand":{{}}}},"features":[{},{},{},{},
{{"type":"Feature","id":"e","geometry":{{"type":"Point","coordinates":[0,0]}},"properties":{{"kind":"energizer","model":"large"}}}}]}}"#,
        build("three", &[0.2, 0.4, 0.6]),
        build("two", &[0.25, 0.5]),
        build("one", &[0.5]),
        line("F", (0.0, 0.0), (500.0, 0.0), r#""kind":"lead_out","wire":"ht-14ga","conductors":2,"height_m":2"#),
        line("JA", (500.0, 0.0), (900.0, 0.0), r#""kind":"fence","build":"three""#),
        line("JB", (500.0, 0.0), (500.0, 300.0), r#""kind":"fence","build":"two""#),
        line("BC", (500.0, 300.0), (500.0, 450.0), r#""kind":"fence","build":"one""#),
    );
    let plan = match read_plan("tree", text.as_bytes()) {
        Ok(Opened::Plan(plan, _)) => plan,
        other => panic!("a plan: {:?}", other.err()),
    };
    let outcome = outcome(&plan, 0, None, Catalogue::built_in(), &mut Kept::default());
    outcome.power.wiring.as_ref().clone()
}

/// Evenly spread numbers, the same in every run.
struct Draw(u64);

impl Draw {
    fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }
    fn normal(&mut self) -> f64 {
        (-2.0 * self.even().ln()).sqrt() * (2.0 * std::f64::consts::PI * self.even()).cos()
    }
}

/// What a meter with errors reads where the true values are these.
fn with_errors(reads: &[Read], draw: &mut Draw) -> Vec<Read> {
    let mut reads = reads.to_vec();
    for read in &mut reads {
        read.volt = read.volt.map(|volt| volt * (0.05 * draw.normal()).exp());
        read.ampere = read.ampere.map(|ampere| ampere.abs() * (0.10 * draw.normal()).exp());
    }
    reads
}

fn places(places: &[(&str, f64)]) -> Vec<(FeatureId, Length)> {
    places.iter().map(|(line, metres)| (FeatureId::new(line), Length::metres(*metres))).collect()
}

/// What is read: volts and amperes (with their direction) at some of [`METERS`].
fn reads_of(truth: &[Read], volts: &[usize], amperes: &[usize]) -> Vec<Read> {
    let mut reads = truth.to_vec();
    for (index, read) in reads.iter_mut().enumerate() {
        if !volts.contains(&index) {
            read.volt = None;
        }
        if !amperes.contains(&index) {
            (read.ampere, read.towards_end) = (None, None);
        }
    }
    reads
}

struct Case {
    name: &'static str,
    at: (&'static str, f64),
    ohm: f64,
    volts: &'static [usize],
    amperes: &'static [usize],
}

const ALL_VOLTS: &[usize] = &[0, 1, 2, 4, 5];
/// F, J towards A, J towards B.
const ALL_AMPERES: &[usize] = &[0, 1, 3];
const METERS: [(&str, f64); 6] = [("F", 0.0), ("JA", 0.0), ("JA", 400.0), ("JB", 0.0), ("JB", 300.0), ("BC", 150.0)];

/// What the prototype called identifiable: at least nine in ten by its own figures.
const CASES: [Case; 7] = [
    Case { name: "500 ohm, 5 volts, 3 amperes", at: ("JA", 250.0), ohm: 500.0, volts: ALL_VOLTS, amperes: ALL_AMPERES },
    Case { name: "100 ohm, 5 volts", at: ("JA", 250.0), ohm: 100.0, volts: ALL_VOLTS, amperes: &[] },
    Case { name: "100 ohm, 5 volts, 3 amperes", at: ("JA", 250.0), ohm: 100.0, volts: ALL_VOLTS, amperes: ALL_AMPERES },
    Case { name: "30 ohm, 5 volts", at: ("JA", 250.0), ohm: 30.0, volts: ALL_VOLTS, amperes: &[] },
    Case { name: "30 ohm, 5 volts, 3 amperes", at: ("JA", 250.0), ohm: 30.0, volts: ALL_VOLTS, amperes: ALL_AMPERES },
    Case { name: "200 ohm in the lead-out, 5 volts", at: ("F", 300.0), ohm: 200.0, volts: ALL_VOLTS, amperes: &[] },
    Case {
        name: "200 ohm in the lead-out, 5 volts, 3 amperes",
        at: ("F", 300.0),
        ohm: 200.0,
        volts: ALL_VOLTS,
        amperes: ALL_AMPERES,
    },
];

/// Faults of each case that are tried, each with other errors.
const TRIALS: usize = 10;

#[test]
fn a_fault_that_can_be_found_lies_in_the_first_range_nine_times_in_ten() {
    let wiring = network();
    let meters = places(&METERS);
    let foreseen = Foreseen::of(&wiring, GroundState::Damp, &readings_of(&wiring, GroundState::Damp, &meters)).expect("driven");
    let mut draw = Draw(5);
    println!("case: true line first, true place in the first range, mean length of that range");
    for case in &CASES {
        let at = Length::metres(case.at.1);
        let faulty = wiring.with_contact(&FeatureId::new(case.at.0), at, case.ohm).expect("on it");
        let truth = reads_of(&readings_of(&faulty, GroundState::Damp, &meters), case.volts, case.amperes);
        let (mut line, mut range, mut length_m) = (0, 0, 0.0);
        for _ in 0..TRIALS {
            let located = foreseen.locate(&with_errors(&truth, &mut draw)).expect("readings");
            let Some(first) = located.suspects.first() else { continue };
            let is_line = first.line.as_str() == case.at.0;
            line += usize::from(is_line);
            range += usize::from(is_line && (first.from..=first.to).contains(&at));
            length_m += (first.to - first.from).as_metres() / TRIALS as f64;
        }
        println!("{}: {line} and {range} of {TRIALS}, {length_m:.0} m", case.name);
        assert!(range * 10 >= TRIALS * 9, "{}: {range} of {TRIALS}", case.name);
    }
}

#[test]
fn the_worked_fault_is_found_from_its_worked_readings() {
    // 100 ohm 250 m from J towards A; five volts and three amperes with errors of a few per cent, as the prototype had them.
    let wiring = network();
    let read = |line: &str, metres: f64, volt: Option<f64>, ampere: Option<f64>| Read {
        line: FeatureId::new(line),
        station: Length::metres(metres),
        volt,
        ampere,
        towards_end: ampere.map(|_| true),
    };
    let reads = [
        read("F", 0.0, Some(4369.4), Some(25.037)),
        read("JA", 0.0, Some(2526.6), Some(22.056)),
        read("JA", 400.0, Some(2435.4), None),
        read("JB", 0.0, None, Some(3.036)),
        read("JB", 300.0, Some(2624.4), None),
        read("BC", 150.0, Some(2717.7), None),
    ];
    let located = locate(&wiring, GroundState::Damp, &reads).expect("readings");
    let first = &located.suspects[0];
    assert_eq!((first.line.as_str(), first.sort), ("JA", Sort::Contact));
    // The prototype finds 220 m with a deviation of 38 m. Here strands leak less the higher they hang, which shifts it by as much again.
    assert!((first.from..=first.to).contains(&Length::metres(250.0)), "{first:?}");
    assert!((first.likeliest.as_metres() - 250.0).abs() <= 100.0, "{first:?}");
    assert!((80.0..=150.0).contains(&first.ohm), "{first:?}");
    assert!(located.nothing < 1e-6, "{}", located.nothing);
    let next = &wiring.stations[located.next.expect("there is more to read")];
    let was_read =
        |read: &Read| read.line == next.line && (read.station - next.station).as_metres().abs() < 10.0 && read.volt.is_some();
    assert!(!reads.iter().any(was_read), "{next:?}");
}

#[test]
fn a_break_is_told_from_a_contact() {
    // Nothing arrives beyond 200 m, everything before it reads as it should, or a little more.
    let wiring = network();
    let meters = places(&METERS);
    let mut reads = readings_of(&wiring, GroundState::Damp, &meters);
    reads[2].volt = Some(30.0);
    reads.iter_mut().for_each(|read| (read.ampere, read.towards_end) = (None, None));
    let located = locate(&wiring, GroundState::Damp, &reads).expect("readings");
    let first = &located.suspects[0];
    assert_eq!((first.line.as_str(), first.sort), ("JA", Sort::Along), "{first:?}");
    assert!(first.ohm > 1e4, "{first:?}");
}

#[test]
fn readings_as_expected_accuse_nobody() {
    let wiring = network();
    let reads = readings_of(&wiring, GroundState::Damp, &places(&METERS));
    let located = locate(&wiring, GroundState::Damp, &reads).expect("readings");
    assert!(located.nothing > NO_FAULT_BEFORE, "{}", located.nothing);
    for (read, expected) in reads.iter().zip(&located.expected) {
        let (read_v, expected) = (read.volt.expect("read"), expected.expect("on the wires"));
        assert!((expected.volt / read_v - 1.0).abs() < 1e-9);
    }
    assert_eq!(locate(&wiring, GroundState::Damp, &[]).map(|_| ()), Err(LocateError::NoReading));
}

/// What is believed before any reading.
const NO_FAULT_BEFORE: f64 = 0.1;
