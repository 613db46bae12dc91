//! Real ground, read from GeoTIFF and from text: minimum, maximum, mean and void cells as the provenance states them.
//! Source: fixtures/ground/PROVENANCE.md (numbers made with GDAL and NumPy).
//!
//! By: program GDAL 3.10.3.

use hillwire_core::job::Job;
use hillwire_core::land::{CrsKind, Grid, GridFile, GridNote, read_grid};
use std::fs;
use std::path::Path;
use tests_published::further_ground;

fn read(folder: &Path, name: &str) -> Grid {
    let path = folder.join(name);
    let bytes = fs::read(&path).expect(name);
    let prj = fs::read_to_string(path.with_extension("prj")).ok();
    read_grid(&GridFile { name, bytes: &bytes, prj: prj.as_deref() }, &Job::new())
        .unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// Minimum, maximum, mean and the number of void cells.
fn figures(grid: &Grid) -> (f64, f64, f64, usize) {
    let heights: Vec<f64> = grid.heights_m.iter().filter(|height| height.is_finite()).map(|height| f64::from(*height)).collect();
    let lowest = heights.iter().copied().fold(f64::INFINITY, f64::min);
    let highest = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    (lowest, highest, heights.iter().sum::<f64>() / heights.len() as f64, grid.heights_m.len() - heights.len())
}

/// File, columns, rows, minimum, maximum, mean, void cells, and half the last printed digit of the heights.
type Row = (&'static str, usize, usize, f64, f64, f64, usize, f64);

fn check(folder: &Path, rows: &[Row]) {
    for (name, columns, rows, lowest, highest, mean, voids, half_digit) in rows {
        let grid = read(folder, name);
        let found = figures(&grid);
        assert_eq!((grid.columns, grid.rows, found.3), (*columns, *rows, *voids), "{name}");
        assert!((found.0 - lowest).abs() <= *half_digit, "{name}: {found:?}");
        assert!((found.1 - highest).abs() <= *half_digit, "{name}: {found:?}");
        // Half the last printed digit, and the rounding of a height to 32 bits (2^-24 of 582 m at most).
        assert!((found.2 - mean).abs() <= 0.5e-6 + 582.0 / f64::from(1 << 24), "{name}: {found:?}");
    }
}

fn here() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/ground")
}

#[test]
fn wooded_ridges_come_the_same_from_geotiff_and_from_text() {
    check(
        &here(),
        &[
            ("jacksboro90m_tn.tif", 403, 344, 236.0, 1076.0, 531.031169, 0, 0.0),
            ("jacksboro90m_tn.asc", 403, 344, 236.0, 1076.0, 531.031169, 0, 0.0),
        ],
    );
    let (tiff, text) = (read(&here(), "jacksboro90m_tn.tif"), read(&here(), "jacksboro90m_tn.asc"));
    assert_eq!(tiff.heights_m, text.heights_m);
    assert_eq!((tiff.georeference.crs.kind, text.georeference.crs.kind), (CrsKind::Geographic, CrsKind::Geographic));
    let (a, b) = (tiff.georeference.origin, text.georeference.origin);
    // The text has 9 digits of the cell size: 344 rows of half a billionth of a degree.
    assert!((a.0 - b.0).abs() < 344.0 * 0.5e-9 && (a.1 - b.1).abs() < 344.0 * 0.5e-9, "{a:?} {b:?}");
}

#[test]
fn coarse_ground_in_whole_metres_says_so_and_raises_no_other_doubt() {
    let grid = read(&here(), "jacksboro90m_tn.tif");
    let [GridNote::Steps { step_m }, GridNote::Coarse { spacing_m }] = grid.notes[..] else { panic!("{:?}", grid.notes) };
    // About 93 by 74 m, says the provenance.
    assert!((step_m - 1.0).abs() < f64::EPSILON && (spacing_m - 93.0).abs() < 0.5, "{step_m} {spacing_m}");
}

#[test]
fn the_real_ground_reads_right_where_it_is_laid_out() {
    let Some(folder) = further_ground("") else { return };
    check(
        &folder,
        &[
            ("cascades10m_wa.tif", 80, 122, 189.0281, 582.3846, 376.766796, 122, 0.5e-4),
            ("lidar1m_si.tif", 1000, 1000, 254.97, 325.05, 274.330524, 0, 0.5e-2),
            ("lidar1m_si_crop.tif", 256, 256, 260.94, 303.97, 277.083892, 0, 0.5e-2),
            ("lidar1m_si_crop.asc", 256, 256, 260.94, 303.97, 277.083892, 0, 0.5e-2),
        ],
    );
    let steep = read(&folder, "cascades10m_wa.tif");
    assert_eq!(steep.notes, [GridNote::Coarse { spacing_m: 10.0 }]);
    assert_eq!(read(&folder, "lidar1m_si.tif").notes, []);
}

#[test]
fn a_text_grid_without_a_projection_file_is_refused_where_the_real_ground_is_laid_out() {
    let Some(folder) = further_ground("") else { return };
    let bytes = fs::read(folder.join("cascades10m_wa.asc")).expect("cascades");
    let error =
        read_grid(&GridFile { name: "cascades10m_wa.asc", bytes: &bytes, prj: None }, &Job::new()).expect_err("no system");
    assert!(error.to_string().contains("cascades10m_wa.prj"), "{error}");
}
