use super::*;
use crate::hold::{Footing, FootingMap, GatePlace, LineHold, LineMeasure, Section, Terrain, line_hold, measure, section};
use crate::land::{Frame, MapPoint, Position};
use crate::plan::{Build, Energizer, Feature, FeatureId, Fence, Gate, Geometry, Head, Jumper, Kind, LeadOut, Prices, Strand};
use crate::units::Force;
use std::collections::BTreeMap;

const MIDDLE: Position = Position { lon_e9: -3_810_000_000, lat_e9: 56_600_000_000 };

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
            prices: Prices { currency: "EUR".to_owned(), items: prices, ..Prices::default() },
            on_hand: BTreeMap::from([("wood-75".to_owned(), vec![5.0])]),
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
    section: Section,
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
    let hold = line_hold(
        plan,
        feature,
        &section,
        &gates,
        Terrain { footings: &ground, ground: None, clearance: None, placed: None },
        all,
    )
    .expect("all rows are listed");
    Built { measure: measure(&section), id, hold, section }
}

fn order_of(plan: &Plan, lines: &[Built]) -> Order {
    let lines: Vec<BuiltLine> = lines
        .iter()
        .map(|line| BuiltLine {
            id: &line.id,
            measure: &line.measure,
            section: &line.section,
            posts: &line.hold.posts,
            bays: &line.hold.bays,
            strains: &line.hold.strains,
            on_walk: None,
        })
        .collect();
    order(plan, &lines, &Site { frame: Frame::near(MIDDLE), footings: None }, Catalogue::built_in())
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
    let mut at_both_ends = plan.clone();
    std::sync::Arc::make_mut(&mut at_both_ends.head).builds[0].springs_at_both_ends = true;
    let both = order_of(&at_both_ends, &[built(&at_both_ends, "a", &SQUARE, &[50.0])]);
    assert!(is(item(&both, "spring").net, 8.0));
    assert_eq!((item(&order, "gate-handle").net, item(&order, "gate-anchor").net), (2.0, 2.0));
    assert!((item(&order, "hv-cable").net - 7.0).abs() < 1e-9 && (item(&order, "conduit").net - 4.6).abs() < 1e-9);
    assert!(is(item(&order, "warning-sign").net, 2.0));
    // Nobody drew a switch: the line is 400 m long and has a gate.
    assert!(is(item(&order, "cut-out").net, 1.0), "one for 400 m, at the gate");
    assert!(order.items.iter().all(|item| item.id != "concrete-bag"), "nothing hangs on the posts of a gate with handles");
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
    assert!(item(&order, "tape-buckle").net >= 2.0, "400 m do not come out of rolls of 200 m in one piece");
}

#[test]
fn a_cable_in_the_ground_is_cable_and_conduit_and_a_switch_at_its_end() {
    let plan = plan("ht-14ga");
    let order = order_of(&plan, &[built(&plan, "lead", &[(0.0, 0.0), (50.0, 0.0)], &[])]);
    let ids: Vec<&str> = order.items.iter().map(|item| item.id.as_str()).collect();
    assert_eq!(ids, ["clamp", "hv-cable", "cut-out"], "it lies in the ground bare where nothing passes");
    assert!((item(&order, "hv-cable").need - 53.4).abs() < 1e-9);
    assert!(is(item(&order, "hv-cable").buy, 54.0));
}

#[test]
fn what_is_drawn_for_the_pulse_is_counted_as_by_hand() {
    let at = |x: f64, y: f64| Frame::near(MIDDLE).to_position(MapPoint::new(x, y));
    let point = |id: &str, kind: Kind, x: f64, y: f64| Feature::new(FeatureId::new(id), kind, Geometry::Point(at(x, y)));
    let mut plan = plan("ht-14ga");
    let along = Geometry::Line(vec![at(0.0, 0.0), at(200.0, 0.0)]);
    let fence = Kind::Fence(Fence { build: "pig".to_owned(), ..Fence::default() });
    let jumper = |strands: &[u32]| Kind::Jumper(Jumper { strands: strands.to_vec(), lines: Vec::new() });
    let earth = Kind::Earth { rods: None, rod_length: None, rod_diameter: None, spacing: None };
    let unit = |model: Option<&str>| Energizer { model: model.map(str::to_owned), stored_j: Some(6.0), ..Energizer::default() };
    plan.features = [
        Feature::new(FeatureId::new("fence"), fence.clone(), along.clone()),
        Feature::new(FeatureId::new("other"), fence, Geometry::Line(vec![at(200.5, 0.0), at(200.5, 100.0)])),
        point("unit", Kind::Energizer(unit(Some("large"))), -30.0, 0.0),
        point("own unit", Kind::Energizer(unit(None)), -60.0, 0.0),
        point("earth", earth, -30.0, 12.0),
        point("switch", Kind::Cutout { open: false }, 20.0, 0.0),
        point("two strands", jumper(&[]), 50.0, 0.5),
        point("named strands", jumper(&[1, 2, 3]), 60.0, 0.0),
        point("two lines", jumper(&[]), 200.0, 0.0),
        point("nowhere", jumper(&[]), 50.0, 40.0),
        Feature::new(FeatureId::new("wire"), jumper(&[]), Geometry::Line(vec![at(10.0, 0.0), at(10.0, 7.0)])),
    ]
    .map(std::sync::Arc::new)
    .to_vec();
    let order = order_of(&plan, &[]);
    let net = |id: &str| item(&order, id).net;
    assert_eq!((net("large"), net("cut-out")), (1.0, 1.0));
    assert_eq!(
        (net("earth-rod"), net("earth-clamp")),
        (5.0, 5.0),
        "as many as a plan has that does not say, and one for each arrester"
    );
    // Two strands one piece, three named ones two, two lines of two strands three, and one where no line is near.
    assert!(is(net("jumper"), 7.0));
    // 12 m to the rods, twice 3 m between them, 2 m of slack; and 7 m of wire between lines.
    assert!((net("hv-cable") - 27.0).abs() < 0.1, "{}", net("hv-cable"));
    assert!(is(net("clamp"), 2.0));
}

#[test]
fn a_crossing_takes_the_cable_that_the_gate_names_and_a_buried_lead_out_one_for_each_conductor() {
    let crossing = |cable: &str| {
        let mut plan = plan("ht-14ga");
        let gate = Gate { cable: Some(cable.to_owned()), ..Gate::default() };
        plan.features[2] = std::sync::Arc::new(Feature { kind: Kind::Gate(gate), ..(*plan.features[2]).clone() });
        order_of(&plan, &[built(&plan, "a", &SQUARE, &[50.0])])
    };
    // 3.6 m, twice 1.2 m up the posts, 1 m of slack.
    assert!((item(&crossing("hv-cable"), "hv-cable").net - 7.0).abs() < 1e-9);
    let plain = crossing("ht-12.5ga");
    assert!((item(&plain, "ht-12.5ga").net - 7.0).abs() < 1e-9 && item(&plain, "ht-12.5ga").rolls == Some(1));
    assert!(plain.items.iter().all(|item| item.id != "hv-cable"));
    let mut plan = plan("ht-14ga");
    let lead = LeadOut { underground: true, conductors: Some(2), ..LeadOut::default() };
    plan.features[1] = std::sync::Arc::new(Feature { kind: Kind::LeadOut(lead), ..(*plan.features[1]).clone() });
    let order = order_of(&plan, &[built(&plan, "lead", &[(0.0, 0.0), (50.0, 0.0)], &[])]);
    assert!((item(&order, "hv-cable").net - 106.8).abs() < 1e-9 && is(item(&order, "clamp").net, 4.0));
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
            for share in item.why.iter().filter(|share| !matches!(share.rule, CountRule::Waste | CountRule::Spares)) {
                let placed: f64 = share.places.iter().map(|taken| taken.amount).sum();
                assert!((placed - share.amount).abs() < 1e-6, "{} {:?}: every part of it has its place", item.id, share.rule);
            }
            assert!((item.left_over - (item.on_hand + item.buy - item.need)).abs() < 1e-6 || item.rolls.is_some(), "{}", item.id);
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

#[test]
fn braces_take_a_second_post_a_rail_two_pins_and_wire_each() {
    let braced = |wire: &str, corners: &[usize]| {
        let mut plan = plan(wire);
        let choice = || crate::plan::CornerChoice { brace: Some(true), ..Default::default() };
        let fence = Fence {
            build: "pig".to_owned(),
            corners: corners.iter().map(|corner| (*corner, choice())).collect(),
            ..Fence::default()
        };
        plan.features[0] = Feature::new(FeatureId::new("a"), Kind::Fence(fence), Geometry::Line(vec![])).into();
        // Two ends, a right angle, and a turn of 45 degrees.
        let order = order_of(&plan, &[built(&plan, "a", &[(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (50.0, 150.0)], &[])]);
        let net = |id: &str| order.items.iter().find(|item| item.id == id).map_or(0.0, |item| item.net);
        (["wood-150", "brace-rail", "brace-pin", "twitch-stick", "tube-5mm"].map(net), net("soft-9ga"), net("ht-14ga"))
    };
    let (none, _, plain_m) = braced("ht-14ga", &[]);
    let are = |found: [f64; 5], expected: [f64; 5]| found.into_iter().zip(expected).all(|(found, expected)| is(found, expected));
    assert!(are(none, [4.0, 0.0, 0.0, 0.0, 0.0]), "{none:?}");
    // One for the end, two for the right angle, one for the gentler turn.
    let (all, soft_m, hard_m) = braced("ht-14ga", &[0, 1, 2]);
    assert!(are(all, [8.0, 4.0, 8.0, 4.0, 1.2]), "{all:?}");
    assert!(is(soft_m, 0.0) && (hard_m - plain_m - 4.0 * 11.6).abs() < 1e-6, "{hard_m} {plain_m}");
    let (_, soft_m, _) = braced("tape-20", &[0, 1, 2]);
    assert!((soft_m - 4.0 * 11.6).abs() < 1e-6, "{soft_m}");
}

#[test]
fn every_count_opens_to_the_places_that_make_it() {
    let plan = plan("ht-14ga");
    let order = order_of(&plan, &[built(&plan, "a", &SQUARE, &[50.0])]);
    let stations = |id: &str, rule: CountRule| {
        let share = item(&order, id).why.iter().find(|share| share.rule == rule).unwrap_or_else(|| panic!("{id}: {rule:?}"));
        share.places.iter().map(|taken| taken.from.map_or(-1.0, |at| (at.as_metres() * 10.0).round() / 10.0)).collect::<Vec<_>>()
    };
    assert_eq!(stations("donut", CountRule::StrandsAtCorners), [0.0, 100.0, 200.0, 300.0]);
    assert_eq!(stations("wood-150", CountRule::StrainPosts), [0.0, 48.2, 51.8, 100.0, 200.0, 300.0]);
    assert_eq!(stations("gate-handle", CountRule::Gates), [48.2]);
    assert_eq!(item(&order, "screw-ring").pack, 25);
    assert_eq!((item(&order, "screw-ring").need, item(&order, "screw-ring").buy), (74.0, 75.0));
    assert!(is(item(&order, "screw-ring").left_over, 1.0));
}

#[test]
fn part_rolls_in_the_shed_are_cut_up_first_and_joints_have_their_places() {
    let mut plan = plan("ht-14ga");
    std::sync::Arc::make_mut(&mut plan.head).on_hand.insert("ht-14ga".to_owned(), vec![420.0, 415.0]);
    let lines = |plan: &Plan| [built(plan, "a", &SQUARE, &[])];
    let enough = order_of(&plan, &lines(&plan));
    // Two strains of 200 m, two strands each: four pieces of 209.2 m with what is wound back and waste. Three fit, the fourth does not.
    let wire = item(&enough, "ht-14ga");
    assert_eq!((wire.on_hand, wire.rolls), (835.0, Some(1)), "{wire:?}");
    std::sync::Arc::make_mut(&mut plan.head).on_hand.insert("ht-14ga".to_owned(), vec![420.0, 300.0, 130.0]);
    let joined = order_of(&plan, &lines(&plan));
    let wire = item(&joined, "ht-14ga");
    let joints = wire.why.iter().find(|share| share.rule == CountRule::Joints).expect("300 m and 130 m are joined");
    assert_eq!((wire.rolls, joints.places.len()), (Some(0), 1), "{wire:?}");
    // 129.7 m of the last piece come from the last roll, 4 % of waste and what is wound back taken off; it begins at 200 m.
    let at = joints.places[0].from.expect("it lies on the line").as_metres();
    assert!((at - (200.0 + 129.7 / 1.04 - 0.6)).abs() < 0.1, "{at}");
    assert!(item(&joined, "crimp").why.iter().any(|share| share.rule == CountRule::Joints));
}

#[test]
fn cribs_and_posts_in_rock_are_built_of_what_they_take() {
    let with = |post: &str| {
        let mut plan = plan("ht-14ga");
        let choice = crate::plan::CornerChoice { post: Some(post.to_owned()), ..Default::default() };
        let fence = Fence { build: "pig".to_owned(), corners: BTreeMap::from([(0, choice)]), ..Fence::default() };
        plan.features[0] = Feature::new(FeatureId::new("a"), Kind::Fence(fence), Geometry::Line(vec![])).into();
        order_of(&plan, &[built(&plan, "a", &[(0.0, 0.0), (100.0, 0.0)], &[])])
    };
    let crib = with("crib");
    assert!(crib.items.iter().all(|item| item.id != "crib"));
    assert!(is(item(&crib, "crib-rail").net, 12.0));
    assert!(item(&crib, "crib-rock").net >= 0.9 && item(&crib, "crib-rock").counted_in == CountedIn::Tonne);
    let wire = item(&crib, "ht-14ga").why.iter().find(|share| share.rule == CountRule::Cribs).expect("it ties the rails");
    assert!(is(wire.amount, 20.0));
    let socket = with("rock-socket");
    assert!(is(item(&socket, "rock-hole").net, 1.0) && item(&socket, "rock-hole").group == ItemGroup::Work);
    // 150 mm in 300 mm, 0.3 m deep: 0.0159 cubic metres.
    assert!((item(&socket, "concrete-bag").net - 0.0159 / 0.009).abs() < 0.01);
}

#[test]
fn signs_stand_along_the_stretch_beside_a_public_way_and_nowhere_else() {
    let mut plan = plan("ht-14ga");
    let at = |x: f64, y: f64| Frame::near(MIDDLE).to_position(MapPoint::new(x, y));
    let way = Feature::new(
        FeatureId::new("way"),
        Kind::PublicWay { use_by: None },
        Geometry::Line(vec![at(0.0, 10.0), at(120.0, 10.0), at(120.0, 200.0)]),
    );
    plan.features.push(way.into());
    let order = order_of(&plan, &[built(&plan, "a", &[(0.0, 0.0), (600.0, 0.0)], &[])]);
    let signs = item(&order, "warning-sign");
    // Until 25 m past the way's corner: 145 m, three signs.
    assert!(is(signs.net, 3.0), "{signs:?}");
    assert!(signs.why[0].places.iter().all(|taken| taken.from.is_some_and(|station| station.as_metres() < 146.0)));
}

#[test]
fn an_energizer_without_an_earth_is_given_one_for_what_it_stores() {
    let mut plan = plan("ht-14ga");
    let unit = Energizer { stored_j: Some(12.0), ..Energizer::default() };
    let at = Geometry::Point(MIDDLE);
    plan.features.push(Feature::new(FeatureId::new("unit"), Kind::Energizer(unit), at).into());
    let order = order_of(&plan, &[]);
    // 12 J, three feet each, of rods of 1.8 m: seven; and the arrester's own.
    assert!(is(item(&order, "earth-rod").net, 8.0), "{:?}", item(&order, "earth-rod"));
    assert!(is(item(&order, "lightning-choke").net, 1.0) && is(item(&order, "lightning-arrester").net, 1.0));
}

#[path = "work_tests.rs"]
mod work;

#[test]
fn netting_is_ordered_by_the_roll_with_its_own_stakes() {
    let mut take_off = TakeOff::default();
    let line = FeatureId::new("ring");
    let count = FenceCount { net: Some(("net-sheep-90".to_owned(), 130.0)), ..FenceCount::none(line) };
    take_off.line(&count, Catalogue::built_in());
    let taken: Vec<(&str, f64)> = take_off.others.iter().map(|((_, id), taken)| (id.as_str(), taken.net())).collect();
    assert!(
        take_off.wires.is_empty() && matches!(taken.as_slice(), [("net-sheep-90", rolls)] if (rolls - 2.6).abs() < 1e-9),
        "{taken:?}"
    );
}
