//! Posts that take the strain of a permanent fence of several hard wires and have no brace.

use super::corner_load::takes_strain;
use super::{Checked, CheckedLine};
use crate::catalogue::{PostMaterial, WireRow};
use crate::finding::{Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::{BRACE_M, Post, PostRole, SHARP_TURN_DEG, Specification};
use crate::source::SourceKey;
use crate::units::{Force, Length};

/// A fence of so many hard wires or more is braced (`common-practice`; one or two wires may do with a post set deep).
const WIRES: usize = 3;
/// Where rock is nearer than this, posts of a brace find no ground either (`common-practice`).
const SHALLOW_ROCK: Length = Length::metres(0.6);

/// Ends, corners, gates and ends of strains without a brace, once for a line. What the ground holds for an hour does not count: the wires pull for
/// years.
///
/// # Source
/// Keys `nrcs-maine-382a` (all corners, gates and ends braced), `wisconsin-bracing` (a constant pull), `nrcs-colorado-382` (a brace every 402 m).
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let unbraced: Vec<&Post> = line.hold.posts.iter().filter(|post| wants_brace(checked, line, post)).collect();
    let (Some(first), Some(specification)) = (unbraced.first(), line.specification) else { return Vec::new() };
    let bears = |post: &&Post| post.braced || takes_strain(checked, post) && is_strained(post);
    let pulls = unbraced.iter().map(|post| post.sideways);
    vec![Finding {
        rule: Rule::Unbraced,
        weight: if is_lost(line, &unbraced, specification) { Weight::MustFix } else { Weight::LookAt },
        place: checked.spot(line, first.station.as_metres(), first.at),
        value: unbraced.len() as f64,
        limit: Some(0.0),
        unit: Unit::One,
        reason: Reason::NotBraced {
            stations: unbraced.iter().map(|post| post.station).collect(),
            of: line.hold.posts.iter().filter(bears).count(),
            wires: hard_wires(specification),
            pull: pulls.fold(Force::ZERO, |most, pull| if pull > most { pull } else { most }),
        },
        remedies: vec![Remedy::BraceAll {
            posts: unbraced.iter().map(|post| (post.station, post.corner)).collect(),
            brace: Length::metres(BRACE_M),
        }],
        source: SourceKey::new("nrcs-maine-382a"),
    }]
}

/// Whether nothing of the line is braced and the ground alone does not hold one of its posts with the safety of a fence that is to last.
fn is_lost(line: &CheckedLine, unbraced: &[&Post], specification: &Specification) -> bool {
    let holds = |post: &&&Post| post.capacity.is_some_and(|capacity| capacity >= post.sideways * specification.safety_factor);
    !line.hold.posts.iter().any(|post| post.braced) && !unbraced.iter().all(|post| holds(&post))
}

/// Whether a post of a permanent fence of several hard wires has to be braced and can be.
pub(super) fn wants_brace(checked: &Checked, line: &CheckedLine, post: &Post) -> bool {
    let (Some(build), Some(specification), Some(footings)) = (line.build, line.specification, checked.footings) else {
        return false;
    };
    let can_be = || {
        let footing = super::corner_load::footing_at(line, post, footings);
        let is_wood = checked.catalogue.post(&post.post).is_some_and(|row| row.material == PostMaterial::Wood && !row.in_rock);
        is_wood && !footing.soil.is_rock() && footing.rock_depth.is_none_or(|rock| rock >= SHALLOW_ROCK)
    };
    build.permanent && takes_strain(checked, post) && is_strained(post) && hard_wires(specification) >= WIRES && can_be()
}

/// A gentle turn takes a post that is a little thicker, no brace.
fn is_strained(post: &Post) -> bool {
    post.role != PostRole::Corner || post.deflection_deg.is_some_and(|turn| turn >= SHARP_TURN_DEG)
}

fn hard_wires(specification: &Specification) -> usize {
    let wires = specification.strands.iter().map(|strand| strand.wire);
    wires.filter(|wire: &&WireRow| wire.is_high_tensile()).count()
}
