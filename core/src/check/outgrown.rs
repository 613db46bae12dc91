//! Strands that do not hold the stock behind them, today or from some day on.

use super::Checked;
use crate::finding::{Finding, Place, Reason, Remedy, Rule, Unit, WayOut, Weight};
use crate::plan::{Build, Feature, FeatureId, Kind, Paddock, PaddockFace, StockGroup};
use crate::source::SourceKey;
use crate::stock::{Keeping, Outgrown, StrandRemedy, days_between, outgrown, shoulder, weight_on};
use crate::units::Length;
use jiff::ToSpan;
use jiff::civil::Date;

/// How far ahead stock is looked at whose last day in a paddock is not known (`common-practice`: half a year).
pub const LOOK_AHEAD_DAYS: i32 = 180;
/// Days before the strands are outgrown from which on somebody has to see to it (`common-practice`).
pub const SOON_DAYS: i32 = 30;

/// One finding for each paddock and each build around it that does not hold its stock from the day it is there until it leaves.
pub fn check_plan(checked: &Checked) -> Vec<Finding> {
    let Some(on) = checked.on else { return Vec::new() };
    checked.paddocks.iter().flat_map(|face| of_paddock(checked, on, face)).collect()
}

/// Stock in a paddock, from today or the day it comes, until it leaves.
struct Stay<'a> {
    group: &'a StockGroup,
    today: Date,
    on: Date,
    until: Date,
}

fn of_paddock(checked: &Checked, on: Date, face: &PaddockFace) -> Vec<Finding> {
    let Some(stay) = checked.plan.feature(&face.id).and_then(|feature| stay(checked, on, feature)) else { return Vec::new() };
    let mut seen: Vec<&Build> = Vec::new();
    let mut found = Vec::new();
    for (line, build) in face.lines.iter().filter_map(|line| built(checked, line)) {
        if !seen.iter().any(|other| other.id == build.id) {
            seen.push(build);
            found.extend(judge(checked, &stay, line, build));
        }
    }
    found
}

/// Who is in a paddock, and how long; `None` for an empty one and one that they have left.
fn stay<'a>(checked: &Checked<'a>, today: Date, feature: &Feature) -> Option<Stay<'a>> {
    let Kind::Paddock(Paddock { stock, from, until }) = &feature.kind else { return None };
    let group = checked.plan.head.stock.iter().find(|group| Some(&group.id) == stock.as_ref())?;
    let on = from.map_or(today, |from| from.max(today));
    let until = until.unwrap_or_else(|| on.saturating_add(LOOK_AHEAD_DAYS.days()));
    (until >= on).then_some(Stay { group, today, on, until })
}

fn built<'a>(checked: &Checked<'a>, line: &FeatureId) -> Option<(&'a Feature, &'a Build)> {
    let feature = checked.plan.feature(line)?;
    let Kind::Fence(fence) = &feature.kind else { return None };
    Some((feature.as_ref(), checked.plan.build(&fence.build)?))
}

fn judge(checked: &Checked, stay: &Stay, line: &Feature, build: &Build) -> Option<Finding> {
    let heights: Vec<Length> = build.strands.iter().map(|strand| strand.height).collect();
    let keeping = Keeping { groups: std::slice::from_ref(stay.group), on: stay.on, until: stay.until };
    let (day, lack, remedy) = match outgrown(&heights, &keeping, checked.catalogue) {
        Outgrown::Unknown | Outgrown::NotBefore { .. } => return None,
        Outgrown::Now { lack, remedy, .. } => (stay.on, lack, remedy),
        Outgrown::From { day, lack, remedy, .. } => (day, lack, remedy),
    };
    let days_left = days_between(stay.today, day);
    let from = (days_left > 0).then_some(day);
    let weight = match days_left {
        ..=0 => Weight::MustFix,
        1..=SOON_DAYS => Weight::LookAt,
        _ => Weight::Note,
    };
    let animals = &checked.catalogue.animals;
    let weight_kg = weight_on(stay.group, animals, day)?.kg;
    let reason = Reason::DoesNotHold {
        group: stay.group.id.clone(),
        way: lack.way,
        strand: lack.strand,
        from,
        days_left,
        weight_kg,
        shoulder: shoulder(animals, &stay.group.species, weight_kg)?.height,
    };
    Some(Finding {
        rule: Rule::Outgrown,
        weight,
        place: middle(line)?,
        value: lack.value.as_metres(),
        limit: Some(lack.allowed.as_metres()),
        unit: Unit::Metre,
        reason,
        remedies: remedy.map(hang).into_iter().chain([Remedy::MoveStock { before: from }]).collect(),
        source: match lack.way {
            WayOut::Under => SourceKey::new("honda-2022"),
            WayOut::Between | WayOut::Over => SourceKey::new("common-practice"),
        },
    })
}

fn hang(remedy: StrandRemedy) -> Remedy {
    match remedy {
        StrandRemedy::Move { strand, to, from_day } => Remedy::MoveStrand { strand, to, from: from_day },
        StrandRemedy::Add { at, from_day } => Remedy::AddStrand { at, from: from_day },
        StrandRemedy::Usual { strands, from_day, .. } => Remedy::HangStrands { heights: strands, from: from_day },
    }
}

/// The whole line, with a corner about its middle to look at.
fn middle(line: &Feature) -> Option<Place> {
    let corners = line.line()?;
    let at = *corners.get(corners.len() / 2)?;
    Some(Place { line: Some(line.id.clone()), station: None, until: None, at, cell: None })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, flat};
    use jiff::civil::date;

    const FIRST: Date = date(2030, 4, 1);

    fn pigs(weight_kg: f64) -> StockGroup {
        StockGroup {
            id: "growers".to_owned(),
            species: "pig".to_owned(),
            head: 8,
            weight_kg: Some(weight_kg),
            as_of: Some(FIRST),
            gain_kg_per_day: Some(0.7),
            ..StockGroup::default()
        }
    }

    fn paddock(from: Option<Date>, until: Option<Date>) -> Paddock {
        Paddock { stock: Some("growers".to_owned()), from, until }
    }

    /// A square fence with strands at 0.20 and 0.45 m around pigs of this weight.
    fn said(weight_kg: f64, paddock: Paddock, on: Option<Date>) -> Vec<Finding> {
        Scene::on(flat())
            .fence(&[(-40.0, -40.0), (40.0, -40.0), (40.0, 40.0), (-40.0, 40.0), (-40.0, -40.0)])
            .point(Kind::Paddock(paddock), (0.0, 0.0))
            .keeping(&[pigs(weight_kg)], on)
            .say(Rule::Outgrown)
    }

    #[test]
    fn strands_are_called_outgrown_when_they_do_not_hold_while_the_stock_is_there() {
        // Strands at 0.20 and 0.45 m: pigs creep under below a shoulder of 0.40 m (35.3 kg), step over from 0.75 m on (200 kg).
        let rows: [(&str, f64, Paddock, Option<Date>, &[Weight]); 10] = [
            ("too small today", 20.0, paddock(None, None), Some(FIRST), &[Weight::MustFix]),
            ("just right", 60.0, paddock(None, None), Some(FIRST), &[]),
            ("grown in by the day they come", 20.0, paddock(Some(date(2030, 7, 1)), Some(date(2030, 9, 1))), Some(FIRST), &[]),
            ("too small on the day they come", 15.0, paddock(Some(date(2030, 4, 20)), None), Some(FIRST), &[Weight::LookAt]),
            ("without a day nothing is said", 20.0, paddock(None, None), None, &[]),
            ("gone", 20.0, paddock(None, Some(date(2030, 3, 1))), Some(FIRST), &[]),
            ("too tall in months", 120.0, paddock(None, None), Some(FIRST), &[Weight::Note]),
            ("too tall within the month", 190.0, paddock(None, None), Some(FIRST), &[Weight::LookAt]),
            ("gone before that", 190.0, paddock(None, Some(date(2030, 4, 10))), Some(FIRST), &[]),
            ("empty", 20.0, Paddock::default(), Some(FIRST), &[]),
        ];
        for (name, weight_kg, paddock, on, expected) in rows {
            let found = said(weight_kg, paddock, on);
            assert_eq!(found.iter().map(|finding| finding.weight).collect::<Vec<_>>(), expected, "{name}: {found:?}");
        }
    }

    #[test]
    fn the_finding_says_from_which_day_on_and_what_to_hang_before() {
        let found = said(190.0, paddock(None, None), Some(FIRST));
        let Reason::DoesNotHold { group, way, strand, from, days_left, weight_kg, shoulder } = &found[0].reason else { panic!() };
        // 200 kg is the catalogue's sow of 0.75 m; a tenth of a millimetre more is 15 days of 0.7 kg.
        assert_eq!(
            (group.as_str(), *way, *strand, *from, *days_left),
            ("growers", WayOut::Over, Some(1), Some(date(2030, 4, 16)), 15)
        );
        assert!((weight_kg - 200.5).abs() < 1e-9 && (shoulder.as_metres() - 0.75).abs() < 0.002, "{weight_kg} {shoulder:?}");
        assert!((found[0].value - 0.45).abs() < 1e-9 && found[0].limit.is_some_and(|limit| limit > 0.45));
        assert!(matches!(found[0].remedies[0], Remedy::MoveStrand { strand: 1, from: FIRST, .. }), "{:?}", found[0].remedies);
        assert_eq!(found[0].remedies[1], Remedy::MoveStock { before: Some(date(2030, 4, 16)) });
    }

    #[test]
    fn a_fence_between_two_paddocks_is_judged_for_each_of_them() {
        let square = [(-40.0, -40.0), (40.0, -40.0), (40.0, 40.0), (-40.0, 40.0), (-40.0, -40.0)];
        let found = Scene::on(flat())
            .fence(&square)
            .fence(&[(0.0, -40.0), (0.0, 40.0)])
            .point(Kind::Paddock(paddock(None, None)), (-20.0, 0.0))
            .point(Kind::Paddock(paddock(None, None)), (20.0, 0.0))
            .keeping(&[pigs(20.0)], Some(FIRST))
            .say(Rule::Outgrown);
        assert_eq!(found.len(), 2, "one for each paddock, all its lines having one build: {found:?}");
        assert_eq!(found[0].source, SourceKey::new("honda-2022"));
    }
}
