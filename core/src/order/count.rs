//! What stands and hangs along one line: the counts that the take-off starts from.

use crate::hold::{Bay, LEAD_OUT_WIRE, LineMeasure, Post, PostRole, SHARP_TURN_DEG, Strain};
use crate::plan::{Feature, FeatureId, Kind, Plan};
use crate::units::Length;

/// The catalogue's row of a post that is stayed by itself.
const STAYED_POST: &str = "stay-strainer";

/// The cable of crossings and lead-outs where the plan names no other.
pub(super) const CABLE: &str = "hv-cable";

/// One line with its posts and bays.
#[derive(Clone, Copy, Debug)]
pub struct BuiltLine<'a> {
    /// The line.
    pub id: &'a FeatureId,
    /// Its lengths.
    pub measure: &'a LineMeasure,
    /// Its posts.
    pub posts: &'a [Post],
    /// The bays between them; as many as posts when the line is closed.
    pub bays: &'a [Bay],
    /// Its strains.
    pub strains: &'a [Strain],
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
    /// How many.
    pub count: u32,
}

/// Braces whose posts are of one catalogue row.
#[derive(Clone, Debug, PartialEq)]
pub struct BraceCount {
    /// Catalogue id of the posts.
    pub post: String,
    /// How many braces.
    pub count: u32,
}

/// One gate on a line.
#[derive(Clone, Debug, PartialEq)]
pub struct GateCount {
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
}

/// The counts of one line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FenceCount {
    /// Strands.
    pub strands: Vec<StrandCount>,
    /// Length of one strand of each strain, post to post on the slope.
    pub strains: Vec<Length>,
    /// Springs in each strand of each strain.
    pub springs: u32,
    /// Posts that are held down.
    pub hold_downs: u32,
    /// Braces by the row of their posts.
    pub braces: Vec<BraceCount>,
    /// Posts by row.
    pub posts: Vec<PostCount>,
    /// Corners of 20 degrees and more that strands run through.
    pub sharp_corners: u32,
    /// Gates.
    pub gates: Vec<GateCount>,
    /// What lies in the ground instead of all that.
    pub buried: Option<BuriedCount>,
}

impl FenceCount {
    /// Of a fence or a lead-out; `None` for anything else.
    pub fn of(plan: &Plan, line: &BuiltLine) -> Option<Self> {
        let feature = plan.feature(line.id)?;
        if let Kind::LeadOut(lead_out) = &feature.kind
            && lead_out.underground
        {
            let buried = BuriedCount {
                cable: lead_out.wire.clone().unwrap_or_else(|| CABLE.to_owned()),
                conductors: lead_out.conductors.unwrap_or(1),
                length_m: line.measure.ground_length.as_metres(),
            };
            return Some(Self { buried: Some(buried), ..Self::default() });
        }
        Some(Self {
            strands: strands(plan, feature)?,
            strains: line.strains.iter().map(|strain| strain.strand).collect(),
            springs: springs(plan, feature),
            hold_downs: line.posts.iter().filter(|post| post.held_down).count() as u32,
            braces: braces(line),
            posts: posts(line),
            sharp_corners: line.posts.iter().filter(|post| is_sharp(post)).count() as u32,
            gates: line.bays.iter().filter_map(|bay| gate(plan, bay)).collect(),
            buried: None,
        })
    }
}

fn springs(plan: &Plan, feature: &Feature) -> u32 {
    let Kind::Fence(fence) = &feature.kind else { return 0 };
    plan.build(&fence.build).map_or(0, crate::plan::Build::springs)
}

fn strands(plan: &Plan, feature: &Feature) -> Option<Vec<StrandCount>> {
    Some(match &feature.kind {
        Kind::Fence(fence) => {
            let build = plan.build(&fence.build)?;
            build.strands.iter().map(|strand| StrandCount { wire: strand.wire.clone(), live: strand.live }).collect()
        }
        Kind::LeadOut(lead_out) => {
            let wire = lead_out.wire.clone().unwrap_or_else(|| LEAD_OUT_WIRE.to_owned());
            vec![StrandCount { wire, live: true }; lead_out.conductors.unwrap_or(1) as usize]
        }
        _ => return None,
    })
}

fn is_sharp(post: &Post) -> bool {
    post.role == PostRole::Corner && post.deflection_deg.is_some_and(|turn| turn >= SHARP_TURN_DEG)
}

fn takes_strain(post: &Post) -> bool {
    matches!(post.role, PostRole::End | PostRole::Gate) || is_sharp(post)
}

fn posts(line: &BuiltLine) -> Vec<PostCount> {
    let mut counts: Vec<PostCount> = Vec::new();
    for post in line.posts {
        let hung_on = !takes_strain(post);
        match counts.iter_mut().find(|row| row.post == post.post && row.hung_on == hung_on) {
            Some(row) => row.count += 1,
            None => counts.push(PostCount { post: post.post.clone(), hung_on, count: 1 }),
        }
    }
    counts
}

/// A corner that turns by more than this has a brace along each of its legs, degrees (`common-practice`).
const BRACED_BOTH_WAYS_DEG: f64 = 60.0;

/// Braces that are built beside posts; a strainer post with a stay brings its own.
fn braces(line: &BuiltLine) -> Vec<BraceCount> {
    let mut counts: Vec<BraceCount> = Vec::new();
    for post in line.posts.iter().filter(|post| post.braced && post.post != STAYED_POST) {
        let more = if post.deflection_deg.is_some_and(|turn| turn > BRACED_BOTH_WAYS_DEG) { 2 } else { 1 };
        match counts.iter_mut().find(|row| row.post == post.post) {
            Some(row) => row.count += more,
            None => counts.push(BraceCount { post: post.post.clone(), count: more }),
        }
    }
    counts
}

fn gate(plan: &Plan, bay: &Bay) -> Option<GateCount> {
    let id = bay.gate.as_ref()?;
    let Some(Kind::Gate(gate)) = plan.feature(id).map(|feature| &feature.kind) else { return None };
    Some(GateCount {
        width_m: (bay.to - bay.from).as_metres(),
        crossing: gate.crossing.clone().unwrap_or_else(|| "underground".to_owned()),
        live: gate.live.unwrap_or(true),
        cable: gate.cable.clone().unwrap_or_else(|| CABLE.to_owned()),
    })
}
