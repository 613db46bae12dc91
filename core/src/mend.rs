//! What a remedy changes in the plan, and what that takes in parts.

mod helps;
mod trial;

pub use helps::{Grown, WhatHelps, grown, what_helps};
pub use trial::{MendChoice, Trial};

use crate::check::AT_EASE;
use crate::finding::{BiteChange, BiteRemedy, Brings, Finding, NewSprings, Reason, Remedy, Rule};
use crate::hold::SAME_POST_M;
use crate::order::Order;
use crate::plan::{Build, CornerChoice, Edit, Feature, Fence, Head, Kind, Plan, Strand};
use crate::power;
use crate::units::Length;
use std::collections::BTreeMap;

/// The edits that do what a remedy says, in one step; `None` for what somebody has to do outside, or to decide first.
pub fn mend(plan: &Plan, finding: &Finding, remedy: &Remedy) -> Option<Vec<Edit>> {
    if let Remedy::Bite(BiteRemedy::Change(change, brings)) = remedy {
        return ends_it(finding, *brings).then(|| bite(plan, change)).flatten();
    }
    let line = plan.feature(finding.place.line.as_ref()?)?;
    let Kind::Fence(fence) = &line.kind else { return None };
    let corner = corner_of(finding);
    match remedy {
        Remedy::ThickerPost { post, .. } => match corner {
            Some(corner) => Some(choose(line, fence, corner, |choice| choice.post = Some(post.clone()))),
            None => rebuild(plan, fence, |build| build.corner_post.clone_from(post)),
        },
        Remedy::DeeperPost { depth, .. } => Some(choose(line, fence, corner?, |choice| choice.depth = Some(*depth))),
        Remedy::Brace { .. } => Some(choose(line, fence, corner?, |choice| choice.brace = Some(true))),
        Remedy::Crib { .. } => Some(choose(line, fence, corner?, |choice| choice.post = Some("crib".to_owned()))),
        Remedy::ShiftCorner { to, .. } => {
            let stay = |choice: &mut CornerChoice| choice.rock_depth = None;
            let move_it = Edit::MoveCorner { id: line.id.clone(), corner: corner?, to: *to };
            // First what is said of the corner: stations that follow it would be lost again.
            Some([choose(line, fence, corner?, stay), vec![move_it]].concat())
        }
        Remedy::LowerTension { tension } => rebuild(plan, fence, |build| build.tension = *tension),
        Remedy::Spring { spring_n_per_m, .. } => rebuild(plan, fence, |build| build.spring_n_per_m = Some(*spring_n_per_m)),
        Remedy::AddSprings { springs, ends: true, .. } => rebuild(plan, fence, |build| put_in(build, springs)),
        Remedy::OtherWire { wire, springs, ends: true, .. } => rebuild(plan, fence, |build| {
            build.strands.iter_mut().for_each(|strand| strand.wire.clone_from(wire));
            springs.iter().for_each(|springs| put_in(build, springs));
        }),
        Remedy::RaiseLowest { to } | Remedy::LowerLowest { to } => rebuild(plan, fence, |build| hang_lowest(build, *to)),
        Remedy::AddStrand { at, .. } => rebuild(plan, fence, |build| add_strand(build, *at)),
        Remedy::HangStrands { heights, .. } => rebuild(plan, fence, |build| hang_all(build, heights)),
        Remedy::MoveStrand { strand, to, .. } => rebuild(plan, fence, |build| hang(build, *strand, *to)),
        Remedy::HoldDown { station, .. } => Some(change(line, fence, |fence| fence.hold_downs.push(*station))),
        Remedy::AddPosts { stations, .. } => Some(change(line, fence, |fence| pin(fence, stations))),
        _ => None,
    }
}

/// Whether a change of the wires is known to end what was found. Others may help too: they stand among what would help, with their volts.
fn ends_it(finding: &Finding, brings: Option<Brings>) -> bool {
    match finding.rule {
        Rule::FarEnd => brings.and_then(|brings| brings.times).is_some_and(|times| times >= AT_EASE),
        Rule::Earth | Rule::EnergizerSize | Rule::Unfed => true,
        _ => false,
    }
}

/// Growth is cut and faults are mended outside, not in the plan.
fn bite(plan: &Plan, change: &BiteChange) -> Option<Vec<Edit>> {
    let is_outside = matches!(change, BiteChange::Growth { .. } | BiteChange::FaultsMended);
    Some(power::edits(plan, change)).filter(|edits| !is_outside && !edits.is_empty())
}

fn corner_of(finding: &Finding) -> Option<usize> {
    match finding.reason {
        Reason::PulledOver { corner, .. } | Reason::Breaks { corner, .. } => corner,
        _ => None,
    }
}

fn change(line: &Feature, fence: &Fence, how: impl FnOnce(&mut Fence)) -> Vec<Edit> {
    let mut changed = fence.clone();
    how(&mut changed);
    vec![Edit::SetKind { id: line.id.clone(), kind: Box::new(Kind::Fence(changed)) }]
}

fn choose(line: &Feature, fence: &Fence, corner: usize, how: impl FnOnce(&mut CornerChoice)) -> Vec<Edit> {
    change(line, fence, |fence| how(fence.corners.entry(corner).or_default()))
}

fn rebuild(plan: &Plan, fence: &Fence, how: impl FnOnce(&mut Build)) -> Option<Vec<Edit>> {
    let mut head = Head::clone(&plan.head);
    how(head.builds.iter_mut().find(|build| build.id == fence.build)?);
    Some(vec![Edit::SetHead(Box::new(head))])
}

fn put_in(build: &mut Build, springs: &NewSprings) {
    (build.spring_n_per_m, build.springs_at_both_ends) = (Some(springs.rate_n_per_m), springs.at_both_ends);
}

fn hang_lowest(build: &mut Build, height: Length) {
    hang(build, 0, height);
}

/// Hangs a strand at another height; its band goes with it.
fn hang(build: &mut Build, strand: usize, height: Length) {
    if let Some(strand) = build.strands.get_mut(strand) {
        let by = height - strand.height;
        strand.height = height;
        strand.band = strand.band.map(|(lowest, highest)| ((lowest + by).max(Length::ZERO), highest + by));
    }
    build.strands.sort_by(|one, other| one.height.as_metres().total_cmp(&other.height.as_metres()));
}

/// A strand like the others, with its usual band.
fn add_strand(build: &mut Build, at: Length) {
    let like = build.strands.last().cloned().unwrap_or_default();
    build.strands.push(Strand { height: at, band: None, live: true, ..like });
    build.strands.sort_by(|one, other| one.height.as_metres().total_cmp(&other.height.as_metres()));
}

fn hang_all(build: &mut Build, heights: &[Length]) {
    let Some(like) = build.strands.first().cloned() else { return };
    build.strands = heights.iter().map(|height| Strand { height: *height, band: None, live: true, ..like.clone() }).collect();
}

/// Pins posts at these stations, in place of pins close by.
fn pin(fence: &mut Fence, stations: &[Length]) {
    let near = |one: &Length, other: &Length| (*one - *other).abs() < Length::metres(SAME_POST_M);
    fence.posts.retain(|post| !stations.iter().any(|station| near(post, station)));
    fence.no_posts.retain(|clear| !stations.iter().any(|station| near(clear, station)));
    fence.posts.extend_from_slice(stations);
    fence.posts.sort_by(|one, other| one.as_metres().total_cmp(&other.as_metres()));
}

/// What one order takes more than another, by catalogue id (less is negative), and by how much its price differs; nothing where they
/// are alike. Amounts are net, before waste and packs.
pub fn difference(before: &Order, after: &Order) -> (Vec<(String, f64)>, f64) {
    let net = |order: &Order, sign: f64| -> Vec<(String, f64)> {
        order.items.iter().map(|item| (item.id.clone(), sign * item.net)).collect()
    };
    let mut all: BTreeMap<String, f64> = BTreeMap::new();
    for (id, amount) in net(after, 1.0).into_iter().chain(net(before, -1.0)) {
        *all.entry(id).or_default() += amount;
    }
    (all.into_iter().filter(|(_, amount)| amount.abs() > 1e-6).collect(), after.total - before.total)
}
