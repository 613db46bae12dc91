//! Grids whose cells are too large to tell dips and rises: silence would read as "none".

use super::{Checked, CheckedLine};
use crate::finding::{Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::plan::Build;
use crate::source::SourceKey;
use crate::units::Length;

/// A bay is seen by at least this many cells, else its dips are not in the grid.
///
/// # Source
/// Key `grid-trial`: of the dips over 15 cm under 8 m bays on real 1 m lidar, 2 m cells still showed 61 %, 5 m cells 27 %.
pub const CELLS_PER_BAY: f64 = 4.0;

/// The largest cell at which the dips under a build's bays can be told.
pub fn needed_cell(build: &Build) -> Length {
    build.max_bay / CELLS_PER_BAY
}

/// Whether dips and rises of this build can be told on this ground.
pub(super) fn tells_gaps(checked: &Checked, build: &Build) -> bool {
    // A cell in a conformal projection is some 1e-4 larger or smaller than its nominal size.
    checked.ground.is_some_and(|ground| ground.cell() <= needed_cell(build) * 1.001)
}

/// Says once for a line that its dips and rises cannot be told.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let (Some(ground), Some(build)) = (checked.ground, line.build) else { return Vec::new() };
    if tells_gaps(checked, build) {
        return Vec::new();
    }
    let (cell, needed) = (ground.cell(), needed_cell(build));
    let (first, last) = (&line.section.samples[0], &line.section.samples[line.section.samples.len() - 1]);
    vec![Finding {
        rule: Rule::GridCoarse,
        weight: Weight::Note,
        place: checked.stretch(line, first.station_m, last.station_m, first.at),
        value: cell.as_metres(),
        limit: Some(needed.as_metres()),
        unit: Unit::Metre,
        reason: Reason::CoarseGrid { cell, needed },
        remedies: vec![Remedy::FinerGrid { cell: needed }, Remedy::WalkIt],
        source: SourceKey::new("grid-trial"),
    }]
}
