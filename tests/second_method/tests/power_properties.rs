//! What must hold for every network: monotone in what weakens it, indifferent to how it is cut, and as a plan is drawn.

use hillwire_core::catalogue::{Catalogue, Conductor};
use hillwire_core::power::strands::{PerMetre, Strand};
use hillwire_core::power::{Between, Circuit, Energizer, Node, Printed, Solved, Spectrum};
use proptest::prelude::*;

/// A lead-out, a fence and a branch.
#[derive(Clone, Debug)]
struct Holding {
    lead_out_m: f64,
    fence_m: f64,
    branch_m: f64,
    /// S/m of a strand.
    leak: f64,
    diameter_m: f64,
    earth_ohm: f64,
    /// A fault at the fence's end, ohm.
    fault_ohm: Option<f64>,
}

fn holdings() -> impl Strategy<Value = Holding> {
    (50.0..1500.0_f64, 50.0..1500.0_f64, 50.0..800.0_f64, -8.5..-5.8_f64, 1.3e-3..3.8e-3_f64, 5.0..300.0_f64).prop_map(
        |(lead_out_m, fence_m, branch_m, log_leak, diameter_m, earth_ohm)| Holding {
            lead_out_m,
            fence_m,
            branch_m,
            leak: 10.0_f64.powf(log_leak),
            diameter_m,
            earth_ohm,
            fault_ohm: None,
        },
    )
}

/// Peak over an animal of 500 ohm at the end of the branch, and with nothing connected.
fn far_end(holding: &Holding) -> (f64, f64) {
    let spectrum = Spectrum::quick();
    let conductor =
        Conductor::Round { radius_m: holding.diameter_m / 2.0, resistivity_ohm_m: 1.75e-7, mu_r: 80.0, zinc_m: 34e-6 };
    let strand = |height_m: f64, leak_s_per_m: f64| Strand { conductor, height_m, leak_s_per_m, live: true };
    let mut circuit = Circuit::default();
    let nodes: Vec<Node> = (0..4).map(|_| circuit.node()).collect();
    let lead_out = circuit.kind(PerMetre::of(&[strand(2.0, 0.0)], 100.0, spectrum.points()));
    let fence = circuit.kind(PerMetre::of(&[strand(0.2, holding.leak), strand(0.45, holding.leak)], 100.0, spectrum.points()));
    circuit.span(lead_out, nodes[0], nodes[1], holding.lead_out_m);
    circuit.span(fence, nodes[1], nodes[2], holding.fence_m);
    circuit.span(fence, nodes[1], nodes[3], holding.branch_m);
    if let Some(ohm) = holding.fault_ohm {
        circuit.shunt(nodes[2], ohm);
    }
    let energizer =
        Energizer::fit(Printed { stored_j: 6.0, open_v: 8800.0, at_500_ohm_v: 6000.0, output_j: Some(4.3) }).expect("fits");
    circuit.connect(energizer, nodes[0], holding.earth_ohm);
    let solved = Solved::new(&circuit, spectrum);
    let peak = |pulse: hillwire_core::power::Pulse| pulse.peak().value;
    (peak(solved.loaded(Between::Ground(nodes[3]), 500.0)), peak(solved.open(Between::Ground(nodes[3]))))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn what_weakens_a_fence_never_raises_what_an_animal_gets(holding in holdings()) {
        let (loaded_v, open_v) = far_end(&holding);
        let weaker = [
            ("more leakage", Holding { leak: holding.leak * 2.0, ..holding.clone() }),
            ("thinner wire", Holding { diameter_m: holding.diameter_m * 0.7, ..holding.clone() }),
            ("a poorer earth", Holding { earth_ohm: holding.earth_ohm * 2.0, ..holding.clone() }),
            ("a fault", Holding { fault_ohm: Some(800.0), ..holding.clone() }),
        ];
        for (what, weaker) in weaker {
            let (weaker_v, weaker_open_v) = far_end(&weaker);
            // Reflections move peaks by up to a per cent. Thinner wire has less capacitance, which may lift an open end a little more.
            prop_assert!(weaker_v <= loaded_v * 1.01, "{}: {} after {} in {:?}", what, weaker_v, loaded_v, holding);
            prop_assert!(weaker_open_v <= open_v * 1.04, "{}: open {} after {} in {:?}", what, weaker_open_v, open_v, holding);
        }
    }
}

#[test]
fn a_matched_line_without_loss_hands_its_pulse_on_unchanged() {
    // sqrt(L/C) = 500 ohm, terminated with 500 ohm: the end sees what 500 ohm at the terminals would see, later by l sqrt(L C).
    let spectrum = Spectrum::fine();
    let (henry, farad, length_m) = (2e-6_f64, 8e-12, 1000.0);
    let energizer =
        Energizer::fit(Printed { stored_j: 6.0, open_v: 8800.0, at_500_ohm_v: 6000.0, output_j: Some(4.3) }).expect("fits");
    let mut circuit = Circuit::default();
    let (start, end) = (circuit.node(), circuit.node());
    let kind = circuit.kind(PerMetre::constant(1e-9, henry, 1e-15, farad, spectrum.points()));
    circuit.span(kind, start, end, length_m);
    circuit.shunt(end, 500.0);
    circuit.connect(energizer, start, 1e-3);
    let peak = Solved::new(&circuit, spectrum).open(Between::Ground(end)).peak();
    let closed = energizer.into_resistor(500.0);
    assert!((peak.value / closed.peak_v - 1.0).abs() < 1e-3, "{peak:?} for {closed:?}");
    let late_s = length_m * (henry * farad).sqrt();
    assert!((peak.at_s - closed.at_s - late_s).abs() < 0.4e-6, "{peak:?} for {closed:?} and {late_s}");
}

#[test]
fn every_class_of_the_catalogue_is_a_source() {
    for row in &Catalogue::built_in().energizers {
        let source = Energizer::fit((&row.figures).into()).unwrap_or_else(|trouble| panic!("{}: {trouble}", row.id));
        assert!(source.charge_share <= 1.0, "{}: its figures contradict each other: {}", row.id, source.charge_share);
    }
}
