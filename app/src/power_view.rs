//! What the stage Power shows: in which state of the ground, measured how, and at which place the pulse itself.

use crate::session::{Pointed, Session};
use hillwire_core::catalogue::GroundState;
use hillwire_core::outcome::LineOutcome;
use hillwire_core::plan::{ENTRY_REACH_M, Feature, FeatureId, Kind};
use hillwire_core::power::{Arrived, Pulse, StatePower, Station};
use hillwire_core::units::Length;
use std::collections::HashMap;
use std::ops::Range;

/// How a voltage is measured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Measured {
    /// With nothing else connected, as a meter does.
    #[default]
    Open,
    /// Over 500 ohm, at which units are compared.
    Over500,
    /// Over the animal behind the line.
    Animal,
}

impl Measured {
    /// All of them, in the order in which they are offered.
    pub const ALL: [Self; 3] = [Self::Open, Self::Over500, Self::Animal];

    /// The peak, volts; `None` where no animal is behind the line.
    pub fn of(self, arrived: &Arrived) -> Option<f64> {
        match self {
            Self::Open => Some(arrived.open_v),
            Self::Over500 => Some(arrived.loaded_v),
            Self::Animal => arrived.animal_v,
        }
    }
}

/// What a voltage is worth beside what the stock minds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Bite {
    /// Less than it minds.
    Less,
    /// Just what it minds.
    Just,
    /// Well above.
    Well,
}

/// Well above begins at this many times what the stock minds (common practice, no source).
pub const WELL: f64 = 1.5;
/// What stock minds where none is behind the line, volts (common practice, no source).
pub const USUAL_NEED_V: f64 = 3000.0;

/// What this voltage is worth to an animal that minds from `need_v` on.
pub fn bite(volts: f64, need_v: f64) -> Bite {
    match volts / need_v {
        share if share < 1.0 => Bite::Less,
        share if share < WELL => Bite::Just,
        _ => Bite::Well,
    }
}

/// What the stage shows.
#[derive(Clone, Debug, PartialEq)]
pub struct PowerView {
    /// In which state of the ground.
    pub state: GroundState,
    /// Measured how.
    pub measured: Measured,
    /// The place whose pulse is drawn.
    pub pulse_at: Option<Pointed>,
}

impl Default for PowerView {
    fn default() -> Self {
        Self { state: GroundState::Wet, measured: Measured::default(), pulse_at: None }
    }
}

/// What a pulse is drawn of: the revision of the plan, the station in its wiring, the state of the ground.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PulseOf {
    /// Revision of the plan.
    pub revision: u64,
    /// Index of the station in the wiring.
    pub station: usize,
    /// State of the ground.
    pub state: GroundState,
}

/// The pulse at a place: with nothing connected, and over 500 ohm.
#[derive(Clone, Debug, PartialEq)]
pub struct PulseShape {
    /// Of what.
    pub of: PulseOf,
    /// Open, over 500 ohm.
    pub pulses: [Pulse; 2],
}

/// A station with what arrives there in one state.
pub type Place<'a> = (usize, &'a Station, Option<Arrived>);

impl Session {
    /// What arrives in the state that is shown; `None` where nothing drives the network.
    pub fn power_shown(&self) -> Option<&StatePower> {
        self.outcome.power.state(self.power_view.state)
    }

    /// The stations of a line in a state, in order, with what arrives there.
    pub fn places_of<'a>(&'a self, line: &FeatureId, state: &'a StatePower) -> impl Iterator<Item = Place<'a>> {
        let stations = &self.outcome.power.wiring.stations;
        let here = self.power_stations.get(line).cloned().unwrap_or_default();
        here.filter_map(|index| Some((index, stations.get(index)?, *state.stations.get(index)?)))
    }

    /// The station nearest to a place on a line.
    pub fn station_near(&self, line: &FeatureId, station_m: f64) -> Option<usize> {
        let off = |station: &Station| (station.station.as_metres() - station_m).abs();
        let stations = self.power_stations.get(line).cloned().unwrap_or_default();
        let stations = stations.filter_map(|index| Some((index, self.outcome.power.wiring.stations.get(index)?)));
        stations.min_by(|(_, one), (_, other)| off(one).total_cmp(&off(other))).map(|(index, _)| index)
    }

    /// Where a feature that is a point stands on its line.
    pub fn place_on_line(&self, feature: &Feature) -> Option<Pointed> {
        let at = self.frame.to_map(feature.point()?).ok()?;
        crate::map::nearest_line(self, at, ON_LINE_M)
    }

    /// The pulse that shall be drawn; `None` where no place is chosen or none gets there.
    pub fn pulse_wanted(&self) -> Option<PulseOf> {
        let pointed = self.power_view.pulse_at.as_ref()?;
        let station = self.station_near(&pointed.line, pointed.station_m)?;
        self.power_shown()?.stations.get(station).copied().flatten()?;
        Some(PulseOf { revision: self.outcome.revision, station, state: self.power_view.state })
    }

    /// The lowest of a line's places in a state, by what remains over 500 ohm.
    pub fn lowest_of(&self, line: &FeatureId, state: GroundState) -> Option<(&Station, Arrived)> {
        let fed =
            self.places_of(line, self.outcome.power.state(state)?).filter_map(|(_, station, arrived)| Some((station, arrived?)));
        fed.min_by(|one, other| one.1.loaded_v.total_cmp(&other.1.loaded_v))
    }

    /// What the stock behind the lines minds, from the least to the most, volts.
    pub fn needs_v(&self) -> Option<(f64, f64)> {
        let needs = self.outcome.power.wiring.stations.iter().filter_map(|station| station.bitten()).map(|bitten| bitten.asked_v);
        needs
            .fold(None, |known, need| Some(known.map_or((need, need), |(low, high): (f64, f64)| (low.min(need), high.max(need)))))
    }

    /// Readings of the plan on a line: where, kilovolts, and the feature.
    pub fn readings_on<'a>(&'a self, line: &'a LineOutcome) -> impl Iterator<Item = (Length, f64, &'a Feature)> {
        self.shapes.all().filter_map(|shape| {
            let feature = shape.feature.as_ref();
            let Kind::Reading(reading) = &feature.kind else { return None };
            let kv = reading.kv.filter(|_| self.shows_entry(feature))?;
            let names_it = reading.of.line.as_deref() == Some(line.id.as_str());
            let reach_m = if names_it { ENTRY_REACH_M } else { ON_LINE_M };
            let (_, place) = crate::map::along(line, shape.point()?, reach_m)?;
            Some((Length::metres(place.station_m), kv, feature))
        })
    }
}

/// The stations of each line: they stand line by line.
pub fn stations_by_line(stations: &[Station]) -> HashMap<FeatureId, Range<usize>> {
    let mut all: HashMap<FeatureId, Range<usize>> = HashMap::new();
    for (index, station) in stations.iter().enumerate() {
        all.entry(station.line.clone()).or_insert(index..index).end = index + 1;
    }
    all
}

/// A point this near to a line stands on it, metres on the map.
const ON_LINE_M: f64 = 1.0;

/// What an animal behind this place minds, volts; the usual where none is known.
pub fn need_v(station: &Station) -> f64 {
    station.bitten().map_or(USUAL_NEED_V, |bitten| bitten.asked_v)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bite_is_judged_by_what_the_stock_minds() {
        for (volts, need_v, expected) in [
            (2900.0, 3000.0, Bite::Less),
            (3000.0, 3000.0, Bite::Just),
            (4499.0, 3000.0, Bite::Just),
            (4500.0, 3000.0, Bite::Well),
            (4500.0, 4500.0, Bite::Just),
        ] {
            assert_eq!(bite(volts, need_v), expected, "{volts} V for {need_v} V");
        }
    }
}
