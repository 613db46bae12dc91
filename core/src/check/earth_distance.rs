//! Earth rods near the earth of a building's mains.

use super::Checked;
use super::far_end::place_of_point;
use crate::finding::{Bite, BiteRemedy, Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::land::MapPoint;
use crate::plan::{Feature, FeatureId, Geometry, Kind};

/// Every earth of an energizer that stands too near a building with mains.
pub fn check(checked: &Checked) -> Vec<Finding> {
    let earths = checked.plan.features.iter().filter(|feature| matches!(feature.kind, Kind::Earth { .. }));
    earths.filter_map(|feature| too_near(checked, feature)).collect()
}

fn too_near(checked: &Checked, earth: &Feature) -> Option<Finding> {
    let at = checked.frame.to_map(earth.point()?).ok()?;
    let buildings = checked.plan.features.iter().filter(|feature| matches!(feature.kind, Kind::Building { mains: true }));
    let off = buildings.filter_map(|building| Some((off_m(checked, building, at)?, &building.id)));
    let (off_m, building): (f64, &FeatureId) = off.min_by(|one, other| one.0.total_cmp(&other.0))?;
    let apart = &checked.code().earth_apart;
    (off_m < apart.value.as_metres()).then_some(Finding {
        rule: Rule::EarthDistance,
        weight: Weight::LookAt,
        place: place_of_point(checked, &earth.id)?,
        value: off_m,
        limit: Some(apart.value.as_metres()),
        unit: Unit::Metre,
        reason: Reason::Bite(Bite::EarthTooNear { building: building.clone() }),
        remedies: [Remedy::Bite(BiteRemedy::KeepApart(apart.value))].into_iter().chain(checked.with_code(Vec::new())).collect(),
        source: apart.source.clone(),
    })
}

/// How far a point is from a building's walls, or from its place if it is drawn as one.
fn off_m(checked: &Checked, building: &Feature, at: MapPoint) -> Option<f64> {
    let on_map = |position| checked.frame.to_map(position).ok();
    match &building.geometry {
        Geometry::Point(place) => Some(on_map(*place)?.distance_m(at)),
        Geometry::Area(rings) => {
            let ring: Vec<MapPoint> = rings.first()?.iter().filter_map(|place| on_map(*place)).collect();
            ring.windows(2).map(|wall| crate::hold::along::distance_m(at, wall[0], wall[1])).min_by(f64::total_cmp)
        }
        _ => None,
    }
}
