//! What the stage Round shows of the log: the log as the worker read it, how its table is sorted, which year and which place are looked at,
//! and what was written on a round and is not taken in yet.

use crate::clock::today;
use crate::files::open_written;
use crate::session::{Selection, Session, Sheet, Stage};
use crate::words;
use hillwire_core::catalogue::InUse;
use hillwire_core::land::MapPoint;
use hillwire_core::log::{Entry, Found, FoundAs, Log, LogFrom, Taken, edits_of, judge};
use hillwire_core::outcome::Outcome;
use hillwire_core::plan::{Feature, Gesture, Kind, Plan};
use jiff::civil::Date;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What lies under the map on the stage.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Below {
    /// The long section, as on every stage.
    #[default]
    Section,
    /// The log as a table.
    Entries,
    /// Readings of a place over time.
    Readings,
    /// Faults by month.
    Months,
    /// The weeks of the years.
    Weeks,
}

impl Below {
    /// All of them, with what each is called.
    pub const ALL: [(Self, &'static str, &'static str); 5] = [
        (Self::Section, "Long section", "Ground, posts and strands along the chosen line"),
        (Self::Entries, "Log", "Everything that was written down, to be sorted and found again on the map"),
        (Self::Readings, "Readings", "What a place read over time, and what a sound fence would read there"),
        (Self::Months, "Faults by month", "In which months what fails"),
        (Self::Weeks, "Weeks", "Which weeks were gone round, year by year"),
    ];
}

/// By what the table is sorted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum SortBy {
    /// When it was.
    #[default]
    When,
    /// What it says: faults by their kind, then readings, the lowest first.
    What,
    /// Along which line, and where.
    Where,
    /// How much of what was expected.
    Expected,
}

/// What the stage shows of the log.
#[derive(Default)]
pub struct LogView {
    /// What lies under the map.
    pub below: Below,
    /// By what the table is sorted.
    pub sort: SortBy,
    /// Whether it is turned round.
    pub is_turned: bool,
    /// The year whose entries the map shows; the last one of the log without a choice.
    pub year: Option<i16>,
    /// The place whose readings are drawn.
    pub place: usize,
    /// The kind of fault that is counted by month; all of them without a choice.
    pub kind: Option<String>,
    /// The log as it was read last, with the revision of the plan.
    pub read: Option<Arc<ReadLog>>,
    /// What was written on a round and is not taken in yet.
    pub written: Option<WrittenRound>,
    /// Entries in the order of the table.
    pub order: Vec<usize>,
    /// Year and last day of the entries of the plan, to tell which the map shows.
    pub(crate) shown: Shown,
    /// What it was read from last: the revision of the plan, the generation of the ground.
    pub(crate) asked: Option<(u64, u64)>,
}

/// The days of a plan's entries.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Shown {
    of_revision: Option<(u64, u64)>,
    last_day: String,
}

/// A log with the revision that it belongs to.
pub struct ReadLog {
    /// The revision of the plan.
    pub revision: u64,
    /// The log.
    pub log: Log,
    /// What it teaches, in words.
    pub teaches: Vec<words::log::Teaching>,
}

/// What was written on a round, and what shall become of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WrittenRound {
    /// What was found in the file.
    pub found: Vec<Found>,
    /// What shall become of each.
    pub taken: Vec<Taken>,
    /// What cannot be used, in words.
    pub troubles: Vec<String>,
}

impl WrittenRound {
    fn add(&mut self, more: Self) {
        self.found.extend(more.found);
        self.taken.extend(more.taken);
        self.troubles.extend(more.troubles);
    }
}

/// Everything that reading the log needs.
pub struct LogRequest {
    /// The plan.
    pub plan: Plan,
    /// What follows from it.
    pub outcome: Arc<Outcome>,
    /// The catalogue's rows in use.
    pub rows: InUse,
    /// The day.
    pub on: Date,
}

impl LogRequest {
    fn from(&self) -> LogFrom<'_> {
        LogFrom { plan: &self.plan, outcome: &self.outcome, catalogue: self.rows.rows(), on: self.on }
    }
    /// Reads the log.
    pub fn read(&self) -> ReadLog {
        let log = Log::of(&self.from());
        let teaches = words::log::teaches(&log, &self.plan, self.plan.head.units);
        ReadLog { revision: self.outcome.revision, log, teaches }
    }
    /// Reads what was written on a round, and holds it against the plan.
    ///
    /// # Errors
    /// One sentence that names the file.
    pub fn written(&self, path: &Path) -> Result<WrittenRound, String> {
        let written = open_written(path).map_err(|trouble| trouble.to_string())?;
        let (found, far) = judge(&self.from(), &written.rows);
        let taken = found.iter().map(Found::usual).collect();
        let troubles = written.troubles.iter().chain(&far).map(words::log::trouble).collect();
        Ok(WrittenRound { found, taken, troubles })
    }
}

/// What can be asked of the log.
#[derive(Clone, Debug, PartialEq)]
pub enum LogAsk {
    /// Show this under the map.
    Below(Below),
    /// Sort the table by this; asked again, turn it round.
    Sort(SortBy),
    /// Show the entries of this year on the map.
    Year(i16),
    /// Draw the readings of this place.
    Place(usize),
    /// Count this kind of fault by month; or all.
    Kind(Option<String>),
    /// Choose an entry and bring it into view.
    Show(usize),
    /// Bring a place of a line into view.
    At(MapPoint),
    /// Ask for what was written on a round.
    AskForRound,
    /// Read it.
    Read(PathBuf),
    /// Say what becomes of one row of it.
    Say(usize, Taken),
    /// Take it into the plan.
    TakeIn,
}

impl LogView {
    /// The log, as far as it was read.
    pub fn log(&self) -> Option<&Log> {
        self.read.as_deref().map(|read| &read.log)
    }

    /// The year whose entries the map shows.
    pub fn year_shown(&self) -> Option<i16> {
        self.year.or_else(|| self.shown.last_day.get(..4)?.parse().ok())
    }

    fn sorted(&self) -> Vec<usize> {
        let Some(log) = self.log() else { return Vec::new() };
        let mut order: Vec<usize> = (0..log.entries.len()).rev().collect();
        let entry = |index: &usize| &log.entries[*index];
        match self.sort {
            SortBy::When => {}
            SortBy::What => order.sort_by(|one, other| what_key(entry(one)).cmp(&what_key(entry(other)))),
            SortBy::Where => order.sort_by(|one, other| where_key(entry(one)).cmp(&where_key(entry(other)))),
            SortBy::Expected => order.sort_by(|one, other| share_of(entry(one)).total_cmp(&share_of(entry(other)))),
        }
        if self.is_turned {
            order.reverse();
        }
        order
    }
}

/// Faults by their word, then readings by their value in volts, then photos.
fn what_key(entry: &Entry) -> (u8, &str, i64) {
    match entry.fault_word() {
        Some(word) => (0, word, 0),
        None => match entry.kv() {
            Some(kv) => (1, "", (kv * 1000.0) as i64),
            None => (2, "", 0),
        },
    }
}

/// The line, and centimetres along it; what stands on none comes last.
fn where_key(entry: &Entry) -> (bool, &str, i64) {
    match entry.on() {
        Some(on) => (false, on.line.as_str(), (on.station.as_metres() * 100.0) as i64),
        None => (true, "", 0),
    }
}

/// A reading as a share of what was expected; infinite where nothing was.
fn share_of(entry: &Entry) -> f64 {
    entry.kv().zip(entry.expected).map_or(f64::INFINITY, |(kv, expected)| kv / expected.low_kv)
}

impl Session {
    fn log_request(&self) -> LogRequest {
        LogRequest { plan: self.plan().clone(), outcome: Arc::clone(&self.outcome), rows: self.rows.clone(), on: today() }
    }

    /// Has the log read when the stage is open and what follows from the plan is known. Once per frame.
    pub(crate) fn follow_log(&mut self) {
        let now = (self.opened, self.history.revision());
        if self.log_view.shown.of_revision != Some(now) {
            let days = self.history.plan().features.iter().filter_map(|feature| day_written(&feature.kind));
            let last_day = days.max().unwrap_or_default().to_owned();
            self.log_view.shown = Shown { of_revision: Some(now), last_day };
        }
        // It is read again when the ground has come: places along a line are lengths on it.
        let due = self.outcome_of.filter(|_| self.is_settled() && self.outcome.frame.is_some());
        if self.stage == Stage::Round && due.is_some() && self.log_view.asked != due && !self.history.is_open() {
            self.log_view.asked = due;
            self.worker.request_log(self.log_request());
        }
    }

    /// Takes a log in that was read.
    pub(crate) fn take_log(&mut self, read: ReadLog) {
        self.log_view.read = Some(Arc::new(read));
        self.log_view.order = self.log_view.sorted();
    }

    /// Shows what was written on a round, and asks what is not understood.
    pub(crate) fn take_written(&mut self, written: WrittenRound) {
        if written.found.is_empty() && written.troubles.is_empty() {
            self.notices.push("There is nothing in that file that was written on a round.".to_owned());
            return;
        }
        match &mut self.log_view.written {
            // What was read before and waits for its answers keeps them.
            Some(waiting) => waiting.add(written),
            None => self.log_view.written = Some(written),
        }
        self.put_up(Sheet::Written);
    }

    /// Whether the map shows an entry of the log: on the stage Round those of one year, elsewhere what still counts.
    pub fn shows_entry(&self, feature: &Feature) -> bool {
        if !feature.kind.is_log_entry() || self.selection.has(&feature.id) {
            return true;
        }
        let year = day_written(&feature.kind).and_then(|day| day.get(..4)?.parse().ok());
        self.is_current(feature) || (self.stage == Stage::Round && year == self.log_view.year_shown())
    }

    /// Whether an entry still counts: a fault that stands, something of the last day, something without a day.
    pub fn is_current(&self, feature: &Feature) -> bool {
        let stands = matches!(&feature.kind, Kind::Fault(fault) if fault.is_active());
        stands || day_written(&feature.kind).is_none_or(|day| day == self.log_view.shown.last_day)
    }

    /// Does what was asked of the log.
    pub fn perform_log(&mut self, ask: LogAsk) {
        match ask {
            LogAsk::Below(below) => self.log_view.below = below,
            LogAsk::Sort(by) => {
                self.log_view.is_turned = self.log_view.sort == by && !self.log_view.is_turned;
                self.log_view.sort = by;
                self.log_view.order = self.log_view.sorted();
            }
            LogAsk::Year(year) => self.log_view.year = Some(year),
            LogAsk::Place(place) => self.log_view.place = place,
            LogAsk::Kind(kind) => self.log_view.kind = kind,
            LogAsk::Show(index) => self.show_entry(index),
            LogAsk::At(at) => {
                self.view.centre = at;
                self.view.metres_per_point = self.view.metres_per_point.min(0.6);
            }
            LogAsk::AskForRound => {}
            LogAsk::Read(path) => self.worker.request_written(self.log_request(), path),
            LogAsk::Say(index, taken) => {
                if let Some(said) = self.log_view.written.as_mut().and_then(|written| written.taken.get_mut(index)) {
                    *said = taken;
                }
            }
            LogAsk::TakeIn => self.take_round_in(),
        }
    }

    fn show_entry(&mut self, index: usize) {
        let Some(entry) = self.log_view.log().and_then(|log| log.entries.get(index)) else { return };
        let (id, at, year) = (entry.id.clone(), entry.at_map, entry.day.map(|day| day.year()));
        if let Some(at) = at {
            self.view.centre = at;
            self.view.metres_per_point = self.view.metres_per_point.min(0.6);
        }
        self.log_view.year = year.or(self.log_view.year);
        self.selection = Selection::of(id);
    }

    fn take_round_in(&mut self) {
        let Some(written) = self.log_view.written.take() else { return };
        let edits = edits_of(self.plan(), written.found.iter().zip(&written.taken));
        let count = edits.len();
        if count > 0 {
            self.change(Gesture::Imported { count }, &edits);
        }
        self.close_sheet();
    }
}

/// The day on which an entry was written down, as the plan has it.
fn day_written(kind: &Kind) -> Option<&str> {
    let time = match kind {
        Kind::Reading(reading) => reading.at_time.as_deref(),
        Kind::Fault(fault) => fault.seen.as_deref(),
        Kind::Photo(photo) => photo.at_time.as_deref(),
        _ => None,
    };
    time?.get(..10)
}

/// Whether a row still has to be said something about.
pub fn is_asked(found: &Found) -> bool {
    found.found == FoundAs::Unclear
}
