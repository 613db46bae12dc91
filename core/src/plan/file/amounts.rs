//! Amounts by catalogue id: prices, and what is in the shed.

use super::form::{Day, Form, ListOf, Range, quoted};
use super::node::Node;
use super::number::decimal;
use super::trouble::Trouble;
use crate::bounds::{PRICED, ROLLS, SHED_AMOUNT};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// Amounts by name.
pub(super) struct Amounts;
/// Days by name.
pub(super) struct Dates;
/// Amounts by name, several of one thing as a list.
pub(super) struct Shed;

impl Form<BTreeMap<String, f64>> for Amounts {
    fn read(&self, node: Node<'_>) -> Result<BTreeMap<String, f64>, Trouble> {
        let amount = |(key, node): (String, Node<'_>)| match AMOUNT.read(node) {
            Ok(amount) => Ok((key, amount)),
            Err(trouble) => Err(trouble.under(key)),
        };
        members_within(node)?.into_iter().map(amount).collect()
    }
    fn write(&self, value: &BTreeMap<String, f64>) -> String {
        let members: Vec<_> = value.iter().map(|(key, amount)| format!("{}:{}", quoted(key), decimal(*amount))).collect();
        format!("{{{}}}", members.join(","))
    }
    fn allowed(&self) -> String {
        "an object of amounts by catalogue id".to_owned()
    }
}

impl Form<BTreeMap<String, Vec<f64>>> for Shed {
    fn read(&self, node: Node<'_>) -> Result<BTreeMap<String, Vec<f64>>, Trouble> {
        let amounts = |(key, node): (String, Node<'_>)| {
            let several = if node.as_text().starts_with('[') {
                ListOf(AMOUNT, ROLLS).read(node)
            } else {
                AMOUNT.read(node).map(|one| vec![one])
            };
            let several = several.and_then(|amounts: Vec<f64>| {
                let all: f64 = amounts.iter().sum();
                let too_much = || node.trouble_found(format!("{all} in all"), format!("{SHED_AMOUNT} in all at most"));
                if all > SHED_AMOUNT { Err(too_much()) } else { Ok(amounts) }
            });
            several.map_err(|trouble| trouble.under(key.clone())).map(|amounts| (key, amounts))
        };
        members_within(node)?.into_iter().map(amounts).collect()
    }
    fn write(&self, value: &BTreeMap<String, Vec<f64>>) -> String {
        let amounts = |amounts: &Vec<f64>| match amounts.as_slice() {
            [one] => decimal(*one),
            _ => ListOf(AMOUNT, ROLLS).write(amounts),
        };
        let members: Vec<_> = value.iter().map(|(key, list)| format!("{}:{}", quoted(key), amounts(list))).collect();
        format!("{{{}}}", members.join(","))
    }
    fn allowed(&self) -> String {
        "an object of amounts, or lists of them, by catalogue id".to_owned()
    }
}

/// The members of an object of so many at most.
fn members_within(node: Node<'_>) -> Result<Vec<(String, Node<'_>)>, Trouble> {
    let list = node.members()?.list;
    if list.len() > PRICED {
        return Err(node.trouble_found(format!("{} members", list.len()), format!("{PRICED} at most")));
    }
    Ok(list)
}

/// Prices and amounts in the shed.
const AMOUNT: Range = Range(0.0, 1e9);

impl Form<BTreeMap<String, Date>> for Dates {
    fn read(&self, node: Node<'_>) -> Result<BTreeMap<String, Date>, Trouble> {
        let date = |(key, node): (String, Node<'_>)| match Day.read(node) {
            Ok(date) => Ok((key, date)),
            Err(trouble) => Err(trouble.under(key)),
        };
        members_within(node)?.into_iter().map(date).collect()
    }
    fn write(&self, value: &BTreeMap<String, Date>) -> String {
        let members: Vec<_> = value.iter().map(|(key, date)| format!("{}:{}", quoted(key), Day.write(date))).collect();
        format!("{{{}}}", members.join(","))
    }
    fn allowed(&self) -> String {
        "an object of days by catalogue id".to_owned()
    }
}
