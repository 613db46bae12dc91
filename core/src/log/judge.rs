//! What was written on a round, held against the plan: what each row becomes, and what has to be asked.

use super::LogFrom;
use super::entry::day_of;
use super::understood::{Meaning, likely_kv, understand};
use super::written::{MendedOn, WrittenPlace, WrittenRow, WrittenTrouble, shown};
use crate::land::{Frame, MapPoint, Position};
use crate::plan::{
    ENTRY_REACH_M, Edit, EntryLine, Fault, Feature, FeatureId, FreshIds, Geometry, Kind, Network, Photo, Plan, Reading,
};
use crate::units::Length;
use jiff::civil::Date;
use std::collections::{HashMap, HashSet};

/// Farther from every line than this is another holding, metres (`common-practice`).
const FARTHEST_M: f64 = 10_000.0;
/// Two entries of one time and value within so much of each other are one, metres.
const SAME_M: f64 = 3.0;

/// What a row becomes.
#[derive(Clone, Debug, PartialEq)]
pub enum FoundAs {
    /// Entries of the log; a reading and a fault may stand in one row.
    Entries(Vec<Kind>),
    /// A fault of the plan that is mended from this day on.
    Mended {
        /// The fault.
        id: FeatureId,
        /// When.
        time: String,
    },
    /// Somebody has to say.
    Unclear,
}

/// What shall become of a row.
#[derive(Clone, Debug, PartialEq)]
pub enum Taken {
    /// As it was understood, or as somebody said.
    As(FoundAs),
    /// A mark with its text.
    Mark,
    /// Nothing.
    Leave,
}

/// One row, judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// Row of the table, or line of the file.
    pub number: usize,
    /// What was written.
    pub text: String,
    /// Further remarks.
    pub note: Option<String>,
    /// When, as plans write it.
    pub time: Option<String>,
    /// Where.
    pub at: Position,
    /// The line within reach, and how far off it is.
    pub of: EntryLine,
    /// What it was understood as.
    pub found: FoundAs,
    /// Whether the plan, or a row before it, says the same already.
    pub is_twice: bool,
    /// Minutes of mending.
    pub minutes: Option<f64>,
    /// What mending took.
    pub parts: Option<String>,
}

impl Found {
    /// What becomes of it unless somebody says otherwise.
    pub fn usual(&self) -> Taken {
        match &self.found {
            FoundAs::Unclear => Taken::Leave,
            _ if self.is_twice => Taken::Leave,
            found => Taken::As(found.clone()),
        }
    }
    /// It as a fault of this word.
    pub fn as_fault(&self, word: &str) -> FoundAs {
        let (minutes, parts) = (self.minutes, self.parts.clone());
        let seen = self.time.clone();
        FoundAs::Entries(vec![Kind::Fault(Fault {
            what: Some(word.to_owned()),
            seen,
            minutes,
            parts,
            of: self.of.clone(),
            ..Fault::default()
        })])
    }
    /// It as a reading, where a number in it could be one.
    pub fn as_reading(&self) -> Option<FoundAs> {
        let kv = Some(likely_kv(&self.text)?);
        let (at_time, of) = (self.time.clone(), self.of.clone());
        Some(FoundAs::Entries(vec![Kind::Reading(Reading { kv, at_time, energizer_on: Some(true), of, ..Reading::default() })]))
    }
    /// It as a photograph.
    pub fn as_photo(&self) -> FoundAs {
        let photo = Photo { file: Some(self.text.clone()), at_time: self.time.clone(), of: self.of.clone() };
        FoundAs::Entries(vec![Kind::Photo(photo)])
    }
}

/// Holds rows against the plan. Rows out of its reach become troubles.
pub fn judge(from: &LogFrom, rows: &[WrittenRow]) -> (Vec<Found>, Vec<WrittenTrouble>) {
    let Some(frame) = from.outcome.frame else { return (Vec::new(), Vec::new()) };
    let judging = Judging { from: *from, frame, network: Network::of(from.plan, frame) };
    let mut known = Known::of(from.plan, frame);
    let mut all = Vec::new();
    let mut troubles = Vec::new();
    for row in rows {
        if let Some(trouble) = judging.impossible_day(row) {
            troubles.push(trouble);
            continue;
        }
        match judging.place(row) {
            Ok((at, at_map, of)) => {
                let mut found = judging.found(row, at, of, at_map, &known);
                found.is_twice = known.has(&found, at_map);
                known.take(&found, at_map);
                all.push(found);
            }
            Err(trouble) => troubles.push(trouble),
        }
    }
    (all, troubles)
}

struct Judging<'a> {
    from: LogFrom<'a>,
    frame: Frame,
    network: Network,
}

type Place = (Position, MapPoint, EntryLine);

impl Judging<'_> {
    /// A day that has not come yet, or a mending before what it mends was seen. A day more is allowed: the phone may stand in another zone.
    fn impossible_day(&self, row: &WrittenRow) -> Option<WrittenTrouble> {
        let latest = self.from.on.tomorrow().unwrap_or(self.from.on);
        let wrong = |column: &str, found: Date, allowed: String| {
            Some(WrittenTrouble { number: row.number, column: Some(column.to_owned()), found: found.to_string(), allowed })
        };
        let seen = row.time.as_deref().and_then(day_of);
        if let Some(seen) = seen.filter(|seen| *seen > latest) {
            return wrong("time", seen, format!("a day up to {}", self.from.on));
        }
        let Some(MendedOn::Day(mended)) = &row.mended else { return None };
        let mended = day_of(mended)?;
        if mended > latest {
            return wrong("mended", mended, format!("a day up to {}", self.from.on));
        }
        let before = seen.filter(|seen| mended < *seen)?;
        wrong("mended", mended, format!("a day from {before} on, when it was seen"))
    }

    fn place(&self, row: &WrittenRow) -> Result<Place, WrittenTrouble> {
        match &row.place {
            WrittenPlace::At(at) => self.on_globe(row, *at),
            WrittenPlace::Along { line, station_m } => self.along(row, line, *station_m),
        }
    }

    fn on_globe(&self, row: &WrittenRow, at: Position) -> Result<Place, WrittenTrouble> {
        let near = |at: Position| {
            let at_map = self.frame.to_map(at).ok()?;
            let (line, off_m) = self.nearest(at_map)?;
            (off_m <= FARTHEST_M).then_some((at_map, line, off_m))
        };
        if let Some((at_map, line, off_m)) = near(at) {
            let of = if off_m <= ENTRY_REACH_M {
                let off = Some(Length::metres((off_m * 100.0).round() / 100.0));
                EntryLine { line: Some(self.network.lines[line].id.as_str().to_owned()), off }
            } else {
                EntryLine::default()
            };
            return Ok((at, at_map, of));
        }
        let turned = Position::from_degrees(at.lat_deg(), at.lon_deg().clamp(-90.0, 90.0));
        let allowed = if near(turned).is_some() {
            "latitude and longitude the other way round: turned they lie on this holding".to_owned()
        } else {
            format!("a place within {} km of a line of this plan", FARTHEST_M / 1000.0)
        };
        let found = format!("latitude {}, longitude {}", at.lat_deg(), at.lon_deg());
        Err(WrittenTrouble { number: row.number, column: None, found, allowed })
    }

    fn along(&self, row: &WrittenRow, line: &str, station_m: f64) -> Result<Place, WrittenTrouble> {
        let wrong = |column: &str, found: String, allowed: String| WrittenTrouble {
            number: row.number,
            column: Some(column.to_owned()),
            found,
            allowed,
        };
        let lines = &self.from.outcome.lines;
        let label = |id: &FeatureId| self.from.plan.feature(id).map(|feature| feature.label().to_lowercase());
        let known = lines.iter().find(|known| known.id.as_str() == line);
        let known = known.or_else(|| lines.iter().find(|known| label(&known.id) == Some(line.to_lowercase())));
        let Some(known) = known else {
            let names: Vec<&str> = lines.iter().map(|line| line.id.as_str()).take(12).collect();
            return Err(wrong("line", shown(line), format!("one of {}", names.join(", "))));
        };
        let length_m = known.measure.ground_length.as_metres();
        let sample = known.section.sample_at_station(station_m).filter(|_| station_m <= length_m + 0.5);
        let Some(sample) = sample else {
            return Err(wrong("station_m", station_m.to_string(), format!("metres from 0 to {length_m:.1}")));
        };
        let of = EntryLine { line: Some(known.id.as_str().to_owned()), off: None };
        Ok((self.frame.to_position(sample.at), sample.at, of))
    }

    fn nearest(&self, at: MapPoint) -> Option<(usize, f64)> {
        let feet = self.network.lines.iter().enumerate().filter_map(|(index, line)| Some((index, line.nearest(at)?.1)));
        feet.min_by(|one, other| one.1.total_cmp(&other.1))
    }

    fn found(&self, row: &WrittenRow, at: Position, of: EntryLine, at_map: MapPoint, known: &Known) -> Found {
        let mut meaning = understand(&row.text, self.from.catalogue);
        if meaning.is_empty() {
            meaning = row.note.as_deref().map_or(meaning, |note| understand(note, self.from.catalogue));
        }
        if row.is_fault && meaning.fault.is_none() && !row.text.is_empty() {
            meaning.fault = Some(row.text.to_lowercase());
        }
        meaning.kv = row.kv.or(meaning.kv);
        meaning.amp = row.amp.or(meaning.amp);
        let found = as_entries(row, &meaning, &of, self.from.on).or_else(|| {
            let time = mended_on(row, &meaning, self.from.on)?;
            Some(FoundAs::Mended { id: known.standing(at_map)?.clone(), time })
        });
        Found {
            number: row.number,
            text: row.text.clone(),
            note: row.note.clone(),
            time: row.time.clone(),
            at,
            of,
            found: found.unwrap_or(FoundAs::Unclear),
            is_twice: false,
            minutes: row.minutes,
            parts: row.parts.clone(),
        }
    }
}

/// When a row says that it was mended.
fn mended_on(row: &WrittenRow, meaning: &Meaning, on: Date) -> Option<String> {
    match &row.mended {
        Some(MendedOn::Day(day)) => Some(day.clone()),
        same_day => (same_day.is_some() || meaning.mended).then(|| row.time.clone().unwrap_or_else(|| on.to_string())),
    }
}

fn as_entries(row: &WrittenRow, meaning: &Meaning, of: &EntryLine, on: Date) -> Option<FoundAs> {
    let mut kinds = Vec::new();
    if meaning.kv.is_some() || meaning.amp.is_some() {
        kinds.push(Kind::Reading(Reading {
            kv: meaning.kv,
            amp: meaning.amp,
            at_time: row.time.clone(),
            energizer_on: Some(true),
            of: of.clone(),
            ..Reading::default()
        }));
    }
    if let Some(fault) = &meaning.fault {
        kinds.push(Kind::Fault(Fault {
            what: Some(fault.clone()),
            seen: row.time.clone(),
            mended: mended_on(row, meaning, on),
            minutes: row.minutes,
            parts: row.parts.clone(),
            photo: meaning.photo.clone(),
            of: of.clone(),
            ..Fault::default()
        }));
    } else if let Some(file) = &meaning.photo {
        kinds.push(Kind::Photo(Photo { file: Some(file.clone()), at_time: row.time.clone(), of: of.clone() }));
    }
    (!kinds.is_empty()).then_some(FoundAs::Entries(kinds))
}

/// What the plan's log holds already: by time and value, and the faults that stand.
struct Known {
    said: HashMap<String, Vec<MapPoint>>,
    standing: Vec<(FeatureId, MapPoint)>,
}

impl Known {
    fn of(plan: &Plan, frame: Frame) -> Self {
        let mut known = Self { said: HashMap::new(), standing: Vec::new() };
        for feature in &plan.features {
            let Some(said) = said(&feature.kind) else { continue };
            let Some(at_map) = feature.point().and_then(|at| frame.to_map(at).ok()) else { continue };
            known.said.entry(said).or_default().push(at_map);
            if matches!(&feature.kind, Kind::Fault(fault) if fault.is_active()) {
                known.standing.push((feature.id.clone(), at_map));
            }
        }
        known
    }

    fn kinds(found: &Found) -> &[Kind] {
        match &found.found {
            FoundAs::Entries(kinds) => kinds,
            _ => &[],
        }
    }

    /// Whether everything that a row says is there already.
    fn has(&self, found: &Found, at: MapPoint) -> bool {
        let is_there = |kind: &Kind| {
            let places = said(kind).and_then(|said| self.said.get(&said));
            places.is_some_and(|places| places.iter().any(|place| place.distance_m(at) <= SAME_M))
        };
        let kinds = Self::kinds(found);
        !kinds.is_empty() && kinds.iter().all(is_there)
    }

    fn take(&mut self, found: &Found, at: MapPoint) {
        for said in Self::kinds(found).iter().filter_map(said) {
            self.said.entry(said).or_default().push(at);
        }
    }

    /// The fault nearest to a place that nobody has mended.
    fn standing(&self, at: MapPoint) -> Option<&FeatureId> {
        let near = self.standing.iter().map(|(id, place)| (id, place.distance_m(at)));
        near.filter(|(_, off_m)| *off_m <= ENTRY_REACH_M).min_by(|one, other| one.1.total_cmp(&other.1)).map(|(id, _)| id)
    }
}

/// Time and value of an entry as one text; the time to the minute, for a phone keeps seconds and a table does not.
fn said(kind: &Kind) -> Option<String> {
    let minute = |time: &Option<String>| {
        let time = time.as_deref().unwrap_or_default();
        let clock = super::entry::minute_of(time).unwrap_or_default();
        format!("{} {clock}", day_of(time).map_or_else(String::new, |day| day.to_string()))
    };
    Some(match kind {
        Kind::Reading(reading) => format!("reading {} {:?} {:?}", minute(&reading.at_time), reading.kv, reading.amp),
        Kind::Fault(fault) => format!("fault {} {}", minute(&fault.seen), fault.what.as_deref().unwrap_or_default()),
        Kind::Photo(photo) => format!("photo {} {}", minute(&photo.at_time), photo.file.as_deref().unwrap_or_default()),
        _ => return None,
    })
}

/// The edits that take rows in as it was said; ids are made up so that none is taken.
pub fn edits_of<'a>(plan: &Plan, rows: impl IntoIterator<Item = (&'a Found, &'a Taken)>) -> Vec<Edit> {
    let mut taken: HashSet<FeatureId> = plan.features.iter().map(|feature| feature.id.clone()).collect();
    let mut ids: HashMap<&'static str, FreshIds> = HashMap::new();
    let mut add = |kind: Kind, found: &Found| {
        let word = match kind {
            Kind::Reading(_) => "reading",
            Kind::Fault(_) => "fault",
            Kind::Photo(_) => "photo",
            _ => "mark",
        };
        let id = ids.entry(word).or_insert_with(|| FreshIds::new(word)).next(|id| taken.contains(id));
        taken.insert(id.clone());
        let mut feature = Feature::new(id, kind, Geometry::Point(found.at));
        feature.note.clone_from(&found.note);
        if matches!(feature.kind, Kind::Mark) {
            feature.name = Some(found.text.clone()).filter(|text| !text.is_empty());
        }
        feature
    };
    let (mut edits, mut added) = (Vec::new(), Vec::new());
    for (found, become_what) in rows {
        match become_what {
            Taken::As(FoundAs::Entries(kinds)) => added.extend(kinds.iter().map(|kind| add(kind.clone(), found))),
            Taken::As(FoundAs::Mended { id, time }) => {
                if let Some(Kind::Fault(fault)) = plan.feature(id).map(|feature| &feature.kind) {
                    let mended = Fault { mended: Some(time.clone()), ..fault.clone() };
                    edits.push(Edit::SetKind { id: id.clone(), kind: Box::new(Kind::Fault(mended)) });
                }
            }
            Taken::Mark => added.push(add(Kind::Mark, found)),
            Taken::As(FoundAs::Unclear) | Taken::Leave => {}
        }
    }
    if !added.is_empty() {
        edits.push(Edit::AddAll(added));
    }
    edits
}
