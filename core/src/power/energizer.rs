//! An energizer as a source: four numbers from what is printed on the unit, and the limits of the standard.

use super::circuit::Circuit;
use super::solve::{Between, Solved};
use super::spectrum::Spectrum;
use super::strands::{PerMetre, Strand};
use crate::catalogue::{Conductor, Figures};
use num_complex::Complex64;

/// The load at which energizers are compared, ohm.
pub const STANDARD_LOAD_OHM: f64 = 500.0;
/// Most energy of one impulse in [`STANDARD_LOAD_OHM`] of a unit that is limited by its energy, joules (source `iec-60335-2-76`).
pub const MOST_ENERGY_J: f64 = 5.0;
/// Longest impulse, seconds (source `iec-60335-2-76`).
pub const LONGEST_S: f64 = 10e-3;
/// Highest peak at no load that is usual, volts (source `common-practice`: no clause of the standard was found that says it).
pub const USUAL_PEAK_V: f64 = 10_000.0;
/// Time constant of the front of a pulse where nothing else is known, seconds (source `common-practice`: 2 to 10 microseconds).
pub const FRONT_S: f64 = 5e-6;
/// Share of the energy that counts for the duration of an impulse (source `iec-60335-2-76`).
pub const DURATION_SHARE: f64 = 0.95;

/// How near a source comes to the figures that it was made from.
const FIT_SHARE: f64 = 1e-6;

/// What is printed on a unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Printed {
    /// Stored energy, joules.
    pub stored_j: f64,
    /// Peak voltage with nothing connected, volts.
    pub open_v: f64,
    /// Peak voltage at 500 ohm, volts.
    pub at_500_ohm_v: f64,
    /// Energy of a pulse in 500 ohm, joules.
    pub output_j: Option<f64>,
}

/// A source `V' (1 - exp(-t/tf))` behind a capacitance and a resistance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Energizer {
    /// V', volts.
    pub volt: f64,
    /// C', farad.
    pub farad: f64,
    /// Rs, ohm.
    pub ohm: f64,
    /// tf, seconds.
    pub front_s: f64,
    /// Share of the stored energy that reaches the capacitance: above 1 the printed figures contradict each other.
    pub charge_share: f64,
}

/// Why no source has such figures.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum FitError {
    /// A figure that must be positive is not.
    #[error("{what} is {found}; it must be above 0")]
    NotPositive {
        /// Which.
        what: &'static str,
        /// The value.
        found: f64,
    },
    /// The loaded voltage is not below the open one.
    #[error("{at_500_ohm_v} V at 500 ohm is not below {open_v} V with nothing connected")]
    NotLower {
        /// At 500 ohm.
        at_500_ohm_v: f64,
        /// With nothing connected.
        open_v: f64,
    },
    /// More energy comes out than is stored.
    #[error("{output_j} J come out of {stored_j} J stored")]
    MoreThanStored {
        /// At 500 ohm.
        output_j: f64,
        /// Stored.
        stored_j: f64,
    },
    /// No series resistance and front give these figures.
    #[error("no source gives these figures")]
    NoSource,
}

/// What a pulse does in a resistor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loaded {
    /// Peak voltage.
    pub peak_v: f64,
    /// When it is reached, seconds.
    pub at_s: f64,
    /// Energy in the resistor, joules.
    pub energy_j: f64,
}

/// Energy, duration and current of a pulse in 500 ohm beside what the standard allows. A unit complies in one of two ways: by its energy, or by
/// its current for the time that the impulse lasts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Energy in 500 ohm, joules.
    pub energy_j: f64,
    /// Peak with nothing connected, volts.
    pub open_v: f64,
    /// Shortest time that holds 95 % of the energy, seconds.
    pub duration_s: f64,
    /// Root mean square of the current in that time, amperes.
    pub current_a: f64,
    /// Most current for that time, amperes.
    pub most_current_a: f64,
}

impl Limits {
    /// Whether the impulse is within the standard, in either of its two ways.
    pub fn kept(&self) -> bool {
        !self.is_too_long() && (self.is_energy_kept() || self.is_current_kept())
    }
    /// Whether the impulse lasts longer than any may.
    pub fn is_too_long(&self) -> bool {
        self.duration_s > LONGEST_S
    }
    /// The one way: no more energy than a unit limited by it may give.
    pub fn is_energy_kept(&self) -> bool {
        self.energy_j <= MOST_ENERGY_J * (1.0 + FIT_SHARE)
    }
    /// The other way: a current under the line for the duration.
    pub fn is_current_kept(&self) -> bool {
        self.current_a <= self.most_current_a
    }
}

/// `x^(x/(1-x))`, the height of a double exponential; 1/e at 1.
fn height(x: f64) -> f64 {
    if (x - 1.0).abs() < 1e-6 { (-1.0_f64).exp() } else { x.powf(x / (1.0 - x)) }
}

/// The zero of a function that changes sign once between two places.
fn zero(mut low: f64, mut high: f64, function: impl Fn(f64) -> f64) -> Option<f64> {
    let (at_low, at_high) = (function(low), function(high));
    if (at_low * at_high).is_nan() || at_low * at_high > 0.0 {
        return None;
    }
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if function(middle) * at_low > 0.0 { low = middle } else { high = middle }
    }
    Some(0.5 * (low + high))
}

impl Printed {
    fn checked(self) -> Result<Self, FitError> {
        let figures = [
            ("stored energy", Some(self.stored_j)),
            ("open voltage", Some(self.open_v)),
            ("voltage at 500 ohm", Some(self.at_500_ohm_v)),
            ("output energy", self.output_j),
        ];
        for (what, found) in figures {
            if let Some(found) = found.filter(|value| !(*value > 0.0 && value.is_finite())) {
                return Err(FitError::NotPositive { what, found });
            }
        }
        if self.at_500_ohm_v >= self.open_v {
            return Err(FitError::NotLower { at_500_ohm_v: self.at_500_ohm_v, open_v: self.open_v });
        }
        match self.output_j.filter(|output_j| *output_j >= self.stored_j) {
            Some(output_j) => Err(FitError::MoreThanStored { output_j, stored_j: self.stored_j }),
            None => Ok(self),
        }
    }
}

impl From<&Figures> for Printed {
    fn from(figures: &Figures) -> Self {
        Self {
            stored_j: figures.stored_j,
            open_v: figures.open_kv * 1e3,
            at_500_ohm_v: figures.at_500_ohm_kv * 1e3,
            output_j: figures.output_j,
        }
    }
}

impl Energizer {
    /// The source that gives the printed figures. With `x = tf/((R + Rs) C')`, `phi(x) = x^(x/(1-x))`:
    /// `V500/Vopen = 500/(500 + Rs) phi(x)`, `E500 = 1/2 C' V'^2 500/(500 + Rs)/(1 + x)`, `C' = 2 ec Est/V'^2`.
    /// First with all stored energy used (ec = 1, tf free), else with the shortest front and ec free.
    ///
    /// # Source
    /// `pulse-source`.
    /// # Errors
    /// [`FitError`].
    pub fn fit(printed: Printed) -> Result<Self, FitError> {
        let printed = printed.checked()?;
        let Printed { stored_j, open_v, at_500_ohm_v, output_j } = printed;
        let ratio = at_500_ohm_v / open_v;
        if let Some(share) = output_j.map(|output_j| output_j / stored_j)
            && let Some(found) = Self::with_free_front(printed, ratio, share)
        {
            return Ok(found);
        }
        let behind = |charge_share: f64| {
            let farad = 2.0 * charge_share * stored_j / (open_v * open_v);
            let of = |ohm: f64| {
                STANDARD_LOAD_OHM / (STANDARD_LOAD_OHM + ohm) * height(FRONT_S / ((STANDARD_LOAD_OHM + ohm) * farad)) - ratio
            };
            zero(0.0, 1e5, of).map(|ohm| Self { volt: open_v, farad, ohm, front_s: FRONT_S, charge_share })
        };
        let Some(output_j) = output_j else { return behind(1.0).ok_or(FitError::NoSource) };
        let miss = |charge_share: f64| {
            behind(charge_share).map_or(-1.0, |source| source.into_resistor(STANDARD_LOAD_OHM).energy_j / output_j - 1.0)
        };
        let charge_share = zero(0.2, 2.0, miss).ok_or(FitError::NoSource)?;
        behind(charge_share).ok_or(FitError::NoSource)
    }

    fn with_free_front(printed: Printed, ratio: f64, share: f64) -> Option<Self> {
        let wanted = ratio / share;
        let x = zero(1e-9, 1.0, |x| height(x) * (1.0 + x) - wanted)?;
        let divided = share * (1.0 + x);
        let ohm = STANDARD_LOAD_OHM * (1.0 / divided - 1.0);
        let farad = 2.0 * printed.stored_j / (printed.open_v * printed.open_v);
        let front_s = x * (STANDARD_LOAD_OHM + ohm) * farad;
        (divided < 1.0 && front_s >= FRONT_S).then_some(Self { volt: printed.open_v, farad, ohm, front_s, charge_share: 1.0 })
    }

    /// Peak and energy in a resistor, closed form: `v = V' rho (exp(-t/tau) - exp(-t/tf))/(1 - x)`.
    pub fn into_resistor(&self, load_ohm: f64) -> Loaded {
        let tau_s = (load_ohm + self.ohm) * self.farad;
        let x = self.front_s / tau_s;
        let divided = load_ohm / (load_ohm + self.ohm);
        let at_s = if (x - 1.0).abs() < 1e-6 { self.front_s } else { self.front_s * (1.0 / x).ln() / (1.0 - x) };
        let energy_j = 0.5 * self.farad * self.volt * self.volt * divided / (1.0 + x);
        Loaded { peak_v: self.volt * divided * height(x), at_s, energy_j }
    }

    /// Voltage over a resistor at a time after the start, volts.
    fn over_resistor_v(&self, load_ohm: f64, at_s: f64) -> f64 {
        let tau_s = (load_ohm + self.ohm) * self.farad;
        let x = self.front_s / tau_s;
        let divided = self.volt * load_ohm / (load_ohm + self.ohm);
        if (x - 1.0).abs() < 1e-6 {
            return divided * at_s / tau_s * (-at_s / tau_s).exp();
        }
        divided * ((-at_s / tau_s).exp() - (-at_s / self.front_s).exp()) / (1.0 - x)
    }

    /// Its open voltage over s: `V'/(s (1 + s tf))`.
    pub fn source(&self, s: Complex64) -> Complex64 {
        self.volt / (s * (s * self.front_s + 1.0))
    }

    /// Its impedance: `Rs + 1/(s C')`.
    pub fn impedance(&self, s: Complex64) -> Complex64 {
        1.0 / (s * self.farad) + self.ohm
    }

    /// What the standard limits, at 500 ohm: energy, duration, and the current for the duration,
    /// `t(ms) = 41.885e3 I(mA)^-1.34`, 15.7 A below 0.1 ms.
    ///
    /// # Source
    /// `iec-60335-2-76` 22.108; the line from memory.
    pub fn limits(&self) -> Limits {
        const STEPS: usize = 4_000;
        let step_s = 12.0 * (STANDARD_LOAD_OHM + self.ohm) * self.farad / STEPS as f64;
        let mut sums = Vec::with_capacity(STEPS + 1);
        let mut sum = 0.0;
        for n in 0..=STEPS {
            let volt = self.over_resistor_v(STANDARD_LOAD_OHM, n as f64 * step_s);
            sum += volt * volt / STANDARD_LOAD_OHM * step_s;
            sums.push(sum);
        }
        let wanted = DURATION_SHARE * sum;
        // The shortest stretch that holds the share: for every start the first end that does.
        let mut end = 0;
        let mut shortest = STEPS;
        for start in 0..STEPS {
            let before = if start == 0 { 0.0 } else { sums[start - 1] };
            while end < STEPS && sums[end] - before < wanted {
                end += 1;
            }
            if sums[end] - before < wanted {
                break;
            }
            shortest = shortest.min(end - start);
        }
        let duration_s = shortest as f64 * step_s;
        let energy_j = self.into_resistor(STANDARD_LOAD_OHM).energy_j;
        let current_a = (DURATION_SHARE * energy_j / STANDARD_LOAD_OHM / duration_s).sqrt();
        Limits { energy_j, open_v: self.volt, duration_s, current_a, most_current_a: most_current_a(duration_s) }
    }
}

/// Resistance to which the fence is shorted for a test of the earth, ohm (`earth-rod-sheet`: a few metal posts against the wires).
const SHORT_OHM: f64 = 50.0;
/// How far from the energizer, metres (`earth-rod-sheet`: 100 m or more).
const SHORT_AT_M: f64 = 100.0;
/// The wire to there: 14 gauge, 0.5 m up.
const SHORT_RADIUS_M: f64 = 1.016e-3;
const SHORT_HEIGHT_M: f64 = 0.5;
/// What the earth may rise by in that test, volts (`earth-rod-sheet`: 200 or 300 V).
pub const EARTH_TEST_V: f64 = 300.0;

impl Energizer {
    /// Peak rise of the earth when the fence is shorted to the ground 100 m away, against far ground; a voltmeter with its spike a metre
    /// from a single rod shows about three quarters of it.
    ///
    /// # Units
    /// `earth_ohm` in ohm, `soil_ohm_m` in ohm.m; volts.
    /// # Source
    /// `earth-rod-sheet` (the test); the network is solved as any other.
    pub fn earth_test_v(&self, earth_ohm: f64, soil_ohm_m: f64) -> f64 {
        let spectrum = Spectrum::quick();
        let conductor = Conductor::Round { radius_m: SHORT_RADIUS_M, resistivity_ohm_m: 1.75e-7, mu_r: 80.0, zinc_m: 34e-6 };
        let strand = Strand { conductor, height_m: SHORT_HEIGHT_M, leak_s_per_m: 0.0, live: true };
        let mut circuit = Circuit::default();
        let (terminal, short) = (circuit.node(), circuit.node());
        let kind = circuit.kind(PerMetre::of(&[strand], soil_ohm_m, spectrum.points()));
        circuit.span(kind, terminal, short, SHORT_AT_M);
        circuit.shunt(short, SHORT_OHM);
        let earth = circuit.connect(*self, terminal, earth_ohm);
        Solved::new(&circuit, spectrum).open(Between::Ground(earth)).peak().value.abs()
    }
}

/// Most root-mean-square current of an impulse of a duration, amperes (see [`Energizer::limits`]).
pub fn most_current_a(duration_s: f64) -> f64 {
    let shortest_ms = (duration_s * 1e3).max(0.1);
    (41.885e3 / shortest_ms).powf(1.0 / 1.34) / 1e3
}
