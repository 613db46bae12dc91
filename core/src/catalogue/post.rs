//! Posts.

use super::RowSource;
use crate::units::{Length, Moment};
use serde::Deserialize;
use std::f64::consts::PI;

/// What a post is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PostMaterial {
    /// Softwood, round unless the row gives its own moment.
    Wood,
    /// Steel section or bar.
    Steel,
    /// Fibreglass rod or tube.
    Fibreglass,
    /// Plastic with a steel spike.
    Plastic,
    /// Dense hardwood that insulates by itself.
    Hardwood,
    /// Rails filled with rock: stands by its weight.
    Crib,
    /// A living tree.
    Tree,
}

/// Rupture stress of green softwood used for round posts, Pa: the least of clear green softwoods, rounded down.
///
/// Source key `wood-handbook` (lodgepole pine 38 MPa, loblolly pine 50 MPa clear and green; knots take some of it).
pub const SOFTWOOD_RUPTURE_PA: f64 = 30e6;

/// Bending moment that breaks a round post: `M = sigma pi D^3 / 32`.
///
/// # Units
/// `diameter_m` in metres, `rupture_pa` in pascals; the result in newton metres.
/// # Valid for
/// Solid round sections.
/// # Source
/// `statics`; stress in `wood-handbook`.
pub fn round_post_moment_nm(diameter_m: f64, rupture_pa: f64) -> f64 {
    rupture_pa * PI * diameter_m.powi(3) / 32.0
}

/// One post of the catalogue.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(try_from = "PostText")]
pub struct PostRow {
    /// Id in plans.
    pub id: String,
    /// What people call it.
    pub label: String,
    /// What it is.
    pub material: PostMaterial,
    /// Diameter, or the width that presses against the soil.
    pub width: Length,
    /// Whole length.
    pub length: Length,
    /// How deep it is usually set.
    pub depth: Length,
    /// Mass of one.
    pub mass_kg: f64,
    /// Bending moment that breaks it; `None` where it does not bend.
    pub moment: Option<Moment>,
    /// Catalogue id of what a strand hangs on; `None` where the post insulates by itself.
    pub insulator: Option<String>,
    /// What one costs the planner, in driven posts.
    pub place_cost: f64,
    /// What one costs the planner as a peg between posts, in driven posts; `None` where it does not serve as one.
    pub peg_cost: Option<f64>,
    /// Whether it is grouted into a hole in rock.
    pub in_rock: bool,
    /// Where the values come from.
    pub sources: RowSource,
}

/// What stands of a wood post above its highest strand: two inches.
///
/// # Source
/// Key `nrcs-iowa-92` (2 inches below the top of wood posts, 1 inch below that of steel ones).
pub const WOOD_TOP: Length = Length::metres(0.05);
/// The same of any other post: an inch.
///
/// # Source
/// Key `nrcs-iowa-92`.
pub const OTHER_TOP: Length = Length::metres(0.025);

impl PostRow {
    /// How much of it stands above the ground when it is set as deep as is usual.
    pub fn stands(&self) -> Length {
        self.length - self.depth
    }
    /// What has to stand of it above the highest strand.
    pub fn top_margin(&self) -> Length {
        if self.material == PostMaterial::Wood { WOOD_TOP } else { OTHER_TOP }
    }
    /// Whether a strand at this height hangs on it, set as deep as is usual.
    pub fn reaches(&self, height: Length) -> bool {
        self.stands() >= height + self.top_margin() - Length::metres(1e-6)
    }
    /// Whether it holds by being set in soil (a crib, a tree and a grouted pin do not).
    pub fn stands_in_soil(&self) -> bool {
        self.depth.as_metres() > 0.0 && !self.in_rock
    }
}

#[derive(Deserialize)]
struct PostText {
    id: String,
    label: String,
    material: PostMaterial,
    width_m: f64,
    length_m: f64,
    depth_m: f64,
    mass_kg: f64,
    moment_nm: Option<f64>,
    insulator: Option<String>,
    place_cost: f64,
    peg_cost: Option<f64>,
    #[serde(default)]
    in_rock: bool,
    #[serde(flatten)]
    sources: RowSource,
}

impl TryFrom<PostText> for PostRow {
    type Error = String;

    fn try_from(text: PostText) -> Result<Self, String> {
        if text.depth_m > text.length_m || text.width_m <= 0.0 {
            return Err(format!("post {}: deeper than it is long, or without a width", text.id));
        }
        let of_wood = (text.material == PostMaterial::Wood).then(|| round_post_moment_nm(text.width_m, SOFTWOOD_RUPTURE_PA));
        Ok(Self {
            moment: text.moment_nm.or(of_wood).map(Moment::newton_metres),
            id: text.id,
            label: text.label,
            material: text.material,
            width: Length::metres(text.width_m),
            length: Length::metres(text.length_m),
            depth: Length::metres(text.depth_m),
            mass_kg: text.mass_kg,
            insulator: text.insulator,
            place_cost: text.place_cost,
            peg_cost: text.peg_cost,
            in_rock: text.in_rock,
            sources: text.sources,
        })
    }
}
