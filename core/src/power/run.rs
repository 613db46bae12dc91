//! Sorts of runs: the strands of a build with what grows along them, or a cable in the ground.

use super::strands::{PerMetre, Strand};
use super::wiring::STATES;
use crate::catalogue::Conductor;
use num_complex::Complex64;

/// Outer radius of the insulation that is assumed around a wire in the ground that has none, metres: it would not work without.
const ASSUMED_SHEATH_RADIUS_M: f64 = 3e-3;
/// Relative permittivity of polyethylene (source `polyethylene-permittivity`).
const POLYETHYLENE: f64 = 2.3;

/// A sort of run.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum RunOf {
    /// Strands on posts.
    Strands(Vec<RunStrand>),
    /// Insulated conductors in the ground, side by side.
    Cable { conductor: Conductor, count: usize },
}

/// A strand with its leak by state.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct RunStrand {
    pub(super) conductor: Conductor,
    pub(super) height_m: f64,
    pub(super) live: bool,
    pub(super) leak_s_per_m: [f64; STATES.len()],
}

impl RunOf {
    /// How many live strands it has.
    pub(super) fn live(&self) -> usize {
        match self {
            Self::Strands(strands) => strands.iter().filter(|strand| strand.live).count(),
            Self::Cable { count, .. } => *count,
        }
    }

    /// How many rails it has.
    pub(super) fn rails(&self) -> usize {
        match self {
            Self::Strands(strands) => 1 + usize::from(strands.iter().any(|strand| !strand.live)),
            Self::Cable { .. } => 1,
        }
    }

    /// Constants of a metre in a state of the ground.
    pub(super) fn per_metre(&self, state: usize, soil_ohm_m: f64, points: &[Complex64]) -> PerMetre {
        match self {
            Self::Strands(strands) => {
                let strand = |strand: &RunStrand| Strand {
                    conductor: strand.conductor,
                    height_m: strand.height_m,
                    leak_s_per_m: strand.leak_s_per_m[state],
                    live: strand.live,
                };
                PerMetre::of(&strands.iter().map(strand).collect::<Vec<_>>(), soil_ohm_m, points)
            }
            Self::Cable { conductor, count } => {
                let (outer_m, permittivity) = match *conductor {
                    Conductor::Cable { outer_radius_m, permittivity, .. } => (outer_radius_m, permittivity),
                    _ => (conductor.radius_m() + ASSUMED_SHEATH_RADIUS_M, POLYETHYLENE),
                };
                PerMetre::of_cable(conductor, outer_m, permittivity, soil_ohm_m, points).times(*count)
            }
        }
    }
}
