//! What a supplier is asked for, and what came back: every mismatch named, nothing taken that is in doubt.

use super::{CountedIn, Item, Order};
use crate::catalogue::Catalogue;
use crate::plan::{Head, Prices};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// Columns of the sheet that a supplier fills in, by their headings.
pub const COLUMNS: [&str; 7] = ["id", "item", "quantity", "comes in", "price of one", "price", "currency"];

/// How an item is asked for: as it comes in the shop.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// How many rolls, packs, pieces or metres.
    pub quantity: f64,
    /// In what it comes: `roll of 805 m`, `pack of 25`, `piece`, `metre`, `tonne`.
    pub comes_in: String,
    /// How much of the item's own unit one of them is.
    pub holds: f64,
}

impl Asked {
    /// As the order has it.
    pub fn of(item: &Item) -> Self {
        let (comes_in, holds) = match (item.roll, item.counted_in, item.pack) {
            (Some(roll), ..) => (format!("roll of {} m", roll.as_metres()), roll.as_metres()),
            (None, _, pack) if pack > 1 => (format!("pack of {pack}"), f64::from(pack)),
            (None, CountedIn::Metre, _) => ("metre".to_owned(), 1.0),
            (None, CountedIn::Tonne, _) => ("tonne".to_owned(), 1.0),
            _ => ("piece".to_owned(), 1.0),
        };
        Self { quantity: rounded(item.buy / holds), comes_in, holds }
    }
}

/// Without what arithmetic leaves behind the sixth digit.
fn rounded(amount: f64) -> f64 {
    (amount * 1e6).round() / 1e6
}

/// A row of a sheet as it came: its number and its cells as text.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SheetRow {
    /// From 1, as a spreadsheet counts.
    pub number: usize,
    /// Cells from the first column on.
    pub cells: Vec<String>,
}

/// Something in a sheet that does not fit what was asked.
#[derive(Clone, Debug, PartialEq)]
pub enum Mismatch {
    /// A row names an item that is in no catalogue.
    UnknownItem {
        /// The row.
        row: usize,
        /// What it says.
        id: String,
    },
    /// A row names an item that this order does not buy; its price is taken.
    NotAsked {
        /// The row.
        row: usize,
        /// The item.
        id: String,
    },
    /// A price that is no number from zero on.
    NotAPrice {
        /// The row.
        row: usize,
        /// The item.
        id: String,
        /// What stands there.
        found: String,
    },
    /// An item that stands there twice with two prices; neither is taken.
    Twice {
        /// The second row.
        row: usize,
        /// The item.
        id: String,
    },
    /// Another quantity than the plan needs now; the price is taken.
    OtherQuantity {
        /// The row.
        row: usize,
        /// The item.
        id: String,
        /// What the plan needs.
        asked: f64,
        /// What stands there.
        found: String,
    },
    /// It comes in something else than was asked for; its price is not taken.
    OtherUnit {
        /// The row.
        row: usize,
        /// The item.
        id: String,
        /// As it was asked for.
        asked: String,
        /// What stands there.
        found: String,
    },
    /// Another currency than the plan's; its price is not taken.
    OtherCurrency {
        /// The row.
        row: usize,
        /// The item.
        id: String,
        /// The plan's.
        asked: String,
        /// What stands there.
        found: String,
    },
    /// The item was left without a price.
    NoPrice {
        /// The item.
        id: String,
    },
}

/// A price that came back.
#[derive(Clone, Debug, PartialEq)]
pub struct Quoted {
    /// The item.
    pub id: String,
    /// Price of one metre, piece or tonne.
    pub unit_price: f64,
    /// What the plan had.
    pub before: Option<f64>,
}

/// What a sheet says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Quote {
    /// Prices that can be taken, in the sheet's order.
    pub prices: Vec<Quoted>,
    /// What does not fit.
    pub mismatches: Vec<Mismatch>,
    /// What the order would cost with them.
    pub total: f64,
    /// How many items would still have no price.
    pub unpriced: usize,
}

/// A sheet without the columns that are needed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("no row has the headings “id” and “price of one”; it is not a sheet that was sent out for prices")]
pub struct NoHeadings;

struct Columns {
    id: usize,
    price: usize,
    quantity: Option<usize>,
    comes_in: Option<usize>,
    currency: Option<usize>,
}

impl Columns {
    fn of(row: &SheetRow) -> Option<Self> {
        let column = |name: &str| row.cells.iter().position(|cell| cell.trim().eq_ignore_ascii_case(name));
        Some(Self {
            id: column("id")?,
            price: column("price of one")?,
            quantity: column("quantity"),
            comes_in: column("comes in"),
            currency: column("currency"),
        })
    }
}

/// Whether a table has headings for prices at all.
pub fn has_prices(rows: &[SheetRow]) -> bool {
    rows.iter().any(|row| Columns::of(row).is_some())
}

/// Holds a sheet that came back against the order as it is now.
///
/// # Errors
/// [`NoHeadings`].
pub fn quote(rows: &[SheetRow], order: &Order, catalogue: &Catalogue) -> Result<Quote, NoHeadings> {
    let (at, columns) = rows.iter().enumerate().find_map(|(at, row)| Some((at, Columns::of(row)?))).ok_or(NoHeadings)?;
    let mut quote = Quote::default();
    let mut seen: BTreeMap<String, f64> = BTreeMap::new();
    for row in &rows[at + 1..] {
        let Some(quoted) = one(row, &columns, order, catalogue, &mut quote.mismatches) else { continue };
        match seen.insert(quoted.id.clone(), quoted.unit_price) {
            Some(before) if (before - quoted.unit_price).abs() > 1e-9 => {
                quote.prices.retain(|other| other.id != quoted.id);
                quote.mismatches.push(Mismatch::Twice { row: row.number, id: quoted.id });
            }
            Some(_) => {}
            None => quote.prices.push(quoted),
        }
    }
    for item in order.items.iter().filter(|item| item.buy > 0.0) {
        let price = quote.prices.iter().find(|quoted| quoted.id == item.id).map(|quoted| quoted.unit_price);
        if price.is_none() {
            quote.mismatches.push(Mismatch::NoPrice { id: item.id.clone() });
        }
        match price.or(item.unit_price) {
            Some(price) => quote.total += price * item.buy,
            None => quote.unpriced += 1,
        }
    }
    Ok(quote)
}

fn one(
    row: &SheetRow,
    columns: &Columns,
    order: &Order,
    catalogue: &Catalogue,
    mismatches: &mut Vec<Mismatch>,
) -> Option<Quoted> {
    let cell = |index: usize| row.cells.get(index).map_or("", |cell| cell.trim());
    let maybe = |index: Option<usize>| index.map(cell).filter(|cell| !cell.is_empty());
    let (id, price) = (cell(columns.id).to_owned(), cell(columns.price));
    if id.is_empty() || price.is_empty() {
        return None;
    }
    let number = row.number;
    if catalogue.label(&id).is_none() {
        mismatches.push(Mismatch::UnknownItem { row: number, id });
        return None;
    }
    let Some(price) = money(price) else {
        mismatches.push(Mismatch::NotAPrice { row: number, id, found: price.to_owned() });
        return None;
    };
    if let Some(found) = maybe(columns.currency).filter(|found| !found.eq_ignore_ascii_case(&order.currency)) {
        let (asked, found) = (order.currency.clone(), found.to_owned());
        mismatches.push(Mismatch::OtherCurrency { row: number, id, asked, found });
        return None;
    }
    let Some(item) = order.items.iter().find(|item| item.id == id) else {
        mismatches.push(Mismatch::NotAsked { row: number, id: id.clone() });
        return None;
    };
    let asked = Asked::of(item);
    if let Some(found) = maybe(columns.comes_in).filter(|found| !found.eq_ignore_ascii_case(&asked.comes_in)) {
        let (asked, found) = (asked.comes_in, found.to_owned());
        mismatches.push(Mismatch::OtherUnit { row: number, id, asked, found });
        return None;
    }
    if let Some(found) =
        maybe(columns.quantity).filter(|found| money(found).is_none_or(|found| (found - asked.quantity).abs() > 1e-6))
    {
        mismatches.push(Mismatch::OtherQuantity { row: number, id: id.clone(), asked: asked.quantity, found: found.to_owned() });
    }
    Some(Quoted { id, unit_price: rounded(price / asked.holds), before: item.unit_price })
}

/// A sum of money as people type it: `72.45`, `72,45`, `£72.45`, `1 234.50`, `1.234,50`. What could be read in two ways is not read.
fn money(typed: &str) -> Option<f64> {
    let is_sign = |letter: char| "£$€¥".contains(letter) || letter.is_whitespace() || letter == '\u{202f}' || letter == '\'';
    let bare: String = typed.chars().filter(|letter| !is_sign(*letter)).collect();
    let bare = bare.trim_matches(|letter: char| letter.is_alphabetic());
    let plain = match (bare.rfind(','), bare.rfind('.')) {
        (Some(comma), Some(point)) if comma > point => bare.replace('.', "").replace(',', "."),
        (Some(_), Some(_)) => bare.replace(',', ""),
        // Three digits behind a lone comma are thousands to some and thousandths to others.
        (Some(comma), None) if bare.len() - comma == 4 => return None,
        (Some(_), None) => bare.replacen(',', ".", 1),
        _ => bare.to_owned(),
    };
    let is_number = plain.chars().all(|letter| letter.is_ascii_digit() || letter == '.' || letter == '-' || letter == 'e');
    plain.parse::<f64>().ok().filter(|sum| is_number && (0.0..=1e9).contains(sum))
}

/// The head of the plan with these prices, given on this day.
pub fn with_prices(head: &Head, quote: &Quote, on: Option<Date>) -> Head {
    let mut head = head.clone();
    for quoted in &quote.prices {
        set_price(&mut head.prices, &quoted.id, Some(quoted.unit_price), on);
    }
    head
}

/// Sets the price of one item with its day, or takes both out.
pub fn set_price(prices: &mut Prices, id: &str, unit_price: Option<f64>, on: Option<Date>) {
    match unit_price {
        Some(price) => drop(prices.items.insert(id.to_owned(), price)),
        None => drop(prices.items.remove(id)),
    }
    match on.filter(|_| unit_price.is_some()) {
        Some(on) => drop(prices.dates.insert(id.to_owned(), on)),
        None => drop(prices.dates.remove(id)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::order::ItemGroup;
    use crate::units::Length;

    fn item(id: &str, buy: f64, roll_m: Option<f64>, pack: u32) -> Item {
        Item {
            id: id.to_owned(),
            group: ItemGroup::Fittings,
            need: buy,
            net: buy,
            on_hand: 0.0,
            buy,
            counted_in: if roll_m.is_some() { CountedIn::Metre } else { CountedIn::Piece },
            roll: roll_m.map(Length::metres),
            rolls: None,
            pack,
            left_over: 0.0,
            why: vec![],
            unit_price: None,
            priced_on: None,
            price: None,
        }
    }

    fn order() -> Order {
        let items =
            vec![item("ht-14ga", 1610.0, Some(805.0), 1), item("screw-ring", 75.0, None, 25), item("t-post", 40.0, None, 1)];
        Order { items, currency: "GBP".to_owned(), ..Order::default() }
    }

    fn rows(lines: &[&str]) -> Vec<SheetRow> {
        let row =
            |(index, line): (usize, &&str)| SheetRow { number: index + 1, cells: line.split('|').map(str::to_owned).collect() };
        lines.iter().enumerate().map(row).collect()
    }

    const HEADINGS: &str = "id|item|quantity|comes in|price of one|price|currency";

    fn read(lines: &[&str]) -> Quote {
        let lines = [&["Prices, please"], &[HEADINGS], lines].concat();
        quote(&rows(&lines), &order(), Catalogue::built_in()).expect("the headings are there")
    }

    #[test]
    fn prices_of_rolls_and_packs_become_prices_of_metres_and_pieces() {
        let quote =
            read(&["ht-14ga||2|roll of 805 m|£72.45||GBP", "screw-ring||3|Pack of 25|9,50||gbp", "t-post||40|piece|4.2||"]);
        let prices: Vec<f64> = quote.prices.iter().map(|quoted| quoted.unit_price).collect();
        assert_eq!(prices, [0.09, 0.38, 4.2]);
        assert!(quote.mismatches.is_empty(), "{:?}", quote.mismatches);
        assert!((quote.total - (144.9 + 28.5 + 168.0)).abs() < 1e-9 && quote.unpriced == 0, "{quote:?}");
        let head = with_prices(&Head::default(), &quote, Some(jiff::civil::date(2026, 5, 1)));
        assert_eq!(head.prices.items.len(), 3);
        assert_eq!(head.prices.dates["t-post"].to_string(), "2026-05-01");
    }

    #[test]
    fn every_mismatch_is_named_with_its_row_and_doubtful_prices_are_not_taken() {
        let lost = |id: &str| Mismatch::NoPrice { id: id.to_owned() };
        let own = str::to_owned;
        type Row<'a> = (&'a str, Option<f64>, Mismatch);
        let cases: [Row; 7] = [
            ("no-such||1|piece|3||", None, Mismatch::UnknownItem { row: 3, id: own("no-such") }),
            ("donut||1|piece|3||", None, Mismatch::NotAsked { row: 3, id: own("donut") }),
            ("t-post||40|piece|ask us||", None, Mismatch::NotAPrice { row: 3, id: own("t-post"), found: own("ask us") }),
            ("t-post||40|piece|-4||", None, Mismatch::NotAPrice { row: 3, id: own("t-post"), found: own("-4") }),
            (
                "t-post||50|piece|4||",
                Some(4.0),
                Mismatch::OtherQuantity { row: 3, id: own("t-post"), asked: 40.0, found: own("50") },
            ),
            (
                "ht-14ga||2|roll of 500 m|45||",
                None,
                Mismatch::OtherUnit { row: 3, id: own("ht-14ga"), asked: own("roll of 805 m"), found: own("roll of 500 m") },
            ),
            (
                "t-post||40|piece|4||EUR",
                None,
                Mismatch::OtherCurrency { row: 3, id: own("t-post"), asked: own("GBP"), found: own("EUR") },
            ),
        ];
        for (line, price, mismatch) in cases {
            let quote = read(&[line]);
            assert_eq!(quote.prices.first().map(|quoted| quoted.unit_price), price, "{line}");
            assert_eq!(quote.mismatches[0], mismatch);
            assert!(quote.mismatches.contains(&lost("screw-ring")), "{line}: what was asked for and not priced is named");
        }
        let twice = read(&[
            "t-post||40|piece|4||",
            "t-post||40|piece|5||",
            "screw-ring||3|pack of 25|5||",
            "screw-ring||3|pack of 25|5||",
        ]);
        assert!(twice.mismatches.contains(&Mismatch::Twice { row: 4, id: own("t-post") }));
        assert_eq!(twice.prices.len(), 1);
        assert_eq!(quote(&rows(&["a|b", "1|2"]), &order(), Catalogue::built_in()), Err(NoHeadings));
    }

    #[test]
    fn money_is_read_as_people_type_it() {
        for (typed, sum) in [
            ("72.45", Some(72.45)),
            ("72,45", Some(72.45)),
            ("£ 72.45", Some(72.45)),
            ("1 234.50", Some(1234.5)),
            ("1.234,50 EUR", Some(1234.5)),
            ("1,234.50", Some(1234.5)),
            ("1,234", None),
            ("", None),
            ("free", None),
            ("1e400", None),
            ("0", Some(0.0)),
        ] {
            assert_eq!(money(typed), sum, "{typed}");
        }
    }
}
