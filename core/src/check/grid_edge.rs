//! Lines that leave the elevation grid, cross void cells, or run close beside either.

use super::{Checked, CheckedLine};
use crate::bounds::PLAN_REACH_M;
use crate::finding::{Finding, Place, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::along::{Piece, pieces, runs};
use crate::land::{Ground, MapPoint, Position};
use crate::plan::{Feature, FeatureId, Geometry};
use crate::source::SourceKey;

/// Nearer to the edge than this, in cells, the ground beside a line is guessed.
///
/// # Source
/// Key `common-practice`.
pub const NEAR_CELLS: usize = 2;

const STEP_M: f64 = 5.0;

#[derive(Clone, Copy, PartialEq)]
enum Where {
    Off,
    Near,
}

/// Stretches without ground in the grid, and stretches beside its edge or a void.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let Some(ground) = checked.ground else { return Vec::new() };
    let doubtful = |piece: Piece| place_of(ground, piece.middle()).map(|place| (piece, place));
    let found = pieces(line.section, STEP_M).into_iter().filter_map(doubtful).collect();
    let touching = |a: &(Piece, Where), b: &(Piece, Where)| (b.0.from.plan_m - a.0.to.plan_m).abs() < 0.01;
    let stretches = runs(found, |a, b| a.1 == b.1 && touching(a, b));
    // Beside a stretch without ground the ground is always near the edge: one word about it is enough.
    let leads_off = |index: usize| {
        let run = &stretches[index];
        let before =
            index.checked_sub(1).is_some_and(|before| touching(&stretches[before][stretches[before].len() - 1], &run[0]));
        let after = stretches.get(index + 1).is_some_and(|after| touching(&run[run.len() - 1], &after[0]));
        run[0].1 == Where::Near && (before || after)
    };
    (0..stretches.len()).filter(|index| !leads_off(*index)).map(|index| finding(checked, line, &stretches[index])).collect()
}

fn finding(checked: &Checked, line: &CheckedLine, run: &[(Piece, Where)]) -> Finding {
    let (first, last) = (run[0].0, run[run.len() - 1].0);
    let length_m = last.to.station_m - first.from.station_m;
    let (weight, reason) = match run[0].1 {
        Where::Off => (Weight::LookAt, Reason::NoGround),
        Where::Near => (Weight::Note, Reason::NearGridEdge { cells: NEAR_CELLS as f64 }),
    };
    Finding {
        rule: Rule::GridEdge,
        weight,
        place: checked.stretch(line, first.from.station_m, last.to.station_m, run[run.len() / 2].0.middle()),
        value: length_m,
        limit: Some(0.0),
        unit: Unit::Metre,
        reason,
        remedies: vec![Remedy::CoverLine],
        source: SourceKey::new("common-practice"),
    }
}

/// What lies beyond the map altogether, a feature each: a grid of another place, or a place that nobody meant. Nothing else is said about it.
pub fn check_plan(checked: &Checked) -> Vec<Finding> {
    let middle = checked.frame.origin();
    let beyond = |at: &Position| checked.frame.to_map(*at).is_err();
    let far = |feature: &Feature| match &feature.geometry {
        Geometry::Point(at) => Some(*at).filter(beyond),
        Geometry::Line(corners) => corners.iter().copied().find(beyond),
        Geometry::Area(rings) => rings.iter().flatten().copied().find(beyond),
        Geometry::Other(_) => None,
    };
    let finding = |(id, at): (&FeatureId, Position)| Finding {
        rule: Rule::GridEdge,
        weight: Weight::MustFix,
        place: Place { line: Some(id.clone()), station: None, until: None, at, cell: None },
        value: at.arc_m(middle),
        limit: Some(PLAN_REACH_M),
        unit: Unit::Metre,
        reason: Reason::OutOfReach { middle, at },
        remedies: vec![Remedy::CoverLine],
        source: SourceKey::new("common-practice"),
    };
    checked.plan.features.iter().filter_map(|feature| Some((&feature.id, far(feature)?))).map(finding).collect()
}

/// Off all grids or in a void, within two cells of either, or neither in one of them at least.
fn place_of(ground: &Ground, at: MapPoint) -> Option<Where> {
    if ground.elevation(at).is_none() {
        return Some(Where::Off);
    }
    ground.layers().all(|layer| is_near_its_edge(layer, at)).then_some(Where::Near)
}

fn is_near_its_edge(ground: &Ground, at: MapPoint) -> bool {
    if !ground.extent().contains(at) {
        return true;
    }
    let (column, row) = ground.to_cells(at);
    let near = NEAR_CELLS as i64;
    let known = |column: i64, row: i64| {
        let cell = usize::try_from(column).ok().zip(usize::try_from(row).ok());
        cell.is_some_and(|(column, row)| ground.grid().height_m(column, row).is_some())
    };
    let (column, row) = (column.round() as i64, row.round() as i64);
    !(-near..=near).all(|down| (-near..=near).all(|across| known(column + across, row + down)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, ground};

    #[test]
    fn a_line_is_told_where_it_leaves_the_grid_and_where_it_nears_its_edge() {
        // 100 m of cells: the outermost centres are 49.5 m from the middle.
        type Row<'a> = (&'a str, [(f64, f64); 2], &'a [Weight]);
        let rows: [Row; 4] = [
            ("well inside", [(-40.0, 0.0), (40.0, 0.0)], &[]),
            ("beside the northern edge", [(-40.0, 48.5), (40.0, 48.5)], &[Weight::Note]),
            ("out over the eastern edge", [(0.0, 0.0), (80.0, 0.0)], &[Weight::LookAt]),
            ("outside", [(60.0, 0.0), (90.0, 0.0)], &[Weight::LookAt]),
        ];
        for (name, fence, expected) in rows {
            let found = Scene::on(ground(100, 1.0, |_, _| 100.0)).fence(&fence).say(Rule::GridEdge);
            assert_eq!(found.iter().map(|finding| finding.weight).collect::<Vec<_>>(), expected, "{name}: {found:?}");
        }
    }

    #[test]
    fn what_lies_beyond_the_map_is_told_and_nothing_drawn_is_left_out_in_silence() {
        let mut scene = Scene::on(ground(40, 1.0, |_, _| 100.0)).fence(&[(-9.0, 0.0), (9.0, 0.0)]);
        let here = scene.position((0.0, 0.0));
        let there = Position { lon_e9: here.lon_e9 + 40_000_000_000, ..here };
        scene.draw(crate::plan::Kind::Mark, Geometry::Line(vec![here, there]));
        let found: Vec<Finding> =
            scene.say(Rule::GridEdge).into_iter().filter(|finding| finding.weight == Weight::MustFix).collect();
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].place.at, there);
    }

    #[test]
    fn a_void_under_a_line_is_a_stretch_without_ground() {
        let holed = ground(100, 1.0, |east, _| if east.abs() < 8.0 { f64::NAN } else { 100.0 });
        let found = Scene::on(holed).fence(&[(-40.0, 0.0), (40.0, 0.0)]).say(Rule::GridEdge);
        let off: Vec<&Finding> = found.iter().filter(|finding| finding.reason == Reason::NoGround).collect();
        assert_eq!(off.len(), 1, "{found:?}");
        assert!((off[0].value - 17.0).abs() <= 5.0, "{}", off[0].value);
    }
}
