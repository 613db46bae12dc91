//! Networks of real wires against ngspice, with skin effect, zinc and the ground under the wires.
//!
//! The peaks come from `fixtures/ngspice/skin.py`: line constants by scipy's Bessel functions, series impedance as chains of parallel R-L pieces
//! (worst miss of the fit 0.6 %), ladders of 10 m, trapezoid rule.
//!
//! By: program ngspice.

use hillwire_core::catalogue::Conductor;
use hillwire_core::power::strands::{PerMetre, Strand};
use hillwire_core::power::{Between, Circuit, Energizer, Node, Printed, Solved, Spectrum};

const GA_14_M: f64 = 2.0320e-3;
const GA_12_5_M: f64 = 2.5146e-3;

/// From, to, heights, diameter, leak of a strand, length.
type Run = (Node, Node, &'static [f64], f64, f64, f64);

struct Net {
    name: &'static str,
    runs: &'static [Run],
    /// An animal: node and ohm.
    animal: Option<(Node, f64)>,
    earth_ohm: f64,
    /// Peak volts by node.
    peaks: &'static [f64],
}

const NETS: [Net; 3] = [
    Net {
        name: "one line of 1 km",
        runs: &[(0, 1, &[0.5], GA_12_5_M, 1e-7, 1000.0)],
        animal: None,
        earth_ohm: 20.0,
        peaks: &[8093.8, 9111.5],
    },
    Net {
        name: "lead-out, fence, branch and an animal",
        runs: &[
            (0, 1, &[2.0, 2.2], GA_14_M, 5e-9, 500.0),
            (1, 2, &[0.2, 0.4, 0.6], GA_12_5_M, 1e-7, 400.0),
            (1, 3, &[0.25, 0.5], GA_14_M, 3e-7, 300.0),
        ],
        animal: Some((2, 700.0)),
        earth_ohm: 40.0,
        peaks: &[5712.3, 5717.3, 5640.4, 5747.9],
    },
    Net {
        name: "a holding in wet growth",
        runs: &[(0, 1, &[2.0, 2.2], GA_14_M, 0.0, 500.0), (1, 2, &[0.2, 0.4, 0.6], GA_14_M, 1e-6, 400.0)],
        animal: None,
        earth_ohm: 19.82,
        peaks: &[6438.8, 6439.0, 6490.2],
    },
];

#[test]
fn peaks_on_real_wires_agree_with_ngspice_within_one_per_cent_and_live_within_one_and_a_half() {
    let energizer =
        Energizer::fit(Printed { stored_j: 6.0, open_v: 8800.0, at_500_ohm_v: 6000.0, output_j: Some(4.3) }).expect("fits");
    for ((spectrum, share), net) in
        [(Spectrum::fine(), 1e-2), (Spectrum::quick(), 1.5e-2)].into_iter().flat_map(|of| NETS.iter().map(move |net| (of, net)))
    {
        let mut circuit = Circuit::default();
        for _ in net.peaks {
            circuit.node();
        }
        for (from, to, heights, diameter_m, leak_s_per_m, length_m) in net.runs {
            let conductor =
                Conductor::Round { radius_m: diameter_m / 2.0, resistivity_ohm_m: 1.75e-7, mu_r: 80.0, zinc_m: 34e-6 };
            let strand = |height_m: &f64| Strand { conductor, height_m: *height_m, leak_s_per_m: *leak_s_per_m, live: true };
            let strands: Vec<Strand> = heights.iter().map(strand).collect();
            let kind = circuit.kind(PerMetre::of(&strands, 100.0, spectrum.points()));
            circuit.span(kind, *from, *to, *length_m);
        }
        if let Some((at, ohm)) = net.animal {
            circuit.shunt(at, ohm);
        }
        circuit.connect(energizer, 0, net.earth_ohm);
        let solved = Solved::new(&circuit, spectrum);
        for (node, printed) in net.peaks.iter().enumerate() {
            let found = solved.open(Between::Ground(node)).peak().value;
            println!("{}: node {node} {found:.0} V, ngspice {printed} ({:+.2} %)", net.name, (found / printed - 1.0) * 100.0);
            assert!((found / printed - 1.0).abs() <= share, "{} node {node}: {found} for {printed}", net.name);
        }
    }
}
