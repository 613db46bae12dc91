//! Files that GDAL wrote and that give no usable elevation grid, or a doubtful one: each is refused, or noted, for its
//! own reason, in words that say what was found and what is allowed. Files: fixtures/make_grids.py.
//!
//! By: program GDAL 3.10.3.

use hillwire_core::job::Job;
use hillwire_core::land::{Grid, GridError, GridFile, GridNote, read_grid};
use std::fs;
use std::path::Path;

fn attempt(name: &str, bytes: &[u8], prj: Option<&str>) -> Result<Grid, GridError> {
    read_grid(&GridFile { name, bytes: &bytes, prj }, &Job::new())
}

fn fixture(name: &str) -> Vec<u8> {
    fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/grids").join(name)).expect(name)
}

/// The error's variant, and that its sentence says these things.
fn check(name: &str, result: Result<Grid, GridError>, variant: &str, says: &[&str]) {
    let error = result.expect_err(name);
    let found: String = format!("{error:?}").chars().take_while(|c| c.is_alphanumeric()).collect();
    assert_eq!(found, variant, "{name}: {error:?}");
    let text = error.to_string();
    for part in says {
        assert!(text.contains(part), "{name}: \"{text}\" does not say \"{part}\"");
    }
}

#[test]
fn a_geotiff_that_cannot_be_used_is_refused_for_its_own_reason() {
    for (name, variant, says) in [
        ("trap-no-crs.tif", "NoCrs", &["trap-no-crs.prj", "WKT", "EPSG:"][..]),
        ("trap-no-place.tif", "NoPlace", &["corner"]),
        ("trap-sheared.tif", "Sheared", &["73.301", "90", "gdalwarp"]),
        ("trap-lerc.tif", "Compression", &["LERC", "DEFLATE", "gdal_translate"]),
        ("trap-lzma.tif", "Compression", &["LZMA", "DEFLATE", "gdal_translate"]),
        ("trap-jpeg.tif", "Compression", &["JPEG", "DEFLATE", "gdal_translate"]),
        ("trap-geocentric.tif", "CrsKind", &["geocentric", "map projections"]),
        ("trap-polar-stereographic.tif", "OwnProjection", &["method 15", "transverse Mercator", "EPSG:CODE"]),
        ("trap-half-floats.tif", "SampleType", &["16-bit floating-point", "32 or 64-bit"]),
        ("trap-complex.tif", "SampleType", &["complex", "32 or 64-bit"]),
        ("trap-64-bit-whole.tif", "SampleType", &["64-bit whole", "8, 16 or 32-bit whole"]),
        ("trap-twelve-bit.tif", "SampleType", &["12-bit whole", "8, 16 or 32-bit whole"]),
        ("trap-colours.tif", "Picture", &["red, green, blue", "heights are needed"]),
        ("trap-colour-table.tif", "Picture", &["colour table", "heights are needed"]),
        ("trap-shaded-picture.tif", "ShadedPicture", &["shaded picture", "96 %", "5 %"]),
        ("trap-degrees-as-metres.tif", "TooSteep", &["183910 %", "300 %", "0.000278 m", "degrees"]),
        ("trap-all-void.tif", "AllVoid", &["391 cells"]),
        ("trap-centimetres.tif", "ImpossibleHeights", &["300000", "-1500 to 30000 m"]),
        ("trap-one-row.tif", "TooSmall", &["23 columns and 1 rows", "at least 2"]),
    ] {
        check(name, attempt(name, &fixture(name), None), variant, says);
    }
}

#[test]
fn a_projection_file_beside_a_geotiff_without_a_system_makes_it_usable() {
    let grid = attempt("trap-no-crs.tif", &fixture("trap-no-crs.tif"), Some(" EPSG:32633\r\n")).expect("usable");
    assert_eq!(grid.georeference.crs.definition, "EPSG:32633");
}

#[test]
fn a_projection_file_of_no_use_is_refused_with_what_it_says() {
    for (text, variant, says) in [
        ("EPSG:99999", "UnknownCrs", &["EPSG:99999", "WKT"][..]),
        ("somewhere in the hills", "UnknownCrs", &["somewhere in the hills"]),
        ("EPSG:4978", "CrsKind", &["EPSG:4978", "geocentric", "map projections"]),
        ("EPSG:5703", "CrsKind", &["heights only", "map projections"]),
        ("EPSG:4807", "CrsKind", &["degrees", "map projections"]),
        ("  \n", "NoCrs", &["trap-no-crs.prj"]),
    ] {
        check(text, attempt("trap-no-crs.tif", &fixture("trap-no-crs.tif"), Some(text)), variant, says);
    }
}

#[test]
fn a_file_that_was_not_copied_whole_is_refused() {
    // Its cells stand behind its list of contents, so that all of that list survives the cut.
    let whole = fixture("cloud-optimised.tif");
    for (length, variant) in [(0, "Empty"), (3, "NotAGrid"), (6, "Damaged"), (300, "Damaged"), (whole.len() / 2, "Truncated")] {
        check("cut", attempt("cut.tif", &whole[..length], None), variant, &[]);
    }
    let text = attempt("cut.tif", &whole[..whole.len() - 200], None).expect_err("cut").to_string();
    assert!(text.contains(&format!("{} bytes", whole.len() - 200)), "{text}");
}

#[test]
fn cells_that_cannot_be_decompressed_are_named_by_row_and_column() {
    let mut bytes = fixture("cloud-optimised.tif");
    // The last of its 3 by 2 tiles of 128 by 128 cells stands at the end of the file.
    let from = bytes.len() - 200;
    bytes[from..].fill(0xff);
    check("ruined", attempt("ruined.tif", &bytes, None), "Damaged", &["row 129, column 257"]);
}

#[test]
fn what_is_doubtful_in_a_usable_grid_is_noted_with_its_numbers() {
    let notes = |name| attempt(name, &fixture(name), None).expect(name).notes;
    assert_eq!(notes("note-undeclared-zero.tif"), [GridNote::MaybeUndeclaredVoid { value: 0.0, share: 4.0 / 60.0 }]);
    assert_eq!(notes("note-steps.tif"), [GridNote::Steps { step_m: 1.0 }]);
    assert!(notes("note-maybe-feet.tif").contains(&GridNote::MaybeFeet));
    assert_eq!(notes("note-coarse.tif"), [GridNote::Coarse { spacing_m: 10.0 }]);
    // 6 of 391 cells hold -9999, which no tag declares.
    let undeclared = notes("void-undeclared-9999.tif");
    assert_eq!(undeclared, [GridNote::ImpossibleMadeVoid { value: -9999.0, share: 6.0 / 391.0 }]);
    let [GridNote::Rotated { angle_deg }] = notes("rotated.tif")[..] else { panic!("rotated") };
    assert!((angle_deg.abs() - 30.0).abs() < 1e-9, "{angle_deg}");
}
