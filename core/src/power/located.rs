//! What the tried faults say together.

use super::fine::{Fine, Meter};
use super::locate::{Expected, Kinds, LEAK_STEPS, Located, Place, Read, Sort, Suspect, Tried};
use super::solve::{Between, Solved};
use super::spectrum::Spectrum;
use super::wiring::Wiring;
use crate::bounds::READINGS;
use crate::catalogue::GroundState;
use crate::plan::FeatureId;
use crate::units::Length;

/// Why nothing can be located.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LocateError {
    /// Nothing drives the wires.
    #[error("no energizer drives the wires")]
    Undriven,
    /// There are no readings.
    #[error("there is no reading")]
    NoReading,
    /// There are so many that nobody would wait for the answer.
    #[error("found {found} readings; allowed are {READINGS}: those that are farthest apart tell most")]
    TooMany {
        /// How many.
        found: usize,
    },
}

/// Share of a line's probability that its suspect's range holds.
const HELD: f64 = 0.97;
/// Suspects of less probability are not named.
const NAMED_FROM: f64 = 0.02;
/// A joint of more than this is a break, ohm.
const BREAK_FROM_OHM: f64 = 1e6;
/// A stretch longer than this is no place yet: one more reading is asked for.
///
/// # Source
/// Key `common-practice`.
pub const STRETCH: Length = Length::metres(60.0);

/// What the weighed faults say; what is expected and where to read next is left open.
pub(super) fn told(fine: &Fine, tried: &[Tried]) -> Located {
    let mut by_place = vec![0.0; fine.places.len()];
    for one in tried {
        if let Some(place) = one.place.filter(|_| one.is_seen) {
            by_place[place] += one.weight;
        }
    }
    let mut suspects: Vec<Suspect> =
        lines(&fine.places).iter().filter_map(|line| suspect(fine, line, &by_place, tried)).collect();
    suspects.retain(|suspect| suspect.probability >= NAMED_FROM);
    suspects.sort_by(|one, other| other.probability.total_cmp(&one.probability));
    let leak_times = tried.iter().map(|one| one.weight * LEAK_STEPS[one.leak].ln()).sum::<f64>().exp();
    Located {
        suspects,
        nothing: tried.iter().filter(|one| !one.is_seen).map(|one| one.weight).sum(),
        expected: Vec::new(),
        leak_times,
        next: None,
        places: fine.places.iter().cloned().zip(by_place).collect(),
    }
}

fn lines(places: &[Place]) -> Vec<FeatureId> {
    let mut lines: Vec<FeatureId> = places.iter().map(|place| place.line.clone()).collect();
    lines.dedup();
    lines
}

/// The shortest stretch around the most probable place of a line that holds most of the line's probability.
fn suspect(fine: &Fine, line: &FeatureId, by_place: &[f64], tried: &[Tried]) -> Option<Suspect> {
    let here: Vec<usize> = (0..by_place.len()).filter(|place| fine.places[*place].line == *line).collect();
    let whole: f64 = here.iter().map(|place| by_place[*place]).sum();
    let top = (0..here.len()).max_by(|one, other| by_place[here[*one]].total_cmp(&by_place[here[*other]]))?;
    let (mut low, mut high, mut held) = (top, top, by_place[here[top]]);
    while held < HELD * whole && (low > 0 || high + 1 < here.len()) {
        let below = if low > 0 { by_place[here[low - 1]] } else { -1.0 };
        let above = here.get(high + 1).map_or(-1.0, |place| by_place[*place]);
        if below > above {
            low -= 1;
            held += below;
        } else {
            high += 1;
            held += above;
        }
    }
    let inside =
        || tried.iter().filter(|one| one.is_seen && one.place.is_some_and(|place| (here[low]..=here[high]).contains(&place)));
    let weight = |sort: Sort| inside().filter(|one| one.sort == sort).map(|one| one.weight).sum::<f64>();
    let sort = if weight(Sort::Contact) >= weight(Sort::Along) { Sort::Contact } else { Sort::Along };
    let broken: f64 = inside().filter(|one| one.ohm > BREAK_FROM_OHM && one.sort == Sort::Along).map(|one| one.weight).sum();
    let all = weight(Sort::Contact) + weight(Sort::Along);
    let kinds = Kinds { ground: weight(Sort::Contact) / all, joint: (weight(Sort::Along) - broken) / all, broken: broken / all };
    let mean = inside().filter(|one| one.sort == sort).map(|one| one.weight * one.ohm.ln()).sum::<f64>() / weight(sort);
    let half = |place: usize| Length::metres(fine.places[place].stands_for_m / 2.0);
    Some(Suspect {
        line: line.clone(),
        from: fine.places[here[low]].station - half(here[low]),
        to: fine.places[here[high]].station + half(here[high]),
        likeliest: fine.places[here[top]].station,
        sort,
        kinds,
        probability: held,
        ohm: mean.exp(),
    })
}

/// What the readings would be without a fault and with the usual growth.
pub(super) fn expected(fine: &Fine, state: GroundState) -> Vec<Option<Expected>> {
    let spectrum = Spectrum::quick();
    let circuit = fine.wiring.circuit(state, spectrum);
    let solved = Solved::new(&circuit, spectrum);
    let one = |meter: &Option<Meter>| {
        let meter = (*meter)?;
        let ampere = meter.through.and_then(|through| {
            let pairs = solved.admittances(through.span)?;
            let into = pairs.iter().zip(solved.volt(meter.node).zip(solved.volt(through.other)));
            let values: Vec<_> = into.map(|((own, across), (near, far))| (own * near + across * far) * through.sign).collect();
            Some(spectrum.pulse(&values).peak().value)
        });
        Some(Expected { volt: solved.open(Between::Ground(meter.node)).peak().value.abs(), ampere: ampere.unwrap_or(0.0) })
    };
    fine.meters.iter().map(one).collect()
}

/// What meters without errors would read at these places of a network: volts, and amperes with their direction where a single rail runs.
pub fn readings_of(wiring: &Wiring, state: GroundState, places: &[(FeatureId, Length)]) -> Vec<Read> {
    let blank = |(line, station): &(FeatureId, Length)| Read {
        line: line.clone(),
        station: *station,
        volt: None,
        ampere: None,
        towards_end: Some(true),
    };
    let mut reads: Vec<Read> = places.iter().map(blank).collect();
    let fine = Fine::of(wiring, &reads);
    for (read, expected) in reads.iter_mut().zip(expected(&fine, state)) {
        read.volt = expected.map(|expected| expected.volt);
        read.ampere = expected.map(|expected| expected.ampere.abs());
        read.towards_end = expected.map(|expected| expected.ampere > 0.0);
    }
    reads
}

impl Suspect {
    /// How much of the line it is.
    pub fn stretch(&self) -> Length {
        self.to - self.from
    }
}
