//! The stock behind a line.

use super::Checked;
use crate::catalogue::AnimalRow;
use crate::plan::{Feature, Kind, StockGroup};
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

fn group_in<'a>(checked: &Checked<'a>, paddock: &crate::plan::FeatureId) -> Option<&'a StockGroup> {
    let Kind::Paddock(paddock) = &checked.plan.feature(paddock)?.kind else { return None };
    checked.plan.head.stock.iter().find(|group| Some(&group.id) == paddock.stock.as_ref())
}

fn animal_of<'a>(checked: &Checked<'a>, group: &StockGroup) -> Option<&'a AnimalRow> {
    let by_weight = group.weight_kg.filter(|_| group.class.is_none());
    let by_weight = by_weight.and_then(|kg| fitting_row(&checked.catalogue.animals, &group.species, kg));
    by_weight.or_else(|| checked.catalogue.animal(&group.species, group.class.as_deref()))
}
