//! Strands that the cold tightens more than a knot of them holds.

use super::strike_wire::SPRING_N_PER_M;
use super::{Checked, CheckedLine, speaks_for_build};
use crate::finding::{Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::tension::tightening_with_spring_n;
use crate::hold::{HAND_TIGHT, HungStrand};
use crate::plan::Kind;
use crate::source::SourceKey;
use crate::units::Force;

/// Share of what a knot or splice holds that the cold may use.
///
/// # Source
/// Key `common-practice`; what a knot leaves of the wire in `wire-knots-1980`.
pub const COLD_SHARE: f64 = 0.5;

/// The strand of a build that is worst, said once for all lines of the build.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let Some(specification) = line.specification.filter(|_| speaks_for_build(checked, line)) else { return Vec::new() };
    let used = |strand: &HungStrand| strand.cold / joint(strand);
    let strands = specification.strands.iter().enumerate();
    let worst = strands.max_by(|one, other| used(one.1).total_cmp(&used(other.1)));
    let Some((index, strand)) = worst.filter(|(_, strand)| used(strand) > COLD_SHARE) else { return Vec::new() };
    let (place, season) = (checked.whole(line), &checked.plan.head.season);
    vec![Finding {
        rule: Rule::ColdWire,
        weight: match () {
            () if strand.cold > joint(strand) => Weight::MustFix,
            // Nobody sets a strand slacker than hand tight.
            () if strand.set <= HAND_TIGHT => Weight::Note,
            () => Weight::LookAt,
        },
        place,
        value: strand.cold.as_newtons(),
        limit: Some((joint(strand) * COLD_SHARE).as_newtons()),
        unit: Unit::Newton,
        reason: Reason::TooTightInCold {
            strand: index,
            wire: strand.wire.id.clone(),
            set: strand.set,
            cold: strand.cold,
            joint: joint(strand),
            coldest_c: season.coldest_c,
        },
        remedies: remedies(checked, line, strand),
        source: SourceKey::new("wire-knots-1980"),
    }]
}

fn joint(strand: &HungStrand) -> Force {
    strand.wire.breaking * strand.wire.joint_share
}

fn remedies(checked: &Checked, line: &CheckedLine, strand: &HungStrand) -> Vec<Remedy> {
    if matches!(line.feature.kind, Kind::LeadOut(_)) {
        return vec![Remedy::LooseSpan];
    }
    let season = &checked.plan.head.season;
    let allowed = joint(strand) * COLD_SHARE;
    let has_spring = line.specification.is_some_and(|specification| specification.spring_n_per_m.is_some());
    let spring = strand.wire.expansion_per_k.filter(|_| !has_spring).and_then(|expansion| {
        let (stiffness_n, strain_m) = (strand.wire.stiffness.as_newtons(), line.hold.longest_strain.as_metres());
        let cooling_k = season.set_c - season.coldest_c;
        let gained_n = tightening_with_spring_n(stiffness_n, expansion, cooling_k, strain_m, SPRING_N_PER_M).ok()?;
        Some(strand.set + Force::newtons(gained_n))
    });
    let spring = spring.filter(|tension| *tension <= allowed);
    let lower = allowed - (strand.cold - strand.set);
    let may_be = line.specification.is_some_and(|specification| specification.may_be_set_to(lower));
    let lower = may_be.then(|| Remedy::LowerTension { tension: Force::newtons(lower.as_newtons().floor()) });
    let spring = spring.map(|tension| Remedy::Spring { spring_n_per_m: SPRING_N_PER_M, tension });
    let none = spring.is_none() && lower.is_none();
    spring.into_iter().chain(lower).chain(none.then_some(Remedy::StrainInCold)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};

    #[test]
    fn a_lead_out_is_let_loose() {
        use crate::plan::LeadOut;
        let lead_out = LeadOut { wire: Some("soft-16ga".to_owned()), ..LeadOut::default() };
        let found = Scene::on(flat()).line(Kind::LeadOut(lead_out), &[(-100.0, 0.0), (100.0, 0.0)]).say(Rule::ColdWire);
        assert!(matches!(found[..], [Finding { ref remedies, .. }] if *remedies == [Remedy::LooseSpan]), "{found:?}");
    }

    #[test]
    fn soft_wire_strained_tight_in_summer_gives_in_the_cold_and_hard_wire_does_not() {
        let scene = |wire: &'static str, tension_n: f64| {
            let mut scene = Scene::on(flat()).fence(&[(-100.0, 0.0), (100.0, 0.0)]).with_wire(wire);
            scene.tension = Force::newtons(tension_n);
            scene.say(Rule::ColdWire)
        };
        // 17 gauge soft wire: a knot holds some 400 N; 178 N as set grow by 104 N in 30 K of cold.
        let found = scene("soft-17ga", 178.0);
        assert_eq!(found.len(), 1, "said once for the build");
        assert!((found[0].value - (178.0 + 30.0 * 3.46)).abs() < 3.0, "{}", found[0].value);
        // Half of 397 N, less what the cold adds, is 94 N: no gauge sets that, and a hand pulls harder.
        assert_eq!(found[0].remedies, [Remedy::StrainInCold]);
        assert!(scene("ht-12.5ga", 667.0).is_empty());
        // Hard wire strained far too tight: what the cold adds is halved by a spring, and that is enough.
        let found = scene("ht-12.5ga", 1900.0);
        assert!(matches!(found[0].remedies[..], [Remedy::Spring { .. }, Remedy::LowerTension { .. }]), "{found:?}");
    }
}
