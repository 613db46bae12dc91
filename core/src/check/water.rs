//! Paddocks with stock and without water, or with water far away.

use super::Checked;
use super::behind::animal_of;
use super::beside::{group_in, place_of};
use crate::finding::{Finding, Keeping, KeepingRemedy, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::along::{crossing, distance_m};
use crate::hold::inside;
use crate::land::MapPoint;
use crate::plan::{Kind, PaddockFace};
use crate::source::SourceKey;
use crate::units::Length;

/// Water serves a paddock when it stands in it, or this near to its edge, metres.
const AT_EDGE_M: f64 = 2.0;

/// How far animals should have to go for water, on the map (`common-practice`).
pub fn farthest(species: &str) -> Length {
    Length::metres(if species == "pig" { 250.0 } else { 400.0 })
}

/// Every enclosed paddock with stock in it that lacks water, or has it too far from some corner.
pub fn check_plan(checked: &Checked) -> Vec<Finding> {
    checked.paddocks.iter().filter(|face| face.open.is_none()).filter_map(|face| of_paddock(checked, face)).collect()
}

fn of_paddock(checked: &Checked, face: &PaddockFace) -> Option<Finding> {
    let species = animal_of(checked, group_in(checked, &face.id)?)?.species.as_str();
    let edges = || face.ring.iter().zip(face.ring.iter().cycle().skip(1));
    let serves = |at: &MapPoint| inside(&face.ring, *at) || edges().any(|(from, to)| distance_m(*at, *from, *to) <= AT_EDGE_M);
    let drawn = checked.plan.features.iter().filter(|feature| matches!(feature.kind, Kind::Water));
    let troughs: Vec<MapPoint> = drawn.filter_map(|feature| checked.frame.to_map(feature.point()?).ok()).filter(serves).collect();
    let limit_m = farthest(species).as_metres();
    let found = |weight, value, limit, unit, reason| Finding {
        rule: Rule::Water,
        weight,
        place: place_of(checked, face),
        value,
        limit: Some(limit),
        unit,
        reason: Reason::Keeping(reason),
        remedies: vec![Remedy::Keeping(KeepingRemedy::PlaceWater)],
        source: SourceKey::new("common-practice"),
    };
    if troughs.is_empty() {
        let stream = stream_through(checked, face);
        let weight = if stream.is_some() { Weight::LookAt } else { Weight::MustFix };
        return Some(found(weight, 0.0, 1.0, Unit::One, Keeping::NoWater { stream }));
    }
    let nearest_m = |corner: &MapPoint| troughs.iter().map(|trough| trough.distance_m(*corner)).fold(f64::INFINITY, f64::min);
    let farthest_m = face.ring.iter().map(nearest_m).fold(0.0, f64::max);
    (farthest_m > limit_m).then(|| found(Weight::LookAt, farthest_m, limit_m, Unit::Metre, Keeping::WaterFar))
}

fn stream_through(checked: &Checked, face: &PaddockFace) -> Option<String> {
    let edges = || face.ring.iter().zip(face.ring.iter().cycle().skip(1));
    let comes_in = |points: &[MapPoint]| {
        points.iter().any(|at| inside(&face.ring, *at))
            || points.windows(2).any(|piece| edges().any(|(from, to)| crossing(*from, *to, piece[0], piece[1]).is_some()))
    };
    let streams = checked.plan.features.iter().filter(|feature| matches!(feature.kind, Kind::Stream { .. }));
    let mut through = streams.filter(|feature| {
        let points: Vec<MapPoint> =
            feature.line().unwrap_or_default().iter().filter_map(|at| checked.frame.to_map(*at).ok()).collect();
        comes_in(&points)
    });
    through.next().map(|stream| stream.label().to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};
    use crate::plan::{Paddock, StockGroup};

    #[test]
    fn stock_has_water_in_its_paddock_and_not_far_away() {
        let growers = StockGroup { id: "growers".to_owned(), species: "pig".to_owned(), head: 10, ..StockGroup::default() };
        let stream = || Kind::Stream { width: None, seasonal: false, culvert: false };
        // Half the length of the paddock, where the trough stands, whether a stream runs through.
        let rows = [
            ("no water", 60.0, None, false, Some(Weight::MustFix)),
            ("a stream only", 60.0, None, true, Some(Weight::LookAt)),
            ("a trough", 60.0, Some(0.0), false, None),
            ("a trough at one end of a long paddock", 150.0, Some(149.0), false, Some(Weight::LookAt)),
            ("a trough outside", 60.0, Some(90.0), false, Some(Weight::MustFix)),
        ];
        for (name, half_m, trough, has_stream, expected) in rows {
            let ring = [(-half_m, -20.0), (half_m, -20.0), (half_m, 20.0), (-half_m, 20.0), (-half_m, -20.0)];
            let paddock = Paddock { stock: Some("growers".to_owned()), ..Paddock::default() };
            let mut scene = Scene::on(flat())
                .fence(&ring)
                .point(Kind::Paddock(paddock), (0.0, 0.0))
                .keeping(std::slice::from_ref(&growers), None);
            if let Some(east_m) = trough {
                scene = scene.point(Kind::Water, (east_m, 0.0));
            }
            if has_stream {
                scene = scene.line(stream(), &[(0.0, -60.0), (0.0, 60.0)]);
            }
            let found = scene.say(Rule::Water);
            assert_eq!(found.first().map(|finding| finding.weight), expected, "{name}: {found:?}");
        }
    }
}
