//! The bill of materials as a table, whose columns a supplier fills in and the keeper's program reads back.

use super::recipient::{Audience, Part};
use crate::catalogue::Catalogue;
use crate::order::quote::{Asked, COLUMNS};
use crate::order::{CountedIn, Item, ItemGroup, Order};

/// What stands in one cell.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Cell {
    Nothing,
    Text(String),
    Number(f64),
    /// A sum of money.
    Money(f64),
    /// A formula with its value now.
    Formula(String, f64),
}

/// Rows under headings, the last one the total.
pub(super) struct Table {
    pub headings: Vec<&'static str>,
    pub rows: Vec<Vec<Cell>>,
}

/// Headings that only the keeper and who builds it need.
const FURTHER: [&str; 5] = ["group", "needed", "in the shed", "unit", "priced on"];
/// Columns as a spreadsheet names them.
const QUANTITY: char = 'C';
const PRICE_EACH: char = 'E';
const PRICE: char = 'F';
const NEEDED: char = 'I';
const IN_SHED: char = 'J';

/// The order for somebody. Prices that others have given are nobody else's business.
pub(super) fn table(order: &Order, catalogue: &Catalogue, to: Audience) -> Table {
    let (prices, shed) = (to.sees(Part::Prices), to.sees(Part::Shed));
    let mut headings = COLUMNS.to_vec();
    if shed {
        headings.extend(FURTHER);
    }
    let is_wanted = |item: &&Item| shed || item.buy > 0.0;
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for item in order.items.iter().filter(is_wanted) {
        rows.push(row(item, rows.len() + 2, order, catalogue, (prices, shed)));
    }
    let last = rows.len() + 1;
    let text = |text: String| Cell::Text(text);
    let mut says = "total".to_owned();
    if prices && order.unpriced > 0 {
        says = format!("{says}, {} without a price", order.unpriced);
    }
    let total = Cell::Formula(format!("=SUM({PRICE}2:{PRICE}{last})"), if prices { order.total } else { 0.0 });
    let mut sum =
        vec![Cell::Nothing, text(says), Cell::Nothing, Cell::Nothing, Cell::Nothing, total, text(order.currency.clone())];
    sum.resize(headings.len(), Cell::Nothing);
    rows.push(sum);
    Table { headings, rows }
}

fn row(item: &Item, number: usize, order: &Order, catalogue: &Catalogue, (prices, shed): (bool, bool)) -> Vec<Cell> {
    let asked = Asked::of(item);
    let text = |text: &str| Cell::Text(text.to_owned());
    let each = item.unit_price.filter(|_| prices).map(|price| price * asked.holds);
    let quantity = match item.rolls {
        // Rolls are cut one by one: how many that takes, no formula of a cell can tell.
        None if shed => Cell::Formula(quantity_formula(number, asked.holds, item.counted_in), asked.quantity),
        _ => Cell::Number(asked.quantity),
    };
    let price = Cell::Formula(
        format!("=IF({PRICE_EACH}{number}=\"\",0,{QUANTITY}{number}*{PRICE_EACH}{number})"),
        item.price.filter(|_| prices).unwrap_or(0.0),
    );
    let mut cells = vec![
        text(&item.id),
        text(catalogue.label(&item.id).unwrap_or(&item.id)),
        quantity,
        Cell::Text(asked.comes_in),
        each.map_or(Cell::Nothing, |each| Cell::Money(rounded(each))),
        price,
        text(&order.currency),
    ];
    if shed {
        let day = item.priced_on.map_or(Cell::Nothing, |day| Cell::Text(day.to_string()));
        cells.extend([
            text(group(item.group)),
            Cell::Number(rounded(item.need)),
            Cell::Number(rounded(item.on_hand)),
            text(unit(item.counted_in)),
            day,
        ]);
    }
    cells
}

/// So many as are needed and not there, in whole rolls, packs or pieces; a tonne by the tenth.
fn quantity_formula(number: usize, holds: f64, counted_in: CountedIn) -> String {
    let digits = if counted_in == CountedIn::Tonne { 1 } else { 0 };
    format!("=ROUNDUP(ROUND(MAX(0,{NEEDED}{number}-{IN_SHED}{number})/{holds},6),{digits})")
}

/// No more digits than any of it is worth.
fn rounded(amount: f64) -> f64 {
    (amount * 1e6).round() / 1e6
}

/// What it is for, in a word.
fn group(group: ItemGroup) -> &'static str {
    match group {
        ItemGroup::Wire => "wire",
        ItemGroup::Posts => "posts",
        ItemGroup::Insulators => "insulators",
        ItemGroup::Fittings => "fittings",
        ItemGroup::Gates => "gates",
        ItemGroup::Power => "power",
        ItemGroup::Work => "work",
    }
}

fn unit(counted_in: CountedIn) -> &'static str {
    match counted_in {
        CountedIn::Metre => "m",
        CountedIn::Piece => "piece",
        CountedIn::Roll => "roll",
        CountedIn::Tonne => "t",
    }
}
