//! Paddocks with pigs and without shade.

use super::Checked;
use super::beside::{paddocks_with_pigs, place_of};
use crate::finding::{Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::inside;
use crate::land::MapPoint;
use crate::plan::{Geometry, Kind, PaddockFace};
use crate::source::SourceKey;

/// A note on every paddock that has neither wood nor a shelter drawn in it.
pub fn check_plan(checked: &Checked) -> Vec<Finding> {
    paddocks_with_pigs(checked).filter_map(|(face, _)| shade(checked, face)).collect()
}

fn shade(checked: &Checked, face: &PaddockFace) -> Option<Finding> {
    let is_within = |at: MapPoint| inside(&face.ring, at);
    let has_shelter = checked.plan.features.iter().any(|feature| {
        let at = feature.point().and_then(|at| checked.frame.to_map(at).ok());
        matches!(feature.kind, Kind::Shelter) && at.is_some_and(is_within)
    });
    let is_wood = checked.plan.features.iter().any(|feature| match &feature.kind {
        Kind::Zone(zone) if zone.of == "wood" => {
            let Geometry::Area(rings) = &feature.geometry else { return false };
            let ring: Vec<MapPoint> = rings.iter().take(1).flatten().filter_map(|at| checked.frame.to_map(*at).ok()).collect();
            face.ring.iter().any(|corner| inside(&ring, *corner))
        }
        _ => false,
    });
    (!has_shelter && !is_wood).then(|| Finding {
        rule: Rule::Shade,
        weight: Weight::Note,
        place: place_of(checked, face),
        value: 0.0,
        limit: Some(1.0),
        unit: Unit::One,
        reason: Reason::NoShade,
        remedies: vec![Remedy::ShelterAndWallow],
        source: SourceKey::new("defra-pb7950"),
    })
}
