//! The bill of materials for a supplier: comma-separated values as of RFC 4180, that any spreadsheet opens.

use crate::catalogue::Catalogue;
use crate::order::{CountedIn, Item, ItemGroup, Order};

/// One row per item, and a row with the total. What has no price has an empty cell, and the total says how many lack one.
pub fn order_csv(order: &Order, catalogue: &Catalogue) -> Vec<u8> {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    let mut row = |cells: [String; 8]| writer.write_record(&cells).expect("writing to memory does not fail");
    row(["item", "group", "need", "on hand", "buy", "unit", "unit price", "price"].map(str::to_owned));
    for item in &order.items {
        row(cells(item, catalogue));
    }
    let mut total = "total".to_owned();
    if !order.currency.is_empty() {
        total = format!("{total} ({})", order.currency);
    }
    if order.unpriced > 0 {
        total = format!("{total}, {} without a price", order.unpriced);
    }
    let empty = String::new;
    row([total, empty(), empty(), empty(), empty(), empty(), empty(), money(order.total)]);
    writer.into_inner().expect("writing to memory does not fail")
}

fn cells(item: &Item, catalogue: &Catalogue) -> [String; 8] {
    let price = |price: Option<f64>| price.map(money).unwrap_or_default();
    [
        catalogue.label(&item.id).unwrap_or(&item.id).to_owned(),
        group(item.group).to_owned(),
        amount(item.need),
        amount(item.on_hand),
        amount(item.buy),
        unit(item.counted_in).to_owned(),
        item.unit_price.map(unit_price).unwrap_or_default(),
        price(item.price),
    ]
}

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
        CountedIn::Tonne => "tonne",
    }
}

/// Metres to the centimetre, pieces without decimals.
fn amount(amount: f64) -> String {
    format!("{}", (amount * 100.0).round() / 100.0)
}

fn money(amount: f64) -> String {
    format!("{amount:.2}")
}

/// A metre of wire may cost less than a hundredth: no digit is lost.
fn unit_price(amount: f64) -> String {
    let exact = amount.to_string();
    if exact.split_once('.').is_some_and(|(_, decimals)| decimals.len() > 2) { exact } else { money(amount) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_order_is_rows_with_a_total_that_says_what_lacks_a_price() {
        let item = |id: &str, group, counted_in, unit_price: Option<f64>, buy: f64| Item {
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
            price: unit_price.map(|price| price * buy),
        };
        let order = Order {
            items: vec![
                item("no such, \"wire\"", ItemGroup::Wire, CountedIn::Metre, Some(0.095), 1250.25),
                item("no-such-post", ItemGroup::Posts, CountedIn::Piece, None, 31.0),
            ],
            currency: "GBP".to_owned(),
            total: 118.77,
            unpriced: 1,
        };
        let expected = "item,group,need,on hand,buy,unit,unit price,price\r\n\
             \"no such, \"\"wire\"\"\",wire,1275.25,25,1250.25,m,0.095,118.77\r\n\
             no-such-post,posts,56,25,31,piece,,\r\n\
             \"total (GBP), 1 without a price\",,,,,,,118.77\r\n";
        assert_eq!(String::from_utf8_lossy(&order_csv(&order, Catalogue::built_in())), expected);
    }
}
