//! Paddocks and tracks without a gate, and gates on a slope or in the wet.

use super::bays::hung_in_gate;
use super::beside::place_of;
use super::grid_coarse::tells_gaps;
use super::over_way::crossings;
use super::{Checked, CheckedLine};
use crate::finding::{Finding, Grade, Keeping, KeepingRemedy, Place, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::along::{distance_m, spot_at};
use crate::hold::{Bay, inside};
use crate::land::MapPoint;
use crate::plan::{Feature, Geometry, Kind, PaddockFace};
use crate::source::SourceKey;
use crate::stock::{Barrier, judge, judge_build};
use crate::units::Length;

/// Ground around a gate steeper than this makes it swing shut or run, per cent (`common-practice`).
pub const STEEPEST_PCT: f64 = 8.0;
/// Steeper than this it is more than a nuisance, per cent (`common-practice`).
const STEEP_PCT: f64 = 15.0;
/// A gate this near to where a track comes through serves the track (`common-practice`).
pub const SERVES_WITHIN: Length = Length::metres(3.0);
/// A gate this near to an edge stands in it, metres.
const IN_EDGE_M: f64 = 1.0;
/// The ground that is looked at around a gate, metres to each side.
const AROUND_M: f64 = 2.0;
const SOURCE: SourceKey = SourceKey::new("common-practice");

/// Every place where a fence closes a track that vehicles use.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    if !matches!(line.feature.kind, Kind::Fence(_)) {
        return Vec::new();
    }
    let under = line.hold.bays.iter().filter_map(|bay| under_gate(checked, line, bay));
    let tracks = checked.surroundings.vehicle_ways.iter().filter(|way| !way.is_public);
    let closed = tracks.flat_map(|track| crossings(line, &track.points).map(move |plan_m| (track, plan_m)));
    let found = closed.filter_map(|(track, plan_m)| {
        let spot = spot_at(line.section, plan_m);
        let gates = checked.surroundings.gates.iter().map(|gate| Length::metres(gate.at.distance_m(spot.at)));
        let nearest_gate = gates.reduce(Length::min);
        let is_served = nearest_gate.is_some_and(|off| off <= SERVES_WITHIN);
        let reason = Keeping::ClosesTrack { track: track.name.clone(), nearest_gate };
        (!is_served).then(|| Finding {
            unit: Unit::One,
            ..finding(
                Weight::MustFix,
                checked.spot(line, spot.station_m, spot.at),
                (1.0, Some(0.0)),
                reason,
                KeepingRemedy::GateHere,
            )
        })
    });
    let wide = line.hold.bays.iter().filter_map(|bay| too_wide(checked, line, bay));
    under.chain(found).chain(wide).collect()
}

/// A gate that is wider than any of the catalogue is made for.
fn too_wide(checked: &Checked, line: &CheckedLine, bay: &Bay) -> Option<Finding> {
    let gate = bay.gate.as_ref()?;
    let widest =
        checked.catalogue.gates.iter().max_by(|one, other| one.widest.as_metres().total_cmp(&other.widest.as_metres()))?;
    let width = bay.to - bay.from;
    let at = super::dip::spot_at_station(line.section, (bay.from + bay.to) * 0.5);
    let gate = checked.plan.feature(gate).map_or_else(|| gate.to_string(), |gate| gate.label().to_owned());
    // A gate of the catalogue's own widest width may measure a little more along the slope.
    (width > widest.widest * 1.02).then(|| Finding {
        unit: Unit::Metre,
        ..finding(
            Weight::LookAt,
            checked.stretch(line, bay.from.as_metres(), bay.to.as_metres(), at),
            (width.as_metres(), Some(widest.widest.as_metres())),
            Keeping::GateTooWide { gate },
            KeepingRemedy::PartGate,
        )
    })
}

/// A gate under which the stock behind the line gets, as it would under a strand that hangs as the line's lowest: limits are the same.
fn under_gate(checked: &Checked, line: &CheckedLine, bay: &Bay) -> Option<Finding> {
    let (gate, build) = (bay.gate.as_ref()?, line.build?);
    if !tells_gaps(checked, line.section, build, bay) {
        return None;
    }
    let hung = hung_in_gate(line, build, bay);
    let judged = line.behind.iter().filter_map(|behind| {
        let limits = behind.limits(checked.catalogue)?;
        let level = judge_build(build, &limits).under.grade;
        let here = judge(Barrier::Strands(&hung), &limits, 0.0).under;
        (here.grade >= Grade::LookAt && here.grade > level).then(|| (here, behind, limits.row().sources.of("under_m").clone()))
    });
    let (part, behind, source) = judged.max_by(|one, other| one.0.grade.cmp(&other.0.grade))?;
    let at = super::dip::spot_at_station(line.section, (bay.from + bay.to) * 0.5);
    let animal = checked.catalogue.animals.iter().find(|row| row.id == behind.animal)?.label.clone();
    let gate = checked.plan.feature(gate).map_or_else(|| gate.to_string(), |gate| gate.label().to_owned());
    Some(Finding {
        source,
        ..finding(
            part.grade.weight()?,
            checked.stretch(line, bay.from.as_metres(), bay.to.as_metres(), at),
            (part.value, Some(part.limit)),
            Keeping::UnderGate { gate, animal },
            KeepingRemedy::CloseUnderGate,
        )
    })
    .map(|found| Finding { unit: Unit::Metre, ..found })
}

/// Every paddock that no gate leads into, and every gate on bad ground.
pub fn check_plan(checked: &Checked) -> Vec<Finding> {
    let closed = checked.paddocks.iter().filter(|face| face.open.is_none());
    let none = closed.filter(|face| !has_gate(checked, face)).map(|face| Finding {
        unit: Unit::One,
        ..finding(Weight::MustFix, place_of(checked, face), (0.0, Some(1.0)), Keeping::NoGate, KeepingRemedy::GateHere)
    });
    let gates = checked.plan.features.iter().filter(|feature| matches!(feature.kind, Kind::Gate(_)));
    none.chain(gates.flat_map(|gate| on_bad_ground(checked, gate))).collect()
}

fn has_gate(checked: &Checked, face: &PaddockFace) -> bool {
    let edges = || face.ring.iter().zip(face.ring.iter().cycle().skip(1));
    checked.surroundings.gates.iter().any(|gate| edges().any(|(from, to)| distance_m(gate.at, *from, *to) <= IN_EDGE_M))
}

fn on_bad_ground(checked: &Checked, gate: &Feature) -> Vec<Finding> {
    let Some((position, at)) = gate.point().and_then(|at| Some((at, checked.frame.to_map(at).ok()?))) else { return Vec::new() };
    let place = || Place { line: None, station: None, until: None, at: position, cell: checked.cell_at(at) };
    let slope = mean_slope_pct(checked, at).filter(|pct| *pct > STEEPEST_PCT);
    let sloping = slope.map(|pct| {
        let weight = if pct > STEEP_PCT { Weight::LookAt } else { Weight::Note };
        finding(weight, place(), (pct, Some(STEEPEST_PCT)), Keeping::GateOnSlope, KeepingRemedy::MoveGate)
    });
    let wet = checked.plan.features.iter().find(|feature| is_wet_around(checked, feature, at));
    let wet = wet.map(|zone| {
        let reason = Keeping::GateInWet { zone: zone.label().to_owned() };
        Finding { unit: Unit::One, ..finding(Weight::LookAt, place(), (1.0, Some(0.0)), reason, KeepingRemedy::MoveGate) }
    });
    sloping.into_iter().chain(wet).collect()
}

/// Slope between places around a point: of the ground as a wheel meets it, not of one cell.
fn mean_slope_pct(checked: &Checked, at: MapPoint) -> Option<f64> {
    let ground = checked.ground?;
    let reach = AROUND_M.max(ground.cell_at(at)?.as_metres());
    let height = |east: f64, north: f64| Some(ground.elevation(at + MapPoint::new(east, north))?.as_metres());
    let east = (height(reach, 0.0)? - height(-reach, 0.0)?) / (2.0 * reach);
    let north = (height(0.0, reach)? - height(0.0, -reach)?) / (2.0 * reach);
    Some(100.0 * east.hypot(north))
}

fn is_wet_around(checked: &Checked, feature: &Feature, at: MapPoint) -> bool {
    let (Kind::Zone(zone), Geometry::Area(rings)) = (&feature.kind, &feature.geometry) else { return false };
    let on_map = |ring: &Vec<_>| -> Vec<MapPoint> { ring.iter().filter_map(|at| checked.frame.to_map(*at).ok()).collect() };
    zone.of == "wet"
        && rings.first().is_some_and(|outer| inside(&on_map(outer), at))
        && !rings[1..].iter().any(|hole| inside(&on_map(hole), at))
}

fn finding(weight: Weight, place: Place, (value, limit): (f64, Option<f64>), reason: Keeping, remedy: KeepingRemedy) -> Finding {
    Finding {
        rule: Rule::Gate,
        weight,
        place,
        value,
        limit,
        unit: Unit::Percent,
        reason: Reason::Keeping(reason),
        remedies: vec![Remedy::Keeping(remedy)],
        source: SOURCE,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat, ground};
    use crate::plan::{Gate, Paddock, Track, Zone};

    const SQUARE: [(f64, f64); 5] = [(-30.0, -30.0), (30.0, -30.0), (30.0, 30.0), (-30.0, 30.0), (-30.0, -30.0)];

    fn square(scene: Scene) -> Scene {
        scene.fence(&SQUARE).point(Kind::Paddock(Paddock::default()), (0.0, 0.0))
    }

    #[test]
    fn a_paddock_wants_a_gate_in_its_own_edge() {
        for (name, gate, expected) in
            [("none", None, 1), ("in the edge", Some((30.0, 0.0)), 0), ("elsewhere", Some((90.0, 0.0)), 1)]
        {
            let mut scene = square(Scene::on(flat()));
            if let Some(gate) = gate {
                scene = scene.point(Kind::Gate(Gate::default()), gate);
            }
            assert_eq!(scene.say(Rule::Gate).len(), expected, "{name}");
        }
    }

    #[test]
    fn a_track_through_a_fence_wants_a_gate_there() {
        let track = || Kind::Track(Track::default());
        for (gate, expected) in [(None, 1), (Some((0.0, 2.0)), 0), (Some((0.0, 20.0)), 1)] {
            let mut scene = Scene::on(flat()).fence(&[(0.0, -40.0), (0.0, 40.0)]).line(track(), &[(-40.0, 0.0), (40.0, 0.0)]);
            if let Some(gate) = gate {
                scene = scene.point(Kind::Gate(Gate::default()), gate);
            }
            assert_eq!(scene.say(Rule::Gate).len(), expected, "{gate:?}");
        }
    }

    #[test]
    fn gates_stand_on_level_dry_ground() {
        let wet = Kind::Zone(Zone { of: "wet".to_owned(), value: None });
        let around = [(20.0, -10.0), (40.0, -10.0), (40.0, 10.0), (20.0, 10.0), (20.0, -10.0)];
        for (name, rise, is_wet, expected) in
            [("level", 0.02, false, 0), ("sloping", 0.12, false, 1), ("sloping and wet", 0.12, true, 2)]
        {
            let slope = ground(300, 1.0, |east, _| 100.0 + rise * east);
            let mut scene = square(Scene::on(slope)).point(Kind::Gate(Gate::default()), (30.0, 0.0));
            if is_wet {
                scene = scene.area(wet.clone(), &around);
            }
            assert_eq!(scene.say(Rule::Gate).len(), expected, "{name}");
        }
    }
}
