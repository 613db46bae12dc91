//! What a fence, a piece of ground and a day have to give to stock.

use super::RowSource;
use serde::Deserialize;

/// What a number of head on a hectare is worth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Guidance {
    /// Recommended.
    Guideline,
    /// Tried once, with what came of it.
    Trial,
    /// Not to be exceeded, by the nitrogen that the animals leave.
    Ceiling,
}

/// How many head go on a hectare, for one class under one sort of keeping.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct HeadRow {
    /// Species, as in plans.
    pub species: String,
    /// Class within the species.
    pub class: String,
    /// What people call it.
    pub label: String,
    /// What the number is worth.
    pub guidance: Guidance,
    /// From; `None` where there is only an upper number.
    pub least_per_ha: Option<f64>,
    /// To.
    pub most_per_ha: f64,
    /// Where the values come from.
    #[serde(flatten)]
    pub sources: RowSource,
}

/// How fast a species turns the ground, and how long the ground rests.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct TurningRow {
    /// Species, as in plans.
    pub species: String,
    /// Ground that one animal turns in a day, m2: the usual, the least, the most.
    pub turned_m2_per_day: f64,
    /// The least.
    pub turned_least_m2_per_day: f64,
    /// The most.
    pub turned_most_m2_per_day: f64,
    /// Mass of the animal that turns so much, kg; heavier ones turn more. `None`: whatever they weigh.
    pub turned_at_kg: Option<f64>,
    /// Share of turned ground at which it is time to move.
    pub move_at_share: f64,
    /// Days on one paddock in woodland: from, to.
    pub woodland_days: (f64, f64),
    /// Days of rest: from, to; longer on wet or fragile soil.
    pub rest_days: (f64, f64),
    /// Where the values come from.
    #[serde(flatten)]
    pub sources: RowSource,
}

/// Feed of an animal of one mass.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
pub struct FeedPoint {
    /// Mass of the animal, kg.
    pub mass_kg: f64,
    /// Feed in a day, kg.
    pub feed_kg: f64,
}

/// Feed and water of growing animals.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct GrowingRow {
    /// Species, as in plans.
    pub species: String,
    /// Feed by mass, the lightest first.
    pub feed: Vec<FeedPoint>,
    /// Water by feed, litres per kilogram: from, to.
    pub water_l_per_feed_kg: (f64, f64),
    /// Water by mass, litres per kilogram of the animal in a day.
    pub water_l_per_kg: f64,
    /// Where the values come from.
    #[serde(flatten)]
    pub sources: RowSource,
}

/// Feed and water in a day of an animal that no longer grows.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct NeedRow {
    /// Species, as in plans.
    pub species: String,
    /// Class within the species.
    pub class: String,
    /// What people call its state.
    pub label: String,
    /// Feed, kg: from, to.
    pub feed_kg: Option<(f64, f64)>,
    /// Water, litres: from, to.
    pub water_l: (f64, f64),
    /// Where the values come from.
    #[serde(flatten)]
    pub sources: RowSource,
}
