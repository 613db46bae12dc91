//! Building the network of a plan.

use super::courses::{Course, Placed, courses, place_on};
use super::earth::{Rod, rods_ohm};
use super::effects::{Effect, effect};
use super::energizer::{Energizer, Printed};
use super::run::{RunOf, RunStrand};
use super::wiring::{Bitten, EarthRods, STATES, Station, WiredEarth, WiredEnergizer, WiredShunt, WiredSpan, Wiring};
use crate::catalogue::{AnimalRow, Catalogue, Conductor, GroundState};
use crate::hold::{FootingMap, LEAD_OUT_HEIGHT_M, LEAD_OUT_WIRE, Section};
use crate::land::{Frame, MapPoint};
use crate::plan::{Feature, FeatureId, Fence, Gate, Kind, LeadOut, Network, Plan};
use crate::units::Length;
use std::collections::HashMap;

/// How far from a line an energizer may stand and still be taken as connected to it, on the map.
pub const CONNECTED_WITHIN_M: f64 = 10.0;
/// The earth of an energizer that has none drawn within this is assumed.
pub const EARTH_WITHIN_M: f64 = 200.0;
/// The earth that is assumed where none is drawn, and what a drawn one has that says less (`common-practice`).
pub const USUAL_EARTH: EarthRods =
    EarthRods { count: 3, length: Length::metres(1.8), diameter: Length::metres(0.016), spacing: Length::metres(3.0) };
/// Distance of the conductors of a lead-out (`common-practice`).
const CONDUCTORS_APART_M: f64 = 0.2;
/// Cable at a gate goes down and up again on both sides, metres more than the gate is wide (`common-practice`).
const GATE_CABLE_EXTRA_M: f64 = 1.2;
/// Cable of a gate that does not say which.
const GATE_CABLE: &str = "hv-cable";
/// Resistance of a closed cut-out, of a jumper with its clamps, ohm (`common-practice`).
const SWITCH_OHM: f64 = 0.05;
/// Resistance of a break, ohm.
const BROKEN_OHM: f64 = 1e9;

/// What a network is made from.
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
    wiring: Wiring,
    parents: Vec<Pin>,
    /// How many times the usual the strands leak, as the plan says.
    leak_factor: f64,
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
    builder.connect_energizers(&courses);
    builder.finish()
}

impl<'a> Builder<'a> {
    fn new(from: &'a WiredFrom<'a>) -> Self {
        let choice = &from.plan.head.ground;
        let everywhere = from.footings.everywhere();
        let scale = choice.resistivity_ohm_m.map_or(1.0, |ohm_m| ohm_m / everywhere.soil.resistivity(everywhere.state));
        let soil_ohm_m = STATES.map(|state| everywhere.soil.resistivity(state) * scale);
        let usual = crate::catalogue::Vegetation::from_word(&choice.vegetation)
            .and_then(|vegetation| from.catalogue.leakage(vegetation))
            .map(|row| row.siemens_per_m(everywhere.state) / crate::catalogue::SIEMENS_PER_M_IN_US_PER_KM);
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

    /// Everything with a place on a line: gates, switches, faults, readings, jumpers.
    fn placed(&self) -> Vec<Placed<'a>> {
        let mut placed = Vec::new();
        for feature in &self.from.plan.features {
            let counts =
                matches!(feature.kind, Kind::Gate(_) | Kind::Cutout { .. } | Kind::Fault(_) | Kind::Reading(_) | Kind::Jumper(_));
            let fences_only = matches!(feature.kind, Kind::Gate(_));
            let corners = if counts { feature.places() } else { Vec::new() };
            for at in corners.into_iter().filter_map(|at| self.from.frame.to_map(at).ok()) {
                let on = place_on(self.from.network, at, |line| line.is_fence || !fences_only);
                placed.extend(on.map(|(on, _)| Placed { feature, line: on.line, plan_m: on.plan_m }));
            }
        }
        placed
    }

    fn on_map(&self, feature: &Feature) -> Option<MapPoint> {
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

    /// What a line is strung with; `None` where the plan or the catalogue does not say.
    pub fn run_of(&self, feature: &Feature) -> Option<RunOf> {
        match &feature.kind {
            Kind::Fence(fence) => self.fence_run(feature, fence),
            Kind::LeadOut(lead_out) => self.lead_out_run(feature, lead_out),
            _ => None,
        }
    }

    fn fence_run(&self, feature: &Feature, fence: &Fence) -> Option<RunOf> {
        let build = self.from.plan.build(&fence.build)?;
        let strand = |strand: &crate::plan::Strand| {
            let conductor = self.from.catalogue.wire(&strand.wire)?.electrical;
            Some(self.strand(feature, conductor, strand.height, strand.live))
        };
        let strands: Vec<RunStrand> = build.strands.iter().map(strand).collect::<Option<_>>()?;
        strands.iter().any(|strand| strand.live).then_some(RunOf::Strands(strands))
    }

    fn lead_out_run(&self, feature: &Feature, lead_out: &LeadOut) -> Option<RunOf> {
        let conductor = self.from.catalogue.wire(lead_out.wire.as_deref().unwrap_or(LEAD_OUT_WIRE))?.electrical;
        let count = lead_out.conductors.unwrap_or(1).max(1);
        if lead_out.underground {
            return Some(RunOf::Cable { conductor, count: count as usize });
        }
        let lowest = lead_out.height.unwrap_or(Length::metres(LEAD_OUT_HEIGHT_M));
        let height = |index: u32| lowest + Length::metres(CONDUCTORS_APART_M * f64::from(index));
        Some(RunOf::Strands((0..count).map(|index| self.strand(feature, conductor, height(index), true)).collect()))
    }

    fn strand(&self, feature: &Feature, conductor: Conductor, height: Length, live: bool) -> RunStrand {
        let row = self.from.catalogue.leakage(feature.kind.vegetation(&self.from.plan.head.ground));
        let insulated = matches!(conductor, Conductor::Cable { .. });
        let leak = |state: GroundState| {
            row.filter(|_| !insulated).map_or(0.0, |row| row.siemens_per_m(state) * row.share_at(height) * self.leak_factor)
        };
        // A strand drawn on the ground still hangs a hand above it: a capacitance needs a distance.
        RunStrand { conductor, height_m: height.as_metres().max(0.03), live, leak_s_per_m: STATES.map(leak) }
    }

    /// Lays a line from stop to stop.
    fn lay(&mut self, course: &Course, placed: &[Placed]) {
        let gates: Vec<(f64, f64, &Gate)> =
            placed.iter().filter(|placed| placed.line == course.line).filter_map(Placed::gate).collect();
        for pair in course.stops.windows(2) {
            let (from, to) = (&pair[0], &pair[1]);
            let length_m = course.section.station_at_m(to.plan_m) - course.section.station_at_m(from.plan_m);
            let middle_m = 0.5 * (from.plan_m + to.plan_m);
            match gates.iter().find(|(start, end, _)| (*start..=*end).contains(&middle_m)) {
                None => {
                    self.wiring.spans.push(WiredSpan { run: course.run, from: from.after.pins(), to: to.before.pins(), length_m })
                }
                Some((_, _, gate)) => self.cross(course, gate, (from.after, to.before), length_m),
            }
        }
        let animal = self.from.animals.get(&course.feature.id).map(|row| Bitten::of(row, self.wiring.soil_ohm_m));
        for stop in &course.stops {
            let Some(sample) = course.section.sample_at(stop.plan_m) else { continue };
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

    /// Takes the pulse across a gate.
    fn cross(&mut self, course: &Course, gate: &Gate, (from, to): (Rails, Rails), length_m: f64) {
        let strung =
            gate.crossing.as_deref() == Some("overhead") || (gate.crossing.as_deref() == Some("none") && gate.live == Some(true));
        if strung {
            self.wiring.spans.push(WiredSpan { run: course.run, from: from.pins(), to: to.pins(), length_m });
        } else if gate.crossing.as_deref() != Some("none") {
            let wire = self.from.catalogue.wire(gate.cable.as_deref().unwrap_or(GATE_CABLE));
            let Some(conductor) = wire.map(|wire| wire.electrical) else { return };
            let run = self.run(RunOf::Cable { conductor, count: 1 });
            for (from, to) in from.pins().into_iter().zip(to.pins()) {
                self.wiring.spans.push(WiredSpan {
                    run,
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

    /// Switches, faults and jumpers.
    fn fit_points(&mut self, courses: &[Course], placed: &[Placed]) {
        for placed in placed {
            let Some(stop) =
                courses.iter().find(|course| course.line == placed.line).and_then(|course| course.stop(placed.plan_m))
            else {
                continue;
            };
            let (before, after) = (stop.before, stop.after);
            match &placed.feature.kind {
                Kind::Cutout { open: false } => self.link_rails(before, after, SWITCH_OHM),
                Kind::Fault(fault) => match effect(fault, self.wiring.soil_ohm_m) {
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

    /// Rods beside a line with an earth strand are bonded to it.
    fn earth_rail(&mut self, courses: &[Course], feature: &Feature) {
        let Some(at) = self.on_map(feature) else { return };
        let earth = courses.iter().find_map(|course| course.touched(self.from.network, at)?.earth);
        if let Some(earth) = earth {
            let ohm = self.earth_of(Some(feature), at).ohm;
            self.wiring.shunts.push(WiredShunt { at: earth, ohm });
        }
    }

    fn earth_of(&self, feature: Option<&Feature>, at: MapPoint) -> WiredEarth {
        let rods = match feature.map(|feature| &feature.kind) {
            Some(Kind::Earth { rods, rod_length, rod_diameter, spacing }) => EarthRods {
                count: rods.map_or(USUAL_EARTH.count, |rods| rods.max(1) as usize),
                length: rod_length.unwrap_or(USUAL_EARTH.length),
                diameter: rod_diameter.unwrap_or(USUAL_EARTH.diameter),
                spacing: spacing.unwrap_or(USUAL_EARTH.spacing),
            },
            _ => USUAL_EARTH,
        };
        let everywhere = self.from.footings.everywhere().soil.resistivity_ohm_m;
        let here = self.from.footings.at(at).soil.resistivity_ohm_m;
        let soil_ohm_m = self.wiring.soil_ohm_m.map(|ohm_m| ohm_m * here / everywhere);
        WiredEarth {
            id: feature.map(|feature| feature.id.clone()),
            rods,
            soil_ohm_m,
            ohm: soil_ohm_m.map(|ohm_m| rods.ohm(ohm_m)),
        }
    }

    fn connect_energizers(&mut self, courses: &[Course]) {
        let plan = self.from.plan;
        for feature in &plan.features {
            let (Kind::Energizer(unit), Some(at)) = (&feature.kind, self.on_map(feature)) else { continue };
            let figures = unit.figures(self.from.catalogue);
            let source = figures.and_then(|figures| {
                let printed = Printed {
                    stored_j: figures.stored_j,
                    open_v: figures.open_kv * 1e3,
                    at_500_ohm_v: figures.at_500_ohm_kv * 1e3,
                    output_j: figures.output_j,
                };
                Energizer::fit(printed).ok()
            });
            let near = courses.iter().filter_map(|course| {
                course.nearest(self.from.network, at).map(|(off_m, rails)| (off_m, course.is_fence(), rails))
            });
            let near = near.filter(|(off_m, ..)| *off_m <= CONNECTED_WITHIN_M);
            let hot = near.min_by(|one, other| one.1.cmp(&other.1).then(one.0.total_cmp(&other.0)));
            let rods = plan.features.iter().filter(|feature| matches!(feature.kind, Kind::Earth { .. }));
            let rods = rods.filter_map(|feature| Some((self.on_map(feature)?.distance_m(at), feature)));
            let rods = rods.filter(|(off_m, _)| *off_m <= EARTH_WITHIN_M).min_by(|one, other| one.0.total_cmp(&other.0));
            let earth_at = rods.and_then(|(_, feature)| self.on_map(feature)).unwrap_or(at);
            let earth = self.earth_of(rods.map(|(_, feature)| feature.as_ref()), earth_at);
            self.wiring.energizers.push(WiredEnergizer {
                id: feature.id.clone(),
                source,
                hot: hot.map(|(.., rails)| rails.hot),
                earth,
            });
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
        wiring.energizers.iter_mut().filter_map(|energizer| energizer.hot.as_mut()).for_each(node);
        self.wiring
    }
}

impl EarthRods {
    /// Resistance of the row in ground of this resistivity, ohm.
    pub fn ohm(&self, soil_ohm_m: f64) -> f64 {
        let rod = Rod { length_m: self.length.as_metres().max(0.1), radius_m: (self.diameter.as_metres() / 2.0).max(1e-3) };
        rods_ohm(rod, self.count, self.spacing.as_metres().max(0.1), soil_ohm_m).unwrap_or(BROKEN_OHM)
    }
}
