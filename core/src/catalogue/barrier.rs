//! What a fence has to be to hold a class of animal: one row for fences inside, one for those at a boundary.

use super::RowSource;
use crate::units::Length;
use serde::Deserialize;

pub use crate::finding::{Grade, Purpose};

/// What strands have to be for animals of that mass and more.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HeavyRow {
    /// From this mass on, kg.
    pub from_kg: f64,
    /// They get over a lower top strand.
    #[serde(rename = "top_m")]
    pub top: Length,
    /// What is recommended.
    #[serde(rename = "usual_top_m")]
    pub usual_top: Length,
}

/// What netting has to be.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NetLimits {
    /// Least height.
    #[serde(rename = "least_m")]
    pub least: Length,
    /// Recommended height.
    #[serde(rename = "usual_m")]
    pub usual: Length,
    /// How far its foot may stand off the ground.
    #[serde(rename = "foot_m")]
    pub foot: Length,
}

/// What a fence of one class has to be, at one purpose.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct BarrierRow {
    /// For which purpose: interior or boundary; a roadside is a boundary.
    pub purpose: Purpose,
    /// Strands to propose, the lowest first; empty where netting is proposed.
    #[serde(rename = "strands_m")]
    pub strands: Vec<Length>,
    /// Numbers of those that return to earth, 1 the lowest.
    #[serde(default)]
    pub earthed: Vec<usize>,
    /// Fewest strands.
    pub strands_least: usize,
    /// Recommended number of strands.
    pub strands_usual: usize,
    /// The lowest strand over the real ground: fine up to.
    #[serde(rename = "under_m")]
    pub under: Length,
    /// Higher than this is worth a note.
    #[serde(rename = "under_note_m")]
    pub under_note: Length,
    /// The animal gets under a gap wider than this share of its shoulder.
    pub creep_share: Option<f64>,
    /// Or wider than this.
    #[serde(rename = "creep_m")]
    pub creep: Option<Length>,
    /// Widest gap between strands that begins below `gap_split`.
    #[serde(rename = "gap_low_m")]
    pub gap_low: Length,
    /// Widest gap that begins at `gap_split` or above; as below where the row leaves it out.
    #[serde(rename = "gap_high_m")]
    pub gap_high: Option<Length>,
    /// Where the one ends and the other begins.
    #[serde(rename = "gap_split_m")]
    pub gap_split: Option<Length>,
    /// Nor is any gap wider than this share of the shoulder.
    pub gap_share: Option<f64>,
    /// The animal gets over a lower top strand.
    #[serde(rename = "top_m")]
    pub top: Length,
    /// What is recommended.
    #[serde(rename = "usual_top_m")]
    pub usual_top: Length,
    /// The top strand is no lower than this share of the shoulder.
    pub top_share: Option<f64>,
    /// Nor is what is recommended.
    pub usual_top_share: Option<f64>,
    /// Whether an animal shorter than `top` asks for no more than its own height.
    #[serde(default)]
    pub top_is_shoulder: bool,
    /// What heavy ones ask of the top, rising towards it from the class's first mass.
    pub heavy: Option<HeavyRow>,
    /// What a top below the recommended one is worth; a note where the row leaves it out.
    pub below_usual: Option<Grade>,
    /// Between these heights a single strand holds animals that have learnt it.
    #[serde(rename = "single_m")]
    pub single: Option<(Length, Length)>,
    /// From this mass on, kg.
    pub single_from_kg: Option<f64>,
    /// So near to that band somebody has to go and see.
    #[serde(rename = "single_near_m")]
    pub single_near: Option<Length>,
    /// Whether the lowest strand belongs at the ground, so that what piles up there is no reason to hang it higher.
    #[serde(default)]
    pub near_ground: bool,
    /// What such a fence is worth at most.
    pub at_best: Option<Grade>,
    /// What netting has to be; `None` where nobody says.
    pub net: Option<NetLimits>,
    /// Where the values come from.
    #[serde(flatten)]
    pub sources: RowSource,
}

impl BarrierRow {
    /// The strands to propose, each with whether it is live.
    pub fn proposed(&self) -> impl Iterator<Item = (Length, bool)> + '_ {
        self.strands.iter().enumerate().map(|(index, height)| (*height, !self.earthed.contains(&(index + 1))))
    }
}
