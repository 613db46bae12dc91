//! Places and parts of lines that the map and the long section point at.

use hillwire_core::plan::FeatureId;

/// A place on a line that both the map and the long section point at.
#[derive(Clone, Debug, PartialEq)]
pub struct Pointed {
    /// The line.
    pub line: FeatureId,
    /// Station on the ground, metres.
    pub station_m: f64,
}

/// A part of a line.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// The line.
    pub line: FeatureId,
    /// Its first station, metres.
    pub from_m: f64,
    /// Its last station, metres.
    pub to_m: f64,
}
