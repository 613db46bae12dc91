//! Corner, end and gate posts that break before the ground gives.

use super::corner_load::{footing_at, remedies, takes_strain};
use super::{Checked, CheckedLine};
use crate::finding::{Finding, Reason, Rule, Unit, Weight};
use crate::hold::{BENDING_SAFETY_FACTOR, Post, PostVerdict, post_verdict};
use crate::source::SourceKey;
use crate::units::Force;

/// Posts whose ground holds, but whose wood does not.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let (Some(specification), Some(footings)) = (line.specification, checked.footings) else { return Vec::new() };
    let weak = |post: &Post| {
        if super::unbraced::wants_brace(checked, line, post) {
            return None;
        }
        let verdict = post_verdict(post, specification, &footing_at(line, post, footings), checked.catalogue)?;
        let breaks_at = verdict.breaks_at.filter(|_| verdict.holds() && !verdict.bears())?;
        Some(finding(checked, line, post, &verdict, breaks_at))
    };
    line.hold.posts.iter().filter(|post| takes_strain(checked, post)).filter_map(weak).collect()
}

fn finding(checked: &Checked, line: &CheckedLine, post: &Post, verdict: &PostVerdict, breaks_at: Force) -> Finding {
    Finding {
        rule: Rule::PostBending,
        weight: if breaks_at < verdict.pull { Weight::MustFix } else { Weight::LookAt },
        place: checked.spot(line, post.station.as_metres(), post.at),
        value: verdict.pull.as_newtons(),
        limit: Some((breaks_at / BENDING_SAFETY_FACTOR).as_newtons()),
        unit: Unit::Newton,
        reason: Reason::Breaks {
            corner: post.corner,
            pull: verdict.pull,
            at_height: verdict.at_height,
            breaks_at,
            safety_factor: BENDING_SAFETY_FACTOR,
            post: verdict.post.clone(),
        },
        remedies: remedies(checked, line, post, verdict),
        source: SourceKey::new("wood-handbook"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};
    use crate::units::Length;

    #[test]
    fn a_thin_post_in_firm_ground_breaks_where_a_thick_one_only_leans() {
        let scene = |tension_n: f64| {
            let mut scene = Scene::on(flat()).fence(&[(0.0, 0.0), (60.0, 0.0), (60.0, 60.0)]).with_corner_post("wood-75");
            scene.tension = Force::newtons(tension_n);
            scene.say(Rule::PostBending)
        };
        assert!(scene(50.0).is_empty(), "{:?}", scene(50.0));
        for finding in scene(450.0) {
            let Reason::Breaks { pull, breaks_at, at_height, .. } = finding.reason else { panic!("{finding:?}") };
            assert!(pull * BENDING_SAFETY_FACTOR > breaks_at && at_height > Length::ZERO);
        }
    }
}
