//! Strands that are joined at both ends of a line only, each a conductor of its own, against what lines of a plan are taken for: strands joined all along.
//! A second method; the constants of both are held against outside values in `power_line_constants.rs`.

use hillwire_core::power::strands::{PerMetre, capacitance_f_per_m, series_ohm_per_m};
use hillwire_core::power::{Between, Circuit, Node, Solved, Spectrum};
use nalgebra::DMatrix;
use num_complex::Complex64;
use tests_published::power_holding::{behind_lead_out, near, six_joules, three_strands};

/// The three strands, each a rail of its own, joined at both ends; in their middle one is broken, or the lowest leads to the ground: terminal, end, and
/// in the middle the second and the lowest strand.
fn own_rails(spectrum: &Spectrum, broken: Option<usize>, contact_ohm: Option<f64>) -> (Circuit, [Node; 4]) {
    let strands = three_strands(3e-7);
    let leak = DMatrix::from_diagonal_element(3, 3, Complex64::from(3e-7));
    let farad = capacitance_f_per_m(&strands);
    let line = PerMetre {
        series: spectrum.points().iter().map(|s| series_ohm_per_m(&strands, 100.0, *s)).collect(),
        shunt: spectrum.points().iter().map(|s| farad.map(|farad| *s * farad) + &leak).collect(),
    };
    let (mut circuit, [terminal, junction]) = behind_lead_out(spectrum, six_joules());
    let end = circuit.node();
    let kind = circuit.kind(line);
    let [first, before, after, last] = [(); 4].map(|()| [circuit.node(), circuit.node(), circuit.node()]);
    circuit.rails(kind, &first, &before, 200.0);
    circuit.rails(kind, &after, &last, 200.0);
    for strand in 0..3 {
        circuit.link(junction, first[strand], 1e-3);
        circuit.link(last[strand], end, 1e-3);
        if broken != Some(strand) {
            circuit.link(before[strand], after[strand], 1e-3);
        }
    }
    contact_ohm.into_iter().for_each(|ohm| circuit.shunt(before[0], ohm));
    (circuit, [terminal, end, before[1], before[0]])
}

/// The same with strands joined all along, as lines of a plan are taken: terminal, end, middle.
fn joined_all_along(spectrum: &Spectrum, contact_ohm: Option<f64>) -> (Circuit, [Node; 3]) {
    let (mut circuit, [terminal, junction]) = behind_lead_out(spectrum, six_joules());
    let [middle, end] = [circuit.node(), circuit.node()];
    let fence = circuit.kind(PerMetre::of(&three_strands(3e-7), 100.0, spectrum.points()));
    circuit.span(fence, junction, middle, 200.0);
    circuit.span(fence, middle, end, 200.0);
    contact_ohm.into_iter().for_each(|ohm| circuit.shunt(middle, ohm));
    (circuit, [terminal, end, middle])
}

#[test]
fn strands_joined_at_both_ends_count_as_one_whatever_happens_to_one_of_them() {
    let spectrum = Spectrum::fine();
    let kilovolts = |circuit: &Circuit, nodes: &[Node]| -> Vec<f64> {
        let solved = Solved::new(circuit, spectrum);
        nodes.iter().map(|node| solved.open(Between::Ground(*node)).peak().value / 1e3).collect()
    };
    // A break hardly shows; what leads to the ground from one strand takes a little more from strands that are joined all along, the safe side.
    let rows = [
        (None, None, 1e-3),
        (Some(0), None, 5e-3),
        (Some(1), None, 5e-3),
        (None, Some(500.0), 1e-2),
        (None, Some(100.0), 5e-2),
        (None, Some(30.0), 2e-1),
    ];
    for (broken, contact, share) in rows {
        let (circuit, nodes) = own_rails(spectrum, broken, contact);
        let own = kilovolts(&circuit, &nodes);
        let (circuit, nodes) = joined_all_along(spectrum, contact);
        let joined = kilovolts(&circuit, &nodes);
        println!("{broken:?} {contact:?}: each its own {own:.3?}, joined all along {joined:.3?}");
        near(joined[0], own[0], share, "terminal");
        near(joined[1], own[1], share, "end");
        let on_safe_side = own[3] < joined[2] && joined[2] < own[2] && joined[1] < own[1];
        assert!(contact.is_none() || on_safe_side, "{contact:?}: {own:?} {joined:?}");
    }
}
