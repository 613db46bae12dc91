//! Larkfold: open sheep and cattle ground over a shallow valley, 800 x 800 m on 2 m cells.

use crate::Sample;
use crate::drawing::{Corner, plan_text};
use crate::erosion::{Field, Wear, drainage, wear};
use crate::geotiff::Heights;
use crate::larkfold_plan;
use crate::noise::{fade, layered, smooth};
use crate::shape::{Place, Sheet, bench_track, cut_beds, straighten};

const SIDE_M: f64 = 800.0;

/// Somewhere in hill country; no holding of this name is known there.
const CORNER: Corner = Corner { zone: 30, epsg: 32630, east_m: 549_600.0, north_m: 6_118_200.0 };

/// Middle of the beck: its northing for an easting.
fn beck_north_m(x_m: f64) -> f64 {
    250.0 + 0.12 * x_m + 34.0 * smooth(61, x_m, 0.0, 240.0) + 9.0 * smooth(62, x_m, 5.0, 70.0)
}

/// Level of the beck; it falls westwards.
fn beck_level_m(x_m: f64) -> f64 {
    171.0 + 0.012 * x_m
}

/// The worn ground on coarse cells, and its valley cells.
fn worn_ground() -> (Field, Vec<bool>) {
    let (size, cell_m, origin_m) = (176, 6.0, -127.0);
    let off = |x: f64, y: f64| (y - beck_north_m(x)).abs();
    let mut ground = Field::from_place(size, cell_m, origin_m, |x, y| {
        beck_level_m(x) + if off(x, y) <= cell_m { 0.0 } else { 6.0 + 0.16 * off(x, y) + 9.0 * layered(63, x, y, 210.0, 4) }
    });
    let uplift = Field::from_place(size, cell_m, origin_m, |x, y| 1.0 + 0.3 * smooth(64, x, y, 300.0));
    let valley: Vec<bool> = (0..size * size).map(|index| ground.place(index)).map(|(x, y)| off(x, y) <= 3.1).collect();
    wear(&mut ground, &uplift, &valley, &Wear { cutting: 0.1, creep: 40.0, step: 1.0, steps: 60 });
    for index in 0..ground.values.len() {
        let (x, y) = ground.place(index);
        let floor = beck_level_m(x) + 0.4 + 0.012 * off(x, y);
        let above = beck_level_m(x) + 0.42 * (ground.values[index] - beck_level_m(x));
        ground.values[index] = floor + (above - floor) * fade((off(x, y) - 4.0) / 110.0);
    }
    (ground, valley)
}

/// Where on the worn ground a place of the sheet lies.
fn bent((x_m, y_m): Place) -> Place {
    let shift = |seed: u32| 15.0 * smooth(seed, x_m, y_m, 130.0) + 4.0 * smooth(seed + 1, x_m, y_m, 45.0);
    (x_m + shift(71), y_m + 0.6 * shift(73))
}

/// Undoes [`bent`], by trying: the shift changes slowly.
fn unbent(bent_place: Place) -> Place {
    let mut place = bent_place;
    for _ in 0..12 {
        let reached = bent(place);
        place = (place.0 + bent_place.0 - reached.0, place.1 + bent_place.1 - reached.1);
    }
    place
}

fn bed(area_m2: f64, _: Place) -> (f64, f64) {
    let depth = (0.1 + 0.4 * area_m2.sqrt() / 250.0).min(0.6);
    (depth, 2.5 + 2.0 * depth)
}

/// A line through some places, rounded.
fn rounded(places: &[Place]) -> Vec<Place> {
    let mut all = Vec::new();
    for pair in places.windows(2) {
        let (dx, dy) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
        let pieces = ((dx * dx + dy * dy).sqrt() / 4.0).ceil();
        all.extend(
            (0..pieces as usize).map(|piece| piece as f64 / pieces).map(|share| (pair[0].0 + share * dx, pair[0].1 + share * dy)),
        );
    }
    all.extend(places.last());
    straighten(&mut all, 60);
    all
}

/// The grid and the plan.
pub fn sample() -> Sample {
    let (ground, valley) = worn_ground();
    let tracks: Vec<Vec<Place>> = larkfold_plan::TRACKS.iter().map(|places| rounded(places)).collect();
    let beck: Vec<Place> = (0..=44)
        .map(|step| 2.0 + 18.1 * f64::from(step))
        .map(|x| unbent((x, beck_north_m(x))))
        .filter(|(x, _)| (0.0..=SIDE_M).contains(x))
        .collect();
    let drawn = larkfold_plan::drawn(&tracks, &beck);
    let plan = plan_text(larkfold_plan::HEAD, &drawn, &CORNER);
    Sample { name: "larkfold", grid: heights(&ground, &valley, &tracks), plan, rounds: None }
}

fn heights(ground: &Field, valley: &[bool], tracks: &[Vec<Place>]) -> Heights {
    let water = drainage(ground, valley);
    let cell_m = 2.0;
    let cells = (SIDE_M / cell_m) as usize;
    let mut sheet = Sheet::from_place(cells, cell_m, |x, y| {
        let (bent_x, bent_y) = bent((x, y));
        ground.spline(bent_x, bent_y) + 0.05 * layered(75, x, y, 16.0, 3)
    });
    cut_beds(&mut sheet, ground, &water, 12_000.0, unbent, bed);
    let beds = Sheet::from_place(cells, cell_m, |x, y| {
        let (bent_x, bent_y) = bent((x, y));
        let bed = 1.0 - ((bent_y - beck_north_m(bent_x)) / 3.5).powi(2);
        if bed > 0.0 { 0.9 * bed } else { 0.0 }
    });
    for (height, bed) in sheet.heights_m.iter_mut().zip(beds.heights_m) {
        *height -= bed;
    }
    for track in tracks {
        bench_track(&mut sheet, track, 1.8);
    }
    sheet.into_heights(&CORNER)
}
