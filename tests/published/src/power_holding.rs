//! A six-joule unit, its earth, and a lead-out, for what hangs behind them.

use hillwire_core::catalogue::{Conductor, Figures};
use hillwire_core::power::earth::{Rod, rods_ohm};
use hillwire_core::power::strands::{PerMetre, Strand};
use hillwire_core::power::{Circuit, Energizer, Node, Printed, Spectrum};

#[track_caller]
pub fn near(found: f64, printed: f64, share: f64, what: &str) {
    assert!((found / printed - 1.0).abs() <= share, "{what}: {found} for {printed}");
}

pub fn six_joules() -> Energizer {
    Energizer::fit(Printed { stored_j: 6.0, open_v: 8800.0, at_500_ohm_v: 6000.0, output_j: Some(4.3) }).expect("fits")
}

pub fn fourteen_gauge(height_m: f64, leak_s_per_m: f64) -> Strand {
    let conductor = Conductor::Round { radius_m: 1.016e-3, resistivity_ohm_m: 1.75e-7, mu_r: 80.0, zinc_m: 34e-6 };
    Strand { conductor, height_m, leak_s_per_m, live: true }
}

/// A unit with three rods of 1.8 m in 100 ohm.m, and a dry lead-out of 500 m with two wires 2 m up: terminal and far end.
pub fn behind_lead_out(spectrum: &Spectrum, unit: Energizer) -> (Circuit, [Node; 2]) {
    let mut circuit = Circuit::default();
    let [terminal, junction] = [circuit.node(), circuit.node()];
    let lead_out = [fourteen_gauge(2.0, 0.0), fourteen_gauge(2.2, 0.0)];
    let lead_out = circuit.kind(PerMetre::of(&lead_out, 100.0, spectrum.points()));
    circuit.span(lead_out, terminal, junction, 500.0);
    let earth_ohm = rods_ohm(Rod { length_m: 1.8, radius_m: 8e-3 }, 3, 3.0, 100.0).expect("rods");
    circuit.connect(unit, terminal, earth_ohm);
    (circuit, [terminal, junction])
}

/// Strands of a fence, each with its leak.
pub fn three_strands(leak_s_per_m: f64) -> [Strand; 3] {
    [0.2, 0.4, 0.6].map(|height_m| fourteen_gauge(height_m, leak_s_per_m))
}

/// Behind the lead-out 400 m of three strands.
pub fn holding(spectrum: &Spectrum, unit: Energizer, leak_s_per_m: f64) -> (Circuit, [Node; 3]) {
    let (mut circuit, [terminal, junction]) = behind_lead_out(spectrum, unit);
    let end = circuit.node();
    let fence = circuit.kind(PerMetre::of(&three_strands(leak_s_per_m), 100.0, spectrum.points()));
    circuit.span(fence, junction, end, 400.0);
    (circuit, [terminal, junction, end])
}

/// A class of the catalogue as a source.
pub fn unit(figures: Figures) -> Energizer {
    let Figures { stored_j, output_j, open_kv, at_500_ohm_kv } = figures;
    let printed = Printed { stored_j, open_v: open_kv * 1e3, at_500_ohm_v: at_500_ohm_kv * 1e3, output_j };
    Energizer::fit(printed).expect("fits")
}
