//! What is selected.

use hillwire_core::plan::FeatureId;
use hillwire_core::units::Length;

/// What is selected.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Selection {
    /// Features.
    pub features: Vec<FeatureId>,
    /// A corner of the only selected line.
    pub corner: Option<usize>,
    /// A post of the only selected line, by its station.
    pub post: Option<Length>,
    /// A finding, by its index in the outcome.
    pub finding: Option<usize>,
}

impl Selection {
    /// One feature.
    pub fn of(id: FeatureId) -> Self {
        Self { features: vec![id], ..Self::default() }
    }
    /// One corner of one line.
    pub fn of_corner(id: FeatureId, corner: usize) -> Self {
        Self { features: vec![id], corner: Some(corner), ..Self::default() }
    }
    /// Whether this feature is selected.
    pub fn has(&self, id: &FeatureId) -> bool {
        self.features.contains(id)
    }
    /// The feature, when it is exactly one.
    pub fn only(&self) -> Option<&FeatureId> {
        if let [id] = self.features.as_slice() { Some(id) } else { None }
    }
}
