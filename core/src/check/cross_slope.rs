//! Slopes across a fence: to an animal below it the lowest strand stands higher than its post says.

use super::bays::{no_worse_for, told_bays};
use super::{Behind, Checked, CheckedLine, hung_anew};
use crate::finding::{Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::Bay;
use crate::source::SourceKey;
use crate::units::Length;

/// Above its limit by this factor an animal gets under; between, somebody should know.
///
/// # Source
/// Key `common-practice`.
pub const GETS_UNDER: f64 = 1.5;

/// How high a strand stands to an animal that stands below it: `h + d tan(phi)`; to one above, `h - d tan(phi)`.
///
/// # Units
/// `height` (h) and `reach` (d) as lengths, `slope` (tan phi) as rise over run across the fence, positive.
/// # Valid for
/// Ground that is even over the animal's reach.
/// # Source
/// `statics` (geometry).
pub fn height_from_below(height: Length, reach: Length, slope: f64) -> Length {
    height + reach * slope
}

/// The worst bay of a line, for the animal that reaches farthest under; one finding for a line.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let found = line.behind.iter().filter_map(|behind| finding(checked, line, behind));
    found.max_by(|one, other| one.value.total_cmp(&other.value)).into_iter().collect()
}

fn finding(checked: &Checked, line: &CheckedLine, behind: &Behind) -> Option<Finding> {
    let build = line.build?;
    let reach = checked.catalogue.animals.iter().find(|row| row.id == behind.animal)?.reach?;
    let creep = Length::metres(behind.limits(checked.catalogue)?.creep_m());
    let told = || told_bays(checked, line, build).map(|(bay, _)| bay);
    let height = |bay: &Bay| Some(height_from_below(bay.strands.first()?.highest_gap, reach, bay.cross_slope?.abs()));
    let is_over = |bay: &&Bay| height(bay).is_some_and(|height| height > creep);
    let over: Vec<&Bay> = told().filter(is_over).collect();
    let worst = over.iter().max_by(|one, other| {
        let metres = |bay: &Bay| height(bay).map_or(0.0, Length::as_metres);
        metres(one).total_cmp(&metres(other))
    })?;
    let (value, slope) = (height(worst)?, worst.cross_slope?.abs());
    let at = super::dip::spot_at_station(line.section, (worst.from + worst.to) * 0.5);
    let lowest = build.strands.first()?.height;
    let lower = lowest - (value - creep);
    let lower = Length::metres((lower.as_metres() * 100.0).floor() / 100.0);
    Some(Finding {
        rule: Rule::CrossSlope,
        weight: if value > creep * GETS_UNDER { Weight::LookAt } else { Weight::Note },
        place: checked.stretch(line, worst.from.as_metres(), worst.to.as_metres(), at),
        value: value.as_metres(),
        limit: Some(creep.as_metres()),
        unit: Unit::Metre,
        reason: Reason::HigherFromBelow {
            slope_pct: 100.0 * slope,
            reach,
            animal: behind.animal.clone(),
            over: over.iter().map(|bay| bay.to - bay.from).sum(),
        },
        remedies: lowered(checked, line, lower).into_iter().chain([Remedy::WalkIt]).collect(),
        source: SourceKey::new("statics"),
    })
}

/// The lowest strand hung lower on the steep bays, where that leaves room for what piles up and holds everybody behind the line as well.
fn lowered(checked: &Checked, line: &CheckedLine, to: Length) -> Option<Remedy> {
    let (build, remedy) = (line.build?, Remedy::LowerLowest { to });
    let mut changed = build.clone();
    hung_anew(&mut changed, &remedy)?;
    let holds = line.behind.iter().all(|behind| no_worse_for(checked, behind, build, &changed));
    (to >= LOWEST && holds).then_some(remedy)
}

/// No strand is hung lower than this, metres (`common-practice`).
const LOWEST: Length = Length::metres(0.08);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_snout_below_on_thirty_degrees_finds_the_strand_higher_by_half_its_reach() {
        let slope = 30f64.to_radians().tan();
        let height = height_from_below(Length::metres(0.15), Length::metres(0.3), slope);
        assert!((height.as_metres() - 0.15 - 0.17).abs() < 0.005, "{height:?}");
    }
}
