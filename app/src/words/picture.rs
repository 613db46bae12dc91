//! What is written on the picture of a long section.

use super::cautions::{self, Place};
use super::section::{Cells, section_notes};
use super::{force, gap, item, length, percent, posts_and_pegs, role, rule, set_length, weight};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::finding::{Finding, Weight};
use hillwire_core::hold::{LineMeasure, PostRole, TREE_POST};
use hillwire_core::outcome::LineOutcome;
use hillwire_core::plan::{Build, Kind, Plan, UnitSystem};
use hillwire_core::share::{FoundPlace, SectionPaper, SectionPicture, SectionSign, SectionWords};
use hillwire_core::units::Length;

/// A line of a plan with what follows for it, as its picture shows them.
pub fn section_picture<'a>(
    plan: &'a Plan,
    line: &'a LineOutcome,
    findings: &[Finding],
    cells: &[(Cells, Length)],
    catalogue: &Catalogue,
) -> SectionPicture<'a> {
    let build = plan.feature(&line.id).and_then(|feature| match &feature.kind {
        Kind::Fence(fence) => plan.build(&fence.build),
        _ => None,
    });
    SectionPicture {
        line,
        build,
        findings: found_places(line, findings, plan.head.units),
        units: plan.head.units,
        words: section_words(plan, line, build, cells, catalogue),
        on: SectionPaper::Screen,
    }
}

/// The words of a line's picture.
fn section_words(
    plan: &Plan,
    line: &LineOutcome,
    build: Option<&Build>,
    cells: &[(Cells, Length)],
    catalogue: &Catalogue,
) -> SectionWords {
    let units = plan.head.units;
    let name = plan.feature(&line.id).map_or(line.id.as_str(), |feature| feature.label());
    let mut facts = vec![lengths(line, units)];
    facts.extend(build.map(|build| built(line, build, catalogue, units)));
    facts.extend(section_notes(line, cells, units).into_iter().filter(|note| note.chars().count() < 200));
    SectionWords {
        title: [plan.head.name.as_str(), name, "long section"]
            .into_iter()
            .filter(|part| !part.is_empty())
            .collect::<Vec<_>>()
            .join(" · "),
        facts,
        legend: legend(line, build),
        findings: "What was found on this line".to_owned(),
        cautions: cautions(line),
        stations: if units == UnitSystem::Us { "stations, ft" } else { "stations, m" }.to_owned(),
        stretched,
    }
}

/// A living tree needs a word of its own.
fn cautions(line: &LineOutcome) -> Vec<String> {
    let has_tree = line.hold.posts.iter().any(|post| post.post == TREE_POST);
    let tree = has_tree.then_some(cautions::TREE);
    cautions::at(Place::SectionSheet).chain(tree).map(str::to_owned).collect()
}

fn stretched(factor: f64) -> String {
    if (factor - 1.0).abs() < 1e-9 {
        "Heights and lengths are to one scale; strip follows strip.".to_owned()
    } else {
        format!("Heights are stretched {factor} times against lengths; strip follows strip.")
    }
}

fn lengths(line: &LineOutcome, units: UnitSystem) -> String {
    format!("{}, {}", course_lengths(&line.measure, ", ", units), posts_and_pegs(line))
}

/// How long a line is and how it rises, as far as its ground is known: `412 m on the ground · climbs 31 m · falls 2 m · steepest 24 %`.
pub fn course_lengths(measure: &LineMeasure, between: &str, units: UnitSystem) -> String {
    if measure.has_no_ground() {
        return format!("{} on the map{between}heights not known", length(measure.plan_length, units));
    }
    let known = [
        format!("{} on the ground", length(measure.ground_length, units)),
        format!("climbs {}", length(measure.climb, units)),
        format!("falls {}", length(measure.descent, units)),
        format!("steepest {}", percent(measure.steepest_pct)),
    ];
    let unknown = Some(measure.unknown).filter(|unknown| unknown.as_metres() > 0.5);
    let unknown = unknown.map(|unknown| format!("{} of it without ground", length(unknown, units)));
    known.into_iter().chain(unknown).collect::<Vec<_>>().join(between)
}

/// `Strands at 20 and 45 cm, set to 450 N each; T-post; bays of 8.0 m at most`
fn built(line: &LineOutcome, build: &Build, catalogue: &Catalogue, units: UnitSystem) -> String {
    let heights: Vec<String> = build.strands.iter().map(|strand| gap(strand.height, units)).collect();
    let band = line.hold.bands.first().copied();
    let band =
        band.map_or(String::new(), |(low, high)| format!("; lowest strand {} to {} up", gap(low, units), gap(high, units)));
    format!(
        "Strands at {}, set to {} each{band}; line posts: {}; bays of {} at most",
        heights.join(", "),
        force(build.tension, units),
        item(&build.line_post, catalogue),
        set_length(build.max_bay, units)
    )
}

/// What of the signs is on this line.
fn legend(line: &LineOutcome, build: Option<&Build>) -> Vec<(SectionSign, String)> {
    let posts = &line.hold.posts;
    let mut signs: Vec<(SectionSign, String)> = PostRole::ALL
        .into_iter()
        .filter(|wanted| posts.iter().any(|post| post.role == *wanted && post.post != TREE_POST))
        .map(|wanted| (SectionSign::Post(wanted), role(wanted).to_owned()))
        .collect();
    let mut add = |is_there: bool, sign: SectionSign, words: &str| signs.extend(is_there.then(|| (sign, words.to_owned())));
    add(posts.iter().any(|post| post.post == TREE_POST), SectionSign::Tree, "living tree");
    add(posts.iter().any(|post| post.pinned), SectionSign::Pinned, "pinned post");
    add(posts.iter().any(|post| post.held_down), SectionSign::HeldDown, "held down");
    let strands = build.map(|build| build.strands.as_slice()).unwrap_or_default();
    add(strands.iter().any(|strand| strand.live), SectionSign::Live, "live strand");
    add(strands.iter().any(|strand| !strand.live), SectionSign::EarthReturn, "earth-return strand");
    add(line.hold.bays.iter().any(|bay| bay.gate.is_some()), SectionSign::Gate, "gate");
    add(!strands.is_empty(), SectionSign::Band, "band of the lowest strand");
    signs
}

/// A finding on the picture: `must fix: dip, 128 m to 136 m`.
fn found_place(finding: &Finding, units: UnitSystem) -> FoundPlace {
    let metres = |station: Option<Length>| station.map(Length::as_metres);
    let at = match (finding.place.station, finding.place.until) {
        (Some(from), Some(until)) => format!(", {} to {}", length(from, units), length(until, units)),
        (Some(at), None) => format!(", at {}", length(at, units)),
        (None, _) => String::new(),
    };
    let says = format!("{}: {}{at}", weight(finding.weight), rule(finding.rule));
    FoundPlace {
        weight: finding.weight,
        from_m: metres(finding.place.station).unwrap_or(0.0),
        until_m: metres(finding.place.until),
        says,
    }
}

/// Findings of a line that have a place on it, the worst first.
fn found_places(line: &LineOutcome, findings: &[Finding], units: UnitSystem) -> Vec<FoundPlace> {
    let on_line = |finding: &&Finding| finding.place.line.as_ref() == Some(&line.id) && finding.place.station.is_some();
    let mut found: Vec<&Finding> = findings.iter().filter(on_line).collect();
    found.sort_by_key(|finding| std::cmp::Reverse(matches!(finding.weight, Weight::MustFix)));
    found.into_iter().map(|finding| found_place(finding, units)).collect()
}
