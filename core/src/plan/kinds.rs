//! The kinds of drawn things with their own properties.

use super::GroundChoice;
use crate::catalogue::{Catalogue, Figures, Purpose, Vegetation};
use crate::units::{Elevation, Length};
use jiff::civil::Date;
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
    Energizer(Energizer),
    /// Earth rods.
    Earth {
        /// How many.
        rods: Option<u32>,
        /// Length of each.
        rod_length: Option<Length>,
        /// Diameter of each.
        rod_diameter: Option<Length>,
        /// Distance between them.
        spacing: Option<Length>,
    },
    /// A switch that takes a part of the fence out of circuit.
    Cutout {
        /// Whether it is open (off).
        open: bool,
    },
    /// Joins strands or lines electrically.
    Jumper(Jumper),
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
        /// Whether it runs in a pipe here, under a track for instance.
        culvert: bool,
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
    Paddock(Paddock),
    /// A height of the ground that somebody measured; it replaces the elevation grid close by.
    SpotHeight {
        /// The height.
        height: Elevation,
    },
    /// Drinking water.
    Water,
    /// Shelter.
    Shelter,
    /// A feeding place.
    Feed,
    /// A voltmeter value at a place and a time.
    Reading(Reading),
    /// Something wrong at a place.
    Fault(Fault),
    /// A photograph that was taken at a place.
    Photo(Photo),
    /// A living tree. Where it stands beside a fence it carries the strands in place of a post.
    Tree {
        /// How thick its trunk is at the height of the strands; thick enough when the plan leaves it out.
        diameter: Option<Length>,
    },
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
            Self::Jumper(_) => "jumper",
            Self::Track(_) => "track",
            Self::PublicWay { .. } => "public_way",
            Self::OverheadLine { .. } => "overhead_line",
            Self::Stream { .. } => "stream",
            Self::Boundary { .. } => "boundary",
            Self::Building { .. } => "building",
            Self::Zone(_) => "zone",
            Self::Paddock(_) => "paddock",
            Self::SpotHeight { .. } => "spot_height",
            Self::Water => "water",
            Self::Shelter => "shelter",
            Self::Feed => "feed",
            Self::Reading(_) => "reading",
            Self::Fault(_) => "fault",
            Self::Photo(_) => "photo",
            Self::Tree { .. } => "tree",
            Self::Mark => "mark",
            Self::Other(word) => return word.as_deref(),
        })
    }
    /// Whether it is an entry of the log: what was found at a place at a time, which keeps that place whatever becomes of the lines.
    pub fn is_log_entry(&self) -> bool {
        matches!(self, Self::Reading(_) | Self::Fault(_) | Self::Photo(_))
    }
    /// The line that an entry of the log names.
    pub fn entry_line(&self) -> Option<&EntryLine> {
        match self {
            Self::Reading(Reading { of, .. }) | Self::Fault(Fault { of, .. }) | Self::Photo(Photo { of, .. }) => Some(of),
            _ => None,
        }
    }
    /// The same, to be changed.
    pub fn entry_line_mut(&mut self) -> Option<&mut EntryLine> {
        match self {
            Self::Reading(Reading { of, .. }) | Self::Fault(Fault { of, .. }) | Self::Photo(Photo { of, .. }) => Some(of),
            _ => None,
        }
    }
    /// Whether it is a line that carries strands: a fence or a lead-out.
    pub fn carries_strands(&self) -> bool {
        matches!(self, Self::Fence(_) | Self::LeadOut(_))
    }
    /// What grows along it: its own word, else along a fence the plan's, else nothing.
    pub fn vegetation(&self, ground: &GroundChoice) -> Vegetation {
        let word = match self {
            Self::Fence(fence) => Some(fence.vegetation.as_ref().unwrap_or(&ground.vegetation)),
            Self::LeadOut(lead_out) => lead_out.vegetation.as_ref(),
            _ => None,
        };
        word.and_then(|word| Vegetation::from_word(word)).unwrap_or(Vegetation::Clear)
    }
}

/// Own properties of a fence line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Fence {
    /// Id of its build.
    pub build: String,
    /// What the keeper decided about single corners; the key is the corner's index in the line.
    pub corners: BTreeMap<usize, CornerChoice>,
    /// Stations at which the keeper wants a post.
    pub posts: Vec<Length>,
    /// Stations at which the keeper wants none.
    pub no_posts: Vec<Length>,
    /// Stations of posts that are held down.
    pub hold_downs: Vec<Length>,
    /// Stations of posts that are braced and stand at no corner: beside gates, and where strains end along the line.
    pub braces: Vec<Length>,
    /// Stations of springs beside those of its build: each strand of the strain that a station lies in has one.
    pub springs: Vec<Length>,
    /// clear, light, heavy or overgrown, where it is not as in the rest of the plan.
    pub vegetation: Option<String>,
    /// Whether it is inside, at a boundary or beside a road; guessed when the plan leaves it out.
    pub purpose: Option<Purpose>,
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
    /// How deep it is set, instead of the usual depth.
    pub depth: Option<Length>,
    /// Members that this version does not know.
    pub foreign: Map<String, Value>,
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
    /// Whether one wire more leads back from the earth-return strands of the fence to the energizer's earth.
    pub earth_return: bool,
    /// clear, light, heavy or overgrown; clear when the plan leaves it out, for a lead-out is kept free.
    pub vegetation: Option<String>,
}

impl LeadOut {
    /// How many wires it has: those that carry the pulse, and the one that leads back.
    pub fn wires(&self) -> u32 {
        self.conductors.unwrap_or(1) + u32::from(self.earth_return)
    }
}

/// Own properties of an energizer: a class, and what is printed on the unit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Energizer {
    /// Catalogue id of its class.
    pub model: Option<String>,
    /// Energy that it stores for a pulse, J.
    pub stored_j: Option<f64>,
    /// Energy into 500 ohm, J.
    pub output_j: Option<f64>,
    /// Peak with nothing connected, kV.
    pub open_kv: Option<f64>,
    /// Peak at 500 ohm, kV.
    pub at_500_ohm_kv: Option<f64>,
}

impl Energizer {
    /// What it is worked out with: its own figures, each before that of its class. `None` while stored energy or one of the peaks is known
    /// from neither. The class's output counts only for a unit without figures of its own: it would contradict them.
    pub fn figures(&self, rows: &Catalogue) -> Option<Figures> {
        let class = self.model.as_deref().and_then(|id| rows.energizer(id)).map(|row| row.figures);
        let own = self.stored_j.or(self.open_kv).or(self.at_500_ohm_kv).is_some();
        Some(Figures {
            stored_j: self.stored_j.or(class.map(|class| class.stored_j))?,
            output_j: self.output_j.or(class.filter(|_| !own).and_then(|class| class.output_j)),
            open_kv: self.open_kv.or(class.map(|class| class.open_kv))?,
            at_500_ohm_kv: self.at_500_ohm_kv.or(class.map(|class| class.at_500_ohm_kv))?,
        })
    }
}

/// Earth rods of a plan that does not say how many (`common-practice`).
pub const EARTH_RODS: u32 = 3;
/// Length of an earth rod of a plan that does not say it (`common-practice`).
pub const EARTH_ROD_LENGTH: Length = Length::metres(1.8);
/// Diameter of an earth rod of a plan that does not say it (`common-practice`).
pub const EARTH_ROD_DIAMETER: Length = Length::metres(0.016);
/// Distance between earth rods of a plan that does not say it (`earth-rod-sheet`).
pub const EARTH_ROD_SPACING: Length = Length::metres(3.0);

/// Own properties of a jumper.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Jumper {
    /// Numbers of the strands that it joins, 1 the lowest; empty: every live strand.
    pub strands: Vec<u32>,
    /// Ids of the lines that it joins; empty: every line that it touches.
    pub lines: Vec<String>,
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
    /// Catalogue id of the wire of its crossing; `hv-cable` when the plan leaves it out.
    pub cable: Option<String>,
}

/// Own properties of a paddock.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Paddock {
    /// Id of the stock group in it.
    pub stock: Option<String>,
    /// The day the stock comes.
    pub from: Option<Date>,
    /// The day it leaves.
    pub until: Option<Date>,
    /// What its outer lines part it from; guessed when the plan leaves it out.
    pub purpose: Option<Purpose>,
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

/// Which line an entry of the log is about, and how far off it was written down.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct EntryLine {
    /// Id of the line; the one it stands on when the plan leaves it out.
    pub line: Option<String>,
    /// How far off that line it stood when it was written down: a satellite receiver is metres off. None when the plan leaves it out.
    pub off: Option<Length>,
}

/// A photograph.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Photo {
    /// Its file, relative to the plan.
    pub file: Option<String>,
    /// When it was taken, in RFC 3339 form.
    pub at_time: Option<String>,
    /// The line it is about.
    pub of: EntryLine,
}

/// A voltmeter value at a place and a time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reading {
    /// Kilovolts.
    pub kv: Option<f64>,
    /// Amperes.
    pub amp: Option<f64>,
    /// Which way the current flows, in the keeper's words.
    pub direction: Option<String>,
    /// When, in RFC 3339 form.
    pub at_time: Option<String>,
    /// The instrument.
    pub meter: Option<String>,
    /// Whether the energizer was on.
    pub energizer_on: Option<bool>,
    /// The state of the ground then: dry, damp, wet or frozen.
    pub ground: Option<String>,
    /// The line it was taken on.
    pub of: EntryLine,
}

/// Something wrong at a place.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Fault {
    /// contact, break, slack, sunk, post, insulator, joint, water gap ...
    pub what: Option<String>,
    /// When it was seen, in RFC 3339 form.
    pub seen: Option<String>,
    /// When it was mended, in RFC 3339 form.
    pub mended: Option<String>,
    /// How many minutes mending took.
    pub minutes: Option<f64>,
    /// Its resistance, ohm: to the ground of a contact, along the strand of a joint.
    pub ohm: Option<f64>,
    /// What mending it took, in the keeper's words.
    pub parts: Option<String>,
    /// A photograph of it, relative to the plan.
    pub photo: Option<String>,
    /// The line it is on.
    pub of: EntryLine,
}

impl Fault {
    /// Whether it still stands: nobody has mended it.
    pub fn is_active(&self) -> bool {
        self.mended.is_none()
    }
}
