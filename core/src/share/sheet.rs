//! Sheets that come back: comma-separated values of any habit, or a spreadsheet, as rows of text.

use super::csv_table::unguarded;
use super::packed::look_through;
use crate::bounds::{TABLE_BYTES, TABLE_COLUMNS, TABLE_ROWS, TABLE_UNPACKED_BYTES, beginning};
use crate::order::quote::SheetRow;
use calamine::{Data, Reader, Xlsx};
use std::io::Cursor;
use std::panic;

/// A sheet that cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum SheetTrouble {
    /// It is no spreadsheet although it begins like one.
    #[error("this is no spreadsheet that can be read: {}", beginning(.0))]
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
    #[error(
        "more than {TABLE_ROWS} rows or {} MB, or far too large unpacked (allowed are {} MB): no order and no round is so long",
        TABLE_BYTES / 1_000_000, TABLE_UNPACKED_BYTES / 1_000_000
    )]
    TooLong,
    /// It claims more texts than it has room for.
    #[error("xl/sharedStrings.xml, uniqueCount: found {found} texts; allowed are {allowed}, as many as it has room for")]
    FalseCount {
        /// What it claims.
        found: String,
        /// How many there can be.
        allowed: usize,
    },
}

/// The rows of a sheet, whatever form it has: told by its content.
///
/// # Errors
/// [`SheetTrouble`].
pub fn read_sheet(bytes: &[u8]) -> Result<Vec<SheetRow>, SheetTrouble> {
    if bytes.len() > TABLE_BYTES {
        return Err(SheetTrouble::TooLong);
    }
    if bytes.starts_with(b"PK") { of_workbook(bytes) } else { of_text(bytes) }
}

/// The sheet called Order, else the first one. A reader that breaks on a broken workbook must not take the program with it.
fn of_workbook(bytes: &[u8]) -> Result<Vec<SheetRow>, SheetTrouble> {
    look_through(bytes)?;
    let broke_off = |_| Err(SheetTrouble::NotASpreadsheet("its parts contradict each other".to_owned()));
    panic::catch_unwind(|| rows_of(bytes)).unwrap_or_else(broke_off)
}

fn rows_of(bytes: &[u8]) -> Result<Vec<SheetRow>, SheetTrouble> {
    let unreadable = |trouble: calamine::XlsxError| SheetTrouble::NotASpreadsheet(trouble.to_string());
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(unreadable)?;
    let names = book.sheet_names();
    let name = names.iter().find(|name| name.as_str() == "Order").or_else(|| names.first());
    let Some(name) = name.cloned() else { return Err(SheetTrouble::NotASpreadsheet("it has no sheet".to_owned())) };
    let mut cells = book.worksheet_cells_reader(&name).map_err(unreadable)?;
    let mut rows: Vec<SheetRow> = Vec::new();
    // Cell by cell: a sheet with one cell in its farthest corner would otherwise be made a table of billions.
    while let Some(cell) = cells.next_cell().map_err(unreadable)? {
        let (row, column) = cell.get_position();
        let (number, column) = (row as usize + 1, column.min(TABLE_COLUMNS) as usize);
        let value = text(&Data::from(cell.get_value().clone()));
        if value.is_empty() || column >= TABLE_COLUMNS as usize {
            continue;
        }
        if rows.last().is_none_or(|last| last.number != number) {
            rows.push(SheetRow { number, cells: Vec::new() });
        }
        if rows.len() > TABLE_ROWS {
            return Err(SheetTrouble::TooLong);
        }
        if let Some(last) = rows.last_mut() {
            last.cells.resize(last.cells.len().max(column + 1), String::new());
            last.cells[column] = value;
        }
    }
    Ok(rows)
}

fn text(cell: &Data) -> String {
    match cell {
        Data::String(text) => text.clone(),
        Data::Float(number) => number.to_string(),
        Data::Int(number) => number.to_string(),
        Data::DateTime(at) if at.is_datetime() => time(at.to_ymd_hms_milli()),
        Data::Empty | Data::Error(_) => String::new(),
        other => other.to_string(),
    }
}

/// A day or a time as ISO 8601 writes it; midnight is a day.
fn time((year, month, day, hour, minute, second, _): (u16, u8, u8, u8, u8, u8, u16)) -> String {
    let clock = if (hour, minute, second) == (0, 0, 0) { String::new() } else { format!("T{hour:02}:{minute:02}:{second:02}") };
    format!("{year:04}-{month:02}-{day:02}{clock}")
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
        if index >= TABLE_ROWS {
            return Err(SheetTrouble::TooLong);
        }
        // A row may hold line breaks: its own number in the sheet counts.
        rows.push(SheetRow { number: index + 1, cells: record.iter().map(|cell| unguarded(cell).to_owned()).collect() });
    }
    Ok(rows)
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
