//! What makes it impossible to say whether a line holds.

use super::range::OutOfRange;
use super::spacing::ContradictoryBand;
use crate::plan::FeatureId;

/// Something in the plan that the hold of a line cannot be worked out from.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum HoldError {
    /// The feature is no fence and no lead-out.
    #[error("{id} is no line that carries strands")]
    NotALine {
        /// The feature.
        id: FeatureId,
    },
    /// The line names a build that the plan does not have.
    #[error("line {line} has the build \"{build}\", which the plan does not list")]
    NoBuild {
        /// The line.
        line: FeatureId,
        /// What it names.
        build: String,
    },
    /// Something names a catalogue row that does not exist.
    #[error("the catalogue has no {what} \"{id}\"")]
    NoSuchRow {
        /// wire, post, soil.
        what: &'static str,
        /// What was named.
        id: String,
    },
    /// The state of the ground is none of the four.
    #[error("the ground is \"{state}\"; allowed are dry, damp, wet, frozen")]
    NoSuchState {
        /// What was named.
        state: String,
    },
    /// A strand's height is outside its own band.
    #[error("build \"{build}\": {band}")]
    Band {
        /// The build.
        build: String,
        /// The strand.
        band: ContradictoryBand,
    },
    /// A number of the build is none that the formulas are good for.
    #[error("build \"{build}\": {range}")]
    Range {
        /// The build.
        build: String,
        /// The number.
        range: OutOfRange,
    },
}
