//! Animals that get less of the pulse than they mind, or little more, in wet ground.

use super::Checked;
use crate::catalogue::GroundState;
use crate::finding::{Bite, BiteRemedy, Finding, Place, Reason, Remedy, Rule, Unit, Weight};
use crate::plan::FeatureId;
use crate::power::{Arrived, Power, Station, felt_v};
use crate::source::SourceKey;

/// What animals should get, in times what is asked for them, before nothing needs to be said.
///
/// # Source
/// Key `poole-badgers`: what a fence keeps out grows with its voltage without a step, so any one limit is a convention.
pub const AT_EASE: f64 = 1.0;
/// Most remedies that are told.
const TOLD: usize = 4;

/// The worst place of every line whose animals get too little.
pub fn check(checked: &Checked) -> Vec<Finding> {
    let Some(power) = checked.power else { return Vec::new() };
    let Some(state) = power.state(GroundState::Wet) else { return Vec::new() };
    let mut worst: Vec<Felt> = Vec::new();
    for (station, arrived) in power.wiring.stations.iter().zip(&state.stations) {
        let Some(felt) = felt(station, arrived.as_ref()) else { continue };
        match worst.iter_mut().find(|known| known.station.line == station.line) {
            Some(known) if felt.times() < known.times() => *known = felt,
            Some(_) => {}
            None => worst.push(felt),
        }
    }
    worst.into_iter().filter(|felt| felt.times() < AT_EASE).map(|felt| finding(checked, power, &felt)).collect()
}

struct Felt<'a> {
    station: &'a Station,
    arrived: Arrived,
    animal: &'a str,
    felt_v: f64,
    asked_v: f64,
    floor_v: f64,
}

impl Felt<'_> {
    fn times(&self) -> f64 {
        self.felt_v / self.asked_v
    }
}

fn felt<'a>(station: &'a Station, arrived: Option<&Arrived>) -> Option<Felt<'a>> {
    let (arrived, bitten) = (arrived?, station.animal.as_ref()?);
    Some(Felt {
        station,
        arrived: *arrived,
        animal: &bitten.animal,
        felt_v: felt_v(arrived)?,
        asked_v: bitten.asked_v,
        floor_v: bitten.floor_v,
    })
}

fn finding(checked: &Checked, power: &Power, felt: &Felt) -> Finding {
    let helps =
        power.helps.iter().take(TOLD).map(|help| Remedy::Bite(BiteRemedy::Change(help.change.clone(), Some(help.brings))));
    let is_nothing = felt.felt_v < felt.floor_v;
    let least_v = if is_nothing { felt.floor_v } else { felt.asked_v };
    Finding {
        rule: Rule::FarEnd,
        weight: if is_nothing { Weight::MustFix } else { Weight::LookAt },
        place: place(checked, felt.station),
        value: felt.felt_v / 1e3,
        limit: Some(least_v / 1e3),
        unit: Unit::Kilovolt,
        reason: Reason::Bite(Bite::TooLittle {
            animal: felt.animal.to_owned(),
            open_v: felt.arrived.open_v,
            felt_v: felt.felt_v,
            least_v,
        }),
        remedies: helps.chain([Remedy::Bite(BiteRemedy::ReadAndClear)]).collect(),
        source: SourceKey::new("least-voltage"),
    }
}

/// A place of the network as the place of a finding.
pub(super) fn place(checked: &Checked, station: &Station) -> Place {
    Place {
        line: Some(station.line.clone()),
        station: Some(station.station),
        until: None,
        at: checked.frame.to_position(station.at),
        cell: None,
    }
}

/// A drawn point as the place of a finding.
pub(super) fn place_of_point(checked: &Checked, id: &FeatureId) -> Option<Place> {
    Some(Place { line: None, station: None, until: None, at: checked.plan.feature(id)?.point()?, cell: None })
}
