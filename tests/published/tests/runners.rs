//! Animals that run down: closed forms and conservation (`runner-model`). The model itself has never been held against a field.
//!
//! By: closed form.

use hillwire_core::land::{Crossing, Filled, Habits, MapPoint, Runners, WorkingGrid, chance_of_striking, stopping_m};
use hillwire_core::site::scale;
use hillwire_core::units::Length;

fn grid(columns: usize, cell_m: f64, heights_m: Vec<f64>) -> WorkingGrid {
    WorkingGrid::from_heights(columns, Length::metres(cell_m), MapPoint::new(0.0, 0.0), heights_m)
}

fn runners(grid: WorkingGrid, habits: Habits, starts: f64) -> Runners {
    let filled = Filled::falling(&grid);
    Runners::of(grid, filled, habits, |_| starts)
}

#[test]
fn stopping_ways_are_those_of_a_sliding_body() {
    // v^2 / (2 g (mu cos th - sin th)) by hand; on the flat v^2 / (2 g mu).
    let rows = [
        (6.0, 0.0, 0.6, 3.06),
        (6.0, 0.1, 0.6, 3.69),
        (6.0, 0.3, 0.6, 6.39),
        (6.0, 0.4, 0.6, 9.88),
        (6.0, 0.5, 0.6, 20.51),
        (8.0, 0.5, 0.6, 36.47),
        // Steeper than the grip holds: 0.3 m/s2 are left.
        (6.0, 0.8, 0.6, 60.0),
    ];
    for (speed, slope, grip, expected) in rows {
        let found = stopping_m(speed, slope, grip);
        assert!((found - expected).abs() < 0.01, "{speed} m/s on {slope}: {found}");
    }
    assert!((chance_of_striking(9.88, 8.0) - 0.709).abs() < 0.5e-3);
}

#[test]
fn on_an_even_hillside_the_runners_come_to_their_geometric_sum() {
    // One column of cells, so that there is one way down. Per metre of fence d (1 - e^(-L / l)) / (1 - e^(-d / l)).
    for (up_m, expected) in [(100.0, 79.0880), (400.0, 173.7990), (1000.0, 199.6473)] {
        let (d, above) = (2.0, up_m as usize / 2);
        let heights = (0..above + 20).map(|row| 1000.0 - 0.4 * d * row as f64).collect();
        let runners = runners(grid(1, d, heights), Habits::USUAL, d * d);
        let fence_y = -(above as f64 - 0.5) * d;
        let crossed = runners.across(MapPoint::new(-1.0, fence_y), MapPoint::new(1.0, fence_y));
        let per_metre = crossed.iter().map(|one| one.runners).sum::<f64>() / d;
        assert!((per_metre - expected).abs() < 1e-3, "{up_m}: {per_metre}");
        let closed = 200.0 * (1.0 - (-up_m / 200.0_f64).exp());
        assert!((per_metre / closed - 1.0).abs() < 0.0051, "the continuum is near: {closed}");
        assert!((crossed[0].approach_deg - 90.0).abs() < 1e-9);
    }
}

/// A ring of so many corners around the middle of a grid of 81 x 81 cells of 10 m.
fn ring(radius_cells: f64, corners: usize) -> Vec<MapPoint> {
    let corner = |k: usize| {
        let turn = std::f64::consts::TAU * (k % corners) as f64 / corners as f64;
        MapPoint::new(400.0 + 10.0 * radius_cells * turn.cos(), -400.0 + 10.0 * radius_cells * turn.sin())
    };
    (0..=corners).map(corner).collect()
}

fn across(runners: &Runners, line: &[MapPoint]) -> Vec<Crossing> {
    line.windows(2).flat_map(|piece| runners.across(piece[0], piece[1])).collect()
}

#[test]
fn around_a_cone_everyone_who_starts_inside_gets_out_once_when_no_flight_ends() {
    let height = |k: usize| 500.0 - ((k % 81) as f64 - 40.0).hypot((k / 81) as f64 - 40.0);
    let tireless = Habits { flight_m: f64::INFINITY, ..Habits::USUAL };
    let runners = runners(grid(81, 10.0, (0..81 * 81).map(height).collect()), tireless, 1.0);
    let out: f64 = across(&runners, &ring(20.3, 180)).iter().map(|one| one.runners).sum();
    let inside = (0..81 * 81).filter(|k| ((k % 81) as f64 - 40.0).hypot((k / 81) as f64 - 40.0) < 20.3).count();
    assert_eq!(inside, 1305, "counted");
    assert!((out - 1305.0).abs() < 1e-6, "{out}");
}

#[test]
fn the_hillside_of_a_piece_gives_all_that_crosses_it() {
    let height = |k: usize| 300.0 - 4.0 * (k / 41) as f64 - 0.02 * ((k % 41) as f64 - 20.0).powi(2);
    let runners = runners(grid(41, 10.0, (0..41 * 60).map(height).collect()), Habits::USUAL, 0.01);
    let fence = [(MapPoint::new(150.0, -455.0), MapPoint::new(250.0, -455.0))];
    let hillside = runners.hillside_above(&fence, |_| 0.01).expect("somebody comes");
    let hectares = hillside.area.as_hectares();
    // 100 m of fence see no farther than the 450 m of hillside above them: at most 4.5 ha where ways run side by side, more only where they
    // gather; the trough gathers from 400 m of width. The mean of ways with a chance of e^(-w / 200) over 450 m is
    // 200 - 450 / (e^2.25 - 1) = 147 m.
    assert!((2.25..=4.5).contains(&hectares), "{hectares}");
    assert!((hillside.way.as_metres() - 147.0).abs() < 30.0, "{:?}", hillside.way);
    let above = hillside.cells.iter().all(|cell| runners.grid().centre_of(*cell).y_m > -455.0);
    assert!(above, "nobody runs up");
    let below = [(MapPoint::new(150.0, 100.0), MapPoint::new(250.0, 100.0))];
    assert_eq!(runners.hillside_above(&below, |_| 0.01), None);
}

/// By: gamma-poisson.
#[test]
fn seven_strikes_where_two_were_expected_speak_for_two_and_two_thirds() {
    // Gamma(8, 3): mean 8/3; 5 % and 95 % points 1.327 and 4.383 by tables of chi-squared with 16 degrees of freedom (7.962, 26.296) over 6.
    let found = scale(7, 2.0);
    assert!((found.mean - 8.0 / 3.0).abs() < 1e-12);
    assert!((found.between.0 - 7.962 / 6.0).abs() < 1e-3 && (found.between.1 - 26.296 / 6.0).abs() < 1e-3, "{found:?}");
    let nothing = scale(0, 0.0);
    assert!((nothing.mean - 1.0).abs() < 1e-12, "without a log the model stands");
}
