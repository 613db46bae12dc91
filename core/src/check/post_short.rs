//! Strands that hang higher than the posts they hang on stand above the ground.

use super::{Checked, CheckedLine, speaks_for_build};
use crate::catalogue::{Catalogue, PostMaterial, PostRow};
use crate::finding::{Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::{Post, PostRole, Specification};
use crate::source::SourceKey;
use crate::units::Length;

/// Said once for a build of each of its posts, and of each post that the keeper chose for a corner. What hangs on stakes of its own reaches, and
/// a lead-out is hung on poles.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let (Some(specification), Some(build)) = (line.specification, line.build) else { return Vec::new() };
    let Some(top) = specification.strands.iter().map(|strand| strand.height).reduce(Length::max) else { return Vec::new() };
    if specification.own_stakes {
        return Vec::new();
    }
    let of_build = |id: &str| [&build.line_post, &build.corner_post].iter().any(|post| *post == id);
    let may_speak = |id: &str| !of_build(id) || speaks_for_build(checked, line);
    let is_short = |post: &&Post| post.role != PostRole::Peg && reach(checked, post).is_some_and(|reach| reach < top);
    let mut short: Vec<Vec<&Post>> = Vec::new();
    for post in line.hold.posts.iter().filter(is_short).filter(|post| may_speak(&post.post)) {
        match short.iter_mut().find(|alike| alike[0].post == post.post) {
            Some(alike) => alike.push(post),
            None => short.push(vec![post]),
        }
    }
    short.iter().filter_map(|alike| finding(checked, line, specification, (alike, top))).collect()
}

/// The highest strand that a post holds where it stands.
fn reach(checked: &Checked, post: &Post) -> Option<Length> {
    let row = checked.catalogue.post(&post.post)?;
    let is_set = !matches!(row.material, PostMaterial::Tree | PostMaterial::Crib);
    is_set.then(|| row.length - post.depth - row.top_margin() + Length::metres(1e-6))
}

fn finding(checked: &Checked, line: &CheckedLine, of: &Specification, (posts, top): (&[&Post], Length)) -> Option<Finding> {
    let (first, row) = (posts[0], checked.catalogue.post(&posts[0].post)?);
    let stands = row.length - first.depth;
    let too_high = of.strands.iter().filter(|strand| strand.height + row.top_margin() > stands + Length::metres(1e-6)).count();
    let taller = taller(row, top, checked.catalogue);
    Some(Finding {
        rule: Rule::PostShort,
        weight: if stands < top { Weight::MustFix } else { Weight::Note },
        place: checked.spot(line, first.station.as_metres(), first.at),
        value: top.as_metres(),
        limit: Some((stands - row.top_margin()).as_metres()),
        unit: Unit::Metre,
        reason: Reason::PostTooShort { post: row.id.clone(), strands: too_high, stands, posts: posts.len() },
        remedies: taller.map(|to| Remedy::TallerPosts { from: row.id.clone(), to: to.id.clone() }).into_iter().collect(),
        source: SourceKey::new("nrcs-iowa-92"),
    })
}

/// The lightest post that reaches: of the same material where one does, no thinner.
fn taller<'a>(row: &PostRow, top: Length, catalogue: &'a Catalogue) -> Option<&'a PostRow> {
    let is_a_post = |other: &&PostRow| {
        !other.in_rock && !matches!(other.material, PostMaterial::Tree | PostMaterial::Crib) && other.id != "stay-strainer"
    };
    let reaching = catalogue.posts.iter().filter(is_a_post).filter(|other| other.reaches(top) && other.width >= row.width);
    let is_other = |other: &&PostRow| other.material != row.material;
    let lightest = |one: &&PostRow, other: &&PostRow| {
        (is_other(one), one.mass_kg).partial_cmp(&(is_other(other), other.mass_kg)).unwrap_or(std::cmp::Ordering::Equal)
    };
    reaching.min_by(lightest)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};

    #[test]
    fn a_strand_above_its_post_must_be_mended_and_one_that_just_hangs_is_silent() {
        // A T-post of 1.83 m, 0.46 m deep, stands 1.37 m high: an inch below that a strand hangs.
        let said = |top_m: f64| -> Vec<Weight> {
            let scene = Scene::on(flat()).fence(&[(0.0, 0.0), (60.0, 0.0)]).with_strands(&[0.5, top_m]);
            scene.say(Rule::PostShort).iter().map(|finding| finding.weight).collect()
        };
        assert_eq!((said(1.34), said(1.36), said(1.40)), (vec![], vec![Weight::Note], vec![Weight::MustFix]));
    }

    #[test]
    fn the_cure_is_the_lightest_post_of_the_same_sort_that_reaches() {
        let all = Catalogue::built_in();
        let cure = |id: &str, top_m: f64| {
            taller(all.post(id).expect("listed"), Length::metres(top_m), all).map_or("none", |row| row.id.as_str())
        };
        let rows = [
            ("wood-75", 1.10, "stake-sawn"),
            ("wood-75", 1.22, "wood-100-long"),
            ("wood-100", 1.25, "wood-100-long"),
            ("wood-100", 2.40, "wood-125-tall"),
        ];
        for (id, top_m, wanted) in rows {
            assert_eq!(cure(id, top_m), wanted, "{id} for {top_m}");
        }
        assert_eq!(cure("step-in", 0.85), "rod-10");
    }
}
