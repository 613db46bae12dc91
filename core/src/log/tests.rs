//! What the log teaches, on small plans.

use super::*;
use crate::catalogue::Catalogue;
use crate::land::{MapPoint, Position};
use crate::order::quote::SheetRow;
use crate::outcome::{Kept, outcome};
use crate::plan::{
    Build, Edit, Energizer, EntryLine, Fault, Feature, FeatureId, Fence, Gate, Geometry, GroundChoice, Head, Paddock, Reading,
    StockGroup, Strand, Zone,
};
use crate::units::{Force, Length};
use jiff::civil::date;

const MIDDLE: Position = Position { lon_e9: 15_000_000_000, lat_e9: 56_600_000_000 };

fn at(x_m: f64, y_m: f64) -> Position {
    Frame::near(MIDDLE).to_position(MapPoint::new(x_m, y_m))
}

fn id(text: &str) -> FeatureId {
    FeatureId::new(text)
}

fn point(name: &str, kind: Kind, x_m: f64, y_m: f64) -> Feature {
    Feature::new(id(name), kind, Geometry::Point(at(x_m, y_m)))
}

/// A thousand metres of fence eastwards, an energizer at its start, a gate.
fn head() -> Head {
    let strand = |height_m: f64| Strand {
        height: Length::metres(height_m),
        wire: "ht-14ga".to_owned(),
        live: true,
        band: None,
        foreign: Default::default(),
    };
    let build = Build {
        id: "pig-2".to_owned(),
        strands: vec![strand(0.2), strand(0.45)],
        net: None,
        class: None,
        line_post: "t-post".to_owned(),
        corner_post: "wood-150".to_owned(),
        max_bay: Length::metres(8.0),
        tension: Force::newtons(450.0),
        spring_n_per_m: None,
        springs_at_both_ends: false,
        drill: Length::ZERO,
        permanent: false,
        hold_down_cost: None,
        foreign: Default::default(),
    };
    Head { builds: vec![build], ground: GroundChoice::default(), ..Head::default() }
}

fn holding(entries: Vec<Feature>) -> Plan {
    let fence = Fence { build: "pig-2".to_owned(), ..Fence::default() };
    let mut features = vec![
        Feature::new(id("north"), Kind::Fence(fence), Geometry::Line(vec![at(0.0, 0.0), at(1000.0, 0.0)])),
        point("unit", Kind::Energizer(Energizer { model: Some("field".to_owned()), ..Energizer::default() }), 0.0, 0.0),
        point("gate", Kind::Gate(Gate::default()), 500.0, 0.0),
    ];
    features.extend(entries);
    Plan::new(head(), features)
}

fn of_north() -> EntryLine {
    EntryLine { line: Some("north".to_owned()), off: None }
}

fn reading(name: &str, day: &str, kv: f64, x_m: f64) -> Feature {
    let reading = Reading { kv: Some(kv), at_time: Some(day.to_owned()), of: of_north(), ..Reading::default() };
    point(name, Kind::Reading(reading), x_m, 0.0)
}

fn fault(name: &str, what: &str, day: &str, x_m: f64) -> Feature {
    let fault = Fault {
        what: Some(what.to_owned()),
        seen: Some(day.to_owned()),
        mended: Some(day.to_owned()),
        of: of_north(),
        ..Fault::default()
    };
    point(name, Kind::Fault(fault), x_m, 0.0)
}

fn read(plan: &Plan, on: Date) -> Log {
    let outcome = outcome(plan, 0, None, Catalogue::built_in(), &mut Kept::new());
    Log::of(&LogFrom { plan, outcome: &outcome, catalogue: Catalogue::built_in(), on })
}

#[test]
fn an_entry_tells_how_far_its_line_now_lies_from_it() {
    let alone = point("alone", Kind::Reading(Reading { kv: Some(5.0), ..Reading::default() }), 300.0, 40.0);
    let phone = EntryLine { line: Some("north".to_owned()), off: Some(Length::metres(6.0)) };
    let by_phone = point("phone", Kind::Fault(Fault { of: phone, ..Fault::default() }), 700.0, 6.0);
    let plan = holding(vec![reading("read", "2026-05-03T14:20:00Z", 5.0, 900.0), by_phone, alone]);
    let log = read(&plan, date(2026, 6, 1));
    let stands = |log: &Log, name: &str| log.entries.iter().find(|entry| entry.id == id(name)).expect("there").stands.clone();
    assert!(matches!(stands(&log, "read"), Stands::On(on) if (on.station.as_metres() - 900.0).abs() < 0.5));
    assert!(matches!(stands(&log, "phone"), Stands::On(_)), "it was as far off when it was written down");
    assert_eq!(stands(&log, "alone"), Stands::Alone);
    let entry = log.entries.iter().find(|entry| entry.id == id("read")).expect("there");
    assert_eq!((entry.day, entry.minute.as_deref()), (Some(date(2026, 5, 3)), Some("14:20")));

    let moved = Edit::MoveCorner { id: id("north"), corner: 1, to: at(1000.0, 100.0) }.apply(&plan).expect("possible");
    let log = read(&moved, date(2026, 6, 1));
    assert!(matches!(stands(&log, "read"), Stands::Moved { on, .. } if (on.off.as_metres() - 89.5).abs() < 0.5));
    let gone = Edit::Remove(id("north")).apply(&plan).expect("possible");
    let log = read(&gone, date(2026, 6, 1));
    assert_eq!(stands(&log, "read"), Stands::Gone { line: "north".to_owned() });
    assert_eq!(log.entries.len(), 3, "nothing is lost");
}

#[test]
fn readings_are_held_against_the_sound_fence_and_low_ones_told() {
    let healthy = read(&holding(vec![reading("read", "2026-05-03", 5.0, 900.0)]), date(2026, 6, 1));
    let expected = healthy.entries[0].expected.expect("the fence is driven");
    assert!(expected.low_kv < expected.high_kv && expected.low_kv > 1.0, "{expected:?}");
    assert_eq!(held_against(expected.low_kv * 0.85, &expected), Against::Below);
    assert_eq!(held_against(expected.low_kv * 0.95, &expected), Against::Within);
    assert_eq!(held_against(expected.high_kv * 1.2, &expected), Against::Above);
    let standing = Fault { what: Some("water gap".to_owned()), of: of_north(), ..Fault::default() };
    let weak = holding(vec![reading("read", "2026-05-03", 5.0, 900.0), point("fault", Kind::Fault(standing), 400.0, 0.0)]);
    let beside_fault = read(&weak, date(2026, 6, 1)).entries.iter().find_map(|entry| entry.expected).expect("known");
    assert!((beside_fault.low_kv - expected.low_kv).abs() < 0.02 * expected.low_kv, "{beside_fault:?} {expected:?}");
    let wet = Reading { kv: Some(5.0), ground: Some("wet".to_owned()), of: of_north(), ..Reading::default() };
    let log = read(&holding(vec![point("wet", Kind::Reading(wet), 900.0, 0.0)]), date(2026, 6, 1));
    let in_wet = log.entries[0].expected.expect("known");
    assert_eq!(in_wet.low_kv.to_bits(), in_wet.high_kv.to_bits(), "one state, one value");
}

#[test]
fn faults_of_the_first_day_say_nothing_about_how_often_they_come() {
    let mut entries = vec![fault("old", "branch", "2024-05-01", 10.0)];
    entries.extend((0..9).map(|k| fault(&format!("b{k}"), "branch", &format!("2025-0{}-10", k + 1), 20.0)));
    entries.push(fault("other", "badger", "2025-03-01", 20.0));
    entries.push(reading("last", "2026-05-01", 5.0, 20.0));
    let log = read(&holding(entries), date(2026, 5, 1));
    let branch = log.rates.iter().find(|rate| rate.kind == "branch").expect("listed");
    assert_eq!((branch.seen, branch.by_month[0], branch.by_month[4]), (9, 1, 2));
    // Two whole years of a kilometre, however long ago they ended.
    assert!((branch.watched - 2.0).abs() < 0.02, "{}", branch.watched);
    let yearly = branch.yearly.expect("a default");
    assert!((branch.expected_by_month.iter().sum::<f64>() - 2.0 * yearly).abs() < 0.05 * yearly, "{branch:?}");
    let rate = branch.rate.expect("a default");
    assert!((rate.mean - (8.0 + 9.0) / 4.0).abs() < 0.02 && rate.between.0 < rate.mean && rate.mean < rate.between.1, "{rate:?}");
    assert!(log.rates.iter().all(|rate| rate.kind != "rooted"), "no pigs, no rooting");
    let other = log.rates.iter().find(|rate| rate.kind == "badger").expect("what else was found");
    assert_eq!((other.seen, other.rate), (1, None));
    let gate = log.rates.iter().find(|rate| rate.kind == "gate").expect("there is one");
    assert!((gate.watched - 2.0).abs() < 0.02, "{}", gate.watched);
}

#[test]
fn a_stretch_that_fails_more_often_than_its_line_is_found_and_one_fault_accuses_nobody() {
    let mut entries: Vec<Feature> =
        (0..8).map(|k| fault(&format!("w{k}"), "contact", "2025-06-01", 410.0 + f64::from(k))).collect();
    entries.extend((0..6).map(|k| fault(&format!("e{k}"), "slack", "2025-06-02", 60.0 + 135.0 * f64::from(k))));
    let log = read(&holding(entries), date(2026, 5, 1));
    assert_eq!(log.weak.len(), 1, "{:?}", log.weak);
    let weak = &log.weak[0];
    assert_eq!((weak.from.as_metres(), weak.to.as_metres(), weak.seen), (400.0, 450.0, 8));
    assert!(weak.between.0 > 1.0 && weak.times < 8.0, "{weak:?}");
    let prune = log.prune.expect("growth was found");
    assert_eq!((prune.before, prune.found[0].found), (date(2026, 10, 1), 8));
    assert_eq!(read(&holding(vec![fault("one", "slack", "2025-06-02", 60.0)]), date(2026, 5, 1)).weak, []);
}

#[test]
fn woods_along_a_line_are_told_before_the_leaves_fall() {
    let ring = [(200.0, -20.0), (300.0, -20.0), (300.0, 20.0), (200.0, 20.0), (200.0, -20.0)].map(|(x, y)| at(x, y)).to_vec();
    let wood = Feature::new(id("wood"), Kind::Zone(Zone { of: "wood".to_owned(), value: None }), Geometry::Area(vec![ring]));
    let log = read(&holding(vec![wood]), date(2026, 10, 2));
    let prune = log.prune.expect("a wood");
    assert_eq!(prune.before, date(2027, 10, 1));
    let through_m: f64 = prune.woods.iter().map(|stretch| (stretch.to - stretch.from).as_metres()).sum();
    assert!((through_m - 100.0).abs() < 1.5, "{through_m}");
}

#[test]
fn the_next_round_is_a_week_off_unless_animals_are_new_or_a_fault_is_likely() {
    let due = |entries: Vec<Feature>, on: Date| read(&holding(entries), on).due.expect("a fence");
    assert_eq!(due(vec![], date(2026, 7, 1)).why, WhyDue::NoneYet);
    let usual = due(vec![reading("r", "2026-07-01", 5.0, 10.0)], date(2026, 7, 3));
    assert_eq!((usual.next, usual.why.clone()), (date(2026, 7, 8), WhyDue::Week), "{usual:?}");
    let late = due(vec![reading("r", "2026-07-01", 5.0, 10.0)], date(2026, 7, 20));
    assert_eq!((usual.late_days, late.late_days), (0, 12));
    assert!(late.expected > usual.expected, "{late:?}");
    let paddock = Paddock { stock: Some("sows".to_owned()), from: Some(date(2026, 6, 30)), until: None, purpose: None };
    let fresh =
        due(vec![reading("r", "2026-07-01", 5.0, 10.0), point("home", Kind::Paddock(paddock), 500.0, 40.0)], date(2026, 7, 3));
    assert_eq!(fresh.next, date(2026, 7, 2));
    assert!(matches!(fresh.why, WhyDue::NewAnimals { since, .. } if since == date(2026, 6, 30)));
    let mut often: Vec<Feature> = (0..300).map(|k| fault(&format!("f{k}"), "contact", "2026-06-20", 10.0)).collect();
    often.extend([reading("first", "2025-07-01", 5.0, 10.0), reading("last", "2026-07-01", 5.0, 10.0)]);
    let likely = due(often, date(2026, 7, 3));
    assert_eq!(likely.why, WhyDue::LikelyFault);
    assert!(likely.next < date(2026, 7, 8) && likely.weekly > 1.0, "{likely:?}");
}

#[test]
fn readings_of_one_place_that_get_less_are_told_with_their_interval() {
    let days = ["2025-01-10", "2025-03-10", "2025-05-10", "2025-07-10", "2025-09-10", "2025-11-10"];
    let falling = days.iter().enumerate().map(|(k, day)| reading(&format!("a{k}"), day, 6.0 - 0.3 * k as f64, 800.0 + k as f64));
    let steady = days.iter().enumerate().map(|(k, day)| reading(&format!("b{k}"), day, 6.0 + 0.02 * (k % 2) as f64, 200.0));
    let log = read(&holding(falling.chain(steady).collect()), date(2026, 1, 1));
    assert_eq!(log.places.len(), 2);
    let slope = |index: usize| log.places[index].slope.expect("enough readings");
    assert!(!slope(0).falls() && slope(1).falls(), "{:?}", log.places);
    assert!((slope(1).per_year + 0.3 * 365.25 / 60.8).abs() < 0.1, "{:?}", slope(1));
}

#[test]
fn minutes_and_parts_add_up_year_by_year() {
    let with = |name: &str, day: &str, minutes: Option<f64>, parts: &str| {
        let fault = Fault {
            what: Some("insulator".to_owned()),
            seen: Some(day.to_owned()),
            minutes,
            parts: Some(parts.to_owned()),
            of: of_north(),
            ..Fault::default()
        };
        point(name, Kind::Fault(fault), 10.0, 0.0)
    };
    let entries = vec![
        with("a", "2025-05-01", Some(12.0), "2 insulators, 1 joiner"),
        with("b", "2025-06-01", None, "insulator; 3x Joiners"),
        with("c", "2026-06-01", Some(5.0), ""),
    ];
    let log = read(&holding(entries), date(2026, 7, 1));
    let year = &log.years[0];
    assert_eq!((year.year, year.rounds, year.faults), (2025, 2, 2));
    assert!((year.mending_min - 12.0).abs() < 1e-9 && (year.usual_min - 5.0).abs() < 1e-9);
    assert!((year.looking_min - 20.0).abs() < 0.2, "two rounds of a kilometre: {}", year.looking_min);
    assert_eq!(year.parts, [("joiners".to_owned(), 4.0), ("insulators".to_owned(), 3.0)]);
    assert_eq!(log.years.len(), 2);
}

fn judged(plan: &Plan, rows: &[[&str; 5]]) -> (Vec<Found>, Vec<WrittenTrouble>) {
    let headings = ["lat", "lon", "time", "what", "kv"];
    let all = std::iter::once(&headings).chain(rows).enumerate();
    let sheet: Vec<SheetRow> =
        all.map(|(index, cells)| SheetRow { number: index + 1, cells: cells.map(str::to_owned).to_vec() }).collect();
    let written = written_of_rows(&sheet).expect("headings");
    let outcome = outcome(plan, 0, None, Catalogue::built_in(), &mut Kept::new());
    let from = LogFrom { plan, outcome: &outcome, catalogue: Catalogue::built_in(), on: date(2026, 6, 1) };
    judge(&from, &written.rows)
}

#[test]
fn what_was_written_on_a_round_becomes_entries_and_what_is_unclear_is_asked() {
    let standing = Fault { what: Some("branch".to_owned()), of: of_north(), ..Fault::default() };
    let plan =
        holding(vec![reading("known", "2026-05-01T10:00:00Z", 5.2, 800.0), point("fault", Kind::Fault(standing), 100.0, 0.0)]);
    let degrees = |x_m: f64, y_m: f64| (at(x_m, y_m).lat_deg().to_string(), at(x_m, y_m).lon_deg().to_string());
    let (near, gate, far) = (degrees(801.0, 1.0), degrees(500.0, 8.0), degrees(102.0, 3.0));
    let rows = [
        [near.0.as_str(), near.1.as_str(), "2026-05-01T10:00:40Z", "5.2 kV", ""],
        [&gate.0, &gate.1, "2026-05-02", "insulator broken at gate", ""],
        [&gate.0, &gate.1, "2026-05-02", "insulator broken at gate", ""],
        [&far.0, &far.1, "2026-05-02", "mended", ""],
        [&far.0, &far.1, "2026-05-02", "an odd thing", ""],
        [&gate.0, &gate.1, "2026-05-02", "branch", "3.1"],
        [&gate.1, &gate.0, "2026-05-02", "branch", ""],
        ["12.0", "8.0", "2026-05-02", "branch", ""],
    ];
    let (found, troubles) = judged(&plan, &rows);
    let twice: Vec<bool> = found.iter().map(|found| found.is_twice).collect();
    assert_eq!(twice, [true, false, true, false, false, false]);
    let off_m = found[1].of.off.expect("off the line").as_metres();
    assert!(found[1].of.line.as_deref() == Some("north") && (off_m - 8.0).abs() < 0.1, "{:?}", found[1].of);
    assert!(matches!(&found[3].found, FoundAs::Mended { id, time } if id.as_str() == "fault" && time == "2026-05-02"));
    assert_eq!((&found[4].found, found[4].usual()), (&FoundAs::Unclear, Taken::Leave));
    assert!(matches!(&found[5].found, FoundAs::Entries(kinds) if kinds.len() == 2));
    let says: Vec<(usize, bool)> = troubles.iter().map(|row| (row.number, row.allowed.contains("other way round"))).collect();
    assert_eq!(says, [(8, true), (9, false)]);

    let taken: Vec<Taken> = found.iter().map(Found::usual).collect();
    let edits = edits_of(&plan, found.iter().zip(&taken));
    let after = edits.iter().try_fold(plan.clone(), |plan, edit| edit.apply(&plan)).expect("all possible");
    assert_eq!(after.features.len(), plan.features.len() + 3);
    let mended = after.feature(&id("fault")).expect("there");
    assert!(matches!(&mended.kind, Kind::Fault(fault) if fault.mended.as_deref() == Some("2026-05-02")));
    assert_eq!(after.features.iter().filter(|feature| matches!(feature.kind, Kind::Mark)).count(), 0);
    let as_mark = edits_of(&plan, [(&found[4], &Taken::Mark)]);
    assert!(matches!(&as_mark[..], [Edit::AddAll(marks)] if marks[0].name.as_deref() == Some("an odd thing")));
    let again = judged(&after, &rows).0;
    assert!(again.iter().filter(|found| matches!(found.found, FoundAs::Entries(_))).all(|found| found.is_twice), "entered twice");
}

#[test]
fn animals_of_the_plan_bring_their_faults() {
    let mut plan = holding(vec![]);
    let pigs = StockGroup {
        id: "sows".to_owned(),
        species: "pig".to_owned(),
        class: None,
        head: 4,
        weight_kg: None,
        as_of: None,
        gain_kg_per_day: None,
        foreign: Default::default(),
    };
    plan.head = std::sync::Arc::new(Head { stock: vec![pigs], ..(*plan.head).clone() });
    let log = read(&plan, date(2026, 5, 1));
    let rooted = log.rates.iter().find(|rate| rate.kind == "rooted").expect("pigs root");
    assert!((rooted.rate.expect("a default").mean - 6.0).abs() < 1e-9);
    assert_eq!(read(&Plan::new(head(), vec![]), date(2026, 5, 1)).due, None);
}
