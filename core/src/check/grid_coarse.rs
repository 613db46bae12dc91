//! Grids whose cells are too large to tell dips and rises: silence would read as "none".

use super::{Checked, CheckedLine};
use crate::finding::{Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::along::{Piece, pieces, runs};
use crate::hold::{Bay, CELLS_PER_BAY, Section};
use crate::land::MapPoint;
use crate::plan::Build;
use crate::source::SourceKey;
use crate::units::Length;

/// The largest cell at which the dips under a build's bays can be told.
pub fn needed_cell(build: &Build) -> Length {
    build.max_bay / if build.net.is_some() { CELLS_PER_NET_BAY } else { CELLS_PER_BAY }
}

/// Cells from stake to stake of netting: its foot follows the ground better than a strand does (`common-practice`: chosen by this project).
const CELLS_PER_NET_BAY: f64 = 3.0;

/// Whether cells tell the dips and rises of this build.
fn tells(build: &Build, cell: Length) -> bool {
    // A cell in a conformal projection is some 1e-4 larger or smaller than its nominal size.
    cell <= needed_cell(build) * 1.001
}

/// Whether dips and rises of this build can be told in this bay: the largest cells under it decide.
pub(super) fn tells_gaps(checked: &Checked, section: &Section, build: &Build, bay: &Bay) -> bool {
    let Some(ground) = checked.ground else { return false };
    if ground.layers().nth(1).is_none() {
        return tells(build, ground.cell());
    }
    let places = [bay.from, (bay.from + bay.to) * 0.5, bay.to].map(|station| section.sample_at_station(station.as_metres()));
    places.into_iter().flatten().all(|sample| ground.cell_at(sample.at).is_none_or(|cell| tells(build, cell)))
}

/// Says for a line where its dips and rises cannot be told: once for each size of cells.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let (Some(ground), Some(build)) = (checked.ground, line.build) else { return Vec::new() };
    if ground.layers().nth(1).is_none() {
        let (first, last) = (&line.section.samples[0], &line.section.samples[line.section.samples.len() - 1]);
        let whole = Coarse { from_m: first.station_m, until_m: last.station_m, at: first.at, cell: ground.cell() };
        return Some(whole)
            .filter(|whole| !tells(build, whole.cell))
            .map(|whole| finding(checked, line, build, &whole))
            .into_iter()
            .collect();
    }
    let coarse = |piece: &Piece| {
        let cell = ground.cell_at(piece.middle()).filter(|cell| !tells(build, *cell))?;
        Some(Coarse { from_m: piece.from.station_m, until_m: piece.to.station_m, at: piece.middle(), cell })
    };
    let found = pieces(line.section, STEP_M).iter().filter_map(coarse).collect();
    let stretches = runs(found, |a: &Coarse, b| a.cell == b.cell && b.from_m - a.until_m < 0.01);
    let joined = |run: &Vec<Coarse>| Coarse { until_m: run[run.len() - 1].until_m, ..run[0] };
    stretches.iter().map(|run| finding(checked, line, build, &joined(run))).collect()
}

/// Pieces of a line for which the cells are looked up, metres.
const STEP_M: f64 = 5.0;

/// A stretch on cells that are too large.
#[derive(Clone, Copy)]
struct Coarse {
    from_m: f64,
    until_m: f64,
    at: MapPoint,
    cell: Length,
}

fn finding(checked: &Checked, line: &CheckedLine, build: &Build, coarse: &Coarse) -> Finding {
    let (cell, needed) = (coarse.cell, needed_cell(build));
    Finding {
        rule: Rule::GridCoarse,
        weight: Weight::Note,
        place: checked.stretch(line, coarse.from_m, coarse.until_m, coarse.at),
        value: cell.as_metres(),
        limit: Some(needed.as_metres()),
        unit: Unit::Metre,
        reason: Reason::CoarseGrid { cell, needed },
        remedies: vec![Remedy::FinerGrid { cell: needed }, Remedy::WalkIt],
        source: SourceKey::new("grid-trial"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, ground};
    use crate::land::Ground;
    use std::sync::Arc;

    #[test]
    fn each_stretch_is_judged_by_the_cells_it_lies_on() {
        // 40 m of 1 m cells in the middle of 400 m of 10 m cells; bays of 8 m ask for cells of 2 m.
        let (fine, coarse) = (ground(41, 1.0, |_, _| 100.0), ground(41, 10.0, |_, _| 100.0));
        let fine = Ground::new(Arc::clone(fine.grid()), fine.frame()).expect("in UTM");
        let mut placed = coarse.grid().as_ref().clone();
        let off = |size_m: f64, cells: f64| size_m * (cells - 1.0) / 2.0;
        placed.georeference.origin.0 += off(1.0, 41.0) - off(10.0, 41.0);
        placed.georeference.origin.1 -= off(1.0, 41.0) - off(10.0, 41.0);
        let coarse = Ground::new(Arc::new(placed), fine.frame()).expect("in UTM");
        let both = Ground::layered(vec![coarse, fine]).expect("two grids");
        let gaps = [(0.15, 0.75), (0.40, 0.90)];
        let scene = Scene::on(both)
            .fence(&[(-100.0, 3.0), (100.0, 3.0)])
            .bay(40.0, 48.0, gaps)
            .bay(76.0, 84.0, gaps)
            .bay(96.0, 104.0, gaps);
        let stretch = |finding: &Finding| {
            let metres = |length: Option<Length>| length.map_or(f64::NAN, Length::as_metres);
            (metres(finding.place.station), metres(finding.place.until), metres(finding.place.cell))
        };
        let coarse: Vec<_> = scene.say(Rule::GridCoarse).iter().map(stretch).collect();
        assert_eq!(coarse.len(), 2, "{coarse:?}");
        assert!((coarse[0].1 - 80.0).abs() <= STEP_M && coarse.iter().all(|found| (found.2 - 10.0).abs() < 0.01), "{coarse:?}");
        let dips: Vec<_> = scene.say(Rule::Dip).iter().map(stretch).collect();
        assert_eq!(dips.len(), 1, "only the bay that lies on fine cells altogether is judged: {dips:?}");
        assert!((dips[0].0 - 96.0).abs() < 0.1 && (dips[0].2 - 1.0).abs() < 0.01, "{dips:?}");
    }
}
