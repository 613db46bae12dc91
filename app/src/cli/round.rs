//! `hillwire round`: the way round, what to read where, what to take along.

use super::answer::{Answer, Stop as Stopped};
use super::json::{maybe, number};
use super::opened::{Opened, PlanOptions, day};
use super::outputs::{GPX, Outputs, SHEET, Writing};
use super::power::State;
use super::share::OnPaper;
use super::table::{Side, cautions, paragraph, table};
use crate::clock::today;
use crate::files::Waiting;
use crate::words::{self, cautions::Place};
use clap::Args;
use hillwire_core::catalogue::{GroundState, KitKind};
use hillwire_core::job::Job;
use hillwire_core::round::{Asked, By, Extent, Fierce, Leg, Round, Stop, Task, YardBy, round as round_of};
use hillwire_core::share::{Paper, pdf, stacked, table_sheets};
use hillwire_core::units::Length;
use jiff::civil::Date;
use serde_json::{Map, Value, json};
use std::path::{Path, PathBuf};

/// The way round from the yard: legs that are ridden and walked, stops with what a voltmeter should read, feed and water, what to take along.
#[derive(Args)]
#[command(
    after_help = "Example:\n  hillwire round my-farm.plan.geojson --gpx round.gpx\n  hillwire round my-farm.plan.geojson --short --on-foot --sheet round.pdf"
)]
pub struct Options {
    #[command(flatten)]
    plan: PlanOptions,
    /// Only water gaps, what animals run into, far ends, and what lies far from every track
    #[arg(long)]
    short: bool,
    /// On foot all the way
    #[arg(long)]
    on_foot: bool,
    /// The day, instead of today: for the animals' weight and the season's faults
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    date: Option<Date>,
    /// State of the ground on that day, instead of the plan's own
    #[arg(long, value_enum, value_name = "STATE")]
    ground: Option<State>,
    /// Write the way and the stops for a receiver or phone
    #[arg(long, value_name = "F.gpx")]
    gpx: Option<PathBuf>,
    /// Write a table to be filled in by pencil on the way: .pdf or .svg
    #[arg(long, value_name = "F.pdf")]
    sheet: Option<PathBuf>,
    /// What the table is printed on
    #[arg(long, value_enum, default_value = "a4")]
    paper: OnPaper,
    #[command(flatten)]
    writing: Writing,
}

/// Prints the round.
///
/// # Errors
/// When a file cannot be used, or there is nothing to go round.
pub fn round(options: &Options, job: &Job) -> Result<Answer, Stopped> {
    let on = options.date.unwrap_or_else(today);
    let outputs = Outputs::new(options.writing).file(options.gpx.as_ref(), GPX).file(options.sheet.as_ref(), SHEET);
    let opened = options.plan.open_to_write(&outputs, Some(on), job)?;
    let plan = &opened.file.plan;
    let stated = || GroundState::from_word(&plan.head.ground.state).unwrap_or(GroundState::Damp);
    let asked = Asked {
        by: if options.on_foot { By::OnFoot } else { By::Vehicle },
        extent: if options.short { Extent::Short } else { Extent::Whole },
        on: Some(on),
        state: options.ground.map_or_else(stated, GroundState::from),
    };
    let found = round_of(plan, &opened.outcome, opened.ground.as_deref(), opened.catalogue(), asked);
    let found =
        found.map_err(|why| Stopped::unusable(format!("{}: {}", options.plan.plan.display(), words::round::no_round(why))))?;
    let told = Told { opened: &opened, round: &found };
    let mut answer = if options.plan.json { Answer::json(&told.as_json()) } else { Answer::text(told.as_text()) };
    if let Some(path) = &options.gpx {
        let bytes = words::round::round_on_receiver(&found, plan, opened.frame, opened.units);
        answer.outputs.push(Waiting::of_bytes(path, &bytes)?);
    }
    if let Some(path) = &options.sheet {
        let bytes = sheet_bytes(path, options.paper.into(), &found, &opened)?;
        answer.outputs.push(Waiting::of_bytes(path, &bytes)?);
    }
    answer.notes = opened.notes;
    Ok(answer)
}

/// The table to be filled in, by the ending of its file.
fn sheet_bytes(path: &Path, paper: Paper, round: &Round, opened: &Opened) -> Result<Vec<u8>, Stopped> {
    let named = |says: String| Stopped::unusable(format!("{}: {says}", path.display()));
    let table = words::round_table(&opened.file.plan, round, &opened.outcome.lines, opened.catalogue());
    let sheets = table_sheets(&table, paper);
    match path.extension().map(|ending| ending.to_string_lossy().to_lowercase()).as_deref() {
        Some("pdf") => pdf(&table.title, &sheets).map_err(|trouble| named(trouble.to_string())),
        Some("svg") => stacked(sheets).map(|all| all.to_svg()).ok_or_else(|| named("there is nothing to print".to_owned())),
        _ => Err(named("a sheet is written as .pdf or .svg".to_owned())),
    }
}

struct Told<'a> {
    opened: &'a Opened,
    round: &'a Round,
}

impl Told<'_> {
    fn as_json(&self) -> Value {
        let round = self.round;
        let catalogue = self.opened.catalogue();
        let kit = round.kit.iter().map(|one| {
            json!({
                "id": one.kit,
                "what": catalogue.kit(&one.kit).map(|row| &row.label),
                "kind": if one.kind == KitKind::Tool { "tool" } else { "part" },
                "count": one.count,
                "of": one.of,
                "faults": one.faults,
            })
        });
        let likely = round.likely.iter().map(|one| json!({ "fault": one.fault, "expected": number(one.expected) }));
        let (by, yard) = match &round.yard.by {
            YardBy::Building(id) => ("building", id),
            YardBy::Energizer(id) => ("energizer", id),
            YardBy::Track(id) => ("track", id),
            YardBy::Line(id) => ("line", id),
        };
        json!({
            "by": if round.asked.by == By::OnFoot { "on_foot" } else { "vehicle" },
            "extent": if round.asked.extent == Extent::Short { "short" } else { "whole" },
            "date": round.asked.on.map(|on| on.to_string()),
            "ground": words::ground_state(round.asked.state),
            "yard": { "at": self.opened.place(round.yard.at), "by": by, "feature": yard.as_str() },
            "legs": round.legs.iter().map(|leg| self.leg(leg)).collect::<Vec<_>>(),
            "length_m": number(round.length().as_metres()),
            "ridden_m": number(round.ridden().as_metres()),
            "minutes": number(round.minutes()),
            "kit": kit.collect::<Vec<_>>(),
            "likely": likely.collect::<Vec<_>>(),
            "may_attack": round.fierce.iter().map(fierce).collect::<Vec<_>>(),
            "stops": round.stops.iter().enumerate().map(|(index, stop)| self.stop(index, stop)).collect::<Vec<_>>(),
        })
    }

    fn leg(&self, leg: &Leg) -> Value {
        json!({
            "how": words::round::how(leg.how).replace(' ', "_"),
            "line": leg.line.as_ref().map(|line| line.as_str()),
            "from_m": maybe(leg.from.map(Length::as_metres)),
            "to_m": maybe(leg.to.map(Length::as_metres)),
            "bearing_deg": number(leg.bearing_deg),
            "length_m": number(leg.length.as_metres()),
            "minutes": number(self.round.leg_minutes(leg)),
            "open_ground": leg.open.as_ref().map(|open| json!({
                "steepest_pct": maybe(open.steepest_pct),
                "through": open.streams.iter().map(|id| id.as_str()).collect::<Vec<_>>(),
            })),
            "stops": leg.stops.clone().map(|index| index + 1).collect::<Vec<_>>(),
            "way": leg.path.iter().map(|at| self.opened.place(*at)).collect::<Vec<_>>(),
        })
    }

    fn stop(&self, index: usize, stop: &Stop) -> Value {
        let leg = self.round.legs.iter().position(|leg| leg.stops.contains(&index));
        json!({
            "number": index + 1,
            "leg": leg.map(|leg| leg + 1),
            "line": stop.line.as_str(),
            "station_m": number(stop.station.as_metres()),
            "at": self.opened.place(stop.at),
            "minutes": number(stop.minutes()),
            "tasks": stop.tasks.iter().map(task).collect::<Vec<_>>(),
            "expect_kv": maybe(stop.expected.map(|expected| expected.volt / 1e3)),
            "least_kv": maybe(stop.expected.map(|expected| expected.least_v / 1e3)),
        })
    }

    fn as_text(&self) -> String {
        let (plan, units) = (&self.opened.file.plan, self.opened.units);
        let round = self.round;
        let mut text = String::new();
        for sentence in [
            words::round::round_in_short(round, units),
            format!("{} {}", words::round::round_for(round), words::round::yard(&round.yard, plan)),
        ] {
            text.push_str(&paragraph("", &sentence, 0));
        }
        text.push('\n');
        text.push_str(&self.legs_table());
        text.push('\n');
        text.push_str(&self.stops_table());
        if round.stops.iter().any(|stop| stop.expected.is_some()) {
            text.push_str(&paragraph("", words::round::LEAST_READING, 0));
        }
        for (index, stop) in round.stops.iter().enumerate() {
            for one in stop.tasks.iter().filter_map(|one| if let Task::Feed(ration) = one { Some(ration) } else { None }) {
                text.push_str(&paragraph("", &format!("Stop {}: {}.", index + 1, words::round::ration(one, units)), 0));
            }
        }
        text.push_str("\nTake along:\n");
        for one in &round.kit {
            text.push_str(&paragraph("  - ", &words::round::carried(one, self.opened.catalogue()), 4));
        }
        if !round.likely.is_empty() {
            let likely = round.likely.iter().take(4).map(|one| words::round::likely(one, self.opened.catalogue()));
            let listed: Vec<String> = likely.map(|(what, often)| format!("{what}: {often}")).collect();
            text.push_str(&paragraph("", &format!("What may have come in a week: {}.", listed.join("; ")), 0));
        }
        text.push('\n');
        text.push_str(&paragraph("", words::round::ROUND_LIMITS, 0));
        if !round.fierce.is_empty() {
            text.push('\n');
            for one in &round.fierce {
                text.push_str(&paragraph("", &words::round::fierce(one, plan, self.opened.catalogue()), 0));
            }
            text.push_str(cautions(Place::RoundCommandWithStock).trim_start());
        }
        text + &cautions(Place::RoundCommand)
    }

    fn legs_table(&self) -> String {
        let columns = [
            ("Leg", Side::Right),
            ("How", Side::Left),
            ("Where", Side::Left),
            ("Sets off", Side::Left),
            ("Length", Side::Right),
            ("Time", Side::Right),
            ("Stops", Side::Left),
        ];
        let rows = self.round.legs.iter().enumerate().map(|(index, leg)| {
            let stops = match leg.stops.len() {
                0 => String::new(),
                1 => (leg.stops.start + 1).to_string(),
                _ => format!("{} to {}", leg.stops.start + 1, leg.stops.end),
            };
            vec![
                (index + 1).to_string(),
                words::round::how(leg.how).to_owned(),
                words::round::leg_where(leg, &self.opened.file.plan, self.opened.units),
                words::round::bearing(leg.bearing_deg),
                words::length(leg.length, self.opened.units),
                words::round::minutes(self.round.leg_minutes(leg)),
                stops,
            ]
        });
        table(&columns, &rows.collect::<Vec<_>>())
    }

    fn stops_table(&self) -> String {
        let columns = [
            ("Stop", Side::Right),
            ("Place", Side::Left),
            ("What", Side::Left),
            ("Expected", Side::Right),
            ("Least", Side::Right),
        ];
        let rows = self.round.stops.iter().enumerate().map(|(index, stop)| {
            vec![
                (index + 1).to_string(),
                words::round::stop_at(stop, &self.opened.file.plan, self.opened.units),
                words::round::tasks_in_short(stop, &self.opened.file.plan, self.opened.units),
                stop.expected.map(|expected| words::voltage(expected.volt)).unwrap_or_default(),
                stop.expected.map(|expected| words::voltage(expected.least_v)).unwrap_or_default(),
            ]
        });
        table(&columns, &rows.collect::<Vec<_>>())
    }
}

fn fierce(one: &Fierce) -> Value {
    json!({ "group": one.group, "animal": one.animal, "paddock": one.paddock.as_str() })
}

fn task(task: &Task) -> Value {
    let mut members = Map::new();
    members.insert("what".to_owned(), json!(words::round::task_word(task)));
    match task {
        Task::Gate(feature) | Task::Switch(feature) => {
            members.insert("feature".to_owned(), json!(feature.as_str()));
        }
        Task::Feed(ration) => {
            let range = |range: Option<(f64, f64)>| range.map(|(from, to)| json!([number(from), number(to)]));
            members.insert("group".to_owned(), json!(ration.group));
            members.insert("paddock".to_owned(), json!(ration.paddock.as_str()));
            members.insert("head".to_owned(), json!(ration.head));
            members.insert("weight_kg".to_owned(), maybe(ration.weight_kg));
            members.insert("feed_kg".to_owned(), json!(range(ration.feed_kg)));
            members.insert("water_l".to_owned(), json!(range(ration.water_l)));
        }
        Task::Read | Task::WaterGap | Task::Strikes => {}
    }
    Value::Object(members)
}
