//! What lines are strung with, and what leaks along them.

use super::run::{RunOf, RunStrand};
use super::wire_up::Builder;
use super::wiring::STATES;
use crate::catalogue::{Conductor, GroundState};
use crate::hold::{LEAD_OUT_HEIGHT_M, LEAD_OUT_WIRE};
use crate::plan::{Feature, Fence, Kind, LeadOut};
use crate::units::Length;

/// Distance of the conductors of a lead-out (`common-practice`).
const CONDUCTORS_APART_M: f64 = 0.2;
/// A strand drawn lower still hangs this high, metres: a capacitance needs a distance.
const LOWEST_M: f64 = 0.03;

impl Builder<'_> {
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
        let strand = |wire: &str, height: Length, live: bool| {
            let conductor = self.from.catalogue.wire(wire)?.electrical;
            Some(self.strand(feature, conductor, height, live))
        };
        let strands: Option<Vec<RunStrand>> = match &build.net {
            Some(net) => {
                let row = self.from.catalogue.net(&net.row)?;
                row.live.iter().map(|height| strand(&row.wire, *height, true)).collect()
            }
            None => build.strands.iter().map(|hung| strand(&hung.wire, hung.height, hung.live)).collect(),
        };
        let strands = strands?;
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
        let live = (0..count).map(|index| self.strand(feature, conductor, height(index), true));
        let back = lead_out.earth_return.then(|| self.strand(feature, conductor, height(count), false));
        Some(RunOf::Strands(live.chain(back).collect()))
    }

    fn strand(&self, feature: &Feature, conductor: Conductor, height: Length, live: bool) -> RunStrand {
        let row = self.from.catalogue.leakage(feature.kind.vegetation(&self.from.plan.head.ground));
        let insulated = matches!(conductor, Conductor::Cable { .. });
        let leak = |state: GroundState| {
            row.filter(|_| !insulated).map_or(0.0, |row| row.siemens_per_m(state) * row.share_at(height) * self.leak_factor)
        };
        RunStrand { conductor, height_m: height.as_metres().max(LOWEST_M), live, leak_s_per_m: STATES.map(leak) }
    }
}
