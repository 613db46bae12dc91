//! Readings of a round as a table, for `hillwire locate`: any table that `hillwire import --log` reads too, with places along lines.

use super::answer::Stop;
use super::opened::Opened;
use crate::files::open_readings;
use crate::words;
use hillwire_core::bounds::shown;
use hillwire_core::log::{WrittenPlace, WrittenRow};
use hillwire_core::power::Read;
use hillwire_core::units::Length;
use std::path::Path;

/// The readings of a table, and what is worth saying about it.
///
/// # Errors
/// Names the file, and the row where one cannot be used.
pub fn readings(path: &Path, opened: &Opened) -> Result<(Vec<Read>, Vec<String>), Stop> {
    let named = |says: String| format!("{}: {says}", path.display());
    let table = open_readings(path)?;
    let is_ours = |column: &Option<String>| column.as_deref().is_none_or(|column| column != "time" && column != "mended");
    if let Some(trouble) = table.written.troubles.iter().find(|trouble| is_ours(&trouble.column)) {
        return Err(Stop::unusable(named(words::log::trouble(trouble))));
    }
    let has_reading = |row: &&WrittenRow| row.kv.is_some() || row.amp.is_some();
    let rows: Vec<&WrittenRow> = table.written.rows.iter().filter(has_reading).collect();
    let without = table.written.rows.len() - rows.len();
    if rows.is_empty() {
        let found = if without == 0 { "a heading and nothing below it" } else { "no row with a voltage or a current" };
        return Err(Stop::unusable(named(format!("found {found}; allowed is one reading a row, under line, station_m and kv"))));
    }
    let read = |row: &WrittenRow| {
        let wrong = |why: String| Stop::unusable(named(format!("row {}: {why}", row.number)));
        let towards = table.towards.iter().find(|(number, _)| *number == row.number).map_or("", |(_, said)| said);
        reading(row, towards, opened).map_err(wrong)
    };
    let reads = rows.into_iter().map(read).collect::<Result<_, _>>()?;
    let left_out = match without {
        0 => None,
        1 => Some("one row without a voltage or a current is left out".to_owned()),
        more => Some(format!("{more} rows without a voltage or a current are left out")),
    };
    Ok((reads, left_out.map(named).into_iter().collect()))
}

fn reading(row: &WrittenRow, towards: &str, opened: &Opened) -> Result<Read, String> {
    let WrittenPlace::Along { line: called, station_m } = &row.place else {
        return Err("it has a place on the globe; allowed is a place along a line, under line and station_m".to_owned());
    };
    let lines = &opened.outcome.lines;
    let by_id = lines.iter().find(|line| line.id.as_str() == called);
    let Some(line) = by_id.or_else(|| lines.iter().find(|line| opened.name(&line.id) == *called)) else {
        let known: Vec<&str> = lines.iter().map(|line| line.id.as_str()).collect();
        let has = beginning_of_list(&known);
        return Err(format!("there is no line {:?}; the plan has {has}", shown(called)));
    };
    let length_m = line.measure.ground_length.as_metres();
    if !(0.0..=length_m + 0.5).contains(station_m) {
        return Err(format!("station {station_m} m is not on line {:?}, which is {length_m:.1} m long", shown(called)));
    }
    let towards_end = match towards {
        "" => None,
        "end" => Some(true),
        "start" => Some(false),
        other => return Err(format!("towards is {:?}; it is end or start, of the line", shown(other))),
    };
    let station = Length::metres(station_m.min(length_m));
    Ok(Read { line: line.id.clone(), station, volt: row.kv.map(|kv| kv * 1e3), ampere: row.amp, towards_end })
}

/// As many of the names as a message can show.
pub(super) fn beginning_of_list(names: &[&str]) -> String {
    const MOST: usize = 12;
    let shown: Vec<String> = names.iter().take(MOST).map(|name| shown(name)).collect();
    let more = if names.len() > MOST { format!(" and {} more", names.len() - MOST) } else { String::new() };
    shown.join(", ") + &more
}
