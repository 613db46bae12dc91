//! Every mend that is offered removes its finding, in one undo step, and says what it takes.

use hillwire_core::catalogue::Catalogue;
use hillwire_core::finding::{Finding, Rule};
use hillwire_core::job::Job;
use hillwire_core::land::{GridFile, Ground, read_grid};
use hillwire_core::mend::{difference, mend};
use hillwire_core::outcome::{Kept, Outcome, outcome_on};
use hillwire_core::plan::{Gesture, History, Opened, Plan, read_plan};
use jiff::civil::date;
use std::mem::discriminant;
use std::path::Path;
use std::sync::Arc;

struct Sample {
    plan: Plan,
    ground: Ground,
}

fn sample(name: &str, change: impl Fn(&str) -> String) -> Sample {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-maps");
    let text = std::fs::read_to_string(folder.join(format!("{name}.plan.geojson"))).expect("part of the repository");
    let changed = change(&text);
    let Ok(Opened::Plan(plan, _)) = read_plan(name, changed.as_bytes()) else { panic!("{name} is a plan") };
    let bytes = std::fs::read(folder.join(format!("{name}.tif"))).expect("part of the repository");
    let grid = Arc::new(read_grid(&GridFile { name, bytes: &bytes, prj: None }, &Job::new()).expect("a grid"));
    let frame = Ground::frame_of(&grid).expect("in UTM");
    Sample { plan, ground: Ground::new(grid, frame).expect("in UTM") }
}

fn worked_out(plan: &Plan, ground: &Ground) -> Outcome {
    outcome_on(Some(date(2026, 4, 1)), plan, 1, Some(ground), Catalogue::built_in(), &mut Kept::new())
}

/// Whether another finding says the same of the same place.
fn is_same(one: &Finding, other: &Finding) -> bool {
    let station = |finding: &Finding| finding.place.station.map_or(0.0, |station| station.as_metres());
    let overlaps = match (one.place.until, other.place.until) {
        (Some(until), Some(other_until)) => station(one) < other_until.as_metres() && station(other) < until.as_metres(),
        _ => (station(one) - station(other)).abs() < 1.0,
    };
    // A strand that comes off where it broke before, and a bite that is enough by a thin margin, are other findings: what is left weighs less.
    let weighs_less = [Rule::StrikeWire, Rule::FarEnd].contains(&one.rule) && other.weight > one.weight;
    !weighs_less
        && one.rule == other.rule
        && discriminant(&one.reason) == discriminant(&other.reason)
        && one.place.line == other.place.line
        && overlaps
}

/// Tries every mend of every finding; the rules whose findings had one.
fn every_mend_removes_its_finding(name: &str, change: impl Fn(&str) -> String) -> Vec<Rule> {
    let Sample { plan, ground } = sample(name, change);
    let before = worked_out(&plan, &ground);
    let mut mended = Vec::new();
    for finding in &before.findings {
        for remedy in &finding.remedies {
            let Some(edits) = mend(&plan, finding, remedy) else { continue };
            let mut history = History::new(plan.clone());
            history.begin(Gesture::Mended { label: "line".to_owned() });
            edits.iter().for_each(|edit| history.edit(edit).expect("a mend can be done"));
            history.commit();
            let after = worked_out(history.plan(), &ground);
            let still: Vec<&Finding> = after.findings.iter().filter(|other| is_same(finding, other)).collect();
            assert!(still.is_empty(), "{name}: {remedy:?} leaves {still:#?} of {finding:#?}");
            let (parts, money) = difference(&before.order, &after.order);
            assert!(money.is_finite() && parts.iter().all(|(id, _)| Catalogue::built_in().label(id).is_some()), "{parts:?}");
            history.undo();
            assert_eq!(history.plan(), &plan, "one step back is all it takes");
            mended.push(finding.rule);
        }
    }
    mended.sort_unstable();
    mended.dedup();
    mended
}

#[test]
fn every_mend_of_brackenhope_removes_its_finding() {
    let mended = every_mend_removes_its_finding("brackenhope", str::to_owned);
    assert!(mended.contains(&Rule::CornerLoad) && mended.contains(&Rule::Dip), "{mended:?}");
}

#[test]
fn every_mend_on_soft_wire_and_thin_posts_removes_its_finding() {
    let weak = |text: &str| {
        text.replace("ht-12.5ga\",\"live", "soft-17ga\",\"live")
            .replace("\"tension_n\":450", "\"tension_n\":300")
            .replace("wood-150\",\"max", "wood-75\",\"max")
            .replace("wood-200\",\"max", "wood-75\",\"max")
    };
    let mended = every_mend_removes_its_finding("brackenhope", weak);
    assert!([Rule::CornerLoad, Rule::StrikeWire].iter().all(|rule| mended.contains(rule)), "{mended:?}");
}

#[test]
fn every_mend_of_the_pulse_removes_its_finding() {
    // One rod, a gate that the pulse does not cross, and the smallest unit for three paddocks.
    let weak = |text: &str| {
        text.replace("\"rods\":4", "\"rods\":1").replacen(
            "\"live\":true,\"crossing\":\"underground\"",
            "\"live\":false,\"crossing\":\"none\"",
            1,
        )
    };
    let mended = every_mend_removes_its_finding("brackenhope", weak);
    assert!(mended.contains(&Rule::Earth) && mended.contains(&Rule::Unfed), "{mended:?}");
    let small = |text: &str| text.replace("\"model\":\"medium\"", "\"model\":\"portable\"");
    every_mend_removes_its_finding("brackenhope", small);
    // Cattle, which mind less than goats, nothing that grows into the fence, more rods and the largest unit.
    let idle = |text: &str| {
        text.replace("\"species\":\"goat\"", "\"species\":\"cattle\"")
            .replace("\"vegetation\":\"light\"", "\"vegetation\":\"clear\"")
            .replace("\"rods\":4", "\"rods\":8")
            .replace("\"model\":\"medium\"", "\"model\":\"very-large\"")
    };
    let mended = every_mend_removes_its_finding("brackenhope", idle);
    assert!(mended.contains(&Rule::EnergizerSize), "{mended:?}");
}
