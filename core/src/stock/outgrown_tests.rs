use super::*;
use crate::plan::Strand;
use jiff::civil::date;
use proptest::prelude::*;

const FIRST: Date = date(2030, 4, 1);

/// Pigs that weigh this much on the first day and put on this much in a day.
fn pigs(weight_kg: f64, gain_kg_per_day: f64) -> StockGroup {
    StockGroup {
        species: "pig".to_owned(),
        head: 8,
        weight_kg: Some(weight_kg),
        as_of: Some(FIRST),
        gain_kg_per_day: Some(gain_kg_per_day),
        ..StockGroup::default()
    }
}

fn build(strands: &[f64]) -> Build {
    let strands = strands.iter().map(|height| Strand::live(Length::metres(*height), "ht-14ga")).collect();
    Build { strands, ..Build::default() }
}

fn held(strands: &[f64], group: &StockGroup, until: Date) -> HeldDays {
    let keeping = Keeping { group, purpose: Purpose::Interior, on: FIRST, until };
    held_days(&build(strands), &keeping, Catalogue::built_in()).expect("known")
}

fn days(on: &Option<OnDay>) -> Option<i32> {
    on.as_ref().map(|on| days_between(FIRST, on.day))
}

#[test]
fn strands_for_piglets_have_to_be_looked_at_from_sixty_four_kilograms_on() {
    // T(w) = 0.40 m + 0.05 m (w - 60) / 40 is 0.405 m at 64 kg: from 9 kg at 0.3 kg a day after 183.3 days, so on the 184th.
    let group = pigs(9.0, 0.3);
    let found = held(&[0.10, 0.25, 0.40], &group, date(2031, 4, 1));
    assert_eq!((found.look_at.is_none(), found.until), (true, day_after(FIRST, DAYS_LOOKED_AT)), "not within 180 days");
    let ten_days_later = StockGroup { weight_kg: Some(12.0), ..group };
    let found = held(&[0.10, 0.25, 0.40], &ten_days_later, date(2031, 4, 1));
    assert_eq!((days(&found.look_at), days(&found.must_fix)), (Some(174), None));
    assert_eq!(found.look_at.expect("a day").verdict.way, Some(WayOut::Over));
    assert_eq!(found.holds, Some((FIRST, day_after(FIRST, 173))));
    assert!(matches!(found.remedy, Some(StrandRemedy::Move { strand: 2, from_day: None, .. })), "{:?}", found.remedy);
}

#[test]
fn a_fence_that_is_wide_for_small_animals_becomes_good_on_a_day() {
    // Strands at 0.20 and 0.45 m: must be mended below 18.1 kg, to be looked at until 28.6 kg.
    let found = held(&[0.20, 0.45], &pigs(15.0, 0.5), date(2030, 6, 1));
    assert_eq!(found.now.verdict.grade, Grade::MustFix);
    let (from, to) = found.holds.expect("they grow into it");
    assert_eq!((days_between(FIRST, from), to), (28, date(2030, 6, 1)), "15 kg + 27.2 days of 0.5 kg");
    assert_eq!((found.look_at, found.must_fix), (None, None), "it only gets better");
    assert!(found.remedy.is_some());
}

#[test]
fn strands_that_hold_until_the_animals_leave_are_left_alone() {
    let leaving = date(2030, 6, 15);
    let found = held(&[0.10, 0.25, 0.40], &pigs(15.0, 0.55), leaving);
    assert_eq!((&found.look_at, &found.must_fix, found.holds, &found.remedy), (&None, &None, Some((FIRST, leaving)), &None));
    // A last day before the first is no look ahead at all.
    assert_eq!(held(&[0.10, 0.25, 0.40], &pigs(15.0, 0.55), date(2029, 1, 1)).until, FIRST);
    // Animals that do not grow are held as long as they stay.
    assert_eq!(held(&[0.10, 0.25, 0.40], &pigs(15.0, 0.0), leaving).holds, Some((FIRST, leaving)));
}

#[test]
fn nothing_is_said_about_unknown_animals() {
    let all = Catalogue::built_in();
    let newts = StockGroup { species: "newt".to_owned(), ..pigs(0.01, 0.0) };
    let keeping = Keeping { group: &newts, purpose: Purpose::Interior, on: FIRST, until: FIRST };
    assert_eq!(held_days(&build(&[0.1]), &keeping, all), None);
}

#[test]
fn what_is_proposed_holds_from_its_day_on() {
    let rows: [(&[f64], StockGroup); 7] = [
        (&[0.30, 0.60], pigs(15.0, 0.5)),
        (&[0.15, 0.21], pigs(25.0, 0.6)),
        (&[0.10, 0.20], pigs(9.0, 0.3)),
        (&[0.40], pigs(40.0, 0.0)),
        (&[], pigs(40.0, 0.0)),
        (&[0.55], StockGroup { species: "cattle".to_owned(), class: Some("cow".to_owned()), ..pigs(600.0, 0.0) }),
        (&[0.20, 0.44], StockGroup { species: "sheep".to_owned(), class: Some("lamb".to_owned()), ..pigs(20.0, 0.2) }),
    ];
    for (strands, group) in rows {
        let until = date(2030, 7, 1);
        let found = held(strands, &group, until);
        let remedy = found.remedy.clone().unwrap_or_else(|| panic!("{strands:?} {group:?}"));
        let mut heights = strands.to_vec();
        let from = match remedy {
            StrandRemedy::Move { strand, to, from_day } => {
                heights[strand] = to.as_metres();
                from_day
            }
            StrandRemedy::Add { at, from_day } => {
                heights.push(at.as_metres());
                from_day
            }
            StrandRemedy::Usual { strands, from_day, .. } => {
                heights = strands.iter().map(|height| height.as_metres()).collect();
                from_day
            }
            StrandRemedy::Join { .. } | StrandRemedy::Net { .. } => panic!("strands do, and all are live: {strands:?}"),
        };
        heights.sort_by(f64::total_cmp);
        let keeping = Keeping { group: &group, purpose: Purpose::Interior, on: from.unwrap_or(FIRST), until };
        let after = held_days(&build(&heights), &keeping, Catalogue::built_in()).expect("known");
        assert!(after.now.verdict.grade <= Grade::Note && after.must_fix.is_none(), "{strands:?} -> {heights:?}: {after:?}");
    }
}

#[test]
fn dead_strands_that_would_do_are_joined_before_any_is_hung() {
    let ewes = StockGroup { species: "sheep".to_owned(), class: Some("ewe".to_owned()), ..pigs(70.0, 0.0) };
    for (dead, expected) in [(&[0, 1, 2][..], vec![0, 1, 2]), (&[0], vec![]), (&[], vec![])] {
        let mut built = build(&[0.15, 0.33, 0.55, 0.85]);
        dead.iter().for_each(|strand: &usize| built.strands[*strand].live = false);
        let keeping = Keeping { group: &ewes, purpose: Purpose::Interior, on: FIRST, until: date(2030, 7, 1) };
        let found = held_days(&built, &keeping, Catalogue::built_in()).expect("known");
        let joined = match found.remedy {
            Some(StrandRemedy::Join { strands, .. }) => strands,
            other => other.map_or_else(Vec::new, |other| panic!("{dead:?}: {other:?}")),
        };
        assert_eq!(joined, expected, "{dead:?}");
    }
}

#[test]
fn hens_are_offered_netting() {
    let hens = StockGroup { species: "poultry".to_owned(), ..pigs(2.0, 0.0) };
    assert_eq!(held(&[0.9], &hens, FIRST).remedy, Some(StrandRemedy::Net { height: Length::metres(1.20) }));
}

proptest! {
    #[test]
    fn days_of_a_growing_pig_follow_from_its_weight_alone(kg in 8.0..40.0f64, gain in 0.2..0.9f64, low in 8..30u8, gap in 10..30u8) {
        let strands = [f64::from(low) / 100.0, f64::from(low + gap) / 100.0];
        let group = pigs(kg, gain);
        let found = held(&strands, &group, date(2030, 8, 1));
        if let Some(on) = &found.must_fix {
            let then = StockGroup { weight_kg: Some(on.kg), as_of: Some(on.day), ..group };
            let keeping = Keeping { group: &then, purpose: Purpose::Interior, on: on.day, until: on.day };
            let again = held_days(&build(&strands), &keeping, Catalogue::built_in()).expect("known");
            prop_assert_eq!(again.now.verdict.grade, Grade::MustFix);
        }
    }
}
