use super::*;
use crate::finding::WayOut;
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

fn metres(heights: &[f64]) -> Vec<Length> {
    heights.iter().copied().map(Length::metres).collect()
}

fn judge(strands: &[f64], groups: &[StockGroup], until: Date) -> Outgrown {
    outgrown(&metres(strands), &Keeping { groups, on: FIRST, until }, Catalogue::built_in())
}

#[test]
fn strands_set_for_piglets_are_called_outgrown_before_the_day_they_can_be_stepped_over() {
    // The top strand at 0.25 m is stepped over from a shoulder of 0.25 / 0.6 = 0.4167 m on. Between 15 kg (0.25 m) and 45 kg (0.45 m) that is where
    // the cube root of the mass is 2.466 + 1.091 x 0.8333 = 3.3751, which is 38.45 kg: from 15 kg at 0.5 kg a day after 46.9 days.
    let Outgrown::From { day, days_left, lack, group, .. } = judge(&[0.10, 0.25], &[pigs(15.0, 0.5)], date(2030, 10, 1)) else {
        panic!("outgrown")
    };
    assert_eq!((days_left, day, group), (47, date(2030, 5, 18), 0));
    assert_eq!((lack.strand, lack.way), (Some(1), WayOut::Over));
    assert!((lack.value.as_metres() - 0.25).abs() < 1e-9 && lack.allowed > lack.value, "{lack:?}");
}

#[test]
fn strands_that_do_not_hold_today_say_so_today() {
    let Outgrown::Now { lack, remedy, .. } = judge(&[0.20, 0.35], &[pigs(15.0, 0.5)], date(2030, 6, 1)) else { panic!("now") };
    assert_eq!((lack.strand, lack.way), (Some(0), WayOut::Under));
    assert!(remedy.is_some());
}

#[test]
fn strands_that_hold_until_the_animals_leave_are_left_alone() {
    let leaving = date(2030, 9, 15);
    // 15 kg + 167 days x 0.55 kg = 107 kg: shoulder 0.61 m, top strand at least 0.36 m.
    assert_eq!(judge(&[0.10, 0.25, 0.40], &[pigs(15.0, 0.55)], leaving), Outgrown::NotBefore { day: leaving });
    // Until they are kept far longer than that.
    assert!(matches!(judge(&[0.10, 0.25, 0.40], &[pigs(15.0, 0.55)], date(2031, 4, 1)), Outgrown::From { .. }));
    assert_eq!(judge(&[0.10, 0.25, 0.40], &[pigs(15.0, 0.0)], date(2040, 1, 1)), Outgrown::NotBefore { day: date(2040, 1, 1) });
    // A last day before the first is no look ahead at all.
    assert_eq!(judge(&[0.10, 0.25, 0.40], &[pigs(15.0, 0.55)], date(2029, 1, 1)), Outgrown::NotBefore { day: FIRST });
}

#[test]
fn nothing_is_said_about_unknown_animals() {
    let strange = StockGroup { species: "newt".to_owned(), ..pigs(15.0, 0.5) };
    assert_eq!(judge(&[0.10, 0.25], std::slice::from_ref(&strange), date(2030, 6, 1)), Outgrown::Unknown);
    assert_eq!(judge(&[0.10, 0.25], &[], date(2030, 6, 1)), Outgrown::Unknown);
    // Beside known ones it does not hide them.
    let both = judge(&[0.10, 0.25], &[strange, pigs(15.0, 0.5)], date(2030, 10, 1));
    assert!(matches!(both, Outgrown::From { group: 1, days_left: 47, .. }), "{both:?}");
}

#[test]
fn a_fence_holds_the_smallest_and_the_tallest_behind_it() {
    let sow = StockGroup { class: Some("sow".to_owned()), weight_kg: None, ..pigs(0.0, 0.0) };
    let litter = pigs(8.0, 0.2);
    let until = date(2030, 4, 20);
    // For the sow alone the lowest strand may hang at 0.22 m; the litter walks out under it.
    assert_eq!(judge(&[0.22, 0.47], std::slice::from_ref(&sow), until), Outgrown::NotBefore { day: until });
    let Outgrown::Now { lack, group, .. } = judge(&[0.22, 0.47], &[sow.clone(), litter.clone()], until) else { panic!("now") };
    assert_eq!((group, lack.way), (1, WayOut::Under));
    // Piglets of 8 kg stand 0.20 m: strands at 10 cm and every 12 cm, the top for the sow.
    assert_eq!(judge(&[0.10, 0.22, 0.34, 0.46], &[sow, litter], until), Outgrown::NotBefore { day: until });
}

#[test]
fn where_nothing_holds_to_the_end_what_holds_today_is_offered() {
    // Piglets that stay until they are sows: no one fence of three strands holds both.
    let groups = [pigs(15.0, 0.7)];
    let keeping = Keeping { groups: &groups, on: FIRST, until: date(2031, 4, 1) };
    let strands = metres(&[0.30, 0.50]);
    let Outgrown::Now { remedy: Some(remedy), .. } = outgrown(&strands, &keeping, Catalogue::built_in()) else { panic!("now") };
    assert_eq!(remedy, StrandRemedy::Usual { class: "piglet".to_owned(), strands: metres(&[0.10, 0.25, 0.40]), from_day: FIRST });
}

#[test]
fn the_remedy_holds_from_its_day_to_the_last_and_does_not_come_too_late() {
    use StrandRemedy::{Add, Move, Usual};
    let all = Catalogue::built_in();
    // Strands, kg, kg a day, last day: what is to be done.
    let rows: [(&[f64], f64, f64, Date, &str); 4] = [
        // The top goes up by a little; small pigs do not get through yet.
        (&[0.10, 0.25, 0.38], 30.0, 0.8, date(2030, 9, 1), "move"),
        (&[0.10, 0.25], 15.0, 0.5, date(2030, 10, 1), "add"),
        (&[0.15, 0.35], 40.0, 0.8, date(2030, 12, 1), "move"),
        (&[0.30, 0.50], 20.0, 0.6, date(2030, 6, 1), "add"),
    ];
    for (strands, kg, gain, until, what) in rows {
        let groups = [pigs(kg, gain)];
        let keeping = Keeping { groups: &groups, on: FIRST, until };
        let (remedy, latest) = match outgrown(&metres(strands), &keeping, all) {
            Outgrown::From { remedy, day, .. } => (remedy, day),
            Outgrown::Now { remedy, .. } => (remedy, until),
            other => panic!("{strands:?} {kg}: {other:?}"),
        };
        let remedy = remedy.unwrap_or_else(|| panic!("{strands:?} {kg}: no remedy"));
        let (heights, from_day, said) = match &remedy {
            Move { strand, to, from_day } => {
                let mut heights = metres(strands);
                heights[*strand] = *to;
                (heights, *from_day, "move")
            }
            Add { at, from_day } => (metres(strands).into_iter().chain([*at]).collect(), *from_day, "add"),
            Usual { strands, from_day, .. } => (strands.clone(), *from_day, "usual"),
        };
        assert_eq!(said, what, "{strands:?} {kg}: {remedy:?}");
        assert!(from_day >= FIRST && from_day < latest, "{strands:?} {kg}: {remedy:?}");
        let after = outgrown(&heights, &Keeping { on: from_day, ..keeping }, all);
        assert_eq!(after, Outgrown::NotBefore { day: until }, "{strands:?} {kg}: {remedy:?}");
    }
}

proptest! {
    #[test]
    fn the_day_that_is_found_is_the_one_that_stepping_day_by_day_finds(
        kg in 8.0..80.0f64, gain in -0.1..1.0f64, other_kg in 8.0..80.0f64, other_gain in 0.0..1.0f64,
        lowest in 0.08..0.20f64, gap in 0.08..0.25f64, strands in 1..5u32,
    ) {
        let heights: Vec<f64> = (0..strands).map(|strand| lowest + gap * f64::from(strand)).collect();
        let groups = [pigs(kg, gain), pigs(other_kg, other_gain)];
        let until = date(2030, 8, 1);
        let found = judge(&heights, &groups, until);
        let bad = |days: i32| matches!(outgrown(&metres(&heights), &Keeping { groups: &groups, on: day_after(FIRST, days), until: day_after(FIRST, days) }, Catalogue::built_in()), Outgrown::Now { .. });
        let stepped = (0..=days_between(FIRST, until)).find(|days| bad(*days));
        let days = match found {
            Outgrown::Now { .. } => Some(0),
            Outgrown::From { days_left, .. } => Some(days_left),
            _ => None,
        };
        prop_assert_eq!(days, stepped);
    }
    #[test]
    fn faster_growth_never_leaves_more_days(kg in 15.0..40.0f64, gain in 0.2..0.8f64, faster in 0.0..0.5f64) {
        let days = |gain| match judge(&[0.10, 0.25], &[pigs(kg, gain)], date(2032, 1, 1)) {
            Outgrown::From { days_left, .. } => days_left,
            Outgrown::Now { .. } => 0,
            _ => i32::MAX,
        };
        prop_assert!(days(gain + faster) <= days(gain));
    }
}
