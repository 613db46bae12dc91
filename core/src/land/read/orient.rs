//! Turning a grid so that its first row is the northern one and its columns run to the right of that.

use super::super::{Georeference, Grid, GridNote};
use super::{GridError, Placed};

/// The angle between columns and rows may differ from a right one by so much (radians): rounding in the file.
const SQUARE_ENOUGH: f64 = 1e-6;

/// A grid stands at an angle when its columns leave the axis by more than this (radians).
const UPRIGHT_ENOUGH: f64 = 1e-9;

/// The widest cell, in the units of any map: a quarter of the way round the globe, in metres.
const WIDEST: f64 = 1e7;
/// The farthest that a corner lies from the origin of any map, in its units.
const FARTHEST: f64 = 1e9;

fn is_size(width: f64) -> bool {
    width.is_normal() && width <= WIDEST
}

/// Refuses cells without a size and cells that are no rectangles.
pub(super) fn check(georeference: &Georeference) -> Result<(), GridError> {
    let (a, b) = (georeference.per_column, georeference.per_row);
    let (width, height) = (a.0.hypot(a.1), b.0.hypot(b.1));
    if !(is_size(width) && is_size(height)) {
        return Err(GridError::CellSize { width, height });
    }
    let (x, y) = georeference.origin;
    if !(x.abs() <= FARTHEST && y.abs() <= FARTHEST) {
        return Err(GridError::Corner { x, y });
    }
    let cosine = (a.0 * b.0 + a.1 * b.1) / (width * height);
    if cosine.abs() > SQUARE_ENOUGH {
        return Err(GridError::Sheared { angle_deg: cosine.clamp(-1.0, 1.0).acos().to_degrees() });
    }
    Ok(())
}

/// The grid with its northern row first.
pub(super) fn upright(placed: Placed, mut heights: Vec<f32>) -> Grid {
    let Placed { columns, rows, mut georeference } = placed;
    let mut notes = Vec::new();
    let (a, b) = (georeference.per_column, georeference.per_row);
    if a.0 * b.1 - a.1 * b.0 > 0.0 {
        // Rows run to the left of the columns: a mirror image until they are turned round.
        turn_rows(&mut heights, columns, rows);
        start_at(&mut georeference, 0, rows - 1);
        georeference.per_row = (-b.0, -b.1);
        notes.push(GridNote::RowsTurned);
    }
    if georeference.per_row.1 > 0.0 {
        heights.reverse();
        start_at(&mut georeference, columns - 1, rows - 1);
        georeference.per_column = (-georeference.per_column.0, -georeference.per_column.1);
        georeference.per_row = (-georeference.per_row.0, -georeference.per_row.1);
    }
    let angle = georeference.per_column.1.atan2(georeference.per_column.0);
    if angle.abs() > UPRIGHT_ENOUGH {
        notes.push(GridNote::Rotated { angle_deg: angle.to_degrees() });
    }
    Grid { columns, rows, georeference, heights_m: heights, notes }
}

/// Makes this cell the one that counts as (0, 0).
fn start_at(georeference: &mut Georeference, column: usize, row: usize) {
    let (a, b) = (georeference.per_column, georeference.per_row);
    georeference.origin.0 += a.0 * column as f64 + b.0 * row as f64;
    georeference.origin.1 += a.1 * column as f64 + b.1 * row as f64;
}

fn turn_rows(heights: &mut [f32], columns: usize, rows: usize) {
    let (upper, lower) = heights.split_at_mut(rows / 2 * columns);
    for (north, south) in upper.chunks_mut(columns).zip(lower.rchunks_mut(columns)) {
        north.swap_with_slice(south);
    }
}

/// Where every n-th cell of a grid lies.
pub(super) fn every(georeference: &Georeference, step: usize) -> Georeference {
    let by = |(x, y): (f64, f64)| (x * step as f64, y * step as f64);
    Georeference { per_column: by(georeference.per_column), per_row: by(georeference.per_row), ..georeference.clone() }
}

/// Where the cells lie when the same ground is divided into fewer cells (an overview).
pub(super) fn fewer_cells(fine: &Placed, columns: usize, rows: usize) -> Georeference {
    let (across, down) = (fine.columns as f64 / columns as f64, fine.rows as f64 / rows as f64);
    let (a, b) = (fine.georeference.per_column, fine.georeference.per_row);
    let middle = |along: f64| (along - 1.0) / 2.0;
    Georeference {
        origin: (
            fine.georeference.origin.0 + a.0 * middle(across) + b.0 * middle(down),
            fine.georeference.origin.1 + a.1 * middle(across) + b.1 * middle(down),
        ),
        per_column: (a.0 * across, a.1 * across),
        per_row: (b.0 * down, b.1 * down),
        crs: fine.georeference.crs.clone(),
    }
}
