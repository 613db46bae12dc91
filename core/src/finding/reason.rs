//! Why findings matter.

use super::{Bite, Grade, HardToReach, Keeping, Lay, Purpose, PurposeBasis, WayOut};
use crate::land::Position;
use crate::units::{Force, Length};
use jiff::civil::Date;

/// Why a finding matters, with the numbers a sentence about it needs.
#[derive(Clone, Debug, PartialEq)]
pub enum Reason {
    /// About the pulse.
    Bite(Bite),
    /// About law, neighbours or the daily work.
    Keeping(Keeping),
    /// About reaching and seeing a line from the tracks.
    Reach(HardToReach),
    /// About the lay of the land.
    Lay(Lay),
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
        /// Which corner of the line it is, if it is one.
        corner: Option<usize>,
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
    },
    /// The strands break a corner or end post.
    Breaks {
        /// Which corner of the line it is, if it is one.
        corner: Option<usize>,
        /// Sum of the strands' pull on the post.
        pull: Force,
        /// Height above ground of that sum.
        at_height: Length,
        /// The pull that breaks it.
        breaks_at: Force,
        /// Safety factor asked for.
        safety_factor: f64,
        /// The post, as a catalogue id.
        post: String,
    },
    /// Strands hang higher than their posts stand.
    PostTooShort {
        /// The post, as a catalogue id.
        post: String,
        /// How many strands hang too high for it.
        strands: usize,
        /// How much of it stands above the ground.
        stands: Length,
        /// How many posts of the line are like it.
        posts: usize,
    },
    /// Posts that take the strain of a permanent fence of hard wire have no brace.
    NotBraced {
        /// Where they stand.
        stations: Vec<Length>,
        /// How many posts of the line take the strain.
        of: usize,
        /// Wires of the fence.
        wires: usize,
        /// The hardest pull on one of them, on the coldest day.
        pull: Force,
    },
    /// A line turns sharply again and again.
    TurnsOften {
        /// How many times.
        times: usize,
        /// How long the line is on the ground.
        over: Length,
    },
    /// The strands lift a post.
    LiftedOut {
        /// Where such posts stand on the line; the numbers are those of the worst.
        stations: Vec<Length>,
        /// Pull upwards of all strands.
        pull: Force,
        /// Of that, what its brace adds.
        by_brace: Force,
        /// What the ground holds, ultimate.
        capacity: Force,
        /// Safety factor asked for.
        safety_factor: f64,
        /// How deep the post stands.
        depth: Length,
        /// The post, as a catalogue id.
        post: String,
    },
    /// A strand pulls out of its insulator, upwards or downwards.
    PulledOff {
        /// Where it happens on the line; the numbers are those of the worst place.
        stations: Vec<Length>,
        /// Which strand, 0 the lowest.
        strand: usize,
        /// Its pull.
        pull: Force,
        /// What the insulator holds.
        holds: Force,
    },
    /// The cold tightens a strand so far that a knot or splice of it gives.
    TooTightInCold {
        /// Which strand, 0 the lowest.
        strand: usize,
        /// Its wire, as a catalogue id.
        wire: String,
        /// Tension as set.
        set: Force,
        /// Tension on the coldest day.
        cold: Force,
        /// What a knot or splice of it holds.
        joint: Force,
        /// The coldest day, degrees Celsius.
        coldest_c: f64,
    },
    /// Heat takes most of a strand's tension.
    SlackInHeat {
        /// Which strand, 0 the lowest.
        strand: usize,
        /// Tension as set.
        set: Force,
        /// Tension on the hottest day.
        hot: Force,
        /// The hottest day, degrees Celsius.
        hottest_c: f64,
    },
    /// A strand is set far below what is usual for its wire.
    SetSlack {
        /// Which strand, 0 the lowest.
        strand: usize,
        /// Its wire, as a catalogue id.
        wire: String,
        /// Tension as set.
        set: Force,
        /// What is usual.
        usual: Force,
        /// About how many posts it costs on this line.
        more_posts: usize,
    },
    /// A strainer at the middle of the length leaves too little at an end.
    EatenByFriction {
        /// What it would leave, 0 to 1.
        from_middle: f64,
        /// What a strainer where it should be leaves, 0 to 1.
        slackest_share: f64,
        /// Sum of the angles turned at posts, degrees.
        turned_deg: f64,
    },
    /// Soil, leaves or snow reach a strand.
    Buried {
        /// What lies there.
        by: Cover,
        /// How high it lies.
        cover: Length,
        /// Over this length of the line.
        over: Length,
        /// How many strands it reaches.
        strands: usize,
    },
    /// Piglets roll down, against the sow or out of the ark.
    SteepToFarrow,
    /// Pigs burn and overheat in the sun.
    NoShade,
    /// On a slope an animal below the fence finds a higher gap than the post says.
    HigherFromBelow {
        /// How steep the ground is across the line, per cent.
        slope_pct: f64,
        /// How far the animal stands away.
        reach: Length,
        /// The animal, as a catalogue id.
        animal: String,
        /// Over this length of the line.
        over: Length,
    },
    /// The nearest dip or rise leaves the band of the strand that is tightest.
    OutOfBand {
        /// How far its clearance may be off by the scatter of the grid.
        error: Length,
        /// Index of the strand, 0 the lowest.
        strand: usize,
        /// Catalogue id of the class that asks for the limit; `None` where no stock stands behind the line.
        animal: Option<String>,
    },
    /// The foot of netting stands off the ground over a dip between two stakes, or its top comes down over a rise.
    NetOverGround {
        /// How far it may be off by the scatter of the grid.
        error: Length,
        /// Catalogue id of the class that asks for the limit.
        animal: Option<String>,
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
    /// It lies so far from the middle of the map, which is that of the grid where there is one, that nothing can be worked out for it.
    OutOfReach {
        /// The middle of the map.
        middle: Position,
        /// The place that is too far from it.
        at: Position,
    },
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
    /// One elevation grid lies above those beneath it all over, as if their heights counted from different zeros.
    GridsApart {
        /// By how much; negative when it lies below.
        by: Length,
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
    /// A wire or a post stands higher than the rules allow near an overhead power line.
    HighNearOverheadLine {
        /// Kilovolts, when the plan says so.
        kv: Option<f64>,
        /// So far from its outermost conductor, on the map, wires stay low.
        within: Length,
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
    /// A fence does not hold the stock behind it, or holds it with something to know.
    DoesNotHold(Box<NotHeld>),
    /// A paddock with stock is not enclosed.
    NotEnclosed {
        /// Id of the stock group.
        group: String,
        /// The gap that would have to be closed: where it ends and how wide it is; `None` where no single gap is to blame.
        gap: Option<(Position, Length)>,
        /// Whether the plan has no fence at all.
        no_fence: bool,
    },
    /// The catalogue does not know the animals in a paddock.
    UnknownStock {
        /// Id of the stock group.
        group: String,
        /// Its class, where the plan says one.
        class: Option<String>,
    },
    /// Two paddocks lie in the same enclosed ground.
    SameGround {
        /// The other one's name.
        other: String,
    },
    /// Something stands on no line.
    OnNoLine {
        /// The word of its kind.
        kind: String,
        /// How far the nearest line is on the map; `None` without any.
        off: Option<Length>,
    },
    /// Netting is moved with the stock and taken down when it is empty.
    NetCare {
        /// How many lines are of it.
        lines: usize,
    },
}

/// Which stock a fence does not hold, and how.
#[derive(Clone, Debug, PartialEq)]
pub struct NotHeld {
    /// Id of the stock group; `None` where the build says what it is for.
    pub group: Option<String>,
    /// Catalogue id of the class.
    pub animal: String,
    /// What the fence parts it from, and whether somebody said so.
    pub purpose: (Purpose, PurposeBasis),
    /// The way out.
    pub way: WayOut,
    /// The strand that is too high or too low, or the upper one of the gap; `None` where it is about no strand.
    pub strand: Option<usize>,
    /// What it is worth.
    pub grade: Grade,
    /// From which day on; `None`: today.
    pub from: Option<Date>,
    /// Days until then.
    pub days_left: i32,
    /// What one of the animals weighs then, kilograms.
    pub weight_kg: f64,
    /// How tall it stands then.
    pub shoulder: Length,
    /// The first days on which the fence holds, from and to; `None` where it never does.
    pub holds: Option<(Date, Date)>,
    /// Whether it rests on one strand that the animals have learnt.
    pub single: bool,
    /// Whether it is netting.
    pub is_net: bool,
    /// How many lines have the same build for the same stock.
    pub lines: usize,
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

/// What lies against a fence.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Cover {
    /// Rooted soil and leaves.
    Soil,
    /// Snow.
    Snow,
}
