//! Animals by species and class.

use super::RowSource;
use crate::units::{Force, Length};
use serde::Deserialize;

/// One class of a species.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct AnimalRow {
    /// Id in the catalogue.
    pub id: String,
    /// Species, as in plans.
    pub species: String,
    /// Class within the species.
    pub class: String,
    /// What people call it.
    pub label: String,
    /// Height of the shoulder.
    #[serde(rename = "shoulder_m")]
    pub shoulder: Length,
    /// Mass of one.
    pub mass_kg: f64,
    /// Mass from which an animal of unknown class is taken for this one; `None` for what is only ever chosen.
    pub from_kg: Option<f64>,
    /// How far it reaches through with its snout.
    #[serde(rename = "reach_m")]
    pub reach: Option<Length>,
    /// Usual heights of the strands, the lowest first.
    #[serde(rename = "strands_m")]
    pub strands: Vec<Length>,
    /// Lowest and highest clearance of the lowest strand.
    #[serde(rename = "band_m")]
    pub band: Option<(Length, Length)>,
    /// Peak voltage wanted at the far end in the wettest state.
    pub least_v: f64,
    /// Days to learn the fence; `None` for what is to be kept out.
    pub train_days: Option<u32>,
    /// Highest gap that it will not creep under.
    #[serde(rename = "creep_m")]
    pub creep: Length,
    /// Lowest fence that it will not jump.
    #[serde(rename = "jump_m")]
    pub jump: Option<Length>,
    /// How hard it leans on a strand.
    #[serde(rename = "push_n")]
    pub push: Force,
    /// Where the values come from.
    #[serde(flatten)]
    pub sources: RowSource,
}
