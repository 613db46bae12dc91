//! What makes the heights of the elevation grid doubtful, or that there is no grid.

use super::Checked;
use crate::finding::{Finding, Place, Reason, Remedy, Rule, Unit, Weight};
use crate::land::{GridNote, Ground, Position};
use crate::plan::{Feature, Geometry};
use crate::source::SourceKey;
use crate::units::Length;

/// Coarser steps of height than this hide dips.
///
/// # Source
/// Key `common-practice`.
pub const COARSE_STEP: Length = Length::metres(0.5);

/// Grids that lie farther apart than this all over count their heights from different zeros, or one of them shows trees.
///
/// # Source
/// Key `common-practice`.
pub const ZEROS_APART: Length = Length::metres(0.5);

/// One finding for each doubt about a grid; one when there is no grid.
pub fn check(checked: &Checked) -> Vec<Finding> {
    let Some(ground) = checked.ground else {
        let fence = checked
            .plan
            .features
            .iter()
            .filter(|feature| feature.kind.carries_strands())
            .find_map(|feature| first_position(feature));
        return fence
            .map(|at| finding(at, Weight::LookAt, 0.0, Unit::One, Reason::NoGrid, vec![Remedy::CoverLine]))
            .into_iter()
            .collect();
    };
    ground.layers().flat_map(|layer| doubts(checked, layer)).collect()
}

/// What is doubtful about one grid.
fn doubts(checked: &Checked, ground: &Ground) -> Vec<Finding> {
    let middle = checked.frame.to_position(ground.extent().centre());
    let doubt = |note: &GridNote| match *note {
        GridNote::MaybeFeet => {
            Some(finding(middle, Weight::LookAt, 0.3048, Unit::One, Reason::MaybeFeet, vec![Remedy::AskForUnit]))
        }
        GridNote::MaybeUndeclaredVoid { value, share } => {
            let reason = Reason::MaybeUndeclaredVoid { height: value, share };
            Some(finding(
                middle,
                Weight::LookAt,
                share * 100.0,
                Unit::Percent,
                reason,
                vec![Remedy::DeclareVoid { height: value }],
            ))
        }
        GridNote::Steps { step_m } if step_m >= COARSE_STEP.as_metres() => {
            let reason = Reason::HeightSteps { step: Length::metres(step_m) };
            Some(finding(middle, Weight::Note, step_m, Unit::Metre, reason, vec![Remedy::WalkIt]))
        }
        _ => None,
    };
    let apart = ground.above_beneath().filter(|apart| apart.abs() > ZEROS_APART);
    let other_zero = apart.map(|by| {
        let reason = Reason::GridsApart { by };
        finding(middle, Weight::LookAt, by.as_metres(), Unit::Metre, reason, vec![Remedy::AskForZero])
    });
    ground.grid().notes.iter().filter_map(doubt).chain(other_zero).collect()
}

fn first_position(feature: &Feature) -> Option<Position> {
    match &feature.geometry {
        Geometry::Line(corners) => corners.first().copied(),
        _ => None,
    }
}

fn finding(at: Position, weight: Weight, value: f64, unit: Unit, reason: Reason, remedies: Vec<Remedy>) -> Finding {
    let limit = match reason {
        Reason::HeightSteps { .. } => Some(COARSE_STEP.as_metres()),
        Reason::GridsApart { .. } => Some(ZEROS_APART.as_metres()),
        _ => None,
    };
    let place = Place { line: None, station: None, until: None, at, cell: None };
    Finding {
        rule: Rule::GridUnknown,
        weight,
        place,
        value,
        limit,
        unit,
        reason,
        remedies,
        source: SourceKey::new("common-practice"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat, ground};
    use crate::land::Ground;
    use std::sync::Arc;

    #[test]
    fn a_plan_without_a_grid_is_told_so_once() {
        let scene = Scene::on(flat()).without_grid().fence(&[(0.0, 0.0), (50.0, 0.0)]).fence(&[(0.0, 9.0), (50.0, 9.0)]);
        let found = scene.say(Rule::GridUnknown);
        assert_eq!(found.iter().map(|finding| &finding.reason).collect::<Vec<_>>(), [&Reason::NoGrid]);
    }

    #[test]
    fn every_doubt_about_the_grid_is_passed_on() {
        let rows = [
            (GridNote::MaybeFeet, 1),
            (GridNote::MaybeUndeclaredVoid { value: 0.0, share: 0.1 }, 1),
            (GridNote::Steps { step_m: 1.0 }, 1),
            (GridNote::Steps { step_m: 0.01 }, 0),
            (GridNote::RowsTurned, 0),
        ];
        for (note, expected) in rows {
            let plain = ground(40, 1.0, |_, _| 100.0);
            let mut grid = plain.grid().as_ref().clone();
            grid.notes = vec![note.clone()];
            let noted = Ground::new(Arc::new(grid), plain.frame()).expect("as before");
            assert_eq!(Scene::on(noted).say(Rule::GridUnknown).len(), expected, "{note:?}");
        }
    }
}
