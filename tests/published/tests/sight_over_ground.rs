//! What is seen from where, on grids whose answer is known by reckoning: closed forms (a wall hides what lies behind it, a paraboloid what lies
//! beyond its tangent), and rays in a hundred small steps a cell.
//!
//! By: closed form.

use hillwire_core::land::{Cover, INTO_WOOD, MapPoint, RayEnd, SightGround, WorkingGrid};
use hillwire_core::units::Length;
use proptest::prelude::*;

fn grid(columns: usize, rows: usize, cell_m: f64, height_m: impl Fn(usize, usize) -> f64) -> WorkingGrid {
    let heights_m = (0..columns * rows).map(|k| height_m(k % columns, k / columns)).collect();
    WorkingGrid::from_heights(columns, Length::metres(cell_m), MapPoint::new(0.0, 0.0), heights_m)
}

/// So far above the ground of a cell.
fn above(ground: &SightGround, (column, row): (usize, usize), by_m: f64) -> Option<RayEnd> {
    let height_m = ground.grid().height_m(column, row)? + by_m;
    Some(RayEnd { column: column as f64, row: row as f64, height_m })
}

/// The cells that are seen in summer from an eye so far above a cell, at so far above each of them.
fn seen_cells(ground: &SightGround, eye: (usize, usize), eye_m: f64, target_m: f64) -> Vec<(usize, usize)> {
    let from = above(ground, eye, eye_m).expect("known");
    let all = (0..ground.grid().rows()).flat_map(|row| (0..ground.grid().columns()).map(move |column| (column, row)));
    let is_seen =
        |cell: &(usize, usize)| above(ground, *cell, target_m).is_some_and(|to| ground.sees(from, to, INTO_WOOD).summer);
    all.filter(is_seen).collect()
}

#[test]
fn a_wall_hides_the_columns_behind_it_as_far_as_the_eye_is_high() {
    // Eye 2 m at column 20, a wall of 1 m at column 25: its shadow on flat ground ends at column 30.
    let ground = SightGround::bare(grid(41, 41, 1.0, |column, _| if column == 25 { 1.0 } else { 0.0 }));
    let seen = seen_cells(&ground, (20, 20), 2.0, 0.0);
    let hidden: Vec<usize> = (0..41 * 41).filter(|k| !seen.contains(&(k % 41, k / 41))).map(|k| k % 41).collect();
    assert_eq!(hidden.len(), 164);
    assert!(hidden.iter().all(|column| (26..=29).contains(column)), "{hidden:?}");
    // A wall higher than the eye hides everything behind it.
    let ground = SightGround::bare(grid(41, 41, 1.0, |column, _| if column == 30 { 2.0 } else { 0.0 }));
    assert_eq!(seen_cells(&ground, (20, 20), 1.6, 0.0).len(), 1271);
}

#[test]
fn a_round_hill_is_seen_as_far_as_its_tangent() {
    // z = -0.01 d2, the eye 1 m above the top: the tangent touches at d = sqrt(1 / 0.01) = 10.
    let off = |column: usize, row: usize| (column as f64 - 20.0).powi(2) + (row as f64 - 20.0).powi(2);
    let ground = SightGround::bare(grid(41, 41, 1.0, |column, row| -0.01 * off(column, row)));
    let seen = seen_cells(&ground, (20, 20), 1.0, 0.0);
    let within = |reach: f64| seen.iter().filter(|(column, row)| off(*column, *row) <= reach * reach).count();
    assert_eq!(within(10.0), 317);
    assert_eq!(seen.iter().filter(|(column, row)| off(*column, *row) >= 121.0).count(), 0);
}

#[test]
fn a_hedge_hides_what_lies_behind_it_and_is_no_wider_than_its_cells() {
    let hedge = |covered: Cover| {
        let mut ground = SightGround::bare(grid(41, 41, 1.0, |_, _| 0.0));
        let cells: Vec<usize> = (0..41).flat_map(|row| [22, 23].map(|column| ground.grid().index(column, row))).collect();
        ground.cover(covered, cells);
        seen_cells(&ground, (20, 20), 1.6, 0.0)
    };
    let solid = hedge(Cover { summer_m: 3.0, leaf_off_m: 3.0, is_wood: false });
    assert_eq!(solid.iter().filter(|(column, _)| *column <= 21).count(), 902);
    assert_eq!(solid.iter().filter(|(column, _)| *column >= 24).count(), 0);
    let bare_in_winter = hedge(Cover { summer_m: 0.0, leaf_off_m: 3.0, is_wood: false });
    assert_eq!(bare_in_winter.len(), 41 * 41, "what stands in summer decides");
}

#[test]
fn into_woodland_one_sees_as_far_as_half_of_it_is_made_out() {
    // A wood of 100 m; the eye at its edge, the target at the middle of a cell inside it: exp(-d ln 2 / 30) > 0.5 while d < 30.
    let mut ground = SightGround::bare(grid(201, 3, 1.0, |_, _| 0.0));
    let wood: Vec<usize> = (100..200).map(|column| ground.grid().index(column, 1)).collect();
    ground.cover(Cover { summer_m: 0.0, leaf_off_m: 0.0, is_wood: true }, wood);
    let from = RayEnd { column: 80.0, row: 1.0, height_m: 1.6 };
    for (column, summer, leaf_off) in
        [(99, true, true), (128, true, true), (131, false, true), (158, false, true), (161, false, false)]
    {
        let seen = ground.sees(from, RayEnd { column: f64::from(column), row: 1.0, height_m: 1.0 }, INTO_WOOD);
        assert_eq!((seen.summer, seen.leaf_off), (summer, leaf_off), "column {column}");
    }
}

#[test]
fn beyond_two_kilometres_the_earth_stands_in_between() {
    // A ridge half-way whose crest lies between the straight ray and the ray over a curved Earth: 0.87 * 5000^2 / (2 * 6371000) = 1.707 m.
    for (distance_m, crest_m, is_seen) in [(10_000.0, 1.6, false), (10_000.0, 0.2, true), (1_900.0, 1.99, true)] {
        let cells = 201;
        let spacing_m = distance_m / 200.0;
        let ground = SightGround::bare(grid(cells, 3, spacing_m, |column, _| if column == 100 { crest_m } else { 0.0 }));
        let [from, to] = [0.0, 200.0].map(|column| RayEnd { column, row: 1.0, height_m: 2.0 });
        assert_eq!(ground.sees(from, to, INTO_WOOD).summer, is_seen, "{distance_m} {crest_m}");
    }
}

/// Whether a ray over bare ground is free, by a height of the bilinear ground in every hundredth of a cell.
fn free_in_small_steps(ground: &SightGround, from: RayEnd, to: RayEnd) -> bool {
    let steps = ((to.column - from.column).hypot(to.row - from.row) * 100.0).ceil();
    (1..steps as usize).map(|step| step as f64 / steps).all(|share| {
        let between = |a: f64, b: f64| a + (b - a) * share;
        let at = ground.grid().to_map(between(from.column, to.column), between(from.row, to.row));
        ground.grid().elevation_m(at).is_none_or(|ground_m| ground_m <= between(from.height_m, to.height_m) + 1e-9)
    })
}

fn rough(seed: u64) -> WorkingGrid {
    let chance = |k: u64| {
        let mixed = (k ^ seed).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        ((mixed ^ (mixed >> 29)).wrapping_mul(0xbf58_476d_1ce4_e5b9) >> 40) as f64 / f64::from(1 << 24)
    };
    grid(30, 30, 1.0, |column, row| {
        let wave = 3.0 * (column as f64 / 5.0).sin() + 2.0 * (row as f64 / 4.0).cos();
        wave + 1.2 * chance((row * 30 + column) as u64)
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn who_sees_is_seen_at_equal_heights(seed in 0_u64..1_000_000, pairs in prop::collection::vec((0_usize..900, 0_usize..900), 20)) {
        let ground = SightGround::bare(rough(seed));
        for (one, other) in pairs {
            let place = |k: usize| above(&ground, (k % 30, k / 30), 1.1).expect("known");
            let (there, back) = (ground.sees(place(one), place(other), INTO_WOOD), ground.sees(place(other), place(one), INTO_WOOD));
            prop_assert_eq!(there, back, "{} {}", one, other);
        }
    }

    /// By: every way tried.
    #[test]
    fn crossings_say_what_a_hundred_steps_a_cell_say(seed in 0_u64..1_000_000) {
        let ground = SightGround::bare(rough(seed));
        let (mut alike, mut all) = (0, 0);
        for k in 0..200_usize {
            let (one, other) = ((k * 37 + 5) % 900, (k * 101 + 77) % 900);
            let [from, to] = [(one, 1.6), (other, 1.1)].map(|(k, by_m)| above(&ground, (k % 30, k / 30), by_m).expect("known"));
            all += 1;
            alike += usize::from(ground.sees(from, to, INTO_WOOD).summer == free_in_small_steps(&ground, from, to));
        }
        // Inside a cell bilinear ground may bulge above both crossings: a few rays in a hundred graze it.
        prop_assert!(alike * 100 >= all * 96, "{} of {}", alike, all);
    }
}
