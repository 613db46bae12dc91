//! Fences across a way that the public may use.

use super::surroundings::{DrawnGate, Way, nearest_m};
use super::{Checked, CheckedLine};
use crate::finding::{Finding, Keeping, KeepingRemedy, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::along::{Piece, crossing, distance_m, pieces, runs, spot_at};
use crate::land::MapPoint;
use crate::plan::Kind;
use crate::source::SourceKey;
use crate::units::Length;

/// A dead gate or a stile this near to where the way crosses serves the way.
///
/// # Source
/// Key `common-practice`.
pub const GATE_WITHIN: Length = Length::metres(3.0);

/// A fence this near to a public way is met by whoever uses it.
///
/// # Source
/// Key `common-practice`.
pub const BESIDE: Length = Length::metres(25.0);

/// A shorter stretch beside a way is not worth a word, metres.
const SHORTEST_BESIDE_M: f64 = 10.0;
const STEP_M: f64 = 5.0;

/// A gate this near to a line stands on it.
const ON_LINE_M: f64 = 1.0;

/// Every place where the fence closes a public way, and every stretch beside one. Law differs from country to country and outranks this.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    if !matches!(line.feature.kind, Kind::Fence(_)) || checked.surroundings.ways.is_empty() {
        return Vec::new();
    }
    let corners: Vec<(MapPoint, f64)> =
        line.section.corners.iter().map(|index| &line.section.samples[*index]).map(|sample| (sample.at, sample.plan_m)).collect();
    let on_line = |gate: &&DrawnGate| corners.windows(2).any(|leg| distance_m(gate.at, leg[0].0, leg[1].0) < ON_LINE_M);
    let gates: Vec<&DrawnGate> = checked.surroundings.gates.iter().filter(on_line).collect();
    let mut found = Vec::new();
    for leg in corners.windows(2) {
        for (way, piece) in checked.surroundings.ways.iter().flat_map(|way| way.points.windows(2).map(move |piece| (way, piece)))
        {
            if let Some((along, _)) = crossing(leg[0].0, leg[1].0, piece[0], piece[1]) {
                found.extend(closed(checked, line, leg[0].1 + along * (leg[1].1 - leg[0].1), way, &gates));
            }
        }
    }
    found.extend(checked.surroundings.ways.iter().flat_map(|way| stretches_beside(checked, line, way)));
    found
}

/// Stretches that whoever uses the way meets: signs belong there.
fn stretches_beside(checked: &Checked, line: &CheckedLine, way: &Way) -> Vec<Finding> {
    let near = |piece: &Piece| nearest_m(piece.middle(), &way.points).is_some_and(|off_m| off_m <= BESIDE.as_metres());
    let near: Vec<Piece> = pieces(line.section, STEP_M).into_iter().filter(near).collect();
    let every = &checked.code().signs_every;
    let told = |run: Vec<Piece>| {
        let (first, last) = (&run[0], &run[run.len() - 1]);
        let over = last.to.station_m - first.from.station_m;
        let signs = (over / every.value.as_metres()).ceil().max(1.0) as u32;
        (over >= SHORTEST_BESIDE_M).then(|| Finding {
            rule: Rule::PublicWay,
            weight: Weight::Note,
            place: checked.stretch(line, first.from.station_m, last.to.station_m, run[run.len() / 2].middle()),
            value: over,
            limit: None,
            unit: Unit::Metre,
            reason: Reason::Keeping(Keeping::BesideWay { way: way.name.clone(), over: Length::metres(over), signs }),
            remedies: checked.with_code(vec![KeepingRemedy::SignsEvery(every.value)]),
            source: every.source.clone(),
        })
    };
    let along = |a: &Piece, b: &Piece| (b.from.plan_m - a.to.plan_m).abs() < 0.01;
    runs(near, along).into_iter().filter_map(told).collect()
}

/// A way is open where a gate without a pulse stands: a live one is no way through for the public.
fn closed(checked: &Checked, line: &CheckedLine, plan_m: f64, way: &Way, gates: &[&DrawnGate]) -> Option<Finding> {
    let spot = spot_at(line.section, plan_m);
    let away = |gate: &&DrawnGate| Length::metres(gate.at.distance_m(spot.at));
    let serves = |gate: &&&DrawnGate| away(gate) <= GATE_WITHIN;
    let nearest_gate = gates.iter().map(away).reduce(Length::min);
    let is_served = gates.iter().any(|gate| serves(&gate) && !gate.is_live);
    let reason = if gates.iter().any(|gate| serves(&gate)) {
        Reason::Keeping(Keeping::LiveGateOnWay { way: way.name.clone() })
    } else {
        Reason::ClosesPublicWay { way: way.name.clone(), nearest_gate }
    };
    (!is_served).then(|| Finding {
        rule: Rule::PublicWay,
        weight: Weight::MustFix,
        place: checked.spot(line, spot.station_m, spot.at),
        value: 1.0,
        limit: Some(0.0),
        unit: Unit::One,
        reason,
        remedies: [Remedy::GateOnWay, Remedy::WarningSigns { every: checked.code().signs_every.value }]
            .into_iter()
            .chain(checked.with_code(Vec::new()))
            .collect(),
        source: SourceKey::new("fence-installation"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};
    use crate::plan::Gate;

    #[test]
    fn a_fence_across_a_public_way_needs_a_gate_where_it_crosses() {
        let rows = [
            ("no gate", None, None, 1),
            ("a dead gate there", Some(2.0), Some(false), 0),
            ("a live gate there", Some(2.0), Some(true), 1),
            ("a gate there that does not say: it counts as live", Some(2.0), None, 1),
            ("a dead gate farther on", Some(20.0), Some(false), 1),
        ];
        for (name, gate_m, live, expected) in rows {
            let mut scene = Scene::on(flat())
                .fence(&[(-50.0, 0.0), (50.0, 0.0)])
                .line(Kind::PublicWay { use_by: None }, &[(0.0, -40.0), (0.0, 40.0)]);
            if let Some(east_m) = gate_m {
                scene = scene.point(Kind::Gate(Gate { live, ..Gate::default() }), (east_m, 0.0));
            }
            let mut found = scene.say(Rule::PublicWay);
            found.retain(|finding| finding.weight == Weight::MustFix);
            assert_eq!(found.len(), expected, "{name}: {found:?}");
            let nearest = |finding: &Finding| match finding.reason {
                Reason::ClosesPublicWay { nearest_gate, .. } => nearest_gate,
                _ => None,
            };
            let is_live_gate = |finding: &Finding| matches!(&finding.reason, Reason::Keeping(Keeping::LiveGateOnWay { .. }));
            assert_eq!(found.iter().any(is_live_gate), gate_m == Some(2.0) && expected == 1, "{name}");
            if let Some(finding) = found.first().filter(|finding| !is_live_gate(finding)) {
                // UTM shrinks the ground by 1 in 2500: 2 cm here.
                assert!((finding.place.station.expect("a spot") - Length::metres(50.02)).abs() < Length::metres(0.01));
                assert_eq!(nearest(finding).is_some(), gate_m.is_some(), "{name}");
            }
        }
    }

    #[test]
    fn a_way_past_the_end_of_a_fence_is_not_closed() {
        let scene = Scene::on(flat())
            .fence(&[(-50.0, 0.0), (-5.0, 0.0)])
            .line(Kind::PublicWay { use_by: None }, &[(0.0, -40.0), (0.0, 40.0)]);
        assert!(scene.say(Rule::PublicWay).iter().all(|finding| finding.weight == Weight::Note));
    }

    #[test]
    fn a_fence_beside_a_public_way_wants_signs() {
        // 240 m of fence; a way beside it at 10 m and at 40 m.
        for (off_m, expected) in [(10.0, Some(5)), (40.0, None)] {
            let way = Kind::PublicWay { use_by: None };
            let scene = Scene::on(flat()).fence(&[(-120.0, 0.0), (120.0, 0.0)]).line(way, &[(-190.0, off_m), (190.0, off_m)]);
            let found = scene.say(Rule::PublicWay);
            let signs = found.first().map(|finding| match &finding.reason {
                Reason::Keeping(Keeping::BesideWay { signs, .. }) => *signs,
                other => panic!("{other:?}"),
            });
            assert_eq!(signs, expected, "{off_m} m");
        }
    }
}
