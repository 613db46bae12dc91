//! One frame of the whole window without a display: layout, drawing, tessellation. The bar is 8 ms of one core.

#[path = "../../core/benches/ten_years/mod.rs"]
mod ten_years;

use criterion::{Criterion, criterion_group, criterion_main};
use egui::{Context, Event, Modifiers, MouseWheelSource, MouseWheelUnit, Pos2, RawInput, Rect, TouchPhase, Vec2, pos2};
use hillwire::app::Window;
use hillwire::command::Command;
use hillwire::log_view::{Below, LogAsk};
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
    fn new(plan: &Path) -> Self {
        let ctx = Context::default();
        let window = Window::new(&ctx, Pace::AtOnce, Vec::new());
        let mut bench = Self { ctx, window, time: 0.0 };
        bench.frame(Vec::new());
        let ctx = bench.ctx.clone();
        bench.window.open(plan.to_owned(), &ctx);
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
    let mut bench = Bench::new(&sample());
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

/// A plan with a log of 20 000 entries: until it is on screen, and a frame while its table is scrolled.
fn log(criterion: &mut Criterion) {
    let folder = tempfile::tempdir().expect("a folder for the bench");
    let plan = folder.path().join("ten-years.plan.geojson");
    std::fs::write(&plan, ten_years::ten_years()).expect("the folder is ours");
    std::fs::copy(sample().with_file_name("brackenhope.tif"), folder.path().join("brackenhope.tif"))
        .expect("the grid is beside it");
    let opened = || {
        let mut bench = Bench::new(&plan);
        bench.show(Stage::Round);
        let ctx = bench.ctx.clone();
        bench.window.perform(vec![Command::Log(LogAsk::Below(Below::Entries))], &ctx);
        bench.frame(Vec::new());
        bench
    };
    let mut group = criterion.benchmark_group("ten years of rounds");
    group.sample_size(10);
    group.bench_function("opened, until its table is on screen", |b| b.iter(|| opened().time));
    let mut bench = opened();
    let count = bench.window.session.log_view.log().expect("it was read").entries.len();
    assert!(count >= 20_000, "{count}");
    let over = pos2(500.0, 700.0);
    bench.frame(vec![Event::PointerMoved(over)]);
    group.bench_function("its table stands still", |b| b.iter(|| bench.frame(Vec::new())));
    let mut turns = 0;
    group.bench_function("its table is scrolled", |b| {
        b.iter(|| {
            turns += 1;
            let lines = if turns / 400 % 2 == 0 { -25.0 } else { 25.0 };
            let (unit, delta) = (MouseWheelUnit::Line, Vec2::new(0.0, lines));
            bench.frame(vec![Event::MouseWheel {
                unit,
                delta,
                phase: TouchPhase::Move,
                source: MouseWheelSource::Wheel,
                modifiers: Modifiers::NONE,
            }])
        });
    });
    group.finish();
}

criterion_group!(benches, frames, log);
criterion_main!(benches);
