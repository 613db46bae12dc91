//! How long water takes over 4000 x 4000 cells: hollows filled, ways down, and what gathers on them; and the runners on working cells.

use criterion::{Criterion, criterion_group, criterion_main};
use hillwire_core::land::{Drainage, MapPoint, WorkingGrid};
use hillwire_core::units::Length;
use std::hint::black_box;

/// Invented hills with hollows of every size.
fn hills(cells: usize) -> WorkingGrid {
    let mut state = 7_u64;
    let mut noise = move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 40) as f64 / f64::from(1_u32 << 24)
    };
    let height = |k: usize| {
        let (x, y) = ((k % cells) as f64, (k / cells) as f64);
        let waves =
            40.0 * (x / 310.0).sin() * (y / 270.0).cos() + 6.0 * (x / 31.0 + y / 43.0).sin() + (x / 7.0).cos() * (y / 5.0).sin();
        400.0 + waves + 0.02 * x + 0.1 * noise()
    };
    let heights = (0..cells * cells).map(height).collect();
    WorkingGrid::from_heights(cells, Length::metres(1.0), MapPoint::new(0.0, 0.0), heights)
}

fn drain(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("drain");
    group.sample_size(10);
    for cells in [400_usize, 4000] {
        let grid = hills(cells);
        group.bench_function(format!("{cells} x {cells}"), |bench| {
            bench.iter_batched(|| grid.clone(), |grid| black_box(Drainage::of(grid, &[])), criterion::BatchSize::PerIteration);
        });
    }
    group.finish();
}

criterion_group!(benches, drain);
criterion_main!(benches);
