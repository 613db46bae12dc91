//! Distances between positions that lie near each other, without a map: for shares of legs and for what is joined.

use crate::land::Position;

/// Metres per degree of arc on a sphere of the Earth's mean radius (6371008.8 m, IUGG). Shares need no better.
const METRES_PER_DEGREE: f64 = 6_371_008.8 * std::f64::consts::PI / 180.0;

/// A flat picture of the ground around a place: an east-north plane that is true within 0.6 % (the Earth's flattening and
/// the ground of one leg considered). Good for ratios along a leg and for tolerances, not for lengths that are shown.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Near {
    around: Position,
    east: f64,
}

impl Near {
    /// The plane around a place.
    pub fn around(around: Position) -> Self {
        Self { around, east: around.lat_deg().to_radians().cos().max(1e-9) }
    }

    /// Metres east and north of the middle.
    pub fn flat(self, at: Position) -> [f64; 2] {
        let east_deg = (at.lon_deg() - self.around.lon_deg() + 540.0).rem_euclid(360.0) - 180.0;
        [east_deg * self.east * METRES_PER_DEGREE, (at.lat_deg() - self.around.lat_deg()) * METRES_PER_DEGREE]
    }

    /// The distance between two places, metres.
    pub fn distance_m(one: Position, other: Position) -> f64 {
        let [x, y] = Self::around(one).flat(other);
        x.hypot(y)
    }
}

/// The place this share of the way from one to another, across the date line if that is shorter.
pub(super) fn between(one: Position, other: Position, share: f64) -> Position {
    if share <= 0.0 {
        return one;
    }
    if share >= 1.0 {
        return other;
    }
    let part = |from: i64, way: i64| from + (way as f64 * share).round() as i64;
    normal(part(one.lon_e9, eastwards(one.lon_e9, other.lon_e9)), part(one.lat_e9, other.lat_e9 - one.lat_e9))
}

/// `to` shifted by the way from `from` to `at`.
pub(super) fn shifted(to: Position, from: Position, at: Position) -> Position {
    normal(to.lon_e9 + eastwards(from.lon_e9, at.lon_e9), to.lat_e9 + at.lat_e9 - from.lat_e9)
}

const TURN_E9: i64 = 360_000_000_000;

fn eastwards(from: i64, to: i64) -> i64 {
    (to - from + TURN_E9 / 2).rem_euclid(TURN_E9) - TURN_E9 / 2
}

fn normal(lon_e9: i64, lat_e9: i64) -> Position {
    let lon_e9 = if lon_e9.abs() > TURN_E9 / 2 { (lon_e9 + TURN_E9 / 2).rem_euclid(TURN_E9) - TURN_E9 / 2 } else { lon_e9 };
    Position { lon_e9, lat_e9: lat_e9.clamp(-TURN_E9 / 4, TURN_E9 / 4) }
}

/// The point of a leg that is nearest to a place.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Foot {
    /// Share of the leg, 0 to 1.
    pub share: f64,
    /// The point.
    pub at: Position,
    /// How far the place is from it, metres.
    pub distance_m: f64,
}

/// The foot of a place on the leg from one corner to the next.
pub(crate) fn foot_on(leg: [Position; 2], place: Position) -> Foot {
    let near = Near::around(place);
    let ([ax, ay], [bx, by]) = (near.flat(leg[0]), near.flat(leg[1]));
    let (dx, dy) = (bx - ax, by - ay);
    let squared = dx * dx + dy * dy;
    let share = if squared > 0.0 { ((-ax * dx - ay * dy) / squared).clamp(0.0, 1.0) } else { 0.0 };
    let at = between(leg[0], leg[1], share);
    Foot { share, at, distance_m: Near::distance_m(place, at) }
}

/// Length of a way, metres.
pub(crate) fn length_m(way: &[Position]) -> f64 {
    way.windows(2).map(|leg| Near::distance_m(leg[0], leg[1])).sum()
}

/// The place this share of a way's length from its beginning.
pub(super) fn along(way: &[Position], share: f64) -> Position {
    let mut left_m = length_m(way) * share;
    for leg in way.windows(2) {
        let length_m = Near::distance_m(leg[0], leg[1]);
        if left_m <= length_m && length_m > 0.0 {
            return between(leg[0], leg[1], left_m / length_m);
        }
        left_m -= length_m;
    }
    *way.last().expect("a way has a corner")
}
