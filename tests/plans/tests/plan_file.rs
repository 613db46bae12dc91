//! Plans of invented places through the reader and the writer: what somebody wrote by hand, what we do not know, what is
//! finer than we keep; and every way in which a file can be unusable.

use hillwire_core::catalogue::{Catalogue, Vegetation};
use hillwire_core::land::Position;
use hillwire_core::plan::{Edit, FeatureId, Geometry, Kind, Opened, Plan, PlanNote, UnitSystem, read_plan, write_plan};
use hillwire_core::units::Length;

fn opened(name: &str, text: &[u8]) -> (Plan, Vec<PlanNote>) {
    match read_plan(name, text) {
        Ok(Opened::Plan(plan, notes)) => (plan, notes),
        other => panic!("{name}: {other:?}"),
    }
}

const BY_HAND: &str = include_str!("../fixtures/by-hand.plan.geojson");
const UNKNOWN: &str = include_str!("../fixtures/unknown.plan.geojson");
const POWER: &str = include_str!("../fixtures/power.plan.geojson");
const FINE: &str = include_str!("../fixtures/fine.plan.geojson");
const WALK: &str = include_str!("../fixtures/walk.geojson");

#[test]
fn a_plan_written_by_hand_means_the_same_with_any_spaces_line_ends_and_order() {
    let (plan, notes) = opened("by-hand", BY_HAND.as_bytes());
    let given = FeatureId::new("feature-1");
    let hinge = PlanNote::UnknownProperty { feature: FeatureId::new("gate"), property: "hinge".to_owned() };
    assert_eq!(notes, [PlanNote::GivenId { feature: given.clone(), line: 3 }, hinge]);
    let Some(Kind::Fence(fence)) = plan.feature(&given).map(|feature| &feature.kind) else { panic!("a fence") };
    assert_eq!(fence.posts, [12.5, 40.0].map(Length::metres));
    let heights: Vec<_> = plan.head.builds[0].strands.iter().map(|strand| strand.height.as_metres()).collect();
    assert_eq!(heights, [0.2, 0.45], "the lowest first");
    assert_eq!(plan.head.ground.vegetation, "light", "what the plan leaves out");
    let Some(Geometry::Area(rings)) = plan.feature(&FeatureId::new("12.50")).map(|feature| &feature.geometry) else {
        panic!("an area")
    };
    assert!(rings[0][1].lon_e9 > rings[0][0].lon_e9, "outer ring anticlockwise");

    for same in [BY_HAND.replace('\n', "\r\n"), format!("\u{feff}{BY_HAND}"), BY_HAND.replace("    ", "\t")] {
        assert_eq!(opened("by-hand", same.as_bytes()).0, plan);
    }
    let canonical = write_plan(&plan);
    let (back, _) = opened("canonical", &canonical);
    assert_eq!(back, plan);
    assert_eq!(write_plan(&back), canonical);
}

#[test]
fn what_is_not_understood_is_named_and_written_back_byte_for_byte() {
    let (plan, notes) = opened("unknown", UNKNOWN.as_bytes());
    assert_eq!(String::from_utf8_lossy(&write_plan(&plan)), UNKNOWN);
    assert_eq!(plan.head.units, UnitSystem::Us);
    let named: Vec<String> = notes
        .iter()
        .map(|note| match note {
            PlanNote::UnknownMember { feature: Some(feature), member } => format!("{feature}: {member}"),
            PlanNote::UnknownMember { feature: None, member } => member.clone(),
            PlanNote::UnknownProperty { feature, property } => format!("{feature}: property {property}"),
            PlanNote::UnknownKind { feature, kind } => format!("{feature}: kind {kind}"),
            PlanNote::NoKind { feature } => format!("{feature}: no kind"),
            PlanNote::Heights { feature } => format!("{feature}: heights"),
            PlanNote::UnknownGeometry { feature } => format!("{feature}: geometry"),
            other => panic!("{other:?}"),
        })
        .collect();
    assert_eq!(
        named,
        [
            "hillwire.weather",
            "hillwire.ground.moss",
            "hillwire.elevation[0].taken",
            "hillwire.builds[0].battens",
            "hillwire.builds[0].strands[0].colour",
            "hillwire.prices.vat",
            "made_by",
            "dyke: kind stone_dyke",
            "dyke: seen",
            "dyke: geometry.measure",
            "dyke: heights",
            "many: kind sheep_rubbing_stones",
            "many: geometry",
            "nowhere: no kind",
            "nowhere: geometry",
            "f: property painted",
        ]
    );
}

#[test]
fn what_a_plan_says_about_power_is_understood_and_written_as_it_came() {
    let (plan, notes) = opened("power", POWER.as_bytes());
    assert_eq!(notes, []);
    assert_eq!(String::from_utf8_lossy(&write_plan(&plan)), POWER);
    let ground = &plan.head.ground;
    assert_eq!((ground.resistivity_ohm_m, ground.leakage_us_per_km), (Some(250.0), Some(180.5)));
    let kind = |id: &str| &plan.feature(&FeatureId::new(id)).expect(id).kind;
    let Kind::Energizer(unit) = kind("unit") else { panic!("an energizer") };
    let figures = unit.figures(Catalogue::built_in()).expect("known");
    // Two figures of its own, two of its class, and no output: that of the class would contradict the others.
    assert_eq!((figures.stored_j, figures.open_kv, figures.at_500_ohm_kv), (4.5, 8.8, 5.5));
    assert_eq!(figures.output_j, None);
    let Kind::Energizer(plain) = kind("plain") else { panic!("an energizer") };
    assert_eq!(plain.figures(Catalogue::built_in()), Catalogue::built_in().energizer("large").map(|row| row.figures));
    let grows: Vec<_> = ["north", "south", "lead", "overgrown-lead"].iter().map(|id| kind(id).vegetation(ground)).collect();
    assert_eq!(grows, [Vegetation::Heavy, Vegetation::Light, Vegetation::Clear, Vegetation::Overgrown]);
    let Kind::Jumper(jumper) = kind("jumper") else { panic!("a jumper") };
    assert_eq!((jumper.strands.as_slice(), jumper.lines.as_slice()), ([1, 2].as_slice(), ["north".to_owned()].as_slice()));
    let Kind::Gate(gate) = kind("gate") else { panic!("a gate") };
    assert_eq!(gate.cable.as_deref(), Some("hv-cable"));
    let stands = |id: &str| matches!(kind(id), Kind::Fault(fault) if fault.is_active() && fault.ohm == Some(500.0));
    assert!(stands("twig") && !stands("mended-twig"));
}

#[test]
fn a_value_about_power_that_cannot_be_is_named_with_its_place() {
    let rows = [
        (("\"strands\":[1,2]", "\"strands\":[0]"), "strands", "a whole number from 1"),
        (("\"vegetation\":\"heavy\"", "\"vegetation\":\"jungle\""), "vegetation", "one of clear, light, heavy, overgrown"),
        (("\"stored_j\":4.5", "\"stored_j\":0"), "stored_j", "a number from 0.001"),
        (("\"ohm\":500", "\"ohm\":-1"), "ohm", "a number from 0 to"),
        (("\"resistivity_ohm_m\":250", "\"resistivity_ohm_m\":\"wet\""), "resistivity_ohm_m", "a number from 0.1"),
    ];
    for ((good, bad), place, allowed) in rows {
        let text = POWER.replacen(good, bad, 1);
        assert_ne!(text, POWER, "{good}");
        let error = read_plan("power", text.as_bytes()).expect_err(bad).to_string();
        assert!(error.contains(place) && error.contains(allowed), "{bad}: {error}");
    }
}

#[test]
fn changing_one_feature_changes_one_line() {
    let (plan, _) = opened("unknown", UNKNOWN.as_bytes());
    let edit = Edit::SetName { id: FeatureId::new("f"), name: Some("By the shore".to_owned()) };
    let text = String::from_utf8(write_plan(&edit.apply(&plan).expect("possible"))).expect("UTF-8");
    let changed: Vec<_> = text.lines().zip(UNKNOWN.lines()).filter(|(after, before)| after != before).collect();
    assert_eq!(changed.len(), 1);
    assert!(changed[0].0.contains("\"kind\":\"fence\",\"name\":\"By the shore\",\"build\":\"b\""), "{}", changed[0].0);
}

#[test]
fn finer_coordinates_are_kept_to_a_billionth_of_a_degree_and_heights_to_the_last_digit() {
    let (plan, _) = opened("fine", FINE.as_bytes());
    let corners = plan.features[0].line().expect("a line");
    assert_eq!(corners[0], Position { lon_e9: 179_999_999_999, lat_e9: -16_500_000_000 });
    assert_eq!(corners[1], Position { lon_e9: -180_000_000_000, lat_e9: -16_500_000_000 });
    assert_eq!(plan.features[1].point(), Some(Position { lon_e9: 179_000_000_001, lat_e9: -16_100_000_000 }));
    let text = String::from_utf8(write_plan(&plan)).expect("UTF-8");
    assert!(text.contains("[179.000000001,-16.1,212.123456789012345678]"), "{text}");
    assert_eq!(opened("fine", text.as_bytes()).0, plan);
}

#[test]
fn any_other_geojson_is_an_import_in_single_parts_without_kinds() {
    let Ok(Opened::Import(features, notes)) = read_plan("walk.geojson", WALK.as_bytes()) else { panic!("an import") };
    let ids: Vec<_> = features.iter().map(|feature| feature.id.to_string()).collect();
    assert_eq!(ids, ["import-1", "import-2", "3", "import-3"]);
    assert!(features.iter().all(|feature| feature.kind == Kind::Other(None)));
    assert_eq!(features[1].name.as_deref(), Some("Walked edge"));
    assert_eq!(features[0].heights.len(), 2);
    assert!(matches!(features[3].geometry, Geometry::Point(_)));
    let parts: Vec<_> = notes
        .iter()
        .filter_map(|note| match note {
            PlanNote::TakenApart { feature, parts } => Some((feature.as_str(), *parts)),
            _ => None,
        })
        .collect();
    assert_eq!(parts, [("#1", 2), ("#4", 0)]);
    for (case, text) in [
        ("a geometry", r#"{"type":"LineString","coordinates":[[0,1],[2,3]]}"#),
        ("a feature", r#"{"type":"Feature","geometry":{"type":"Point","coordinates":[0,1]},"properties":null}"#),
    ] {
        assert!(matches!(read_plan(case, text.as_bytes()), Ok(Opened::Import(features, _)) if features.len() == 1), "{case}");
    }
}

#[test]
fn a_newer_plan_may_be_looked_at_and_says_so() {
    let newer = UNKNOWN.replace("\"version\":1", "\"version\":2");
    let (_, notes) = opened("newer", newer.as_bytes());
    assert_eq!(notes[0], PlanNote::NewerVersion { found: 2, known: 1 });
    assert!(notes.iter().any(PlanNote::makes_read_only));
    let unreadable = newer.replace("\"frozen\"", "\"thawing\"");
    let error = read_plan("newer", unreadable.as_bytes()).expect_err("a word of the future");
    assert!(error.to_string().ends_with("(the file is of the newer version 2)"), "{error}");
}

/// A plan with this feature on line 4.
fn with(feature: &str) -> String {
    format!("{{\"type\":\"FeatureCollection\",\n\"hillwire\":{{\"version\":1,\"builds\":[]}},\n\"features\":[\n{feature}\n]}}\n")
}

/// A plan with these members in its head, from line 3 on.
fn head(members: &str) -> String {
    format!("{{\"type\":\"FeatureCollection\",\n\"hillwire\":{{\"version\":1,\n{members}\n}},\n\"features\":[]}}\n")
}

/// A feature with an id `x`, a geometry and properties.
fn feature(geometry: &str, properties: &str) -> String {
    with(&format!(r#"{{"type":"Feature","id":"x","geometry":{geometry},"properties":{properties}}}"#))
}

fn track(coordinates: &str) -> String {
    feature(&format!(r#"{{"type":"LineString","coordinates":{coordinates}}}"#), r#"{"kind":"track"}"#)
}

const LINE: &str = r#"{"type":"LineString","coordinates":[[0,1],[2,3]]}"#;
const POINT: &str = r#"{"type":"Point","coordinates":[0,1]}"#;
const AREA: &str = r#"{"type":"Polygon","coordinates":[[[0,1],[2,1],[2,3],[0,1]]]}"#;

/// Every text is refused with this message.
fn refused(rows: &[(String, &str)]) {
    for (text, said) in rows {
        assert_eq!(read_plan("p", text.as_bytes()).expect_err(said).to_string(), *said);
    }
}

#[test]
fn text_that_is_no_geojson_is_refused_with_place_what_was_found_and_what_is_allowed() {
    let rows = [
        ("", "p, line 1: found text that breaks off (the end is missing) at column 0; allowed is JSON as of RFC 8259"),
        (
            "{\"type\":\n\"Feat",
            "p, line 2: found text that breaks off (the end is missing) at column 5; allowed is JSON as of RFC 8259",
        ),
        ("{} x", "p, line 1: found more text behind the end at column 4; allowed is JSON as of RFC 8259"),
        ("{\n\"a\": NaN}", "p, line 2: found NaN, which is no value, at column 6; allowed is JSON as of RFC 8259"),
        ("{\"a\": }", "p, line 1: found no value where one is needed at column 7; allowed is JSON as of RFC 8259"),
        (
            "\nlat,lon,what\n1,2,x",
            "p, line 2: found text that begins with \"lat,lon,what\"; allowed is a plan: GeoJSON, which begins with {",
        ),
        ("[1]", "p, line 1: found [1]; allowed is an object {...}"),
        ("{}", "p, line 1, type: found nothing; allowed is FeatureCollection, Feature or a GeoJSON geometry"),
        (
            r#"{"type":"Topology"}"#,
            "p, line 1, type: found \"Topology\"; allowed is FeatureCollection, Feature or a GeoJSON geometry",
        ),
        (
            r#"{"type":"FeatureCollection","type":1}"#,
            "p, line 1, type: found a second \"type\"; allowed is each name once in an object",
        ),
        (
            "{\"type\":\"FeatureCollection\",\"features\":[],\n\"crs\":{\"name\":\"EPSG:27700\"}}",
            "p, line 2, crs: found {\"name\":\"EPSG:27700\"}; allowed is WGS 84 longitude and latitude (RFC 7946 section 4), and so no crs",
        ),
    ];
    refused(&rows.map(|(text, said)| (text.to_owned(), said)));
}

#[test]
fn a_head_that_makes_no_sense_is_refused_with_the_member() {
    let version = |becomes: &str| head("\"x\":1").replace("\"version\":1,", becomes);
    refused(&[
        (head("\"units\":\"imperial\""), "p, line 3, hillwire.units: found \"imperial\"; allowed is one of metric, us"),
        (version(""), "p, line 2, hillwire.version: found nothing; allowed is a whole number from 1 to 4294967295"),
        (
            version("\"version\":1099511627776,"),
            "p, line 2, hillwire.version: found 1099511627776; allowed is a whole number from 1 to 4294967295",
        ),
        (version("\"version\":0,"), "p, line 2, hillwire.version: found 0; allowed is a whole number from 1 to 4294967295"),
        (
            version("\"version\":\"1\","),
            "p, line 2, hillwire.version: found \"1\"; allowed is a whole number from 1 to 4294967295",
        ),
        (
            head("\"ground\":{\n\"state\":\"soggy\"}"),
            "p, line 4, hillwire.ground.state: found \"soggy\"; allowed is one of dry, damp, wet, frozen",
        ),
        (
            head(
                "\"builds\":[\n{\"id\":\"a\",\"strands\":[\n{\"height_m\":-1,\"wire\":\"w\",\"live\":true}],\"line_post\":\"p\"}]",
            ),
            "p, line 5, hillwire.builds[0].strands[0].height_m: found -1; allowed is a number from 0 to 10",
        ),
        (head("\"builds\":[{\"id\":\"a\"}]"), "p, line 3, hillwire.builds[0].strands: found nothing; allowed is a list [...]"),
        (
            head("\"stock\":[{\"id\":\"a\",\"species\":\"pig\",\"head\":1.5}]"),
            "p, line 3, hillwire.stock[0].head: found 1.5; allowed is a whole number from 0 to 100000",
        ),
        (
            head("\"stock\":[{\"id\":\"a\",\"species\":\"pig\",\"head\":1},\n{\"id\":\"a\",\"species\":\"pig\",\"head\":1}]"),
            "p, line 4, hillwire.stock[1].id: found a second \"a\"; allowed is an id of its own",
        ),
        (
            head("\"on_hand\":{\"t-post\":\"many\"}"),
            "p, line 3, hillwire.on_hand.t-post: found \"many\"; allowed is a number from 0 to 1000000000",
        ),
        (head("\"prices\":[]"), "p, line 3, hillwire.prices: found []; allowed is an object {...}"),
    ]);
}

#[test]
fn a_feature_that_makes_no_sense_is_refused_with_its_id_or_number() {
    let twice = |one: &str, other: &str| {
        let empty = |id: &str| format!(r#"{{"type":"Feature","id":{id},"geometry":null}}"#);
        with(&format!("{},\n{}", empty(one), empty(other)))
    };
    refused(&[
        (with("7"), "p, line 4, feature #1: found 7; allowed is an object {...}"),
        (with(r#"{"type":"Feature","id":true}"#), "p, line 4, feature #1, id: found true; allowed is text in quotes or a number"),
        (
            with(r#"{"type":"Feature","id":"x"}"#),
            "p, line 4, feature x, geometry: found nothing; allowed is a GeoJSON geometry or null",
        ),
        (with(r#"{"type":"feature","id":"x"}"#), "p, line 4, feature x, type: found \"feature\"; allowed is \"Feature\""),
        (
            twice("\"x\"", "\"x\""),
            "p, line 5, feature x, id: found an id that the feature of line 4 has; allowed is an id of its own",
        ),
        (
            twice("\"x\"", "\"x\"").replace(",\n{\"type\":\"Feature\"", ",{\"type\":\"Feature\""),
            "p, line 4, feature x, id: found an id that the feature #1 has; allowed is an id of its own",
        ),
        (
            twice("7", "\"7\""),
            "p, line 5, feature 7, id: found an id that the feature of line 4 has; allowed is an id of its own",
        ),
        (
            feature(POINT, r#"{"kind":"fence","build":"b"}"#),
            "p, line 4, feature x, geometry.type: found \"Point\"; allowed is LineString for a fence",
        ),
        (
            feature("null", r#"{"kind":"boundary"}"#),
            "p, line 4, feature x, geometry.type: found \"null\"; allowed is LineString or Polygon for a boundary",
        ),
    ]);
}

#[test]
fn a_property_that_makes_no_sense_is_refused_with_its_name() {
    let rows = [
        (LINE, r#"{"kind":"fence"}"#, "build: found nothing; allowed is text in quotes"),
        (LINE, r#"{"kind":5}"#, "kind: found 5; allowed is text in quotes"),
        (LINE, r#"{"kind":"track","width_m":"wide"}"#, "width_m: found \"wide\"; allowed is a number from 0 to 1000"),
        (LINE, r#"{"kind":"track","vehicle":"cart"}"#, "vehicle: found \"cart\"; allowed is one of none, foot, utility, tractor"),
        (LINE, r#"{"kind":"track","name":{}}"#, "name: found {}; allowed is text in quotes"),
        (POINT, r#"{"kind":"cutout","open":"yes"}"#, "open: found \"yes\"; allowed is true or false"),
        (
            LINE,
            r#"{"kind":"fence","build":"b","corners":{"first":{}}}"#,
            "corners.first: found \"first\"; allowed is the corner's number in quotes, \"0\" the first",
        ),
        (AREA, r#"{"kind":"zone","of":"rock","value":-5}"#, "value: found -5; allowed is a number from 0 to 1000"),
        (AREA, r#"{"kind":"zone","of":"rock","value":1e300}"#, "value: found 1e300; allowed is a number from 0 to 1000"),
        (AREA, r#"{"kind":"zone","of":"crop","value":-1e300}"#, "value: found -1e300; allowed is a number from 0 to 1000"),
        (AREA, r#"{"kind":"zone","of":"rock","value":"deep"}"#, "value: found \"deep\"; allowed is a number from 0 to 1000"),
        (AREA, r#"{"kind":"zone","of":"soil","value":7}"#, "value: found 7; allowed is text in quotes"),
        (LINE, r#"{"kind":"fence","build":"b","posts":[1,-2]}"#, "posts[1]: found -2; allowed is a number from 0 to 1000000"),
        (LINE, r#"{"kind":"\ud800"}"#, "kind: found \"\\ud800\" (a \\ that begins no sign); allowed is JSON as of RFC 8259"),
    ];
    for (geometry, properties, said) in rows {
        refused(&[(feature(geometry, properties), format!("p, line 4, feature x, properties.{said}").as_str())]);
    }
    let deep = format!(r#"{{"kind":"moss","deep":{}{}}}"#, "[".repeat(101), "]".repeat(101));
    let error = read_plan("p", feature(LINE, &deep).as_bytes()).expect_err("too deep").to_string();
    assert!(error.starts_with("p, line 4, feature x, properties.deep[0]"), "{error}");
    assert!(error.ends_with("found lists or objects deeper in each other; allowed is 100 at most"), "{error}");
}

#[test]
fn coordinates_that_make_no_sense_are_refused_with_their_index() {
    let lon = "allowed is a longitude from -180 to 180 degrees";
    let polygon =
        |ring: &str| feature(&format!(r#"{{"type":"Polygon","coordinates":[{ring}]}}"#), r#"{"kind":"zone","of":"wet"}"#);
    let rows = [
        (track("[[0,1]]"), ": found 1 corners; allowed is 2 corners or more".to_owned()),
        (track("[[0,1],[0,1]]"), ": found all corners at one place; allowed is 2 different corners or more".to_owned()),
        (track("[[0,1],[0,91]]"), "[1][1]: found 91; allowed is a latitude from -90 to 90 degrees".to_owned()),
        (track("[[0,1],[-3812.5,56]]"), format!("[1][0]: found -3812.5; {lon}")),
        (track("[[0,1],[\"NaN\",2]]"), format!("[1][0]: found \"NaN\"; {lon}")),
        (track("[[0,1],[1e999,2]]"), format!("[1][0]: found 1e999; {lon}")),
        (track("[[0,1],[null,2]]"), format!("[1][0]: found null; {lon}")),
        (track("[[0,1],[2]]"), "[1]: found [2]; allowed is a position [longitude, latitude]".to_owned()),
        (track("[[0,1],[2,3,\"high\"]]"), "[1][2]: found \"high\"; allowed is a number".to_owned()),
        (track("7"), ": found 7; allowed is a list [...]".to_owned()),
        (
            polygon("[[0,0],[1,0],[0,0]]"),
            "[0]: found a ring of 3 positions; allowed is 4 positions or more, the last equal to the first".to_owned(),
        ),
        (
            polygon("[[0,0],[1,0],[1,1],[0,1]]"),
            "[0]: found a ring that does not close; allowed is a last position equal to the first".to_owned(),
        ),
        (polygon(""), ": found no ring; allowed is 1 ring or more".to_owned()),
    ];
    for (text, said) in rows {
        refused(&[(text, format!("p, line 4, feature x, geometry.coordinates{said}").as_str())]);
    }
    let below = track("[[0,1],\n[-3812.5,56]]");
    refused(&[(below, &format!("p, line 5, feature x, geometry.coordinates[1][0]: found -3812.5; {lon}"))]);
}

#[test]
fn bytes_that_are_not_text_are_refused_with_their_line() {
    let error = read_plan("p", b"{\"type\":\n\"\xff\"}").expect_err("not UTF-8");
    assert_eq!(error.to_string(), "p, line 2: found byte 0xff, which is not UTF-8; allowed is UTF-8 text");
    let deep = "[".repeat(1_000_000);
    assert!(read_plan("p", deep.as_bytes()).is_err());
    let closed = format!("{deep}{}", "]".repeat(1_000_000));
    assert!(read_plan("p", closed.as_bytes()).is_err());
}
