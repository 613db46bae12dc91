//! Single windows of nine heights: slope, azimuth and light (Horn 1981), bending (Zevenbergen and Thorne 1987), ground area (Jenness 2004).
//! Horn's two windows are the worked examples that textbooks print for his method; their values follow from its equations.
//!
//! By: horn-1981.

use hillwire_core::land::{Crs, CrsKind, Frame, Georeference, Gradient, Grid, Ground, Position, Quadratic, Sun, hillshade};
use std::sync::Arc;

fn window(heights_m: [f32; 9], cell_m: f64) -> Gradient {
    let crs = Crs { definition: "EPSG:32633".to_owned(), kind: CrsKind::Projected { metres_per_unit: 1.0 } };
    let georeference = Georeference { origin: (5e5, 5e6), per_column: (cell_m, 0.0), per_row: (0.0, -cell_m), crs };
    let grid = Grid { columns: 3, rows: 3, georeference, heights_m: heights_m.to_vec(), notes: vec![] };
    grid.cell_gradient(1, 1).expect("an inner cell with all neighbours")
}

#[test]
fn worked_windows_have_their_printed_slope_and_azimuth() {
    let rows = [
        ([50.0, 45.0, 50.0, 30.0, 30.0, 30.0, 8.0, 10.0, 10.0], 3.800_329, 180.7538),
        ([101.0, 92.0, 85.0, 101.0, 92.0, 85.0, 101.0, 91.0, 84.0], 1.626_730, 92.6425),
    ];
    for (heights, slope, azimuth_deg) in rows {
        let found = window(heights, 5.0);
        assert!((found.slope() - slope).abs() < 0.5e-6, "{} for {slope}", found.slope());
        let azimuth = found.downhill_azimuth_deg().expect("not flat");
        assert!((azimuth - azimuth_deg).abs() < 0.5e-4, "{azimuth} for {azimuth_deg}");
    }
}

/// A surface of the second degree has its own terms back exactly: z = 100 + 3x - 2y - x2/2 - y2/4 + xy/10, by algebra.
/// By: zevenbergen-thorne-1987.
#[test]
fn a_surface_of_the_second_degree_has_its_slope_and_bending_back() {
    let bend = Quadratic::of(&[94.15, 97.75, 100.35, 96.5, 100.0, 102.5, 98.35, 101.75, 104.15], 1.0);
    let expected = [
        ("D", bend.d_per_m, -0.5),
        ("E", bend.e_per_m, -0.25),
        ("F", bend.f_per_m, 0.1),
        ("G", bend.gradient.east, 3.0),
        ("H", bend.gradient.north, -2.0),
        ("slope", bend.gradient.slope(), 3.605_551_3),
        ("along the slope", bend.profile_per_m().expect("not level"), -0.938_461_5),
        ("across the slope", bend.plan_per_m().expect("not level"), 0.561_538_5),
    ];
    for (name, found, expected) in expected {
        assert!((found - expected).abs() < 1e-7, "{name}: {found} for {expected}");
    }
    let level = Quadratic::of(&[5.0; 9], 1.0);
    assert_eq!((level.profile_per_m(), level.plan_per_m()), (None, None));
}

/// The area of one cell after Jenness: eight triangles to the neighbours' centres. His window, which he prints as about 10,280 m2 from
/// rounded edges; the digits are an independent program's. On a plane the closed form, sqrt(1 + slope2).
/// By: jenness-2004.
#[test]
fn one_cell_has_the_ground_area_of_eight_triangles() {
    let frame = Frame::near(Position::from_degrees(15.0, 46.0));
    let crs = Crs { definition: frame.definition(), kind: CrsKind::Projected { metres_per_unit: 1.0 } };
    let rows = [
        (100.0, [190.0, 170.0, 155.0, 183.0, 165.0, 145.0, 175.0, 160.0, 122.0], 10_280.771_292),
        (2.0, [6.0, 7.0, 8.0, 6.0, 7.0, 8.0, 6.0, 7.0, 8.0], 4.0 * 1.118_033_989),
    ];
    for (cell_m, heights_m, expected_m2) in rows {
        let georeference =
            Georeference { origin: (-cell_m, cell_m), per_column: (cell_m, 0.0), per_row: (0.0, -cell_m), crs: crs.clone() };
        let grid = Grid { columns: 3, rows: 3, georeference, heights_m: heights_m.to_vec(), notes: vec![] };
        let ground = Ground::new(Arc::new(grid), frame).expect("in its own frame");
        let ring = [(0.5, 0.5), (1.5, 0.5), (1.5, 1.5), (0.5, 1.5)].map(|(column, row)| ground.to_map(column, row));
        let found_m2 = ground.surface_area(&ring).expect("known").as_square_metres();
        assert!((found_m2 - expected_m2).abs() < 1e-9 * expected_m2, "{found_m2} for {expected_m2}");
    }
}

#[test]
fn the_worked_slope_is_lit_as_printed() {
    let light = hillshade(Gradient { east: 3.125, north: 0.525 }, Sun::NORTH_WEST);
    // The closed form, (1 - 3.125 sin 315 - 0.525 cos 315 ...) / sqrt(1 + p^2 + q^2), by hand:
    // (0.70711 + 0.5 * 3.125 - 0.5 * 0.525) / 3.32274 = 0.6040.
    assert!((light - 0.6040).abs() < 0.5e-4, "{light}");
}

/// The error of Horn's slope from independent errors s of the heights: s sqrt(12) / (8 d), since the squares of its
/// weights add up to 12.
/// By: closed form.
#[test]
fn noise_in_the_heights_gives_the_expected_noise_in_the_slope() {
    const SIDE: usize = 400;
    let mut state = 0x2545_F491_4F6C_DD1D_u64;
    let mut even = move || {
        // Marsaglia's xorshift, 53 bits.
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let mut normal = move || (-2.0 * (1.0 - even()).ln()).sqrt() * (std::f64::consts::TAU * even()).cos();
    let crs = Crs { definition: "EPSG:32633".to_owned(), kind: CrsKind::Projected { metres_per_unit: 1.0 } };
    let georeference = Georeference { origin: (5e5, 5e6), per_column: (1.0, 0.0), per_row: (0.0, -1.0), crs };
    let heights_m = (0..SIDE * SIDE).map(|_| (100.0 + 0.1 * normal()) as f32).collect();
    let grid = Grid { columns: SIDE, rows: SIDE, georeference, heights_m, notes: vec![] };
    let inner = || (1..SIDE - 1).flat_map(|row| (1..SIDE - 1).map(move |column| (column, row)));
    let gradients: Vec<_> = inner().map(|(column, row)| grid.cell_gradient(column, row).expect("inner")).collect();
    let spread = |value: &dyn Fn(&Gradient) -> f64| {
        (gradients.iter().map(|gradient| value(gradient).powi(2)).sum::<f64>() / gradients.len() as f64).sqrt()
    };
    let expected = 0.1 * 12.0_f64.sqrt() / 8.0;
    for found in [spread(&|gradient| gradient.east), spread(&|gradient| gradient.north)] {
        assert!((found / expected - 1.0).abs() < 0.03, "{found} for {expected}");
    }
}
