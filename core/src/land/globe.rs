//! Places on the whole globe: how far they lie apart, and the middle of many, wherever the date line and the poles are.

use super::{MapPoint, MapRect, Position};

/// The Earth's mean radius (IUGG), metres. Good to 0.6 % for distances, which are only told and held against wide bounds.
const EARTH_M: f64 = 6_371_008.8;

impl Position {
    /// The shortest way over the globe to another place, metres.
    pub fn arc_m(self, other: Self) -> f64 {
        let [one, other] = [direction(self), direction(other)];
        let chord = one.iter().zip(other).map(|(a, b)| (a - b) * (a - b)).sum::<f64>().sqrt();
        2.0 * EARTH_M * (chord / 2.0).min(1.0).asin()
    }

    /// The degrees that its longitude lies east of another place's, from -180 to 180.
    pub fn east_of_deg(self, other: Self) -> f64 {
        (self.lon_deg() - other.lon_deg() + 540.0).rem_euclid(360.0) - 180.0
    }
}

/// The place as a direction from the middle of the Earth, of length 1.
fn direction(at: Position) -> [f64; 3] {
    let (lon, lat) = (at.lon_deg().to_radians(), at.lat_deg().to_radians());
    [lat.cos() * lon.cos(), lat.cos() * lon.sin(), lat.sin()]
}

/// The place in the midst of many: where most of them are, however far off a few may lie. It is one of them.
pub fn midst(places: &[Position]) -> Option<Position> {
    let directions: Vec<[f64; 3]> = places.iter().map(|at| direction(*at)).collect();
    let median = |axis: usize| {
        let mut along: Vec<f64> = directions.iter().map(|direction| direction[axis]).collect();
        let half = along.len() / 2;
        (half < along.len()).then(|| *along.select_nth_unstable_by(half, f64::total_cmp).1)
    };
    let middle = [median(0)?, median(1)?, median(2)?];
    let off = |direction: &[f64; 3]| direction.iter().zip(middle).map(|(a, b)| (a - b) * (a - b)).sum::<f64>();
    let nearest = directions.iter().zip(places).min_by(|(one, _), (other, _)| off(one).total_cmp(&off(other)));
    nearest.map(|(_, at)| *at)
}

/// The middle of the rectangle around places, in degrees.
pub fn middle(places: &[Position]) -> Option<Position> {
    let first = *places.first()?;
    let around = |at: &Position| MapPoint::new(first.lon_deg() + at.east_of_deg(first), at.lat_deg());
    let centre = MapRect::around(places.iter().map(around))?.centre();
    let lon_deg = if centre.x_m.abs() > 180.0 { centre.x_m - 360.0 * centre.x_m.signum() } else { centre.x_m };
    Some(Position::from_degrees(lon_deg, centre.y_m))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(lon: f64, lat: f64) -> Position {
        Position::from_degrees(lon, lat)
    }

    #[test]
    fn arcs_are_as_long_as_the_sphere_says() {
        let degree_m = EARTH_M.to_radians();
        let cases = [
            (at(0.0, 0.0), at(1.0, 0.0), degree_m),
            (at(179.5, 0.0), at(-179.5, 0.0), degree_m),
            (at(0.0, 60.0), at(180.0, 60.0), 60.0 * degree_m),
            (at(10.0, -90.0), at(-70.0, 90.0), 180.0 * degree_m),
            (at(-3.8, 56.6), at(-3.8, 56.6), 0.0),
        ];
        for (one, other, metres) in cases {
            assert!((one.arc_m(other) - metres).abs() < 1e-3, "{one:?} {other:?}: {}", one.arc_m(other));
        }
    }

    #[test]
    fn the_midst_is_where_most_places_are() {
        let near = [at(179.99, -17.0), at(-179.99, -17.0), at(179.98, -17.01)];
        assert!(near.contains(&midst(&[near[0], at(0.0, 0.0), near[1], near[2], at(-17.0, 80.0)]).expect("a place")));
        assert_eq!(midst(&[at(1.0, 2.0)]), Some(at(1.0, 2.0)));
        assert_eq!(midst(&[]), None);
    }

    #[test]
    fn the_middle_lies_between_places_on_both_sides_of_the_date_line() {
        for (places, expected) in [
            (vec![at(1.0, 2.0), at(3.0, 6.0)], at(2.0, 4.0)),
            (vec![at(179.0, -17.0), at(-177.0, -17.0)], at(-179.0, -17.0)),
            (vec![at(-179.0, -17.0), at(177.0, -17.0)], at(179.0, -17.0)),
        ] {
            assert_eq!(middle(&places), Some(expected));
        }
    }
}
