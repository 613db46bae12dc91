//! What reading and writing promise.

use super::*;

pub(crate) const SMALL: &str = r#"{"type":"FeatureCollection",
 "hillwire":{
  "version":1,
  "name":"Brackenhope",
  "units":"metric",
  "ground":{"state":"damp","soil":"loam","vegetation":"light","rock_depth_m":null},
  "elevation":[{"file":"brackenhope.tif"}],
  "pictures":[{"file":"air.jpg"}],
  "builds":[
   {"id":"pig-2","strands":[
      {"height_m":0.2,"wire":"ht-14ga","live":true},
      {"height_m":0.45,"wire":"ht-14ga","live":true,"band_m":[0.3,0.6]}],"line_post":"t-post","corner_post":"wood-150","max_bay_m":8,"tension_n":450}],
  "stock":[
   {"id":"growers","species":"pig","head":12,"weight_kg":35.0,"as_of":"2026-04-01","gain_kg_per_day":0.65}],
  "prices":{"currency":"GBP","items":{"ht-14ga":0.09}},
  "on_hand":{"t-post":25}},
 "features":[
{"type":"Feature","id":"north","geometry":{"type":"LineString","coordinates":[[-3.812345678,56.601234567],[-3.811,56.6015]]},"properties":{"kind":"fence","name":"North line","build":"pig-2"}},
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
    assert_eq!(plan.build("pig-2").map(|build| build.strands.len()), Some(2));
}
