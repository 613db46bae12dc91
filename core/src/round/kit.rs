//! What is taken along: what every round carries, and what the faults take that are likely on this fence by the next round.

use super::fence::Goes;
use crate::catalogue::{Catalogue, FaultPer, FaultRow, Hemisphere, KitKind, KitRow, YEAR_DAYS};
use crate::land::Position;
use crate::plan::{FeatureId, Kind, Plan};
use jiff::ToSpan;
use jiff::civil::Date;

/// Days from one round to the next.
///
/// # Source
/// Key `maintenance-page`: weekly.
pub const USUAL_DAYS: i32 = 7;
/// What is wanted for a fault is carried where it comes more often than once in twenty rounds, and enough of it for nineteen of twenty.
///
/// # Source
/// Key `common-practice`.
const SURE: f64 = 0.95;
/// Kit rows that stand for each kind of insulator, of wire, and for what only wood posts take.
const INSULATOR: &str = "insulator";
const WIRE: &str = "wire-10m";
const STAPLE: &str = "staple";

/// A fault that may have come since the last round.
#[derive(Clone, Debug, PartialEq)]
pub struct Likely {
    /// Id of its row.
    pub fault: String,
    /// How many are expected.
    pub expected: f64,
}

/// One thing that is taken along.
#[derive(Clone, Debug, PartialEq)]
pub struct Carried {
    /// Id of its row in the kit.
    pub kit: String,
    /// Whether it is used up.
    pub kind: KitKind,
    /// The kinds that this fence takes, by their ids in the catalogue; none where it has but one.
    pub of: Vec<String>,
    /// How many, of each kind.
    pub count: u32,
    /// The likely faults that it is for; none of what every round carries.
    pub faults: Vec<String>,
}

/// How many faults of each kind are expected between two rounds, the most likely first; over the whole year's mean without a day.
pub(super) fn likely(goes: &Goes, catalogue: &Catalogue, on: Option<Date>) -> Vec<Likely> {
    let is_fence = |id: &FeatureId| goes.plan.feature(id).is_some_and(|feature| matches!(feature.kind, Kind::Fence(_)));
    let fences = goes.outcome.lines.iter().filter(|line| is_fence(&line.id));
    let km = fences.map(|line| line.measure.ground_length.as_metres()).sum::<f64>() / 1000.0;
    let count = |is_meant: fn(&Kind) -> bool| goes.plan.features.iter().filter(|feature| is_meant(&feature.kind)).count() as f64;
    let keeps = |species: &str| goes.plan.head.stock.iter().any(|group| group.species == species && group.head > 0);
    let hemisphere = hemisphere(goes.plan);
    let years = |row: &FaultRow| match on.and_then(|on| Some((on, on.checked_sub(USUAL_DAYS.days()).ok()?))) {
        Some((on, last)) => row.years_between(last, on, hemisphere),
        None => f64::from(USUAL_DAYS) / YEAR_DAYS,
    };
    let there_is = |row: &FaultRow| match row.per {
        FaultPer::Km => km,
        FaultPer::Gate => count(|kind| matches!(kind, Kind::Gate(_))),
        FaultPer::System => count(|kind| matches!(kind, Kind::Energizer(_))),
    };
    let can_be = catalogue.faults.iter().filter(|row| row.only_behind.as_deref().is_none_or(keeps));
    let mut all: Vec<Likely> =
        can_be.map(|row| Likely { fault: row.id.clone(), expected: row.per_year * there_is(row) * years(row) }).collect();
    all.retain(|one| one.expected > 0.0);
    all.sort_by(|one, other| other.expected.total_cmp(&one.expected));
    all
}

/// What is taken along for these faults.
pub(super) fn kit(goes: &Goes, catalogue: &Catalogue, likely: &[Likely]) -> Vec<Carried> {
    let carried = |row: &KitRow| {
        let (mut count, mut faults) = (row.always, Vec::new());
        for one in likely.iter().filter(|one| (-one.expected).exp() < SURE) {
            let Some(fault) = catalogue.fault(&one.fault) else { continue };
            let each = fault.parts.iter().find(|part| part.kit == row.id).map(|part| part.each);
            let is_tool = fault.tools.contains(&row.id);
            if let Some(each) = each {
                count = count.max((each * f64::from(enough(one.expected))).ceil() as u32);
            } else if is_tool {
                count = count.max(1);
            }
            if each.is_some() || is_tool {
                faults.push(one.fault.clone());
            }
        }
        let of = kinds(goes, catalogue, &row.id)?;
        (count > 0).then(|| Carried { kit: row.id.clone(), kind: row.kind, of, count, faults })
    };
    catalogue.kits.iter().filter_map(carried).collect()
}

/// The kinds of a thing that this fence takes; `None` where it takes none of it.
fn kinds(goes: &Goes, catalogue: &Catalogue, kit: &str) -> Option<Vec<String>> {
    let ordered = |is_meant: &dyn Fn(&str) -> bool| -> Vec<String> {
        let items = goes.outcome.order.items.iter().filter(|item| is_meant(&item.id));
        items.map(|item| item.id.clone()).collect()
    };
    match kit {
        INSULATOR => Some(ordered(&|id| catalogue.insulator(id).is_some())).filter(|kinds| !kinds.is_empty()),
        WIRE => {
            let of_builds =
                |id: &str| goes.plan.head.builds.iter().any(|build| build.strands.iter().any(|strand| strand.wire == id));
            Some(ordered(&|id| catalogue.wire(id).is_some() && of_builds(id))).filter(|kinds| !kinds.is_empty())
        }
        STAPLE => (!ordered(&|id| id == STAPLE).is_empty()).then(Vec::new),
        _ => Some(Vec::new()),
    }
}

/// The least number that is enough in nineteen of twenty rounds, faults coming by chance (Poisson's distribution).
///
/// # Units
/// Pure numbers.
/// # Valid for
/// Faults that come one by one, up to some dozens.
/// # Source
/// Key `gamma-poisson`.
fn enough(expected: f64) -> u32 {
    let mut of_this = (-expected).exp();
    let mut sum = of_this;
    let mut number = 0;
    while sum < SURE && number < 100 {
        number += 1;
        of_this *= expected / f64::from(number);
        sum += of_this;
    }
    number.max(1)
}

fn hemisphere(plan: &Plan) -> Hemisphere {
    let first: Option<Position> = plan.features.iter().find_map(|feature| feature.places().first().copied());
    first.map_or(Hemisphere::North, |at| Hemisphere::of_latitude(at.lat_deg()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn enough_is_carried_for_nineteen_rounds_of_twenty() {
        // Sums of Poisson's distribution: 0.5: 0.607, 0.910, 0.986; 1: 0.368, 0.736, 0.920, 0.981; 3: 0.916 up to five, 0.966 up to six.
        for (expected, number) in [(0.01, 1), (0.06, 1), (0.5, 2), (1.0, 3), (3.0, 6)] {
            assert_eq!(enough(expected), number, "{expected}");
        }
    }
}
