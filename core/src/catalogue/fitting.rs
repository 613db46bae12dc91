//! Gates and the small parts that are bought with a fence.

use super::RowSource;
use crate::units::Length;
use serde::Deserialize;

/// One way to open a fence.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct GateRow {
    /// Id in plans.
    pub id: String,
    /// What people call it.
    pub label: String,
    /// The widest opening it is made for.
    #[serde(rename = "widest_m")]
    pub widest: Length,
    /// Whether it carries the pulse.
    pub live: bool,
    /// Where the values come from.
    #[serde(flatten)]
    pub sources: RowSource,
}

/// One small part.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct FittingRow {
    /// Id in orders.
    pub id: String,
    /// What people call it.
    pub label: String,
    /// The heading it stands under in an order: fittings, gates, power.
    pub group: String,
    /// In what it is counted: piece or metre.
    pub counted_in: String,
    /// How many come in a pack.
    pub pack: u32,
    /// Where the values come from.
    #[serde(flatten)]
    pub sources: RowSource,
}
