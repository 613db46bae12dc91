//! Where water runs and gathers: against pysheds 0.5 and scikit-image 0.26 on real ground (fixtures/make_drainage_reference.py wrote the
//! table), the classic grid of 6 x 6 heights (`ocallaghan-mark-1984` and its line of examples; printed versions differ at the outlet), closed
//! forms, and what must be conserved. Ground outside the project is read where HILLWIRE_GROUND names its folder.
//!
//! By: closed form.

use hillwire_core::job::Job;
use hillwire_core::land::{
    D8, DInfinity, Drainage, FALL_PER_CELL_M, Filled, Freeman, GridFile, MapPoint, Receivers, WorkingGrid, gathered, read_grid,
    source_shares, wetness,
};
use hillwire_core::units::{Area, Length};
use proptest::prelude::*;
use std::fs;
use std::path::{Path, PathBuf};
use tests_published::further_ground;

fn grid(columns: usize, cell_m: f64, heights_m: Vec<f64>) -> WorkingGrid {
    WorkingGrid::from_heights(columns, Length::metres(cell_m), MapPoint::new(0.0, 0.0), heights_m)
}

fn read(path: &Path) -> (usize, Vec<f64>) {
    let bytes = fs::read(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let prj = fs::read_to_string(path.with_extension("prj")).ok();
    let name = path.file_name().and_then(|name| name.to_str()).expect("a name");
    let grid = read_grid(&GridFile { name, bytes: &bytes, prj: prj.as_deref() }, &Job::new()).expect("readable");
    (grid.columns, grid.heights_m.iter().map(|height| f64::from(*height)).collect())
}

fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/ground").join(name)
}

/// Cells of a grid outside the project as they stand, as squares of this side.
fn real(name: &str, cell_m: f64) -> Option<WorkingGrid> {
    let (columns, heights_m) = read(&further_ground(name)?);
    Some(grid(columns, cell_m, heights_m))
}

/// The ground with its hollows, in the order of its heights.
fn as_it_is(grid: &WorkingGrid) -> Filled {
    let heights_m = grid.heights_m().to_vec();
    let mut order: Vec<u32> = (0..heights_m.len() as u32).filter(|cell| heights_m[*cell as usize].is_finite()).collect();
    order.sort_by(|a, b| heights_m[*a as usize].total_cmp(&heights_m[*b as usize]));
    Filled { heights_m, order }
}

/// Codes of the usual kind: 1 east, doubling clockwise, 0 for no way down.
fn code(grid: &WorkingGrid, heights_m: &[f64], index: usize) -> u32 {
    let mut code = 0;
    D8.each(grid, heights_m, index, |towards, _, _| code = [64, 128, 1, 2, 4, 8, 16, 32][towards]);
    code
}

/// Sharing that ends at the rim of the grid, as pysheds has it.
struct WithinRim<R>(R);

impl<R: Receivers> Receivers for WithinRim<R> {
    fn each(&self, grid: &WorkingGrid, heights_m: &[f64], index: usize, give: impl FnMut(usize, usize, f64)) {
        let (column, row) = grid.place(index);
        if column > 0 && row > 0 && column + 1 < grid.columns() && row + 1 < grid.rows() {
            self.0.each(grid, heights_m, index, give);
        }
    }
}

/// By: program pysheds 0.5, program scikit-image 0.26.
#[test]
fn wooded_ridges_drain_as_pysheds_and_scikit_image_find() {
    let (columns, mut heights_m) = read(&fixture("jacksboro90m_tn.asc"));
    let pattern = |k: usize| ((k / columns * 7919 + k % columns * 104_729) % 1009) as f64 / 1024.0;
    heights_m.iter_mut().enumerate().for_each(|(k, height)| *height += pattern(k));
    let grid = grid(columns, 85.0, heights_m);
    let ground = as_it_is(&grid);
    let level = Filled::level(&grid);
    let cells = gathered(&grid, &ground, &WithinRim(D8), |_| 1.0);
    let shared = gathered(&grid, &ground, &WithinRim(DInfinity), |_| 1.0);
    let mut table = csv::Reader::from_path(fixture("jacksboro_drainage.csv")).expect("readable");
    let rows: Vec<Vec<f64>> =
        table.records().map(|row| row.expect("a row").iter().map(|field| field.parse().expect("a number")).collect()).collect();
    assert!(rows.len() > 400);
    for row in &rows {
        let at = grid.index(row[0] as usize, row[1] as usize);
        let place = (row[0], row[1]);
        assert!((level.heights_m[at] - row[2]).abs() < 1e-6, "filled {place:?}: {} for {}", level.heights_m[at], row[2]);
        assert_eq!(code(&grid, &ground.heights_m, at), row[3] as u32, "way down at {place:?}");
        assert_eq!(cells[at] as u32, row[4] as u32, "cells at {place:?}");
        let angle = DInfinity::angle(&grid, &ground.heights_m, at).unwrap_or(-2.0);
        assert!((angle - row[5]).abs() < 1e-8, "angle at {place:?}: {angle} for {}", row[5]);
        assert!((shared[at] - row[6]).abs() < 1e-5, "shared at {place:?}: {} for {}", shared[at], row[6]);
    }
    let raised = level.heights_m.iter().zip(grid.heights_m()).filter(|(filled, own)| filled > own).count();
    let volume: f64 = level.heights_m.iter().zip(grid.heights_m()).map(|(filled, own)| filled - own).sum();
    assert_eq!(raised, 7781, "by the script");
    assert!((volume - 34_591.576_172).abs() < 1e-6, "by the script, {volume}");
}

#[test]
fn a_bowl_fills_to_the_notch_in_its_rim() {
    let mut heights = vec![9.0; 25];
    [6, 7, 8, 11, 12, 13, 16, 17, 18].into_iter().for_each(|k| heights[k] = 5.0);
    heights[14] = 7.0;
    let bowl = grid(5, 10.0, heights);
    let level = Filled::level(&bowl).heights_m;
    assert!([6, 7, 8, 11, 12, 13, 16, 17, 18].into_iter().all(|k| (level[k] - 7.0).abs() < 1e-12), "{level:?}");
    // Closed form: one fall more with each cell from the notch.
    let falling = Filled::falling(&bowl).heights_m;
    for (k, cells) in [(14, 0.0), (13, 1.0), (12, 2.0), (11, 3.0)] {
        assert!((falling[k] - (7.0 + cells * FALL_PER_CELL_M)).abs() < 1e-12, "{falling:?}");
    }
}

const CLASSIC: [f64; 36] = [
    78., 72., 69., 71., 58., 49., 74., 67., 56., 49., 46., 50., 69., 53., 44., 37., 38., 48., 64., 58., 55., 22., 31., 24., 68.,
    61., 47., 21., 16., 19., 74., 53., 34., 12., 11., 12.,
];

/// By: ocallaghan-mark-1984.
#[test]
fn the_classic_six_by_six_grid_drains_as_it_always_has() {
    let classic = grid(6, 1.0, CLASSIC.to_vec());
    let ground = as_it_is(&classic);
    let codes: Vec<u32> = (0..36).map(|index| code(&classic, &ground.heights_m, index)).collect();
    #[rustfmt::skip]
    let expected = [
        2, 2, 2, 4, 4, 8, 2, 2, 2, 4, 4, 8, 1, 1, 2, 4, 8, 4,
        128, 128, 1, 2, 4, 8, 2, 2, 1, 4, 4, 4, 1, 1, 1, 1, 0, 16,
    ];
    assert_eq!(codes, expected);
    let above = gathered(&classic, &ground, &D8, |_| 1.0).into_iter().map(|cells| cells as u32 - 1).collect::<Vec<_>>();
    #[rustfmt::skip]
    let expected = [
        0, 0, 0, 0, 0, 0, 0, 1, 1, 2, 2, 0, 0, 3, 7, 5, 4, 0,
        0, 0, 0, 20, 0, 1, 0, 0, 0, 1, 24, 0, 0, 2, 4, 7, 35, 1,
    ];
    assert_eq!(above, expected);
    // All 36 cells come to the outlet.
    assert!((gathered(&classic, &ground, &Freeman::WATER, |_| 1.0)[34] - 36.0).abs() < 1e-9);
}

#[test]
fn on_a_plane_the_way_down_has_the_planes_own_angle() {
    for degrees in [0.0, 10.0, 22.5, 30.0, 45.0, 60.0, 100.0, 200.0, 333.0_f64] {
        let (sin, cos) = degrees.to_radians().sin_cos();
        let height = |k: usize| 100.0 - 0.3 * (cos * (k % 9) as f64 - sin * (k / 9) as f64);
        let plane = grid(9, 1.0, (0..81).map(height).collect());
        let angle = DInfinity::angle(&plane, plane.heights_m(), 40).expect("it falls").to_degrees();
        assert!((angle - degrees).abs() < 1e-6, "{angle} for {degrees}");
    }
}

/// By: beven-kirkby-1979.
#[test]
fn wetness_is_the_logarithm_of_ground_above_over_fall() {
    // a = 500 m over tan b = 0.05: ln 10000.
    let found = wetness(Area::square_metres(5000.0), Length::metres(10.0), 0.05);
    assert!((found - 1e4_f64.ln()).abs() < 1e-12 && (found - 9.2103).abs() < 0.5e-4, "{found}");
    let level = wetness(Area::square_metres(100.0), Length::metres(10.0), 0.0);
    assert!((level - 2000.0_f64.ln()).abs() < 1e-12, "level ground counts as falling 1 in 200");
}

/// What arrives where water leaves the ground.
fn leaving(grid: &WorkingGrid, filled: &Filled, receivers: &impl Receivers) -> f64 {
    let cells = gathered(grid, filled, receivers, |_| 1.0);
    let known = filled.order.iter().map(|cell| *cell as usize);
    let leaves = |cell: &usize| {
        let mut gives = false;
        receivers.each(grid, &filled.heights_m, *cell, |_, _, _| gives = true);
        !gives
    };
    known.filter(leaves).map(|cell| cells[cell]).sum()
}

proptest! {
    #[test]
    fn every_drop_leaves_the_ground_and_none_is_made(
        heights in prop::collection::vec(prop_oneof![9 => (0..30_i32).prop_map(f64::from), 1 => Just(f64::NAN)], 12 * 17),
    ) {
        let ground = grid(12, 5.0, heights);
        let filled = Filled::falling(&ground);
        let known = filled.order.len() as f64;
        prop_assert!((leaving(&ground, &filled, &D8) - known).abs() < 1e-9);
        prop_assert!((leaving(&ground, &filled, &DInfinity) - known).abs() < 1e-6);
        prop_assert!((leaving(&ground, &filled, &Freeman::WATER) - known).abs() < 1e-6);
        // What comes through one cell by counting up is what comes there by counting down.
        let target = filled.order[filled.order.len() / 3] as usize;
        let down = gathered(&ground, &filled, &Freeman::WATER, |_| 1.0)[target];
        let up: f64 = source_shares(&ground, &filled, &Freeman::WATER, |cell| cell == target).iter().filter(|s| s.is_finite()).sum();
        prop_assert!((down - up).abs() < 1e-6, "{} {}", down, up);
    }
}

/// Cells raised, the deepest in metres, cubic metres.
fn raised(grid: &WorkingGrid) -> (usize, f64, f64) {
    let level = Filled::level(grid).heights_m;
    let depths = || level.iter().zip(grid.heights_m()).map(|(filled, own)| filled - own).filter(|depth| *depth > 0.0);
    let cell_m2 = grid.spacing().as_metres().powi(2);
    (depths().count(), depths().fold(0.0, f64::max), depths().sum::<f64>() * cell_m2)
}

/// By: program scikit-image 0.26.
#[test]
fn the_gullied_hillside_fills_as_scikit_image_found_and_drains_whole() {
    let Some(hillside) = real("cascades10m_wa.tif", 10.0) else { return };
    let (cells, deepest_m, volume_m3) = raised(&hillside);
    assert_eq!(cells, 22);
    assert!((deepest_m - 2.101).abs() < 1e-3 && (volume_m3 - 543.0).abs() < 0.05, "{deepest_m} {volume_m3}");
    let (grid, filled) = (&hillside, &Filled::falling(&hillside));
    let cells = gathered(grid, filled, &D8, |_| 1.0);
    assert!((leaving(grid, filled, &D8) - 9638.0).abs() < 1e-9, "all 9638 cells leave");
    let known = || (0..cells.len()).filter(|cell| cells[*cell].is_finite());
    // The program's own ways differ at the edge only, where water leaves instead of running along it.
    let drainage = Drainage::of(hillside.clone(), &[]);
    let inner = known().filter(|cell| {
        let (column, row) = grid.place(*cell);
        (1..grid.columns() - 1).contains(&column) && (1..grid.rows() - 1).contains(&row)
    });
    let same = |cell: &usize| {
        let mut next = None;
        D8.each(grid, &filled.heights_m, *cell, |_, other, _| next = Some(other));
        drainage.downstream(*cell) == next
    };
    let (alike, all) = inner.fold((0, 0), |(alike, all), cell| (alike + usize::from(same(&cell)), all + 1));
    assert!(all > 9000 && all - alike < 122, "besides the cells beside the void column: {alike} of {all}");
}

/// By: program scikit-image 0.26.
#[test]
fn farmland_at_two_metres_fills_as_scikit_image_found() {
    let Some(fine) = real("lidar1m_si.tif", 1.0) else { return };
    let mean = |k: usize| {
        let (column, row) = (k % 500, k / 500);
        let corner = 2 * row * 1000 + 2 * column;
        [0, 1, 1000, 1001].map(|off| fine.heights_m()[corner + off]).iter().sum::<f64>() / 4.0
    };
    let farmland = grid(500, 2.0, (0..250_000).map(mean).collect());
    let (cells, deepest_m, volume_m3) = raised(&farmland);
    assert_eq!(cells, 10_756);
    assert!((deepest_m - 2.263).abs() < 1e-3 && (volume_m3 - 7352.0).abs() < 0.5, "{deepest_m} {volume_m3}");
    let filled = Filled::falling(&farmland);
    assert!((leaving(&farmland, &filled, &D8) - 250_000.0).abs() < 1e-6);
}
