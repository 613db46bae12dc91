use super::*;
use serde_json::json;

fn with(rows: Value) -> Result<Catalogue, OwnRowError> {
    let Value::Object(rows) = rows else { panic!("an object") };
    Catalogue::built_in().with_own(&rows)
}

fn wire() -> Value {
    json!({
        "id": "barn-wire", "label": "Wire from the barn", "metal": "steel", "gauge": "12.5", "strength_pa": 1.1e9,
        "joint_share": 0.6, "tension_n": 500, "roll_m": 380
    })
}

fn energizer() -> Value {
    json!({ "id": "barn-unit", "label": "The unit in the barn", "stored_j": 4.5, "open_kv": 8.8, "at_500_ohm_kv": 5.8 })
}

fn post() -> Value {
    json!({
        "id": "chestnut", "label": "Split chestnut", "material": "wood", "width_m": 0.09, "length_m": 1.7, "depth_m": 0.5, "mass_kg": 6,
        "insulator": "screw-ring", "place_cost": 1
    })
}

/// An animal of the catalogue, with one member of its first fence changed.
fn animal(member: &str, value: Value) -> Value {
    let table: toml::Table = include_str!("../../../assets/catalogue/animal.toml").parse().expect("TOML");
    let rows = serde_json::to_value(table).expect("has no dates");
    let mut row = rows["animal"][0].clone();
    row["fence"][0] = but(row["fence"][0].clone(), member, value);
    json!({ "animal": [row] })
}

/// The row with one member changed; `null` takes it out.
fn but(mut row: Value, member: &str, value: Value) -> Value {
    let members = row.as_object_mut().expect("a row");
    if value.is_null() {
        members.remove(member)
    } else {
        members.insert(member.to_owned(), value)
    };
    row
}

#[test]
fn own_rows_stand_beside_the_built_in_ones_and_are_worked_out_like_them() {
    let all = with(json!({ "wire": [wire()], "post": [post()] })).expect("usable");
    let built_in = Catalogue::built_in();
    assert_eq!((all.wires.len(), all.posts.len()), (built_in.wires.len() + 1, built_in.posts.len() + 1));
    let (own, same_gauge) = (all.wire("barn-wire").expect("taken in"), built_in.wire("ht-12.5ga").expect("listed"));
    assert_eq!((own.diameter, own.stiffness), (same_gauge.diameter, same_gauge.stiffness));
    // 1.1 GPa over pi / 4 times 2.5146 mm squared, by hand: 5462.86 N.
    assert!((own.breaking.as_newtons() - 5462.86).abs() < 0.01, "{:?}", own.breaking);
    assert_eq!(all.label("chestnut"), Some("Split chestnut"));
    assert!(all.post("chestnut").expect("taken in").moment.is_some(), "wood breaks at what its width says");
    assert_eq!(own.sources.source, KEEPERS_OWN);
    assert!(KEEPERS_OWN.entry().is_some());
}

#[test]
fn an_own_row_with_the_id_of_a_built_in_one_replaces_it_in_its_place() {
    let built_in = Catalogue::built_in();
    let place = |all: &Catalogue| all.wires.iter().position(|row| row.id == "ht-14ga");
    let row = but(but(wire(), "id", json!("ht-14ga")), "source", json!("printed on the roll"));
    let all = with(json!({ "wire": [row] })).expect("usable");
    assert_eq!((all.wires.len(), place(&all)), (built_in.wires.len(), place(built_in)));
    let own = all.wire("ht-14ga").expect("still there");
    assert_eq!((own.label.as_str(), own.sources.source.as_str()), ("Wire from the barn", "printed on the roll"));
    assert_eq!(all.posts, built_in.posts);
}

#[test]
fn every_built_in_row_is_a_usable_own_row() {
    let files = [
        include_str!("../../../assets/catalogue/wire.toml"),
        include_str!("../../../assets/catalogue/post.toml"),
        include_str!("../../../assets/catalogue/insulator.toml"),
        include_str!("../../../assets/catalogue/gate.toml"),
        include_str!("../../../assets/catalogue/energizer.toml"),
        include_str!("../../../assets/catalogue/leakage.toml"),
        include_str!("../../../assets/catalogue/soil.toml"),
        include_str!("../../../assets/catalogue/animal.toml"),
        include_str!("../../../assets/catalogue/fitting.toml"),
        include_str!("../../../assets/catalogue/stocking.toml"),
    ];
    for text in files {
        let table: toml::Table = text.parse().expect("TOML");
        let rows = serde_json::to_value(table).expect("has no dates");
        let all = with(rows).unwrap_or_else(|error| panic!("{error}"));
        assert!(all == *Catalogue::built_in(), "a row became another");
    }
}

fn animals_that_cannot_be_used() -> Vec<(Value, &'static str)> {
    vec![
        (
            animal("net", json!({ "least_m": 1e300, "usual_m": 1, "foot_m": 0.1 })),
            ", fence[0].net.least_m: found 1e+300; allowed is a number from 0.01 to 5",
        ),
        (
            animal("net", json!({ "least_m": 1, "usual_m": 1, "foot_m": -1e300 })),
            ", fence[0].net.foot_m: found -1e+300; allowed is a number from 0 to 5",
        ),
        (
            animal("net", json!({ "least_m": 1, "foot_m": 0.1 })),
            ", fence[0].net.usual_m: found nothing; allowed is a number from",
        ),
        (
            animal("net", json!({ "least_m": 1, "usual_m": 1, "foot_m": 0, "toe_m": 1 })),
            "allowed is an object of numbers: least_m from 0.01 to 5,",
        ),
        (
            animal("heavy", json!({ "from_kg": -1, "top_m": 1, "usual_top_m": 1 })),
            ", fence[0].heavy.from_kg: found -1; allowed is",
        ),
        (
            animal("strands_least", json!(1e9)),
            ", fence[0].strands_least: found 1000000000.0; allowed is a whole number from 1 to 30",
        ),
        (animal("moo", json!(1)), ", fence[0].moo: found this member; allowed is one of purpose, strands_m,"),
        (animal("under_m", Value::Null), ", fence[0].under_m: found nothing; allowed is a number from 0.01 to 5"),
        (animal("creep_m", json!(0.2)), ", fence[0].creep_m: found creep_share too; allowed is one of the two"),
    ]
}

#[test]
fn a_row_that_cannot_be_used_is_named_with_what_stands_there_and_what_may() {
    let one_wire = |row: Value| json!({ "wire": [row] });
    let one_energizer = |row: Value| json!({ "energizer": [row] });
    let one_post = |row: Value| json!({ "post": [row] });
    let rows = [
        (json!({ "wires": [] }), ".wires: found this section; allowed is one of wire, post,"),
        (json!({ "wire": {} }), ".wire: found an object; allowed is a list of rows"),
        (json!({ "wire": [7] }), ".wire[0]: found a number; allowed is an object"),
        (one_wire(but(wire(), "id", Value::Null)), ".wire[0], id: found nothing; allowed is a text"),
        (
            json!({ "wire": [wire(), but(but(wire(), "id", json!("b")), "tension_n", json!("hard"))] }),
            ".wire[1] (b), tension_n: found \"hard\"; allowed is a number from 1 to 50000",
        ),
        (
            one_wire(but(wire(), "tension_n", json!(-3))),
            ".wire[0] (barn-wire), tension_n: found -3; allowed is a number from 1 to",
        ),
        (
            one_wire(but(wire(), "tension", json!(3))),
            ".wire[0] (barn-wire), tension: found this member; allowed is one of id, label,",
        ),
        (one_wire(but(wire(), "gauge", json!("12,5"))), ", gauge: found \"12,5\"; allowed is one of \"9\", \"11\""),
        (one_wire(but(wire(), "gauge", Value::Null)), ", diameter_m: found nothing; allowed is a number, or a gauge"),
        (one_wire(but(wire(), "strength_pa", Value::Null)), ", breaking_n: found nothing; allowed is a number, or strength_pa"),
        (one_wire(but(wire(), "metal", json!("composite"))), ", mass_kg_per_m: found nothing; allowed is a number: it does not"),
        (one_wire(but(wire(), "metal", json!("gold"))), ", metal: found \"gold\"; allowed is one of steel, aluminium, composite"),
        (
            json!({ "wire": [wire(), wire()] }),
            ".wire[1] (barn-wire), id: found the name of a row before it; allowed is a name of",
        ),
        (one_post(but(post(), "depth_m", json!(2.0))), ".post[0] (chestnut), depth_m: found 2; allowed is at most length_m, 1.7"),
        (one_post(but(post(), "insulator", json!("glue"))), ", insulator: found \"glue\"; allowed is the id of an insulator"),
        (one_post(but(post(), "id", json!("ht-14ga"))), ", id: found the id of a row of wire; allowed is an id that nothing"),
        (
            one_wire(but(wire(), "sheath_diameter_m", json!(0.006))),
            ", resistance_ohm_per_m: found nothing; allowed is a number: that",
        ),
        (
            one_energizer(but(energizer(), "at_500_ohm_kv", json!(9.9))),
            ", at_500_ohm_kv: found 9.9; allowed is less than open_kv, 8.8",
        ),
        (one_energizer(but(energizer(), "output_j", json!(4.5))), ", output_j: found 4.5; allowed is less than stored_j, 4.5"),
        (one_energizer(but(energizer(), "id", json!("t-post"))), ", id: found the id of a row of post; allowed is an id that"),
        (json!({ "leakage": [{ "vegetation": "moss" }] }), ", vegetation: found \"moss\"; allowed is one of clear, light,"),
        (one_post(but(post(), "in_rock", json!("no"))), ", in_rock: found \"no\"; allowed is true or false"),
    ];
    for (rows, says) in rows.into_iter().chain(animals_that_cannot_be_used()) {
        let error = with(rows.clone()).expect_err("not usable").to_string();
        assert!(error.starts_with("hillwire.catalogue") && error.contains(says), "{rows}: {error}");
    }
    let long = "x".repeat(100_000);
    for row in [
        but(wire(), "strength_pa", json!(long)),
        but(wire(), &long, json!(1)),
        but(but(wire(), "id", json!(long)), "gauge", json!(9)),
    ] {
        let error = with(one_wire(row)).expect_err("not usable").to_string();
        assert!(error.len() < 700 && error.contains("xxx…"), "{error}");
    }
}
