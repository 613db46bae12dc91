//! `hillwire check`: everything that may fail.

use super::answer::{Answer, Stop};
use super::json::{maybe, number, place};
use super::opened::{Opened, PlanOptions, day};
use super::table::{cautions, paragraph};
use super::{DONE, MUST_FIX};
use crate::clock::today;
use crate::words::{self, cautions::Place};
use clap::Args;
use hillwire_core::check::HeldRow;
use hillwire_core::finding::{Finding, Rule, Weight};
use hillwire_core::job::Job;
use hillwire_core::outcome::{LineOutcome, Outcome};
use hillwire_core::plan::UnitSystem;
use hillwire_core::site::{LineReach, Minutes, ReachClass, Season};
use hillwire_core::stock::Part;
use hillwire_core::units::Length;
use jiff::civil::Date;
use serde_json::{Value, json};

/// Every finding, worst first, with its reason, what can be done, and where the limit comes from.
#[derive(Args)]
#[command(after_help = "Example:\n  hillwire check my-farm.plan.geojson --only corner_load")]
pub struct Options {
    #[command(flatten)]
    plan: PlanOptions,
    /// Only the findings of this rule
    #[arg(long, value_name = "RULE", value_parser = parse_rule)]
    only: Option<Rule>,
    /// Judge stock that grows for this day instead of today
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    date: Option<Date>,
}

/// A rule by its name in JSON.
fn parse_rule(name: &str) -> Result<Rule, String> {
    let names = words::RULES.map(words::rule_word);
    words::RULES
        .into_iter()
        .find(|rule| words::rule_word(*rule) == name)
        .ok_or_else(|| format!("there is no rule of this name; the rules are {}", names.join(", ")))
}

/// Checks a plan.
///
/// # Errors
/// When a file cannot be used.
pub fn check(options: &Options, job: &Job) -> Result<Answer, Stop> {
    let day = options.date.unwrap_or_else(today);
    let opened = options.plan.open_on(Some(day), job)?;
    let shown: Vec<&Finding> =
        opened.outcome.findings.iter().filter(|finding| options.only.is_none_or(|rule| finding.rule == rule)).collect();
    let mut answer =
        if options.plan.json { Answer::json(&as_json(&opened, &shown)) } else { Answer::text(as_text(&opened, &shown)) };
    answer.status = if shown.iter().any(|finding| finding.weight == Weight::MustFix) { MUST_FIX } else { DONE };
    answer.notes = opened.notes;
    Ok(answer)
}

fn as_json(opened: &Opened, shown: &[&Finding]) -> Value {
    let findings: Vec<Value> = shown.iter().map(|finding| finding_json(opened, finding)).collect();
    let lines: Vec<Value> = opened.outcome.lines.iter().map(|line| line_json(&opened.outcome, line)).collect();
    let holds: Vec<Value> = opened.outcome.lines.iter().flat_map(|line| &line.holds).map(|row| holds_json(opened, row)).collect();
    json!({ "findings": findings, "lines": lines, "holds": holds })
}

/// What a line is worth for one group behind it.
fn holds_json(opened: &Opened, row: &HeldRow) -> Value {
    let class =
        opened.catalogue().animals.iter().find(|animal| animal.id == row.behind.animal).map(|animal| animal.class.as_str());
    let part = |part: Option<Part>| {
        json!({
            "value": maybe(part.map(|part| part.value)),
            "limit": maybe(part.map(|part| part.limit)),
            "error": maybe(part.map(|_| row.error_m)),
        })
    };
    let day = |day: Option<Date>| day.map(|day| day.to_string());
    let days = row.days.as_ref();
    json!({
        "line": row.line.as_str(),
        "group": row.behind.group,
        "class": class,
        "weight_kg": number(row.behind.kg),
        "purpose": row.purpose,
        "purpose_from": row.behind.basis,
        "verdict": row.worst.grade,
        "under": part(Some(row.worst.under)),
        "between": part(row.worst.between),
        "over": part(Some(row.worst.over)),
        "holds_from": day(days.and_then(|days| days.holds).map(|days| days.0)),
        "holds_to": day(days.and_then(|days| days.holds).map(|days| days.1)),
    })
}

/// Sentences in JSON are metric, as its numbers are.
fn finding_json(opened: &Opened, finding: &Finding) -> Value {
    let catalogue = opened.catalogue();
    let remedies: Vec<String> =
        finding.remedies.iter().map(|remedy| words::does(remedy, &opened.file.plan, catalogue, UnitSystem::Metric)).collect();
    json!({
        "rule": finding.rule,
        "weight": finding.weight,
        "line": finding.place.line.as_ref().map(|line| line.as_str()),
        "station_m": maybe(finding.place.station.map(Length::as_metres)),
        "until_m": maybe(finding.place.until.map(Length::as_metres)),
        "at": place(finding.place.at),
        "cell_m": maybe(finding.place.cell.map(Length::as_metres)),
        "value": number(finding.value),
        "limit": maybe(finding.limit),
        "unit": finding.unit,
        "says": words::says(finding, &opened.file.plan, catalogue, UnitSystem::Metric),
        "do": remedies.join(" Or: "),
        "source": finding.source.as_str(),
    })
}

fn line_json(outcome: &Outcome, line: &LineOutcome) -> Value {
    let reach = line.reach.as_deref();
    let seen = |season| maybe(reach.and_then(|reach| reach.seen_share(season)));
    json!({
        "id": line.id.as_str(),
        "track_share": maybe(line.track_share),
        "seen_share": seen(Season::Summer),
        "seen_leaf_off_share": seen(Season::LeafOff),
        "reach": reach.map_or(Value::Null, reach_json),
        "strikes_per_year": maybe(outcome.strikes_per_year(line)),
        "worst_corner_ratio": maybe(worst_corner_ratio(line)),
    })
}

/// Metres of each class of reach in summer, and the walk to the place that takes longest; `null` where nobody gets to.
fn reach_json(reach: &LineReach) -> Value {
    let metres = |class| number(reach.length_of(class, Season::Summer).as_metres());
    let worst = reach.worst();
    let seconds = |of: fn(&Minutes) -> f64| maybe(worst.map(|worst| of(&worst.minutes)).filter(|seconds| seconds.is_finite()));
    json!({
        "from_seat_m": metres(ReachClass::FromSeat),
        "near_m": metres(ReachClass::Near),
        "short_walk_m": metres(ReachClass::ShortWalk),
        "long_walk_m": metres(ReachClass::Far),
        "worst_at_m": maybe(worst.map(|worst| worst.from.as_metres())),
        "walk_there_s": seconds(|minutes| minutes.there_s),
        "walk_back_s": seconds(|minutes| minutes.back_s),
        "walk_by_climb_s": seconds(|minutes| minutes.by_climb_s),
    })
}

/// The largest pull on a post of the line against what the ground holds there; above 1 it goes over.
fn worst_corner_ratio(line: &LineOutcome) -> Option<f64> {
    let ratios = line.hold.posts.iter().filter_map(|post| post.capacity.map(|capacity| post.sideways.abs() / capacity));
    ratios.filter(|ratio| ratio.is_finite()).reduce(f64::max)
}

fn as_text(opened: &Opened, shown: &[&Finding]) -> String {
    let mut text = String::new();
    for finding in shown {
        text.push_str(&finding_text(opened, finding));
        text.push('\n');
    }
    let count = |weight| shown.iter().filter(|finding| finding.weight == weight).count();
    let counts =
        [Weight::MustFix, Weight::LookAt, Weight::Note].map(|weight| format!("{} {}", count(weight), words::weight(weight)));
    text + &counts.join(", ") + "\n" + &cautions(Place::Check)
}

fn finding_text(opened: &Opened, finding: &Finding) -> String {
    const INDENT: usize = 10;
    let catalogue = opened.catalogue();
    let weight = words::weight(finding.weight);
    let mut text = paragraph(weight, &format!("{}: {}", words::rule(finding.rule), whereabouts(opened, finding)), INDENT);
    text += &paragraph("", &words::says(finding, &opened.file.plan, catalogue, opened.units), INDENT);
    for remedy in &finding.remedies {
        text += &paragraph("        >", &words::does(remedy, &opened.file.plan, catalogue, opened.units), INDENT);
    }
    text + &paragraph("", &words::source(&finding.source), INDENT)
}

/// `North line, 128 m to 164 m along`, or the place on the globe.
fn whereabouts(opened: &Opened, finding: &Finding) -> String {
    let place = &finding.place;
    let Some(line) = &place.line else {
        let there = || format!("at {:.6}, {:.6}", place.at.lat_deg(), place.at.lon_deg());
        return words::standing_at(place.at, &opened.file.plan).unwrap_or_else(there);
    };
    let line = opened.file.plan.feature(line).map_or(line.as_str(), |feature| feature.label());
    let along = |station: Length| words::length(station, opened.units);
    match (place.station, place.until) {
        (Some(from), Some(until)) => format!("{line}, {} to {} along", along(from), along(until)),
        (Some(at), None) => format!("{line}, {} along", along(at)),
        (None, _) => line.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rule_is_known_by_its_name_and_a_wrong_name_is_told_the_right_ones() {
        assert_eq!(parse_rule("corner_load"), Ok(Rule::CornerLoad));
        assert!(parse_rule("corners").is_err_and(|says| says.contains("corner_load, ")));
    }
}
