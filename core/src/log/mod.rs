//! The log of a plan: what was read, found, mended and photographed on the rounds, and what that teaches.

mod due;
mod entry;
mod expected;
mod faults;
mod judge;
mod prune;
mod rounds;
mod stretches;
#[cfg(test)]
mod tests;
mod trend;
mod understood;
mod written;
mod years;

pub use due::{DAILY_FOR, Due, LIKELY_FAULTS, WhyDue};
pub use entry::{Entry, FROM_LINE_MOVED, OnFence, Stands, What, day_of, minute_of};
pub use expected::{Against, Expectation, METER_SHARE, held_against};
pub use faults::{ENOUGH_ENTRIES, FaultRate, PRIOR_YEARS, Rate, rate};
pub use judge::{Found, FoundAs, Taken, edits_of, judge};
pub use prune::{Prune, Wooded};
pub use rounds::Round;
pub use stretches::{BIN_M, Weak, shrunk};
pub use trend::{PlaceReadings, Slope, slope};
pub use understood::{Meaning, OTHER_WORDS, understand};
pub use written::{
    MendedOn, NoColumns, Written, WrittenPlace, WrittenRow, WrittenTrouble, written_of_rows, written_of_waypoints,
};
pub use years::Year;

use crate::catalogue::{Catalogue, Hemisphere};
use crate::land::Frame;
use crate::outcome::Outcome;
use crate::plan::{Kind, Network, Plan};
use jiff::civil::Date;

/// What a log is read with.
#[derive(Clone, Copy)]
pub struct LogFrom<'a> {
    /// The plan with its entries.
    pub plan: &'a Plan,
    /// What follows from it.
    pub outcome: &'a Outcome,
    /// The rows in use.
    pub catalogue: &'a Catalogue,
    /// The day on which it is read.
    pub on: Date,
}

/// The log, and what it teaches.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Log {
    /// All entries, the oldest first; those without a day before all others.
    pub entries: Vec<Entry>,
    /// The days on which anything was written down.
    pub rounds: Vec<Round>,
    /// Length of all fences on the ground, kilometres.
    pub fence_km: f64,
    /// How often each kind of fault comes, with the log set against the planning defaults.
    pub rates: Vec<FaultRate>,
    /// Readings place by place.
    pub places: Vec<PlaceReadings>,
    /// Stretches that fail more often than their line, the worst first.
    pub weak: Vec<Weak>,
    /// When the next round is due.
    pub due: Option<Due>,
    /// What to cut before the leaves fall.
    pub prune: Option<Prune>,
    /// Work and parts, year by year.
    pub years: Vec<Year>,
}

/// What every part of the teaching asks.
struct Lesson<'a> {
    from: LogFrom<'a>,
    network: Network,
    frame: Frame,
    hemisphere: Hemisphere,
    entries: &'a [Entry],
    rounds: &'a [Round],
    fence_km: f64,
}

impl Log {
    /// Reads the log of a plan. Nothing where nothing has been worked out yet.
    pub fn of(from: &LogFrom) -> Self {
        let Some(frame) = from.outcome.frame else { return Self::default() };
        let network = Network::of(from.plan, frame);
        let mut entries = entry::entries(from, frame, &network);
        expected::expect(from, frame, &network, &mut entries);
        let rounds = rounds::rounds(&entries);
        let fences = from.outcome.lines.iter().filter(|line| is_fence(from.plan, &line.id));
        let fence_km = fences.map(|line| line.measure.ground_length.as_metres()).sum::<f64>() / 1000.0;
        let hemisphere = Hemisphere::of_latitude(frame.origin().lat_deg());
        let lesson = Lesson { from: *from, network, frame, hemisphere, entries: &entries, rounds: &rounds, fence_km };
        let rates = faults::rates(&lesson);
        let due = due::due(&lesson, &rates);
        let (places, weak) = (trend::places(&lesson), stretches::weak(&lesson));
        let (prune, years) = (prune::prune(&lesson), years::years(&lesson));
        Self { rounds, fence_km, rates, places, weak, due, prune, years, entries }
    }

    /// First and last day of it.
    pub fn days(&self) -> Option<(Date, Date)> {
        self.rounds.first().zip(self.rounds.last()).map(|(first, last)| (first.day, last.day))
    }
}

fn is_fence(plan: &Plan, id: &crate::plan::FeatureId) -> bool {
    plan.feature(id).is_some_and(|feature| matches!(feature.kind, Kind::Fence(_)))
}
