//! Will it bite: the pulse from the energizer through every wire to the farthest post, and back through the earth.
//!
//! Wires, strands and earth give constants of a metre of line; a circuit joins them; it is solved at complex frequencies and brought back
//! to time.

mod changes;
mod circuit;
mod courses;
pub mod earth;
mod edits;
mod effects;
mod elimination;
mod energizer;
mod feeding;
mod fine;
mod helps;
mod laid;
mod lanes;
mod locate;
mod located;
mod next_reading;
mod run;
mod solve;
mod span;
mod spectrum;
pub mod strands;
mod stringing;
mod voltage;
mod weighing;
pub mod wire;
mod wire_up;
mod wiring;

pub use changes::{EARTH_SHARE, MOST_RODS, changes, earth_cures, earth_share, earth_state};
pub use circuit::{Circuit, Node};
pub use edits::{applied, edits};
pub use energizer::{
    DURATION_SHARE, EARTH_TEST_V, Energizer, FRONT_S, FitError, LONGEST_S, Limits, Loaded, MOST_ENERGY_J, Printed,
    STANDARD_LOAD_OHM, USUAL_PEAK_V, most_current_a,
};
pub use feeding::{CONNECTED_WITHIN_M, EARTH_WITHIN_M, USUAL_EARTH};
pub use helps::{Helped, NOTICED, Smaller, brings, helps, own_state, smaller};
pub use laid::Laid;
pub use locate::{DIGIT_V, Expected, Foreseen, Kinds, Located, METER_SPREAD, MODEL_SPREAD, Place, Read, Sort, Suspect, locate};
pub use located::readings_of;
pub use located::{LocateError, STRETCH};
pub use solve::{Between, Solved};
pub use spectrum::{Peak, Pulse, Spectrum};
pub use voltage::{Arrived, Driven, FarEnd, Power, StatePower, felt_v, is_judged, least_times};
pub use wire_up::{WiredFrom, wire_up};
pub use wiring::{Bitten, EarthRods, STATES, Station, WiredEarth, WiredEnergizer, WiredReading, Wiring, state_index};
