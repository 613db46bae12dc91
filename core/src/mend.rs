//! What a remedy changes in the plan, and what that takes in parts.

mod helps;
mod trial;

pub use helps::{Grown, WhatHelps, grown, what_helps};
pub use trial::{MendChoice, MendReach, Trial};

use crate::check::{AT_EASE, hung_anew};
use crate::finding::{BiteChange, BiteRemedy, Brings, Finding, NewSprings, Reason, Remedy, Rule};
use crate::hold::SAME_POST_M;
use crate::order::Order;
use crate::plan::{Build, CornerChoice, Edit, Feature, Fence, Head, Kind, Plan};
use crate::power;
use crate::units::Length;
use std::collections::BTreeMap;

/// The edits that do what a remedy says, in one step; `None` for what somebody has to do outside, or to decide first: a strand hung lower on
/// the steep bays alone is hung there, not in the build.
pub fn mend(plan: &Plan, finding: &Finding, remedy: &Remedy) -> Option<Vec<Edit>> {
    if let Remedy::Bite(BiteRemedy::Change(change, brings)) = remedy {
        return ends_it(finding, *brings).then(|| bite(plan, change)).flatten();
    }
    let line = plan.feature(finding.place.line.as_ref()?)?;
    let Kind::Fence(fence) = &line.kind else { return None };
    let corner = corner_of(finding);
    match remedy {
        // A post that stands at no corner has no choice of its own: all of its sort would be changed for one.
        Remedy::ThickerPost { post, .. } => Some(choose(line, fence, corner?, |choice| choice.post = Some(post.clone()))),
        Remedy::DeeperPost { depth, .. } => Some(choose(line, fence, corner?, |choice| choice.depth = Some(*depth))),
        Remedy::Brace { .. } => {
            let post = (finding.place.station?, corner);
            Some(change(line, fence, |fence| brace_all(fence, &[post])))
        }
        Remedy::BraceAll { posts, .. } => Some(change(line, fence, |fence| brace_all(fence, posts))),
        Remedy::TallerPosts { from, to } => taller(plan, line, fence, from, to),
        Remedy::Crib { .. } => Some(choose(line, fence, corner?, |choice| choice.post = Some("crib".to_owned()))),
        Remedy::ShiftCorner { to, .. } => {
            let stay = |choice: &mut CornerChoice| choice.rock_depth = None;
            let move_it = Edit::MoveCorner { id: line.id.clone(), corner: corner?, to: *to };
            // First what is said of the corner: stations that follow it would be lost again.
            Some([choose(line, fence, corner?, stay), vec![move_it]].concat())
        }
        Remedy::LowerTension { tension } | Remedy::RaiseTension { tension } => {
            rebuild(plan, fence, |build| build.tension = *tension)
        }
        Remedy::Spring { spring_n_per_m, .. } => rebuild(plan, fence, |build| build.spring_n_per_m = Some(*spring_n_per_m)),
        Remedy::AddSprings { at, ends: true, .. } => Some(change(line, fence, |fence| {
            fence.springs.extend(at);
            fence.springs.sort_by(|one, other| one.as_metres().total_cmp(&other.as_metres()));
        })),
        Remedy::OtherWire { wire, springs, ends: true, .. } => rebuild(plan, fence, |build| {
            build.strands.iter_mut().for_each(|strand| strand.wire.clone_from(wire));
            springs.iter().for_each(|springs| put_in(build, springs));
        }),
        Remedy::RaiseLowest { .. }
        | Remedy::AddStrand { .. }
        | Remedy::HangStrands { .. }
        | Remedy::MoveStrand { .. }
        | Remedy::JoinStrands { .. } => {
            let mut is_hung = None;
            let edits = rebuild(plan, fence, |build| is_hung = hung_anew(build, remedy));
            is_hung.and(edits)
        }
        Remedy::HoldDown { posts } => {
            Some(change(line, fence, |fence| fence.hold_downs.extend(posts.iter().map(|(station, _)| *station))))
        }
        Remedy::AddPosts { stations, .. } => Some(change(line, fence, |fence| pin(fence, stations))),
        _ => None,
    }
}

/// The same for the line of the finding alone: it gets a build of its own, so that other lines of its build stay as they are. `None` where no
/// build is changed, or no other line has it.
pub fn mend_only_here(plan: &Plan, finding: &Finding, remedy: &Remedy) -> Option<Vec<Edit>> {
    let line = plan.feature(finding.place.line.as_ref()?)?;
    let Kind::Fence(fence) = &line.kind else { return None };
    let others = plan.features.iter().filter(|other| matches!(&other.kind, Kind::Fence(of) if of.build == fence.build));
    let edits = mend(plan, finding, remedy).filter(|_| others.count() > 1)?;
    let [Edit::SetHead(changed)] = edits.as_slice() else { return None };
    let mended = changed.builds.iter().find(|build| build.id == fence.build)?;
    if plan.build(&fence.build) == Some(mended) {
        return None;
    }
    let mut head = Head::clone(&plan.head);
    let id = (2..).map(|number| format!("{} {number}", fence.build)).find(|id| plan.build(id).is_none())?;
    head.builds.push(Build { id: id.clone(), ..mended.clone() });
    Some([vec![Edit::SetHead(Box::new(head))], change(line, fence, |fence| fence.build = id)].concat())
}

/// Whether a change of the wires is known to end what was found. Others may help too: they stand among what would help, with their volts.
fn ends_it(finding: &Finding, brings: Option<Brings>) -> bool {
    match finding.rule {
        Rule::FarEnd => brings.and_then(|brings| brings.times).is_some_and(|times| times >= AT_EASE),
        Rule::Earth | Rule::EnergizerSize | Rule::Unfed => true,
        _ => false,
    }
}

fn bite(plan: &Plan, change: &BiteChange) -> Option<Vec<Edit>> {
    Some(power::edits(plan, change)).filter(|edits| !change.is_outside() && !edits.is_empty())
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

fn brace_all(fence: &mut Fence, posts: &[(Length, Option<usize>)]) {
    for (station, corner) in posts {
        match corner {
            Some(corner) => fence.corners.entry(*corner).or_default().brace = Some(true),
            None => fence.braces.push(*station),
        }
    }
    fence.braces.sort_by(|one, other| one.as_metres().total_cmp(&other.as_metres()));
}

/// Taller posts wherever the build, or a corner of the line, has those that are too short; `None` where neither has.
fn taller(plan: &Plan, line: &Feature, fence: &Fence, from: &str, to: &str) -> Option<Vec<Edit>> {
    let build = plan.build(&fence.build)?;
    let at_corners = fence.corners.values().any(|choice| choice.post.as_deref() == Some(from));
    let in_build = [&build.line_post, &build.corner_post].iter().any(|post| *post == from);
    let rebuilt = in_build.then(|| {
        rebuild(plan, fence, |build| {
            for post in [&mut build.line_post, &mut build.corner_post] {
                if post == from {
                    to.clone_into(post);
                }
            }
        })
    });
    let chosen = at_corners.then(|| {
        change(line, fence, |fence| {
            let chosen = fence.corners.values_mut().filter(|choice| choice.post.as_deref() == Some(from));
            chosen.for_each(|choice| choice.post = Some(to.to_owned()));
        })
    });
    let edits = [rebuilt.flatten().unwrap_or_default(), chosen.unwrap_or_default()].concat();
    (!edits.is_empty()).then_some(edits)
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
