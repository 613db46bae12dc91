//! Heights that somebody measured, in place of the elevation grid's along a line.

use crate::land::{Frame, MapPoint, ProfilePoint};
use crate::plan::{Feature, Kind};
use crate::units::Elevation;
use std::sync::Arc;

/// A measured height counts for a line that passes as near as this, metres on the map (`common-practice`).
pub const SPOT_BESIDE_M: f64 = 1.0;
/// It replaces the grid so far along the line both ways, metres on the map (`common-practice`): the ground runs straight from
/// it to what the grid has there.
pub const SPOT_REACH_M: f64 = 2.0;

/// A height that somebody measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpotHeight {
    /// Where.
    pub at: MapPoint,
    /// How high.
    pub height: Elevation,
}

/// The measured heights among these features, on the map.
pub(crate) fn spot_heights(features: &[Arc<Feature>], frame: Frame) -> Vec<SpotHeight> {
    let spot = |feature: &Arc<Feature>| match feature.kind {
        Kind::SpotHeight { height } => Some(SpotHeight { at: frame.to_map(feature.point()?).ok()?, height }),
        _ => None,
    };
    features.iter().filter_map(spot).collect()
}

/// A place along the line with a height to go through.
#[derive(Clone, Copy)]
struct Foot {
    plan_m: f64,
    height_m: f64,
}

/// Where a line passes measured heights, metres along it on the map.
pub(super) fn spot_stations_m(profile: &[ProfilePoint], spots: &[SpotHeight]) -> Vec<f64> {
    spots.iter().filter_map(|spot| feet_of(profile, spot)).map(|foot| foot.plan_m).collect()
}

/// The share of the grid's error that is left at a place: none at a measured height, all of it where its reach ends.
pub(super) fn unsure_beside_spots(measured_m: &[f64], plan_m: f64) -> f64 {
    let nearest_m = measured_m.iter().map(|at_m| (at_m - plan_m).abs()).fold(f64::INFINITY, f64::min);
    (nearest_m / SPOT_REACH_M).min(1.0)
}

/// The profile with measured heights in it; they are points of it themselves.
pub(super) fn with_spots(profile: Vec<ProfilePoint>, spots: &[SpotHeight]) -> Vec<ProfilePoint> {
    let mut feet: Vec<Foot> = spots.iter().flat_map(|spot| feet_of(&profile, spot)).collect();
    if feet.is_empty() {
        return profile;
    }
    feet.sort_by(|one, other| one.plan_m.total_cmp(&other.plan_m));
    feet.dedup_by(|later, before| later.plan_m - before.plan_m < 1e-3);
    let nodes = nodes(&profile, &feet);
    let mut points = with_points_at(&profile, nodes.iter().map(|node| node.plan_m));
    for point in &mut points {
        let after = nodes.partition_point(|node| node.plan_m < point.plan_m - 1e-6);
        let Some(next) = nodes.get(after) else { continue };
        let before = if after > 0 { nodes[after - 1] } else { *next };
        let near = |node: &Foot| feet.iter().any(|foot| (foot.plan_m - node.plan_m).abs() <= SPOT_REACH_M + 1e-6);
        let is_replaced = feet.iter().any(|foot| (foot.plan_m - point.plan_m).abs() <= SPOT_REACH_M + 1e-6);
        if is_replaced && near(&before) {
            let gap_m = next.plan_m - before.plan_m;
            let share = if gap_m > 0.0 { (point.plan_m - before.plan_m) / gap_m } else { 1.0 };
            point.ground_m = Some(before.height_m + (next.height_m - before.height_m) * share);
        }
    }
    points
}

/// Where a line passes a measured height: at each leg that is near enough, at its nearest place.
fn feet_of(profile: &[ProfilePoint], spot: &SpotHeight) -> Option<Foot> {
    let nearest = profile.windows(2).map(|piece| {
        let (from, to) = (&piece[0], &piece[1]);
        let (way, off) = (to.at - from.at, spot.at - from.at);
        let length2 = way.x_m * way.x_m + way.y_m * way.y_m;
        let share = if length2 > 0.0 { ((off.x_m * way.x_m + off.y_m * way.y_m) / length2).clamp(0.0, 1.0) } else { 0.0 };
        let plan_m = from.plan_m + (to.plan_m - from.plan_m) * share;
        (spot.at.distance_m(from.at.towards(to.at, share)), plan_m)
    });
    let (off_m, plan_m) = nearest.min_by(|one, other| one.0.total_cmp(&other.0))?;
    (off_m <= SPOT_BESIDE_M).then(|| Foot { plan_m, height_m: spot.height.as_metres() })
}

/// The heights to go through: every measured one, and the grid's where the reach of one ends and no other reaches.
fn nodes(profile: &[ProfilePoint], feet: &[Foot]) -> Vec<Foot> {
    let first_m = profile[0].plan_m;
    let last_m = profile[profile.len() - 1].plan_m;
    let rims = feet.iter().flat_map(|foot| [foot.plan_m - SPOT_REACH_M, foot.plan_m + SPOT_REACH_M]);
    let free = rims.filter(|at_m| {
        let reached = feet.iter().any(|foot| (foot.plan_m - at_m).abs() < SPOT_REACH_M - 1e-6);
        !reached && (first_m..=last_m).contains(at_m)
    });
    let by_grid = free.filter_map(|plan_m| Some(Foot { plan_m, height_m: height_m(profile, plan_m)? }));
    let mut nodes: Vec<Foot> = by_grid.chain(feet.iter().copied()).collect();
    nodes.sort_by(|one, other| one.plan_m.total_cmp(&other.plan_m));
    nodes.dedup_by(|later, before| later.plan_m - before.plan_m < 1e-6);
    // Where the line ends within reach, it ends at the measured height.
    let mut edged = Vec::with_capacity(nodes.len() + 2);
    if feet[0].plan_m - SPOT_REACH_M < first_m {
        edged.push(Foot { plan_m: first_m, ..feet[0] });
    }
    edged.extend(nodes);
    let last = feet[feet.len() - 1];
    if last.plan_m + SPOT_REACH_M > last_m {
        edged.push(Foot { plan_m: last_m, ..last });
    }
    edged.dedup_by(|later, before| later.plan_m - before.plan_m < 1e-6);
    edged
}

fn height_m(profile: &[ProfilePoint], plan_m: f64) -> Option<f64> {
    let after = profile.partition_point(|point| point.plan_m < plan_m).clamp(1, profile.len() - 1);
    let (a, b) = (&profile[after - 1], &profile[after]);
    let gap_m = b.plan_m - a.plan_m;
    let share = if gap_m > 0.0 { (plan_m - a.plan_m) / gap_m } else { 0.0 };
    a.ground_m.zip(b.ground_m).map(|(a, b)| a + (b - a) * share)
}

fn with_points_at(profile: &[ProfilePoint], places_m: impl Iterator<Item = f64>) -> Vec<ProfilePoint> {
    let mut points = profile.to_vec();
    for plan_m in places_m {
        let after = points.partition_point(|point| point.plan_m < plan_m - 1e-6);
        if points.get(after).is_some_and(|point| point.plan_m - plan_m <= 1e-6) || after == 0 || after == points.len() {
            continue;
        }
        let (a, b) = (points[after - 1], points[after]);
        let share = (plan_m - a.plan_m) / (b.plan_m - a.plan_m);
        points.insert(after, ProfilePoint { at: a.at.towards(b.at, share), plan_m, ground_m: None, corner: None });
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flat(length_m: u32) -> Vec<ProfilePoint> {
        let point = |k: u32| {
            let x = f64::from(k) * 0.5;
            let corner = (k == 0 || k == 2 * length_m).then_some(k as usize);
            ProfilePoint { at: MapPoint::new(x, 0.0), plan_m: x, ground_m: Some(10.0), corner }
        };
        (0..=2 * length_m).map(point).collect()
    }

    fn spot(x: f64, y: f64, height_m: f64) -> SpotHeight {
        SpotHeight { at: MapPoint::new(x, y), height: Elevation::metres(height_m) }
    }

    fn height_at(points: &[ProfilePoint], x: f64) -> f64 {
        height_m(points, x).expect("known")
    }

    #[test]
    fn a_measured_dip_is_as_deep_as_measured_and_ends_two_metres_off() {
        let points = with_spots(flat(20), &[spot(7.3, 0.4, 9.2)]);
        for (x, expected) in [(5.0, 10.0), (5.3, 10.0), (6.3, 9.6), (7.3, 9.2), (8.3, 9.6), (9.3, 10.0), (15.0, 10.0)] {
            assert!((height_at(&points, x) - expected).abs() < 1e-9, "{x}: {}", height_at(&points, x));
        }
        assert!(points.windows(2).all(|pair| pair[1].plan_m > pair[0].plan_m));
        assert_eq!(points.iter().filter(|point| point.corner.is_some()).count(), 2);
    }

    #[test]
    fn two_close_by_are_joined_by_a_straight_and_far_ones_do_not_touch_the_line() {
        let points = with_spots(flat(20), &[spot(7.0, 0.0, 9.0), spot(10.0, 0.0, 9.6), spot(15.0, 3.0, 0.0)]);
        assert!((height_at(&points, 8.5) - 9.3).abs() < 1e-9 && (height_at(&points, 15.0) - 10.0).abs() < 1e-9);
        assert!((height_at(&points, 12.0) - 10.0).abs() < 1e-9 && (height_at(&points, 11.0) - 9.8).abs() < 1e-9);
    }

    #[test]
    fn a_line_without_a_grid_has_ground_where_it_was_measured() {
        let unknown: Vec<ProfilePoint> = flat(4).into_iter().map(|point| ProfilePoint { ground_m: None, ..point }).collect();
        let points = with_spots(unknown, &[spot(0.0, 0.0, 5.0), spot(2.0, 0.0, 4.0), spot(4.0, 0.0, 6.0)]);
        assert!(points.iter().all(|point| point.ground_m.is_some()));
        assert!((height_at(&points, 1.0) - 4.5).abs() < 1e-9 && (height_at(&points, 3.0) - 5.0).abs() < 1e-9);
    }
}
