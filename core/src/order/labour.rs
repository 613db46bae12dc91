//! How many hours of work a plan takes, by task and by the ground it is done on.

use super::count::{CRIB, FenceCount, STAYED_POST};
use super::{BuiltLine, Site};
use crate::catalogue::{Catalogue, Vegetation};
use crate::hold::{Bay, Post, PostRole, TREE_POST};
use crate::land::{MapPoint, tobler_km_per_h};
use crate::plan::{Kind, Plan};
use crate::units::Length;
use std::collections::BTreeMap;

/// What is done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Task {
    /// Clearing a way of two metres.
    Clearing,
    /// Carrying posts from the nearest track.
    Carrying,
    /// Setting line posts.
    LinePosts,
    /// Setting pegs, those too that the first walk with the string asks for.
    Pegs,
    /// Setting corner, end and gate posts.
    StrainPosts,
    /// Building braces, or stays.
    Braces,
    /// Building cribs.
    Cribs,
    /// Holding posts down.
    HoldDowns,
    /// Hanging and pulling strands, with their insulators.
    Strands,
    /// Hanging gates.
    Gates,
    /// Digging cables in.
    Digging,
}

/// The ground that work is done on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Terrain {
    /// Gentle, open, and deep enough.
    Easy,
    /// Steep, or in a wood.
    Steep,
    /// Rock within the reach of a post.
    Rocky,
}

/// One task on one ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Work {
    /// What is done.
    pub task: Task,
    /// On what ground.
    pub terrain: Terrain,
    /// How much: metres of clearing, strands and digging, trips of carrying, pieces of the rest.
    pub amount: f64,
    /// Hours of one person.
    pub hours: f64,
}

/// All work of a plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Labour {
    /// By task and ground.
    pub works: Vec<Work>,
    /// Sum of their hours.
    pub hours: f64,
}

/// From this slope on ground is steep, rise over run (`common-practice`).
const STEEP: f64 = 0.2;
/// Posts that one person carries up a slope (`common-practice`).
const POSTS_PER_TRIP: f64 = 3.0;
/// Pegs that one person carries (`common-practice`).
const PEGS_PER_TRIP: f64 = 20.0;
/// How much slower somebody goes under a load (`common-practice`).
const LOADED: f64 = 0.7;
/// How much slower somebody goes away from paths (`tobler-1993`).
const OFF_PATH: f64 = 0.6;

/// Hours of one person for a metre or a piece on easy, steep, rocky ground: the middle of what is usual. Strands: three of them with their
/// posts take 2.5, 5 and 8 hours for 100 m, of which the posts take 0.5, 1 and 3. A corner post with its stay takes 1.5, 2.5 and 4 hours, half
/// of it the post.
///
/// # Source
/// `common-practice`.
const HOURS: [(Task, [f64; 3]); 10] = [
    (Task::Clearing, [0.005, 0.07, 0.07]),
    (Task::LinePosts, [0.05, 0.1, 0.3]),
    (Task::Pegs, [0.02, 0.03, 0.1]),
    (Task::StrainPosts, [0.75, 1.25, 2.0]),
    (Task::Braces, [0.75, 1.25, 2.0]),
    (Task::Cribs, [6.0, 6.0, 6.0]),
    (Task::HoldDowns, [0.3, 0.5, 1.0]),
    (Task::Strands, [0.02 / 3.0, 0.04 / 3.0, 0.05 / 3.0]),
    (Task::Gates, [0.5, 0.5, 0.5]),
    (Task::Digging, [0.3, 0.5, 1.0]),
];

/// Hours of one person for a metre or a piece.
fn hours_each(task: Task, terrain: Terrain) -> f64 {
    let row = HOURS.iter().find(|(of, _)| *of == task);
    row.map_or(0.0, |(_, hours)| hours[terrain as usize])
}

#[derive(Default)]
struct Taken(BTreeMap<(Task, Terrain), (f64, f64)>);

impl Taken {
    fn add(&mut self, task: Task, terrain: Terrain, amount: f64) {
        self.add_hours(task, terrain, amount, amount * hours_each(task, terrain));
    }
    fn add_hours(&mut self, task: Task, terrain: Terrain, amount: f64, hours: f64) {
        if amount > 0.0 {
            let sum = self.0.entry((task, terrain)).or_default();
            (sum.0, sum.1) = (sum.0 + amount, sum.1 + hours);
        }
    }
}

/// The work that lines take.
///
/// # Source
/// `common-practice`; walking in `tobler-1993`.
pub fn labour(plan: &Plan, lines: &[BuiltLine], site: &Site, catalogue: &Catalogue) -> Labour {
    let woods = woods(plan, site);
    let tracks = tracks(plan, site);
    let mut taken = Taken::default();
    for line in lines {
        let Some(count) = FenceCount::of(plan, line) else { continue };
        let terrain = |station: Length| terrain_at(line, station, site, &woods, catalogue);
        if let Some(buried) = &count.buried {
            taken.add(Task::Digging, terrain(Length::ZERO), buried.length_m);
            continue;
        }
        along(&mut taken, plan, line, &count, &terrain, &woods);
        posts(&mut taken, &count, &terrain);
        carrying(&mut taken, line, &tracks, &terrain);
    }
    let works: Vec<Work> = taken
        .0
        .iter()
        .map(|((task, terrain), (amount, hours))| Work { task: *task, terrain: *terrain, amount: *amount, hours: *hours })
        .collect();
    Labour { hours: works.iter().map(|work| work.hours).sum::<f64>() + 0.0, works }
}

/// Clearing and strands, bay by bay; on pasture there is nothing to clear.
fn along(
    taken: &mut Taken,
    plan: &Plan,
    line: &BuiltLine,
    count: &FenceCount,
    terrain: &dyn Fn(Length) -> Terrain,
    woods: &[Ring],
) {
    let grows = plan.feature(line.id).map_or(Vegetation::Clear, |feature| feature.kind.vegetation(&plan.head.ground));
    for bay in line.bays {
        let length_m = (bay.to - bay.from).as_metres().max(0.0);
        let middle = (bay.from + bay.to) / 2.0;
        let ground = terrain(middle);
        taken.add(Task::Strands, ground, length_m * if bay.gate.is_some() { 0.0 } else { count.strands.len() as f64 });
        let in_wood = at_station(line, middle).is_some_and(|at| is_in(woods, at));
        if in_wood {
            taken.add(Task::Clearing, Terrain::Steep, length_m);
        } else if matches!(grows, Vegetation::Heavy | Vegetation::Overgrown) {
            taken.add(Task::Clearing, Terrain::Easy, length_m);
        }
    }
}

fn posts(taken: &mut Taken, count: &FenceCount, terrain: &dyn Fn(Length) -> Terrain) {
    for row in count.posts.iter().filter(|row| row.post != TREE_POST && row.post != CRIB) {
        let task = match () {
            () if row.are_pegs => Task::Pegs,
            () if row.hung_on => Task::LinePosts,
            () => Task::StrainPosts,
        };
        row.stations.iter().for_each(|station| taken.add(task, terrain(*station), 1.0));
        if row.post == STAYED_POST {
            row.stations.iter().for_each(|station| taken.add(Task::Braces, terrain(*station), 1.0));
        }
    }
    if let Some(walk) = &count.on_walk {
        taken.add(Task::Pegs, terrain(Length::ZERO), walk.pegs);
    }
    let braces = count.braces.iter().flat_map(|row| &row.stations);
    braces.for_each(|station| taken.add(Task::Braces, terrain(*station), 1.0));
    count.cribs.iter().for_each(|crib| taken.add(Task::Cribs, terrain(crib.station), 1.0));
    count.hold_downs.iter().for_each(|station| taken.add(Task::HoldDowns, terrain(*station), 1.0));
    for gate in &count.gates {
        taken.add(Task::Gates, terrain(gate.station), 1.0);
        taken.add(Task::Digging, terrain(gate.station), if gate.crossing == "underground" { gate.width_m } else { 0.0 });
    }
}

/// Posts come from the nearest place of a track that a vehicle can use, three at a time, and the way back is empty. Where the plan has no such
/// track nobody knows from where, and nothing is reckoned.
fn carrying(taken: &mut Taken, line: &BuiltLine, tracks: &[Vec<MapPoint>], terrain: &dyn Fn(Length) -> Terrain) {
    for post in line.posts.iter().filter(|post| post.post != TREE_POST && post.post != CRIB) {
        let away_m = tracks.iter().flat_map(|track| track.windows(2)).map(|leg| foot_m(post.at, leg[0], leg[1])).reduce(f64::min);
        let Some(away_m) = away_m else { continue };
        let slope = slope_at(line, post);
        let slower = OFF_PATH * 1000.0;
        let out_h = away_m / (tobler_km_per_h(slope) * slower * LOADED);
        let back_h = away_m / (tobler_km_per_h(-slope) * slower);
        let per_trip = if post.role == PostRole::Peg { PEGS_PER_TRIP } else { POSTS_PER_TRIP };
        taken.add_hours(Task::Carrying, terrain(post.station), 1.0 / per_trip, (out_h + back_h) / per_trip);
    }
}

/// How steeply the ground rises across the line there, rise over run, uphill.
fn slope_at(line: &BuiltLine, post: &Post) -> f64 {
    let bay = bay_at(line, post.station);
    bay.and_then(|bay| bay.cross_slope).map_or(0.0, f64::abs)
}

/// The bay that a station lies in; bays stand in the order of their stations.
fn bay_at<'a>(line: &BuiltLine<'a>, station: Length) -> Option<&'a Bay> {
    let next = line.bays.partition_point(|bay| bay.from <= station);
    line.bays.get(next.saturating_sub(1))
}

fn at_station(line: &BuiltLine, station: Length) -> Option<MapPoint> {
    Some(line.section.sample_at_station(station.as_metres())?.at)
}

/// Rocky where rock lies within the reach of the usual line post; steep where the ground is, along or across, or a wood stands there.
fn terrain_at(line: &BuiltLine, station: Length, site: &Site, woods: &[Ring], catalogue: &Catalogue) -> Terrain {
    let Some(at) = at_station(line, station) else { return Terrain::Easy };
    let usual = catalogue.post("wood-100").map_or(Length::metres(0.6), |row| row.depth);
    let rock = site.footings.and_then(|footings| footings.at(at).rock_depth);
    if rock.is_some_and(|depth| depth < usual) {
        return Terrain::Rocky;
    }
    let bay = bay_at(line, station);
    let across = bay.and_then(|bay| bay.cross_slope).map_or(0.0, f64::abs);
    if across.hypot(slope_along(line, station)) > STEEP || is_in(woods, at) { Terrain::Steep } else { Terrain::Easy }
}

/// Slope along the line over ten metres, rise over run.
fn slope_along(line: &BuiltLine, station: Length) -> f64 {
    let height_m = |by_m: f64| line.section.sample_at_station(station.as_metres() + by_m).and_then(|sample| sample.ground_m);
    let Some((before_m, after_m)) = height_m(-5.0).zip(height_m(5.0)) else { return 0.0 };
    (after_m - before_m).abs() / 10.0
}

type Ring = Vec<MapPoint>;

fn woods(plan: &Plan, site: &Site) -> Vec<Ring> {
    let wood = plan.features.iter().filter(|feature| matches!(&feature.kind, Kind::Zone(zone) if zone.of == "wood"));
    let ring = |ring: &Vec<crate::land::Position>| ring.iter().map(|at| site.frame.to_map(*at).ok()).collect::<Option<Ring>>();
    wood.filter_map(|feature| match &feature.geometry {
        crate::plan::Geometry::Area(rings) => ring(rings.first()?),
        _ => None,
    })
    .collect()
}

fn is_in(rings: &[Ring], at: MapPoint) -> bool {
    rings.iter().any(|ring| crate::hold::inside(ring, at))
}

/// Tracks that a vehicle can use.
fn tracks(plan: &Plan, site: &Site) -> Vec<Vec<MapPoint>> {
    let is_usable =
        |kind: &Kind| matches!(kind, Kind::Track(track) if !matches!(track.vehicle.as_deref(), Some("none" | "foot")));
    let usable = plan.features.iter().filter(|feature| is_usable(&feature.kind));
    usable.filter_map(|feature| Some(feature.line()?.iter().filter_map(|at| site.frame.to_map(*at).ok()).collect())).collect()
}

/// How far a place is from a leg, metres.
pub(super) fn foot_m(at: MapPoint, from: MapPoint, to: MapPoint) -> f64 {
    let (way_x, way_y) = (to.x_m - from.x_m, to.y_m - from.y_m);
    let length_2 = way_x * way_x + way_y * way_y;
    let along = if length_2 > 0.0 { ((at.x_m - from.x_m) * way_x + (at.y_m - from.y_m) * way_y) / length_2 } else { 0.0 };
    let along = along.clamp(0.0, 1.0);
    at.distance_m(MapPoint::new(from.x_m + along * way_x, from.y_m + along * way_y))
}
