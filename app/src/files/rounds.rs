//! What was written on a round: a phone's waypoints, a table, a spreadsheet.

use super::{FileTrouble, read_whole};
use hillwire_core::log::{Written, written_of_rows, written_of_waypoints};
use hillwire_core::order::quote::{SheetRow, has_prices};
use hillwire_core::plan::{looks_like_xml, read_waypoints};
use hillwire_core::share::read_sheet;
use std::fs;
use std::path::Path;

/// What a table is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TableOf {
    /// What was written on a round.
    Round,
    /// Prices that came back from a supplier.
    Prices,
}

/// Whether a file is called as a table is.
pub fn is_table(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ["csv", "xlsx"].iter().any(|known| ending.eq_ignore_ascii_case(known)))
}

/// What a spreadsheet or a table of a spreadsheet is for, told by its headings; `None` for any other file.
///
/// # Errors
/// [`FileTrouble`] when it cannot be read at all.
pub fn table_of(path: &Path) -> Result<Option<TableOf>, FileTrouble> {
    if !is_table(path) || fs::metadata(path).is_ok_and(|about| about.len() > MOST_BYTES) {
        return Ok(None);
    }
    let Ok(rows) = read_sheet(&read_whole(path)?) else { return Ok(None) };
    let is_round = written_of_rows(&rows).is_ok();
    Ok(if is_round { Some(TableOf::Round) } else { has_prices(&rows).then_some(TableOf::Prices) })
}

/// A file beyond this is no log of a round, bytes.
const MOST_BYTES: u64 = 50_000_000;

/// Readings as a table: what was written, and towards which end of its line each row was read, by the row's number.
pub struct Readings {
    /// The rows.
    pub written: Written,
    /// What stands under `towards`.
    pub towards: Vec<(usize, String)>,
}

/// Reads a table of readings, whatever form it has: told by its content.
///
/// # Errors
/// [`FileTrouble`] that names the file.
pub fn open_readings(path: &Path) -> Result<Readings, FileTrouble> {
    let unusable = |says: String| FileTrouble::NotWritten { file: path.to_owned(), says };
    let rows = read_sheet(&read_whole(path)?).map_err(|trouble| unusable(trouble.to_string()))?;
    let written = written_of_rows(&rows).map_err(|trouble| unusable(trouble.to_string()))?;
    let plain = |cell: &String| cell.trim().to_lowercase();
    let column = rows.iter().find_map(|row| row.cells.iter().position(|cell| plain(cell) == "towards"));
    let said = |row: &SheetRow| Some((row.number, plain(row.cells.get(column?)?)));
    Ok(Readings { towards: rows.iter().filter_map(said).collect(), written })
}

/// Reads it, whatever form it has: told by its content.
///
/// # Errors
/// [`FileTrouble`] that names the file, and the place in it.
pub fn open_written(path: &Path) -> Result<Written, FileTrouble> {
    let unusable = |says: String| FileTrouble::NotWritten { file: path.to_owned(), says };
    if let Ok(about) = fs::metadata(path)
        && about.len() > MOST_BYTES
    {
        let megabytes = about.len() / 1_000_000;
        return Err(unusable(format!(
            "found {megabytes} MB; allowed are {} MB: what was written on a round is far less",
            MOST_BYTES / 1_000_000
        )));
    }
    let bytes = read_whole(path)?;
    if looks_like_xml(&bytes) {
        let waypoints = read_waypoints(&path.display().to_string(), &bytes).map_err(FileTrouble::Plan)?;
        return Ok(written_of_waypoints(waypoints));
    }
    let rows = read_sheet(&bytes).map_err(|trouble| unusable(trouble.to_string()))?;
    written_of_rows(&rows).map_err(|trouble| unusable(trouble.to_string()))
}
