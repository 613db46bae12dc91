//! Elevation grids: GeoTIFF by bytes and by tags, text grids by words, and the projection file beside them.

use super::{Files, name_of};
use crate::chance::Chance;
use crate::desk::{Desk, Ended, refused, refused_by, run};
use crate::{bytes, photograph, tiff, words};
use hillwire::files::{is_air_photo, open_grid, place_grid};
use hillwire_core::job::Job;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

const TEXT_GRID: &str = "ncols 6\nnrows 5\nxllcorner 499900\nyllcorner 6094690\ncellsize 5\nNODATA_value -9999\n\
    200 201.5 203 204 204.5 205\n199 200.5 202 203 203.5 204\n198 -9999 201 202 202.5 203\n197 198.5 200 201 201.5 202\n\
    196 197.5 199 200 2.005e2 201\n";

/// Ways in which a coordinate system is named.
const SYSTEMS: [&str; 6] = [
    "EPSG:32630",
    "EPSG:27700",
    "+proj=utm +zone=30 +datum=WGS84 +units=m +no_defs",
    "+proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996012717 +x_0=400000 +y_0=-100000 +ellps=airy +units=m",
    "GEOGCS[\"WGS 84\",DATUM[\"WGS_1984\",SPHEROID[\"WGS 84\",6378137,298.257223563]],PRIMEM[\"Greenwich\",0],UNIT[\"degree\",0.0174532925199433]]",
    "PROJCS[\"A zone\",GEOGCS[\"WGS 84\",DATUM[\"WGS_1984\",SPHEROID[\"WGS 84\",6378137,298.257223563]],PRIMEM[\"Greenwich\",0],\
     UNIT[\"degree\",0.0174532925199433]],PROJECTION[\"Transverse_Mercator\"],PARAMETER[\"latitude_of_origin\",0],\
     PARAMETER[\"central_meridian\",-3],PARAMETER[\"scale_factor\",0.9996],PARAMETER[\"false_easting\",500000],\
     PARAMETER[\"false_northing\",0],UNIT[\"metre\",1]]",
];

/// A projection file, good or spoiled.
pub fn projection_file(chance: &mut Chance) -> Vec<u8> {
    let good = chance.pick(&SYSTEMS);
    if chance.one_in(2) { good.as_bytes().to_vec() } else { words::spoil(good, &SYSTEMS.join("\n"), chance) }
}

pub fn spoil_geotiff(chance: &mut Chance) -> Files {
    let grids = grids_by_gdal();
    let mut file = if chance.one_in(12) { photograph::tiff() } else { chance.pick(grids) };
    let how = chance.below(8);
    if how < 6 {
        tiff::spoil(&mut file, chance);
    }
    if how == 5 || how == 6 {
        bytes::spoil(&mut file, &chance.pick(grids), chance);
    }
    if how > 6 {
        // Behind the tags stand the cells.
        let behind = file.len() / 2;
        let mut cells = file.split_off(behind);
        bytes::spoil(&mut cells, b"\0\0\xc8\x42", chance);
        file.extend(cells);
    }
    let mut files = vec![("grid.tif".to_owned(), file)];
    if chance.one_in(4) {
        files.push(("grid.prj".to_owned(), projection_file(chance)));
    }
    files
}

pub fn spoil_text(chance: &mut Chance) -> Files {
    let text = if chance.one_in(4) { TEXT_GRID.as_bytes().to_vec() } else { words::spoil(TEXT_GRID, TEXT_GRID, chance) };
    let system = if chance.one_in(2) { b"EPSG:32630".to_vec() } else { projection_file(chance) };
    vec![("grid.asc".to_owned(), text), ("grid.prj".to_owned(), system)]
}

/// A grid is placed on a map and now and then surveyed; a picture among the GeoTIFFs is opened as one.
pub fn read(desk: &Desk, path: &Path, chance: &mut Chance) -> Ended {
    let name = name_of(path);
    match is_air_photo(path) {
        Ok(true) => return super::photos::read(desk, path, chance),
        Ok(false) => {}
        Err(trouble) => return refused(&trouble.to_string(), &name, &[]),
    }
    let ground = open_grid(path, &Job::new()).and_then(|grid| place_grid(path, Arc::new(grid), None));
    let ground = match ground {
        Ok(ground) => ground,
        Err(trouble) => return refused(&trouble.to_string(), &name, &[]),
    };
    let middle = ground.extent().centre();
    if ground.elevation(middle).is_some_and(|height| !height.as_metres().is_finite()) {
        return Ended::Wrong("a height that is no number".to_owned());
    }
    if !chance.one_in(6) {
        return Ended::Read;
    }
    let words = [
        "survey",
        &name,
        "--json",
        "--slope",
        "s.tif",
        "--drainage",
        "d.tif",
        "--shade",
        "s.png",
        "--contours",
        "c.geojson",
        "--every",
        "100",
        "--replace",
    ];
    match run(&words) {
        Ok(said) if said.status == 0 => Ended::Read,
        Ok(said) => refused_by(&said, "", &[]),
        Err(fault) => Ended::Wrong(fault),
    }
}

/// Small grids of every coding, as GDAL writes them.
fn grids_by_gdal() -> &'static [Vec<u8>] {
    static GRIDS: OnceLock<Vec<Vec<u8>>> = OnceLock::new();
    GRIDS.get_or_init(|| {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../published/fixtures/grids");
        let entries = fs::read_dir(&folder).expect("the grids lie in the repository").flatten();
        let mut paths: Vec<PathBuf> =
            entries.map(|entry| entry.path()).filter(|path| path.extension().is_some_and(|ending| ending == "tif")).collect();
        paths.sort();
        paths.iter().map(|path| fs::read(path).expect("a listed file can be read")).collect()
    })
}
