//! The stock behind a line.

use super::Checked;
use super::behind::animal_of;
use crate::catalogue::AnimalRow;
use crate::finding::Place;
use crate::plan::{FeatureId, Kind, PaddockFace, StockGroup};

/// The stock group in a paddock.
pub(super) fn group_in<'a>(checked: &Checked<'a>, paddock: &FeatureId) -> Option<&'a StockGroup> {
    let Kind::Paddock(paddock) = &checked.plan.feature(paddock)?.kind else { return None };
    checked.plan.head.stock.iter().find(|group| Some(&group.id) == paddock.stock.as_ref())
}

/// What the catalogue has for the stock in a paddock.
pub fn animal_in<'a>(checked: &Checked<'a>, paddock: &FeatureId) -> Option<&'a AnimalRow> {
    animal_of(checked, group_in(checked, paddock)?)
}

/// The enclosed paddocks with pigs in them.
pub(super) fn paddocks_with_pigs<'a>(checked: &'a Checked<'a>) -> impl Iterator<Item = (&'a PaddockFace, &'a AnimalRow)> {
    let closed = checked.paddocks.iter().filter(|face| face.open.is_none());
    let with_animal = closed.filter_map(|face| Some((face, animal_of(checked, group_in(checked, &face.id)?)?)));
    with_animal.filter(|(_, animal)| animal.species == "pig")
}

/// A paddock as the place of a finding.
pub(super) fn place_of(checked: &Checked, face: &PaddockFace) -> Place {
    let at = checked.plan.feature(&face.id).and_then(|feature| feature.point());
    let middle = || checked.frame.to_position(face.ring[0]);
    Place { line: None, station: None, until: None, at: at.unwrap_or_else(middle), cell: None }
}
