//! `hillwire log`: what was read and found on the rounds, and what it teaches.

use super::answer::{Answer, Stop};
use super::json::{maybe, number, place};
use super::opened::{Opened, PlanOptions, day};
use super::outputs::{CSV, Outputs, Writing};
use super::table::{Side, paragraph, table};
use crate::clock::today;
use crate::files::Waiting;
use crate::words;
use clap::Args;
use hillwire_core::job::Job;
use hillwire_core::land::MapPoint;
use hillwire_core::log::{Against, Entry, Log, LogFrom, OnFence, Stands, What, WhyDue, Wooded, held_against};
use hillwire_core::share::CsvTable;
use hillwire_core::units::Length;
use jiff::civil::Date;
use serde_json::{Value, json};
use std::path::PathBuf;

/// The last entries that are printed as a table; all of them go to JSON and CSV.
const SHOWN: usize = 20;

/// What was read and found on the rounds, and what it teaches: readings against expectation, how often what fails, weak stretches, when the
/// next round is due.
#[derive(Args)]
#[command(after_help = "Example:\n  hillwire log my-farm.plan.geojson --csv log.csv")]
pub struct Options {
    #[command(flatten)]
    plan: PlanOptions,
    /// Read the log on this day instead of today
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    date: Option<Date>,
    /// Every entry as a table for a spreadsheet
    #[arg(long, value_name = "F.csv")]
    csv: Option<PathBuf>,
    #[command(flatten)]
    writing: Writing,
}

/// Prints the log.
///
/// # Errors
/// When a file cannot be used or written.
pub fn log(options: &Options, job: &Job) -> Result<Answer, Stop> {
    let on = options.date.unwrap_or_else(today);
    let outputs = Outputs::new(options.writing).file(options.csv.as_ref(), CSV);
    let opened = options.plan.open_to_write(&outputs, Some(on), job)?;
    let from = LogFrom { plan: &opened.file.plan, outcome: &opened.outcome, catalogue: opened.catalogue(), on };
    let told = Told { log: &Log::of(&from), opened: &opened };
    let mut answer = if options.plan.json { Answer::json(&told.as_json()) } else { Answer::text(told.as_text()) };
    if let Some(path) = &options.csv {
        answer.outputs.push(Waiting::of_bytes(path, &told.as_csv())?);
    }
    answer.notes = opened.notes;
    Ok(answer)
}

struct Told<'a> {
    log: &'a Log,
    opened: &'a Opened,
}

impl Told<'_> {
    fn as_text(&self) -> String {
        let (log, plan, units) = (self.log, &self.opened.file.plan, self.opened.units);
        let mut text = match log.days() {
            Some((first, last)) => format!(
                "{} entries of {} rounds, from {} to {}.\n\n",
                log.entries.len(),
                log.rounds.len(),
                words::day(first),
                words::day(last)
            ),
            None => "Nothing has been written down yet.\n\n".to_owned(),
        };
        let from = log.entries.len().saturating_sub(SHOWN);
        let columns =
            [("When", Side::Left), ("What", Side::Left), ("Where", Side::Left), ("Expected", Side::Right), ("", Side::Left)];
        let rows: Vec<Vec<String>> = log.entries[from..].iter().map(|entry| self.cells(entry)).collect();
        if !rows.is_empty() {
            text.push_str(&table(&columns, &rows));
            if from > 0 {
                text.push_str(&format!("{from} earlier entries: see them all with --csv or --json.\n"));
            }
            text.push('\n');
        }
        for teaching in words::log::teaches(log, plan, units) {
            text.push_str(&paragraph("- ", &teaching.says, 2));
        }
        text.push_str(&paragraph("- ", words::log::AFTER_A_STORM, 2));
        if !log.rates.is_empty() {
            text.push('\n');
            text.push_str(&self.rates());
        }
        text
    }

    fn rates(&self) -> String {
        let columns = [
            ("What fails", Side::Left),
            ("Seen", Side::Right),
            ("Planned a year", Side::Right),
            ("With the log", Side::Right),
            ("Here a year", Side::Right),
        ];
        let rows: Vec<Vec<String>> =
            self.log.rates.iter().map(|rate| words::log::rate_cells(rate, self.opened.catalogue()).to_vec()).collect();
        table(&columns, &rows) + &paragraph("", &words::log::worth(self.log, self.opened.units), 0)
    }

    fn cells(&self, entry: &Entry) -> Vec<String> {
        let against = entry.kv().zip(entry.expected);
        vec![
            words::log::when(entry),
            words::log::entry(entry),
            words::log::stands(entry, &self.opened.file.plan, self.opened.units),
            entry.expected.map_or_else(String::new, |expected| words::log::expectation(&expected)),
            against.map_or_else(String::new, |(kv, expected)| words::log::against(kv, &expected).to_owned()),
        ]
    }

    fn as_json(&self) -> Value {
        let log = self.log;
        json!({
            "entries": log.entries.iter().map(entry_json).collect::<Vec<_>>(),
            "rounds": log.rounds.iter().map(|round| json!({
                "day": round.day.to_string(), "readings": round.readings, "faults": round.faults, "photos": round.photos,
            })).collect::<Vec<_>>(),
            "fence_km": number(log.fence_km),
            "due": log.due.as_ref().map(due_json),
            "rates": self.rates_json(),
            "places": self.places_json(),
            "weak": log.weak.iter().map(|weak| json!({
                "line": weak.line.as_str(), "from_m": number(weak.from.as_metres()), "to_m": number(weak.to.as_metres()),
                "at": self.opened.place(weak.at), "seen": weak.seen, "times": number(weak.times),
                "times_low": number(weak.between.0), "times_high": number(weak.between.1),
            })).collect::<Vec<_>>(),
            "prune": log.prune.as_ref().map(|prune| json!({
                "before": prune.before.to_string(),
                "found": prune.found.iter().map(|stretch| self.wooded(stretch)).collect::<Vec<_>>(),
                "woods": prune.woods.iter().map(|stretch| self.wooded(stretch)).collect::<Vec<_>>(),
            })),
            "years": log.years.iter().map(|year| json!({
                "year": year.year, "rounds": year.rounds, "faults": year.faults, "mending_min": number(year.mending_min),
                "usual_min": number(year.usual_min), "looking_min": number(year.looking_min),
                "parts": year.parts.iter().map(|(part, count)| json!({ "part": part, "count": number(*count) })).collect::<Vec<_>>(),
            })).collect::<Vec<_>>(),
        })
    }

    fn rates_json(&self) -> Vec<Value> {
        let one = |rate: &hillwire_core::log::FaultRate| {
            json!({
                "kind": rate.kind, "seen": rate.seen, "by_month": rate.by_month, "expected_by_month": rate.expected_by_month.map(number), "per": rate.per.map(words::log::per),
                "watched_years": number(rate.watched), "default_per_year": maybe(rate.default_per_year),
                "per_year": maybe(rate.rate.map(|rate| rate.mean)),
                "per_year_low": maybe(rate.rate.map(|rate| rate.between.0)),
                "per_year_high": maybe(rate.rate.map(|rate| rate.between.1)),
                "here_per_year": maybe(rate.yearly),
            })
        };
        self.log.rates.iter().map(one).collect()
    }

    fn places_json(&self) -> Vec<Value> {
        let one = |of: &hillwire_core::log::PlaceReadings| {
            let slope = |of: Option<f64>| maybe(of);
            json!({
                "line": of.line.as_str(), "station_m": number(of.station.as_metres()), "at": place(of.at),
                "readings": of.entries.len(),
                "kv_per_year": slope(of.slope.map(|slope| slope.per_year)),
                "kv_per_year_low": slope(of.slope.map(|slope| slope.between.0)),
                "kv_per_year_high": slope(of.slope.map(|slope| slope.between.1)),
            })
        };
        self.log.places.iter().map(one).collect()
    }

    fn wooded(&self, stretch: &Wooded) -> Value {
        json!({
            "line": stretch.line.as_str(), "from_m": number(stretch.from.as_metres()), "to_m": number(stretch.to.as_metres()),
            "at": self.at(stretch.at), "found": stretch.found,
        })
    }

    fn at(&self, at: MapPoint) -> Value {
        self.opened.place(at)
    }

    /// Every entry, one a row, with the headings that `import --log` reads.
    fn as_csv(&self) -> Vec<u8> {
        let headings = [
            "id",
            "time",
            "lat",
            "lon",
            "line",
            "station_m",
            "off_m",
            "kind",
            "what",
            "kv",
            "amp",
            "expected_low_kv",
            "expected_high_kv",
            "against",
            "mended",
            "minutes",
            "parts",
            "note",
        ];
        let mut table = CsvTable::new(headings);
        for entry in &self.log.entries {
            table.row(csv_row(entry));
        }
        table.into_bytes()
    }
}

fn on(entry: &Entry) -> Option<&OnFence> {
    match &entry.stands {
        Stands::On(on) | Stands::Moved { on, .. } => Some(on),
        _ => None,
    }
}

fn time(entry: &Entry) -> Option<String> {
    let day = entry.day?;
    Some(entry.minute.as_ref().map_or_else(|| day.to_string(), |minute| format!("{day}T{minute}:00")))
}

/// In a word: on the line, moved, gone, alone.
fn stands(entry: &Entry) -> &'static str {
    match entry.stands {
        Stands::On(_) => "on",
        Stands::Moved { .. } => "line_moved",
        Stands::Gone { .. } => "line_gone",
        Stands::Alone => "on_no_line",
    }
}

fn against(entry: &Entry) -> Option<&'static str> {
    let (kv, expected) = entry.kv().zip(entry.expected)?;
    Some(match held_against(kv, &expected) {
        Against::Below => "below",
        Against::Within => "within",
        Against::Above => "above",
    })
}

/// What the entry is: its kind and its values.
struct Values<'a> {
    kind: &'a str,
    what: Option<&'a str>,
    kv: Option<f64>,
    amp: Option<f64>,
    mended: Option<Date>,
    minutes: Option<f64>,
    parts: Option<&'a str>,
}

fn values(entry: &Entry) -> Values<'_> {
    let none = Values { kind: "photo", what: None, kv: None, amp: None, mended: None, minutes: None, parts: None };
    match &entry.what {
        What::Reading { volt, ampere, .. } => {
            Values { kind: "reading", kv: volt.map(|volt| volt / 1000.0), amp: *ampere, ..none }
        }
        What::Fault { kind, mended, minutes, parts, .. } => {
            Values { kind: "fault", what: Some(kind), mended: *mended, minutes: *minutes, parts: parts.as_deref(), ..none }
        }
        What::Strike { mended, minutes, parts } => {
            Values { kind: "fault", what: Some("strike"), mended: *mended, minutes: *minutes, parts: parts.as_deref(), ..none }
        }
        What::Photo { file } => Values { what: file.as_deref(), ..none },
    }
}

fn entry_json(entry: &Entry) -> Value {
    let (on, values) = (on(entry), values(entry));
    let metres = |length: fn(&OnFence) -> Length| maybe(on.map(|on| length(on).as_metres()));
    json!({
        "id": entry.id.as_str(), "kind": values.kind, "what": values.what, "time": time(entry), "at": place(entry.at),
        "line": on.map(|on| on.line.as_str()), "station_m": metres(|on| on.station), "off_m": metres(|on| on.off),
        "stands": stands(entry), "kv": maybe(values.kv), "amp": maybe(values.amp),
        "expected_low_kv": maybe(entry.expected.map(|expected| expected.low_kv)),
        "expected_high_kv": maybe(entry.expected.map(|expected| expected.high_kv)),
        "against": against(entry), "mended": values.mended.map(|day| day.to_string()),
        "minutes": maybe(values.minutes), "parts": values.parts, "note": entry.note,
    })
}

fn csv_row(entry: &Entry) -> Vec<String> {
    let (on, values) = (on(entry), values(entry));
    let metres = |length: fn(&OnFence) -> Length| on.map_or_else(String::new, |on| format!("{:.1}", length(on).as_metres()));
    let kv = |kv: Option<f64>| kv.map_or_else(String::new, |kv| format!("{kv:.2}"));
    let plain = |value: Option<f64>| value.map_or_else(String::new, |value| value.to_string());
    vec![
        entry.id.as_str().to_owned(),
        time(entry).unwrap_or_default(),
        entry.at.lat_deg().to_string(),
        entry.at.lon_deg().to_string(),
        on.map_or_else(String::new, |on| on.line.as_str().to_owned()),
        metres(|on| on.station),
        metres(|on| on.off),
        values.kind.to_owned(),
        values.what.unwrap_or_default().to_owned(),
        kv(values.kv),
        plain(values.amp),
        kv(entry.expected.map(|expected| expected.low_kv)),
        kv(entry.expected.map(|expected| expected.high_kv)),
        against(entry).unwrap_or_default().to_owned(),
        values.mended.map_or_else(String::new, |day| day.to_string()),
        plain(values.minutes),
        values.parts.unwrap_or_default().to_owned(),
        entry.note.clone().unwrap_or_default(),
    ]
}

fn due_json(due: &hillwire_core::log::Due) -> Value {
    let why = match due.why {
        WhyDue::NoneYet => "none_yet",
        WhyDue::NewAnimals { .. } => "new_animals",
        WhyDue::Week => "week",
        WhyDue::LikelyFault => "likely_fault",
    };
    json!({
        "last": due.last.map(|day| day.to_string()), "next": due.next.to_string(), "why": why, "late_days": due.late_days,
        "expected_faults": number(due.expected), "weekly_faults": number(due.weekly),
    })
}
