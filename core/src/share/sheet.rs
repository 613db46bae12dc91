//! Sheets that come back: comma-separated values of any habit, or a spreadsheet, as rows of text.

use crate::order::quote::SheetRow;
use calamine::{Data, Reader, Xlsx};
use std::io::Cursor;

/// A sheet that cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum SheetTrouble {
    /// It is no spreadsheet although it begins like one.
    #[error("this is no spreadsheet that can be read: {0}")]
    NotASpreadsheet(String),
    /// It is no text.
    #[error("byte {at} is no UTF-8 text; save it as .xlsx, or as .csv in UTF-8")]
    NotText {
        /// Where.
        at: usize,
    },
    /// A row of it is torn.
    #[error("row {row}: {says}")]
    Torn {
        /// Which.
        row: usize,
        /// Why.
        says: String,
    },
    /// It is larger than any order.
    #[error("more than {MOST_ROWS} rows; an order has a few dozen")]
    TooLong,
}

/// Rows beyond this are no order.
const MOST_ROWS: usize = 20_000;
/// A packed sheet beyond this is no order, bytes.
const MOST_BYTES: usize = 20_000_000;

/// The rows of a sheet, whatever form it has: told by its content.
///
/// # Errors
/// [`SheetTrouble`].
pub fn read_sheet(bytes: &[u8]) -> Result<Vec<SheetRow>, SheetTrouble> {
    if bytes.len() > MOST_BYTES {
        return Err(SheetTrouble::TooLong);
    }
    if bytes.starts_with(b"PK") { of_workbook(bytes) } else { of_text(bytes) }
}

/// The sheet called Order, else the first one.
fn of_workbook(bytes: &[u8]) -> Result<Vec<SheetRow>, SheetTrouble> {
    let unreadable = |trouble: calamine::XlsxError| SheetTrouble::NotASpreadsheet(trouble.to_string());
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(unreadable)?;
    let names = book.sheet_names();
    let name = names.iter().find(|name| name.as_str() == "Order").or_else(|| names.first());
    let Some(name) = name.cloned() else { return Err(SheetTrouble::NotASpreadsheet("it has no sheet".to_owned())) };
    let range = book.worksheet_range(&name).map_err(unreadable)?;
    if range.height() > MOST_ROWS {
        return Err(SheetTrouble::TooLong);
    }
    let first = range.start().map_or((0, 0), |(row, column)| (row as usize, column as usize));
    let row = |(index, cells): (usize, &[Data])| {
        let blank = std::iter::repeat_n(String::new(), first.1);
        SheetRow { number: first.0 + index + 1, cells: blank.chain(cells.iter().map(text)).collect() }
    };
    Ok(range.rows().enumerate().map(row).collect())
}

fn text(cell: &Data) -> String {
    match cell {
        Data::String(text) => text.clone(),
        Data::Float(number) => number.to_string(),
        Data::Int(number) => number.to_string(),
        Data::Empty | Data::Error(_) => String::new(),
        other => other.to_string(),
    }
}

/// Text with commas, semicolons or tabs between cells, whichever the first rows have most of.
fn of_text(bytes: &[u8]) -> Result<Vec<SheetRow>, SheetTrouble> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let text = std::str::from_utf8(bytes).map_err(|trouble| SheetTrouble::NotText { at: trouble.valid_up_to() })?;
    let head: String = text.lines().take(10).collect();
    let count = |separator: char| head.matches(separator).count();
    let separator = [',', ';', '\t'].into_iter().max_by_key(|separator| count(*separator)).unwrap_or(',');
    let separator = u8::try_from(separator).unwrap_or(b',');
    let mut reader =
        csv::ReaderBuilder::new().delimiter(separator).has_headers(false).flexible(true).from_reader(text.as_bytes());
    let mut rows = Vec::new();
    for (index, record) in reader.records().enumerate() {
        let record = record.map_err(|trouble| SheetTrouble::Torn { row: index + 1, says: trouble.to_string() })?;
        if index >= MOST_ROWS {
            return Err(SheetTrouble::TooLong);
        }
        // A row may hold line breaks: its own number in the sheet counts.
        rows.push(SheetRow { number: index + 1, cells: record.iter().map(harmless).collect() });
    }
    Ok(rows)
}

/// The sign that kept a text from being taken for a formula is no part of it.
fn harmless(cell: &str) -> String {
    cell.strip_prefix('\'').filter(|rest| rest.starts_with(['=', '+', '-', '@'])).unwrap_or(cell).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn text_of_any_habit_is_rows() {
        for text in ["id,price of one\r\na,\"1.5\"\r\n", "id;price of one\na;1.5\n", "\u{feff}id\tprice of one\na\t1.5"] {
            let rows = read_sheet(text.as_bytes()).expect(text);
            let cells: Vec<Vec<String>> = rows.into_iter().map(|row| row.cells).collect();
            assert_eq!(cells, [["id", "price of one"], ["a", "1.5"]], "{text}");
        }
    }

    #[test]
    fn what_is_no_sheet_is_told_with_its_place() {
        for (bytes, says) in [(&b"PK\x03\x04 torn"[..], "no spreadsheet"), (b"id,price\n\xff\xfe", "byte 9 is no UTF-8")] {
            let trouble = read_sheet(bytes).expect_err("it is none").to_string();
            assert!(trouble.contains(says), "{trouble}");
        }
    }

    proptest! {
        #[test]
        fn any_bytes_give_rows_or_a_trouble(bytes in prop::collection::vec(any::<u8>(), 0..300), packed in any::<bool>()) {
            let bytes = if packed { [b"PK\x03\x04".to_vec(), bytes].concat() } else { bytes };
            let _ = read_sheet(&bytes);
        }
    }
}
