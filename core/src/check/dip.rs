//! Dips: bays in which a strand stands higher over the ground than the stock behind the line allows.

use super::bays::{judge_in, told_bays};
use super::more_posts::more_posts;
use super::{Behind, Checked, CheckedLine};
use crate::finding::{Finding, Grade, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::along::runs;
use crate::hold::{BARE_ROCK_M, Bay, Post, Section};
use crate::land::MapPoint;
use crate::plan::Build;
use crate::source::SourceKey;
use crate::stock::judge_build;
use crate::units::Length;

/// Gaps are judged to the nearest centimetre: nobody sets a wire closer.
const HAND_M: f64 = crate::stock::HAND_M;

/// A lowest strand that is higher above its own band than this lets an animal under; below it somebody has to go and see.
///
/// # Source
/// Key `common-practice`.
pub const LETS_UNDER: Length = Length::metres(0.05);

/// A hollow that would want more than two posts or pegs within this is filled instead (`common-practice`).
const CROWDED_OVER: Length = Length::metres(3.0);
/// Width of the top of a bank of logs and stones, metres (`common-practice`).
const BANK_M: f64 = 0.5;

/// The worst strand of a bay: which, its gap, the limit, where.
#[derive(Clone, Debug)]
pub(super) struct Excess {
    pub strand: usize,
    pub gap: Length,
    pub limit: Length,
    pub at: Length,
    pub from: Length,
    pub to: Length,
    /// How far the gap may be off.
    pub error: Length,
    pub over_m: f64,
    pub grade: Grade,
    /// The class that asks for it, and where its limit comes from.
    pub asked: Option<(String, SourceKey)>,
}

impl Excess {
    /// What is said of it.
    pub(super) fn reason(&self, line: &CheckedLine, animal: Option<String>) -> Reason {
        let error = self.error;
        if is_net(line) {
            return Reason::NetOverGround { animal, error };
        }
        Reason::OutOfBand { strand: self.strand, animal, error }
    }

    /// Whether it is more than the scatter of the grid may feign: what is less is left to the walk with the string.
    pub(super) fn is_sure(&self) -> bool {
        self.grade == Grade::MustFix || self.over_m - self.error.as_metres() > HAND_M
    }
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
        reason: worst.reason(line, animal),
        remedies: remedies(checked, line, (from, until), &worst),
        source: source.unwrap_or(SourceKey::new("common-practice")),
    }
}

/// Whether a line is of netting.
pub(super) fn is_net(line: &CheckedLine) -> bool {
    line.build.is_some_and(|build| build.net.is_some())
}

fn remedies(checked: &Checked, line: &CheckedLine, (from, until): (Length, Length), worst: &Excess) -> Vec<Remedy> {
    if is_net(line) {
        return vec![Remedy::PegNetDown, Remedy::WalkIt];
    }
    let at = spot_at_station(line.section, worst.at);
    let rock = checked.footings.and_then(|footings| footings.at(at).rock_depth);
    let is_rock = rock.is_some_and(|depth| depth < Length::metres(BARE_ROCK_M));
    let posts = more_posts(checked, line, from, until);
    if worst.strand == 0 && posts.as_ref().is_none_or(is_crowded) {
        let fill = filling(line, (from, until), worst.limit).filter(|fill| fill.volume_m3 > LEAST_FILL_M3);
        let fill = fill.map(|fill| Remedy::FillHollow { over: fill.over, volume_m3: fill.volume_m3 });
        return fill.into_iter().chain([Remedy::CloseDip { under: worst.gap, is_rock }, Remedy::GoRound]).collect();
    }
    let by_hand = if is_rock { Remedy::CloseDip { under: worst.gap, is_rock } } else { Remedy::WalkIt };
    posts.into_iter().chain([by_hand]).collect()
}

/// Less is done with a few shovels, cubic metres.
const LEAST_FILL_M3: f64 = 0.05;

/// Whether more posts would stand closer in a hollow than anybody sets them: more than two within three metres.
fn is_crowded(remedy: &Remedy) -> bool {
    let Remedy::AddPosts { stations, .. } = remedy else { return false };
    let inner = if stations.len() > 2 { &stations[1..stations.len() - 1] } else { &[] };
    inner.windows(3).any(|three| three[2] - three[0] <= CROWDED_OVER)
}

/// What raises the ground under the lowest strand until it stands no higher than this.
struct Fill {
    over: Length,
    volume_m3: f64,
}

/// A bank of half a metre on top with sides as wide as it is high: `V = integral of (0.5 d + d^2)`, d the gap that is too much.
fn filling(line: &CheckedLine, (from, until): (Length, Length), limit: Length) -> Option<Fill> {
    let strand_m = line.build?.strands.first()?.height.as_metres();
    let mut fill = Fill { over: Length::ZERO, volume_m3: 0.0 };
    for (index, bay) in line.hold.bays.iter().enumerate().filter(|(_, bay)| bay.from >= from && bay.to <= until) {
        let Some((first, last)) = line.hold.posts_of(index) else { continue };
        let hung_m = |post: &Post| post.ground.map(|z| z.as_metres() + post.off.as_metres() + strand_m);
        let Some((z0, z1)) = hung_m(first).zip(hung_m(last)) else { continue };
        let (start_m, end_m) = (bay.from.as_metres(), bay.to.as_metres());
        for pair in line.section.samples.windows(2) {
            let middle_m = (pair[0].station_m + pair[1].station_m) / 2.0;
            let (true, Some((a, b))) = ((start_m..end_m).contains(&middle_m), pair[0].ground_m.zip(pair[1].ground_m)) else {
                continue;
            };
            let strand_m = z0 + (z1 - z0) * (middle_m - start_m) / (end_m - start_m);
            let short_m = strand_m - (a + b) / 2.0 - limit.as_metres();
            if short_m > 0.0 {
                let run_m = pair[1].plan_m - pair[0].plan_m;
                fill.over += Length::metres(run_m);
                fill.volume_m3 += (BANK_M * short_m + short_m * short_m) * run_m;
            }
        }
    }
    Some(fill)
}

fn too_high(checked: &Checked, line: &CheckedLine, build: &Build, (bay, error_m): (&Bay, f64)) -> Option<Excess> {
    if let Some((_, limit)) = build.strands.first().and_then(|lowest| lowest.band) {
        return above(bay, limit).map(|found| {
            let lets_under = found.over_m - found.error.as_metres() > LETS_UNDER.as_metres();
            Excess { grade: if lets_under { Grade::MustFix } else { Grade::LookAt }, ..found }
        });
    }
    if line.behind.is_empty() {
        return above(bay, line.hold.bands.first()?.1);
    }
    let all = line.behind.iter().filter_map(|behind| crept_under(checked, line, build, (bay, error_m), behind));
    all.max_by(|one, other| one.grade.cmp(&other.grade).then(one.over_m.total_cmp(&other.over_m)))
}

/// The lowest strand above a limit that nobody's animals ask for.
fn above(bay: &Bay, limit: Length) -> Option<Excess> {
    let gap = bay.strands.first()?;
    let over_m = (gap.highest_gap - limit).as_metres();
    let (at, from, to, error) = (gap.highest_gap_at, bay.from, bay.to, bay.error);
    let found = Excess { strand: 0, gap: gap.highest_gap, limit, at, from, to, error, over_m, grade: Grade::LookAt, asked: None };
    Some(found).filter(Excess::is_sure)
}

fn crept_under(
    checked: &Checked,
    line: &CheckedLine,
    build: &Build,
    (bay, error_m): (&Bay, f64),
    behind: &Behind,
) -> Option<Excess> {
    let limits = behind.limits(checked.catalogue)?;
    let level = judge_build(build, &limits).under;
    let here = judge_in(line, build, (bay, error_m), &limits).under;
    // A net has one foot.
    let strand = here.strand.or(build.net.as_ref().map(|_| 0))?;
    let found = (here.grade >= Grade::LookAt && here.grade > level.grade).then(|| Excess {
        strand,
        gap: Length::metres(here.value),
        limit: Length::metres(here.limit),
        at: bay.strands.get(strand).map_or((bay.from + bay.to) * 0.5, |gap| gap.highest_gap_at),
        from: bay.from,
        to: bay.to,
        error: bay.error,
        over_m: here.value - here.limit,
        grade: here.grade,
        asked: Some((behind.animal.clone(), limits.row().sources.of("under_m").clone())),
    });
    found.filter(Excess::is_sure)
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
            .bay(26.0, 32.0, [(0.14, 0.22), (0.365, 0.45)])
            .bay(42.0, 48.0, [(0.14, 0.22), (0.385, 0.45)])
            .bay(34.0, 40.0, [(0.14, 0.22), (0.33, 0.45)]);
        let dips = [(10.0, 16.0, 0.26, Weight::LookAt, 0), (18.0, 24.0, 0.32, Weight::MustFix, 0)];
        let mut found = said(&scene, Rule::Dip);
        found.sort_by(|one, other| one.0.total_cmp(&other.0));
        assert_eq!(found, dips);
        // The top strand may sag by a finger's breadth or two.
        let rises = [(26.0, 32.0, 0.365, Weight::LookAt, 1), (34.0, 40.0, 0.33, Weight::MustFix, 1)];
        let mut found = said(&scene, Rule::Rise);
        found.sort_by(|one, other| one.0.total_cmp(&other.0));
        assert_eq!(found, rises);
    }

    #[test]
    fn what_the_scatter_of_the_grid_may_feign_is_no_finding_and_what_exceeds_it_is_told_with_its_error() {
        // Without stock the lowest strand may stand 0.30 m up.
        let rows =
            [(0.0, 0.32, Some(Weight::LookAt)), (0.07, 0.32, None), (0.07, 0.36, None), (0.07, 0.40, Some(Weight::LookAt))];
        for (error_m, gap_m, expected) in rows {
            let gaps = [(0.15, gap_m), (0.40, 0.50)];
            let scene = Scene::on(flat()).fence(&[(0.0, 0.0), (8.0, 0.0)]).unsure_by(error_m).bay(0.0, 8.0, gaps);
            let found = scene.say(Rule::Dip);
            assert_eq!(found.first().map(|finding| finding.weight), expected, "{gap_m} m with {error_m} m");
            let told = |finding: &Finding| matches!(finding.reason, Reason::OutOfBand { error, .. } if (error.as_metres() - error_m).abs() < 1e-12);
            assert!(found.iter().all(told), "the error stands beside the verdict");
        }
    }

    #[test]
    fn a_hollow_that_would_take_a_post_at_every_step_is_filled_closed_or_gone_round() {
        // A cleft 1.2 m deep between rims 4 m apart.
        let cleft = |x: f64, _: f64| 100.0 - (1.2 * (1.0 - (x.abs() / 2.0))).max(0.0);
        let scene =
            Scene::on(ground(60, 1.0, cleft)).fence(&[(-8.0, 0.0), (8.0, 0.0)]).bay(6.0, 10.0, [(0.2, 1.4), (0.45, 1.65)]);
        let found = scene.say(Rule::Dip);
        let remedies: Vec<&Remedy> = found.iter().flat_map(|finding| &finding.remedies).collect();
        assert!(
            remedies.iter().any(|remedy| matches!(remedy, Remedy::CloseDip { is_rock: false, .. }))
                && remedies.iter().any(|remedy| matches!(remedy, Remedy::GoRound))
                && !remedies.iter().any(|remedy| matches!(remedy, Remedy::AddPosts { .. })),
            "{found:?}"
        );
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
