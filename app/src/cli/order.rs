//! `hillwire order`: what to buy.

use super::answer::{Answer, Stop};
use super::json::{maybe, number, place};
use super::opened::{Opened, PlanOptions};
use super::order_prices::prices;
use super::outputs::{CSV, GEOJSON, Outputs, Writing, XLSX};
use super::table::{Side, cautions, paragraph, table};
use crate::clock::today;
use crate::files::{Waiting, order_book};
use crate::words::{self, cautions::Place};
use clap::Args;
use hillwire_core::job::Job;
use hillwire_core::order::{CountedIn, Item, ItemGroup, Order, Part, Share, TakenAt, Variant, WhatIf, Work};
use hillwire_core::plan::FeatureId;
use hillwire_core::share::{self, Recipient};
use hillwire_core::units::Length;
use serde_json::{Value, json};
use std::path::PathBuf;

/// Wire, posts, insulators, fittings and gates, with waste, what is in the shed, prices where the plan has them, and hours of work.
#[derive(Args)]
#[command(after_help = "Example:\n  hillwire order my-farm.plan.geojson --xlsx order.xlsx\n  \
    hillwire order my-farm.plan.geojson --prices filled-in.xlsx --out priced.plan.geojson")]
pub struct Options {
    #[command(flatten)]
    plan: PlanOptions,
    /// Write it as a table for spreadsheets
    #[arg(long, value_name = "F.csv")]
    csv: Option<PathBuf>,
    /// Write it as a spreadsheet whose totals are formulas
    #[arg(long, value_name = "F.xlsx")]
    xlsx: Option<PathBuf>,
    /// Why so much of this is needed, and where each part of it goes (an id, as --json has it)
    #[arg(long, value_name = "ITEM", conflicts_with = "prices")]
    why: Option<String>,
    /// Only what this paddock takes when it is built first: its fences, and what brings the pulse to them
    #[arg(long, value_name = "ID", conflicts_with = "prices")]
    paddock: Option<String>,
    /// Read the prices that a supplier filled in, and say what does not fit
    #[arg(long, value_name = "F.csv|F.xlsx")]
    prices: Option<PathBuf>,
    /// Write a plan with those prices
    #[arg(long, short, value_name = "NEW.geojson", requires = "prices")]
    out: Option<PathBuf>,
    #[command(flatten)]
    writing: Writing,
}

/// Lists what a plan takes.
///
/// # Errors
/// When a file cannot be used.
pub fn order(options: &Options, job: &Job) -> Result<Answer, Stop> {
    let outputs = Outputs::new(options.writing).file(options.csv.as_ref(), CSV).file(options.xlsx.as_ref(), XLSX);
    let outputs = outputs.file(options.out.as_ref(), GEOJSON).reading(options.prices.as_deref());
    let opened = options.plan.open_to_write(&outputs, None, job)?;
    if let Some(sheet) = &options.prices {
        return prices(&opened, sheet, options.out.as_deref(), &options.plan);
    }
    let listed = Listed::of(&opened, options.paddock.as_deref())?;
    let mut answer = match &options.why {
        _ if options.plan.json => Answer::json(&as_json(&listed)),
        Some(id) => Answer::text(why(id, &listed)?),
        None => Answer::text(as_table(&listed)),
    };
    let keeper = Recipient::Keeper.into();
    if let Some(path) = &options.csv {
        answer.outputs.push(Waiting::of_bytes(path, &share::order_csv(&listed.order, opened.catalogue(), keeper))?);
    }
    if let Some(path) = &options.xlsx {
        let book = order_book(&listed.order, opened.catalogue(), keeper, today()).map_err(Stop::unusable)?;
        answer.outputs.push(Waiting::of_bytes(path, &book)?);
    }
    answer.notes = opened.notes;
    Ok(answer)
}

/// What is listed: all of it, or what one paddock takes first.
struct Listed<'a> {
    opened: &'a Opened,
    order: Order,
    part: Part,
}

impl<'a> Listed<'a> {
    fn of(opened: &'a Opened, paddock: Option<&str>) -> Result<Self, Stop> {
        let Some(id) = paddock else { return Ok(Self { opened, order: opened.outcome.order.clone(), part: Part::Whole }) };
        let Some(part) = opened.outcome.first(&FeatureId::new(id)) else {
            let closed = opened.outcome.paddocks.iter().filter(|paddock| !paddock.lines.is_empty());
            let ids: Vec<&str> = closed.map(|paddock| paddock.id.as_str()).collect();
            return Err(Stop::unusable(format!("--paddock: found {id}; paddocks with fences around them: {}", ids.join(", "))));
        };
        let order = opened.outcome.order_of(&opened.file.plan, &part, opened.catalogue());
        Ok(Self { opened, order, part })
    }
}

fn as_json(listed: &Listed) -> Value {
    let (opened, order) = (listed.opened, &listed.order);
    let items: Vec<Value> = order.items.iter().map(|item| item_json(item, opened)).collect();
    let work = |work: &Work| json!({"task": work.task, "terrain": work.terrain, "amount": number(work.amount), "hours": number(work.hours)});
    json!({
        "items": items,
        "total": number(order.total),
        "currency": order.currency,
        "unpriced": order.unpriced,
        "labour_h": number(order.labour.hours),
        "work": order.labour.works.iter().map(work).collect::<Vec<_>>(),
        "what_if": opened.outcome.variants(&opened.file.plan, opened.catalogue()).iter().map(what_if_json).collect::<Vec<_>>(),
    })
}

fn what_if_json(variant: &Variant) -> Value {
    let (change, strand_m, wire) = match &variant.what {
        WhatIf::OneMoreStrand { height, wire } => ("one_more_strand", Some(height.as_metres()), wire),
        WhatIf::HeavierWire { to, .. } => ("heavier_wire", None, to),
    };
    json!({
        "build": variant.build,
        "change": change,
        "strand_m": maybe(strand_m),
        "wire": wire,
        "adds": number(variant.adds),
        "adds_h": number(variant.adds_h),
        "unpriced": variant.unpriced,
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
        "priced_on": item.priced_on.map(|day| day.to_string()),
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
fn why(id: &str, listed: &Listed) -> Result<String, Stop> {
    let (opened, order) = (listed.opened, &listed.order);
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

fn as_table(listed: &Listed) -> String {
    let (opened, order) = (listed.opened, &listed.order);
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
    let walk = words::pegs_for_walk(order).map_or_else(String::new, |says| format!("\n{says}\n"));
    table(&columns, &rows)
        + &walk
        + &total
        + &unpriced
        + &work_table(order, opened)
        + &afterwards(listed)
        + &cautions(Place::OrderCommand)
}

/// Hours of work by task and ground.
fn work_table(order: &Order, opened: &Opened) -> String {
    if order.labour.works.is_empty() {
        return String::new();
    }
    let row = |work: &Work| {
        let amount = words::work_amount(work, opened.units);
        vec![words::task(work.task).to_owned(), words::terrain(work.terrain).to_owned(), amount, words::hours(work.hours)]
    };
    let rows: Vec<Vec<String>> = order.labour.works.iter().map(row).collect();
    let columns = [("Work of one person", Side::Left), ("Ground", Side::Left), ("", Side::Right), ("", Side::Right)];
    format!(
        "\n{}\nTogether {}, as is usual; who does it every day is faster\n",
        table(&columns, &rows),
        words::hours(order.labour.hours)
    )
}

/// What a part leaves for later; for all of it, what changes of the builds would cost.
fn afterwards(listed: &Listed) -> String {
    let opened = listed.opened;
    let whole = &opened.outcome.order;
    if listed.part != Part::Whole {
        let later = words::money(whole.total - listed.order.total, &whole.currency);
        return format!("\nThe whole plan takes {}: {later} can wait\n", words::money(whole.total, &whole.currency));
    }
    let variants = opened.outcome.variants(&opened.file.plan, opened.catalogue());
    let say = |variant: &Variant| paragraph("", &words::what_if(variant, &whole.currency, opened.catalogue(), opened.units), 2);
    let says: String = variants.iter().map(say).collect();
    if says.is_empty() { says } else { format!("\nWith posts where they stand\n{says}") }
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
