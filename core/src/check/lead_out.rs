//! Lead-outs that take too much of the pulse on their way, in wet ground.

use super::Checked;
use super::far_end::place;
use crate::catalogue::GroundState;
use crate::finding::{Bite, BiteChange, BiteRemedy, Finding, Reason, Remedy, Rule, Unit, Weight};
use crate::plan::{Feature, Kind, LeadOut};
use crate::power::{Arrived, Station, changes};
use crate::source::SourceKey;

/// Share of the pulse over 500 ohm that a lead-out may take (`common-practice`).
pub const SHARE: f64 = 0.15;

/// Every lead-out at whose end a body gets much less than at its start.
pub fn check(checked: &Checked) -> Vec<Finding> {
    let lead_out = |feature: &Feature| match &feature.kind {
        Kind::LeadOut(lead_out) => thin(checked, feature, lead_out),
        _ => None,
    };
    checked.plan.features.iter().filter_map(|feature| lead_out(feature)).collect()
}

fn thin(checked: &Checked, feature: &Feature, lead_out: &LeadOut) -> Option<Finding> {
    let power = checked.power?;
    let state = power.state(GroundState::Wet)?;
    let on_it = power.wiring.stations.iter().zip(&state.stations).filter(|(station, _)| station.line == feature.id);
    let fed: Vec<(&Station, Arrived)> = on_it.filter_map(|(station, arrived)| Some((station, (*arrived)?))).collect();
    let by_voltage = |one: &&(&Station, Arrived), other: &&(&Station, Arrived)| one.1.loaded_v.total_cmp(&other.1.loaded_v);
    let (most, least) = (fed.iter().max_by(by_voltage)?, fed.iter().min_by(by_voltage)?);
    let (start_v, end_v) = (most.1.loaded_v, least.1.loaded_v);
    let share = 1.0 - end_v / start_v;
    let about_it = |change: &BiteChange| match change {
        BiteChange::LeadOutWire { line, .. } | BiteChange::Conductors { line, .. } => *line == feature.id,
        BiteChange::UnitNearer { .. } | BiteChange::FaultsMended => true,
        _ => false,
    };
    let remedies = || {
        let all = changes(checked.plan, checked.catalogue, &power.wiring).into_iter().filter(about_it);
        all.filter_map(|change| {
            let brings = power.helps.iter().find(|help| help.change == change).map(|help| help.brings);
            // What was tried and helps nobody noticeably is left out.
            let is_of_use = power.helps.is_empty() || brings.is_some();
            is_of_use.then_some(Remedy::Bite(BiteRemedy::Change(change, brings)))
        })
    };
    // What is lost in the ground is no fault of a lead-out that lies in it.
    (share > SHARE && !lead_out.underground).then(|| Finding {
        rule: Rule::LeadOut,
        weight: Weight::LookAt,
        place: place(checked, least.0),
        value: share * 100.0,
        limit: Some(SHARE * 100.0),
        unit: Unit::Percent,
        reason: Reason::Bite(Bite::ThinLeadOut { start_v, end_v }),
        remedies: remedies().collect(),
        source: SourceKey::new("common-practice"),
    })
}
