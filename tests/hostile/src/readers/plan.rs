//! Plans: spoiled with their structure in mind, and worked out where they are read.

use super::{Files, name_of};
use crate::chance::Chance;
use crate::deep::all_that_follows;
use crate::desk::{Desk, Ended, comes_back, refused};
use crate::json::{self, Roughness};
use hillwire::files::{FileTrouble, open_plan};
use std::path::Path;

/// Plans to start from; the first one has every kind of feature in it.
const PLANS: [&str; 7] = [
    include_str!("../../seeds/farm.plan.geojson"),
    include_str!("../../seeds/readings.plan.geojson"),
    include_str!("../../../../sample-maps/larkfold.plan.geojson"),
    include_str!("../../../plans/fixtures/by-hand.plan.geojson"),
    include_str!("../../../plans/fixtures/power.plan.geojson"),
    include_str!("../../../plans/fixtures/unknown.plan.geojson"),
    include_str!("../../../plans/fixtures/fine.plan.geojson"),
];

/// Words that mean something in a plan.
pub const WORDS: [&str; 64] = [
    "fence",
    "lead_out",
    "gate",
    "energizer",
    "earth",
    "cutout",
    "jumper",
    "track",
    "public_way",
    "overhead_line",
    "stream",
    "boundary",
    "building",
    "zone",
    "paddock",
    "spot_height",
    "water",
    "shelter",
    "feed",
    "reading",
    "fault",
    "photo",
    "tree",
    "mark",
    "Point",
    "LineString",
    "Polygon",
    "MultiPoint",
    "GeometryCollection",
    "Feature",
    "dry",
    "wet",
    "frozen",
    "clear",
    "overgrown",
    "rock",
    "soil",
    "wood",
    "crop",
    "keep_out",
    "us",
    "metric",
    "pig",
    "sheep",
    "cattle",
    "horse",
    "poultry",
    "goat",
    "pig-2",
    "sheep-4",
    "ht-12.5ga",
    "polywire",
    "tape-20",
    "hv-cable",
    "rod-10",
    "crib",
    "tree",
    "underground",
    "none",
    "portable",
    "very-large",
    "pen",
    "end",
    "2026-04-02",
];

/// In so many plans that are read, everything that follows is worked out once.
const WORKED_OUT: usize = 4;

pub fn spoil(chance: &mut Chance) -> Files {
    let text = if chance.one_in(3) { chance.pick(&PLANS) } else { PLANS[0] };
    // The ground of another plan lies elsewhere: that of the farm is as good as any.
    let text = text.replace("larkfold.tif", "farm.asc").replace("staneholm.tif", "farm.asc");
    let roughness = if chance.one_in(2) { Roughness::Gentle } else { Roughness::Rough };
    vec![("case.plan.geojson".to_owned(), json::spoil(&text, &WORDS, roughness, chance))]
}

pub fn read(_: &Desk, path: &Path, chance: &mut Chance) -> Ended {
    let name = name_of(path);
    let file = match open_plan(path) {
        Ok(file) => file,
        Err(FileTrouble::NotAPlan { .. }) => {
            return refused(&FileTrouble::NotAPlan { file: path.to_owned() }.to_string(), &name, &["found"]);
        }
        Err(trouble) => return refused(&trouble.to_string(), &name, &[", line ", "found ", "allowed is "]),
    };
    if let Err(fault) = comes_back(&file.plan) {
        return Ended::Wrong(fault);
    }
    if !chance.one_in(WORKED_OUT) {
        return Ended::Read;
    }
    all_that_follows(&file, &name, chance)
}
