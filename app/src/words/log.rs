//! The log as people read it: entries, where they stand, and what they teach.

use super::{FAULTS, count, day, day_of_year, days, ground_state, hours, length, number_with};
use hillwire_core::catalogue::{Catalogue, FaultPer};
use hillwire_core::land::MapPoint;
use hillwire_core::log::{
    Against, Due, ENOUGH_ENTRIES, Entry, Expectation, FaultRate, Found, FoundAs, Log, PlaceReadings, Stands, Taken, Weak, What,
    WhyDue, Wooded, WrittenTrouble, Year, day_of, held_against, minute_of,
};
use hillwire_core::plan::{FeatureId, Kind, Plan, UnitSystem};
use hillwire_core::units::Length;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// Months as a calendar's narrow columns name them.
pub const MONTHS_SHORT: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
/// Places that are told; the rest stands in the table.
const MOST_TOLD: usize = 5;
/// A fall that is smaller than this for certain is not worth a sentence, kilovolts by year.
const LEAST_FALL_KV: f64 = 0.05;
/// What no program can know.
pub const AFTER_A_STORM: &str = "After wind, snow, flood or lightning go the same day, whatever is said here, and after hunting. New animals: daily in their first week.";

/// Kilovolts: `5.2 kV`.
pub fn kilovolts(kv: f64) -> String {
    format!("{}\u{a0}kV", number_with(kv, 1))
}

/// A kind of fault: `a branch on a strand`; its own word where nobody knows it.
pub fn fault(word: &str) -> String {
    FAULTS.iter().find(|(known, _)| *known == word).map_or_else(|| named(word), |(_, text)| (*text).to_owned())
}

fn named(word: &str) -> String {
    if word.is_empty() { "something wrong".to_owned() } else { word.to_owned() }
}

/// A line by its name.
pub fn line(plan: &Plan, id: &FeatureId) -> String {
    plan.feature(id).map_or_else(|| id.as_str().to_owned(), |feature| feature.label().to_owned())
}

/// What an entry says: `5.2 kV, ground wet`; `a branch on a strand, mended the same day`.
pub fn entry(entry: &Entry) -> String {
    match &entry.what {
        What::Reading { volt, ampere, is_on, ground } => {
            let parts = [
                volt.map(|volt| kilovolts(volt / 1000.0)),
                ampere.map(|ampere| format!("{}\u{a0}A", number_with(ampere, 1))),
                ground.map(|state| format!("ground {}", ground_state(state))),
                (!is_on).then(|| "energizer off".to_owned()),
            ];
            let said: Vec<String> = parts.into_iter().flatten().collect();
            if said.is_empty() { "a reading without a value".to_owned() } else { said.join(", ") }
        }
        What::Fault { kind, mended, stands, .. } => {
            let after = match (mended, stands) {
                (_, true) => ", not mended".to_owned(),
                (Some(mended), _) => on_day(*mended, entry),
                (None, _) => ", mended".to_owned(),
            };
            format!("{}{after}", fault(kind))
        }
        What::Strike { mended, .. } => fault("strike") + &mended.map_or_else(String::new, |mended| on_day(mended, entry)),
        What::Photo { file } => format!("photo {}", file.as_deref().unwrap_or_default()).trim().to_owned(),
    }
}

fn on_day(mended: Date, entry: &Entry) -> String {
    if Some(mended) == entry.day { ", mended the same day".to_owned() } else { format!(", mended on {}", day(mended)) }
}

/// The day and the time of an entry.
pub fn when(entry: &Entry) -> String {
    match (entry.day, &entry.minute) {
        (Some(day), Some(minute)) => format!("{day} {minute}"),
        (Some(day), None) => day.to_string(),
        (None, _) => "no day".to_owned(),
    }
}

/// Where an entry lies: `120 m of North line`; `stands 4.2 m from North line, which has moved since`.
pub fn stands(entry: &Entry, plan: &Plan, units: UnitSystem) -> String {
    match &entry.stands {
        Stands::On(on) => format!("{} of {}", length(on.station, units), line(plan, &on.line)),
        Stands::Moved { on, .. } => {
            format!("stands {} from {}, which has moved since", length(on.off, units), line(plan, &on.line))
        }
        Stands::Gone { line } => format!("its line {line} is no longer in the plan"),
        Stands::Alone => "on no line".to_owned(),
    }
}

/// What was to be expected: `4.8 to 5.6 kV`.
pub fn expectation(expected: &Expectation) -> String {
    let (low, high) = (number_with(expected.low_kv, 1), number_with(expected.high_kv, 1));
    if low == high { kilovolts(expected.low_kv) } else { format!("{low} to {}", kilovolts(expected.high_kv)) }
}

/// A reading beside what was to be expected, in a word.
pub fn against(kv: f64, expected: &Expectation) -> &'static str {
    match held_against(kv, expected) {
        Against::Below => "too little",
        Against::Within => "as expected",
        Against::Above => "more than expected",
    }
}

/// One thing that the log teaches, and where.
#[derive(Clone, Debug, PartialEq)]
pub struct Teaching {
    /// A sentence or two.
    pub says: String,
    /// Where on the map it is about.
    pub at: Option<MapPoint>,
    /// The line it is about, and where on it.
    pub line: Option<(FeatureId, Length)>,
}

impl Teaching {
    fn of(says: String) -> Self {
        Self { says, at: None, line: None }
    }
    fn at(says: String, at: MapPoint, line: &FeatureId, station: Length) -> Self {
        Self { says, at: Some(at), line: Some((line.clone(), station)) }
    }
}

/// Everything that a log teaches, what to do first.
pub fn teaches(log: &Log, plan: &Plan, units: UnitSystem) -> Vec<Teaching> {
    let mut all: Vec<Teaching> = log.due.iter().map(|of| Teaching::of(due(of))).collect();
    let lows = log.places.iter().filter_map(|place| low(log, place, plan, units));
    all.extend(capped(lows.collect(), "place reads", "places read", "too little too"));
    let falls = log.places.iter().filter_map(|place| falling(log, place, plan, units));
    all.extend(capped(falls.collect(), "place falls", "places fall", "as well"));
    let weak = log.weak.iter().map(|weak| Teaching::at(weak_stretch(weak, plan, units), weak.at, &weak.line, weak.from));
    all.extend(capped(weak.collect(), "stretch fails", "stretches fail", "more often than their line too"));
    all.extend(log.prune.iter().flat_map(|prune| {
        let before = day(prune.before);
        let mut all: Vec<Teaching> = prune
            .found
            .iter()
            .take(MOST_TOLD)
            .map(|stretch| Teaching::at(cut(stretch, &before, plan, units), stretch.at, &stretch.line, stretch.from))
            .collect();
        all.extend(woods(&prune.woods, &before, plan, units).map(Teaching::of));
        all
    }));
    all.extend(log.years.iter().rev().take(3).map(|of| Teaching::of(year(of))));
    all
}

/// The first few, and how many more there are.
fn capped(mut all: Vec<Teaching>, one: &str, many: &str, how: &str) -> Vec<Teaching> {
    if all.len() > MOST_TOLD {
        let more = all.len() - MOST_TOLD;
        all.truncate(MOST_TOLD);
        let which = if more == 1 { format!("1 more {one}") } else { format!("{more} more {many}") };
        all.push(Teaching::of(format!("{which} {how}.")));
    }
    all
}

/// When the next round is due, and why.
pub fn due(due: &Due) -> String {
    let next = day(due.next);
    if due.late_days > 0 {
        let late = days(f64::from(due.late_days));
        return format!(
            "A round was due on {next}: it is {late} late. Since the last one, {} to be expected.",
            faults_are(due.expected)
        );
    }
    match &due.why {
        WhyDue::NoneYet => "No round has been written down yet. The first one shows how the fence is when it is new.".to_owned(),
        WhyDue::NewAnimals { paddock, since } => format!(
            "The next round is due on {next}: animals came into {paddock} on {}, and new ones try a fence daily in their first week.",
            day_of_year(*since)
        ),
        WhyDue::Week => {
            let expected = due.weekly;
            format!(
                "The next round is due on {next}, a week after the last one. In a week now, {} to be expected.",
                faults_are(expected)
            )
        }
        WhyDue::LikelyFault => {
            format!(
                "The next round is due on {next}: by then one fault or more is likely. In a week now, {} to be expected.",
                faults_are(due.weekly)
            )
        }
    }
}

fn faults_are(expected: f64) -> String {
    let text = number_with(expected, 1);
    if text == "1.0" { "1 fault is".to_owned() } else { format!("{text} faults are") }
}

/// The last reading of a place, where it was too little.
fn low(log: &Log, place: &PlaceReadings, plan: &Plan, units: UnitSystem) -> Option<Teaching> {
    let last = log.entries.get(*place.entries.last()?)?;
    let (kv, expected, at) = (last.kv()?, last.expected?, last.at_map?);
    (held_against(kv, &expected) == Against::Below).then(|| {
        let says = format!(
            "The last reading at {} of {}, {} on {}, is less than the {} below which something is wrong there.",
            length(place.station, units),
            line(plan, &place.line),
            kilovolts(kv),
            last.day.map_or_else(|| "no known day".to_owned(), day),
            kilovolts(expected.least_kv()),
        );
        Teaching::at(says, at, &place.line, place.station)
    })
}

/// A place whose readings get less.
fn falling(log: &Log, place: &PlaceReadings, plan: &Plan, units: UnitSystem) -> Option<Teaching> {
    let slope = place.slope.filter(|slope| slope.between.1 <= -LEAST_FALL_KV)?;
    let at = log.entries.get(*place.entries.last()?)?.at_map?;
    let says = format!(
        "Readings at {} of {} fall by {} a year ({} to {}): look for joints that corrode, growth, and a drying earth.",
        length(place.station, units),
        line(plan, &place.line),
        kilovolts(-slope.per_year),
        number_with(-slope.between.1, 1),
        number_with(-slope.between.0, 1),
    );
    Some(Teaching::at(says, at, &place.line, place.station))
}

fn weak_stretch(weak: &Weak, plan: &Plan, units: UnitSystem) -> String {
    format!(
        "{} fails {} times as often as the rest of it between {} and {} ({} found; {} to {} times).",
        line(plan, &weak.line),
        number_with(weak.times, 1),
        length(weak.from, units),
        length(weak.to, units),
        faults_counted(weak.seen),
        number_with(weak.between.0, 1),
        number_with(weak.between.1, 1),
    )
}

fn faults_counted(count: u32) -> String {
    if count == 1 { "1 fault".to_owned() } else { format!("{count} faults") }
}

fn cut(stretch: &Wooded, before: &str, plan: &Plan, units: UnitSystem) -> String {
    let times = if stretch.found == 1 { "once".to_owned() } else { format!("{} times", stretch.found) };
    format!(
        "Before {before} cut back along {} from {} to {}: growth or a branch was found there {times}.",
        line(plan, &stretch.line),
        length(stretch.from, units),
        length(stretch.to, units),
    )
}

/// All woods in one sentence.
fn woods(woods: &[Wooded], before: &str, plan: &Plan, units: UnitSystem) -> Option<String> {
    let mut by_line: BTreeMap<String, Length> = BTreeMap::new();
    for stretch in woods {
        *by_line.entry(line(plan, &stretch.line)).or_insert(Length::ZERO) += stretch.to - stretch.from;
    }
    let lines: Vec<String> = by_line.iter().map(|(line, through)| format!("{} of {line}", length(*through, units))).collect();
    (!lines.is_empty())
        .then(|| format!("Before {before} look up for loose branches where lines run through wood: {}.", lines.join(", ")))
}

/// A year's work and parts.
pub fn year(year: &Year) -> String {
    let rounds = if year.rounds == 1 { "1 round".to_owned() } else { format!("{} rounds", year.rounds) };
    let mut says = format!("{}: {rounds}, {}", year.year, faults_counted(year.faults));
    if year.mending_min > 0.0 {
        says.push_str(&format!(", {} of mending written down", hours(year.mending_min / 60.0)));
    }
    if year.usual_min > 0.0 {
        says.push_str(&format!(", about {} for the faults without minutes", hours(year.usual_min / 60.0)));
    }
    says.push_str(&format!(", {} of looking along the fence", hours(year.looking_min / 60.0)));
    let parts: Vec<String> = year.parts.iter().take(6).map(|(part, number)| format!("{} {part}", count(*number))).collect();
    if !parts.is_empty() {
        says.push_str(&format!("; used: {}", parts.join(", ")));
    }
    says + "."
}

/// What a rate is counted for: `a km`, `a gate`.
pub fn per(per: FaultPer) -> &'static str {
    match per {
        FaultPer::Km => "km",
        FaultPer::Gate => "gate",
        FaultPer::System => "energizer",
    }
}

/// How much a log is worth beside the planning defaults.
pub fn worth(log: &Log, units: UnitSystem) -> String {
    let seen: u32 = log.rates.iter().map(|rate| rate.seen).sum();
    let weight = if usize::try_from(seen).is_ok_and(|seen| seen >= ENOUGH_ENTRIES) {
        "the log outweighs them now"
    } else {
        "they still weigh more than the log does"
    };
    format!(
        "{} after the first day, {} of fence watched. The planning defaults are worth 2 years of a kilometre; {weight}.",
        faults_counted(seen),
        length(Length::metres(log.fence_km * 1000.0), units)
    )
}

/// The cells of a kind of fault: what, seen, the default, the rate with its interval, expected in a year here.
pub fn rate_cells(rate: &FaultRate, catalogue: &Catalogue) -> [String; 5] {
    let what = catalogue.fault(&rate.kind).map_or_else(|| fault(&rate.kind), |row| row.label.to_lowercase());
    let each = rate.per.map_or("", per);
    let default = rate.default_per_year.map_or_else(String::new, |default| format!("{} per {each}", number_with(default, 1)));
    let now = rate.rate.map_or_else(String::new, |rate| {
        format!("{} ({} to {})", number_with(rate.mean, 1), number_with(rate.between.0, 1), number_with(rate.between.1, 1))
    });
    [what, rate.seen.to_string(), default, now, rate.yearly.map_or_else(String::new, |yearly| number_with(yearly, 1))]
}

/// A row that cannot be used: `row 5, lat: found 91; allowed is a number ...`.
pub fn trouble(trouble: &WrittenTrouble) -> String {
    let column = trouble.column.as_ref().map_or_else(String::new, |column| format!(", {column}"));
    format!("row {}{column}: found {}; allowed is {}", trouble.number, trouble.found, trouble.allowed)
}

/// What becomes of a row, for a list of choices.
pub fn taken(taken: &Taken) -> String {
    match taken {
        Taken::Leave => "leave it out".to_owned(),
        Taken::Mark => "a mark".to_owned(),
        Taken::As(found) => found_as(found),
    }
}

/// What a row was understood as.
pub fn found_as(found: &FoundAs) -> String {
    match found {
        FoundAs::Unclear => "not understood".to_owned(),
        FoundAs::Mended { .. } => "mends the fault beside it".to_owned(),
        FoundAs::Entries(kinds) => kinds.iter().map(kind).collect::<Vec<_>>().join(" and "),
    }
}

fn kind(of: &Kind) -> String {
    match of {
        Kind::Reading(reading) => {
            reading.kv.map_or_else(|| "a reading".to_owned(), |kv| format!("a reading of {}", kilovolts(kv)))
        }
        Kind::Fault(of) => {
            let what = fault(of.what.as_deref().unwrap_or_default());
            if of.mended.is_some() { format!("{what}, mended") } else { what }
        }
        Kind::Photo(_) => "a photo".to_owned(),
        _ => "a mark".to_owned(),
    }
}

/// A row as it was written: `row 7: “something odd” (2026-05-03)`.
pub fn written(found: &Found) -> String {
    let text = if found.text.is_empty() { String::new() } else { format!(": “{}”", found.text) };
    let time = found.time.as_deref().map_or_else(String::new, |time| format!(" ({})", plain_time(time)));
    format!("row {}{text}{time}", found.number)
}

/// A time as plans write it, without what only programs need: `2026-05-03 14:20`.
fn plain_time(time: &str) -> String {
    match (day_of(time), minute_of(time)) {
        (Some(day), Some(minute)) => format!("{day} {minute}"),
        (Some(day), None) => day.to_string(),
        (None, _) => time.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hillwire_core::log::OTHER_WORDS;

    #[test]
    fn every_kind_of_fault_has_its_words() {
        for row in &Catalogue::built_in().faults {
            assert!(FAULTS.iter().any(|(word, _)| *word == row.id), "{}", row.id);
        }
        for (word, _) in OTHER_WORDS {
            assert!(FAULTS.iter().any(|(known, _)| *known == word), "{word}");
        }
        assert_eq!((fault("branch").as_str(), fault("badger").as_str()), ("a branch on a strand", "badger"));
    }

    #[test]
    fn times_and_numbers_are_told_plainly() {
        for (time, told) in [("2026-05-03T14:20:00Z", "2026-05-03 14:20"), ("2026-05-03", "2026-05-03"), ("in May", "in May")] {
            assert_eq!(plain_time(time), told);
        }
        let one = Expectation { low_kv: 5.21, high_kv: 5.24, ground: None };
        let wide = Expectation { low_kv: 4.8, high_kv: 5.6, ground: None };
        assert_eq!((expectation(&one), expectation(&wide)), ("5.2\u{a0}kV".to_owned(), "4.8 to 5.6\u{a0}kV".to_owned()));
    }
}
