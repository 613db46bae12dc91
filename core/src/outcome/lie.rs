//! What the ground does whatever fences stand on it: its water and what runs down it, kept while nothing of it changes.

use super::keep::same;
use crate::land::{Frame, Ground, MapRect};
use crate::plan::{Feature, Plan};
use crate::site::{HillRunners, Water, working_extent};
use std::sync::Arc;

/// Water and runners, with what they were made from beside the ground.
#[derive(Clone, Default)]
pub(super) struct Lie {
    within: Option<MapRect>,
    streams: Vec<Arc<Feature>>,
    woods: Vec<Arc<Feature>>,
    pub water: Option<Arc<Water>>,
    pub runners: Option<Arc<HillRunners>>,
}

impl Lie {
    /// Of a plan; `before` is that of the same ground.
    pub fn of(before: Option<&Self>, plan: &Plan, frame: Frame, ground: Option<&Ground>) -> Self {
        let part = |is_part: fn(&Feature) -> bool| -> Vec<Arc<Feature>> {
            plan.features.iter().filter(|feature| is_part(feature)).cloned().collect()
        };
        let (streams, woods) = (part(Water::is_part), part(HillRunners::is_part));
        let Some((ground, within)) = ground.and_then(|ground| Some((ground, working_extent(plan, frame, ground)?))) else {
            return Self { streams, woods, ..Self::default() };
        };
        let before = before.filter(|before| before.within == Some(within));
        let kept_water = before.filter(|before| same(&before.streams, &streams)).map(|before| before.water.clone());
        let kept_runners = before.filter(|before| same(&before.woods, &woods)).map(|before| before.runners.clone());
        let (water, runners) = rayon::join(
            || kept_water.unwrap_or_else(|| Water::of(plan, frame, ground, within).map(Arc::new)),
            || kept_runners.unwrap_or_else(|| HillRunners::of(plan, frame, ground, within).map(Arc::new)),
        );
        Self { within: Some(within), streams, woods, water, runners }
    }
}

/// Whether two are the same allocation, or both are none.
pub(super) fn same_arc<T>(one: &Option<Arc<T>>, other: &Option<Arc<T>>) -> bool {
    match (one, other) {
        (Some(one), Some(other)) => Arc::ptr_eq(one, other),
        (None, None) => true,
        _ => false,
    }
}
