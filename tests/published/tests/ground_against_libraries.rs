//! Slopes, aspects, shades, heights and contours of real ground against GDAL 3.6.2 (gdaldem), SciPy 1.17.1 and contourpy
//! 1.3.3: see fixtures/make_ground_reference.py, which wrote the tables.
//!
//! By: program GDAL 3.6.2.

use hillwire_core::job::Job;
use hillwire_core::land::{
    Contour, Crs, CrsKind, Georeference, Gradient, Grid, GridFile, Quadratic, contours, read_grid, shade_grid, slope_grid_pct,
    survey,
};
use std::fs;
use std::path::Path;

fn fixture(name: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/ground").join(name);
    fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

fn table(name: &str) -> Vec<Vec<f64>> {
    let bytes = fixture(name);
    let mut rows = csv::Reader::from_reader(bytes.as_slice());
    let numbers = |row: csv::StringRecord| row.iter().map(|field| field.parse().expect("a number")).collect();
    rows.records().map(|row| numbers(row.expect("a row"))).collect()
}

/// The size of the Jacksboro grid's cells on the ellipsoid, and the square cells in which gdaldem's aspect takes them.
const CELL_M: (f64, f64) = (74.58, 92.48);
const SQUARE_M: (f64, f64) = (85.0, 85.0);

/// The Jacksboro grid laid into UTM zone 16 in cells of a size in metres, as the script does.
fn jacksboro(cell_m: (f64, f64)) -> Grid {
    let prj = "EPSG:4326".to_owned();
    let bytes = fixture("jacksboro90m_tn.asc");
    let file = GridFile { name: "jacksboro90m_tn.asc", bytes: &bytes, prj: Some(&prj) };
    let mut grid = read_grid(&file, &Job::new()).expect("readable");
    let crs = Crs { definition: "EPSG:32616".to_owned(), kind: CrsKind::Projected { metres_per_unit: 1.0 } };
    grid.georeference = Georeference { origin: (7e5, 4e6), per_column: (cell_m.0, 0.0), per_row: (0.0, -cell_m.1), crs };
    grid
}

#[test]
fn every_slope_aspect_and_shade_is_what_gdaldem_finds() {
    let grid = jacksboro(CELL_M);
    let (slopes, shades) = (slope_grid_pct(&grid), shade_grid(&grid));
    let square = jacksboro(SQUARE_M);
    let rows = table("jacksboro_gdaldem.csv");
    assert!(rows.len() >= 40);
    for row in rows {
        let (c, r) = (row[0] as usize, row[1] as usize);
        let gradient = grid.cell_gradient(c, r).expect("an inner cell");
        let azimuth = square.cell_gradient(c, r).and_then(Gradient::downhill_azimuth_deg).expect("not flat");
        // Half of gdaldem's own single-precision step at these slopes is 4e-6 percent points; the table prints 1e-5.
        assert!((gradient.slope_pct() - row[2]).abs() < 2e-5, "slope at {c} {r}: {} for {}", gradient.slope_pct(), row[2]);
        assert!((f64::from(slopes[r * grid.columns + c]) - row[2]).abs() < 2e-5, "whole grid at {c} {r}");
        assert!((azimuth - row[3]).abs() < 2e-4, "azimuth at {c} {r}: {azimuth} for {}", row[3]);
        assert_eq!(shades[r * grid.columns + c], row[4] as u8, "shade at {c} {r}");
        let heights = std::array::from_fn(|k| square.height_m(c + k % 3 - 1, r + k / 3 - 1).expect("an inner cell"));
        let bent = Quadratic::of(&heights, SQUARE_M.0).gradient;
        assert!((bent.slope_pct() - row[5]).abs() < 2e-5, "bent slope at {c} {r}: {} for {}", bent.slope_pct(), row[5]);
        let azimuth = bent.downhill_azimuth_deg().expect("not flat");
        assert!((azimuth - row[6]).abs() < 2e-4, "bent azimuth at {c} {r}: {azimuth} for {}", row[6]);
    }
}

#[test]
fn the_survey_has_the_mean_the_steepest_and_the_middle_slope_of_gdaldem() {
    let (survey, expected) = (survey(&jacksboro(CELL_M)), &table("jacksboro_slopes.csv")[0]);
    let found = [survey.mean_slope_pct, survey.steepest_slope_pct, survey.median_slope_pct].map(|slope| slope.expect("known"));
    for (found, (expected, half_digit)) in found.iter().zip(expected.iter().zip([1e-5, 1e-4, 1e-5])) {
        assert!((found - expected).abs() < half_digit, "{found} for {expected}");
    }
    // The place's own note of origin: 236 to 1076 m, mean 531.031169, nothing void.
    assert_eq!((survey.lowest_m, survey.highest_m, survey.void_cells), (Some(236.0), Some(1076.0), 0));
    assert!((survey.mean_m.expect("known") - 531.031_169).abs() < 0.5e-6);
}

/// By: program SciPy 1.17.
#[test]
fn heights_between_centres_are_those_of_scipy() {
    let grid = jacksboro(CELL_M);
    let rows = table("jacksboro_bilinear.csv");
    assert!(rows.len() >= 40);
    for row in rows {
        let height = grid.bilinear_m(row[0], row[1]).expect("inside");
        assert!((height - row[2]).abs() < 1e-6, "at {} {}: {height} for {}", row[0], row[1], row[2]);
    }
}

/// Length in cells; a closed line has its closing stretch counted.
fn length(line: &Contour) -> f64 {
    let step = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).hypot(a.1 - b.1);
    let open: f64 = line.points.windows(2).map(|pair| step(pair[0], pair[1])).sum();
    open + if line.closed { step(line.points[0], line.points[line.points.len() - 1]) } else { 0.0 }
}

/// By: program contourpy 1.3.3.
#[test]
fn contours_are_as_many_and_as_long_as_contourpy_draws_them() {
    let found = contours(&jacksboro(CELL_M), 150.13, &Job::new()).expect("not cancelled");
    for row in table("jacksboro_contours.csv") {
        let lines: Vec<_> = found.iter().filter(|line| (line.level_m - row[0]).abs() < 1e-6).collect();
        let cells: f64 = lines.iter().map(|line| length(line)).sum();
        assert_eq!(lines.len(), row[1] as usize, "lines at {} m", row[0]);
        assert!((cells - row[2]).abs() < 1e-4, "at {} m: {cells} cells for {}", row[0], row[2]);
    }
}
