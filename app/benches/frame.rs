//! One frame of the whole window without a display: layout, drawing, tessellation. The bar is 8 ms of one core.

use criterion::{Criterion, criterion_group, criterion_main};
use egui::{Context, Event, Pos2, RawInput, Rect, Vec2, pos2};
use hillwire::app::Window;
use hillwire::command::Command;
use hillwire::session::Stage;
use hillwire::worker::Pace;
use hillwire_core::land::MapPoint;
use hillwire_core::plan::{Edit, Feature, FeatureId, Fence, Geometry, Gesture, Kind};
use std::path::{Path, PathBuf};

struct Bench {
    ctx: Context,
    window: Window,
    time: f64,
}

impl Bench {
    fn new() -> Self {
        let ctx = Context::default();
        let window = Window::new(&ctx, Pace::AtOnce, Vec::new());
        let mut bench = Self { ctx, window, time: 0.0 };
        bench.frame(Vec::new());
        let ctx = bench.ctx.clone();
        bench.window.open(sample(), &ctx);
        for _ in 0..8 {
            bench.frame(Vec::new());
        }
        bench
    }

    fn frame(&mut self, events: Vec<Event>) -> usize {
        self.time += 1.0 / 60.0;
        let screen_rect = Some(Rect::from_min_size(Pos2::ZERO, Vec2::new(1280.0, 800.0)));
        let input = RawInput { screen_rect, time: Some(self.time), events, ..RawInput::default() };
        let window = &mut self.window;
        let output = self.ctx.run_ui(input, |ui| window.show(ui));
        self.ctx.tessellate(output.shapes, output.pixels_per_point).len()
    }

    fn show(&mut self, stage: Stage) {
        let ctx = self.ctx.clone();
        self.window.perform(vec![Command::Stage(stage)], &ctx);
        for _ in 0..4 {
            self.frame(Vec::new());
        }
    }

    /// Adds a fence that winds over the ground with this many corners.
    fn add_long_fence(&mut self, corners: usize) {
        let session = &self.window.session;
        let extent = session.land.ground.as_ref().expect("the sample has ground").extent();
        let (width, height) = (extent.max.x_m - extent.min.x_m, extent.max.y_m - extent.min.y_m);
        let places = (0..corners).map(|i| {
            let along = i as f64 / corners as f64;
            let wave = (along * 60.0).sin() * 0.4 + 0.5;
            MapPoint::new(extent.min.x_m + (0.05 + 0.9 * along) * width, extent.min.y_m + wave * height)
        });
        let geometry = Geometry::Line(places.map(|at| session.position(at)).collect());
        let build = session.plan().head.builds.first().map(|build| build.id.clone()).unwrap_or_default();
        let kind = Kind::Fence(Fence { build, ..Fence::default() });
        let feature = Feature::new(FeatureId::new("long"), kind, geometry);
        let gesture = Gesture::Drew { kind: "fence".to_owned() };
        let ctx = self.ctx.clone();
        self.window.perform(vec![Command::Change(gesture, vec![Edit::Add(Box::new(feature))])], &ctx);
        for _ in 0..4 {
            self.frame(Vec::new());
        }
    }
}

fn sample() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../sample-maps/brackenhope.plan.geojson")
}

fn frames(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("frame");
    let mut bench = Bench::new();
    group.bench_function("sample plan, nothing moves", |b| b.iter(|| bench.frame(Vec::new())));
    let mut x = 300.0;
    group.bench_function("sample plan, the pointer moves over the map", |b| {
        b.iter(|| {
            x = if x > 900.0 { 300.0 } else { x + 1.0 };
            bench.frame(vec![Event::PointerMoved(pos2(x, 320.0))])
        });
    });
    bench.show(Stage::Power);
    group.bench_function("sample plan, stage Power", |b| b.iter(|| bench.frame(Vec::new())));
    bench.show(Stage::Line);
    bench.add_long_fence(1000);
    group.bench_function("1000 corners, nothing moves", |b| b.iter(|| bench.frame(Vec::new())));
    bench.show(Stage::Power);
    group.bench_function("1000 corners, stage Power", |b| b.iter(|| bench.frame(Vec::new())));
    group.finish();
}

criterion_group!(benches, frames);
criterion_main!(benches);
