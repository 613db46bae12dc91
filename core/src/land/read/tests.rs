//! Text grids and other files: what may vary, and what is refused in which words. No byte may make the reader panic.

use super::*;
use crate::land::{CrsKind, GridNote};
use proptest::prelude::*;

const UTM: Option<&str> = Some("EPSG:32633");
const HEADING: &str = "ncols 3\nnrows 2\nxllcorner 500000\nyllcorner 5000000\ncellsize 10\nNODATA_value -9999\n";

fn read_text(text: &[u8], prj: Option<&str>) -> Result<Grid, GridError> {
    read_grid(&GridFile { name: "hill.asc", bytes: &text, prj }, &Job::new())
}

#[test]
fn every_way_to_write_a_heading_gives_the_same_grid() {
    let numbers = "1 2 3\n4 5 -9999\n";
    let (x_y, centre) = ("xllcorner 500000\nyllcorner 5000000\n", "xllcenter 500005\nyllcenter 5000005\n");
    for text in [
        format!("ncols 3\nnrows 2\n{x_y}cellsize 10\nNODATA_value -9999\n{numbers}"),
        format!("NCOLS 3\nNROWS 2\n{x_y}CELLSIZE 10\nnodata_value -9999\n{numbers}"),
        format!("ncols 3\nnrows 2\n{centre}cellsize 10\nNODATA_value -9999\n{numbers}"),
        format!("ncols 3\nnrows 2\nxllcenter 500005\nyllcorner 5000000\ncellsize 10\nNODATA_value -9999\n{numbers}"),
        format!("ncols 3\nnrows 2\n{x_y}dx 10\ndy 10\nNODATA_value -9999\n{numbers}"),
        format!("nrows 2\n{x_y}ncols 3\nNODATA_value -9999.00\ncellsize 1e1\n{numbers}"),
        format!("ncols    3\nnrows\t2\n{x_y}cellsize 10.000\nNODATA_value -9.999e3\n  1 2\n3 4\n\n5 -9999"),
        format!("\u{feff}ncols 3\nnrows 2\n{x_y}cellsize 10\n1.0 +2 3e0 40e-1 .5e1 nan"),
        format!("ncols 3\nnrows 2\n{x_y}cellsize 10\nNODATA_value -9999\n{numbers}").replace('\n', "\r\n"),
    ] {
        let grid = read_text(text.as_bytes(), UTM).expect(&text);
        assert_eq!((grid.columns, grid.rows), (3, 2), "{text}");
        assert_eq!(grid.georeference.origin, (500_005.0, 5_000_015.0), "{text}");
        assert_eq!((grid.georeference.per_column, grid.georeference.per_row), ((10.0, 0.0), (0.0, -10.0)), "{text}");
        assert_eq!(grid.heights_m[..5], [1.0, 2.0, 3.0, 4.0, 5.0], "{text}");
        assert!(grid.heights_m[5].is_nan(), "{text}");
    }
}

#[test]
fn an_undeclared_void_value_becomes_void_with_a_note() {
    let text = HEADING.replace("NODATA_value -9999\n", "") + "1 2 3\n4 5 -9999\n";
    let grid = read_text(text.as_bytes(), UTM).expect("usable");
    assert!(grid.heights_m[5].is_nan());
    assert!(grid.notes.contains(&GridNote::ImpossibleMadeVoid { value: -9999.0, share: 1.0 / 6.0 }), "{:?}", grid.notes);
}

#[test]
fn heights_of_a_map_in_feet_become_metres() {
    let text = HEADING.replace("5000000", "700000") + "1000 1002 1003\n1004 1005 1006\n";
    let grid = read_text(text.as_bytes(), Some("EPSG:2264")).expect("usable");
    assert_eq!(grid.heights_m[0].to_bits(), ((1000.0 * crate::units::US_SURVEY_FOOT_M) as f32).to_bits());
    assert_eq!(grid.georeference.crs.kind, CrsKind::Projected { metres_per_unit: crate::units::US_SURVEY_FOOT_M });
    assert!(grid.notes.contains(&GridNote::HeightsTakenAsFeet));
}

/// The error's variant, and that its sentence says these things.
fn refused(text: &[u8], variant: &str, says: &[&str]) {
    let shown = String::from_utf8_lossy(text).into_owned();
    let error = read_text(text, UTM).expect_err(&shown);
    let found: String = format!("{error:?}").chars().take_while(|c| c.is_alphanumeric()).collect();
    assert_eq!(found, variant, "{shown}: {error:?}");
    for part in says {
        assert!(error.to_string().contains(part), "{shown}: \"{error}\" does not say \"{part}\"");
    }
}

#[test]
fn a_heading_that_cannot_be_used_is_refused_with_its_line() {
    for (old, new, variant, says) in [
        ("ncols 3\n", "", "HeadingMissing", &["ncols"][..]),
        ("yllcorner 5000000\n", "", "HeadingMissing", &["yllcorner or yllcenter"]),
        ("cellsize 10\n", "", "HeadingMissing", &["cellsize"]),
        ("cellsize 10\n", "dx 10\n", "HeadingMissing", &["dy"]),
        ("cellsize 10\n", "cellsize 10\nncols 3\n", "HeadingTwice", &["line 6", "ncols", "once"]),
        ("cellsize 10\n", "width 10\n", "HeadingWord", &["line 5", "width", "cellsize (or dx and dy)"]),
        ("cellsize 10\n", "cellsize -10\n", "HeadingValue", &["line 5", "cellsize", "-10", "above 0"]),
        ("cellsize 10\n", "cellsize 0\n", "HeadingValue", &["line 5", "above 0"]),
        ("cellsize 10\n", "cellsize nan\n", "HeadingValue", &["line 5", "NaN", "above 0"]),
        ("cellsize 10\n", "cellsize ten\n", "HeadingValue", &["line 5", "ten", "number"]),
        ("cellsize 10\n", "cellsize 0,5\n", "HeadingValue", &["line 5", "0,5", "with a point"]),
        ("ncols 3\n", "ncols 2.5\n", "HeadingValue", &["line 1", "2.5", "whole number"]),
        ("ncols 3\n", "ncols 0\n", "HeadingValue", &["line 1", "\"0\"", "from 1"]),
        ("ncols 3\n", "ncols 1\n", "TooSmall", &["1 columns", "at least 2"]),
        ("ncols 3\n", "ncols 99999999999\n", "TooLarge", &["99999999999 columns", "1000000000 cells"]),
        ("ncols 3\n", "ncols 40000\n", "HeightCount", &["6 heights", "40000 columns times 2 rows = 80000"]),
    ] {
        let text = HEADING.replace(old, new) + "1 2 3\n4 5 6\n";
        refused(text.as_bytes(), variant, says);
    }
}

#[test]
fn heights_that_cannot_be_used_are_refused_with_line_and_column() {
    for (numbers, variant, says) in [
        ("1 2 3\n4 x 6\n", "NotANumber", &["line 8, column 3", "\"x\"", "123.4"][..]),
        ("1 2 3\n4 5,5 6\n", "NotANumber", &["line 8, column 3", "5,5", "has a comma"]),
        ("1 2 3\n4 5 1.2.3", "NotANumber", &["line 8, column 5", "1.2.3"]),
        ("1 2 3\n4 5\n", "HeightCount", &["5 heights", "3 columns times 2 rows = 6"]),
        ("1 2 3\n4 5 6\n7", "HeightCount", &["7 heights", "= 6"]),
        ("", "HeightCount", &["0 heights", "= 6"]),
        ("-9999 -9999 -9999 -9999 -9999 -9999", "AllVoid", &["6 cells"]),
        ("1 9000 3 8000 5 7000", "TooSteep", &["300 %", "10.000000 m"]),
        ("90000 90000 90000 90000 5 6", "ImpossibleHeights", &["67 %", "90000", "30000 m"]),
    ] {
        refused((HEADING.to_owned() + numbers).as_bytes(), variant, says);
    }
}

#[test]
fn a_shaded_picture_saved_as_text_is_refused() {
    let mut text = "ncols 20\nnrows 20\nxllcorner 500000\nyllcorner 5000000\ncellsize 10\n".to_owned();
    for k in 0..400 {
        text += &format!("{} ", k * 97 % 251);
    }
    refused(text.as_bytes(), "ShadedPicture", &["shaded picture", "0 to 255", "allowed: 5 %"]);
}

#[test]
fn other_files_are_told_by_their_first_bytes() {
    for (bytes, says) in [
        (&b"\x89PNG\r\n\x1a\n...."[..], "a PNG picture"),
        (b"\xff\xd8\xff\xe0..JFIF", "a JPEG picture"),
        (b"PK\x03\x04......arr_0.npy", "a ZIP archive (or .npz"),
        (b"\x93NUMPY\x01\x00", "a NumPy array"),
        (b"LASF....", "a point cloud"),
        (b"%PDF-1.7", "a PDF document"),
        (b"<html>", "a web page"),
        (b"{\"type\":\"FeatureCollection\"}", "a JSON text"),
        (b"500000 5000000 312.5\n500001 5000000 312.6\n", "a list of numbers without a text grid's heading"),
        (b"Dear neighbour,", "a text without a text grid's heading"),
        (b"\x00\x01\x02\x03", "a file of a kind that is not known here"),
    ] {
        refused(bytes, "NotAGrid", &[says, "GeoTIFF"]);
    }
    refused(b"", "Empty", &["empty"]);
}

#[test]
fn blocks_of_a_long_text_join_without_a_seam() {
    // Three megabytes: several blocks, with words of all lengths across their borders.
    let (columns, rows) = (700, 600);
    let number = |k: usize| format!("{:.*}", k % 7, 300.0 + (k % 1009) as f64 / 512.0);
    let mut text = format!("ncols {columns}\nnrows {rows}\nxllcorner 0\nyllcorner 0\ncellsize 10\n");
    for k in 0..columns * rows {
        text += &number(k);
        text += if k % columns == columns - 1 { "\r\n" } else { " " };
    }
    assert!(text.len() as u64 > 2 * text_grid::BLOCK_BYTES);
    let grid = read_text(text.as_bytes(), UTM).expect("usable");
    for (k, height) in grid.heights_m.iter().enumerate() {
        let wanted: f64 = number(k).parse().expect("number");
        assert_eq!(height.to_bits(), (wanted as f32).to_bits(), "cell {k}");
    }
}

#[test]
fn a_grid_nobody_wants_any_more_is_not_read() {
    let job = Job::new();
    job.cancel();
    let text = (HEADING.to_owned() + "1 2 3 4 5 6").into_bytes();
    let result = read_grid(&GridFile { name: "hill.asc", bytes: &text, prj: UTM }, &job);
    assert_eq!(result, Err(GridError::Cancelled(crate::job::Cancelled)));
}

/// A small valid GeoTIFF of our own.
fn small_tiff() -> Vec<u8> {
    let like = crate::land::fixture::hills(23, 17, 2.0);
    let mut bytes = std::io::Cursor::new(Vec::new());
    let fill = |first: usize, band: &mut [f32]| band.copy_from_slice(&like.heights_m[first * like.columns..][..band.len()]);
    crate::land::write_geotiff(&mut bytes, &like, fill).expect("small");
    bytes.into_inner()
}

proptest! {
    #[test]
    fn any_bytes_give_an_error_or_a_grid(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let _ = read_text(&bytes, UTM);
        for magic in [&b"II*\0\x08\0\0\0"[..], b"MM\0*\0\0\0\x08", b"ncols 3\nnrows 2\n"] {
            let _ = read_text(&[magic, &bytes].concat(), UTM);
        }
    }

    #[test]
    fn a_geotiff_with_some_bytes_changed_gives_an_error_or_a_grid(changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6)) {
        let mut bytes = small_tiff();
        for (place, byte) in changes {
            let at = place.index(bytes.len());
            bytes[at] = byte;
        }
        let _ = read_text(&bytes, UTM);
    }

    #[test]
    fn a_text_grid_with_some_bytes_changed_gives_an_error_or_a_grid(changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6)) {
        let mut bytes = (HEADING.to_owned() + "1 2 3\n4 5 6\n").into_bytes();
        for (place, byte) in changes {
            let at = place.index(bytes.len());
            bytes[at] = byte;
        }
        let _ = read_text(&bytes, UTM);
    }
}
