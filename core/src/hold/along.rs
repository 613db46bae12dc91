//! Places along a line by their distance on the map, and straight pieces of it.

use super::results::Section;
use crate::land::MapPoint;

/// A place on a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Where it is on the map.
    pub at: MapPoint,
    /// Distance along the line on the map.
    pub plan_m: f64,
    /// Distance along the line on the ground.
    pub station_m: f64,
}

/// The place at a distance along the line on the map; the nearer end beyond either end.
pub fn spot_at(section: &Section, plan_m: f64) -> Spot {
    let sample = section.sample_at(plan_m).expect("lines without samples are not checked");
    Spot { at: sample.at, plan_m: sample.plan_m, station_m: sample.station_m }
}

/// A straight piece of a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Its beginning.
    pub from: Spot,
    /// Its end.
    pub to: Spot,
}

impl Piece {
    /// Its middle.
    pub fn middle(&self) -> MapPoint {
        self.from.at.towards(self.to.at, 0.5)
    }
    /// The way it runs on the map, of length 1.
    pub fn direction(&self) -> MapPoint {
        (self.to.at - self.from.at) * (1.0 / (self.to.plan_m - self.from.plan_m))
    }
}

/// The line in straight pieces of equal length within each leg, none longer than this on the map.
pub fn pieces(section: &Section, longest_m: f64) -> Vec<Piece> {
    let mut all = Vec::new();
    for leg in section.corners.windows(2) {
        let (from_m, to_m) = (section.samples[leg[0]].plan_m, section.samples[leg[1]].plan_m);
        let count = ((to_m - from_m) / longest_m).ceil();
        let spot = |index: usize| spot_at(section, from_m + (to_m - from_m) * index as f64 / count);
        all.extend((0..count as usize).map(|index| Piece { from: spot(index), to: spot(index + 1) }));
    }
    all
}

/// Where a straight piece crosses another: how far along the first, 0 to 1, and how far along the second.
pub fn crossing(from: MapPoint, to: MapPoint, other_from: MapPoint, other_to: MapPoint) -> Option<(f64, f64)> {
    let (a, b, off) = (to - from, other_to - other_from, other_from - from);
    let turn = a.x_m * b.y_m - a.y_m * b.x_m;
    let along = (off.x_m * b.y_m - off.y_m * b.x_m) / turn;
    let across = (off.x_m * a.y_m - off.y_m * a.x_m) / turn;
    // Half open, so that a crossing at a corner counts once. Parallel pieces give no number and cross nowhere.
    ((0.0..1.0).contains(&along) && (0.0..1.0).contains(&across)).then_some((along, across))
}

/// Distance from a point to a straight piece.
pub fn distance_m(point: MapPoint, from: MapPoint, to: MapPoint) -> f64 {
    let (along, off) = (to - from, point - from);
    let length2 = along.x_m * along.x_m + along.y_m * along.y_m;
    let share = if length2 > 0.0 { ((off.x_m * along.x_m + off.y_m * along.y_m) / length2).clamp(0.0, 1.0) } else { 0.0 };
    point.distance_m(from + along * share)
}

/// Joins neighbouring items into runs: `same` says whether the second belongs to the run that the first ends.
pub fn runs<T>(items: Vec<T>, same: impl Fn(&T, &T) -> bool) -> Vec<Vec<T>> {
    let mut all: Vec<Vec<T>> = Vec::new();
    for item in items {
        match all.last_mut() {
            Some(run) if run.last().is_some_and(|last| same(last, &item)) => run.push(item),
            _ => all.push(vec![item]),
        }
    }
    all
}
