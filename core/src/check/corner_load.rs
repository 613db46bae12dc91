//! Corner, end and gate posts that the strands can pull over.

use super::{Checked, CheckedLine};
use crate::catalogue::{PostMaterial, PostRow};
use crate::finding::{Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::{
    Footing, FootingMap, Post, PostRole, PostVerdict, bare_verdict, crib_kg, footing_of, post_verdict, standing_capacity,
};
use crate::land::MapPoint;
use crate::plan::{CornerChoice, Kind};
use crate::source::SourceKey;
use crate::units::{Force, Length};

/// Posts that take the strain and whose ground holds less than the pull on the coldest day with the safety factor. A post
/// that the keeper braces is taken to hold.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let (Some(specification), Some(footings)) = (line.specification, checked.footings) else { return Vec::new() };
    let weak = |post: &Post| {
        if super::unbraced::wants_brace(checked, line, post) {
            return None;
        }
        let verdict = post_verdict(post, specification, &footing_at(line, post, footings), checked.catalogue)?;
        (!verdict.holds()).then(|| finding(checked, line, post, verdict))
    };
    line.hold.posts.iter().filter(|post| takes_strain(checked, post)).filter_map(weak).collect()
}

/// Whether a post takes the strain by itself. A crib is filled with as much rock as its pull asks for, where any filling holds.
pub(super) fn takes_strain(checked: &Checked, post: &Post) -> bool {
    let is_crib = || checked.catalogue.post(&post.post).is_some_and(|row| row.material == PostMaterial::Crib);
    let is_filled = || is_crib() && crib_kg(post).is_some();
    matches!(post.role, PostRole::Corner | PostRole::End | PostRole::Gate | PostRole::Stretch) && !post.braced && !is_filled()
}

/// What makes a post hold; first of all a place close by where the rock lies deeper.
pub(super) fn remedies(checked: &Checked, line: &CheckedLine, post: &Post, verdict: &PostVerdict) -> Vec<Remedy> {
    shift(checked, line, post).into_iter().chain(verdict.remedies.iter().cloned()).collect()
}

/// How far a corner is moved to find deeper ground.
const SHIFT: Length = Length::metres(1.0);

fn shift(checked: &Checked, line: &CheckedLine, post: &Post) -> Option<Remedy> {
    let (footings, specification, _) = (checked.footings?, line.specification?, post.corner?);
    // What the keeper found at the corner says nothing about the ground beside it.
    let row = checked.catalogue.post(&post.post)?;
    footings.at(post.at).rock_depth.filter(|rock| *rock < row.depth)?;
    let around = (0..16).map(|step| f64::from(step) * std::f64::consts::TAU / 16.0);
    let places = around.map(|way| post.at + MapPoint::new(way.cos(), way.sin()) * SHIFT.as_metres());
    let holds = |at: MapPoint| {
        let there = Post { depth: standing_depth(row, footings.at(at).rock_depth), at, ..post.clone() };
        let capacity = standing_capacity(row, there.depth, there.pull_height, there.slope_deg, &footings.at(at));
        let there = Post { capacity, ..there };
        let verdict = bare_verdict(&there, specification, &footings.at(at), checked.catalogue)?;
        (verdict.holds() && verdict.bears()).then_some((at, there.depth))
    };
    let (at, depth) = places.filter_map(holds).max_by(|one, other| one.1.as_metres().total_cmp(&other.1.as_metres()))?;
    Some(Remedy::ShiftCorner { by: SHIFT, to: checked.frame.to_position(at), depth })
}

fn standing_depth(row: &PostRow, rock_depth: Option<Length>) -> Length {
    rock_depth.map_or(row.depth, |rock| row.depth.min(rock))
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
    let remedies = remedies(checked, line, post, &verdict);
    Finding {
        rule: Rule::CornerLoad,
        weight: if capacity < verdict.pull { Weight::MustFix } else { Weight::LookAt },
        place: checked.spot(line, post.station.as_metres(), post.at),
        value: verdict.pull.as_newtons(),
        limit: Some((capacity / verdict.wanted).as_newtons()),
        unit: Unit::Newton,
        reason: Reason::PulledOver {
            corner: post.corner,
            deflection_deg: post.deflection_deg,
            pull: verdict.pull,
            at_height: verdict.at_height,
            capacity,
            safety_factor: verdict.wanted,
            depth: verdict.depth,
            post: verdict.post,
        },
        remedies,
        source: SourceKey::new("broms-1964"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat, ground};
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

    /// Ground that rises by this share towards the north.
    fn plane(share: f64) -> crate::land::Ground {
        ground(200, 1.0, move |_, north| 100.0 + share * north)
    }

    #[test]
    fn a_crib_is_advised_and_taken_to_hold_on_gentle_ground_and_on_steep_ground_it_is_said_that_none_does() {
        let corner = [(0.0, 0.0), (60.0, 0.0), (60.0, 60.0)];
        let rows = [(0.0, true), (0.12, true), (0.20, false), (0.40, false)];
        let advised: Vec<Option<f64>> = rows
            .map(|(share, _)| {
                let found = Scene::on(plane(share)).on_rock(0.25).fence(&corner).say(Rule::CornerLoad);
                let turns = |finding: &&Finding| matches!(finding.reason, Reason::PulledOver { deflection_deg: Some(_), .. });
                let remedies = &found.iter().find(turns).expect("the corner falls over").remedies;
                assert!(remedies.contains(&Remedy::LivingTree), "another way out is left");
                let none = remedies.iter().any(|remedy| matches!(remedy, Remedy::NoCribHolds { .. }));
                let kg = remedies
                    .iter()
                    .find_map(|remedy| if let Remedy::Crib { ballast_kg } = remedy { Some(*ballast_kg) } else { None });
                assert_eq!(none, kg.is_none(), "{share}");
                kg
            })
            .to_vec();
        for ((share, holds), kg) in rows.iter().zip(&advised) {
            assert_eq!(kg.is_some(), *holds, "{share}");
            let built = Scene::on(plane(*share)).on_rock(0.25).with_corner_post("crib").fence(&corner).say(Rule::CornerLoad);
            assert_eq!(built.is_empty(), *holds, "{share}: {built:?}");
        }
        assert!(advised[1] > advised[0], "a slope takes more rock: {advised:?}");
    }
}
