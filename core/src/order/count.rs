//! What stands and hangs along one line: the counts that the take-off starts from.

use crate::catalogue::Catalogue;
use crate::hold::{Bay, LineMeasure, Post, PostRole, SHARP_TURN_DEG, Specification};
use crate::plan::{Feature, FeatureId, Kind, Plan};
use crate::units::Length;

/// Longest strain, metres: in-line strainers and braces are asked for at 1320 ft at most (`nrcs-maine-382a`, `nrcs-colorado-382`).
pub const LONGEST_STRAIN_M: f64 = 402.0;
/// Turns, up and down and sideways together, after which a strain tensioned at its middle has lost 30 % at its ends, radians:
/// `2 ln(1/0.7) / mu` with friction 0.2 of plastic insulators (`common-practice`).
pub const MOST_TURNED_RAD: f64 = 3.57;

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
}

/// One strand of a line.
#[derive(Clone, Debug, PartialEq)]
pub struct StrandCount {
    /// Catalogue id of its wire.
    pub wire: String,
    /// Whether it carries the pulse.
    pub live: bool,
}

/// An unbroken run of strands, from end or gate to end or gate.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Run {
    /// Length of one strand, post to post on the slope, metres.
    pub strand_m: f64,
    /// How many strains it is divided into.
    pub strains: u32,
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

/// One gate on a line.
#[derive(Clone, Debug, PartialEq)]
pub struct GateCount {
    /// Clear width, metres.
    pub width_m: f64,
    /// How the pulse gets across: underground, overhead, none.
    pub crossing: String,
    /// Whether its strands are live.
    pub live: bool,
}

/// The counts of one line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FenceCount {
    /// Strands.
    pub strands: Vec<StrandCount>,
    /// Runs between ends and gates.
    pub runs: Vec<Run>,
    /// Posts by row.
    pub posts: Vec<PostCount>,
    /// Corners of 20 degrees and more that strands run through.
    pub sharp_corners: u32,
    /// Gates.
    pub gates: Vec<GateCount>,
    /// Length of a cable in the ground instead of all that, metres.
    pub cable_m: Option<f64>,
}

impl FenceCount {
    /// Of a fence or a lead-out; `None` for anything else.
    pub fn of(plan: &Plan, line: &BuiltLine, catalogue: &Catalogue) -> Option<Self> {
        let feature = plan.feature(line.id)?;
        if let Kind::LeadOut(lead_out) = &feature.kind
            && lead_out.underground
        {
            return Some(Self { cable_m: Some(line.measure.ground_length.as_metres()), ..Self::default() });
        }
        Some(Self {
            strands: strands(plan, feature, catalogue)?,
            runs: runs(line),
            posts: posts(line),
            sharp_corners: line.posts.iter().filter(|post| is_sharp(post)).count() as u32,
            gates: line.bays.iter().filter_map(|bay| gate(plan, bay)).collect(),
            cable_m: None,
        })
    }
}

fn strands(plan: &Plan, feature: &Feature, catalogue: &Catalogue) -> Option<Vec<StrandCount>> {
    Some(match &feature.kind {
        Kind::Fence(fence) => {
            let build = plan.build(&fence.build)?;
            build.strands.iter().map(|strand| StrandCount { wire: strand.wire.clone(), live: strand.live }).collect()
        }
        Kind::LeadOut(lead_out) => {
            let specification = Specification::of_lead_out(lead_out, catalogue).ok()?;
            specification.strands.iter().map(|strand| StrandCount { wire: strand.wire.id.clone(), live: true }).collect()
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

fn gate(plan: &Plan, bay: &Bay) -> Option<GateCount> {
    let id = bay.gate.as_ref()?;
    let Some(Kind::Gate(gate)) = plan.feature(id).map(|feature| &feature.kind) else { return None };
    Some(GateCount {
        width_m: (bay.to - bay.from).as_metres(),
        crossing: gate.crossing.clone().unwrap_or_else(|| "underground".to_owned()),
        live: gate.live.unwrap_or(true),
    })
}

/// Runs of strands between gates and ends. On a closed line they begin behind the first gate.
fn runs(line: &BuiltLine) -> Vec<Run> {
    let count = line.bays.len();
    let closed = count > 0 && count == line.posts.len();
    let first = if closed { line.bays.iter().position(|bay| bay.gate.is_some()).map_or(0, |gate| gate + 1) } else { 0 };
    let mut runs = Vec::new();
    let mut run = Gathered::default();
    for step in 0..count {
        let bay = (first + step) % count;
        if line.bays[bay].gate.is_some() {
            runs.extend(std::mem::take(&mut run).finish());
        } else {
            run.add(line, bay, closed);
        }
    }
    runs.extend(run.finish());
    runs
}

#[derive(Default)]
struct Gathered {
    strand_m: f64,
    turned_rad: f64,
    last_grade: Option<f64>,
}

impl Gathered {
    fn add(&mut self, line: &BuiltLine, bay: usize, closed: bool) {
        let from = &line.posts[bay];
        let to = &line.posts[(bay + 1) % line.posts.len()];
        let wraps = closed && bay + 1 == line.posts.len();
        let end_m = if wraps { line.measure.plan_length.as_metres() } else { to.plan_m };
        let plan_m = end_m - from.plan_m;
        let rise_m = from.ground.zip(to.ground).map_or(0.0, |(low, high)| (high - low).as_metres());
        let grade = rise_m.atan2(plan_m);
        if let Some(before) = self.last_grade.replace(grade) {
            self.turned_rad += (grade - before).abs() + from.deflection_deg.unwrap_or(0.0).to_radians();
        }
        self.strand_m += plan_m.hypot(rise_m);
    }

    fn finish(self) -> Option<Run> {
        self.last_grade?;
        let by_length = (self.strand_m / LONGEST_STRAIN_M).ceil();
        let by_turns = (self.turned_rad / MOST_TURNED_RAD).ceil();
        Some(Run { strand_m: self.strand_m, strains: by_length.max(by_turns).max(1.0) as u32 })
    }
}

/// Length of a strand over all runs, metres.
pub(super) fn strand_m(runs: &[Run]) -> Length {
    Length::metres(runs.iter().map(|run| run.strand_m).sum())
}
