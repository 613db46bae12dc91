//! Dips: bays in which a strand stands higher over the ground than the stock behind the line allows.

use super::bays::{hung_in, told_bays};
use super::more_posts::more_posts;
use super::{Behind, Checked, CheckedLine};
use crate::finding::{Finding, Grade, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::along::runs;
use crate::hold::{BARE_ROCK_M, Bay, Section};
use crate::land::MapPoint;
use crate::plan::Build;
use crate::source::SourceKey;
use crate::stock::{Barrier, judge, judge_build};
use crate::units::Length;

/// Gaps are judged to the nearest centimetre: nobody sets a wire closer.
pub(super) const HAND_M: f64 = crate::stock::HAND_M;

/// A lowest strand that is higher above its own band than this lets an animal under; below it somebody has to go and see.
///
/// # Source
/// Key `common-practice`.
pub const LETS_UNDER: Length = Length::metres(0.05);

/// The worst strand of a bay: which, its gap, the limit, where.
#[derive(Clone, Debug)]
pub(super) struct Excess {
    pub strand: usize,
    pub gap: Length,
    pub limit: Length,
    pub at: Length,
    pub from: Length,
    pub to: Length,
    pub over_m: f64,
    pub grade: Grade,
    /// The class that asks for it, and where its limit comes from.
    pub asked: Option<(String, SourceKey)>,
}

/// Bays in which an animal gets under the fence, and those in which somebody has to go and see. Where the strands hang wrong at the posts
/// already, only bays that are worse still.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let Some(build) = line.build else { return Vec::new() };
    let excesses = told_bays(checked, line, build).filter_map(|(bay, error_m)| too_high(checked, line, build, (bay, error_m)));
    let excesses = excesses.collect();
    worst_of_runs(excesses).into_iter().map(|(from, until, worst)| finding(checked, line, (from, until), worst)).collect()
}

fn finding(checked: &Checked, line: &CheckedLine, (from, until): (Length, Length), worst: Excess) -> Finding {
    let at = spot_at_station(line.section, worst.at);
    let (animal, source) = worst.asked.clone().unzip();
    Finding {
        rule: Rule::Dip,
        weight: worst.grade.weight().unwrap_or(Weight::Note),
        place: checked.stretch(line, from.as_metres(), until.as_metres(), at),
        value: worst.gap.as_metres(),
        limit: Some(worst.limit.as_metres()),
        unit: Unit::Metre,
        reason: Reason::OutOfBand { strand: worst.strand, animal },
        remedies: remedies(checked, line, (from, until), &worst),
        source: source.unwrap_or(SourceKey::new("common-practice")),
    }
}

fn remedies(checked: &Checked, line: &CheckedLine, (from, until): (Length, Length), worst: &Excess) -> Vec<Remedy> {
    let at = spot_at_station(line.section, worst.at);
    let rock = checked.footings.and_then(|footings| footings.at(at).rock_depth);
    let is_rock = rock.is_some_and(|depth| depth < Length::metres(BARE_ROCK_M));
    let by_hand = if is_rock { Remedy::CloseDip { under: worst.gap } } else { Remedy::WalkIt };
    more_posts(checked, line, from, until).into_iter().chain([by_hand]).collect()
}

fn too_high(checked: &Checked, line: &CheckedLine, build: &Build, (bay, error_m): (&Bay, f64)) -> Option<Excess> {
    if let Some((_, limit)) = build.strands.first()?.band {
        return above(bay, limit).map(|found| {
            let lets_under = found.over_m > LETS_UNDER.as_metres();
            Excess { grade: if lets_under { Grade::MustFix } else { Grade::LookAt }, ..found }
        });
    }
    if line.behind.is_empty() {
        return above(bay, line.hold.bands.first()?.1);
    }
    let all = line.behind.iter().filter_map(|behind| crept_under(checked, build, (bay, error_m), behind));
    all.max_by(|one, other| one.grade.cmp(&other.grade).then(one.over_m.total_cmp(&other.over_m)))
}

/// The lowest strand above a limit that nobody's animals ask for.
fn above(bay: &Bay, limit: Length) -> Option<Excess> {
    let gap = bay.strands.first()?;
    let over_m = (gap.highest_gap - limit).as_metres();
    let (at, from, to) = (gap.highest_gap_at, bay.from, bay.to);
    let found = Excess { strand: 0, gap: gap.highest_gap, limit, at, from, to, over_m, grade: Grade::LookAt, asked: None };
    (over_m > HAND_M).then_some(found)
}

fn crept_under(checked: &Checked, build: &Build, (bay, error_m): (&Bay, f64), behind: &Behind) -> Option<Excess> {
    let limits = behind.limits(checked.catalogue)?;
    let level = judge_build(build, &limits).under;
    let here = judge(Barrier::Strands(&hung_in(build, bay)), &limits, error_m).under;
    let strand = here.strand?;
    (here.grade >= Grade::LookAt && here.grade > level.grade).then(|| Excess {
        strand,
        gap: Length::metres(here.value),
        limit: Length::metres(here.limit),
        at: bay.strands[strand].highest_gap_at,
        from: bay.from,
        to: bay.to,
        over_m: here.value - here.limit,
        grade: here.grade,
        asked: Some((behind.animal.clone(), limits.row().sources.of("under_m").clone())),
    })
}

/// Joins bays that follow each other; the worst of each run speaks for it.
pub(super) fn worst_of_runs(excesses: Vec<Excess>) -> Vec<(Length, Length, Excess)> {
    let joined = runs(excesses, |a: &Excess, b| (a.to - b.from).abs() < Length::metres(0.01));
    let speak = |run: Vec<Excess>| {
        let worse = |a: &&Excess, b: &&Excess| a.grade.cmp(&b.grade).then(a.over_m.total_cmp(&b.over_m));
        let worst = run.iter().max_by(worse).cloned().expect("a run has a member");
        (run[0].from, run[run.len() - 1].to, worst)
    };
    joined.into_iter().map(speak).collect()
}

/// The point of the map at a station.
pub(super) fn spot_at_station(section: &Section, station: Length) -> MapPoint {
    section.sample_at_station(station.as_metres()).expect("lines without samples are not checked").at
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Purpose;
    use crate::check::fixture::{Scene, flat, ground};
    use crate::plan::{Kind, Paddock, StockGroup};

    fn said(scene: &Scene, rule: Rule) -> Vec<(f64, f64, f64, Weight, usize)> {
        let line = |finding: &Finding| {
            let Reason::OutOfBand { strand, .. } = finding.reason else { panic!("{finding:?}") };
            let metres = |length: Option<Length>| length.expect("a stretch").as_metres();
            (metres(finding.place.station), metres(finding.place.until), finding.value, finding.weight, strand)
        };
        scene.say(rule).iter().map(line).collect()
    }

    #[test]
    fn without_stock_gaps_are_found_by_bay_neighbours_are_joined_and_none_must_be_fixed() {
        // As is usual: the lowest strand 0.13 to 0.30 m up.
        let fine = (0.15, 0.28);
        let scene = Scene::on(flat())
            .fence(&[(0.0, 0.0), (40.0, 0.0)])
            .bay(0.0, 8.0, [fine, (0.40, 0.50)])
            .bay(8.0, 16.0, [(0.15, 0.42), (0.40, 0.60)])
            .bay(16.0, 24.0, [(0.15, 0.75), (0.40, 0.90)])
            .bay(24.0, 32.0, [fine, (0.40, 0.553)])
            .bay(32.0, 40.0, [(0.10, 0.28), (0.40, 0.50)]);
        assert_eq!(said(&scene, Rule::Dip), [(8.0, 24.0, 0.75, Weight::LookAt, 0)]);
        assert_eq!(said(&scene, Rule::Rise), [(32.0, 40.0, 0.10, Weight::MustFix, 0)]);
    }

    #[test]
    fn the_stock_behind_a_line_decides_over_its_dips_and_rises() {
        // Strands at 0.20 and 0.45 m before pigs of 45 kg: fine to 0.227 m, over uneven ground to 0.25 m, crept under from 0.264 m on; top 0.40 m.
        let growers = StockGroup {
            id: "growers".to_owned(),
            species: "pig".to_owned(),
            head: 6,
            weight_kg: Some(45.0),
            ..StockGroup::default()
        };
        let inside = Paddock { stock: Some("growers".to_owned()), purpose: Some(Purpose::Interior), ..Paddock::default() };
        let square = [(0.0, 0.0), (80.0, 0.0), (80.0, 80.0), (0.0, 80.0), (0.0, 0.0)];
        let scene = Scene::on(flat())
            .fence(&square)
            .point(Kind::Paddock(inside), (40.0, 40.0))
            .keeping(&[growers], None)
            .bay(0.0, 8.0, [(0.15, 0.25), (0.40, 0.50)])
            .bay(10.0, 16.0, [(0.15, 0.26), (0.40, 0.51)])
            .bay(18.0, 24.0, [(0.15, 0.32), (0.40, 0.57)])
            .bay(26.0, 32.0, [(0.14, 0.22), (0.39, 0.45)])
            .bay(34.0, 40.0, [(0.14, 0.22), (0.33, 0.45)]);
        let dips = [(10.0, 16.0, 0.26, Weight::LookAt, 0), (18.0, 24.0, 0.32, Weight::MustFix, 0)];
        assert_eq!(said(&scene, Rule::Dip), dips);
        let rises = [(26.0, 32.0, 0.39, Weight::LookAt, 1), (34.0, 40.0, 0.33, Weight::MustFix, 1)];
        let mut found = said(&scene, Rule::Rise);
        found.sort_by(|one, other| one.0.total_cmp(&other.0));
        assert_eq!(found, rises);
    }

    #[test]
    fn a_coarse_grid_tells_no_dips_and_says_so() {
        let scene = |cell_m: f64| {
            Scene::on(ground(40, cell_m, |_, _| 100.0)).fence(&[(0.0, 0.0), (16.0, 0.0)]).bay(
                0.0,
                8.0,
                [(0.15, 0.75), (0.40, 0.90)],
            )
        };
        let rows = [(2.0, 1, 0), (2.5, 0, 1), (5.0, 0, 1)];
        for (cell_m, dips, coarse) in rows {
            let found = (scene(cell_m).say(Rule::Dip).len(), scene(cell_m).say(Rule::GridCoarse).len());
            assert_eq!(found, (dips, coarse), "cells of {cell_m} m under bays of 8 m");
        }
    }
}
