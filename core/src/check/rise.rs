//! Rises: bays in which a strand comes so near to the ground that it touches the grass, or the top one so low that it is stepped over.

use super::bays::{judge_in, told_bays};
use super::dip::{Excess, is_net, spot_at_station, worst_of_runs};
use super::more_posts::more_posts;
use super::{Behind, Checked, CheckedLine};
use crate::finding::{Finding, Grade, Remedy, Rule, Unit, Weight};
use crate::hold::Bay;
use crate::plan::Build;
use crate::source::SourceKey;
use crate::stock::judge_build;
use crate::units::Length;

/// Below this share of its height, and below its band, a strand is taken to lie in leaves and rooted soil.
///
/// # Source
/// Key `common-practice`.
pub const BURIED_SHARE: f64 = 0.6;

/// Bays in which a strand nears the ground: it leaks; and bays over which an animal steps.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let Some(build) = line.build else { return Vec::new() };
    let in_bay = |(bay, error_m): (&Bay, f64)| {
        let over = line.behind.iter().filter_map(|behind| stepped_over(checked, line, build, (bay, error_m), behind));
        over.chain(too_low(line, build, bay))
            .max_by(|one, other| one.grade.cmp(&other.grade).then(one.over_m.total_cmp(&other.over_m)))
    };
    let excesses = told_bays(checked, line, build).filter_map(in_bay).collect();
    worst_of_runs(excesses).into_iter().map(|(from, until, worst)| finding(checked, line, (from, until), worst)).collect()
}

fn finding(checked: &Checked, line: &CheckedLine, (from, until): (Length, Length), worst: Excess) -> Finding {
    let at = spot_at_station(line.section, worst.at);
    let (animal, source) = worst.asked.clone().unzip();
    Finding {
        rule: Rule::Rise,
        weight: worst.grade.weight().unwrap_or(Weight::Note),
        place: checked.stretch(line, from.as_metres(), until.as_metres(), at),
        value: worst.gap.as_metres(),
        limit: Some(worst.limit.as_metres()),
        unit: Unit::Metre,
        reason: worst.reason(line, animal),
        remedies: remedies(checked, line, from, until),
        source: source.unwrap_or(SourceKey::new("common-practice")),
    }
}

fn remedies(checked: &Checked, line: &CheckedLine, from: Length, until: Length) -> Vec<Remedy> {
    let posts = if is_net(line) { Some(Remedy::PegNetDown) } else { more_posts(checked, line, from, until) };
    posts.into_iter().chain([Remedy::WalkIt]).collect()
}

/// The strand that is farthest below what posts were placed for: the lowest, and those whose band the plan gives.
fn too_low(line: &CheckedLine, build: &Build, bay: &Bay) -> Option<Excess> {
    let strands = build.strands.iter().zip(&bay.strands).zip(&line.hold.bands).enumerate();
    let judged = strands.filter(|(index, ((strand, _), _))| *index == 0 || strand.band.is_some());
    let below = judged.map(|(strand, ((asked, gap), (limit, _)))| {
        let over_m = (*limit - gap.lowest_gap).as_metres();
        let surely = gap.lowest_gap + bay.error;
        let is_buried = surely < asked.height * BURIED_SHARE && surely < *limit;
        let grade = if is_buried { Grade::MustFix } else { Grade::LookAt };
        let (at, from, to, error) = (gap.lowest_gap_at, bay.from, bay.to, bay.error);
        Excess { strand, gap: gap.lowest_gap, limit: *limit, at, from, to, error, over_m, grade, asked: None }
    });
    below.max_by(|one, other| one.over_m.total_cmp(&other.over_m)).filter(Excess::is_sure)
}

fn stepped_over(
    checked: &Checked,
    line: &CheckedLine,
    build: &Build,
    (bay, error_m): (&Bay, f64),
    behind: &Behind,
) -> Option<Excess> {
    let limits = behind.limits(checked.catalogue)?;
    let level = judge_build(build, &limits).over;
    let here = judge_in(line, build, (bay, error_m), &limits).over;
    let strand = here.strand.or(is_net(line).then_some(0))?;
    let found = (here.grade >= Grade::LookAt && here.grade > level.grade).then(|| Excess {
        strand,
        gap: Length::metres(here.value),
        limit: Length::metres(here.limit),
        at: bay.strands.get(strand).map_or((bay.from + bay.to) * 0.5, |gap| gap.lowest_gap_at),
        from: bay.from,
        to: bay.to,
        error: bay.error,
        over_m: here.limit - here.value,
        grade: here.grade,
        asked: Some((behind.animal.clone(), limits.row().sources.of("top_m").clone())),
    });
    found.filter(Excess::is_sure)
}
