//! `hillwire locate`: where the fault is, from what a voltmeter read.

use super::answer::{Answer, Stop};
use super::json::{maybe, number};
use super::opened::{Opened, PlanOptions};
use super::power::State;
use super::readings::readings;
use super::table::{Side, paragraph, table};
use crate::words;
use clap::Args;
use hillwire_core::catalogue::GroundState;
use hillwire_core::job::Job;
use hillwire_core::plan::FeatureId;
use hillwire_core::power::{LocateError, Located, Read, Sort, Suspect, Wiring, locate as locate_fault};
use serde_json::{Value, json};
use std::path::PathBuf;

/// Where the fault is, from the readings in the plan or in a table.
#[derive(Args)]
#[command(
    after_help = "The table (CSV, XLSX) has a heading and one reading a row: line, station_m, kv, and if known amp and towards (end or start of \
    the line).\n\n\
    Example:\n  hillwire locate my-farm.plan.geojson --readings today.csv --ground damp"
)]
pub struct Options {
    #[command(flatten)]
    plan: PlanOptions,
    /// Readings as a table, instead of the plan's own of the last day
    #[arg(long, value_name = "F.csv|F.xlsx")]
    readings: Option<PathBuf>,
    /// State of the ground when they were taken, instead of the plan's own
    #[arg(long, value_enum, value_name = "STATE")]
    ground: Option<State>,
}

/// Prints where the fault may be.
///
/// # Errors
/// When a file cannot be used, nothing drives the wires, or there are no readings.
pub fn locate(options: &Options, job: &Job) -> Result<Answer, Stop> {
    let opened = options.plan.open(job)?;
    let plan = options.plan.plan.display();
    let wiring = &opened.outcome.power.wiring;
    let (reads, notes) = match &options.readings {
        Some(path) => readings(path, &opened)?,
        None => (wiring.last_readings().into_iter().map(|reading| reading.read.clone()).collect(), Vec::new()),
    };
    let state = options.ground.map_or_else(|| stated(&opened), GroundState::from);
    if !wiring.is_driven() {
        return Err(Stop::unusable(format!("{plan}: {}", words::undriven(wiring, &opened.file.plan))));
    }
    let located = locate_fault(wiring, state, &reads);
    let located = located.map_err(|trouble| Stop::unusable(options.refused(&trouble)))?;
    let told = Told { opened: &opened, wiring, reads: &reads, located: &located, state };
    let mut answer = if options.plan.json { Answer::json(&told.as_json()) } else { Answer::text(told.as_text()) };
    answer.notes = opened.notes.into_iter().chain(notes).collect();
    Ok(answer)
}

impl Options {
    /// Why nothing can be located: of too many readings it is their table that is named.
    fn refused(&self, trouble: &LocateError) -> String {
        let plan = &self.plan.plan;
        match trouble {
            LocateError::TooMany { .. } => format!("{}: {trouble}", self.readings.as_ref().unwrap_or(plan).display()),
            _ => format!("{}: {trouble}; place readings on its lines, or name a table of them with --readings", plan.display()),
        }
    }
}

fn stated(opened: &Opened) -> GroundState {
    GroundState::from_word(&opened.file.plan.head.ground.state).unwrap_or(GroundState::Damp)
}

struct Told<'a> {
    opened: &'a Opened,
    wiring: &'a Wiring,
    reads: &'a [Read],
    located: &'a Located,
    state: GroundState,
}

impl Told<'_> {
    fn as_json(&self) -> Value {
        let readings = self.reads.iter().zip(&self.located.expected).map(|(read, expected)| {
            json!({
                "line": read.line.as_str(),
                "station_m": number(read.station.as_metres()),
                "kv": maybe(read.volt.map(|volt| volt / 1e3)),
                "amp": maybe(read.ampere),
                "expected_kv": maybe(expected.map(|expected| expected.volt / 1e3)),
                "expected_amp": maybe(expected.map(|expected| expected.ampere.abs())),
            })
        });
        let next = self.located.next.and_then(|next| self.wiring.stations.get(next)).map(|station| {
            json!({
                "line": station.line.as_str(),
                "station_m": number(station.station.as_metres()),
                "at": self.opened.place(station.at),
            })
        });
        json!({
            "ground": words::ground_state(self.state),
            "suspects": self.located.suspects.iter().map(|suspect| self.suspect_json(suspect)).collect::<Vec<_>>(),
            "nothing": number(self.located.nothing),
            "leakage_times": number(self.located.leak_times),
            "readings": readings.collect::<Vec<_>>(),
            "next": next,
        })
    }

    fn suspect_json(&self, suspect: &Suspect) -> Value {
        let line = self.opened.outcome.lines.iter().find(|line| line.id == suspect.line);
        let at = line.and_then(|line| line.section.sample_at_station(suspect.likeliest.as_metres()));
        let conductance_ms = (suspect.sort == Sort::Contact).then(|| 1e3 / suspect.ohm);
        json!({
            "line": suspect.line.as_str(),
            "from_m": number(suspect.from.as_metres()),
            "to_m": number(suspect.to.as_metres()),
            "likeliest_m": number(suspect.likeliest.as_metres()),
            "at": at.map(|sample| self.opened.place(sample.at)),
            "probability": number(suspect.probability),
            "sort": words::bite::sort_word(suspect.sort),
            "kinds": {
                "ground": number(suspect.kinds.ground),
                "joint": number(suspect.kinds.joint),
                "broken": number(suspect.kinds.broken),
            },
            "conductance_ms": maybe(conductance_ms),
            "ohm": number(suspect.ohm),
        })
    }

    fn as_text(&self) -> String {
        let units = self.opened.units;
        let mut text = self.readings_table();
        text.push('\n');
        for sentence in words::bite::located(self.located, self.wiring, |id| self.label(id), units) {
            text.push_str(&paragraph("", &sentence, 0));
        }
        text
    }

    fn label(&self, id: &FeatureId) -> String {
        self.opened.file.plan.feature(id).map_or_else(|| id.to_string(), |feature| feature.label().to_owned())
    }

    fn readings_table(&self) -> String {
        let columns = [
            ("Line", Side::Left),
            ("Station", Side::Right),
            ("Read", Side::Right),
            ("Expected", Side::Right),
            ("Share", Side::Right),
            ("Current read", Side::Right),
            ("Expected", Side::Right),
        ];
        let rows = self.reads.iter().zip(&self.located.expected).map(|(read, expected)| {
            let share = read.volt.zip(*expected).map(|(volt, expected)| words::share(volt / expected.volt));
            vec![
                self.label(&read.line),
                words::length(read.station, self.opened.units),
                read.volt.map(words::voltage).unwrap_or_default(),
                expected.map_or_else(|| "no wire".to_owned(), |expected| words::voltage(expected.volt)),
                share.unwrap_or_default(),
                read.ampere.map(words::current).unwrap_or_default(),
                read.ampere.and(*expected).map(|expected| words::current(expected.ampere.abs())).unwrap_or_default(),
            ]
        });
        table(&columns, &rows.collect::<Vec<_>>())
    }
}
