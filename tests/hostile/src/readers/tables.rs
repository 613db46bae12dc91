//! Tables: what was written on a round, prices that came back, readings.

use super::{Files, name_of};
use crate::chance::Chance;
use crate::desk::{Desk, Ended, FARM, comes_back, refused, refused_by, run};
use crate::{packed, words};
use hillwire::files::{open_quote, open_written, table_of};
use hillwire_core::log::{Found, LogFrom, Taken, edits_of, judge};
use hillwire_core::order::quote::with_prices;
use hillwire_core::plan::{Edit, Plan};
use jiff::civil::date;
use std::path::Path;

const ROUND: &str = include_str!("../../seeds/round.csv");
const PLACES: &str = include_str!("../../seeds/places.csv");
const PRICES: &str = include_str!("../../seeds/prices.csv");
const READINGS: &str = include_str!("../../seeds/readings.csv");
const READINGS_PLAN: &str = "readings.plan.geojson";
const UNDRIVEN_PLAN: &str = "undriven.plan.geojson";

/// In so many tables that are read, the command is run once.
const BY_COMMAND: usize = 60;

/// In so many tables of readings, the fault is looked for once.
const LOCATED: usize = 16;

pub fn spoil_round_csv(chance: &mut Chance) -> Files {
    let (text, other) = if chance.one_in(3) { (PLACES, ROUND) } else { (ROUND, PLACES) };
    vec![("round.csv".to_owned(), words::spoil(text, other, chance))]
}

pub fn spoil_round_xlsx(chance: &mut Chance) -> Files {
    let rows = [
        vec!["line", "station_m", "time", "what", "kv", "amp", "mended", "minutes", "parts", "note"],
        vec!["pen", "98", "day 46114.38", "", "8.1"],
        vec!["pen", "12.5", "2026-04-02 09:12", "branch", "", "", "yes", "15", "1 insulator", "wind"],
        vec!["East", "40", "day 46115", "post broken", "", "", "day 46117"],
        vec!["east", "61", "day 46124.5", "", "3.9", "0.8"],
    ];
    vec![("round.xlsx".to_owned(), packed::spoil(&packed::workbook(&rows), chance))]
}

pub fn spoil_prices_csv(chance: &mut Chance) -> Files {
    vec![("prices.csv".to_owned(), words::spoil(PRICES, ROUND, chance))]
}

pub fn spoil_prices_xlsx(chance: &mut Chance) -> Files {
    let rows = [
        vec!["id", "item", "quantity", "comes in", "price of one", "price", "currency"],
        vec!["ht-14ga", "High-tensile wire", "1", "roll of 805 m", "72.45", "72.45", "GBP"],
        vec!["t-post", "T-post", "54", "piece", "4.2", "", "GBP"],
        vec!["wood-150", "Round post", "4", "piece", "14,50", "", "GBP"],
        vec!["screw-ring", "Ring", "2", "pack of 25", "6.1", "", "GBP"],
    ];
    vec![("prices.xlsx".to_owned(), packed::spoil(&packed::workbook(&rows), chance))]
}

pub fn spoil_readings(chance: &mut Chance) -> Files {
    vec![("readings.csv".to_owned(), words::spoil(READINGS, ROUND, chance))]
}

/// What was written on a round: judged, taken into the farm, written and read again.
pub fn read_round(desk: &Desk, path: &Path, chance: &mut Chance) -> Ended {
    let name = name_of(path);
    if let Err(trouble) = table_of(path) {
        return refused(&trouble.to_string(), &name, &[]);
    }
    let written = match open_written(path) {
        Ok(written) => written,
        Err(trouble) => return refused(&trouble.to_string(), &name, &[]),
    };
    let farm = desk.farm();
    let from = LogFrom { plan: &farm.file.plan, outcome: &farm.outcome, catalogue: farm.rows.rows(), on: date(2026, 5, 4) };
    let (found, _) = judge(&from, &written.rows);
    let taken: Vec<Taken> = found.iter().map(|found| as_is_or_mark(found, chance)).collect();
    let mut plan = farm.file.plan.clone();
    for edit in edits_of(&farm.file.plan, found.iter().zip(&taken)) {
        plan = match edit.apply(&plan) {
            Ok(plan) => plan,
            Err(trouble) => return Ended::Wrong(format!("judged good and then refused: {trouble}")),
        };
    }
    if chance.one_in(BY_COMMAND)
        && let Err(fault) = run(&["import", FARM, "--log", &name, "--out", "logged.plan.geojson", "--replace"])
    {
        return Ended::Wrong(fault);
    }
    comes_back(&plan).map_or_else(Ended::Wrong, |()| Ended::Read)
}

fn as_is_or_mark(found: &Found, chance: &mut Chance) -> Taken {
    if chance.one_in(4) { Taken::Mark } else { found.usual() }
}

/// Prices that came back: held against the farm's order, taken in, written and read again.
pub fn read_prices(desk: &Desk, path: &Path, chance: &mut Chance) -> Ended {
    let (farm, name) = (desk.farm(), name_of(path));
    let quote = match open_quote(path, &farm.outcome.order, farm.rows.rows()) {
        Ok(quote) => quote,
        Err(says) => return refused(&says, &name, &[]),
    };
    let head = with_prices(&farm.file.plan.head, &quote, Some(date(2026, 5, 4)));
    let priced: Plan = match Edit::SetHead(Box::new(head)).apply(&farm.file.plan) {
        Ok(plan) => plan,
        Err(trouble) => return Ended::Wrong(format!("taken as prices and then refused: {trouble}")),
    };
    if chance.one_in(BY_COMMAND)
        && let Err(fault) = run(&["order", FARM, "--prices", &name, "--out", "priced.plan.geojson", "--replace"])
    {
        return Ended::Wrong(fault);
    }
    comes_back(&priced).map_or_else(Ended::Wrong, |()| Ended::Read)
}

/// Readings of a voltmeter, for where the fault is. Looking for it takes a second or more: most tables are held against the same wires with nothing
/// that drives them, so that a good one ends at that.
pub fn read_readings(_: &Desk, path: &Path, chance: &mut Chance) -> Ended {
    let name = name_of(path);
    let plan = if chance.one_in(LOCATED) { READINGS_PLAN } else { UNDRIVEN_PLAN };
    let words = ["locate", plan, "--readings", &name, "--json"];
    match run(&words[..if chance.one_in(2) { 5 } else { 4 }]) {
        Ok(said) if said.status == 0 || said.err.contains(UNDRIVEN_PLAN) => Ended::Read,
        Ok(said) => refused_by(&said, &name, &[]),
        Err(fault) => Ended::Wrong(fault),
    }
}
