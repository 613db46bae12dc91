//! Corner, end and gate posts that the strands can pull over.

use super::{Checked, CheckedLine};
use crate::finding::{Finding, Reason, Rule, Unit, Weight};
use crate::hold::{Footing, FootingMap, Post, PostRole, PostVerdict, footing_of, post_verdict};
use crate::plan::{CornerChoice, Kind};
use crate::source::SourceKey;
use crate::units::Force;

/// Posts that take the strain and whose ground holds less than the pull on the coldest day with the safety factor. A post
/// that the keeper braces is taken to hold.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let (Some(specification), Some(footings)) = (line.specification, checked.footings) else { return Vec::new() };
    let takes_strain = |post: &&Post| matches!(post.role, PostRole::Corner | PostRole::End | PostRole::Gate) && !post.braced;
    let weak = |post: &Post| {
        let verdict = post_verdict(post, specification, &footing_at(line, post, footings), checked.catalogue)?;
        (!verdict.holds()).then(|| finding(checked, line, post, verdict))
    };
    line.hold.posts.iter().filter(takes_strain).filter_map(weak).collect()
}

/// What a post stands in.
pub(super) fn footing_at<'a>(line: &CheckedLine, post: &Post, footings: &FootingMap<'a>) -> Footing<'a> {
    let choice: Option<&CornerChoice> = match (&line.feature.kind, post.corner) {
        (Kind::Fence(fence), Some(corner)) => fence.corners.get(&corner),
        _ => None,
    };
    footing_of(footings.at(post.at), choice)
}

fn finding(checked: &Checked, line: &CheckedLine, post: &Post, verdict: PostVerdict) -> Finding {
    let capacity = verdict.capacity.unwrap_or(Force::ZERO);
    Finding {
        rule: Rule::CornerLoad,
        weight: if capacity < verdict.pull { Weight::MustFix } else { Weight::LookAt },
        place: checked.spot(line, post.station.as_metres(), post.at),
        value: verdict.pull.as_newtons(),
        limit: Some((capacity / verdict.wanted).as_newtons()),
        unit: Unit::Newton,
        reason: Reason::PulledOver {
            deflection_deg: post.deflection_deg,
            pull: verdict.pull,
            at_height: verdict.at_height,
            capacity,
            safety_factor: verdict.wanted,
            depth: verdict.depth,
            post: verdict.post,
            code_depth: verdict.code_depth,
        },
        remedies: verdict.remedies,
        source: SourceKey::new("broms-1964"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};
    use crate::finding::Remedy;

    #[test]
    fn a_square_corner_holds_in_loam_and_falls_over_on_shallow_rock() {
        // Two strands of 14 gauge pull some 1.4 x 2 x 450 N on the corner of a 150 mm post.
        let corner = [(0.0, 0.0), (60.0, 0.0), (60.0, 60.0)];
        let said = |scene: Scene| -> Vec<(Weight, bool)> {
            let found = scene.fence(&corner).say(Rule::CornerLoad);
            let is_corner = |finding: &Finding| matches!(finding.reason, Reason::PulledOver { deflection_deg: Some(_), .. });
            found.iter().map(|finding| (finding.weight, is_corner(finding))).collect()
        };
        assert_eq!(said(Scene::on(flat())), []);
        let on_rock = said(Scene::on(flat()).on_rock(0.25));
        assert!(on_rock.contains(&(Weight::MustFix, true)) && on_rock.contains(&(Weight::MustFix, false)), "{on_rock:?}");
    }

    #[test]
    fn the_finding_holds_the_pull_against_what_the_ground_may_be_asked() {
        let found = Scene::on(flat()).on_rock(0.25).fence(&[(0.0, 0.0), (60.0, 0.0), (60.0, 60.0)]).say(Rule::CornerLoad);
        let corner = found.iter().find(|finding| matches!(finding.reason, Reason::PulledOver { deflection_deg: Some(_), .. }));
        let corner = corner.expect("the corner falls over");
        let Reason::PulledOver { deflection_deg, pull, capacity, safety_factor, depth, .. } = &corner.reason else { panic!() };
        assert!((deflection_deg.expect("a corner") - 90.0).abs() < 0.1 && (depth.as_metres() - 0.25).abs() < 1e-9);
        assert!((corner.value - pull.as_newtons()).abs() < 1e-9);
        assert!((corner.limit.expect("a limit") - capacity.as_newtons() / safety_factor).abs() < 1e-9);
        assert!(corner.remedies.iter().any(|remedy| matches!(remedy, Remedy::Crib { .. })), "{:?}", corner.remedies);
    }
}
