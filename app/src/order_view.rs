//! What the stage Order shows: in which order items stand, which one is opened to its places, which part of the plan is bought first, and
//! prices that came back.

use crate::clock::today;
use crate::files::open_quote;
use crate::session::{Session, Sheet, Stage};
use hillwire_core::catalogue::InUse;
use hillwire_core::order::quote::{Quote, with_prices};
use hillwire_core::order::{Item, Order, Variant};
use hillwire_core::outcome::Outcome;
use hillwire_core::plan::{Edit, FeatureId, Gesture, Plan};
use std::cmp::Ordering;
use std::path::{Path, PathBuf};
use std::sync::Arc;

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
    /// The paddock that is built first; all of the plan without one.
    pub paddock: Option<FeatureId>,
    /// What was worked out beside the order.
    pub beside: Option<Beside>,
    /// Prices that came back and are not taken yet.
    pub quote: Option<Quote>,
    pub(crate) asked: Option<(u64, u64, Option<FeatureId>)>,
}

/// What is worked out beside the order when the stage is open.
#[derive(Clone, Debug, PartialEq)]
pub struct Beside {
    /// The revision of the plan.
    pub revision: u64,
    /// What one paddock takes first.
    pub first: Option<(FeatureId, Order)>,
    /// What changes of the builds would cost.
    pub variants: Vec<Variant>,
}

/// Everything that working it out needs.
pub struct BesideRequest {
    /// The plan.
    pub plan: Plan,
    /// What follows from it.
    pub outcome: Arc<Outcome>,
    /// The catalogue's rows in use.
    pub rows: InUse,
    /// The paddock that is built first.
    pub paddock: Option<FeatureId>,
}

/// Works it out.
pub fn worked_out(request: &BesideRequest) -> Beside {
    let (plan, rows) = (&request.plan, request.rows.rows());
    let part = request.paddock.as_ref().and_then(|id| Some((id.clone(), request.outcome.first(id)?)));
    Beside {
        revision: request.outcome.revision,
        first: part.map(|(id, part)| (id, request.outcome.order_of(plan, &part, rows))),
        variants: request.outcome.variants(plan, rows),
    }
}

/// A sheet of prices to be read.
pub struct QuoteRequest {
    /// The file.
    pub path: PathBuf,
    /// What it is held against.
    pub outcome: Arc<Outcome>,
    /// The catalogue's rows in use.
    pub rows: InUse,
}

/// Reads it.
///
/// # Errors
/// One sentence that names the file.
pub fn read_quote(request: &QuoteRequest) -> Result<Quote, String> {
    open_quote(&request.path, &request.outcome.order, request.rows.rows())
}

/// What can be asked of the stage.
#[derive(Clone, Debug, PartialEq)]
pub enum OrderAsk {
    /// List items in this order.
    By(ListedBy),
    /// Open this item to its places; or none.
    Item(Option<String>),
    /// Buy for this paddock first; or all at once.
    First(Option<FeatureId>),
    /// Take the prices that came back.
    TakePrices,
}

impl Session {
    /// Does what was asked of the stage Order.
    pub fn perform_order(&mut self, ask: OrderAsk) {
        match ask {
            OrderAsk::By(by) => self.order_view.by = by,
            OrderAsk::Item(item) => self.order_view.item = item,
            OrderAsk::First(paddock) => self.order_view.paddock = paddock,
            OrderAsk::TakePrices => self.take_prices(),
        }
    }

    /// Has a sheet of prices read.
    pub fn read_prices(&mut self, path: &Path) {
        let (path, outcome, rows) = (path.to_owned(), Arc::clone(&self.outcome), self.rows.clone());
        self.worker.request_quote(QuoteRequest { path, outcome, rows });
    }

    /// Shows the prices that came back; the plan stays as it is.
    pub fn show_quote(&mut self, quote: Quote) {
        self.order_view.quote = Some(quote);
        self.put_up(Sheet::Prices);
    }

    fn take_prices(&mut self) {
        let Some(quote) = self.order_view.quote.take() else { return };
        self.close_sheet();
        let head = with_prices(&self.plan().head, &quote, Some(today()));
        self.change(Gesture::TookPrices { count: quote.prices.len() }, &[Edit::SetHead(Box::new(head))]);
    }

    /// Asks for what is worked out beside the order, once for each revision, while the stage is open.
    pub(crate) fn follow_order(&mut self) {
        let wanted = (self.history.revision(), self.land.generation, self.order_view.paddock.clone());
        if self.stage != Stage::Order || !self.is_settled() || self.order_view.asked.as_ref() == Some(&wanted) {
            return;
        }
        self.order_view.asked = Some(wanted);
        self.worker.request_beside(BesideRequest {
            plan: self.plan().clone(),
            outcome: Arc::clone(&self.outcome),
            rows: self.rows.clone(),
            paddock: self.order_view.paddock.clone(),
        });
    }

    /// The order that the stage shows: of the paddock that is built first, or of all of the plan.
    pub fn shown_order(&self) -> &Order {
        let paddock = self.order_view.paddock.as_ref();
        let first = self.order_view.beside.as_ref().and_then(|beside| beside.first.as_ref());
        match first.filter(|(id, _)| Some(id) == paddock) {
            Some((_, order)) => order,
            None => &self.outcome.order,
        }
    }

    /// The items of the order as the stage lists them.
    pub fn listed_items(&self) -> Vec<&Item> {
        let mut items: Vec<&Item> = self.shown_order().items.iter().collect();
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
        self.shown_order().items.iter().find(|item| item.id == *id)
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
