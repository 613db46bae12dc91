//! `hillwire compare`: two layouts side by side.

use super::Units;
use super::answer::{Answer, Stop};
use super::json::maybe;
use super::opened::{Opened, PlanOptions};
use super::table::{Side, paragraph, table};
use super::typed::amount;
use crate::clock::today;
use crate::words;
use clap::Args;
use hillwire_core::catalogue::GroundState;
use hillwire_core::compare::{Compared, Dominated, Figure, Reckoning, Term, break_even, compare as rows_of, dominated, owning};
use hillwire_core::job::Job;
use hillwire_core::outcome::{Kept, Outcome, outcome_on};
use hillwire_core::plan::Plan;
use hillwire_core::round::{Asked, By, Extent, round};
use serde_json::{Map, Value, json};
use std::path::PathBuf;
use std::sync::Arc;

/// Two layouts figure by figure: length, posts, cost, hours, strikes, volts, findings; and from which price on the dearer one pays. No score: what counts
/// is yours to say.
#[derive(Args)]
#[command(after_help = "Examples:\n  hillwire compare straight.plan.geojson along-the-track.plan.geojson --per-strike 30\n  \
    hillwire compare my-farm.plan.geojson --layout straight")]
pub struct Options {
    /// The first plan
    #[arg(value_name = "A")]
    a: PathBuf,
    /// The second plan
    #[arg(value_name = "B", conflicts_with = "layout", required_unless_present = "layout")]
    b: Option<PathBuf>,
    /// Instead of a second plan, a layout that was set aside in the first one
    #[arg(long, value_name = "NAME")]
    layout: Option<String>,
    /// Years over which both are owned
    #[arg(long, value_name = "Y", default_value_t = Reckoning::default().years, value_parser = amount, allow_negative_numbers = true)]
    years: f64,
    /// What an hour of work is worth, in the plan's currency
    #[arg(long, value_name = "PRICE", default_value_t = 0.0, value_parser = amount, allow_negative_numbers = true)]
    wage: f64,
    /// What mending after one strike costs
    #[arg(long, value_name = "PRICE", default_value_t = 0.0, value_parser = amount, allow_negative_numbers = true)]
    per_strike: f64,
    /// What one water gap costs in a year
    #[arg(long, value_name = "PRICE", default_value_t = 0.0, value_parser = amount, allow_negative_numbers = true)]
    per_gap_year: f64,
    /// Print one JSON document, in SI units
    #[arg(long)]
    json: bool,
    /// Units of the table, instead of the first plan's own
    #[arg(long, value_enum)]
    units: Option<Units>,
}

/// What the first plan is held against.
struct Second {
    name: String,
    plan: Plan,
    outcome: Arc<Outcome>,
    round_min: Option<f64>,
    notes: Vec<String>,
}

impl Options {
    fn reckoning(&self) -> Reckoning {
        Reckoning { years: self.years, wage_per_h: self.wage, per_strike: self.per_strike, per_gap_year: self.per_gap_year }
    }

    fn open(&self, plan: &std::path::Path, job: &Job) -> Result<Opened, Stop> {
        PlanOptions { plan: plan.to_owned(), json: self.json, units: self.units }.open_on(Some(today()), job)
    }

    fn second(&self, first: &Opened, job: &Job) -> Result<Second, Stop> {
        if let Some(b) = &self.b {
            let b = self.open(b, job)?;
            let round_min = round_min(&b.file.plan, &b.outcome, &b);
            let name = b.file.plan.head.name.clone();
            return Ok(Second { name, plan: b.file.plan, outcome: b.outcome, round_min, notes: b.notes });
        }
        let name = self.layout.clone().unwrap_or_default();
        let plan = &first.file.plan;
        let Some(with) = plan.with_layout(&name) else {
            let names: Vec<&str> = plan.head.layouts.iter().map(|layout| layout.name.as_str()).collect();
            let allowed = if names.is_empty() { "none: no layout was set aside".to_owned() } else { names.join(", ") };
            return Err(Stop::unusable(format!("{}: --layout: found {name}; allowed are {allowed}", self.a.display())));
        };
        let outcome = outcome_on(Some(today()), &with, 0, first.ground.as_deref(), first.catalogue(), &mut Kept::default());
        let round_min = round_min(&with, &outcome, first);
        Ok(Second { name, plan: with, outcome: Arc::new(outcome), round_min, notes: Vec::new() })
    }
}

/// Compares two layouts.
///
/// # Errors
/// When a file cannot be used.
pub fn compare(options: &Options, job: &Job) -> Result<Answer, Stop> {
    let a = options.open(&options.a, job)?;
    let b = options.second(&a, job)?;
    let mut rows = rows_of((&a.file.plan, &a.outcome), (&b.plan, &b.outcome));
    rows.push(Compared { figure: Figure::Round, a: round_min(&a.file.plan, &a.outcome, &a), b: b.round_min });
    let by = options.reckoning();
    let mut answer = if options.json { Answer::json(&as_json(&rows, &by)) } else { Answer::text(as_text(&a, &b, &rows, &by)) };
    answer.notes = a.notes.into_iter().chain(b.notes).collect();
    Ok(answer)
}

/// Minutes of a round of all lines with the vehicle, on ground as the plan says it is; `None` where there is no round.
fn round_min(plan: &Plan, outcome: &Outcome, of: &Opened) -> Option<f64> {
    let state = GroundState::from_word(&plan.head.ground.state).unwrap_or(GroundState::Damp);
    let asked = Asked { by: By::Vehicle, extent: Extent::Whole, on: None, state };
    Some(round(plan, outcome, of.ground.as_deref(), of.catalogue(), asked).ok()?.minutes())
}

/// The key of a figure, and what its value is divided by there.
pub(super) fn key(figure: Figure) -> (&'static str, f64) {
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
        Figure::Round => ("round_min", 1.0),
    }
}

fn as_json(rows: &[Compared], by: &Reckoning) -> Value {
    let side = |of: fn(&Compared) -> Option<f64>| {
        let member = |row: &Compared| {
            let (name, unit) = key(row.figure);
            (name.to_owned(), maybe(of(row).map(|value| value / unit)))
        };
        rows.iter().map(member).collect::<Map<_, _>>()
    };
    let of_term = |term: Term| match term {
        Term::Materials => "materials",
        Term::Building => "building",
        Term::Strikes => "strikes",
        Term::WaterGaps => "water_gaps",
    };
    let parts = owning(rows, by).into_iter();
    let parts = parts.map(|(term, [a, b])| (of_term(term).to_owned(), json!({"a": maybe(a), "b": maybe(b)})));
    json!({
        "a": side(|row| row.a),
        "b": side(|row| row.b),
        "dominated": dominated(rows).map(|one| if one == Dominated::A { "a" } else { "b" }),
        "years": by.years,
        "owning": parts.collect::<Map<_, _>>(),
        "break_even_wage": maybe(break_even(rows, by, Term::Building)),
        "break_even_per_strike": maybe(break_even(rows, by, Term::Strikes)),
        "break_even_per_gap_year": maybe(break_even(rows, by, Term::WaterGaps)),
    })
}

fn as_text(a: &Opened, b: &Second, rows: &[Compared], by: &Reckoning) -> String {
    let names = if a.file.plan.head.layouts.iter().any(|layout| layout.name == b.name) {
        ["as drawn", b.name.as_str()]
    } else {
        [a.file.plan.head.name.as_str(), b.name.as_str()]
    };
    let columns = |last| [("", Side::Left), (names[0], Side::Right), (names[1], Side::Right), (last, Side::Right)];
    let currency = &a.outcome.order.currency;
    let unknown = || "not known".to_owned();
    let cells = rows.iter().map(|row| {
        let cell = |value: Option<f64>| value.map_or_else(unknown, |value| words::compared(row.figure, value, currency, a.units));
        let by = words::compared_by(row, currency, a.units);
        vec![words::compared_what(row.figure).to_owned(), cell(row.a), cell(row.b), by]
    });
    let mut text = table(&columns("difference"), &cells.collect::<Vec<_>>());
    text.push('\n');
    for sentence in words::compared_in_all(dominated(rows), names) {
        text.push_str(&paragraph("", &sentence, 0));
    }
    let parts = owning(rows, by);
    let money = |value: Option<f64>| value.map_or_else(unknown, |value| words::money_short(value, currency));
    let even = |term| break_even(rows, by, term).map_or_else(String::new, |at| words::even_at(term, at, currency));
    let mut cells: Vec<Vec<String>> = parts
        .iter()
        .map(|(term, [a, b])| vec![words::owning_what(*term).to_owned(), money(*a), money(*b), even(*term)])
        .collect();
    let total = |side: usize| money(parts.iter().map(|(_, sides)| sides[side]).sum::<Option<f64>>());
    cells.push(vec![format!("Together over {} years", words::count(by.years)), total(0), total(1), String::new()]);
    text.push('\n');
    text.push_str(&table(&columns("even at"), &cells));
    text.push('\n');
    text.push_str(&paragraph("", words::EVEN_AT, 0));
    text
}
