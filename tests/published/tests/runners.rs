//! Animals that run down: closed forms, conservation, and the hillside on which the model was tried with an independent prototype
//! (`runner-model`; lines of equal height are simplified there in another way, hence tolerances of some per cent). Ground outside the
//! project is read where HILLWIRE_GROUND names its folder. The model itself has never been held against a field.

use hillwire_core::job::Job;
use hillwire_core::land::{
    Contour, Crossing, Filled, GridFile, Ground, Habits, MapPoint, Runners, WorkingGrid, chance_of_striking, contours, read_grid,
    stopping_m,
};
use hillwire_core::site::scale;
use hillwire_core::units::Length;
use std::path::PathBuf;
use std::sync::Arc;

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
    // Nine tenths of flights of 200 m end within 460 m: some 100 m of fence see up to 5 ha.
    assert!((2.0..6.0).contains(&hectares), "{hectares}");
    assert!((100.0..250.0).contains(&hillside.way.as_metres()), "{:?}", hillside.way);
    let above = hillside.cells.iter().all(|cell| runners.grid().centre_of(*cell).y_m > -455.0);
    assert!(above, "nobody runs up");
    let below = [(MapPoint::new(150.0, 100.0), MapPoint::new(250.0, 100.0))];
    assert_eq!(runners.hillside_above(&below, |_| 0.01), None);
}

#[test]
fn seven_strikes_where_two_were_expected_speak_for_two_and_two_thirds() {
    // Gamma(8, 3): mean 8/3; 5 % and 95 % points 1.327 and 4.383 by tables of chi-squared with 16 degrees of freedom (7.962, 26.296) over 6.
    let found = scale(7, 2.0);
    assert!((found.mean - 8.0 / 3.0).abs() < 1e-12);
    assert!((found.between.0 - 7.962 / 6.0).abs() < 1e-3 && (found.between.1 - 26.296 / 6.0).abs() < 1e-3, "{found:?}");
    let nothing = scale(0, 0.0);
    assert!((nothing.mean - 1.0).abs() < 1e-12, "without a log the model stands");
}

/// Crossings, strikes and length of the longest line of equal height.
struct AlongContour {
    runners: f64,
    strikes: f64,
    length_m: f64,
}

impl AlongContour {
    fn per_km(&self) -> f64 {
        1000.0 * self.strikes / self.length_m
    }
}

fn hillside() -> Option<(Ground, WorkingGrid)> {
    let path = PathBuf::from(std::env::var_os("HILLWIRE_GROUND")?).join("cascades10m_wa.tif");
    let bytes = std::fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let grid = read_grid(&GridFile { name: "cascades10m_wa.tif", bytes: &bytes, prj: None }, &Job::new()).expect("readable");
    let cells = WorkingGrid::from_heights(
        grid.columns,
        Length::metres(10.0),
        MapPoint::new(0.0, 0.0),
        grid.heights_m.iter().map(|height| f64::from(*height)).collect(),
    );
    let frame = Ground::frame_of(&grid).expect("placed");
    Some((Ground::new(Arc::new(grid), frame).expect("placed"), cells))
}

/// The `nth` longest line of a height.
fn along(runners: &Runners, ground: &Ground, level_m: f64, nth: usize) -> AlongContour {
    let lines = contours(ground.grid(), 50.0, &Job::new()).expect("lines");
    let on_map = |line: Contour| {
        let first = line.points.first().filter(|_| line.closed).copied();
        line.points.into_iter().chain(first).map(|(column, row)| runners.grid().to_map(column, row)).collect()
    };
    let of_level = lines.into_iter().filter(|line| (line.level_m - level_m).abs() < 1e-6);
    let mut lines: Vec<Vec<MapPoint>> = of_level.map(on_map).collect();
    let length_m = |line: &[MapPoint]| line.windows(2).map(|piece| piece[0].distance_m(piece[1])).sum::<f64>();
    lines.sort_by(|a, b| length_m(b).total_cmp(&length_m(a)));
    let crossed = across(runners, &lines[nth]);
    AlongContour {
        runners: crossed.iter().map(|one| one.runners).sum(),
        strikes: crossed.iter().map(|one| one.strikes).sum(),
        length_m: length_m(&lines[nth]),
    }
}

#[test]
fn the_gullied_hillside_gets_the_strikes_of_the_prototype() {
    let Some((ground, cells)) = hillside() else { return };
    let runners_of = |habits| runners(cells.clone(), habits, 0.01);
    let usual = runners_of(Habits::USUAL);
    // Crossings in a year of one start per hectare, strikes in a year, per kilometre.
    for (level_m, nth, passing, strikes, per_km) in
        [(400.0, 0, 12.5, 10.0, 9.69), (300.0, 0, 14.4, 7.61, 7.11), (250.0, 0, 12.2, 10.2, 11.22)]
    {
        let found = along(&usual, &ground, level_m, nth);
        assert!((found.runners / passing - 1.0).abs() < 0.02, "{level_m}: {} runners", found.runners);
        assert!((found.strikes / strikes - 1.0).abs() < 0.05, "{level_m}: {} strikes", found.strikes);
        assert!((found.per_km() / per_km - 1.0).abs() < 0.07, "{level_m}: {} per km", found.per_km());
    }
    let (shoulder, foot) = (along(&usual, &ground, 550.0, 1), along(&usual, &ground, 250.0, 0));
    assert!((shoulder.runners - 1.17).abs() < 0.02 && foot.per_km() > 5.0 * shoulder.per_km(), "{}", shoulder.per_km());
    // What is not known moves counts by a factor, as the prototype found, and leaves the foot far above the shoulder.
    for (habits, expected) in [
        (Habits { way_power: 1.1, ..Habits::USUAL }, 9.12),
        (Habits { way_power: 10.0, ..Habits::USUAL }, 12.1),
        (Habits { flight_m: 100.0, ..Habits::USUAL }, 6.67),
        (Habits { flight_m: 400.0, ..Habits::USUAL }, 17.7),
        (Habits { grip: 0.8, ..Habits::USUAL }, 8.35),
        (Habits { most_m_per_s: 6.0, ..Habits::USUAL }, 10.3),
    ] {
        let changed = runners_of(habits);
        let per_km = along(&changed, &ground, 250.0, 0).per_km();
        // The line is 4 % longer here than the prototype's simplified one, and cuts other corners of the gullies.
        assert!((per_km / expected - 1.0).abs() < 0.1, "{habits:?}: {per_km} for {expected}");
        assert!(per_km > 5.0 * along(&changed, &ground, 550.0, 1).per_km());
    }
}
