//! The kinds of drawn things with their own properties, and the head of the plan: builds, ground, stock, prices.

use crate::units::{Force, Length};
use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// What a feature is. The words in the file are the variants' names in snake_case.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// A fence line.
    Fence(Fence),
    /// The insulated run from the energizer to the fence.
    LeadOut(LeadOut),
    /// An opening in a fence.
    Gate(Gate),
    /// Where the energizer stands.
    Energizer {
        /// Catalogue id.
        model: Option<String>,
    },
    /// Earth rods.
    Earth {
        /// How many.
        rods: Option<u32>,
        /// Length of each.
        rod_length: Option<Length>,
        /// Distance between them.
        spacing: Option<Length>,
    },
    /// A switch that takes a part of the fence out of circuit.
    Cutout {
        /// Whether it is open (off).
        open: bool,
    },
    /// A track.
    Track(Track),
    /// A way that the public may use.
    PublicWay {
        /// foot, horse or road.
        use_by: Option<String>,
    },
    /// An overhead power line.
    OverheadLine {
        /// Kilovolts.
        kv: Option<f64>,
        /// Height of the lowest conductor.
        wire_height: Option<Length>,
    },
    /// A stream.
    Stream {
        /// Width.
        width: Option<Length>,
        /// Whether it dries up.
        seasonal: bool,
    },
    /// Where the holding ends.
    Boundary {
        /// Whose land is beyond.
        neighbour: Option<String>,
    },
    /// A building.
    Building {
        /// Whether it has mains electricity.
        mains: bool,
    },
    /// Ground of one sort.
    Zone(Zone),
    /// A point inside the ground that lines enclose.
    Paddock {
        /// Which stock groups.
        stock: Option<String>,
    },
    /// Drinking water.
    Water,
    /// Shelter.
    Shelter,
    /// A feeding place.
    Feed,
    /// Something the keeper wants to see on the map.
    Mark,
    /// A kind that this version reads, keeps and draws grey: its word, or `None` for a feature without a kind.
    Other(Option<String>),
}

impl Kind {
    /// The word in the plan file; `None` for a feature without a kind.
    pub fn word(&self) -> Option<&str> {
        Some(match self {
            Self::Fence(_) => "fence",
            Self::LeadOut(_) => "lead_out",
            Self::Gate(_) => "gate",
            Self::Energizer { .. } => "energizer",
            Self::Earth { .. } => "earth",
            Self::Cutout { .. } => "cutout",
            Self::Track(_) => "track",
            Self::PublicWay { .. } => "public_way",
            Self::OverheadLine { .. } => "overhead_line",
            Self::Stream { .. } => "stream",
            Self::Boundary { .. } => "boundary",
            Self::Building { .. } => "building",
            Self::Zone(_) => "zone",
            Self::Paddock { .. } => "paddock",
            Self::Water => "water",
            Self::Shelter => "shelter",
            Self::Feed => "feed",
            Self::Mark => "mark",
            Self::Other(word) => return word.as_deref(),
        })
    }
    /// Whether it is a line that carries strands: a fence or a lead-out.
    pub fn carries_strands(&self) -> bool {
        matches!(self, Self::Fence(_) | Self::LeadOut(_))
    }
}

/// Own properties of a fence line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Fence {
    /// Id of its build.
    pub build: String,
    /// What the keeper decided about single corners; the key is the corner's index in the line.
    pub corners: BTreeMap<usize, CornerChoice>,
}

/// What the keeper decided about one corner or end post.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CornerChoice {
    /// Catalogue id of the post, instead of the build's.
    pub post: Option<String>,
    /// Whether it is braced.
    pub brace: Option<bool>,
    /// How deep the rock is here.
    pub rock_depth: Option<Length>,
}

/// Own properties of a lead-out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LeadOut {
    /// Catalogue id of its wire.
    pub wire: Option<String>,
    /// How many parallel conductors; 1 when the plan leaves it out.
    pub conductors: Option<u32>,
    /// Height above ground.
    pub height: Option<Length>,
    /// Distance between its posts.
    pub spacing: Option<Length>,
    /// Whether it lies in the ground.
    pub underground: bool,
}

/// Own properties of a gate.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Gate {
    /// Clear width; 3.6 m when the plan leaves it out.
    pub width: Option<Length>,
    /// Whether its strands are live.
    pub live: Option<bool>,
    /// How the pulse gets across: underground, overhead, none.
    pub crossing: Option<String>,
}

/// Own properties of a track.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Track {
    /// What it is made of, in the keeper's words.
    pub surface: Option<String>,
    /// Width.
    pub width: Option<Length>,
    /// What can go along it: none, foot, utility, tractor. `utility` when the plan leaves it out.
    pub vehicle: Option<String>,
}

/// Ground of one sort.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Zone {
    /// soil, rock, wet, wood, crop or keep_out.
    pub of: String,
    /// A soil's catalogue id, the rock's depth in metres, ... as text or number.
    pub value: Option<Value>,
}

/// Metric or US customary, for display only.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum UnitSystem {
    /// Metres, newtons.
    #[default]
    Metric,
    /// Feet, pounds.
    Us,
}

/// What the plan file keeps in its `hillwire` member.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Head {
    /// Version of the plan file's form.
    pub version: u32,
    /// Name of the holding.
    pub name: String,
    /// Units for display.
    pub units: UnitSystem,
    /// Ground state, soil and vegetation where no zone says otherwise.
    pub ground: GroundChoice,
    /// Elevation grids, paths relative to the plan file.
    pub elevation: Vec<String>,
    /// How lines are built.
    pub builds: Vec<Build>,
    /// Stock groups.
    pub stock: Vec<StockGroup>,
    /// Prices.
    pub prices: Prices,
    /// What is in the shed: catalogue id to amount (metres of wire, pieces of the rest).
    pub on_hand: BTreeMap<String, f64>,
    /// Members that this version does not know, kept as they came.
    pub foreign: Map<String, Value>,
}

/// Ground state, soil and vegetation of the whole plan.
#[derive(Clone, Debug, PartialEq)]
pub struct GroundChoice {
    /// dry, damp, wet or frozen.
    pub state: String,
    /// Catalogue id of the soil.
    pub soil: String,
    /// clear, light, heavy or overgrown.
    pub vegetation: String,
    /// How deep the rock is; `None` when it is out of reach.
    pub rock_depth: Option<Length>,
    /// Members that this version does not know.
    pub foreign: Map<String, Value>,
}

impl Default for GroundChoice {
    fn default() -> Self {
        Self {
            state: "damp".to_owned(),
            soil: "loam".to_owned(),
            vegetation: "light".to_owned(),
            rock_depth: None,
            foreign: Map::new(),
        }
    }
}

/// The specification of a line.
#[derive(Clone, Debug, PartialEq)]
pub struct Build {
    /// Its id within the plan.
    pub id: String,
    /// Strands, the lowest first.
    pub strands: Vec<Strand>,
    /// Catalogue id of the line posts.
    pub line_post: String,
    /// Catalogue id of corner, end and gate posts.
    pub corner_post: String,
    /// Longest bay.
    pub max_bay: Length,
    /// Tension of each strand as set.
    pub tension: Force,
    /// Members that this version does not know.
    pub foreign: Map<String, Value>,
}

/// One wire of a build.
#[derive(Clone, Debug, PartialEq)]
pub struct Strand {
    /// Height above ground at the posts.
    pub height: Length,
    /// Catalogue id of its wire.
    pub wire: String,
    /// Whether it carries the pulse (else it returns to earth).
    pub live: bool,
    /// Lowest and highest clearance it may have over the ground, when the plan says so.
    pub band: Option<(Length, Length)>,
    /// Members that this version does not know.
    pub foreign: Map<String, Value>,
}

impl Strand {
    /// The clearance it must keep: its own band, else height -0.07 / +0.10 m (plan-file.md; common practice, no source).
    pub fn clearance_band(&self) -> (Length, Length) {
        self.band.unwrap_or((self.height - Length::metres(0.07), self.height + Length::metres(0.10)))
    }
}

/// A group of animals.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StockGroup {
    /// Its id within the plan.
    pub id: String,
    /// Species (catalogue).
    pub species: String,
    /// Number of animals.
    pub head: u32,
    /// Members of the group kept as they came (weight, date, gain ...).
    pub foreign: Map<String, Value>,
}

/// What things cost.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Prices {
    /// ISO 4217 code.
    pub currency: String,
    /// Catalogue id to price of one (metre of wire, piece of the rest).
    pub items: BTreeMap<String, f64>,
}
