//! Whether a corner, end or gate post holds, and what would make it hold.

use super::corner::{Crib, brace_forces, usual_crib_kg};
use super::embedment::{SetPost, breaking_in_clay_n, breaking_in_sand_n, broms_clay_n, broms_sand_n, uplift_capacity_n};
use super::results::Post;
use super::{Footing, Specification};
use crate::catalogue::{Catalogue, PostMaterial, PostRow};
use crate::finding::Remedy;
use crate::units::{Force, GRAVITY_M_PER_S2, Length};

/// What the ground must hold, in times the pull: a fence that is looked after and may be moved (`common-practice`).
pub const SAFETY_FACTOR: f64 = 2.0;
/// The same for a fence that is to stand for good (`common-practice`).
pub const SAFETY_FACTOR_PERMANENT: f64 = 3.0;
/// What a post must bear before it breaks, in times the pull: wood's rupture stress used to 20 of 30 MPa (`common-practice`).
pub const BENDING_SAFETY_FACTOR: f64 = 1.5;

/// A post grouted into rock.
const SOCKET_POST: &str = "rock-socket";
/// Length of the usual brace, metres (`common-practice`).
pub const BRACE_M: f64 = 2.4;
/// Height of the usual brace rail, metres (`common-practice`).
pub const RAIL_HEIGHT_M: f64 = 0.75;
/// Where rock is nearer than this, posts of a brace find no ground either, metres (`common-practice`).
const SHALLOW_ROCK_M: f64 = 0.6;
/// What must stand of a post above its highest strand, metres (`common-practice`).
const POST_TOP_M: f64 = 0.05;
/// Nobody digs a fence post deeper than this by hand, metres (`common-practice`).
const DEEPEST_M: f64 = 1.2;
/// Depths are told in steps of this, metres.
const DEPTH_STEP_M: f64 = 0.05;
/// No pull of strands comes near this, newtons.
const LARGEST_PULL_N: f64 = 1e6;

/// What is known about one post that takes the strain.
#[derive(Clone, Debug, PartialEq)]
pub struct PostVerdict {
    /// Pull of all strands on the coldest day.
    pub pull: Force,
    /// Height above ground at which it acts.
    pub at_height: Length,
    /// What the ground holds, ultimate; `None` where the soil is rock.
    pub capacity: Option<Force>,
    /// Pull at which the post breaks; `None` where it does not bend.
    pub breaks_at: Option<Force>,
    /// Capacity in times the pull; `None` without a capacity or a pull.
    pub safety_factor: Option<f64>,
    /// What it should be at least.
    pub wanted: f64,
    /// Depth it can go.
    pub depth: Length,
    /// How steep the ground is at the post, degrees; `None` where it is not known.
    pub slope_deg: Option<f64>,
    /// Catalogue id of the post.
    pub post: String,
    /// What would make it hold, the smallest first; empty when it holds or is braced.
    pub remedies: Vec<Remedy>,
}

impl PostVerdict {
    /// Whether the ground holds the pull with the factor wanted; unknown ground does not.
    pub fn holds(&self) -> bool {
        self.pull <= Force::ZERO || self.capacity.is_some_and(|capacity| capacity >= self.pull * self.wanted)
    }
    /// Whether the post itself bears the pull without breaking.
    pub fn bears(&self) -> bool {
        self.breaks_at.is_none_or(|breaks_at| breaks_at >= self.pull * BENDING_SAFETY_FACTOR)
    }
}

/// Depth a post can go: its usual depth or the one that the keeper wants, or the rock.
pub(super) fn depth_available(row: &PostRow, wanted: Option<Length>, rock_depth: Option<Length>) -> Length {
    let depth = wanted.unwrap_or(row.depth);
    if row.stands_in_soil() { rock_depth.map_or(depth, |rock| depth.min(rock)) } else { row.depth }
}

/// What the ground must hold of a driven post, in times the pull upwards.
///
/// # Source
/// Key `common-practice`.
pub const DRIVEN_FACTOR: f64 = 2.0;
/// The same for a post that is dug in and rammed: field tests found a tenth of what a driven one holds.
///
/// # Source
/// Key `straining-posts-handbook` for the difference; the factor itself `common-practice`.
pub const DUG_FACTOR: f64 = 3.0;
/// Wood posts from this width on are dug in; what is thinner, and steel, is driven (`common-practice`).
const DUG_FROM: Length = Length::metres(0.125);

/// What the ground must hold of a post that is pulled upwards, in times the pull.
pub fn lifting_factor(row: &PostRow) -> f64 {
    let is_dug = row.material == PostMaterial::Wood && row.width >= DUG_FROM;
    if is_dug { DUG_FACTOR } else { DRIVEN_FACTOR }
}

/// What the ground holds of a post that is pulled upwards, ultimate: friction along it and its weight; a crib its weight, a
/// grouted pin and a tree more than any strand pulls (`None`), as where the soil is rock.
///
/// # Source
/// `soil-ranges` (shaft friction, an order of magnitude), field figures in `straining-posts-handbook`.
pub fn lifting_capacity(row: &PostRow, depth: Length, footing: &Footing) -> Option<Force> {
    let weight_n = row.mass_kg * GRAVITY_M_PER_S2;
    if row.material == PostMaterial::Crib {
        return Some(Force::newtons(weight_n));
    }
    if !row.stands_in_soil() || footing.soil.is_rock() {
        return None;
    }
    let friction_pa = footing.soil.shaft_friction_pa * footing.soil.state_factor(footing.state);
    let capacity_n = uplift_capacity_n(row.width.as_metres(), depth.as_metres(), friction_pa, weight_n);
    capacity_n.ok().map(Force::newtons)
}

/// What a post stands against a sideways pull at this height, ultimate.
///
/// In soil by Broms, the weaker of clay and sand where the row has both, times what the state of the ground leaves; a crib by its
/// weight on ground of this slope (degrees); a tree and a grouted pin by their bending moment. `None` where the soil is rock and the post needs soil.
///
/// # Source
/// `broms-clay`, `broms-1964`, `statics`, `tree-winching`.
pub fn standing_capacity(
    row: &PostRow,
    depth: Length,
    pull_height: Length,
    slope_deg: Option<f64>,
    footing: &Footing,
) -> Option<Force> {
    let height_m = pull_height.as_metres();
    if row.material == PostMaterial::Crib {
        let crib = Crib { base_m: row.width.as_metres(), slope_deg: slope_deg.unwrap_or(0.0), ..Crib::usual() };
        return Some(Force::newtons(crib.gives_way_n(row.mass_kg * GRAVITY_M_PER_S2, height_m)));
    }
    if !row.stands_in_soil() {
        return row.moment.map(|moment| Force::newtons(moment.as_newton_metres() / height_m.max(0.1)));
    }
    let post = SetPost { width_m: row.width.as_metres(), depth_m: depth.as_metres(), height_m };
    let clay_n = footing.soil.undrained_pa.and_then(|undrained_pa| broms_clay_n(post, undrained_pa).ok());
    let sand = |angle_deg| broms_sand_n(post, footing.soil.unit_weight_n_per_m3, angle_deg).ok();
    let sand_n = footing.soil.friction_angle_deg.and_then(sand);
    let soil_n = clay_n.into_iter().chain(sand_n).reduce(f64::min)?;
    Some(Force::newtons(soil_n * footing.soil.state_factor(footing.state)))
}

/// The pull at this height that breaks the post above or below ground; `None` where it does not bend.
///
/// # Source
/// `broms-clay`, `broms-1964`; rupture stress of wood in `wood-handbook`.
pub fn breaking_pull(row: &PostRow, depth: Length, pull_height: Length, footing: &Footing) -> Option<Force> {
    let moment_nm = row.moment?.as_newton_metres();
    let post = SetPost { width_m: row.width.as_metres(), depth_m: depth.as_metres(), height_m: pull_height.as_metres() };
    // The largest of the moments decides: the post breaks at the smallest of the loads that make them.
    let in_clay = footing.soil.undrained_pa.and_then(|undrained_pa| breaking_in_clay_n(post, undrained_pa, moment_nm).ok());
    let weight = footing.soil.unit_weight_n_per_m3;
    let in_sand = footing.soil.friction_angle_deg.and_then(|angle| breaking_in_sand_n(post, weight, angle, moment_nm).ok());
    let above_ground = (pull_height > Length::ZERO).then(|| moment_nm / pull_height.as_metres());
    Some(Force::newtons(in_clay.into_iter().chain(in_sand).chain(above_ground).fold(LARGEST_PULL_N, f64::min)))
}

/// Whether a post holds, and what would make it hold. `footing` is the ground at the post, the corner's own rock depth included.
/// `None` for a post that the catalogue lacks.
///
/// # Source
/// `broms-clay`, `broms-1964`, `statics`; safety factors are `common-practice`.
pub fn post_verdict(post: &Post, specification: &Specification, footing: &Footing, catalogue: &Catalogue) -> Option<PostVerdict> {
    let mut verdict = bare_verdict(post, specification, footing, catalogue)?;
    let weak = !verdict.holds() || !verdict.bears();
    if weak && !post.braced {
        let case = Case { row: catalogue.post(&post.post)?, verdict: &verdict, specification, footing, catalogue };
        verdict.remedies = case.remedies();
    }
    Some(verdict)
}

/// The same without looking for what would make it hold.
pub(crate) fn bare_verdict(
    post: &Post,
    specification: &Specification,
    footing: &Footing,
    catalogue: &Catalogue,
) -> Option<PostVerdict> {
    let row = catalogue.post(&post.post)?;
    let pull_n = post.sideways.as_newtons();
    Some(PostVerdict {
        pull: post.sideways,
        at_height: post.pull_height,
        capacity: post.capacity,
        breaks_at: breaking_pull(row, post.depth, post.pull_height, footing),
        safety_factor: post.capacity.filter(|_| pull_n > 0.0).map(|capacity| capacity / post.sideways),
        wanted: specification.safety_factor,
        depth: post.depth,
        slope_deg: post.slope_deg,
        post: row.id.clone(),
        remedies: vec![],
    })
}

struct Case<'a> {
    row: &'a PostRow,
    verdict: &'a PostVerdict,
    specification: &'a Specification<'a>,
    footing: &'a Footing<'a>,
    catalogue: &'a Catalogue,
}

impl Case<'_> {
    fn remedies(&self) -> Vec<Remedy> {
        let shallow =
            self.footing.soil.is_rock() || self.footing.rock_depth.is_some_and(|rock| rock.as_metres() < SHALLOW_ROCK_M);
        let soil = [self.deeper(), self.brace(), self.thicker(), self.lower_tension()];
        let light = [self.thicker(), self.tie_back(), self.lower_tension()];
        let rock = [self.deeper(), self.thicker(), self.socket(), self.lower_tension(), self.crib(), Some(Remedy::LivingTree)];
        let of = |remedies: &[Option<Remedy>]| remedies.iter().flatten().cloned().collect();
        if self.row.material == PostMaterial::Crib {
            return of(&[self.crib(), self.lower_tension(), self.brace()]);
        }
        match () {
            () if shallow => of(&rock),
            () if self.is_light() => of(&light),
            () => of(&soil),
        }
    }

    /// Whether it is too light a post to carry a rail: a stake, a rod, a section of steel.
    fn is_light(&self) -> bool {
        self.row.stands_in_soil() && self.row.material != PostMaterial::Wood
    }

    fn tie_back(&self) -> Option<Remedy> {
        (self.verdict.pull > Force::ZERO).then(|| Remedy::TieBack { holds: self.verdict.pull * self.verdict.wanted })
    }

    fn capacity(&self, row: &PostRow, depth: Length) -> Option<Force> {
        let enough = self.verdict.pull * self.verdict.wanted;
        let at = self.verdict.at_height;
        let bears = breaking_pull(row, depth, at, self.footing)
            .is_none_or(|breaks_at| breaks_at >= self.verdict.pull * BENDING_SAFETY_FACTOR);
        standing_capacity(row, depth, at, self.verdict.slope_deg, self.footing).filter(|capacity| bears && *capacity >= enough)
    }

    /// Its highest strand.
    fn top(&self) -> Length {
        self.specification.strands.iter().map(|strand| strand.height).fold(Length::ZERO, Length::max)
    }

    fn deeper(&self) -> Option<Remedy> {
        if !self.row.stands_in_soil() {
            return None;
        }
        let room = self.row.length - self.top() - Length::metres(POST_TOP_M);
        let deepest = self.footing.rock_depth.map_or(room, |rock| rock.min(room)).min(Length::metres(DEEPEST_M));
        let first = (self.row.depth.as_metres() / DEPTH_STEP_M).floor() as u32 + 1;
        let last = (deepest.as_metres() / DEPTH_STEP_M + 1e-9).floor().max(0.0) as u32;
        (first..=last)
            .map(|step| Length::metres(f64::from(step) * DEPTH_STEP_M))
            .find_map(|depth| self.capacity(self.row, depth).map(|capacity| Remedy::DeeperPost { depth, capacity }))
    }

    fn thicker(&self) -> Option<Remedy> {
        let top = self.top();
        let larger = |row: &&PostRow| {
            row.material == PostMaterial::Wood
                && !row.in_rock
                && row.width > self.row.width
                && row.id != "stay-strainer"
                && (row.reaches(top) || !self.row.reaches(top))
        };
        let mut rows: Vec<&PostRow> = self.catalogue.posts.iter().filter(larger).collect();
        rows.sort_by(|a, b| a.width.as_metres().total_cmp(&b.width.as_metres()));
        rows.into_iter().find_map(|row| {
            let depth = depth_available(row, None, self.footing.rock_depth);
            let capacity = self.capacity(row, depth)?;
            Some(Remedy::ThickerPost { post: row.id.clone(), depth, capacity })
        })
    }

    /// The post grouted into the rock.
    fn socket(&self) -> Option<Remedy> {
        let row = self.catalogue.post(SOCKET_POST)?;
        let capacity = self.capacity(row, row.depth)?;
        Some(Remedy::ThickerPost { post: row.id.clone(), depth: row.depth, capacity })
    }

    fn lower_tension(&self) -> Option<Remedy> {
        let holds_n = self.verdict.capacity?.as_newtons() / self.verdict.wanted;
        let breaks_n = self.verdict.breaks_at.map_or(f64::INFINITY, |breaks_at| breaks_at.as_newtons() / BENDING_SAFETY_FACTOR);
        let (set_n, cold_n) = (self.specification.set().as_newtons(), self.specification.cold().as_newtons());
        let share = holds_n.min(breaks_n) / self.verdict.pull.as_newtons();
        // The cold adds the same newtons whatever the strand was set to.
        let allowed_n = cold_n * share - (cold_n - set_n);
        let lower = Force::newtons((allowed_n / self.specification.strands.len() as f64).floor());
        let is_tight = self.specification.strands.iter().all(|strand| strand.set > strand.wire.tension);
        (is_tight && self.specification.may_be_set_to(lower)).then_some(Remedy::LowerTension { tension: lower })
    }

    fn brace(&self) -> Option<Remedy> {
        let (pull_n, height_m) = (self.verdict.pull.as_newtons(), self.verdict.at_height.as_metres());
        let forces = brace_forces(pull_n, height_m, RAIL_HEIGHT_M, BRACE_M).ok()?;
        let [uplift, rail, wire] = [forces.uplift_n, forces.rail_n, forces.wire_n].map(Force::newtons);
        Some(Remedy::Brace { uplift, rail, wire, brace: Length::metres(BRACE_M) })
    }

    /// A crib, or that none holds on ground so steep.
    fn crib(&self) -> Option<Remedy> {
        let slope_deg = self.verdict.slope_deg.unwrap_or(0.0);
        let rock_kg = usual_crib_kg(self.verdict.pull.as_newtons(), self.verdict.at_height.as_metres(), slope_deg);
        Some(match rock_kg {
            Some(rock_kg) => Remedy::Crib { ballast_kg: (rock_kg / 10.0).ceil() * 10.0 },
            None => Remedy::NoCribHolds { slope_pct: 100.0 * slope_deg.to_radians().tan() },
        })
    }
}
