//! What is shaped on top of the worn hill: stream beds, roots and hollows, and tracks cut into the slope.

use crate::drawing::Corner;
use crate::erosion::{Drainage, Field};
use crate::geotiff::Heights;
use crate::noise::{fade, lattice, layered};

/// A place on the sheet: metres east and north of its south-west corner.
pub type Place = (f64, f64);

/// Heights of the sheet while it is shaped: square cells, row 0 in the south.
pub struct Sheet {
    /// Cells across and up.
    pub cells: usize,
    /// Width of a cell.
    pub cell_m: f64,
    /// One height per cell.
    pub heights_m: Vec<f64>,
}

impl Sheet {
    /// A sheet whose heights come from the place.
    pub fn from_place(cells: usize, cell_m: f64, height: impl Fn(f64, f64) -> f64) -> Self {
        let at = |index: usize| (index as f64 + 0.5) * cell_m;
        let heights_m = (0..cells * cells).map(|index| height(at(index % cells), at(index / cells))).collect();
        Self { cells, cell_m, heights_m }
    }

    /// Changes the heights of all cells within `reach_m` of a straight piece; the closure gets the old height, the
    /// distance from the piece and how far along it the nearest point lies (0 to 1).
    fn near_piece(&self, from: Place, to: Place, reach_m: f64, mut each: impl FnMut(usize, f64, f64)) {
        let last = self.cells as f64 - 1.0;
        let index = |value: f64| ((value / self.cell_m).clamp(0.0, last)) as usize;
        let (columns, rows) = (
            index(from.0.min(to.0) - reach_m)..=index(from.0.max(to.0) + reach_m),
            index(from.1.min(to.1) - reach_m)..=index(from.1.max(to.1) + reach_m),
        );
        for row in rows {
            for column in columns.clone() {
                let place = ((column as f64 + 0.5) * self.cell_m, (row as f64 + 0.5) * self.cell_m);
                let (distance, along) = distance_to_piece(place, from, to);
                if distance <= reach_m {
                    each(row * self.cells + column, distance, along);
                }
            }
        }
    }

    /// The sheet as a grid to be written, north row first.
    pub fn into_heights(self, corner: &Corner) -> Heights {
        let cells = self.cells;
        let heights_m =
            (0..cells * cells).map(|index| self.heights_m[(cells - 1 - index / cells) * cells + index % cells]).collect();
        let north_m = corner.north_m + cells as f64 * self.cell_m;
        Heights { epsg: corner.epsg, west_m: corner.east_m, north_m, cell_m: self.cell_m, columns: cells, rows: cells, heights_m }
    }

    /// Height at a place, between cell centres.
    pub fn height_m(&self, place: Place) -> f64 {
        let last = self.cells as f64 - 1.001;
        let (x, y) = ((place.0 / self.cell_m - 0.5).clamp(0.0, last), (place.1 / self.cell_m - 0.5).clamp(0.0, last));
        let (column, row) = (x as usize, y as usize);
        let (u, v) = (x - column as f64, y - row as f64);
        let at = |dc: usize, dr: usize| self.heights_m[(row + dr) * self.cells + column + dc];
        let south = at(0, 0) + (at(1, 0) - at(0, 0)) * u;
        let north = at(0, 1) + (at(1, 1) - at(0, 1)) * u;
        south + (north - south) * v
    }
}

/// Distance from a straight piece, and how far along it the nearest point lies (0 to 1).
pub fn distance_to_piece(place: Place, from: Place, to: Place) -> (f64, f64) {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length2 = dx * dx + dy * dy;
    let along = if length2 > 0.0 { (((place.0 - from.0) * dx + (place.1 - from.1) * dy) / length2).clamp(0.0, 1.0) } else { 0.0 };
    let (ox, oy) = (place.0 - from.0 - along * dx, place.1 - from.1 - along * dy);
    ((ox * ox + oy * oy).sqrt(), along)
}

/// Where the first line is first crossed by the second.
pub fn first_crossing(line: &[Place], other: &[Place]) -> Place {
    for leg in line.windows(2) {
        for piece in other.windows(2) {
            let (a, b) = ((leg[1].0 - leg[0].0, leg[1].1 - leg[0].1), (piece[1].0 - piece[0].0, piece[1].1 - piece[0].1));
            let off = (piece[0].0 - leg[0].0, piece[0].1 - leg[0].1);
            let turn = a.0 * b.1 - a.1 * b.0;
            let (along, across) = ((off.0 * b.1 - off.1 * b.0) / turn, (off.0 * a.1 - off.1 * a.0) / turn);
            if (0.0..=1.0).contains(&along) && (0.0..=1.0).contains(&across) {
                return (leg[0].0 + along * a.0, leg[0].1 + along * a.1);
            }
        }
    }
    panic!("the sheet is drawn so that these lines cross");
}

/// Cuts beds along the streams of the worn hill: the more water, the deeper.
pub fn cut_beds(
    sheet: &mut Sheet,
    hill: &Field,
    water: &Drainage,
    least_m2: f64,
    onto: fn(Place) -> Place,
    bed: fn(f64, Place) -> (f64, f64),
) {
    let places: Vec<Option<Place>> = smoothed_streams(hill, water, least_m2).into_iter().map(|place| place.map(onto)).collect();
    let mut cut = vec![0.0_f64; sheet.heights_m.len()];
    for (index, place) in places.iter().enumerate() {
        if let (Some(from), Some(to)) = (*place, places[water.below[index]]) {
            let (depth, half) = bed(water.area_m2[index], from);
            sheet.near_piece(from, to, half, |cell, distance, _| {
                let left = 1.0 - (distance / half) * (distance / half);
                cut[cell] = cut[cell].max(depth * left * left);
            });
        }
    }
    for (height, cut) in sheet.heights_m.iter_mut().zip(cut) {
        *height -= cut;
    }
}

/// Stream cells as places, drawn twice towards the middle of their neighbours so that beds do not run in eight directions.
fn smoothed_streams(hill: &Field, water: &Drainage, least_m2: f64) -> Vec<Option<Place>> {
    let wet = |index: usize| water.area_m2[index] >= least_m2;
    let mut places: Vec<Option<Place>> = (0..hill.values.len()).map(|index| wet(index).then(|| hill.place(index))).collect();
    let mut above = vec![usize::MAX; places.len()];
    for &index in water.order.iter().filter(|index| wet(**index)) {
        let below = water.below[index];
        if below != index && (above[below] == usize::MAX || water.area_m2[index] > water.area_m2[above[below]]) {
            above[below] = index;
        }
    }
    for _ in 0..4 {
        let before = places.clone();
        for index in 0..places.len() {
            let neighbour = |other: usize| before.get(other).copied().flatten();
            if let (Some(here), Some(below), Some(above)) =
                (before[index], neighbour(water.below[index]), neighbour(above[index]))
            {
                let mean = |a: f64, b: f64, c: f64| (a + 2.0 * b + c) / 4.0;
                places[index] = Some((mean(above.0, here.0, below.0), mean(above.1, here.1, below.1)));
            }
        }
    }
    places
}

/// Roots, hollows and the pits that fallen trees leave, with the mound of their root plate beside them.
pub fn woodland_floor(seed: u32, x_m: f64, y_m: f64) -> f64 {
    const APART_M: f64 = 13.0;
    let mut sum = 0.11 * layered(seed, x_m, y_m, 12.0, 3);
    let (column, row) = ((x_m / APART_M).floor() as i32, (y_m / APART_M).floor() as i32);
    for (dc, dr) in (-1..=1).flat_map(|dc| (-1..=1).map(move |dr| (dc, dr))) {
        let draw = |part: u32| lattice(seed.wrapping_add(1000 + part), column + dc, row + dr);
        if draw(0) > 0.55 {
            continue;
        }
        let (px, py) = ((f64::from(column + dc) + draw(1)) * APART_M, (f64::from(row + dr) + draw(2)) * APART_M);
        let (depth, radius) = (0.2 + 0.4 * draw(3), 1.3 + 1.2 * draw(4));
        let (mx, my) = (px + (draw(5) - 0.5) * 2.0 * radius, py - radius * 1.4);
        let bump = |cx: f64, cy: f64| {
            let near = ((x_m - cx) * (x_m - cx) + (y_m - cy) * (y_m - cy)) / (radius * radius);
            if near < 1.0 { (1.0 - near) * (1.0 - near) } else { 0.0 }
        };
        sum += 0.7 * depth * bump(mx, my) - depth * bump(px, py);
    }
    sum
}

/// A way up the hill at an even grade: follows the slope so that every metre climbs the same.
pub struct GradeLine {
    /// Where it starts.
    pub start: Place,
    /// Climb per metre; negative goes down.
    pub grade: f64,
    /// +1 with the hill on the left hand, -1 with it on the right.
    pub side: f64,
    /// How far.
    pub length_m: f64,
}

/// Walks a grade line over the worn hill in steps of 2 m.
pub fn walk_grade(hill: impl Fn(f64, f64) -> (f64, f64), line: &GradeLine) -> Vec<Place> {
    const STEP_M: f64 = 2.0;
    let (mut places, mut here) = (vec![line.start], line.start);
    for _ in 0..(line.length_m / STEP_M) as usize {
        let (east, north) = hill(here.0, here.1);
        let slope = (east * east + north * north).sqrt().max(1e-3);
        let up = (line.grade / slope).clamp(-0.9, 0.9);
        let across = (1.0 - up * up).sqrt() * line.side;
        let (ux, uy) = (east / slope, north / slope);
        here = (here.0 + STEP_M * (up * ux + across * uy), here.1 + STEP_M * (up * uy - across * ux));
        places.push(here);
    }
    places
}

/// Draws every place towards the middle of its neighbours; the ends stay.
pub fn straighten(places: &mut [Place], rounds: usize) {
    for _ in 0..rounds {
        let before = places.to_vec();
        for index in 1..places.len().saturating_sub(1) {
            let mean = |a: f64, b: f64, c: f64| (a + 2.0 * b + c) / 4.0;
            let (a, b, c) = (before[index - 1], before[index], before[index + 1]);
            places[index] = (mean(a.0, b.0, c.0), mean(a.1, b.1, c.1));
        }
    }
}

/// Cuts a level track into the slope: a platform, a bank above it and a spoil slope below.
pub fn bench_track(sheet: &mut Sheet, places: &[Place], half_width_m: f64) {
    const REACH_M: f64 = 9.0;
    let mut levels: Vec<Place> = places.iter().map(|place| (sheet.height_m(*place), 0.0)).collect();
    straighten(&mut levels, 60);
    let mut nearest = vec![(f64::INFINITY, 0.0); sheet.heights_m.len()];
    for (pair, level) in places.windows(2).zip(levels.windows(2)) {
        sheet.near_piece(pair[0], pair[1], REACH_M, |cell, distance, along| {
            if distance < nearest[cell].0 {
                nearest[cell] = (distance, level[0].0 + (level[1].0 - level[0].0) * along);
            }
        });
    }
    for (height, (distance, level)) in sheet.heights_m.iter_mut().zip(nearest).filter(|(_, near)| near.0.is_finite()) {
        let off = (distance - half_width_m).max(0.0);
        let shaped = height.clamp(level - 0.7 * off, level + 1.0 * off);
        *height += (shaped - *height) * (1.0 - fade((distance - 7.0) / 2.0));
    }
}
