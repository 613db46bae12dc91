//! `hillwire order`: what to buy.

use super::answer::{Answer, Stop, check_outputs};
use super::json::{maybe, number, place};
use super::opened::{Opened, PlanOptions};
use super::table::{Side, table};
use crate::files::Waiting;
use crate::words;
use clap::Args;
use hillwire_core::job::Job;
use hillwire_core::order::{CountedIn, Item, ItemGroup, Share, TakenAt};
use hillwire_core::share;
use hillwire_core::units::Length;
use serde_json::{Value, json};
use std::path::PathBuf;

/// Wire, posts, insulators, fittings and gates, with waste, what is in the shed, and prices where the plan has them.
#[derive(Args)]
#[command(after_help = "Example:\n  hillwire order my-farm.plan.geojson --csv order.csv")]
pub struct Options {
    #[command(flatten)]
    plan: PlanOptions,
    /// Write it as a table for spreadsheets
    #[arg(long, value_name = "F.csv")]
    csv: Option<PathBuf>,
    /// Why so much of this is needed, and where each part of it goes (an id, as --json has it)
    #[arg(long, value_name = "ITEM")]
    why: Option<String>,
}

/// Lists what a plan takes.
///
/// # Errors
/// When a file cannot be used.
pub fn order(options: &Options, job: &Job) -> Result<Answer, Stop> {
    check_outputs(&options.csv.iter().map(PathBuf::as_path).collect::<Vec<_>>(), &[&options.plan.plan])?;
    let opened = options.plan.open(job)?;
    let mut answer = match &options.why {
        _ if options.plan.json => Answer::json(&as_json(&opened)),
        Some(id) => Answer::text(why(id, &opened)?),
        None => Answer::text(as_table(&opened)),
    };
    if let Some(path) = &options.csv {
        answer.outputs.push(Waiting::of_bytes(path, &share::order_csv(&opened.outcome.order, opened.catalogue()))?);
    }
    answer.notes = opened.notes;
    Ok(answer)
}

/// Hours of work are not reckoned yet: `null`.
fn as_json(opened: &Opened) -> Value {
    let order = &opened.outcome.order;
    let items: Vec<Value> = order.items.iter().map(|item| item_json(item, opened)).collect();
    json!({
        "items": items,
        "total": number(order.total),
        "currency": order.currency,
        "unpriced": order.unpriced,
        "labour_h": Value::Null,
    })
}

fn item_json(item: &Item, opened: &Opened) -> Value {
    let share = |share: &Share| {
        let places: Vec<Value> = share.places.iter().map(|taken| place_json(taken, opened)).collect();
        json!({"rule": share.rule, "amount": number(share.amount), "places": places})
    };
    json!({
        "id": item.id,
        "what": words::item(&item.id, opened.catalogue()),
        "group": item.group,
        "need": number(item.need),
        "on_hand": number(item.on_hand),
        "buy": number(item.buy),
        "unit": item.counted_in,
        "unit_price": maybe(item.unit_price),
        "price": maybe(item.price),
        "roll_m": maybe(item.roll.map(Length::as_metres)),
        "rolls": item.rolls,
        "pack": item.pack,
        "left_over": number(item.left_over),
        "why": item.why.iter().map(share).collect::<Vec<_>>(),
    })
}

fn place_json(taken: &TakenAt, opened: &Opened) -> Value {
    json!({
        "feature": taken.feature.as_str(),
        "station_m": maybe(taken.from.map(Length::as_metres)),
        "until_m": maybe(taken.until.map(Length::as_metres)),
        "at": opened.outcome.place_of(&opened.file.plan, taken).map_or(Value::Null, place),
        "amount": number(taken.amount),
    })
}

/// Every part of one item with its places.
fn why(id: &str, opened: &Opened) -> Result<String, Stop> {
    let order = &opened.outcome.order;
    let Some(item) = order.items.iter().find(|item| item.id == id) else {
        let ids: Vec<&str> = order.items.iter().map(|item| item.id.as_str()).collect();
        return Err(Stop::unusable(format!("--why: found {id}; the order has {}", ids.join(", "))));
    };
    let amount = |amount: f64| words::item_amount(amount, item, opened.units);
    let mut rows = Vec::new();
    for share in &item.why {
        rows.push(vec![words::count_rule(share.rule).to_owned(), amount(share.amount)]);
        for taken in &share.places {
            let place = words::taken_at(taken, &opened.file.plan, opened.units);
            rows.push(vec![format!("  {place}"), amount(taken.amount)]);
        }
    }
    let left = match item.left_over {
        left if left > 0.005 => format!(", {} left over", amount(left)),
        _ => String::new(),
    };
    let says = format!(
        "\n{} needed, {} in the shed, {} to buy{left}\n",
        amount(item.need),
        amount(item.on_hand),
        words::to_buy(item, opened.units)
    );
    Ok(table(&[(words::item(id, opened.catalogue()), Side::Left), ("", Side::Right)], &rows) + &says)
}

fn as_table(opened: &Opened) -> String {
    let order = &opened.outcome.order;
    let columns = [
        ("What", Side::Left),
        ("Need", Side::Right),
        ("In the shed", Side::Right),
        ("Buy", Side::Right),
        ("Each", Side::Right),
        ("Price", Side::Right),
    ];
    let mut rows = Vec::new();
    let mut group: Option<ItemGroup> = None;
    for item in &order.items {
        if group != Some(item.group) {
            group = Some(item.group);
            let mut heading = vec![words::group(item.group).to_owned()];
            heading.resize(columns.len(), String::new());
            rows.push(heading);
        }
        rows.push(item_row(item, &order.currency, opened));
    }
    let total = format!("\nTotal {}", words::money(order.total, &order.currency));
    let unpriced = match order.unpriced {
        0 => "\n".to_owned(),
        1 => ", and one item without a price\n".to_owned(),
        more => format!(", and {more} items without a price\n"),
    };
    table(&columns, &rows) + &total + &unpriced
}

/// Wire is counted in metres or feet and bought by the roll; its price is that of a metre, as in the plan.
fn item_row(item: &Item, currency: &str, opened: &Opened) -> Vec<String> {
    let (units, catalogue) = (opened.units, opened.catalogue());
    let is_long = item.counted_in == CountedIn::Metre;
    let amount = |amount: f64| words::item_amount(amount, item, units);
    let buy = match (item.rolls, item.roll) {
        (Some(rolls), Some(roll)) if rolls > 0 => {
            let noun = if rolls == 1 { "roll" } else { "rolls" };
            format!("{rolls} {noun} of {}", words::length(roll, units))
        }
        _ => amount(item.buy),
    };
    let each = item.unit_price.map(|price| words::money(price, currency) + if is_long { "/m" } else { "" });
    vec![
        format!("  {}", words::item(&item.id, catalogue)),
        amount(item.need),
        amount(item.on_hand),
        buy,
        each.unwrap_or_default(),
        item.price.map(|price| words::money(price, currency)).unwrap_or_default(),
    ]
}
