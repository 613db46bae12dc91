//! Water and feed of pigs that were measured, and how pigs grow taller.
//!
//! Sources: an abstract of the American Society of Animal Science (2015): finishing pigs of 96 to 128 kg took 10.85 litres of water
//! (8.8 to 14.0) and 3.20 kg of feed a day (key `finisher-water`); J. C. Petherick (1983), abstract: dimensions of pigs of 1 to 286 kg grow with
//! the cube root of their mass; a consultant's page: growers eat four per cent of their mass.

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
fn shoulders_grow_with_the_cube_root_of_the_mass() {
    let animals = &Catalogue::built_in().animals;
    let coefficient = |kg: f64| shoulder(animals, "pig", kg).expect("listed").height.as_metres() / kg.cbrt();
    // Growers, finishers, sows and boars lie within 3 % of one coefficient.
    for kg in [45.0, 80.0, 120.0, 200.0, 280.0] {
        assert!((coefficient(kg) / 0.1283 - 1.0).abs() < 0.03, "{kg}: {}", coefficient(kg));
    }
    // The catalogue's piglet is 20 % shorter than that: at the low end of what is given for 8 to 25 kg, safe for the lowest strand.
    assert!((coefficient(15.0) / 0.1283 - 0.79).abs() < 0.01, "{}", coefficient(15.0));
}
