//! The head of the plan, its `hillwire` member: builds, ground, stock, prices.

use super::Layout;
use crate::units::{Force, Length};
use jiff::civil::Date;
use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// The version of the plan file's form that this program writes.
pub const PLAN_VERSION: u32 = 1;

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
#[derive(Clone, Debug, PartialEq)]
pub struct Head {
    /// Version of the plan file's form.
    pub version: u32,
    /// Name of the holding.
    pub name: String,
    /// Units for display.
    pub units: UnitSystem,
    /// Id of the code that holds here ([`crate::catalogue::Code`]); the general one when the plan leaves it out.
    pub code: Option<String>,
    /// Ground state, soil and vegetation where no zone says otherwise.
    pub ground: GroundChoice,
    /// Elevation grids, paths relative to the plan file.
    pub elevation: Vec<FileLink>,
    /// Air photos and other pictures, paths relative to the plan file.
    pub pictures: Vec<PictureLink>,
    /// Weather and build-up of the ground that fences are worked out for.
    pub season: Season,
    /// How lines are built.
    pub builds: Vec<Build>,
    /// Stock groups.
    pub stock: Vec<StockGroup>,
    /// Prices.
    pub prices: Prices,
    /// What is in the shed: catalogue id to amounts (metres of wire roll by roll, pieces of the rest).
    pub on_hand: BTreeMap<String, Vec<f64>>,
    /// Layouts that were set aside, to be held against the one that is drawn.
    pub layouts: Vec<Layout>,
    /// The keeper's own catalogue rows, as the catalogue's files have them.
    pub catalogue: Map<String, Value>,
    /// Members that this version does not know, kept as they came.
    pub foreign: Map<String, Value>,
}

impl Default for Head {
    fn default() -> Self {
        Self {
            version: PLAN_VERSION,
            name: String::new(),
            units: UnitSystem::default(),
            code: None,
            ground: GroundChoice::default(),
            elevation: Vec::new(),
            pictures: Vec::new(),
            season: Season::default(),
            builds: Vec::new(),
            stock: Vec::new(),
            prices: Prices::default(),
            on_hand: BTreeMap::new(),
            layouts: Vec::new(),
            catalogue: Map::new(),
            foreign: Map::new(),
        }
    }
}

/// A file that belongs to the plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FileLink {
    /// Its path, relative to the plan file.
    pub file: String,
    /// Members that this version does not know.
    pub foreign: Map<String, Value>,
}

impl From<&str> for FileLink {
    fn from(file: &str) -> Self {
        Self { file: file.to_owned(), foreign: Map::new() }
    }
}

/// An air photo under the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct PictureLink {
    /// Its path, relative to the plan file.
    pub file: String,
    /// How strongly it covers the shaded ground: 0 not at all, 1 wholly.
    pub strength: f64,
    /// Members that this version does not know.
    pub foreign: Map<String, Value>,
}

/// How strongly a picture covers the shaded ground when the plan does not say it: the relief still shows through.
pub const PICTURE_STRENGTH: f64 = 0.7;

impl Default for PictureLink {
    fn default() -> Self {
        Self { file: String::new(), strength: PICTURE_STRENGTH, foreign: Map::new() }
    }
}

impl From<&str> for PictureLink {
    fn from(file: &str) -> Self {
        Self { file: file.to_owned(), ..Self::default() }
    }
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
    /// Resistivity of the ground in its state, ohm metres, in place of the soil's.
    pub resistivity_ohm_m: Option<f64>,
    /// What a low live strand leaks in this state, microsiemens for a kilometre, in place of what the vegetation does.
    pub leakage_us_per_km: Option<f64>,
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
            resistivity_ohm_m: None,
            leakage_us_per_km: None,
            foreign: Map::new(),
        }
    }
}

/// Temperature at which strands are tensioned unless the plan says otherwise, degrees Celsius (`common-practice`).
pub const SET_TEMPERATURE_C: f64 = 15.0;
/// Coldest temperature a fence is worked out for unless the plan says otherwise, degrees Celsius (`common-practice`).
pub const COLDEST_TEMPERATURE_C: f64 = -15.0;
/// Hottest temperature of a wire in the sun unless the plan says otherwise, degrees Celsius (`common-practice`).
pub const HOTTEST_TEMPERATURE_C: f64 = 35.0;

/// Weather and build-up of the ground that fences are worked out for.
#[derive(Clone, Debug, PartialEq)]
pub struct Season {
    /// Temperature on the day the strands are tensioned, degrees Celsius.
    pub set_c: f64,
    /// Coldest, degrees Celsius.
    pub coldest_c: f64,
    /// Hottest of a wire in the sun, degrees Celsius.
    pub hottest_c: f64,
    /// How high rooted soil and leaves may lie along a line before somebody rakes; `None`: what the stock behind it usually does.
    pub build_up: Option<Length>,
    /// Snow that lies.
    pub snow: Length,
    /// Rain of the hardest hour in some ten years, mm/h; [`STORM_MM_PER_H`] when the plan leaves it out.
    pub storm_mm_per_h: Option<f64>,
    /// Members that this version does not know.
    pub foreign: Map<String, Value>,
}

/// Rain of the hardest hour in some ten years of a plan that does not say it, mm/h.
///
/// # Source
/// Key `common-practice`: 30 to 100, by the country; weather services publish it for every place.
pub const STORM_MM_PER_H: f64 = 60.0;

impl Default for Season {
    fn default() -> Self {
        Self {
            set_c: SET_TEMPERATURE_C,
            coldest_c: COLDEST_TEMPERATURE_C,
            hottest_c: HOTTEST_TEMPERATURE_C,
            build_up: None,
            snow: Length::ZERO,
            storm_mm_per_h: None,
            foreign: Map::new(),
        }
    }
}

/// The specification of a line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Build {
    /// Its id within the plan.
    pub id: String,
    /// Strands, the lowest first; none of netting.
    pub strands: Vec<Strand>,
    /// Netting in the place of strands.
    pub net: Option<Net>,
    /// Class of the catalogue that it is to keep out, or in where no stock stands behind it.
    pub class: Option<String>,
    /// Catalogue id of the line posts.
    pub line_post: String,
    /// Catalogue id of corner, end and gate posts.
    pub corner_post: String,
    /// Longest bay.
    pub max_bay: Length,
    /// Tension of each strand as set.
    pub tension: Force,
    /// Rate of the spring in each strand of each strain, N/m; `None` without springs.
    pub spring_n_per_m: Option<f64>,
    /// Whether there is such a spring at both ends of the strand, not one only.
    pub springs_at_both_ends: bool,
    /// How far up or down strands may be fixed off their height at a post to follow the ground; zero: never.
    pub drill: Length,
    /// What holding down a lifted post costs, in posts: where it is known, posts are placed so that both together cost least.
    pub hold_down_cost: Option<f64>,
    /// Whether it is to stand for good, with the safety factor of that.
    pub permanent: bool,
    /// Members that this version does not know.
    pub foreign: Map<String, Value>,
}

impl Build {
    /// How many springs are in each strand of each strain.
    pub fn springs(&self) -> u32 {
        match self.spring_n_per_m {
            None => 0,
            Some(_) if self.springs_at_both_ends => 2,
            Some(_) => 1,
        }
    }
}

/// Electric netting: one piece from the ground to its top.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Net {
    /// Catalogue id.
    pub row: String,
    /// Height of its top at the stakes.
    pub height: Length,
    /// Members that this version does not know.
    pub foreign: Map<String, Value>,
}

/// One wire of a build.
#[derive(Clone, Debug, Default, PartialEq)]
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
    /// A strand that carries the pulse, with the usual band.
    pub fn live(height: Length, wire: &str) -> Self {
        Self { height, wire: wire.to_owned(), live: true, band: None, foreign: Map::new() }
    }
    /// The clearance it must keep where nobody knows what it has to hold: its own band, else height -0.07 / +0.10 m (common practice, no source).
    pub fn clearance_band(&self) -> (Length, Length) {
        self.band.unwrap_or(((self.height - Length::metres(0.07)).max(Length::ZERO), self.height + Length::metres(0.10)))
    }
}

/// A group of animals.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StockGroup {
    /// Its id within the plan.
    pub id: String,
    /// Species (catalogue).
    pub species: String,
    /// Class within the species (catalogue); `None`: what fits its weight.
    pub class: Option<String>,
    /// Number of animals.
    pub head: u32,
    /// Mass of one, kg.
    pub weight_kg: Option<f64>,
    /// The day on which they weighed that.
    pub as_of: Option<Date>,
    /// What one puts on in a day, kg.
    pub gain_kg_per_day: Option<f64>,
    /// Members that this version does not know.
    pub foreign: Map<String, Value>,
}

/// What things cost.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Prices {
    /// ISO 4217 code.
    pub currency: String,
    /// Catalogue id to price of one (metre of wire, piece of the rest).
    pub items: BTreeMap<String, f64>,
    /// Catalogue id to the day its price was given.
    pub dates: BTreeMap<String, Date>,
    /// Members that this version does not know.
    pub foreign: Map<String, Value>,
}
