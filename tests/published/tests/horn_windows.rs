//! Slope, azimuth and light of single windows of nine heights (Horn 1981). The two windows are the worked examples that
//! textbooks print for this method; their values were computed from its equations by an independent program.

use hillwire_core::land::{Crs, CrsKind, Georeference, Gradient, Grid, Sun, hillshade};

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

#[test]
fn the_worked_slope_is_lit_as_printed() {
    let light = hillshade(Gradient { east: 3.125, north: 0.525 }, Sun::NORTH_WEST);
    // The closed form, (1 - 3.125 sin 315 - 0.525 cos 315 ...) / sqrt(1 + p^2 + q^2), by hand:
    // (0.70711 + 0.5 * 3.125 - 0.5 * 0.525) / 3.32274 = 0.6040.
    assert!((light - 0.6040).abs() < 0.5e-4, "{light}");
}

/// The error of Horn's slope from independent errors s of the heights: s sqrt(12) / (8 d), since the squares of its
/// weights add up to 12.
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
