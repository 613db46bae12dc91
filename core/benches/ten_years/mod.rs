//! Ten years of weekly rounds on the sample plan as a file: for benches of the log, and of the window that shows it.

use hillwire_core::land::Position;
use hillwire_core::plan::{EntryLine, Fault, Feature, FeatureId, Geometry, Kind, Opened, Plan, Reading, read_plan, write_plan};
use jiff::ToSpan;
use jiff::civil::{Date, date};
use std::sync::Arc;

/// The sample plan without a log.
pub const PLAN: &[u8] = include_bytes!("../../../sample-maps/brackenhope.plan.geojson");
const ROUNDS: u32 = 520;
const ENTRIES: u32 = 20_000;

/// A plan that is read without trouble.
pub fn opened(bytes: &[u8]) -> Plan {
    let Ok(Opened::Plan(plan, _)) = read_plan("brackenhope", bytes) else { panic!("the sample is a plan") };
    plan
}

/// The sample plan with its log: readings along the fences, one entry in ten a fault that was mended.
pub fn ten_years() -> Vec<u8> {
    let mut plan = opened(PLAN);
    let fences: Vec<(String, Vec<Position>)> = plan
        .features
        .iter()
        .filter(|feature| matches!(feature.kind, Kind::Fence(_)))
        .map(|feature| (feature.id.as_str().to_owned(), feature.line().expect("a line").to_vec()))
        .collect();
    for number in 0..ENTRIES {
        let round = number * ROUNDS / ENTRIES;
        let day: Date = date(2016, 1, 6).checked_add((7 * i64::from(round)).days()).expect("in reach");
        let (line, corners) = &fences[number as usize % fences.len()];
        let leg = (number / 7) as usize % (corners.len() - 1);
        let share = i64::from(number * 37 % 100);
        let between = |from: i64, to: i64| from + (to - from) * share / 100;
        let (from, to) = (corners[leg], corners[leg + 1]);
        let at = Position { lon_e9: between(from.lon_e9, to.lon_e9), lat_e9: between(from.lat_e9, to.lat_e9) };
        let of = EntryLine { line: Some(line.clone()), off: None };
        let kind = if number % 10 == 3 {
            let day = Some(day.to_string());
            Kind::Fault(Fault { what: Some("branch".to_owned()), seen: day.clone(), mended: day, of, ..Fault::default() })
        } else {
            let at_time = Some(format!("{day}T09:{:02}:00Z", number % 60));
            Kind::Reading(Reading { kv: Some(4.0 + f64::from(number % 20) / 10.0), at_time, of, ..Reading::default() })
        };
        plan.features.push(Arc::new(Feature::new(FeatureId::new(&format!("entry-{number}")), kind, Geometry::Point(at))));
    }
    write_plan(&plan)
}
