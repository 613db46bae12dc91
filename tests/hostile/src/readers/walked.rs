//! What other programs drew: GPX, KML, and GeoJSON that is no plan, each taken into the farm.

use super::plan::WORDS;
use super::{Files, name_of};
use crate::chance::Chance;
use crate::desk::{Desk, Ended, FARM, comes_back, refused, refused_by, run};
use crate::json::{self, Roughness};
use crate::xml;
use hillwire::files::{open_foreign, open_plan, open_written};
use std::path::Path;

const GPX: &str = include_str!("../../seeds/walk.gpx");
const KML: &str = include_str!("../../seeds/parcels.kml");
const GEOJSON: &str = include_str!("../../../plans/fixtures/walk.geojson");

pub fn spoil_gpx(chance: &mut Chance) -> Files {
    vec![("walk.gpx".to_owned(), xml::spoil(GPX, KML, chance))]
}

pub fn spoil_kml(chance: &mut Chance) -> Files {
    vec![("parcels.kml".to_owned(), xml::spoil(KML, GPX, chance))]
}

pub fn spoil_geojson(chance: &mut Chance) -> Files {
    let roughness = if chance.one_in(4) { Roughness::Gentle } else { Roughness::Rough };
    vec![("other.geojson".to_owned(), json::spoil(GEOJSON, &WORDS, roughness, chance))]
}

pub fn read(desk: &Desk, path: &Path, chance: &mut Chance) -> Ended {
    let name = name_of(path);
    if chance.one_in(3) && name.ends_with(".gpx") {
        return super::tables::read_round(desk, path, chance);
    }
    if let Err(trouble) = open_foreign(path) {
        let needed: &[&str] =
            if trouble.to_string().contains("found a plan") { &["allowed"] } else { &[", line ", "found ", "allowed is "] };
        return refused(&trouble.to_string(), &name, needed);
    }
    let kind = chance.pick(&["track", "fence", "stream", "lead_out"]);
    let out = "taken.plan.geojson";
    let said = match run(&["import", FARM, &name, "--as", kind, "--out", out, "--replace"]) {
        Ok(said) => said,
        Err(fault) => return Ended::Wrong(fault),
    };
    if said.status != 0 {
        return refused_by(&said, &name, &[]);
    }
    let taken = match open_plan(Path::new(out)) {
        Ok(file) => file.plan,
        Err(trouble) => return Ended::Wrong(format!("taken into a plan that cannot be read: {trouble}")),
    };
    // The same file as what was written on a round: its waypoints.
    if name.ends_with(".gpx")
        && let Err(trouble) = open_written(path)
    {
        return Ended::Wrong(format!("drawn, but no round: {trouble}"));
    }
    comes_back(&taken).map_or_else(Ended::Wrong, |()| Ended::Read)
}
