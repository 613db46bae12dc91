//! The hillside on which the model of animals that run down was tried with an independent prototype (`runner-model`; lines of equal height are
//! simplified there in another way, hence tolerances of some per cent).

use hillwire_core::job::Job;
use hillwire_core::land::{
    Contour, Crossing, Filled, GridFile, Ground, Habits, MapPoint, Runners, WorkingGrid, contours, read_grid,
};
use hillwire_core::units::Length;
use std::sync::Arc;
use tests_published::further_ground;

fn runners(grid: WorkingGrid, habits: Habits, starts: f64) -> Runners {
    let filled = Filled::falling(&grid);
    Runners::of(grid, filled, habits, |_| starts)
}

fn across(runners: &Runners, line: &[MapPoint]) -> Vec<Crossing> {
    line.windows(2).flat_map(|piece| runners.across(piece[0], piece[1])).collect()
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
    let path = further_ground("cascades10m_wa.tif")?;
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
