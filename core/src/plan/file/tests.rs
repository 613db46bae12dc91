//! What reading and writing promise.

use super::*;
use crate::plan::arbitrary;
use proptest::collection::vec;
use proptest::prelude::*;

pub(crate) const SMALL: &str = r#"{"type":"FeatureCollection",
 "hillwire":{
  "version":1,
  "name":"Brackenhope",
  "units":"metric",
  "ground":{"state":"damp","soil":"loam","vegetation":"light","rock_depth_m":null},
  "elevation":[{"file":"brackenhope.tif"}],
  "pictures":[{"file":"air.jpg"}],
  "builds":[{"id":"gilt-2","strands":[
      {"height_m":0.25,"wire":"ht-12.5ga","live":true},
      {"height_m":0.5,"wire":"ht-12.5ga","live":true,"band_m":[0.3,0.6]}],
     "line_post":"stake-sawn","corner_post":"wood-150","max_bay_m":8,"tension_n":450}],
  "stock":[{"id":"gilts","species":"pig","head":4,"weight_kg":70,"as_of":"2026-04-01","gain_kg_per_day":0.6}],
  "prices":{"currency":"GBP","items":{"ht-12.5ga":0.12}},
  "on_hand":{"stake-sawn":30}},
 "features":[
{"type":"Feature","id":"north","geometry":{"type":"LineString","coordinates":[[-3.812345678,56.601234567],[-3.811,56.6015]]},"properties":{"kind":"fence","name":"North line","build":"gilt-2"}},
{"type":"Feature","id":"e1","geometry":{"type":"Point","coordinates":[-3.8151,56.6003]},"properties":{"kind":"energizer","model":"mains-6j"}},
{"type":"Feature","id":7,"geometry":{"type":"Point","coordinates":[-3.8151,56.6003,212.50]},"properties":{"kind":"earth","rods":3,"rod_length_m":1.8,"rod_diameter_mm":14.2}}
]}
"#;

fn plan_of(text: &str) -> Plan {
    match read_plan("small.plan.geojson", text.as_bytes()) {
        Ok(Opened::Plan(plan, _)) => plan,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_canonical_file_comes_back_byte_for_byte() {
    let plan = plan_of(SMALL);
    assert_eq!(String::from_utf8_lossy(&write_plan(&plan)), SMALL);
    assert_eq!(plan.build("gilt-2").map(|build| build.strands.len()), Some(2));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    #[test]
    fn a_plan_that_is_written_and_read_is_the_same_plan(plan in arbitrary::plan()) {
        let text = write_plan(&plan);
        match read_plan("p", &text) {
            Ok(Opened::Plan(back, _)) => {
                prop_assert_eq!(&back, &plan);
                prop_assert_eq!(String::from_utf8(write_plan(&back)), String::from_utf8(text));
            }
            other => prop_assert!(false, "{:?}\n{}", other, String::from_utf8_lossy(&text)),
        }
    }

    #[test]
    fn a_torn_or_scratched_plan_gives_an_error_or_a_plan(
        plan in arbitrary::plan(), cut in any::<prop::sample::Index>(), scratch in any::<u8>(), torn in any::<bool>(),
    ) {
        let mut text = write_plan(&plan);
        let at = cut.index(text.len());
        if torn { text.truncate(at) } else { text[at] = scratch }
        if let Err(error) = read_plan("p", &text) {
            prop_assert!(error.line >= 1 && !error.allowed.is_empty() && error.to_string().starts_with("p, line "));
        }
    }

    #[test]
    fn any_json_gives_an_error_or_a_plan(value in json_like()) {
        let text = value.to_string();
        for text in [
            text.clone(),
            format!(r#"{{"type":"FeatureCollection","hillwire":{text},"features":[]}}"#),
            format!(r#"{{"type":"FeatureCollection","hillwire":{{"version":1}},"features":{text}}}"#),
            format!(r#"{{"type":"FeatureCollection","hillwire":{{"version":1}},"features":[{text}]}}"#),
            format!(r#"{{"type":"FeatureCollection","features":[{{"type":"Feature","geometry":{text},"properties":{text}}}]}}"#),
        ] {
            if let Ok(Opened::Plan(plan, _)) = read_plan("p", text.as_bytes()) {
                prop_assert!(matches!(read_plan("p", &write_plan(&plan)), Ok(Opened::Plan(back, _)) if back == plan));
            }
        }
    }
}

/// JSON made of the words that the reader looks for, in any order.
fn json_like() -> impl Strategy<Value = Value> {
    let word = || {
        prop::sample::select(vec![
            "type",
            "Feature",
            "features",
            "geometry",
            "coordinates",
            "Point",
            "LineString",
            "Polygon",
            "MultiPolygon",
            "properties",
            "kind",
            "fence",
            "zone",
            "gate",
            "id",
            "name",
            "hillwire",
            "version",
            "builds",
            "strands",
            "corners",
            "posts",
            "ground",
            "GeometryCollection",
            "geometries",
            "crs",
            "build",
            "of",
            "value",
            "elevation",
            "stock",
            "prices",
            "items",
            "on_hand",
            "0",
        ])
    };
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::Bool),
        (-200_i32..200).prop_map(|number| serde_json::json!(number)),
        any::<f64>().prop_map(|number| serde_json::json!(number)),
        word().prop_map(|word| Value::String(word.to_owned())),
        vec(-180.0..180.0_f64, 2..4).prop_map(|pair| serde_json::json!(pair)),
    ];
    leaf.prop_recursive(6, 60, 6, move |inner| {
        prop_oneof![
            vec(inner.clone(), 0..6).prop_map(Value::Array),
            vec((word(), inner), 0..7)
                .prop_map(|members| Value::Object(members.into_iter().map(|(key, value)| (key.to_owned(), value)).collect())),
        ]
    })
}
