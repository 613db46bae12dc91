//! Strands that go slack: by friction where the strainer stands in the wrong place, or by heat.

use super::strike_wire::SPRING_N_PER_M;
use super::{Checked, CheckedLine, speaks_for_build};
use crate::catalogue::Metal;
use crate::finding::{Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::strain::LEAST_SHARE;
use crate::hold::{HungStrand, SLACK_SHARE};
use crate::source::SourceKey;
use crate::units::{Force, Length};

/// A strand that keeps less than this of its tension on the hottest day hangs loose.
///
/// # Source
/// Key `common-practice`.
pub const LEAST_HOT_SHARE: f64 = 1.0 / 3.0;

/// Where the strainers of a line belong, when the middle will not do; and strands that heat slackens, once for a build.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let slack = set_slack(checked, line).or_else(|| slack(checked, line));
    strainers(checked, line).into_iter().chain(slack).collect()
}

/// Said once for a line: the strain where the middle is worst speaks.
fn strainers(checked: &Checked, line: &CheckedLine) -> Option<Finding> {
    let strains = line.hold.strains.iter();
    let worst = strains.min_by(|one, other| one.share_from_middle.total_cmp(&other.share_from_middle))?;
    let at = super::dip::spot_at_station(line.section, worst.strainer);
    (worst.share_from_middle < LEAST_SHARE).then(|| Finding {
        rule: Rule::Tension,
        weight: Weight::Note,
        place: checked.spot(line, worst.strainer.as_metres(), at),
        value: 100.0 * worst.share_from_middle,
        limit: Some(100.0 * LEAST_SHARE),
        unit: Unit::Percent,
        reason: Reason::EatenByFriction {
            from_middle: worst.share_from_middle,
            slackest_share: worst.slackest_share,
            turned_deg: worst.turned_rad.to_degrees(),
        },
        remedies: vec![Remedy::StrainersAt { stations: line.hold.strains.iter().map(|strain| strain.strainer).collect() }],
        source: SourceKey::new("statics"),
    })
}

/// Strands set to less than half of what is usual for their wire, and how many posts that costs: their sag has to stay small, so the bays are
/// shorter. Said once for a build, and a note where it is not to stand for good and is pulled tight by hand, as soft wire may be.
fn set_slack(checked: &Checked, line: &CheckedLine) -> Option<Finding> {
    let (build, specification) = (line.build?, line.specification.filter(|_| speaks_for_build(checked, line))?);
    let metal = specification.strands.iter().enumerate().filter(|(_, strand)| strand.wire.metal != Metal::Composite);
    let usual_share = |strand: &HungStrand| strand.set / strand.wire.tension;
    let (index, strand) = metal.min_by(|one, other| usual_share(one.1).total_cmp(&usual_share(other.1)))?;
    let usual = strand.wire.tension;
    (strand.set < usual * SLACK_SHARE).then(|| Finding {
        rule: Rule::Tension,
        weight: if build.permanent || strand.wire.is_high_tensile() { Weight::LookAt } else { Weight::Note },
        place: checked.whole(line),
        value: strand.set.as_newtons(),
        limit: Some((usual * SLACK_SHARE).as_newtons()),
        unit: Unit::Newton,
        reason: Reason::SetSlack {
            strand: index,
            wire: strand.wire.id.clone(),
            set: strand.set,
            usual,
            more_posts: more_posts(line, specification.longest_bay, usual / strand.set),
        },
        remedies: vec![if stands_the_cold(strand, usual) {
            Remedy::RaiseTension { tension: usual }
        } else {
            Remedy::StrainInCold
        }],
        source: SourceKey::new("common-practice"),
    })
}

/// Whether a strand that is set so tight stays within what the cold may ask of a knot: the cold adds the same newtons whatever it was set to.
fn stands_the_cold(strand: &HungStrand, set: Force) -> bool {
    set + (strand.cold - strand.set) <= strand.wire.breaking * strand.wire.joint_share * super::cold_wire::COLD_SHARE
}

/// About how many posts fewer the line took with strands so many times as tight: at the same sag bays are longer by the root of that (`statics`),
/// up to the longest.
fn more_posts(line: &CheckedLine, longest_bay: Length, times: f64) -> usize {
    let bays = line.hold.bays.iter().filter(|bay| bay.gate.is_none());
    let (count, length) = bays.fold((0_usize, Length::ZERO), |(count, sum), bay| (count + 1, sum + (bay.to - bay.from)));
    if count == 0 {
        return 0;
    }
    let tighter_m = (length.as_metres() / count as f64 * times.sqrt()).min(longest_bay.as_metres());
    let then = (length.as_metres() / tighter_m.max(0.1)).ceil() as usize;
    count.saturating_sub(then)
}

fn slack(checked: &Checked, line: &CheckedLine) -> Option<Finding> {
    let specification = line.specification.filter(|_| speaks_for_build(checked, line))?;
    let strands = specification.strands.iter().enumerate();
    let (index, strand) = strands.min_by(|one, other| (one.1.hot / one.1.set).total_cmp(&(other.1.hot / other.1.set)))?;
    let wanted = strand.set * LEAST_HOT_SHARE;
    let hottest_c = checked.plan.head.season.hottest_c;
    let spring = |set: Force| Remedy::Spring { spring_n_per_m: SPRING_N_PER_M, tension: set };
    (strand.hot < wanted).then(|| Finding {
        rule: Rule::Tension,
        weight: Weight::LookAt,
        place: checked.whole(line),
        value: strand.hot.as_newtons(),
        limit: Some(wanted.as_newtons()),
        unit: Unit::Newton,
        reason: Reason::SlackInHeat { strand: index, set: strand.set, hot: strand.hot, hottest_c },
        remedies: specification.spring_n_per_m.is_none().then(|| spring(strand.set)).into_iter().collect(),
        source: SourceKey::new("conductor-state"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};

    #[test]
    fn a_strand_set_too_loose_hangs_in_the_heat() {
        let said = |tension_n: f64| {
            let mut scene = Scene::on(flat()).fence(&[(-50.0, 0.0), (50.0, 0.0)]);
            scene.tension = Force::newtons(tension_n);
            scene.say(Rule::Tension).len()
        };
        assert_eq!((said(450.0), said(150.0)), (0, 1));
    }

    #[test]
    fn a_strainer_in_the_middle_of_a_crooked_line_is_said_to_be_misplaced() {
        // Ten gentle turns near one end, at none of which strands are made off, then 110 m straight.
        let turns = (0..11).map(|k| (-80.0 + 5.0 * f64::from(k), 0.79 * f64::from(k % 2)));
        let crooked: Vec<(f64, f64)> = turns.chain([(80.0, 0.0)]).collect();
        let found = Scene::on(flat()).fence(&crooked).say(Rule::Tension);
        assert_eq!(found.len(), 1, "{found:?}");
        let station = found[0].place.station.expect("a place").as_metres();
        assert!(station < 45.0 && found[0].value < 70.0, "{found:?}");
    }
}
