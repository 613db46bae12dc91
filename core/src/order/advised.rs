//! What a fence needs that nobody has drawn: switches, the earth of an energizer, what keeps lightning away from it.

use super::count::CABLE;
use super::take_off::Cable;
use super::{BuiltLine, CountRule, ItemGroup, TakeOff, TakenAt};
use crate::catalogue::Catalogue;
use crate::hold::Section;
use crate::land::{Frame, MapPoint};
use crate::plan::{EARTH_ROD_LENGTH, EARTH_ROD_SPACING, EARTH_RODS, Energizer, Kind, Plan};
use crate::units::Length;

/// A switch that is drawn this near serves the place, metres on the map (`common-practice`).
const SWITCH_WITHIN_M: f64 = 10.0;
/// So often a fence can be switched off in parts, metres (`common-practice`).
const SWITCH_EVERY_M: f64 = 400.0;
/// Earth rod for each joule that an energizer stores, metres: three feet (`earth-rod-sheet`).
const ROD_PER_JOULE_M: f64 = 0.9144;
/// Lead from an energizer to its first rod where the plan does not show where that is, metres (`common-practice`).
const EARTH_LEAD_M: f64 = 10.0;

impl TakeOff {
    /// Everything that is advised and not drawn.
    pub fn advised(&mut self, plan: &Plan, lines: &[BuiltLine], frame: Frame, catalogue: &Catalogue) {
        self.cut_outs(plan, lines, frame);
        let has_earth = plan.features.iter().any(|feature| matches!(feature.kind, Kind::Earth { .. }));
        for feature in &plan.features {
            let Kind::Energizer(energizer) = &feature.kind else { continue };
            let one = || TakenAt::whole(&feature.id, 1.0);
            // The arrester has a rod of its own.
            for id in ["lightning-choke", "lightning-arrester", "earth-rod", "earth-clamp"] {
                self.add(ItemGroup::Power, id, CountRule::Lightning, one());
            }
            if !has_earth {
                let rods = f64::from(rods(energizer, catalogue));
                self.add(ItemGroup::Power, "earth-rod", CountRule::EarthAdvised, TakenAt::whole(&feature.id, rods));
                self.add(ItemGroup::Power, "earth-clamp", CountRule::EarthAdvised, TakenAt::whole(&feature.id, rods));
                let between_m = (rods - 1.0) * EARTH_ROD_SPACING.as_metres();
                let rule = CountRule::EarthAdvised;
                let lead = Cable { id: CABLE, conductors: 1, rule, feature: &feature.id, station: None };
                self.cable(&lead, EARTH_LEAD_M + between_m, catalogue);
            }
        }
    }

    /// A switch behind every lead-out and one for every so many metres of a fence, at a gate where one is near; a fence with a gate has one at
    /// least. Less those that are drawn there.
    fn cut_outs(&mut self, plan: &Plan, lines: &[BuiltLine], frame: Frame) {
        let drawn = plan.features.iter().filter(|feature| matches!(feature.kind, Kind::Cutout { .. }));
        let drawn: Vec<MapPoint> = drawn.filter_map(|feature| frame.to_map(feature.point()?).ok()).collect();
        let is_served = |at: MapPoint| drawn.iter().any(|switch| switch.distance_m(at) <= SWITCH_WITHIN_M);
        for line in lines {
            let is_lead_out = plan.feature(line.id).is_some_and(|feature| matches!(feature.kind, Kind::LeadOut(_)));
            let gates = line.bays.iter().filter(|bay| bay.gate.is_some()).map(|bay| bay.from);
            let stations: Vec<Length> = if is_lead_out {
                line.section.samples.last().map(|end| Length::metres(end.station_m)).into_iter().collect()
            } else {
                let on_the_way = drawn.iter().filter(|switch| is_on(line.section, **switch)).count();
                switches(line.measure.ground_length, gates.collect(), on_the_way)
            };
            for station in stations {
                let at = line.section.sample_at_station(station.as_metres()).map(|sample| sample.at);
                if !at.is_some_and(is_served) {
                    self.add(ItemGroup::Power, "cut-out", CountRule::CutOutsAdvised, TakenAt::at(line.id, station, 1.0));
                }
            }
        }
    }
}

/// Stations of switches so far apart, each at the nearest gate that is free and not half so far off; those left out that are drawn anywhere on the
/// line.
fn switches(length: Length, mut gates: Vec<Length>, drawn: usize) -> Vec<Length> {
    let every = Length::metres(SWITCH_EVERY_M);
    let wanted = ((length / every).floor() as usize).max(usize::from(!gates.is_empty()));
    let place = |index: usize| {
        let usual = every * index as f64;
        let off = |gate: &Length| (*gate - usual).abs();
        let nearest =
            (0..gates.len()).min_by(|one, other| off(&gates[*one]).as_metres().total_cmp(&off(&gates[*other]).as_metres()));
        let is_near = |gate: &usize| off(&gates[*gate]) <= every / 2.0 || usual > length;
        nearest.filter(is_near).map_or(usual, |gate| gates.swap_remove(gate))
    };
    (drawn + 1..=wanted).map(place).collect()
}

fn is_on(section: &Section, at: MapPoint) -> bool {
    section.samples.iter().any(|sample| sample.at.distance_m(at) <= 1.0)
}

/// Rods for what it stores: so much rod for a joule, and no fewer than the usual number.
fn rods(energizer: &Energizer, catalogue: &Catalogue) -> u32 {
    let class = energizer.model.as_deref().and_then(|id| catalogue.energizer(id));
    let stored_j = energizer.stored_j.or(class.map(|class| class.figures.stored_j)).unwrap_or(0.0);
    let by_energy = (stored_j * ROD_PER_JOULE_M / EARTH_ROD_LENGTH.as_metres() - 1e-9).ceil().max(0.0);
    (by_energy as u32).max(EARTH_RODS)
}
