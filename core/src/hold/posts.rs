//! The posts of a line and the bays between them.

use super::corner::{corner_pull_n, uplift_n};
use super::gaps::gaps;
use super::results::{Bay, GatePlace, LineHold, Post, PostRole, Sample, Section, Strain};
use super::spacing::Placement;
use super::specification::{Specification, post};
use super::stand::{FORCED_TURN_DEG, Stand, is_bare_rock, turn_deg};
use super::strain::{Support, strains};
use super::verdict::{depth_available, lifting_capacity, standing_capacity};
use super::why::{even_bays, why};
use super::{Footing, FootingMap, HoldError, TREE_POST};
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
/// What stands where no post goes into the rock.
const ROCK_POST: &str = "rock-pin";
/// A post this near to a station that the keeper named is the one meant, metres.
pub const SAME_POST_M: f64 = 0.25;
/// Sag that grows by less than this through friction does not move posts, metres.
const SAG_NOTICED_M: f64 = 0.002;

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
    let specification = specification_of(plan, line, longest_strain, catalogue)?;
    let first = stand.place(&specification, &specification.hanging, terrain.footings);
    let placed = with_friction(&stand, &specification, first, terrain.footings);
    let strung = strung(&stand, &placed, &specification);
    let hold =
        Hold { stand: &stand, placed: &placed, strung: &strung, specification: &specification, fence, closed: section.closed };
    Ok(LineHold {
        posts: hold.posts(terrain.footings, catalogue)?,
        bays: hold.bays(terrain.ground),
        even: even_bays(&stand.samples, &specification),
        tightest: specification.hanging.tightest(),
        strains: strung.strains,
        longest_strain,
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

/// Friction slackens strands away from the strainer. Where their sag grows by that so that it can be seen, posts are placed
/// once more for the slackest bay.
fn with_friction(stand: &Stand, specification: &Specification, first: Placement, ground: &FootingMap) -> Placement {
    let shares = strung(stand, &first, specification).share_by_bay;
    let slackest = shares.into_iter().fold(1.0, f64::min);
    let longest_m = specification.longest_bay.as_metres();
    let grows_m = |kappa_per_m: f64| kappa_per_m * longest_m * longest_m / 4.0 * (1.0 / slackest - 1.0);
    let most_m = specification.strands.iter().map(|strand| grows_m(strand.slackest_kappa_per_m)).fold(0.0, f64::max);
    if most_m < SAG_NOTICED_M || specification.hanging.tightest().is_none() {
        return first;
    }
    stand.place(specification, &specification.hanging.slackened(slackest), ground)
}

/// How the strands of a line are strung: its strains, and by bay the share of the tension that friction leaves.
struct Strung {
    strains: Vec<Strain>,
    share_by_bay: Vec<f64>,
}

fn strung(stand: &Stand, placed: &Placement, specification: &Specification) -> Strung {
    let last = placed.posts.len() - 1;
    let length_m = stand.samples[placed.posts[last]].station_m;
    // On a closed line places count on past its end, which is its start.
    let support = |place: usize| {
        let (once, around_m) = if place > last { (place - last, length_m) } else { (place, 0.0) };
        let sample = &stand.samples[placed.posts[once]];
        let height_m = sample.ground_m.map(|z| z + placed.off_m[once]);
        Support { at: sample.at, height_m, station_m: sample.station_m + around_m }
    };
    let mut anchors: Vec<usize> = stand.anchors.iter().filter_map(|at| placed.posts.binary_search(at).ok()).collect();
    if anchors.first().is_some_and(|first| *first > 0) {
        anchors.push(anchors[0] + last);
    }
    let mut all = Strung { strains: Vec::new(), share_by_bay: vec![1.0; last] };
    for run in anchors.windows(2) {
        if run[1] <= last && stand.gate_between(placed.posts[run[0]], placed.posts[run[1]]).is_some() {
            continue;
        }
        let supports: Vec<Support> = (run[0]..=run[1]).map(support).collect();
        let (found, shares) = strains(&supports, specification.friction);
        all.strains.extend(found.into_iter().map(|strain| within_line(strain, length_m)));
        for (bay, share) in (run[0]..run[1]).zip(shares) {
            all.share_by_bay[bay % last] = share;
        }
    }
    all
}

/// Stations past the end of a closed line are stations from its start.
fn within_line(strain: Strain, length_m: f64) -> Strain {
    let once = |station: Length| if station.as_metres() > length_m { station - Length::metres(length_m) } else { station };
    Strain {
        from: once(strain.from),
        to: once(strain.to),
        strainer: once(strain.strainer),
        slackest_at: once(strain.slackest_at),
        ..strain
    }
}

struct Hold<'a> {
    stand: &'a Stand,
    placed: &'a Placement,
    strung: &'a Strung,
    specification: &'a Specification<'a>,
    fence: &'a Fence,
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
        let role = self.role(&sides, is_end, deflection_deg, uplift);
        let footing = footing_of(ground.at(sample.at), choice);
        let row = match choice.and_then(|choice| choice.post.as_deref()) {
            Some(id) => post(id, catalogue)?,
            None => self.tree(place, role, catalogue).unwrap_or_else(|| self.row(role, deflection_deg, &footing, catalogue)),
        };
        let pull_height = self.specification.pull_height();
        let depth = depth_available(row, choice.and_then(|choice| choice.depth), footing.rock_depth);
        let named = |stations: &[Length]| stations.iter().any(|at| (at.as_metres() - sample.station_m).abs() < SAME_POST_M);
        Ok(Post {
            station: Length::metres(sample.station_m),
            plan_m: sample.plan_m,
            at: sample.at,
            ground: sample.ground_m.map(Elevation::metres),
            role,
            post: row.id.clone(),
            corner,
            braced: choice.and_then(|choice| choice.brace).unwrap_or(row.id == "stay-strainer"),
            deflection_deg,
            why: why(self.stand, self.placed, place, role, self.specification),
            pinned: self.stand.pinned.binary_search(&self.placed.posts[place]).is_ok(),
            held_down: named(&self.fence.hold_downs),
            off: Length::metres(self.placed.off_m[place]),
            uplift,
            uplift_capacity: lifting_capacity(row, depth, &footing),
            sideways: self.sideways(&sides, deflection_deg),
            pull_height,
            depth,
            capacity: standing_capacity(row, depth, pull_height, &footing),
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
            PostRole::End | PostRole::Gate => self.specification.corner_post,
            PostRole::Corner if sharp => self.specification.corner_post,
            PostRole::Corner => next_larger(self.specification.line_post, self.specification.corner_post, catalogue),
            PostRole::Line | PostRole::Dip | PostRole::Rise => {
                let pin = is_bare_rock(footing).then(|| catalogue.post(ROCK_POST)).flatten();
                pin.filter(|_| self.specification.line_post.stands_in_soil()).unwrap_or(self.specification.line_post)
            }
        }
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
#[path = "posts_tests.rs"]
mod tests;
