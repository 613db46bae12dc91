//! What the checker has to say: rule, weight, place, number, limit, reason, remedies, source. Values only; the sentences are the window's.

mod remedy;

pub use remedy::Remedy;

use crate::land::Position;
use crate::plan::FeatureId;
use crate::source::SourceKey;
use crate::units::{Force, Length};
use jiff::civil::Date;
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
    /// Metres out of reach of a usable track.
    Access,
    /// Fence at the foot of steep ground or across the fall line, where animals come down at speed.
    Strikes,
    /// A corner or end post that the strands can pull over.
    CornerLoad,
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
    /// Strands that the stock behind them is too small or too tall for, today or from some day on.
    Outgrown,
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

/// Why a finding matters, with the numbers a sentence about it needs.
#[derive(Clone, Debug, PartialEq)]
pub enum Reason {
    /// A stretch of line has no usable track within reach.
    OutOfReach {
        /// How near a track must be.
        reach: Length,
        /// Longest stretch without one.
        longest: Length,
        /// Share of the line that is within reach, 0 to 1.
        share: f64,
    },
    /// The plan has no track at all.
    NoTrack,
    /// Animals that run down arrive at the fence at speed.
    SteepAbove {
        /// Mean slope of the ground above, per cent.
        slope_pct: f64,
        /// How far up that slope goes, on the ground.
        run: Length,
        /// Angle between the way down and the fence, degrees; 90 is head-on.
        approach_deg: f64,
    },
    /// The strands pull a corner or end post over.
    PulledOver {
        /// Change of direction, degrees; `None` for an end.
        deflection_deg: Option<f64>,
        /// Sum of the strands' pull on the post.
        pull: Force,
        /// Height above ground of that sum.
        at_height: Length,
        /// What the ground holds, ultimate.
        capacity: Force,
        /// Safety factor asked for.
        safety_factor: f64,
        /// Depth the post can go.
        depth: Length,
        /// The post, as a catalogue id.
        post: String,
        /// Depth a building code would ask for, for information.
        code_depth: Option<Length>,
    },
    /// The nearest dip or rise leaves the band of the strand that is tightest.
    OutOfBand {
        /// Index of the strand, 0 the lowest.
        strand: usize,
    },
    /// Cells are too large for what is asked of them.
    CoarseGrid {
        /// Cell size.
        cell: Length,
        /// Largest cell at which the question can be answered.
        needed: Length,
    },
    /// Part of a line has no ground under it in the grid.
    NoGround,
    /// The line runs so near the edge of the grid, or a void, that the ground beside it is not known.
    NearGridEdge {
        /// How near, in cells.
        cells: f64,
    },
    /// No elevation grid is loaded at all.
    NoGrid,
    /// The unit of the grid's heights is unknown and its slopes look like feet.
    MaybeFeet,
    /// Many cells share one extreme height that is not declared as void.
    MaybeUndeclaredVoid {
        /// That height, metres.
        height: f64,
        /// Share of the cells that have it, 0 to 1.
        share: f64,
    },
    /// The grid's heights come in whole steps.
    HeightSteps {
        /// The step.
        step: Length,
    },
    /// The fence closes a way that the public may use.
    ClosesPublicWay {
        /// What the way is called.
        way: String,
        /// How far the nearest gate of this fence is; `None` without one.
        nearest_gate: Option<Length>,
    },
    /// The fence crosses under an overhead power line.
    UnderOverheadLine {
        /// Kilovolts, when the plan says so.
        kv: Option<f64>,
        /// Least distance, in the air, that the rules leave between the fence's wires and the conductors.
        clearance: Length,
        /// Angle between the fence and the line, degrees; 90 is square.
        crossing_deg: f64,
    },
    /// The fence runs beside an overhead power line, where its wires must stay low and may pick up a charge.
    BesideOverheadLine {
        /// Kilovolts, when the plan says so.
        kv: Option<f64>,
        /// Over this length.
        over: Length,
        /// Nearest distance on the map.
        nearest: Length,
    },
    /// What a running animal does to the strands at the foot of a slope.
    Struck {
        /// Its mass, kilograms.
        mass_kg: f64,
        /// How it ends at a likely speed, m/s.
        likely: (f64, StrikeOutcome),
        /// How it ends in flight, m/s.
        flight: (f64, StrikeOutcome),
        /// From which speed on strands come off their insulators, m/s.
        releases_from_m_per_s: Option<f64>,
        /// From which speed on they break, m/s.
        breaks_from_m_per_s: Option<f64>,
        /// The wire's id.
        wire: String,
        /// Length between its strainers.
        strain: Length,
    },
    /// The strands do not hold the stock behind them.
    DoesNotHold {
        /// Id of the stock group.
        group: String,
        /// The way out.
        way: WayOut,
        /// The strand that is too high or too low, or the upper one of the gap; `None` where the fence has no strand.
        strand: Option<usize>,
        /// From which day on; `None`: today.
        from: Option<Date>,
        /// Days until then.
        days_left: i32,
        /// What one of the animals weighs then, kilograms.
        weight_kg: f64,
        /// How tall it stands then.
        shoulder: Length,
    },
}

/// How stock gets out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum WayOut {
    /// Under the lowest strand.
    Under,
    /// Between two strands.
    Between,
    /// Over the top strand.
    Over,
}

/// How a strike ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum StrikeOutcome {
    /// The strand stops it and stays on its posts.
    Holds,
    /// The strand stops it and comes off some insulators; it hangs wrong there until it is hung again.
    InsulatorsRelease,
    /// The strand breaks.
    Breaks,
}

/// What fails first as strikes get harder.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FirstToFail {
    /// The line insulators on both sides let go of the strand.
    Insulators,
    /// The wire at a knot, splice or sleeve.
    Joint,
    /// The plain wire.
    Wire,
}
