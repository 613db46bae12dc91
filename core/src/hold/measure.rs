//! Lengths and slopes of a line.

use super::results::{LineMeasure, Sample, Section};
use crate::units::Length;

/// Slopes along a line are taken over pieces at least this long, metres: shorter ones are the grid's noise.
pub const SLOPE_PIECE_M: f64 = 2.0;

/// Lengths, climb, descent and steepest slope of a line, from its section.
pub fn measure(section: &Section) -> LineMeasure {
    let mut measure = LineMeasure::default();
    let (Some(first), Some(last)) = (section.samples.first(), section.samples.last()) else { return measure };
    measure.plan_length = Length::metres(last.plan_m - first.plan_m);
    measure.ground_length = Length::metres(last.station_m - first.station_m);
    for pair in section.samples.windows(2) {
        match pair[0].ground_m.zip(pair[1].ground_m) {
            Some((here, next)) if next >= here => measure.climb += Length::metres(next - here),
            Some((here, next)) => measure.descent += Length::metres(here - next),
            None => measure.unknown += Length::metres(pair[1].plan_m - pair[0].plan_m),
        }
    }
    measure.steepest_pct = steepest_pct(&section.samples);
    measure
}

/// The steepest of the shortest pieces that start at a sample and are at least [`SLOPE_PIECE_M`] long; of the whole line if it is shorter.
fn steepest_pct(samples: &[Sample]) -> f64 {
    let Some(last) = samples.last() else { return 0.0 };
    let piece_m = SLOPE_PIECE_M.min(last.plan_m - samples[0].plan_m) - 1e-9;
    let (mut steepest_pct, mut end) = (0.0_f64, 0);
    for start in samples {
        while samples[end].plan_m < start.plan_m + piece_m {
            end += 1;
            if end == samples.len() {
                return steepest_pct;
            }
        }
        let run_m = samples[end].plan_m - start.plan_m;
        if let Some((here, there)) = start.ground_m.zip(samples[end].ground_m)
            && run_m > 0.0
        {
            steepest_pct = steepest_pct.max(100.0 * (there - here).abs() / run_m);
        }
    }
    steepest_pct
}

#[cfg(test)]
mod tests {
    use super::super::section::section_of;
    use super::*;
    use crate::land::{MapPoint, ProfilePoint};
    use crate::plan::FeatureId;

    fn line(heights: &[Option<f64>], step_m: f64) -> Section {
        let point = |(k, z): (usize, &Option<f64>)| {
            let x = k as f64 * step_m;
            let corner = (k == 0 || k == heights.len() - 1).then_some(k);
            ProfilePoint { at: MapPoint::new(x, 0.0), plan_m: x, ground_m: *z, corner }
        };
        section_of(&FeatureId::new("a"), &heights.iter().enumerate().map(point).collect::<Vec<_>>())
    }

    #[test]
    fn climb_and_descent_add_up_and_slopes_ignore_single_steps() {
        let measured = measure(&line(&[Some(0.0), Some(1.0), Some(1.0), Some(0.5), Some(0.5)], 1.0));
        assert!((measured.climb.as_metres() - 1.0).abs() < 1e-12 && (measured.descent.as_metres() - 0.5).abs() < 1e-12);
        assert!((measured.steepest_pct - 50.0).abs() < 1e-9, "{}", measured.steepest_pct);
        assert!((measured.plan_length.as_metres() - 4.0).abs() < 1e-12);
    }

    #[test]
    fn unknown_ground_counts_as_unknown_and_not_as_flat() {
        let measured = measure(&line(&[Some(0.0), None, Some(3.0), Some(3.0)], 1.0));
        assert!((measured.unknown.as_metres() - 2.0).abs() < 1e-12);
        assert!(measured.climb.as_metres().abs() < 1e-12);
        assert!((measured.steepest_pct - 150.0).abs() < 1e-9, "both ends of a piece are known");
    }

    #[test]
    fn a_line_shorter_than_a_piece_has_its_own_slope() {
        assert!((measure(&line(&[Some(0.0), Some(0.3)], 1.0)).steepest_pct - 30.0).abs() < 1e-9);
        assert!(measure(&line(&[Some(0.0)], 1.0)).steepest_pct.abs() < 1e-12);
    }
}
