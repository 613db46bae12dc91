//! The round: in what order the lines are gone along, what is done on the way, and what is taken along.
//!
//! Lines are cut into pieces that are gone along as a whole. What lies beside a usable track is looked at from the seat; the rest is walked, from
//! where the vehicle is left. Fences are crossed at gates or not at all: the way does not ask on which side of a line somebody walks.

mod expect;
mod feeding;
mod fence;
mod fierce;
mod go;
mod kit;
mod legs;
mod matching;
mod open;
mod postman;
mod stops;
#[cfg(test)]
mod tests;
mod tracks;
mod walks;
mod ways;
mod yard;

pub use expect::{Expected, LEAK_SPREAD, least_v};
pub use feeding::Ration;
pub use fierce::Fierce;
pub use kit::{Carried, Likely, USUAL_DAYS};
pub use legs::{How, Leg};
pub use matching::pairs;
pub use open::OpenGround;
pub use postman::{Done, Errand, Tour, tour};
pub use stops::{Stop, Task};
pub use tracks::{LOOKING_KM_PER_H, riding_km_per_h};
pub use yard::{Yard, YardBy};

use crate::catalogue::{Catalogue, GroundState};
use crate::land::Ground;
use crate::outcome::Outcome;
use crate::plan::{FeatureId, Plan};
use crate::units::Length;
use expect::Expectation;
use fence::Goes;
use go::Map;
use jiff::civil::Date;
use stops::WaitingStops;

/// How somebody goes round.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum By {
    /// With a vehicle where tracks are, else on foot.
    #[default]
    Vehicle,
    /// On foot all the way.
    OnFoot,
}

/// How much of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Extent {
    /// All lines.
    #[default]
    Whole,
    /// Water gaps, what animals run into, far ends, and what lies far from every track.
    Short,
}

/// What round is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Asked {
    /// How.
    pub by: By,
    /// How much.
    pub extent: Extent,
    /// The day: for the animals' weight and the season of faults.
    pub on: Option<Date>,
    /// The state of the ground: for what tracks allow and what a meter should read.
    pub state: GroundState,
}

/// More pieces of line than this are no round of one day.
const MOST_PIECES: usize = 400;

/// A round.
#[derive(Clone, Debug, PartialEq)]
pub struct Round {
    /// What was asked for.
    pub asked: Asked,
    /// Where it begins and ends.
    pub yard: Yard,
    /// Its legs in order.
    pub legs: Vec<Leg>,
    /// Its stops in order.
    pub stops: Vec<Stop>,
    /// Faults that may have come since the last round, the most likely first.
    pub likely: Vec<Likely>,
    /// What is taken along.
    pub kit: Vec<Carried>,
    /// Stock on its way that may attack.
    pub fierce: Vec<Fierce>,
}

/// Why there is no round.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoRound {
    /// No line is drawn.
    #[error("nothing is drawn that could be gone along")]
    NoLine,
    /// A short round was asked for where nothing is that it goes to.
    #[error("nothing is known that a short round would go to")]
    NothingShort,
    /// So many pieces that no one goes along them in one round.
    #[error("{pieces} pieces of line are too many for one round; {most} are not")]
    TooMany {
        /// How many.
        pieces: usize,
        /// How many may be.
        most: usize,
    },
    /// Tracks meet at so many places that no way over them is found in time.
    #[error("the tracks meet at more than {most} places; no more than that are allowed for one round")]
    TooManyMeets {
        /// How many there may be.
        most: usize,
    },
    /// Something lies where nobody gets to.
    #[error("part of it lies where nobody gets to on foot")]
    OutOfReach,
}

impl Round {
    /// Its length on the ground.
    pub fn length(&self) -> Length {
        self.legs.iter().map(|leg| leg.length).sum()
    }

    /// How much of it is ridden.
    pub fn ridden(&self) -> Length {
        self.legs.iter().filter(|leg| leg.how.is_ridden()).map(|leg| leg.length).sum()
    }

    /// How long it takes with its stops, minutes.
    pub fn minutes(&self) -> f64 {
        self.legs.iter().map(|leg| leg.seconds).sum::<f64>() / 60.0 + self.stops_minutes()
    }

    /// How long the stops take, minutes.
    pub fn stops_minutes(&self) -> f64 {
        self.stops.iter().map(Stop::minutes).sum()
    }

    /// How long a leg takes with its stops, minutes.
    pub fn leg_minutes(&self, leg: &Leg) -> f64 {
        leg.seconds / 60.0 + self.stops[leg.stops.clone()].iter().map(Stop::minutes).sum::<f64>()
    }

    /// The lines that it looks at.
    pub fn lines(&self) -> Vec<&FeatureId> {
        let mut all: Vec<&FeatureId> = self.legs.iter().filter_map(|leg| leg.line.as_ref()).collect();
        all.sort();
        all.dedup();
        all
    }
}

/// Whichever takes less time; the first where both take as long.
fn sooner(map: &Map, rounds: [Option<Vec<go::Move>>; 2]) -> Option<Vec<go::Move>> {
    let seconds = |moves: &[go::Move]| map.all_seconds(moves);
    rounds.into_iter().flatten().min_by(|one, other| seconds(one).total_cmp(&seconds(other)))
}

/// The round of a plan.
///
/// # Errors
/// [`NoRound`].
pub fn round(
    plan: &Plan,
    outcome: &Outcome,
    ground: Option<&Ground>,
    catalogue: &Catalogue,
    asked: Asked,
) -> Result<Round, NoRound> {
    let goes = Goes { plan, outcome, ground, state: asked.state };
    let frame = outcome.frame.ok_or(NoRound::NoLine)?;
    let yard = yard::yard(plan, frame).filter(|_| goes.lines().next().is_some()).ok_or(NoRound::NoLine)?;
    let far = stops::far_ends(&goes);
    let short = (asked.extent == Extent::Short).then(|| stops::short(&goes, &far));
    let pieces = goes.pieces(short.as_deref());
    if !pieces.iter().any(|piece| piece.is_wanted) {
        return Err(NoRound::NothingShort);
    }
    if pieces.len() > MOST_PIECES {
        return Err(NoRound::TooMany { pieces: pieces.len(), most: MOST_PIECES });
    }
    let expectation = Expectation::of(&outcome.power, asked.state);
    let rations = if short.is_some() { Vec::new() } else { feeding::rations(&goes, catalogue, asked.on) };
    let waiting = WaitingStops::of(&goes, &far, rations, expectation.as_ref());
    let map = Map::of(&goes, pieces, yard.at, asked.by)?;
    let moves = match asked.by {
        By::Vehicle => sooner(&map, [map.by_vehicle(), map.on_foot()]),
        By::OnFoot => map.on_foot(),
    };
    let (mut legs, stops) = legs::legs(&map, &moves.ok_or(NoRound::OutOfReach)?, outcome, ground, waiting);
    open::say(&mut legs, &goes, frame);
    let likely = kit::likely(&goes, catalogue, asked.on);
    let kit = kit::kit(&goes, catalogue, &likely);
    let fierce = fierce::fierce(&legs, &goes, catalogue, asked.on);
    Ok(Round { asked, yard, legs, stops, likely, kit, fierce })
}
