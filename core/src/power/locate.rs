//! Where is the fault: what every possible fault would make a voltmeter read, held against what it did read.

use super::fine::{Fine, FinePlace, JOINED_OHM, Meter};
use super::located::{LocateError, expected, next, told};
use super::solve::Solved;
use super::spectrum::{Spectrum, Work};
use super::wiring::Wiring;
use crate::bounds::READINGS;
use crate::catalogue::GroundState;
use crate::plan::FeatureId;
use crate::units::Length;
use num_complex::Complex64;
use rayon::prelude::*;

/// Faults of these resistances are tried, ohm: logarithmic steps.
const LEAST_OHM: f64 = 10.0;
const MOST_OHM: f64 = 20_000.0;
const OHM_STEPS: usize = 46;
/// How many times the usual the strands may leak (natural logarithm, spread of what is believed beforehand).
const LEAK_SPREAD: f64 = 0.5;
pub(super) const LEAK_STEPS: [f64; 8] = [0.3, 0.5, 0.7, 1.0, 1.4, 2.0, 3.2, 5.0];
/// Spread of a voltmeter, as a share.
pub const METER_SPREAD: f64 = 0.05;
/// Spread of the model.
pub const MODEL_SPREAD: f64 = 0.03;
/// Spread of a current meter.
const CURRENT_SPREAD: f64 = 0.10;
/// Below this a current is noise, amperes.
const CURRENT_FLOOR_A: f64 = 0.05;
/// How often a direction is read right.
const DIRECTION_RIGHT: f64 = 0.95;
/// How probable it is, before any reading, that nothing is wrong.
const NO_FAULT: f64 = 0.1;
/// A fault that changes every reading by less than this share of a meter's spread is not seen by them.
const UNSEEN: f64 = 0.5;
/// What a meter shows of nothing, volts.
const LEAST_V: f64 = 20.0;
/// Directions of weaker currents are hard to read, amperes.
const DIRECTION_FROM_A: f64 = 0.3;

/// A reading on a line.
#[derive(Clone, Debug, PartialEq)]
pub struct Read {
    /// The line.
    pub line: FeatureId,
    /// Where on it, on the ground.
    pub station: Length,
    /// Peak voltage, volts.
    pub volt: Option<f64>,
    /// Peak current in the line, amperes.
    pub ampere: Option<f64>,
    /// Whether it flows towards the end of the line.
    pub towards_end: Option<bool>,
}

impl Read {
    /// Whether a current or its direction is read.
    pub(super) fn wants_current(&self) -> bool {
        self.ampere.is_some() || self.towards_end.is_some()
    }
}

/// What sort of fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sort {
    /// Something leads to the ground.
    Contact,
    /// Something stands in the way: a bad joint, a break.
    Along,
}

/// A stretch of a line that may hold the fault.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspect {
    /// The line.
    pub line: FeatureId,
    /// From here.
    pub from: Length,
    /// To here; the same for a single place.
    pub to: Length,
    /// The most probable place within.
    pub likeliest: Length,
    /// The sort that is more probable there.
    pub sort: Sort,
    /// How probable it is that the fault is in this range, 0 to 1.
    pub probability: f64,
    /// Its resistance, geometric mean over what is probable of that sort, ohm.
    pub ohm: f64,
}

/// What readings tell.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Located {
    /// The most probable first; no two of one line unless it has several peaks.
    pub suspects: Vec<Suspect>,
    /// How probable it is that nothing but growth is wrong, or nothing that these readings could show, 0 to 1.
    pub nothing: f64,
    /// Readings with what the wires as drawn would give, in the order given; `None` for a reading where no wire runs.
    pub expected: Vec<Option<Expected>>,
    /// How many times the usual the strands seem to leak.
    pub leak_times: f64,
    /// The station of [`Wiring::stations`] where one more reading would tell most.
    pub next: Option<usize>,
    /// By place that was tried, its probability: for the map.
    pub places: Vec<(Place, f64)>,
}

/// What a reading should be without any fault.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// Peak voltage, volts.
    pub volt: f64,
    /// Peak current towards the end of the line, amperes; negative towards its start.
    pub ampere: f64,
}

/// A place that is tried.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// The line.
    pub line: FeatureId,
    /// Where on it.
    pub station: Length,
    pub(super) nodes: FinePlace,
    /// Length of line that it stands for, metres.
    pub(super) stands_for_m: f64,
}

/// A fault that may be; without a place: none.
pub(super) struct Tried {
    pub place: Option<usize>,
    pub sort: Sort,
    pub ohm: f64,
    pub leak: usize,
    /// Logarithm of what is believed of it before any reading.
    before: f64,
    /// How probable it is, all together 1.
    pub weight: f64,
    /// Whether any of the meters would tell it from no fault at all.
    pub is_seen: bool,
}

/// What every possible fault would make meters at some places read.
pub struct Foreseen {
    pub(super) fine: Fine,
    pub(super) state: GroundState,
    tried: Vec<Tried>,
    /// By fault, then by meter: volts and amperes towards the end of the line.
    values: Vec<(f64, f64)>,
}

/// Holds every fault of every resistance at every place against the readings (Bayes on a grid): `ln V ~ N(ln V_model, s^2)`,
/// `ln(I + 0.05 A)` alike, directions as right in 95 of 100; one fault at most, growth between a third and five times the usual. A fault is a
/// rank-one change of the solved network: to ground `V' = V - Z_rf V_f/(R_f + Z_ff)`, in the way alike with the difference of two nodes.
///
/// # Source
/// `bayes-grid`.
/// # Errors
/// [`LocateError`].
pub fn locate(wiring: &Wiring, state: GroundState, reads: &[Read]) -> Result<Located, LocateError> {
    let foreseen = Foreseen::of(wiring, state, reads)?;
    let tried = foreseen.weighed(reads)?;
    Ok(Located {
        next: next(&foreseen, &tried, reads),
        expected: expected(&foreseen.fine, state),
        ..told(&foreseen.fine, &tried)
    })
}

impl Foreseen {
    /// For meters where these readings are; currents only where one or its direction is read.
    ///
    /// # Errors
    /// [`LocateError::Undriven`], [`LocateError::TooMany`].
    pub fn of(wiring: &Wiring, state: GroundState, reads: &[Read]) -> Result<Self, LocateError> {
        if !wiring.is_driven() {
            return Err(LocateError::Undriven);
        }
        if reads.len() > READINGS {
            return Err(LocateError::TooMany { found: reads.len() });
        }
        let fine = Fine::of(wiring, reads);
        let by_leak: Vec<_> = (0..LEAK_STEPS.len()).into_par_iter().map(|leak| foresee(&fine, state, leak)).collect();
        let (mut tried, mut values) = (Vec::new(), Vec::new());
        for (of_leak, of_values) in by_leak {
            tried.extend(of_leak);
            values.extend(of_values);
        }
        Ok(Self { fine, state, tried, values })
    }

    /// Where the fault may be by these readings, one for each place that was foreseen, in their order.
    ///
    /// # Errors
    /// [`LocateError::NoReading`].
    pub fn locate(&self, reads: &[Read]) -> Result<Located, LocateError> {
        Ok(told(&self.fine, &self.weighed(reads)?))
    }

    fn weighed(&self, reads: &[Read]) -> Result<Vec<Tried>, LocateError> {
        if !reads.iter().any(|read| read.volt.is_some() || read.ampere.is_some() || read.towards_end.is_some()) {
            return Err(LocateError::NoReading);
        }
        let meters = self.fine.meters.len();
        let log = |(index, tried): (usize, &Tried)| {
            let values = &self.values[index * meters..(index + 1) * meters];
            let known = self.fine.meters.iter().zip(reads.iter().zip(values)).filter(|(meter, _)| meter.is_some());
            tried.before + known.map(|(_, (read, value))| fit(read, *value)).sum::<f64>()
        };
        let logs: Vec<f64> = self.tried.iter().enumerate().map(log).collect();
        let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let sum: f64 = logs.iter().map(|log| (log - top).exp()).sum();
        let weighed = self.tried.iter().zip(logs).map(|(tried, log)| Tried { weight: (log - top).exp() / sum, ..*tried });
        Ok(weighed.collect())
    }
}

/// Logarithm of how well values fit what was read.
fn fit(read: &Read, (model_v, model_a): (f64, f64)) -> f64 {
    let mut sum = 0.0;
    if let Some(read_v) = read.volt {
        let miss = (read_v.max(LEAST_V) / model_v.max(LEAST_V)).ln();
        sum -= miss * miss / (2.0 * (METER_SPREAD * METER_SPREAD + MODEL_SPREAD * MODEL_SPREAD));
    }
    if let Some(read_a) = read.ampere {
        let miss = ((read_a.abs() + CURRENT_FLOOR_A) / (model_a.abs() + CURRENT_FLOOR_A)).ln();
        sum -= miss * miss / (2.0 * CURRENT_SPREAD * CURRENT_SPREAD);
    }
    if let Some(towards_end) = read.towards_end {
        let sure = (DIRECTION_RIGHT - 0.5) * model_a.abs() / (model_a.abs() + DIRECTION_FROM_A);
        sum += if towards_end == (model_a > 0.0) { 0.5 + sure } else { 0.5 - sure }.ln();
    }
    sum
}

/// Whether a meter tells one from the other.
fn differ((volt, ampere): (f64, f64), (other_v, other_a): (f64, f64)) -> bool {
    let volts = (volt.max(LEAST_V) / other_v.max(LEAST_V)).ln().abs();
    let amperes = ((ampere.abs() + CURRENT_FLOOR_A) / (other_a.abs() + CURRENT_FLOOR_A)).ln().abs();
    volts > UNSEEN * METER_SPREAD || amperes > UNSEEN * CURRENT_SPREAD
}

/// Everything that is tried with one factor of growth, with what meters would read.
fn foresee(fine: &Fine, state: GroundState, leak: usize) -> (Vec<Tried>, Vec<(f64, f64)>) {
    let spectrum = Spectrum::quick();
    let circuit = fine.wiring.clone().leaking(LEAK_STEPS[leak]).circuit(state, spectrum);
    let solved = Solved::new(&circuit, spectrum);
    let probes: Vec<Option<Probe>> = fine.meters.iter().map(|meter| Some(Probe::new(&solved, meter.as_ref()?))).collect();
    let grown = -0.5 * (LEAK_STEPS[leak].ln() / LEAK_SPREAD).powi(2);
    let mut tried = vec![Tried {
        place: None,
        sort: Sort::Contact,
        ohm: f64::INFINITY,
        leak,
        before: grown + NO_FAULT.ln(),
        weight: 0.0,
        is_seen: false,
    }];
    let mut work = Work::default();
    let mut values: Vec<(f64, f64)> =
        probes.iter().map(|probe| probe.as_ref().map_or((0.0, 0.0), |probe| probe.without(spectrum, &mut work))).collect();
    let total_m: f64 = fine.places.iter().map(|place| place.stands_for_m).sum();
    for (index, place) in fine.places.iter().enumerate() {
        for sort in [Sort::Contact, Sort::Along] {
            let ohms = ohms(sort);
            let before = grown + (1.0 - NO_FAULT).ln() + (place.stands_for_m / total_m / 2.0 / ohms.len() as f64).ln();
            let change = Change::new(&solved, place, sort);
            let lifts: Vec<Option<Lift>> = probes.iter().map(|probe| probe.as_ref().map(|probe| change.lift(probe))).collect();
            for ohm in ohms {
                let share = change.share(ohm);
                let mut with = |(probe, lift): (&Option<Probe>, &Option<Lift>)| {
                    let there = probe.as_ref().zip(lift.as_ref());
                    there.map_or((0.0, 0.0), |(probe, lift)| probe.with(spectrum, lift, &share, &mut work))
                };
                let read: Vec<(f64, f64)> = probes.iter().zip(&lifts).map(&mut with).collect();
                let is_seen = read.iter().zip(&values).any(|(with, without)| differ(*with, *without));
                tried.push(Tried { place: Some(index), sort, ohm, leak, before, weight: 0.0, is_seen });
                values.extend(read);
            }
        }
    }
    (tried, values)
}

/// Resistances that are tried.
fn ohms(sort: Sort) -> Vec<f64> {
    match sort {
        Sort::Contact => {
            let step = (MOST_OHM / LEAST_OHM).ln() / (OHM_STEPS - 1) as f64;
            (0..OHM_STEPS).map(|n| LEAST_OHM * (step * n as f64).exp()).collect()
        }
        Sort::Along => vec![100.0, 300.0, 1e3, 3e3, 1e4, 1e9],
    }
}

/// A meter's place in the solved network: volts and amperes without a fault, and how an ampere anywhere changes them.
struct Probe {
    volt: Vec<Complex64>,
    column: Vec<Vec<Complex64>>,
    current: Option<CurrentProbe>,
}

struct CurrentProbe {
    ampere: Vec<Complex64>,
    column: Vec<Vec<Complex64>>,
}

/// How an ampere of a fault changes volts and amperes of a meter, by frequency.
struct Lift {
    volt: Vec<Complex64>,
    ampere: Vec<Complex64>,
}

impl Probe {
    fn new(solved: &Solved, meter: &Meter) -> Self {
        let volt: Vec<_> = solved.volt(meter.node).collect();
        let column = solved.column(meter.node);
        let current = meter.through.and_then(|through| {
            let far: Vec<_> = solved.volt(through.other).collect();
            let far_column = solved.column(through.other);
            let pairs = solved.admittances(through.span)?;
            let into = |near: &[Complex64], far: &[Complex64]| -> Vec<Complex64> {
                let ends = near.iter().zip(far);
                pairs.iter().zip(ends).map(|((own, across), (near, far))| (own * near + across * far) * through.sign).collect()
            };
            let columns = column.iter().zip(&far_column).map(|(near, far)| into(near, far)).collect();
            Some(CurrentProbe { ampere: into(&volt, &far), column: columns })
        });
        Self { volt, column, current }
    }

    fn without(&self, spectrum: &Spectrum, work: &mut Work) -> (f64, f64) {
        let mut peak = |values: &[Complex64]| spectrum.pulse_in(work, values.iter().copied()).peak().value;
        (peak(&self.volt).abs(), self.current.as_ref().map_or(0.0, |current| peak(&current.ampere)))
    }

    fn with(&self, spectrum: &Spectrum, lift: &Lift, share: &[Complex64], work: &mut Work) -> (f64, f64) {
        let mut peak = |values: &[Complex64], lift: &[Complex64]| {
            let changed = values.iter().zip(lift.iter().zip(share)).map(|(value, (lift, share))| value - lift * share);
            spectrum.pulse_in(work, changed).peak().value
        };
        (peak(&self.volt, &lift.volt).abs(), self.current.as_ref().map_or(0.0, |current| peak(&current.ampere, &lift.ampere)))
    }
}

/// What a fault at a place does to the network, whatever its resistance.
struct Change {
    sort: Sort,
    place: FinePlace,
    /// Voltage that drives it, by frequency.
    drive: Vec<Complex64>,
    /// Impedance behind it.
    behind: Vec<Complex64>,
}

impl Change {
    fn new(solved: &Solved, place: &Place, sort: Sort) -> Self {
        let place = place.nodes;
        match sort {
            Sort::Contact => {
                Self { sort, place, drive: solved.volt(place.after).collect(), behind: solved.impedance(place.after).collect() }
            }
            Sort::Along => {
                let drive =
                    solved.volt(place.before).zip(solved.volt(place.after)).map(|(before, after)| before - after).collect();
                let behind = solved.between_nodes(place.before, place.after);
                Self { sort, place, drive, behind }
            }
        }
    }

    /// Current that a fault of this resistance takes, by frequency. In the way it replaces a joint of [`JOINED_OHM`].
    fn share(&self, ohm: f64) -> Vec<Complex64> {
        let own = match self.sort {
            Sort::Contact => ohm,
            Sort::Along => 1.0 / (1.0 / ohm - 1.0 / JOINED_OHM),
        };
        self.drive.iter().zip(&self.behind).map(|(drive, behind)| drive / (behind + own)).collect()
    }

    /// How an ampere of it changes volts and amperes of a meter.
    fn lift(&self, probe: &Probe) -> Lift {
        let of = |columns: &[Vec<Complex64>]| -> Vec<Complex64> {
            let after = &columns[self.place.after];
            match self.sort {
                Sort::Contact => after.clone(),
                Sort::Along => columns[self.place.before].iter().zip(after).map(|(before, after)| before - after).collect(),
            }
        };
        Lift { volt: of(&probe.column), ampere: probe.current.as_ref().map(|current| of(&current.column)).unwrap_or_default() }
    }
}
