//! What the stage Order shows: in which order items stand, and which one is opened to its places.

use crate::session::Session;
use hillwire_core::order::Item;
use std::cmp::Ordering;

/// In which order items stand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ListedBy {
    /// What they are for.
    #[default]
    Use,
    /// Their names.
    Name,
    /// What they cost, the dearest first; what has no price comes last.
    Price,
}

impl ListedBy {
    /// All of them, with what each is called.
    pub const ALL: [(Self, &'static str); 3] = [(Self::Use, "Use"), (Self::Name, "Name"), (Self::Price, "Price")];
}

/// What the stage shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OrderView {
    /// In which order items stand.
    pub by: ListedBy,
    /// The item whose places are shown, by its id.
    pub item: Option<String>,
}

/// What can be asked of the stage.
#[derive(Clone, Debug, PartialEq)]
pub enum OrderAsk {
    /// List items in this order.
    By(ListedBy),
    /// Open this item to its places; or none.
    Item(Option<String>),
}

impl Session {
    /// Does what was asked of the stage Order.
    pub fn perform_order(&mut self, ask: OrderAsk) {
        match ask {
            OrderAsk::By(by) => self.order_view.by = by,
            OrderAsk::Item(item) => self.order_view.item = item,
        }
    }

    /// The items of the order as the stage lists them.
    pub fn listed_items(&self) -> Vec<&Item> {
        let mut items: Vec<&Item> = self.outcome.order.items.iter().collect();
        let name = |item: &Item| crate::words::item(&item.id, self.catalogue()).to_owned();
        match self.order_view.by {
            ListedBy::Use => {}
            ListedBy::Name => items.sort_by_cached_key(|item| name(item).to_lowercase()),
            ListedBy::Price => items.sort_by(|a, b| dearest_first(a.price, b.price)),
        }
        items
    }

    /// The item that is opened to its places, if the order still has it.
    pub fn opened_item(&self) -> Option<&Item> {
        let id = self.order_view.item.as_ref()?;
        self.outcome.order.items.iter().find(|item| item.id == *id)
    }
}

fn dearest_first(one: Option<f64>, other: Option<f64>) -> Ordering {
    match (one, other) {
        (Some(one), Some(other)) => other.total_cmp(&one),
        (one, other) => other.is_some().cmp(&one.is_some()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_has_no_price_comes_last() {
        let mut prices = [None, Some(1.0), Some(5.0), None, Some(2.0)];
        prices.sort_by(|a, b| dearest_first(*a, *b));
        assert_eq!(prices, [Some(5.0), Some(2.0), Some(1.0), None, None]);
    }
}
