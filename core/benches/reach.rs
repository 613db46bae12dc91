//! What reaching and seeing costs: all checks of a fence of 5 km on 2000 x 2000 cells of 1 m, from nothing and after a corner was moved.

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::land::{Crs, CrsKind, Georeference, Grid, Ground, MapPoint};
use hillwire_core::outcome::{Kept, outcome};
use hillwire_core::plan::{Energizer, Feature, FeatureId, Fence, Geometry, Kind, Opened, Plan, Track, Zone, read_plan};
use hillwire_core::site::Reach;
use std::f64::consts::TAU;
use std::hint::black_box;
use std::sync::Arc;

const SAMPLE: &[u8] = include_bytes!("../../sample-maps/brackenhope.plan.geojson");
const CELLS: usize = 2000;

/// Invented hills of 1 m cells.
fn ground() -> Ground {
    let height = |k: usize| {
        let (x, y) = ((k % CELLS) as f64, (k / CELLS) as f64);
        let hills = 60.0 * (x / 310.0).sin() * (y / 270.0).cos() + 9.0 * (x / 47.0 + y / 61.0).sin();
        (400.0 + hills + 0.15 * ((x * 0.71).sin() + (y * 0.67).cos())) as f32
    };
    let crs = Crs { definition: "EPSG:32633".to_owned(), kind: CrsKind::Projected { metres_per_unit: 1.0 } };
    let georeference = Georeference { origin: (500_000.0, 5_000_000.0), per_column: (1.0, 0.0), per_row: (0.0, -1.0), crs };
    let heights_m = (0..CELLS * CELLS).map(height).collect();
    let grid = Arc::new(Grid { columns: CELLS, rows: CELLS, georeference, heights_m, notes: Vec::new() });
    let frame = Ground::frame_of(&grid).expect("in UTM");
    Ground::new(grid, frame).expect("in UTM")
}

/// A ring of 5 km in forty legs, a track through its middle, a wood over a third of it, an energizer beside the fence.
fn plan(ground: &Ground) -> Plan {
    let Ok(Opened::Plan(sample, _)) = read_plan("brackenhope", SAMPLE) else { panic!("the sample is a plan") };
    let middle = ground.extent().centre();
    let place = |x: f64, y: f64| ground.frame().to_position(middle + MapPoint::new(x, y));
    let turn = |k: usize, radius_m: f64| {
        let angle = k as f64 / 40.0 * TAU;
        place(radius_m * angle.cos(), radius_m * angle.sin())
    };
    let ring = (0..=40).map(|k| turn(k % 40, 800.0)).collect();
    let track = (0..=60).map(|k| f64::from(k) * 25.0 - 750.0).map(|x| place(x, 300.0 * (x / 260.0).sin())).collect();
    let corners = [(-700.0, 100.0), (500.0, 100.0), (500.0, 900.0), (-700.0, 900.0), (-700.0, 100.0)];
    let wood = corners.map(|(x, y)| place(x, y)).to_vec();
    let fence = Kind::Fence(Fence { build: sample.head.builds[0].id.clone(), ..Fence::default() });
    let zone = Kind::Zone(Zone { of: "wood".to_owned(), ..Zone::default() });
    let features = [
        (fence, Geometry::Line(ring)),
        (Kind::Track(Track::default()), Geometry::Line(track)),
        (zone, Geometry::Area(vec![wood])),
        (
            Kind::Energizer(Energizer { model: Some("very-large".to_owned()), ..Energizer::default() }),
            Geometry::Point(turn(0, 800.0)),
        ),
        (Kind::Earth { rods: Some(6), rod_length: None, rod_diameter: None, spacing: None }, Geometry::Point(turn(0, 805.0))),
    ];
    let features = features.into_iter().enumerate();
    let features = features.map(|(k, (kind, geometry))| Feature::new(FeatureId::new(&format!("f{k}")), kind, geometry));
    Plan::new((*sample.head).clone(), features.collect())
}

/// The plan with one corner of the fence 30 cm farther north for every step.
fn moved(plan: &Plan, step: i64) -> Plan {
    let mut moved = plan.clone();
    if let Geometry::Line(corners) = &mut Arc::make_mut(&mut moved.features[0]).geometry {
        corners[7].lat_e9 += 2700 * (step % 50);
    }
    moved
}

fn reach(bench: &mut Criterion) {
    let ground = ground();
    let plan = plan(&ground);
    let catalogue = Catalogue::built_in();
    let mut group = bench.benchmark_group("a fence of 5 km on 4 million cells");
    group.sample_size(10);
    group.bench_function("tracks, walking times and outlook alone", |b| {
        b.iter(|| black_box(Reach::of(&plan, ground.frame(), Some(&ground))));
    });
    group.bench_function("all checks from nothing", |b| {
        b.iter(|| black_box(outcome(&plan, 0, Some(&ground), catalogue, &mut Kept::new())));
    });
    let mut kept = Kept::new();
    outcome(&plan, 0, Some(&ground), catalogue, &mut kept);
    let mut step = 0;
    group.bench_function("all checks after moving one corner", |b| {
        b.iter_batched(
            || {
                step += 1;
                moved(&plan, step)
            },
            |plan| black_box(outcome(&plan, 1, Some(&ground), catalogue, &mut kept)),
            BatchSize::SmallInput,
        );
    });
    group.finish();
}

criterion_group!(benches, reach);
criterion_main!(benches);
