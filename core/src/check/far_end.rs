//! Animals that get less of the pulse than they mind, or hardly more, in the state of the ground that is worst.

use super::Checked;
use crate::catalogue::GroundState;
use crate::finding::{Bite, BiteChange, BiteRemedy, Finding, Place, Reason, Remedy, Rule, Unit, Weight};
use crate::plan::FeatureId;
use crate::power::{Arrived, Helped, Power, Station, felt_v, is_judged, own_state};
use crate::source::SourceKey;

/// What animals should get, in times what is asked for them.
///
/// # Source
/// Key `poole-badgers`: what a fence keeps out grows with its voltage without a step, so any one limit is a convention.
pub const AT_EASE: f64 = 1.0;
/// Below so many times what is asked for them it is noted that the margin is thin (`common-practice`).
const THIN: f64 = 1.2;
/// Most changes that are told one by one.
const TOLD: usize = 4;

/// The worst place of every line whose animals get too little, in the state of the ground that is worst there.
pub fn check(checked: &Checked) -> Vec<Finding> {
    let Some(power) = checked.power else { return Vec::new() };
    let own = own_state(checked.plan);
    let mut found: Vec<(&FeatureId, Option<Felt>, Option<Felt>)> = Vec::new();
    for state in &power.states {
        let judged = is_judged(state.state, own);
        for (index, (station, arrived)) in power.wiring.stations.iter().zip(&state.stations).enumerate() {
            let Some(felt) = felt((index, station), arrived.as_ref(), state.state) else { continue };
            let known = match found.iter_mut().find(|known| *known.0 == station.line) {
                Some(known) => known,
                None => {
                    found.push((&station.line, None, None));
                    let Some(last) = found.last_mut() else { continue };
                    last
                }
            };
            let worst = if judged { &mut known.1 } else { &mut known.2 };
            if worst.as_ref().is_none_or(|worst| felt.times() < worst.times()) {
                *worst = Some(felt);
            }
        }
    }
    let say = |(_, judged, frost): (&FeatureId, Option<Felt>, Option<Felt>)| {
        let thin =
            |felt: &Felt| felt.times() < THIN && (felt.state == GroundState::Wet || felt.state == own || felt.times() < AT_EASE);
        let judged = judged.filter(thin).map(|felt| finding(checked, power, &felt, own));
        // In frost that the plan does not speak of, little is a note.
        judged.or_else(|| Some(in_frost(finding(checked, power, &frost.filter(|felt| felt.times() < AT_EASE)?, own))))
    };
    found.into_iter().filter_map(say).collect()
}

fn in_frost(finding: Finding) -> Finding {
    Finding { weight: Weight::Note, remedies: vec![Remedy::Bite(BiteRemedy::ReadAndClear)], ..finding }
}

struct Felt<'a> {
    index: usize,
    station: &'a Station,
    state: GroundState,
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

fn felt<'a>((index, station): (usize, &'a Station), arrived: Option<&Arrived>, state: GroundState) -> Option<Felt<'a>> {
    let (arrived, bitten) = (arrived?, station.animal.as_ref()?);
    Some(Felt {
        index,
        station,
        state,
        arrived: *arrived,
        animal: &bitten.animal,
        felt_v: felt_v(arrived)?,
        asked_v: bitten.asked_v,
        floor_v: bitten.floor_v,
    })
}

fn finding(checked: &Checked, power: &Power, felt: &Felt, own: GroundState) -> Finding {
    let (animal, state) = (felt.animal.to_owned(), felt.state.word());
    let (open_v, felt_v, asked_v) = (felt.arrived.open_v, felt.felt_v, felt.asked_v);
    let is_nothing = felt_v < felt.floor_v;
    let least_v = if is_nothing { felt.floor_v } else { asked_v };
    let reason = if felt.times() < AT_EASE {
        Bite::TooLittle { animal, state, own: in_own_state(power, felt, own), open_v, felt_v, least_v }
    } else {
        Bite::ThinMargin { animal, state, open_v, felt_v, asked_v }
    };
    let weight = match () {
        () if is_nothing => Weight::MustFix,
        () if felt.times() < AT_EASE => Weight::LookAt,
        () => Weight::Note,
    };
    let row = checked.catalogue.animals.iter().find(|row| row.id == felt.animal);
    let source = row.map(|row| row.sources.of(if is_nothing { "floor_v" } else { "asked_v" }).clone());
    Finding {
        rule: Rule::FarEnd,
        weight,
        place: place(checked, felt.station),
        value: felt_v / 1e3,
        limit: Some(least_v / 1e3),
        unit: Unit::Kilovolt,
        reason: Reason::Bite(reason),
        remedies: if felt.times() < AT_EASE { remedies(&power.helps) } else { vec![Remedy::Bite(BiteRemedy::ReadAndClear)] },
        source: source.unwrap_or_else(|| SourceKey::new("least-voltage")),
    }
}

/// What the animal gets at the same place in the state that the plan says, where that is another.
fn in_own_state(power: &Power, felt: &Felt, own: GroundState) -> Option<(&'static str, f64)> {
    let arrived = power.state(own).filter(|_| own != felt.state)?.stations.get(felt.index)?.as_ref()?;
    Some((own.word(), felt_v(arrived)?))
}

/// The cheapest and likeliest changes first, then those that reach it together; where none does, that is said.
fn remedies(helps: &[Helped]) -> Vec<Remedy> {
    let is_together = |help: &&Helped| matches!(help.change, BiteChange::Together(_));
    let change = |help: &Helped| Remedy::Bite(BiteRemedy::Change(help.change.clone(), Some(help.brings)));
    let alone = helps.iter().filter(|help| !is_together(help));
    // One that reaches it is told, wherever it stands.
    let reaches = alone.clone().position(Helped::reaches);
    let told = alone.enumerate().filter(|(index, _)| *index < TOLD || Some(*index) == reaches).map(|(_, help)| change(help));
    let mut all: Vec<Remedy> = told.collect();
    all.extend(helps.iter().filter(is_together).map(change));
    if !helps.is_empty() && !helps.iter().any(Helped::reaches) {
        all.push(Remedy::Bite(BiteRemedy::NothingReaches));
    }
    if !helps.iter().any(|help| matches!(help.change, BiteChange::Growth { .. })) {
        all.push(Remedy::Bite(BiteRemedy::ReadAndClear));
    }
    all
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
