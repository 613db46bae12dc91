//! Which peg goes between the posts of a build, what it costs beside a post, what it holds.

use super::verdict::{lifting_capacity, lifting_factor};
use super::{FootingMap, Specification};
use crate::catalogue::{Catalogue, PostRow};
use crate::plan::Prices;
use crate::units::{Force, Length};

/// What must stand of a peg above the highest strand, metres (`common-practice`).
const PEG_TOP_M: f64 = 0.05;
/// What a peg costs at least and at most beside a post, whatever the price list says: it has to be carried and set as well (`common-practice`).
const COSTS: (f64, f64) = (0.1, 5.0);
const THOUSANDTHS: f64 = 1000.0;

/// The peg of a build.
#[derive(Clone, Copy, Debug)]
pub struct Peg<'a> {
    /// Its row in the catalogue.
    pub row: &'a PostRow,
    /// What one costs, in thousandths of a line post.
    pub cost: u32,
    /// What it holds upwards with its safety.
    pub holds: Force,
}

impl<'a> Peg<'a> {
    /// The cheapest peg that carries every strand of a build and holds the pull of strands in the shallowest hollow that would need one; where none
    /// holds that, the one that holds most. `None` for a build whose line posts are as light as pegs, whose strands hang higher than any peg
    /// stands, or may hang anywhere.
    ///
    /// # Units
    /// The pull in a hollow of depth b in the middle of a bay L: `V = 4 T b / L`, newtons.
    /// # Valid for
    /// Straight lines: what pulls sideways is no place for a peg.
    /// # Source
    /// `statics`; prices of the plan where it has both, else of the catalogue.
    pub fn of(specification: &Specification, ground: &FootingMap, prices: &Prices, catalogue: &'a Catalogue) -> Option<Self> {
        let line_post = specification.line_post;
        let depth_m = specification.hanging.band_m().1;
        let top = specification.strands.iter().map(|strand| strand.height).fold(Length::ZERO, Length::max);
        if line_post.peg_cost.is_some() || !depth_m.is_finite() {
            return None;
        }
        let wanted = specification.cold() * (4.0 * depth_m / specification.longest_bay.as_metres());
        let peg = |row: &'a PostRow| {
            let is_tall = row.length - row.depth >= top + Length::metres(PEG_TOP_M);
            let usual = row.peg_cost.filter(|_| is_tall)?;
            let priced = prices.items.get(&row.id).zip(prices.items.get(&line_post.id)).filter(|(_, post)| **post > 0.0);
            let cost = priced.map_or(usual / line_post.place_cost.max(COSTS.0), |(peg, post)| peg / post);
            let holds = lifting_capacity(row, row.depth, &ground.everywhere())? / lifting_factor(row);
            Some(Self { row, cost: (cost.clamp(COSTS.0, COSTS.1) * THOUSANDTHS).round() as u32, holds })
        };
        let all: Vec<Self> = catalogue.posts.iter().filter_map(peg).collect();
        let strong = all.iter().filter(|peg| peg.holds >= wanted).min_by_key(|peg| peg.cost);
        strong.or_else(|| all.iter().max_by(|a, b| a.holds.as_newtons().total_cmp(&b.holds.as_newtons()))).copied()
    }
}
