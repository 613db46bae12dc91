//! Two energizers on the same wires, or whose fences come too near each other.

use super::Checked;
use super::far_end::{place, place_of_point};
use crate::finding::{Bite, BiteRemedy, Finding, Place, Reason, Remedy, Rule, Unit, Weight};
use crate::power::{Power, Station, WiredEnergizer};

/// Every energizer but the first on the same wires, and the nearest place of two fences that are fed apart.
pub fn check(checked: &Checked) -> Vec<Finding> {
    let Some(power) = checked.power.filter(|power| power.wiring.energizers.len() > 1) else { return Vec::new() };
    let fed = power.wiring.fed();
    let driving: Vec<&WiredEnergizer> = power.wiring.energizers.iter().filter(|unit| unit.drives()).collect();
    let joined = driving.iter().enumerate().filter_map(|(number, unit)| {
        let by = power.wiring.fed_at(unit, &fed)?;
        let other = driving.get(by).filter(|_| by != number)?;
        let reason = Bite::TwoEnergizers { other: other.id.clone() };
        Some(finding(checked, place_of_point(checked, &unit.id)?, (0.0, None), reason, BiteRemedy::OneEnergizer))
    });
    joined.chain(too_near(checked, power, &fed)).collect()
}

fn too_near(checked: &Checked, power: &Power, fed: &[Option<usize>]) -> Option<Finding> {
    let stations: Vec<(&Station, usize)> = power
        .wiring
        .stations
        .iter()
        .filter(|station| station.is_fence)
        .filter_map(|station| Some((station, power.wiring.fed_by(station, fed)?)))
        .collect();
    let pieces = || stations.windows(2).filter(|pair| pair[0].0.line == pair[1].0.line);
    let mut nearest: Option<(f64, &Station, &Station)> = None;
    for (station, by) in &stations {
        for piece in pieces().filter(|piece| piece[0].1 != *by) {
            let off_m = crate::hold::along::distance_m(station.at, piece[0].0.at, piece[1].0.at);
            if nearest.is_none_or(|(known_m, ..)| off_m < known_m) {
                nearest = Some((off_m, station, piece[0].0));
            }
        }
    }
    let apart = checked.code().fences_apart.value;
    let (off_m, station, other) = nearest.filter(|(off_m, ..)| *off_m < apart.as_metres())?;
    let reason = Bite::FencesTooNear { other: other.line.clone() };
    let numbers = (off_m, Some(apart.as_metres()));
    Some(finding(checked, place(checked, station), numbers, reason, BiteRemedy::KeepApart(apart)))
}

fn finding(checked: &Checked, place: Place, (value, limit): (f64, Option<f64>), reason: Bite, remedy: BiteRemedy) -> Finding {
    Finding {
        rule: Rule::TwoEnergizers,
        weight: Weight::MustFix,
        place,
        value,
        limit,
        unit: Unit::Metre,
        reason: Reason::Bite(reason),
        remedies: [Remedy::Bite(remedy)].into_iter().chain(checked.with_code(Vec::new())).collect(),
        source: checked.code().fences_apart.source.clone(),
    }
}
