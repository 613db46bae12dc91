//! What law, neighbours and the daily work ask of a fence, and what can be done about it.

use crate::units::{Area, Length};

/// Who passes on a way, the tallest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Passing {
    /// Vehicles and their loads.
    Vehicles,
    /// Horses with their riders.
    Riders,
    /// People on foot.
    Walkers,
}

/// Why a finding about law, neighbours or the daily work matters.
#[derive(Clone, Debug, PartialEq)]
pub enum Keeping {
    /// A line leaves the holding.
    OffOwnLand {
        /// How much of it.
        over: Length,
        /// How far beyond the boundary, on the map.
        farthest: Length,
    },
    /// A line crosses a boundary that is drawn as a line.
    CrossesBoundary {
        /// Its name.
        boundary: String,
    },
    /// A line runs on the boundary itself.
    OnBoundary {
        /// How much of it.
        over: Length,
        /// Whose land is beyond.
        neighbour: Option<String>,
    },
    /// A fence runs beside a public way.
    BesideWay {
        /// Its name.
        way: String,
        /// How much of the fence.
        over: Length,
        /// Fewest signs that takes.
        signs: u32,
    },
    /// The gate where a public way passes is live.
    LiveGateOnWay {
        /// The way's name.
        way: String,
    },
    /// A lead-out hangs low over a way.
    LowOverWay {
        /// The way's name.
        way: String,
        /// Height of the lowest conductor.
        height: Length,
        /// Who passes below.
        passing: Passing,
    },
    /// A fence closes a track.
    ClosesTrack {
        /// Its name.
        track: String,
        /// The nearest gate along the fence, on the map.
        nearest_gate: Option<Length>,
    },
    /// No gate leads into a paddock.
    NoGate,
    /// The ground falls away under a gate.
    UnderGate {
        /// Its name.
        gate: String,
        /// The class that gets under, as the catalogue calls it.
        animal: String,
    },
    /// No gate of the catalogue is made for an opening so wide.
    GateTooWide {
        /// Its name.
        gate: String,
    },
    /// A gate stands on a slope.
    GateOnSlope,
    /// A gate stands in wet ground.
    GateInWet {
        /// The zone's name.
        zone: String,
    },
    /// No water stands in a paddock.
    NoWater {
        /// A stream that runs through it, if one does.
        stream: Option<String>,
    },
    /// Water is a long walk away.
    WaterFar,
    /// More animals than the ground carries.
    TooMany {
        /// How many there are.
        head: u32,
        /// What the most is recommended for, as the catalogue calls it.
        keeping: String,
        /// Whether that is a ceiling not to be exceeded.
        is_ceiling: bool,
    },
    /// A live strand has barbs.
    BarbedLive {
        /// Which, 1 the lowest.
        strand: usize,
    },
    /// A live strand hangs near a barbed one.
    BarbedNear {
        /// Which is live, 1 the lowest.
        live: usize,
        /// Which has barbs.
        barbed: usize,
    },
}

/// What can be done about it.
#[derive(Clone, Debug, PartialEq)]
pub enum KeepingRemedy {
    /// Make the opening narrower, or part it with a post into two gates.
    PartGate,
    /// Move the line back onto the holding.
    MoveInside,
    /// Agree with whoever owns the land beyond, in writing.
    AgreeWithNeighbour,
    /// Warning signs so far apart.
    SignsEvery(Length),
    /// Hang the lead-out so high, or lay it in the ground.
    RaiseOrBury(Length),
    /// Lay it in the ground: near an overhead power line it must not hang high.
    Bury,
    /// Place a gate here.
    GateHere,
    /// Move the gate to level, dry ground, best to a corner.
    MoveGate,
    /// A board, a chain or a strand closes the gap under the gate.
    CloseUnderGate,
    /// Place a trough or a drinker.
    PlaceWater,
    /// Keep so many head at most.
    FewerHead(u32),
    /// Give them so much ground in all.
    MoreGround(Area),
    /// Use smooth wire.
    SmoothWire,
    /// Hang the live strand so far off the barbed one.
    Offset(Length),
    /// Post drivers, tippers and ladders keep so far away.
    WorkAway(Length),
    /// Look up the code that holds there: this one was used.
    LocalCode(String),
}
