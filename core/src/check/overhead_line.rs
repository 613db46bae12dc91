//! Fences and leads under, high near, or long beside an overhead power line.

use super::surroundings::{Overhead, nearest_m};
use super::{Checked, CheckedLine};
use crate::catalogue::OverheadRow;
use crate::finding::{Finding, KeepingRemedy, Place, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::LEAD_OUT_HEIGHT_M;
use crate::hold::along::{Piece, crossing, distance_m, pieces, runs, spot_at};
use crate::land::MapPoint;
use crate::plan::Kind;
use crate::units::Length;

/// A fence that stays beside the line for longer than this runs along it; a square crossing takes half of it.
///
/// # Source
/// Key `common-practice`.
pub const LONGEST_BESIDE: Length = Length::metres(60.0);

/// What crosses over a gate hangs at least so high, to clear a vehicle.
///
/// # Source
/// Key `common-practice`.
const OVER_GATE: Length = Length::metres(4.0);

const STEP_M: f64 = 5.0;
/// A gate this near to a line stands on it.
const ON_LINE_M: f64 = 1.0;

/// Every crossing, everything high near the line, and every long stretch beside. Nobody drives a post there before asking whoever runs the line.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let is_buried = matches!(&line.feature.kind, Kind::LeadOut(lead_out) if lead_out.underground);
    let overhead = checked.surroundings.overhead.iter().filter(|_| !is_buried);
    overhead
        .flat_map(|overhead| {
            let mut found = crossings(checked, line, overhead);
            found.extend(high_near(checked, line, overhead));
            found.extend(high_over_gates(checked, line, overhead));
            found.extend(stretches(checked, line, overhead));
            found
        })
        .collect()
}

/// What holds at a place where wires have to stay low: the row of the overhead line beside it.
pub(super) fn row_beside(checked: &Checked, at: MapPoint) -> Option<&'static OverheadRow> {
    checked.surroundings.overhead.iter().find_map(|overhead| {
        let row = checked.code().overhead(overhead.kv);
        is_beside(row, at, overhead).then_some(row)
    })
}

fn is_beside(row: &OverheadRow, at: MapPoint, overhead: &Overhead) -> bool {
    nearest_m(at, &overhead.points).is_some_and(|away_m| away_m <= (row.beside + row.spread).as_metres())
}

/// Wires and posts that stand higher than the rules allow beside the line; told once, where they come nearest.
fn high_near(checked: &Checked, line: &CheckedLine, overhead: &Overhead) -> Option<Finding> {
    let row = checked.code().overhead(overhead.kv);
    let height = highest(line);
    let away_m = |piece: &Piece| nearest_m(piece.middle(), &overhead.points).unwrap_or(f64::INFINITY);
    let inside = pieces(line.section, STEP_M).into_iter().filter(|piece| is_beside(row, piece.middle(), overhead));
    let nearest = inside.min_by(|a, b| away_m(a).total_cmp(&away_m(b)))?;
    (height > row.wires_below).then(|| {
        let spot = spot_at(line.section, 0.5 * (nearest.from.plan_m + nearest.to.plan_m));
        too_high(checked, (overhead, row), checked.spot(line, spot.station_m, spot.at), height)
    })
}

/// Gates of this line whose pulse crosses in the air, beside the overhead line.
fn high_over_gates(checked: &Checked, line: &CheckedLine, overhead: &Overhead) -> Vec<Finding> {
    let row = checked.code().overhead(overhead.kv);
    let corners: Vec<MapPoint> = line.section.corners.iter().map(|index| line.section.samples[*index].at).collect();
    let on_line = |at: MapPoint| corners.windows(2).any(|leg| distance_m(at, leg[0], leg[1]) < ON_LINE_M);
    let gates = checked.surroundings.gates.iter().filter(|gate| gate.is_crossed_overhead && on_line(gate.at));
    let high = gates.filter(|gate| is_beside(row, gate.at, overhead) && OVER_GATE > row.wires_below);
    let place = |at| Place { line: Some(line.feature.id.clone()), station: None, until: None, at, cell: None };
    high.map(|gate| too_high(checked, (overhead, row), place(checked.frame.to_position(gate.at)), OVER_GATE)).collect()
}

fn too_high(checked: &Checked, (overhead, row): (&Overhead, &OverheadRow), place: Place, height: Length) -> Finding {
    let lower = [Remedy::LowerOrBury { height: row.wires_below }, Remedy::AskLineOperator];
    Finding {
        rule: Rule::OverheadLine,
        weight: Weight::MustFix,
        place,
        value: height.as_metres(),
        limit: Some(row.wires_below.as_metres()),
        unit: Unit::Metre,
        reason: Reason::HighNearOverheadLine { kv: overhead.kv, within: row.beside },
        remedies: lower.into_iter().chain(checked.with_code(vec![KeepingRemedy::WorkAway(row.work_away)])).collect(),
        source: row.source.clone(),
    }
}

fn crossings(checked: &Checked, line: &CheckedLine, overhead: &Overhead) -> Vec<Finding> {
    let mut found = Vec::new();
    for leg in line.section.corners.windows(2) {
        let (from, to) = (&line.section.samples[leg[0]], &line.section.samples[leg[1]]);
        for span in overhead.points.windows(2) {
            if let Some((along, _)) = crossing(from.at, to.at, span[0], span[1]) {
                let (a, b) = (to.at - from.at, span[1] - span[0]);
                let turn_deg = (a.x_m * b.y_m - a.y_m * b.x_m).abs().atan2((a.x_m * b.x_m + a.y_m * b.y_m).abs()).to_degrees();
                found.push(under(checked, line, overhead, from.plan_m + along * (to.plan_m - from.plan_m), turn_deg));
            }
        }
    }
    found
}

fn under(checked: &Checked, line: &CheckedLine, overhead: &Overhead, plan_m: f64, crossing_deg: f64) -> Finding {
    let spot = spot_at(line.section, plan_m);
    let row = checked.code().overhead(overhead.kv);
    let clearance = row.clear;
    let air = overhead.wire_height.map(|height| height - top_wire(line));
    let (value, limit, unit) = match air {
        Some(air) => (air.as_metres(), clearance.as_metres(), Unit::Metre),
        None => (crossing_deg, 90.0, Unit::Degree),
    };
    Finding {
        rule: Rule::OverheadLine,
        weight: if air.is_some_and(|air| air < clearance) { Weight::MustFix } else { Weight::LookAt },
        place: checked.spot(line, spot.station_m, spot.at),
        value,
        limit: Some(limit),
        unit,
        reason: Reason::UnderOverheadLine { kv: overhead.kv, clearance, crossing_deg },
        remedies: [Remedy::CrossSquarely].into_iter().chain(remedies(checked, row)).collect(),
        source: row.source.clone(),
    }
}

fn stretches(checked: &Checked, line: &CheckedLine, overhead: &Overhead) -> Vec<Finding> {
    let row = checked.code().overhead(overhead.kv);
    let near = |piece: Piece| nearest_m(piece.middle(), &overhead.points).map(|away_m| (piece, away_m));
    let reach_m = (row.beside + row.spread).as_metres();
    let inside = pieces(line.section, STEP_M).into_iter().filter_map(near).filter(|(_, away_m)| *away_m <= reach_m);
    let along = runs(inside.collect(), |a: &(Piece, f64), b| (b.0.from.plan_m - a.0.to.plan_m).abs() < 0.01);
    let finding = |run: Vec<(Piece, f64)>| {
        let (first, last) = (run[0].0, run[run.len() - 1].0);
        let over = Length::metres(last.to.station_m - first.from.station_m);
        let nearest = run.iter().map(|(_, away_m)| Length::metres(*away_m)).reduce(Length::min)?;
        (over > LONGEST_BESIDE).then(|| Finding {
            rule: Rule::OverheadLine,
            weight: Weight::LookAt,
            place: checked.stretch(line, first.from.station_m, last.to.station_m, run[run.len() / 2].0.middle()),
            value: over.as_metres(),
            limit: Some(LONGEST_BESIDE.as_metres()),
            unit: Unit::Metre,
            reason: Reason::BesideOverheadLine { kv: overhead.kv, over, nearest },
            remedies: remedies(checked, row),
            source: row.source.clone(),
        })
    };
    along.into_iter().filter_map(finding).collect()
}

fn remedies(checked: &Checked, row: &OverheadRow) -> Vec<Remedy> {
    let keep = [Remedy::KeepWiresBelow { height: row.wires_below }, Remedy::AskLineOperator];
    keep.into_iter().chain(checked.with_code(vec![KeepingRemedy::WorkAway(row.work_away)])).collect()
}

/// Height of the highest wire or post.
fn highest(line: &CheckedLine) -> Length {
    let posts = line.specification.map(|built| [built.line_post, built.corner_post]);
    let out_of_ground = posts.into_iter().flatten().map(|post| post.length - post.depth);
    out_of_ground.fold(top_wire(line), Length::max)
}

/// Height of the highest wire.
fn top_wire(line: &CheckedLine) -> Length {
    match &line.feature.kind {
        Kind::LeadOut(lead_out) => lead_out.height.unwrap_or(Length::metres(LEAD_OUT_HEIGHT_M)),
        _ => line
            .build
            .and_then(|build| build.strands.iter().map(|strand| strand.height).reduce(Length::max))
            .unwrap_or(Length::ZERO),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};
    use crate::plan::{Gate, LeadOut};

    #[test]
    fn a_fence_under_the_line_is_looked_at_and_one_too_near_must_be_mended() {
        // The fence's highest strand is at 0.45 m.
        let rows = [(Some(6.5), Weight::LookAt, 6.05), (Some(4.0), Weight::MustFix, 3.55), (None, Weight::LookAt, 45.0)];
        for (height_m, weight, value) in rows {
            let kind = Kind::OverheadLine { kv: Some(11.0), wire_height: height_m.map(Length::metres) };
            let found = Scene::on(flat())
                .fence(&[(-50.0, 0.0), (50.0, 0.0)])
                .line(kind, &[(-40.0, -40.0), (40.0, 40.0)])
                .say(Rule::OverheadLine);
            assert_eq!(found.len(), 1, "{found:?}");
            assert_eq!(found[0].weight, weight);
            assert!((found[0].value - value).abs() < 0.01, "{height_m:?}: {}", found[0].value);
        }
    }

    #[test]
    fn a_fence_long_beside_the_line_is_looked_at() {
        // 15 m from the outermost conductor, which hangs 1.5 m from the middle.
        let rows = [(10.0, 100.0, 1), (16.0, 100.0, 1), (17.0, 100.0, 0), (10.0, 50.0, 0)];
        for (away_m, length_m, expected) in rows {
            let kind = Kind::OverheadLine { kv: Some(11.0), wire_height: None };
            let scene = Scene::on(flat()).fence(&[(0.0, 0.0), (length_m, 0.0)]).line(kind, &[(-150.0, away_m), (150.0, away_m)]);
            assert_eq!(scene.say(Rule::OverheadLine).len(), expected, "{away_m} m away over {length_m} m");
        }
    }

    #[test]
    fn near_the_line_nothing_stands_high() {
        // By voltage: so far from the middle of the line wires stay below 3 m (IEC 60335-2-76, annex BB: 2 m or 15 m from the outermost conductor).
        let lead = |height_m: f64, underground| {
            let height = Some(Length::metres(height_m));
            Kind::LeadOut(LeadOut { height, underground, ..LeadOut::default() })
        };
        let rows = [
            ("230 V, near", lead(4.0, false), Some(0.23), 2.0, 1),
            ("230 V, away", lead(4.0, false), Some(0.23), 3.0, 0),
            ("11 kV, near", lead(4.0, false), Some(11.0), 16.0, 1),
            ("11 kV, low", lead(2.4, false), Some(11.0), 16.0, 0),
            ("11 kV, in the ground", lead(4.0, true), Some(11.0), 16.0, 0),
            ("11 kV, away", lead(4.0, false), Some(11.0), 17.0, 0),
            ("400 kV, near", lead(4.0, false), Some(400.0), 24.0, 1),
            ("400 kV, away", lead(4.0, false), Some(400.0), 26.0, 0),
            ("voltage unknown, near", lead(4.0, false), None, 24.0, 1),
        ];
        for (name, kind, kv, away_m, expected) in rows {
            let over = Kind::OverheadLine { kv, wire_height: None };
            let scene = Scene::on(flat()).line(kind, &[(-20.0, 0.0), (20.0, 0.0)]);
            let found = scene.line(over, &[(-150.0, away_m), (150.0, away_m)]).say(Rule::OverheadLine);
            let high: Vec<_> =
                found.iter().filter(|finding| matches!(finding.reason, Reason::HighNearOverheadLine { .. })).collect();
            assert_eq!(high.len(), expected, "{name}: {found:?}");
            assert!(high.iter().all(|finding| finding.weight == Weight::MustFix), "{name}");
        }
    }

    #[test]
    fn the_pulse_does_not_cross_over_a_gate_near_the_line() {
        for (crossing, expected) in [("overhead", 1), ("underground", 0)] {
            let gate = Gate { crossing: Some(crossing.to_owned()), ..Gate::default() };
            let over = Kind::OverheadLine { kv: Some(11.0), wire_height: None };
            let found = Scene::on(flat())
                .fence(&[(-20.0, 0.0), (20.0, 0.0)])
                .point(Kind::Gate(gate), (5.0, 0.0))
                .line(over, &[(-150.0, 10.0), (150.0, 10.0)])
                .say(Rule::OverheadLine);
            assert_eq!(found.len(), expected, "{crossing}: {found:?}");
        }
    }
}
