//! What can be done about findings.

use super::{BiteRemedy, KeepingRemedy, LayRemedy, ReachRemedy};
use crate::land::Position;
use crate::units::{Force, Length};
use jiff::civil::Date;

/// Springs for strands that have none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NewSprings {
    /// Rate of each, N/m.
    pub rate_n_per_m: f64,
    /// One at both ends of each strand, instead of one in all.
    pub at_both_ends: bool,
}

/// What can be done about a finding, with its own number.
#[derive(Clone, Debug, PartialEq)]
pub enum Remedy {
    /// About the pulse.
    Bite(BiteRemedy),
    /// About law, neighbours or the daily work.
    Keeping(KeepingRemedy),
    /// About reaching and seeing a line from the tracks.
    Reach(ReachRemedy),
    /// About the lay of the land.
    Lay(LayRemedy),
    /// Move the line away from the foot of the slope.
    MoveOut {
        /// How far.
        by: Length,
    },
    /// Make the wire visible to running animals.
    MarkWire {
        /// Over this length.
        over: Length,
        /// Share of the strikes that would be left, where that is known, 0 to 1.
        leaves: Option<f64>,
    },
    /// A thicker post in its place holds.
    ThickerPost {
        /// Catalogue id.
        post: String,
        /// How deep it is set.
        depth: Length,
        /// What it holds, ultimate.
        capacity: Force,
    },
    /// The same post set deeper holds.
    DeeperPost {
        /// How deep.
        depth: Length,
        /// What it holds, ultimate.
        capacity: Force,
    },
    /// Taller posts of the same sort, all of them.
    TallerPosts {
        /// Catalogue id of those that are too short.
        from: String,
        /// Catalogue id of the taller ones.
        to: String,
    },
    /// Brace these posts with a rail to a second one each.
    BraceAll {
        /// Where they stand, and which corner of the line they are, if they are one.
        posts: Vec<(Length, Option<usize>)>,
        /// How far the second post stands away.
        brace: Length,
    },
    /// Tie a light post back to an anchor or a slanting stake behind it.
    TieBack {
        /// What the anchor has to hold.
        holds: Force,
    },
    /// Brace the post with a rail to a second one.
    Brace {
        /// Pull up on the braced post.
        uplift: Force,
        /// Compression of the rail.
        rail: Force,
        /// Tension of the brace wire.
        wire: Force,
        /// How far the second post stands away.
        brace: Length,
    },
    /// Move the corner to where the rock lies deeper.
    ShiftCorner {
        /// How far.
        by: Length,
        /// Where to.
        to: Position,
        /// How deep the post goes there.
        depth: Length,
    },
    /// Hang the line on a living tree, if one stands there.
    LivingTree,
    /// Hold posts down: an anchor each, or this weight of rock on it.
    HoldDown {
        /// At which stations, and kilograms of rock.
        posts: Vec<(Length, f64)>,
    },
    /// Put a spring into each strand of each strain.
    Spring {
        /// Its rate, N/m.
        spring_n_per_m: f64,
        /// Tension of the strand then, on the day that matters.
        tension: Force,
    },
    /// Put the strainers of the line here.
    StrainersAt {
        /// At these stations.
        stations: Vec<Length>,
    },
    /// Hang the lowest strand higher.
    RaiseLowest {
        /// At this height.
        to: Length,
    },
    /// Hang the lowest strand lower.
    LowerLowest {
        /// At this height.
        to: Length,
    },
    /// Set the ark level, its door along the slope, with a board that keeps small piglets in.
    LevelArk,
    /// Put a shelter into the paddock, and let breeding stock have a wallow.
    ShelterAndWallow,
    /// Rake soil and leaves away from under the lowest strand.
    Rake,
    /// Take the strands that lie in snow out of circuit.
    SwitchOff {
        /// How many, from below.
        strands: usize,
    },
    /// Where rock is near: a crib of rails filled with this much rock.
    Crib {
        /// Kilograms of rock.
        ballast_kg: f64,
    },
    /// No crib holds here: one that could be filled with enough rock would slide, or more rock would be needed than goes in.
    NoCribHolds {
        /// How steep the ground is.
        slope_pct: f64,
    },
    /// Lower the tension of every strand to this.
    LowerTension {
        /// Tension of each strand.
        tension: Force,
    },
    /// Let a lead-out hang with more sag, or put a spring into it: it holds nothing in.
    LooseSpan,
    /// Raise the tension of every strand to what is usual for its wire.
    RaiseTension {
        /// Tension of each strand.
        tension: Force,
    },
    /// Strain it on a cold day and let it sag in summer: it cannot be set so that it does neither.
    StrainInCold,
    /// Load a finer elevation grid.
    FinerGrid {
        /// Cell size that answers the question.
        cell: Length,
    },
    /// Walk it with a string and note the gaps.
    WalkIt,
    /// Load an elevation grid that covers the line.
    CoverLine,
    /// Ask the supplier of the grid in which unit its heights are.
    AskForUnit,
    /// Ask the suppliers of the grids from which zero their heights count, and use grids of one zero.
    AskForZero,
    /// Declare this height as void in the grid.
    DeclareVoid {
        /// The height, metres.
        height: f64,
    },
    /// Put a gate or stile that is not electrified where the way passes.
    GateOnWay,
    /// Put up warning signs on both sides of the way and along it.
    WarningSigns {
        /// No farther apart than this.
        every: Length,
    },
    /// Cross the overhead line squarely, underneath, with the wires low.
    CrossSquarely,
    /// Keep the fence and its leads low beside the overhead line.
    KeepWiresBelow {
        /// Highest wire above the ground.
        height: Length,
    },
    /// Hang it no higher than this, or lay it in the ground.
    LowerOrBury {
        /// Highest wire above the ground.
        height: Length,
    },
    /// Ask whoever runs the overhead line before any post is driven there.
    AskLineOperator,
    /// Fill the hollow with logs, stones and soil.
    FillHollow {
        /// Over this length.
        over: Length,
        /// How much, cubic metres.
        volume_m3: f64,
    },
    /// Move the line to where the ground is even.
    GoRound,
    /// Close the gap with rails or stones, or hang a curtain from the lowest strand.
    CloseDip {
        /// Whether no post goes in there.
        is_rock: bool,
        /// Height of the gap.
        under: Length,
    },
    /// Put posts into the dip or on the rise.
    AddPosts {
        /// At these stations.
        stations: Vec<Length>,
        /// How many of them are pins grouted into rock.
        in_rock: usize,
    },
    /// Put a spring into each strand of the strains that are hit.
    AddSprings {
        /// Which.
        springs: NewSprings,
        /// A station in its strain for each spring of a strand.
        at: Vec<Length>,
        /// The speed from which on it breaks then, m/s; `None`: nothing runs that fast.
        breaks_from_m_per_s: Option<f64>,
        /// Whether that ends what was found.
        ends: bool,
    },
    /// Use another wire.
    OtherWire {
        /// Its id.
        wire: String,
        /// With springs in each strand.
        springs: Option<NewSprings>,
        /// The speed from which on it breaks then, m/s; `None`: nothing runs that fast.
        breaks_from_m_per_s: Option<f64>,
        /// Whether that ends what was found.
        ends: bool,
    },
    /// Neither a wire of the catalogue nor a spring ends what was found.
    NoWireEndsIt,
    /// Keep spare insulators at hand and look here after every hit.
    SpareInsulators,
    /// Let strands that are dead, or return to the earth, carry the pulse.
    JoinStrands {
        /// Which, the lowest is 0.
        strands: Vec<usize>,
        /// Not before this day, where not at once.
        from: Option<Date>,
    },
    /// Hang one strand at another height.
    MoveStrand {
        /// Which, the lowest is 0.
        strand: usize,
        /// New height.
        to: Length,
        /// Not before this day, where not at once.
        from: Option<Date>,
    },
    /// Add one strand.
    AddStrand {
        /// Its height.
        at: Length,
        /// Not before this day, where not at once.
        from: Option<Date>,
    },
    /// Hang the strands at these heights, as is usual for such animals.
    HangStrands {
        /// The lowest first.
        heights: Vec<Length>,
        /// Not before this day, where not at once.
        from: Option<Date>,
    },
    /// Netting in the place of the strands.
    HangNet {
        /// Its height.
        height: Length,
    },
    /// Say whether the line is inside, at a boundary or beside a road.
    SayPurpose,
    /// Choose a species and a class that the catalogue has.
    SayClass,
    /// Keep animals there that have learnt the fence, at full voltage.
    OnlyTrained,
    /// A second fence outside this one.
    SecondFence,
    /// Close the gap between two places.
    CloseGap {
        /// How wide it is.
        width: Length,
    },
    /// Enclose the paddock with a closed line.
    Enclose,
    /// Part the ground with a line, or take one of the two paddocks away.
    PartGround,
    /// Move it onto a line, or take it away.
    OntoLine,
    /// Move the netting, and take it down when it is empty.
    TakeDownNet,
    /// Set a stake in the dip or on the rise, and peg the foot of the netting down.
    PegNetDown,
    /// Bring the stock somewhere else.
    MoveStock {
        /// Before this day; `None`: at once.
        before: Option<Date>,
    },
}
