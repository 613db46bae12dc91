//! Where running animals come together at a line, and where it stands at the foot of steep ground.
//!
//! Two signs, both hypotheses of ours with no field measure behind them. Runners followed over the working grid show where hollows lead them
//! together: the worst stretch of a line is held against the mean of that line, for only such ratios stand on firm ground. An even steep slope
//! leads nobody together, and the whole line at its foot gets many: there the slope itself speaks (`descent.rs`).

use super::descent::{self, Stretch, flat_beyond};
use super::{Checked, CheckedLine, strike_wire};
use crate::finding::{Finding, Lay, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::along::spot_at;
use crate::plan::Kind;
use crate::site::{Cover, HotStretch, LARGEST_CELL};
use crate::source::SourceKey;
use crate::units::Length;

/// A stretch that gets more than this many times the mean of its line is to be looked at.
///
/// # Source
/// Key `runner-model`.
pub const LOOK_FROM: f64 = 3.0;

/// Fewer strikes than this on a stretch in a year, of one start on every hectare of wood, are not worth a word.
///
/// # Source
/// Key `runner-model`: ridges get less, the feet of hollows ten times as much.
pub const LEAST_STRIKES: f64 = 0.2;

/// Slower animals than this push through or turn: what a running one does to the strands is not asked.
///
/// # Source
/// Key `common-practice`.
pub const RUNS_FROM_M_PER_S: f64 = 5.0;

/// What is said about a line's strikes: never that something must be fixed, for nothing of it has been measured.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    let hot = hot(checked, line);
    let together = hot.iter().map(|(stretch, hot)| finding(checked, line, stretch, hot));
    together.chain(elsewhere(checked, line, &hot).map(|(_, finding)| finding)).collect()
}

/// The stretches at which animals arrive at a run.
pub(super) fn stretches(checked: &Checked, line: &CheckedLine) -> Vec<Stretch> {
    let hot = hot(checked, line);
    let feet: Vec<Stretch> = elsewhere(checked, line, &hot).map(|(stretch, _)| stretch).collect();
    let at_a_run = hot.into_iter().filter(|(_, hot)| hot.speed_m_per_s >= RUNS_FROM_M_PER_S);
    at_a_run.map(|(stretch, _)| stretch).chain(feet).collect()
}

/// Feet of steep slopes beside the stretches where animals come together.
fn elsewhere(
    checked: &Checked,
    line: &CheckedLine,
    hot: &[(Stretch, HotStretch)],
) -> impl Iterator<Item = (Stretch, Finding)> + use<> {
    let is_told = |foot: &Stretch| hot.iter().any(|(hot, _)| foot.from_m < hot.until_m && foot.until_m > hot.from_m);
    let mut feet = descent::stretches(checked, line);
    feet.retain(|(foot, _)| !is_told(foot));
    feet.into_iter()
}

fn hot(checked: &Checked, line: &CheckedLine) -> Vec<(Stretch, HotStretch)> {
    let Some(runs) = line.runs.filter(|_| matches!(line.feature.kind, Kind::Fence(_))) else { return Vec::new() };
    let station_m = |plan_m: f64| spot_at(line.section, plan_m).station_m;
    let stretch = |hot: HotStretch| {
        let at = hot.worst.crossing.at;
        (Stretch { from_m: station_m(hot.from_m), until_m: station_m(hot.until_m), at }, hot)
    };
    let tells = |(stretch, _): &(Stretch, HotStretch)| checked.cell_at(stretch.at).is_some_and(|cell| cell <= LARGEST_CELL);
    runs.hot_stretches(LOOK_FROM, LEAST_STRIKES).into_iter().map(stretch).filter(tells).collect()
}

fn finding(checked: &Checked, line: &CheckedLine, stretch: &Stretch, hot: &HotStretch) -> Finding {
    let breaks = strike_wire::breaks_at(hot.speed_m_per_s, line, stretch);
    let over = Length::metres(stretch.until_m - stretch.from_m);
    let mark = Remedy::MarkWire { over, leaves: Some(hot.strikes_marked / hot.strikes) };
    let worst = hot.worst.crossing;
    let out = checked.smooth_ground.and_then(|ground| flat_beyond(ground, worst.at, worst.way)).map(|by| Remedy::MoveOut { by });
    let everywhere = checked.runners.is_some_and(|runners| runners.cover == Cover::Everywhere);
    Finding {
        rule: Rule::Strikes,
        weight: Weight::LookAt,
        place: checked.stretch(line, stretch.from_m, stretch.until_m, worst.at),
        value: hot.ratio,
        limit: Some(LOOK_FROM),
        unit: Unit::One,
        reason: Reason::Lay(Lay::RunTogether {
            window: line.runs.map_or(Length::ZERO, |runs| Length::metres(runs.window_m)),
            strikes: hot.strikes,
            speed_m_per_s: hot.speed_m_per_s,
            slope_pct: 100.0 * hot.slope,
            everywhere,
            breaks,
        }),
        remedies: [mark].into_iter().chain(out).collect(),
        source: SourceKey::new("runner-model"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, ground};
    use crate::land::Ground;
    use crate::plan::Zone;

    /// A hillside above flat ground: an even one, or one that falls from all around to one place.
    fn hillside(is_hollow: bool) -> Ground {
        ground(600, 1.0, move |east, north| {
            let up = (north + 100.0).max(0.0);
            200.0 + 0.4 * if is_hollow && up > 0.0 { up.hypot(0.7 * east) } else { up }
        })
    }

    fn together(scene: &Scene) -> Vec<Finding> {
        let mut found = scene.say(Rule::Strikes);
        found.retain(|finding| matches!(finding.reason, Reason::Lay(Lay::RunTogether { .. })));
        found
    }

    #[test]
    fn a_line_across_the_mouth_of_a_hollow_is_found_there_and_an_even_slope_is_not() {
        let along = [(-250.0, -95.0), (250.0, -95.0)];
        let rows = [("a hollow", hillside(true), &along, 1), ("an even slope", hillside(false), &along, 0)];
        for (name, ground, fence, expected) in rows {
            let found = together(&Scene::on(ground).fence(fence));
            assert_eq!(found.len(), expected, "{name}: {found:?}");
            for finding in found {
                assert_eq!(finding.weight, Weight::LookAt, "{name}");
                let middle_m = 0.5 * (finding.place.station.expect("a stretch") + finding.place.until.expect("one")).as_metres();
                assert!((middle_m - 250.0).abs() < 40.0 && finding.value > LOOK_FROM, "{name}: {finding:?}");
                let Reason::Lay(Lay::RunTogether { everywhere, strikes, .. }) = finding.reason else { panic!("{name}") };
                assert!(everywhere && strikes > LEAST_STRIKES);
            }
        }
    }

    #[test]
    fn marking_the_wire_leaves_fewer_strikes_and_flat_ground_below_is_a_way_out() {
        let found = together(&Scene::on(hillside(true)).fence(&[(-250.0, -95.0), (250.0, -95.0)]));
        let leaves = found[0].remedies.iter().find_map(|remedy| match remedy {
            Remedy::MarkWire { leaves, .. } => *leaves,
            _ => None,
        });
        assert!(leaves.is_some_and(|leaves| (0.3..0.95).contains(&leaves)), "{leaves:?}");
        assert!(found[0].remedies.iter().any(|remedy| matches!(remedy, Remedy::MoveOut { .. })), "{:?}", found[0].remedies);
    }

    #[test]
    fn where_a_wood_is_drawn_most_start_there() {
        let wood = |of: &str| Zone { of: of.to_owned(), value: None };
        let ring = [(-300.0, 0.0), (-150.0, 0.0), (-150.0, 200.0), (-300.0, 200.0), (-300.0, 0.0)];
        let strikes = |scene: Scene| -> f64 { scene.strikes() };
        let fence = [(-250.0, -95.0), (250.0, -95.0)];
        let all = strikes(Scene::on(hillside(true)).fence(&fence));
        let some = strikes(Scene::on(hillside(true)).fence(&fence).area(crate::plan::Kind::Zone(wood("wood")), &ring));
        assert!(some < 0.7 * all && some > 0.05 * all, "{some} {all}");
    }

    #[test]
    fn cells_of_thirty_metres_say_nothing() {
        let coarse = ground(40, 30.0, |east, north| 500.0 + 0.4 * north - 15.0 * (-(east / 60.0).powi(2)).exp());
        assert_eq!(Scene::on(coarse).fence(&[(-250.0, -95.0), (250.0, -95.0)]).say(Rule::Strikes), []);
    }
}
