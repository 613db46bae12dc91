//! What stock needs: ground and its rest, water, feed. Guidance for planning, not a feeding plan.

use super::growth::fitting_row;
use crate::catalogue::{Catalogue, GrowingRow, HeadRow, NeedRow, TurningRow};
use crate::plan::StockGroup;
use crate::units::Area;

/// Days until a group has turned all of a paddock: `t = A / (n r)`.
///
/// # Units
/// `area` (A), `head` (n), `turned_m2_per_day` (r) in square metres by one animal in a day; the result in days.
/// # Valid for
/// Pigs on ground that they can turn; `None` for no animals or a rate that is none.
/// # Source
/// `common-practice`: 6 to 10 m2 by a growing pig in a day; no measured rate was found.
pub fn days_to_turn(area: Area, head: u32, turned_m2_per_day: f64) -> Option<f64> {
    let in_a_day_m2 = f64::from(head) * turned_m2_per_day;
    (in_a_day_m2 > 0.0).then(|| area.as_square_metres().max(0.0) / in_a_day_m2)
}

/// What one animal of this mass turns in a day: `r = r0 (m / m0)^(3/4)`.
///
/// # Units
/// `kg` (m) in kilograms; the result in square metres.
/// # Valid for
/// Rows that say for which mass (m0) their rate is; the row's rate for others.
/// # Source
/// `common-practice`: nobody has measured it; animals look for feed as they need it.
pub fn turned_m2_per_day(turning: &TurningRow, kg: f64) -> f64 {
    let times = turning.turned_at_kg.filter(|_| kg > 0.0).map_or(1.0, |at_kg| (kg / at_kg).powf(0.75));
    turning.turned_m2_per_day * times
}

/// Days after which a group moves on: when a share of the paddock is turned, `t = share A / (n r)`.
///
/// # Units
/// As [`days_to_turn`]; `share` from 0 to 1.
/// # Valid for
/// As [`days_to_turn`].
/// # Source
/// `common-practice`: a quarter.
pub fn days_to_move(area: Area, head: u32, turned_m2_per_day: f64, share: f64) -> Option<f64> {
    Some(share * days_to_turn(area, head, turned_m2_per_day)?)
}

/// Days as somebody would keep to them: whole, at least one.
pub fn whole_days(days: f64) -> f64 {
    days.round().max(1.0)
}

/// Days that each of some equal paddocks rests while the group goes round: `(p - 1) t`.
///
/// # Units
/// `days_on` (t) in days.
/// # Valid for
/// One group in one paddock at a time.
/// # Source
/// Arithmetic: `common-practice`.
pub fn rest_days(paddocks: u32, days_on: f64) -> f64 {
    f64::from(paddocks.saturating_sub(1)) * days_on
}

/// Number of equal paddocks that give each of them a rest: the least p with `(p - 1) t >= rest`.
///
/// # Units
/// `days_on` (t) and `rest` in days.
/// # Valid for
/// As [`rest_days`]; `None` for stays of no length.
/// # Source
/// Arithmetic: `common-practice`.
pub fn paddocks_for_rest(days_on: f64, rest: f64) -> Option<u32> {
    if days_on.is_nan() || days_on <= 0.0 || rest.is_nan() {
        return None;
    }
    let rounds = (rest.max(0.0) / days_on).ceil();
    // Counts above ten thousand say only that the stay is far too short.
    (rounds <= 1e4).then_some(rounds as u32 + 1)
}

/// A group on a paddock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroundUse {
    /// Days until all is turned.
    pub days_to_turn: f64,
    /// Days after which to move on, whole.
    pub days_on: f64,
    /// Equal paddocks for the shortest rest.
    pub paddocks_for_least_rest: Option<u32>,
    /// Equal paddocks for the longest rest.
    pub paddocks_for_most_rest: Option<u32>,
    /// Head on a hectare of this paddock.
    pub head_per_ha: f64,
}

impl GroundUse {
    /// Of a group of animals of this mass on a paddock, at the species' usual rate of turning; `None` without animals or ground.
    pub fn of(turning: &TurningRow, area: Area, head: u32, kg: f64) -> Option<Self> {
        let hectares = area.as_square_metres() / 1e4;
        let turned_m2_per_day = turned_m2_per_day(turning, kg);
        let days_to_turn = days_to_turn(area, head, turned_m2_per_day).filter(|_| hectares > 0.0)?;
        let days_on = whole_days(days_to_move(area, head, turned_m2_per_day, turning.move_at_share)?);
        Some(Self {
            days_to_turn,
            days_on,
            paddocks_for_least_rest: paddocks_for_rest(days_on, turning.rest_days.0),
            paddocks_for_most_rest: paddocks_for_rest(days_on, turning.rest_days.1),
            head_per_ha: f64::from(head) / hectares,
        })
    }
}

/// How many head on a hectare others recommend, tried or forbid for this class, in the catalogue's order.
pub fn head_guidance<'a>(catalogue: &'a Catalogue, species: &'a str, class: &'a str) -> impl Iterator<Item = &'a HeadRow> {
    catalogue.heads.iter().filter(move |row| row.species == species && row.class == class)
}

/// What one animal needs in a day, from and to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DailyNeeds {
    /// Feed, kg; `None` where nobody says.
    pub feed_kg: Option<(f64, f64)>,
    /// Water, litres.
    pub water_l: (f64, f64),
}

/// What a growing animal needs: feed between the masses of the table in straight lines, water by feed and by mass, the wider of both.
///
/// # Units
/// Kilograms, litres, days.
/// # Valid for
/// Masses from the first to the last of the table; `None` beyond.
/// # Source
/// Water by mass: `wa-pig-water`; feed, and water by feed: `common-practice`.
pub fn growing_needs(row: &GrowingRow, mass_kg: f64) -> Option<DailyNeeds> {
    let pair = row.feed.windows(2).find(|pair| pair[0].mass_kg <= mass_kg && mass_kg <= pair[1].mass_kg)?;
    let share = (mass_kg - pair[0].mass_kg) / (pair[1].mass_kg - pair[0].mass_kg);
    let feed_kg = pair[0].feed_kg + share * (pair[1].feed_kg - pair[0].feed_kg);
    let by_mass_l = row.water_l_per_kg * mass_kg;
    let (least, most) = row.water_l_per_feed_kg;
    let water_l = ((least * feed_kg).min(by_mass_l), (most * feed_kg).max(by_mass_l));
    Some(DailyNeeds { feed_kg: Some((feed_kg, feed_kg)), water_l })
}

/// What a grown animal needs.
pub fn grown_needs(row: &NeedRow) -> DailyNeeds {
    DailyNeeds { feed_kg: row.feed_kg, water_l: row.water_l }
}

/// What one animal of a group needs at this mass: of its class where the catalogue has it, else of a growing one of its mass.
///
/// # Units
/// Kilograms.
/// # Valid for
/// Classes and masses of the catalogue; `None` beyond.
/// # Source
/// Those of the catalogue's rows: `wa-pig-water`, `kansas-swine-guide`.
pub fn group_needs(group: &StockGroup, kg: f64, catalogue: &Catalogue) -> Option<DailyNeeds> {
    let class = group.class.as_deref().or_else(|| Some(fitting_row(&catalogue.animals, &group.species, kg)?.class.as_str()))?;
    let growing = || catalogue.growing(&group.species).and_then(|row| growing_needs(row, kg));
    let mut of_class = catalogue.needs.iter().filter(|row| row.species == group.species && row.class == class).map(grown_needs);
    // Of several states of a class (in pig, in milk) the span reaches from the least to the most.
    let grown = of_class.next().map(|first| of_class.fold(first, widest));
    // A growing animal heavier than the table goes is no breeding animal yet: nobody says what it needs.
    let grows = group.gain_kg_per_day.is_some_and(|gain| gain > 0.0);
    match group.class {
        Some(_) => grown.or_else(growing),
        None if grows => growing(),
        None => growing().or(grown),
    }
}

fn widest(one: DailyNeeds, other: DailyNeeds) -> DailyNeeds {
    let span = |a: (f64, f64), b: (f64, f64)| (a.0.min(b.0), a.1.max(b.1));
    let feed_kg = one.feed_kg.zip(other.feed_kg).map(|(a, b)| span(a, b)).or(one.feed_kg).or(other.feed_kg);
    DailyNeeds { feed_kg, water_l: span(one.water_l, other.water_l) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Guidance;
    use proptest::prelude::*;

    #[test]
    fn eight_growers_on_a_fifth_of_a_hectare_turn_it_in_a_month_and_move_after_eight_days() {
        let turning = Catalogue::built_in().turning("pig").expect("listed");
        let ground = GroundUse::of(turning, Area::square_metres(2000.0), 8, 45.0).expect("animals and ground");
        assert!((ground.days_to_turn - 31.25).abs() < 1e-9 && (ground.days_on - 8.0).abs() < 1e-9, "{ground:?}");
        assert!((ground.head_per_ha - 40.0).abs() < 1e-9);
        for (paddocks, rest) in [(4, 24.0), (12, 88.0), (1, 0.0)] {
            assert!((rest_days(paddocks, ground.days_on) - rest).abs() < 1e-9, "{paddocks}");
        }
        // 30 days: 24 are too few, five paddocks give 32; 90 days: twelve give 88, thirteen 96.
        assert_eq!((ground.paddocks_for_least_rest, ground.paddocks_for_most_rest), (Some(5), Some(13)));
        assert_eq!(GroundUse::of(turning, Area::square_metres(2000.0), 0, 45.0), None);
        assert_eq!(GroundUse::of(turning, Area::ZERO, 8, 45.0), None);
        // Sixteen times as heavy turn eight times as much.
        let heavy = GroundUse::of(turning, Area::square_metres(2000.0), 8, 720.0).expect("animals and ground");
        assert!((heavy.days_to_turn * 8.0 - 31.25).abs() < 1e-9, "{heavy:?}");
        assert_eq!(paddocks_for_rest(0.0, 30.0), None);
        assert_eq!(paddocks_for_rest(1e-6, 30.0), None);
    }

    #[test]
    fn growing_pigs_eat_and_drink_by_their_mass() {
        let row = Catalogue::built_in().growing("pig").expect("listed");
        for (kg, feed, from_l, to_l) in [
            (10.0, 0.5, 1.0, 1.5),
            (40.0, 1.6, 3.2, 4.8),
            (50.0, 1.85, 3.7, 5.55),
            (100.0, 2.9, 5.8, 10.0),
            (120.0, 3.2, 6.4, 12.0),
        ] {
            let found = growing_needs(row, kg).expect("in the table");
            let (from, to) = found.feed_kg.expect("listed");
            assert!((from - feed).abs() < 1e-9 && (to - feed).abs() < 1e-9, "{kg}: {found:?}");
            assert!((found.water_l.0 - from_l).abs() < 1e-9 && (found.water_l.1 - to_l).abs() < 1e-9, "{kg}: {found:?}");
        }
        for kg in [9.0, 121.0, f64::NAN] {
            assert_eq!(growing_needs(row, kg), None);
        }
    }

    #[test]
    fn sows_drink_more_in_milk_than_in_pig_and_guidance_is_told_apart_from_ceilings() {
        let all = Catalogue::built_in();
        let of = |class: &str| {
            let group = StockGroup { species: "pig".to_owned(), class: Some(class.to_owned()), ..StockGroup::default() };
            group_needs(&group, 200.0, all).map(|needs| needs.water_l)
        };
        assert_eq!(
            [of("sow"), of("litter"), of("boar")],
            [Some((11.0, 23.0)), Some((19.0, 38.0)), None],
            "nobody says what a boar drinks"
        );
        let sows: Vec<(Guidance, f64)> = head_guidance(all, "pig", "sow").map(|row| (row.guidance, row.most_per_ha)).collect();
        assert_eq!(
            sows,
            [(Guidance::Guideline, 25.0), (Guidance::Guideline, 25.0), (Guidance::Trial, 15.0), (Guidance::Ceiling, 6.5)]
        );
    }

    #[test]
    fn every_kept_class_has_the_water_that_is_published_for_it_or_none() {
        let all = Catalogue::built_in();
        let unknown: Vec<&str> = all
            .animals
            .iter()
            .filter(|row| row.is_kept_in())
            .filter(|row| {
                let group = StockGroup { species: row.species.clone(), class: Some(row.class.clone()), ..StockGroup::default() };
                group_needs(&group, row.mass_kg, all).is_none()
            })
            .map(|row| row.class.as_str())
            .collect();
        assert_eq!(unknown, ["boar", "pony"]);
    }

    proptest! {
        #[test]
        fn the_paddocks_for_a_rest_give_it_and_one_fewer_does_not(on in 0.5..30.0f64, rest in 1.0..300.0f64) {
            let paddocks = paddocks_for_rest(on, rest).expect("a stay");
            prop_assert!(rest_days(paddocks, on) >= rest - 1e-9 && rest_days(paddocks - 1, on) < rest);
        }
        #[test]
        fn more_animals_never_stay_longer(area in 100.0..50e3f64, head in 1..50u32, more in 0..50u32) {
            let days = |head| days_to_turn(Area::square_metres(area), head, 8.0);
            prop_assert!(days(head + more) <= days(head));
        }
        #[test]
        fn heavier_pigs_never_need_less(kg in 10.0..120.0f64, more in 0.0..110.0f64) {
            let row = Catalogue::built_in().growing("pig").expect("listed");
            let (light, heavy) = (growing_needs(row, kg), growing_needs(row, (kg + more).min(120.0)));
            let (light, heavy) = (light.expect("in the table"), heavy.expect("in the table"));
            prop_assert!(heavy.feed_kg >= light.feed_kg && heavy.water_l.0 >= light.water_l.0 && heavy.water_l.1 >= light.water_l.1);
        }
    }
}
