//! When growing animals outgrow the strands around them, and what to hang differently before that.

use super::growth::{days_between, fitting_row, shoulder, weight_on};
use super::strands::{BUILD_UP_M, CLEAR_OF_GROUND_M, HeldHeight, Lack, holds, lacks};
use crate::catalogue::{Catalogue, HoldingRow};
use crate::plan::StockGroup;
use crate::units::Length;
use jiff::civil::Date;

/// Strands are moved to whole centimetres.
const STEP_M: f64 = 0.01;
/// Highest that a strand is moved or added: beyond that it is another fence.
const HIGHEST_M: f64 = 2.2;

/// Groups behind one fence, from a day until the day they leave, or until as far as somebody wants to look.
#[derive(Clone, Copy, Debug)]
pub struct Keeping<'a> {
    /// The groups; all of them have to be held.
    pub groups: &'a [StockGroup],
    /// The first day.
    pub on: Date,
    /// The last day.
    pub until: Date,
}

/// What to hang differently, so that the strands hold until the last day. `from_day`: not before that day, or smaller animals than then get
/// through; at the latest on the day before the strands are outgrown.
#[derive(Clone, Debug, PartialEq)]
pub enum StrandRemedy {
    /// Move one strand.
    Move {
        /// Its index among the given strands.
        strand: usize,
        /// New height.
        to: Length,
        /// The first day on which that holds.
        from_day: Date,
    },
    /// Add one strand.
    Add {
        /// Its height.
        at: Length,
        /// The first day on which that holds.
        from_day: Date,
    },
    /// Hang all strands as is usual for the class that the animals then are.
    Usual {
        /// Class in the catalogue.
        class: String,
        /// Heights, the lowest first.
        strands: Vec<Length>,
        /// The first day on which that holds.
        from_day: Date,
    },
}

/// Whether strands hold growing animals, and until when.
#[derive(Clone, Debug, PartialEq)]
pub enum Outgrown {
    /// Nothing can be said: no group here is of a kept species with a known weight or class.
    Unknown,
    /// They do not hold now.
    Now {
        /// What they lack first, from the ground up.
        lack: Lack,
        /// Which group it is about.
        group: usize,
        /// What would hold until the last day, or where nothing does, today.
        remedy: Option<StrandRemedy>,
    },
    /// They hold now and no longer from a day on.
    From {
        /// The first day on which they do not hold.
        day: Date,
        /// Days until then.
        days_left: i32,
        /// What they lack then.
        lack: Lack,
        /// Which group it is about.
        group: usize,
        /// What would hold until the last day.
        remedy: Option<StrandRemedy>,
    },
    /// They hold until the last day.
    NotBefore {
        /// The last day that was looked at.
        day: Date,
    },
}

/// Whether these strands hold these animals from the first day to the last.
///
/// # Valid for
/// Groups whose weight only rises, only falls, or stays: then a fence that holds on the first day fails once and for good, and the day is
/// found by halving. Lambs and litters that are born behind the fence are groups of their own.
/// # Source
/// Strands by shoulder as [`lacks`]: `honda-2022`, `common-practice`; shoulder by mass: `petherick-1983`.
pub fn outgrown(strands: &[Length], keeping: &Keeping, catalogue: &Catalogue) -> Outgrown {
    let fence = Fence { keeping, catalogue };
    let now = fence.animals(keeping.on);
    if now.is_empty() {
        return Outgrown::Unknown;
    }
    if let Some((group, lack)) = first_lack(strands, &now) {
        let remedy = fence.remedy(strands, keeping.on, keeping.until).or_else(|| fence.remedy(strands, keeping.on, keeping.on));
        return Outgrown::Now { lack, group, remedy };
    }
    let holds_on = |day: Date| first_lack(strands, &fence.animals(day)).is_none();
    if keeping.until <= keeping.on || holds_on(keeping.until) {
        return Outgrown::NotBefore { day: keeping.until.max(keeping.on) };
    }
    let day = first_day(keeping.on, keeping.until, |day| !holds_on(day));
    let (group, lack) = first_lack(strands, &fence.animals(day)).expect("the day was found by its lack");
    let day_before = day_after(keeping.on, days_between(keeping.on, day) - 1);
    let remedy = fence.remedy(strands, day_before, keeping.until);
    Outgrown::From { day, days_left: days_between(keeping.on, day), lack, group, remedy }
}

struct Fence<'a> {
    keeping: &'a Keeping<'a>,
    catalogue: &'a Catalogue,
}

impl<'a> Fence<'a> {
    /// Those of the groups that can be judged, with their index.
    fn animals(&self, day: Date) -> Vec<(usize, HeldHeight<'a>)> {
        let held = |group: &StockGroup| -> Option<HeldHeight<'a>> {
            let shares: &'a HoldingRow = self.catalogue.holding(&group.species)?;
            let weight = weight_on(group, &self.catalogue.animals, day)?;
            let shoulder = shoulder(&self.catalogue.animals, &group.species, weight.kg)?.height;
            Some(HeldHeight { shoulder, shares })
        };
        self.keeping.groups.iter().enumerate().filter_map(|(index, group)| Some((index, held(group)?))).collect()
    }

    fn heights(&self, day: Date) -> Vec<HeldHeight<'a>> {
        self.animals(day).into_iter().map(|(_, animal)| animal).collect()
    }

    /// The least change that holds from some day up to `latest` on until `last`: a strand moved rather than added, at once rather than later.
    fn remedy(&self, strands: &[Length], latest: Date, last: Date) -> Option<StrandRemedy> {
        let at_last = self.heights(last);
        let days = [self.keeping.on, latest];
        [Way::Move, Way::Add, Way::Usual].into_iter().flat_map(|way| days.map(|day| (way, day))).find_map(|(way, day)| {
            let then = self.heights(day);
            // A fence that holds on both days holds between them: every limit moves one way.
            let keeps = |heights: &[Length]| holds(heights, &then) && holds(heights, &at_last);
            let change = match way {
                Way::Move => moved(strands, keeps),
                Way::Add => added(strands, keeps),
                Way::Usual => self.usual(last, keeps),
            }?;
            let from_day = first_day(self.keeping.on, day, |day| holds(&change.heights, &self.heights(day)));
            Some(change.remedy(from_day))
        })
    }

    /// The usual strands of the class that the tallest of the animals are on the last day.
    fn usual(&self, last: Date, keeps: impl Fn(&[Length]) -> bool) -> Option<Change> {
        let groups = self.keeping.groups.iter();
        let rows = groups.filter_map(|group| {
            let weight = weight_on(group, &self.catalogue.animals, last)?;
            let by_class = group.class.as_deref().and_then(|class| self.catalogue.animal(&group.species, Some(class)));
            by_class.or_else(|| fitting_row(&self.catalogue.animals, &group.species, weight.kg))
        });
        let row = rows.max_by(|a, b| a.shoulder.as_metres().total_cmp(&b.shoulder.as_metres()))?;
        let heights = row.strands.clone();
        keeps(&heights).then(|| Change { how: How::Usual(row.class.clone()), heights })
    }
}

/// Ways to change a fence, the least work first.
#[derive(Clone, Copy)]
enum Way {
    Move,
    Add,
    Usual,
}

/// A change that is being thought about.
struct Change {
    how: How,
    heights: Vec<Length>,
}

enum How {
    Move(usize),
    Add,
    Usual(String),
}

impl Change {
    fn remedy(self, from_day: Date) -> StrandRemedy {
        match self.how {
            How::Move(strand) => StrandRemedy::Move { strand, to: self.heights[strand], from_day },
            How::Add => StrandRemedy::Add { at: self.heights[self.heights.len() - 1], from_day },
            How::Usual(class) => StrandRemedy::Usual { class, strands: self.heights, from_day },
        }
    }
}

fn first_lack(strands: &[Length], animals: &[(usize, HeldHeight)]) -> Option<(usize, Lack)> {
    animals.iter().find_map(|(group, animal)| Some((*group, *lacks(strands, animal).first()?)))
}

/// The first of the days for which it is so; it is so on the last, and from the first such day on.
fn first_day(from: Date, last: Date, is_so: impl Fn(Date) -> bool) -> Date {
    let (mut low, mut high) = (-1, days_between(from, last));
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        if is_so(day_after(from, middle)) { high = middle } else { low = middle }
    }
    day_after(from, high)
}

fn day_after(day: Date, days: i32) -> Date {
    day.saturating_add(jiff::Span::new().days(days))
}

/// Heights that a strand is hung at: from what clears rooted soil and leaves.
fn grid() -> impl Iterator<Item = Length> {
    let lowest = ((BUILD_UP_M + CLEAR_OF_GROUND_M) / STEP_M).round() as i32;
    (lowest..).map(|step| Length::metres(f64::from(step) * STEP_M)).take_while(|height| *height <= Length::metres(HIGHEST_M))
}

/// The shortest move of one strand that does; strands keep their order.
fn moved(strands: &[Length], keeps: impl Fn(&[Length]) -> bool) -> Option<Change> {
    let mut best: Option<(Length, Change)> = None;
    for (strand, from) in strands.iter().enumerate() {
        for to in grid() {
            let by = (to - *from).abs();
            let crosses =
                strands.iter().enumerate().any(|(other, height)| other != strand && (*height < *from) != (*height < to));
            if crosses || best.as_ref().is_some_and(|(least, _)| *least <= by) {
                continue;
            }
            let mut heights = strands.to_vec();
            heights[strand] = to;
            if keeps(&heights) {
                best = Some((by, Change { how: How::Move(strand), heights }));
            }
        }
    }
    best.map(|(_, change)| change)
}

/// One strand more that does: below the others in the middle of where it may hang, else as low as it may.
fn added(strands: &[Length], keeps: impl Fn(&[Length]) -> bool) -> Option<Change> {
    let with = |at: Length| strands.iter().copied().chain([at]).collect::<Vec<_>>();
    let fit: Vec<Length> = grid().filter(|at| keeps(&with(*at))).collect();
    let below = fit.iter().take_while(|at| strands.iter().all(|other| *at < other)).count();
    let at = *fit.get(below / 2)?;
    Some(Change { how: How::Add, heights: with(at) })
}

#[cfg(test)]
#[path = "outgrown_tests.rs"]
mod tests;
