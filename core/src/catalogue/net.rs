//! Electric netting.

use super::RowSource;
use crate::units::Length;
use serde::Deserialize;

/// One size of netting.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct NetRow {
    /// Id in the catalogue.
    pub id: String,
    /// What people call it.
    pub label: String,
    /// Height of its top.
    #[serde(rename = "height_m")]
    pub height: Length,
    /// Width and height of the openings at its foot.
    #[serde(rename = "mesh_m")]
    pub mesh: (Length, Length),
    /// Catalogue id of the wire that its twines are, for the pulse.
    pub wire: String,
    /// Heights of its live twines; the lowest one lies on the ground and is none.
    #[serde(rename = "live_m")]
    pub live: Vec<Length>,
    /// Distance between its own stakes.
    #[serde(rename = "stakes_m")]
    pub stakes: Length,
    /// Length of a roll.
    #[serde(rename = "roll_m")]
    pub roll: Length,
    /// Mass of a roll with its stakes, kg.
    pub weight_kg: f64,
    /// How rolls are joined.
    pub joins: String,
    /// Where the values come from.
    #[serde(flatten)]
    pub sources: RowSource,
}
