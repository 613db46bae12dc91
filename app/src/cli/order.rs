//! `hillwire order`: what to buy.

use super::answer::{Answer, Stop, check_outputs};
use super::json::{maybe, number};
use super::opened::{Opened, PlanOptions};
use super::table::{Side, table};
use crate::words;
use clap::Args;
use hillwire_core::catalogue::Catalogue;
use hillwire_core::job::Job;
use hillwire_core::order::{Item, ItemGroup};
use hillwire_core::share;
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
}

/// Lists what a plan takes.
///
/// # Errors
/// When a file cannot be used.
pub fn order(options: &Options, job: &Job) -> Result<Answer, Stop> {
    check_outputs(&options.csv.iter().map(PathBuf::as_path).collect::<Vec<_>>(), &[&options.plan.plan])?;
    let opened = options.plan.open(job)?;
    let mut answer = if options.plan.json { Answer::json(&as_json(&opened)) } else { Answer::text(as_table(&opened)) };
    if let Some(path) = &options.csv {
        answer.outputs.push((path.clone(), share::order_csv(&opened.outcome.order)));
    }
    answer.notes = opened.notes;
    Ok(answer)
}

/// Hours of work are not reckoned yet: `null`.
fn as_json(opened: &Opened) -> Value {
    let order = &opened.outcome.order;
    let items: Vec<Value> = order.items.iter().map(item_json).collect();
    json!({
        "items": items,
        "total": number(order.total),
        "currency": order.currency,
        "unpriced": order.unpriced,
        "labour_h": Value::Null,
    })
}

fn item_json(item: &Item) -> Value {
    json!({
        "id": item.id,
        "what": words::item(&item.id, Catalogue::built_in()),
        "group": item.group,
        "need": number(item.need),
        "on_hand": number(item.on_hand),
        "buy": number(item.buy),
        "unit": item.counted_in,
        "unit_price": maybe(item.unit_price),
        "price": maybe(item.price),
    })
}

fn as_table(opened: &Opened) -> String {
    let order = &opened.outcome.order;
    let columns = [
        ("What", Side::Left),
        ("Need", Side::Right),
        ("In the shed", Side::Right),
        ("Buy", Side::Right),
        ("", Side::Left),
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
        rows.push(item_row(item, &order.currency));
    }
    let total = format!("\nTotal {}", words::money(order.total, &order.currency));
    let unpriced = match order.unpriced {
        0 => "\n".to_owned(),
        1 => ", and one item without a price\n".to_owned(),
        more => format!(", and {more} items without a price\n"),
    };
    table(&columns, &rows) + &total + &unpriced
}

fn item_row(item: &Item, currency: &str) -> Vec<String> {
    let price = |price: Option<f64>| price.map(|price| words::money(price, currency)).unwrap_or_default();
    vec![
        format!("  {}", words::item(&item.id, Catalogue::built_in())),
        words::count(item.need),
        words::count(item.on_hand),
        words::count(item.buy),
        words::counted_in(item.counted_in).to_owned(),
        price(item.unit_price),
        price(item.price),
    ]
}
