//! The pulse through networks of some hundred and of ten thousand sections, and the same small network through ngspice where it is installed.

use criterion::{Criterion, criterion_group, criterion_main};
use hillwire_core::catalogue::{Catalogue, GroundState};
use hillwire_core::outcome::{Kept, outcome};
use hillwire_core::plan::{FeatureId, Opened, read_plan};
use hillwire_core::power::strands::PerMetre;
use hillwire_core::power::{Between, Circuit, Energizer, Node, Printed, Read, Solved, Spectrum, Wiring, locate, readings_of};
use hillwire_core::units::Length;
use std::fmt::Write as _;
use std::hint::black_box;
use std::io::Write as _;
use std::process::{Command, Stdio};
use std::sync::Arc;

/// Ohm, henry, siemens, farad of a metre.
const KINDS: [(f64, f64, f64, f64); 3] =
    [(0.075, 3.7e-6, 1e-6, 8.33e-12), (0.055, 2.6e-6, 2e-7, 15.5e-12), (0.030, 2.0e-6, 3e-7, 19.6e-12)];
/// Length of a section, metres.
const SECTION_M: f64 = 22.0;

fn source() -> Energizer {
    Energizer::fit(Printed { stored_j: 6.0, open_v: 8800.0, at_500_ohm_v: 6000.0, output_j: Some(4.3) }).expect("fits")
}

/// Sections as pairs of nodes with their kind: a long lead-out, branches from it, every twentieth branch closed to a ring.
fn sections(count: usize) -> Vec<(Node, Node, usize)> {
    let mut state = 7_u64;
    let mut draw = |below: usize| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % below
    };
    let mut made: Vec<(Node, Node, usize)> = Vec::with_capacity(count);
    while made.len() < count {
        let node = made.len() + 1;
        let parent = if draw(8) == 0 { draw(node) } else { node - 1 };
        made.push((parent, node, draw(3)));
    }
    for ring in 0..count / 100 {
        made.push((draw(count), draw(count), ring % 3));
    }
    made
}

fn circuit(count: usize, spectrum: &Spectrum) -> Circuit {
    let mut circuit = Circuit::default();
    let kinds =
        KINDS.map(|(ohm, henry, siemens, farad)| circuit.kind(PerMetre::constant(ohm, henry, siemens, farad, spectrum.points())));
    for _ in 0..=count {
        circuit.node();
    }
    for (from, to, kind) in sections(count).into_iter().filter(|(from, to, _)| from != to) {
        circuit.span(kinds[kind], from, to, SECTION_M);
    }
    circuit.connect(source(), 0, 20.0);
    circuit
}

/// Peak with nothing connected and over 500 ohm with its energy, at every node.
fn everywhere(circuit: &Circuit, spectrum: &Spectrum) -> f64 {
    let solved = Solved::new(circuit, spectrum);
    (0..circuit.nodes())
        .map(|node| {
            let loaded = solved.loaded(Between::Ground(node), 500.0);
            solved.open(Between::Ground(node)).peak().value + loaded.peak().value + loaded.square_seconds()
        })
        .sum()
}

/// The same network as ladders of two cells a section.
fn deck(count: usize) -> String {
    let mut deck = String::from("* sections\n");
    let source = source();
    let _ = writeln!(
        deck,
        "Vs sv eg EXP(0 {} 0 {} 1 1)\nCst s0 sv {} ic=0\nRs s0 n0 {}\nRe eg 0 20",
        source.volt, source.front_s, source.farad, source.ohm
    );
    for (index, (from, to, kind)) in sections(count).into_iter().enumerate().filter(|(_, (from, to, _))| from != to) {
        let (ohm, henry, siemens, farad) = KINDS[kind];
        let cell_m = SECTION_M / 2.0;
        let names = [format!("n{from}"), format!("x{index}"), format!("n{to}")];
        for (cell, pair) in names.windows(2).enumerate() {
            let (one, other, id) = (&pair[0], &pair[1], format!("{index}_{cell}"));
            let _ = writeln!(deck, "R{id} {one} y{id} {}\nL{id} y{id} {other} {} ic=0", ohm * cell_m, henry * cell_m);
            for (end, node) in [("a", one), ("b", other)] {
                let _ = writeln!(
                    deck,
                    "C{id}{end} {node} 0 {} ic=0\nG{id}{end} {node} 0 {node} 0 {}",
                    farad * cell_m / 2.0,
                    siemens * cell_m / 2.0
                );
            }
        }
    }
    deck + ".options method=trap reltol=1e-4 abstol=1e-9 vntol=1e-4\n.tran 5e-07 0.00050 0 5e-07 uic\n.measure tran peak MAX v(n100)\n.end\n"
}

/// Runs a deck, given through standard input, to its end.
fn ngspice(deck: &str) {
    let mut running = Command::new("ngspice")
        .arg("-b")
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("ngspice starts");
    running.stdin.take().expect("a pipe").write_all(deck.as_bytes()).expect("ngspice reads");
    assert!(running.wait().expect("ngspice ends").success());
}

/// The wires of the sample plan, and what a meter reads at five places of it.
fn sample() -> (Arc<Wiring>, Vec<Read>) {
    let text = include_bytes!("../../sample-maps/brackenhope.plan.geojson");
    let Ok(Opened::Plan(plan, _)) = read_plan("brackenhope", text) else { panic!("the sample is a plan") };
    let wiring = Arc::clone(&outcome(&plan, 0, None, Catalogue::built_in(), &mut Kept::default()).power.wiring);
    let places = [("lead-out", 0.0), ("west", 0.0), ("west", 150.0), ("west", 300.0), ("east", 150.0)];
    let places: Vec<_> = places.iter().map(|(line, metres)| (FeatureId::new(line), Length::metres(*metres))).collect();
    let mut reads = readings_of(&wiring, GroundState::Damp, &places);
    for read in &mut reads {
        read.volt = read.volt.map(|volt| volt * 0.4);
        (read.ampere, read.towards_end) = (None, None);
    }
    (wiring, reads)
}

fn power(criterion: &mut Criterion) {
    let spectrum = Spectrum::quick();
    let small = circuit(200, spectrum);
    criterion.bench_function("200 sections: peaks and energy at every node", |bench| {
        bench.iter(|| everywhere(black_box(&small), spectrum))
    });
    let mut group = criterion.benchmark_group("large");
    group.sample_size(10);
    let large = circuit(10_000, spectrum);
    group.bench_function("10 000 sections: peaks and energy at every node", |bench| {
        bench.iter(|| everywhere(black_box(&large), spectrum))
    });
    let (wiring, reads) = sample();
    group.bench_function("a fault of the sample plan by five readings", |bench| {
        bench.iter(|| locate(black_box(&wiring), GroundState::Damp, &reads));
    });
    if Command::new("ngspice").arg("--version").output().is_ok() {
        group.bench_function("200 sections through ngspice, one pulse without any animal", |bench| {
            let deck = deck(200);
            bench.iter(|| ngspice(&deck));
        });
    }
    group.finish();
}

criterion_group!(benches, power);
criterion_main!(benches);
