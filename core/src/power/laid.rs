//! Constants of runs that were worked out before: dragging a corner changes lengths, not what lines are strung with.

use super::energizer::Energizer;
use super::run::RunOf;
use super::spectrum::Spectrum;
use super::strands::PerMetre;
use std::sync::{Arc, Mutex};

/// More sorts of runs than this are not kept.
const MOST: usize = 96;

/// Sorts of runs by state of the ground, with their constants.
#[derive(Debug, Default)]
pub struct Laid {
    known: Mutex<Vec<Known>>,
    /// Rise of an earth in the usual test, by source, resistance and soil.
    tested: Mutex<Vec<(Energizer, f64, f64, f64)>>,
}

#[derive(Debug)]
struct Known {
    run: RunOf,
    state: usize,
    soil_ohm_m: f64,
    frequencies: usize,
    per_metre: Arc<PerMetre>,
}

impl Laid {
    /// What the earth of an energizer rises by in the usual test, from before if nothing of it has changed.
    pub(super) fn earth_test_v(&self, source: &Energizer, earth_ohm: f64, soil_ohm_m: f64) -> f64 {
        let is_same = |(of, ohm, soil, _): &&(Energizer, f64, f64, f64)| {
            of == source && ohm.to_bits() == earth_ohm.to_bits() && soil.to_bits() == soil_ohm_m.to_bits()
        };
        let found = self.tested.lock().ok().and_then(|tested| tested.iter().find(is_same).map(|(.., volt)| *volt));
        found.unwrap_or_else(|| {
            let volt = source.earth_test_v(earth_ohm, soil_ohm_m);
            if let Ok(mut tested) = self.tested.lock() {
                if tested.len() >= MOST {
                    tested.drain(..MOST / 2);
                }
                tested.push((*source, earth_ohm, soil_ohm_m, volt));
            }
            volt
        })
    }

    /// The constants of a run in a state of the ground, from before if they are the same.
    pub(super) fn per_metre(&self, run: &RunOf, state: usize, soil_ohm_m: f64, spectrum: &Spectrum) -> Arc<PerMetre> {
        let frequencies = spectrum.points().len();
        let is_same = |known: &&Known| {
            known.state == state
                && known.frequencies == frequencies
                && known.soil_ohm_m.to_bits() == soil_ohm_m.to_bits()
                && known.run == *run
        };
        let found = self.known.lock().ok().and_then(|known| known.iter().find(is_same).map(|known| Arc::clone(&known.per_metre)));
        found.unwrap_or_else(|| {
            let per_metre = Arc::new(run.per_metre(state, soil_ohm_m, spectrum.points()));
            let made = Known { run: run.clone(), state, soil_ohm_m, frequencies, per_metre: Arc::clone(&per_metre) };
            if let Ok(mut known) = self.known.lock() {
                if known.len() >= MOST {
                    known.drain(..MOST / 2);
                }
                known.push(made);
            }
            per_metre
        })
    }
}
