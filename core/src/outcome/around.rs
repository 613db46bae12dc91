//! The outcome of every paddock.

use super::PaddockOutcome;
use super::keep::{GroundKey, Kept, KeptPaddocks, same};
use crate::check::Checked;
use crate::plan::{Feature, Kind, PaddockFace, paddocks};
use crate::units::Area;
use std::sync::Arc;

/// All paddocks of the plan, from last time when no fence and no paddock has changed.
pub(super) fn paddock_outcomes(checked: &Checked, kept: &mut Kept) -> Vec<PaddockOutcome> {
    let is_part = |feature: &Feature| matches!(feature.kind, Kind::Fence(_) | Kind::Paddock(_));
    let made_from: Vec<Arc<Feature>> = checked.plan.features.iter().filter(|feature| is_part(feature)).cloned().collect();
    let ground = GroundKey { grid: checked.ground.map(|ground| Arc::clone(ground.grid())), frame: checked.frame };
    let before = kept.paddocks.take().filter(|before| before.ground == ground);
    let outcomes = match before {
        Some(before) if same(&before.made_from, &made_from) => before.outcomes,
        before => {
            let before = before.map(|before| before.outcomes).unwrap_or_default();
            paddocks(checked.plan, checked.frame).into_iter().map(|face| paddock_outcome(checked, face, &before)).collect()
        }
    };
    kept.paddocks = Some(KeptPaddocks { made_from, ground, outcomes: outcomes.clone() });
    outcomes
}

fn paddock_outcome(checked: &Checked, face: PaddockFace, before: &[PaddockOutcome]) -> PaddockOutcome {
    let (area, perimeter) = (face.area(), face.perimeter());
    let unchanged = before.iter().find(|before| before.id == face.id && before.ring == face.ring && before.area == area);
    let ground_area = match unchanged {
        // Without holes the ring says all; with them the areas of two shapes might agree by chance.
        Some(before) if face.holes.is_empty() => before.ground_area,
        _ => on_ground(checked, &face).unwrap_or(area),
    };
    PaddockOutcome { id: face.id, ring: face.ring, area, ground_area, perimeter, lines: face.lines }
}

fn on_ground(checked: &Checked, face: &PaddockFace) -> Option<Area> {
    let ground = checked.ground?;
    let holes: Option<Area> = face.holes.iter().map(|hole| ground.surface_area(hole)).sum();
    Some(ground.surface_area(&face.ring)? - holes?)
}
