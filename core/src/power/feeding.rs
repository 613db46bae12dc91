//! What drives the network: energizers with their earth, and rods along earth strands.

use super::courses::Course;
use super::earth::{Rod, rods_ohm};
use super::effects::weakened;
use super::energizer::{Energizer, Printed};
use super::wire_up::Builder;
use super::wiring::{EarthRods, WiredEarth, WiredEnergizer, WiredShunt};
use crate::land::MapPoint;
use crate::plan::{EARTH_ROD_DIAMETER, EARTH_ROD_LENGTH, EARTH_ROD_SPACING, EARTH_RODS, Fault, Feature, Kind, Plan};

/// How far from a line an energizer may stand and still be taken as connected to it, on the map.
pub const CONNECTED_WITHIN_M: f64 = 10.0;
/// The earth of an energizer that has none drawn within this is assumed.
pub const EARTH_WITHIN_M: f64 = 200.0;
/// The earth that is assumed where none is drawn, and what a drawn one has that says less (`common-practice`).
pub const USUAL_EARTH: EarthRods =
    EarthRods { count: EARTH_RODS as usize, length: EARTH_ROD_LENGTH, diameter: EARTH_ROD_DIAMETER, spacing: EARTH_ROD_SPACING };
/// Resistance of no earth at all, ohm.
const NO_EARTH_OHM: f64 = 1e9;

impl Builder<'_> {
    /// Rods beside a line with an earth strand are bonded to it.
    pub fn earth_rail(&mut self, courses: &[Course], feature: &Feature) {
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

    /// Every energizer at the line next to it, lead-outs first, with the rods next to it.
    pub fn connect_energizers(&mut self, courses: &[Course]) {
        let plan = self.from.plan;
        for feature in &plan.features {
            let (Kind::Energizer(unit), Some(at)) = (&feature.kind, self.on_map(feature)) else { continue };
            let figures = unit.figures(self.from.catalogue);
            let source = figures.and_then(|figures| Energizer::fit(Printed::from(&figures)).ok());
            let near = courses.iter().filter_map(|course| {
                course.nearest(self.from.network, at).map(|(off_m, rails)| (off_m, course.is_fence(), rails))
            });
            let near = near.filter(|(off_m, ..)| *off_m <= CONNECTED_WITHIN_M);
            let hot = near.min_by(|one, other| one.1.cmp(&other.1).then(one.0.total_cmp(&other.0)));
            let rods = plan.features.iter().filter(|feature| matches!(feature.kind, Kind::Earth { .. }));
            let rods = rods.filter_map(|feature| Some((self.on_map(feature)?.distance_m(at), feature)));
            let rods = rods.filter(|(off_m, _)| *off_m <= EARTH_WITHIN_M).min_by(|one, other| one.0.total_cmp(&other.0));
            let earth_at = rods.and_then(|(_, feature)| self.on_map(feature)).unwrap_or(at);
            let mut earth = self.earth_of(rods.map(|(_, feature)| feature.as_ref()), earth_at);
            earth.ohm = weakened(faults(plan), earth.ohm);
            self.wiring.energizers.push(WiredEnergizer {
                id: feature.id.clone(),
                source,
                hot: hot.map(|(.., rails)| rails.hot),
                earth_strands: hot.and_then(|(.., rails)| rails.earth),
                earth,
            });
        }
    }
}

fn faults(plan: &Plan) -> impl Iterator<Item = &Fault> {
    plan.features.iter().filter_map(|feature| match &feature.kind {
        Kind::Fault(fault) => Some(fault),
        _ => None,
    })
}

impl EarthRods {
    /// Resistance of the row in ground of this resistivity, ohm.
    pub fn ohm(&self, soil_ohm_m: f64) -> f64 {
        let rod = Rod { length_m: self.length.as_metres().max(0.1), radius_m: (self.diameter.as_metres() / 2.0).max(1e-3) };
        rods_ohm(rod, self.count, self.spacing.as_metres().max(0.1), soil_ohm_m).unwrap_or(NO_EARTH_OHM)
    }
}
