//! Contour lines on the map: made once per ground, thinned to what the screen can show.

use super::view::View;
use crate::theme::Inks;
use egui::{Painter, Pos2, Rect, Shape, Stroke};
use hillwire_core::job::Job;
use hillwire_core::land::{ContourError, Ground, MapPoint, MapRect, contours_to_draw};

/// One contour line on the map.
#[derive(Clone, Debug)]
pub struct ContourLine {
    /// Its height in steps of the base interval.
    step: i64,
    /// The base interval.
    every_m: f64,
    points: Vec<MapPoint>,
    extent: MapRect,
}

/// Intervals that people read easily (common practice, no source).
const INTERVALS_M: [f64; 9] = [0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0];
/// Contours at most over the whole relief: beyond that nobody can follow them.
const MOST_LEVELS: f64 = 90.0;
/// Above this many cells contours are not drawn live: the shading carries the shape.
const MOST_CELLS: usize = 6_000_000;
/// A bend of so little is dropped, in cells and in metres.
const UNSEEN_CELLS: f64 = 0.08;
const UNSEEN_M: f64 = 0.2;
/// Contours closer than this on the screen run together.
const CLOSEST_POINTS: f64 = 12.0;

/// All contour lines of a ground, each grid's where it is the finest; `None` when the ground is too large or flat for them.
pub fn lines_of(ground: &Ground, job: &Job) -> Option<Vec<ContourLine>> {
    let grids = || ground.layers().map(|layer| layer.grid());
    if grids().map(|grid| grid.columns * grid.rows).sum::<usize>() > MOST_CELLS {
        return None;
    }
    let heights = grids().flat_map(|grid| grid.heights_m.iter().copied()).filter(|height| height.is_finite());
    let (low, high) = heights.fold((f32::INFINITY, f32::NEG_INFINITY), |(low, high), height| (low.min(height), high.max(height)));
    let relief = f64::from(high - low);
    // The finest that nobody loses himself in and that is not too much: rough ground crosses a level again and again.
    let mut intervals = INTERVALS_M.into_iter().filter(|every| relief / every <= MOST_LEVELS);
    intervals
        .find_map(|every_m| match lines_every(ground, every_m, job) {
            Err(ContourError::TooMany { .. }) => None,
            lines => Some(lines),
        })?
        .ok()
}

/// All contour lines of a ground at every multiple of `every_m`.
fn lines_every(ground: &Ground, every_m: f64, job: &Job) -> Result<Vec<ContourLine>, ContourError> {
    let mut lines = Vec::new();
    for layer in ground.layers() {
        let unseen = (UNSEEN_M / layer.cell().as_metres()).min(UNSEEN_CELLS);
        for line in contours_to_draw(layer.grid(), every_m, job)? {
            let points = thinned(&line.way().collect::<Vec<_>>(), unseen)
                .into_iter()
                .map(|(column, row)| layer.to_map(column, row))
                .collect();
            let step = (line.level_m / every_m).round() as i64;
            let seen = seen(ground, layer, points).into_iter();
            lines.extend(seen.filter_map(|points| {
                let extent = MapRect::around(points.iter().copied())?;
                Some(ContourLine { step, every_m, points, extent })
            }));
        }
    }
    Ok(lines)
}

/// The parts of a layer's line that no finer grid lies over.
fn seen(ground: &Ground, layer: &Ground, points: Vec<MapPoint>) -> Vec<Vec<MapPoint>> {
    if std::ptr::eq(ground, layer) {
        return vec![points];
    }
    let is_seen = |at: &MapPoint| ground.layer_at(*at).is_none_or(|used| std::ptr::eq(used, layer));
    points
        .chunk_by(|before, next| is_seen(before) == is_seen(next))
        .filter(|part| is_seen(&part[0]) && part.len() > 1)
        .map(<[_]>::to_vec)
        .collect()
}

/// Drops points that stand less than so many cells off the line through their neighbours.
fn thinned(points: &[(f64, f64)], unseen: f64) -> Vec<(f64, f64)> {
    let mut kept: Vec<(f64, f64)> = Vec::with_capacity(points.len() / 2);
    for (index, &point) in points.iter().enumerate() {
        if let (Some(&before), Some(&after)) = (kept.last(), points.get(index + 1)) {
            let (ax, ay) = (after.0 - before.0, after.1 - before.1);
            let off = ((point.0 - before.0) * ay - (point.1 - before.1) * ax).abs() / ax.hypot(ay).max(1e-9);
            if off < unseen && ax.hypot(ay) < 12.0 {
                continue;
            }
        }
        kept.push(point);
    }
    kept
}

/// Draws the lines that the view has room for; every fifth is an index contour.
pub fn draw(painter: &Painter, pane: Rect, view: &View, lines: &[ContourLine], mean_slope: f64, inks: &Inks) {
    let Some(first) = lines.first() else { return };
    let shown = view.shown(pane);
    let apart = first.every_m / mean_slope.max(0.02) / view.metres_per_point;
    let steps = [1, 2, 5, 10, 20, 50, 100];
    let step = steps.into_iter().find(|step| apart * *step as f64 >= CLOSEST_POINTS).unwrap_or(100);
    for line in lines.iter().filter(|line| line.step % step == 0 && overlap(line.extent, shown)) {
        let index = (line.step / step) % 5 == 0;
        let strength = if index { 0.42 } else { 0.20 };
        let stroke = Stroke::new(if index { 1.1 } else { 0.8 }, inks.track.gamma_multiply(strength));
        let mut points: Vec<Pos2> = Vec::with_capacity(line.points.len());
        for &at in &line.points {
            let at_screen = view.at_screen(pane, at);
            if points.last().is_none_or(|last| last.distance_sq(at_screen) > 4.0) {
                points.push(at_screen);
            }
        }
        painter.add(Shape::line(points, stroke));
    }
}

fn overlap(a: MapRect, b: MapRect) -> bool {
    a.min.x_m <= b.max.x_m && b.min.x_m <= a.max.x_m && a.min.y_m <= b.max.y_m && b.min.y_m <= a.max.y_m
}

/// Slope of the ground over a few hundred places, as rise over run: how dense contours will be.
pub fn rough_slope(ground: &Ground) -> f64 {
    let MapRect { min, max } = ground.whole_extent();
    let places = (0..400).map(|i| {
        let (u, v) = (f64::from(i % 20) / 19.0, f64::from(i / 20) / 19.0);
        MapPoint::new(min.x_m + u * (max.x_m - min.x_m), min.y_m + v * (max.y_m - min.y_m))
    });
    let slopes: Vec<f64> = places.filter_map(|at| ground.gradient(at)).map(|gradient| gradient.slope_pct() / 100.0).collect();
    if slopes.is_empty() { 0.2 } else { slopes.iter().sum::<f64>() / slopes.len() as f64 }
}
