//! Elevation grids written by GDAL (through rasterio): every coding, layout, unit and void is read as GDAL reads it.
//! Source of every expected number: GDAL 3.10.3, see fixtures/make_grids.py.
//!
//! By: program GDAL 3.10.3.

use hillwire_core::job::Job;
use hillwire_core::land::{Grid, GridFile, GridNote, read_grid};
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/grids")
}

/// What GDAL reads.
static EXPECTED: LazyLock<Value> = LazyLock::new(|| {
    let text = fs::read_to_string(folder().join("expected.json")).expect("expected.json");
    serde_json::from_str(&text).expect("JSON")
});

/// What we read: name, expectation, grid.
static GRIDS: LazyLock<Vec<(&'static str, &'static Value, Grid)>> = LazyLock::new(|| {
    let list = EXPECTED["grids"].as_array().expect("list");
    let named = list.iter().map(|entry| (entry["file"].as_str().expect("name"), entry));
    named.map(|(name, entry)| (name, entry, read(name))).collect()
});

fn read(name: &str) -> Grid {
    let bytes = fs::read(folder().join(name)).expect(name);
    read_grid(&GridFile { name, bytes: &bytes, prj: None }, &Job::new()).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn pair(value: &Value) -> (f64, f64) {
    (value[0].as_f64().expect("number"), value[1].as_f64().expect("number"))
}

fn close(a: (f64, f64), b: (f64, f64), tolerance: f64) -> bool {
    (a.0 - b.0).abs() <= tolerance && (a.1 - b.1).abs() <= tolerance
}

/// The name of a note's kind.
fn kind(note: &GridNote) -> String {
    format!("{note:?}").chars().take_while(|c| c.is_alphanumeric()).collect()
}

#[test]
fn every_cell_of_every_coding_layout_unit_and_void_is_what_gdal_reads() {
    assert!(GRIDS.len() >= 190, "{} grids", GRIDS.len());
    for (name, entry, grid) in GRIDS.iter() {
        assert_eq!(Some(grid.columns as u64), entry["columns"].as_u64(), "{name}");
        assert_eq!(Some(grid.rows as u64), entry["rows"].as_u64(), "{name}");
        let Some(ground) = entry["heights"].as_str() else {
            let sum: f64 = grid.heights_m.iter().map(|height| f64::from(*height)).sum();
            assert_eq!(Some(sum), entry["sum"].as_f64(), "{name}");
            continue;
        };
        let rows = EXPECTED["grounds"][ground].as_array().expect("rows");
        for (r, row) in rows.iter().enumerate() {
            for (c, height) in row.as_array().expect("row").iter().enumerate() {
                // Both sides are 32-bit floats: exact, to the last bit.
                let wanted = height.as_f64();
                assert_eq!(grid.height_m(c, r), wanted, "{name}: column {c}, row {r}");
            }
        }
    }
}

#[test]
fn every_grid_lies_where_gdal_puts_it() {
    for (name, entry, grid) in GRIDS.iter() {
        let place = &grid.georeference;
        let size = place.per_column.0.hypot(place.per_column.1);
        assert!(close(place.origin, pair(&entry["origin"]), size * 1e-6), "{name}: {place:?}");
        assert!(close(place.per_column, pair(&entry["per_column"]), size * 1e-9), "{name}: {place:?}");
        assert!(close(place.per_row, pair(&entry["per_row"]), size * 1e-9), "{name}: {place:?}");
    }
}

#[test]
fn every_coordinate_system_puts_the_first_cell_at_gdals_longitude_and_latitude() {
    for (name, entry, grid) in GRIDS.iter() {
        let place = &grid.georeference;
        let proj = proj::Proj::new_known_crs(&place.crs.definition, "EPSG:4326", None).expect(name);
        let found = proj.convert(place.origin).expect(name);
        // 1e-9 degree is 0.1 mm.
        assert!(close(found, pair(&entry["first_cell_lon_lat"]), 1e-9), "{name}: {found:?}");
    }
}

#[test]
fn what_is_doubtful_is_noted_and_nothing_else() {
    for (name, entry, grid) in GRIDS.iter() {
        let mut wanted: BTreeSet<String> =
            entry["notes"].as_array().into_iter().flatten().map(|note| note.as_str().expect("name").to_owned()).collect();
        // Common to many files: whole metres, one byte per cell, cells wider than 5 m.
        let whole_kind = ["int8", "int16", "int32"].iter().any(|kind| name.contains(kind));
        let whole = whole_kind && !name.contains("scale") || *name == "cloud-optimised.tif";
        let wide = name.starts_with("heights-") || name.contains("degrees");
        let common = [(whole, "Steps"), (name.contains("uint8"), "MaybePicture"), (wide, "Coarse")];
        wanted.extend(common.into_iter().filter(|(applies, _)| *applies).map(|(_, note)| note.to_owned()));
        let found: BTreeSet<String> = grid.notes.iter().map(kind).collect();
        assert_eq!(found, wanted, "{name}");
    }
}
