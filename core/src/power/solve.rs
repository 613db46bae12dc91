//! Voltages of a network at every frequency, and what follows at each node in time.

use super::circuit::{Circuit, Node, Span};
use super::elimination::Elimination;
use super::lanes::{LANES, Lanes};
use super::span::Runs;
use super::spectrum::{Pulse, Spectrum, Work};
use num_complex::Complex64;
use rayon::prelude::*;

/// What keeps a node that hangs in the air from being undetermined, S.
const FLOATING_S: f64 = 1e-15;

/// A solved network: V and the impedance behind every node, at every frequency.
pub struct Solved<'a> {
    circuit: &'a Circuit,
    spectrum: &'a Spectrum,
    elimination: Elimination,
    blocks: Vec<Block>,
}

/// [`LANES`] frequencies of a solved network.
struct Block {
    /// 1/pivot, by step.
    inverse: Vec<Lanes>,
    /// Share of a coupling in the pivot, by place.
    lower: Vec<Lanes>,
    /// Voltage by node.
    volt: Vec<Lanes>,
    /// Impedance between every node and far ground.
    impedance: Vec<Lanes>,
    /// Mutual impedance of coupled nodes, by place.
    mutual: Vec<Lanes>,
}

/// A pulse as it is at one place: what a meter reads there or what a body feels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Between {
    /// From a node to far ground.
    Ground(Node),
    /// From one rail to another at the same place.
    Rails(Node, Node),
}

impl<'a> Solved<'a> {
    /// Solves `Y V = I` at every frequency by elimination, and takes the impedance behind every node from the same factors
    /// (entries of the inverse where the factors have any).
    ///
    /// # Source
    /// `selected-inverse`.
    pub fn new(circuit: &'a Circuit, spectrum: &'a Spectrum) -> Self {
        let elimination = Elimination::new(circuit.nodes(), couplings(circuit));
        let runs = Runs::new(circuit);
        let blocks = (0..spectrum.points().len() / LANES).into_par_iter();
        let blocks = blocks.map(|block| Block::new(circuit, spectrum, &elimination, &runs, block * LANES)).collect();
        Self { circuit, spectrum, elimination, blocks }
    }

    /// The network.
    pub fn circuit(&self) -> &'a Circuit {
        self.circuit
    }

    /// Its frequencies.
    pub fn spectrum(&self) -> &'a Spectrum {
        self.spectrum
    }

    /// Voltage of a node against far ground, by frequency.
    pub fn volt(&self, node: Node) -> impl Iterator<Item = Complex64> + '_ {
        self.blocks.iter().flat_map(move |block| (0..LANES).map(move |n| block.volt[node].at(n)))
    }

    /// Impedance between a node and far ground, by frequency.
    pub fn impedance(&self, node: Node) -> impl Iterator<Item = Complex64> + '_ {
        self.blocks.iter().flat_map(move |block| (0..LANES).map(move |n| block.impedance[node].at(n)))
    }

    /// Voltage with nothing connected, and the impedance behind it, by frequency.
    fn behind(&self, between: Between) -> impl Iterator<Item = (Complex64, Complex64)> + '_ {
        let (one, other) = match between {
            Between::Ground(node) => (node, None),
            Between::Rails(one, other) => (one, Some((other, self.elimination.place(one, other)))),
        };
        self.blocks.iter().flat_map(move |block| {
            (0..LANES).map(move |n| match other {
                None => (block.volt[one].at(n), block.impedance[one].at(n)),
                Some((other, place)) => {
                    let mutual = place.map_or(Complex64::ZERO, |place| block.mutual[place].at(n));
                    let impedance = block.impedance[one].at(n) + block.impedance[other].at(n) - mutual * 2.0;
                    (block.volt[one].at(n) - block.volt[other].at(n), impedance)
                }
            })
        })
    }

    /// The pulse with nothing connected: what a meter reads.
    pub fn open(&self, between: Between) -> Pulse {
        self.spectrum.pulse_in(&mut Work::default(), self.behind(between).map(|(volt, _)| volt))
    }

    /// The pulse over a resistance that is connected there: what a body feels, `V Ra/(Ra + Z)`.
    pub fn loaded(&self, between: Between, ohm: f64) -> Pulse {
        self.loaded_in(&mut Work::default(), between, ohm)
    }

    pub(super) fn loaded_in(&self, work: &mut Work, between: Between, ohm: f64) -> Pulse {
        self.spectrum.pulse_in(work, self.behind(between).map(|(volt, behind)| volt * ohm / (behind + ohm)))
    }

    /// The pulse with nothing connected and the one over a resistance, at once.
    pub(super) fn open_and_loaded_in(&self, work: &mut Work, between: Between, ohm: f64) -> [Pulse; 2] {
        self.spectrum.two_pulses_in(work, self.behind(between).map(|(volt, behind)| (volt, volt * ohm / (behind + ohm))))
    }

    /// Current of an energizer out of its terminal, amperes over time.
    pub fn current(&self, number: usize) -> Option<Pulse> {
        let source = self.circuit.sources.get(number)?;
        let across = self.volt(source.hot).zip(self.volt(source.earth)).zip(self.spectrum.points());
        let current =
            across.map(|((hot, earth), s)| (source.energizer.source(*s) - (hot - earth)) / source.energizer.impedance(*s));
        Some(self.spectrum.pulse_in(&mut Work::default(), current))
    }

    /// What a run of one rail admits, by frequency: at one end, and from that to the other.
    pub(super) fn admittances(&self, span: usize) -> Option<Vec<(Complex64, Complex64)>> {
        let span = &self.circuit.spans[span];
        self.circuit.kinds[span.kind].two_port(span.length_m)
    }

    /// Impedance between two nodes that are coupled, by frequency.
    pub(super) fn between_nodes(&self, one: Node, other: Node) -> Vec<Complex64> {
        self.behind(Between::Rails(one, other)).map(|(_, impedance)| impedance).collect()
    }

    /// What an ampere into a node lifts every node, by node then frequency: a column of the inverse.
    pub fn column(&self, from: Node) -> Vec<Vec<Complex64>> {
        let mut columns = vec![Vec::with_capacity(self.spectrum.points().len()); self.circuit.nodes()];
        for block in &self.blocks {
            let mut lift = vec![Lanes::ZERO; self.circuit.nodes()];
            lift[from] = Lanes::real(1.0);
            block.substitute(&self.elimination, &mut lift);
            for (column, lanes) in columns.iter_mut().zip(&lift) {
                column.extend((0..LANES).map(|n| lanes.at(n)));
            }
        }
        columns
    }
}

/// Pairs of nodes that the equations couple.
fn couplings(circuit: &Circuit) -> impl Iterator<Item = (Node, Node)> + '_ {
    let all = |span: &Span| {
        let nodes: Vec<Node> = span.from.iter().chain(&span.to).copied().collect();
        let pairs = (0..nodes.len()).flat_map(|i| (i + 1..nodes.len()).map(move |j| (i, j)));
        pairs.map(|(i, j)| (nodes[i], nodes[j])).collect::<Vec<_>>()
    };
    let links = circuit.links.iter().map(|link| (link.from, link.to));
    circuit.spans.iter().flat_map(all).chain(links).chain(circuit.sources.iter().map(|source| (source.hot, source.earth)))
}

impl Block {
    fn new(circuit: &Circuit, spectrum: &Spectrum, elimination: &Elimination, runs: &Runs, first: usize) -> Self {
        let mut block = Self {
            inverse: Vec::with_capacity(elimination.steps.len()),
            lower: vec![Lanes::ZERO; elimination.upper.len()],
            volt: vec![Lanes::ZERO; circuit.nodes()],
            impedance: vec![Lanes::ZERO; circuit.nodes()],
            mutual: vec![Lanes::ZERO; elimination.upper.len()],
        };
        let mut diagonal = vec![Lanes::real(FLOATING_S); circuit.nodes()];
        block.assemble(circuit, spectrum, elimination, runs, first, &mut diagonal);
        block.eliminate(elimination, &mut diagonal);
        let mut volt = std::mem::take(&mut block.volt);
        block.substitute(elimination, &mut volt);
        block.volt = volt;
        block.invert(elimination);
        block
    }

    /// Adds up the admittances of everything, and the current of the energizer.
    fn assemble(
        &mut self,
        circuit: &Circuit,
        spectrum: &Spectrum,
        elimination: &Elimination,
        runs: &Runs,
        first: usize,
        diagonal: &mut [Lanes],
    ) {
        let mut admit = |one: Node, other: Node, value: &Lanes| {
            if one == other {
                diagonal[one].add(value);
            } else if let Some(place) = elimination.place(one, other) {
                self.lower[place].add(value);
            }
        };
        for (index, span) in circuit.spans.iter().enumerate() {
            runs.admittances(index, span, first, &mut admit);
        }
        for link in &circuit.links {
            let value = Lanes::real(1.0 / link.ohm);
            admit(link.from, link.from, &value);
            admit(link.to, link.to, &value);
            admit(link.from, link.to, &value.negative());
        }
        for shunt in &circuit.shunts {
            admit(shunt.at, shunt.at, &Lanes::real(1.0 / shunt.ohm));
        }
        for source in &circuit.sources {
            let points = &spectrum.points()[first..first + LANES];
            let value = Lanes::from_fn(|n| 1.0 / source.energizer.impedance(points[n]));
            admit(source.hot, source.hot, &value);
            admit(source.earth, source.earth, &value);
            admit(source.hot, source.earth, &value.negative());
            admit(source.earth, source.earth, &Lanes::real(1.0 / source.earth_ohm));
            let current = value.times(&Lanes::from_fn(|n| source.energizer.source(points[n])));
            self.volt[source.hot].add(&current);
            self.volt[source.earth].subtract(&current);
        }
    }

    /// Y = L D L^T in place.
    fn eliminate(&mut self, elimination: &Elimination, diagonal: &mut [Lanes]) {
        for step in &elimination.steps {
            let inverse = diagonal[step.node].inverse();
            let mut pairs = elimination.pairs[step.pairs.clone()].iter();
            for i in step.upper.clone() {
                let share = self.lower[i].times(&inverse);
                diagonal[elimination.upper[i]].subtract_product(&share, &self.lower[i]);
                for j in i + 1..step.upper.end {
                    let place = *pairs.next().expect("one place a pair");
                    let other = self.lower[j];
                    self.lower[place].subtract_product(&share, &other);
                }
                self.lower[i] = share;
            }
            self.inverse.push(inverse);
        }
    }

    /// Turns currents into voltages.
    fn substitute(&self, elimination: &Elimination, values: &mut [Lanes]) {
        for step in &elimination.steps {
            let value = values[step.node];
            for i in step.upper.clone() {
                values[elimination.upper[i]].subtract_product(&self.lower[i], &value);
            }
        }
        for (step, inverse) in elimination.steps.iter().zip(&self.inverse).rev() {
            let mut value = values[step.node].times(inverse);
            for i in step.upper.clone() {
                value.subtract_product(&self.lower[i], &values[elimination.upper[i]]);
            }
            values[step.node] = value;
        }
    }

    /// Entries of the inverse on the diagonal and where the factors have any.
    fn invert(&mut self, elimination: &Elimination) {
        for (step, inverse) in elimination.steps.iter().zip(&self.inverse).rev() {
            let (start, end) = (step.upper.start, step.upper.end);
            let pair = |i: usize, j: usize| {
                let (i, j) = (i.min(j) - start, i.max(j) - start);
                let degree = end - start;
                elimination.pairs[step.pairs.start + i * (2 * degree - i - 1) / 2 + (j - i - 1)]
            };
            let mut own = *inverse;
            for i in start..end {
                let mut value = Lanes::ZERO;
                for j in start..end {
                    let between = if i == j { &self.impedance[elimination.upper[i]] } else { &self.mutual[pair(i, j)] };
                    value.subtract_product(&self.lower[j], between);
                }
                own.subtract_product(&self.lower[i], &value);
                self.mutual[i] = value;
            }
            self.impedance[step.node] = own;
        }
    }
}
