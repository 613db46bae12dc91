//! Netting: it is moved with the stock, and taken down when it is empty.

use super::Checked;
use super::holds::middle;
use crate::finding::{Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::plan::{Feature, Kind};
use crate::source::SourceKey;

/// A note on every build of netting that a line has: horned stock, lambs and hedgehogs tangle in it.
pub fn check_plan(checked: &Checked) -> Vec<Finding> {
    let nets = checked.plan.head.builds.iter().filter(|build| build.net.is_some());
    let found = nets.filter_map(|build| {
        let of_build =
            |feature: &&std::sync::Arc<Feature>| matches!(&feature.kind, Kind::Fence(fence) if fence.build == build.id);
        let lines: Vec<_> = checked.plan.features.iter().filter(of_build).collect();
        Some(Finding {
            rule: Rule::Netting,
            weight: Weight::Note,
            place: middle(lines.first()?)?,
            value: lines.len() as f64,
            limit: None,
            unit: Unit::One,
            reason: Reason::NetCare { lines: lines.len() },
            remedies: vec![Remedy::TakeDownNet],
            source: SourceKey::new("net-care"),
        })
    });
    found.collect()
}
