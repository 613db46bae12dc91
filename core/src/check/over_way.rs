//! Lead-outs that hang low over a track, a path or a public way.

use super::overhead_line::row_beside;
use super::{Checked, CheckedLine};
use crate::catalogue::CodeLength;
use crate::finding::{Finding, Keeping, KeepingRemedy, Passing, Reason, Rule, Unit, Weight};
use crate::hold::LEAD_OUT_HEIGHT_M;
use crate::hold::along::{crossing, spot_at};
use crate::land::MapPoint;
use crate::plan::Kind;
use crate::units::Length;

/// Every place where a lead-out in the air crosses a way lower than the code asks for whoever passes there.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let Kind::LeadOut(lead_out) = &line.feature.kind else { return Vec::new() };
    let height = lead_out.height.unwrap_or(Length::metres(LEAD_OUT_HEIGHT_M));
    if lead_out.underground {
        return Vec::new();
    }
    let for_vehicles = checked.surroundings.vehicle_ways.iter().map(|way| (&way.name, &way.points, Passing::Vehicles));
    let paths = checked.surroundings.paths.iter().map(|path| (&path.name, &path.points, Passing::Walkers));
    let public = checked.surroundings.ways.iter().filter(|way| way.passing != Passing::Vehicles);
    let for_others = public.map(|way| (&way.name, &way.points, way.passing));
    let ways = for_vehicles.chain(for_others).chain(paths).filter(|(.., passing)| height < least_over(checked, *passing).value);
    ways.flat_map(|(name, points, passing)| crossings(line, points).map(move |plan_m| (name, passing, plan_m)))
        .map(|(name, passing, plan_m)| {
            let (spot, least) = (spot_at(line.section, plan_m), least_over(checked, passing));
            // Near an overhead power line wires stay low: nothing is raised there.
            let is_low_ground = row_beside(checked, spot.at).is_some_and(|row| row.wires_below < least.value);
            let remedy = if is_low_ground { KeepingRemedy::Bury } else { KeepingRemedy::RaiseOrBury(least.value) };
            Finding {
                rule: Rule::OverWay,
                weight: Weight::MustFix,
                place: checked.spot(line, spot.station_m, spot.at),
                value: height.as_metres(),
                limit: Some(least.value.as_metres()),
                unit: Unit::Metre,
                reason: Reason::Keeping(Keeping::LowOverWay { way: name.clone(), height, passing }),
                remedies: checked.with_code(vec![remedy]),
                source: least.source.clone(),
            }
        })
        .collect()
}

fn least_over(checked: &Checked, passing: Passing) -> &'static CodeLength {
    let code = checked.code();
    match passing {
        Passing::Vehicles => &code.lead_over_way,
        Passing::Riders => &code.lead_over_riders,
        Passing::Walkers => &code.lead_over_walkers,
    }
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
    use crate::finding::Remedy;
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
            ("low over a footpath", over("foot", Some(2.4), false), 1),
            ("over a footpath, out of reach", over("foot", Some(2.6), false), 0),
            ("over a track that nobody can use", over("none", None, false), 0),
        ];
        rows.into_iter().for_each(|(name, found, expected)| assert_eq!(found, expected, "{name}"));
    }

    #[test]
    fn a_lead_out_over_a_public_way_clears_who_passes_there() {
        let over = |use_by: Option<&str>, height_m: f64| {
            let lead = LeadOut { height: Some(Length::metres(height_m)), ..LeadOut::default() };
            let way = Kind::PublicWay { use_by: use_by.map(str::to_owned) };
            let scene = Scene::on(flat()).line(Kind::LeadOut(lead), &[(-40.0, 0.0), (40.0, 0.0)]);
            scene.line(way, &[(0.0, -40.0), (0.0, 40.0)]).say(Rule::OverWay).len()
        };
        let rows = [
            ("on foot", Some("foot"), 2.45, 1),
            ("on foot", Some("foot"), 2.55, 0),
            ("on horses", Some("horse"), 3.6, 1),
            ("on horses", Some("horse"), 3.75, 0),
            ("who uses it is not said: it may be ridden on", None, 3.6, 1),
            ("a road", Some("road"), 5.4, 1),
            ("a road", Some("road"), 5.6, 0),
        ];
        rows.into_iter()
            .for_each(|(name, word, height, expected)| assert_eq!(over(word, height), expected, "{name}, {height} m"));
    }

    #[test]
    fn nothing_is_raised_near_an_overhead_power_line() {
        for (away_m, is_raised) in [(10.0, false), (60.0, true)] {
            let line = Kind::OverheadLine { kv: Some(11.0), wire_height: None };
            let found = Scene::on(flat())
                .line(Kind::LeadOut(LeadOut::default()), &[(-40.0, 0.0), (40.0, 0.0)])
                .line(Kind::Track(Track::default()), &[(0.0, -40.0), (0.0, 40.0)])
                .line(line, &[(away_m, -90.0), (away_m, 90.0)])
                .say(Rule::OverWay);
            let raises = |finding: &Finding| {
                finding.remedies.iter().any(|remedy| matches!(remedy, Remedy::Keeping(KeepingRemedy::RaiseOrBury(_))))
            };
            assert_eq!((found.len(), raises(&found[0])), (1, is_raised), "{away_m} m away");
        }
    }
}
