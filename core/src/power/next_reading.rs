//! Where to read next.

use super::fine::Fine;
use super::locate::{Change, DIGIT_V, Foreseen, Read, Suspect, Tried};
use super::located::STRETCH;
use super::solve::Solved;
use super::spectrum::Spectrum;
use super::wiring::Station;

/// A place this near to a reading was read, metres.
const READ_NEAR_M: f64 = 12.0;
/// Faults that are looked at: the most probable ones that hold this share.
const LOOKED_AT: f64 = 0.98;
const MOST_LOOKED_AT: usize = 120;

/// The station of a fence, not read yet, where what would be read differs most among the faults that are probable: weighted variance of ln V. While a
/// suspect's stretch is long there is one always: where nothing differs, next to the middle of it.
pub(super) fn next(foreseen: &Foreseen, tried: &[Tried], reads: &[Read], first: Option<&Suspect>) -> Option<usize> {
    let (fine, state) = (&foreseen.fine, foreseen.state);
    let likely = likely(tried);
    if likely.len() < 2 {
        return None;
    }
    let spectrum = Spectrum::quick();
    let circuit = fine.wiring.circuit(state, spectrum);
    let solved = Solved::new(&circuit, spectrum);
    let taken: Vec<(Change, Vec<_>)> = likely.iter().map(|one| taken(fine, &solved, one)).collect();
    let spread = |node: usize| {
        let (column, volt): (_, Vec<_>) = (solved.column(node), solved.volt(node).collect());
        let logs = likely.iter().zip(&taken).map(|(one, (change, taken))| {
            let lift = change.lifts(&column);
            let values: Vec<_> = (0..volt.len()).map(|k| volt[k] - lift[k] * taken[k]).collect();
            (one.weight, spectrum.pulse(&values).peak().value.abs().max(DIGIT_V).ln())
        });
        let logs: Vec<(f64, f64)> = logs.collect();
        let whole: f64 = logs.iter().map(|(weight, _)| weight).sum();
        let mean = logs.iter().map(|(weight, log)| weight * log).sum::<f64>() / whole;
        logs.iter().map(|(weight, log)| weight * (log - mean) * (log - mean)).sum::<f64>() / whole
    };
    let was_read = |station: &Station| {
        let near = |read: &Read| read.line == station.line && (read.station - station.station).as_metres().abs() < READ_NEAR_M;
        reads.iter().any(|read| read.volt.is_some() && near(read))
    };
    let unread = || fine.wiring.stations.iter().enumerate().filter(|(_, station)| !was_read(station));
    let long = first.filter(|first| first.stretch() > STRETCH);
    let within =
        |station: &Station| long.is_none_or(|long| station.line == long.line && (long.from..=long.to).contains(&station.station));
    let fences = unread().filter(|(_, station)| station.is_fence && within(station));
    let best = fences.map(|(index, station)| (index, spread(station.hot))).max_by(|one, other| one.1.total_cmp(&other.1));
    let middle = || {
        let long = long?;
        let off = |station: &Station| (station.station - (long.from + long.to) * 0.5).as_metres().abs();
        let there = unread().filter(|(_, station)| station.line == long.line);
        there.min_by(|one, other| off(one.1).total_cmp(&off(other.1))).map(|(index, _)| index)
    };
    best.map(|best| best.0).or_else(middle)
}

/// The most probable faults.
fn likely(tried: &[Tried]) -> Vec<&Tried> {
    let mut likely: Vec<&Tried> = tried.iter().filter(|one| one.place.is_some()).collect();
    likely.sort_by(|one, other| other.weight.total_cmp(&one.weight));
    let whole: f64 = likely.iter().map(|one| one.weight).sum();
    let mut sum = 0.0;
    likely.retain(|one| {
        sum += one.weight;
        sum - one.weight < LOOKED_AT * whole
    });
    // Evenly through them, not the first alone: those may all be of one place.
    let each = likely.len().div_ceil(MOST_LOOKED_AT).max(1);
    likely.into_iter().step_by(each).collect()
}

/// What a tried fault does, and the current that it takes, by frequency.
fn taken(fine: &Fine, solved: &Solved, one: &Tried) -> (Change, Vec<num_complex::Complex64>) {
    let change = Change::new(solved, &fine.places[one.place.unwrap_or(0)], one.sort);
    let taken = change.share(one.ohm);
    (change, taken)
}
