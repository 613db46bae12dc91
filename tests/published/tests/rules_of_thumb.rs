//! Rules of thumb of the trade (common practice): nobody typed them in, they have to come out of the formulas.
//!
//! By subject: corners, dips, strikes, stock. Source: `common-practice`. Compared are outcomes of the program's public functions with each other.
//!
//! By: common-practice.

use hillwire_core::catalogue::wire::area_m2;
use hillwire_core::catalogue::{Catalogue, InsulatorRow, Metal, Purpose, WireRow};
use hillwire_core::finding::{Finding, Reason, Remedy, Rule, WayOut, Weight};
use hillwire_core::hold::StruckStrand;
use hillwire_core::hold::corner::uplift_n;
use hillwire_core::land::Position;
use hillwire_core::outcome::{Kept, outcome_on};
use hillwire_core::plan::{
    Build, CornerChoice, Feature, FeatureId, Fence, Geometry, Head, Kind, Paddock, Plan, StockGroup, Strand,
};
use hillwire_core::units::{Force, Length};
use jiff::ToSpan;
use jiff::civil::{Date, date};
use std::collections::{BTreeMap, BTreeSet};

fn position(east: f64, north: f64) -> Position {
    Position::from_degrees(10.0 + east * 1e-5, 50.0 + north * 1e-5)
}

fn build(heights_m: &[f64], tension_n: f64) -> Build {
    Build {
        id: "pigs".to_owned(),
        strands: heights_m.iter().map(|height| Strand::live(Length::metres(*height), "ht-12.5ga")).collect(),
        line_post: "wood-75".to_owned(),
        corner_post: "wood-150".to_owned(),
        max_bay: Length::metres(8.0),
        tension: Force::newtons(tension_n),
        ..Build::default()
    }
}

fn findings(plan: &Plan, on: Option<Date>, rule: Rule) -> Vec<Finding> {
    let found = outcome_on(on, plan, 1, None, Catalogue::built_in(), &mut Kept::new()).findings;
    found.into_iter().filter(|finding| finding.rule == rule).collect()
}

/// A line with one right angle in it, its ends braced.
fn with_corner(tension_n: f64, rock_depth_m: Option<f64>) -> Plan {
    let braced = || CornerChoice { brace: Some(true), ..CornerChoice::default() };
    let corner = CornerChoice { rock_depth: rock_depth_m.map(Length::metres), ..CornerChoice::default() };
    let fence = Fence {
        build: "pigs".to_owned(),
        corners: BTreeMap::from([(0, braced()), (1, corner), (2, braced())]),
        ..Fence::default()
    };
    // 1e-5 degrees are 0.71 m by 1.11 m here: east, then north, is a right angle.
    let course = Geometry::Line(vec![position(0.0, 0.0), position(60.0, 0.0), position(60.0, 40.0)]);
    let head = Head { builds: vec![build(&[0.15, 0.35, 0.60], tension_n)], ..Head::default() };
    Plan::new(head, vec![Feature::new(FeatureId::new("line"), Kind::Fence(fence), course)])
}

#[test]
fn a_corner_post_on_rock_at_thirty_centimetres_needs_a_brace_or_a_crib_where_a_deep_one_shrugs() {
    for tension_n in [150.0, 300.0, 445.0, 560.0] {
        let deep = findings(&with_corner(tension_n, None), None, Rule::CornerLoad);
        assert!(deep.is_empty(), "{tension_n} N: {deep:?}");
        let shallow = findings(&with_corner(tension_n, Some(0.3)), None, Rule::CornerLoad);
        let [finding] = &shallow[..] else { panic!("{tension_n} N: {shallow:?}") };
        assert_eq!(finding.weight, Weight::MustFix, "{tension_n} N");
        let is_built = |remedy: &Remedy| matches!(remedy, Remedy::Brace { .. } | Remedy::Crib { .. });
        assert!(finding.remedies.iter().any(is_built), "{finding:?}");
        let is_a_post = |remedy: &Remedy| matches!(remedy, Remedy::DeeperPost { .. });
        assert!(!finding.remedies.iter().any(is_a_post), "rock lets no post deeper: {finding:?}");
    }
}

/// The plain steel wires of the catalogue, the weakest knot first.
fn steel_wires() -> Vec<&'static WireRow> {
    let is_plain = |wire: &&WireRow| wire.metal == Metal::Steel && !wire.is_barbed;
    let mut wires: Vec<&WireRow> = Catalogue::built_in().wires.iter().filter(is_plain).collect();
    assert!(wires.len() > 5, "{wires:?}");
    wires.sort_by(|one, other| knot_n(one).total_cmp(&knot_n(other)));
    wires
}

/// What the wire bears at a knot, N.
fn knot_n(wire: &WireRow) -> f64 {
    wire.joint_share * wire.breaking.as_newtons()
}

/// Insulators of line posts with what pulls one off, N.
fn insulators() -> Vec<(&'static InsulatorRow, f64)> {
    let of_posts = Catalogue::built_in().posts.iter().filter_map(|post| post.insulator.as_deref());
    let ids: BTreeSet<&str> = of_posts.collect();
    let rows = ids.into_iter().filter_map(|id| Catalogue::built_in().insulator(id));
    rows.filter_map(|row| Some((row, row.pull?.as_newtons()))).collect()
}

/// What gives first as a strand is tightened over a dip of 30 degrees: the insulator (true) or the wire.
fn insulator_gives_first(wire: &WireRow, pull_n: f64) -> bool {
    let grade = 15.0_f64.to_radians().tan();
    let gives = |set_n: f64| (uplift_n(set_n, [(8.0 * grade, 8.0); 2]) > pull_n, set_n > knot_n(wire));
    let first = (1..1000).map(|step| gives(f64::from(step) * 10.0)).find(|gives| *gives != (false, false));
    first.unwrap_or_else(|| panic!("{}: neither gives at 10 kN", wire.id)).0
}

#[test]
fn as_strands_are_tightened_over_a_dip_strong_wire_pulls_insulators_off_and_weak_wire_breaks() {
    let mut turns = 0;
    for (insulator, pull_n) in insulators() {
        let first: Vec<bool> = steel_wires().into_iter().map(|wire| insulator_gives_first(wire, pull_n)).collect();
        assert!(first.is_sorted(), "{}: from the weakest wire on {first:?}", insulator.id);
        turns += usize::from(first.first() != first.last());
    }
    assert!(turns > 1, "the wire never decides: {turns}");
}

/// A deer of 60 kg against a strand of 200 m on bays of 8 m: from what speed the insulators let go, and from what speed the wire breaks.
fn gives_from(wire: &WireRow, insulator: &InsulatorRow, set_n: f64) -> (f64, f64) {
    let strand = StruckStrand::of(wire, insulator, 200.0, set_n, 8.0).expect("a metal wire");
    let verdict = strand.verdict(60.0, 4.0).expect("in range");
    let from = |speed: Option<f64>| speed.unwrap_or(f64::INFINITY);
    (from(verdict.releases_from_m_per_s), from(verdict.breaks_from_m_per_s))
}

/// Pascals at which a knot of it breaks.
fn hardness_pa(wire: &WireRow) -> f64 {
    knot_n(wire) / area_m2(wire.diameter.as_metres())
}

#[test]
fn thicker_and_harder_wire_shifts_damage_from_the_wire_to_the_insulators() {
    let wires = steel_wires();
    let mut turns = 0;
    for (insulator, _) in insulators() {
        // All set alike, as the weakest of them can be.
        let lets_go = |wire: &WireRow| {
            let (releases, breaks) = gives_from(wire, insulator, 150.0);
            releases < breaks
        };
        for (weaker, stronger) in
            wires.iter().enumerate().flat_map(|(k, weaker)| wires[k + 1..].iter().map(move |one| (weaker, one)))
        {
            if stronger.diameter >= weaker.diameter && hardness_pa(stronger) >= hardness_pa(weaker) * (1.0 - 1e-9) {
                let pair = (lets_go(weaker), lets_go(stronger));
                assert_ne!(pair, (true, false), "{}: {}, {}", insulator.id, weaker.id, stronger.id);
                turns += usize::from(pair == (false, true));
            }
        }
    }
    assert!(turns > 10, "the wire never decides: {turns}");
}

/// A higher set tension spares the wire nothing.
#[test]
fn a_tauter_strand_breaks_at_a_slower_strike_and_lets_go_at_about_the_same() {
    let mut let_go = 0;
    for (wire, (insulator, _)) in steel_wires().into_iter().flat_map(|wire| insulators().into_iter().map(move |row| (wire, row)))
    {
        let shares = [0.1, 0.2, 0.3, 0.4, 0.5];
        for pair in shares.map(|share| gives_from(wire, insulator, share * knot_n(wire))).windows(2) {
            let name = format!("{}, {}: {pair:?}", wire.id, insulator.id);
            assert!(pair[1].1 < pair[0].1, "{name}");
            if pair.iter().all(|(releases, breaks)| releases < breaks) {
                assert!((pair[1].0 / pair[0].0 - 1.0).abs() < 0.10, "{name}");
                let_go += 1;
            }
        }
    }
    assert!(let_go > 20, "hardly any insulator lets go: {let_go}");
}

/// Piglets of this mass within these strands.
fn with_piglets(heights: &[f64], weight_kg: f64) -> Plan {
    let group = StockGroup {
        id: "litter".to_owned(),
        species: "pig".to_owned(),
        head: 9,
        weight_kg: Some(weight_kg),
        as_of: Some(date(2026, 4, 1)),
        gain_kg_per_day: Some(0.3),
        ..StockGroup::default()
    };
    let head = Head { builds: vec![build(heights, 300.0)], stock: vec![group], ..Head::default() };
    let ring = [(0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0), (0.0, 0.0)].map(|(east, north)| position(east, north));
    let fence = Kind::Fence(Fence { build: "pigs".to_owned(), purpose: Some(Purpose::Interior), ..Fence::default() });
    let paddock = Kind::Paddock(Paddock { stock: Some("litter".to_owned()), ..Paddock::default() });
    Plan::new(
        head,
        vec![
            Feature::new(FeatureId::new("ring"), fence, Geometry::Line(ring.to_vec())),
            Feature::new(FeatureId::new("sty"), paddock, Geometry::Point(position(30.0, 20.0))),
        ],
    )
}

#[test]
fn small_pigs_step_over_two_low_strands_from_the_first_day_on() {
    let found = findings(&with_piglets(&[0.10, 0.20], 9.0), Some(date(2026, 4, 1)), Rule::Holds);
    assert_eq!(found.len(), 1, "{found:?}");
    let Reason::DoesNotHold(why) = &found[0].reason else { panic!("{found:?}") };
    assert_eq!((found[0].weight, why.way, why.from), (Weight::MustFix, WayOut::Over, None));
}

/// Three strands of the trade for piglets, and what these weigh on the first day.
#[test]
fn piglets_outgrow_their_strands_on_the_day_that_was_foretold_all_along() {
    let heights = [0.10, 0.25, 0.40];
    for kg in [25.0, 33.0, 40.0, 48.0] {
        let plan = with_piglets(&heights, kg);
        let day = |days: i32| date(2026, 4, 1).saturating_add(days.days());
        let is_over = |finding: &Finding| matches!(&finding.reason, Reason::DoesNotHold(why) if why.way == WayOut::Over && finding.weight != Weight::Note);
        let is_outgrown = |days: i32| findings(&plan, Some(day(days)), Rule::Holds).iter().any(is_over);
        let first = (0..240).find(|days| is_outgrown(*days)).unwrap_or_else(|| panic!("{heights:?} from {kg} kg: never"));
        assert!(first > 40, "{heights:?} from {kg} kg: on day {first}");
        for before in [first, first / 2, 31, 30, 7, 1] {
            let found = findings(&plan, Some(day(first - before)), Rule::Outgrown);
            let [finding] = &found[..] else { panic!("{heights:?}, {before} days before: {found:?}") };
            let Reason::DoesNotHold(why) = &finding.reason else { panic!("{finding:?}") };
            assert_eq!((why.way, why.from), (WayOut::Over, Some(day(first))), "{heights:?}, {before} days before");
            // A month is what somebody needs to see to it.
            assert_eq!(
                finding.weight,
                if before > 30 { Weight::Note } else { Weight::LookAt },
                "{heights:?}, {before} days before"
            );
        }
    }
}
