//! Ten years of weekly rounds on the sample plan, 20 000 entries: opening the plan (read, everything that follows, the log), and each part of it.

use criterion::{Criterion, criterion_group, criterion_main};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::job::Job;
use hillwire_core::land::{GridFile, Ground, Position, read_grid};
use hillwire_core::log::{Log, LogFrom};
use hillwire_core::outcome::{Kept, Outcome, outcome_on};
use hillwire_core::plan::{
    Edit, EntryLine, Fault, Feature, FeatureId, Geometry, Kind, Opened, Plan, Reading, read_plan, write_plan,
};
use jiff::ToSpan;
use jiff::civil::{Date, date};
use std::hint::black_box;
use std::sync::Arc;

const PLAN: &[u8] = include_bytes!("../../sample-maps/brackenhope.plan.geojson");
const GRID: &[u8] = include_bytes!("../../sample-maps/brackenhope.tif");
const ROUNDS: u32 = 520;
const ENTRIES: u32 = 20_000;

fn opened(bytes: &[u8]) -> Plan {
    let Ok(Opened::Plan(plan, _)) = read_plan("brackenhope", bytes) else { panic!("the sample is a plan") };
    plan
}

fn ground() -> Ground {
    let grid = Arc::new(read_grid(&GridFile { name: "brackenhope.tif", bytes: &GRID, prj: None }, &Job::new()).expect("a grid"));
    let frame = Ground::frame_of(&grid).expect("in UTM");
    Ground::new(grid, frame).expect("in UTM")
}

/// The sample plan with its log, as a file: readings along the fences, one entry in ten a fault that was mended.
fn ten_years() -> Vec<u8> {
    let mut plan = opened(PLAN);
    let fences: Vec<(String, Vec<Position>)> = plan
        .features
        .iter()
        .filter(|feature| matches!(feature.kind, Kind::Fence(_)))
        .map(|feature| (feature.id.as_str().to_owned(), feature.line().expect("a line").to_vec()))
        .collect();
    for number in 0..ENTRIES {
        let round = number * ROUNDS / ENTRIES;
        let day: Date = date(2016, 1, 6).checked_add((7 * i64::from(round)).days()).expect("in reach");
        let (line, corners) = &fences[number as usize % fences.len()];
        let leg = (number / 7) as usize % (corners.len() - 1);
        let share = i64::from(number * 37 % 100);
        let between = |from: i64, to: i64| from + (to - from) * share / 100;
        let (from, to) = (corners[leg], corners[leg + 1]);
        let at = Position { lon_e9: between(from.lon_e9, to.lon_e9), lat_e9: between(from.lat_e9, to.lat_e9) };
        let of = EntryLine { line: Some(line.clone()), off: None };
        let kind = if number % 10 == 3 {
            let day = Some(day.to_string());
            Kind::Fault(Fault { what: Some("branch".to_owned()), seen: day.clone(), mended: day, of, ..Fault::default() })
        } else {
            let at_time = Some(format!("{day}T09:{:02}:00Z", number % 60));
            Kind::Reading(Reading { kv: Some(4.0 + f64::from(number % 20) / 10.0), at_time, of, ..Reading::default() })
        };
        plan.features.push(Arc::new(Feature::new(FeatureId::new(&format!("entry-{number}")), kind, Geometry::Point(at))));
    }
    write_plan(&plan)
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
