//! Why findings about the lay of the land matter, and what can be done about them: water, runners, thin and wet ground.

use crate::units::{Area, Length};

/// Why a finding about the lay of the land matters.
#[derive(Clone, Debug, PartialEq)]
pub enum Lay {
    /// Water crosses a line.
    WaterCrosses {
        /// The ground that drains there; `None` where the grid shows none and a stream is drawn.
        upslope: Option<Area>,
        /// The stream, when it is drawn.
        stream: Option<String>,
        /// Litres a second in a hard storm.
        peak_l_per_s: Option<f64>,
        /// Its rain, mm/h.
        storm_mm_per_h: f64,
        /// The width of the drawn stream, where the flow follows from that.
        by_width: Option<Length>,
        /// Whether the ground reaches the edge of what is known, so that more may come.
        from_beyond: bool,
    },
    /// The lay of the land makes ground probably wet; nobody has said so.
    ProbablyWet {
        /// Over this length of the line.
        over: Length,
    },
    /// The plan says that ground is wet.
    Wet {
        /// Over this length of the line.
        over: Length,
    },
    /// A flood of the channel below reaches the line.
    Floods {
        /// Over this length of the line.
        over: Length,
    },
    /// Pigs come near a stream or a channel that leads to one.
    NearStream {
        /// The stream, when it is drawn.
        stream: Option<String>,
        /// Slope of the ground at the fence, per cent.
        slope_pct: f64,
    },
    /// Rooted ground washes off.
    WashesOff {
        /// Longest way of the water down the paddock.
        run: Length,
        /// Where it goes.
        into: Receiver,
    },
    /// Rock lies close under the ground.
    ThinSoil {
        /// How deep it lies, the shallowest place.
        depth: Length,
        /// Over this length of the line.
        over: Length,
    },
    /// Ground so steep and rounded that soil hardly stays on it; nobody has said so.
    ProbablyThinSoil {
        /// Slope of the ground, per cent.
        slope_pct: f64,
        /// Over this length of the line.
        over: Length,
    },
    /// Running animals come together at a stretch of a line.
    RunTogether {
        /// Length over which they are counted.
        window: Length,
        /// Strikes on it in a year, of one start on every hectare of wood.
        strikes: f64,
        /// Mean speed on arriving, m/s.
        speed_m_per_s: f64,
        /// Mean slope they come down, per cent.
        slope_pct: f64,
        /// Whether no wood is drawn, so that they start everywhere alike.
        everywhere: bool,
        /// Whether a strand breaks at that speed.
        breaks: bool,
    },
}

/// Where water and soil of a paddock go.
#[derive(Clone, Debug, PartialEq)]
pub enum Receiver {
    /// To a stream that is drawn.
    Stream {
        /// Its name.
        name: String,
        /// How far below the paddock.
        away: Length,
    },
    /// To a channel that the grid shows.
    Channel {
        /// How far below the paddock.
        away: Length,
    },
    /// Off the known ground.
    OffTheGrid,
}

/// What can be done about the lay of the land.
#[derive(Clone, Debug, PartialEq)]
pub enum LayRemedy {
    /// Hang a curtain of its own over the water, fed through its own switch.
    Curtain {
        /// The opening that the water needs under it.
        opening: Option<Area>,
    },
    /// Let the strands over the water break away.
    BreakAway,
    /// Cross the water elsewhere.
    CrossElsewhere,
    /// Draw where it really is wet.
    DrawWet,
    /// Probe the soil and draw where the rock is shallow.
    ProbeRock,
    /// Pins grouted into rock, or posts in cribs.
    PostsForRock,
    /// Move the line up.
    MoveUp {
        /// By so much height.
        by: Length,
    },
    /// Keep the pigs farther from the water.
    KeepAway {
        /// This far.
        by: Length,
    },
    /// Ask what the local rules for water say.
    AskWaterRules,
    /// Give the ground rest and grass, and leave a strip of it at the bottom.
    RestAndStrip,
}
