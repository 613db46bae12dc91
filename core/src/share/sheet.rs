//! Sheets that come back: comma-separated values of any habit, or a spreadsheet, as rows of text.

use super::csv_table::unguarded;
use super::packed::look_through;
use crate::bounds::{TABLE_BYTES, TABLE_COLUMNS, TABLE_PARTS, TABLE_ROWS, TABLE_UNPACKED_BYTES, beginning};
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
    /// A quote that begins a cell and never ends: all behind it would be one cell.
    #[error("a quote opened in row {row} is not closed; close it or take it out")]
    OpenQuote {
        /// Which.
        row: usize,
    },
    /// It is what spreadsheet programs wrote before they packed their files, or a packed one behind a password.
    #[error(
        "this is the container of old or password-protected workbooks; save it as .xlsx without a password, or as .csv, in a spreadsheet program"
    )]
    OldWorkbook,
    /// It has more rows than any order or round.
    #[error("found more than {TABLE_ROWS} rows; allowed are {TABLE_ROWS}: no order and no round is so long")]
    TooManyRows,
    /// It has more bytes.
    #[error("found {found} bytes; allowed are {TABLE_BYTES}: no order and no round is so long")]
    TooLarge {
        /// How many.
        found: usize,
    },
    /// It is small only as long as it is packed.
    #[error("far too large unpacked: found more than {0} MB; allowed are {0} MB", TABLE_UNPACKED_BYTES / 1_000_000)]
    TooLargeUnpacked,
    /// It is packed out of more files than any workbook.
    #[error("found {found} files packed in it; allowed are {TABLE_PARTS}")]
    TooManyParts {
        /// How many.
        found: usize,
    },
    /// It claims more texts than it has room for.
    #[error("xl/sharedStrings.xml, uniqueCount: found {found} texts; allowed are {allowed}, as many as it has room for")]
    FalseCount {
        /// What it claims.
        found: String,
        /// How many there can be.
        allowed: usize,
    },
}

/// How a compound file begins.
///
/// # Source
/// Key `compound-file`, section 2.2: header signature.
const OLD_WORKBOOK: &[u8] = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1";

/// The rows of a sheet, whatever form it has: told by its content.
///
/// # Errors
/// [`SheetTrouble`].
pub fn read_sheet(bytes: &[u8]) -> Result<Vec<SheetRow>, SheetTrouble> {
    if bytes.len() > TABLE_BYTES {
        return Err(SheetTrouble::TooLarge { found: bytes.len() });
    }
    if bytes.starts_with(OLD_WORKBOOK) {
        return Err(SheetTrouble::OldWorkbook);
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
    let unreadable = |trouble: calamine::XlsxError| SheetTrouble::NotASpreadsheet(plainly(&trouble));
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
            return Err(SheetTrouble::TooManyRows);
        }
        if let Some(last) = rows.last_mut() {
            last.cells.resize(last.cells.len().max(column + 1), String::new());
            last.cells[column] = value;
        }
    }
    Ok(rows)
}

/// What the reader of workbooks says, in our words.
fn plainly(trouble: &calamine::XlsxError) -> String {
    use calamine::XlsxError as E;
    match trouble {
        E::Io(_) | E::Zip(_) => BROKEN_PACK.to_owned(),
        E::Xml(_) | E::XmlAttr(_) | E::XmlEof(_) => "a part of it is no whole XML".to_owned(),
        E::FileNotFound(part) => format!("it lacks its part {part}"),
        E::Password => "it is locked by a password".to_owned(),
        E::Alphanumeric(_)
        | E::NumericColumn(_)
        | E::RangeWithoutColumnComponent
        | E::RangeWithoutRowComponent
        | E::ColumnNumberOverflow
        | E::RowNumberOverflow
        | E::DimensionCount(_) => "a cell stands at a place that is none; allowed are A1 to XFD1048576".to_owned(),
        E::Parse(_) | E::ParseFloat(_) | E::ParseInt(_) => "a number in it is none".to_owned(),
        _ => "a part of it is not what a workbook has there".to_owned(),
    }
}

/// What is wrong with a pack that cannot be taken apart.
pub(super) const BROKEN_PACK: &str = "what is packed in it is broken or cut short; copy or download it again";

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
    if let Some(row) = open_quote(text.as_bytes(), separator) {
        return Err(SheetTrouble::OpenQuote { row });
    }
    let mut reader =
        csv::ReaderBuilder::new().delimiter(separator).has_headers(false).flexible(true).from_reader(text.as_bytes());
    let mut rows = Vec::new();
    for (index, record) in reader.records().enumerate() {
        let record = record.map_err(|trouble| SheetTrouble::Torn { row: index + 1, says: trouble.to_string() })?;
        if index >= TABLE_ROWS {
            return Err(SheetTrouble::TooManyRows);
        }
        // A row may hold line breaks: its own number in the sheet counts.
        rows.push(SheetRow { number: index + 1, cells: record.iter().map(|cell| unguarded(cell).to_owned()).collect() });
    }
    Ok(rows)
}

/// The row of a quote that begins a cell and does not end, as the reader of rows counts them: those without a sign do not count. One that swallows
/// rows until the next quote in the middle of a cell does not end either.
///
/// # Source
/// Key `rfc4180`, section 2, rules 5 to 7.
fn open_quote(text: &[u8], separator: u8) -> Option<usize> {
    enum At {
        Begin,
        Bare,
        Quoted { row: usize, lines: usize },
        MaybeEnd { row: usize, lines: usize },
    }
    let (mut row, mut is_empty, mut at) = (1, true, At::Begin);
    for byte in text {
        let is_end = matches!(byte, b'\n' | b'\r');
        at = match at {
            At::Quoted { row, lines } if *byte == b'"' => At::MaybeEnd { row, lines },
            At::Quoted { row, lines } => At::Quoted { row, lines: lines + usize::from(is_end) },
            At::MaybeEnd { row, lines } if *byte == b'"' => At::Quoted { row, lines },
            At::MaybeEnd { row, lines } if lines > 0 && !is_end && *byte != separator => return Some(row),
            _ if is_end => {
                row += usize::from(!is_empty);
                is_empty = true;
                At::Begin
            }
            At::Begin if *byte == b'"' => At::Quoted { row, lines: 0 },
            _ if *byte == separator => At::Begin,
            _ => At::Bare,
        };
        is_empty = is_empty && matches!(at, At::Begin) && is_end;
    }
    if let At::Quoted { row, .. } = at { Some(row) } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_quote_that_is_not_closed_is_told_with_its_row_and_no_row_behind_it_is_swallowed() {
        for (text, row) in [
            ("a,b\n\"1,2\n3,4\n", Some(2)),
            ("a;b\r\n\r\n1;2\r\n3;\"4", Some(3)),
            ("a,b\n1,\"2\n3,4\n5,\"6\"\n", Some(2)),
            ("a,b\n1,\"\"\"\n", Some(2)),
            ("\"", Some(1)),
            ("a,b\n\"1\n2\",3\n", None),
            ("a,b\n\"1 \"\"x\"\" \",3\n", None),
            ("a,b\n12\" post,\"12\" post\n", None),
            ("a,b\n\"\",\"\"", None),
            ("", None),
        ] {
            let read = read_sheet(text.as_bytes());
            match (row, read) {
                (Some(row), Err(SheetTrouble::OpenQuote { row: told })) => assert_eq!(told, row, "{text}"),
                (None, Ok(_)) => {}
                (_, read) => panic!("{text}: {read:?}"),
            }
        }
    }

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
        let long = vec![b'a'; TABLE_BYTES + 1];
        let rows = "a\n".repeat(TABLE_ROWS + 1);
        for (bytes, says) in [
            (&b"PK\x03\x04 torn"[..], "what is packed in it is broken or cut short"),
            (b"id,price\n\xff\xfe", "byte 9 is no UTF-8"),
            (OLD_WORKBOOK, "the container of old or password-protected workbooks"),
            (&long, "found 20000001 bytes; allowed are 20000000"),
            (rows.as_bytes(), "found more than 50000 rows; allowed are 50000"),
        ] {
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
