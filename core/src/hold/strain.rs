//! Strains: how friction at posts eats tension, and where strainers go so that it eats least.

use super::results::Strain;
use super::tension::friction_share;
use crate::land::MapPoint;
use crate::units::Length;

/// A strainer pulls no farther than this: quarter of a mile.
///
/// # Source
/// Keys `nrcs-maine-382a`, `nrcs-colorado-382`.
pub const LONGEST_PULL_M: f64 = 402.0;
/// Where friction leaves less than this of the tension, one more strainer is planned (`common-practice`).
pub const LEAST_SHARE: f64 = 0.7;

/// Angles that differ by less are alike, radians.
const LEAST_TURN_RAD: f64 = 1e-6;

/// A post as a strand meets it.
#[derive(Clone, Copy, Debug)]
pub struct Support {
    /// Where it is on the map.
    pub at: MapPoint,
    /// Height of the strand; `None` where the ground is not known: the strand is taken as level there.
    pub height_m: Option<f64>,
    /// Its station, metres.
    pub station_m: f64,
    /// Whether a post stands there that takes the strain anyhow: a sharp corner, an end, a gate.
    pub takes_strain: bool,
}

/// The strains of a run over these supports, its first and last included, and the share of the tension that friction leaves in
/// each of its bays.
///
/// A run is one strain, unless it is longer than a strainer pulls or turns more than friction allows; then it is made off at posts between
/// that take the strain anyhow, as far apart as may be. Between two of those that are too far apart it is made off in parts that turn
/// alike (that are as long as each other where nothing turns). The strainer of a strain goes where it
/// halves the sum of the angles, not the length: each support on the way leaves `exp(-mu theta)` of the tension.
///
/// # Units
/// `friction` (mu) a pure number; shares 0 to 1, one for each bay.
/// # Valid for
/// Two supports or more; strands that slide at the supports between.
/// # Source
/// `statics` (rope friction); length in `nrcs-maine-382a`.
pub fn strains(supports: &[Support], friction: f64) -> (Vec<Strain>, Vec<f64>) {
    let turned_rad = turned_by_bay_rad(supports);
    let asks = |from: usize, to: usize| strains_asked(supports, &turned_rad, (from, to), friction);
    let (mut found, mut shares) = (Vec::new(), Vec::with_capacity(turned_rad.len()));
    for run in made_off_at(supports, asks).windows(2) {
        let piece = &supports[run[0]..=run[1]];
        let count = (asks(run[0], run[1]).ceil() as usize).clamp(1, run[1] - run[0]);
        for part in cuts(piece, &turned_by_bay_rad(piece), count).windows(2) {
            let (strain, its_shares) = strain(&piece[part[0]..=part[1]], friction);
            found.push(strain);
            shares.extend(its_shares);
        }
    }
    (found, shares)
}

/// Posts that take the strain anyhow at which a run is made off, its ends included: as few strains as can be, and those as even as can be.
fn made_off_at(supports: &[Support], asks: impl Fn(usize, usize) -> f64) -> Vec<usize> {
    let last = supports.len() - 1;
    let between = (1..last).filter(|post| supports[*post].takes_strain);
    let stops: Vec<usize> = std::iter::once(0).chain(between).chain([last]).collect();
    // Of each stop the fewest strains to it, how unevenly they are used, and the stop before.
    let mut best: Vec<(usize, f64, usize)> = vec![(usize::MAX, f64::INFINITY, 0); stops.len()];
    best[0] = (0, 0.0, 0);
    for from in 0..stops.len() - 1 {
        for to in from + 1..stops.len() {
            let asked = asks(stops[from], stops[to]);
            let count = (asked.ceil() as usize).max(1);
            if count > 1 && to > from + 1 {
                break;
            }
            let way = (best[from].0 + count, best[from].1 + asked * asked / count as f64, from);
            if (way.0, way.1) < (best[to].0, best[to].1) {
                best[to] = way;
            }
        }
    }
    let mut back = vec![stops.len() - 1];
    while let Some(stop) = back.last().copied().filter(|stop| *stop > 0) {
        back.push(best[stop].2);
    }
    back.into_iter().rev().map(|stop| stops[stop]).collect()
}

/// How many strains the way from one support to another asks for, by its length and by what it turns; up to 1 one does.
fn strains_asked(supports: &[Support], turned_rad: &[f64], (from, to): (usize, usize), friction: f64) -> f64 {
    let turned_rad = turned_rad[to - 1] - turned_rad[from];
    let length_m = supports[to].station_m - supports[from].station_m;
    let reach_rad = if friction > 0.0 { -LEAST_SHARE.ln() / friction } else { f64::INFINITY };
    (turned_rad / (2.0 * reach_rad)).max(length_m / LONGEST_PULL_M)
}

/// Supports at which a run is made off, its first and last included.
fn cuts(supports: &[Support], turned_rad: &[f64], count: usize) -> Vec<usize> {
    let last = supports.len() - 1;
    let all_rad = turned_rad[last - 1];
    let (from_m, to_m) = (supports[0].station_m, supports[last].station_m);
    let place = |post: usize| {
        if all_rad > LEAST_TURN_RAD {
            f64::midpoint(turned_rad[post - 1], turned_rad[post]) / all_rad
        } else {
            (supports[post].station_m - from_m) / (to_m - from_m)
        }
    };
    let mut cuts = vec![0];
    for part in 1..count {
        let share = part as f64 / count as f64;
        let first = cuts[cuts.len() - 1] + 1;
        if first >= last {
            break;
        }
        // Places never go back along a run: the nearest one is the last short of the share, or the first that is not.
        let from = |share: f64| first + partition_point(last - first, |post| place(first + post) < share);
        let past = from(share);
        let short = (past > first).then(|| from(place(past - 1)));
        let off = |post: usize| (place(post) - share).abs();
        cuts.push(match short {
            Some(short) if past == last || off(short) <= off(past) => short,
            _ => past,
        });
    }
    cuts.push(last);
    cuts
}

/// The first of so many numbers for which it no longer holds.
fn partition_point(count: usize, holds: impl Fn(usize) -> bool) -> usize {
    let (mut low, mut high) = (0, count);
    while low < high {
        let middle = usize::midpoint(low, high);
        if holds(middle) { low = middle + 1 } else { high = middle }
    }
    low
}

/// One strain and the share of its tension in each of its bays.
fn strain(supports: &[Support], friction: f64) -> (Strain, Vec<f64>) {
    let turned_rad = turned_by_bay_rad(supports);
    let all_rad = turned_rad.last().copied().unwrap_or(0.0);
    let middle_m = |bay: usize| f64::midpoint(supports[bay].station_m, supports[bay + 1].station_m);
    let (from_m, to_m) = (supports[0].station_m, supports[supports.len() - 1].station_m);
    let halfway_m = f64::midpoint(from_m, to_m);
    let off_middle = |bay: &usize| (middle_m(*bay) - halfway_m).abs();
    let off_angle = |bay: &usize| (turned_rad[*bay] - all_rad / 2.0).abs();
    let bays = || 0..turned_rad.len();
    let least_off = bays().map(|bay| off_angle(&bay)).fold(f64::INFINITY, f64::min);
    let alike = bays().filter(|bay| off_angle(bay) <= least_off + LEAST_TURN_RAD);
    let pulled = alike.min_by(|one, other| off_middle(one).total_cmp(&off_middle(other))).unwrap_or(0);
    let middle = bays().min_by(|one, other| off_middle(one).total_cmp(&off_middle(other))).unwrap_or(0);
    let shares_from = |pulled: usize| -> Vec<f64> {
        turned_rad.iter().map(|here| friction_share(friction, (turned_rad[pulled] - here).abs())).collect()
    };
    let shares = shares_from(pulled);
    let slackest = bays().min_by(|one, other| shares[*one].total_cmp(&shares[*other])).unwrap_or(0);
    let found = Strain {
        from: Length::metres(from_m),
        to: Length::metres(to_m),
        turned_rad: all_rad,
        strand: supports.windows(2).map(|bay| Length::metres(long_m(way(&bay[0], &bay[1])))).sum(),
        strainer: Length::metres(middle_m(pulled)),
        springs: 0,
        slackest_share: shares[slackest],
        slackest_at: Length::metres(middle_m(slackest)),
        share_from_middle: shares_from(middle).into_iter().fold(1.0, f64::min),
    };
    (found, shares)
}

/// For each bay the sum of the angles turned at the supports before it.
fn turned_by_bay_rad(supports: &[Support]) -> Vec<f64> {
    let ways: Vec<[f64; 3]> = supports.windows(2).map(|pair| way(&pair[0], &pair[1])).collect();
    let mut turned_rad = 0.0;
    let mut by_bay = vec![0.0; ways.len().min(1)];
    for pair in ways.windows(2) {
        turned_rad += angle_rad(pair[0], pair[1]);
        by_bay.push(turned_rad);
    }
    by_bay
}

fn way(from: &Support, to: &Support) -> [f64; 3] {
    let rise_m = from.height_m.zip(to.height_m).map_or(0.0, |(here, there)| there - here);
    [to.at.x_m - from.at.x_m, to.at.y_m - from.at.y_m, rise_m]
}

fn long_m(way: [f64; 3]) -> f64 {
    way.iter().map(|part| part * part).sum::<f64>().sqrt()
}

/// The angle between two ways, which `atan2` of |a x b| and a . b gives to the last digit however small it is.
fn angle_rad(a: [f64; 3], b: [f64; 3]) -> f64 {
    let cross = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
    let dot: f64 = a.iter().zip(b).map(|(a, b)| a * b).sum();
    long_m(cross).atan2(dot)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn supports(points: &[(f64, f64)]) -> Vec<Support> {
        let mut station_m = 0.0;
        let mut before: Option<(f64, f64)> = None;
        let support = |&(x, z): &(f64, f64)| {
            station_m += before.replace((x, z)).map_or(0.0, |(x0, z0)| (x - x0).hypot(z - z0));
            Support { at: MapPoint::new(x, 0.0), height_m: Some(z), station_m, takes_strain: false }
        };
        points.iter().map(support).collect()
    }

    #[test]
    fn a_straight_strain_is_pulled_from_its_middle_and_loses_nothing() {
        let (found, shares) = strains(&supports(&[(0.0, 0.0), (10.0, 0.0), (20.0, 0.0), (30.0, 0.0)]), 0.2);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].strainer, Length::metres(15.0));
        assert!(shares.iter().all(|share| (share - 1.0).abs() < 1e-12));
    }

    #[test]
    fn the_strainer_goes_to_the_middle_of_the_angles_not_of_the_length() {
        // Three posts zigzag at one end; then it runs straight for long.
        let mut points: Vec<(f64, f64)> = (0..5).map(|k| (f64::from(k), f64::from(k % 2))).collect();
        points.extend((1..6).map(|k| (4.0 + 20.0 * f64::from(k), 0.0)));
        let (found, shares) = strains(&supports(&points), 0.1);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].strainer < Length::metres(6.0), "{found:?}");
        assert!(found[0].slackest_share > found[0].share_from_middle && shares.len() == points.len() - 1);
        let by_hand = |turned_rad: f64| (-0.1_f64 * turned_rad).exp();
        assert!((found[0].share_from_middle - by_hand(found[0].turned_rad)).abs() < 1e-9, "all turns lie on one side");
    }

    #[test]
    fn a_run_is_made_off_between_when_it_is_long_or_turns_much() {
        let straight: Vec<(f64, f64)> = (0..=100).map(|k| (10.0 * f64::from(k), 0.0)).collect();
        let (found, _) = strains(&supports(&straight), 0.2);
        let lengths: Vec<f64> = found.iter().map(|strain| (strain.to - strain.from).as_metres()).collect();
        assert!(lengths.len() == 3 && lengths.iter().all(|length_m| (320.0..=350.0).contains(length_m)), "{lengths:?}");
        let mut cornered = supports(&straight);
        (cornered[30].takes_strain, cornered[55].takes_strain) = (true, true);
        let ends: Vec<f64> = strains(&cornered, 0.2).0.iter().map(|strain| strain.to.as_metres()).collect();
        assert_eq!(
            (ends[0], ends[1], ends[3], ends.len()),
            (300.0, 550.0, 1000.0, 4),
            "posts that take the strain anyhow come first"
        );
        assert!((ends[2] - 775.0).abs() < 6.0, "too long a way is parted: {ends:?}");
        let zigzag: Vec<(f64, f64)> = (0..12).map(|k| (f64::from(k), f64::from(k % 2))).collect();
        let (found, shares) = strains(&supports(&zigzag), 0.2);
        assert!(found.len() > 1 && shares.len() == 11);
        assert!(found.iter().all(|strain| strain.slackest_share >= LEAST_SHARE), "{found:?}");
        assert!(found.windows(2).all(|pair| (pair[0].to - pair[1].from).abs() < Length::metres(1e-9)));
    }
}
