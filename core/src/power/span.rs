//! A run of line between two nodes as admittances: exact for one rail, by halving for several.

use super::circuit::{Circuit, Node, Span};
use super::lanes::{LANES, Lanes};
use super::strands::{PerMetre, inverse};
use nalgebra::DMatrix;
use num_complex::Complex64;
use std::collections::BTreeMap;
use std::sync::Arc;

/// How often a run of several rails is halved: pieces of a 256th are short against every wave in it.
const HALVINGS: u32 = 8;

/// What runs admit, by kind: propagation and wave impedance of kinds with one rail, ready two-ports of runs with several.
pub(super) struct Runs {
    single: Vec<Option<Single>>,
    several: Vec<Option<Arc<Several>>>,
}

/// Propagation (1/m) and characteristic impedance (ohm) of one rail, by frequency.
struct Single {
    propagation: Vec<Complex64>,
    wave_ohm: Vec<Complex64>,
}

/// A run of several rails as a pi: what joins the two ends, and what each end has to ground, by frequency.
struct Several {
    along: Vec<DMatrix<Complex64>>,
    aside: Vec<DMatrix<Complex64>>,
}

impl Runs {
    pub(super) fn new(circuit: &Circuit) -> Self {
        let single = circuit.kinds.iter().map(|kind| (kind.rails() == 1).then(|| Single::new(kind)));
        let mut made: BTreeMap<(usize, u64), Arc<Several>> = BTreeMap::new();
        let several = circuit.spans.iter().map(|span| {
            let kind = &circuit.kinds[span.kind];
            let of_length = || Arc::new(Several::new(kind, span.length_m));
            (kind.rails() > 1).then(|| made.entry((span.kind, span.length_m.to_bits())).or_insert_with(of_length).clone())
        });
        Self { single: single.collect(), several: several.collect() }
    }

    /// Hands every admittance of a run, from the frequency `first` on, to `admit`.
    pub(super) fn admittances(&self, index: usize, span: &Span, first: usize, admit: &mut impl FnMut(Node, Node, &Lanes)) {
        match (&self.single[span.kind], &self.several[index]) {
            (Some(single), _) => single.admittances(span, first, admit),
            (None, Some(several)) => several.admittances(span, first, admit),
            (None, None) => {}
        }
    }
}

impl PerMetre {
    /// `Y11` and `Y12` of a run of one rail, by frequency.
    pub(super) fn two_port(&self, length_m: f64) -> Option<Vec<(Complex64, Complex64)>> {
        let single = (self.rails() == 1).then(|| Single::new(self))?;
        Some((0..single.propagation.len()).map(|k| single.two_port(length_m, k)).collect())
    }
}

impl Single {
    fn new(kind: &PerMetre) -> Self {
        let pairs = || kind.series.iter().map(|series| series[(0, 0)]).zip(kind.shunt.iter().map(|shunt| shunt[(0, 0)]));
        Self {
            propagation: pairs().map(|(series, shunt)| (series * shunt).sqrt()).collect(),
            wave_ohm: pairs().map(|(series, shunt)| (series / shunt).sqrt()).collect(),
        }
    }

    #[inline]
    fn two_port(&self, length_m: f64, k: usize) -> (Complex64, Complex64) {
        let left = (-self.propagation[k] * length_m).exp();
        let squared = left * left;
        let scale = 1.0 / ((1.0 - squared) * self.wave_ohm[k]);
        ((squared + 1.0) * scale, left * scale * -2.0)
    }

    /// `Y11 = (1 + q^2)/((1 - q^2) Zc)`, `Y12 = -2 q/((1 - q^2) Zc)`, `q = exp(-gamma l)`: no growing exponential is formed.
    fn admittances(&self, span: &Span, first: usize, admit: &mut impl FnMut(Node, Node, &Lanes)) {
        let mut across = [Complex64::ZERO; LANES];
        let own = Lanes::from_fn(|n| {
            let (own, other) = self.two_port(span.length_m, first + n);
            across[n] = other;
            own
        });
        admit(span.from[0], span.from[0], &own);
        admit(span.to[0], span.to[0], &own);
        admit(span.from[0], span.to[0], &Lanes::from_fn(|n| across[n]));
    }
}

impl Several {
    /// Starts with a piece so short that it is a plain pi, and joins it with itself: with Y along and P aside,
    /// `Y' = Y (2 (Y + P))^-1 Y`, `P' = P + Y (Y + P)^-1 P`. No difference of like numbers is taken.
    fn new(kind: &PerMetre, length_m: f64) -> Self {
        let piece_m = length_m / f64::from(2_u32.pow(HALVINGS));
        let (mut along, mut aside) = (Vec::new(), Vec::new());
        for (series, shunt) in kind.series.iter().zip(&kind.shunt) {
            // Second order: a sixth of z y is taken off what holds back, a twelfth off what leaks.
            let one = DMatrix::identity(series.nrows(), series.nrows());
            let (z, y) = (series * Complex64::from(piece_m), shunt * Complex64::from(piece_m));
            let product = &y * &z;
            let mut y_along = inverse(&z * (&one + &product * Complex64::from(1.0 / 6.0)));
            let mut y_aside = (&one - &product * Complex64::from(1.0 / 12.0)) * &y * Complex64::from(0.5);
            for _ in 0..HALVINGS {
                let between = inverse(&y_along + &y_aside);
                let carried = &y_along * between;
                y_aside = &y_aside + &carried * &y_aside;
                y_along = &carried * &y_along * Complex64::from(0.5);
            }
            along.push(y_along);
            aside.push(y_aside);
        }
        Self { along, aside }
    }

    fn admittances(&self, span: &Span, first: usize, admit: &mut impl FnMut(Node, Node, &Lanes)) {
        let rails = span.from.len();
        for i in 0..rails {
            for j in 0..rails {
                let own = Lanes::from_fn(|n| self.along[first + n][(i, j)] + self.aside[first + n][(i, j)]);
                let across = Lanes::from_fn(|n| -self.along[first + n][(i, j)]);
                if i <= j {
                    admit(span.from[i], span.from[j], &own);
                    admit(span.to[i], span.to[j], &own);
                }
                admit(span.from[i], span.to[j], &across);
            }
        }
    }
}
