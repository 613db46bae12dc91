//! Everything that follows from a plan on its ground: what the window shows and the commands print.

use crate::finding::Finding;
use crate::hold::{Bay, LineMeasure, Post, Section};
use crate::land::MapPoint;
use crate::order::Order;
use crate::plan::FeatureId;
use crate::units::{Area, Length};
use std::sync::Arc;

/// What follows for one line.
#[derive(Clone, Debug, PartialEq)]
pub struct LineOutcome {
    /// The line.
    pub id: FeatureId,
    /// Lengths and slopes.
    pub measure: LineMeasure,
    /// The ground under it.
    pub section: Section,
    /// Its posts, in order.
    pub posts: Vec<Post>,
    /// The bays between them.
    pub bays: Vec<Bay>,
    /// Share of its length within reach of a usable track, 0 to 1; `None` without a track.
    pub track_share: Option<f64>,
}

/// What follows for one paddock.
#[derive(Clone, Debug, PartialEq)]
pub struct PaddockOutcome {
    /// The paddock's point.
    pub id: FeatureId,
    /// The corners that enclose it, on the map, not closed; empty when it is open.
    pub ring: Vec<MapPoint>,
    /// Area on the map.
    pub area: Area,
    /// Area on the ground.
    pub ground_area: Area,
    /// Length of its edge on the map.
    pub perimeter: Length,
}

/// Everything that follows from one revision of a plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outcome {
    /// The revision of the plan it was made from.
    pub revision: u64,
    /// Fences and lead-outs, in plan order.
    pub lines: Vec<Arc<LineOutcome>>,
    /// Paddocks, in plan order.
    pub paddocks: Vec<PaddockOutcome>,
    /// What the checker has to say, worst first.
    pub findings: Vec<Finding>,
    /// What to buy.
    pub order: Order,
}
