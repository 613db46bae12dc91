//! Tables of comma-separated values, as of RFC 4180: written so that no spreadsheet takes a text for a formula, and read back as they were.

use super::cleaned::cleaned;

/// A table under its headings.
pub struct CsvTable {
    writer: csv::Writer<Vec<u8>>,
}

impl CsvTable {
    /// A table with these headings and no row yet.
    pub fn new<'a>(headings: impl IntoIterator<Item = &'a str>) -> Self {
        let writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
        let mut table = Self { writer };
        table.row(headings);
        table
    }

    /// One more row, with as many cells as there are headings.
    pub fn row<S: AsRef<str>>(&mut self, cells: impl IntoIterator<Item = S>) {
        let cells: Vec<String> = cells.into_iter().map(|cell| guarded(cell.as_ref())).collect();
        self.writer.write_record(&cells).expect("rows of one length go into memory");
    }

    /// The text.
    pub fn into_bytes(self) -> Vec<u8> {
        self.writer.into_inner().expect("writing to memory does not fail")
    }
}

/// A text as it may stand in a cell. A spreadsheet takes text that begins like a formula for one, and names come from files that anybody may
/// have written: such a text gets an apostrophe in front, which spreadsheets and [`unguarded`] take for no part of it.
fn guarded(text: &str) -> String {
    let text = cleaned(text);
    if is_risky(&text) { format!("'{text}") } else { text }
}

/// The text of a cell as it was before it was guarded.
pub(super) fn unguarded(cell: &str) -> &str {
    cell.strip_prefix('\'').filter(|rest| is_risky(rest)).unwrap_or(cell)
}

/// Whether a spreadsheet might take a text for a formula. One with apostrophes in front counts as the text behind them, so that
/// [`unguarded`] gives back all that is guarded as it was.
fn is_risky(text: &str) -> bool {
    let bare = text.trim_start_matches('\'');
    let begins = bare.trim_start_matches(|sign: char| sign.is_whitespace() || sign.is_control() || sign == '\'');
    let is_formula = begins.starts_with(['=', '+', '-', '@', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}']);
    (is_formula && !is_number(text)) || bare.starts_with(['\t', '\r', '\n'])
}

/// A number with its sign is one, and no formula.
fn is_number(text: &str) -> bool {
    let is_part = |sign: char| sign.is_ascii_digit() || matches!(sign, '+' | '-' | '.' | 'e' | 'E');
    text.chars().all(is_part) && text.parse::<f64>().is_ok()
}

#[cfg(test)]
mod tests {
    use super::super::read_sheet;
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_begins_like_a_formula_is_guarded_and_numbers_are_not() {
        for (text, cell) in [
            ("=1+1", "'=1+1"),
            ("=HYPERLINK(\"http://example.invalid\")", "'=HYPERLINK(\"http://example.invalid\")"),
            ("+44 1234", "'+44 1234"),
            ("-a", "'-a"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("\t=1", "'\t=1"),
            (" =1", "' =1"),
            ("\u{ff1d}1", "'\u{ff1d}1"),
            ("'=1", "''=1"),
            ("-inf", "'-inf"),
            ("-3.5", "-3.5"),
            ("+5", "+5"),
            ("-1e-3", "-1e-3"),
            ("1-2", "1-2"),
            ("a=b", "a=b"),
            ("'tis", "'tis"),
            ("", ""),
        ] {
            assert_eq!(guarded(text), cell, "{text}");
            assert_eq!(unguarded(&guarded(text)), text);
        }
    }

    #[test]
    fn no_cell_holds_a_bare_carriage_return_or_what_no_eye_sees() {
        let mut table = CsvTable::new(["one"]);
        table.row(["a\rb\u{202e}\u{200b}\u{9b}c\r\nd"]);
        assert_eq!(String::from_utf8(table.into_bytes()).expect("UTF-8"), "one\r\n\"a\nbc\nd\"\r\n");
    }

    proptest! {
        #[test]
        fn what_is_written_reads_back_as_it_was(
            // Without semicolons and tabs: by these a reader tells another habit of tables.
            rows in prop::collection::vec(prop::collection::vec("['=+@a\\- 1,\"\u{ff1d}]{0,6}", 2), 1..6)
        ) {
            let mut table = CsvTable::new(["one", "two"]);
            rows.iter().for_each(|row| table.row(row));
            let read = read_sheet(&table.into_bytes()).expect("a table");
            let cells: Vec<Vec<String>> = read.into_iter().skip(1).map(|row| row.cells).collect();
            prop_assert_eq!(cells, rows);
        }
    }
}
