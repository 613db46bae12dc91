//! What looking for another course costs: a line of 700 m over steep ground of 10 m cells (80 x 122 of them), invented like the trial hillside, or that hillside
//! itself where HILLWIRE_GROUND names its folder. Water and runners are those of the outcome, as in the program; what the search lays out for
//! itself (slopes, steps of runners, obstacles) is in the times.

use criterion::{Criterion, criterion_group, criterion_main};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::job::Job;
use hillwire_core::land::{Crs, CrsKind, Georeference, Grid, GridFile, Ground, MapPoint, read_grid};
use hillwire_core::outcome::{Kept, Outcome, outcome};
use hillwire_core::plan::{Feature, FeatureId, Fence, Geometry, Head, Kind, Plan, Track};
use hillwire_core::reroute::{Asked, Setting, Weights, courses};
use std::hint::black_box;
use std::path::PathBuf;
use std::sync::Arc;

const COLUMNS: usize = 80;
const ROWS: usize = 122;

fn invented() -> Grid {
    let height = |k: usize| {
        let (x, y) = ((k % COLUMNS) as f64, (k / COLUMNS) as f64);
        (560.0 - 3.2 * y + 18.0 * (x / 6.5 + (y / 19.0).sin()).sin() + 4.0 * (x / 2.9 + y / 4.1).sin()) as f32
    };
    let crs = Crs { definition: "EPSG:32633".to_owned(), kind: CrsKind::Projected { metres_per_unit: 1.0 } };
    let georeference = Georeference { origin: (500_000.0, 5_000_000.0), per_column: (10.0, 0.0), per_row: (0.0, -10.0), crs };
    Grid { columns: COLUMNS, rows: ROWS, georeference, heights_m: (0..COLUMNS * ROWS).map(height).collect(), notes: Vec::new() }
}

#[allow(clippy::disallowed_methods, reason = "a bench is no part of the core: it may read the trial hillside")]
fn trial() -> Option<Grid> {
    let path = PathBuf::from(std::env::var_os("HILLWIRE_GROUND")?).join("cascades10m_wa.tif");
    let bytes = std::fs::read(path).ok()?;
    read_grid(&GridFile { name: "cascades10m_wa.tif", bytes: &bytes, prj: None }, &Job::new()).ok()
}

/// The line from the foot of the hill to its shoulder, and a track below it.
fn plan(ground: &Ground) -> Plan {
    let at = |column: f64, row: f64| ground.frame().to_position(ground.to_map(column, row));
    let fence = Geometry::Line(vec![at(4.0, 100.0), at(66.0, 66.0)]);
    let track = Geometry::Line((0..8).map(|k| f64::from(k) * 9.0 + 3.0).map(|x| at(x, 112.0 - 0.3 * x)).collect());
    Plan::new(
        Head::default(),
        vec![
            Feature::new(FeatureId::new("line"), Kind::Fence(Fence::default()), fence),
            Feature::new(
                FeatureId::new("track"),
                Kind::Track(Track { surface: Some("made".to_owned()), ..Track::default() }),
                track,
            ),
        ],
    )
}

fn reroute(bench: &mut Criterion) {
    let mut group = bench.benchmark_group("another course for 700 m");
    group.sample_size(20);
    for (name, grid) in [("invented hill", Some(invented())), ("trial hillside", trial())] {
        let Some(grid) = grid else { continue };
        let frame = Ground::frame_of(&grid).expect("placed");
        let ground = Ground::new(Arc::new(grid), frame).expect("placed");
        let plan = plan(&ground);
        let outcome: Outcome = outcome(&plan, 0, Some(&ground), Catalogue::built_in(), &mut Kept::new());
        let line = FeatureId::new("line");
        let asked =
            Asked { plan: &plan, ground: Some(&ground), outcome: &outcome, catalogue: Catalogue::built_in(), line: &line };
        group.bench_function(format!("the cheapest one, {name}"), |b| {
            b.iter(|| {
                let setting = Setting::of(asked).expect("may move");
                black_box(
                    setting
                        .cheapest(Weights::USUAL, &Job::new())
                        .expect("not cancelled")
                        .iter()
                        .map(|at: &MapPoint| at.x_m)
                        .sum::<f64>(),
                )
            });
        });
        group.bench_function(format!("all three with their figures, {name}"), |b| {
            b.iter(|| black_box(courses(asked, Weights::USUAL, None, &Job::new()).expect("may move").found.len()));
        });
    }
    group.finish();
}

criterion_group!(benches, reroute);
criterion_main!(benches);
