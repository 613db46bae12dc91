//! The plan of Brackenhope: goats on heath, a few gilts on the bench, ponies below it, all fed from a shed with a battery beside the track.

use crate::drawing::{Drawn, area, line, point};
use crate::shape::{Place, first_crossing};

/// The head of the plan file.
pub const HEAD: &str = r#"{
  "version":1,
  "name":"Brackenhope",
  "units":"metric",
  "ground":{"state":"damp","soil":"loam","vegetation":"light","rock_depth_m":null},
  "elevation":[{"file":"brackenhope.tif"}],
  "builds":[{"id":"goat-5","strands":[
      {"height_m":0.15,"wire":"ht-12.5ga","live":true},
      {"height_m":0.3,"wire":"ht-12.5ga","live":true},
      {"height_m":0.5,"wire":"ht-12.5ga","live":true},
      {"height_m":0.75,"wire":"ht-12.5ga","live":true},
      {"height_m":1.05,"wire":"ht-12.5ga","live":true}],
     "line_post":"stake-sawn","corner_post":"wood-200","max_bay_m":10,"tension_n":450},
   {"id":"pony-3","strands":[
      {"height_m":0.4,"wire":"ht-12.5ga","live":true},
      {"height_m":0.8,"wire":"ht-12.5ga","live":true},
      {"height_m":1.2,"wire":"ht-12.5ga","live":true}],
     "line_post":"stake-sawn","corner_post":"wood-200","max_bay_m":12,"tension_n":500},
   {"id":"gilt-2","strands":[
      {"height_m":0.25,"wire":"ht-12.5ga","live":true},
      {"height_m":0.5,"wire":"ht-12.5ga","live":true}],
     "line_post":"stake-sawn","corner_post":"wood-150","max_bay_m":8,"tension_n":450}],
  "stock":[{"id":"goats","species":"goat","head":18,"weight_kg":55,"as_of":"2026-04-01","gain_kg_per_day":0},
   {"id":"ponies","species":"horse","head":2,"weight_kg":210,"as_of":"2026-04-01","gain_kg_per_day":0},
   {"id":"gilts","species":"pig","head":4,"weight_kg":70,"as_of":"2026-04-01","gain_kg_per_day":0.6}],
  "prices":{"currency":"GBP","items":{"ht-12.5ga":0.12,"stake-sawn":3.6,"wood-150":14.5,"wood-200":22}},
  "on_hand":{"ht-12.5ga":600,"stake-sawn":30,"wood-150":4}}"#;

/// Where the fence between heath and pasture begins and ends.
const SHARED_TOP: Place = (288.0, 412.0);
const SHARED_FOOT: Place = (284.0, 312.0);
/// The corner of the pasture at which the ponies' fence meets it.
const PASTURE_CORNER: Place = (330.0, 308.0);
/// The corner to which the lead-out comes.
const FED_CORNER: Place = (346.0, 258.0);
const SHED: Place = (378.0, 252.0);

/// Everything drawn, given the track and the burn.
pub fn drawn(track: &[Place], burn: &[Place]) -> Vec<Drawn> {
    let mut all = fences(track);
    all.extend(marks());
    all.extend(power());
    all.extend(ground(track, burn));
    all
}

fn fences(track: &[Place]) -> Vec<Drawn> {
    let fence = |name: &str, build: &str| format!(r#""kind":"fence","name":"{name}","build":"{build}""#);
    let gate = |name: &str| format!(r#""kind":"gate","name":"{name}","width_m":3.6,"live":true,"crossing":"underground""#);
    let west = [
        SHARED_TOP,
        (258.0, 430.0),
        (212.0, 438.0),
        (168.0, 424.0),
        (150.0, 376.0),
        (158.0, 328.0),
        (205.0, 304.0),
        (250.0, 300.0),
        SHARED_FOOT,
    ];
    let east = [SHARED_TOP, (335.0, 420.0), (385.0, 404.0), (396.0, 362.0), (372.0, 332.0), PASTURE_CORNER, SHARED_FOOT];
    let between = [SHARED_TOP, (290.0, 360.0), SHARED_FOOT];
    let south = [SHARED_FOOT, (288.0, 270.0), (314.0, 246.0), FED_CORNER, (350.0, 292.0), PASTURE_CORNER];
    vec![
        line("west", &west, &fence("West paddock", "goat-5")),
        line("east", &east, &fence("East paddock", "gilt-2")),
        line("between", &between, &fence("Between the paddocks", "goat-5")),
        line("south", &south, &fence("South paddock", "pony-3")),
        point("gate-east", first_crossing(&east, track), &gate("Track gate")),
        point("gate-between", first_crossing(&between, track), &gate("Gate between the paddocks")),
        point("gate-south", (348.824, 282.0), &gate("South gate")),
    ]
}

fn marks() -> Vec<Drawn> {
    vec![
        point("west-paddock", (225.0, 360.0), r#""kind":"paddock","name":"Heath","stock":"goats""#),
        point("east-paddock", (340.0, 370.0), r#""kind":"paddock","name":"Bench pasture","stock":"gilts""#),
        point("south-paddock", (315.0, 280.0), r#""kind":"paddock","name":"Foot of the bench","stock":"ponies""#),
        point("trough", (232.0, 402.0), r#""kind":"water","name":"Trough""#),
        point("drinker", (312.0, 372.0), r#""kind":"water","name":"Drinker""#),
        point("ark", (345.0, 388.0), r#""kind":"shelter","name":"Ark""#),
    ]
}

fn power() -> Vec<Drawn> {
    let shed = [(376.0, 249.0), (380.0, 249.0), (380.0, 252.5), (376.0, 252.5)];
    vec![
        line(
            "lead-out",
            &[SHED, (362.0, 250.0), FED_CORNER],
            r#""kind":"lead_out","name":"Lead-out","wire":"ht-12.5ga","conductors":1,"height_m":2.2,"spacing_m":25"#,
        ),
        point("energizer", SHED, r#""kind":"energizer","name":"Battery energizer","model":"medium""#),
        point(
            "earth",
            (394.0, 240.0),
            r#""kind":"earth","name":"Earth","rods":4,"rod_length_m":1.5,"rod_diameter_mm":16,"spacing_m":3"#,
        ),
        area("shed", &shed, r#""kind":"building","name":"Battery shed","mains":false"#),
    ]
}

fn ground(track: &[Place], burn: &[Place]) -> Vec<Drawn> {
    let wood = [
        (40.0, 470.0),
        (176.0, 452.0),
        (188.0, 428.0),
        (262.0, 423.0),
        (294.0, 446.0),
        (400.0, 456.0),
        (420.0, 596.0),
        (40.0, 596.0),
    ];
    let peat = [(130.0, 360.0), (162.0, 356.0), (186.0, 436.0), (150.0, 444.0)];
    let rock_corner = [(304.0, 238.0), (324.0, 236.0), (325.0, 254.0), (305.0, 255.0)];
    let rock_cleft = [(265.0, 292.0), (272.0, 292.0), (271.5, 314.0), (264.5, 314.0)];
    let flush = [(216.0, 392.0), (240.0, 392.0), (240.0, 420.0), (216.0, 424.0)];
    vec![
        line("track", track, r#""kind":"track","name":"Hill track","surface":"stone","width_m":3,"vehicle":"utility""#),
        line("burn", burn, r#""kind":"stream","name":"Bracken Burn","width_m":2,"seasonal":false"#),
        area("wood", &wood, r#""kind":"zone","name":"Birch wood","of":"wood""#),
        area("peat", &peat, r#""kind":"zone","name":"Peat under heath","of":"soil","value":"humus""#),
        area("rock-corner", &rock_corner, r#""kind":"zone","name":"Thin soil on rock","of":"rock","value":0.25"#),
        area("rock-cleft", &rock_cleft, r#""kind":"zone","name":"Rock cleft","of":"rock","value":0.05"#),
        area("flush", &flush, r#""kind":"zone","name":"Wet flush","of":"wet""#),
    ]
}
