//! Barbed wire that is live, or hangs near a live strand: an animal or a child that is caught in it cannot get away.

use super::{Checked, CheckedLine, speaks_for_build};
use crate::finding::{Finding, Keeping, KeepingRemedy, Reason, Rule, Unit, Weight};
use crate::units::Length;

/// Every live barbed strand, and every live strand too near a barbed one; once for a build.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let Some(build) = line.build.filter(|_| speaks_for_build(checked, line)) else { return Vec::new() };
    let is_barbed = |wire: &str| checked.catalogue.wire(wire).is_some_and(|wire| wire.is_barbed);
    let strands: Vec<(usize, Length, bool, bool)> = build
        .strands
        .iter()
        .enumerate()
        .map(|(at, strand)| (at + 1, strand.height, strand.live, is_barbed(&strand.wire)))
        .collect();
    let apart = &checked.code().barbed_apart;
    let mut found = Vec::new();
    for (number, height, live, barbed) in &strands {
        if !live {
            continue;
        }
        if *barbed {
            let reason = Keeping::BarbedLive { strand: *number };
            found.push(finding(checked, line, (0.0, None), reason, vec![KeepingRemedy::SmoothWire]));
            continue;
        }
        let off = |other: &&(usize, Length, bool, bool)| (other.1.as_metres() - height.as_metres()).abs();
        let nearest = strands.iter().filter(|other| other.3).min_by(|a, b| off(a).total_cmp(&off(b)));
        if let Some(other) = nearest.filter(|other| off(other) < apart.value.as_metres() - 1e-9) {
            let reason = Keeping::BarbedNear { live: *number, barbed: other.0 };
            let numbers = (off(&other), Some(apart.value.as_metres()));
            found.push(finding(checked, line, numbers, reason, vec![KeepingRemedy::Offset(apart.value)]));
        }
    }
    found
}

fn finding(
    checked: &Checked,
    line: &CheckedLine,
    (value, limit): (f64, Option<f64>),
    reason: Keeping,
    remedies: Vec<KeepingRemedy>,
) -> Finding {
    Finding {
        rule: Rule::Barbed,
        weight: Weight::MustFix,
        place: checked.whole(line),
        value,
        limit,
        unit: Unit::Metre,
        reason: Reason::Keeping(reason),
        remedies: checked.with_code(remedies),
        source: checked.code().barbed_apart.source.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};

    #[test]
    fn a_live_strand_has_no_barbs() {
        for (wire, expected) in [("ht-14ga", 0), ("barbed", 2)] {
            let found = Scene::on(flat()).with_wire(wire).fence(&[(0.0, 0.0), (50.0, 0.0)]).say(Rule::Barbed);
            assert_eq!(found.len(), expected, "{wire}: {found:?}");
        }
    }

    #[test]
    fn a_smooth_live_strand_keeps_off_barbed_wire() {
        // The scene's strands hang at 0.20 and 0.45 m; a barbed one that is not live is put above them.
        for (above_m, expected) in [(0.10, 1), (0.20, 0)] {
            let found = Scene::on(flat()).fence(&[(0.0, 0.0), (50.0, 0.0)]).with_barbed(above_m).say(Rule::Barbed);
            assert_eq!(found.len(), expected, "{above_m}: {found:?}");
        }
    }
}
