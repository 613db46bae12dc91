//! More animals than the ground carries, over all paddocks that a group has.

use super::Checked;
use super::behind::animal_of;
use super::beside::{group_in, place_of};
use crate::catalogue::Guidance;
use crate::finding::{Finding, Keeping, KeepingRemedy, Reason, Remedy, Rule, Unit, Weight};
use crate::plan::PaddockFace;
use crate::stock::head_guidance;
use crate::units::Area;

const M2_PER_HA: f64 = 1e4;

/// Every group that is larger than all numbers known for its class allow on the ground of its paddocks; a note where the highest of them is
/// a ceiling of one sort of keeping. Lower numbers stand on the card of the paddock.
pub fn check_plan(checked: &Checked) -> Vec<Finding> {
    checked.plan.head.stock.iter().filter_map(|group| of_group(checked, group)).collect()
}

fn of_group(checked: &Checked, group: &crate::plan::StockGroup) -> Option<Finding> {
    let has = |face: &&PaddockFace| face.open.is_none() && group_in(checked, &face.id).is_some_and(|other| other.id == group.id);
    let faces: Vec<&PaddockFace> = checked.paddocks.iter().filter(has).collect();
    let first = faces.first()?;
    let animal = animal_of(checked, group)?;
    let hectares: f64 = faces.iter().map(|face| face.area().as_square_metres()).sum::<f64>() / M2_PER_HA;
    let per_ha = f64::from(group.head) / hectares;
    let rows = head_guidance(checked.catalogue, &animal.species, &animal.class);
    let most = rows.max_by(|a, b| a.most_per_ha.total_cmp(&b.most_per_ha))?;
    if hectares <= 0.0 || per_ha <= most.most_per_ha {
        return None;
    }
    let fewer = (most.most_per_ha * hectares).floor().max(0.0) as u32;
    let needed = Area::square_metres(f64::from(group.head) / most.most_per_ha * M2_PER_HA);
    Some(Finding {
        rule: Rule::AreaPerHead,
        weight: if most.guidance == Guidance::Ceiling { Weight::Note } else { Weight::LookAt },
        place: place_of(checked, first),
        value: per_ha,
        limit: Some(most.most_per_ha),
        unit: Unit::One,
        reason: Reason::Keeping(Keeping::TooMany {
            head: group.head,
            keeping: most.label.clone(),
            is_ceiling: most.guidance == Guidance::Ceiling,
        }),
        // A ceiling of one sort of keeping is nobody's order to sell animals.
        remedies: if most.guidance == Guidance::Ceiling {
            vec![Remedy::Keeping(KeepingRemedy::MoreGround(needed))]
        } else {
            [KeepingRemedy::MoreGround(needed), KeepingRemedy::FewerHead(fewer)].map(Remedy::Keeping).to_vec()
        },
        source: most.sources.source.clone(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};
    use crate::plan::{Kind, Paddock, StockGroup};

    #[test]
    fn a_group_is_held_against_the_ground_of_all_its_paddocks() {
        // 60 x 60 m is 0.36 ha; growing pigs go up to 47 on a hectare in what has been tried: 16 in one such paddock, 33 in two.
        for (paddocks, head, expected) in [(1, 16, 0), (1, 18, 1), (2, 18, 0), (2, 34, 1)] {
            let group = StockGroup {
                id: "growers".to_owned(),
                species: "pig".to_owned(),
                head,
                class: Some("grower".to_owned()),
                ..StockGroup::default()
            };
            let mut scene = Scene::on(flat()).keeping(&[group], None);
            for number in 0..paddocks {
                let west_m = -100.0 + 80.0 * f64::from(number);
                let ring = [(west_m, 0.0), (west_m + 60.0, 0.0), (west_m + 60.0, 60.0), (west_m, 60.0), (west_m, 0.0)];
                let paddock = Paddock { stock: Some("growers".to_owned()), ..Paddock::default() };
                scene = scene.fence(&ring).point(Kind::Paddock(paddock), (west_m + 30.0, 30.0));
            }
            assert_eq!(scene.say(Rule::AreaPerHead).len(), expected, "{paddocks} paddocks, {head} head");
        }
    }
}
