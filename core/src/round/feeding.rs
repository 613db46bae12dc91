//! What each group is brought on the day of the round.

use super::fence::Goes;
use super::stops::serving_place;
use crate::catalogue::Catalogue;
use crate::hold::inside;
use crate::land::MapPoint;
use crate::outcome::PaddockOutcome;
use crate::plan::{Feature, FeatureId, Kind, StockGroup};
use crate::stock::{group_needs, weight_on};
use jiff::civil::Date;

/// Feed and water of a group for a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Ration {
    /// The group.
    pub group: String,
    /// The paddock it stands in.
    pub paddock: FeatureId,
    /// How many animals.
    pub head: u32,
    /// What one of them weighs on the day, kg; `None` where nobody knows.
    pub weight_kg: Option<f64>,
    /// For all of them together, kg, from and to; `None` where the catalogue does not say.
    pub feed_kg: Option<(f64, f64)>,
    /// Litres for all of them, from and to; `None` where the catalogue does not say.
    pub water_l: Option<(f64, f64)>,
}

/// What a group is brought.
fn ration(catalogue: &Catalogue, group: &StockGroup, paddock: &FeatureId, on: Option<Date>) -> Ration {
    // Without a day, the weight that the plan gives.
    let day = on.or(group.as_of).unwrap_or(Date::ZERO);
    let weight_kg = weight_on(group, &catalogue.animals, day).map(|weight| weight.kg);
    let needs = weight_kg.and_then(|kg| group_needs(group, kg, catalogue));
    let head = f64::from(group.head);
    let all = |(from, to): (f64, f64)| (head * from, head * to);
    Ration {
        group: group.id.clone(),
        paddock: paddock.clone(),
        head: group.head,
        weight_kg,
        feed_kg: needs.and_then(|needs| needs.feed_kg).map(all),
        water_l: needs.map(|needs| all(needs.water_l)),
    }
}

/// The closed paddocks in which somebody stands on the day, with their features and those groups; without a day all that may.
pub(super) fn standing<'a>(
    goes: &'a Goes,
    on: Option<Date>,
) -> impl Iterator<Item = (&'a PaddockOutcome, &'a Feature, &'a StockGroup)> {
    goes.outcome.paddocks.iter().filter(|paddock| !paddock.ring.is_empty()).filter_map(move |paddock| {
        let feature = goes.plan.feature(&paddock.id)?;
        let Kind::Paddock(kind) = &feature.kind else { return None };
        let is_there = |day: Date| kind.from.is_none_or(|from| from <= day) && kind.until.is_none_or(|until| day < until);
        let group = goes.plan.head.stock.iter().find(|group| Some(&group.id) == kind.stock.as_ref())?;
        (group.head > 0 && on.is_none_or(is_there)).then_some((paddock, feature.as_ref(), group))
    })
}

/// The groups that stand in a paddock on the day, each with the line and the place along it where it is served.
pub(super) fn rations(goes: &Goes, catalogue: &Catalogue, on: Option<Date>) -> Vec<(usize, f64, Ration)> {
    let Some(frame) = goes.outcome.frame else { return Vec::new() };
    let mut all = Vec::new();
    for (paddock, feature, group) in standing(goes, on) {
        let to_map = |feature: &Feature| frame.to_map(feature.point()?).ok();
        let drawn = |is_meant: fn(&Kind) -> bool| {
            let meant = goes.plan.features.iter().filter(move |feature| is_meant(&feature.kind));
            meant.filter_map(|feature| to_map(feature)).find(|at: &MapPoint| inside(&paddock.ring, *at))
        };
        let served = drawn(|kind| matches!(kind, Kind::Feed)).or_else(|| drawn(|kind| matches!(kind, Kind::Water)));
        let Some(served) = served.or_else(|| to_map(feature)) else { continue };
        if let Some((line, plan_m)) = serving_place(goes, &paddock.lines, served) {
            all.push((line, plan_m, ration(catalogue, group, &paddock.id, on)));
        }
    }
    all
}
