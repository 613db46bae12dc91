//! A typical holding against an independent prototype of the same method in another language, and the quick spectrum against the fine one: a second
//! method, not an outside value.

use hillwire_core::catalogue::Catalogue;
use hillwire_core::power::strands::PerMetre;
use hillwire_core::power::{Between, Circuit, Solved, Spectrum};
use tests_published::power_holding::{fourteen_gauge, holding, near, six_joules, unit};

#[test]
fn a_typical_holding_bites_as_the_prototype_found() {
    // Leak of a strand uS/km, kV at terminal, junction and end, kV and J in 500 ohm at the end.
    let rows = [
        (10.0, 8.06, 8.45, 8.71, 5.42, 3.88),
        (100.0, 7.87, 8.20, 8.44, 5.33, 3.63),
        (300.0, 7.479, 7.712, 7.887, 5.128, 3.167),
        (1000.0, 6.42, 6.42, 6.45, 4.54, 2.12),
        (3000.0, 4.89, 4.47, 4.36, 3.40, 0.949),
    ];
    let spectrum = Spectrum::fine();
    for (leak, terminal_kv, junction_kv, end_kv, loaded_kv, loaded_j) in rows {
        let (circuit, nodes) = holding(spectrum, six_joules(), leak * 1e-9);
        let solved = Solved::new(&circuit, spectrum);
        let peaks = nodes.map(|node| solved.open(Between::Ground(node)).peak().value / 1e3);
        let loaded = solved.loaded(Between::Ground(nodes[2]), 500.0);
        for (found, printed) in peaks.into_iter().zip([terminal_kv, junction_kv, end_kv]) {
            near(found, printed, 1e-2, &format!("{leak}"));
        }
        near(loaded.peak().value / 1e3, loaded_kv, 1e-2, &format!("{leak} loaded"));
        near(loaded.square_seconds() / 500.0, loaded_j, 1e-2, &format!("{leak} energy"));
    }
}

#[test]
fn a_shorted_fence_lifts_the_earth_as_the_prototype_found() {
    // Resistance of the earth, its rise in kV, energizer of 6 J.
    for (earth_ohm, kilovolts) in [(5.0, 0.165), (10.0, 0.323), (20.0, 0.620), (50.0, 1.388), (100.0, 2.367), (200.0, 3.671)] {
        near(six_joules().earth_test_v(earth_ohm, 100.0) / 1e3, kilovolts, 1e-2, &format!("{earth_ohm} ohm"));
    }
}

#[test]
fn on_real_wires_the_quick_spectrum_is_as_good_as_the_fine_one() {
    // Also of units whose pulse is longer than its window.
    for class in &Catalogue::built_in().energizers {
        for leak in [10.0, 300.0, 3000.0] {
            let of = |spectrum| {
                let (circuit, nodes) = holding(spectrum, unit(class.figures), leak * 1e-9);
                let solved = Solved::new(&circuit, spectrum);
                let at_animal = solved.loaded(Between::Ground(nodes[2]), 500.0).square_seconds();
                (nodes.map(|node| solved.open(Between::Ground(node)).peak().value), at_animal)
            };
            let ((quick, quick_j), (fine, fine_j)) = (of(Spectrum::quick()), of(Spectrum::fine()));
            for (quick, fine) in quick.into_iter().zip(fine) {
                near(quick, fine, 5e-3, &format!("{} {leak}", class.id));
            }
            near(quick_j, fine_j, 1e-2, &format!("{} {leak}: energy", class.id));
        }
    }
}

/// Ladder of 60 cells of two coupled wires: hot wire and earth wire of 600 m, earth of 60 ohm, at the far end 800 ohm between the two
/// and 300 ohm from the earth wire to the ground.

#[test]
fn a_long_tail_is_not_lost_to_the_window() {
    let spectrum = Spectrum::quick();
    let mut circuit = Circuit::default();
    let (start, end) = (circuit.node(), circuit.node());
    let kind = circuit.kind(PerMetre::of(&[fourteen_gauge(0.5, 1e-8)], 100.0, spectrum.points()));
    circuit.span(kind, start, end, 600.0);
    circuit.connect(six_joules(), start, 20.0);
    let loaded = Solved::new(&circuit, spectrum).loaded(Between::Ground(end), 6550.0);
    near(loaded.square_seconds() / 6550.0, 5.081, 1.5e-2, "energy");
    near(loaded.peak().value, 8088.0, 1.5e-2, "peak");
}
