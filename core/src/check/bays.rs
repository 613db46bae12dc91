//! The strands of a build in each bay of a line, as the rule takes them.

use super::grid_coarse::tells_gaps;
use super::{Checked, CheckedLine};
use crate::finding::{Grade, Remedy, WayOut};
use crate::hold::{Bay, Section};
use crate::plan::{Build, Strand};
use crate::stock::{Barrier, Carries, HAND_M, Hung, Limits, Part, Verdict, hung, judge, judge_build};
use crate::units::Length;

/// The bays whose dips and rises the ground tells, each with how far off its ground may be, metres.
pub(super) fn told_bays<'a>(
    checked: &'a Checked,
    line: &'a CheckedLine,
    build: &'a Build,
) -> impl Iterator<Item = (&'a Bay, f64)> + 'a {
    let bays = line.hold.bays.iter().filter(|bay| bay.gate.is_none() && bay.strands.len() == build.strands.len());
    bays.filter(|bay| build.net.is_some() == bay.strands.is_empty() && tells_gaps(checked, line.section, build, bay))
        .map(|bay| (bay, bay.error.as_metres()))
}

/// The strands of a build as they hang in a bay.
pub(super) fn hung_in(build: &Build, bay: &Bay) -> Vec<Hung> {
    let hung = build.strands.iter().zip(&bay.strands).map(|(strand, gap)| Hung {
        height_m: strand.height.as_metres(),
        least_m: gap.lowest_gap.as_metres(),
        most_m: gap.highest_gap.as_metres(),
        carries: if strand.live { Carries::Pulse } else { Carries::Return },
    });
    hung.collect()
}

/// What the fence of a build is worth in a bay for animals with these limits.
pub(super) fn judge_in(line: &CheckedLine, build: &Build, (bay, error_m): (&Bay, f64), limits: &Limits) -> Verdict {
    let found = match &build.net {
        Some(net) => {
            let height_m = net.height.as_metres();
            let (dip_m, hump_m) = off_chord(line.section, bay).unwrap_or_default();
            // Over a hump the net stands on the ground and its top sags from stake to stake.
            judge(Barrier::Net { height_m, least_m: height_m - hump_m, foot_m: dip_m }, limits, error_m)
        }
        None => judge(Barrier::Strands(&hung_in(build, bay)), limits, error_m),
    };
    as_far_as_known(found, error_m)
}

/// A top strand that sags so little below what the animal asks between its posts is worth a note: published heights are those at the posts, and every
/// strand sags.
///
/// # Source
/// Key `common-practice`, chosen here: hard wire at 667 N sags 7 mm in a bay of 10 m, twice that in the heat.
const SAG_M: f64 = 0.02;

/// What the scatter of the grid may feign, and the sag of the top strand, is worth a note at most: the walk with the string finds it.
fn as_far_as_known(found: Verdict, error_m: f64) -> Verdict {
    let surely = |part: Part, over_m: f64, room_m: f64| {
        let is_feigned = part.grade == Grade::LookAt && over_m - error_m <= room_m;
        if is_feigned { Part { grade: Grade::Note, ..part } } else { part }
    };
    let under = surely(found.under, found.under.value - found.under.limit, HAND_M);
    let over = surely(found.over, found.over.limit - found.over.value, SAG_M);
    let parts = [
        (WayOut::Under, under.grade),
        (WayOut::Between, found.between.map_or(Grade::Holds, |part| part.grade)),
        (WayOut::Over, over.grade),
        (WayOut::Number, found.number.grade),
        (WayOut::Kind, found.at_best),
    ];
    let grade = parts.iter().map(|(_, grade)| *grade).max().unwrap_or(found.grade);
    if grade >= found.grade {
        return Verdict { under, over, ..found };
    }
    let way = parts.iter().find(|(_, of_way)| *of_way == grade && grade > Grade::Holds).map(|(way, _)| *way);
    Verdict { grade, way, under, over, ..found }
}

/// The strands of a build as they would hang across a gate, from post to post over the ground between; empty where that is not known.
pub(super) fn hung_in_gate(line: &CheckedLine, build: &Build, bay: &Bay) -> Vec<Hung> {
    let Some((dip_m, hump_m)) = off_chord(line.section, bay) else { return Vec::new() };
    hung(build).into_iter().map(|strand| strand.over(dip_m, hump_m)).collect()
}

/// How far the ground of a bay falls below the straight line between its ends, and how far it rises above, metres; `None` where it is not known.
pub(super) fn off_chord(section: &Section, bay: &Bay) -> Option<(f64, f64)> {
    let [first, last] = [bay.from, bay.to].map(|station| section.sample_at_station(station.as_metres()));
    let (first, last) = (first?, last?);
    let (z0, z1) = (first.ground_m?, last.ground_m?);
    let span_m = (last.plan_m - first.plan_m).max(1e-6);
    let between = section.samples.iter().filter(|sample| sample.plan_m > first.plan_m && sample.plan_m < last.plan_m);
    let off = between.filter_map(|sample| Some(z0 + (z1 - z0) * (sample.plan_m - first.plan_m) / span_m - sample.ground_m?));
    Some(off.fold((0.0f64, 0.0f64), |(dip_m, hump_m), off_m| (dip_m.max(off_m), hump_m.max(-off_m))))
}

/// Hangs the strands of a build as a remedy says; `None` for one that hangs none.
pub fn hung_anew(build: &mut Build, remedy: &Remedy) -> Option<()> {
    match remedy {
        Remedy::RaiseLowest { to } | Remedy::LowerLowest { to } => hang(build, 0, *to),
        Remedy::JoinStrands { strands, .. } => {
            let joined = build.strands.iter_mut().enumerate().filter(|(index, _)| strands.contains(index));
            joined.for_each(|(_, strand)| strand.live = true);
        }
        Remedy::MoveStrand { strand, to, .. } => hang(build, *strand, *to),
        Remedy::AddStrand { at, .. } => {
            let like = build.strands.last().cloned().unwrap_or_default();
            build.strands.push(Strand { height: *at, band: None, live: true, ..like });
        }
        Remedy::HangStrands { heights, .. } => {
            let like = build.strands.first().cloned()?;
            let strand = |height: &Length| Strand { height: *height, band: None, live: true, ..like.clone() };
            build.strands = heights.iter().map(strand).collect();
        }
        _ => return None,
    }
    build.strands.sort_by(|one, other| one.height.as_metres().total_cmp(&other.height.as_metres()));
    Some(())
}

/// Hangs a strand at another height; its band goes with it.
fn hang(build: &mut Build, strand: usize, height: Length) {
    if let Some(strand) = build.strands.get_mut(strand) {
        let by = height - strand.height;
        strand.height = height;
        strand.band = strand.band.map(|(lowest, highest)| ((lowest + by).max(Length::ZERO), highest + by));
    }
}

/// Whether a changed build holds everybody behind its lines at least as well as before.
pub(super) fn spoils_nobody(checked: &Checked, build: &Build, changed: &Build) -> bool {
    let rows = checked.held.iter().filter(|row| row.build == build.id);
    rows.map(|row| &row.behind).all(|behind| no_worse_for(checked, behind, build, changed))
}

/// Whether a changed build holds a group at least as well as before.
pub(super) fn no_worse_for(checked: &Checked, behind: &super::Behind, build: &Build, changed: &Build) -> bool {
    let grade =
        |build: &Build| behind.judged(checked.catalogue, |limits| judge_build(build, limits)).map(|(verdict, _)| verdict.grade);
    grade(changed) <= grade(build).max(Some(Grade::Holds))
}
