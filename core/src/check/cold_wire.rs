//! Strands that the cold tightens more than a knot of them holds.

use super::strike_wire::SPRING_N_PER_M;
use super::{Checked, CheckedLine, speaks_for_build};
use crate::finding::{Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::HungStrand;
use crate::hold::tension::tightening_with_spring_n;
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
        weight: if strand.cold > joint(strand) { Weight::MustFix } else { Weight::LookAt },
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

/// Below this share of a wire's usual tension nobody sets it by a gauge: it is hand-tight (`common-practice`).
const HAND_TIGHT_SHARE: f64 = 0.4;

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
    let lower = (lower > strand.wire.tension * HAND_TIGHT_SHARE)
        .then(|| Remedy::LowerTension { tension: Force::newtons(lower.as_newtons().floor()) });
    let spring = spring.map(|tension| Remedy::Spring { spring_n_per_m: SPRING_N_PER_M, tension });
    spring.into_iter().chain(lower).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};

    #[test]
    fn a_lead_out_is_let_loose_and_a_hand_tight_strand_is_not_slackened() {
        use crate::plan::{LeadOut, Season};
        let lead_out = LeadOut { wire: Some("soft-16ga".to_owned()), ..LeadOut::default() };
        let found = Scene::on(flat()).line(Kind::LeadOut(lead_out), &[(-100.0, 0.0), (100.0, 0.0)]).say(Rule::ColdWire);
        assert!(matches!(found[..], [Finding { ref remedies, .. }] if *remedies == [Remedy::LooseSpan]), "{found:?}");
        // 17 gauge: usual 178 N. In a frost of -30 degrees 93 N less remain than half of what a knot holds: under 0.4 of the usual.
        let tightest = |coldest_c: f64| {
            let season = Season { coldest_c, ..Season::default() };
            let mut scene = Scene::on(flat()).fence(&[(-100.0, 0.0), (100.0, 0.0)]).with_wire("soft-17ga").through(season);
            scene.tension = Force::newtons(178.0);
            let found = scene.say(Rule::ColdWire);
            found.iter().flat_map(|found| &found.remedies).any(|remedy| matches!(remedy, Remedy::LowerTension { .. }))
        };
        assert_eq!((tightest(-15.0), tightest(-25.0)), (true, false));
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
        // Half of 397 N, less what the cold adds.
        let [Remedy::LowerTension { tension }] = found[0].remedies[..] else { panic!("{:?}", found[0].remedies) };
        assert!((tension.as_newtons() - (0.5 * 397.0 - 104.0)).abs() < 25.0, "{tension:?}");
        assert!(scene("ht-12.5ga", 667.0).is_empty());
        // Hard wire strained far too tight: what the cold adds is halved by a spring, and that is enough.
        let found = scene("ht-12.5ga", 1900.0);
        assert!(matches!(found[0].remedies[..], [Remedy::Spring { .. }, Remedy::LowerTension { .. }]), "{found:?}");
    }
}
