//! What the checker has to say: rule, weight, place, number, limit, reason, remedies, source. Values only; the sentences are the window's.

mod bite;
mod held;
mod keeping;
mod lay;
mod reach;
mod reason;
mod remedy;

pub use bite::{Bite, BiteChange, BiteRemedy, Brings, Unfed};
pub use held::{Grade, Purpose, PurposeBasis, WayOut};
pub use keeping::{Keeping, KeepingRemedy, Passing};
pub use lay::{Lay, LayRemedy, Receiver};
pub use reach::{HardToReach, ReachRemedy, TrackHindrance};
pub use reason::*;
pub use remedy::{NewSprings, Remedy};

use crate::land::Position;
use crate::plan::FeatureId;
use crate::source::SourceKey;
use crate::units::Length;
use serde::Serialize;

/// How much a finding matters. Ordered: the worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Weight {
    /// Will fail, or is unsafe.
    MustFix,
    /// May fail; somebody has to go and see.
    LookAt,
    /// Worth knowing.
    Note,
}

/// The rules, one file each under `check/`. The names are stable: other programs read them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Rule {
    /// Metres that are a long walk from every usable track.
    Access,
    /// Metres that are seen from no usable track.
    Sight,
    /// A track too steep, too narrow or without a place to turn.
    TrackGrade,
    /// Fence at the foot of steep ground or across the fall line, where animals come down at speed.
    Strikes,
    /// A corner or end post that the strands can pull over.
    CornerLoad,
    /// A corner or end post that breaks before the ground gives.
    PostBending,
    /// A strand that hangs higher than its post stands.
    PostShort,
    /// Ends, corners, gate posts or ends of strains of a permanent fence of hard wire without a brace.
    Unbraced,
    /// A line that turns sharply again and again.
    Crooked,
    /// A post that the strands lift out, or a strand that leaves its post.
    Uplift,
    /// A strand that the cold tightens too far.
    ColdWire,
    /// A strand that goes slack: by friction along the line, or by heat.
    Tension,
    /// Rooted soil, leaves or snow against the lowest strands.
    RootedSoil,
    /// A paddock with sows on ground too steep to farrow on.
    Slope,
    /// A paddock with pigs and without shade.
    Shade,
    /// A lowest strand that stands too high for an animal below it on a slope.
    CrossSlope,
    /// A strand too high over a dip.
    Dip,
    /// A strand too near the ground over a rise.
    Rise,
    /// The elevation grid is too coarse to tell dips and rises.
    GridCoarse,
    /// A line leaves the elevation grid or crosses cells without a height.
    GridEdge,
    /// Something about the elevation grid makes its heights doubtful.
    GridUnknown,
    /// A fence across a way that the public may use.
    PublicWay,
    /// A fence under, or long beside, an overhead power line.
    OverheadLine,
    /// Strands that an animal breaks, or takes off their insulators, where it comes down a steep slope.
    StrikeWire,
    /// Animals get less of the pulse than they mind, or little more.
    FarEnd,
    /// Earth rods that take too much of the pulse, or none drawn.
    Earth,
    /// A lead-out that takes too much of the pulse.
    LeadOut,
    /// An impulse beyond what the standard allows.
    EnergizerLimit,
    /// An energizer larger than the plan needs.
    EnergizerSize,
    /// A line that no pulse gets to.
    Unfed,
    /// Two energizers on the same wires, or their fences too near each other.
    TwoEnergizers,
    /// Earth rods too near another earth.
    EarthDistance,
    /// Water across a line that takes it out in a storm.
    WaterGap,
    /// Ground under a line that stays wet.
    Wet,
    /// A line so low beside a channel that a flood reaches it.
    Flood,
    /// Pigs near a stream.
    StreamBuffer,
    /// Pigs on a slope whose soil washes off.
    Erosion,
    /// A line over rock with little soil on it.
    Rock,
    /// A line off the holding, or on its boundary.
    Boundary,
    /// Barbed wire that is live, or near a live strand.
    Barbed,
    /// A lead-out that hangs low over a way that vehicles use.
    OverWay,
    /// A paddock or a track without a gate, or a gate on bad ground.
    Gate,
    /// A paddock without water, or with water far away.
    Water,
    /// A paddock with more animals than its ground carries.
    AreaPerHead,
    /// Strands or netting that do not hold the stock behind them, or hold it with something to know.
    Holds,
    /// The same from some later day on.
    Outgrown,
    /// A paddock with stock that no closed line encloses, or two paddocks in one.
    Enclosed,
    /// A gate, a cut-out, a jumper or an entry of the log that stands on no line.
    Loose,
    /// Netting, which is moved and taken down.
    Netting,
}

/// Where a finding is.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// The line it is on, when it is on one.
    pub line: Option<FeatureId>,
    /// From this station (on the ground along the line).
    pub station: Option<Length>,
    /// Until this station, when it is a stretch.
    pub until: Option<Length>,
    /// A point to look at.
    pub at: Position,
    /// Size of the cells of the elevation grid that knows the ground there, of a finding on a line.
    pub cell: Option<Length>,
}

/// The unit of a finding's value and limit, for JSON and for display.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Unit {
    /// Metres.
    #[serde(rename = "m")]
    Metre,
    /// Newtons.
    #[serde(rename = "N")]
    Newton,
    /// Rise over run, in per cent.
    #[serde(rename = "%")]
    Percent,
    /// Degrees of arc.
    #[serde(rename = "deg")]
    Degree,
    /// Metres per second.
    #[serde(rename = "m/s")]
    MetrePerSecond,
    /// Kilovolts.
    #[serde(rename = "kV")]
    Kilovolt,
    /// Ohms.
    #[serde(rename = "ohm")]
    Ohm,
    /// Milliseconds.
    #[serde(rename = "ms")]
    Millisecond,
    /// Joules.
    #[serde(rename = "J")]
    Joule,
    /// Hectares.
    #[serde(rename = "ha")]
    Hectare,
    /// A pure number.
    #[serde(rename = "1")]
    One,
}

/// One thing that the checker has to say.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Which rule speaks.
    pub rule: Rule,
    /// How much it matters.
    pub weight: Weight,
    /// Where.
    pub place: Place,
    /// The number found, in `unit`.
    pub value: f64,
    /// The number it is held against, in `unit`.
    pub limit: Option<f64>,
    /// Unit of `value` and `limit`.
    pub unit: Unit,
    /// Why it matters, as values.
    pub reason: Reason,
    /// What can be done, the smallest first.
    pub remedies: Vec<Remedy>,
    /// Where the limit comes from.
    pub source: SourceKey,
}
