//! Which strands hold an animal of a height.

use crate::catalogue::HoldingRow;
use crate::finding::WayOut;
use crate::units::Length;

/// How high rooted soil and leaves lie along a line unless somebody says otherwise (`common-practice`; no measured rate was found).
pub const BUILD_UP_M: f64 = 0.05;
/// What has to stay free between that and the lowest strand (`common-practice`).
pub const CLEAR_OF_GROUND_M: f64 = 0.03;

/// What strands lack to hold an animal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lack {
    /// Index of the strand among the given ones; for a gap the upper one; `None` where there is no strand at all.
    pub strand: Option<usize>,
    /// How the animal gets out.
    pub way: WayOut,
    /// Height of the strand, or width of the gap.
    pub value: Length,
    /// What it may be: at most, and for the top strand at least.
    pub allowed: Length,
}

/// An animal that strands have to hold: how tall, by which shares.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeldHeight<'a> {
    /// Height of its shoulder.
    pub shoulder: Length,
    /// Shares of its species.
    pub shares: &'a HoldingRow,
}

impl HeldHeight<'_> {
    /// Highest that the lowest strand may hang at the posts: half the shoulder, for most species.
    pub fn highest_lowest(&self) -> Length {
        self.shoulder * self.shares.lowest_share
    }
    /// Widest gap that it does not creep through, under the lowest strand or between two.
    pub fn widest_gap(&self) -> Length {
        self.shoulder * self.shares.creep_share
    }
    /// Lowest that the top strand may hang.
    pub fn lowest_top(&self) -> Length {
        self.shoulder * self.shares.top_share
    }
}

/// What these strands lack to hold an animal, from the ground up; empty when they hold it. The strands may come in any order.
///
/// # Source
/// Shares in the catalogue's rows: lowest strand at half the shoulder `honda-2022`; gaps and top strand `common-practice`. Live strands that
/// bite, and trained animals, are taken for granted.
pub fn lacks(strands: &[Length], animal: &HeldHeight) -> Vec<Lack> {
    let mut upwards: Vec<(usize, Length)> = strands.iter().copied().enumerate().collect();
    upwards.sort_by(|(_, a), (_, b)| a.as_metres().total_cmp(&b.as_metres()));
    let (Some((lowest, lowest_height)), Some((top, top_height))) = (upwards.first(), upwards.last()) else {
        let (way, allowed) = (WayOut::Over, animal.lowest_top());
        return vec![Lack { strand: None, way, value: Length::ZERO, allowed }];
    };
    let at_most = |strand: usize, way, value: Length, allowed: Length| {
        exceeds(value, allowed).then_some(Lack { strand: Some(strand), way, value, allowed })
    };
    let mut found: Vec<Lack> = at_most(*lowest, WayOut::Under, *lowest_height, animal.highest_lowest()).into_iter().collect();
    // To get through a gap it has to step over the strand below: where it cannot, the gap does not matter.
    let reached = upwards.windows(2).filter(|pair| exceeds(animal.lowest_top(), pair[0].1));
    found.extend(reached.filter_map(|pair| at_most(pair[1].0, WayOut::Between, pair[1].1 - pair[0].1, animal.widest_gap())));
    if exceeds(animal.lowest_top(), *top_height) {
        let (way, allowed) = (WayOut::Over, animal.lowest_top());
        found.push(Lack { strand: Some(*top), way, value: *top_height, allowed });
    }
    found
}

/// Whether these strands hold all of these animals.
pub fn holds(strands: &[Length], animals: &[HeldHeight]) -> bool {
    animals.iter().all(|animal| lacks(strands, animal).is_empty())
}

/// More than rounding: a tenth of a millimetre.
fn exceeds(value: Length, limit: Length) -> bool {
    value - limit > Length::metres(1e-4)
}

/// Lowest and highest that the lowest strand may stand over the ground, dips and rises included, for all of these animals:
/// from what rooted soil and leaves pile up, and a little, to the gap that the smallest creeps under. `None` when there is no room between.
///
/// # Source
/// `common-practice`; build-up of 0.05 m in two to three weeks in a rooted paddock, 0.15 m at a heavily worked line.
pub fn lowest_band(animals: &[HeldHeight], build_up: Length) -> Option<(Length, Length)> {
    let highest = animals.iter().map(HeldHeight::widest_gap).reduce(Length::min)?;
    let lowest = build_up + Length::metres(CLEAR_OF_GROUND_M);
    (lowest <= highest).then_some((lowest, highest))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;
    use crate::stock::shoulder;
    use proptest::prelude::*;

    fn pig(kg: f64) -> HeldHeight<'static> {
        let all = Catalogue::built_in();
        let height = shoulder(&all.animals, "pig", kg).expect("listed").height;
        HeldHeight { shoulder: height, shares: all.holding("pig").expect("listed") }
    }

    fn metres(heights: &[f64]) -> Vec<Length> {
        heights.iter().copied().map(Length::metres).collect()
    }

    #[test]
    fn the_usual_strands_of_every_class_hold_that_class() {
        let all = Catalogue::built_in();
        let mut checked = 0;
        for row in &all.animals {
            let Some(shares) = all.holding(&row.species) else { continue };
            let animal = HeldHeight { shoulder: row.shoulder, shares };
            assert_eq!(lacks(&row.strands, &animal), [], "{}", row.id);
            checked += 1;
        }
        assert!(checked >= 11, "every class that is kept in: {checked}");
    }

    #[test]
    fn strands_that_do_not_hold_say_which_and_by_how_much() {
        use WayOut::{Between, Over, Under};
        // Strands, kg of a pig; what is lacking: which strand, which way out, value, allowed. Shoulders: 15 kg 0.25 m, 45 kg 0.45 m, 200 kg 0.75 m.
        let rows: [(&[f64], f64, &[(Option<usize>, WayOut, f64, f64)]); 8] = [
            (&[0.10, 0.25, 0.40], 15.0, &[]),
            (&[0.14, 0.35], 15.0, &[(Some(0), Under, 0.14, 0.125), (Some(1), Between, 0.21, 0.15)]),
            // It cannot step over the lowest strand, so it cannot get through the gap above.
            (&[0.15, 0.35], 15.0, &[(Some(0), Under, 0.15, 0.125)]),
            (&[0.10, 0.25], 45.0, &[(Some(1), Over, 0.25, 0.27)]),
            (&[0.40, 0.25, 0.10], 200.0, &[(Some(0), Over, 0.40, 0.45)]),
            (&[0.12, 0.60], 45.0, &[(Some(1), Between, 0.48, 0.27)]),
            (&[0.12, 0.27, 0.50, 0.90], 45.0, &[]),
            (&[], 45.0, &[(None, Over, 0.0, 0.27)]),
        ];
        for (strands, kg, expected) in rows {
            let found = lacks(&metres(strands), &pig(kg));
            let said: Vec<_> = found.iter().map(|lack| (lack.strand, lack.way)).collect();
            assert_eq!(said, expected.iter().map(|row| (row.0, row.1)).collect::<Vec<_>>(), "{strands:?} {kg}: {found:?}");
            for (lack, (_, _, value, allowed)) in found.iter().zip(expected) {
                let near = |found: Length, by_hand: f64| (found.as_metres() - by_hand).abs() < 1e-9;
                assert!(near(lack.value, *value) && near(lack.allowed, *allowed), "{strands:?} {kg}: {lack:?}");
            }
        }
    }

    #[test]
    fn the_lowest_strand_has_room_between_rooted_soil_and_what_the_smallest_creeps_under() {
        let band = |kg: &[f64], build_up_m: f64| {
            let animals: Vec<HeldHeight> = kg.iter().copied().map(pig).collect();
            lowest_band(&animals, Length::metres(build_up_m)).map(|(low, high)| (low.as_metres(), high.as_metres()))
        };
        let near = |found: Option<(f64, f64)>, low: f64, high: f64| {
            found.is_some_and(|found| (found.0 - low).abs() < 1e-9 && (found.1 - high).abs() < 1e-9)
        };
        assert!(near(band(&[15.0], BUILD_UP_M), 0.08, 0.15), "{:?}", band(&[15.0], BUILD_UP_M));
        assert!(near(band(&[45.0], BUILD_UP_M), 0.08, 0.27));
        assert!(near(band(&[200.0, 15.0], BUILD_UP_M), 0.08, 0.15), "the smallest counts");
        assert_eq!(band(&[15.0], 0.15), None, "soil thrown up at a heavily worked line leaves no room");
        assert_eq!(band(&[], 0.05), None);
        // The catalogue's own bands for piglets and growers were set by eye: within 2 cm of these.
        let all = Catalogue::built_in();
        for (class, kg) in [("piglet", 15.0), ("grower", 45.0)] {
            let (low, high) = all.animal("pig", Some(class)).and_then(|row| row.band).expect("listed");
            let (from, to) = band(&[kg], BUILD_UP_M).expect("room");
            assert!((low.as_metres() - from).abs() <= 0.02 && (high.as_metres() - to).abs() <= 0.0201, "{class}");
        }
    }

    proptest! {
        #[test]
        fn a_bigger_animal_lets_strands_hang_higher_and_wider_but_needs_a_higher_top(kg in 5.0..250.0f64, more in 0.0..50.0f64) {
            let (small, big) = (pig(kg), pig(kg + more));
            prop_assert!(big.highest_lowest() >= small.highest_lowest() && big.widest_gap() >= small.widest_gap());
            prop_assert!(big.lowest_top() >= small.lowest_top());
        }
        #[test]
        fn a_strand_more_above_the_others_never_spoils_the_top(kg in 5.0..250.0f64, heights in prop::collection::vec(0.05..1.2f64, 1..6)) {
            let top = |strands: &[Length]| lacks(strands, &pig(kg)).iter().any(|lack| lack.way == WayOut::Over);
            let strands = metres(&heights);
            let more: Vec<Length> = strands.iter().copied().chain([Length::metres(1.3)]).collect();
            prop_assert!(top(&strands) || !top(&more));
        }
    }
}
