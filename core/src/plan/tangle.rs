//! Lines that cross each other more often than any holding's do.

use crate::land::Position;
use rstar::primitives::{GeomWithData, Line};
use rstar::{AABB, RTree};

/// Whether lines cross each other or themselves at more places than this. Straight in degrees, which is near enough to count.
pub(super) fn is_tangled<'a>(lines: impl Iterator<Item = &'a [Position]>, most: usize) -> bool {
    let at = |place: &Position| [place.lon_e9 as f64 * 1e-9, place.lat_e9 as f64 * 1e-9];
    let legs: Vec<[[f64; 2]; 2]> = lines.flat_map(|line| line.windows(2).map(|leg| [at(&leg[0]), at(&leg[1])])).collect();
    // So few cannot cross so often.
    if legs.len() * legs.len().saturating_sub(1) / 2 <= most {
        return false;
    }
    let numbered = legs.iter().enumerate().map(|(number, [from, to])| GeomWithData::new(Line::new(*from, *to), number));
    let tree = RTree::bulk_load(numbered.collect());
    let mut found = 0;
    for (number, [from, to]) in legs.iter().enumerate() {
        let around = AABB::from_points([from, to]);
        let others = tree.locate_in_envelope_intersecting(&around).filter(|other| other.data > number);
        for other in others {
            found += usize::from(cross([*from, *to], legs[other.data]));
            if found > most {
                return true;
            }
        }
    }
    false
}

/// Whether two legs cross within both; ends that only touch do not count.
fn cross([a, b]: [[f64; 2]; 2], [c, d]: [[f64; 2]; 2]) -> bool {
    let side = |from: [f64; 2], to: [f64; 2], at: [f64; 2]| {
        (to[0] - from[0]) * (at[1] - from[1]) - (to[1] - from[1]) * (at[0] - from[0])
    };
    let apart = |one: f64, other: f64| (one < 0.0 && other > 0.0) || (one > 0.0 && other < 0.0);
    apart(side(a, b, c), side(a, b, d)) && apart(side(c, d, a), side(c, d, b))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// So many lines one way and so many across them.
    fn mesh(each_way: i64) -> Vec<Vec<Position>> {
        let at = |x: i64, y: i64| Position { lon_e9: 1_000 * x, lat_e9: 1_000 * y };
        let one_way = (0..each_way).map(|k| vec![at(2 * k + 1, 0), at(2 * k + 1, 2 * each_way)]);
        one_way.chain((0..each_way).map(|k| vec![at(0, 2 * k + 1), at(2 * each_way, 2 * k + 1)])).collect()
    }

    #[test]
    fn a_mesh_of_lines_crosses_once_for_each_pair_and_a_chain_of_legs_never() {
        let is_over = |lines: &[Vec<Position>], most: usize| is_tangled(lines.iter().map(Vec::as_slice), most);
        for each_way in [1_i64, 10, 60] {
            let crossings = (each_way * each_way) as usize;
            assert!(is_over(&mesh(each_way), crossings - 1), "{each_way}");
            assert!(!is_over(&mesh(each_way), crossings), "{each_way}");
        }
        let chain: Vec<Position> = (0..3000).map(|k| Position { lon_e9: 1_000 * k, lat_e9: 700 * (k % 2) }).collect();
        assert!(!is_over(&[chain], 0));
    }
}
