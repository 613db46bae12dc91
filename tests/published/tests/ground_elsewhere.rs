//! Two further real grids that are not part of the project: a steep forested hillside (10 m) and bare-earth lidar (1 m).
//! They are read where the environment variable HILLWIRE_GROUND names their folder;
//! what is left out without it is said.
//! Sources: GDAL 3.6.2 (gdaldem) for slopes, azimuths and shades; Jenness in numpy (fixtures/make_jenness_area.py) for areas.
//!
//! By: program GDAL 3.6.2.

use hillwire_core::job::Job;
use hillwire_core::land::{Crs, CrsKind, Georeference, Grid, GridFile, Ground, Quadratic, read_grid, shade_grid};
use std::sync::Arc;
use tests_published::further_ground;

fn grid(name: &str) -> Option<Grid> {
    let bytes = std::fs::read(further_ground(name)?).unwrap_or_else(|error| panic!("{name}: {error}"));
    Some(read_grid(&GridFile { name, bytes: &bytes, prj: None }, &Job::new()).unwrap_or_else(|error| panic!("{name}: {error}")))
}

/// A row: row and column of the cell, then slope in percent, downhill azimuth in degrees, shade.
fn check_cells(grid: &Grid, rows: &[(usize, usize, f64, f64, u8)]) {
    let shades = shade_grid(grid);
    for (r, c, slope_pct, azimuth_deg, shade) in rows {
        let gradient = grid.cell_gradient(*c, *r).expect("an inner cell");
        assert!((gradient.slope_pct() - slope_pct).abs() < 0.005, "slope at r{r} c{c}: {}", gradient.slope_pct());
        let azimuth = gradient.downhill_azimuth_deg().expect("not flat");
        assert!((azimuth - azimuth_deg).abs() < 0.05, "azimuth at r{r} c{c}: {azimuth}");
        assert!(shades[r * grid.columns + c].abs_diff(*shade) <= 1, "shade at r{r} c{c}: {}", shades[r * grid.columns + c]);
    }
}

#[test]
fn the_steep_hillside_has_the_slopes_that_gdaldem_finds() {
    let Some(grid) = grid("cascades10m_wa.tif") else { return };
    let rows = [
        (20, 20, 49.3139, 221.056, 157),
        (60, 40, 72.2002, 211.536, 122),
        (100, 42, 60.7820, 112.644, 68),
        (45, 60, 30.2842, 192.366, 145),
        (90, 30, 56.2101, 243.865, 186),
    ];
    check_cells(&grid, &rows);
}

#[test]
fn the_lidar_ground_has_the_slopes_that_gdaldem_finds() {
    let Some(grid) = grid("lidar1m_si.tif") else { return };
    let rows = [
        (100, 700, 31.6232, 304.693, 226),
        (500, 650, 2.2630, 173.651, 177),
        (300, 900, 10.5469, 185.429, 168),
        (900, 200, 15.1796, 59.847, 172),
        (700, 800, 9.8054, 197.039, 172),
    ];
    check_cells(&grid, &rows);
}

/// A row: row and column of the cell, then slope in percent and downhill azimuth in degrees by gdaldem's `-alg ZevenbergenThorne`.
fn check_bent(grid: &Grid, rows: &[(usize, usize, f64, f64)]) {
    let cell_m = grid.georeference.per_column.0;
    for (r, c, slope_pct, azimuth_deg) in rows {
        let heights = std::array::from_fn(|k| grid.height_m(c + k % 3 - 1, r + k / 3 - 1).expect("an inner cell"));
        let gradient = Quadratic::of(&heights, cell_m).gradient;
        assert!((gradient.slope_pct() - slope_pct).abs() < 0.005, "slope at r{r} c{c}: {}", gradient.slope_pct());
        let azimuth = gradient.downhill_azimuth_deg().expect("not flat");
        assert!((azimuth - azimuth_deg).abs() < 0.005, "azimuth at r{r} c{c}: {azimuth}");
    }
}

/// By: program GDAL 3.6.2, zevenbergen-thorne-1987.
#[test]
fn cells_bend_with_the_slopes_that_gdaldem_finds_in_the_way_of_zevenbergen_and_thorne() {
    let (Some(hillside), Some(lidar)) = (grid("cascades10m_wa.tif"), grid("lidar1m_si.tif")) else { return };
    let rows = [
        (20, 20, 48.8324, 221.052),
        (60, 40, 73.2036, 210.999),
        (100, 42, 59.1347, 114.395),
        (45, 60, 29.4761, 192.013),
        (90, 30, 55.7378, 246.086),
    ];
    check_bent(&hillside, &rows);
    check_bent(&lidar, &[(100, 700, 33.1105, 308.254), (500, 650, 2.9999, 180.0)]);
}

/// By: jenness-2004.
#[test]
fn the_steep_hillside_has_the_ground_area_that_triangles_around_cell_centres_give() {
    let Some(grid) = grid("cascades10m_wa.tif") else { return };
    let (right, bottom) = (grid.columns as f64 - 1.5, grid.rows as f64 - 1.5);
    let ground = Ground::new(Arc::new(grid.clone()), Ground::frame_of(&grid).expect("placed")).expect("placed");
    // The inner cells, whole; the easternmost column is void, so the ring ends before it.
    let corners = [(0.5, 0.5), (right - 1.0, 0.5), (right - 1.0, bottom), (0.5, bottom)];
    let ring = corners.map(|(column, row)| ground.to_map(column, row));
    let map_m2 = {
        let cross = |k: usize| ring[k].x_m * ring[(k + 1) % 4].y_m - ring[(k + 1) % 4].x_m * ring[k].y_m;
        (0.5 * (0..4).map(cross).sum::<f64>()).abs()
    };
    let found = ground.surface_area(&ring).expect("known throughout").as_square_metres() / map_m2;
    // fixtures/make_jenness_area.py (Jenness 2004, in numpy): 9240 cells, 92.4 ha of map, 102.617392 ha of ground.
    // The map's metres are 1.0000256 of the grid's own here, which flattens slopes: 5e-6 less of the ratio.
    let scale = (map_m2 / 924_000.0).sqrt();
    assert!((scale - 1.000_025_6).abs() < 1e-7, "{scale}");
    assert!((found + 5e-6 - 1.110_577_84).abs() < 1e-6, "{found}");
}

/// By: closed form.
#[test]
fn noise_of_the_heights_comes_out_in_the_gradient_as_the_closed_form_says() {
    // Horn's weights: variance 12 s² / (8 d)² of each component.
    let (side, noise_m) = (400, 0.1);
    let mut state = 0x2545_F491_4F6C_DD1D_u64;
    let mut even = || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let mut normal = || (-2.0 * (1.0 - even()).ln()).sqrt() * (std::f64::consts::TAU * even()).cos();
    let crs = Crs { definition: "EPSG:32633".to_owned(), kind: CrsKind::Projected { metres_per_unit: 1.0 } };
    let georeference = Georeference { origin: (5e5, 5e6), per_column: (1.0, 0.0), per_row: (0.0, -1.0), crs };
    let heights_m = (0..side * side).map(|_| (100.0 + noise_m * normal()) as f32).collect();
    let grid = Grid { columns: side, rows: side, georeference, heights_m, notes: Vec::new() };
    let (mut sum, mut count) = (0.0, 0.0);
    for row in 1..side - 1 {
        for column in 1..side - 1 {
            let east = grid.cell_gradient(column, row).expect("an inner cell").east;
            (sum, count) = (sum + east * east, count + 1.0);
        }
    }
    let found = f64::sqrt(sum / count);
    let expected = noise_m * f64::sqrt(12.0) / 8.0;
    assert!((found / expected - 1.0).abs() < 0.03, "{found} for {expected}");
}
