//! The posts of a line and the bays between them.

use super::corner::{corner_pull_n, uplift_n};
use super::gaps::gaps;
use super::peg::Peg;
use super::results::{Bay, GatePlace, LineHold, OnWalk, Post, PostRole, Sample, Section};
use super::spacing::{Placement, Placements};
use super::specification::{Specification, post};
use super::stand::{FORCED_TURN_DEG, Stand, is_bare_rock, turn_deg};
use super::strung::{Strung, strung, with_friction};
use super::sure::{error_over, expected_pegs, is_told};
use super::verdict::{depth_available, lifting_capacity, standing_capacity};
use super::why::{even_bays, why};
use super::{Clearance, Footing, FootingMap, HoldError, TREE_POST};
use crate::catalogue::{Catalogue, PostMaterial, PostRow};
use crate::land::{Ground, MapPoint};
use crate::plan::{CornerChoice, Feature, FeatureId, Fence, Kind, Plan};
use crate::units::{Elevation, Force, Length};

/// A turn of this much or more takes a corner post; a gentler one the next larger line post, degrees (`common-practice`).
pub const SHARP_TURN_DEG: f64 = 20.0;
/// A gate this near to a fence opens it, metres on the map.
///
/// # Source
/// `common-practice`.
pub const GATE_WITHIN_M: f64 = 1.0;
/// Width of a gate that does not say, metres.
pub const GATE_WIDTH_M: f64 = 3.6;
/// Strands that together are set to less are tied off at a line post where one strain ends and the next begins (`common-practice`).
const STRETCH_FROM: Force = Force::newtons(500.0);
/// What stands where no post goes into the rock.
const ROCK_POST: &str = "rock-pin";
/// A post this near to a station that the keeper named is the one meant, metres.
pub const SAME_POST_M: f64 = 0.25;

/// Where a gate drawn at this point of the map opens a line: the nearest place on it, and how far off the point is, metres.
/// `None` for a line of less than two corners.
pub fn gate_place(id: &FeatureId, at: MapPoint, width: Option<Length>, section: &Section) -> Option<(GatePlace, f64)> {
    let corners: Vec<&Sample> = section.corners.iter().map(|index| &section.samples[*index]).collect();
    let nearest = |leg: &[&Sample]| {
        let way = leg[1].at - leg[0].at;
        let length2 = way.x_m * way.x_m + way.y_m * way.y_m;
        let to = at - leg[0].at;
        let share = if length2 > 0.0 { ((to.x_m * way.x_m + to.y_m * way.y_m) / length2).clamp(0.0, 1.0) } else { 0.0 };
        let off_m = at.distance_m(leg[0].at.towards(leg[1].at, share));
        (leg[0].plan_m + share * (leg[1].plan_m - leg[0].plan_m), off_m)
    };
    let (plan_m, off_m) = corners.windows(2).map(nearest).min_by(|a, b| a.1.total_cmp(&b.1))?;
    Some((GatePlace { id: id.clone(), plan_m, width: width.unwrap_or(Length::metres(GATE_WIDTH_M)) }, off_m))
}

/// What a line runs over.
#[derive(Clone, Copy)]
pub struct Terrain<'a> {
    /// What posts stand in.
    pub footings: &'a FootingMap<'a>,
    /// The ground, for its slope across the line; `None` where no grid is loaded.
    pub ground: Option<&'a Ground>,
    /// What the stock behind the line asks of its strands; `None`: as is usual.
    pub clearance: Option<Clearance>,
    /// Pieces of lines that were placed before; `None`: each is placed anew.
    pub placed: Option<&'a Placements>,
}

/// Posts, bays and strains of a fence or a lead-out. A lead-out in the ground has none.
///
/// # Errors
/// [`HoldError`] where the plan does not say what is needed.
pub fn line_hold(
    plan: &Plan,
    line: &Feature,
    section: &Section,
    gates: &[GatePlace],
    terrain: Terrain,
    catalogue: &Catalogue,
) -> Result<LineHold, HoldError> {
    let no_choices = Fence::default();
    let fence = if let Kind::Fence(fence) = &line.kind { fence } else { &no_choices };
    let is_buried = matches!(&line.kind, Kind::LeadOut(lead_out) if lead_out.underground);
    if is_buried || section.samples.len() < 2 {
        return Ok(LineHold::default());
    }
    let stand = Stand::of(section, gates, fence, terrain.footings.trees());
    let longest_strain = stand.longest_strain();
    let mut specification = specification_of(plan, line, longest_strain, catalogue)?;
    let build = plan.build(&fence.build).filter(|_| matches!(line.kind, Kind::Fence(_)));
    let clearance = build.and_then(|build| Some((build, terrain.clearance.or_else(|| Clearance::of(build, &[]))?)));
    let bands = clearance.map_or_else(Vec::new, |(build, clearance)| clearance.bands(build));
    if let Some((build, _)) = clearance {
        specification = specification.hung_within(build, &bands)?;
    }
    let peg = Peg::of(&specification, terrain.footings, &plan.head.prices, catalogue);
    let first = stand.place(&specification, &specification.hanging, terrain, peg.as_ref());
    let placed = with_friction(&stand, &specification, first, terrain, peg.as_ref());
    let mut strung = strung(&stand, &placed, &specification);
    let in_build = build.map_or(0, crate::plan::Build::springs);
    for strain in &mut strung.strains {
        let put_in = fence.springs.iter().filter(|station| strain.contains(**station)).count();
        strain.springs = in_build.max(u32::try_from(put_in).unwrap_or(u32::MAX));
    }
    let hold = Hold {
        stand: &stand,
        placed: &placed,
        strung: &strung,
        specification: &specification,
        peg: peg.map(|peg| peg.row),
        fence,
        terrain: terrain.ground,
        closed: section.closed,
    };
    let bays = hold.bays(terrain.ground);
    Ok(LineHold {
        posts: hold.posts(terrain.footings, catalogue)?,
        on_walk: terrain.ground.and_then(|ground| hold.on_walk(&bays, ground)),
        bays,
        even: even_bays(&stand.samples, &specification),
        tightest: specification.hanging.tightest(),
        strains: strung.strains,
        longest_strain,
        bands,
    })
}

/// What a line is built of, looked up.
///
/// # Errors
/// As [`Specification::of`]; [`HoldError::NoBuild`] and [`HoldError::NotALine`].
pub fn specification_of<'a>(
    plan: &Plan,
    line: &Feature,
    longest_strain: Length,
    catalogue: &'a Catalogue,
) -> Result<Specification<'a>, HoldError> {
    let season = &plan.head.season;
    match &line.kind {
        Kind::Fence(fence) => {
            let missing = || HoldError::NoBuild { line: line.id.clone(), build: fence.build.clone() };
            Specification::of(plan.build(&fence.build).ok_or_else(missing)?, season, longest_strain, catalogue)
        }
        Kind::LeadOut(lead_out) => Specification::of_lead_out(lead_out, season, longest_strain, catalogue),
        _ => Err(HoldError::NotALine { id: line.id.clone() }),
    }
}

struct Hold<'a> {
    stand: &'a Stand,
    placed: &'a Placement,
    strung: &'a Strung,
    specification: &'a Specification<'a>,
    peg: Option<&'a PostRow>,
    fence: &'a Fence,
    terrain: Option<&'a Ground>,
    closed: bool,
}

/// The neighbours of a post that strands lead to.
struct Sides {
    before: Option<usize>,
    after: Option<usize>,
    gate: bool,
}

impl Hold<'_> {
    fn sample(&self, place: usize) -> &Sample {
        &self.stand.samples[self.placed.posts[place]]
    }

    /// Places of the posts of which each stands once.
    fn own_places(&self) -> usize {
        self.placed.posts.len() - usize::from(self.closed)
    }

    fn sides(&self, place: usize) -> Sides {
        let last = self.placed.posts.len() - 1;
        let before = if place > 0 { Some(place - 1) } else { self.closed.then(|| last - 1) };
        let after = (place < last).then(|| place + 1);
        let gate = |from: usize, to: usize| self.stand.gate_between(self.placed.posts[from], self.placed.posts[to]).is_some();
        // The first place of a closed line is its last one too.
        let gate_before = before.is_some_and(|before| gate(before, before + 1));
        let gate_after = after.is_some_and(|after| gate(place, after));
        Sides { before: before.filter(|_| !gate_before), after: after.filter(|_| !gate_after), gate: gate_before || gate_after }
    }

    fn posts(&self, ground: &FootingMap, catalogue: &Catalogue) -> Result<Vec<Post>, HoldError> {
        (0..self.own_places()).map(|place| self.post(place, ground, catalogue)).collect()
    }

    fn post(&self, place: usize, ground: &FootingMap, catalogue: &Catalogue) -> Result<Post, HoldError> {
        let sample = self.sample(place);
        let sides = self.sides(place);
        let corner = self.stand.corner_at(self.placed.posts[place]);
        let choice = corner.and_then(|corner| self.choice(corner));
        let is_end = !self.closed && (place == 0 || place == self.placed.posts.len() - 1);
        let deflection_deg = self.deflection_deg(place, is_end);
        let uplift = self.uplift(place, &sides);
        let is_peg = self.placed.is_peg[place] || (self.specification.own_stakes && !sides.gate);
        let role = match () {
            () if is_peg => PostRole::Peg,
            () if self.is_stretch(sample.station_m, &sides, is_end, deflection_deg) => PostRole::Stretch,
            () => self.role(&sides, is_end, deflection_deg, uplift),
        };
        let footing = footing_of(ground.at(sample.at), choice);
        let row = match choice.and_then(|choice| choice.post.as_deref()) {
            Some(id) => post(id, catalogue)?,
            None => self.tree(place, role, catalogue).unwrap_or_else(|| self.row(role, deflection_deg, &footing, catalogue)),
        };
        let pull_height = self.specification.pull_height();
        let depth = depth_available(row, choice.and_then(|choice| choice.depth), footing.rock_depth);
        let slope_deg = self.terrain.and_then(|ground| Some(ground.gradient(sample.at)?.slope().atan().to_degrees()));
        let named = |stations: &[Length]| stations.iter().any(|at| (at.as_metres() - sample.station_m).abs() < SAME_POST_M);
        Ok(Post {
            station: Length::metres(sample.station_m),
            plan_m: sample.plan_m,
            at: sample.at,
            ground: sample.ground_m.map(Elevation::metres),
            role,
            post: row.id.clone(),
            corner,
            braced: choice.and_then(|choice| choice.brace).unwrap_or(row.id == "stay-strainer") || named(&self.fence.braces),
            deflection_deg,
            why: why(self.stand, self.placed, place, role, self.specification),
            pinned: self.stand.pinned.binary_search(&self.placed.posts[place]).is_ok(),
            held_down: named(&self.fence.hold_downs),
            off: Length::metres(self.placed.off_m[place]),
            uplift,
            uplift_capacity: lifting_capacity(row, depth, &footing),
            sideways: if role == PostRole::Stretch { self.specification.set() } else { self.sideways(&sides, deflection_deg) },
            pull_height,
            depth,
            slope_deg,
            capacity: standing_capacity(row, depth, pull_height, slope_deg, &footing),
        })
    }

    /// What the keeper decided about a corner; the first and the last corner of a closed line are one.
    fn choice(&self, corner: usize) -> Option<&CornerChoice> {
        let last = self.stand.corners.len() - 1;
        self.fence.corners.get(&corner).or_else(|| self.fence.corners.get(&last).filter(|_| self.closed && corner == 0))
    }

    fn deflection_deg(&self, place: usize, is_end: bool) -> Option<f64> {
        if is_end {
            return None;
        }
        let before = if place > 0 { place - 1 } else { self.placed.posts.len() - 2 };
        Some(turn_deg(self.sample(before).at, self.sample(place).at, self.sample(place + 1).at).abs())
    }

    /// Where strands hang above sea level, short of their height above the post's foot.
    fn hung_m(&self, place: usize) -> Option<f64> {
        self.sample(place).ground_m.map(|z| z + self.placed.off_m[place])
    }

    fn uplift(&self, place: usize, sides: &Sides) -> Force {
        let here = self.sample(place);
        let neighbours = [sides.before, sides.after].into_iter().flatten().filter_map(|neighbour| {
            let rise_m = self.hung_m(neighbour)? - self.hung_m(place)?;
            Some((rise_m, self.sample(neighbour).at.distance_m(here.at)))
        });
        Force::newtons(uplift_n(self.specification.cold().as_newtons(), neighbours))
    }

    fn sideways(&self, sides: &Sides, deflection_deg: Option<f64>) -> Force {
        let cold = self.specification.cold();
        match (sides.before, sides.after) {
            (None, None) => Force::ZERO,
            (Some(_), Some(_)) => {
                let turn_deg = deflection_deg.unwrap_or(0.0);
                Force::newtons(corner_pull_n(cold.as_newtons(), turn_deg).expect("a turn is 0 to 180 degrees"))
            }
            _ => cold,
        }
    }

    /// Whether strands that pull are made off at a post that would else only hold them up.
    fn is_stretch(&self, station_m: f64, sides: &Sides, is_end: bool, deflection_deg: Option<f64>) -> bool {
        let is_there = |at: Length| (at.as_metres() - station_m).abs() < SAME_POST_M;
        let takes_strain = is_end || sides.gate || deflection_deg.is_some_and(|turn| turn >= SHARP_TURN_DEG);
        let ends = self.strung.strains.iter().any(|strain| is_there(strain.from) || is_there(strain.to));
        ends && !takes_strain && self.specification.set() >= STRETCH_FROM
    }

    fn role(&self, sides: &Sides, is_end: bool, deflection_deg: Option<f64>, uplift: Force) -> PostRole {
        let turns = deflection_deg.is_some_and(|turn| turn > FORCED_TURN_DEG);
        // A change of grade counts like a turn of the same angle.
        let noticed = self.specification.cold() * (2.0 * (FORCED_TURN_DEG.to_radians() / 2.0).sin());
        match () {
            () if sides.gate => PostRole::Gate,
            () if is_end => PostRole::End,
            () if turns => PostRole::Corner,
            () if uplift > noticed => PostRole::Dip,
            () if -uplift > noticed => PostRole::Rise,
            () => PostRole::Line,
        }
    }

    /// A tree in place of a post that strands only hang on.
    fn tree<'c>(&self, place: usize, role: PostRole, catalogue: &'c Catalogue) -> Option<&'c PostRow> {
        let only_hung = matches!(role, PostRole::Line | PostRole::Dip | PostRole::Rise);
        catalogue.post(TREE_POST).filter(|_| only_hung && self.stand.is_tree(self.placed.posts[place]))
    }

    fn row<'c>(
        &'c self,
        role: PostRole,
        deflection_deg: Option<f64>,
        footing: &Footing,
        catalogue: &'c Catalogue,
    ) -> &'c PostRow {
        let sharp = deflection_deg.is_some_and(|turn| turn >= SHARP_TURN_DEG);
        match role {
            PostRole::Peg if self.specification.own_stakes => self.specification.line_post,
            PostRole::Peg => self.peg.unwrap_or(self.specification.line_post),
            PostRole::End | PostRole::Gate | PostRole::Stretch => self.specification.corner_post,
            PostRole::Corner if sharp => self.specification.corner_post,
            PostRole::Corner => next_larger(self.specification.line_post, self.specification.corner_post, catalogue),
            PostRole::Line | PostRole::Dip | PostRole::Rise => {
                let pin = is_bare_rock(footing).then(|| catalogue.post(ROCK_POST)).flatten();
                pin.filter(|_| self.specification.line_post.stands_in_soil()).unwrap_or(self.specification.line_post)
            }
        }
    }

    /// Pegs to be expected where the ground is not known well enough; `None` where no bay is seen by enough cells.
    fn on_walk(&self, bays: &[Bay], ground: &Ground) -> Option<OnWalk> {
        let longest = self.specification.longest_bay;
        let told = bays.iter().enumerate().filter_map(|(index, bay)| {
            let (first, last) = (self.placed.posts[index], self.placed.posts[index + 1]);
            let samples = &self.stand.samples[first..=last];
            let cell = ground.cell_at(samples[samples.len() / 2].at)?;
            let hung_m = self.hung_m(index).zip(self.hung_m(index + 1))?;
            is_told(bay, cell, longest).then(|| expected_pegs(samples, hung_m, &self.specification.hanging))
        });
        let pegs = told.reduce(|sum, one| sum + one)?;
        Some(OnWalk { pegs, post: self.peg.unwrap_or(self.specification.line_post).id.clone() })
    }

    fn bays(&self, ground: Option<&Ground>) -> Vec<Bay> {
        (1..self.placed.posts.len()).map(|to| self.bay(to, ground)).collect()
    }

    fn bay(&self, to: usize, ground: Option<&Ground>) -> Bay {
        let (first, last) = (self.placed.posts[to - 1], self.placed.posts[to]);
        let samples = &self.stand.samples[first..=last];
        let gate = self.stand.gate_between(first, last).cloned();
        let tension_share = self.strung.share_by_bay.get(to - 1).copied().unwrap_or(1.0);
        let hung_m = self.hung_m(to - 1).zip(self.hung_m(to)).filter(|_| gate.is_none());
        let strands = hung_m.map_or_else(Vec::new, |hung_m| gaps(samples, hung_m, self.specification, tension_share));
        Bay {
            from: Length::metres(samples[0].station_m),
            to: Length::metres(samples[samples.len() - 1].station_m),
            strands,
            gate,
            tension_share,
            error: error_over(samples),
            cross_slope: ground.and_then(|ground| cross_slope(ground, samples)),
        }
    }
}

/// How steeply the ground rises to the left across a bay, at its middle.
fn cross_slope(ground: &Ground, samples: &[Sample]) -> Option<f64> {
    let (from, to) = (samples[0].at, samples[samples.len() - 1].at);
    let length_m = from.distance_m(to);
    let gradient = ground.gradient(from.towards(to, 0.5))?;
    let along = (to - from) * (1.0 / length_m);
    (length_m > 0.0).then_some(gradient.north * along.x_m - gradient.east * along.y_m)
}

/// What a post stands in; what the keeper found at a corner outranks the zones.
pub(crate) fn footing_of<'a>(mut footing: Footing<'a>, choice: Option<&CornerChoice>) -> Footing<'a> {
    footing.rock_depth = choice.and_then(|choice| choice.rock_depth).or(footing.rock_depth);
    footing
}

/// The next larger wood post than the line's, no shallower, up to its corner post.
fn next_larger<'a>(line: &PostRow, corner: &'a PostRow, catalogue: &'a Catalogue) -> &'a PostRow {
    let larger =
        |row: &&PostRow| row.material == PostMaterial::Wood && !row.in_rock && row.width > line.width && row.depth >= line.depth;
    let next = catalogue.posts.iter().filter(larger).min_by(|a, b| a.width.as_metres().total_cmp(&b.width.as_metres()));
    next.filter(|row| row.width < corner.width).unwrap_or(corner)
}

#[cfg(test)]
#[path = "noisy_ground_tests.rs"]
mod on_noisy_ground;
#[cfg(test)]
#[path = "posts_tests.rs"]
mod tests;
