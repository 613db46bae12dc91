//! The bill of materials as comma-separated values, as of RFC 4180, that any spreadsheet opens.

use super::csv_table::CsvTable;
use super::order_table::{Cell, table};
use super::recipient::Audience;
use crate::catalogue::Catalogue;
use crate::order::Order;

/// One row per item, and a row with the total. What has no price has an empty cell, and the total says how many lack one.
pub fn order_csv(order: &Order, catalogue: &Catalogue, to: Audience) -> Vec<u8> {
    let table = table(order, catalogue, to);
    let mut text = CsvTable::new(table.headings);
    for cells in &table.rows {
        text.row(cells.iter().map(written));
    }
    text.into_bytes()
}

fn written(cell: &Cell) -> String {
    match cell {
        Cell::Nothing => String::new(),
        Cell::Text(text) => text.clone(),
        Cell::Number(number) => amount(*number),
        Cell::Money(sum) => money(*sum),
        Cell::Formula(formula, value) if formula.contains("ROUNDUP") => amount(*value),
        // Nothing priced, nothing to pay.
        Cell::Formula(_, value) if value.abs() < 1e-12 => String::new(),
        Cell::Formula(_, value) => money(*value),
    }
}

/// Metres to the centimetre, pieces without decimals.
fn amount(amount: f64) -> String {
    format!("{}", (amount * 100.0).round() / 100.0)
}

/// A pack may cost a fraction of a penny more: no digit is lost.
fn money(amount: f64) -> String {
    let exact = ((amount * 1e6).round() / 1e6).to_string();
    if exact.split_once('.').is_some_and(|(_, decimals)| decimals.len() > 2) { exact } else { format!("{amount:.2}") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::order::{CountedIn, Item, ItemGroup};
    use crate::share::Recipient;
    use crate::units::Length;

    fn item(id: &str, group: ItemGroup, counted_in: CountedIn, unit_price: Option<f64>, buy: f64) -> Item {
        Item {
            id: id.to_owned(),
            group,
            need: buy + 25.0,
            net: buy,
            on_hand: 25.0,
            buy,
            counted_in,
            roll: None,
            rolls: None,
            pack: 1,
            left_over: 0.0,
            why: vec![],
            unit_price,
            priced_on: None,
            price: unit_price.map(|price| price * buy),
        }
    }

    fn order() -> Order {
        let wire = item("no such, \"wire\"", ItemGroup::Wire, CountedIn::Metre, Some(0.095), 1610.0);
        Order {
            items: vec![
                Item { roll: Some(Length::metres(805.0)), rolls: Some(2), ..wire },
                item("=no-such-post", ItemGroup::Posts, CountedIn::Piece, None, 31.0),
                item("had", ItemGroup::Posts, CountedIn::Piece, Some(2.0), 0.0),
            ],
            currency: "GBP".to_owned(),
            total: 152.95,
            unpriced: 1,
            ..Order::default()
        }
    }

    #[test]
    fn the_keeper_gets_prices_and_the_shed_and_a_total_that_says_what_lacks_a_price() {
        let expected = "id,item,quantity,comes in,price of one,price,currency,group,needed,in the shed,unit,priced on\r\n\
             \"no such, \"\"wire\"\"\",\"no such, \"\"wire\"\"\",2,roll of 805 m,76.475,152.95,GBP,wire,1635,25,m,\r\n\
             '=no-such-post,'=no-such-post,31,piece,,,GBP,posts,56,25,piece,\r\n\
             had,had,0,piece,2.00,,GBP,posts,25,25,piece,\r\n\
             ,\"total, 1 without a price\",,,,152.95,GBP,,,,,\r\n";
        let text = order_csv(&order(), Catalogue::built_in(), Recipient::Keeper.into());
        assert_eq!(String::from_utf8_lossy(&text), expected);
    }

    #[test]
    fn a_supplier_gets_what_is_to_be_bought_and_nobody_elses_prices() {
        let expected = "id,item,quantity,comes in,price of one,price,currency\r\n\
             \"no such, \"\"wire\"\"\",\"no such, \"\"wire\"\"\",2,roll of 805 m,,,GBP\r\n\
             '=no-such-post,'=no-such-post,31,piece,,,GBP\r\n\
             ,total,,,,,GBP\r\n";
        let text = order_csv(&order(), Catalogue::built_in(), Recipient::Supplier.into());
        assert_eq!(String::from_utf8_lossy(&text), expected);
    }
}
