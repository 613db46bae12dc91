//! Pigs on a slope: what they root up washes down it.

use super::Checked;
use super::beside::{paddocks_with_pigs, place_of};
use crate::finding::{Finding, Lay, LayRemedy, Reason, Receiver, Remedy, Rule, Unit, Weight};
use crate::plan::PaddockFace;
use crate::site::{CHANNEL_FROM, LARGEST_CELL, Water, cells_in};
use crate::source::SourceKey;
use crate::units::Length;
use std::collections::HashSet;

/// Rooted ground steeper than this washes off.
///
/// # Source
/// Key `pig-slopes`.
pub const WASHES_FROM_PCT: f64 = 15.0;

/// A note on every such paddock, with the way of the water through it.
pub fn check_plan(checked: &Checked) -> Vec<Finding> {
    paddocks_with_pigs(checked).filter_map(|(face, _)| washes_off(checked, face)).collect()
}

fn washes_off(checked: &Checked, face: &PaddockFace) -> Option<Finding> {
    let water = checked.water?;
    let rings: Vec<_> = std::iter::once(face.ring.clone()).chain(face.holes.iter().cloned()).collect();
    let tells = |cell: &usize| {
        checked.ground.and_then(|ground| ground.cell_at(water.grid().centre_of(*cell))).is_some_and(|cell| cell <= LARGEST_CELL)
    };
    let cells: Vec<usize> = cells_in(water.grid(), &rings).filter(tells).collect();
    let slopes: Vec<f64> = cells.iter().filter_map(|cell| Some(water.grid().gradient_of(*cell)?.slope_pct())).collect();
    let mean_pct = slopes.iter().sum::<f64>() / slopes.len() as f64;
    if slopes.is_empty() || mean_pct <= WASHES_FROM_PCT {
        return None;
    }
    let (run, last) = longest_run(water, &cells)?;
    Some(Finding {
        rule: Rule::Erosion,
        weight: Weight::LookAt,
        place: place_of(checked, face),
        value: mean_pct,
        limit: Some(WASHES_FROM_PCT),
        unit: Unit::Percent,
        reason: Reason::Lay(Lay::WashesOff { run, into: receiver(water, last) }),
        remedies: vec![Remedy::Lay(LayRemedy::RestAndStrip), Remedy::Lay(LayRemedy::AskWaterRules)],
        source: SourceKey::new("pig-slopes"),
    })
}

/// The longest way of water that stays within the cells, on the ground, and its last cell.
fn longest_run(water: &Water, cells: &[usize]) -> Option<(Length, usize)> {
    let inside: HashSet<usize> = cells.iter().copied().collect();
    let mut longest = (0.0, None);
    for cell in cells {
        let way: Vec<usize> = water.way_down(*cell).take_while(|cell| inside.contains(cell)).collect();
        let length_m: f64 = way.windows(2).map(|step| water.step_m(step[0], step[1])).sum();
        if length_m > longest.0 {
            longest = (length_m, way.last().copied());
        }
    }
    Some((Length::metres(longest.0), longest.1?))
}

/// Where water goes from a cell.
fn receiver(water: &Water, from: usize) -> Receiver {
    let mut away_m = 0.0;
    let mut before = from;
    for cell in water.way_down(from) {
        away_m += if cell == before { 0.0 } else { water.step_m(before, cell) };
        before = cell;
        let (away, at) = (Length::metres(away_m), water.grid().centre_of(cell));
        let drawn = water.nearest_channel(at).filter(|channel| channel.away <= water.grid().spacing());
        if let Some(name) = drawn.and_then(|channel| channel.stream) {
            return Receiver::Stream { name, away };
        }
        if water.drainage().upslope(cell) >= CHANNEL_FROM {
            return Receiver::Channel { away };
        }
    }
    Receiver::OffTheGrid
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, ground};
    use crate::plan::{Kind, Paddock, StockGroup};

    #[test]
    fn pigs_on_a_slope_are_told_with_the_way_of_the_water_and_where_it_goes() {
        let said = |species: &str, slope: f64, has_stream: bool| -> Vec<(f64, Receiver)> {
            let square = [(-40.0, -40.0), (40.0, -40.0), (40.0, 40.0), (-40.0, 40.0), (-40.0, -40.0)];
            let group = StockGroup { id: "g".to_owned(), species: species.to_owned(), head: 3, ..StockGroup::default() };
            let paddock = Kind::Paddock(Paddock { stock: Some("g".to_owned()), ..Paddock::default() });
            let mut scene = Scene::on(ground(300, 1.0, move |_, north| 200.0 + slope * north));
            if has_stream {
                let stream = Kind::Stream { width: None, seasonal: false, culvert: false };
                scene = scene.line(stream, &[(-140.0, -100.0), (140.0, -100.0)]);
            }
            let found = scene.fence(&square).point(paddock, (0.0, 0.0)).keeping(&[group], None).say(Rule::Erosion);
            let told = |finding: Finding| match finding.reason {
                Reason::Lay(Lay::WashesOff { run, into }) => Some((run.as_metres(), into)),
                _ => None,
            };
            found.into_iter().filter_map(told).collect()
        };
        let with_stream = said("pig", 0.3, true);
        let [(run_m, Receiver::Stream { away, .. })] = &with_stream[..] else { panic!("{with_stream:?}") };
        // 80 m of paddock on the map, in cells of 10 m; the stream lies 60 m below its edge.
        assert!((60.0..=86.0).contains(run_m) && (45.0..=75.0).contains(&away.as_metres()), "{with_stream:?}");
        assert!(matches!(said("pig", 0.3, false)[..], [(_, Receiver::OffTheGrid)]));
        assert_eq!(said("pig", 0.1, false), []);
        assert_eq!(said("sheep", 0.3, false), []);
    }
}
