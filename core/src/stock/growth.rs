//! How heavy an animal is on a day, what class that makes it, how tall it stands.

use crate::catalogue::AnimalRow;
use crate::plan::StockGroup;
use crate::units::Length;
use jiff::civil::Date;

/// Where a weight comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum WeightBasis {
    /// The keeper's, without growth: on that very day, or of a group whose growth is not known.
    Weighed,
    /// The keeper's, with what the animals put on since.
    Grown,
    /// The catalogue's for the class.
    OfClass,
}

/// Mass of one animal of a group.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weight {
    /// Kilograms.
    pub kg: f64,
    /// Where it comes from.
    pub basis: WeightBasis,
}

/// What one of a group weighs on a day: `m = m0 + g (t - t0)`; where the keeper gives no weight, what its class usually weighs.
///
/// A weight without the day it was taken on is taken to be of today, and does not grow.
///
/// # Units
/// Kilograms, kilograms per day, days.
/// # Valid for
/// Steady gain, as over some months of keeping; `None` where neither weight nor class is known, or a shrinking group would weigh nothing.
/// # Source
/// `common-practice`.
pub fn weight_on(group: &StockGroup, animals: &[AnimalRow], day: Date) -> Option<Weight> {
    let Some(weighed_kg) = group.weight_kg else {
        let row =
            animals.iter().find(|row| row.species == group.species && group.class.as_ref().is_none_or(|c| *c == row.class))?;
        return Some(Weight { kg: row.mass_kg, basis: WeightBasis::OfClass });
    };
    let grown = group.as_of.zip(group.gain_kg_per_day).map(|(as_of, gain)| gain * f64::from(days_between(as_of, day)));
    let kg = weighed_kg + grown.unwrap_or(0.0);
    let basis = if grown.is_some_and(|gained_kg| gained_kg.abs() > 0.0) { WeightBasis::Grown } else { WeightBasis::Weighed };
    (kg > 0.0).then_some(Weight { kg, basis })
}

/// Whole days from one day to another, negative when the other is earlier.
pub fn days_between(from: Date, to: Date) -> i32 {
    // In days, a span between two dates of this calendar has at most seven digits.
    from.until(to).map_or(0, |span| span.get_days())
}

/// The class that an animal of this species and mass is taken for: of those that are guessed by mass, the heaviest that it has reached.
///
/// # Units
/// Kilograms.
/// # Source
/// The catalogue's `from_kg`: `common-practice`.
pub fn fitting_row<'a>(animals: &'a [AnimalRow], species: &str, mass_kg: f64) -> Option<&'a AnimalRow> {
    let reached = |row: &&AnimalRow| row.species == species && row.from_kg.is_some_and(|from_kg| from_kg <= mass_kg);
    animals.iter().filter(reached).max_by(|a, b| a.from_kg.unwrap_or(0.0).total_cmp(&b.from_kg.unwrap_or(0.0)))
}

/// What a shoulder's height rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ShoulderBasis {
    /// Between two classes of the catalogue, or on one.
    Between,
    /// Lighter than the lightest class: in proportion to it.
    BelowLightest,
    /// Heavier than the heaviest class: as tall as that, it only gets fatter.
    AsHeaviest,
}

/// How tall an animal stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shoulder {
    /// Height of the shoulder.
    pub height: Length,
    /// What it rests on.
    pub basis: ShoulderBasis,
}

/// Height of the shoulder by mass: between two classes in a straight line over the cube root of the mass,
/// `s = s1 + (s2 - s1) (m^(1/3) - m1^(1/3)) / (m2^(1/3) - m1^(1/3))`; below the lightest `s = s1 (m / m1)^(1/3)`.
///
/// So it makes no jump from class to class, and a growing animal never gets shorter.
///
/// # Units
/// `mass_kg` (m) in kilograms; the result in metres.
/// # Valid for
/// Species of the catalogue; `None` for others and for a mass that is none. Breeds differ by a fifth.
/// # Source
/// Cube root of the mass: `petherick-1983` (pigs of 1 to 286 kg). Heights of the classes: `common-practice`.
pub fn shoulder(animals: &[AnimalRow], species: &str, mass_kg: f64) -> Option<Shoulder> {
    if mass_kg.is_nan() || mass_kg <= 0.0 {
        return None;
    }
    let mut rows: Vec<&AnimalRow> = animals.iter().filter(|row| row.species == species).collect();
    rows.sort_by(|a, b| a.mass_kg.total_cmp(&b.mass_kg));
    let (lightest, heaviest) = (rows.first()?, rows.last()?);
    if mass_kg < lightest.mass_kg {
        let height = lightest.shoulder * (mass_kg / lightest.mass_kg).cbrt();
        return Some(Shoulder { height, basis: ShoulderBasis::BelowLightest });
    }
    if mass_kg > heaviest.mass_kg {
        return Some(Shoulder { height: heaviest.shoulder, basis: ShoulderBasis::AsHeaviest });
    }
    let between = rows.windows(2).find(|pair| mass_kg <= pair[1].mass_kg);
    let height = between.map_or(heaviest.shoulder, |pair| {
        let [from, to] = [pair[0].mass_kg.cbrt(), pair[1].mass_kg.cbrt()];
        pair[0].shoulder + (pair[1].shoulder - pair[0].shoulder) * ((mass_kg.cbrt() - from) / (to - from))
    });
    Some(Shoulder { height, basis: ShoulderBasis::Between })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;
    use jiff::civil::date;
    use proptest::prelude::*;

    fn pigs(weight_kg: Option<f64>, gain_kg_per_day: Option<f64>) -> StockGroup {
        let as_of = Some(date(2030, 4, 1));
        StockGroup { species: "pig".to_owned(), weight_kg, gain_kg_per_day, as_of, ..StockGroup::default() }
    }

    #[test]
    fn animals_weigh_what_they_weighed_and_what_they_put_on_since() {
        use WeightBasis::{Grown, OfClass, Weighed};
        let rows = [
            (pigs(Some(20.0), Some(0.7)), date(2030, 4, 1), Some((20.0, Weighed))),
            (pigs(Some(20.0), Some(0.7)), date(2030, 5, 1), Some((41.0, Grown))),
            (pigs(Some(20.0), Some(0.7)), date(2030, 3, 22), Some((13.0, Grown))),
            (pigs(Some(20.0), Some(0.7)), date(2031, 4, 1), Some((275.5, Grown))),
            (pigs(Some(20.0), Some(0.7)), date(2030, 3, 1), None),
            (pigs(Some(20.0), None), date(2030, 5, 1), Some((20.0, Weighed))),
            (StockGroup { as_of: None, ..pigs(Some(20.0), Some(0.7)) }, date(2030, 5, 1), Some((20.0, Weighed))),
            (pigs(None, None), date(2030, 5, 1), Some((15.0, OfClass))),
            (StockGroup { class: Some("sow".to_owned()), ..pigs(None, None) }, date(2030, 5, 1), Some((200.0, OfClass))),
            (StockGroup { species: "newt".to_owned(), ..pigs(None, None) }, date(2030, 5, 1), None),
        ];
        for (group, day, expected) in rows {
            let found = weight_on(&group, &Catalogue::built_in().animals, day);
            assert_eq!(found.map(|weight| weight.basis), expected.map(|(_, basis)| basis), "{group:?} {day}");
            let off = found.zip(expected).map_or(0.0, |(weight, (kg, _))| (weight.kg - kg).abs());
            assert!(off < 1e-9, "{group:?} {day}: {found:?}");
        }
    }

    #[test]
    fn a_weight_finds_its_class_and_a_boar_is_never_guessed() {
        for (species, kg, class) in [
            ("pig", 8.0, "piglet"),
            ("pig", 24.9, "piglet"),
            ("pig", 25.0, "grower"),
            ("pig", 60.0, "sow"),
            ("pig", 320.0, "sow"),
            ("sheep", 15.0, "lamb"),
            ("sheep", 70.0, "ewe"),
            ("cattle", 100.0, "calf"),
            ("cattle", 250.0, "cow"),
        ] {
            assert_eq!(
                fitting_row(&Catalogue::built_in().animals, species, kg).map(|row| row.class.as_str()),
                Some(class),
                "{species} {kg}"
            );
        }
        assert_eq!(fitting_row(&Catalogue::built_in().animals, "newt", 50.0), None);
    }

    #[test]
    fn classes_stand_as_tall_as_the_catalogue_says_and_others_between_or_in_proportion() {
        let animals = &Catalogue::built_in().animals;
        for row in animals {
            let found = shoulder(animals, &row.species, row.mass_kg).expect("listed");
            assert!(
                (found.height - row.shoulder).abs() < Length::metres(1e-9) && found.basis == ShoulderBasis::Between,
                "{}",
                row.id
            );
        }
        // By hand: between 45 kg (0.45 m) and 200 kg (0.75 m) the cube root of 110 kg is 53.9 % of the way; 8 kg is (8/15)^(1/3) of 15 kg.
        for (kg, height_m, basis) in [
            (110.0, 0.6117, ShoulderBasis::Between),
            (8.0, 0.2027, ShoulderBasis::BelowLightest),
            (400.0, 0.85, ShoulderBasis::AsHeaviest),
        ] {
            let found = shoulder(animals, "pig", kg).expect("listed");
            assert!((found.height.as_metres() - height_m).abs() < 6e-5 && found.basis == basis, "{kg}: {found:?}");
        }
        for nothing in [0.0, -3.0, f64::NAN] {
            assert_eq!(shoulder(animals, "pig", nothing), None);
        }
    }

    proptest! {
        #[test]
        fn heavier_is_never_shorter_and_the_height_never_jumps(species in 0..6usize, kg in 0.5..900.0f64, more in 0.0..100.0f64) {
            let species = ["pig", "sheep", "goat", "cattle", "horse", "poultry"][species];
            let at = |kg: f64| shoulder(&Catalogue::built_in().animals, species, kg).expect("listed").height.as_metres();
            prop_assert!(at(kg + more) >= at(kg) - 1e-12);
            // From one class to the next no animal grows faster in height than in mass.
            prop_assert!(at(kg * 1.001) <= at(kg) * 1.001);
        }
    }
}
