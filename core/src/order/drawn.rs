//! What is drawn by itself takes parts too: the energizer with its earth, cut-outs, jumpers.

use super::count::CABLE;
use super::take_off::Cable;
use super::{CountRule, ItemGroup, TakeOff, TakenAt};
use crate::catalogue::Catalogue;
use crate::land::Position;
use crate::plan::{EARTH_ROD_SPACING, EARTH_RODS, Feature, Geometry, Jumper, Kind, Plan, foot_on, length_m};

/// A jumper this near to a line is on it, metres on the map (`common-practice`).
const ON_LINE_M: f64 = 1.0;
/// Slack of the lead from the energizer to its earth, metres (`common-practice`).
const EARTH_LEAD_SLACK_M: f64 = 2.0;

impl TakeOff {
    /// What is drawn by itself.
    pub fn drawn(&mut self, plan: &Plan, catalogue: &Catalogue) {
        for feature in &plan.features {
            let takes = |amount: f64| TakenAt::whole(&feature.id, amount);
            match &feature.kind {
                Kind::Cutout { .. } => self.add(ItemGroup::Power, "cut-out", CountRule::Drawn, takes(1.0)),
                // A unit without a class is one whose figures the keeper read off it: it is there already.
                Kind::Energizer(energizer) => {
                    if let Some(row) = energizer.model.as_deref().and_then(|id| catalogue.energizer(id)) {
                        self.add(ItemGroup::Power, &row.id, CountRule::Drawn, takes(1.0));
                    }
                }
                Kind::Earth { rods, spacing, .. } => {
                    let rods = f64::from(rods.unwrap_or(EARTH_RODS));
                    self.add(ItemGroup::Power, "earth-rod", CountRule::Drawn, takes(rods));
                    self.add(ItemGroup::Power, "earth-clamp", CountRule::Drawn, takes(rods));
                    let between_m = (rods - 1.0).max(0.0) * spacing.unwrap_or(EARTH_ROD_SPACING).as_metres();
                    self.earth_lead(plan, feature, between_m, catalogue);
                }
                Kind::Jumper(jumper) => self.jumper(plan, feature, jumper, catalogue),
                _ => {}
            }
        }
    }

    /// Insulated cable from the nearest energizer to the rods, and on from rod to rod.
    fn earth_lead(&mut self, plan: &Plan, earth: &Feature, between_m: f64, catalogue: &Catalogue) {
        let Some(at) = earth.point() else { return };
        let energizers = plan.features.iter().filter(|feature| matches!(feature.kind, Kind::Energizer(_)));
        let nearest_m = energizers.filter_map(|feature| Some(length_m(&[at, feature.point()?]))).min_by(f64::total_cmp);
        let Some(nearest_m) = nearest_m else { return };
        // Rods on a line with an earth-return strand are clamped to that.
        let nearest_m = if is_on_return(plan, at) { 0.0 } else { nearest_m };
        let lead = Cable { rule: CountRule::EarthLeads, ..drawn_cable(earth) };
        self.cable(&lead, nearest_m + between_m + EARTH_LEAD_SLACK_M, catalogue);
    }

    /// A jumper that is a point joins neighbouring strands, and lines that meet there, one by one; a drawn wire is that much cable.
    fn jumper(&mut self, plan: &Plan, feature: &Feature, jumper: &Jumper, catalogue: &Catalogue) {
        match &feature.geometry {
            Geometry::Point(at) => {
                let joints = joints_at(plan, *at, jumper);
                self.add(ItemGroup::Fittings, "jumper", CountRule::Drawn, TakenAt::whole(&feature.id, joints.max(1) as f64));
            }
            Geometry::Line(corners) => {
                let wire = drawn_cable(feature);
                self.cable(&wire, length_m(corners), catalogue);
                self.add(ItemGroup::Gates, "clamp", CountRule::Drawn, TakenAt::whole(&feature.id, 2.0));
            }
            _ => {}
        }
    }
}

/// Whether a point stands on a fence that has an earth-return strand.
fn is_on_return(plan: &Plan, at: Position) -> bool {
    let has_return = |feature: &Feature| match &feature.kind {
        Kind::Fence(fence) => plan.build(&fence.build).is_some_and(|build| build.strands.iter().any(|strand| !strand.live)),
        _ => false,
    };
    let is_near = |leg: &[Position]| foot_on([leg[0], leg[1]], at).distance_m <= ON_LINE_M;
    let lines = plan.features.iter().filter(|feature| has_return(feature));
    lines.filter_map(|feature| feature.line()).any(|corners| corners.windows(2).any(is_near))
}

fn drawn_cable(feature: &Feature) -> Cable<'_> {
    Cable { id: CABLE, conductors: 1, rule: CountRule::Drawn, feature: &feature.id, station: None }
}

/// How many pieces join the strands of all lines at a place to one.
fn joints_at(plan: &Plan, at: Position, jumper: &Jumper) -> usize {
    let is_named = |feature: &Feature| jumper.lines.is_empty() || jumper.lines.iter().any(|id| id == feature.id.as_str());
    let lines = plan.features.iter().filter(|feature| feature.kind.carries_strands() && is_named(feature));
    let is_near = |leg: &[Position]| foot_on([leg[0], leg[1]], at).distance_m <= ON_LINE_M;
    let near = lines.filter(|feature| feature.line().is_some_and(|corners| corners.windows(2).any(is_near)));
    let strands: usize = near.map(|feature| joined_strands(plan, &feature.kind, jumper)).sum();
    strands.saturating_sub(1)
}

fn joined_strands(plan: &Plan, kind: &Kind, jumper: &Jumper) -> usize {
    match kind {
        Kind::Fence(_) if !jumper.strands.is_empty() => jumper.strands.len(),
        Kind::Fence(fence) => {
            plan.build(&fence.build).map_or(0, |build| build.strands.iter().filter(|strand| strand.live).count())
        }
        Kind::LeadOut(lead_out) => lead_out.conductors.unwrap_or(1) as usize,
        _ => 0,
    }
}
