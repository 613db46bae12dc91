//! The plan of Brackenhope: two paddocks on the bench, fed from the house by the road.

use crate::drawing::{Drawn, area, line, point};
use crate::shape::{Place, first_crossing};

/// The head of the plan file.
pub const HEAD: &str = r#"{
  "version":1,
  "name":"Brackenhope",
  "units":"metric",
  "ground":{"state":"damp","soil":"loam","vegetation":"light","rock_depth_m":null},
  "elevation":[{"file":"brackenhope.tif"}],
  "builds":[{"id":"pig-3","strands":[
      {"height_m":0.15,"wire":"ht-14ga","live":true},
      {"height_m":0.35,"wire":"ht-14ga","live":true},
      {"height_m":0.6,"wire":"ht-14ga","live":true}],
     "line_post":"t-post","corner_post":"wood-150","max_bay_m":8,"tension_n":450}],
  "stock":[{"id":"growers","species":"pig","head":12,"weight_kg":35,"as_of":"2026-04-01","gain_kg_per_day":0.65},
   {"id":"sows","species":"pig","head":3,"weight_kg":190,"as_of":"2026-04-01","gain_kg_per_day":0}],
  "prices":{"currency":"GBP","items":{"ht-14ga":0.09,"t-post":4.2,"wood-150":14.5}},
  "on_hand":{"ht-14ga":800,"t-post":25,"wood-150":4}}"#;

const SHARED_TOP: Place = (240.0, 416.0);
const SHARED_FOOT: Place = (234.0, 288.0);

/// Everything drawn, given the track and the burn.
pub fn drawn(track: &[Place], burn: &[Place]) -> Vec<Drawn> {
    let mut all = fences(track);
    all.extend(power());
    all.extend(ground(track, burn));
    all
}

fn fences(track: &[Place]) -> Vec<Drawn> {
    let fence = |name: &str| format!(r#""kind":"fence","name":"{name}","build":"pig-3""#);
    let gate = |name: &str| format!(r#""kind":"gate","name":"{name}","width_m":3.6,"live":true,"crossing":"underground""#);
    let west =
        [SHARED_TOP, (205.0, 424.0), (150.0, 420.0), (96.0, 398.0), (86.0, 345.0), (92.0, 300.0), (148.0, 282.0), SHARED_FOOT];
    let east = [SHARED_TOP, (296.0, 400.0), (346.0, 384.0), (336.0, 338.0), (314.0, 286.0), (280.0, 279.0), SHARED_FOOT];
    let between = [SHARED_TOP, (240.0, 378.0), SHARED_FOOT];
    vec![
        line("west", &west, &fence("West paddock")),
        line("east", &east, &fence("East paddock")),
        line("between", &between, &fence("Between the paddocks")),
        point("gate-east", first_crossing(&east, track), &gate("Track gate")),
        point("gate-between", first_crossing(&between, track), &gate("Gate between the paddocks")),
        point("gate-south", (120.0, 291.0), &gate("South gate")),
        point("west-paddock", (160.0, 350.0), r#""kind":"paddock","name":"West wood","stock":"growers""#),
        point("east-paddock", (285.0, 345.0), r#""kind":"paddock","name":"East wood","stock":"sows""#),
    ]
}

fn power() -> Vec<Drawn> {
    let lead_out = [
        (538.0, 90.0),
        (440.0, 104.0),
        (388.0, 140.0),
        (372.0, 215.0),
        (338.0, 258.0),
        (290.0, 244.0),
        (250.0, 266.0),
        SHARED_FOOT,
    ];
    vec![
        line(
            "lead-out",
            &lead_out,
            r#""kind":"lead_out","name":"Lead-out","wire":"ht-12.5ga","conductors":1,"height_m":2.2,"spacing_m":25"#,
        ),
        point("energizer", (538.0, 90.0), r#""kind":"energizer","name":"Energizer","model":"large""#),
        point(
            "earth",
            (522.0, 84.0),
            r#""kind":"earth","name":"Earth","rods":6,"rod_length_m":1.5,"rod_diameter_mm":16,"spacing_m":3"#,
        ),
    ]
}

fn ground(track: &[Place], burn: &[Place]) -> Vec<Drawn> {
    let house = [(534.0, 84.0), (546.0, 84.0), (546.0, 93.0), (534.0, 93.0)];
    let wood = [(4.0, 140.0), (420.0, 140.0), (450.0, 160.0), (596.0, 160.0), (596.0, 596.0), (4.0, 596.0)];
    let rock_corner = [(338.0, 376.0), (354.0, 374.0), (358.0, 394.0), (340.0, 394.0)];
    let rock_cleft = [(260.3, 268.0), (266.3, 268.0), (273.8, 298.0), (267.8, 298.0)];
    let flush = [(100.0, 318.0), (132.0, 322.0), (128.0, 352.0), (104.0, 348.0)];
    vec![
        area("house", &house, r#""kind":"building","name":"House","mains":true"#),
        line("track", track, r#""kind":"track","name":"Forest track","surface":"stone","width_m":3,"vehicle":"utility""#),
        line("burn", burn, r#""kind":"stream","name":"Bracken Burn","width_m":2,"seasonal":false"#),
        area("wood", &wood, r#""kind":"zone","name":"Oak and birch","of":"wood""#),
        area("rock-corner", &rock_corner, r#""kind":"zone","name":"Thin soil on rock","of":"rock","value":0.25"#),
        area("rock-cleft", &rock_cleft, r#""kind":"zone","name":"Rock cleft","of":"rock","value":0.05"#),
        area("flush", &flush, r#""kind":"zone","name":"Wet flush","of":"wet""#),
        point("trough", (180.0, 330.0), r#""kind":"water","name":"Trough""#),
        point("drinker", (300.0, 335.0), r#""kind":"water","name":"Drinker""#),
        point("ark", (150.0, 372.0), r#""kind":"shelter","name":"Ark""#),
    ]
}
