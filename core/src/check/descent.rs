//! Fence at the foot of steep ground, head-on to the way down: where running animals arrive with no room to stop, also where they do not come
//! together.
//!
//! A hypothesis of ours with no field measure behind it: nobody seems to have measured strikes against the slope above a
//! fence. What stands on firm ground is relative only: the foot of a hollow sees many times what a ridge sees, whatever the
//! unknown numbers are. The rule therefore says "go and look", never "will be hit".

use super::{Checked, CheckedLine};
use crate::finding::{Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::along::{Piece, pieces, runs};
use crate::land::{Ground, MapPoint};
use crate::plan::Kind;
use crate::source::SourceKey;
use crate::units::Length;

/// Mean slope above which ground counts as steep: 25 degrees.
///
/// # Source
/// Key `descent-hypothesis`.
pub const STEEP_PCT: f64 = 47.0;

/// Shortest steep run that counts, on the ground.
///
/// # Source
/// Key `descent-hypothesis`.
pub const SHORTEST_RUN: Length = Length::metres(15.0);

/// Farthest from its foot to the fence, on the map.
///
/// # Source
/// Key `descent-hypothesis`.
pub const FOOT_WITHIN: Length = Length::metres(15.0);

/// Least angle between the way down and the fence that counts, degrees; 90 is head-on.
///
/// # Source
/// Key `descent-hypothesis`.
pub const HEAD_ON_DEG: f64 = 45.0;

/// Cells larger than this say nothing about such runs.
///
/// # Source
/// Key `descent-hypothesis`.
pub const LARGEST_CELL: Length = Length::metres(20.0);

/// How far up the slope is followed, on the map.
const FOLLOW_M: f64 = 60.0;
const STEP_M: f64 = 2.5;
const PIECE_M: f64 = 10.0;
/// Ground flatter than this has no way down; the walk goes straight away from the fence there.
const FLAT_SLOPE: f64 = 0.05;

/// A steep run down to a piece of fence.
#[derive(Clone, Copy)]
struct Descent {
    piece: Piece,
    slope_pct: f64,
    run_m: f64,
    approach_deg: f64,
    /// The way down on the map, of length 1.
    down: MapPoint,
}

/// Part of a fence that running animals arrive at.
pub(super) struct Stretch {
    /// From this station, metres.
    pub from_m: f64,
    /// Until this station, metres.
    pub until_m: f64,
    /// A point to look at.
    pub at: MapPoint,
}

/// Stretches of fence that a steep run ends at, with what is to be said about them.
pub(super) fn stretches(checked: &Checked, line: &CheckedLine) -> Vec<(Stretch, Finding)> {
    let Some(ground) = tells(checked, line) else { return Vec::new() };
    let told = |descents: Vec<Descent>| {
        let (first, last) = (descents.first()?, descents.last()?);
        let (from_m, until_m) = (first.piece.from.station_m, last.piece.to.station_m);
        let stretch = Stretch { from_m, until_m, at: worst(&descents).piece.middle() };
        Some((stretch, finding(checked, ground, line, &descents)))
    };
    descents(ground, line).into_iter().filter_map(told).collect()
}

/// The ground, where its cells say something about runs down to this fence.
fn tells<'a>(checked: &Checked<'a>, line: &CheckedLine) -> Option<&'a Ground> {
    let is_fence = matches!(line.feature.kind, Kind::Fence(_));
    checked.smooth_ground.filter(|ground| is_fence && ground.layers().any(|layer| layer.cell() <= LARGEST_CELL))
}

fn descents(ground: &Ground, line: &CheckedLine) -> Vec<Vec<Descent>> {
    let tells = |piece: &Piece| ground.cell_at(piece.middle()).is_some_and(|cell| cell <= LARGEST_CELL);
    let descents =
        pieces(line.section, PIECE_M).into_iter().filter(tells).filter_map(|piece| descent_to(ground, piece)).collect();
    runs(descents, |a: &Descent, b: &Descent| b.piece.from.plan_m - a.piece.to.plan_m < PIECE_M + 0.01)
}

fn worst(stretch: &[Descent]) -> &Descent {
    stretch.iter().max_by(|a, b| a.slope_pct.total_cmp(&b.slope_pct)).expect("a stretch has a piece")
}

fn finding(checked: &Checked, ground: &Ground, line: &CheckedLine, stretch: &[Descent]) -> Finding {
    let worst = worst(stretch);
    let (from_m, until_m) = (stretch[0].piece.from.station_m, stretch[stretch.len() - 1].piece.to.station_m);
    let move_out = flat_beyond(ground, worst.piece.middle(), worst.down).map(|by| Remedy::MoveOut { by });
    Finding {
        rule: Rule::Strikes,
        weight: Weight::LookAt,
        place: checked.stretch(line, from_m, until_m, worst.piece.middle()),
        value: worst.slope_pct,
        limit: Some(STEEP_PCT),
        unit: Unit::Percent,
        reason: Reason::SteepAbove {
            slope_pct: worst.slope_pct,
            run: Length::metres(worst.run_m),
            approach_deg: worst.approach_deg,
        },
        remedies: [Remedy::MarkWire { over: Length::metres(until_m - from_m), leaves: None }]
            .into_iter()
            .chain(move_out)
            .collect(),
        source: SourceKey::new("descent-hypothesis"),
    }
}

/// The steeper of the runs down to the two sides of a piece of fence, if one of them counts.
fn descent_to(ground: &Ground, piece: Piece) -> Option<Descent> {
    let along = piece.direction();
    let sides = [MapPoint::new(-along.y_m, along.x_m), MapPoint::new(along.y_m, -along.x_m)];
    let descents = sides.into_iter().filter_map(|away| {
        let way = way_up(ground, piece.middle() + away, away);
        let (slope_pct, run_m, down) = steepest_run(&way)?;
        let approach_deg = (-(down.x_m * away.x_m + down.y_m * away.y_m)).clamp(-1.0, 1.0).asin().to_degrees();
        (approach_deg >= HEAD_ON_DEG).then_some(Descent { piece, slope_pct, run_m, approach_deg, down })
    });
    descents.max_by(|a, b| a.slope_pct.total_cmp(&b.slope_pct))
}

/// Up the fall line from a point beside the fence: places with their heights, the first beside the fence. Ends where the
/// ground is not known, or falls, or where the way leads back to the fence.
fn way_up(ground: &Ground, start: MapPoint, away: MapPoint) -> Vec<(MapPoint, f64)> {
    let mut way: Vec<(MapPoint, f64)> = Vec::new();
    let mut here = start;
    while way.len() as f64 * STEP_M <= FOLLOW_M {
        let (Some(height), Some(gradient)) = (ground.elevation(here), ground.gradient(here)) else { break };
        let has_turned_back = (here - start).x_m * away.x_m + (here - start).y_m * away.y_m < -0.01;
        if has_turned_back || way.last().is_some_and(|(_, last_m)| height.as_metres() < last_m - 0.05) {
            break;
        }
        way.push((here, height.as_metres()));
        let slope = gradient.slope();
        let uphill = if slope < FLAT_SLOPE { away } else { MapPoint::new(gradient.east, gradient.north) * (1.0 / slope) };
        here = here + uphill * STEP_M;
    }
    way
}

/// The longest run whose mean slope is steep and whose foot is near the fence: mean slope, length on the ground, and the way
/// down at its foot.
fn steepest_run(way: &[(MapPoint, f64)]) -> Option<(f64, f64, MapPoint)> {
    let last_foot = (FOOT_WITHIN.as_metres() / STEP_M) as usize;
    let mut best: Option<(f64, f64, MapPoint)> = None;
    for foot in 0..=last_foot.min(way.len().saturating_sub(1)) {
        for top in foot + 1..way.len() {
            let (plan_m, rise_m) = ((top - foot) as f64 * STEP_M, way[top].1 - way[foot].1);
            let run_m = plan_m.hypot(rise_m);
            let is_steep = rise_m * 100.0 >= STEEP_PCT * plan_m && run_m >= SHORTEST_RUN.as_metres();
            if is_steep && best.is_none_or(|(_, longest_m, _)| run_m > longest_m) {
                let near = (foot + 4).min(top);
                let down = way[foot].0 - way[near].0;
                best = Some((100.0 * rise_m / plan_m, run_m, down * (1.0 / way[foot].0.distance_m(way[near].0))));
            }
        }
    }
    best
}

/// How far out the ground is flat enough to stop on, 30 to 80 m down the way the animals come; `None` when it is not.
///
/// # Source
/// Key `descent-hypothesis`: a line 50 to 100 m beyond the foot sees about a sixth.
pub(super) fn flat_beyond(ground: &Ground, from: MapPoint, down: MapPoint) -> Option<Length> {
    const FLAT_PCT: f64 = 15.0;
    let outs = [30.0, 40.0, 50.0, 60.0, 70.0, 80.0];
    let is_flat = |out: &f64| {
        let there = from + down * *out;
        ground.gradient(there).is_some_and(|gradient| gradient.slope_pct() < FLAT_PCT)
    };
    outs.into_iter().find(is_flat).map(Length::metres)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, ground};

    /// Flat in the south, rising towards the north from the given northing on.
    fn foot_of(slope: f64, foot_m: f64, height_m: f64) -> Ground {
        ground(400, 1.0, move |_, north| 100.0 + (slope * (north - foot_m)).clamp(0.0, height_m))
    }

    #[test]
    fn a_fence_at_the_foot_of_a_steep_slope_is_found_and_others_are_not() {
        let along = [(-100.0, 0.0), (100.0, 0.0)];
        type Row<'a> = (&'a str, Ground, &'a [(f64, f64)], bool);
        let rows: [Row; 7] = [
            ("steep, at its foot", foot_of(0.6, 5.0, 40.0), &along, true),
            ("steep, foot 40 m away", foot_of(0.6, 40.0, 40.0), &along, false),
            ("not steep enough", foot_of(0.4, 5.0, 40.0), &along, false),
            ("steep for 10 m only", foot_of(0.6, 5.0, 5.0), &along, false),
            ("straight up the fall line", foot_of(0.6, 5.0, 40.0), &[(0.0, 10.0), (0.0, 80.0)], false),
            ("30 degrees off the contour", foot_of(0.6, -100.0, 150.0), &[(-52.0, -30.0), (52.0, 30.0)], true),
            ("60 degrees off the contour", foot_of(0.6, -100.0, 150.0), &[(-30.0, -52.0), (30.0, 52.0)], false),
        ];
        for (name, ground, fence, expected) in rows {
            let found = Scene::on(ground).fence(fence).say(Rule::Strikes);
            assert_eq!(!found.is_empty(), expected, "{name}: {found:?}");
        }
    }

    #[test]
    fn the_finding_gives_the_slope_the_run_and_the_angle_of_the_ground_as_it_is() {
        let found = Scene::on(foot_of(0.6, -100.0, 150.0)).fence(&[(-100.0, 0.0), (100.0, 0.0)]).say(Rule::Strikes);
        assert_eq!(found.len(), 1, "neighbouring pieces are one stretch: {found:?}");
        assert!((found[0].value - 60.0).abs() < 0.5, "{}", found[0].value);
        let Reason::SteepAbove { run, approach_deg, .. } = found[0].reason else { panic!("{:?}", found[0].reason) };
        // Followed for 60 m on the map, which is 60 x sqrt(1 + 0.36) on the ground.
        assert!((run.as_metres() - 69.97).abs() < 0.2, "{run:?}");
        assert!((approach_deg - 90.0).abs() < 1.0, "{approach_deg}");
        let (from, until) = (found[0].place.station.expect("a stretch"), found[0].place.until.expect("a stretch"));
        assert!(from < Length::metres(0.5) && until > Length::metres(199.0), "{from:?} {until:?}");
    }

    #[test]
    fn roots_and_hollows_do_not_stop_a_runner() {
        let rough = |east: f64, north: f64| 0.4 * (east * 1.3).sin() * (north * 1.1).cos();
        let steep = ground(400, 1.0, |east, north| 100.0 + (0.6 * (north - 5.0)).clamp(0.0, 40.0) + rough(east, north));
        assert!(!Scene::on(steep).fence(&[(-100.0, 0.0), (100.0, 0.0)]).say(Rule::Strikes).is_empty());
    }

    #[test]
    fn cells_of_thirty_metres_say_nothing() {
        let coarse = ground(40, 30.0, |_, north| 100.0 + (0.6 * north).clamp(0.0, 300.0));
        assert!(Scene::on(coarse).fence(&[(-100.0, 0.0), (100.0, 0.0)]).say(Rule::Strikes).is_empty());
    }

    #[test]
    fn the_remedy_leads_out_onto_flat_ground_when_there_is_some() {
        let remedies = |ground| Scene::on(ground).fence(&[(-100.0, 0.0), (100.0, 0.0)]).say(Rule::Strikes)[0].remedies.clone();
        let moves_out = |remedies: &[Remedy]| remedies.iter().any(|remedy| matches!(remedy, Remedy::MoveOut { .. }));
        assert!(moves_out(&remedies(foot_of(0.6, 5.0, 40.0))));
        assert!(!moves_out(&remedies(foot_of(0.6, -150.0, 200.0))));
    }
}
