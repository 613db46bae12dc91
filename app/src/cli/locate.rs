//! `hillwire locate`: where the fault is, from what a voltmeter read.

use super::answer::{Answer, Stop};
use super::json::{maybe, number};
use super::opened::{Opened, PlanOptions};
use super::power::State;
use super::table::{Side, paragraph, table};
use crate::files::read_whole;
use crate::words;
use clap::Args;
use csv::StringRecord;
use hillwire_core::catalogue::GroundState;
use hillwire_core::job::Job;
use hillwire_core::plan::FeatureId;
use hillwire_core::power::{Located, Read, Sort, Suspect, Wiring, locate as locate_fault};
use hillwire_core::units::Length;
use serde::Deserialize;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

/// Where the fault is, from the readings in the plan or in a table.
#[derive(Args)]
#[command(
    after_help = "The table has a heading and one reading a row: line, station_m, kv, and if known amp and towards (end or start of the line).\n\n\
    Example:\n  hillwire locate my-farm.plan.geojson --readings today.csv --ground damp"
)]
pub struct Options {
    #[command(flatten)]
    plan: PlanOptions,
    /// Readings as a table, instead of the plan's own of the last day
    #[arg(long, value_name = "F.csv")]
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
    let reads = match &options.readings {
        Some(path) => from_table(path, &opened)?,
        None => wiring.last_readings().into_iter().map(|reading| reading.read.clone()).collect(),
    };
    let state = options.ground.map_or_else(|| stated(&opened), GroundState::from);
    if !wiring.is_driven() {
        return Err(Stop::unusable(format!("{plan}: {}", words::undriven(wiring, &opened.file.plan))));
    }
    let located = locate_fault(wiring, state, &reads);
    let located = located.map_err(|trouble| {
        Stop::unusable(format!("{plan}: {trouble}; place readings on its lines, or name a table of them with --readings"))
    })?;
    let told = Told { opened: &opened, wiring, reads: &reads, located: &located, state };
    let mut answer = if options.plan.json { Answer::json(&told.as_json()) } else { Answer::text(told.as_text()) };
    answer.notes = opened.notes;
    Ok(answer)
}

fn stated(opened: &Opened) -> GroundState {
    GroundState::from_word(&opened.file.plan.head.ground.state).unwrap_or(GroundState::Damp)
}

/// A row of the table.
#[derive(Deserialize)]
struct Row {
    line: String,
    station_m: f64,
    kv: Option<f64>,
    amp: Option<f64>,
    towards: Option<String>,
}

fn from_table(path: &Path, opened: &Opened) -> Result<Vec<Read>, Stop> {
    let wrong = |row: usize, why: String| Stop::unusable(format!("{}: row {row}: {why}", path.display()));
    let bytes = read_whole(path)?;
    let mut reader = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(bytes.as_slice());
    let heading = reader.headers().cloned().unwrap_or_default();
    let mut reads = Vec::new();
    for (index, row) in reader.deserialize::<Row>().enumerate() {
        let number = index + 2;
        let row = row.map_err(|trouble| {
            wrong(number, format!("{}; needed are the columns line, station_m and kv", plainly(&trouble, &heading)))
        })?;
        let known = opened.outcome.lines.iter().find(|line| line.id.as_str() == row.line);
        let Some(line) = known else {
            let lines: Vec<&str> = opened.outcome.lines.iter().map(|line| line.id.as_str()).collect();
            return Err(wrong(number, format!("there is no line {:?}; the plan has {}", row.line, lines.join(", "))));
        };
        let length_m = line.measure.ground_length.as_metres();
        if !(0.0..=length_m + 0.5).contains(&row.station_m) {
            return Err(wrong(
                number,
                format!("station {} m is not on line {:?}, which is {length_m:.1} m long", row.station_m, row.line),
            ));
        }
        if row.kv.into_iter().chain(row.amp).any(|value| !(0.0..=1e3).contains(&value)) {
            return Err(wrong(number, "voltages and currents are numbers from 0 up".to_owned()));
        }
        let towards_end = match row.towards.as_deref() {
            None | Some("") => None,
            Some("end") => Some(true),
            Some("start") => Some(false),
            Some(other) => return Err(wrong(number, format!("towards is {other:?}; it is end or start, of the line"))),
        };
        let station = Length::metres(row.station_m.min(length_m));
        reads.push(Read {
            line: FeatureId::new(&row.line),
            station,
            volt: row.kv.map(|kv| kv * 1e3),
            ampere: row.amp,
            towards_end,
        });
    }
    Ok(reads)
}

/// What is wrong with a row, without where: that is said before.
fn plainly(trouble: &csv::Error, heading: &StringRecord) -> String {
    match trouble.kind() {
        csv::ErrorKind::Deserialize { err, .. } => {
            let column = err.field().and_then(|field| heading.get(usize::try_from(field).ok()?));
            column.map_or_else(|| err.kind().to_string(), |column| format!("what stands under {column} is no number"))
        }
        csv::ErrorKind::UnequalLengths { expected_len, len, .. } => format!("it has {len} cells, the heading {expected_len}"),
        csv::ErrorKind::Utf8 { .. } => "it is no UTF-8 text".to_owned(),
        _ => trouble.to_string(),
    }
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
