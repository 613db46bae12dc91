//! `hillwire measure`: every line, every paddock.

use super::answer::{Answer, Stop};
use super::json::number;
use super::opened::{Opened, PlanOptions};
use super::table::{Side, table};
use crate::words;
use clap::Args;
use hillwire_core::job::Job;
use hillwire_core::outcome::{LineOutcome, PaddockOutcome};
use hillwire_core::plan::{FeatureId, Kind};
use hillwire_core::units::Length;
use serde_json::{Value, json};

/// Lengths on the map and on the ground, climbs, slopes and areas.
#[derive(Args)]
#[command(after_help = "Example:\n  hillwire measure my-farm.plan.geojson --units us")]
pub struct Options {
    #[command(flatten)]
    plan: PlanOptions,
}

/// Measures a plan.
///
/// # Errors
/// When a file cannot be used.
pub fn measure(options: &Options, job: &Job) -> Result<Answer, Stop> {
    let opened = options.plan.open(job)?;
    let mut answer = if options.plan.json { Answer::json(&as_json(&opened)) } else { Answer::text(as_tables(&opened)) };
    answer.notes = opened.notes;
    Ok(answer)
}

fn as_json(opened: &Opened) -> Value {
    let lines: Vec<Value> = opened.outcome.lines.iter().map(|line| line_json(opened, line)).collect();
    let paddocks: Vec<Value> = opened.outcome.paddocks.iter().map(paddock_json).collect();
    json!({ "lines": lines, "paddocks": paddocks })
}

fn line_json(opened: &Opened, line: &LineOutcome) -> Value {
    let measure = &line.measure;
    json!({
        "id": line.id.as_str(),
        "kind": kind_of(opened, &line.id).and_then(Kind::word),
        "plan_length_m": number(measure.plan_length.as_metres()),
        "ground_length_m": number(measure.ground_length.as_metres()),
        "climb_m": number(measure.climb.as_metres()),
        "descent_m": number(measure.descent.as_metres()),
        "steepest_pct": number(measure.steepest_pct),
        "unknown_m": number(measure.unknown.as_metres()),
    })
}

/// An open paddock has no area: its values are `null`.
fn paddock_json(paddock: &PaddockOutcome) -> Value {
    let known = |value: f64| if paddock.ring.is_empty() { Value::Null } else { number(value) };
    json!({
        "id": paddock.id.as_str(),
        "area_m2": known(paddock.area.as_square_metres()),
        "ground_area_m2": known(paddock.ground_area.as_square_metres()),
        "perimeter_m": known(paddock.perimeter.as_metres()),
    })
}

fn kind_of<'a>(opened: &'a Opened, id: &FeatureId) -> Option<&'a Kind> {
    opened.file.plan.feature(id).map(|feature| &feature.kind)
}

fn as_tables(opened: &Opened) -> String {
    let mut text = lines_table(opened);
    if !opened.outcome.paddocks.is_empty() {
        text.push('\n');
        text.push_str(&paddocks_table(opened));
    }
    text
}

fn lines_table(opened: &Opened) -> String {
    let units = opened.units;
    let columns = [
        ("Line", Side::Left),
        ("Name", Side::Left),
        ("Kind", Side::Left),
        ("On the map", Side::Right),
        ("On the ground", Side::Right),
        ("Climb", Side::Right),
        ("Descent", Side::Right),
        ("Steepest", Side::Right),
    ];
    let mut rows: Vec<Vec<String>> = opened
        .outcome
        .lines
        .iter()
        .map(|line| {
            let measure = &line.measure;
            let of_ground = |shown: String| if measure.has_no_ground() { "not known".to_owned() } else { shown };
            vec![
                line.id.to_string(),
                opened.name(&line.id),
                kind_of(opened, &line.id).map_or("", words::kind).to_owned(),
                words::length(measure.plan_length, units),
                of_ground(words::length(measure.ground_length, units)),
                of_ground(words::length(measure.climb, units)),
                of_ground(words::length(measure.descent, units)),
                of_ground(words::percent(measure.steepest_pct)),
            ]
        })
        .collect();
    let sum = |of: fn(&LineOutcome) -> Length| words::length(opened.outcome.lines.iter().map(|line| of(line)).sum(), units);
    let (on_map, on_ground) = (sum(|line| line.measure.plan_length), sum(|line| line.measure.ground_length));
    let is_known = !opened.outcome.lines.iter().any(|line| line.measure.has_no_ground());
    rows.push(vec![
        "all".to_owned(),
        String::new(),
        String::new(),
        on_map,
        if is_known { on_ground } else { "not known".to_owned() },
        String::new(),
        String::new(),
        String::new(),
    ]);
    table(&columns, &rows)
}

fn paddocks_table(opened: &Opened) -> String {
    let units = opened.units;
    let columns = [
        ("Paddock", Side::Left),
        ("Name", Side::Left),
        ("Area", Side::Right),
        ("On the ground", Side::Right),
        ("Around", Side::Right),
    ];
    let rows: Vec<Vec<String>> = opened
        .outcome
        .paddocks
        .iter()
        .map(|paddock| {
            let mut row = vec![paddock.id.to_string(), opened.name(&paddock.id)];
            if paddock.ring.is_empty() {
                row.extend(["not closed".to_owned(), String::new(), String::new()]);
            } else {
                row.extend([
                    words::area(paddock.area, units),
                    words::area(paddock.ground_area, units),
                    words::length(paddock.perimeter, units),
                ]);
            }
            row
        })
        .collect();
    table(&columns, &rows)
}
