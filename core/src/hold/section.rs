//! The ground under a line, sampled finely enough for posts and strands.

use super::results::{Sample, Section};
use super::spots::{SpotHeight, spot_heights, spot_stations_m, unsure_beside_spots, with_spots};
use crate::land::{BestKnown, Frame, Ground, MapPoint, Position, ProfilePoint};
use crate::plan::{FeatureId, Plan};

/// Besides every crossing with the grid, a line is sampled at whole multiples of this from each corner: where posts may stand.
pub const STEP_M: f64 = 0.5;
/// Samples nearer to each other than this are one.
const SAME_M: f64 = 1e-3;

/// The ground under a line with these corners on the map, as it is best known: where the grid's heights scatter they are smoothed
/// ([`BestKnown`]), and measured heights stand in for the grid's close by. Without ground the heights are unknown.
///
/// # Units
/// Metres on the map of the working frame.
/// # Valid for
/// Any number of corners; a line is closed when its first and last corners are the same place and it has four at least.
pub fn section(line: &FeatureId, corners: &[MapPoint], ground: Option<&Ground>, spots: &[SpotHeight]) -> Section {
    let Some(ground) = ground else {
        return section_of(line, &with_spots(with_steps(&flat_profile(corners), |_| None), spots));
    };
    let mut best = BestKnown::of(ground);
    let mut profile = ground.profile(corners);
    for point in &mut profile {
        point.ground_m = best.at(point.at).map(|known| known.height_m);
    }
    let profile = with_steps(&profile, |at| best.at(at).map(|known| known.height_m));
    let measured_m = spot_stations_m(&profile, spots);
    let mut section = section_of(line, &with_spots(profile, spots));
    for sample in &mut section.samples {
        let error_m = best.at(sample.at).map_or(0.0, |known| known.error_m);
        sample.error_m = error_m * unsure_beside_spots(&measured_m, sample.plan_m);
    }
    section
}

/// How long legs are along the ground, metres, for edits of this plan: on the map where the ground is unknown.
pub fn leg_lengths<'a>(plan: &Plan, frame: Frame, ground: Option<&'a Ground>) -> impl Fn([Position; 2]) -> f64 + use<'a> {
    let spots = spot_heights(&plan.features, frame);
    let line = FeatureId::new("");
    move |leg| {
        let corners: Vec<MapPoint> = leg.iter().filter_map(|at| frame.to_map(*at).ok()).collect();
        section(&line, &corners, ground, &spots).samples.last().map_or(0.0, |sample| sample.station_m)
    }
}

/// A section from ground points that are already known, without error: stations are lengths on the ground, on the map where a height is unknown.
pub fn section_of(line: &FeatureId, profile: &[ProfilePoint]) -> Section {
    let mut samples: Vec<Sample> = Vec::with_capacity(profile.len());
    let mut corners = Vec::new();
    for (index, point) in profile.iter().enumerate() {
        let station_m = samples.last().map_or(0.0, |before| {
            let rise_m = point.ground_m.zip(before.ground_m).map_or(0.0, |(here, there)| here - there);
            before.station_m + (point.plan_m - before.plan_m).hypot(rise_m)
        });
        samples.push(Sample { at: point.at, plan_m: point.plan_m, station_m, ground_m: point.ground_m, error_m: 0.0 });
        if point.corner.is_some() {
            corners.push(index);
        }
    }
    let closed = corners.len() >= 4
        && samples.first().zip(samples.last()).is_some_and(|(first, last)| first.at.distance_m(last.at) < SAME_M);
    Section { line: line.clone(), samples, corners, closed }
}

fn flat_profile(corners: &[MapPoint]) -> Vec<ProfilePoint> {
    let mut plan_m = 0.0;
    let mut before: Option<MapPoint> = None;
    let points = corners.iter().enumerate().map(|(index, at)| {
        plan_m += before.replace(*at).map_or(0.0, |before| before.distance_m(*at));
        ProfilePoint { at: *at, plan_m, ground_m: None, corner: Some(index) }
    });
    points.collect()
}

/// The profile with a point at every whole step from each corner.
fn with_steps(profile: &[ProfilePoint], mut height_m: impl FnMut(MapPoint) -> Option<f64>) -> Vec<ProfilePoint> {
    let Some(last) = profile.last() else { return vec![] };
    let mut points = Vec::with_capacity(profile.len() + (last.plan_m / STEP_M) as usize + 1);
    points.push(profile[0]);
    let (mut leg_start_m, mut step) = (profile[0].plan_m, 1.0);
    for pair in profile.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        loop {
            let plan_m = leg_start_m + step * STEP_M;
            if plan_m > to.plan_m - SAME_M {
                break;
            }
            step += 1.0;
            if plan_m > from.plan_m + SAME_M {
                let at = from.at.towards(to.at, (plan_m - from.plan_m) / (to.plan_m - from.plan_m));
                points.push(ProfilePoint { at, plan_m, ground_m: height_m(at), corner: None });
            }
        }
        points.push(to);
        if to.plan_m >= leg_start_m + step * STEP_M - SAME_M {
            step += 1.0;
        }
        if to.corner.is_some() {
            (leg_start_m, step) = (to.plan_m, 1.0);
        }
    }
    points
}

impl Section {
    /// Station of a place along the line on the map, metres.
    pub fn station_at_m(&self, plan_m: f64) -> f64 {
        self.sample_at(plan_m).map_or(0.0, |sample| sample.station_m)
    }

    /// The sample at a place along the line on the map, between its neighbours where it falls between two; `None` without samples.
    pub fn sample_at(&self, plan_m: f64) -> Option<Sample> {
        let after = self.samples.partition_point(|sample| sample.plan_m < plan_m);
        let (Some(before), Some(next)) = (self.samples.get(after.saturating_sub(1)), self.samples.get(after)) else {
            return self.samples.last().copied();
        };
        Some(between(before, next, |sample| sample.plan_m, plan_m))
    }

    /// The sample at a station, between its neighbours where it falls between two; `None` without samples.
    pub fn sample_at_station(&self, station_m: f64) -> Option<Sample> {
        let after = self.samples.partition_point(|sample| sample.station_m < station_m);
        let (Some(before), Some(next)) = (self.samples.get(after.saturating_sub(1)), self.samples.get(after)) else {
            return self.samples.last().copied();
        };
        Some(between(before, next, |sample| sample.station_m, station_m))
    }
}

fn between(before: &Sample, next: &Sample, by: impl Fn(&Sample) -> f64, value: f64) -> Sample {
    let length = by(next) - by(before);
    let share = if length > 0.0 { ((value - by(before)) / length).clamp(0.0, 1.0) } else { 1.0 };
    let mix = |a: f64, b: f64| a + (b - a) * share;
    Sample {
        at: before.at.towards(next.at, share),
        plan_m: mix(before.plan_m, next.plan_m),
        station_m: mix(before.station_m, next.station_m),
        ground_m: before.ground_m.zip(next.ground_m).map(|(a, b)| mix(a, b)),
        error_m: mix(before.error_m, next.error_m),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(profile: &[(f64, Option<f64>, bool)]) -> Vec<ProfilePoint> {
        let corner = |index: usize, is: bool| is.then_some(index);
        let row = |(index, (x, z, is)): (usize, &(f64, Option<f64>, bool))| ProfilePoint {
            at: MapPoint::new(*x, 0.0),
            plan_m: *x,
            ground_m: *z,
            corner: corner(index, *is),
        };
        profile.iter().enumerate().map(row).collect()
    }

    #[test]
    fn a_line_is_sampled_at_every_half_metre_from_each_corner_and_at_the_grid() {
        let profile = points(&[(0.0, Some(0.0), true), (0.7, Some(0.7), false), (1.2, Some(1.2), true), (2.5, Some(2.5), true)]);
        let found: Vec<f64> = with_steps(&profile, |at| Some(at.x_m)).iter().map(|point| point.plan_m).collect();
        let expected = [0.0, 0.5, 0.7, 1.0, 1.2, 1.7, 2.2, 2.5];
        assert_eq!(found.len(), expected.len(), "{found:?}");
        assert!(found.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-9), "{found:?}");
    }

    #[test]
    fn a_crossing_on_a_whole_step_is_one_sample() {
        let profile = points(&[(0.0, Some(0.0), true), (0.5, Some(0.0), false), (1.0, Some(0.0), false), (1.8, Some(0.0), true)]);
        let found: Vec<f64> = with_steps(&profile, |_| Some(0.0)).iter().map(|point| point.plan_m).collect();
        assert_eq!(found, [0.0, 0.5, 1.0, 1.5, 1.8]);
    }

    #[test]
    fn stations_run_along_the_ground_and_along_the_map_where_it_is_unknown() {
        let profile = points(&[(0.0, Some(0.0), true), (3.0, Some(4.0), false), (5.0, None, false), (6.0, Some(0.0), true)]);
        let section = section_of(&FeatureId::new("a"), &profile);
        let stations: Vec<f64> = section.samples.iter().map(|sample| sample.station_m).collect();
        assert_eq!(stations, [0.0, 5.0, 7.0, 8.0]);
        assert!((section.station_at_m(1.5) - 2.5).abs() < 1e-12);
        assert!((section.sample_at_station(2.5).expect("has samples").plan_m - 1.5).abs() < 1e-12);
        assert!(!section.closed);
    }

    #[test]
    fn a_line_that_ends_where_it_starts_is_closed() {
        let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0), (0.0, 0.0)].map(|(x, y)| MapPoint::new(x, y));
        let closed = section(&FeatureId::new("a"), &square, None, &[]);
        assert!(closed.closed && closed.corners.len() == 5 && closed.samples.iter().all(|sample| sample.ground_m.is_none()));
        assert!(!section(&FeatureId::new("a"), &square[..4], None, &[]).closed);
        assert!(section(&FeatureId::new("a"), &[], None, &[]).samples.is_empty());
    }
}
