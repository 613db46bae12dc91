//! What the keeper decided: the plan, its features, how it is changed, undone, read and written. Nothing derived.

mod feature;
mod kinds;

pub use feature::{Feature, FeatureId, Geometry};
pub use kinds::*;

use std::sync::Arc;

/// Everything the keeper drew and chose. Cheap to clone: features are shared between versions.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// What the plan file keeps in its `hillwire` member.
    pub head: Arc<Head>,
    /// Drawn things, in file order.
    pub features: Vec<Arc<Feature>>,
}

impl Plan {
    /// The feature with this id.
    pub fn feature(&self, id: &FeatureId) -> Option<&Arc<Feature>> {
        self.features.iter().find(|feature| feature.id == *id)
    }
    /// The build with this id.
    pub fn build(&self, id: &str) -> Option<&Build> {
        self.head.builds.iter().find(|build| build.id == id)
    }
}
