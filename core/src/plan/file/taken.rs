//! What a feature from elsewhere may be taken as, and lines with thousands of places thinned.

use super::super::Plan;
use super::super::feature::Geometry;
use super::super::kinds::{Fence, Kind, LeadOut, Track, Zone};
use crate::land::Position;

/// A walked line keeps so many places that nothing is farther off than this, metres.
///
/// # Source
/// Key `common-practice`: a satellite receiver in a pocket is off by more.
pub const THINNED_TO_M: f64 = 0.5;

/// The kinds that a feature with this geometry may be taken as, the likeliest first.
pub fn kinds_to_take(geometry: &Geometry, plan: &Plan) -> Vec<Kind> {
    let zone = |of: &str| Kind::Zone(Zone { of: of.to_owned(), value: None });
    let fence =
        || Fence { build: plan.head.builds.first().map(|build| build.id.clone()).unwrap_or_default(), ..Fence::default() };
    match geometry {
        Geometry::Line(_) => vec![
            Kind::Track(Track::default()),
            Kind::Stream { width: None, seasonal: false, culvert: false },
            Kind::PublicWay { use_by: None },
            Kind::OverheadLine { kv: None, wire_height: None },
            Kind::Boundary { neighbour: None },
            Kind::Fence(fence()),
            Kind::LeadOut(LeadOut::default()),
            Kind::Mark,
        ],
        Geometry::Area(_) => {
            let zones = ["wood", "wet", "rock", "crop", "keep_out"].map(zone);
            let others = [Kind::Boundary { neighbour: None }, Kind::Building { mains: false }];
            others.into_iter().chain(zones).collect()
        }
        Geometry::Point(_) => {
            vec![
                Kind::Mark,
                Kind::Water,
                Kind::Shelter,
                Kind::Feed,
                Kind::Tree { diameter: None },
                Kind::Building { mains: false },
            ]
        }
        Geometry::Other(_) => Vec::new(),
    }
}

/// The word by which a kind to take is asked for: that of the plan file, of a zone what it is of.
pub fn word_to_take(kind: &Kind) -> &str {
    match kind {
        Kind::Zone(zone) => &zone.of,
        kind => kind.word().unwrap_or_default(),
    }
}

/// A line with as few of its places as keep it within [`THINNED_TO_M`] of where it was (Douglas and Peucker's way).
pub(super) fn thinned(places: Vec<Position>) -> Vec<Position> {
    let Some(first) = places.first().copied() else { return places };
    const M_PER_DEG: f64 = 111_200.0;
    let narrow = first.lat_deg().to_radians().cos();
    let metres = |at: &Position| (at.east_of_deg(first) * M_PER_DEG * narrow, (at.lat_deg() - first.lat_deg()) * M_PER_DEG);
    let points: Vec<(f64, f64)> = places.iter().map(metres).collect();
    let mut is_kept = vec![false; points.len()];
    (is_kept[0], is_kept[points.len() - 1]) = (true, true);
    let mut open = vec![(0, points.len() - 1)];
    while let Some((from, to)) = open.pop() {
        let between = (from + 1..to).map(|index| (index, off_m(points[index], points[from], points[to])));
        if let Some((farthest, off)) = between.max_by(|a, b| a.1.total_cmp(&b.1))
            && off > THINNED_TO_M
        {
            is_kept[farthest] = true;
            open.extend([(from, farthest), (farthest, to)]);
        }
    }
    places.into_iter().zip(is_kept).filter(|(_, kept)| *kept).map(|(place, _)| place).collect()
}

/// How far a point lies from a straight piece.
fn off_m(at: (f64, f64), from: (f64, f64), to: (f64, f64)) -> f64 {
    let (along, off) = ((to.0 - from.0, to.1 - from.1), (at.0 - from.0, at.1 - from.1));
    let length2 = along.0 * along.0 + along.1 * along.1;
    let share = if length2 > 0.0 { ((along.0 * off.0 + along.1 * off.1) / length2).clamp(0.0, 1.0) } else { 0.0 };
    (off.0 - along.0 * share).hypot(off.1 - along.1 * share)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_walked_line_keeps_what_half_a_metre_does_not_tell() {
        // Every metre of a straight way north with a wobble of 0.2 m, then a corner 100 m on, then east.
        let north = (0..100).map(|k| (f64::from(k % 2) * 0.2, f64::from(k)));
        let east = (0..50).map(|k| (f64::from(k), 100.0));
        let place = |(x_m, y_m): (f64, f64)| {
            Position::from_degrees(15.0 + x_m / (111_200.0 * 46_f64.to_radians().cos()), 46.0 + y_m / 111_200.0)
        };
        let walked: Vec<Position> = north.chain(east).map(place).collect();
        let kept = thinned(walked.clone());
        assert_eq!(kept, [walked[0], walked[100], walked[149]]);
        assert_eq!(thinned(kept.clone()), kept);
        assert_eq!(thinned(Vec::new()), []);
    }
}
