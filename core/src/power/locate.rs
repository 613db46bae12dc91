//! Where is the fault: what every possible fault would make a voltmeter read, held against what it did read.

use super::fine::{Fine, FinePlace, JOINED_OHM, Meter};
use super::located::{LocateError, expected, told};
use super::next_reading::next;
use super::solve::Solved;
use super::spectrum::{Spectrum, Work};
use super::weighing::{differ, weighed};
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
const OHM_STEPS: usize = 31;
/// Bad joints of these resistances are tried, ohm: logarithmic steps. A break is beyond them.
const LEAST_JOINT_OHM: f64 = 50.0;
const MOST_JOINT_OHM: f64 = 2e5;
const JOINT_STEPS: usize = 18;
/// A break, ohm.
const BREAK_OHM: f64 = 1e9;
/// How much of what stands in the way is believed to be a break, before any reading.
const BREAKS: f64 = 1.0 / 3.0;
/// Between two resistances that are tried, values are taken from both in so many parts: no place is favoured because a step fits it.
pub(super) const PARTS: usize = 4;
/// How many times the usual the strands may leak (natural logarithm, spread of what is believed beforehand).
const LEAK_SPREAD: f64 = 0.5;
pub(super) const LEAK_STEPS: [f64; 8] = [0.3, 0.5, 0.7, 1.0, 1.4, 2.0, 3.2, 5.0];
/// Spread of a voltmeter, as a share.
pub const METER_SPREAD: f64 = 0.05;
/// Spread of the model.
pub const MODEL_SPREAD: f64 = 0.03;
/// The last digit that a fence voltmeter shows, volts: it may be one more or one less (`common-practice`).
pub const DIGIT_V: f64 = 100.0;
/// How probable it is, before any reading, that nothing is wrong.
const NO_FAULT: f64 = 0.1;

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

/// How probable each kind of fault is among those of a stretch, together 1.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Kinds {
    /// Something leads to the ground.
    pub ground: f64,
    /// A bad joint.
    pub joint: f64,
    /// A break.
    pub broken: f64,
}

impl Kinds {
    /// The most probable.
    pub fn most(&self) -> f64 {
        self.ground.max(self.joint).max(self.broken)
    }
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
    /// Which kinds of fault it may be.
    pub kinds: Kinds,
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
#[derive(Clone, Copy)]
pub(super) struct Tried {
    pub place: Option<usize>,
    pub sort: Sort,
    pub ohm: f64,
    pub leak: usize,
    /// Logarithm of what is believed of it before any reading.
    pub before: f64,
    /// How probable it is, all together 1.
    pub weight: f64,
    /// Whether any of the meters would tell it from no fault at all.
    pub is_seen: bool,
}

/// What every possible fault would make meters at some places read.
pub struct Foreseen {
    pub(super) fine: Fine,
    pub(super) state: GroundState,
    pub(super) tried: Vec<Tried>,
    /// By fault, then by meter: volts and amperes towards the end of the line.
    pub(super) values: Vec<(f64, f64)>,
}

/// Holds every fault of every resistance at every place against the readings (Bayes on a grid): `V ~ N(V_model, (s V)^2 + digit^2)`,
/// `ln(I + 0.05 A)` with an error of its own and one that all currents share, directions as right in 95 of 100; one fault at most, growth between a
/// third and five times the usual. What is told is the mean over the readings as they are and with each a last digit more or less. A fault is a rank-one
/// change of the solved network: to ground `V' = V - Z_rf V_f/(R_f + Z_ff)`, in the way alike with the difference of two nodes.
///
/// # Source
/// `bayes-grid`.
/// # Errors
/// [`LocateError`].
pub fn locate(wiring: &Wiring, state: GroundState, reads: &[Read]) -> Result<Located, LocateError> {
    let foreseen = Foreseen::of(wiring, state, reads)?;
    let tried = foreseen.weighed(reads)?;
    let told = told(&foreseen.fine, &tried);
    Ok(Located { next: next(&foreseen, &tried, reads, told.suspects.first()), expected: expected(&foreseen.fine, state), ..told })
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
        Ok(weighed(self, reads))
    }
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
            let believed = grown + (1.0 - NO_FAULT).ln() + (place.stands_for_m / total_m / 2.0).ln();
            let change = Change::new(&solved, place, sort);
            let lifts: Vec<Option<Lift>> = probes.iter().map(|probe| probe.as_ref().map(|probe| change.lift(probe))).collect();
            for (ohm, of_sort) in ohms {
                let before = believed + f64::ln(of_sort);
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

/// Resistances that are tried, each with how much of its sort it is believed to be.
fn ohms(sort: Sort) -> Vec<(f64, f64)> {
    let steps = |least: f64, most: f64, count: usize, share: f64| {
        let step = (most / least).ln() / (count - 1) as f64;
        (0..count).map(move |n| (least * (step * n as f64).exp(), share / count as f64)).collect::<Vec<_>>()
    };
    match sort {
        Sort::Contact => steps(LEAST_OHM, MOST_OHM, OHM_STEPS, 1.0),
        Sort::Along => {
            let mut all = steps(LEAST_JOINT_OHM, MOST_JOINT_OHM, JOINT_STEPS, 1.0 - BREAKS);
            all.push((BREAK_OHM, BREAKS));
            all
        }
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
pub(super) struct Change {
    sort: Sort,
    place: FinePlace,
    /// Voltage that drives it, by frequency.
    drive: Vec<Complex64>,
    /// Impedance behind it.
    behind: Vec<Complex64>,
}

impl Change {
    pub(super) fn new(solved: &Solved, place: &Place, sort: Sort) -> Self {
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
    pub(super) fn share(&self, ohm: f64) -> Vec<Complex64> {
        let own = match self.sort {
            Sort::Contact => ohm,
            Sort::Along => 1.0 / (1.0 / ohm - 1.0 / JOINED_OHM),
        };
        self.drive.iter().zip(&self.behind).map(|(drive, behind)| drive / (behind + own)).collect()
    }

    /// How an ampere of it changes what the columns of a node, or of a current, are about.
    pub(super) fn lifts(&self, columns: &[Vec<Complex64>]) -> Vec<Complex64> {
        let after = &columns[self.place.after];
        match self.sort {
            Sort::Contact => after.clone(),
            Sort::Along => columns[self.place.before].iter().zip(after).map(|(before, after)| before - after).collect(),
        }
    }

    /// How an ampere of it changes volts and amperes of a meter.
    fn lift(&self, probe: &Probe) -> Lift {
        Lift {
            volt: self.lifts(&probe.column),
            ampere: probe.current.as_ref().map(|current| self.lifts(&current.column)).unwrap_or_default(),
        }
    }
}
