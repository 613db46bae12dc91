//! Why a line is hard to reach or to see, and what can be done about it.

use crate::units::Length;

/// What makes a stretch of a track hard or impossible to drive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TrackHindrance {
    /// It climbs or falls.
    Grade,
    /// Its uncut ground leans to one side.
    SideSlope,
}

/// Why it is hard to get to a line, or to see it.
#[derive(Clone, Debug, PartialEq)]
pub enum HardToReach {
    /// A stretch lies a long walk from every usable track.
    LongWalk {
        /// The longest such stretch.
        longest: Length,
        /// Share of the line that is a short walk away at most, 0 to 1.
        share: f64,
        /// How long the walk to its worst place takes, seconds; `None` where nobody gets to.
        there_s: Option<f64>,
        /// How long the way back takes, seconds.
        back_s: Option<f64>,
    },
    /// The plan has no track at all.
    NoTrack,
    /// A stretch is seen from no usable track.
    Hidden {
        /// The longest such stretch.
        longest: Length,
        /// Share of the line that is seen in summer, 0 to 1.
        seen_summer: f64,
        /// Share of the line that is seen once the leaves have fallen, 0 to 1.
        seen_leaf_off: f64,
    },
    /// A track is too steep, or nearly so.
    SteepTrack {
        /// How.
        hindrance: TrackHindrance,
        /// Over this length in all.
        over: Length,
        /// Whether reach is counted without these stretches.
        is_out_of_use: bool,
        /// Whether its soil is wet at the worst place, so that half as much is allowed.
        is_wet: bool,
    },
    /// A track is narrower than its vehicle asks.
    NarrowTrack,
    /// A track ends where nobody can turn.
    NoTurning,
}

/// What can be done about it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ReachRemedy {
    /// Bring a track within reach.
    TrackWithin {
        /// How near.
        reach: Length,
    },
    /// Draw the track in the plan.
    DrawTrack,
    /// Move the line to where it is seen, or keep growth down.
    InSight,
    /// Walk that stretch on every round.
    WalkIt,
    /// Lead the track round at an easier grade.
    EasierTrack,
    /// Cut the track level across.
    CutTrack,
    /// Say in the plan that no vehicle uses it.
    LeaveTrack,
    /// Widen the track.
    WidenTrack {
        /// To this width.
        to: Length,
    },
    /// Make a place to turn.
    TurningPlace,
}
