//! The days on which anything was written down.

use super::entry::{Entry, What};
use jiff::civil::Date;

/// What one day brought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Round {
    /// The day.
    pub day: Date,
    /// Readings.
    pub readings: u32,
    /// Faults and strikes.
    pub faults: u32,
    /// Photos.
    pub photos: u32,
}

/// Day by day, the oldest first; entries come in their order.
pub(super) fn rounds(entries: &[Entry]) -> Vec<Round> {
    let mut rounds: Vec<Round> = Vec::new();
    for entry in entries {
        let Some(day) = entry.day else { continue };
        if rounds.last().is_none_or(|last| last.day != day) {
            rounds.push(Round { day, readings: 0, faults: 0, photos: 0 });
        }
        let Some(last) = rounds.last_mut() else { continue };
        match entry.what {
            What::Reading { .. } => last.readings += 1,
            What::Fault { .. } | What::Strike { .. } => last.faults += 1,
            What::Photo { .. } => last.photos += 1,
        }
    }
    rounds
}
