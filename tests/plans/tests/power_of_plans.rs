//! What the pulse reaches in drawn plans, and what the rules about it say.

use hillwire_core::catalogue::{Catalogue, GroundState};
use hillwire_core::finding::{BiteChange, Finding, Rule, Weight};
use hillwire_core::outcome::{Kept, Outcome, outcome};
use hillwire_core::plan::{Opened, read_plan};
use hillwire_core::power::Helped;

/// Degrees for metres near the equator, east and north.
fn at(east_m: f64, north_m: f64) -> String {
    format!("[{},{}]", east_m / 111_319.49, north_m / 110_574.3)
}

fn line(id: &str, corners: &[(f64, f64)], properties: &str) -> String {
    let corners: Vec<String> = corners.iter().map(|(east, north)| at(*east, *north)).collect();
    let geometry = format!(r#"{{"type":"LineString","coordinates":[{}]}}"#, corners.join(","));
    format!(r#"{{"type":"Feature","id":"{id}","geometry":{geometry},"properties":{{{properties}}}}}"#)
}

fn point(id: &str, place: (f64, f64), properties: &str) -> String {
    let geometry = format!(r#"{{"type":"Point","coordinates":{}}}"#, at(place.0, place.1));
    format!(r#"{{"type":"Feature","id":"{id}","geometry":{geometry},"properties":{{{properties}}}}}"#)
}

fn fence(id: &str, corners: &[(f64, f64)]) -> String {
    line(id, corners, r#""kind":"fence","build":"b""#)
}

fn worked_out(soil: &str, strands: &str, features: &[String]) -> Outcome {
    let text = format!(
        r#"{{"type":"FeatureCollection","hillwire":{{"version":1,"name":"p","units":"metric","ground":{{"state":"damp","soil":"{soil}","vegetation":"light",
"rock_depth_m":null}},"elevation":[],"builds":[{{"id":"b","strands":[{strands}],"line_post":"t-post","corner_post":"wood-150","max_bay_m":8,
"tension_n":450}}],"stock":[{{"id":"s","species":"pig","head":4}}],"prices":{{"currency":"GBP","items":{{}}}},"on_hand":{{}}}},"features":[{}]}}"#,
        features.join(",")
    );
    let plan = match read_plan("p", text.as_bytes()) {
        Ok(Opened::Plan(plan, _)) => plan,
        other => panic!("a plan: {:?}", other.err()),
    };
    outcome(&plan, 0, None, Catalogue::built_in(), &mut Kept::default())
}

const STRANDS: &str = r#"{"height_m":0.2,"wire":"ht-14ga","live":true},{"height_m":0.45,"wire":"ht-14ga","live":true}"#;

/// An energizer with its earth at the origin, far from any house.
fn driven() -> Vec<String> {
    vec![
        point("unit", (0.0, 0.0), r#""kind":"energizer","model":"large""#),
        point("rods", (-12.0, 0.0), r#""kind":"earth","rods":6,"rod_length_m":1.8,"rod_diameter_mm":16,"spacing_m":3"#),
    ]
}

/// Peak voltage at the end of a line in damp ground; `None` where no pulse gets.
fn end_v(outcome: &Outcome, line: &str) -> Option<f64> {
    let state = outcome.power.state(GroundState::Damp)?;
    let places = outcome.power.wiring.stations.iter().zip(&state.stations);
    places.rev().find(|(station, _)| station.line.as_str() == line)?.1.map(|arrived| arrived.open_v)
}

#[test]
fn the_pulse_goes_as_far_as_the_wires_hang_together() {
    let near = fence("near", &[(0.0, 0.0), (200.0, 0.0)]);
    let gate = |crossing: &str| point("gate", (100.0, 0.0), &format!(r#""kind":"gate","width_m":3.6,{crossing}"#));
    let cutout = |open: bool| point("switch", (200.0, 0.5), &format!(r#""kind":"cutout","open":{open}"#));
    let fault = |properties: &str| point("fault", (100.0, 0.0), &format!(r#""kind":"fault",{properties}"#));
    let joined = fence("far", &[(200.0, 0.0), (200.0, 150.0)]);
    let apart = fence("far", &[(204.0, 0.0), (204.0, 150.0)]);
    // What is drawn besides the near fence, and whether the pulse gets to the end of the far one.
    let cases: [(&str, Vec<String>, bool); 14] = [
        ("end to end", vec![joined.clone()], true),
        ("a gap", vec![apart.clone()], false),
        ("a gap and a jumper", vec![apart.clone(), line("j", &[(200.0, 0.0), (204.0, 0.0)], r#""kind":"jumper""#)], true),
        ("a jumper beside it", vec![apart, line("j", &[(200.0, 3.0), (204.0, 0.0)], r#""kind":"jumper""#)], false),
        ("a gate with a cable", vec![joined.clone(), gate(r#""crossing":"underground""#)], true),
        ("a gate that says nothing", vec![joined.clone(), gate(r#""live":false"#)], true),
        ("a gate with a wire overhead", vec![joined.clone(), gate(r#""crossing":"overhead""#)], true),
        ("a gate that stops it", vec![joined.clone(), gate(r#""crossing":"none""#)], false),
        ("a live gate without a cable", vec![joined.clone(), gate(r#""crossing":"none","live":true"#)], true),
        ("a switch that is on", vec![joined.clone(), cutout(false)], true),
        ("a switch that is off", vec![joined.clone(), cutout(true)], false),
        ("a break of one of two strands", vec![joined.clone(), fault(r#""what":"break""#)], true),
        ("a break that was mended", vec![joined.clone(), fault(r#""what":"break","mended":"2026-03-01T10:00:00Z""#)], true),
        ("a branch on the wire", vec![joined, fault(r#""what":"contact""#)], true),
    ];
    for (case, drawn, arrives) in cases {
        let features = [driven(), vec![near.clone()], drawn].concat();
        let outcome = worked_out("loam", STRANDS, &features);
        assert!(end_v(&outcome, "near").is_some() || !arrives, "{case}");
        let found = end_v(&outcome, "far").is_some_and(|volt| volt > 500.0);
        assert_eq!(found, arrives, "{case}: {:?}", end_v(&outcome, "far"));
    }
}

#[test]
fn a_break_of_the_only_strand_ends_the_pulse_until_it_is_mended() {
    let one = r#"{"height_m":0.3,"wire":"ht-14ga","live":true}"#;
    let of = |fault: &str| {
        let drawn = vec![fence("near", &[(0.0, 0.0), (200.0, 0.0)]), point("fault", (100.0, 0.0), fault)];
        end_v(&worked_out("loam", one, &[driven(), drawn].concat()), "near").expect("on the wires")
    };
    assert!(of(r#""kind":"fault","what":"break""#) < 100.0);
    assert!(of(r#""kind":"fault","what":"break","mended":"2026-03-01T10:00:00Z""#) > 5000.0);
}

#[test]
fn what_stands_in_the_way_or_leads_to_the_ground_takes_its_share() {
    let near = fence("near", &[(0.0, 0.0), (400.0, 0.0)]);
    let of = |fault: &str| {
        let features =
            [driven(), vec![near.clone(), point("fault", (300.0, 0.0), &format!(r#""kind":"fault",{fault}"#))]].concat();
        end_v(&worked_out("loam", STRANDS, &features), "near").expect("fed")
    };
    let sound_v = of(r#""what":"slack""#);
    for (weak, weaker) in [
        (r#""what":"contact","ohm":5000"#, r#""what":"contact","ohm":500"#),
        (r#""what":"contact","ohm":500"#, r#""what":"contact","ohm":50"#),
        (r#""what":"insulator""#, r#""what":"water gap""#),
        (r#""what":"joint","ohm":500"#, r#""what":"joint","ohm":50000"#),
        (r#""what":"earth","ohm":50"#, r#""what":"earth","ohm":2000"#),
    ] {
        assert!(of(weak) > of(weaker) && sound_v > of(weaker), "{weak} and {weaker}: {} {} of {sound_v}", of(weak), of(weaker));
    }
}

#[test]
fn an_earth_strand_beside_the_live_one_bites_where_the_ground_does_not_carry() {
    let rods = |east: f64| {
        point(
            &format!("rod-{east}"),
            (east, 0.5),
            r#""kind":"earth","rods":1,"rod_length_m":1,"rod_diameter_mm":16,"spacing_m":3"#,
        )
    };
    let near = fence("near", &[(0.0, 0.0), (400.0, 0.0)]);
    let unit = point("unit", (0.0, 0.0), r#""kind":"energizer","model":"large""#);
    let weakest = |strands: &str, rods: Vec<String>| {
        let features = [vec![unit.clone(), near.clone()], rods].concat();
        let outcome = worked_out("rock", strands, &features);
        outcome.power.far_end(GroundState::Dry).expect("fed").arrived.loaded_v
    };
    let live = r#"{"height_m":0.2,"wire":"ht-14ga","live":true}"#;
    let both = format!(r#"{live},{{"height_m":0.4,"wire":"ht-14ga","live":false}}"#);
    let (alone, paired) = (weakest(live, vec![rods(2.0)]), weakest(&both, vec![rods(2.0), rods(200.0), rods(400.0)]));
    assert!(paired > 2.0 * alone, "{paired} against {alone}");
}

fn told(findings: &[Finding], rule: Rule) -> Vec<Weight> {
    findings.iter().filter(|finding| finding.rule == rule).map(|finding| finding.weight).collect()
}

fn ring(id: &str, east: f64) -> String {
    fence(id, &[(east, 0.0), (east + 80.0, 0.0), (east + 80.0, 80.0), (east, 80.0), (east, 0.0)])
}

fn stocked(east: f64) -> String {
    point("paddock", (east + 40.0, 40.0), r#""kind":"paddock","stock":"s""#)
}

fn unit(id: &str, place: (f64, f64), model: &str) -> String {
    point(id, place, &format!(r#""kind":"energizer","model":"{model}""#))
}

fn rods(east: f64) -> String {
    point("rods", (east, -15.0), r#""kind":"earth","rods":6,"rod_length_m":1.8,"rod_diameter_mm":16,"spacing_m":3"#)
}

fn house(east: f64) -> String {
    point("house", (east, -15.0), r#""kind":"building","mains":true"#)
}

/// A medium unit at the foot of the map, so far east.
fn medium(east: f64) -> String {
    unit("u", (east, 0.0), "medium")
}

/// What is drawn on which soil, and what the rules about the pulse say of it.
type Case = (&'static str, &'static str, Vec<String>, Vec<(Rule, Weight)>);

fn cases() -> Vec<Case> {
    use Rule::{Earth, EarthDistance, EnergizerSize, LeadOut, TwoEnergizers, Unfed};
    let lead_out = line("lead", &[(-900.0, 0.0), (0.0, 0.0)], r#""kind":"lead_out","wire":"polywire","height_m":2"#);
    vec![
        ("sound", "loam", vec![ring("r", 0.0), stocked(0.0), medium(0.0), rods(0.0)], vec![]),
        ("no energizer", "loam", vec![ring("r", 0.0), stocked(0.0)], vec![(Unfed, Weight::Note)]),
        ("an energizer far off", "loam", vec![ring("r", 0.0), medium(-50.0), rods(-50.0)], vec![(Unfed, Weight::MustFix)]),
        (
            "an unknown energizer",
            "loam",
            vec![ring("r", 0.0), point("u", (0.0, 0.0), r#""kind":"energizer""#), rods(0.0)],
            vec![(Unfed, Weight::MustFix)],
        ),
        (
            "a ring apart",
            "loam",
            vec![ring("r", 0.0), ring("other", 200.0), medium(0.0), rods(0.0)],
            vec![(Unfed, Weight::MustFix)],
        ),
        ("no earth", "loam", vec![ring("r", 0.0), medium(0.0)], vec![(Earth, Weight::LookAt)]),
        ("rock", "rock", vec![ring("r", 0.0), medium(0.0), rods(0.0)], vec![(Earth, Weight::MustFix)]),
        (
            "rods at the house",
            "loam",
            vec![ring("r", 0.0), medium(0.0), rods(0.0), house(6.0)],
            vec![(EarthDistance, Weight::LookAt)],
        ),
        ("rods off the house", "loam", vec![ring("r", 0.0), medium(0.0), rods(0.0), house(14.0)], vec![]),
        (
            "a large unit for little",
            "loam",
            vec![ring("r", 0.0), stocked(0.0), unit("u", (0.0, 0.0), "large"), rods(0.0)],
            vec![(EnergizerSize, Weight::Note)],
        ),
        (
            "two on one ring",
            "loam",
            vec![ring("r", 0.0), medium(0.0), rods(0.0), unit("v", (80.0, 80.0), "medium")],
            vec![(TwoEnergizers, Weight::MustFix)],
        ),
        (
            "two rings far apart",
            "loam",
            vec![ring("r", 0.0), ring("q", 100.0), medium(0.0), rods(0.0), unit("v", (180.0, 0.0), "medium")],
            vec![],
        ),
        (
            "two rings side by side",
            "loam",
            vec![ring("r", 0.0), ring("q", 82.0), medium(0.0), rods(0.0), unit("v", (162.0, 0.0), "medium")],
            vec![(TwoEnergizers, Weight::MustFix)],
        ),
        (
            "a long thin lead-out",
            "loam",
            vec![ring("r", 0.0), lead_out, medium(-900.0), rods(-900.0)],
            vec![(LeadOut, Weight::LookAt)],
        ),
    ]
}

/// Rings with a gate, and figures of a unit.
fn further_cases() -> Vec<Case> {
    let gate = |crossing: &str| point("gate", (40.0, 0.0), &format!(r#""kind":"gate","width_m":3.6,"crossing":"{crossing}""#));
    let printed = |stored_j: f64, output_j: f64, open_kv: f64, at_500_ohm_kv: f64| {
        let figures = format!(
            r#""kind":"energizer","stored_j":{stored_j},"output_j":{output_j},"open_kv":{open_kv},"at_500_ohm_kv":{at_500_ohm_kv}"#
        );
        vec![ring("r", 0.0), point("u", (0.0, 0.0), &figures), rods(0.0)]
    };
    let limit = |weight| vec![(Rule::EnergizerLimit, weight)];
    let medium = || unit("u", (0.0, 0.0), "medium");
    vec![
        ("a gate with a cable", "loam", vec![ring("r", 0.0), gate("underground"), medium(), rods(0.0)], vec![]),
        ("an open gate", "loam", vec![ring("r", 0.0), gate("none"), medium(), rods(0.0)], vec![(Rule::Unfed, Weight::Note)]),
        ("figures of a unit", "loam", printed(3.0, 2.0, 9.0, 5.5), vec![]),
        ("figures that cannot be", "loam", printed(3.0, 2.9, 9.0, 5.5), limit(Weight::LookAt)),
        ("5 J and a current above the line", "loam", printed(7.0, 5.0, 4.0, 3.1), vec![]),
        ("5.1 J and a current above the line", "loam", printed(7.0, 5.1, 4.0, 3.1), limit(Weight::MustFix)),
        ("7 J, short enough for its current", "loam", printed(9.0, 7.0, 9.0, 6.6), vec![]),
        ("9.5 J, too long for its current", "loam", printed(15.0, 9.5, 8.5, 7.2), limit(Weight::MustFix)),
        ("a peak of 10 kV", "loam", printed(3.0, 2.0, 10.0, 6.0), vec![]),
        ("a peak of 10.5 kV", "loam", printed(3.0, 2.0, 10.5, 6.0), limit(Weight::LookAt)),
    ]
}

#[test]
fn rules_about_the_pulse_speak_where_they_should_and_nowhere_else() {
    use Rule::{Earth, EarthDistance, EnergizerLimit, EnergizerSize, FarEnd, LeadOut, TwoEnergizers, Unfed};
    for (case, soil, features, expected) in cases().into_iter().chain(further_cases()) {
        let outcome = worked_out(soil, STRANDS, &features);
        for rule in [Earth, EarthDistance, EnergizerLimit, EnergizerSize, FarEnd, LeadOut, TwoEnergizers, Unfed] {
            let wanted: Vec<Weight> = expected.iter().filter(|(of, _)| *of == rule).map(|(_, weight)| *weight).collect();
            assert_eq!(
                told(&outcome.findings, rule),
                wanted,
                "{case}: {rule:?} {:#?}",
                outcome.findings.iter().filter(|finding| finding.rule == rule).collect::<Vec<_>>()
            );
        }
    }
}

#[test]
fn animals_that_get_too_little_are_told_with_changes_that_bring_enough() {
    let lead_out = line("lead", &[(-1500.0, 0.0), (0.0, 0.0)], r#""kind":"lead_out","wire":"polywire","height_m":2"#);
    let ring = fence("r", &[(0.0, 0.0), (300.0, 0.0), (300.0, 300.0), (0.0, 300.0), (0.0, 0.0)]);
    let outcome = worked_out(
        "loam",
        STRANDS,
        &[
            ring,
            lead_out,
            point("p", (40.0, 40.0), r#""kind":"paddock","stock":"s""#),
            point("u", (-1500.0, 0.0), r#""kind":"energizer","model":"small""#),
            point("rods", (-1500.0, -15.0), r#""kind":"earth","rods":3,"rod_length_m":1.8,"rod_diameter_mm":16,"spacing_m":3"#),
        ],
    );
    assert_eq!(told(&outcome.findings, Rule::FarEnd), [Weight::MustFix]);
    let helps = &outcome.power.helps;
    assert!(helps.len() >= 2, "{helps:?}");
    let now_v = outcome.power.far_end(GroundState::Wet).expect("fed").arrived.loaded_v;
    assert!(helps.iter().all(|help| help.brings.loaded_v > now_v));
    // The cheapest first, not the one that brings most; one of them is enough, so none are put together.
    assert!(matches!(helps[0].change, BiteChange::Growth { .. }) && helps.iter().any(Helped::reaches), "{helps:?}");
    assert!(!helps.iter().any(|help| matches!(help.change, BiteChange::Together(_))), "{helps:?}");
}
