use super::*;
use crate::check::fixture::{Scene, flat};
use crate::plan::{Kind, Paddock, StockGroup};
use crate::source::SourceKey;
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
    use crate::catalogue::Purpose;
    Paddock { stock: Some("growers".to_owned()), from, until, purpose: Some(Purpose::Interior) }
}

const SQUARE: [(f64, f64); 5] = [(-40.0, -40.0), (40.0, -40.0), (40.0, 40.0), (-40.0, 40.0), (-40.0, -40.0)];

/// A square fence with strands at 0.20 and 0.45 m around pigs of this weight.
fn said(weight_kg: f64, paddock: Paddock, on: Option<Date>) -> Vec<Finding> {
    let scene = Scene::on(flat()).fence(&SQUARE).point(Kind::Paddock(paddock), (0.0, 0.0)).keeping(&[pigs(weight_kg)], on);
    let mut all = scene.findings();
    all.retain(|finding| matches!(finding.rule, Rule::Holds | Rule::Outgrown));
    all
}

#[test]
fn a_fence_is_told_when_it_does_not_hold_while_the_stock_is_there() {
    // Strands at 0.20 and 0.45 m: pigs creep under below 18.1 kg, may do so up to 28.6 kg; from 100 kg on 0.50 m is recommended.
    let rows: [(&str, f64, Paddock, Option<Date>, &[(Rule, Weight)]); 8] = [
        ("too small today", 15.0, paddock(None, None), Some(FIRST), &[(Rule::Holds, Weight::MustFix)]),
        ("nearly too small", 20.0, paddock(None, None), Some(FIRST), &[(Rule::Holds, Weight::LookAt)]),
        ("just right", 40.0, paddock(None, Some(date(2030, 6, 1))), Some(FIRST), &[]),
        ("grown in by the day they come", 15.0, paddock(Some(date(2030, 5, 1)), Some(date(2030, 7, 1))), Some(FIRST), &[]),
        ("without a day they are as they were weighed", 15.0, paddock(None, None), None, &[(Rule::Holds, Weight::MustFix)]),
        ("gone", 15.0, paddock(None, Some(date(2030, 3, 1))), Some(FIRST), &[]),
        ("tall", 120.0, paddock(None, Some(date(2030, 5, 1))), Some(FIRST), &[(Rule::Holds, Weight::Note)]),
        ("empty", 15.0, Paddock::default(), Some(FIRST), &[]),
    ];
    for (name, weight_kg, paddock, on, expected) in rows {
        let found = said(weight_kg, paddock, on);
        assert_eq!(found.iter().map(|finding| (finding.rule, finding.weight)).collect::<Vec<_>>(), expected, "{name}: {found:?}");
    }
}

#[test]
fn a_fence_that_will_be_too_low_says_from_which_day_on_and_what_to_hang() {
    let piglets = StockGroup { weight_kg: Some(40.0), ..pigs(40.0) };
    let scene = Scene::on(flat())
        .with_strands(&[0.15, 0.40])
        .fence(&SQUARE)
        .point(Kind::Paddock(paddock(None, None)), (0.0, 0.0))
        .keeping(&[piglets], Some(FIRST));
    let found = scene.say(Rule::Outgrown);
    // 40 kg + 0.7 kg a day are 64 kg after 34.3 days: the top strand is 5 mm too low on the 35th.
    assert_eq!(found.len(), 1, "{found:?}");
    let Reason::DoesNotHold(why) = &found[0].reason else { panic!("{found:?}") };
    assert_eq!((why.from, why.days_left, why.way, why.strand), (Some(date(2030, 5, 6)), 35, WayOut::Over, Some(1)));
    assert_eq!((found[0].weight, why.holds), (Weight::Note, Some((FIRST, date(2030, 5, 5)))));
    // The top strand moved to 0.50 m would leave a gap of 0.35 m.
    assert_eq!(found[0].remedies[0], Remedy::AddStrand { at: crate::units::Length::metres(0.5), from: None });
    assert_eq!(found[0].remedies[1], Remedy::MoveStock { before: Some(date(2030, 5, 6)) });
    assert_eq!(found[0].source, SourceKey::new("fibl-pigs-2019"));
}

#[test]
fn a_fence_between_two_paddocks_is_inside_and_judged_for_each_of_them() {
    let said = |stock: Paddock| {
        Scene::on(flat())
            .fence(&SQUARE)
            .fence(&[(0.0, -40.0), (0.0, 40.0)])
            .point(Kind::Paddock(stock.clone()), (-20.0, 0.0))
            .point(Kind::Paddock(stock), (20.0, 0.0))
            .keeping(&[pigs(15.0)], Some(FIRST))
            .say(Rule::Holds)
    };
    let chosen = said(paddock(None, None));
    let purposes = |found: &[Finding]| -> Vec<String> {
        let purpose = |finding: &Finding| match &finding.reason {
            Reason::DoesNotHold(why) => format!("{:?} {:?}", why.purpose.0, why.purpose.1),
            _ => String::new(),
        };
        found.iter().map(purpose).collect()
    };
    let each = ["Interior OfPaddock", "Interior PaddocksBeyond"];
    assert_eq!(purposes(&chosen), [each[0], each[0], each[1], each[1]], "{chosen:?}");
}
