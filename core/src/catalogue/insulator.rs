//! Insulators.

use super::RowSource;
use crate::units::Force;
use serde::Deserialize;

/// Where an insulator is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum InsulatorRole {
    /// Holds a strand up.
    Line,
    /// Holds a strand away from a post or tree.
    Offset,
    /// A strand ends in it.
    End,
    /// A strand turns in it.
    Corner,
    /// Slipped over a strand where it crosses something.
    Sleeve,
}

/// One insulator of the catalogue.
#[derive(Clone, Debug, PartialEq)]
pub struct InsulatorRow {
    /// Id in plans.
    pub id: String,
    /// What people call it.
    pub label: String,
    /// What it is fixed to: wood, t-post, rod, any.
    pub fits: String,
    /// Where it is used.
    pub role: InsulatorRole,
    /// What pulls it off along its weak axis.
    pub pull: Option<Force>,
    /// Friction of a strand that slides through; `None` where it does not slide.
    pub friction: Option<f64>,
    /// Voltage at which it flashes over when clean and dry.
    pub flash_v: f64,
    /// How many come in a pack.
    pub pack: u32,
    /// Where the values come from.
    pub sources: RowSource,
}

#[derive(Deserialize)]
struct InsulatorText {
    id: String,
    label: String,
    fits: String,
    role: InsulatorRole,
    pull_n: Option<f64>,
    friction: Option<f64>,
    flash_v: f64,
    pack: u32,
    #[serde(flatten)]
    sources: RowSource,
}

impl<'de> Deserialize<'de> for InsulatorRow {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let text = InsulatorText::deserialize(from)?;
        Ok(Self {
            id: text.id,
            label: text.label,
            fits: text.fits,
            role: text.role,
            pull: text.pull_n.map(Force::newtons),
            friction: text.friction,
            flash_v: text.flash_v,
            pack: text.pack,
            sources: text.sources,
        })
    }
}
