//! How the strands of a line are strung between its posts, and where friction slackens them so far that posts must stand closer.

use super::peg::Peg;
use super::posts::{SHARP_TURN_DEG, Terrain};
use super::results::Strain;
use super::spacing::Placement;
use super::specification::Specification;
use super::stand::{Stand, turn_deg};
use super::strain::{Support, strains};
use crate::units::Length;

/// Sag that grows by less than this through friction does not move posts, metres.
const SAG_NOTICED_M: f64 = 0.002;

/// Friction slackens strands away from the strainer. Where their sag grows by that so that it can be seen, posts are placed
/// once more for the slackest bay.
pub(super) fn with_friction(
    stand: &Stand,
    specification: &Specification,
    first: Placement,
    terrain: Terrain,
    peg: Option<&Peg>,
) -> Placement {
    let shares = strung(stand, &first, specification).share_by_bay;
    let slackest = shares.into_iter().fold(1.0, f64::min);
    let longest_m = specification.longest_bay.as_metres();
    let grows_m = |kappa_per_m: f64| kappa_per_m * longest_m * longest_m / 4.0 * (1.0 / slackest - 1.0);
    let most_m = specification.strands.iter().map(|strand| grows_m(strand.slackest_kappa_per_m)).fold(0.0, f64::max);
    if most_m < SAG_NOTICED_M || specification.hanging.tightest().is_none() {
        return first;
    }
    stand.place(specification, &specification.hanging.slackened(slackest), terrain, peg)
}

/// How the strands of a line are strung: its strains, and by bay the share of the tension that friction leaves.
pub(super) struct Strung {
    pub strains: Vec<Strain>,
    pub share_by_bay: Vec<f64>,
}

pub(super) fn strung(stand: &Stand, placed: &Placement, specification: &Specification) -> Strung {
    let last = placed.posts.len() - 1;
    let length_m = stand.samples[placed.posts[last]].station_m;
    let sharp: Vec<usize> = (0..=last).filter(|place| is_sharp(stand, placed, *place)).collect();
    // On a closed line places count on past its end, which is its start.
    let support = |place: usize| {
        let (once, around_m) = if place > last { (place - last, length_m) } else { (place, 0.0) };
        let sample = &stand.samples[placed.posts[once]];
        let height_m = sample.ground_m.map(|z| z + placed.off_m[once]);
        let takes_strain = sharp.binary_search(&once).is_ok();
        Support { at: sample.at, height_m, station_m: sample.station_m + around_m, takes_strain }
    };
    let mut anchors: Vec<usize> = stand.anchors.iter().filter_map(|at| placed.posts.binary_search(at).ok()).collect();
    if anchors.first().is_some_and(|first| *first > 0) {
        anchors.push(anchors[0] + last);
    }
    let mut all = Strung { strains: Vec::new(), share_by_bay: vec![1.0; last] };
    for run in anchors.windows(2) {
        if run[1] <= last && stand.gate_between(placed.posts[run[0]], placed.posts[run[1]]).is_some() {
            continue;
        }
        let supports: Vec<Support> = (run[0]..=run[1]).map(support).collect();
        let (found, shares) = strains(&supports, specification.friction);
        all.strains.extend(found.into_iter().map(|strain| within_line(strain, length_m)));
        for (bay, share) in (run[0]..run[1]).zip(shares) {
            all.share_by_bay[bay % last] = share;
        }
    }
    all
}

/// Whether strands turn so sharply at a post that it takes their strain. The last place is the first one, as on a closed line.
fn is_sharp(stand: &Stand, placed: &Placement, place: usize) -> bool {
    let last = placed.posts.len() - 1;
    let at = |place: usize| stand.samples[placed.posts[place]].at;
    let (before, after) = if place == 0 || place == last { (last - 1, 1) } else { (place - 1, place + 1) };
    stand.corner_at(placed.posts[place]).is_some() && turn_deg(at(before), at(place), at(after)).abs() >= SHARP_TURN_DEG
}

/// Stations past the end of a closed line are stations from its start.
fn within_line(strain: Strain, length_m: f64) -> Strain {
    let once = |station: Length| if station.as_metres() > length_m { station - Length::metres(length_m) } else { station };
    Strain {
        from: once(strain.from),
        to: once(strain.to),
        strainer: once(strain.strainer),
        slackest_at: once(strain.slackest_at),
        ..strain
    }
}
