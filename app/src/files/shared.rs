//! Files that go out to others and come back from them.

use super::read_whole;
use crate::words;
use hillwire_core::catalogue::Catalogue;
use hillwire_core::order::Order;
use hillwire_core::order::quote::{Quote, quote};
use hillwire_core::share::{Recipient, WorkWords, order_xlsx, read_sheet};
use jiff::civil::Date;
use std::path::Path;

/// The order as a spreadsheet, made on this day.
///
/// # Errors
/// One sentence.
pub fn order_book(order: &Order, catalogue: &Catalogue, to: Recipient, on: Date) -> Result<Vec<u8>, String> {
    let work = WorkWords { task: words::task, terrain: words::terrain };
    order_xlsx(order, catalogue, to, &work, on).map_err(|trouble| format!("the spreadsheet could not be made: {trouble}"))
}

/// Reads a sheet of prices that somebody filled in, and holds it against the order.
///
/// # Errors
/// One sentence that names the file.
pub fn open_quote(path: &Path, order: &Order, catalogue: &Catalogue) -> Result<Quote, String> {
    let bytes = read_whole(path).map_err(|trouble| trouble.to_string())?;
    let rows = read_sheet(&bytes).map_err(|trouble| format!("{}: {trouble}", path.display()))?;
    quote(&rows, order, catalogue).map_err(|trouble| format!("{}: {trouble}", path.display()))
}
