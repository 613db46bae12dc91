//! What the keeper decided: the plan, its features, how it is changed, undone, read and written. Nothing derived.

#[cfg(test)]
mod arbitrary;
mod arrangement;
mod edit;
mod feature;
mod file;
mod gesture;
mod hangs;
mod head;
mod history;
mod journal;
mod kinds;
mod layout;
mod network;
mod paddock;
mod reach;
mod tangle;

pub use edit::{Cut, Edit, EditError, JOINT_TOLERANCE_M, LegLength, NoJoin};
pub(crate) use edit::{foot_on, length_m};
pub use feature::{Feature, FeatureId, FreshIds, Geometry};
pub use file::{
    BadWaypoint, NotAllowed, Opened, PlanError, PlanNote, Stamp, THINNED_TO_M, Waypoint, kinds_to_take, looks_like_xml,
    read_plan, read_walked, read_waypoints, word_to_take, write_plan,
};
pub use gesture::Gesture;
pub use hangs::{Hanging, NearLines, STANDS_WITHIN_M, belongs_on_a_line, hanging_on};
pub use head::*;
pub use history::History;
pub use journal::{Replayed, journal_line, replay};
pub use kinds::*;
pub use layout::Layout;
pub use network::{ENTRY_REACH_M, Joint, Network, NetworkLine, OnLine};
pub use paddock::{OpenReason, PaddockFace, paddocks, ring_area, ring_length};
pub use reach::Beyond;

use serde_json::{Map, Value};
use std::sync::Arc;

/// Everything the keeper drew and chose. Cheap to clone: features are shared between versions.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// What the plan file keeps in its `hillwire` member.
    pub head: Arc<Head>,
    /// Drawn things, in file order.
    pub features: Vec<Arc<Feature>>,
    /// Members beside `hillwire` and `features` that are not of the standard, kept as they came.
    pub foreign: Map<String, Value>,
}

impl Plan {
    /// A plan of these.
    pub fn new(head: Head, features: Vec<Feature>) -> Self {
        Self { head: Arc::new(head), features: features.into_iter().map(Arc::new).collect(), foreign: Map::new() }
    }
    /// The feature with this id.
    pub fn feature(&self, id: &FeatureId) -> Option<&Arc<Feature>> {
        self.features.iter().find(|feature| feature.id == *id)
    }
    /// An id for a new feature that no feature has: the kind's word with a number.
    pub fn fresh_id(&self, word: &str) -> FeatureId {
        let taken: std::collections::HashSet<&FeatureId> = self.features.iter().map(|feature| &feature.id).collect();
        FreshIds::new(word).next(|id| taken.contains(id))
    }
    /// The build with this id.
    pub fn build(&self, id: &str) -> Option<&Build> {
        self.head.builds.iter().find(|build| build.id == id)
    }
}
