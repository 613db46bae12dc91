//! The hot paths of the ground: painting a tile, sampling, whole-grid slope and shade, contours.

use criterion::{BatchSize, Criterion, Throughput, criterion_group, criterion_main};
use hillwire_core::job::Job;
use hillwire_core::land::{
    Crs, CrsKind, Georeference, Grid, Ground, MapPoint, Paper, ShadeStyle, Tint, contours, shade_grid, shade_tile, slope_grid_pct,
};
use std::hint::black_box;
use std::sync::Arc;

/// Hills of several sizes, 1 m cells, in UTM zone 33.
fn hills(side: usize) -> Grid {
    let height = |k: usize| {
        let (x, y) = ((k % side) as f64, (k / side) as f64);
        let broad = 60.0 * (x / 310.0).sin() * (y / 270.0).cos();
        (400.0 + broad + 9.0 * (x / 41.0 + y / 57.0).sin() + 0.4 * (x / 5.3).sin() * (y / 4.7).sin()) as f32
    };
    let crs = Crs { definition: "EPSG:32633".to_owned(), kind: CrsKind::Projected { metres_per_unit: 1.0 } };
    let georeference = Georeference { origin: (5e5, 5e6), per_column: (1.0, 0.0), per_row: (0.0, -1.0), crs };
    Grid { columns: side, rows: side, georeference, heights_m: (0..side * side).map(height).collect(), notes: vec![] }
}

fn tiles(bench: &mut Criterion) {
    let grid = hills(4096);
    let tint = Tint::Heights { low_m: 330.0, high_m: 470.0 };
    let relief = ShadeStyle::Relief { paper: Paper::Light, tint };
    let slope = ShadeStyle::Slope { paper: Paper::Light };
    let mut group = bench.benchmark_group("tile of 512 x 512");
    group.bench_function("relief, a cell a texel", |b| b.iter(|| shade_tile(&grid, 0, 3, 3, black_box(&relief))));
    group.bench_function("relief, 8 x 8 cells a texel", |b| b.iter(|| shade_tile(&grid, 3, 0, 0, black_box(&relief))));
    group.bench_function("slope, a cell a texel", |b| b.iter(|| shade_tile(&grid, 0, 3, 3, black_box(&slope))));
    group.bench_function("slope, 8 x 8 cells a texel", |b| b.iter(|| shade_tile(&grid, 3, 0, 0, black_box(&slope))));
    group.finish();
}

fn samples(bench: &mut Criterion) {
    const COUNT: u64 = 1_000_000;
    let grid = Arc::new(hills(4000));
    let ground = Ground::new(grid.clone(), Ground::frame_of(&grid).expect("in UTM")).expect("in UTM");
    let extent = ground.extent();
    let mut state = 1_u64;
    let mut even = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let mut between = |low: f64, high: f64| low + (high - low) * even();
    let points: Vec<MapPoint> = (0..COUNT)
        .map(|_| MapPoint::new(between(extent.min.x_m, extent.max.x_m), between(extent.min.y_m, extent.max.y_m)))
        .collect();
    let cells: Vec<(f64, f64)> = points.iter().map(|point| ground.to_cells(*point)).collect();
    let mut group = bench.benchmark_group("a million heights");
    group.throughput(Throughput::Elements(COUNT)).sample_size(20);
    group.bench_function("at points of the map", |b| {
        b.iter(|| points.iter().filter_map(|point| ground.elevation(*point)).map(|height| height.as_metres()).sum::<f64>())
    });
    group.bench_function("at fractional cells", |b| {
        b.iter(|| cells.iter().filter_map(|(column, row)| grid.bilinear_m(*column, *row)).sum::<f64>())
    });
    group.finish();
}

fn lines(bench: &mut Criterion) {
    let grid = Arc::new(hills(4000));
    let ground = Ground::new(grid.clone(), Ground::frame_of(&grid).expect("in UTM")).expect("in UTM");
    let corners: Vec<MapPoint> =
        (0..40).map(|k| ground.to_map(300.0 + 85.0 * f64::from(k), 2000.0 + 300.0 * f64::from(k % 2))).collect();
    bench.bench_function("profile of about 12 km over 1 m cells", |b| b.iter(|| ground.profile(black_box(&corners))));
    let ring = [(400.0, 500.0), (900.0, 450.0), (1000.0, 1100.0), (500.0, 900.0)].map(|(c, r)| ground.to_map(c, r));
    bench.bench_function("ground area of about 25 ha over 1 m cells", |b| b.iter(|| ground.surface_area(black_box(&ring))));
    bench.bench_function("placing a grid", |b| {
        b.iter_batched(|| (grid.clone(), ground.frame()), |(grid, frame)| Ground::new(grid, frame), BatchSize::SmallInput)
    });
}

fn whole_grids(bench: &mut Criterion) {
    let grid = hills(1000);
    let mut group = bench.benchmark_group("a grid of 1000 x 1000");
    group.throughput(Throughput::Elements(1_000_000));
    group.bench_function("slope", |b| b.iter(|| slope_grid_pct(black_box(&grid))));
    group.bench_function("shade", |b| b.iter(|| shade_grid(black_box(&grid))));
    group.bench_function("contours every 2 m", |b| b.iter(|| contours(black_box(&grid), 2.0, &Job::new())));
    group.finish();
}

criterion_group!(benches, tiles, samples, lines, whole_grids);
criterion_main!(benches);
