//! What runs while a corner is dragged: the section of a line, its posts and bays, the bill of materials.

use criterion::{Criterion, criterion_group, criterion_main};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::hold::{Footing, FootingMap, Terrain, line_hold, measure, section};
use hillwire_core::land::{Crs, CrsKind, Georeference, Grid, Ground, MapPoint};
use hillwire_core::order::{BuiltLine, Site, order};
use hillwire_core::plan::{Build, Feature, FeatureId, Fence, Geometry, Head, Kind, Plan, Strand};
use hillwire_core::units::{Force, Length};
use std::hint::black_box;
use std::sync::Arc;

/// Hills of several sizes, 1 m cells, in UTM zone 33.
fn ground() -> Ground {
    let side = 1200;
    let height = |k: usize| {
        let (x, y) = ((k % side) as f64, (k / side) as f64);
        let broad = 60.0 * (x / 310.0).sin() * (y / 270.0).cos();
        (400.0 + broad + 9.0 * (x / 41.0 + y / 57.0).sin() + 0.4 * (x / 5.3).sin() * (y / 4.7).sin()) as f32
    };
    let crs = Crs { definition: "EPSG:32633".to_owned(), kind: CrsKind::Projected { metres_per_unit: 1.0 } };
    let georeference = Georeference { origin: (5e5, 5e6), per_column: (1.0, 0.0), per_row: (0.0, -1.0), crs };
    let grid = Grid { columns: side, rows: side, georeference, heights_m: (0..side * side).map(height).collect(), notes: vec![] };
    let frame = Ground::frame_of(&grid).expect("in UTM");
    Ground::new(Arc::new(grid), frame).expect("in UTM")
}

/// A plan with one line of a kilometre and three strands.
fn plan() -> Plan {
    let strand = |height_m: f64| Strand::live(Length::metres(height_m), "ht-12.5ga");
    let build = Build {
        id: "pig".to_owned(),
        strands: vec![strand(0.15), strand(0.35), strand(0.60)],
        line_post: "t-post".to_owned(),
        corner_post: "wood-150".to_owned(),
        max_bay: Length::metres(10.0),
        tension: Force::newtons(667.0),
        ..Build::default()
    };
    let fence = Kind::Fence(Fence { build: "pig".to_owned(), ..Fence::default() });
    Plan::new(
        Head { builds: vec![build], ..Head::default() },
        vec![Feature::new(FeatureId::new("line"), fence, Geometry::Line(vec![]))],
    )
}

fn one_kilometre(bench: &mut Criterion) {
    let (ground, plan, all) = (ground(), plan(), Catalogue::built_in());
    let line = &plan.features[0];
    let cells = [(100.0, 100.0), (520.0, 260.0), (610.0, 560.0), (500.0, 760.0)];
    let corners: Vec<MapPoint> = cells.iter().map(|(column, row)| ground.to_map(*column, *row)).collect();
    let footings = FootingMap::even(Footing::of(&plan.head.ground, all).expect("listed"));
    let under = section(&line.id, &corners, Some(&ground), &[]);
    let length_m = measure(&under).plan_length.as_metres();
    assert!((950.0..1050.0).contains(&length_m), "{length_m}");
    let held =
        line_hold(&plan, line, &under, &[], Terrain { footings: &footings, ground: None, clearance: None, placed: None }, all)
            .expect("listed");
    let lengths = measure(&under);
    let built = BuiltLine {
        id: &line.id,
        measure: &lengths,
        section: &under,
        posts: &held.posts,
        bays: &held.bays,
        strains: &held.strains,
        on_walk: None,
    };
    let mut group = bench.benchmark_group("line of 1 km, three strands");
    group.bench_function("section on 1 m cells", |b| b.iter(|| section(&line.id, black_box(&corners), Some(&ground), &[])));
    group.bench_function("posts and bays", |b| {
        b.iter(|| {
            line_hold(
                &plan,
                line,
                black_box(&under),
                &[],
                Terrain { footings: &footings, ground: Some(&ground), clearance: None, placed: None },
                all,
            )
        })
    });
    let mut drilled = plan.clone();
    Arc::make_mut(&mut drilled.head).builds[0].drill = Length::metres(0.05);
    group.bench_function("posts and bays, drilled off their pattern", |b| {
        b.iter(|| {
            line_hold(
                &drilled,
                line,
                black_box(&under),
                &[],
                Terrain { footings: &footings, ground: Some(&ground), clearance: None, placed: None },
                all,
            )
        })
    });
    group.bench_function("bill of materials", |b| {
        b.iter(|| order(black_box(&plan), &[built], &Site { frame: ground.frame(), footings: Some(&footings) }, all))
    });
    group.finish();
}

criterion_group!(benches, one_kilometre);
criterion_main!(benches);
