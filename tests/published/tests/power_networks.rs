//! Whole networks against ngspice and against closed forms.
//!
//! ngspice: lines as ladders of pi cells of 10 m with constant constants, trapezoid rule; the peaks it gave are the second column.
//!
//! By: program ngspice.

use hillwire_core::power::strands::PerMetre;
use hillwire_core::power::{Between, Circuit, Node, Solved, Spectrum};
use nalgebra::DMatrix;
use num_complex::Complex64;
use tests_published::left_out;
use tests_published::power_holding::{near, six_joules};

/// Ohm, henry, siemens, farad of a metre; the leak is that of a strand, of which w2 has two and w3 three.
type Constants = (f64, f64, f64, f64);
const TYPICAL_S: f64 = 1e-7;
const WET_S: f64 = 1e-6;
const DRY_S: f64 = 5e-9;
const fn w1(siemens: f64) -> Constants {
    (0.075, 3.7e-6, siemens, 8.33e-12)
}
const fn w2(siemens: f64) -> Constants {
    (0.055, 2.6e-6, 2.0 * siemens, 15.5e-12)
}
const fn w3(siemens: f64) -> Constants {
    (0.030, 2.0e-6, 3.0 * siemens, 19.6e-12)
}
const CABLE: Constants = (0.100, 3.0e-6, 1e-7, 60e-12);

/// A network of constant lines: (from, to, constants, metres), links and shunts in ohm; node 0 is the energizer's.
struct Net {
    name: &'static str,
    earth_ohm: f64,
    spans: &'static [(Node, Node, Constants, f64)],
    links: &'static [(Node, Node, f64)],
    shunts: &'static [(Node, f64)],
    /// Node, peak in kV by ngspice.
    peaks: &'static [(Node, f64)],
    /// Shunt's node, ohm, joules by ngspice.
    energy: Option<(Node, f64, f64)>,
}

const NETS: [Net; 8] = [
    Net {
        name: "one line of 1 km",
        earth_ohm: 20.0,
        spans: &[(0, 1, w1(TYPICAL_S), 1000.0)],
        links: &[],
        shunts: &[],
        peaks: &[(0, 8.540), (1, 11.154)],
        energy: None,
    },
    Net {
        name: "lead-out, two branches and a spur",
        earth_ohm: 30.0,
        spans: &[(0, 1, w2(TYPICAL_S), 500.0), (1, 2, w3(WET_S), 400.0), (1, 3, w2(WET_S), 300.0), (3, 4, w1(WET_S), 150.0)],
        links: &[],
        shunts: &[],
        peaks: &[(1, 5.801), (2, 5.811), (4, 5.858)],
        energy: None,
    },
    Net {
        name: "a ring with a spur",
        earth_ohm: 30.0,
        spans: &[
            (0, 1, w2(TYPICAL_S), 200.0),
            (1, 2, w3(TYPICAL_S), 400.0),
            (2, 3, w3(TYPICAL_S), 300.0),
            (3, 1, w3(TYPICAL_S), 500.0),
            (3, 4, w1(TYPICAL_S), 250.0),
        ],
        links: &[],
        shunts: &[],
        peaks: &[(2, 7.370), (3, 7.482), (4, 7.747)],
        energy: None,
    },
    Net {
        name: "a fault in a branch",
        earth_ohm: 30.0,
        spans: &[
            (0, 1, w2(TYPICAL_S), 500.0),
            (1, 2, w3(TYPICAL_S), 170.0),
            (2, 3, w3(TYPICAL_S), 230.0),
            (1, 4, w2(TYPICAL_S), 300.0),
        ],
        links: &[],
        shunts: &[(2, 500.0)],
        peaks: &[(2, 5.578), (3, 5.682)],
        energy: Some((2, 500.0, 3.1983)),
    },
    Net {
        name: "a poor earth and an animal",
        earth_ohm: 400.0,
        spans: &[(0, 1, w2(TYPICAL_S), 500.0), (1, 2, w3(TYPICAL_S), 400.0)],
        links: &[],
        shunts: &[(2, 500.0)],
        peaks: &[(0, 3.666), (2, 3.443)],
        energy: Some((2, 500.0, 2.1522)),
    },
    Net {
        name: "gate cable and a bad joint",
        earth_ohm: 50.0,
        spans: &[(0, 1, w2(TYPICAL_S), 300.0), (1, 2, CABLE, 12.0), (3, 4, w3(WET_S), 600.0)],
        links: &[(2, 3, 150.0)],
        shunts: &[(4, 1000.0)],
        peaks: &[(2, 5.394), (4, 3.789)],
        energy: Some((4, 1000.0, 0.9018)),
    },
    Net {
        name: "5 km of wet line",
        earth_ohm: 20.0,
        spans: &[(0, 1, w1(WET_S), 5000.0)],
        links: &[],
        shunts: &[],
        peaks: &[(0, 5.773), (1, 2.193)],
        energy: None,
    },
    Net {
        name: "8 km of dry line",
        earth_ohm: 20.0,
        spans: &[(0, 1, w3(DRY_S), 8000.0)],
        links: &[],
        shunts: &[],
        peaks: &[(0, 5.108), (1, 6.985)],
        energy: None,
    },
];

impl Net {
    fn circuit(&self, spectrum: &Spectrum, pieces: usize) -> Circuit {
        let mut circuit = Circuit::default();
        let last = self.spans.iter().map(|span| span.0.max(span.1)).max().unwrap_or(0);
        for _ in 0..=last {
            circuit.node();
        }
        for (from, to, (ohm, henry, siemens, farad), length_m) in self.spans {
            let kind = circuit.kind(PerMetre::constant(*ohm, *henry, *siemens, *farad, spectrum.points()));
            let mut at = *from;
            for piece in 1..=pieces {
                let next = if piece == pieces { *to } else { circuit.node() };
                circuit.span(kind, at, next, length_m / pieces as f64);
                at = next;
            }
        }
        self.links.iter().for_each(|(from, to, ohm)| circuit.link(*from, *to, *ohm));
        self.shunts.iter().for_each(|(at, ohm)| circuit.shunt(*at, *ohm));
        circuit.connect(six_joules(), 0, self.earth_ohm);
        circuit
    }
}

#[test]
fn peaks_agree_with_ngspice_within_one_per_cent() {
    for (spectrum, share) in [(Spectrum::fine(), 5e-3), (Spectrum::quick(), 8e-3)] {
        for net in &NETS {
            let circuit = net.circuit(spectrum, 3);
            let solved = Solved::new(&circuit, spectrum);
            for (node, kilovolts) in net.peaks {
                let found = solved.open(Between::Ground(*node)).peak().value / 1e3;
                println!(
                    "{}: node {node} {found:.3} kV, ngspice {kilovolts} ({:+.2} %)",
                    net.name,
                    (found / kilovolts - 1.0) * 100.0
                );
                near(found, *kilovolts, share, net.name);
            }
            if let Some((node, ohm, joules)) = net.energy {
                near(solved.open(Between::Ground(node)).square_seconds() / ohm, joules, 1e-2, net.name);
            }
        }
    }
}

#[test]
fn a_hot_wire_with_an_earth_wire_agrees_with_a_coupled_ladder() {
    let spectrum = Spectrum::new(1e-3, 4096, 1e-5);
    let (ohm, henry) = (two(0.075, 0.004, 0.075), two(2.6e-6, 1.5e-6, 2.7e-6));
    let (siemens, farad) = (two(1e-7, 0.0, 1e-5), two(9e-12, -2e-12, 10e-12));
    let line = PerMetre {
        series: spectrum.points().iter().map(|s| &ohm + &henry * *s).collect(),
        shunt: spectrum.points().iter().map(|s| &siemens + &farad * *s).collect(),
    };
    for pieces in [1, 3] {
        let mut circuit = Circuit::default();
        let kind = circuit.kind(line.clone());
        let mut at = [circuit.node(), 0];
        let first = at[0];
        at[1] = circuit.connect(six_joules(), first, 60.0);
        let earth = at[1];
        for _ in 0..pieces {
            let next = [circuit.node(), circuit.node()];
            circuit.rails(kind, &at, &next, 600.0 / f64::from(pieces));
            at = next;
        }
        circuit.link(at[0], at[1], 800.0);
        circuit.shunt(at[1], 300.0);
        let solved = Solved::new(&circuit, &spectrum);
        for (node, kilovolts) in [(first, 6.5950), (earth, 0.2466), (at[0], 6.3270), (at[1], 0.3311)] {
            let found = solved.open(Between::Ground(node)).peak().value / 1e3;
            near(found.abs(), kilovolts, 5e-3, &format!("node {node}"));
        }
    }
}

fn two(one: f64, between: f64, other: f64) -> DMatrix<Complex64> {
    DMatrix::from_row_slice(2, 2, &[one, between, between, other]).map(Complex64::from)
}

/// By: closed form.
#[test]
fn a_lossless_line_gives_back_all_its_energy_and_a_pure_capacitance_shares_its_charge() {
    // What 500 ohm at the end of a line without resistance or leakage gets, and what the source itself has in it: V'^2 C'/2 at most.
    let spectrum = Spectrum::new(4e-3, 16_384, 1e-5);
    let source = six_joules();
    let mut circuit = Circuit::default();
    let (start, end) = (circuit.node(), circuit.node());
    let kind = circuit.kind(PerMetre::constant(1e-9, 3e-6, 1e-15, 10e-12, spectrum.points()));
    circuit.span(kind, start, end, 800.0);
    circuit.shunt(end, 500.0);
    let earth = circuit.connect(source, start, 1e-3);
    let solved = Solved::new(&circuit, &spectrum);
    let taken = solved.open(Between::Ground(end)).square_seconds() / 500.0;
    // Power into the line at the terminal, over time, must be what comes out at the end.
    let (volt, current) = (solved.open(Between::Rails(start, earth)), solved.current(0).expect("a source"));
    let given: f64 = volt.samples.iter().zip(&current.samples).map(|(volt, ampere)| volt * ampere).sum::<f64>() * volt.step_s;
    near(given, taken, 2e-3, "energy");

    // A short open line is a capacitance: V' C'/(C' + Cf) stays on it.
    let mut circuit = Circuit::default();
    let (start, end) = (circuit.node(), circuit.node());
    let kind = circuit.kind(PerMetre::constant(1e-6, 1e-12, 1e-18, 50e-9, spectrum.points()));
    circuit.span(kind, start, end, 1.0);
    circuit.connect(source, start, 1e-3);
    let last = *Solved::new(&circuit, &spectrum).open(Between::Ground(end)).samples.last().expect("samples");
    near(last, 6543.7, 1e-3, "charge");
}

/// By: closed form.
#[test]
fn a_long_leaky_line_at_direct_current_is_a_hyperbolic_cosine() {
    // R 0.075 ohm/m, G 1e-6 S/m, 5 km open: V(l)/V(0) = 1/cosh(l sqrt(R G)), Zin = sqrt(R/G)/tanh(...).
    let spectrum = Spectrum::new(10.0, 16, 1e-3);
    let mut circuit = Circuit::default();
    let (start, end) = (circuit.node(), circuit.node());
    let kind = circuit.kind(PerMetre::constant(0.075, 0.0, 1e-6, 0.0, spectrum.points()));
    circuit.span(kind, start, end, 5000.0);
    let solved = Solved::new(&circuit, &spectrum);
    let column = solved.column(start);
    near((column[end][0] / column[start][0]).re, 0.47768, 1e-4, "ratio");
    near(column[start][0].re, 311.73, 1e-4, "input");
    near(solved.impedance(start).next().expect("one").re, 311.73, 1e-4, "input");
}

/// Random networks: `seed` chooses a tree of lines with some rings, links and shunts.
fn random(seed: u64, spectrum: &Spectrum) -> Circuit {
    let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1;
    let mut draw = |below: u64| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) % below
    };
    let mut circuit = Circuit::default();
    let kinds = [w1(WET_S), w2(TYPICAL_S), w3(DRY_S)]
        .map(|(ohm, henry, siemens, farad)| circuit.kind(PerMetre::constant(ohm, henry, siemens, farad, spectrum.points())));
    let nodes: Vec<Node> = (0..30).map(|_| circuit.node()).collect();
    for (n, node) in nodes.iter().enumerate().skip(1) {
        let parent = nodes[draw(n as u64) as usize];
        if draw(6) == 0 {
            circuit.link(parent, *node, 10.0 + draw(500) as f64);
        } else {
            circuit.span(kinds[draw(3) as usize], parent, *node, 5.0 + draw(400) as f64);
        }
    }
    for _ in 0..draw(6) {
        let (one, other) = (draw(30) as usize, draw(30) as usize);
        if one != other {
            circuit.span(kinds[draw(3) as usize], nodes[one], nodes[other], 20.0 + draw(300) as f64);
        }
    }
    for _ in 0..draw(3) {
        circuit.shunt(nodes[draw(30) as usize], 100.0 + draw(5000) as f64);
    }
    circuit.connect(six_joules(), 0, 5.0 + draw(300) as f64);
    circuit
}

/// By: program nalgebra.
#[test]
fn elimination_gives_the_inverse_of_the_matrix_rings_included() {
    let spectrum = Spectrum::new(0.5e-3, 16, 1e-3);
    for seed in 1..60 {
        let circuit = random(seed, &spectrum);
        let solved = Solved::new(&circuit, &spectrum);
        let columns: Vec<_> = (0..circuit.nodes()).map(|node| solved.column(node)).collect();
        // The columns are those of a symmetric matrix, and its diagonal is what the selected inverse says.
        for (node, column) in columns.iter().enumerate() {
            for (one, other) in solved.impedance(node).zip(&column[node]) {
                assert!((one - other).norm() < 1e-9 * one.norm(), "{seed} {node}");
            }
            for (other, across) in columns.iter().enumerate() {
                for (there, back) in column[other].iter().zip(&across[node]) {
                    assert!((there - back).norm() < 1e-9 * there.norm().max(1e-6), "{seed} {node} {other}");
                }
            }
        }
        // A fault at a node by the column of it, against a network that has it.
        let (at, ohm) = (7, 150.0);
        let mut faulty = circuit.clone();
        faulty.shunt(at, ohm);
        let direct = Solved::new(&faulty, &spectrum);
        for (node, lift) in columns[at].iter().enumerate().take(circuit.nodes()) {
            let before: Vec<_> = solved.volt(node).collect();
            let (there, own): (Vec<_>, Vec<_>) = (solved.volt(at).collect(), solved.impedance(at).collect());
            for (k, volt) in direct.volt(node).enumerate() {
                let quick = before[k] - lift[k] * there[k] / (own[k] + ohm);
                assert!((quick - volt).norm() < 1e-9 * volt.norm().max(1e-6), "{seed} {node}: {quick} {volt}");
            }
        }
    }
}

/// By: closed form.
#[test]
fn cutting_a_line_into_pieces_changes_nothing() {
    for net in &NETS {
        let (whole, cut) = (net.circuit(Spectrum::quick(), 1), net.circuit(Spectrum::quick(), 7));
        let (whole, cut) = (Solved::new(&whole, Spectrum::quick()), Solved::new(&cut, Spectrum::quick()));
        for (node, _) in net.peaks {
            for (one, other) in whole.volt(*node).zip(cut.volt(*node)) {
                assert!((one - other).norm() < 1e-9 * one.norm(), "{}", net.name);
            }
        }
    }
}

/// By: closed form.
#[test]
fn the_closed_form_of_the_bare_source_comes_out_of_the_network() {
    let mut circuit = Circuit::default();
    let terminal = circuit.node();
    circuit.connect(six_joules(), terminal, 1e-3);
    // The unit was fitted to 6000 V and 4.3 J over 500 ohm.
    for (spectrum, share) in [(Spectrum::fine(), 3e-4), (Spectrum::quick(), 8e-4), (&Spectrum::new(0.5e-3, 256, 1e-3), 2e-3)] {
        let solved = Solved::new(&circuit, spectrum);
        let loaded = solved.loaded(Between::Ground(terminal), 500.0);
        println!("{} V, {} J", loaded.peak().value, loaded.square_seconds() / 500.0);
        near(loaded.peak().value, 6000.0, share, "peak");
        near(loaded.square_seconds() / 500.0, 4.3, share, "energy");
    }
}

impl Net {
    /// The same network for ngspice: ladders of pi cells of at most `cell_m`.
    fn deck(&self, cell_m: f64) -> String {
        let source = six_joules();
        let mut deck = format!(
            "* {}\nVs sv eg EXP(0 {} 0 {} 1 1)\nCst s0 sv {} ic=0\nRs s0 n0 {}\nRe eg 0 {}\n",
            self.name, source.volt, source.front_s, source.farad, source.ohm, self.earth_ohm
        );
        for (index, (from, to, (ohm, henry, siemens, farad), length_m)) in self.spans.iter().enumerate() {
            let cells = (length_m / cell_m).ceil() as usize;
            let cell_m = length_m / cells as f64;
            let name = |place: usize| match place {
                0 => format!("n{from}"),
                _ if place == cells => format!("n{to}"),
                _ => format!("x{index}_{place}"),
            };
            for cell in 0..cells {
                let (one, other, id) = (name(cell), name(cell + 1), format!("x{index}_{cell}"));
                deck += &format!("R{id} {one} {id}m {}\nL{id} {id}m {other} {} ic=0\n", ohm * cell_m, henry * cell_m);
                for (end, node) in [("a", &one), ("b", &other)] {
                    deck += &format!(
                        "C{id}{end} {node} 0 {} ic=0\nG{id}{end} {node} 0 {node} 0 {}\n",
                        farad * cell_m / 2.0,
                        siemens * cell_m / 2.0
                    );
                }
            }
        }
        for (index, (from, to, ohm)) in self.links.iter().enumerate() {
            deck += &format!("Rlink{index} n{from} n{to} {ohm}\n");
        }
        for (index, (at, ohm)) in self.shunts.iter().enumerate() {
            deck += &format!("Rshunt{index} n{at} 0 {ohm}\n");
        }
        deck += ".options method=trap reltol=1e-4 abstol=1e-9 vntol=1e-4\n.tran 5e-07 0.00075 0 5e-07 uic\n";
        for (node, _) in self.peaks {
            deck += &format!(".measure tran peak{node} MAX v(n{node})\n");
        }
        deck + ".end\n"
    }

    /// Peaks in kV as ngspice finds them now; `None` where it is not installed.
    fn by_ngspice(&self) -> Option<Vec<(Node, f64)>> {
        let folder = std::env::temp_dir().join(format!("hillwire-ngspice-{}", std::process::id()));
        std::fs::create_dir_all(&folder).expect("a temporary folder");
        let path = folder.join("net.cir");
        std::fs::write(&path, self.deck(10.0)).expect("the deck");
        let ran = std::process::Command::new("ngspice").arg("-b").arg(&path).output();
        std::fs::remove_dir_all(&folder).expect("the folder is ours");
        let printed = String::from_utf8_lossy(&ran.ok()?.stdout).into_owned();
        let peak = |node: Node| {
            let line = printed.lines().find(|line| line.starts_with(&format!("peak{node} ")))?;
            line.split_whitespace().nth(2)?.parse::<f64>().ok()
        };
        Some(self.peaks.iter().map(|(node, _)| (*node, peak(*node).expect("ngspice measures every peak") / 1e3)).collect())
    }
}

/// Runs the ladders again where ngspice is installed (CI installs it), so that the committed peaks are seen to be its own.
#[test]
fn the_committed_peaks_are_those_of_ngspice() {
    for net in &NETS {
        let Some(peaks) = net.by_ngspice() else {
            left_out("ngspice is not installed");
            continue;
        };
        for ((node, again), (_, committed)) in peaks.iter().zip(net.peaks) {
            println!("{}: node {node} {again:.4} kV", net.name);
            near(*again, *committed, 1e-3, net.name);
        }
    }
}

#[test]
fn a_line_without_leakage_agrees_with_the_lossy_line_element_of_ngspice() {
    // 1 km of single wire, 2 kohm at its end: the LTRA element of ngspice, which knows no leakage, gave 7.569 and 8.613 kV.
    let spectrum = Spectrum::fine();
    let (ohm, henry, _, farad) = w1(0.0);
    let mut circuit = Circuit::default();
    let (start, end) = (circuit.node(), circuit.node());
    let kind = circuit.kind(PerMetre::constant(ohm, henry, 1e-15, farad, spectrum.points()));
    circuit.span(kind, start, end, 1000.0);
    circuit.shunt(end, 2000.0);
    circuit.connect(six_joules(), start, 20.0);
    let solved = Solved::new(&circuit, spectrum);
    for (node, kilovolts) in [(start, 7.569), (end, 8.613)] {
        near(solved.open(Between::Ground(node)).peak().value / 1e3, kilovolts, 1e-2, "LTRA");
    }
}
