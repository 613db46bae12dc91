//! On which days strands hold growing animals, and what to hang differently so that they do.

use super::growth::days_between;
use super::rule::{Barrier, Carries, Hung, Limits, Verdict, judge};
use super::strands::{BUILD_UP_M, CLEAR_OF_GROUND_M, GroupThen, hung, judge_build};
use crate::catalogue::{Catalogue, Grade, Purpose};
use crate::finding::WayOut;
use crate::plan::{Build, StockGroup};
use crate::units::Length;
use jiff::civil::Date;

/// Days that are looked at, one by one.
pub const DAYS_LOOKED_AT: i32 = 180;
/// Strands are hung at whole centimetres.
const PER_METRE: f64 = 100.0;
/// Highest that a strand is moved or added: beyond that it is another fence, metres.
const HIGHEST_M: f64 = 2.4;

/// A group behind a fence, from a day until the day it leaves, or until as far as somebody wants to look.
#[derive(Clone, Copy, Debug)]
pub struct Keeping<'a> {
    /// The group.
    pub group: &'a StockGroup,
    /// What the fence parts it from.
    pub purpose: Purpose,
    /// The first day.
    pub on: Date,
    /// The last day.
    pub until: Date,
}

/// What to hang differently, so that the strands hold until the last day. `from_day`: not before that day, or smaller animals than then get
/// through.
#[derive(Clone, Debug, PartialEq)]
pub enum StrandRemedy {
    /// Let strands that are dead, or return to the earth, carry the pulse.
    Join {
        /// Their indices among the strands.
        strands: Vec<usize>,
        /// The first day on which that holds, where it does not at once.
        from_day: Option<Date>,
    },
    /// Move one strand.
    Move {
        /// Its index among the strands.
        strand: usize,
        /// New height.
        to: Length,
        /// The first day on which that holds, where it does not at once.
        from_day: Option<Date>,
    },
    /// Add one strand.
    Add {
        /// Its height.
        at: Length,
        /// The first day on which that holds, where it does not at once.
        from_day: Option<Date>,
    },
    /// Hang all strands as is recommended for the class that the animals then are.
    Usual {
        /// Class in the catalogue.
        class: String,
        /// Heights, the lowest first.
        strands: Vec<Length>,
        /// The first day on which that holds, where it does not at once.
        from_day: Option<Date>,
    },
    /// Netting instead of strands.
    Net {
        /// Height.
        height: Length,
    },
}

/// A day with what the fence is worth on it.
#[derive(Clone, Debug, PartialEq)]
pub struct OnDay {
    /// The day.
    pub day: Date,
    /// What one animal weighs.
    pub kg: f64,
    /// Height of the shoulder.
    pub shoulder: Length,
    /// Catalogue id of the class.
    pub animal: String,
    /// What the fence is worth.
    pub verdict: Verdict,
}

/// On which days a fence holds a group.
#[derive(Clone, Debug, PartialEq)]
pub struct HeldDays {
    /// The first day.
    pub now: OnDay,
    /// The first later day from which on somebody has to look.
    pub look_at: Option<OnDay>,
    /// The first later day from which on it does not hold.
    pub must_fix: Option<OnDay>,
    /// The first days on which it holds, from and to; `None` where it never does while they stay.
    pub holds: Option<(Date, Date)>,
    /// The last day that was looked at.
    pub until: Date,
    /// What would hold until then, where the fence does not.
    pub remedy: Option<StrandRemedy>,
}

/// Whether a build holds a group from the first day to the last, day by day; `None` where the catalogue does not know the group.
///
/// # Valid for
/// Over level ground, at most [`DAYS_LOOKED_AT`] days. Limits of a growing animal only rise, but it reaches gaps higher up: a fence can turn
/// bad and good again, so every day is judged.
/// # Source
/// Those of the rule: `fibl-pigs-2019`, `honda-2022`; shoulder by mass: `petherick-1983`.
pub fn held_days(build: &Build, keeping: &Keeping, catalogue: &Catalogue) -> Option<HeldDays> {
    let fence = Fence { build, keeping, catalogue };
    let days = days_between(keeping.on, keeping.until).clamp(0, DAYS_LOOKED_AT);
    let until = day_after(keeping.on, days);
    let now = fence.on(keeping.on)?;
    // Animals that do not grow are judged once.
    let grows = keeping.group.gain_kg_per_day.is_some_and(|gain| gain.abs() > 0.0) && keeping.group.weight_kg.is_some();
    let later: Vec<OnDay> = (1..=days).filter(|_| grows).map_while(|day| fence.on(day_after(keeping.on, day))).collect();
    let first_at = |grade: Grade| {
        let mut before = now.verdict.grade;
        later.iter().find(|on| {
            let turns = on.verdict.grade >= grade && before < grade;
            before = on.verdict.grade;
            turns
        })
    };
    let (look_at, must_fix) = (first_at(Grade::LookAt).cloned(), first_at(Grade::MustFix).cloned());
    let holds = first_run(std::iter::once(&now).chain(&later), until, grows);
    let fails = now.verdict.grade >= Grade::LookAt || look_at.is_some() || must_fix.is_some();
    let remedy = if fails { fence.remedy(&now, until) } else { None };
    Some(HeldDays { now, look_at, must_fix, holds, until, remedy })
}

/// The first days in a row on which it holds.
fn first_run<'a>(days: impl Iterator<Item = &'a OnDay>, until: Date, grows: bool) -> Option<(Date, Date)> {
    let mut run: Option<(Date, Date)> = None;
    for on in days {
        match (on.verdict.grade <= Grade::Note, &mut run) {
            (true, Some(run)) => run.1 = on.day,
            (true, None) => run = Some((on.day, on.day)),
            (false, Some(_)) => return run,
            (false, None) => {}
        }
    }
    run.map(|(from, to)| (from, if grows { to } else { until }))
}

struct Fence<'a> {
    build: &'a Build,
    keeping: &'a Keeping<'a>,
    catalogue: &'a Catalogue,
}

impl<'a> Fence<'a> {
    fn then(&self, day: Date) -> Option<GroupThen<'a>> {
        GroupThen::of(self.keeping.group, self.keeping.purpose, Some(day), self.catalogue)
    }

    fn on(&self, day: Date) -> Option<OnDay> {
        let GroupThen { animal, kg, limits } = self.then(day)?;
        let verdict = judge_build(self.build, &limits);
        Some(OnDay { day, kg, shoulder: Length::metres(limits.shoulder_m), animal: animal.id.clone(), verdict })
    }

    /// The least change that holds on the first day, half way and on the last: a strand moved rather than added, all hung anew, netting.
    fn remedy(&self, now: &OnDay, until: Date) -> Option<StrandRemedy> {
        let on = self.keeping.on;
        let days = [on, day_after(on, days_between(on, until) / 2), until];
        let then: Vec<GroupThen> = days.into_iter().map_while(|day| self.then(day)).collect();
        let holds = |strands: &[Hung], then: &GroupThen| judge(Barrier::Strands(strands), &then.limits, 0.0).grade <= Grade::Note;
        let all = |strands: &[Hung]| then.iter().all(|then| holds(strands, then));
        // Where nothing holds all the time, what holds in the end, from some day on.
        let last = |strands: &[Hung]| then.last().is_some_and(|then| holds(strands, then));
        let changes = self.changes(now, &then);
        let change =
            changes.iter().find(|change| all(&change.strands)).or_else(|| changes.iter().find(|change| last(&change.strands)));
        let Some(change) = change else {
            let net = then.iter().filter_map(|then| then.limits.net()).map(|net| net.usual).reduce(Length::max);
            return net.map(|height| StrandRemedy::Net { height });
        };
        let from_day = (0..=days_between(on, until))
            .map(|day| day_after(on, day))
            .find(|day| self.then(*day).is_some_and(|then| holds(&change.strands, &then)))?;
        Some(change.remedy(Some(from_day).filter(|from_day| *from_day > on)))
    }

    /// What could be changed, the least work first.
    fn changes(&self, now: &OnDay, then: &[GroupThen]) -> Vec<Change> {
        if self.build.net.is_some() || then.is_empty() {
            return Vec::new();
        }
        let strands = hung(self.build);
        let limits: Vec<Limits> = then.iter().map(|then| then.limits).collect();
        let lowest_m = lowest_for(&limits);
        let top_m = limits.iter().map(|limits| up(limits.usual_top_m)).fold(0.0, f64::max);
        let moves = |strand: usize, to_m: f64| Change::moved(&strands, strand, to_m);
        let mut all: Vec<Change> = Change::joined(&strands);
        if let Some(last) = strands.len().checked_sub(1) {
            all.extend(limits[0].single_m().into_iter().flat_map(|(low_m, high_m)| moves(last, up((low_m + high_m) / 2.0))));
            all.extend(lowest_m.and_then(|to_m| moves(0, to_m)));
            all.extend(moves(last, top_m));
            all.extend((1..last).filter_map(|strand| {
                let middle_m = (strands[strand - 1].height_m + strands[strand + 1].height_m) / 2.0;
                moves(strand, (middle_m * PER_METRE).round() / PER_METRE)
            }));
        }
        let middles =
            strands.windows(2).map(|pair| ((pair[0].height_m + pair[1].height_m) / 2.0 * PER_METRE).round() / PER_METRE);
        let added = lowest_m.into_iter().chain(middles).chain([top_m]).filter_map(|at_m| Change::added(&strands, at_m));
        all.extend(added);
        all.extend(then.last().and_then(|then| usual(then)));
        // A way that is not barred is not mended by a strand elsewhere: what it is about comes first.
        if now.verdict.way == Some(WayOut::Over) {
            all.sort_by_key(|change| {
                !matches!(&change.how, How::Join(_)) && !matches!(change.how, How::Move(strand) if strand + 1 == strands.len())
            });
        }
        all
    }
}

/// Where a lowest strand belongs: as high as is fine without a word, and clear of what piles up; `None` where there is no room between.
pub fn lowest_for(limits: &[Limits]) -> Option<f64> {
    let most_m = limits.iter().map(|limits| limits.fine_m.min(limits.note_m())).reduce(f64::min)?;
    let at_m = (most_m * PER_METRE + 1e-6).floor() / PER_METRE;
    let near_ground = limits.iter().any(|limits| limits.row().near_ground);
    (near_ground || at_m >= BUILD_UP_M + CLEAR_OF_GROUND_M - 1e-9).then_some(at_m)
}

/// The strands that the catalogue proposes for a group as it is then.
fn usual(then: &GroupThen) -> Option<Change> {
    let row = then.limits.row();
    let carries = |live: bool| if live { Carries::Pulse } else { Carries::Return };
    let strands: Vec<Hung> = row.proposed().map(|(height, live)| Hung::level(height.as_metres(), carries(live))).collect();
    (!strands.is_empty()).then(|| Change { how: How::Usual(then.animal.class.clone()), strands })
}

/// A change that is being thought about.
struct Change {
    how: How,
    strands: Vec<Hung>,
}

enum How {
    Join(Vec<usize>),
    Move(usize),
    Add(f64),
    Usual(String),
}

impl Change {
    /// All dead strands live, or one of them: a jumper is less work than a strand.
    fn joined(strands: &[Hung]) -> Vec<Self> {
        let dead: Vec<usize> = (0..strands.len()).filter(|index| strands[*index].carries != Carries::Pulse).collect();
        let together = (dead.len() > 1).then(|| dead.clone());
        let live = |joined: Vec<usize>| {
            let hung = |(index, strand): (usize, &Hung)| Hung {
                carries: if joined.contains(&index) { Carries::Pulse } else { strand.carries },
                ..*strand
            };
            Self { strands: strands.iter().enumerate().map(hung).collect(), how: How::Join(joined) }
        };
        together.into_iter().chain(dead.iter().map(|index| vec![*index])).map(live).collect()
    }

    /// One strand elsewhere; `None` where it would pass another or stay.
    fn moved(strands: &[Hung], strand: usize, to_m: f64) -> Option<Self> {
        let from_m = strands[strand].height_m;
        let keeps = |other: &Hung| (other.height_m < from_m) == (other.height_m < to_m) && (other.height_m - to_m).abs() > 1e-9;
        let others = strands.iter().enumerate().filter(|(index, _)| *index != strand);
        let keeps_order = others.map(|(_, other)| other).all(keeps);
        (keeps_order && (to_m - from_m).abs() > 1e-9 && to_m <= HIGHEST_M).then(|| {
            let mut strands = strands.to_vec();
            strands[strand] = Hung::level(to_m, strands[strand].carries);
            Self { how: How::Move(strand), strands }
        })
    }

    /// One live strand more; `None` where there is one already.
    fn added(strands: &[Hung], at_m: f64) -> Option<Self> {
        let is_free = strands.iter().all(|other| (other.height_m - at_m).abs() > 0.02);
        (is_free && at_m <= HIGHEST_M).then(|| {
            let strands = strands.iter().copied().chain([Hung::level(at_m, Carries::Pulse)]).collect();
            Self { how: How::Add(at_m), strands }
        })
    }

    fn remedy(&self, from_day: Option<Date>) -> StrandRemedy {
        match &self.how {
            How::Join(strands) => StrandRemedy::Join { strands: strands.clone(), from_day },
            How::Move(strand) => {
                StrandRemedy::Move { strand: *strand, to: Length::metres(self.strands[*strand].height_m), from_day }
            }
            How::Add(at_m) => StrandRemedy::Add { at: Length::metres(*at_m), from_day },
            How::Usual(class) => {
                let strands = self.strands.iter().map(|strand| Length::metres(strand.height_m)).collect();
                StrandRemedy::Usual { class: class.clone(), strands, from_day }
            }
        }
    }
}

fn up(metres: f64) -> f64 {
    (metres * PER_METRE - 1e-6).ceil() / PER_METRE
}

fn day_after(day: Date, days: i32) -> Date {
    day.saturating_add(jiff::Span::new().days(days))
}

#[cfg(test)]
#[path = "outgrown_tests.rs"]
mod tests;
