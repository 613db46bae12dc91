//! Posts that the strands lift out of the ground, and strands that leave their insulators.

use super::{Checked, CheckedLine};
use crate::finding::{Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::corner::brace_forces;
use crate::hold::{BRACE_M, DRIVEN_FACTOR, Post, RAIL_HEIGHT_M, Specification, lifting_factor};
use crate::source::SourceKey;
use crate::units::{Force, GRAVITY_M_PER_S2};
use std::mem::discriminant;

/// Insulators are tested along their strong axis: a pull above what theirs holds by this factor takes them off for sure (`common-practice`).
const COMES_OFF: f64 = 1.5;
/// Posts on the coldest day. A post that is held down, its strands tied down with it, is taken to hold, and so is what stands in
/// rock or is a tree.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let Some(specification) = line.specification else { return Vec::new() };
    let posts = line.hold.posts.iter().filter(|post| !post.held_down);
    let found = posts.filter_map(|post| lifted(checked, line, post).or_else(|| pulled_off(checked, line, specification, post)));
    let mut all: Vec<Finding> = Vec::new();
    for finding in found {
        let is_alike =
            |other: &&mut Finding| other.weight == finding.weight && discriminant(&other.reason) == discriminant(&finding.reason);
        match all.iter_mut().find(is_alike) {
            Some(first) => together(first, finding),
            None => all.push(finding),
        }
    }
    all
}

/// Two findings as one: the worse of them speaks, and all places are listed and cured together.
fn together(first: &mut Finding, mut second: Finding) {
    if second.value > first.value {
        std::mem::swap(first, &mut second);
    }
    if let (Reason::LiftedOut { stations, .. }, Reason::LiftedOut { stations: more, .. })
    | (Reason::PulledOff { stations, .. }, Reason::PulledOff { stations: more, .. }) = (&mut first.reason, second.reason)
    {
        stations.extend(more);
        stations.sort_by(|one, other| one.as_metres().total_cmp(&other.as_metres()));
    }
    if let (Some(Remedy::HoldDown { posts }), Some(Remedy::HoldDown { posts: more })) =
        (first.remedies.first_mut(), second.remedies.into_iter().next())
    {
        posts.extend(more);
        posts.sort_by(|one, other| one.0.as_metres().total_cmp(&other.0.as_metres()));
    }
}

/// What a brace adds to the lift of the post that it braces.
fn lift_of_brace(post: &Post) -> Force {
    let forces = brace_forces(post.sideways.as_newtons(), post.pull_height.as_metres(), RAIL_HEIGHT_M, BRACE_M);
    forces.ok().filter(|_| post.braced).map_or(Force::ZERO, |forces| Force::newtons(forces.uplift_n))
}

fn lifted(checked: &Checked, line: &CheckedLine, post: &Post) -> Option<Finding> {
    let row = checked.catalogue.post(&post.post)?;
    let (capacity, by_brace, factor) = (post.uplift_capacity?, lift_of_brace(post), lifting_factor(row));
    let pull = post.uplift.max(Force::ZERO) + by_brace;
    if pull * factor <= capacity {
        return None;
    }
    let ballast_kg = (pull.as_newtons() * DRIVEN_FACTOR / GRAVITY_M_PER_S2 / 5.0).ceil() * 5.0;
    Some(Finding {
        rule: Rule::Uplift,
        weight: if pull > capacity { Weight::MustFix } else { Weight::LookAt },
        place: checked.spot(line, post.station.as_metres(), post.at),
        value: pull.as_newtons(),
        limit: Some((capacity / factor).as_newtons()),
        unit: Unit::Newton,
        reason: Reason::LiftedOut {
            stations: vec![post.station],
            pull,
            by_brace,
            capacity,
            safety_factor: factor,
            depth: post.depth,
            post: post.post.clone(),
        },
        remedies: vec![Remedy::HoldDown { posts: vec![(post.station, ballast_kg)] }],
        source: SourceKey::new("straining-posts-handbook"),
    })
}

/// A line post's insulator gives before its post does: the strand that pulls hardest speaks.
fn pulled_off(checked: &Checked, line: &CheckedLine, specification: &Specification, post: &Post) -> Option<Finding> {
    if post.post != specification.line_post.id {
        return None;
    }
    let holds = specification.pull_off?;
    let all = specification.cold();
    let pull_of = |cold: Force| if all > Force::ZERO { post.uplift.abs() * (cold / all) } else { Force::ZERO };
    let pulls = specification.strands.iter().map(|strand| pull_of(strand.cold)).enumerate();
    let (strand, pull) = pulls.max_by(|one, other| one.1.as_newtons().total_cmp(&other.1.as_newtons()))?;
    (pull > holds).then(|| Finding {
        rule: Rule::Uplift,
        weight: if pull > holds * COMES_OFF { Weight::LookAt } else { Weight::Note },
        place: checked.spot(line, post.station.as_metres(), post.at),
        value: pull.as_newtons(),
        limit: Some(holds.as_newtons()),
        unit: Unit::Newton,
        reason: Reason::PulledOff { stations: vec![post.station], strand, pull, holds },
        remedies: vec![lower(specification, strand, holds / pull).unwrap_or(Remedy::SpareInsulators)],
        source: SourceKey::new("common-practice"),
    })
}

/// The set tension at which this share of a strand's cold tension is left: the cold adds the same newtons whatever it was set to. `None` where
/// nobody sets it so slack.
fn lower(specification: &Specification, strand: usize, share: f64) -> Option<Remedy> {
    let hung = &specification.strands[strand];
    let tension = Force::newtons((hung.cold * share - (hung.cold - hung.set)).as_newtons().floor());
    specification.may_be_set_to(tension).then_some(Remedy::LowerTension { tension })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat, ground};

    /// A gully of 12 m across the line, 20 m wide.
    fn gully() -> Scene {
        let floor = |x: f64, _: f64| 100.0 - (12.0 - x.abs() * 1.2).max(0.0);
        Scene::on(ground(120, 1.0, floor)).fence(&[(-30.0, 0.0), (30.0, 0.0)])
    }

    #[test]
    fn a_post_in_a_gully_is_lifted_and_one_on_the_level_is_not() {
        let is_lifted = |finding: &Finding| matches!(finding.reason, Reason::LiftedOut { .. });
        let found: Vec<Finding> = gully().say(Rule::Uplift).into_iter().filter(is_lifted).collect();
        assert!(!found.is_empty());
        assert!(Scene::on(flat()).fence(&[(-30.0, 0.0), (30.0, 0.0)]).say(Rule::Uplift).is_empty());
        let Reason::LiftedOut { pull, capacity, safety_factor, .. } = found[0].reason else { panic!("{:?}", found[0]) };
        assert!((found[0].value - pull.as_newtons()).abs() < 1e-9 && pull * safety_factor > capacity);
        let [Remedy::HoldDown { posts }] = &found[0].remedies[..] else { panic!("{:?}", found[0].remedies) };
        let heaviest_kg = posts.iter().map(|(_, ballast_kg)| *ballast_kg).fold(0.0, f64::max);
        assert!(heaviest_kg * GRAVITY_M_PER_S2 >= 2.0 * pull.as_newtons());
    }

    #[test]
    fn slack_strands_lift_less() {
        let worst = |tension_n: f64| {
            let mut scene = gully();
            scene.tension = Force::newtons(tension_n);
            scene.say(Rule::Uplift).iter().map(|finding| finding.value).fold(0.0, f64::max)
        };
        assert!(worst(200.0) < worst(600.0));
    }
}
