//! What the strands do between two posts.

use super::results::{Sample, StrandGap};
use super::spacing::sag_at;
use super::specification::{HungStrand, Specification};
use crate::units::Length;

/// What each strand does in a bay. `hung_m`: the height of the ground at both posts, with how far strands are fixed off their height there;
/// `tension_share`: what friction leaves of the tension.
pub(super) fn gaps(samples: &[Sample], hung_m: (f64, f64), specification: &Specification, tension_share: f64) -> Vec<StrandGap> {
    let (first, last) = (samples[0], samples[samples.len() - 1]);
    let (z0, z1) = hung_m;
    let span_m = last.plan_m - first.plan_m;
    let gap = |strand: &HungStrand| {
        let mut gap = StrandGap {
            height: strand.height,
            lowest_gap: strand.height,
            lowest_gap_at: Length::metres(first.station_m),
            highest_gap: strand.height,
            highest_gap_at: Length::metres(first.station_m),
        };
        for sample in samples {
            let Some(z) = sample.ground_m else { continue };
            let u_m = sample.plan_m - first.plan_m;
            let straight = strand.height + Length::metres(z0 + (z1 - z0) * u_m / span_m - z);
            let slack = straight - sag_at(strand.slackest_kappa_per_m / tension_share, u_m, span_m);
            if slack < gap.lowest_gap {
                (gap.lowest_gap, gap.lowest_gap_at) = (slack, Length::metres(sample.station_m));
            }
            if straight > gap.highest_gap {
                (gap.highest_gap, gap.highest_gap_at) = (straight, Length::metres(sample.station_m));
            }
        }
        gap
    };
    specification.strands.iter().map(gap).collect()
}
