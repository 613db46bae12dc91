//! Other courses for a line: the closed forms of a fence beside a track.
//!
//! By: closed form.

use hillwire_core::land::MapPoint;
use hillwire_core::reroute::{join, moved_aside};
use std::f64::consts::TAU;

#[test]
fn along_a_track_at_half_the_price_the_way_joins_it_at_the_angle_of_the_closed_form() {
    // From 20 m beside it, 100 m along: 2 D sqrt(1 - a^2) + a X, entered at D a / sqrt(1 - a^2).
    let places = 1001;
    let at = |nth: usize| nth as f64 * 0.1;
    let to: Vec<f64> = (0..places).map(|nth| at(nth).hypot(20.0)).collect();
    let from: Vec<f64> = (0..places).map(|nth| (100.0 - at(nth)).hypot(20.0)).collect();
    let along: Vec<f64> = (0..places).map(|nth| 0.5 * at(nth)).collect();
    let joined = join(&to, &along, &from).expect("there is a way");
    assert!((joined.cost - 84.641_016).abs() < 1e-3, "{}", joined.cost);
    assert!((at(joined.enter) - 11.547).abs() < 0.06, "to the next of the places: {}", at(joined.enter));
    assert!((100.0 - at(joined.leave) - 11.547).abs() < 0.06, "{}", at(joined.leave));
    // Every pair, one by one.
    let pairs = (0..places).flat_map(|enter| (enter..places).map(move |leave| (enter, leave)));
    let least = pairs.map(|(enter, leave)| to[enter] + along[leave] - along[enter] + from[leave]).fold(f64::INFINITY, f64::min);
    assert!((joined.cost - least).abs() < 1e-12);
}

#[test]
fn a_fence_around_a_round_track_is_longer_by_the_turn_of_its_distance() {
    let ring = |count: usize| -> Vec<MapPoint> {
        (0..=count)
            .map(|nth| TAU * nth as f64 / count as f64)
            .map(|turn| MapPoint::new(50.0 * turn.cos(), 50.0 * turn.sin()))
            .collect()
    };
    // Drawn anticlockwise, the outside is on its right. 2 pi 53 outside, 2 pi 47 inside.
    for (by_m, expected) in [(-3.0, 333.0088), (3.0, 295.3097)] {
        let moved = moved_aside(&ring(720), by_m);
        let length_m: f64 = moved.windows(2).map(|leg| leg[0].distance_m(leg[1])).sum();
        assert!((length_m / expected - 1.0).abs() < 1e-3, "{by_m}: {length_m}");
    }
    // A square corner: outside a quarter of a circle more, inside both legs shorter.
    let corner = [(0.0, 0.0), (40.0, 0.0), (40.0, 40.0)].map(|(x, y)| MapPoint::new(x, y));
    for (by_m, expected, tolerance) in [(-3.0, 80.0 + TAU * 3.0 / 4.0, 0.02), (3.0, 74.0, 1e-9)] {
        let length_m: f64 = moved_aside(&corner, by_m).windows(2).map(|leg| leg[0].distance_m(leg[1])).sum();
        assert!((length_m - expected).abs() < tolerance, "{by_m}: {length_m}");
    }
}
