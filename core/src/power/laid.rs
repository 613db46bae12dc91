//! Constants of runs that were worked out before: dragging a corner changes lengths, not what lines are strung with.

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
