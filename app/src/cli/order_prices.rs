//! `hillwire order --prices`: what a supplier filled in, held against the order; the plan is changed only where that is asked for.

use super::answer::{Answer, Stop};
use super::json::{maybe, number};
use super::opened::{Opened, PlanOptions};
use super::table::{Side, paragraph, table};
use crate::clock::today;
use crate::files::{Waiting, open_quote};
use crate::words;
use hillwire_core::order::quote::{Quote, with_prices};
use hillwire_core::plan::Edit;
use serde_json::{Value, json};
use std::path::Path;

/// Prices of a sheet, and what does not fit; with `out` a plan that has them.
///
/// # Errors
/// When a file cannot be used.
pub fn prices(opened: &Opened, sheet: &Path, out: Option<&Path>, options: &PlanOptions) -> Result<Answer, Stop> {
    let quote = open_quote(sheet, &opened.outcome.order, opened.catalogue()).map_err(Stop::unusable)?;
    let mut answer = if options.json { Answer::json(&json_of(&quote, opened)) } else { Answer::text(text_of(&quote, opened)) };
    if let Some(out) = out {
        let head = with_prices(&opened.file.plan.head, &quote, Some(today()));
        let priced = Edit::SetHead(Box::new(head)).apply(&opened.file.plan);
        let priced = priced.map_err(|trouble| Stop::unusable(format!("{}: {trouble}", sheet.display())))?;
        answer.outputs.push(Waiting::of_plan(out, &priced, &opened.file.path)?);
    }
    answer.notes.clone_from(&opened.notes);
    Ok(answer)
}

fn text_of(quote: &Quote, opened: &Opened) -> String {
    let currency = &opened.outcome.order.currency;
    let columns = [("Price of one", Side::Left), ("Now", Side::Right), ("Then", Side::Right)];
    let money = |price: f64| words::money(price, currency);
    let row = |quoted: &hillwire_core::order::quote::Quoted| {
        let name = words::item(&quoted.id, opened.catalogue()).to_owned();
        vec![name, quoted.before.map_or_else(|| "none".to_owned(), money), money(quoted.unit_price)]
    };
    let rows: Vec<Vec<String>> = quote.prices.iter().map(row).collect();
    let mut says = table(&columns, &rows);
    if !quote.mismatches.is_empty() {
        says.push_str("\nWhat does not fit\n");
        let say = |mismatch| paragraph("", &words::mismatch(mismatch, opened.catalogue()), 2);
        says.extend(quote.mismatches.iter().map(say));
    }
    let unpriced = match quote.unpriced {
        0 => String::new(),
        1 => ", and one item without a price".to_owned(),
        more => format!(", and {more} items without a price"),
    };
    says + &format!("\nTotal {} now, {} then{unpriced}\n", money(opened.outcome.order.total), money(quote.total))
}

fn json_of(quote: &Quote, opened: &Opened) -> Value {
    let prices = quote
        .prices
        .iter()
        .map(|quoted| json!({"id": quoted.id, "unit_price": number(quoted.unit_price), "before": maybe(quoted.before)}));
    json!({
        "prices": prices.collect::<Vec<_>>(),
        "mismatches": quote.mismatches.iter().map(|one| words::mismatch(one, opened.catalogue())).collect::<Vec<_>>(),
        "total": number(quote.total),
        "unpriced": quote.unpriced,
        "currency": opened.outcome.order.currency,
    })
}
