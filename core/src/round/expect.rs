//! What a voltmeter should read at a stop, and below what something is wrong.

use crate::catalogue::GroundState;
use crate::plan::FeatureId;
use crate::power::{Arrived, Laid, METER_SPREAD, MODEL_SPREAD, Power, StatePower, Station};
use crate::units::Length;

/// How many times the usual the strands may leak before that counts as a fault: one spread of what is believed beforehand, e^0.5.
///
/// # Source
/// Key `bayes-grid`: ln k ~ N(0, 0.5).
pub const LEAK_SPREAD: f64 = 0.5;
/// A sound fence reads less than this many spreads below its expectation once in twenty readings.
const ONE_IN_TWENTY: f64 = 1.645;

/// What a meter should read at a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// Peak voltage that the model expects, volts.
    pub volt: f64,
    /// The least that a sound fence reads in nineteen of twenty cases, volts.
    pub least_v: f64,
}

/// What is expected along all lines in a state of the ground.
pub(super) struct Expectation<'a> {
    stations: &'a [Station],
    usual: &'a StatePower,
    leaky: StatePower,
}

/// The least that a sound fence reads: the expectation less 1.645 spreads, `V exp(-1.645 sqrt(m^2 + k^2 + l^2))`, where m is the meter's spread,
/// k the model's, and l how much a reading falls (natural logarithm) when all strands leak e^0.5 times the usual.
///
/// # Units
/// Volts.
/// # Valid for
/// Errors that are small and independent.
/// # Source
/// Key `bayes-grid`: spreads of 5 %, 3 % and 0.5; one-sided 5 % of the normal distribution.
pub fn least_v(expected_v: f64, leaky_v: f64) -> f64 {
    let leak = (expected_v / leaky_v).ln().max(0.0);
    expected_v * (-ONE_IN_TWENTY * (METER_SPREAD.powi(2) + MODEL_SPREAD.powi(2) + leak.powi(2)).sqrt()).exp()
}

impl<'a> Expectation<'a> {
    /// Of a network in a state; `None` where nothing drives it.
    pub fn of(power: &'a Power, state: GroundState) -> Option<Self> {
        let usual = power.state(state)?;
        let leaky = power.wiring.as_ref().clone().leaking(LEAK_SPREAD.exp());
        let leaky = StatePower::of(&leaky, state, &Laid::default());
        Some(Self { stations: &power.wiring.stations, usual, leaky })
    }

    /// At a place of a line, between the nearest places that are worked out; `None` where no pulse gets.
    pub fn at(&self, line: &FeatureId, station: Length) -> Option<Expected> {
        let volt = self.volt(&self.usual.stations, line, station)?;
        let leaky = self.volt(&self.leaky.stations, line, station)?;
        Some(Expected { volt, least_v: least_v(volt, leaky) })
    }

    fn volt(&self, arrived: &[Option<Arrived>], line: &FeatureId, station: Length) -> Option<f64> {
        let here = self.stations.iter().zip(arrived).filter(|(one, _)| one.line == *line);
        let known: Vec<(f64, f64)> =
            here.filter_map(|(one, arrived)| Some((one.station.as_metres(), arrived.as_ref()?.open_v))).collect();
        let station_m = station.as_metres();
        let before = known.iter().filter(|(at_m, _)| *at_m <= station_m + 1e-6).max_by(|one, other| one.0.total_cmp(&other.0));
        let after = known.iter().filter(|(at_m, _)| *at_m >= station_m - 1e-6).min_by(|one, other| one.0.total_cmp(&other.0));
        match (before, after) {
            (Some((from_m, from_v)), Some((to_m, to_v))) if to_m > from_m => {
                Some(from_v + (to_v - from_v) * (station_m - from_m) / (to_m - from_m))
            }
            (Some((_, volt)), _) | (None, Some((_, volt))) => Some(*volt),
            (None, None) => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_least_reading_falls_with_every_uncertainty() {
        // Without leakage: 1.645 sqrt(0.05^2 + 0.03^2) = 0.0959.
        assert!((least_v(6000.0, 6000.0) - 6000.0 * (-0.095_92_f64).exp()).abs() < 0.5);
        // A fall of a tenth: ln(1/0.9) = 0.1054; 1.645 sqrt(0.0034 + 0.0111) = 0.1981.
        assert!((least_v(6000.0, 5400.0) - 6000.0 * (-0.198_1_f64).exp()).abs() < 1.0);
        assert!((least_v(6000.0, 6300.0) - least_v(6000.0, 6000.0)).abs() < 1e-9, "more leakage never counts as less spread");
    }
}
