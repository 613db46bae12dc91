//! What is known about one line once the ground, the build and the soil are known.

use crate::land::MapPoint;
use crate::plan::FeatureId;
use crate::units::{Elevation, Force, Length};

/// One point of a line's ground profile.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Where it is on the map.
    pub at: MapPoint,
    /// Distance along the line on the map, metres.
    pub plan_m: f64,
    /// Distance along the line on the ground, metres: the station.
    pub station_m: f64,
    /// Height of the ground, metres; `None` where the grid has none.
    pub ground_m: Option<f64>,
    /// How far that height may be off by the scatter of the grid: one deviation, metres.
    pub error_m: f64,
}

/// The ground under a line, from its start to its end.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// The line.
    pub line: FeatureId,
    /// Points along it, in order. Every corner is one of them.
    pub samples: Vec<Sample>,
    /// Indices into `samples` of the line's corners, first and last included.
    pub corners: Vec<usize>,
    /// Whether the line ends where it starts.
    pub closed: bool,
}

/// Lengths and slopes of a line.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LineMeasure {
    /// Length on the map.
    pub plan_length: Length,
    /// Length on the ground.
    pub ground_length: Length,
    /// Sum of rises.
    pub climb: Length,
    /// Sum of falls, positive.
    pub descent: Length,
    /// Steepest slope along the line over the profile's own pieces of at least 2 m, per cent, positive.
    pub steepest_pct: f64,
    /// Length on the map that has no ground in the grid.
    pub unknown: Length,
}

impl LineMeasure {
    /// Whether nothing is known of the heights along it: then its length on the ground is that on the map, and its rises say nothing.
    pub fn has_no_ground(&self) -> bool {
        self.unknown >= self.plan_length * 0.999
    }
}

/// A gate on a line.
#[derive(Clone, Debug, PartialEq)]
pub struct GatePlace {
    /// The gate.
    pub id: FeatureId,
    /// Distance along the line on the map to its middle, metres.
    pub plan_m: f64,
    /// Clear width.
    pub width: Length,
}

/// What holds a line: its posts and the bays between them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LineHold {
    /// Posts and pegs, in order; the first one of a closed line is not repeated at its end.
    pub posts: Vec<Post>,
    /// Bays, in order; a closed line has as many as posts, an open one fewer by one.
    pub bays: Vec<Bay>,
    /// Strains, in order.
    pub strains: Vec<Strain>,
    /// The strands, 0 the lowest, that decide where posts go: (over dips, over rises); `None` where strands may hang anywhere.
    pub tightest: Option<(usize, usize)>,
    /// What the first walk with the string is to be expected to ask for; `None` where nothing is known of that.
    pub on_walk: Option<OnWalk>,
    /// What posts at even bays would leave; `None` where nothing is to be kept.
    pub even: Option<EvenBays>,
    /// Length on the ground of the longest strain.
    pub longest_strain: Length,
    /// Lowest and highest clearance of each strand that posts were placed for, the lowest first; none of a lead-out and of netting.
    pub bands: Vec<(Length, Length)>,
}

/// Small hollows and humps that the grid does not tell from its own scatter.
#[derive(Clone, Debug, PartialEq)]
pub struct OnWalk {
    /// How many pegs are to be expected in them.
    pub pegs: f64,
    /// Catalogue id of a peg.
    pub post: String,
}

/// What a post is there for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PostRole {
    /// Holds the strands at their height.
    Line,
    /// Stands where the line turns.
    Corner,
    /// Stands where the line ends.
    End,
    /// Stands beside a gate.
    Gate,
    /// Strands are made off at it from both sides: a strain ends there and another one begins.
    Stretch,
    /// Stands in a dip and is pulled up.
    Dip,
    /// Stands on a rise and is pushed down.
    Rise,
    /// A light peg that holds the strands at their height between two posts, and bears no other load.
    Peg,
}

impl PostRole {
    /// All of them, as lists and legends name them.
    pub const ALL: [Self; 8] = [Self::Line, Self::Corner, Self::End, Self::Gate, Self::Stretch, Self::Dip, Self::Rise, Self::Peg];
}

/// Why a post stands where it stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PostWhy {
    /// The line ends there.
    End,
    /// The line turns there.
    Turn,
    /// A gate stands there.
    Gate,
    /// The keeper put it there.
    Pinned,
    /// Without it the bay would be longer than the build allows.
    LongestBay,
    /// Without it a strand would leave its band.
    Band {
        /// Which strand, 0 the lowest.
        strand: usize,
        /// How far the straight strand would be off its height above the ground: positive over a dip, negative over a rise.
        off: Length,
        /// At which station.
        at: Length,
    },
    /// A living tree stands there.
    Tree,
    /// Nobody knows the ground there.
    UnknownGround,
    /// It evens the bays, or keeps clear of where no post may stand.
    Spacing,
}

/// A length of strand between two posts that take its tension.
#[derive(Clone, Debug, PartialEq)]
pub struct Strain {
    /// Station of its first post.
    pub from: Length,
    /// Station of its last post; before the first one where it passes the start of a closed line.
    pub to: Length,
    /// Sum of the angles that strands turn at the posts between, up and down and sideways, radians.
    pub turned_rad: f64,
    /// Length of one strand from its first post to its last.
    pub strand: Length,
    /// Station of its strainer, one for each strand.
    pub strainer: Length,
    /// Springs in each of its strands.
    pub springs: u32,
    /// Share of the tension at a strainer that friction leaves at the slackest bay, 0 to 1.
    pub slackest_share: f64,
    /// Where that is.
    pub slackest_at: Length,
    /// What one strainer at the middle of the length would leave, 0 to 1.
    pub share_from_middle: f64,
}

impl Strain {
    /// Whether a station lies in it.
    pub fn contains(&self, station: Length) -> bool {
        let (after, before) = (station >= self.from, station <= self.to);
        if self.from < self.to { after && before } else { after || before }
    }
}

/// What posts at even bays would leave.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EvenBays {
    /// How many posts, at bays no longer than the build allows.
    pub posts: usize,
    /// Length on the map at which a strand would leave its band.
    pub out_of_band: Length,
    /// How far the straight strands would be off their height at the worst place: positive over a dip, negative over a rise.
    pub worst_off: Length,
    /// Its station.
    pub worst_at: Length,
}

/// One post.
#[derive(Clone, Debug, PartialEq)]
pub struct Post {
    /// Station.
    pub station: Length,
    /// Distance along the line on the map, metres.
    pub plan_m: f64,
    /// Where it is on the map.
    pub at: MapPoint,
    /// Height of the ground there.
    pub ground: Option<Elevation>,
    /// What it is there for.
    pub role: PostRole,
    /// Its row in the catalogue.
    pub post: String,
    /// Which corner of the line it stands on, if it stands on one.
    pub corner: Option<usize>,
    /// Whether the keeper braces it.
    pub braced: bool,
    /// Change of the line's direction on the map, degrees, 0 for straight on; an end has none.
    pub deflection_deg: Option<f64>,
    /// Why it stands here.
    pub why: PostWhy,
    /// Whether the keeper put it here.
    pub pinned: bool,
    /// Whether it is held down.
    pub held_down: bool,
    /// How far above (or below) their height its strands are fixed.
    pub off: Length,
    /// Pull upwards of all strands at the cold tension; negative presses down; zero where there is no ground in the grid.
    pub uplift: Force,
    /// What the ground holds upwards, ultimate.
    pub uplift_capacity: Option<Force>,
    /// Pull sideways (or along the line, at an end) of all strands at the cold tension.
    pub sideways: Force,
    /// Height above ground at which that pull acts.
    pub pull_height: Length,
    /// How steep the ground is there, degrees; `None` where it is not known.
    pub slope_deg: Option<f64>,
    /// How deep it can go: its usual depth, or the rock.
    pub depth: Length,
    /// What the ground holds sideways, ultimate (Broms).
    pub capacity: Option<Force>,
}

/// What one strand does in one bay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StrandGap {
    /// Height at the posts.
    pub height: Length,
    /// Smallest clearance over the ground in this bay, slackest strand.
    pub lowest_gap: Length,
    /// Its station.
    pub lowest_gap_at: Length,
    /// Largest clearance over the ground in this bay, tightest strand.
    pub highest_gap: Length,
    /// Its station.
    pub highest_gap_at: Length,
}

/// The ground between two neighbouring posts.
#[derive(Clone, Debug, PartialEq)]
pub struct Bay {
    /// Station of the first post.
    pub from: Length,
    /// Station of the second post.
    pub to: Length,
    /// Strands, the lowest first; empty in a gate and where there is no ground in the grid.
    pub strands: Vec<StrandGap>,
    /// The gate that opens it, if one does.
    pub gate: Option<FeatureId>,
    /// Share of the tension at the strainer that friction leaves here, 0 to 1.
    pub tension_share: f64,
    /// How far its clearances may be off by the scatter of the grid, e.
    pub error: Length,
    /// How steeply the ground rises to the left of the line across it, rise over run; `None` where it is not known.
    pub cross_slope: Option<f64>,
}
