//! The sheet that is taken along on a round, to be filled in by pencil.

use super::cautions::{self, Place};
use super::round::{
    LEAST_READING, ROUND_LIMITS, bearing, carried, fierce, leg, likely, minutes, ration, round_for, round_in_short, stop_at,
    tasks_in_short, yard,
};
use super::{length, number_with, pegs_on_walk};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::outcome::LineOutcome;
use hillwire_core::plan::Plan;
use hillwire_core::round::{Round, Stop, Task};
use hillwire_core::share::{Column, Rows, TableSheet};
use std::sync::Arc;

/// What is written on the way itself.
const FILLED_IN: &str =
    "Day ______________   Time ________ to ________   Who ____________________   Ground: dry / damp / wet / frozen";

/// A round as a table to be filled in: by leg, every stop with what a meter should read and room for what it does read.
pub fn round_table(plan: &Plan, round: &Round, lines: &[Arc<LineOutcome>], catalogue: &Catalogue) -> TableSheet {
    let units = plan.head.units;
    let column = |heading: &str, share: f64, numbers: bool| Column { heading: heading.to_owned(), share, numbers };
    let columns = vec![
        column("stop", 6.0, false),
        column("place", 36.0, false),
        column("what", 34.0, false),
        column("expected kV", 12.0, true),
        column("least kV", 10.0, true),
        column("read kV", 12.0, false),
        column("note", 26.0, false),
    ];
    let mut rows = Vec::new();
    for (index, one) in round.legs.iter().enumerate() {
        let how_far =
            format!("{} · {} · {}", bearing(one.bearing_deg), length(one.length, units), minutes(round.leg_minutes(one)));
        rows.push(vec![format!("{}  {} · {how_far}", index + 1, leg(one, plan, units))]);
        rows.extend(one.stops.clone().map(|stop| stop_row(stop, &round.stops[stop], plan)));
    }
    let mut below = vec![LEAST_READING.to_owned()];
    for (index, stop) in round.stops.iter().enumerate() {
        let fed = stop.tasks.iter().filter_map(|task| if let Task::Feed(ration) = task { Some(ration) } else { None });
        below.extend(fed.map(|one| format!("Stop {}: {}", index + 1, ration(one, units))));
    }
    below.extend(round.fierce.iter().map(|one| fierce(one, plan, catalogue)));
    below.extend(first_walk(plan, lines));
    below.push(String::new());
    let kit: Vec<String> = round.kit.iter().map(|one| carried(one, catalogue)).collect();
    below.push(format!("Take along: {}.", kit.join("; ")));
    let likely: Vec<String> =
        round.likely.iter().take(5).map(|one| likely(one, catalogue)).map(|(what, often)| format!("{what}: {often}")).collect();
    if !likely.is_empty() {
        below.push(format!("What may have come in a week: {}.", likely.join("; ")));
    }
    let name = if plan.head.name.is_empty() { "round".to_owned() } else { format!("{} · round", plan.head.name) };
    let with_stock: &[Place] = &[Place::RoundSheet, Place::RoundSheetWithStock];
    let warnings = cautions::paragraph_at(if round.fierce.is_empty() { &[Place::RoundSheet] } else { with_stock });
    TableSheet {
        title: name,
        facts: vec![
            round_in_short(round, units),
            format!("{} {}", round_for(round), yard(&round.yard, plan)),
            FILLED_IN.to_owned(),
        ],
        columns,
        rows,
        below,
        cautions: vec![format!("{warnings} {ROUND_LIMITS}")],
        filled_in: Rows::ByHand,
    }
}

/// Before any post is driven: where pegs are still to be found.
fn first_walk(plan: &Plan, lines: &[Arc<LineOutcome>]) -> Option<String> {
    let wanted = lines.iter().filter_map(|line| {
        let label = plan.feature(&line.id).map_or_else(|| line.id.to_string(), |feature| feature.label().to_owned());
        Some(format!("{label} about {}", pegs_on_walk(line)?))
    });
    let wanted: Vec<String> = wanted.collect();
    (!wanted.is_empty()).then(|| {
        format!(
            "First walk with the string, post to post at strand height: mark every small hollow and hump, and note how many. Pegs to be \
             expected: {}.   Found: ______",
            wanted.join(", ")
        )
    })
}

fn stop_row(index: usize, stop: &Stop, plan: &Plan) -> Vec<String> {
    let kv = |volt: f64| number_with(volt / 1e3, 1);
    vec![
        (index + 1).to_string(),
        stop_at(stop, plan, plan.head.units),
        tasks_in_short(stop, plan, plan.head.units),
        stop.expected.map(|found| kv(found.volt)).unwrap_or_default(),
        stop.expected.map(|found| kv(found.least_v)).unwrap_or_default(),
        String::new(),
        String::new(),
    ]
}
