//! Whether the numbers can be heights: what is impossible is refused or made void, what is doubtful is noted.

use super::super::{Crs, CrsKind, Grid, GridNote};
use super::GridError;
use super::chunk::Scaling;

/// Heights that land can have, in metres or in feet that nobody declared: from below the lowest mines to above the
/// highest summit in feet (29 032).
///
/// # Source
/// `grid-sanity`: our own bounds, from common knowledge of the Earth's relief.
const POSSIBLE: std::ops::RangeInclusive<f32> = -1500.0..=30_000.0;

/// A median slope above this is no ground: degrees read as metres give 10^5 %.
const MOST_MEDIAN_SLOPE: f64 = 3.0;
/// A median slope above this in metres asks whether the heights are feet.
const FEET_MEDIAN_SLOPE: f64 = 0.6;
/// A shaded picture's neighbours jump by more than a cell's width this often; ground does not.
const MOST_JUMPS: f64 = 0.05;
/// Median slope above which jumps count: whole-metre steps on cells of a few decimetres jump too, on flat ground.
const JUMPS_MEDIAN_SLOPE: f64 = 1.0;
/// An undeclared void value shows when at least this share of the cells has it.
const VOID_SHARE: f64 = 0.005;
/// Whole numbers in more than this share of the cells are steps.
const STEPS_SHARE: f64 = 0.99;
/// Wider cells hide dips between posts.
const COARSE_M: f64 = 5.0;
/// Cells looked at for the doubtful things; more would not change the answer.
const SAMPLE: usize = 250_000;

/// In which unit the heights were, and how we know.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum HeightsUnit {
    /// The file says: so many metres.
    Stated(f64),
    /// The file does not say, but its map counts in feet of so many metres.
    AsMap(f64),
    /// Nobody says; taken as metres.
    Unknown,
}

impl HeightsUnit {
    pub(super) fn of(stated: Option<f64>, crs: &Crs) -> Self {
        match (stated, map_foot_m(crs.kind)) {
            (Some(metres), _) => Self::Stated(metres),
            (None, Some(metres)) => Self::AsMap(metres),
            (None, None) => Self::Unknown,
        }
    }

    pub(super) fn metres(self) -> f64 {
        match self {
            Self::Stated(metres) | Self::AsMap(metres) => metres,
            Self::Unknown => 1.0,
        }
    }
}

/// The foot in which a map projection counts, if it does.
fn map_foot_m(kind: CrsKind) -> Option<f64> {
    match kind {
        CrsKind::Projected { metres_per_unit } if (0.3..0.31).contains(&metres_per_unit) => Some(metres_per_unit),
        _ => None,
    }
}

/// What the reader knows about where the numbers came from.
pub(super) struct Origin {
    pub(super) heights_unit: HeightsUnit,
    pub(super) void_declared: bool,
    /// Whether a cell is one byte.
    pub(super) byte_cells: bool,
}

/// Counts made while the cells were decoded.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Tally {
    /// Cells with a height.
    heights: u64,
    /// Cells whose number no land has.
    impossible: u64,
    /// One such number, metres.
    example: Option<f64>,
}

impl Tally {
    pub(super) fn and(self, other: Self) -> Self {
        Self {
            heights: self.heights + other.heights,
            impossible: self.impossible + other.impossible,
            example: self.example.or(other.example),
        }
    }

    /// Makes impossible heights of a row void and counts.
    pub(super) fn settle(&mut self, row: &mut [f32], scaling: &Scaling) {
        let possible: u32 = row.iter().map(|height| u32::from(POSSIBLE.contains(height))).sum();
        self.heights += u64::from(possible);
        if possible as usize == row.len() {
            return;
        }
        for height in row.iter_mut().filter(|height| !POSSIBLE.contains(*height)) {
            if height.is_finite() {
                self.impossible += 1;
                self.example.get_or_insert(f64::from(*height) / scaling.metres_per_unit);
            }
            *height = f32::NAN;
        }
    }
}

/// The grid with its notes.
///
/// # Errors
/// What cannot be heights.
pub(super) fn check(mut grid: Grid, tally: &Tally, origin: &Origin) -> Result<Grid, GridError> {
    refuse_voids(&grid, tally)?;
    let spacing = spacing_m(&grid);
    let look = Look::at(&grid, spacing, origin.heights_unit.metres());
    let eight_bit = origin.byte_cells || look.whole_bytes;
    if look.median_slope > JUMPS_MEDIAN_SLOPE && look.jumps > MOST_JUMPS && eight_bit {
        return Err(GridError::ShadedPicture { share_percent: look.jumps * 100.0 });
    }
    if look.median_slope > MOST_MEDIAN_SLOPE {
        let (median, allowed) = (look.median_slope * 100.0, MOST_MEDIAN_SLOPE * 100.0);
        return Err(GridError::TooSteep {
            median_percent: median,
            allowed_percent: allowed,
            spacing_m: spacing.0.min(spacing.1),
        });
    }
    unit_notes(&mut grid.notes, &look, origin);
    if tally.impossible > 0 {
        let share = tally.impossible as f64 / grid.heights_m.len() as f64;
        grid.notes.push(GridNote::ImpossibleMadeVoid { value: tally.example.unwrap_or_default(), share });
    }
    if !origin.void_declared && look.zero_is_extreme && look.zeros >= VOID_SHARE {
        grid.notes.push(GridNote::MaybeUndeclaredVoid { value: 0.0, share: look.zeros });
    }
    if origin.byte_cells || (look.jumps > MOST_JUMPS && look.median_slope > FEET_MEDIAN_SLOPE) {
        grid.notes.push(GridNote::MaybePicture { eight_bit, share_of_jumps: look.jumps });
    }
    if look.whole > STEPS_SHARE {
        grid.notes.push(GridNote::Steps { step_m: origin.heights_unit.metres() });
    }
    let spacing_m = spacing.0.max(spacing.1);
    if spacing_m > COARSE_M {
        grid.notes.push(GridNote::Coarse { spacing_m });
    }
    Ok(grid)
}

fn refuse_voids(grid: &Grid, tally: &Tally) -> Result<(), GridError> {
    let cells = grid.heights_m.len() as u64;
    if tally.impossible * 2 > cells {
        return Err(GridError::ImpossibleHeights {
            example: tally.example.unwrap_or_default(),
            share_percent: tally.impossible as f64 / cells as f64 * 100.0,
            lowest: f64::from(*POSSIBLE.start()),
            highest: f64::from(*POSSIBLE.end()),
        });
    }
    if tally.heights == 0 { Err(GridError::AllVoid { cells }) } else { Ok(()) }
}

fn unit_notes(notes: &mut Vec<GridNote>, look: &Look, origin: &Origin) {
    match origin.heights_unit {
        HeightsUnit::Stated(metres) if (metres - 1.0).abs() > 1e-9 => notes.push(GridNote::HeightsInFeet),
        HeightsUnit::AsMap(_) => notes.push(GridNote::HeightsTakenAsFeet),
        HeightsUnit::Unknown if look.median_slope > FEET_MEDIAN_SLOPE => notes.push(GridNote::MaybeFeet),
        HeightsUnit::Stated(_) | HeightsUnit::Unknown => {}
    }
}

/// Width and height of a cell in metres, at the middle of the grid.
fn spacing_m(grid: &Grid) -> (f64, f64) {
    let place = &grid.georeference;
    let metres = match place.crs.kind {
        CrsKind::Projected { metres_per_unit } => (metres_per_unit, metres_per_unit),
        CrsKind::Geographic => {
            // A sphere is near enough to tell plausible slopes from absurd ones.
            const METRES_PER_DEGREE: f64 = 111_195.0;
            let (columns, rows) = (grid.columns as f64 / 2.0, grid.rows as f64 / 2.0);
            let latitude = place.origin.1 + place.per_column.1 * columns + place.per_row.1 * rows;
            (METRES_PER_DEGREE * latitude.to_radians().cos().abs().max(0.01), METRES_PER_DEGREE)
        }
    };
    let length = |step: (f64, f64)| (step.0 * metres.0).hypot(step.1 * metres.1);
    (length(place.per_column), length(place.per_row))
}

/// What a sample of the cells looks like.
struct Look {
    /// Median of the slope, as a ratio; 0 without neighbours.
    median_slope: f64,
    /// Share of neighbours that differ by more than a cell's width.
    jumps: f64,
    /// Share of heights that are exactly 0.
    zeros: f64,
    /// Whether 0 is the lowest or the highest height.
    zero_is_extreme: bool,
    /// Share of heights that are whole numbers in their own unit.
    whole: f64,
    /// Whether all are whole numbers from 0 to 255.
    whole_bytes: bool,
}

impl Look {
    fn at(grid: &Grid, spacing: (f64, f64), metres_per_unit: f64) -> Self {
        let cells = grid.heights_m.len();
        // An odd step that shares no factor with the number of columns in general wanders over all columns.
        let step = (cells / SAMPLE).max(1);
        let (mut heights, mut zeros, mut whole, mut bytes) = (0_u64, 0_u64, 0_u64, 0_u64);
        let (mut lowest, mut highest) = (f32::INFINITY, f32::NEG_INFINITY);
        let (mut pairs, mut jumps, mut slopes) = (0_u64, 0_u64, Vec::new());
        for (row, column) in sampled(grid, step) {
            let height = grid.heights_m[row * grid.columns + column];
            if height.is_nan() {
                continue;
            }
            heights += 1;
            (lowest, highest) = (lowest.min(height), highest.max(height));
            zeros += u64::from(height == 0.0);
            let number = f64::from(height) / metres_per_unit;
            let is_whole = (number - number.round()).abs() < 1e-6 * number.abs().max(1.0);
            whole += u64::from(is_whole);
            bytes += u64::from(is_whole && (-0.5..255.5).contains(&number));
            let Some((east, south)) = steps(grid, row, column) else { continue };
            pairs += 2;
            jumps += u64::from(east.abs() > spacing.0) + u64::from(south.abs() > spacing.1);
            slopes.push((east / spacing.0).hypot(south / spacing.1));
        }
        let share = |count: u64, of: u64| if of == 0 { 0.0 } else { count as f64 / of as f64 };
        Self {
            median_slope: median(&mut slopes),
            jumps: share(jumps, pairs),
            zeros: share(zeros, heights),
            zero_is_extreme: lowest == 0.0 || highest == 0.0,
            whole: share(whole, heights),
            whole_bytes: heights > 0 && bytes == heights,
        }
    }
}

/// Every n-th cell, shifted from row to row so that no column is favoured.
fn sampled(grid: &Grid, step: usize) -> impl Iterator<Item = (usize, usize)> {
    let columns = grid.columns;
    let stride = (step as f64).sqrt().ceil() as usize;
    (0..grid.rows).step_by(stride).flat_map(move |row| {
        let shift = row / stride % stride;
        (shift.min(columns - 1)..columns).step_by(stride).map(move |column| (row, column))
    })
}

/// Differences to the next cell east and south; `None` at the edge or beside a void.
fn steps(grid: &Grid, row: usize, column: usize) -> Option<(f64, f64)> {
    let height = grid.height_m(column, row)?;
    Some((grid.height_m(column + 1, row)? - height, grid.height_m(column, row + 1)? - height))
}

fn median(numbers: &mut [f64]) -> f64 {
    if numbers.is_empty() {
        return 0.0;
    }
    let middle = numbers.len() / 2;
    *numbers.select_nth_unstable_by(middle, f64::total_cmp).1
}
