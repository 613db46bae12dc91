//! What was written down on a round by phone or in a table: rows with a place, a time and a text, none of it judged yet.

use super::understood::decimal;
use crate::bounds;
use crate::land::Position;
use crate::order::quote::SheetRow;
use crate::plan::{BadWaypoint, Waypoint};
use jiff::Timestamp;
use jiff::civil::{Date, DateTime};

/// Where a row was written.
#[derive(Clone, Debug, PartialEq)]
pub enum WrittenPlace {
    /// On the globe.
    At(Position),
    /// Along a line, by its id or its name.
    Along {
        /// Id or name.
        line: String,
        /// Metres from its start along the ground.
        station_m: f64,
    },
}

/// One row.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenRow {
    /// Row of the table, or which waypoint of the file it is, from 1.
    pub number: usize,
    /// Where.
    pub place: WrittenPlace,
    /// When, as plans write it; `None` where the row does not say.
    pub time: Option<String>,
    /// What was written.
    pub text: String,
    /// Whether a column of its own says that this is a fault: then a word that is also a place, as `gate`, is one.
    pub is_fault: bool,
    /// Further remarks.
    pub note: Option<String>,
    /// Kilovolts in a column of their own.
    pub kv: Option<f64>,
    /// Amperes.
    pub amp: Option<f64>,
    /// Minutes of mending.
    pub minutes: Option<f64>,
    /// What mending took.
    pub parts: Option<String>,
    /// Whether a column of its own says that it is mended.
    pub mended: Option<MendedOn>,
}

/// What a column about mending says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum MendedOn {
    /// It was, on the day of the row.
    TheSameDay,
    /// It was, on this day, as plans write it.
    Day(String),
}

/// A row that cannot be used, or a part of one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WrittenTrouble {
    /// Row of the table, or which waypoint of the file it is, from 1.
    pub number: usize,
    /// The column, where there are columns.
    pub column: Option<String>,
    /// What stands there.
    pub found: String,
    /// What may stand there.
    pub allowed: String,
}

/// What a file holds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Written {
    /// Rows with a place.
    pub rows: Vec<WrittenRow>,
    /// The others, and what is wrong with them.
    pub troubles: Vec<WrittenTrouble>,
}

/// A table without the columns that are needed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("no row has headings for a place and for what was found; needed are lat and lon, or line and station_m, and what or kv")]
pub struct NoColumns;

/// Longer texts are cut: a note is no novel.
const LONGEST_TEXT: usize = 500;

/// The waypoints of a phone's file.
pub fn written_of_waypoints(waypoints: Vec<Result<Waypoint, BadWaypoint>>) -> Written {
    let mut written = Written::default();
    for waypoint in waypoints {
        match waypoint {
            Err((number, found, allowed)) => {
                written.troubles.push(WrittenTrouble { number, column: None, found, allowed });
            }
            Ok(waypoint) => {
                let time = waypoint.time.as_deref().map(|time| (time, when(time)));
                if let Some((found, None)) = time {
                    let (found, allowed) = (shown(found), WHEN.to_owned());
                    let column = Some("time".to_owned());
                    written.troubles.push(WrittenTrouble { number: waypoint.number, column, found, allowed });
                }
                let texts = [waypoint.name, waypoint.note.clone()];
                let text = texts.into_iter().flatten().find(|text| !text.trim().is_empty()).unwrap_or_default();
                written.rows.push(WrittenRow {
                    number: waypoint.number,
                    place: WrittenPlace::At(waypoint.at),
                    time: time.and_then(|(_, time)| time),
                    note: waypoint.note.map(|note| clean(&note)).filter(|note| !note.is_empty() && *note != clean(&text)),
                    text: clean(&text),
                    is_fault: false,
                    kv: None,
                    amp: None,
                    minutes: None,
                    parts: None,
                    mended: None,
                });
            }
        }
    }
    written
}

/// What a time may look like.
const WHEN: &str = "a day or a time such as 2026-05-03, 2026-05-03T14:20:00Z or 3.5.2026 14:20";

/// A time as plans write it, from the habits of phones and spreadsheets. Without a zone it stays without one. A day with strokes whose month
/// could be its day is not guessed.
pub(super) fn when(written: &str) -> Option<String> {
    let written = written.trim();
    if let Ok(stamp) = written.parse::<Timestamp>() {
        return Some(if written.ends_with(['Z', 'z']) {
            stamp.strftime("%Y-%m-%dT%H:%M:%SZ").to_string()
        } else {
            written.to_owned()
        });
    }
    if let Ok(time) = written.parse::<DateTime>()
        && written.len() > 10
    {
        return Some(time.strftime("%Y-%m-%dT%H:%M:%S").to_string());
    }
    let (day, clock) = written.split_once([' ', 'T']).map_or((written, None), |(day, clock)| (day, Some(clock.trim())));
    let day = day.parse::<Date>().ok().filter(|_| day.len() == 10).or_else(|| parted_day(day))?;
    let Some(clock) = clock.filter(|clock| !clock.is_empty()) else { return Some(day.to_string()) };
    let mut parts = clock.split(':').map(|part| part.parse::<i8>().ok());
    let (hour, minute) = (parts.next()??, parts.next()??);
    let second = parts.next().unwrap_or(Some(0))?;
    let time = day.at(0, 0, 0, 0).with().hour(hour).minute(minute).second(second).build().ok()?;
    Some(time.strftime("%Y-%m-%dT%H:%M:%S").to_string())
}

/// `3.5.2026`, or `25/12/2026` where only one of the two can be the month.
fn parted_day(written: &str) -> Option<Date> {
    let separator = ['.', '/'].into_iter().find(|separator| written.contains(*separator))?;
    let parts: Vec<&str> = written.split(separator).collect();
    let [one, other, year] = parts.as_slice() else { return None };
    let (one, other) = (one.parse::<i8>().ok()?, other.parse::<i8>().ok()?);
    let year = year.parse::<i16>().ok().filter(|_| year.len() == 4)?;
    match separator {
        '.' => Date::new(year, other, one).ok(),
        _ if one > 12 || one == other => Date::new(year, other, one).ok(),
        _ if other > 12 => Date::new(year, one, other).ok(),
        _ => None,
    }
}

/// Without what no eye sees, and not too long.
fn clean(text: &str) -> String {
    let seen: String = text.chars().filter(|c| !c.is_control() && *c != '\u{feff}').collect();
    seen.trim().chars().take(LONGEST_TEXT).collect()
}

/// The beginning of a text, for a message.
pub(super) fn shown(text: &str) -> String {
    bounds::shown(&clean(text))
}

/// The columns of a table, by their headings.
struct Columns {
    place: Placed,
    time: Option<usize>,
    clock: Option<usize>,
    text: Option<usize>,
    kind: Option<usize>,
    note: Option<usize>,
    kv: Option<usize>,
    amp: Option<usize>,
    minutes: Option<usize>,
    parts: Option<usize>,
    mended: Option<usize>,
}

enum Placed {
    Globe { lat: usize, lon: usize },
    Line { line: usize, station: usize },
}

impl Columns {
    fn of(row: &SheetRow) -> Option<Self> {
        let column = |names: &[&str]| {
            let is_one = |cell: &String| names.contains(&clean(cell).to_lowercase().as_str());
            row.cells.iter().position(is_one)
        };
        let globe = column(&["lat", "latitude", "y"]).zip(column(&["lon", "lng", "long", "longitude", "x"]));
        let line = column(&["line", "fence"]).zip(column(&["station_m", "station", "metres", "m"]));
        let place = match (globe, line) {
            (Some((lat, lon)), _) => Placed::Globe { lat, lon },
            (None, Some((line, station))) => Placed::Line { line, station },
            (None, None) => return None,
        };
        let columns = Self {
            place,
            time: column(&["time", "date", "day", "when", "at_time", "seen", "timestamp"]),
            clock: column(&["clock", "hour", "time of day"]),
            text: column(&["what", "name", "text", "found", "fault", "title"]),
            kind: column(&["kind"]),
            note: column(&["note", "notes", "remark", "remarks", "comment", "description", "desc"]),
            kv: column(&["kv", "volts_kv", "voltage", "voltage_kv", "reading"]),
            amp: column(&["amp", "amps", "a", "ampere", "current"]),
            minutes: column(&["minutes", "min"]),
            parts: column(&["parts", "used"]),
            mended: column(&["mended", "repaired", "fixed", "done"]),
        };
        let says = [columns.text, columns.kv, columns.amp, columns.note];
        says.iter().any(Option::is_some).then_some(columns)
    }
}

/// The rows of a table: its first row with headings for a place counts, what stands above it does not.
///
/// # Errors
/// [`NoColumns`].
pub fn written_of_rows(rows: &[SheetRow]) -> Result<Written, NoColumns> {
    let (at, columns) = rows.iter().enumerate().find_map(|(at, row)| Some((at, Columns::of(row)?))).ok_or(NoColumns)?;
    let mut written = Written::default();
    for row in &rows[at + 1..] {
        if row.cells.iter().all(|cell| clean(cell).is_empty()) {
            continue;
        }
        match one(row, &columns, &mut written.troubles) {
            Ok(row) => written.rows.push(row),
            Err(trouble) => written.troubles.push(trouble),
        }
    }
    Ok(written)
}

/// A row; what is wrong with its lesser cells goes to the troubles.
fn one(row: &SheetRow, columns: &Columns, troubles: &mut Vec<WrittenTrouble>) -> Result<WrittenRow, WrittenTrouble> {
    let cell = |index: usize| row.cells.get(index).map(|cell| clean(cell)).unwrap_or_default();
    let maybe = |index: Option<usize>| index.map(cell).filter(|cell| !cell.is_empty());
    let wrong = |column: &str, found: &str, allowed: &str| WrittenTrouble {
        number: row.number,
        column: Some(column.to_owned()),
        found: if found.is_empty() { "nothing".to_owned() } else { shown(found) },
        allowed: allowed.to_owned(),
    };
    let within = |index: usize, column: &str, most: f64| {
        let found = cell(index);
        let number = decimal(&found).filter(|number| number.abs() <= most);
        number.ok_or_else(|| wrong(column, &found, &format!("a number of degrees from -{most} to {most}")))
    };
    let place = match columns.place {
        Placed::Globe { lat, lon } => {
            WrittenPlace::At(Position::from_degrees(within(lon, "lon", 180.0)?, within(lat, "lat", 90.0)?))
        }
        Placed::Line { line, station } => {
            let found = cell(station);
            let station_m = decimal(&found).filter(|metres| (0.0..1e6).contains(metres));
            let station_m = station_m.ok_or_else(|| wrong("station_m", &found, "metres from the line's start"))?;
            WrittenPlace::Along { line: cell(line), station_m }
        }
    };
    let mut number = |index: Option<usize>, column: &str, most: f64, allowed: &str| {
        let found = maybe(index)?;
        let value = decimal(&found).filter(|value| (0.0..=most).contains(value));
        if value.is_none() {
            troubles.push(wrong(column, &found, allowed));
        }
        value
    };
    let kv = number(columns.kv, "kv", 20_000.0, "kilovolts from 0 to 100, or volts from 100 to 20000, as 5.2 or 5200");
    let kv = kv.map(|value| if value > 100.0 { value / 1000.0 } else { value });
    let amp = number(columns.amp, "amp", 1000.0, "a number from 0 to 1000");
    let minutes = number(columns.minutes, "minutes", 1e5, "a number from 0 to 100000");
    let written = maybe(columns.time).map(|day| maybe(columns.clock).map_or(day.clone(), |clock| format!("{day} {clock}")));
    let time = written.as_deref().and_then(when);
    if let (Some(found), None) = (&written, &time) {
        troubles.push(wrong("time", found, WHEN));
    }
    let mended = maybe(columns.mended).and_then(|found| {
        let said = mended_on(&found);
        if said.is_none() {
            troubles.push(wrong("mended", &found, &format!("yes, no, or {WHEN}")));
        }
        said.flatten()
    });
    let (text, note) = (maybe(columns.text), maybe(columns.note));
    let number = row.number;
    let is_note_left = text.is_some();
    let text = text.or_else(|| note.clone()).unwrap_or_default();
    Ok(WrittenRow {
        number,
        place,
        time,
        text,
        is_fault: maybe(columns.kind).is_some_and(|kind| kind.eq_ignore_ascii_case("fault")),
        note: note.filter(|_| is_note_left),
        kv,
        amp,
        minutes,
        parts: maybe(columns.parts),
        mended,
    })
}

/// What is said about mending: `yes`, `no`, or when. `None` for what says nothing of the sort.
fn mended_on(said: &str) -> Option<Option<MendedOn>> {
    match said.to_lowercase().as_str() {
        "yes" | "y" | "x" | "true" | "1" | "done" | "mended" | "ok" => Some(Some(MendedOn::TheSameDay)),
        "no" | "n" | "-" | "–" | "false" | "0" | "not yet" => Some(None),
        _ => when(said).map(|day| Some(MendedOn::Day(day))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(text: &str) -> Vec<SheetRow> {
        let cells = |line: &str| line.split(';').map(str::to_owned).collect();
        text.lines().enumerate().map(|(index, line)| SheetRow { number: index + 1, cells: cells(line) }).collect()
    }

    #[test]
    fn times_of_any_habit_are_times_and_what_could_be_two_days_is_none() {
        for (written, time) in [
            ("2026-05-03", Some("2026-05-03")),
            ("2026-05-03T14:20:00Z", Some("2026-05-03T14:20:00Z")),
            ("2026-05-03T14:20:00.500Z", Some("2026-05-03T14:20:00Z")),
            ("2026-05-03T14:20:00+02:00", Some("2026-05-03T14:20:00+02:00")),
            ("2026-05-03 14:20", Some("2026-05-03T14:20:00")),
            ("2026-05-03 14:20:05", Some("2026-05-03T14:20:05")),
            ("3.5.2026", Some("2026-05-03")),
            ("3.5.2026 14:20", Some("2026-05-03T14:20:00")),
            ("25/12/2026", Some("2026-12-25")),
            ("12/25/2026", Some("2026-12-25")),
            ("05/05/2026", Some("2026-05-05")),
            ("03/05/2026", None),
            ("2026-13-01", None),
            ("30.2.2026", None),
            ("yesterday", None),
            ("3.5.26", None),
            ("2026-05-03 25:00", None),
            ("", None),
        ] {
            assert_eq!(when(written).as_deref(), time, "{written}");
        }
    }

    #[test]
    fn a_table_of_any_habit_gives_its_rows_and_names_what_is_wrong_with_its_place() {
        let text = "Round of May\n\u{feff}Lat;LON;When;What;kV;note\n56,6;-3,81;3.5.2026;branch;;by the\u{0} oak\n;;;;;\n91;-3.8;;x;;\n56.6;;;x;;\n\
            56.6;-3.8;03/05/2026;5.2 kV;;\n56.6;-3.8;;;4800;\n56.6;-3.8;;;much;";
        let written = written_of_rows(&rows(text)).expect("it has columns");
        let read: Vec<(usize, &str, Option<&str>, Option<f64>)> =
            written.rows.iter().map(|row| (row.number, row.text.as_str(), row.time.as_deref(), row.kv)).collect();
        let expected =
            [(3, "branch", Some("2026-05-03"), None), (7, "5.2 kV", None, None), (8, "", None, Some(4.8)), (9, "", None, None)];
        assert_eq!(read, expected);
        assert_eq!(written.rows[0].note.as_deref(), Some("by the oak"));
        assert_eq!(written.rows[0].place, WrittenPlace::At(Position::from_degrees(-3.81, 56.6)));
        let troubles: Vec<(usize, &str, &str)> =
            written.troubles.iter().map(|row| (row.number, row.column.as_deref().unwrap_or(""), row.found.as_str())).collect();
        assert_eq!(troubles, [(5, "lat", "91"), (6, "lon", "nothing"), (7, "time", "03/05/2026"), (9, "kv", "much")]);
    }

    #[test]
    fn a_table_by_line_and_station_is_read_and_one_without_columns_refused() {
        let written = written_of_rows(&rows("line;station_m;kv;time\nNorth;12,5;5.1;2026-05-03\nNorth;-1;5;")).expect("columns");
        assert_eq!(written.rows[0].place, WrittenPlace::Along { line: "North".to_owned(), station_m: 12.5 });
        assert_eq!((written.rows.len(), written.troubles.len()), (1, 1));
        for text in ["", "a;b\n1;2", "lat;what\n1;x", "lat;lon\n1;2"] {
            assert_eq!(written_of_rows(&rows(text)), Err(NoColumns), "{text}");
        }
    }

    proptest::proptest! {
        #[test]
        fn no_cells_bring_it_down(cells in proptest::collection::vec(proptest::collection::vec(".{0,12}", 0..7), 0..8)) {
            let head = SheetRow { number: 1, cells: ["lat", "lon", "when", "what", "kv", "minutes"].map(str::to_owned).to_vec() };
            let body = cells.into_iter().enumerate().map(|(index, cells)| SheetRow { number: index + 2, cells });
            let rows: Vec<SheetRow> = std::iter::once(head).chain(body).collect();
            let written = written_of_rows(&rows).expect("headings");
            proptest::prop_assert!(written.rows.len() <= rows.len());
        }
    }

    #[test]
    fn a_column_about_mending_says_whether_and_when() {
        let text = "lat;lon;what;mended\n1;1;branch;yes\n1;1;branch;2026-05-04\n1;1;branch;no\n1;1;branch;\n1;1;branch;perhaps\n1;1;branch;4.5.2026";
        let written = written_of_rows(&rows(text)).expect("it has columns");
        let mended: Vec<Option<MendedOn>> = written.rows.into_iter().map(|row| row.mended).collect();
        let day = || Some(MendedOn::Day("2026-05-04".to_owned()));
        assert_eq!(mended, [Some(MendedOn::TheSameDay), day(), None, None, None, day()]);
        let troubles: Vec<(usize, &str)> = written.troubles.iter().map(|row| (row.number, row.found.as_str())).collect();
        assert_eq!(troubles, [(6, "perhaps")]);
    }
}
