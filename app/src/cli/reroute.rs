//! `hillwire reroute`: other courses for one line, and a plan with one of them.

use super::answer::{Answer, Stop};
use super::compare::key;
use super::json::{maybe, number, place};
use super::opened::{Opened, PlanOptions, day};
use super::outputs::{GEOJSON, Outputs, Writing};
use super::table::{Side, paragraph, table};
use crate::clock::today;
use crate::files::Waiting;
use crate::words;
use clap::{Args, ValueEnum};
use hillwire_core::compare::{Compared, Figure};
use hillwire_core::job::Job;
use hillwire_core::plan::FeatureId;
use hillwire_core::reroute::{Aim, Amounts, Asked, Courses, Found, NoCourse, Term, Weights, courses};
use jiff::civil::Date;
use serde_json::{Map, Value, json};
use std::path::PathBuf;

/// Other courses for one fence between the places that it keeps: its ends, gates, joints with other lines, and corners of which something is
/// said. A closed line keeps all its corners.
#[derive(Args)]
#[command(
    after_help = "Example:\n  hillwire reroute my-farm.plan.geojson --line north\n  hillwire reroute my-farm.plan.geojson --line north --choose strikes -o moved.plan.geojson\n\nWeights, each with --weight NAME=VALUE, in the plan's money: metre (6, a metre on the ground), slope (8), gap (4),\nstrike (30, one that breaks a strand), nudge (10, one that the strands hold), years (10), walk (0.08, a hundred\nlevel metres), visits (26), corner (60), poor_corner (40), rock (12, a metre), soft (3, a metre), way (120, a gate in\na track), beside (6, a metre within 2 m of another fence or a building), dip (130)."
)]
pub struct Options {
    #[command(flatten)]
    plan: PlanOptions,
    /// The fence
    #[arg(long, value_name = "ID")]
    line: String,
    /// Where to write the plan with another course
    #[arg(long, short, value_name = "NEW.geojson")]
    out: Option<PathBuf>,
    /// Which course to write
    #[arg(long, value_enum, default_value = "cheapest", requires = "out")]
    choose: Choice,
    /// What one thing is worth, instead of the usual
    #[arg(long, value_name = "NAME=VALUE", value_parser = weight)]
    weight: Vec<(String, f64)>,
    /// Judge stock that grows for this day instead of today
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    date: Option<Date>,
    #[command(flatten)]
    writing: Writing,
}

/// Which course.
#[derive(Clone, Copy, ValueEnum)]
enum Choice {
    /// The cheapest by the weights
    Cheapest,
    /// The one with the fewest strikes
    Strikes,
    /// The one nearest to a track
    Track,
}

impl Choice {
    fn aim(self) -> Aim {
        match self {
            Self::Cheapest => Aim::Cheapest,
            Self::Strikes => Aim::FewestStrikes,
            Self::Track => Aim::ClosestToTrack,
        }
    }
}

fn weight(text: &str) -> Result<(String, f64), String> {
    let (name, value) = text.split_once('=').ok_or("write it as NAME=VALUE")?;
    if !Weights::NAMES.contains(&name) {
        return Err(format!("there is no weight {name}; allowed are {}", Weights::NAMES.join(", ")));
    }
    let value = value.parse::<f64>().ok().filter(|value| value.is_finite() && *value >= 0.0);
    value.map(|value| (name.to_owned(), value)).ok_or_else(|| format!("{name} must be a number of 0 or more"))
}

/// Looks for other courses, or writes a plan with one of them.
///
/// # Errors
/// When a file cannot be used, the plan has no such fence, or there is no better course to write.
pub fn reroute(options: &Options, job: &Job) -> Result<Answer, Stop> {
    let day = Some(options.date.unwrap_or_else(today));
    let outputs = Outputs::new(options.writing).file(options.out.as_ref(), GEOJSON);
    let opened = options.plan.open_to_write(&outputs, day, job)?;
    let line = FeatureId::new(&options.line);
    let asked = Asked {
        plan: &opened.file.plan,
        ground: opened.ground.as_deref(),
        outcome: &opened.outcome,
        catalogue: opened.catalogue(),
        line: &line,
    };
    let mut weights = Weights::USUAL;
    for (name, value) in &options.weight {
        weights.named(name).into_iter().for_each(|weight| *weight = *value);
    }
    let path = opened.file.path.display().to_string();
    let found = courses(asked, weights, day, job).map_err(|trouble| match trouble {
        NoCourse::Cancelled(cancelled) => cancelled.into(),
        other => Stop::unusable(format!("{path}: {}", words::no_course(&other))),
    })?;
    let mut answer = match &options.out {
        Some(out) => {
            let aim = options.choose.aim();
            let Some(chosen) = found.of(aim) else { return Err(Stop::unusable(nothing(&path, &found, aim))) };
            Answer { outputs: vec![Waiting::of_plan(out, &chosen.plan, &opened.file.path)?], ..Answer::default() }
        }
        None if options.plan.json => Answer::json(&as_json(&opened, &found)),
        None => Answer::text(as_text(&opened, &found)),
    };
    answer.notes = opened.notes;
    Ok(answer)
}

fn nothing(path: &str, found: &Courses, aim: Aim) -> String {
    let why = if found.stands.contains(&aim) {
        "no course was found that is better for this than the drawn one"
    } else {
        "nothing is known of what this course is judged by (a track, or ground fine enough for running animals)"
    };
    format!("{path}: {}: {why}; nothing was written", words::aim(aim))
}

fn term_key(term: Term) -> &'static str {
    match term {
        Term::Build => "build",
        Term::Soil => "soil",
        Term::Corners => "corners",
        Term::Water => "water",
        Term::Ways => "ways",
        Term::Strikes => "strikes",
        Term::Walking => "walking",
    }
}

fn aim_key(aim: Aim) -> &'static str {
    match aim {
        Aim::Cheapest => "cheapest",
        Aim::FewestStrikes => "strikes",
        Aim::ClosestToTrack => "track",
    }
}

fn along_as_json(amounts: &Amounts, weights: &Weights) -> Value {
    let costs: Map<String, Value> =
        Term::ALL.iter().map(|term| (term_key(*term).to_owned(), number(amounts.worth(*term, weights)))).collect();
    json!({
        "map_m": number(amounts.map_m),
        "ground_m": number(amounts.ground_m),
        "water_gaps": number(amounts.gaps),
        "strikes_per_year": number(amounts.strikes()),
        "breaking_per_year": number(amounts.breaking),
        "thin_soil_m": number(amounts.rock_m),
        "wet_soil_m": number(amounts.soft_m),
        "ways": number(amounts.ways),
        "barred": amounts.barred,
        "costs": costs,
        "cost": maybe(Some(amounts.cost(weights)).filter(|cost| cost.is_finite())),
    })
}

fn figures(rows: &[Compared], of: fn(&Compared) -> Option<f64>) -> Value {
    let member = |row: &Compared| {
        let (name, unit) = key(row.figure);
        (name.to_owned(), maybe(of(row).map(|value| value / unit)))
    };
    rows.iter().map(member).collect::<Map<_, _>>().into()
}

fn as_json(opened: &Opened, found: &Courses) -> Value {
    let aims = |aims: &[Aim]| aims.iter().map(|aim| aim_key(*aim)).collect::<Vec<_>>();
    let course = |one: &Found| {
        json!({
            "for": aims(&one.aims),
            "more_to_fix": one.more_to_fix().unwrap_or(0),
            "corners": one.points.iter().map(|at| place(opened.frame.to_position(*at))).collect::<Vec<_>>(),
            "along": along_as_json(&one.amounts, &found.weights),
            "figures": figures(&one.figures, |row| row.b),
        })
    };
    let mut weights = found.weights;
    let weights: Map<String, Value> =
        Weights::NAMES.iter().map(|name| ((*name).to_owned(), maybe(weights.named(name).map(|value| *value)))).collect();
    json!({
        "line": found.line.as_str(),
        "weights": weights,
        "drawn": {
            "along": along_as_json(&found.drawn, &found.weights),
            "figures": found.found.first().map(|one| figures(&one.figures, |row| row.a)),
            "best_for": aims(&found.stands),
        },
        "courses": found.found.iter().map(course).collect::<Vec<_>>(),
    })
}

fn as_text(opened: &Opened, found: &Courses) -> String {
    let letters = ["A", "B", "C"];
    let mut text = String::new();
    for (letter, one) in letters.iter().zip(&found.found) {
        text += &paragraph(letter, &format!("{}: {}.", words::aims(&one.aims), words::course(&one.amounts, opened.units)), 3);
        text += &one.more_to_fix().map_or_else(String::new, |more| paragraph("", &words::more_to_fix(more), 3));
    }
    if !found.stands.is_empty() {
        text += &paragraph("", &words::stands(&found.stands), 0);
    }
    if found.drawn.barred > 0 {
        text += &paragraph("", words::BARRED, 0);
    }
    if !found.found.is_empty() {
        text.push('\n');
        text += &as_table(opened, found, &letters);
    }
    text.push('\n');
    text + &paragraph("", words::COURSE_LIMITS, 0)
}

fn as_table(opened: &Opened, found: &Courses, letters: &[&str]) -> String {
    let currency = &opened.outcome.order.currency;
    let columns: Vec<(&str, Side)> = [("The whole plan", Side::Left), ("As drawn", Side::Right)]
        .into_iter()
        .chain(letters.iter().take(found.found.len()).map(|letter| (*letter, Side::Right)))
        .collect();
    let not_known = || "not known".to_owned();
    let show =
        |figure, value: Option<f64>| value.map_or_else(not_known, |value| words::compared(figure, value, currency, opened.units));
    let figure_row = |figure: &Figure| {
        let of =
            |one: &Found, side: fn(&Compared) -> Option<f64>| one.figures.iter().find(|row| row.figure == *figure).and_then(side);
        let drawn = found.found.first().and_then(|one| of(one, |row| row.a));
        let others = found.found.iter().map(|one| show(*figure, of(one, |row| row.b)));
        [words::compared_what(*figure).to_owned(), show(*figure, drawn)].into_iter().chain(others).collect()
    };
    let along = || std::iter::once(&found.drawn).chain(found.found.iter().map(|one| &one.amounts));
    let money = |value: f64| if value.is_finite() { words::money_short(value, currency) } else { "–".to_owned() };
    let term_row = |term: &Term| {
        let worth = along().map(|amounts| money(amounts.worth(*term, &found.weights)));
        std::iter::once(words::term(*term, &found.weights)).chain(worth).collect()
    };
    let all = along().map(|amounts| money(amounts.cost(&found.weights)));
    let figures: Vec<Vec<String>> = Figure::ALL.iter().map(figure_row).collect();
    let terms = Term::ALL.iter().map(term_row).chain([std::iter::once("All of it".to_owned()).chain(all).collect()]);
    let mut columns_of_line = columns.clone();
    columns_of_line[0].0 = "What it costs along this line";
    format!("{}\n{}", table(&columns, &figures), table(&columns_of_line, &terms.collect::<Vec<Vec<String>>>()))
}
