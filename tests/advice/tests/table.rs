//! What is said to each plan and what is not, held against what an adviser would say.

use hillwire_core::catalogue::Catalogue;
use hillwire_core::finding::{Finding, Purpose, Rule, Weight};
use hillwire_core::plan::Strand;
use hillwire_core::units::Length;
use std::borrow::Cow;
use std::fmt::Write;
use tests_advice::{Farm, build, told};

const HARD: &str = "ht-12.5ga";
/// Strands that the catalogue of animals proposes, inside, each with its source there.
const EWES: [f64; 4] = [0.17, 0.32, 0.52, 0.75];
const COWS: [f64; 2] = [0.50, 0.90];
const GOATS: [f64; 5] = [0.15, 0.30, 0.50, 0.75, 1.05];
/// Stations of the posts of the gate in the middle of the first side.
const GATE_POSTS: [f64; 2] = [98.2, 101.8];

/// Where a finding has to stand.
#[derive(Clone, Copy, Debug)]
enum At {
    /// Anywhere.
    Any,
    /// At this station, give or take two metres.
    M(f64),
}

/// One plan and what belongs to be said to it.
struct Row {
    /// What it is.
    name: Cow<'static, str>,
    farm: Farm,
    /// What has to be said.
    says: Vec<(Rule, Weight, At)>,
    /// What must not be said.
    never: Vec<Rule>,
    /// At most so many findings, and of them so many that must be fixed.
    at_most: (usize, usize),
    /// Whether nothing may be worth a look that is not said above.
    is_quiet: bool,
    /// Where that stands written.
    source: &'static str,
}

fn good_sheep() -> Farm {
    Farm::paddock(build(&EWES, HARD, 667.0)).keeping("sheep", 24, 70.0)
}

fn textbook() -> Vec<Row> {
    let row = |name: &'static str, farm: Farm, notes| Row {
        name: name.into(),
        farm,
        says: vec![],
        never: vec![Rule::PostShort, Rule::Unbraced, Rule::CornerLoad, Rule::PostBending, Rule::Tension, Rule::ColdWire],
        at_most: (notes, 0),
        is_quiet: false,
        source: "strands as in assets/catalogue/animal.toml with their sources; common practice for the rest",
    };
    let braced = |farm: Farm| farm.fenced(|fence| fence.braces = GATE_POSTS.map(Length::metres).to_vec());
    let cows = |heights: &[f64]| braced(Farm::paddock(build(heights, HARD, 667.0)).keeping("cattle", 6, 600.0));
    vec![
        row("sheep, four hard wires, every corner and gate post braced", braced(good_sheep()), 2),
        row("cows, two hard wires", cows(&COWS), 2),
        row("cows, three hard wires", cows(&[0.45, 0.75, 1.05]), 2),
        row("goats, five hard wires", braced(Farm::paddock(build(&GOATS, HARD, 667.0)).keeping("goat", 12, 60.0)), 2),
    ]
}

/// The fence that the catalogue proposes to every class at every purpose, on posts that reach it, braced throughout, on good ground.
fn every_class() -> Vec<Row> {
    let mut rows = Vec::new();
    for animal in Catalogue::built_in().animals.iter().filter(|animal| animal.is_kept_in()) {
        for purpose in Purpose::ALL {
            let barrier = animal.barrier(purpose).expect("for each purpose");
            if barrier.strands.is_empty() {
                continue;
            }
            let mut built = build(&[], HARD, 667.0);
            built.strands = barrier.proposed().map(|(height, live)| Strand { live, ..Strand::live(height, HARD) }).collect();
            "wood-100-long".clone_into(&mut built.line_post);
            "wood-125-tall".clone_into(&mut built.corner_post);
            let farm = Farm::paddock(built).keeping(&animal.species, 4, animal.mass_kg).of_class(&animal.class, purpose);
            // Published practice always remarks on pigs and horses at a boundary, wants a look at a road, and proposes less to horses than it recommends.
            let remarks = barrier.at_best.is_some() || barrier.strands.len() == 1 || animal.class == "horse";
            let looks = purpose == Purpose::Roadside && barrier.at_best.is_some();
            rows.push(Row {
                name: format!("{} at {:?}", animal.label, purpose).into(),
                farm: farm.driven_by("large").fenced(|fence| fence.braces = GATE_POSTS.map(Length::metres).to_vec()),
                says: vec![],
                never: if remarks { vec![Rule::Dip, Rule::Rise] } else { vec![Rule::Dip, Rule::Rise, Rule::Holds] },
                at_most: (2 + usize::from(remarks), 0),
                is_quiet: !looks,
                source: "strands as in assets/catalogue/animal.toml with their sources; common practice for the rest",
            });
        }
    }
    rows
}

fn posts() -> Vec<Row> {
    let short = |weight| vec![(Rule::PostShort, weight, At::Any)];
    let row = |name: &'static str, farm: Farm, says: Vec<(Rule, Weight, At)>| Row {
        name: name.into(),
        farm,
        never: if says.is_empty() { vec![Rule::PostShort] } else { vec![] },
        says,
        at_most: (4, 2),
        is_quiet: false,
        source: "nrcs-iowa-92: 2 inches of a wood post above the top wire, 1 inch of another",
    };
    let on = |post: &'static str, heights: &[f64]| {
        Farm::paddock(build(heights, HARD, 667.0)).built(move |build| post.clone_into(&mut build.line_post))
    };
    vec![
        row("a top strand at 1.60 m on posts that stand 1.20 m", on("wood-100", &[0.45, 0.75, 1.60]), short(Weight::MustFix)),
        row(
            "the same on posts that stand 1.65 m",
            on("wood-100-long", &[0.45, 0.75, 1.60]).built(|build| "wood-125-tall".clone_into(&mut build.corner_post)),
            vec![],
        ),
        row(
            "four strands to 0.85 m on step-in posts that stand 0.80 m",
            on("step-in", &[0.15, 0.33, 0.55, 0.85]),
            short(Weight::MustFix),
        ),
        row("the same to 0.75 m", on("step-in", &[0.15, 0.33, 0.55, 0.75]), vec![]),
        row("horse strand at 1.25 m on posts that stand 1.05 m", on("wood-75", &[0.65, 1.25]), short(Weight::MustFix)),
        row("a strand an inch and a half below the top of a wood post", on("wood-100", &[0.45, 0.80, 1.16]), short(Weight::Note)),
    ]
}

fn braces() -> Vec<Row> {
    let said = |weight| vec![(Rule::Unbraced, weight, At::Any)];
    let row = |name: &'static str, farm: Farm, says: Vec<(Rule, Weight, At)>| Row {
        name: name.into(),
        farm,
        never: if says.is_empty() { vec![Rule::Unbraced, Rule::CornerLoad] } else { vec![Rule::CornerLoad] },
        at_most: (2, says.iter().filter(|(_, weight, _)| *weight == Weight::MustFix).count()),
        says,
        is_quiet: false,
        source: "nrcs-maine-382a: all corners, gates and ends braced; nrcs-colorado-382: a brace about every 402 m",
    };
    let corner = |post: &'static str| {
        Farm::of(build(&[0.40, 0.75], HARD, 150.0), vec![(-80.0, 0.0), (80.0, 0.0)], None).fenced(move |fence| {
            fence.corners.values_mut().for_each(|choice| (choice.brace, choice.post) = (None, Some(post.to_owned())));
        })
    };
    let none = |farm: Farm| farm.fenced(|fence| fence.corners.clear());
    vec![
        row(
            "good sheep fence whose two gate posts are not braced",
            good_sheep(),
            vec![(Rule::Unbraced, Weight::LookAt, At::M(98.2))],
        ),
        row("four hard wires and no brace anywhere", none(good_sheep()), said(Weight::MustFix)),
        row(
            "800 m straight, both ends braced, no stretch brace",
            Farm::straight(build(&[0.45, 0.75, 1.05], HARD, 667.0), 800.0),
            said(Weight::LookAt),
        ),
        row(
            "the same, its stretch posts braced",
            Farm::straight(build(&[0.45, 0.75, 1.05], HARD, 667.0), 800.0)
                .fenced(|fence| fence.braces = vec![Length::metres(400.0)]),
            vec![],
        ),
        row("two wires to divide a field: a post set deep is enough", none(Farm::paddock(build(&COWS, HARD, 300.0))), vec![]),
        Row {
            never: vec![Rule::Unbraced],
            says: vec![(Rule::CornerLoad, Weight::MustFix, At::M(0.0))],
            at_most: (4, 2),
            ..row("two hand-tight wires that end at step-in posts", corner("step-in"), vec![])
        },
    ]
}

fn tension() -> Vec<Row> {
    let braced = |farm: Farm| farm.fenced(|fence| fence.braces = GATE_POSTS.map(Length::metres).to_vec());
    let row = |name: &'static str, farm: Farm, weight: Option<Weight>| Row {
        name: name.into(),
        farm: braced(farm),
        says: weight.map(|weight| (Rule::Tension, weight, At::Any)).into_iter().collect(),
        never: if weight.is_none() { vec![Rule::Tension, Rule::ColdWire] } else { vec![] },
        at_most: (3, 0),
        is_quiet: false,
        source: "common practice: 700 to 1100 N for 2.5 mm hard wire",
    };
    let sheep = |wire: &str, tension_n: f64| Farm::paddock(build(&EWES, wire, tension_n)).keeping("sheep", 24, 70.0);
    let soft = |permanent: bool| {
        sheep("soft-12.5ga", 150.0).built(move |build| (build.permanent, build.spring_n_per_m) = (permanent, None))
    };
    vec![
        row("four hard wires at 30 N", sheep(HARD, 30.0), Some(Weight::LookAt)),
        row("four hard wires at 80 N", sheep(HARD, 80.0), Some(Weight::LookAt)),
        row("four hard wires at 667 N", sheep(HARD, 667.0), None),
        row("four hard wires at 900 N", sheep(HARD, 900.0), None),
        row("hand-tight soft wire that is to stand for good", soft(true), Some(Weight::LookAt)),
        row("hand-tight soft wire for a season", soft(false), Some(Weight::Note)),
        row("hand-tight tape", Farm::paddock(build(&[0.6, 1.0], "tape-20", 90.0)), None),
    ]
}

fn notes() -> Vec<Row> {
    let braced = |farm: Farm| farm.fenced(|fence| fence.braces = GATE_POSTS.map(Length::metres).to_vec());
    let row = |name: &'static str, farm: Farm, says| Row {
        name: name.into(),
        farm: braced(farm),
        says,
        never: vec![],
        at_most: (3, 0),
        is_quiet: false,
        source: "common practice",
    };
    vec![
        row("a gate of 9 m", good_sheep().gate(9.0).fenced(|_| ()), vec![(Rule::Gate, Weight::LookAt, At::Any)]),
        row("a good fence that is a walk of six minutes from its track", good_sheep().track_off(180.0), vec![]),
    ]
}

fn rows() -> Vec<Row> {
    textbook().into_iter().chain(every_class()).chain(posts()).chain(braces()).chain(tension()).chain(notes()).collect()
}

fn is_said(found: &[Finding], (rule, weight, at): &(Rule, Weight, At)) -> bool {
    let is_there = |finding: &Finding| match at {
        At::Any => true,
        At::M(station_m) => finding.place.station.is_some_and(|station| (station.as_metres() - station_m).abs() < 2.0),
    };
    found.iter().any(|finding| finding.rule == *rule && finding.weight == *weight && is_there(finding))
}

/// What is wrong with what is said to one plan.
fn troubles(row: &Row, found: &[Finding]) -> Vec<String> {
    let silent =
        row.says.iter().filter(|wanted| !is_said(found, wanted)).map(|wanted| format!("silent and should not be: {wanted:?}"));
    let loud = found
        .iter()
        .filter(|finding| row.never.contains(&finding.rule))
        .map(|finding| format!("said and should not be: {}", told(finding)));
    let must = found.iter().filter(|finding| finding.weight == Weight::MustFix).count();
    let many = (found.len() > row.at_most.0 || must > row.at_most.1)
        .then(|| format!("{} findings, {must} must fix; at most {:?}", found.len(), row.at_most));
    let looks = found.iter().filter(|finding| row.is_quiet && finding.weight == Weight::LookAt);
    let looks = looks.map(|finding| format!("worth a look and should not be: {}", told(finding)));
    silent.chain(loud).chain(many).chain(looks).collect()
}

#[test]
fn to_each_plan_is_said_what_an_adviser_would_say_and_no_more() {
    let mut table = String::new();
    let mut wrong = 0;
    for row in rows() {
        let found = row.farm.outcome().findings;
        let troubles = troubles(&row, &found);
        let said: Vec<String> = found.iter().map(told).collect();
        writeln!(
            table,
            "{:<60} {} ({})",
            row.name,
            if said.is_empty() { "silence".to_owned() } else { said.join("; ") },
            row.source
        )
        .expect("into a string");
        for trouble in &troubles {
            writeln!(table, "    WRONG {trouble}").expect("into a string");
        }
        wrong += troubles.len();
    }
    assert_eq!(wrong, 0, "\n{table}");
}
