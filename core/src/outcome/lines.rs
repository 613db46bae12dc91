//! The outcome of every line, each step taken from last time where nothing it rests on has changed.

use super::LineOutcome;
use super::keep::{Given, Kept, KeptLine, same};
use super::lie::same_arc;
use crate::check::{Before, Checked, CheckedLine, HeldRow, LineRole, Looks, check_line, held_rows};
use crate::hold::spacing::Placements;
use crate::hold::{
    Clearance, GATE_WITHIN_M, GatePlace, HoldError, LEAD_OUT_HEIGHT_M, LineHold, Section, Terrain, gate_place, line_hold,
    measure, section, specification_of, spot_heights,
};
use crate::land::{MapPoint, Position};
use crate::plan::{Build, Feature, FeatureId, Head, Kind};
use crate::site::{LineReach, LineRuns};
use crate::units::Length;
use rayon::prelude::*;
use std::collections::HashMap;
use std::sync::Arc;

/// The ground under one line of the plan.
struct Course<'a> {
    feature: &'a Arc<Feature>,
    section: Arc<Section>,
}

/// All lines of the plan. `no_footing` says why nothing is known about what posts stand in.
pub(super) fn work_out(checked: &Checked, no_footing: Option<&HoldError>, given: &Given, kept: &Kept) -> Vec<Arc<KeptLine>> {
    let courses = courses(checked, given, kept);
    let gates = gates_by_line(checked, &courses);
    let no_gates = Vec::new();
    let one = |course: &Course| {
        let gates = gates.get(&course.feature.id).unwrap_or(&no_gates);
        line(checked, no_footing, given, kept, course, gates)
    };
    courses.par_iter().map(one).collect()
}

fn courses<'a>(checked: &Checked<'a>, given: &Given, kept: &Kept) -> Vec<Course<'a>> {
    let is_same = |before: &Given| before.ground == given.ground && same(&before.spots, &given.spots);
    let same_ground = kept.given.as_ref().is_some_and(is_same);
    let to_map = |at: &Position| checked.frame.to_map(*at).ok();
    let spots = spot_heights(&given.spots, checked.frame);
    let course = |feature: &'a Arc<Feature>| {
        let runs_alike = |before: &&Arc<KeptLine>| before.feature.geometry == feature.geometry;
        let before = kept.lines.get(&feature.id).filter(|_| same_ground).filter(runs_alike);
        let section = match before {
            Some(before) => Arc::clone(&before.section),
            None => {
                let corners: Vec<MapPoint> = feature.line()?.iter().map(to_map).collect::<Option<_>>()?;
                Arc::new(section(&feature.id, &corners, checked.ground, &spots))
            }
        };
        Some(Course { feature, section })
    };
    let lines: Vec<_> = checked.plan.features.iter().filter(|feature| feature.kind.carries_strands()).collect();
    lines.into_par_iter().filter_map(course).collect()
}

/// Each gate on the nearest fence.
fn gates_by_line(checked: &Checked, courses: &[Course]) -> HashMap<FeatureId, Vec<GatePlace>> {
    let mut all: HashMap<FeatureId, Vec<GatePlace>> = HashMap::new();
    let fences = || courses.iter().filter(|course| matches!(course.feature.kind, Kind::Fence(_)));
    for feature in &checked.plan.features {
        let Kind::Gate(gate) = &feature.kind else { continue };
        let Some(at) = feature.point().and_then(|at| checked.frame.to_map(at).ok()) else { continue };
        let places = fences().filter_map(|course| {
            gate_place(&feature.id, at, gate.width, &course.section).map(|(place, off_m)| (&course.feature.id, place, off_m))
        });
        if let Some((line, place, off_m)) = places.min_by(|a, b| a.2.total_cmp(&b.2))
            && off_m <= GATE_WITHIN_M
        {
            all.entry(line.clone()).or_default().push(place);
        }
    }
    all
}

fn line(
    checked: &Checked,
    no_footing: Option<&HoldError>,
    given: &Given,
    kept: &Kept,
    course: &Course,
    gates: &[GatePlace],
) -> Arc<KeptLine> {
    let before = kept.given.as_ref().zip(kept.lines.get(&course.feature.id));
    let role = LineRole::of(checked, course.feature);
    let stands = before.filter(|(before, line)| {
        before.holds_alike(given)
            && Arc::ptr_eq(&line.feature, course.feature)
            && Arc::ptr_eq(&line.section, &course.section)
            && line.gates == gates
            && line.role.clearance == role.clearance
    });
    if let Some((before, line)) = stands
        && before.surrounds_alike(given)
        && line.role == role
    {
        return Arc::clone(line);
    }
    let (hold, trouble) = match stands {
        Some((_, line)) => (Arc::clone(&line.hold), line.outcome.trouble.clone()),
        None => held(checked, no_footing, course, (gates, role.clearance), &kept.placed),
    };
    let runs = runs(given, kept, course);
    let specification = specification_of(checked.plan, course.feature, hold.longest_strain, checked.catalogue).ok();
    let reach = reached(checked, given, kept, course);
    let build = build_of(checked, course.feature);
    let specification = specification.and_then(|found| match build {
        Some(build) => found.hung_within(build, &hold.bands).ok(),
        None => Some(found),
    });
    let as_checked = CheckedLine {
        feature: course.feature,
        build,
        specification: specification.as_ref(),
        behind: role.behind(),
        section: &course.section,
        hold: &hold,
        reach: reach.as_deref(),
        runs: runs.as_deref(),
    };
    let holds = held_rows(checked, &as_checked);
    let findings = check_line(
        checked,
        &as_checked,
        before.map(|(before, line)| {
            let runs_on = runs_on(course, line, (before, given), &role);
            Before { findings: &line.findings, still: still(stands.is_some(), runs_on) }
        }),
    );
    let outcome = told(course, (&hold, trouble), (&reach, &runs), holds);
    Arc::new(KeptLine {
        feature: Arc::clone(course.feature),
        gates: gates.to_vec(),
        role,
        section: Arc::clone(&course.section),
        hold,
        reach,
        runs,
        outcome: Arc::new(outcome),
        findings,
    })
}

/// What others see of a line.
fn told(
    course: &Course,
    (hold, trouble): (&Arc<LineHold>, Option<HoldError>),
    (reach, runs): (&Option<Arc<LineReach>>, &Option<Arc<LineRuns>>),
    holds: Vec<HeldRow>,
) -> LineOutcome {
    let shares = reach.as_ref().and_then(|reach| reach.track_shares());
    LineOutcome {
        id: course.feature.id.clone(),
        measure: measure(&course.section),
        section: course.section.as_ref().clone(),
        hold: Arc::clone(hold),
        reach: reach.clone(),
        runs: runs.clone(),
        track_share: shares.map(|shares| shares.walk),
        beside_share: shares.map(|shares| shares.beside),
        holds,
        trouble,
    }
}

fn build_of<'a>(checked: &Checked<'a>, line: &Feature) -> Option<&'a Build> {
    if let Kind::Fence(fence) = &line.kind { checked.plan.build(&fence.build) } else { None }
}

/// How a line is reached and seen, from last time where neither its ground nor the height of its top strand has changed; of a line that was
/// moved, what stands where it stood.
fn reached(checked: &Checked, given: &Given, kept: &Kept, course: &Course) -> Option<Arc<LineReach>> {
    let top = top_of(&checked.plan.head, course.feature);
    let before = kept.given.as_ref().filter(|before| Arc::ptr_eq(&before.reach, &given.reach));
    let line = before.and(kept.lines.get(&course.feature.id));
    let stood = line.zip(before).and_then(|(line, before)| {
        let hung = top_of(&before.head, &line.feature) == top;
        line.reach.as_ref().filter(|_| hung).map(|reach| (line, reach))
    });
    if let Some((line, reach)) = &stood
        && Arc::ptr_eq(&line.section, &course.section)
    {
        return Some(Arc::clone(reach));
    }
    given.reach.line(&course.section, top, stood.map(|(_, reach)| reach.as_ref())).map(Arc::new)
}

/// How high the top of a line hangs, which is looked for from the tracks.
fn top_of(head: &Head, line: &Feature) -> Length {
    let build = match &line.kind {
        Kind::Fence(fence) => head.builds.iter().find(|build| build.id == fence.build),
        Kind::LeadOut(lead_out) => return lead_out.height.unwrap_or(Length::metres(LEAD_OUT_HEIGHT_M)),
        _ => None,
    };
    let tops = build.into_iter().flat_map(|build| &build.strands).map(|strand| strand.height);
    tops.reduce(Length::max).unwrap_or(Length::metres(1.0))
}

/// What has not changed of a line that may stand as it stood, or only run over the ground as it did.
fn still(stands: bool, runs_on: bool) -> &'static [Looks] {
    match (stands, runs_on) {
        (true, true) => &[Looks::AtTheLine, Looks::AtTheCourse],
        (true, false) => &[Looks::AtTheLine],
        (false, true) => &[Looks::AtTheCourse],
        (false, false) => &[],
    }
}

/// Whether a line runs over the ground as it did, among the same things and built alike, wherever its posts stand.
fn runs_on(course: &Course, line: &KeptLine, (before, given): (&Given, &Given), role: &LineRole) -> bool {
    let is_alike = match (&line.feature.kind, &course.feature.kind) {
        (Kind::Fence(one), Kind::Fence(other)) => one.build == other.build,
        _ => Arc::ptr_eq(&line.feature, course.feature),
    };
    is_alike
        && Arc::ptr_eq(&line.section, &course.section)
        && line.role == *role
        && before.holds_alike(given)
        && before.surrounds_alike(given)
}

/// What runs down to a fence, from last time where its ground has not changed; a lead-out stands on high posts or lies in the ground.
fn runs(given: &Given, kept: &Kept, course: &Course) -> Option<Arc<LineRuns>> {
    let runners = given.land.runners.as_ref().filter(|_| matches!(course.feature.kind, Kind::Fence(_)))?;
    let before = kept.given.as_ref().filter(|before| same_arc(&before.land.runners, &given.land.runners));
    let stood = before.and(kept.lines.get(&course.feature.id)).filter(|line| Arc::ptr_eq(&line.section, &course.section));
    stood.and_then(|line| line.runs.clone()).or_else(|| Some(Arc::new(runners.along(&course.section))))
}

/// What holds a line, or why that cannot be worked out.
fn held(
    checked: &Checked,
    no_footing: Option<&HoldError>,
    course: &Course,
    hung: (&[GatePlace], Option<Clearance>),
    placed: &Placements,
) -> (Arc<LineHold>, Option<HoldError>) {
    match hold(checked, no_footing, course, hung, placed) {
        Ok(hold) => (Arc::new(hold), None),
        Err(trouble) => (Arc::default(), Some(trouble)),
    }
}

fn hold(
    checked: &Checked,
    no_footing: Option<&HoldError>,
    course: &Course,
    (gates, clearance): (&[GatePlace], Option<Clearance>),
    placed: &Placements,
) -> Result<LineHold, HoldError> {
    match (checked.footings, no_footing) {
        (Some(footings), _) => {
            let terrain = Terrain { footings, ground: checked.ground, clearance, placed: Some(placed) };
            line_hold(checked.plan, course.feature, &course.section, gates, terrain, checked.catalogue)
        }
        (None, Some(trouble)) => Err(trouble.clone()),
        (None, None) => unreachable!("without footings there is a reason"),
    }
}
