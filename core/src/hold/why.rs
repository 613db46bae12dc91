//! Why a post stands where it stands, and what posts at even bays would leave.

use super::clearance_error_m;
use super::results::{EvenBays, PostRole, PostWhy, Sample};
use super::spacing::{Hanging, Placement};
use super::specification::Specification;
use super::stand::Stand;
use crate::units::Length;

/// Bays that differ by less are as long as each other, metres.
const SAME_M: f64 = 1e-6;

/// Why the post at this place of a placement stands there.
pub(super) fn why(stand: &Stand, placed: &Placement, place: usize, role: PostRole, specification: &Specification) -> PostWhy {
    let here = placed.posts[place];
    if stand.pinned.binary_search(&here).is_ok() {
        return PostWhy::Pinned;
    }
    match role {
        PostRole::End => return PostWhy::End,
        PostRole::Gate => return PostWhy::Gate,
        PostRole::Corner => return PostWhy::Turn,
        PostRole::Line | PostRole::Dip | PostRole::Rise | PostRole::Stretch | PostRole::Peg => {}
    }
    if stand.is_tree(here) {
        return PostWhy::Tree;
    }
    // A peg stands between its neighbours; a post would leave the pegs beside it where they are only if they were enough without it.
    let counts = |other: &usize| role == PostRole::Peg || !placed.is_peg[*other];
    let neighbours = (0..place).rev().find(counts).zip((place + 1..placed.posts.len()).find(counts));
    let Some((before_place, after_place)) = neighbours else { return PostWhy::Turn };
    let (before, after) = (placed.posts[before_place], placed.posts[after_place]);
    let samples = &stand.samples[before..=after];
    if stand.corner_at(here).is_some() && !is_straight(stand, before, here, after) {
        return PostWhy::Turn;
    }
    if samples.iter().any(|sample| sample.ground_m.is_none()) {
        return PostWhy::UnknownGround;
    }
    if samples[samples.len() - 1].plan_m - samples[0].plan_m > specification.longest_bay.as_metres() + SAME_M {
        return PostWhy::LongestBay;
    }
    let offs = (placed.off_m[before_place], placed.off_m[after_place]);
    worst_of(samples, offs, &specification.hanging).map_or(PostWhy::Spacing, |worst| PostWhy::Band {
        strand: worst.strand,
        off: Length::metres(worst.deviation_m),
        at: Length::metres(worst.station_m),
    })
}

fn is_straight(stand: &Stand, before: usize, here: usize, after: usize) -> bool {
    let at = |sample: usize| stand.samples[sample].at;
    super::stand::turn_deg(at(before), at(here), at(after)).abs() < 0.01
}

/// Where one bay over these samples would be worst out of band.
struct Worst {
    strand: usize,
    deviation_m: f64,
    station_m: f64,
    out_m: f64,
}

fn worst_of(samples: &[Sample], offs: (f64, f64), hanging: &Hanging) -> Option<Worst> {
    let (first, last) = (samples[0], samples[samples.len() - 1]);
    let (z0, z1) = (first.ground_m? + offs.0, last.ground_m? + offs.1);
    let span_m = last.plan_m - first.plan_m;
    let out = samples.iter().filter_map(|sample| {
        let u_m = sample.plan_m - first.plan_m;
        let deviation_m = z0 + (z1 - z0) * u_m / span_m - sample.ground_m?;
        let (out_m, strand) = hanging.out_of_band(deviation_m, u_m, span_m, clearance_error_m(sample.error_m))?;
        Some(Worst { strand, deviation_m, station_m: sample.station_m, out_m })
    });
    out.max_by(|one, other| one.out_m.total_cmp(&other.out_m))
}

/// What posts at even bays, no longer than the build allows, would leave; `None` where strands may hang anywhere or the ground
/// is not known throughout.
pub fn even_bays(samples: &[Sample], specification: &Specification) -> Option<EvenBays> {
    let length_m = samples.last()?.plan_m - samples.first()?.plan_m;
    let bays = (length_m / specification.longest_bay.as_metres() - 1e-9).ceil().max(1.0) as usize;
    with_even_bays(samples, &specification.hanging, bays)
}

/// The fewest posts at even bays that keep every strand in its band; `None` where no number under `most` does.
pub fn fewest_even_posts(samples: &[Sample], specification: &Specification, most: usize) -> Option<usize> {
    let first = even_bays(samples, specification)?.posts - 1;
    let passes = |bays: &usize| {
        with_even_bays(samples, &specification.hanging, *bays).is_some_and(|even| even.out_of_band <= Length::ZERO)
    };
    (first..most).find(passes).map(|bays| bays + 1)
}

fn with_even_bays(samples: &[Sample], hanging: &Hanging, bays: usize) -> Option<EvenBays> {
    hanging.tightest()?;
    let (first, last) = (samples.first()?, samples.last()?);
    let span_m = (last.plan_m - first.plan_m) / bays as f64;
    let nothing = EvenBays { posts: bays + 1, out_of_band: Length::ZERO, worst_off: Length::ZERO, worst_at: Length::ZERO };
    let (mut even, mut worst_m, mut next, mut out_m) = (nothing, 0.0, 0, 0.0);
    let height_m = |after: usize, plan_m: f64| -> Option<f64> {
        let (a, b) = (&samples[after.saturating_sub(1)], &samples[after]);
        let (za, zb) = (a.ground_m?, b.ground_m?);
        let gap_m = b.plan_m - a.plan_m;
        Some(if gap_m > 0.0 { za + (zb - za) * (plan_m - a.plan_m) / gap_m } else { zb })
    };
    let mut z0 = first.ground_m?;
    for bay in 0..bays {
        let (x0, x1) = (first.plan_m + bay as f64 * span_m, first.plan_m + (bay + 1) as f64 * span_m);
        let from = next;
        next = from + samples[from..].partition_point(|sample| sample.plan_m < x1 - SAME_M);
        let z1 = height_m(next.min(samples.len() - 1), x1)?;
        for (index, sample) in samples.iter().enumerate().take(next).skip(from) {
            let u_m = sample.plan_m - x0;
            let deviation_m = z0 + (z1 - z0) * u_m / span_m - sample.ground_m?;
            if let Some((off_m, _)) = hanging.out_of_band(deviation_m, u_m, span_m, clearance_error_m(sample.error_m)) {
                let (before, after) = (index.saturating_sub(1), (index + 1).min(samples.len() - 1));
                out_m += (samples[after].plan_m - samples[before].plan_m) / 2.0;
                if off_m > worst_m {
                    worst_m = off_m;
                    (even.worst_off, even.worst_at) = (Length::metres(deviation_m), Length::metres(sample.station_m));
                }
            }
        }
        z0 = z1;
    }
    even.out_of_band = Length::metres(out_m);
    Some(even)
}
