//! Will it bite: the pulse from the energizer through every wire to the farthest post, and back through the earth.
//!
//! Wires, strands and earth give constants of a metre of line; a circuit joins them; it is solved at complex frequencies and brought back
//! to time.

mod circuit;
pub mod earth;
mod elimination;
mod energizer;
mod lanes;
mod solve;
mod span;
mod spectrum;
pub mod strands;
pub mod wire;

pub use circuit::{Circuit, Node};
pub use energizer::{
    DURATION_SHARE, Energizer, FRONT_S, FitError, HIGHEST_PEAK_V, Limits, Loaded, MOST_ENERGY_J, Printed, STANDARD_LOAD_OHM,
    most_current_a,
};
pub use solve::{Between, Solved};
pub use spectrum::{Peak, Pulse, Spectrum};
