//! From the plan to the network: which wires hang together, where cables, switches and faults are, what feeds it and through which
//! earth. Nothing in it depends on the state of the ground; that comes in with [`Wiring::circuit`].

use super::circuit::{Circuit, LEAST_OHM, Node};
use super::energizer::Energizer;
use super::laid::Laid;
use super::locate::Read;
use super::run::RunOf;
use super::spectrum::Spectrum;
use crate::catalogue::{AnimalRow, GroundState};
use crate::land::MapPoint;
use crate::plan::FeatureId;
use crate::units::Length;

/// The wires of a plan as a network.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wiring {
    pub(super) nodes: usize,
    /// Sorts of runs.
    pub(super) runs: Vec<RunOf>,
    pub(super) spans: Vec<WiredSpan>,
    pub(super) links: Vec<(Node, Node, f64)>,
    pub(super) shunts: Vec<WiredShunt>,
    /// What drives it.
    pub energizers: Vec<WiredEnergizer>,
    /// Places along the lines at which it is worked out, line by line, by distance along them.
    pub stations: Vec<Station>,
    /// Readings of the last day, and those whose day nobody wrote down, that stand on a line and say something, in the plan's order.
    pub readings: Vec<WiredReading>,
    /// Resistivity of the ground as a whole, by state, ohm.m.
    pub soil_ohm_m: [f64; STATES.len()],
}

/// The states of the ground, in the order in which they are shown.
pub const STATES: [GroundState; 4] = [GroundState::Dry, GroundState::Damp, GroundState::Wet, GroundState::Frozen];

/// Place of a state in [`STATES`].
pub fn state_index(state: GroundState) -> usize {
    STATES.iter().position(|one| *one == state).unwrap_or(0)
}

/// A place on a line.
#[derive(Clone, Debug, PartialEq)]
pub struct Station {
    /// The line.
    pub line: FeatureId,
    /// Where on it, on the ground.
    pub station: Length,
    /// The same, on the map.
    pub plan: Length,
    /// Where on the map.
    pub at: MapPoint,
    /// Whether animals can touch it: fences, not lead-outs.
    pub is_fence: bool,
    /// Rails: live strands, earth strands if any.
    pub(super) hot: Node,
    pub(super) earth: Option<Node>,
    /// The animal that asks most of the line here.
    pub animal: Option<Bitten>,
}

/// A reading of the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct WiredReading {
    /// The feature.
    pub id: FeatureId,
    /// What was read, and where.
    pub read: Read,
    /// The day, as ISO 8601 writes it, where the plan says when.
    pub day: Option<String>,
}

/// What of an animal matters to the pulse.
#[derive(Clone, Debug, PartialEq)]
pub struct Bitten {
    /// Its catalogue id.
    pub animal: String,
    /// Peak voltage asked for it.
    pub asked_v: f64,
    /// Peak voltage below which nothing holds it.
    pub floor_v: f64,
    /// From the strand into the ground, by state, ohm; on poor ground as on the usual.
    pub(super) through_ohm: [f64; STATES.len()],
    /// From strand to strand, ohm.
    pub(super) body_ohm: f64,
}

/// Ground on which published voltages are asked for, ohm.m: damp loam (`common-practice`). On poorer ground an animal draws less current and the
/// strand keeps more volts: that is no better bite, so it is judged as if it stood on this.
const USUAL_GROUND_OHM_M: f64 = 100.0;

impl Bitten {
    /// Of a row of the catalogue on ground of this resistivity.
    pub fn of(row: &AnimalRow, soil_ohm_m: [f64; STATES.len()]) -> Self {
        let through_ohm = |soil_ohm_m: f64| row.through_ohm(soil_ohm_m.min(USUAL_GROUND_OHM_M));
        Self {
            animal: row.id.clone(),
            asked_v: row.asked_v,
            floor_v: row.floor_v,
            through_ohm: soil_ohm_m.map(through_ohm),
            body_ohm: row.body_ohm + row.contact_ohm,
        }
    }
}

/// One run between neighbouring places.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct WiredSpan {
    pub(super) run: usize,
    /// The station before its start, in [`Wiring::stations`], and how far behind that it begins along the line, metres.
    pub(super) station: usize,
    pub(super) offset_m: f64,
    /// How much of the line it covers, metres; a cable of a gate is longer than that.
    pub(super) along_m: f64,
    pub(super) from: Vec<Node>,
    pub(super) to: Vec<Node>,
    pub(super) length_m: f64,
}

/// Something between a node and the ground.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct WiredShunt {
    pub(super) at: Node,
    /// Its resistance by state.
    pub(super) ohm: [f64; STATES.len()],
}

/// An energizer with its earth.
#[derive(Clone, Debug, PartialEq)]
pub struct WiredEnergizer {
    /// The feature.
    pub id: FeatureId,
    /// As a source; `None` where nothing is known about the unit or its figures contradict each other.
    pub source: Option<Energizer>,
    /// Where it is connected; `None` where no line begins near it.
    pub(super) hot: Option<Node>,
    /// Earth strands that begin beside it; they are bonded to its earth.
    pub(super) earth_strands: Option<Node>,
    /// Its earth.
    pub earth: WiredEarth,
}

/// The earth of an energizer.
#[derive(Clone, Debug, PartialEq)]
pub struct WiredEarth {
    /// The feature; `None` where none is drawn and [`super::USUAL_EARTH`] is assumed.
    pub id: Option<FeatureId>,
    /// Rods.
    pub rods: EarthRods,
    /// Resistivity of the ground there, by state, ohm.m.
    pub soil_ohm_m: [f64; STATES.len()],
    /// Resistance, by state, ohm.
    pub ohm: [f64; STATES.len()],
}

/// A row of equal rods.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EarthRods {
    /// How many.
    pub count: usize,
    /// Length of each.
    pub length: Length,
    /// Diameter of each.
    pub diameter: Length,
    /// From one to the next.
    pub spacing: Length,
}

impl Station {
    /// The animal that asks most of the line here; `None` where no stock is behind it.
    pub fn bitten(&self) -> Option<&Bitten> {
        self.animal.as_ref()
    }
}

impl Wiring {
    /// The network in a state of the ground, at the frequencies of a spectrum.
    pub fn circuit(&self, state: GroundState, spectrum: &Spectrum) -> Circuit {
        self.circuit_of(state, spectrum, &Laid::default())
    }

    /// The same, with constants that are known from before.
    pub(super) fn circuit_of(&self, state: GroundState, spectrum: &Spectrum, laid: &Laid) -> Circuit {
        let index = state_index(state);
        let mut circuit = Circuit::default();
        for _ in 0..self.nodes {
            circuit.node();
        }
        let soil_ohm_m = self.soil_ohm_m[index];
        let kinds = self.runs.iter().map(|run| circuit.kind(laid.per_metre(run, index, soil_ohm_m, spectrum)));
        let kinds: Vec<usize> = kinds.collect();
        for span in &self.spans {
            circuit.rails(kinds[span.run], &span.from, &span.to, span.length_m);
        }
        for (from, to, ohm) in &self.links {
            circuit.link(*from, *to, *ohm);
        }
        for shunt in &self.shunts {
            circuit.shunt(shunt.at, shunt.ohm[index]);
        }
        for energizer in &self.energizers {
            if let (Some(source), Some(hot)) = (energizer.source, energizer.hot) {
                let earth = circuit.connect(source, hot, energizer.earth.ohm[index]);
                if let Some(strands) = energizer.earth_strands {
                    circuit.link(earth, strands, LEAST_OHM);
                }
            }
        }
        circuit
    }

    /// The same network with something of this resistance between a line and the ground at a station; `None` where no wire runs there.
    pub fn with_contact(&self, line: &FeatureId, station: Length, ohm: f64) -> Option<Self> {
        let mut wiring = self.clone();
        let at = wiring.cut(line, station)?;
        wiring.shunts.push(WiredShunt { at, ohm: [ohm; STATES.len()] });
        Some(wiring)
    }

    /// The same network where strands leak so many times as much.
    pub fn leaking(mut self, times: f64) -> Self {
        for run in &mut self.runs {
            if let RunOf::Strands(strands) = run {
                strands.iter_mut().flat_map(|strand| &mut strand.leak_s_per_m).for_each(|leak| *leak *= times);
            }
        }
        self
    }

    /// The same network with every energizer that drives it replaced by another.
    pub fn driven_by(mut self, source: Energizer) -> Self {
        self.energizers.iter_mut().filter_map(|unit| unit.source.as_mut()).for_each(|known| *known = source);
        self
    }

    /// By node, the number of the driving energizer whose pulse gets there.
    pub fn fed(&self) -> Vec<Option<usize>> {
        self.circuit(GroundState::Damp, &Spectrum::new(1e-3, 2, 0.1)).fed()
    }

    /// The driving energizer that feeds a station, by what [`Self::fed`] says.
    pub fn fed_by(&self, station: &Station, fed: &[Option<usize>]) -> Option<usize> {
        fed.get(station.hot).copied().flatten()
    }

    /// The driving energizer that feeds the place where one is connected: itself, or one before it on the same wires.
    pub fn fed_at(&self, unit: &WiredEnergizer, fed: &[Option<usize>]) -> Option<usize> {
        fed.get(unit.hot?).copied().flatten()
    }

    /// The readings of the last day on which any were taken, with those whose day nobody wrote down: older ones tell of another fence.
    pub fn last_readings(&self) -> Vec<&WiredReading> {
        let last = self.readings.iter().filter_map(|reading| reading.day.as_ref()).max();
        self.readings.iter().filter(|reading| reading.day.is_none() || reading.day.as_ref() == last).collect()
    }

    /// Whether earth-return strands lead back to an energizer's earth from every fence that it feeds.
    pub fn leads_back(&self, unit: &WiredEnergizer) -> bool {
        let Some(first) = unit.earth_strands else { return false };
        let mut reached = vec![false; self.nodes];
        let mut open = vec![first];
        while let Some(node) = open.pop() {
            if std::mem::replace(&mut reached[node], true) {
                continue;
            }
            // The last rail of a run is the one that leads back; what a single one is, its ends tell.
            let ends = self.spans.iter().filter_map(|span| Some((*span.from.last()?, *span.to.last()?)));
            let links = self.links.iter().map(|(one, other, _)| (*one, *other));
            open.extend(ends.chain(links).filter_map(|(one, other)| match node {
                _ if one == node => Some(other),
                _ if other == node => Some(one),
                _ => None,
            }));
        }
        let fed = self.fed();
        let mut fences =
            self.stations.iter().filter(|station| station.is_fence && self.fed_by(station, &fed).is_some()).peekable();
        fences.peek().is_some() && fences.all(|station| station.earth.is_some_and(|earth| reached[earth]))
    }

    /// Whether any energizer feeds anything.
    pub fn is_driven(&self) -> bool {
        self.energizers.iter().any(WiredEnergizer::drives)
    }
}

impl WiredEnergizer {
    /// Whether it is known well enough, and connected.
    pub fn drives(&self) -> bool {
        self.source.is_some() && self.hot.is_some()
    }
}
