//! Water and feed of pigs that were measured, and how pigs grow taller.
//!
//! Sources: an abstract of the American Society of Animal Science (2015): finishing pigs of 96 to 128 kg took 10.85 litres of water
//! (8.8 to 14.0) and 3.20 kg of feed a day (key `finisher-water`); J. C. Petherick (1983) and
//! H. W. Gonyou (1996), as printed together: the shoulder of a pig is 0.15 w^0.33; a consultant's page: growers eat four per cent of their mass.

use hillwire_core::catalogue::Catalogue;
use hillwire_core::stock::{growing_needs, shoulder};

#[test]
fn finishing_pigs_drink_and_eat_what_was_measured() {
    let row = Catalogue::built_in().growing("pig").expect("listed");
    let needs = growing_needs(row, 112.0).expect("in the table");
    let (from_l, to_l) = needs.water_l;
    assert!((from_l..=to_l).contains(&10.85) && to_l <= 14.0, "{needs:?}");
    // 3.20 kg was measured on pigs that eat at will indoors; the table goes 4 % below it at this mass.
    let feed_kg = needs.feed_kg.expect("listed").1;
    assert!((feed_kg / 3.20 - 1.0).abs() < 0.05, "{feed_kg}");
}

#[test]
fn growers_eat_four_per_cent_of_their_mass() {
    let row = Catalogue::built_in().growing("pig").expect("listed");
    for kg in [20.0, 30.0, 40.0, 50.0] {
        let share = growing_needs(row, kg).and_then(|needs| needs.feed_kg).expect("listed").1 / kg;
        assert!((share - 0.04).abs() <= 0.005, "{kg}: {share}");
    }
}

#[test]
fn shoulders_of_pigs_grow_as_printed() {
    // s = 0.15 w^0.33, as printed: within one per cent at four masses.
    for (kg, height_m) in [(9.0, 0.310), (45.0, 0.527), (100.0, 0.686), (200.0, 0.862)] {
        let found = shoulder(Catalogue::built_in(), "pig", kg).expect("listed").height.as_metres();
        assert!((found / height_m - 1.0).abs() < 0.01, "{kg}: {found}");
    }
}
