//! Lines that leave the holding, cross its boundary, or run on it.

use super::surroundings::{Boundary, nearest_m};
use super::{Checked, CheckedLine};
use crate::finding::{Finding, Keeping, KeepingRemedy, Reason, Rule, Unit, Weight};
use crate::hold::along::{Piece, crossing, pieces, runs, spot_at};
use crate::hold::inside;
use crate::source::SourceKey;
use crate::units::Length;

/// Nearer to the boundary than this a line stands on it (`common-practice`: a post and a foot to either side).
pub const ON_BOUNDARY: Length = Length::metres(0.5);
/// A shorter stretch on the boundary is a crossing or a corner, not a fence on it (`common-practice`).
const SHORTEST_M: f64 = 5.0;
const STEP_M: f64 = 1.0;

/// Stretches beyond the boundary, places where it is crossed, stretches on it.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let boundaries = &checked.surroundings.boundaries;
    if boundaries.is_empty() {
        return Vec::new();
    }
    let pieces = pieces(line.section, STEP_M);
    let off_m =
        |piece: &Piece| boundaries.iter().filter_map(|one| nearest_m(piece.middle(), &one.points)).fold(f64::INFINITY, f64::min);
    let along = |a: &(Piece, f64), b: &(Piece, f64)| (b.0.from.plan_m - a.0.to.plan_m).abs() < 0.01;
    let rings: Vec<&Boundary> = boundaries.iter().filter(|one| one.is_ring).collect();
    let is_off = |piece: &Piece| !rings.is_empty() && !rings.iter().any(|ring| inside(&ring.points, piece.middle()));
    let (mut beyond, mut on) = (Vec::new(), Vec::new());
    for piece in pieces {
        let off_m = off_m(&piece);
        if off_m <= ON_BOUNDARY.as_metres() {
            on.push((piece, off_m));
        } else if is_off(&piece) {
            beyond.push((piece, off_m));
        }
    }
    let mut found: Vec<Finding> = runs(beyond, along).iter().map(|run| off_land(checked, line, run)).collect();
    found.extend(boundaries.iter().filter(|one| !one.is_ring).flat_map(|one| crossed(checked, line, one)));
    let long = |run: &Vec<(Piece, f64)>| over_m(run) >= SHORTEST_M;
    found.extend(runs(on, along).iter().filter(|run| long(run)).map(|run| on_boundary(checked, line, run)));
    found
}

fn over_m(run: &[(Piece, f64)]) -> f64 {
    run[run.len() - 1].0.to.station_m - run[0].0.from.station_m
}

fn off_land(checked: &Checked, line: &CheckedLine, run: &[(Piece, f64)]) -> Finding {
    let worst = run.iter().max_by(|a, b| a.1.total_cmp(&b.1)).expect("a run has a piece");
    let reason = Keeping::OffOwnLand { over: Length::metres(over_m(run)), farthest: Length::metres(worst.1) };
    stretch(
        checked,
        line,
        run,
        Weight::MustFix,
        (over_m(run), Some(0.0)),
        reason,
        vec![KeepingRemedy::MoveInside, KeepingRemedy::AgreeWithNeighbour],
    )
}

fn on_boundary(checked: &Checked, line: &CheckedLine, run: &[(Piece, f64)]) -> Finding {
    let middle = run[run.len() / 2].0.middle();
    let nearest = |one: &&Boundary| nearest_m(middle, &one.points).unwrap_or(f64::INFINITY);
    let boundary = checked.surroundings.boundaries.iter().min_by(|a, b| nearest(a).total_cmp(&nearest(b)));
    let neighbour = boundary.and_then(|one| one.neighbour.clone());
    let reason = Keeping::OnBoundary { over: Length::metres(over_m(run)), neighbour };
    stretch(checked, line, run, Weight::Note, (over_m(run), None), reason, vec![KeepingRemedy::AgreeWithNeighbour])
}

fn stretch(
    checked: &Checked,
    line: &CheckedLine,
    run: &[(Piece, f64)],
    weight: Weight,
    (value, limit): (f64, Option<f64>),
    reason: Keeping,
    remedies: Vec<KeepingRemedy>,
) -> Finding {
    let (first, last) = (&run[0].0, &run[run.len() - 1].0);
    Finding {
        rule: Rule::Boundary,
        weight,
        place: checked.stretch(line, first.from.station_m, last.to.station_m, run[run.len() / 2].0.middle()),
        value,
        limit,
        unit: Unit::Metre,
        reason: Reason::Keeping(reason),
        remedies: checked.with_code(remedies),
        source: SourceKey::new("common-practice"),
    }
}

/// Every place where a line crosses a boundary of which nobody knows which side is whose.
fn crossed<'a>(checked: &'a Checked, line: &'a CheckedLine, boundary: &'a Boundary) -> impl Iterator<Item = Finding> + 'a {
    let corners: Vec<_> = line.section.corners.iter().map(|index| &line.section.samples[*index]).collect();
    let legs: Vec<_> = corners.windows(2).map(|leg| (leg[0].at, leg[1].at, leg[0].plan_m, leg[1].plan_m)).collect();
    legs.into_iter().flat_map(move |(from, to, from_m, to_m)| {
        boundary.points.windows(2).filter_map(move |piece| {
            let (along, _) = crossing(from, to, piece[0], piece[1])?;
            let spot = spot_at(line.section, from_m + along * (to_m - from_m));
            Some(Finding {
                rule: Rule::Boundary,
                weight: Weight::MustFix,
                place: checked.spot(line, spot.station_m, spot.at),
                value: 1.0,
                limit: Some(0.0),
                unit: Unit::One,
                reason: Reason::Keeping(Keeping::CrossesBoundary { boundary: boundary.name.clone() }),
                remedies: checked.with_code(vec![KeepingRemedy::MoveInside, KeepingRemedy::AgreeWithNeighbour]),
                source: SourceKey::new("common-practice"),
            })
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};
    use crate::plan::Kind;

    fn boundary() -> Kind {
        Kind::Boundary { neighbour: Some("Mill Farm".to_owned()) }
    }

    #[test]
    fn lines_beyond_across_and_on_the_boundary_are_told_apart() {
        let square = [(-60.0, -60.0), (60.0, -60.0), (60.0, 60.0), (-60.0, 60.0), (-60.0, -60.0)];
        // Fence, weights with the metres that they are about.
        let rows: [(&str, [(f64, f64); 2], &[(Weight, f64)]); 4] = [
            ("inside", [(-50.0, 0.0), (50.0, 0.0)], &[]),
            ("out by 20 m, the half metre on it left aside", [(0.0, 0.0), (80.0, 0.0)], &[(Weight::MustFix, 19.5)]),
            ("along it, a hand inside", [(-50.0, 59.8), (50.0, 59.8)], &[(Weight::Note, 100.0)]),
            ("far beyond", [(70.0, 0.0), (90.0, 0.0)], &[(Weight::MustFix, 20.0)]),
        ];
        for (name, fence, expected) in rows {
            let found = Scene::on(flat()).fence(&fence).area(boundary(), &square).say(Rule::Boundary);
            let told: Vec<(Weight, f64)> = found.iter().map(|finding| (finding.weight, finding.value)).collect();
            assert_eq!(told.len(), expected.len(), "{name}: {told:?}");
            for (told, expected) in told.iter().zip(expected) {
                assert!(told.0 == expected.0 && (told.1 - expected.1).abs() < 1.1, "{name}: {told:?}");
            }
        }
        let line = Scene::on(flat()).fence(&[(-50.0, 0.0), (50.0, 0.0)]).line(boundary(), &[(0.0, -40.0), (0.0, 40.0)]);
        let found = line.say(Rule::Boundary);
        assert!(matches!(found[0].reason, Reason::Keeping(Keeping::CrossesBoundary { .. })) && found.len() == 1, "{found:?}");
    }
}
