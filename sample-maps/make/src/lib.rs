//! Invented places for Hillwire: ground worn by a small erosion model, and a plan drawn on it.
//!
//! Everything follows from the seeds in these files by the four operations and the square root, so the same bytes come
//! out on every machine.

mod brackenhope;
mod brackenhope_plan;
mod brackenhope_rounds;
mod drawing;
mod erosion;
mod geotiff;
mod larkfold;
mod larkfold_plan;
mod noise;
mod shape;

pub use geotiff::Heights;

/// One invented place.
pub struct Sample {
    /// Its name, and the beginning of its files' names.
    pub name: &'static str,
    /// Its ground.
    pub grid: Heights,
    /// The bytes of its plan file.
    pub plan: Vec<u8>,
    /// What was written down on its rounds, as a table.
    pub rounds: Option<String>,
}

/// All invented places.
pub fn samples() -> Vec<Sample> {
    vec![brackenhope::sample(), larkfold::sample()]
}
