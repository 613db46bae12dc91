//! A practitioner's rules of thumb, which nobody typed in: they have to come out of the formulas.
//!
//! Source: `common-practice`, as fencers say it. Compared are outcomes of the program's public functions with each other.

use hillwire_core::catalogue::{Catalogue, Purpose};
use hillwire_core::finding::{Finding, Reason, Remedy, Rule, StrikeOutcome, WayOut, Weight};
use hillwire_core::hold::corner::uplift_n;
use hillwire_core::hold::{StrikeVerdict, StruckStrand};
use hillwire_core::land::Position;
use hillwire_core::outcome::{Kept, outcome_on};
use hillwire_core::plan::{
    Build, CornerChoice, Feature, FeatureId, Fence, Geometry, Head, Kind, Paddock, Plan, StockGroup, Strand,
};
use hillwire_core::units::{Force, Length};
use jiff::ToSpan;
use jiff::civil::{Date, date};
use std::collections::BTreeMap;

/// A deer of 60 kg against a strand of 200 m on bays of 8 m.
fn struck(wire: &str, insulator: &str, set_n: f64, speed_m_per_s: f64) -> StrikeVerdict {
    let all = Catalogue::built_in();
    let (wire, insulator) = (all.wire(wire).expect(wire), all.insulator(insulator).expect(insulator));
    let strand = StruckStrand::of(wire, insulator, 200.0, set_n, 8.0).expect("a metal wire");
    strand.verdict(60.0, speed_m_per_s).expect("in range")
}

#[test]
fn thicker_and_harder_wire_shifts_damage_from_the_wire_to_the_insulators() {
    // The weaker wire and the stronger one, set alike, in the same insulators; the same strike.
    let pairs = [
        ("soft-17ga", "ht-17ga", "t-post-clip", 178.0, 3.0),
        ("soft-14ga", "ht-14ga", "t-post-clip", 356.0, 4.0),
        ("soft-12.5ga", "ht-12.5ga", "screw-ring", 445.0, 5.0),
        ("soft-17ga", "soft-12.5ga", "rod-clip", 178.0, 2.0),
        ("ht-17ga", "ht-14ga", "t-post-clip", 334.0, 5.0),
        ("ht-14ga", "ht-12.5ga", "screw-ring", 556.0, 8.0),
    ];
    for (weaker, stronger, insulator, set_n, speed) in pairs {
        let outcomes = [weaker, stronger].map(|wire| struck(wire, insulator, set_n, speed).outcome);
        assert_eq!(outcomes, [StrikeOutcome::Breaks, StrikeOutcome::InsulatorsRelease], "{weaker}, {stronger}");
    }
}

#[test]
fn as_strands_are_tightened_over_a_dip_strong_wire_pulls_insulators_off_and_weak_wire_breaks() {
    // The same dip of 30 degrees and the same insulators; tightened until the first of the two gives.
    let all = Catalogue::built_in();
    let grade = 15.0_f64.to_radians().tan();
    let lift_n = |set_n: f64| uplift_n(set_n, [(8.0 * grade, 8.0); 2]);
    let pull_n = all.insulator("screw-ring").and_then(|row| row.pull).expect("listed").as_newtons();
    for (wire, insulator_first) in [
        ("soft-17ga", false),
        ("soft-14ga", false),
        ("ht-17ga", false),
        ("soft-12.5ga", true),
        ("ht-14ga", true),
        ("ht-12.5ga", true),
    ] {
        let row = all.wire(wire).expect(wire);
        let breaks_n = row.joint_share * row.breaking.as_newtons();
        let gives = |set_n: f64| (lift_n(set_n) > pull_n, set_n > breaks_n);
        assert_eq!(gives(row.tension.as_newtons()), (false, false), "{wire} as it is usually set");
        let first = (1..1000).map(|step| gives(f64::from(step) * 10.0)).find(|gives| *gives != (false, false));
        assert_eq!(first, Some((insulator_first, !insulator_first)), "{wire}");
    }
}

/// What the rule does not say of strikes: there a higher set tension spares the wire nothing.
#[test]
fn a_tauter_strand_breaks_at_a_slower_strike_and_lets_go_at_about_the_same() {
    for (wire, insulator) in [("ht-14ga", "t-post-clip"), ("ht-12.5ga", "screw-ring"), ("ht-12.5ga", "rod-clip")] {
        let at = |set_n: f64| {
            let verdict = struck(wire, insulator, set_n, 4.0);
            (verdict.releases_from_m_per_s.expect("at some speed"), verdict.breaks_from_m_per_s.expect("at some speed"))
        };
        for pair in [150.0, 300.0, 450.0, 600.0, 900.0].windows(2) {
            let (slack, taut) = (at(pair[0]), at(pair[1]));
            assert!(taut.1 < slack.1, "{wire}, {insulator}, {pair:?} N: {taut:?} after {slack:?}");
            assert!((taut.0 / slack.0 - 1.0).abs() < 0.10, "{wire}, {insulator}, {pair:?} N: {taut:?} after {slack:?}");
        }
    }
}

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

#[test]
fn three_strands_for_piglets_hold_to_sixty_four_kilograms_and_are_flagged_before_that_day() {
    // 40 kg and 0.3 kg a day: 64 kg after 80 days; the top strand is half a centimetre too low on the 81st.
    let plan = with_piglets(&[0.10, 0.25, 0.40], 40.0);
    let first = date(2026, 4, 1);
    let over = first.saturating_add(81.days());
    let said =
        |days_before: i32| -> Vec<Finding> { findings(&plan, Some(over.saturating_sub(days_before.days())), Rule::Outgrown) };
    for (days_before, weight) in [(81, Weight::Note), (31, Weight::Note), (30, Weight::LookAt), (1, Weight::LookAt)] {
        let found = said(days_before);
        assert_eq!(found.len(), 1, "{days_before} days before: {found:?}");
        let Reason::DoesNotHold(why) = &found[0].reason else { panic!("{found:?}") };
        assert_eq!((found[0].weight, why.way, why.from), (weight, WayOut::Over, Some(over)), "{days_before} days before");
    }
    assert_eq!(findings(&plan, Some(over), Rule::Holds)[0].weight, Weight::LookAt);
}
