//! Fences and leads under, or long beside, an overhead power line.

use super::surroundings::{Overhead, nearest_m};
use super::{Checked, CheckedLine};
use crate::catalogue::OverheadRow;
use crate::finding::{Finding, KeepingRemedy, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::LEAD_OUT_HEIGHT_M;
use crate::hold::along::{Piece, crossing, pieces, runs, spot_at};
use crate::plan::Kind;
use crate::units::Length;

/// A fence that stays beside the line for longer than this runs along it; a square crossing takes half of it.
///
/// # Source
/// Key `common-practice`.
pub const LONGEST_BESIDE: Length = Length::metres(60.0);

const STEP_M: f64 = 5.0;

/// Every crossing, and every long stretch beside. Nobody drives a post there before asking whoever runs the line.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let is_buried = matches!(&line.feature.kind, Kind::LeadOut(lead_out) if lead_out.underground);
    let overhead = checked.surroundings.overhead.iter().filter(|_| !is_buried);
    overhead
        .flat_map(|overhead| crossings(checked, line, overhead).into_iter().chain(stretches(checked, line, overhead)))
        .collect()
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
    let inside =
        pieces(line.section, STEP_M).into_iter().filter_map(near).filter(|(_, away_m)| *away_m <= row.beside.as_metres());
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
        let rows = [(10.0, 100.0, 1), (20.0, 100.0, 0), (10.0, 50.0, 0)];
        for (away_m, length_m, expected) in rows {
            let kind = Kind::OverheadLine { kv: Some(11.0), wire_height: None };
            let scene = Scene::on(flat()).fence(&[(0.0, 0.0), (length_m, 0.0)]).line(kind, &[(-150.0, away_m), (150.0, away_m)]);
            assert_eq!(scene.say(Rule::OverheadLine).len(), expected, "{away_m} m away over {length_m} m");
        }
    }
}
