//! What one call of [`super::outcome`] leaves for the next, and when it still holds.

use super::lie::{Lie, same_arc};
use super::power::PowerKey;
use super::{LineOutcome, PaddockOutcome};
use crate::catalogue::Catalogue;
use crate::check::{LineRole, Surroundings, WORKING_CELL};
use crate::finding::Finding;
use crate::hold::spacing::Placements;
use crate::hold::{GatePlace, LineHold, Section};
use crate::land::{Frame, Grid, Ground};
use crate::plan::{Feature, FeatureId, Head, Kind, PaddockFace, Plan};
use crate::power::{Laid, Power};
use crate::site::{LineReach, LineRuns, Reach};
use std::collections::HashMap;
use std::sync::Arc;

/// What was worked out last. Everything in it is held together with what it was made from; features count as unchanged
/// when they are the same allocation, which edits guarantee for whatever they do not touch.
#[derive(Default)]
pub struct Kept {
    pub(super) given: Option<Given>,
    pub(super) lines: HashMap<FeatureId, Arc<KeptLine>>,
    pub(super) paddocks: Option<KeptPaddocks>,
    pub(super) power: Option<(PowerKey, Arc<Power>)>,
    pub(super) laid: Arc<Laid>,
    pub(super) placed: Arc<Placements>,
}

/// The ground of all paddocks with the features it was made from.
pub(super) struct Faces {
    pub made_from: Vec<Arc<Feature>>,
    pub ground: GroundKey,
    pub faces: Vec<PaddockFace>,
}

/// What followed for them.
#[derive(Clone)]
pub(super) struct KeptPaddocks {
    pub of: Arc<Faces>,
    pub outcomes: Vec<PaddockOutcome>,
}

/// Which ground, told by the grids' allocations and the frame.
#[derive(Clone)]
pub(super) struct GroundKey {
    pub grids: Vec<Arc<Grid>>,
    pub frame: Frame,
}

impl PartialEq for GroundKey {
    fn eq(&self, other: &Self) -> bool {
        let same_grids = self.grids.iter().map(Arc::as_ptr).eq(other.grids.iter().map(Arc::as_ptr));
        same_grids && self.frame == other.frame
    }
}

/// What lines are judged by, beside themselves.
#[derive(Clone)]
pub(super) struct Given {
    pub ground: GroundKey,
    pub smooth_ground: Option<Arc<Ground>>,
    pub head: Arc<Head>,
    /// A number for the catalogue's contents: its address, and it is borrowed for as long as it is used.
    pub catalogue: usize,
    /// Zones and trees.
    pub zones: Vec<Arc<Feature>>,
    pub spots: Vec<Arc<Feature>>,
    pub around: Vec<Arc<Feature>>,
    pub surroundings: Arc<Surroundings>,
    pub reached_by: Vec<Arc<Feature>>,
    pub reach: Arc<Reach>,
    pub land: Lie,
}

impl Given {
    /// Whether posts stand as they did.
    pub fn holds_alike(&self, other: &Self) -> bool {
        self.ground == other.ground
            && Arc::ptr_eq(&self.head, &other.head)
            && self.catalogue == other.catalogue
            && same(&self.zones, &other.zones)
            && same_arc(&self.land.runners, &other.land.runners)
    }
    /// Whether findings are what they were, the line itself being the same.
    pub fn surrounds_alike(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.surroundings, &other.surroundings)
            && Arc::ptr_eq(&self.reach, &other.reach)
            && same_arc(&self.land.water, &other.land.water)
    }
}

/// One line with what it was made from.
pub(super) struct KeptLine {
    pub feature: Arc<Feature>,
    pub gates: Vec<GatePlace>,
    pub role: LineRole,
    pub section: Arc<Section>,
    pub hold: Arc<LineHold>,
    pub reach: Option<Arc<LineReach>>,
    pub runs: Option<Arc<LineRuns>>,
    pub outcome: Arc<LineOutcome>,
    pub findings: Vec<Finding>,
}

/// Whether two lists hold the same allocations.
pub(super) fn same(one: &[Arc<Feature>], other: &[Arc<Feature>]) -> bool {
    one.len() == other.len() && one.iter().zip(other).all(|(one, other)| Arc::ptr_eq(one, other))
}

impl Kept {
    /// Nothing yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// The same once more: for a change that is only tried, after which this is still that of the plan as it is.
    pub fn aside(&self) -> Self {
        Self {
            given: self.given.clone(),
            lines: self.lines.clone(),
            paddocks: self.paddocks.clone(),
            power: self.power.clone(),
            laid: Arc::clone(&self.laid),
            placed: Arc::clone(&self.placed),
        }
    }

    /// What lines are judged by now, taking from last time what has not changed.
    pub(super) fn given(&self, plan: &Plan, frame: Frame, ground: Option<&Ground>, catalogue: &Catalogue) -> Given {
        let layers = ground.into_iter().flat_map(Ground::layers);
        let key = GroundKey { grids: layers.map(|layer| Arc::clone(layer.grid())).collect(), frame };
        let part = |is_part: fn(&Feature) -> bool| -> Vec<Arc<Feature>> {
            plan.features.iter().filter(|feature| is_part(feature)).cloned().collect()
        };
        let around = part(Surroundings::is_part);
        let before = self.given.as_ref().filter(|before| before.ground == key);
        let surroundings = match before.filter(|before| same(&before.around, &around)) {
            Some(before) => Arc::clone(&before.surroundings),
            None => Arc::new(Surroundings::of(plan, frame)),
        };
        let reached_by = part(Reach::is_part);
        let reach = match before.filter(|before| same(&before.reached_by, &reached_by)) {
            Some(before) => Arc::clone(&before.reach),
            None => Arc::new(Reach::of(plan, frame, ground)),
        };
        let smooth_ground = match before {
            Some(before) => before.smooth_ground.clone(),
            // A grid too small for two blocks of cells has no slopes to run down.
            None => ground.and_then(|ground| ground.smoothed(WORKING_CELL).ok()).map(Arc::new),
        };
        Given {
            ground: key,
            smooth_ground,
            head: Arc::clone(&plan.head),
            catalogue: std::ptr::from_ref(catalogue).addr(),
            spots: part(|feature| matches!(feature.kind, Kind::SpotHeight { .. })),
            zones: part(|feature| matches!(feature.kind, Kind::Zone(_) | Kind::Tree { .. })),
            around,
            surroundings,
            reached_by,
            reach,
            land: Lie::of(before.map(|before| &before.land), plan, frame, ground),
        }
    }

    /// Keeps what was worked out, and forgets lines that are no more.
    pub(super) fn keep(&mut self, given: Given, lines: Vec<Arc<KeptLine>>) {
        self.given = Some(given);
        self.lines = lines.into_iter().map(|line| (line.feature.id.clone(), line)).collect();
    }
}
