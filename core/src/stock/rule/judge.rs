//! The rule itself.

use super::verdict::{Barrier, Carries, Hung, Part, Verdict};
use super::{FAILS_BY_M, HAND_M, Limits, exceeds};
use crate::catalogue::{Grade, NetLimits};
use crate::finding::WayOut;

/// Live strands must be at least so many of all that count, in fifths.
///
/// # Source
/// Keys `randers-hegn` (3 of 5), `england-fg8` (6 of 12), `dog-fence-queensland` (4 of 10).
const LIVE_IN_FIVE: usize = 2;
/// At most so many returns side by side.
///
/// # Source
/// As [`LIVE_IN_FIVE`]: `dog-fence-queensland`.
const RETURNS_TOGETHER: usize = 2;

/// What a fence is worth in one bay for animals with these limits.
///
/// `error_m`: how far off the ground of the bay may be known; what only that explains is never more than "look at".
///
/// # Units
/// Metres.
/// # Valid for
/// Strands that bite and animals that have learnt them.
/// # Source
/// Rules R1 to R5, R7 and R8: the sources of the row; the margins are `common-practice`.
pub fn judge(barrier: Barrier, limits: &Limits, error_m: f64) -> Verdict {
    match barrier {
        Barrier::Strands(strands) => judge_strands(strands, limits, error_m),
        Barrier::Net { height_m, least_m, foot_m } => judge_net([height_m, least_m, foot_m], limits, error_m),
    }
}

fn judge_strands(strands: &[Hung], limits: &Limits, error_m: f64) -> Verdict {
    let (counting, returns) = all_counting(strands, limits);
    let number = number(counting.len(), limits);
    let (Some(lowest), Some(top)) = (counting.first(), counting.last()) else {
        let nothing = Part { grade: Grade::MustFix, value: 0.0, limit: limits.top_m, strand: None };
        let under = Part { limit: limits.fine_m, ..nothing };
        return all_of(under, None, nothing, number, limits, returns);
    };
    let under = under(lowest, limits, error_m);
    let between = between(&counting, limits);
    let over = over(top, limits, error_m);
    let many = all_of(under, between, over, number, limits, returns);
    match judge_single(strands, limits) {
        Some(single) if single.grade < many.grade => Verdict { returns, ..single },
        _ => many,
    }
}

/// The lowest and the top one of strands over level ground that count, by their place among those given: heights in metres, and whether they
/// are live. `None` where none counts.
pub fn counting(strands: &[(f64, bool)], limits: &Limits) -> Option<(usize, usize)> {
    let carries = |live: bool| if live { Carries::Pulse } else { Carries::Return };
    let hung: Vec<Hung> = strands.iter().map(|(height_m, live)| Hung::level(*height_m, carries(*live))).collect();
    let (counting, _) = all_counting(&hung, limits);
    Some((counting.first()?.0, counting.last()?.0))
}

/// A strand with its place among those given.
type Placed = (usize, Hung);

/// The strands that count, the lowest first: the live ones, and those that return to earth where enough are live and the animal meets one.
fn all_counting(strands: &[Hung], limits: &Limits) -> (Vec<Placed>, bool) {
    let mut all: Vec<Placed> = strands.iter().copied().enumerate().collect();
    all.sort_by(|one, other| one.1.height_m.total_cmp(&other.1.height_m));
    let is_live = |strand: &Placed| strand.1.carries == Carries::Pulse;
    // What hangs above the highest live strand returns nothing to anybody who does not touch that.
    all.truncate(all.iter().rposition(is_live).map_or(0, |top| top + 1));
    let live: Vec<Placed> = all.iter().copied().filter(|strand| is_live(strand)).collect();
    let Some(lowest_live) = live.first() else { return (live, false) };
    let together = all.split(|strand| is_live(strand)).map(<[Placed]>::len).max().unwrap_or(0);
    let is_met = !exceeds(lowest_live.1.most_m, limits.fine_m + limits.gap_m(0.0));
    let count = live.len() * 5 >= all.len() * LIVE_IN_FIVE && together <= RETURNS_TOGETHER && is_met;
    if count && all.len() > live.len() { (all, true) } else { (live, false) }
}

/// R1: under the lowest strand.
fn under((strand, lowest): &Placed, limits: &Limits, error_m: f64) -> Part {
    let ceiling_m = limits.ceiling_m(lowest.height_m);
    let surely_m = lowest.height_m.max(lowest.most_m - error_m);
    let grade = match () {
        () if exceeds(surely_m, limits.worst_m) => Grade::MustFix,
        () if exceeds(lowest.height_m, limits.fine_m) || exceeds(lowest.most_m, ceiling_m) => Grade::LookAt,
        () if exceeds(lowest.height_m, limits.note_m()) => limits.lifted(Grade::Note),
        () => Grade::Holds,
    };
    Part { grade, value: lowest.most_m, limit: ceiling_m, strand: Some(*strand) }
}

/// R2: between neighbours.
fn between(counting: &[Placed], limits: &Limits) -> Option<Part> {
    let parts = counting.windows(2).filter(|pair| limits.steps_over(pair[0].1.height_m)).map(|pair| {
        let (value, limit) = (pair[1].1.height_m - pair[0].1.height_m, limits.gap_m(pair[0].1.height_m));
        let grade = match () {
            () if exceeds(value, limit + FAILS_BY_M) => Grade::MustFix,
            () if exceeds(value, limit) => Grade::LookAt,
            () => Grade::Holds,
        };
        Part { grade, value, limit, strand: Some(pair[1].0) }
    });
    parts.reduce(|one, other| if other.value - other.limit > one.value - one.limit + 1e-9 { other } else { one })
}

/// R3: over the top strand.
fn over((strand, top): &Placed, limits: &Limits, error_m: f64) -> Part {
    let surely_m = top.height_m.min(top.least_m + error_m);
    let grade = match () {
        () if exceeds(limits.top_m - FAILS_BY_M, surely_m) => Grade::MustFix,
        () if exceeds(limits.top_m, top.least_m) => Grade::LookAt,
        () if exceeds(limits.usual_top_m, top.least_m) => limits.below_usual(),
        () => Grade::Holds,
    };
    Part { grade, value: top.least_m, limit: limits.top_m, strand: Some(*strand) }
}

/// R4: how many.
fn number(count: usize, limits: &Limits) -> Part {
    let row = limits.row();
    let (grade, limit) = match count {
        count if count < row.strands_least => (Grade::MustFix, row.strands_least),
        count if count < row.strands_usual => (limits.lifted(Grade::Note), row.strands_usual),
        _ => (Grade::Holds, row.strands_least),
    };
    Part { grade, value: count as f64, limit: limit as f64, strand: None }
}

/// R5: one strand that they have learnt, where one of those given hangs right; `None` where none ever does.
pub fn judge_single(strands: &[Hung], limits: &Limits) -> Option<Verdict> {
    let (low_m, high_m) = limits.single_m()?;
    let near_m = limits.row().single_near.map_or(0.0, |near| near.as_metres());
    let part = |value: f64, off_m: f64, limit: f64, strand| {
        let grade = match off_m {
            off_m if off_m <= HAND_M + 1e-9 => Grade::Note,
            off_m if off_m <= near_m + HAND_M + 1e-9 => Grade::LookAt,
            _ => Grade::MustFix,
        };
        Part { grade, value, limit, strand: Some(strand) }
    };
    let live = strands.iter().enumerate().filter(|(_, strand)| strand.carries == Carries::Pulse);
    let all = live.map(|(index, strand)| {
        let under = part(strand.most_m, strand.most_m - high_m, high_m, index);
        let over = part(strand.least_m, low_m - strand.least_m, low_m, index);
        let number = Part { grade: Grade::Note, value: 1.0, limit: 1.0, strand: None };
        Verdict { single: true, ..all_of(under, None, over, number, limits, false) }
    });
    all.min_by_key(|verdict| verdict.grade)
}

/// R8: netting, by its height and its foot.
fn judge_net([height_m, least_m, foot_m]: [f64; 3], limits: &Limits, error_m: f64) -> Verdict {
    // Where nobody says what a net has to be for these animals, somebody has to look; it is always moved, and taken down when empty.
    let Some(net) = limits.net() else {
        let unknown = |value, limit| Part { grade: Grade::LookAt, value, limit, strand: None };
        let number = Part { grade: Grade::Holds, value: 1.0, limit: 1.0, strand: None };
        let all = all_of(unknown(foot_m, limits.fine_m), None, unknown(least_m, limits.top_m), number, limits, false);
        return Verdict { way: Some(WayOut::Kind), ..all };
    };
    let NetLimits { least, usual, foot } = net;
    let surely_m = height_m.min(least_m + error_m);
    let height = match () {
        () if exceeds(least.as_metres() - FAILS_BY_M, surely_m) => Grade::MustFix,
        () if exceeds(least.as_metres(), least_m) => Grade::LookAt,
        () if exceeds(usual.as_metres(), least_m) => limits.lifted(Grade::Note),
        () => Grade::Holds,
    };
    let off = match () {
        () if exceeds(foot_m - error_m, foot.as_metres() + FAILS_BY_M) => Grade::MustFix,
        () if exceeds(foot_m, foot.as_metres()) => Grade::LookAt,
        () => Grade::Holds,
    };
    let under = Part { grade: off, value: foot_m, limit: foot.as_metres(), strand: None };
    let over = Part { grade: height, value: least_m, limit: least.as_metres(), strand: None };
    let number = Part { grade: Grade::Holds, value: 1.0, limit: 1.0, strand: None };
    // What strands are worth at most says nothing about a net.
    let worst = off.max(height).max(Grade::Note);
    let way = [(WayOut::Under, off), (WayOut::Over, height)].into_iter().find(|(_, grade)| *grade == worst);
    Verdict {
        grade: worst,
        way: Some(way.map_or(WayOut::Kind, |(way, _)| way)),
        under,
        between: None,
        over,
        number,
        at_best: Grade::Note,
        single: false,
        returns: false,
    }
}

fn all_of(under: Part, between: Option<Part>, over: Part, number: Part, limits: &Limits, returns: bool) -> Verdict {
    let at_best = limits.at_best();
    let of_between = between.map_or(Grade::Holds, |part| part.grade);
    let ways = [
        (WayOut::Under, under.grade),
        (WayOut::Between, of_between),
        (WayOut::Over, over.grade),
        (WayOut::Number, number.grade),
        (WayOut::Kind, at_best),
    ];
    let grade = ways.iter().map(|(_, grade)| *grade).max().unwrap_or_default();
    let way = ways.into_iter().find(|(_, of)| *of == grade).map(|(way, _)| way).filter(|_| grade > Grade::Holds);
    Verdict { grade, way, under, between, over, number, at_best, single: false, returns }
}
