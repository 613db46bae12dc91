//! The plan of Larkfold: a cattle field and a sheep field on open ground, a footpath and an overhead line across them.

use crate::drawing::{Drawn, area, line, point};
use crate::shape::{Place, first_crossing};

/// The head of the plan file.
pub const HEAD: &str = r#"{
  "version":1,
  "name":"Larkfold",
  "units":"metric",
  "ground":{"state":"damp","soil":"loam","vegetation":"clear","rock_depth_m":null},
  "elevation":[{"file":"larkfold.tif"}],
  "builds":[{"id":"cattle-2","strands":[
      {"height_m":0.6,"wire":"ht-12.5ga","live":true},
      {"height_m":0.9,"wire":"ht-12.5ga","live":true}],
     "line_post":"wood-100","corner_post":"wood-150","max_bay_m":15,"tension_n":600},
   {"id":"sheep-4","strands":[
      {"height_m":0.2,"wire":"ht-12.5ga","live":true},
      {"height_m":0.4,"wire":"ht-12.5ga","live":false},
      {"height_m":0.65,"wire":"ht-12.5ga","live":true},
      {"height_m":0.95,"wire":"ht-12.5ga","live":true}],
     "line_post":"wood-100","corner_post":"wood-200","max_bay_m":12,"tension_n":450}],
  "stock":[{"id":"sucklers","species":"cattle","head":14,"weight_kg":620,"as_of":"2026-04-01","gain_kg_per_day":0},
   {"id":"ewes","species":"sheep","head":60,"weight_kg":68,"as_of":"2026-04-01","gain_kg_per_day":0}],
  "prices":{"currency":"GBP","items":{"ht-12.5ga":0.12,"wood-100":5.4,"wood-150":14.5,"wood-200":24}},
  "on_hand":{"ht-12.5ga":1200,"wood-100":40}}"#;

/// The farm road along the beck, and the field track that climbs from the steading.
pub const TRACKS: [&[Place]; 2] = [
    &[(799.0, 350.0), (690.0, 340.0), (600.0, 326.0), (520.0, 320.0), (470.0, 314.0)],
    &[(470.0, 314.0), (400.0, 318.0), (352.0, 340.0), (352.0, 430.0), (368.0, 520.0), (398.0, 600.0), (430.0, 660.0)],
];

const TOP_FIELD: [Place; 7] =
    [(416.0, 440.0), (640.0, 446.0), (652.0, 560.0), (600.0, 690.0), (455.0, 690.0), (422.0, 580.0), (416.0, 440.0)];
const WEST_FIELD: [Place; 5] = [(196.0, 400.0), (284.0, 404.0), (292.0, 640.0), (186.0, 636.0), (196.0, 400.0)];
/// From the steading up beside the field track, on its upper side, to the corner of the top field that the track comes to.
const LEAD_OUT: [Place; 7] =
    [(474.0, 320.0), (400.0, 327.0), (362.0, 348.0), (362.0, 430.0), (378.0, 520.0), (395.0, 581.0), TOP_FIELD[5]];
const FOOTPATH: [Place; 5] = [(799.0, 540.0), (650.0, 505.0), (520.0, 500.0), (380.0, 478.0), (300.0, 300.0)];
const OVERHEAD: [Place; 3] = [(610.0, 798.0), (560.0, 600.0), (484.0, 322.0)];

/// Everything drawn, given the tracks and the beck.
pub fn drawn(tracks: &[Vec<Place>], beck: &[Place]) -> Vec<Drawn> {
    let gate = |name: &str, width_m: f64| {
        format!(r#""kind":"gate","name":"{name}","width_m":{width_m},"live":true,"crossing":"underground""#)
    };
    // The public passes here: the gate hangs, and carries no pulse.
    let path_gate = gate("Path gate", 1.5).replace("\"live\":true", "\"live\":false");
    let lead_out = |name: &str| {
        format!(r#""kind":"lead_out","name":"{name}","wire":"ht-12.5ga","conductors":1,"height_m":2.2,"spacing_m":25"#)
    };
    let track = |name: &str, vehicle: &str| {
        format!(r#""kind":"track","name":"{name}","surface":"stone","width_m":3.5,"vehicle":"{vehicle}""#)
    };
    let steading = [(472.0, 318.0), (490.0, 318.0), (490.0, 332.0), (472.0, 332.0)];
    vec![
        line("top-field", &TOP_FIELD, r#""kind":"fence","name":"Top field","build":"cattle-2""#),
        line("west-field", &WEST_FIELD, r#""kind":"fence","name":"West field","build":"sheep-4""#),
        point("gate-top", (420.286, 540.0), &gate("Top gate", 4.0)),
        point("gate-path", first_crossing(&TOP_FIELD[4..], &FOOTPATH), &path_gate),
        point("gate-west", (284.8, 428.0), &gate("West gate", 4.0)),
        point("top", (530.0, 560.0), r#""kind":"paddock","name":"Top field","stock":"sucklers""#),
        point("west", (240.0, 520.0), r#""kind":"paddock","name":"West field","stock":"ewes""#),
        line("lead-out", &LEAD_OUT, &lead_out("Lead-out")),
        line("lead-out-west", &[TOP_FIELD[0], (352.0, 425.0), WEST_FIELD[1]], &lead_out("Lead-out to the west field")),
        point("energizer", (474.0, 320.0), r#""kind":"energizer","name":"Energizer","model":"field""#),
        point(
            "earth",
            (458.0, 326.0),
            r#""kind":"earth","name":"Earth","rods":4,"rod_length_m":1.8,"rod_diameter_mm":16,"spacing_m":3.6"#,
        ),
        area("steading", &steading, r#""kind":"building","name":"Steading","mains":true"#),
        line("road", &tracks[0], &track("Farm road", "tractor")),
        line("field-track", &tracks[1], &track("Field track", "utility")),
        line("footpath", &FOOTPATH, r#""kind":"public_way","name":"Footpath","use":"foot""#),
        line("overhead", &OVERHEAD, r#""kind":"overhead_line","name":"Overhead line","kv":11,"wire_height_m":6.5"#),
        line("beck", beck, r#""kind":"stream","name":"Lark Beck","width_m":2.5,"seasonal":false"#),
        point("trough-top", (480.0, 520.0), r#""kind":"water","name":"Trough""#),
        point("trough-west", (250.0, 440.0), r#""kind":"water","name":"Trough""#),
    ]
}
