//! One entry of the log, and where it stands.

use super::LogFrom;
use super::expected::Expectation;
use crate::catalogue::GroundState;
use crate::land::{Frame, MapPoint, Position};
use crate::plan::{ENTRY_REACH_M, Fault, Feature, FeatureId, Kind, Network, OnLine, Reading};
use crate::site::STRIKE;
use crate::units::Length;
use jiff::civil::Date;
use std::collections::HashMap;

/// A line has moved when an entry lies so much nearer to it or farther off than when it was written down (`common-practice`).
pub const FROM_LINE_MOVED: Length = Length::metres(1.0);
/// An entry that names no line stands on one that is this near, metres.
const ON_LINE_M: f64 = 1.0;

/// What an entry says.
#[derive(Clone, Debug, PartialEq)]
pub enum What {
    /// A reading.
    Reading {
        /// What the meter showed, volts.
        volt: Option<f64>,
        /// Amperes.
        ampere: Option<f64>,
        /// Whether the energizer was on.
        is_on: bool,
        /// The state of the ground then.
        ground: Option<GroundState>,
    },
    /// Something wrong.
    Fault {
        /// Its word.
        kind: String,
        /// The day on which it was mended.
        mended: Option<Date>,
        /// Whether nobody has mended it.
        stands: bool,
        /// Minutes that mending took.
        minutes: Option<f64>,
        /// What it took.
        parts: Option<String>,
    },
    /// A running animal hit the fence.
    Strike {
        /// The day on which what it broke was mended.
        mended: Option<Date>,
        /// Minutes that mending took.
        minutes: Option<f64>,
        /// What it took.
        parts: Option<String>,
    },
    /// A photograph.
    Photo {
        /// Its file.
        file: Option<String>,
    },
}

/// Where an entry lies beside the lines as they run now.
#[derive(Clone, Debug, PartialEq)]
pub enum Stands {
    /// On a line.
    On(OnFence),
    /// Off a line that has moved since.
    Moved {
        /// The nearest place of it.
        on: OnFence,
        /// How far off it lay when it was written down.
        was_off: Length,
    },
    /// Its line is no longer in the plan.
    Gone {
        /// Id of the line.
        line: String,
    },
    /// On no line.
    Alone,
}

/// A place of a line.
#[derive(Clone, Debug, PartialEq)]
pub struct OnFence {
    /// The line.
    pub line: FeatureId,
    /// Where on it, along the ground.
    pub station: Length,
    /// The same along the map, metres.
    pub plan_m: f64,
    /// How far off the line, on the map.
    pub off: Length,
}

/// One entry.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// The feature.
    pub id: FeatureId,
    /// The day, where the plan says it.
    pub day: Option<Date>,
    /// The time of day as it was written, `14:20`.
    pub minute: Option<String>,
    /// Where it lies.
    pub at: Position,
    /// The same on the map; `None` out of the frame's reach.
    pub at_map: Option<MapPoint>,
    /// What it says.
    pub what: What,
    /// Where it lies beside the lines.
    pub stands: Stands,
    /// What a reading should have been; `None` where the model cannot tell.
    pub expected: Option<Expectation>,
    /// The keeper's note.
    pub note: Option<String>,
}

impl Entry {
    /// The place on a line that it tells about: also where the line has moved, as long as it is near.
    pub fn on(&self) -> Option<&OnFence> {
        match &self.stands {
            Stands::On(on) => Some(on),
            Stands::Moved { on, .. } if on.off.as_metres() <= ENTRY_REACH_M => Some(on),
            _ => None,
        }
    }
    /// The word of a fault or a strike.
    pub fn fault_word(&self) -> Option<&str> {
        match &self.what {
            What::Fault { kind, .. } => Some(kind),
            What::Strike { .. } => Some(STRIKE),
            _ => None,
        }
    }
    /// What the meter showed with the energizer on, kilovolts.
    pub fn kv(&self) -> Option<f64> {
        match &self.what {
            What::Reading { volt: Some(volt), is_on: true, .. } => Some(volt / 1000.0),
            _ => None,
        }
    }
}

/// The day at the start of a time as plans write it.
pub fn day_of(time: &str) -> Option<Date> {
    time.get(..10)?.parse().ok()
}

/// The time of day of a time as plans write it: `14:20`.
pub fn minute_of(time: &str) -> Option<&str> {
    let rest = time.get(10..)?;
    let clock = rest.strip_prefix(['T', ' ', 't'])?.get(..5)?;
    let bytes = clock.as_bytes();
    let is_clock = bytes[2] == b':' && [0, 1, 3, 4].iter().all(|index| bytes[*index].is_ascii_digit());
    is_clock.then_some(clock)
}

/// All entries of a plan, the oldest first.
pub(super) fn entries(from: &LogFrom, frame: Frame, network: &Network) -> Vec<Entry> {
    let sections: HashMap<&FeatureId, _> = from.outcome.lines.iter().map(|line| (&line.id, &line.section)).collect();
    let station = |on: OnLine| {
        let plan_m = on.plan_m;
        sections.get(&network.lines[on.line].id).map_or(plan_m, |section| section.station_at_m(plan_m))
    };
    let mut all: Vec<Entry> = from.plan.features.iter().filter_map(|feature| entry(feature, frame, network, &station)).collect();
    all.sort_by(|one, other| (one.day, &one.minute).cmp(&(other.day, &other.minute)));
    all
}

fn entry(feature: &Feature, frame: Frame, network: &Network, station: &dyn Fn(OnLine) -> f64) -> Option<Entry> {
    let (what, time) = what(&feature.kind)?;
    let at = feature.point()?;
    let at_map = frame.to_map(at).ok();
    let of = feature.kind.entry_line()?;
    let on_fence = |on: OnLine, off_m: f64| OnFence {
        line: network.lines[on.line].id.clone(),
        station: Length::metres(station(on)),
        plan_m: on.plan_m,
        off: Length::metres(off_m),
    };
    let stands = match (&of.line, at_map) {
        (Some(line), Some(at_map)) => {
            let known = network.lines.iter().position(|known| known.id.as_str() == line);
            let foot = known.and_then(|index| Some((index, network.lines[index].nearest(at_map)?)));
            match foot {
                Some((index, (plan_m, off_m))) => {
                    let (on, was_off) = (on_fence(OnLine { line: index, plan_m }, off_m), of.off.unwrap_or(Length::ZERO));
                    let has_moved = (on.off - was_off).abs() > FROM_LINE_MOVED;
                    if has_moved { Stands::Moved { on, was_off } } else { Stands::On(on) }
                }
                None => Stands::Gone { line: line.clone() },
            }
        }
        (Some(line), None) => Stands::Gone { line: line.clone() },
        (None, Some(at_map)) => nearest(network, at_map).map_or(Stands::Alone, |(on, off_m)| Stands::On(on_fence(on, off_m))),
        (None, None) => Stands::Alone,
    };
    let day = time.and_then(day_of);
    let minute = time.and_then(minute_of).map(str::to_owned);
    let note = feature.note.clone();
    Some(Entry { id: feature.id.clone(), day, minute, at, at_map, what, stands, expected: None, note })
}

/// The line that an entry stands on that names none.
fn nearest(network: &Network, at: MapPoint) -> Option<(OnLine, f64)> {
    let feet = network.lines.iter().enumerate().filter_map(|(line, known)| {
        let (plan_m, off_m) = known.nearest(at)?;
        Some((OnLine { line, plan_m }, off_m))
    });
    feet.min_by(|one, other| one.1.total_cmp(&other.1)).filter(|(_, off_m)| *off_m <= ON_LINE_M)
}

/// What an entry says, and when.
fn what(kind: &Kind) -> Option<(What, Option<&str>)> {
    Some(match kind {
        Kind::Reading(reading) => (of_reading(reading), reading.at_time.as_deref()),
        Kind::Fault(fault) => (of_fault(fault), fault.seen.as_deref()),
        Kind::Photo(photo) => (What::Photo { file: photo.file.clone() }, photo.at_time.as_deref()),
        _ => return None,
    })
}

fn of_reading(reading: &Reading) -> What {
    What::Reading {
        volt: reading.kv.map(|kv| kv.abs() * 1000.0),
        ampere: reading.amp,
        is_on: reading.energizer_on != Some(false),
        ground: reading.ground.as_deref().and_then(GroundState::from_word),
    }
}

fn of_fault(fault: &Fault) -> What {
    let (minutes, parts) = (fault.minutes, fault.parts.clone());
    let kind = fault.what.clone().unwrap_or_default().trim().to_lowercase();
    let mended = fault.mended.as_deref().and_then(day_of);
    if kind == STRIKE {
        return What::Strike { mended, minutes, parts };
    }
    What::Fault { kind, mended, stands: fault.is_active(), minutes, parts }
}
