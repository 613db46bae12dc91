//! Fences over ground whose true shape is known, seen through a grid that scatters.

use super::*;
use crate::hold::section;
use crate::land::fixture::{chance, grid};
use crate::plan::{Build, Geometry, GroundChoice, Head, Strand};
use serde_json::Map;
use std::f64::consts::PI;
use std::sync::Arc;

const COLUMNS: usize = 440;
const ROWS: usize = 80;

/// A smooth hillside.
fn hillside(x: f64, y: f64) -> f64 {
    400.0 + 0.18 * x + 0.3 * y + 3.0 * (x / 38.0 + y / 50.0).sin() + 1.2 * (x / 23.0 - y / 31.0).sin()
}

/// Cells of 1 m that scatter by this deviation.
fn seen(noise_m: f64, seed: u64, height_m: impl Fn(f64, f64) -> f64) -> Ground {
    let cell = |k: usize| {
        let (x, y) = ((k % COLUMNS) as f64, (k / COLUMNS) as f64);
        (height_m(x, y) + noise_m * chance(seed * 1_000_003 + k as u64)) as f32
    };
    let grid = grid(COLUMNS, ROWS, 1.0, (0..COLUMNS * ROWS).map(cell).collect());
    let frame = Ground::frame_of(&grid).expect("in UTM");
    Ground::new(Arc::new(grid), frame).expect("in UTM")
}

/// Where the line runs: 400 cells along, a little across the rows.
fn along(x: f64) -> f64 {
    24.0 + 0.08 * x
}

fn plan(line_post: &str) -> Plan {
    let strand = |height_m| Strand::live(Length::metres(height_m), "ht-12.5ga");
    let build = Build {
        id: "pig".to_owned(),
        strands: vec![strand(0.15), strand(0.35), strand(0.60)],
        line_post: line_post.to_owned(),
        corner_post: "wood-150".to_owned(),
        max_bay: Length::metres(8.0),
        tension: Force::newtons(667.0),
        ..Build::default()
    };
    Plan { head: Arc::new(Head { builds: vec![build], ..Head::default() }), features: vec![], foreign: Map::new() }
}

/// 400 m of three strands.
fn fence_on(ground: &Ground) -> LineHold {
    let fence = Kind::Fence(Fence { build: "pig".to_owned(), ..Fence::default() });
    let line = Feature::new(FeatureId::new("line"), fence, Geometry::Line(vec![]));
    let corners = [15.0, 415.0].map(|x| ground.to_map(x, along(x)));
    let under = section(&line.id, &corners, Some(ground), &[]);
    let all = Catalogue::built_in();
    let footings = FootingMap::even(Footing::of(&GroundChoice::default(), all).expect("loam"));
    line_hold(
        &plan("t-post"),
        &line,
        &under,
        &[],
        Terrain { footings: &footings, ground: Some(ground), clearance: None, placed: None },
        all,
    )
    .expect("listed")
}

#[test]
fn the_scatter_of_a_grid_is_not_fenced() {
    let without = fence_on(&seen(0.0, 0, hillside));
    let wanted = without.posts.len();
    assert!((50..=54).contains(&wanted), "{wanted}");
    assert!(without.on_walk.as_ref().is_some_and(|walk| walk.pegs < 0.5), "{:?}", without.on_walk);
    for noise_m in [0.03, 0.05, 0.08, 0.12] {
        for seed in 1..=4 {
            let held = fence_on(&seen(noise_m, seed, hillside));
            let stand = held.posts.len();
            let most = wanted as f64 * 1.1;
            assert!(stand as f64 <= most && stand as f64 >= 0.9 * wanted as f64, "{noise_m} m: {stand} instead of {wanted}");
            let walk = held.on_walk.as_ref().expect("cells tell").pegs;
            assert!((1.0..20.0).contains(&walk), "{noise_m} m: {walk} on the walk");
            let error_m = held.bays.iter().map(|bay| bay.error.as_metres()).fold(0.0, f64::max);
            assert!((0.05..0.2).contains(&error_m), "{noise_m} m: {error_m}");
        }
    }
}

#[test]
fn real_hollows_are_still_found_through_eight_centimetres_of_scatter() {
    // Round hollows of 0.30 m, 4 m from rim to rim, under the line every 13 m or so, a little to its side.
    let (mut found, mut all) = (0, 0);
    for seed in 1..=6_u64 {
        let places: Vec<f64> =
            (0..29).map(|k| 25.0 + 13.0 * f64::from(k) + 2.0 * chance(seed * 77 + k as u64).clamp(-1.0, 1.0)).collect();
        let hollow = |x: f64, y: f64| {
            let near = places.iter().map(|at| (x - at).hypot(y - along(*at) - 0.3)).fold(f64::INFINITY, f64::min);
            if near < 2.0 { -0.15 * (1.0 + (PI * near / 2.0).cos()) } else { 0.0 }
        };
        let ground = seen(0.08, seed, |x, y| hillside(x, y) + hollow(x, y));
        let held = fence_on(&ground);
        for at in &places {
            let here = ground.to_map(*at, along(*at));
            all += 1;
            found += usize::from(held.posts.iter().any(|post| post.at.distance_m(here) < 1.3));
        }
    }
    assert!(found * 10 >= all * 9, "{found} of {all}");
}
