//! What stands and hangs along one line: the counts that the take-off starts from.

use crate::hold::crib_kg;
use crate::hold::{Bay, LEAD_OUT_WIRE, LineMeasure, OnWalk, Post, PostRole, SHARP_TURN_DEG, Section, Strain};
use crate::land::Position;
use crate::plan::{Feature, FeatureId, Kind, Net, Plan};
use crate::units::Length;

/// The catalogue's row of a post that is stayed by itself.
pub(super) const STAYED_POST: &str = "stay-strainer";

/// The catalogue's row of a crib.
pub(super) const CRIB: &str = "crib";

/// The cable of crossings and lead-outs where the plan names no other.
pub(super) const CABLE: &str = "hv-cable";

/// One line with its posts and bays.
#[derive(Clone, Copy, Debug)]
pub struct BuiltLine<'a> {
    /// The line.
    pub id: &'a FeatureId,
    /// Its lengths.
    pub measure: &'a LineMeasure,
    /// The ground under it.
    pub section: &'a Section,
    /// Its posts.
    pub posts: &'a [Post],
    /// The bays between them; as many as posts when the line is closed.
    pub bays: &'a [Bay],
    /// Its strains.
    pub strains: &'a [Strain],
    /// What the first walk with the string is to be expected to ask for.
    pub on_walk: Option<&'a OnWalk>,
}

/// One strand of a line.
#[derive(Clone, Debug, PartialEq)]
pub struct StrandCount {
    /// Catalogue id of its wire.
    pub wire: String,
    /// Whether it carries the pulse.
    pub live: bool,
}

/// Posts of one catalogue row on a line.
#[derive(Clone, Debug, PartialEq)]
pub struct PostCount {
    /// Catalogue id.
    pub post: String,
    /// Whether strands only hang on them (else they take the strain).
    pub hung_on: bool,
    /// Whether they are pegs, which only hold strands at their height.
    pub are_pegs: bool,
    /// Where they stand.
    pub stations: Vec<Length>,
}

/// Pegs whose places are found on the first walk with the string.
#[derive(Clone, Debug, PartialEq)]
pub struct WalkCount {
    /// Catalogue id.
    pub post: String,
    /// How many.
    pub pegs: f64,
}

/// Braces whose posts are of one catalogue row.
#[derive(Clone, Debug, PartialEq)]
pub struct BraceCount {
    /// Catalogue id of the posts.
    pub post: String,
    /// Where the posts stand that they brace, one for each brace.
    pub stations: Vec<Length>,
    /// Those of them that are pulled from both sides and have wires both ways.
    pub crossed: Vec<Length>,
}

/// A crib in place of a post.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CribCount {
    /// Where.
    pub station: Length,
    /// Rock that it takes to stand against its pull; `None` where no crib holds.
    pub rock_kg: Option<f64>,
}

/// A length of strand between two posts that take its tension.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StrainCount {
    /// Station of its first post.
    pub from: Length,
    /// Station of its last post.
    pub to: Length,
    /// Length of one strand, post to post on the slope.
    pub strand: Length,
    /// Where its strainers are.
    pub strainer: Length,
    /// Springs in each strand.
    pub springs: u32,
}

/// One gate on a line.
#[derive(Clone, Debug, PartialEq)]
pub struct GateCount {
    /// Where it opens the line.
    pub station: Length,
    /// Clear width, metres.
    pub width_m: f64,
    /// How the pulse gets across: underground, overhead, none.
    pub crossing: String,
    /// Whether its strands are live.
    pub live: bool,
    /// Catalogue id of the wire of its crossing.
    pub cable: String,
}

/// A wire in the ground.
#[derive(Clone, Debug, PartialEq)]
pub struct BuriedCount {
    /// Catalogue id.
    pub cable: String,
    /// How many side by side in one conduit.
    pub conductors: u32,
    /// Length of the way, metres.
    pub length_m: f64,
    /// How many tracks and public ways it crosses.
    pub under_ways: u32,
}

/// The counts of one line.
#[derive(Clone, Debug, PartialEq)]
pub struct FenceCount {
    /// The line.
    pub line: FeatureId,
    /// Strands.
    pub strands: Vec<StrandCount>,
    /// Its strains.
    pub strains: Vec<StrainCount>,
    /// Where posts are held down.
    pub hold_downs: Vec<Length>,
    /// Cribs.
    pub cribs: Vec<CribCount>,
    /// Braces by the row of their posts.
    pub braces: Vec<BraceCount>,
    /// Posts and pegs by row.
    pub posts: Vec<PostCount>,
    /// Pegs for what the grid does not show.
    pub on_walk: Option<WalkCount>,
    /// Where strands run through corners of 20 degrees and more.
    pub sharp_corners: Vec<Length>,
    /// Gates.
    pub gates: Vec<GateCount>,
    /// What lies in the ground instead of all that.
    pub buried: Option<BuriedCount>,
    /// Netting with its own stakes instead of all but the gates: its catalogue id, and its length in metres.
    pub net: Option<(String, f64)>,
}

impl FenceCount {
    /// A line with nothing on it.
    pub fn none(line: FeatureId) -> Self {
        Self {
            line,
            strands: Vec::new(),
            strains: Vec::new(),
            hold_downs: Vec::new(),
            cribs: Vec::new(),
            braces: Vec::new(),
            posts: Vec::new(),
            on_walk: None,
            sharp_corners: Vec::new(),
            gates: Vec::new(),
            buried: None,
            net: None,
        }
    }

    /// Of a fence or a lead-out; `None` for anything else.
    pub fn of(plan: &Plan, line: &BuiltLine) -> Option<Self> {
        let feature = plan.feature(line.id)?;
        let none = Self::none(line.id.clone());
        if let Kind::LeadOut(lead_out) = &feature.kind
            && lead_out.underground
        {
            let buried = BuriedCount {
                cable: lead_out.wire.clone().unwrap_or_else(|| CABLE.to_owned()),
                conductors: lead_out.wires(),
                length_m: line.measure.ground_length.as_metres(),
                under_ways: under_ways(plan, feature),
            };
            return Some(Self { buried: Some(buried), ..none });
        }
        if let Some(net) = net_of(plan, feature) {
            let gates = line.bays.iter().filter_map(|bay| gate(plan, bay)).collect();
            return Some(Self { net: Some((net.row.clone(), line.measure.ground_length.as_metres())), gates, ..none });
        }
        let stations = |is_wanted: fn(&Post) -> bool| {
            line.posts.iter().filter(|post| is_wanted(post)).map(|post| post.station).collect::<Vec<_>>()
        };
        Some(Self {
            strands: strands(plan, feature)?,
            strains: line.strains.iter().map(strain).collect(),
            hold_downs: stations(|post| post.held_down),
            cribs: line.posts.iter().filter(|post| post.post == CRIB).map(crib).collect(),
            braces: braces(line),
            posts: posts(line.posts.iter()),
            on_walk: line.on_walk.and_then(on_walk),
            sharp_corners: stations(is_sharp),
            gates: line.bays.iter().filter_map(|bay| gate(plan, bay)).collect(),
            ..none
        })
    }

    /// Length of one strand over all strains.
    pub fn strand_length(&self) -> Length {
        self.strains.iter().map(|strain| strain.strand).sum()
    }
}

/// Whole pegs, where at least one is to be expected.
fn on_walk(found: &OnWalk) -> Option<WalkCount> {
    let pegs = found.pegs.round();
    (pegs >= 1.0).then(|| WalkCount { post: found.post.clone(), pegs })
}

fn strain(strain: &Strain) -> StrainCount {
    StrainCount { from: strain.from, to: strain.to, strand: strain.strand, strainer: strain.strainer, springs: strain.springs }
}

/// A crib that stands by its weight alone on the ground that it is on.
fn crib(post: &Post) -> CribCount {
    CribCount { station: post.station, rock_kg: crib_kg(post) }
}

/// How many tracks and public ways a line crosses: where its legs cross theirs.
fn under_ways(plan: &Plan, feature: &Feature) -> u32 {
    let is_way = |kind: &Kind| matches!(kind, Kind::Track(_) | Kind::PublicWay { .. });
    let ways = plan.features.iter().filter(|other| is_way(&other.kind)).filter_map(|other| other.line());
    let legs = feature.line().unwrap_or_default().windows(2);
    let crosses =
        |way: &[Position], leg: &[Position]| way.windows(2).any(|of_way| cross([leg[0], leg[1]], [of_way[0], of_way[1]]));
    ways.map(|way| legs.clone().filter(|leg| crosses(way, leg)).count() as u32).sum()
}

/// Whether two legs cross, each with the ends of the other on both its sides.
fn cross(one: [Position; 2], other: [Position; 2]) -> bool {
    let side = |[from, to]: [Position; 2], at: Position| {
        (to.lon_deg() - from.lon_deg()) * (at.lat_deg() - from.lat_deg())
            - (to.lat_deg() - from.lat_deg()) * (at.lon_deg() - from.lon_deg())
    };
    side(one, other[0]) * side(one, other[1]) < 0.0 && side(other, one[0]) * side(other, one[1]) < 0.0
}

fn net_of<'a>(plan: &'a Plan, feature: &Feature) -> Option<&'a Net> {
    let Kind::Fence(fence) = &feature.kind else { return None };
    plan.build(&fence.build)?.net.as_ref()
}

fn strands(plan: &Plan, feature: &Feature) -> Option<Vec<StrandCount>> {
    Some(match &feature.kind {
        Kind::Fence(fence) => {
            let build = plan.build(&fence.build)?;
            build.strands.iter().map(|strand| StrandCount { wire: strand.wire.clone(), live: strand.live }).collect()
        }
        Kind::LeadOut(lead_out) => {
            let wire = lead_out.wire.clone().unwrap_or_else(|| LEAD_OUT_WIRE.to_owned());
            let mut strands = vec![StrandCount { wire: wire.clone(), live: true }; lead_out.conductors.unwrap_or(1) as usize];
            strands.extend(lead_out.earth_return.then_some(StrandCount { wire, live: false }));
            strands
        }
        _ => return None,
    })
}

fn is_sharp(post: &Post) -> bool {
    post.role == PostRole::Corner && post.deflection_deg.is_some_and(|turn| turn >= SHARP_TURN_DEG)
}

fn takes_strain(post: &Post) -> bool {
    matches!(post.role, PostRole::End | PostRole::Gate | PostRole::Stretch) || is_sharp(post)
}

fn posts<'a>(all: impl Iterator<Item = &'a Post>) -> Vec<PostCount> {
    let mut counts: Vec<PostCount> = Vec::new();
    for post in all {
        let (hung_on, are_pegs) = (!takes_strain(post), post.role == PostRole::Peg);
        let is_alike = |row: &&mut PostCount| row.post == post.post && row.hung_on == hung_on && row.are_pegs == are_pegs;
        match counts.iter_mut().find(is_alike) {
            Some(row) => row.stations.push(post.station),
            None => counts.push(PostCount { post: post.post.clone(), hung_on, are_pegs, stations: vec![post.station] }),
        }
    }
    counts
}

/// A corner that turns by more than this has a brace along each of its legs, degrees (`common-practice`).
const BRACED_BOTH_WAYS_DEG: f64 = 60.0;

/// Braces that are built beside posts; a strainer post with a stay brings its own.
fn braces(line: &BuiltLine) -> Vec<BraceCount> {
    let mut counts: Vec<BraceCount> = Vec::new();
    for post in line.posts.iter().filter(|post| post.braced && ![STAYED_POST, CRIB].contains(&post.post.as_str())) {
        let more = if post.deflection_deg.is_some_and(|turn| turn > BRACED_BOTH_WAYS_DEG) { 2 } else { 1 };
        let stations = std::iter::repeat_n(post.station, more);
        let index = counts.iter().position(|row| row.post == post.post).unwrap_or_else(|| {
            counts.push(BraceCount { post: post.post.clone(), stations: Vec::new(), crossed: Vec::new() });
            counts.len() - 1
        });
        counts[index].stations.extend(stations);
        counts[index].crossed.extend((post.role == PostRole::Stretch).then_some(post.station));
    }
    counts
}

fn gate(plan: &Plan, bay: &Bay) -> Option<GateCount> {
    let id = bay.gate.as_ref()?;
    let Some(Kind::Gate(gate)) = plan.feature(id).map(|feature| &feature.kind) else { return None };
    Some(GateCount {
        station: bay.from,
        width_m: (bay.to - bay.from).as_metres(),
        crossing: gate.crossing.clone().unwrap_or_else(|| "underground".to_owned()),
        live: gate.live.unwrap_or(true),
        cable: gate.cable.clone().unwrap_or_else(|| CABLE.to_owned()),
    })
}
