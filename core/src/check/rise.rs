//! Rises: bays in which a strand comes nearer to the ground than its band allows.

use super::dip::{Excess, HAND_M, spot_at_station, worse, worst_of_runs};
use super::grid_coarse::tells_gaps;
use super::more_posts::more_posts;
use super::{Checked, CheckedLine};
use crate::finding::{Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::Bay;
use crate::plan::Build;
use crate::source::SourceKey;
use crate::units::Length;

/// Below this share of its height a strand is taken to lie in leaves and rooted soil.
///
/// # Source
/// Key `common-practice`.
pub const BURIED_SHARE: f64 = 0.6;

/// Bays in which a strand nears the ground: it leaks, and an animal steps over the strands above it.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let Some(build) = line.build else { return Vec::new() };
    let told = line.hold.bays.iter().filter(|bay| tells_gaps(checked, line.section, build, bay));
    let excesses = told.filter_map(|bay| too_low(build, bay)).collect();
    worst_of_runs(excesses).into_iter().map(|(from, until, worst)| finding(checked, line, build, (from, until), worst)).collect()
}

fn finding(checked: &Checked, line: &CheckedLine, build: &Build, (from, until): (Length, Length), worst: Excess) -> Finding {
    let at = spot_at_station(line.section, worst.at);
    let buried = build.strands[worst.strand].height * BURIED_SHARE;
    Finding {
        rule: Rule::Rise,
        weight: if worst.gap < buried { Weight::MustFix } else { Weight::LookAt },
        place: checked.stretch(line, from.as_metres(), until.as_metres(), at),
        value: worst.gap.as_metres(),
        limit: Some(worst.limit.as_metres()),
        unit: Unit::Metre,
        reason: Reason::OutOfBand { strand: worst.strand },
        remedies: more_posts(checked, line, from, until).into_iter().chain([Remedy::WalkIt]).collect(),
        source: SourceKey::new("common-practice"),
    }
}

fn too_low(build: &Build, bay: &Bay) -> Option<Excess> {
    let strands = build.strands.iter().zip(&bay.strands).enumerate().map(|(strand, (asked, gap))| {
        let (limit, _) = asked.clearance_band();
        let over_m = (limit - gap.lowest_gap).as_metres();
        Excess { strand, gap: gap.lowest_gap, limit, at: gap.lowest_gap_at, from: bay.from, to: bay.to, over_m }
    });
    strands.reduce(worse).filter(|worst| worst.over_m > HAND_M)
}
