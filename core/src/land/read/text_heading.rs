//! The heading of a text grid: how many cells, how wide, where.

use super::number::{number_at, word_at};
use super::{GridError, cells};

/// A heading, understood.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Heading {
    pub(super) columns: usize,
    pub(super) rows: usize,
    /// Centre of the north-western cell.
    pub(super) first_centre: (f64, f64),
    /// Width and height of a cell.
    pub(super) cell: (f64, f64),
    /// The number that means void.
    pub(super) void: Option<f64>,
    /// Bytes that the heading takes.
    pub(super) length: usize,
}

/// The words of the heading; two words in one row are two ways to say it.
const COLUMNS: &str = "ncols";
const ROWS: &str = "nrows";
const WEST: &str = "xllcorner or xllcenter";
const SOUTH: &str = "yllcorner or yllcenter";
const CELL: &str = "cellsize";
const CELL_WIDTH: &str = "dx";
const CELL_HEIGHT: &str = "dy";
const VOID: &str = "NODATA_value";

/// A key as it may be written (lower case), what we call it, and whether it speaks of the middle of the corner cell.
const KEYS: [(&str, &str, bool); 13] = [
    ("ncols", COLUMNS, false),
    ("nrows", ROWS, false),
    ("xllcorner", WEST, false),
    ("xllcenter", WEST, true),
    ("xllcentre", WEST, true),
    ("yllcorner", SOUTH, false),
    ("yllcenter", SOUTH, true),
    ("yllcentre", SOUTH, true),
    ("cellsize", CELL, false),
    ("dx", CELL_WIDTH, false),
    ("dy", CELL_HEIGHT, false),
    ("nodata_value", VOID, false),
    ("nodata", VOID, false),
];

struct Entry {
    key: &'static str,
    centre: bool,
    number: f64,
    line: u64,
}

/// Reads the heading at the start of `text`.
///
/// # Errors
/// What is missing, twice, unknown or out of range, with its line.
pub(super) fn parse(text: &[u8]) -> Result<Heading, GridError> {
    let (entries, length) = entries(text)?;
    let find = |key| entries.iter().find(|entry| entry.key == key);
    let need = |key| find(key).ok_or(GridError::HeadingMissing { key });
    let columns = count(need(COLUMNS)?)?;
    let rows = count(need(ROWS)?)?;
    cells(columns, rows)?;
    let cell = match (find(CELL), find(CELL_WIDTH), find(CELL_HEIGHT)) {
        (Some(cell), _, _) => (width(cell)?, width(cell)?),
        (None, Some(dx), Some(dy)) => (width(dx)?, width(dy)?),
        (None, None, None) => return Err(GridError::HeadingMissing { key: CELL }),
        (None, None, _) => return Err(GridError::HeadingMissing { key: CELL_WIDTH }),
        (None, _, None) => return Err(GridError::HeadingMissing { key: CELL_HEIGHT }),
    };
    let (west, south) = (finite(need(WEST)?)?, finite(need(SOUTH)?)?);
    let centre = |entry: &Entry, size: f64| if entry.centre { entry.number } else { entry.number + size / 2.0 };
    let first_centre = (centre(west, cell.0), centre(south, cell.1) + cell.1 * (rows - 1) as f64);
    let void = find(VOID).map(|entry| entry.number);
    // Both fit: their product is at most MOST_CELLS.
    Ok(Heading { columns: columns as usize, rows: rows as usize, first_centre, cell, void, length })
}

/// Keys with their numbers, up to the first word that begins a number, and the bytes before that.
fn entries(text: &[u8]) -> Result<(Vec<Entry>, usize), GridError> {
    let mut words = Words { text, at: if text.starts_with(b"\xef\xbb\xbf") { 3 } else { 0 }, line: 1 };
    let mut entries: Vec<Entry> = Vec::new();
    loop {
        words.skip_blanks();
        let word = word_at(&text[words.at..]);
        if word.is_empty() || number_at(word).is_some() {
            return Ok((entries, words.at));
        }
        let line = words.line;
        let lower = String::from_utf8_lossy(word).to_ascii_lowercase();
        let Some((_, key, centre)) = KEYS.iter().find(|(name, _, _)| *name == lower) else {
            return Err(GridError::HeadingWord { line, found: shortened(word) });
        };
        if entries.iter().any(|entry| entry.key == *key) {
            return Err(GridError::HeadingTwice { line, key });
        }
        words.at += word.len();
        words.skip_blanks();
        let value = word_at(&text[words.at..]);
        let number = number_at(value).filter(|(_, length)| *length == value.len());
        let Some((number, _)) = number else {
            return Err(GridError::HeadingValue {
                line: words.line,
                key,
                found: shortened(value),
                allowed: "a number, with a point",
            });
        };
        words.at += value.len();
        entries.push(Entry { key, centre: *centre, number, line });
    }
}

struct Words<'t> {
    text: &'t [u8],
    at: usize,
    line: u64,
}

impl Words<'_> {
    fn skip_blanks(&mut self) {
        while let Some(byte) = self.text.get(self.at).filter(|byte| byte.is_ascii_whitespace()) {
            self.line += u64::from(*byte == b'\n');
            self.at += 1;
        }
    }
}

fn count(entry: &Entry) -> Result<u64, GridError> {
    let whole = entry.number.fract() == 0.0 && (1.0..=1e15).contains(&entry.number);
    if whole { Ok(entry.number as u64) } else { Err(out_of_range(entry, "a whole number from 1 on")) }
}

fn width(entry: &Entry) -> Result<f64, GridError> {
    if entry.number.is_normal() && entry.number > 0.0 { Ok(entry.number) } else { Err(out_of_range(entry, "a number above 0")) }
}

fn finite(entry: &Entry) -> Result<&Entry, GridError> {
    if entry.number.is_finite() { Ok(entry) } else { Err(out_of_range(entry, "a coordinate")) }
}

fn out_of_range(entry: &Entry, allowed: &'static str) -> GridError {
    GridError::HeadingValue { line: entry.line, key: entry.key, found: shortened(entry.number.to_string().as_bytes()), allowed }
}

/// As much of a word as a message can show.
pub(super) fn shortened(word: &[u8]) -> String {
    const MOST: usize = 40;
    let word = String::from_utf8_lossy(word);
    if word.chars().count() <= MOST { word.into_owned() } else { word.chars().take(MOST).chain("...".chars()).collect() }
}
