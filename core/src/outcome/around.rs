//! The outcome of every paddock.

use super::PaddockOutcome;
use super::keep::{Faces, GroundKey, Kept, KeptPaddocks, same};
use crate::check::Checked;
use crate::plan::{Feature, Kind, PaddockFace, Plan, paddocks};
use crate::units::Area;
use std::sync::Arc;

/// The ground of every paddock, from last time when no fence and no paddock has changed.
pub(super) fn faces(plan: &Plan, ground: &GroundKey, kept: &Kept) -> Arc<Faces> {
    let is_part = |feature: &Feature| matches!(feature.kind, Kind::Fence(_) | Kind::Paddock(_));
    let made_from: Vec<Arc<Feature>> = plan.features.iter().filter(|feature| is_part(feature)).cloned().collect();
    match &kept.paddocks {
        Some(before) if before.of.ground == *ground && same(&before.of.made_from, &made_from) => Arc::clone(&before.of),
        _ => Arc::new(Faces { made_from, ground: ground.clone(), faces: paddocks(plan, ground.frame) }),
    }
}

/// All paddocks of the plan, from last time when their ground is what it was.
pub(super) fn paddock_outcomes(checked: &Checked, faces: &Arc<Faces>, kept: &mut Kept) -> Vec<PaddockOutcome> {
    let before = kept.paddocks.take().filter(|before| before.of.ground == faces.ground);
    let outcomes = match before {
        Some(before) if Arc::ptr_eq(&before.of, faces) => before.outcomes,
        before => {
            let before = before.map(|before| before.outcomes).unwrap_or_default();
            let mut outcomes: Vec<PaddockOutcome> = Vec::with_capacity(faces.faces.len());
            for (index, face) in faces.faces.iter().enumerate() {
                // Several marks in one ground have one area.
                let same = faces.faces[..index]
                    .iter()
                    .position(|other| !face.ring.is_empty() && other.ring == face.ring && other.holes == face.holes);
                outcomes.push(match same {
                    Some(same) => PaddockOutcome { id: face.id.clone(), ..outcomes[same].clone() },
                    None => paddock_outcome(checked, face, &before),
                });
            }
            outcomes
        }
    };
    kept.paddocks = Some(KeptPaddocks { of: Arc::clone(faces), outcomes: outcomes.clone() });
    outcomes
}

fn paddock_outcome(checked: &Checked, face: &PaddockFace, before: &[PaddockOutcome]) -> PaddockOutcome {
    let (area, perimeter) = (face.area(), face.perimeter());
    let unchanged = before.iter().find(|before| before.id == face.id && before.ring == face.ring && before.area == area);
    let ground_area = match unchanged {
        // Without holes the ring says all; with them the areas of two shapes might agree by chance.
        Some(before) if face.holes.is_empty() => before.ground_area,
        _ => on_ground(checked, face).unwrap_or(area),
    };
    PaddockOutcome { id: face.id.clone(), ring: face.ring.clone(), area, ground_area, perimeter, lines: face.lines.clone() }
}

fn on_ground(checked: &Checked, face: &PaddockFace) -> Option<Area> {
    let ground = checked.ground?;
    let holes: Option<Area> = face.holes.iter().map(|hole| ground.surface_area(hole)).sum();
    Some(ground.surface_area(&face.ring)? - holes?)
}
