//! Why findings about the pulse matter, and what can be done about them.

use crate::plan::FeatureId;
use crate::units::Length;

/// Why a finding about the pulse matters. Voltages are peaks in volts, in wet ground where nothing else is said.
#[derive(Clone, Debug, PartialEq)]
pub enum Bite {
    /// The animals behind a line get less than they mind.
    TooLittle {
        /// Catalogue id of the animal.
        animal: String,
        /// The state of the ground that is worst: a word of plans.
        state: &'static str,
        /// The state that the plan says and what the animal gets there then, where that is another.
        own: Option<(&'static str, f64)>,
        /// What a meter reads there.
        open_v: f64,
        /// What the animal gets there.
        felt_v: f64,
        /// What it minds.
        least_v: f64,
    },
    /// They get what they mind, and hardly more.
    ThinMargin {
        /// Catalogue id of the animal.
        animal: String,
        /// The state of the ground that is worst: a word of plans.
        state: &'static str,
        /// What a meter reads there.
        open_v: f64,
        /// What the animal gets there.
        felt_v: f64,
        /// What is asked for it.
        asked_v: f64,
    },
    /// No pulse gets to a line, or to a part of it.
    NotFed(Unfed),
    /// The earth takes a good part of the pulse.
    WeakEarth {
        /// The state of the ground that it is judged in: a word of plans.
        state: &'static str,
        /// Its resistance then, ohm.
        ohm: f64,
        /// How many rods it has.
        rods: usize,
        /// Share of the pulse that stays there when 500 ohm are touched, 0 to 1.
        share: f64,
    },
    /// No earth is drawn.
    NoEarth,
    /// The lead-out takes a good part of the pulse.
    ThinLeadOut {
        /// Over 500 ohm at its start.
        start_v: f64,
        /// Over 500 ohm at its end.
        end_v: f64,
    },
    /// An impulse lasts longer than any may.
    TooLong {
        /// How long, seconds.
        duration_s: f64,
        /// The longest, seconds.
        longest_s: f64,
    },
    /// A peak higher than is usual, with nothing connected.
    HighPeak {
        /// The peak, volts.
        open_v: f64,
        /// What is usual, volts.
        usual_v: f64,
    },
    /// An impulse is more than the standard allows in either of its two ways.
    OverLimit {
        /// Energy in 500 ohm, joules.
        energy_j: f64,
        /// Most of it for a unit limited by its energy.
        most_energy_j: f64,
        /// How long the impulse lasts, seconds.
        duration_s: f64,
        /// Root-mean-square current in the impulse, amperes.
        current_a: f64,
        /// Most of it for an impulse as long, amperes.
        most_current_a: f64,
    },
    /// No unit can have these figures together.
    Contradiction {
        /// How much of what it stores would have to come out, in times.
        times: f64,
    },
    /// A smaller energizer would do.
    LargerThanNeeded {
        /// Catalogue id of the smaller one.
        model: String,
        /// How many times what they mind the animals would still get at least.
        times: f64,
    },
    /// A second energizer on the same wires.
    TwoEnergizers {
        /// The other one.
        other: FeatureId,
    },
    /// Fences of two energizers come near each other.
    FencesTooNear {
        /// The other line.
        other: FeatureId,
    },
    /// Earth rods near another earth.
    EarthTooNear {
        /// The building with mains.
        building: FeatureId,
    },
}

/// Why no pulse gets somewhere.
#[derive(Clone, Debug, PartialEq)]
pub enum Unfed {
    /// The plan has no energizer.
    NoEnergizer,
    /// Nothing is known of the energizer, or its figures contradict each other.
    UnknownEnergizer(FeatureId),
    /// The energizer stands on no line.
    FarFromLines(FeatureId),
    /// Not one strand of the build is live.
    NoLiveStrand,
    /// Both sides of a gate are fed, but not through it.
    OpenAt {
        /// The gate.
        gate: FeatureId,
    },
    /// Nothing joins the line to those that are fed.
    CutOff {
        /// How much of the line.
        over: Length,
    },
}

/// What can be done about the pulse.
#[derive(Clone, Debug, PartialEq)]
pub enum BiteRemedy {
    /// A change of the plan, with what it brings.
    Change(BiteChange, Option<Brings>),
    /// Read it when it is wet, and keep growth off the strands.
    ReadAndClear,
    /// Draw a lead-out from the energizer to the fence, or a jumper to the line.
    LeadTo,
    /// Place an energizer.
    PlaceEnergizer,
    /// Choose its class, or type what is printed on it.
    SayFigures,
    /// Draw the earth rods.
    PlaceEarth,
    /// Rods in the dampest ground there is, or clay around them.
    DampPlace,
    /// None of the changes that were tried reaches what the animals mind.
    NothingReaches,
    /// Take one of two energizers away, or part the wires for good.
    OneEnergizer,
    /// Keep apart by this much at least.
    KeepApart(Length),
    /// Use a unit within the standard.
    UnitWithinStandard,
}

/// A change of the plan that changes the pulse.
#[derive(Clone, Debug, PartialEq)]
pub enum BiteChange {
    /// So many earth rods in all.
    Rods {
        /// The earth.
        earth: FeatureId,
        /// How many.
        count: u32,
        /// How long each, where they have to be longer than they are.
        length: Option<Length>,
    },
    /// Earth-return strands along every fence, a wire more in the lead-outs, and rods along them.
    EarthReturn,
    /// The energizer with its rods at the far end of its lead-out, which is taken down.
    UnitNearer {
        /// The energizer.
        energizer: FeatureId,
    },
    /// Several of them.
    Together(Vec<BiteChange>),
    /// Another wire for a lead-out.
    LeadOutWire {
        /// The lead-out.
        line: FeatureId,
        /// Catalogue id.
        wire: String,
    },
    /// So many conductors of a lead-out.
    Conductors {
        /// The lead-out.
        line: FeatureId,
        /// How many.
        count: u32,
    },
    /// Another class of energizer.
    Model {
        /// The energizer.
        energizer: FeatureId,
        /// Catalogue id.
        model: String,
    },
    /// Another wire for the live strands of a build.
    StrandWire {
        /// The build.
        build: String,
        /// Catalogue id.
        wire: String,
    },
    /// Growth kept down to this, along all lines.
    Growth {
        /// The word in plans.
        vegetation: String,
    },
    /// All faults mended.
    FaultsMended,
    /// A cable under a gate.
    Crossing {
        /// The gate.
        gate: FeatureId,
    },
    /// A cut-out closed.
    Closed {
        /// The cut-out.
        cutout: FeatureId,
    },
}

/// What arrives at the far end after a change, volts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Brings {
    /// In this state of the ground: a word of plans.
    pub state: &'static str,
    /// What a meter reads.
    pub open_v: f64,
    /// Over 500 ohm.
    pub loaded_v: f64,
    /// The least any animal gets of what is asked for it, in times, in the worst state of the ground; `None` without stock.
    pub times: Option<f64>,
}

impl BiteChange {
    /// Whether somebody has to do it outside before the plan may say so: growth is cut, faults are mended, a unit at the field needs mains or a battery.
    pub fn is_outside(&self) -> bool {
        match self {
            Self::Growth { .. } | Self::FaultsMended | Self::UnitNearer { .. } => true,
            Self::Together(all) => all.iter().any(Self::is_outside),
            _ => false,
        }
    }
}
