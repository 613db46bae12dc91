//! Drawn areas and lines of the plan on the map, and the cells of a grid that lie in an area.

use crate::land::{Frame, MapPoint, Position, WorkingGrid};
use crate::plan::{Feature, Geometry};

/// The corners of a line on the map; those that are on no map are left out.
pub(super) fn line_on_map(frame: Frame, feature: &Feature) -> Vec<MapPoint> {
    on_map(frame, feature.line().unwrap_or_default())
}

/// The rings of an area on the map; none for anything else.
pub(super) fn rings_on_map(frame: Frame, feature: &Feature) -> Vec<Vec<MapPoint>> {
    match &feature.geometry {
        Geometry::Area(rings) => rings.iter().map(|ring| on_map(frame, ring)).collect(),
        _ => Vec::new(),
    }
}

fn on_map(frame: Frame, places: &[Position]) -> Vec<MapPoint> {
    places.iter().filter_map(|at| frame.to_map(*at).ok()).collect()
}

/// The cells whose middles lie in an area (even-odd rule: a hole takes its ground out again), row by row.
pub(super) fn cells_inside(grid: &WorkingGrid, rings: &[Vec<MapPoint>]) -> Vec<usize> {
    let rings: Vec<Vec<(f64, f64)>> = rings.iter().map(|ring| ring.iter().map(|at| grid.to_cells(*at)).collect()).collect();
    let rows = rings.iter().flatten().map(|(_, row)| *row);
    let (low, high) = rows.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), row| (low.min(row), high.max(row)));
    if low > high {
        return Vec::new();
    }
    let first = low.ceil().max(0.0) as usize;
    let past = ((high.floor() + 1.0).max(0.0) as usize).min(grid.rows());
    let mut cells = Vec::new();
    for row in first..past {
        let mut edges: Vec<f64> = rings.iter().flat_map(|ring| crossings(ring, row as f64)).collect();
        edges.sort_by(f64::total_cmp);
        for span in edges.chunks_exact(2) {
            let from = span[0].ceil().max(0.0) as usize;
            let until = ((span[1].ceil()).max(0.0) as usize).min(grid.columns());
            cells.extend((from..until).map(|column| grid.index(column, row)));
        }
    }
    cells
}

/// Where a ring crosses a row of cell middles.
fn crossings(ring: &[(f64, f64)], row: f64) -> Vec<f64> {
    let Some(last) = ring.last() else { return Vec::new() };
    let before = std::iter::once(last).chain(ring);
    let edges = before.zip(ring).filter(|(from, to)| (from.1 > row) != (to.1 > row));
    edges.map(|(from, to)| from.0 + (row - from.1) / (to.1 - from.1) * (to.0 - from.0)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hold::inside;
    use crate::units::Length;

    #[test]
    fn cells_in_an_area_are_those_whose_middle_the_outline_goes_round() {
        let grid = WorkingGrid::from_heights(40, Length::metres(5.0), MapPoint::new(2.5, 197.5), vec![0.0; 1600]);
        let outline = [(20.0, 30.0), (150.0, 12.0), (171.0, 160.0), (90.0, 90.0), (33.0, 188.0)];
        let hole = [(80.0, 40.0), (120.0, 40.0), (120.0, 70.0), (80.0, 70.0)];
        let ring = |corners: &[(f64, f64)]| corners.iter().map(|(x, y)| MapPoint::new(*x, *y)).collect::<Vec<_>>();
        let rings = [ring(&outline), ring(&hole)];
        let expected: Vec<usize> =
            (0..1600).filter(|cell| rings.iter().filter(|ring| inside(ring, grid.centre_of(*cell))).count() % 2 == 1).collect();
        assert_eq!(cells_inside(&grid, &rings), expected);
        assert!(expected.len() > 200);
    }
}
