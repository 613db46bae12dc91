//! Ten years of weekly rounds on the sample plan, 20 000 entries: opening the plan (read, everything that follows, the log), and each part of it.

mod ten_years;

use criterion::{Criterion, criterion_group, criterion_main};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::job::Job;
use hillwire_core::land::{GridFile, Ground, Position, read_grid};
use hillwire_core::log::{Log, LogFrom};
use hillwire_core::outcome::{Kept, Outcome, outcome_on};
use hillwire_core::plan::{Edit, Kind, Plan, write_plan};
use jiff::civil::date;
use std::hint::black_box;
use std::sync::Arc;
use ten_years::{PLAN, opened, ten_years};

const GRID: &[u8] = include_bytes!("../../sample-maps/brackenhope.tif");

fn ground() -> Ground {
    let grid = Arc::new(read_grid(&GridFile { name: "brackenhope.tif", bytes: &GRID, prj: None }, &Job::new()).expect("a grid"));
    let frame = Ground::frame_of(&grid).expect("in UTM");
    Ground::new(grid, frame).expect("in UTM")
}

fn follows(plan: &Plan, ground: &Ground, kept: &mut Kept) -> Outcome {
    outcome_on(Some(date(2026, 1, 1)), plan, 0, Some(ground), Catalogue::built_in(), kept)
}

fn read(plan: &Plan, outcome: &Outcome) -> Log {
    Log::of(&LogFrom { plan, outcome, catalogue: Catalogue::built_in(), on: date(2026, 1, 1) })
}

fn log(bench: &mut Criterion) {
    // One core: the window draws on the other.
    rayon::ThreadPoolBuilder::new().num_threads(1).build_global().expect("nothing ran before");
    let (bytes, ground) = (ten_years(), ground());
    let plan = opened(&bytes);
    let bare = opened(PLAN);
    let mut kept = Kept::new();
    let known = follows(&plan, &ground, &mut kept);
    let mut group = bench.benchmark_group("ten years of rounds");
    group.sample_size(10);
    group.bench_function("open: read, what follows, the log", |b| {
        b.iter(|| {
            let plan = opened(&bytes);
            let outcome = follows(&plan, &ground, &mut Kept::new());
            black_box(read(&plan, &outcome))
        });
    });
    group.bench_function("what follows without the log's entries", |b| {
        b.iter(|| black_box(follows(&bare, &ground, &mut Kept::new())))
    });
    group.bench_function("what follows", |b| b.iter(|| black_box(follows(&plan, &ground, &mut Kept::new()))));
    group.bench_function("what follows, nothing changed", |b| b.iter(|| black_box(follows(&plan, &ground, &mut kept))));
    group.bench_function("reading the file", |b| b.iter(|| black_box(opened(&bytes))));
    group.bench_function("writing the file", |b| b.iter(|| black_box(write_plan(&plan))));
    group.bench_function("the log alone", |b| b.iter(|| black_box(read(&plan, &known))));
    let first = plan.features.iter().find(|feature| matches!(feature.kind, Kind::Fence(_))).expect("a fence");
    let corner = first.line().expect("a line")[1];
    let to = Position { lat_e9: corner.lat_e9 + 270, ..corner };
    let edit = Edit::MoveCorner { id: first.id.clone(), corner: 1, to };
    group.bench_function("moving a corner, the edit alone", |b| b.iter(|| black_box(edit.apply(&plan).expect("possible"))));
    group.finish();
}

criterion_group!(benches, log);
criterion_main!(benches);
