use super::*;
use crate::hold::{Footing, FootingMap, GatePlace, LineHold, LineMeasure, Terrain, line_hold, measure, section};
use crate::land::MapPoint;
use crate::plan::{Build, Feature, FeatureId, Fence, Gate, Geometry, Head, Kind, LeadOut, Prices, Strand};
use crate::units::Force;
use serde_json::Map;
use std::collections::BTreeMap;

fn build(wire: &str) -> Build {
    let strand = |height_m, live| Strand { live, ..Strand::live(Length::metres(height_m), wire) };
    Build {
        id: "pig".to_owned(),
        strands: vec![strand(0.2, true), strand(0.45, true)],
        line_post: "wood-75".to_owned(),
        corner_post: "wood-150".to_owned(),
        max_bay: Length::metres(10.0),
        tension: Force::newtons(450.0),
        spring_n_per_m: Some(5000.0),
        ..Build::default()
    }
}

fn plan(wire: &str) -> Plan {
    let feature = |id: &str, kind| Feature::new(FeatureId::new(id), kind, Geometry::Line(vec![]));
    let prices = BTreeMap::from([(wire.to_owned(), 0.1), ("wood-75".to_owned(), 3.0)]);
    Plan::new(
        Head {
            builds: vec![build(wire)],
            prices: Prices { currency: "EUR".to_owned(), items: prices, foreign: Map::new() },
            on_hand: BTreeMap::from([("wood-75".to_owned(), 5.0)]),
            ..Head::default()
        },
        vec![
            feature("a", Kind::Fence(Fence { build: "pig".to_owned(), ..Fence::default() })),
            feature("lead", Kind::LeadOut(LeadOut { underground: true, ..LeadOut::default() })),
            feature("g", Kind::Gate(Gate::default())),
        ],
    )
}

struct Built {
    id: FeatureId,
    measure: LineMeasure,
    hold: LineHold,
}

fn built(plan: &Plan, id: &str, corners: &[(f64, f64)], gates: &[f64]) -> Built {
    let all = Catalogue::built_in();
    let id = FeatureId::new(id);
    let corners: Vec<MapPoint> = corners.iter().map(|(x, y)| MapPoint::new(*x, *y)).collect();
    let section = section(&id, &corners, None, &[]);
    let place = |plan_m: &f64| GatePlace { id: FeatureId::new("g"), plan_m: *plan_m, width: Length::metres(3.6) };
    let gates: Vec<GatePlace> = gates.iter().map(place).collect();
    let ground = FootingMap::even(Footing::of(&plan.head.ground, all).expect("loam"));
    let feature = plan.feature(&id).expect("drawn");
    let hold = line_hold(plan, feature, &section, &gates, Terrain { footings: &ground, ground: None }, all)
        .expect("all rows are listed");
    Built { measure: measure(&section), id, hold }
}

fn order_of(plan: &Plan, lines: &[Built]) -> Order {
    let lines: Vec<BuiltLine> = lines
        .iter()
        .map(|line| BuiltLine {
            id: &line.id,
            measure: &line.measure,
            posts: &line.hold.posts,
            bays: &line.hold.bays,
            strains: &line.hold.strains,
        })
        .collect();
    order(plan, &lines, Catalogue::built_in())
}

fn item<'a>(order: &'a Order, id: &str) -> &'a Item {
    order.items.iter().find(|item| item.id == id).unwrap_or_else(|| panic!("no {id} in {:?}", order.items))
}

fn is(found: f64, expected: f64) -> bool {
    (found - expected).abs() < 1e-9
}

const SQUARE: [(f64, f64); 5] = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0), (0.0, 0.0)];

#[test]
fn a_square_with_a_gate_is_counted_as_by_hand() {
    let plan = plan("ht-14ga");
    let order = order_of(&plan, &[built(&plan, "a", &SQUARE, &[50.0])]);
    let wire = item(&order, "ht-14ga");
    // One run of 396.4 m with three right angles between its ends, and the one where it closes: two strains. Two strands, four ends of 0.6 m each.
    assert!((wire.net - 2.0 * (396.4 + 2.4)).abs() < 1e-6, "{}", wire.net);
    assert!((wire.need - wire.net * 1.04).abs() < 1e-9);
    assert_eq!((wire.rolls, wire.buy), (Some(2), 1610.0), "829.5 m do not come out of one roll of 805 m");
    // Four corners, two gate posts.
    assert!(is(item(&order, "wood-150").net, 6.0));
    // Three sides of nine posts between corners; the side with the gate has 48.2 m left and right of it: four posts each.
    let line_posts = item(&order, "wood-75");
    assert_eq!((line_posts.net, line_posts.on_hand, line_posts.buy), (35.0, 5.0, 30.0));
    assert_eq!(line_posts.price, Some(90.0));
    assert!(is(item(&order, "screw-ring").net, 70.0));
    assert!(is(item(&order, "donut").net, 8.0));
    assert!(is(item(&order, "bull-nose").net, 8.0));
    assert_eq!((item(&order, "strainer").net, item(&order, "spring").net), (4.0, 4.0));
    assert_eq!((item(&order, "gate-handle").net, item(&order, "gate-anchor").net), (2.0, 2.0));
    assert!((item(&order, "hv-cable").net - 7.0).abs() < 1e-9 && (item(&order, "conduit").net - 4.6).abs() < 1e-9);
    assert!(is(item(&order, "warning-sign").net, 2.0));
    assert!((order.total - (161.0 + 90.0)).abs() < 1e-9);
    assert_eq!(order.currency, "EUR");
    assert!(order.unpriced > 5);
}

#[test]
fn tape_needs_no_strainers_and_more_waste() {
    let plan = plan("tape-20");
    let order = order_of(&plan, &[built(&plan, "a", &SQUARE, &[])]);
    assert!(order.items.iter().all(|item| item.id != "strainer" && item.id != "crimp"));
    let tape = item(&order, "tape-20");
    assert!((tape.need - tape.net * 1.08).abs() < 1e-9);
    assert!(item(&order, "joint").net >= 2.0, "400 m do not come out of rolls of 200 m in one piece");
}

#[test]
fn a_cable_in_the_ground_is_cable_and_conduit_and_nothing_else() {
    let plan = plan("ht-14ga");
    let order = order_of(&plan, &[built(&plan, "lead", &[(0.0, 0.0), (50.0, 0.0)], &[])]);
    let ids: Vec<&str> = order.items.iter().map(|item| item.id.as_str()).collect();
    assert_eq!(ids, ["clamp", "conduit", "hv-cable"]);
    assert!((item(&order, "hv-cable").need - 53.4).abs() < 1e-9);
    assert!(is(item(&order, "hv-cable").buy, 54.0));
}

#[test]
fn every_item_has_a_row_with_a_label_and_its_shares_add_up() {
    for wire in ["ht-14ga", "polywire"] {
        let plan = plan(wire);
        let lines = [built(&plan, "a", &SQUARE, &[50.0, 150.0]), built(&plan, "lead", &[(0.0, 0.0), (50.0, 0.0)], &[])];
        let order = order_of(&plan, &lines);
        assert!(order.items.len() > 10);
        for item in &order.items {
            assert!(Catalogue::built_in().label(&item.id).is_some(), "{}", item.id);
            let sum: f64 = item.why.iter().map(|share| share.amount).sum();
            assert!((sum - item.need).abs() < 1e-6, "{}: {sum} {}", item.id, item.need);
            assert!(item.buy + item.on_hand >= item.need - 1e-6, "{}", item.id);
        }
        let groups: Vec<ItemGroup> = order.items.iter().map(|item| item.group).collect();
        assert!(groups.is_sorted(), "{groups:?}");
    }
}

#[test]
fn no_lines_cost_nothing() {
    let plan = plan("ht-14ga");
    let order = order_of(&plan, &[]);
    assert!(order.items.is_empty() && order.total.abs() < 1e-12);
}
