//! Brackenhope: a hillside of heath and pasture above a burn, 600 x 600 m on 1 m cells.

use crate::Sample;
use crate::brackenhope_plan;
use crate::drawing::{Corner, plan_text};
use crate::erosion::{Field, Wear, drainage, wear};
use crate::geotiff::Heights;
use crate::noise::{fade, layered, smooth};
use crate::shape::{GradeLine, Place, Sheet, bench_track, cut_beds, straighten, walk_grade, woodland_floor};

const SIDE_M: f64 = 600.0;

/// Somewhere in hill country; no holding of this name is known there.
const CORNER: Corner = Corner { zone: 30, epsg: 32630, east_m: 470_400.0, north_m: 6_134_000.0 };

/// Middle of the burn: its northing for an easting.
fn burn_north_m(x_m: f64) -> f64 {
    78.0 + 16.0 * smooth(11, x_m, 0.0, 170.0) + 5.0 * smooth(12, x_m, 3.0, 55.0)
}

/// Level of the burn; it falls eastwards.
fn burn_level_m(x_m: f64) -> f64 {
    192.0 - 0.022 * x_m
}

/// The worn hill on coarse cells, with some ground around the map so that its edges are no artefacts; and its valley cells.
fn worn_hill() -> (Field, Vec<bool>) {
    let (size, cell_m, origin_m) = (210, 4.0, -118.0);
    let mut hill = Field::from_place(size, cell_m, origin_m, |x, y| {
        let off = (y - burn_north_m(x)).abs();
        burn_level_m(x) + if off <= cell_m { 0.0 } else { 6.0 + 0.2 * off + 7.0 * layered(22, x, y, 130.0, 4) }
    });
    let uplift =
        Field::from_place(size, cell_m, origin_m, |x, y| 1.0 + 0.35 * smooth(31, x, y, 260.0) + 0.2 * fade((y - 100.0) / 500.0));
    let valley: Vec<bool> =
        (0..size * size).map(|index| hill.place(index)).map(|(x, y)| (y - burn_north_m(x)).abs() <= 2.0).collect();
    wear(&mut hill, &uplift, &valley, &Wear { cutting: 0.1, creep: 14.0, step: 1.0, steps: 60 });
    for index in 0..hill.values.len() {
        let (x, y) = hill.place(index);
        hill.values[index] = burn_level_m(x) + benched(0.76 * (hill.values[index] - burn_level_m(x)));
        let off = (y - burn_north_m(x)).abs();
        let floor = burn_level_m(x) + 0.5 + 0.03 * off;
        hill.values[index] = floor + (hill.values[index] - floor) * fade((off - 2.0) / 75.0);
    }
    (hill, valley)
}

/// Height above the burn after a band of hard rock has left a bench, with steeper ground above it.
fn benched(above_m: f64) -> f64 {
    above_m - 9.0 * fade((above_m - 58.0) / 24.0) + 9.0 * fade((above_m - 82.0) / 26.0)
}

/// Where on the worn hill a place of the sheet lies: bends what eight directions of flow left straight.
fn bent((x_m, y_m): Place) -> Place {
    let shift = |seed: u32| 11.0 * smooth(seed, x_m, y_m, 95.0) + 3.5 * smooth(seed + 1, x_m, y_m, 33.0);
    (x_m + shift(51), y_m + 0.6 * shift(53))
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

/// Height of the hill before streams, roots and track.
fn hill_height_m(hill: &Field, place: Place) -> f64 {
    let (x, y) = bent(place);
    hill.spline(x, y)
}

/// Slope of the hill towards east and north.
fn hill_gradient(hill: &Field, (x, y): Place) -> Place {
    let at = |dx: f64, dy: f64| hill_height_m(hill, (x + dx, y + dy));
    ((at(3.0, 0.0) - at(-3.0, 0.0)) / 6.0, (at(0.0, 3.0) - at(0.0, -3.0)) / 6.0)
}

/// Depth and half width of a stream bed. Below the bench the third gully has cut a cleft into the rock.
fn bed(area_m2: f64, (x, y): Place) -> (f64, f64) {
    if (245.0..290.0).contains(&x) && (250.0..310.0).contains(&y) {
        return (1.6, 2.0);
    }
    let depth = (0.2 + 0.5 * area_m2.sqrt() / 150.0).min(0.9);
    (depth, 1.0 + 1.6 * depth)
}

/// The hill track: from the road, up across the hillside.
pub fn track(hill: &Field) -> Vec<Place> {
    let slope = |x: f64, y: f64| hill_gradient(hill, (x, y));
    let mut places = vec![(600.0, 101.0), (585.0, 99.0), (570.0, 98.0), (555.0, 99.0), (540.0, 102.0), (528.0, 106.0)];
    for (grade, length_m) in [(0.125, 420.0), (0.02, 190.0)] {
        let start = places.pop().expect("the road comes first");
        places.extend(walk_grade(slope, &GradeLine { start, grade, side: -1.0, length_m }));
    }
    straighten(&mut places, 30);
    places
}

/// The burn as it is drawn in the plan.
fn burn() -> Vec<Place> {
    (0..=40)
        .map(|step| 4.0 + 14.8 * f64::from(step))
        .map(|x| unbent((x, burn_north_m(x))))
        .filter(|(x, _)| (0.0..=SIDE_M).contains(x))
        .collect()
}

/// Every sixth place of a line, and its end.
fn thinned(places: &[Place]) -> Vec<Place> {
    let mut kept: Vec<Place> = places.iter().copied().step_by(6).collect();
    kept.extend(places.last());
    kept.dedup();
    kept
}

/// The grid and the plan.
pub fn sample() -> Sample {
    let (hill, valley) = worn_hill();
    let track = track(&hill);
    let drawn = brackenhope_plan::drawn(&thinned(&track), &burn());
    let plan = plan_text(brackenhope_plan::HEAD, &drawn, &CORNER);
    let rounds = Some(crate::brackenhope_rounds::table());
    Sample { name: "brackenhope", grid: heights(&hill, &valley, &track), plan, rounds }
}

fn heights(hill: &Field, valley: &[bool], track: &[Place]) -> Heights {
    let water = drainage(hill, valley);
    let mut sheet = Sheet::from_place(SIDE_M as usize, 1.0, |x, y| hill_height_m(hill, (x, y)));
    cut_beds(&mut sheet, hill, &water, 3_000.0, unbent, bed);
    let rough = Sheet::from_place(SIDE_M as usize, 1.0, |x, y| {
        let (bent_x, bent_y) = bent((x, y));
        let off = (bent_y - burn_north_m(bent_x)).abs();
        let bed = 1.0 - (off / 2.6) * (off / 2.6);
        (0.3 + 0.7 * fade((off - 15.0) / 40.0)) * woodland_floor(41, x, y) - if bed > 0.0 { 0.8 * bed } else { 0.0 }
    });
    for (height, rough) in sheet.heights_m.iter_mut().zip(rough.heights_m) {
        *height += rough;
    }
    bench_track(&mut sheet, track, 1.6);
    sheet.into_heights(&CORNER)
}
