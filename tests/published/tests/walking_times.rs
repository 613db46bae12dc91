//! How long it takes on foot: the rules themselves at printed values, planes whose answer is known, SciPy's shortest ways over real ground,
//! and every way by brute force on small rough grids.
//!
//! Sources: `tobler-1993` and `naismith-langmuir` (values reckoned from the rules as remembered), `scipy` (fixtures/make_walk_reference.py).
//!
//! By: closed form.

use hillwire_core::job::Job;
use hillwire_core::land::{
    GridFile, MOVES, MapPoint, Pace, WalkGround, Way, WorkingGrid, naismith_langmuir_s, read_grid, tobler_km_per_h,
};
use hillwire_core::units::Length;
use proptest::prelude::*;

const JACKSBORO: &[u8] = include_bytes!("../fixtures/ground/jacksboro90m_tn.asc");
const PRJ: &str = include_str!("../fixtures/ground/jacksboro90m_tn.prj");
const WALK: &str = include_str!("../fixtures/ground/jacksboro_walk.csv");

fn grid(columns: usize, rows: usize, cell_m: f64, height_m: impl Fn(usize, usize) -> f64) -> WorkingGrid {
    let heights_m = (0..columns * rows).map(|k| height_m(k % columns, k / columns)).collect();
    WorkingGrid::from_heights(columns, Length::metres(cell_m), MapPoint::new(0.0, 0.0), heights_m)
}

/// By: tobler-1993.
#[test]
fn toblers_function_gives_its_printed_speeds() {
    for (slope, km_per_h) in [(0.0, 5.0367), (-0.05, 6.0), (0.1, 3.5493), (0.3, 1.7625), (0.5, 0.8753)] {
        assert!((tobler_km_per_h(slope) - km_per_h).abs() < 1e-4, "{slope}");
    }
    let flat_km_per_h = 3.6 * 100.0 / Pace::OffPath.seconds(100.0, 0.0).expect("flat");
    assert!((flat_km_per_h - 3.0220).abs() < 1e-4, "{flat_km_per_h}");
}

/// By: naismith-langmuir.
#[test]
fn naismiths_rule_with_langmuirs_corrections_gives_its_printed_times() {
    for (climb_m, minutes) in [(0.0, 12.0), (200.0, 32.0), (-150.0, 7.0), (-300.0, 22.0)] {
        assert!((naismith_langmuir_s(1000.0, climb_m) / 60.0 - minutes).abs() < 0.01, "{climb_m}");
    }
}

#[test]
fn along_a_step_the_time_on_a_plane_is_that_of_the_rule_and_between_two_steps_little_more() {
    // A plane that rises 20 % to the east, walked from its middle.
    let (rise, cell_m) = (0.2, 10.0);
    let plane = grid(41, 41, cell_m, |column, _| rise * cell_m * column as f64);
    let start = plane.index(20, 20);
    for (pace, way) in
        [(Pace::OffPath, Way::There), (Pace::OffPath, Way::Back), (Pace::ByClimb, Way::There), (Pace::OnPath, Way::Back)]
    {
        let times = WalkGround::open(&plane).times(&[(start, 0.0)], pace, way);
        for (columns, rows) in MOVES {
            let (east, south) = (8 * columns, 8 * rows);
            let cell = plane.index((20 + east) as usize, (20 + south) as usize);
            let climb_m = rise * cell_m * east as f64 * if way == Way::There { 1.0 } else { -1.0 };
            let expected_s = pace.seconds(cell_m * (east as f64).hypot(south as f64), climb_m).expect("walked");
            // Where a zigzag is quicker than straight up or down, the way found may be shorter in time, never longer.
            assert!(times[cell] <= expected_s + 1e-9, "{pace:?} {way:?} {columns} {rows}: {} {expected_s}", times[cell]);
        }
    }
    let flat = grid(41, 41, cell_m, |_, _| 5.0);
    let times = WalkGround::open(&flat).times(&[(start, 0.0)], Pace::OffPath, Way::There);
    for column in 0..41 {
        for row in 0..41 {
            let straight_m = cell_m * (column as f64 - 20.0).hypot(row as f64 - 20.0);
            let straight_s = Pace::OffPath.seconds(straight_m, 0.0).expect("flat");
            let found_s = times[flat.index(column, row)];
            // 2.79 %: the worst of sixteen directions, 1 / cos(atan(1/2) / 2) at 13.28 degrees off the nearer step.
            assert!(found_s >= straight_s - 1e-9 && found_s <= straight_s * 1.0280, "{column} {row}: {found_s} {straight_s}");
        }
    }
}

#[test]
fn nobody_walks_over_what_is_barred_nor_up_a_cliff_nor_over_unknown_ground() {
    let barred = |ground: &WorkingGrid, bar: Option<[(f64, f64); 2]>| {
        let mut walk = WalkGround::open(ground);
        if let Some([from, to]) = bar {
            walk.bar(ground.to_map(from.0, from.1), ground.to_map(to.0, to.1));
        }
        walk.times(&[(ground.index(2, 5), 0.0)], Pace::OffPath, Way::There)
    };
    let flat = grid(11, 11, 10.0, |_, _| 0.0);
    let there = flat.index(8, 5);
    let straight_s = Pace::OffPath.seconds(60.0, 0.0).expect("flat");
    assert!((barred(&flat, None)[there] - straight_s).abs() < 1e-9);
    // From edge to edge a stream lets nobody across; with a gap at the end one walks round.
    assert!(barred(&flat, Some([(5.5, -1.0), (5.5, 11.0)]))[there].is_infinite());
    let round_s = barred(&flat, Some([(5.5, -1.0), (5.5, 8.2)]))[there];
    let by_hand_s = Pace::OffPath.seconds(10.0 * 2.0 * (3.0_f64.hypot(3.5)), 0.0).expect("flat");
    assert!(round_s > by_hand_s && round_s < 1.15 * by_hand_s, "{round_s} {by_hand_s}");
    let cliff = grid(11, 11, 10.0, |column, _| if column > 5 { 45.0 } else { 0.0 });
    assert!(barred(&cliff, None)[cliff.index(8, 5)].is_infinite(), "45 m up within two cells at most is no walk");
    let void = grid(11, 11, 10.0, |column, _| if (4..=6).contains(&column) { f64::NAN } else { 0.0 });
    assert!(barred(&void, None)[there].is_infinite());
}

/// By: program SciPy 1.17.
#[test]
fn shortest_ways_over_real_ground_take_as_long_as_scipys() {
    const SIDE: usize = 60;
    let read =
        read_grid(&GridFile { name: "jacksboro90m_tn.asc", bytes: &JACKSBORO, prj: Some(PRJ) }, &Job::new()).expect("a grid");
    let ground = grid(SIDE, SIDE, 40.0, |column, row| read.height_m(column, row).expect("known"));
    let starts = [(ground.index(7, 5), 0.0), (ground.index(22, 50), 0.0), (ground.index(55, 30), 90.0)];
    let walk = WalkGround::open(&ground);
    let found =
        [(Pace::OffPath, Way::There), (Pace::OffPath, Way::Back), (Pace::ByClimb, Way::There), (Pace::ByClimb, Way::Back)]
            .map(|(pace, way)| walk.times(&starts, pace, way));
    let mut rows = csv::Reader::from_reader(WALK.as_bytes());
    let mut count = 0;
    for record in rows.records() {
        let numbers: Vec<f64> = record.expect("a row").iter().map(|text| text.parse().expect("a number")).collect();
        let cell = ground.index(numbers[1] as usize, numbers[0] as usize);
        for (times, expected_s) in found.iter().zip(&numbers[2..]) {
            let is_same = times[cell].is_infinite() && expected_s.is_infinite() || (times[cell] - expected_s).abs() < 1e-5;
            assert!(is_same, "{numbers:?}: {}", times[cell]);
        }
        count += 1;
    }
    assert_eq!(count, 80);
}

/// The same times by trying every step until nothing gets quicker.
fn by_brute_force(ground: &WorkingGrid, starts: &[(usize, f64)], way: Way) -> Vec<f64> {
    let mut times = vec![f64::INFINITY; ground.heights_m().len()];
    starts.iter().for_each(|(cell, spent_s)| times[*cell] = spent_s.min(times[*cell]));
    loop {
        let before = times.clone();
        for cell in 0..times.len() {
            let (column, row) = ground.place(cell);
            for (columns, rows) in MOVES {
                let next = column.checked_add_signed(columns).zip(row.checked_add_signed(rows));
                let Some((column, row)) = next.filter(|next| ground.height_m(next.0, next.1).is_some()) else { continue };
                let next = ground.index(column, row);
                let climb_m = ground.heights_m()[next] - ground.heights_m()[cell];
                let climb_m = if way == Way::There { climb_m } else { -climb_m };
                let run_m = (columns as f64).hypot(rows as f64) * ground.spacing().as_metres();
                if let Some(step_s) = Pace::OffPath.seconds(run_m, climb_m) {
                    times[next] = times[next].min(times[cell] + step_s);
                }
            }
        }
        if times == before {
            return times;
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// By: every way tried.
    #[test]
    fn no_way_is_quicker_than_the_one_found(
        heights in prop::collection::vec(0.0..14.0_f64, 120),
        starts in prop::collection::vec((0_usize..120, 0.0..60.0_f64), 1..4),
    ) {
        let ground = grid(12, 10, 10.0, |column, row| heights[row * 12 + column]);
        for way in [Way::There, Way::Back] {
            let found = WalkGround::open(&ground).times(&starts, Pace::OffPath, way);
            let expected = by_brute_force(&ground, &starts, way);
            for (found, expected) in found.iter().zip(&expected) {
                prop_assert!(found.is_infinite() && expected.is_infinite() || (found - expected).abs() < 1e-9, "{} {}", found, expected);
            }
        }
    }
}
