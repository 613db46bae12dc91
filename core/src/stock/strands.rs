//! The strands of a build, or its netting, as the rule takes them.

use super::growth::{fitting_row, weight_at};
use super::rule::{Barrier, Carries, Hung, Limits, Verdict, judge};
use crate::catalogue::{AnimalRow, Catalogue, Purpose};
use crate::plan::{Build, StockGroup};
use jiff::civil::Date;

/// How high rooted soil and leaves lie along a line unless somebody says otherwise (`common-practice`; no measured rate was found).
pub const BUILD_UP_M: f64 = 0.05;
/// What has to stay free between that and the lowest strand (`common-practice`).
pub const CLEAR_OF_GROUND_M: f64 = 0.03;

/// The strands of a build over level ground, in its order.
pub fn hung(build: &Build) -> Vec<Hung> {
    let carries = |live: bool| if live { Carries::Pulse } else { Carries::Return };
    build.strands.iter().map(|strand| Hung::level(strand.height.as_metres(), carries(strand.live))).collect()
}

/// What a build is worth over level ground for animals with these limits.
pub fn judge_build(build: &Build, limits: &Limits) -> Verdict {
    match &build.net {
        Some(net) => {
            let height_m = net.height.as_metres();
            judge(Barrier::Net { height_m, least_m: height_m, foot_m: 0.0 }, limits, 0.0)
        }
        None => judge(Barrier::Strands(&hung(build)), limits, 0.0),
    }
}

/// The row of a group whose animals weigh this: that of its class, where they have not grown into the next one; without a class what fits.
pub fn row_of<'a>(group: &StockGroup, kg: f64, catalogue: &'a Catalogue) -> Option<&'a AnimalRow> {
    let Some(class) = &group.class else {
        let fitting = fitting_row(&catalogue.animals, &group.species, kg);
        return fitting.or_else(|| catalogue.animal(&group.species, None));
    };
    let chosen = catalogue.animal(&group.species, Some(class))?;
    let grows = group.gain_kg_per_day.is_some_and(|gain| gain > 0.0);
    let next = chosen.from_kg.filter(|_| grows).and_then(|from_kg| {
        let grown_into = fitting_row(&catalogue.animals, &group.species, kg)?;
        grown_into.from_kg.filter(|next_kg| *next_kg > from_kg).map(|_| grown_into)
    });
    Some(next.unwrap_or(chosen))
}

/// A group as it is on a day: its row, what one weighs, and the limits for a purpose.
#[derive(Clone, Copy, Debug)]
pub struct GroupThen<'a> {
    /// Its row.
    pub animal: &'a AnimalRow,
    /// What one weighs.
    pub kg: f64,
    /// Its limits.
    pub limits: Limits<'a>,
}

impl<'a> GroupThen<'a> {
    /// On a day; without one as it was weighed. `None` where the catalogue knows neither its species nor its class.
    pub fn of(group: &StockGroup, purpose: Purpose, day: Option<Date>, catalogue: &'a Catalogue) -> Option<Self> {
        let kg = weight_at(group, &catalogue.animals, day)?.kg;
        let animal = row_of(group, kg, catalogue)?;
        Some(Self { animal, kg, limits: Limits::of(animal, purpose, kg, catalogue)? })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_group_grows_into_the_next_class_and_a_chosen_one_is_kept_while_it_does_not() {
        let all = Catalogue::built_in();
        let row = |class: Option<&str>, gain: f64, kg: f64| {
            let group = StockGroup {
                species: "pig".to_owned(),
                class: class.map(str::to_owned),
                gain_kg_per_day: Some(gain),
                ..StockGroup::default()
            };
            row_of(&group, kg, all).map(|row| row.class.as_str())
        };
        let rows = [
            (None, 0.5, 20.0, "piglet"),
            (None, 0.5, 64.0, "finisher"),
            (Some("piglet"), 0.5, 64.0, "finisher"),
            (Some("piglet"), 0.0, 64.0, "piglet"),
            (Some("finisher"), 0.5, 40.0, "finisher"),
            (Some("litter"), 0.5, 300.0, "litter"),
            (Some("boar"), 0.5, 300.0, "boar"),
        ];
        for (class, gain, kg, expected) in rows {
            assert_eq!(row(class, gain, kg), Some(expected), "{class:?} {gain} {kg}");
        }
        assert_eq!(row(Some("newt"), 0.0, 5.0), None);
    }
}
