//! `hillwire compare`: two layouts side by side.

use super::Units;
use super::answer::{Answer, Stop};
use super::json::maybe;
use super::opened::{Opened, PlanOptions};
use super::table::{Side, paragraph, table};
use crate::words;
use clap::Args;
use hillwire_core::compare::{Compared, Dominated, Figure, break_even_per_strike, compare as rows_of, dominated};
use hillwire_core::job::Job;
use serde_json::{Map, Value, json};
use std::path::PathBuf;

/// Two plans figure by figure: length, posts, cost, hours, strikes, volts, findings. No score: what counts is yours to say.
#[derive(Args)]
#[command(after_help = "Example:\n  hillwire compare straight.plan.geojson along-the-track.plan.geojson")]
pub struct Options {
    /// The first plan
    #[arg(value_name = "A")]
    a: PathBuf,
    /// The second plan
    #[arg(value_name = "B")]
    b: PathBuf,
    /// Print one JSON document, in SI units
    #[arg(long)]
    json: bool,
    /// Units of the table, instead of the first plan's own
    #[arg(long, value_enum)]
    units: Option<Units>,
}

/// Over so many years strikes are set against costs.
const YEARS: f64 = 10.0;

/// Compares two plans.
///
/// # Errors
/// When a file cannot be used.
pub fn compare(options: &Options, job: &Job) -> Result<Answer, Stop> {
    let open = |plan: &PathBuf| PlanOptions { plan: plan.clone(), json: options.json, units: options.units }.open(job);
    let (a, b) = (open(&options.a)?, open(&options.b)?);
    let rows = rows_of((&a.file.plan, &a.outcome), (&b.file.plan, &b.outcome));
    let mut answer = if options.json { Answer::json(&as_json(&rows)) } else { Answer::text(as_text(&a, &b, &rows)) };
    answer.notes = a.notes.into_iter().chain(b.notes).collect();
    Ok(answer)
}

/// The key of a figure, and what its value is divided by there.
fn key(figure: Figure) -> (&'static str, f64) {
    match figure {
        Figure::Fence => ("fence_m", 1.0),
        Figure::Posts => ("posts", 1.0),
        Figure::Corners => ("corners", 1.0),
        Figure::Cost => ("cost", 1.0),
        Figure::Build => ("build_h", 1.0),
        Figure::Strikes => ("strikes_per_year", 1.0),
        Figure::FarEnd => ("far_end_kv", 1e3),
        Figure::WaterGaps => ("water_gaps", 1.0),
        Figure::LongWalk => ("long_walk_m", 1.0),
        Figure::Area => ("area_m2", 1.0),
        Figure::MustFix => ("must_fix", 1.0),
        Figure::LookAt => ("look_at", 1.0),
    }
}

fn as_json(rows: &[Compared]) -> Value {
    let side = |of: fn(&Compared) -> Option<f64>| {
        let member = |row: &Compared| {
            let (name, unit) = key(row.figure);
            (name.to_owned(), maybe(of(row).map(|value| value / unit)))
        };
        rows.iter().map(member).collect::<Map<_, _>>()
    };
    json!({
        "a": side(|row| row.a),
        "b": side(|row| row.b),
        "dominated": dominated(rows).map(|one| if one == Dominated::A { "a" } else { "b" }),
        "years": YEARS,
        "break_even_per_strike": maybe(break_even_per_strike(rows, YEARS)),
    })
}

fn as_text(a: &Opened, b: &Opened, rows: &[Compared]) -> String {
    let names = [&a.file.plan.head.name, &b.file.plan.head.name].map(String::as_str);
    let columns = [("Figure", Side::Left), (names[0], Side::Right), (names[1], Side::Right), ("Difference", Side::Right)];
    let currency = &a.outcome.order.currency;
    let show = |figure, value: f64| words::compared(figure, value, currency, a.units);
    let cells = rows.iter().map(|row| {
        let cell = |value: Option<f64>| value.map_or_else(|| "not known".to_owned(), |value| show(row.figure, value));
        let by = row.a.zip(row.b).map(|(a, b)| b - a);
        let by = by.map_or_else(String::new, |by| format!("{}{}", if by > 0.0 { "+" } else { "" }, show(row.figure, by)));
        vec![words::compared_what(row.figure).to_owned(), cell(row.a), cell(row.b), by]
    });
    let mut text = table(&columns, &cells.collect::<Vec<_>>());
    text.push('\n');
    for sentence in words::compared_in_all(dominated(rows), break_even_per_strike(rows, YEARS), YEARS, currency, names) {
        text.push_str(&paragraph("", &sentence, 0));
    }
    text
}
