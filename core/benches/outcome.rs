//! What an edit costs: everything that follows from the sample plan, from nothing and after moving one corner.

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::job::Job;
use hillwire_core::land::{GridFile, Ground, read_grid};
use hillwire_core::outcome::{Kept, outcome};
use hillwire_core::plan::{Geometry, Kind, Opened, Plan, read_plan};
use hillwire_core::units::Length;
use std::hint::black_box;
use std::sync::Arc;

const PLAN: &[u8] = include_bytes!("../../sample-maps/brackenhope.plan.geojson");
const GRID: &[u8] = include_bytes!("../../sample-maps/brackenhope.tif");

fn sample() -> (Plan, Ground) {
    let Ok(Opened::Plan(plan, _)) = read_plan("brackenhope", PLAN) else { panic!("the sample is a plan") };
    let grid = Arc::new(read_grid(&GridFile { name: "brackenhope.tif", bytes: &GRID, prj: None }, &Job::new()).expect("a grid"));
    let frame = Ground::frame_of(&grid).expect("in UTM");
    (plan, Ground::new(grid, frame).expect("in UTM"))
}

/// The plan with one corner of one feature 3 cm farther north for every step.
fn moved(plan: &Plan, feature: usize, step: i64) -> Plan {
    let mut moved = plan.clone();
    if let Geometry::Line(corners) = &mut Arc::make_mut(&mut moved.features[feature]).geometry {
        corners[1].lat_e9 += 270 * (step % 50);
    }
    moved
}

/// The plan with a post of one fence pinned at a station.
fn with_post(plan: &Plan, feature: usize, station_m: f64) -> Plan {
    let mut pinned = plan.clone();
    if let Kind::Fence(fence) = &mut Arc::make_mut(&mut pinned.features[feature]).kind {
        fence.posts = vec![Length::metres(station_m)];
    }
    pinned
}

fn outcomes(bench: &mut Criterion) {
    // One core: the window draws on the other.
    rayon::ThreadPoolBuilder::new().num_threads(1).build_global().expect("nothing ran before");
    let (plan, ground) = sample();
    let catalogue = Catalogue::built_in();
    let mut group = bench.benchmark_group("outcome of the sample plan");
    let mut kept = Kept::new();
    outcome(&plan, 0, Some(&ground), catalogue, &mut kept);
    group.bench_function("every line anew", |b| {
        b.iter_batched(
            || {
                let mut changed = plan.clone();
                changed.features = plan.features.iter().map(|feature| Arc::new(feature.as_ref().clone())).collect();
                changed
            },
            |plan| black_box(outcome(&plan, 1, Some(&ground), catalogue, &mut kept)),
            BatchSize::SmallInput,
        );
    });
    let mut step = 0;
    group.bench_function("after moving one corner", |b| {
        b.iter_batched(
            || {
                step += 1;
                moved(&plan, 0, step)
            },
            |plan| black_box(outcome(&plan, 1, Some(&ground), catalogue, &mut kept)),
            BatchSize::SmallInput,
        );
    });
    group.bench_function("after moving one post", |b| {
        b.iter_batched(
            || {
                step += 1;
                with_post(&plan, 0, 60.0 + (step % 50) as f64 * 0.1)
            },
            |plan| black_box(outcome(&plan, 1, Some(&ground), catalogue, &mut kept)),
            BatchSize::SmallInput,
        );
    });
    let track = plan.features.iter().position(|feature| matches!(feature.kind, Kind::Track(_))).expect("the sample has a track");
    group.bench_function("after moving a corner of a track", |b| {
        b.iter_batched(
            || {
                step += 1;
                moved(&plan, track, step)
            },
            |plan| black_box(outcome(&plan, 1, Some(&ground), catalogue, &mut kept)),
            BatchSize::SmallInput,
        );
    });
    group.bench_function("nothing changed", |b| b.iter(|| black_box(outcome(&plan, 1, Some(&ground), catalogue, &mut kept))));
    group.finish();
}

criterion_group!(benches, outcomes);
criterion_main!(benches);
