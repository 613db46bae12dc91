//! What goes wrong with a fence: how often, when in the year, how long mending takes, and what is carried for it.

use super::RowSource;
use jiff::civil::Date;
use serde::Deserialize;

/// Days of a year.
pub const YEAR_DAYS: f64 = 365.25;

/// What a rate is counted for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FaultPer {
    /// A kilometre of fence.
    Km,
    /// A gate.
    Gate,
    /// An energizer with its earth.
    System,
}

/// Which half of the earth a fence stands on: seasons of the south come half a year later.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Hemisphere {
    /// North of the equator.
    #[default]
    North,
    /// South of it.
    South,
}

impl Hemisphere {
    /// Of a latitude, degrees.
    pub fn of_latitude(degrees: f64) -> Self {
        if degrees < 0.0 { Self::South } else { Self::North }
    }
}

/// A part that mending takes.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct MendingPart {
    /// Id of the kit row.
    pub kit: String,
    /// How many for one fault.
    pub each: f64,
}

/// One kind of fault.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct FaultRow {
    /// The word in plans.
    pub id: String,
    /// What people call it.
    pub label: String,
    /// What gives it away.
    pub sign: String,
    /// What its rate is counted for.
    pub per: FaultPer,
    /// How many a year for one of these.
    pub per_year: f64,
    /// The months in which most of it comes, 1 to 12, north of the equator; none where all are alike.
    #[serde(default)]
    pub months: Vec<i8>,
    /// The share of a year's faults that comes in these months.
    #[serde(default)]
    pub in_season_share: Option<f64>,
    /// Minutes to find and mend one: from, to.
    pub minutes: (f64, f64),
    /// Ids of the tools that mending needs.
    pub tools: Vec<String>,
    /// What mending one takes.
    pub parts: Vec<MendingPart>,
    /// What people write for it on a round, in small letters.
    pub words: Vec<String>,
    /// The species without which it does not happen.
    #[serde(default)]
    pub only_behind: Option<String>,
    /// The age of a fence, years, from which it happens.
    #[serde(default)]
    pub from_year: Option<u32>,
    /// Where the values come from.
    #[serde(flatten)]
    pub sources: RowSource,
}

impl FaultRow {
    /// How many times as often as over the whole year it comes in a month, 1 to 12.
    ///
    /// w = 12 s / m in the season's m months, 12 (1 - s) / (12 - m) in the others, for a share s of the year in the season
    ///
    /// # Units
    /// A pure number; its mean over twelve months is 1.
    ///
    /// # Valid for
    /// Seasons of one to eleven months; months count as equally long.
    ///
    /// # Source
    /// fault-defaults
    pub fn season_factor(&self, month: i8, hemisphere: Hemisphere) -> f64 {
        let northern = match hemisphere {
            Hemisphere::North => month,
            Hemisphere::South => (month + 5) % 12 + 1,
        };
        let (Some(share), Ok(in_season)) = (self.in_season_share, u8::try_from(self.months.len())) else { return 1.0 };
        let in_season = f64::from(in_season);
        if self.months.contains(&northern) { 12.0 * share / in_season } else { 12.0 * (1.0 - share) / (12.0 - in_season) }
    }

    /// Years of the usual rate that lie between two days by the season of each day, the first counted, the last not: `per_year` times this
    /// is how many faults are expected.
    pub fn years_between(&self, from: Date, until: Date, hemisphere: Hemisphere) -> f64 {
        self.years_by_month(from, until, hemisphere).iter().sum()
    }

    /// The same by month of the year, January first.
    pub fn years_by_month(&self, from: Date, until: Date, hemisphere: Hemisphere) -> [f64; 12] {
        let mut days = [0.0; 12];
        let mut day = from;
        while day < until {
            let month_end = day.last_of_month().tomorrow().unwrap_or(until).min(until);
            let here = day.until(month_end).map_or(0, |span| span.get_days());
            let month = usize::try_from(day.month() - 1).unwrap_or_default();
            days[month] += f64::from(here) * self.season_factor(day.month(), hemisphere);
            day = month_end;
        }
        days.map(|days| days / YEAR_DAYS)
    }
}

/// Whether something carried is used up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum KitKind {
    /// Comes back.
    Tool,
    /// Is used up.
    Part,
}

/// One thing that is carried on a round.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct KitRow {
    /// Its id.
    pub id: String,
    /// What people call it.
    pub label: String,
    /// Whether it is used up.
    pub kind: KitKind,
    /// How many are carried on every round; 0 for what is taken only where faults that need it are likely.
    pub always: u32,
    /// Where the values come from.
    #[serde(flatten)]
    pub sources: RowSource,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;
    use jiff::civil::date;
    use std::collections::HashSet;

    #[test]
    fn every_fault_is_mended_with_things_that_are_in_the_kit_and_every_word_means_one_fault() {
        let all = Catalogue::built_in();
        let mut words = HashSet::new();
        for row in &all.faults {
            assert!(all.fault(&row.id).is_some_and(|first| std::ptr::eq(first, row)), "{} stands twice", row.id);
            for kit in row.tools.iter().chain(row.parts.iter().map(|part| &part.kit)) {
                assert!(all.kit(kit).is_some(), "{}: {kit}", row.id);
            }
            for word in &row.words {
                assert!(words.insert(word), "{word} means two faults");
                assert_eq!(word.to_lowercase(), *word);
            }
            assert!(row.per_year > 0.0 && row.minutes.0 > 0.0 && row.minutes.0 <= row.minutes.1, "{}", row.id);
            assert_eq!(row.months.is_empty(), row.in_season_share.is_none(), "{}", row.id);
            assert!(row.months.iter().all(|month| (1..=12).contains(month)) && row.months.len() < 12, "{}", row.id);
        }
    }

    #[test]
    fn twelve_months_make_one_year_whatever_the_season() {
        for row in &Catalogue::built_in().faults {
            for hemisphere in [Hemisphere::North, Hemisphere::South] {
                let sum: f64 = (1..=12).map(|month| row.season_factor(month, hemisphere)).sum();
                assert!((sum - 12.0).abs() < 1e-9, "{} {sum}", row.id);
            }
        }
    }

    #[test]
    fn growth_comes_in_summer_north_and_south() {
        let row = Catalogue::built_in().fault("contact").expect("listed");
        let (april, october) = (date(2026, 4, 1), date(2026, 10, 1));
        // 183 days of the season at 12 * 0.9 / 6.
        let summer = row.years_between(april, october, Hemisphere::North);
        assert!((summer - 183.0 * 1.8 / YEAR_DAYS).abs() < 1e-9, "{summer}");
        let winter = row.years_between(april, october, Hemisphere::South);
        assert!((winter - 183.0 * 0.2 / YEAR_DAYS).abs() < 1e-9, "{winter}");
        assert!((row.years_between(october, april, Hemisphere::North)).abs() < 1e-12, "no time has passed");
        let within = row.years_between(date(2026, 5, 10), date(2026, 5, 17), Hemisphere::North);
        assert!((within - 7.0 * 1.8 / YEAR_DAYS).abs() < 1e-9, "{within}");
        assert_eq!((Hemisphere::of_latitude(-41.0), Hemisphere::of_latitude(53.0)), (Hemisphere::South, Hemisphere::North));
    }
}
