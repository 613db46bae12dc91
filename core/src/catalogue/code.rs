//! What law and standards ask of a fence, country by country: rows parsed from `assets/code/`, each value with its source and a day.

use crate::source::SourceKey;
use crate::units::Length;
use serde::Deserialize;
use std::sync::OnceLock;

/// A length that a code asks for.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct CodeLength {
    /// The length.
    #[serde(rename = "value_m")]
    pub value: Length,
    /// Where it comes from.
    pub source: SourceKey,
    /// When the source was last looked at, ISO 8601.
    pub as_of: Option<String>,
    /// When a value from memory, of custom or of our own was written down, ISO 8601.
    pub noted_on: Option<String>,
}

/// What holds near overhead power lines up to a voltage.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct OverheadRow {
    /// Up to so many kilovolts; without it for all above.
    pub up_to_kv: Option<f64>,
    /// Least distance in the air between fence wires and conductors.
    #[serde(rename = "clear_m")]
    pub clear: Length,
    /// The outermost conductor hangs so far to either side of the line as it is drawn.
    #[serde(rename = "spread_m")]
    pub spread: Length,
    /// So far to either side of it on the map no wire of the fence stands higher than `wires_below`.
    #[serde(rename = "beside_m")]
    pub beside: Length,
    /// See `beside`.
    #[serde(rename = "wires_below_m")]
    pub wires_below: Length,
    /// Post drivers, tippers and ladders keep so far away on the map until whoever runs the line has been asked.
    #[serde(rename = "work_away_m")]
    pub work_away: Length,
    /// Where all but `spread` and `work_away` come from.
    pub source: SourceKey,
    /// Where `work_away` comes from.
    pub work_source: SourceKey,
    /// When `source` was last looked at, ISO 8601.
    pub as_of: String,
    /// When `work_away`, from memory or of custom, was written down, ISO 8601.
    pub work_noted_on: String,
}

/// What holds in a country.
#[derive(Clone, Debug, PartialEq)]
pub struct Code {
    /// Its word in plans.
    pub id: String,
    /// What people call it.
    pub label: String,
    /// Signs along a public way stand no farther apart.
    pub signs_every: CodeLength,
    /// Least distance between fences of two energizers.
    pub fences_apart: CodeLength,
    /// Least distance between the fence's earth and any other.
    pub earth_apart: CodeLength,
    /// Least distance between a live strand and barbed wire.
    pub barbed_apart: CodeLength,
    /// Least height of a lead-out over a way that vehicles use.
    pub lead_over_way: CodeLength,
    /// The same over a way that is ridden on.
    pub lead_over_riders: CodeLength,
    /// The same over a way that is walked only.
    pub lead_over_walkers: CodeLength,
    overhead: Vec<OverheadRow>,
}

#[derive(Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct CodeText {
    id: String,
    label: String,
    signs_every: Option<CodeLength>,
    fences_apart: Option<CodeLength>,
    earth_apart: Option<CodeLength>,
    barbed_apart: Option<CodeLength>,
    lead_over_way: Option<CodeLength>,
    lead_over_riders: Option<CodeLength>,
    lead_over_walkers: Option<CodeLength>,
    #[serde(default)]
    overhead: Vec<OverheadRow>,
}

const FILES: [(&str, &str); 3] = [
    ("general.toml", include_str!("../../../assets/code/general.toml")),
    ("gb.toml", include_str!("../../../assets/code/gb.toml")),
    ("us.toml", include_str!("../../../assets/code/us.toml")),
];

impl Code {
    /// Their ids, as plans name them.
    pub const WORDS: [&'static str; 3] = ["general", "gb", "us"];

    /// All codes; the first holds where the plan names none, and lends the others what they do not say.
    pub fn all() -> &'static [Self] {
        static ALL: OnceLock<Vec<Code>> = OnceLock::new();
        ALL.get_or_init(|| {
            let texts = FILES.map(|(name, text)| -> CodeText {
                toml::from_str(text).unwrap_or_else(|error| panic!("assets/code/{name}: {error}"))
            });
            texts.iter().map(|text| Self::over(text, &texts[0])).collect()
        })
    }

    /// The code with this id; the general one for none and for an id that is not known.
    pub fn of(id: Option<&str>) -> &'static Self {
        let all = Self::all();
        all.iter().find(|code| Some(code.id.as_str()) == id).unwrap_or(&all[0])
    }

    fn over(text: &CodeText, general: &CodeText) -> Self {
        let one = |of: fn(&CodeText) -> &Option<CodeLength>| {
            of(text).clone().or_else(|| of(general).clone()).expect("assets/code/general.toml says everything")
        };
        Self {
            id: text.id.clone(),
            label: text.label.clone(),
            signs_every: one(|text| &text.signs_every),
            fences_apart: one(|text| &text.fences_apart),
            earth_apart: one(|text| &text.earth_apart),
            barbed_apart: one(|text| &text.barbed_apart),
            lead_over_way: one(|text| &text.lead_over_way),
            lead_over_riders: one(|text| &text.lead_over_riders),
            lead_over_walkers: one(|text| &text.lead_over_walkers),
            overhead: if text.overhead.is_empty() { general.overhead.clone() } else { text.overhead.clone() },
        }
    }

    /// What holds near an overhead line of so many kilovolts; the strictest where they are not known.
    pub fn overhead(&self, kv: Option<f64>) -> &OverheadRow {
        let holds = |row: &&OverheadRow| row.up_to_kv.is_none_or(|up_to| kv.is_some_and(|kv| kv <= up_to));
        self.overhead.iter().find(holds).expect("the last row of a code has no upper voltage")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::Seen;

    #[test]
    fn the_words_of_plans_are_the_ids_of_the_files() {
        assert!(Code::all().iter().map(|code| code.id.as_str()).eq(Code::WORDS));
    }

    #[test]
    fn every_value_names_a_source_and_the_day_it_was_looked_at_or_noted() {
        for code in Code::all() {
            let apart = [&code.signs_every, &code.fences_apart, &code.earth_apart, &code.barbed_apart];
            let single = apart.into_iter().chain([&code.lead_over_way, &code.lead_over_riders, &code.lead_over_walkers]);
            let single = single.map(|one| (&one.source, one.as_of.as_ref(), one.noted_on.as_ref()));
            let overhead = code
                .overhead
                .iter()
                .flat_map(|row| [(&row.source, Some(&row.as_of), None), (&row.work_source, None, Some(&row.work_noted_on))]);
            for (source, as_of, noted_on) in single.chain(overhead) {
                let seen = source.entry().unwrap_or_else(|| panic!("{}: {source:?}", code.id)).seen;
                let was_looked_at = matches!(seen, Seen::Read | Seen::SecondHand);
                assert_eq!((as_of.is_some(), noted_on.is_some()), (was_looked_at, !was_looked_at), "{}: {source:?}", code.id);
                let day = as_of.or(noted_on).expect("one of both");
                assert!(day.parse::<jiff::civil::Date>().is_ok(), "{}: {day}", code.id);
            }
        }
    }

    #[test]
    fn the_rows_of_overhead_lines_follow_the_voltage() {
        // IEC 60335-2-76, Annex BB: 3 m up to 1 kV, 4 m from there up to 33 kV, 8 m above. Work: GS6 and 29 CFR 1926.1408, from memory.
        let rows = [
            (None, Some(1.0), 3.0, 9.0),
            (None, Some(33.0), 4.0, 9.0),
            (None, None, 8.0, 15.0),
            (None, Some(0.4), 3.0, 9.0),
            (None, Some(11.0), 4.0, 9.0),
            (Some("gb"), Some(132.0), 8.0, 15.0),
            (Some("us"), Some(11.0), 4.0, 3.048),
            (Some("us"), Some(50.0), 8.0, 3.048),
            (Some("us"), Some(132.0), 8.0, 4.572),
            (Some("us"), Some(345.0), 8.0, 6.096),
            (Some("us"), Some(500.0), 8.0, 7.62),
            (Some("us"), Some(750.0), 8.0, 10.668),
            (Some("us"), Some(1000.0), 8.0, 13.716),
            // Above that, and where the voltage is not known: 50 ft are presumed (29 CFR 1926.1409).
            (Some("us"), Some(1100.0), 8.0, 15.24),
            (Some("us"), None, 8.0, 15.24),
        ];
        for (id, kv, clear_m, work_m) in rows {
            let row = Code::of(id).overhead(kv);
            assert_eq!((row.clear, row.work_away), (Length::metres(clear_m), Length::metres(work_m)), "{id:?} {kv:?}");
        }
    }
}
