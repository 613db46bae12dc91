//! Lead-outs that hang low over a track or a public way.

use super::{Checked, CheckedLine};
use crate::finding::{Finding, Keeping, KeepingRemedy, Reason, Rule, Unit, Weight};
use crate::hold::LEAD_OUT_HEIGHT_M;
use crate::hold::along::{crossing, spot_at};
use crate::land::MapPoint;
use crate::plan::Kind;
use crate::units::Length;

/// Every place where a lead-out in the air crosses a way for vehicles lower than the code asks.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let Kind::LeadOut(lead_out) = &line.feature.kind else { return Vec::new() };
    let height = lead_out.height.unwrap_or(Length::metres(LEAD_OUT_HEIGHT_M));
    let least = &checked.code().lead_over_way;
    if lead_out.underground || height >= least.value {
        return Vec::new();
    }
    let ways = checked.surroundings.vehicle_ways.iter();
    ways.flat_map(|way| crossings(line, &way.points).map(move |plan_m| (way, plan_m)))
        .map(|(way, plan_m)| {
            let spot = spot_at(line.section, plan_m);
            Finding {
                rule: Rule::OverWay,
                weight: Weight::MustFix,
                place: checked.spot(line, spot.station_m, spot.at),
                value: height.as_metres(),
                limit: Some(least.value.as_metres()),
                unit: Unit::Metre,
                reason: Reason::Keeping(Keeping::LowOverWay { way: way.name.clone(), height }),
                remedies: checked.with_code(vec![KeepingRemedy::RaiseOrBury(least.value)]),
                source: least.source.clone(),
            }
        })
        .collect()
}

/// Where a line crosses another, as distances along it on the map, metres.
pub(super) fn crossings<'a>(line: &'a CheckedLine, points: &'a [MapPoint]) -> impl Iterator<Item = f64> + 'a {
    line.section.corners.windows(2).flat_map(move |leg| {
        let (from, to) = (&line.section.samples[leg[0]], &line.section.samples[leg[1]]);
        points.windows(2).filter_map(move |piece| {
            let (along, _) = crossing(from.at, to.at, piece[0], piece[1])?;
            Some(from.plan_m + along * (to.plan_m - from.plan_m))
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};
    use crate::plan::{LeadOut, Track};

    #[test]
    fn a_lead_out_over_a_track_hangs_high_or_lies_in_the_ground() {
        let over = |vehicle: &str, height_m: Option<f64>, underground| {
            let lead = LeadOut { height: height_m.map(Length::metres), underground, ..LeadOut::default() };
            let track = Track { vehicle: Some(vehicle.to_owned()), ..Track::default() };
            let scene = Scene::on(flat()).line(Kind::LeadOut(lead), &[(-40.0, 0.0), (40.0, 0.0)]);
            scene.line(Kind::Track(track), &[(0.0, -40.0), (0.0, 40.0)]).say(Rule::OverWay).len()
        };
        let rows = [
            ("at its usual height", over("utility", None, false), 1),
            ("high enough", over("tractor", Some(5.6), false), 0),
            ("in the ground", over("utility", None, true), 0),
            ("over a footpath", over("foot", None, false), 0),
        ];
        rows.into_iter().for_each(|(name, found, expected)| assert_eq!(found, expected, "{name}"));
    }
}
