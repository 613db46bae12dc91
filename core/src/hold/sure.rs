//! How sure a clearance is, and what a grid that is not sure leaves to be found on the walk.

use super::results::{Bay, Sample};
use super::spacing::{Hanging, sag_at};
use crate::units::Length;
use statrs::function::erf::erfc;

/// A bay is seen by at least this many cells, else its dips are not in the grid.
///
/// # Source
/// Key `grid-trial`: of the dips over 15 cm under 8 m bays on real 1 m lidar, 2 m cells still showed 61 %, 5 m cells 27 %.
pub const CELLS_PER_BAY: f64 = 4.0;
/// A clearance counts as sure up to so many deviations: it is larger or smaller one time in forty-four (`common-practice`).
const SURE: f64 = 2.0;
/// The scatter of a clearance in times that of a height: the strand hangs from two posts, over a third place (`grid-trial`).
const SPREAD2: f64 = 1.5;
/// Places so far apart along a line scatter by themselves, metres on the map.
const APART_M: f64 = 2.0;
/// So near to a post a strand is at its height, metres on the map.
const AT_POST_M: f64 = 1.0;

/// How far a clearance may be off, e, where heights are off by this deviation: `e = 2 sqrt(1.5) s`.
///
/// # Units
/// Metres.
/// # Valid for
/// Errors that places some metres apart do not share.
/// # Source
/// `grid-trial` for the root; two deviations are `common-practice`.
pub fn clearance_error_m(height_error_m: f64) -> f64 {
    SURE * SPREAD2.sqrt() * height_error_m
}

/// How far the clearances of a bay over these samples may be off: by the least known of them.
pub(super) fn error_over(samples: &[Sample]) -> Length {
    let worst_m = samples.iter().map(|sample| sample.error_m).fold(0.0, f64::max);
    Length::metres(clearance_error_m(worst_m))
}

/// In how many places of a bay strands are to be expected out of their band, where the ground under it is known only so well: hollows and humps that
/// nobody can tell from scatter. `hung_m`: the ground at both posts, with how far strands are fixed off their height there.
///
/// # Units
/// A count; metres.
/// # Valid for
/// Errors of the normal kind; places less than two metres apart are one.
/// # Source
/// `grid-trial` for the scatter of a clearance.
pub(super) fn expected_pegs(samples: &[Sample], hung_m: (f64, f64), hanging: &Hanging) -> f64 {
    let (first_m, last_m) = (samples[0].plan_m, samples[samples.len() - 1].plan_m);
    let span_m = last_m - first_m;
    let (low_m, high_m) = hanging.band_m();
    let kappa_per_m = hanging.slackest_kappa_per_m();
    let (mut expected, mut next_m) = (0.0, first_m + AT_POST_M);
    for sample in samples {
        let (Some(z), true) = (sample.ground_m, sample.error_m > 0.0) else { continue };
        if sample.plan_m < next_m || sample.plan_m > last_m - AT_POST_M {
            continue;
        }
        next_m = sample.plan_m + APART_M;
        let u_m = sample.plan_m - first_m;
        let off_m = hung_m.0 + (hung_m.1 - hung_m.0) * u_m / span_m - z;
        let sag_m = sag_at(kappa_per_m, u_m, span_m).as_metres();
        let deviation_m = SPREAD2.sqrt() * sample.error_m;
        expected += beyond((high_m - off_m) / deviation_m) + beyond((off_m - sag_m - low_m) / deviation_m);
    }
    expected
}

/// The share of a normal distribution that lies so many deviations above its mean, or more.
fn beyond(deviations: f64) -> f64 {
    0.5 * erfc(deviations / std::f64::consts::SQRT_2)
}

/// Whether bays tell their dips on cells of this size.
pub(super) fn is_told(bay: &Bay, cell: Length, longest_bay: Length) -> bool {
    bay.gate.is_none() && cell <= longest_bay / CELLS_PER_BAY * 1.001
}
