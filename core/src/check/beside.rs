//! The stock behind a line.

use super::Checked;
use crate::catalogue::AnimalRow;
use crate::finding::Place;
use crate::plan::{Feature, FeatureId, Kind, PaddockFace, StockGroup};
use crate::stock::fitting_row;

/// The animals of the paddocks that a line bounds, as the catalogue has them.
pub(super) fn animals_beside<'a>(checked: &'a Checked, line: &'a Feature) -> impl Iterator<Item = &'a AnimalRow> {
    groups_beside(checked, line).filter_map(|group| animal_of(checked, group))
}

/// The stock groups in the paddocks that a line bounds.
pub(super) fn groups_beside<'a>(checked: &'a Checked, line: &'a Feature) -> impl Iterator<Item = &'a StockGroup> {
    let faces = checked.paddocks.iter().filter(|face| face.lines.contains(&line.id));
    faces.filter_map(|face| group_in(checked, &face.id))
}

/// The stock group in a paddock.
pub(super) fn group_in<'a>(checked: &Checked<'a>, paddock: &FeatureId) -> Option<&'a StockGroup> {
    let Kind::Paddock(paddock) = &checked.plan.feature(paddock)?.kind else { return None };
    checked.plan.head.stock.iter().find(|group| Some(&group.id) == paddock.stock.as_ref())
}

/// What the catalogue has for the stock in a paddock.
pub fn animal_in<'a>(checked: &Checked<'a>, paddock: &FeatureId) -> Option<&'a AnimalRow> {
    animal_of(checked, group_in(checked, paddock)?)
}

/// What the catalogue has for a group.
pub(super) fn animal_of<'a>(checked: &Checked<'a>, group: &StockGroup) -> Option<&'a AnimalRow> {
    let by_weight = group.weight_kg.filter(|_| group.class.is_none());
    let by_weight = by_weight.and_then(|kg| fitting_row(&checked.catalogue.animals, &group.species, kg));
    by_weight.or_else(|| checked.catalogue.animal(&group.species, group.class.as_deref()))
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
