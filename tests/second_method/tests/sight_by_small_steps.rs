//! Sight over real ground against an independent prototype that samples each ray every 0.05 of a cell (`dense-ray-trial`).

use hillwire_core::job::Job;
use hillwire_core::land::{GridFile, INTO_WOOD, MapPoint, RayEnd, SightGround, WorkingGrid, read_grid};
use hillwire_core::units::Length;
use tests_published::further_ground;

fn grid(columns: usize, rows: usize, cell_m: f64, height_m: impl Fn(usize, usize) -> f64) -> WorkingGrid {
    let heights_m = (0..columns * rows).map(|k| height_m(k % columns, k / columns)).collect();
    WorkingGrid::from_heights(columns, Length::metres(cell_m), MapPoint::new(0.0, 0.0), heights_m)
}

/// So far above the ground of a cell.
fn above(ground: &SightGround, (column, row): (usize, usize), by_m: f64) -> Option<RayEnd> {
    let height_m = ground.grid().height_m(column, row)? + by_m;
    Some(RayEnd { column: column as f64, row: row as f64, height_m })
}

/// The cells that are seen in summer from an eye so far above a cell, at so far above each of them.
fn seen_cells(ground: &SightGround, eye: (usize, usize), eye_m: f64, target_m: f64) -> Vec<(usize, usize)> {
    let from = above(ground, eye, eye_m).expect("known");
    let all = (0..ground.grid().rows()).flat_map(|row| (0..ground.grid().columns()).map(move |column| (column, row)));
    let is_seen =
        |cell: &(usize, usize)| above(ground, *cell, target_m).is_some_and(|to| ground.sees(from, to, INTO_WOOD).summer);
    all.filter(is_seen).collect()
}

#[test]
fn on_real_ground_as_many_cells_are_seen_as_rays_in_small_steps_find() {
    let name = "cascades10m_wa.tif";
    let Some(path) = further_ground(name) else { return };
    let bytes = std::fs::read(path).expect("laid out");
    let read = read_grid(&GridFile { name, bytes: &bytes, prj: None }, &Job::new()).expect("a grid");
    let ground =
        SightGround::bare(grid(read.columns, read.rows, 10.0, |column, row| read.height_m(column, row).unwrap_or(f64::NAN)));
    for ((row, column), expected) in [((20, 20), 1780), ((45, 60), 519), ((112, 30), 2207_i64)] {
        let near = |cell: &(usize, usize)| (cell.0 as f64 - f64::from(column)).hypot(cell.1 as f64 - f64::from(row)) <= 60.0;
        let seen = seen_cells(&ground, (column as usize, row as usize), 1.6, 1.1).into_iter().filter(near).count() as i64;
        assert!((seen - expected).abs() <= 4, "row {row} column {column}: {seen} of {expected}");
    }
}
