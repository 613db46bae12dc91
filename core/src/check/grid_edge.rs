//! Lines that leave the elevation grid, cross void cells, or run close beside either.

use super::along::{Piece, pieces, runs};
use super::{Checked, CheckedLine};
use crate::finding::{Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::land::{Ground, MapPoint};
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
    let stretches = runs(found, |a: &(Piece, Where), b| a.1 == b.1 && (b.0.from.plan_m - a.0.to.plan_m).abs() < 0.01);
    stretches.into_iter().map(|run| finding(checked, line, &run)).collect()
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

/// Off the grid or in a void, within two cells of either, or neither.
fn place_of(ground: &Ground, at: MapPoint) -> Option<Where> {
    if ground.elevation(at).is_none() {
        return Some(Where::Off);
    }
    let (column, row) = ground.to_cells(at);
    let near = NEAR_CELLS as i64;
    let known = |column: i64, row: i64| {
        let cell = usize::try_from(column).ok().zip(usize::try_from(row).ok());
        cell.is_some_and(|(column, row)| ground.grid().height_m(column, row).is_some())
    };
    let (column, row) = (column.round() as i64, row.round() as i64);
    let all_known = (-near..=near).all(|down| (-near..=near).all(|across| known(column + across, row + down)));
    (!all_known).then_some(Where::Near)
}
