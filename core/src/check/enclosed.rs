//! Paddocks with stock that no closed line encloses, and two paddocks in one piece of ground.

use super::Checked;
use super::beside::{group_in, place_of};
use crate::finding::{Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::plan::{OpenReason, PaddockFace};
use crate::source::SourceKey;

/// Every paddock that stock gets out of because nothing closes it, with the gap where a single one is to blame; and every paddock that lies in
/// the ground of another.
pub fn check_plan(checked: &Checked) -> Vec<Finding> {
    let open = checked.paddocks.iter().filter_map(|face| not_enclosed(checked, face));
    open.chain(same_ground(checked)).collect()
}

fn not_enclosed(checked: &Checked, face: &PaddockFace) -> Option<Finding> {
    let (open, group) = (face.open.as_ref()?, group_in(checked, &face.id)?);
    let at = |point| checked.frame.to_position(point);
    let gap = match open {
        OpenReason::Gap { from, to, width } => Some((at(from.towards(*to, 0.5)), *width)),
        OpenReason::NoFence | OpenReason::NotAround => None,
    };
    let mut place = place_of(checked, face);
    if let Some((at, _)) = gap {
        place.at = at;
    }
    let remedy = gap.map_or(Remedy::Enclose, |(_, width)| Remedy::CloseGap { width });
    Some(Finding {
        rule: Rule::Enclosed,
        weight: Weight::MustFix,
        place,
        value: gap.map_or(1.0, |(_, width)| width.as_metres()),
        limit: Some(0.0),
        unit: if gap.is_some() { Unit::Metre } else { Unit::One },
        reason: Reason::NotEnclosed { group: group.id.clone(), gap, no_fence: *open == OpenReason::NoFence },
        remedies: vec![remedy, Remedy::MoveStock { before: None }],
        source: SourceKey::new("common-practice"),
    })
}

fn same_ground<'a>(checked: &'a Checked) -> impl Iterator<Item = Finding> + 'a {
    let closed = || checked.paddocks.iter().filter(|face| face.open.is_none());
    closed().enumerate().filter_map(move |(index, face)| {
        let other = closed().take(index).find(|other| other.ring == face.ring)?;
        let name = checked.plan.feature(&other.id).map_or_else(|| other.id.to_string(), |feature| feature.label().to_owned());
        Some(Finding {
            rule: Rule::Enclosed,
            weight: Weight::MustFix,
            place: place_of(checked, face),
            value: 2.0,
            limit: Some(1.0),
            unit: Unit::One,
            reason: Reason::SameGround { other: name },
            remedies: vec![Remedy::PartGround],
            source: SourceKey::new("common-practice"),
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};
    use crate::plan::{Kind, Paddock, StockGroup};

    fn boars() -> StockGroup {
        StockGroup {
            id: "boars".to_owned(),
            species: "pig".to_owned(),
            class: Some("boar".to_owned()),
            head: 2,
            ..StockGroup::default()
        }
    }

    fn paddock() -> Kind {
        Kind::Paddock(Paddock { stock: Some("boars".to_owned()), ..Paddock::default() })
    }

    #[test]
    fn boars_without_a_side_of_their_paddock_are_told_with_the_gap() {
        let three_sides = [(-40.0, -40.0), (40.0, -40.0), (40.0, 40.0), (-40.0, 40.0)];
        let found =
            Scene::on(flat()).fence(&three_sides).point(paddock(), (0.0, 0.0)).keeping(&[boars()], None).say(Rule::Enclosed);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].weight == Weight::MustFix && (found[0].value - 80.0).abs() < 0.1, "{found:?}");
        assert!(matches!(&found[0].remedies[0], Remedy::CloseGap { width } if (width.as_metres() - 80.0).abs() < 0.1));
        let nothing = Scene::on(flat()).point(paddock(), (0.0, 0.0)).keeping(&[boars()], None).say(Rule::Enclosed);
        assert!(matches!(nothing[0].reason, Reason::NotEnclosed { no_fence: true, gap: None, .. }), "{nothing:?}");
        let empty =
            Scene::on(flat()).fence(&three_sides).point(Kind::Paddock(Paddock::default()), (0.0, 0.0)).say(Rule::Enclosed);
        assert_eq!(empty, [], "nobody gets out of an empty one");
    }

    #[test]
    fn two_paddocks_in_one_ring_are_told_at_the_second() {
        let ring = [(-40.0, -40.0), (40.0, -40.0), (40.0, 40.0), (-40.0, 40.0), (-40.0, -40.0)];
        let two = |scene: Scene| scene.point(paddock(), (-20.0, 0.0)).point(paddock(), (20.0, 0.0)).keeping(&[boars()], None);
        let found = two(Scene::on(flat()).fence(&ring)).say(Rule::Enclosed);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(matches!(&found[0].reason, Reason::SameGround { other } if other == "f1"), "{found:?}");
        let parted = two(Scene::on(flat()).fence(&ring).fence(&[(0.0, -40.0), (0.0, 40.0)])).say(Rule::Enclosed);
        assert_eq!(parted.len(), 0, "{parted:?}");
    }
}
