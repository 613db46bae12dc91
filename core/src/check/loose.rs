//! Gates, cut-outs, jumpers and entries of the log that stand on no line.

use super::Checked;
use crate::finding::{Finding, Place, Reason, Remedy, Rule, Unit, Weight};
use crate::plan::{Kind, NearLines, belongs_on_a_line};
use crate::source::SourceKey;
use crate::units::Length;
use std::collections::HashSet;

/// Everything that belongs on a line and lies on none.
pub fn check_plan(checked: &Checked) -> Vec<Finding> {
    let carrying = checked.plan.features.iter().filter(|line| line.kind.carries_strands());
    let ids: HashSet<&str> = carrying.map(|line| line.id.as_str()).collect();
    let lines = NearLines::of(checked.plan);
    let found = checked.plan.features.iter().filter_map(|feature| {
        let (word, within_m) = belongs_on_a_line(&feature.kind)?;
        let named = feature.kind.entry_line().and_then(|of| of.line.as_ref());
        let at = *feature.places().first()?;
        if named.is_some_and(|named| ids.contains(named.as_str())) || !lines.under(feature, within_m).is_empty() {
            return None;
        }
        let off_m = lines.nearest_m(feature);
        Some(Finding {
            rule: Rule::Loose,
            weight: if matches!(feature.kind, Kind::Gate(_)) { Weight::LookAt } else { Weight::Note },
            place: Place { line: None, station: None, until: None, at, cell: None },
            value: off_m.unwrap_or(0.0),
            limit: Some(within_m),
            unit: Unit::Metre,
            reason: Reason::OnNoLine { kind: word.to_owned(), off: off_m.map(Length::metres) },
            remedies: vec![Remedy::OntoLine],
            source: SourceKey::new("common-practice"),
        })
    });
    found.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};
    use crate::plan::{Fault, Gate, Reading};

    #[test]
    fn what_hangs_on_no_line_is_told() {
        let things = |scene: Scene, off_m: f64| {
            scene
                .point(Kind::Gate(Gate::default()), (0.0, off_m))
                .point(Kind::Cutout { open: false }, (5.0, off_m))
                .point(Kind::Fault(Fault::default()), (8.0, off_m))
                .point(Kind::Reading(Reading::default()), (9.0, off_m))
        };
        let said = |scene: Scene| scene.say(Rule::Loose).len();
        let fenced = || Scene::on(flat()).fence(&[(-40.0, 0.0), (40.0, 0.0)]);
        assert_eq!(said(things(fenced(), 0.2)), 0);
        assert_eq!(said(things(fenced(), 3.0)), 2, "entries of the log may be written down farther off");
        assert_eq!(said(things(fenced(), 60.0)), 4);
        assert_eq!(said(things(Scene::on(flat()), 0.0)), 4);
        let mended = Fault { mended: Some("2026-05-01".to_owned()), ..Fault::default() };
        assert_eq!(said(Scene::on(flat()).point(Kind::Fault(mended), (0.0, 0.0))), 0);
    }
}
