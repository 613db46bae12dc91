//! What changes that may help edit in the plan.

use super::changes::its_lead_out;
use super::feeding::EARTH_WITHIN_M;
use crate::finding::BiteChange;
use crate::land::Position;
use crate::plan::{Build, Edit, Feature, FeatureId, Geometry, Head, Kind, Plan, Strand, length_m};
use crate::units::Length;

/// Rods along strands that lead back stand some this far apart, metres (`common-practice`).
const ROD_EACH_M: f64 = 200.0;
/// An earth this near to a fence is on it, metres.
const ON_LINE_M: f64 = 1.0;

/// The plan with a change made; `None` where it cannot be.
pub fn applied(plan: &Plan, change: &BiteChange) -> Option<Plan> {
    edits(plan, change).iter().try_fold(plan.clone(), |plan, edit| edit.apply(&plan)).ok()
}

/// The edits that make a change; none where the plan lacks what it is about.
pub fn edits(plan: &Plan, change: &BiteChange) -> Vec<Edit> {
    let set = |id, how: &dyn Fn(&mut Kind)| {
        let feature = plan.feature(id);
        let changed = feature.map(|feature| {
            let mut kind = feature.kind.clone();
            how(&mut kind);
            Edit::SetKind { id: feature.id.clone(), kind: Box::new(kind) }
        });
        changed.into_iter().collect::<Vec<_>>()
    };
    let head = |how: &dyn Fn(&mut Head)| {
        let mut head = Head::clone(&plan.head);
        how(&mut head);
        vec![Edit::SetHead(Box::new(head))]
    };
    match change {
        BiteChange::Rods { earth, count, length } => set(earth, &|kind| {
            if let Kind::Earth { rods, rod_length, .. } = kind {
                *rods = Some(*count);
                *rod_length = length.or(*rod_length);
            }
        }),
        BiteChange::EarthReturn => lead_back(plan),
        BiteChange::UnitNearer { energizer } => nearer(plan, energizer).unwrap_or_default(),
        BiteChange::Together(all) => together(plan, all),
        BiteChange::LeadOutWire { line, wire } => set(line, &|kind| {
            if let Kind::LeadOut(lead_out) = kind {
                lead_out.wire = Some(wire.clone());
            }
        }),
        BiteChange::Conductors { line, count } => set(line, &|kind| {
            if let Kind::LeadOut(lead_out) = kind {
                lead_out.conductors = Some(*count);
            }
        }),
        BiteChange::Model { energizer, model } => set(energizer, &|kind| {
            *kind = Kind::Energizer(crate::plan::Energizer { model: Some(model.clone()), ..Default::default() });
        }),
        BiteChange::Crossing { gate } => set(gate, &|kind| {
            if let Kind::Gate(gate) = kind {
                gate.crossing = Some("underground".to_owned());
            }
        }),
        BiteChange::Closed { cutout } => set(cutout, &|kind| *kind = Kind::Cutout { open: false }),
        BiteChange::StrandWire { build, wire } => head(&|head| rewire(head, build, wire)),
        BiteChange::Growth { vegetation } => head(&|head| head.ground.vegetation.clone_from(vegetation)),
        BiteChange::FaultsMended => mended(plan),
    }
}

fn build_of<'a>(head: &'a mut Head, id: &str) -> Option<&'a mut Build> {
    head.builds.iter_mut().find(|build| build.id == id)
}

fn rewire(head: &mut Head, id: &str, wire: &str) {
    for strand in build_of(head, id).into_iter().flat_map(|build| &mut build.strands).filter(|strand| strand.live) {
        wire.clone_into(&mut strand.wire);
    }
}

/// Mended means taken out of the reckoning: the faults go from the copy.
fn mended(plan: &Plan) -> Vec<Edit> {
    let active = plan.features.iter().filter(|feature| matches!(&feature.kind, Kind::Fault(fault) if fault.is_active()));
    vec![Edit::RemoveAll(active.map(|feature| feature.id.clone()).collect())]
}

fn together(plan: &Plan, all: &[BiteChange]) -> Vec<Edit> {
    let mut now = plan.clone();
    let mut done = Vec::new();
    for change in all {
        let step = edits(&now, change);
        let Ok(next) = step.iter().try_fold(now.clone(), |plan, edit| edit.apply(&plan)) else { continue };
        now = next;
        done.extend(step);
    }
    done
}

/// Earth-return strands in every build of strands in use, a wire more in every lead-out, and a rod at the end and every 200 m of each fence.
fn lead_back(plan: &Plan) -> Vec<Edit> {
    let mut head = Head::clone(&plan.head);
    let fences: Vec<&Feature> =
        plan.features.iter().map(AsRef::as_ref).filter(|feature| build_in_use(plan, feature).is_some()).collect();
    let builds = head.builds.iter_mut().filter(|build| fences.iter().any(|fence| build_in_use(plan, fence) == Some(&build.id)));
    builds.for_each(give_return);
    let mut all = vec![Edit::SetHead(Box::new(head))];
    for feature in &plan.features {
        if let Kind::LeadOut(lead_out) = &feature.kind
            && !lead_out.earth_return
        {
            let kind = Kind::LeadOut(crate::plan::LeadOut { earth_return: true, ..lead_out.clone() });
            all.push(Edit::SetKind { id: feature.id.clone(), kind: Box::new(kind) });
        }
    }
    let places: Vec<Position> =
        fences.iter().filter_map(|fence| fence.line()).flat_map(|corners| rod_places(plan, corners)).collect();
    let mut number = 0;
    let mut rods = Vec::new();
    for at in places {
        let id = loop {
            number += 1;
            let id = FeatureId::new(&format!("earth-return-{number}"));
            if plan.feature(&id).is_none() {
                break id;
            }
        };
        let kind = Kind::Earth { rods: Some(1), rod_length: None, rod_diameter: None, spacing: None };
        rods.push(Feature::new(id, kind, Geometry::Point(at)));
    }
    if !rods.is_empty() {
        all.push(Edit::AddAll(rods));
    }
    all
}

/// The build of a fence, where that has live strands.
fn build_in_use<'a>(plan: &'a Plan, feature: &Feature) -> Option<&'a String> {
    let Kind::Fence(fence) = &feature.kind else { return None };
    plan.build(&fence.build).filter(|build| build.strands.iter().any(|strand| strand.live)).map(|build| &build.id)
}

/// Of three and more strands the second, fourth … lead back, never the top one; between two a third is strung, below a single one a second.
fn give_return(build: &mut Build) {
    if build.strands.iter().any(|strand| !strand.live) {
        return;
    }
    let count = build.strands.len();
    if count >= 3 {
        let back = build.strands.iter_mut().enumerate().filter(|(index, _)| index % 2 == 1 && index + 1 < count);
        back.for_each(|(_, strand)| strand.live = false);
        return;
    }
    let Some(top) = build.strands.last().cloned() else { return };
    let below = if count == 2 { build.strands[0].height } else { Length::ZERO };
    let height = (below + top.height) * 0.5;
    build.strands.insert(count - 1, Strand { height, live: false, band: None, ..top });
}

/// Places of rods along a fence: evenly, [`ROD_EACH_M`] apart at most, where none stands yet.
fn rod_places(plan: &Plan, corners: &[Position]) -> Vec<Position> {
    let whole_m = length_m(corners);
    let count = (whole_m / (ROD_EACH_M * 1.02)).ceil().max(1.0);
    let stands = |at: Position| {
        let is_rod = |feature: &Feature| matches!(feature.kind, Kind::Earth { .. });
        let mut rods = plan.features.iter().filter(|feature| is_rod(feature)).filter_map(|feature| feature.point());
        rods.any(|rod| length_m(&[rod, at]) < ROD_EACH_M / 4.0 && is_on(corners, rod))
    };
    let places = (1..=count as usize).filter_map(|step| along(corners, whole_m * step as f64 / count));
    places.filter(|at| !stands(*at)).collect()
}

fn is_on(corners: &[Position], at: Position) -> bool {
    corners.windows(2).any(|leg| crate::plan::foot_on([leg[0], leg[1]], at).distance_m <= ON_LINE_M)
}

fn along(corners: &[Position], mut left_m: f64) -> Option<Position> {
    for leg in corners.windows(2) {
        let leg_m = length_m(leg);
        if left_m <= leg_m {
            let share = if leg_m > 0.0 { left_m / leg_m } else { 0.0 };
            let mid = |one: f64, other: f64| one + (other - one) * share;
            return Some(Position::from_degrees(
                mid(leg[0].lon_deg(), leg[1].lon_deg()),
                mid(leg[0].lat_deg(), leg[1].lat_deg()),
            ));
        }
        left_m -= leg_m;
    }
    corners.last().copied()
}

/// The unit and its rods at the other end of its lead-out, which is not needed then.
fn nearer(plan: &Plan, energizer: &FeatureId) -> Option<Vec<Edit>> {
    let unit = plan.feature(energizer)?;
    let at = unit.point()?;
    let (lead_out, at_start) = its_lead_out(plan, unit)?;
    let corners = lead_out.line()?;
    let to = if at_start { *corners.last()? } else { *corners.first()? };
    let mut all = vec![Edit::MoveCorner { id: energizer.clone(), corner: 0, to }];
    let rods = plan.features.iter().filter(|feature| matches!(feature.kind, Kind::Earth { .. }));
    let rods = rods.filter_map(|feature| Some((length_m(&[at, feature.point()?]), feature)));
    if let Some((_, earth)) = rods.filter(|(off_m, _)| *off_m <= EARTH_WITHIN_M).min_by(|one, other| one.0.total_cmp(&other.0)) {
        let rod = earth.point()?;
        let moved = |was: f64, from: f64, to: f64| was + (to - from);
        let beside = Position::from_degrees(
            moved(rod.lon_deg(), at.lon_deg(), to.lon_deg()),
            moved(rod.lat_deg(), at.lat_deg(), to.lat_deg()),
        );
        all.push(Edit::MoveCorner { id: earth.id.clone(), corner: 0, to: beside });
    }
    all.push(Edit::Remove(lead_out.id.clone()));
    Some(all)
}
