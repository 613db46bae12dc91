//! Building the network of a plan.

use super::courses::{Course, Placed, Stop, courses, place_on};
use super::effects::{Effect, effect};
use super::locate::Read;
use super::run::RunOf;
use super::wiring::{Bitten, STATES, Station, WiredReading, WiredShunt, WiredSpan, Wiring};
use crate::catalogue::{AnimalRow, Catalogue, SIEMENS_PER_M_IN_US_PER_KM, Vegetation};
use crate::hold::{FootingMap, Section};
use crate::land::{Frame, MapPoint};
use crate::plan::{Feature, FeatureId, Gate, Kind, Network, Plan, Reading};
use crate::units::Length;
use std::collections::HashMap;

/// Cable at a gate goes down and up again on both sides, metres more than the gate is wide (`common-practice`).
const GATE_CABLE_EXTRA_M: f64 = 1.2;
/// Cable of a gate that does not say which.
const GATE_CABLE: &str = "hv-cable";
/// Resistance of a closed cut-out, of a jumper with its clamps, ohm (`common-practice`).
const SWITCH_OHM: f64 = 0.05;
/// What a network is made from.
#[derive(Clone, Copy)]
pub struct WiredFrom<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Its frame.
    pub frame: Frame,
    /// Its joined lines.
    pub network: &'a Network,
    /// Sections of its lines.
    pub sections: &'a HashMap<&'a FeatureId, &'a Section>,
    /// The soils.
    pub footings: &'a FootingMap<'a>,
    /// The catalogue.
    pub catalogue: &'a Catalogue,
    /// The animal that asks most of each line.
    pub animals: &'a HashMap<FeatureId, &'a AnimalRow>,
}

/// A node before it is known which nodes are one.
pub(super) type Pin = usize;

/// The rails at a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Rails {
    pub hot: Pin,
    pub earth: Option<Pin>,
}

impl Rails {
    fn pins(self) -> Vec<Pin> {
        std::iter::once(self.hot).chain(self.earth).collect()
    }
}

pub(super) struct Builder<'a> {
    pub from: &'a WiredFrom<'a>,
    pub wiring: Wiring,
    parents: Vec<Pin>,
    /// How many times the usual the strands leak, as the plan says.
    pub leak_factor: f64,
}

/// The day of a reading, as ISO 8601 writes it, where the plan says when.
fn reading_day(reading: &Reading) -> Option<&str> {
    reading.at_time.as_deref()?.get(..10)
}

/// The last day on which anything was read with the energizer on.
fn last_day(plan: &Plan) -> Option<&str> {
    let days = plan.features.iter().filter_map(|feature| match &feature.kind {
        Kind::Reading(reading) if reading.energizer_on != Some(false) => reading_day(reading),
        _ => None,
    });
    days.max()
}

/// The network of a plan.
pub fn wire_up(from: &WiredFrom) -> Wiring {
    let mut builder = Builder::new(from);
    let placed = builder.placed();
    let courses = courses(&mut builder, &placed);
    for course in &courses {
        builder.lay(course, &placed);
    }
    builder.join(&courses);
    builder.fit_points(&courses, &placed);
    builder.take_readings(&courses, &placed);
    builder.connect_energizers(&courses);
    builder.finish()
}

impl<'a> Builder<'a> {
    fn new(from: &'a WiredFrom<'a>) -> Self {
        let choice = &from.plan.head.ground;
        let everywhere = from.footings.everywhere();
        let scale = choice.resistivity_ohm_m.map_or(1.0, |ohm_m| ohm_m / everywhere.soil.resistivity(everywhere.state));
        let soil_ohm_m = STATES.map(|state| everywhere.soil.resistivity(state) * scale);
        let usual = Vegetation::from_word(&choice.vegetation)
            .and_then(|vegetation| from.catalogue.leakage(vegetation))
            .map(|row| row.siemens_per_m(everywhere.state) / SIEMENS_PER_M_IN_US_PER_KM);
        let leak_factor = choice.leakage_us_per_km.zip(usual).map_or(1.0, |(said, usual)| said / usual);
        Self { from, wiring: Wiring { soil_ohm_m, ..Wiring::default() }, parents: Vec::new(), leak_factor }
    }

    pub fn pin(&mut self) -> Pin {
        self.parents.push(self.parents.len());
        self.parents.len() - 1
    }

    fn root(&self, mut pin: Pin) -> Pin {
        while self.parents[pin] != pin {
            pin = self.parents[pin];
        }
        pin
    }

    fn unite(&mut self, one: Pin, other: Pin) {
        let (one, other) = (self.root(one), self.root(other));
        self.parents[one.max(other)] = one.min(other);
    }

    fn unite_rails(&mut self, one: Rails, other: Rails) {
        self.unite(one.hot, other.hot);
        if let (Some(one), Some(other)) = (one.earth, other.earth) {
            self.unite(one, other);
        }
    }

    /// Everything with a place on a line: gates, switches, jumpers, faults that stand, readings of the last day.
    fn placed(&self) -> Vec<Placed<'a>> {
        let network = self.from.network;
        let last = last_day(self.from.plan);
        let mut placed = Vec::new();
        for feature in &self.from.plan.features {
            let counts = match &feature.kind {
                Kind::Gate(_) | Kind::Cutout { .. } | Kind::Jumper(_) => true,
                Kind::Fault(fault) => fault.is_active(),
                Kind::Reading(reading) => reading_day(reading).is_none_or(|day| Some(day) == last),
                _ => false,
            };
            if !counts {
                continue;
            }
            let fences_only = matches!(feature.kind, Kind::Gate(_));
            for at in feature.places().into_iter().filter_map(|at| self.from.frame.to_map(at).ok()) {
                let on = match feature.kind.entry_line().and_then(|of| of.line.as_deref()) {
                    Some(line) => network.entry_on(line, at).map(|(on, _)| on),
                    None => place_on(network, at, |line| line.is_fence || !fences_only).map(|(on, _)| on),
                };
                placed.extend(on.map(|on| Placed { feature, line: on.line, plan_m: on.plan_m }));
            }
        }
        placed
    }

    /// Where a point is on the map.
    pub fn on_map(&self, feature: &Feature) -> Option<MapPoint> {
        feature.point().and_then(|at| self.from.frame.to_map(at).ok())
    }

    pub fn run(&mut self, run: RunOf) -> usize {
        match self.wiring.runs.iter().position(|known| *known == run) {
            Some(index) => index,
            None => {
                self.wiring.runs.push(run);
                self.wiring.runs.len() - 1
            }
        }
    }

    /// Lays a line from stop to stop.
    fn lay(&mut self, course: &Course, placed: &[Placed]) {
        let gates: Vec<(f64, f64, &Gate)> =
            placed.iter().filter(|placed| placed.line == course.line).filter_map(Placed::gate).collect();
        for (index, pair) in course.stops.windows(2).enumerate() {
            let (from, to) = (&pair[0], &pair[1]);
            let station = self.wiring.stations.len() + index;
            let length_m = course.section.station_at_m(to.plan_m) - course.section.station_at_m(from.plan_m);
            let middle_m = 0.5 * (from.plan_m + to.plan_m);
            match gates.iter().find(|(start, end, _)| (*start..=*end).contains(&middle_m)) {
                None => self.string(course, station, (from.after, to.before), length_m),
                Some((_, _, gate)) => self.cross(course, gate, station, (from.after, to.before), length_m),
            }
        }
        let animal = self.from.animals.get(&course.feature.id).map(|row| Bitten::of(row, self.wiring.soil_ohm_m));
        for stop in &course.stops {
            let sample = course.section.sample_at(stop.plan_m).unwrap_or(course.section.samples[0]);
            self.wiring.stations.push(Station {
                line: course.feature.id.clone(),
                station: Length::metres(sample.station_m),
                plan: Length::metres(stop.plan_m),
                at: sample.at,
                is_fence: matches!(course.feature.kind, Kind::Fence(_)),
                hot: stop.after.hot,
                earth: stop.after.earth,
                animal: animal.clone(),
            });
        }
    }

    /// Runs from place to place; a cable in the ground that leads back is a second one beside the first.
    fn string(&mut self, course: &Course, station: usize, (from, to): (Rails, Rails), length_m: f64) {
        let span = |run: usize, from: Vec<Pin>, to: Vec<Pin>| WiredSpan {
            run,
            station,
            offset_m: 0.0,
            along_m: length_m,
            from,
            to,
            length_m,
        };
        let cable = match self.wiring.runs[course.run] {
            RunOf::Cable { conductor, .. } => Some(conductor),
            RunOf::Strands(_) => None,
        };
        match (cable, from.earth.zip(to.earth)) {
            (Some(conductor), Some((from_earth, to_earth))) => {
                self.wiring.spans.push(span(course.run, vec![from.hot], vec![to.hot]));
                let back = self.run(RunOf::Cable { conductor, count: 1 });
                self.wiring.spans.push(span(back, vec![from_earth], vec![to_earth]));
            }
            _ => self.wiring.spans.push(span(course.run, from.pins(), to.pins())),
        }
    }

    /// Takes the pulse across a gate.
    fn cross(&mut self, course: &Course, gate: &Gate, station: usize, (from, to): (Rails, Rails), length_m: f64) {
        let strung =
            gate.crossing.as_deref() == Some("overhead") || (gate.crossing.as_deref() == Some("none") && gate.live == Some(true));
        if strung {
            self.wiring.spans.push(WiredSpan {
                run: course.run,
                station,
                offset_m: 0.0,
                along_m: length_m,
                from: from.pins(),
                to: to.pins(),
                length_m,
            });
        } else if gate.crossing.as_deref() != Some("none") {
            let wire = self.from.catalogue.wire(gate.cable.as_deref().unwrap_or(GATE_CABLE));
            let Some(conductor) = wire.map(|wire| wire.electrical) else { return };
            let run = self.run(RunOf::Cable { conductor, count: 1 });
            for (from, to) in from.pins().into_iter().zip(to.pins()) {
                self.wiring.spans.push(WiredSpan {
                    run,
                    station,
                    offset_m: 0.0,
                    along_m: length_m,
                    from: vec![from],
                    to: vec![to],
                    length_m: length_m + GATE_CABLE_EXTRA_M,
                });
            }
        }
    }

    /// Joins lines where they meet, and the ends of closed ones.
    fn join(&mut self, courses: &[Course]) {
        for joint in &self.from.network.joints {
            let rails: Vec<Rails> = joint
                .meets
                .iter()
                .filter_map(|meet| courses.iter().find(|course| course.line == meet.line)?.outer(meet.plan_m))
                .collect();
            for pair in rails.windows(2) {
                self.unite_rails(pair[0], pair[1]);
            }
        }
        for course in courses.iter().filter(|course| self.from.network.lines[course.line].closed) {
            if let (Some(first), Some(last)) = (course.stops.first(), course.stops.last()) {
                self.unite_rails(first.before, last.after);
            }
        }
    }

    /// What was read along the lines while the energizer was on.
    fn take_readings(&mut self, courses: &[Course], placed: &[Placed]) {
        for placed in placed {
            let Kind::Reading(reading) = &placed.feature.kind else { continue };
            let Some(course) = courses.iter().find(|course| course.line == placed.line) else { continue };
            let towards_end = reading.direction.as_deref().and_then(|word| match word {
                "end" => Some(true),
                "start" => Some(false),
                _ => None,
            });
            if reading.energizer_on == Some(false) || (reading.kv.is_none() && reading.amp.is_none() && towards_end.is_none()) {
                continue;
            }
            self.wiring.readings.push(WiredReading {
                id: placed.feature.id.clone(),
                read: Read {
                    line: course.feature.id.clone(),
                    station: Length::metres(course.section.station_at_m(placed.plan_m)),
                    volt: reading.kv.map(|kv| kv * 1e3),
                    ampere: reading.amp,
                    towards_end,
                },
                day: reading_day(reading).map(str::to_owned),
            });
        }
    }

    /// Switches, faults and jumpers.
    fn fit_points(&mut self, courses: &[Course], placed: &[Placed]) {
        for placed in placed {
            let Some(course) = courses.iter().find(|course| course.line == placed.line) else { continue };
            let Some(Stop { before, after, .. }) = course.stop(placed.plan_m) else { continue };
            let (before, after, live) = (*before, *after, self.wiring.runs[course.run].live());
            match &placed.feature.kind {
                Kind::Cutout { open: false } => self.link_rails(before, after, SWITCH_OHM),
                Kind::Fault(fault) => match effect(fault, live, self.wiring.soil_ohm_m) {
                    Some(Effect::ToGround(ohm)) => self.wiring.shunts.push(WiredShunt { at: after.hot, ohm }),
                    Some(Effect::Along(ohm)) => self.link_rails(before, after, ohm),
                    None => {}
                },
                _ => {}
            }
        }
        for feature in &self.from.plan.features {
            match &feature.kind {
                Kind::Jumper(_) => self.jump(courses, feature),
                Kind::Earth { .. } => self.earth_rail(courses, feature),
                _ => {}
            }
        }
    }

    fn link_rails(&mut self, one: Rails, other: Rails, ohm: f64) {
        self.wiring.links.push((one.hot, other.hot, ohm));
        if let (Some(one), Some(other)) = (one.earth, other.earth) {
            self.wiring.links.push((one, other, SWITCH_OHM.min(ohm)));
        }
    }

    /// A jumper joins the lines that its corners, or its one point, touch.
    fn jump(&mut self, courses: &[Course], feature: &Feature) {
        let network = self.from.network;
        let touched: Vec<Rails> = feature
            .places()
            .into_iter()
            .filter_map(|at| self.from.frame.to_map(at).ok())
            .flat_map(|at| courses.iter().filter_map(move |course| course.touched(network, at)))
            .collect();
        for pair in touched.windows(2).filter(|pair| pair[0] != pair[1]) {
            self.link_rails(pair[0], pair[1], SWITCH_OHM);
        }
    }

    /// Numbers the nodes that are left.
    fn finish(mut self) -> Wiring {
        let mut numbers = vec![None; self.parents.len()];
        let mut count = 0;
        for pin in 0..self.parents.len() {
            let root = self.root(pin);
            if numbers[root].is_none() {
                numbers[root] = Some(count);
                count += 1;
            }
            numbers[pin] = numbers[root];
        }
        let node = |pin: &mut Pin| *pin = numbers[*pin].unwrap_or(0);
        let wiring = &mut self.wiring;
        wiring.nodes = count;
        for span in &mut wiring.spans {
            span.from.iter_mut().chain(&mut span.to).for_each(node);
        }
        for (from, to, _) in &mut wiring.links {
            node(from);
            node(to);
        }
        wiring.shunts.iter_mut().for_each(|shunt| node(&mut shunt.at));
        for station in &mut wiring.stations {
            node(&mut station.hot);
            station.earth.iter_mut().for_each(node);
        }
        for energizer in &mut wiring.energizers {
            energizer.hot.iter_mut().chain(&mut energizer.earth_strands).for_each(node);
        }
        self.wiring
    }
}
