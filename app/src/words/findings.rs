//! What the checker has to say, as sentences: what was found, why it matters, what can be done.

use super::{
    angle, bite, count, force, gap, grids, held, item, keeping, lay, length, loads, mass, number_with, percent, reach,
    set_length, strike,
};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::finding::{Finding, Reason, Remedy, Rule, Weight};
use hillwire_core::plan::{Plan, UnitSystem};
use hillwire_core::source::{Seen, Source, SourceKey};
use hillwire_core::units::{Force, Length};

/// How much a finding matters, for people.
pub fn weight(weight: Weight) -> &'static str {
    match weight {
        Weight::MustFix => "must fix",
        Weight::LookAt => "look at",
        Weight::Note => "note",
    }
}

/// Where a limit comes from, and how far to believe it.
pub fn source(key: &SourceKey) -> String {
    let Some(source) = key.entry() else { return format!("Source: {}", key.as_str()) };
    let author = if source.author.is_empty() { String::new() } else { format!("{}, {}: ", source.author, dated(source)) };
    match source.seen {
        Seen::Read => format!("Source: {author}{}", source.title),
        Seen::SecondHand => format!("Source: {author}{} (second hand)", source.title),
        Seen::FromMemory => format!("Source: {author}{} (quoted from memory)", source.title),
        Seen::CommonPractice if key.as_str() == "common-practice" => "Common practice; no published source".to_owned(),
        Seen::CommonPractice => format!("{}; no published source", source.title),
        Seen::ChosenHere => format!("Chosen by this program, no published source: {}", source.title),
    }
}

/// When a source came out: `2016`; `undated, looked at in 2026`.
pub(super) fn dated(source: &Source) -> String {
    match (source.year, source.looked_at) {
        (Some(year), _) => year.to_string(),
        (None, Some(looked_at)) => format!("undated, looked at in {looked_at}"),
        (None, None) => "undated".to_owned(),
    }
}

/// What was found and why it matters, in one or two sentences.
pub fn says(finding: &Finding, plan: &Plan, catalogue: &Catalogue, units: UnitSystem) -> String {
    match &finding.reason {
        Reason::Bite(why) => bite::says(why, finding.value, plan, catalogue, units),
        Reason::Keeping(why) => keeping::says(why, finding.value, finding.limit, units),
        Reason::Reach(why) => reach::says(why, finding.value, finding.limit, units),
        Reason::Lay(why) => lay::says(why, finding.value, units),
        Reason::SteepAbove { slope_pct, run, approach_deg } => format!(
            "The ground above falls at {} for {} and comes down {}: animals that run downhill arrive at speed and break the strands.",
            percent(*slope_pct),
            length(*run, units),
            towards_fence(*approach_deg)
        ),
        Reason::PulledOver { .. } => pulled_over(finding, catalogue, units),
        Reason::OutOfBand { strand, animal, error } => {
            out_of_band(finding, &ordinal_strand(*strand), (*error, animal.as_deref()), catalogue, units)
        }
        Reason::NetOverGround { animal, error } => {
            let part = if finding.rule == Rule::Dip { "the foot of the netting" } else { "the top of the netting" };
            out_of_band(finding, part, (*error, animal.as_deref()), catalogue, units)
        }
        Reason::CoarseGrid { .. }
        | Reason::OutOfReach { .. }
        | Reason::NoGround
        | Reason::NearGridEdge { .. }
        | Reason::MaybeFeet
        | Reason::MaybeUndeclaredVoid { .. }
        | Reason::HeightSteps { .. }
        | Reason::GridsApart { .. }
        | Reason::NoGrid => grids::says(finding, units).unwrap_or_default(),
        Reason::ClosesPublicWay { way, nearest_gate } => closes_public_way(way, *nearest_gate, units),
        Reason::UnderOverheadLine { kv, clearance, crossing_deg } => format!(
            "The fence crosses under {} at {}. At least {} of air must stay between its wires and the conductors at every moment, also \
             when a wire snaps upwards; long wire handled near them can kill.",
            overhead_line(*kv),
            angle(*crossing_deg),
            set_length(*clearance, units)
        ),
        Reason::HighNearOverheadLine { kv, within } => format!(
            "It stands {} high near {}. Within {} of the outermost conductor no wire or post of a fence may stand higher than {}.",
            length(Length::metres(finding.value), units),
            overhead_line(*kv),
            set_length(*within, units),
            set_length(Length::metres(finding.limit.unwrap_or_default()), units)
        ),
        Reason::BesideOverheadLine { kv, over, nearest } => format!(
            "The fence runs beside {} for {}, as near as {}: its wires pick up a charge even when the energizer is off.",
            overhead_line(*kv),
            length(*over, units),
            length(*nearest, units)
        ),
        Reason::Struck { .. } => strike::struck(&finding.reason, catalogue, units),
        Reason::DoesNotHold(why) => held::does_not_hold(why, finding.value, finding.limit, catalogue, units),
        Reason::NotEnclosed { .. }
        | Reason::UnknownStock { .. }
        | Reason::SameGround { .. }
        | Reason::OnNoLine { .. }
        | Reason::NetCare { .. } => held::about_lines(&finding.reason, units).unwrap_or_default(),
        about_loads => loads::says(about_loads, finding.value, catalogue, units).unwrap_or_default(),
    }
}

fn towards_fence(approach_deg: f64) -> &'static str {
    match approach_deg {
        60.0.. => "straight at the fence",
        30.0..60.0 => "at a slant to the fence",
        _ => "nearly along the fence",
    }
}

fn pulled_over(finding: &Finding, catalogue: &Catalogue, units: UnitSystem) -> String {
    let Reason::PulledOver { deflection_deg, pull, at_height, capacity, safety_factor, depth, post, .. } = &finding.reason else {
        return String::new();
    };
    let place = match deflection_deg {
        Some(turn) if *turn >= 1.0 => format!("The line turns by {} here and the strands pull the corner post", angle(*turn)),
        Some(_) => "The strands end at this post and pull it".to_owned(),
        None => "The line ends here and the strands pull the end post".to_owned(),
    };
    let stands = format!(
        "{place} with {} at {} above the ground. {}{}",
        force(*pull, units),
        gap(*at_height, units),
        with_article(item(post, catalogue)),
        if *depth > Length::ZERO { format!(" set {} deep", gap(*depth, units)) } else { String::new() },
    );
    if *capacity < *pull * NOTHING_SHARE {
        return format!("{stands} does not hold here.");
    }
    format!(
        "{stands} holds {} at most here; with a safety factor of {safety_factor} that is good for {}.",
        force(*capacity, units),
        force(*capacity / *safety_factor, units)
    )
}

/// What holds less than this of the pull is said not to hold at all.
const NOTHING_SHARE: f64 = 0.05;

fn out_of_band(
    finding: &Finding,
    which: &str,
    (error, animal): (Length, Option<&str>),
    catalogue: &Catalogue,
    units: UnitSystem,
) -> String {
    let found = gap(Length::metres(finding.value), units);
    let limit = finding.limit.map(|limit| gap(Length::metres(limit), units));
    let give_or_take =
        if error >= Length::metres(0.005) { format!(", give or take {}", gap(error, units)) } else { String::new() };
    let seen =
        finding.place.cell.map_or(String::new(), |cell| format!(" Seen on cells of {}{give_or_take}.", set_length(cell, units)));
    let sure = finding.weight == Weight::MustFix;
    let whom = animal.map_or("An animal".to_owned(), |id| with_article(loads::animal_label(id, catalogue)));
    let may = if sure { "gets" } else { "may get" };
    match (finding.rule, limit) {
        (Rule::Dip, Some(limit)) => {
            format!(
                "{whom} {may} under: over this dip {which} stands {found} above the ground, and at most {limit} is allowed.{seen}"
            )
        }
        (Rule::Rise, Some(limit)) if animal.is_some() => {
            format!(
                "{whom} {may} over: at this rise {which} comes down to {found} above the ground, and at least {limit} is needed.{seen}"
            )
        }
        (Rule::Rise, Some(limit)) => format!(
            "Over this rise {which} comes down to {found} above the ground, and at least {limit} is needed: it touches the grass.{seen}"
        ),
        _ => format!("Here {which} stands {found} above the ground."),
    }
}

fn overhead_line(kv: Option<f64>) -> String {
    kv.map_or("an overhead power line of unknown voltage".to_owned(), |kv| format!("an overhead power line of {} kV", count(kv)))
}

fn closes_public_way(way: &str, nearest_gate: Option<Length>, units: UnitSystem) -> String {
    let gate = match nearest_gate {
        Some(distance) => format!("the nearest gate of this fence is {} away", length(distance, units)),
        None => "this fence has no gate".to_owned(),
    };
    format!("The fence closes {way}, which the public may use; {gate}. To close a public way is unlawful in most places.")
}

pub(super) fn ordinal_strand(strand: usize) -> String {
    match strand {
        0 => "the lowest strand".to_owned(),
        1 => "the second strand from below".to_owned(),
        2 => "the third strand from below".to_owned(),
        more => format!("strand {} from below", more + 1),
    }
}

fn other_post(post: &str, deep: &str, holds: &str, catalogue: &Catalogue) -> String {
    let in_rock = catalogue.post(post).is_some_and(|row| row.in_rock);
    let how = if in_rock { String::new() } else { format!(" set {deep} deep") };
    format!("{}{how} in the place of this one holds {holds}.", with_article(item(post, catalogue)))
}

/// What can be done, as an instruction.
pub fn does(remedy: &Remedy, plan: &Plan, catalogue: &Catalogue, units: UnitSystem) -> String {
    let holds = |capacity: &Force| force(*capacity, units);
    match remedy {
        Remedy::Bite(remedy) => bite::does(remedy, plan, catalogue, units),
        Remedy::Keeping(remedy) => keeping::does(remedy, units),
        Remedy::Reach(remedy) => reach::does(remedy, units),
        Remedy::Lay(remedy) => lay::does(remedy, units),
        Remedy::MoveOut { by } => format!("Move the line {} away from the foot of the slope.", length(*by, units)),
        Remedy::MarkWire { over, leaves } => lay::mark_wire(*over, *leaves, units),
        Remedy::ThickerPost { post, depth, capacity } => other_post(post, &gap(*depth, units), &holds(capacity), catalogue),
        Remedy::DeeperPost { depth, capacity } => {
            format!("Set the post {} deep: it then holds {}.", gap(*depth, units), holds(capacity))
        }
        Remedy::Crib { ballast_kg } => {
            format!("Where rock is near, build a crib of rails around it and fill it with {} of stone.", mass(*ballast_kg, units))
        }
        Remedy::NoCribHolds { slope_pct } => format!(
            "Nothing that stands by its weight holds here, on ground that falls at {}: move the post to flatter or deeper ground, or have one \
             grouted into the rock.",
            percent(*slope_pct)
        ),
        Remedy::LooseSpan => "Let one span hang loose, or put a spring in at one end: a lead-out holds nothing in.".to_owned(),
        Remedy::LowerTension { tension } => format!("Lower the tension of each strand to {}.", force(*tension, units)),
        Remedy::WalkIt => {
            "Walk it: stretch a string from post to post at strand height, and note where the gap is wrong.".to_owned()
        }
        Remedy::FinerGrid { .. } | Remedy::CoverLine | Remedy::AskForUnit | Remedy::AskForZero | Remedy::DeclareVoid { .. } => {
            about_grids(remedy, units)
        }
        Remedy::GateOnWay
        | Remedy::WarningSigns { .. }
        | Remedy::CrossSquarely
        | Remedy::KeepWiresBelow { .. }
        | Remedy::LowerOrBury { .. }
        | Remedy::AskLineOperator => for_others(remedy, units).unwrap_or_default(),
        Remedy::AddSprings { .. } | Remedy::OtherWire { .. } | Remedy::NoWireEndsIt | Remedy::SpareInsulators => {
            strike::remedy(remedy, catalogue, units).unwrap_or_default()
        }
        Remedy::JoinStrands { .. }
        | Remedy::MoveStrand { .. }
        | Remedy::AddStrand { .. }
        | Remedy::HangStrands { .. }
        | Remedy::HangNet { .. }
        | Remedy::SayPurpose
        | Remedy::SayClass
        | Remedy::OnlyTrained
        | Remedy::SecondFence
        | Remedy::CloseGap { .. }
        | Remedy::Enclose
        | Remedy::PartGround
        | Remedy::OntoLine
        | Remedy::TakeDownNet
        | Remedy::PegNetDown
        | Remedy::MoveStock { .. } => held::remedy(remedy, units).unwrap_or_default(),
        Remedy::CloseDip { .. } | Remedy::FillHollow { .. } | Remedy::GoRound => hollow(remedy, units).unwrap_or_default(),
        about_loads => loads::does(about_loads, units, catalogue).unwrap_or_default(),
    }
}

/// What is done where the public passes, and near power lines.
fn for_others(remedy: &Remedy, units: UnitSystem) -> Option<String> {
    Some(match remedy {
        Remedy::GateOnWay => "Put a gate or a stile that carries no pulse where the way passes.".to_owned(),
        Remedy::WarningSigns { every } => {
            format!(
                "Put up electric-fence warning signs on both sides of the way, and along it no farther apart than {}.",
                set_length(*every, units)
            )
        }
        Remedy::CrossSquarely => {
            "Cross underneath at a right angle, with the wires low, and with no post under the conductors.".to_owned()
        }
        Remedy::KeepWiresBelow { height } => {
            format!("Keep every wire below {} above the ground beside the power line.", length(*height, units))
        }
        Remedy::LowerOrBury { height } => format!(
            "Lay it in the ground in conduit, or keep it below {} for that stretch. Never raise a wire near a power line.",
            set_length(*height, units)
        ),
        Remedy::AskLineOperator => "Ask whoever runs the power line before any post is driven there.".to_owned(),
        _ => return None,
    })
}

/// What is done about a hollow instead of posts.
fn hollow(remedy: &Remedy, units: UnitSystem) -> Option<String> {
    Some(match remedy {
        Remedy::CloseDip { under, is_rock } => format!(
            "{} the gap of {} with rails or stones, or hang a curtain from the lowest strand.",
            if *is_rock { "No post goes in there: close" } else { "Close" },
            gap(*under, units)
        ),
        Remedy::FillHollow { over, volume_m3 } => format!(
            "Fill the hollow over {} with logs, stones and soil, about {} cubic metres, until the lowest strand is low enough.",
            length(*over, units),
            number_with(*volume_m3, if *volume_m3 < 1.0 { 2 } else { 1 })
        ),
        Remedy::GoRound => "Move the line to where the ground is even: it would take a post at every step here.".to_owned(),
        _ => return None,
    })
}

fn about_grids(remedy: &Remedy, units: UnitSystem) -> String {
    match remedy {
        Remedy::FinerGrid { cell } => format!("Load an elevation grid with cells of {} or less.", set_length(*cell, units)),
        Remedy::CoverLine => "Load an elevation grid that covers the whole line.".to_owned(),
        Remedy::AskForUnit => "Ask whoever supplied the grid in what unit its heights are.".to_owned(),
        Remedy::AskForZero => {
            "Ask from which zero the heights of each grid count, and use grids that count from the same one.".to_owned()
        }
        Remedy::DeclareVoid { height } => {
            format!("If {} is no height there, declare it as void in the grid file.", length(Length::metres(*height), units))
        }
        _ => String::new(),
    }
}

/// `A` or `An` before a label whose first letter becomes small, unless it is an abbreviation such as `T-post`.
pub(super) fn with_article(label: &str) -> String {
    let mut letters = label.chars();
    let Some(first) = letters.next() else { return String::new() };
    let rest = letters.as_str();
    let is_abbreviation = rest.starts_with(|c: char| c == '-' || c.is_uppercase());
    let first = if is_abbreviation { first.to_string() } else { first.to_lowercase().collect() };
    // `Wood post, 150 mm` is a shop's way to write; in a sentence it is a wood post of 150 mm.
    let rest = rest.replacen(", ", " of ", 1);
    let article = if first.starts_with(['a', 'e', 'i', 'o', 'u']) { "An" } else { "A" };
    format!("{article} {first}{rest}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use hillwire_core::finding::{Grade, NotHeld, Place, Purpose, PurposeBasis, StrikeOutcome, Unit, WayOut};
    use hillwire_core::land::Position;

    fn finding(rule: Rule, value: f64, limit: Option<f64>, reason: Reason) -> Finding {
        let place = Place { line: None, station: None, until: None, at: Position::from_degrees(0.0, 0.0), cell: None };
        let source = SourceKey::new("common-practice");
        Finding { rule, weight: Weight::LookAt, place, value, limit, unit: Unit::Metre, reason, remedies: Vec::new(), source }
    }

    const DAY: jiff::civil::Date = jiff::civil::date(2030, 6, 14);

    fn struck(releases_from_m_per_s: Option<f64>, breaks_from_m_per_s: Option<f64>) -> Reason {
        let (likely, flight) = ((6.0, StrikeOutcome::InsulatorsRelease), (10.0, StrikeOutcome::Breaks));
        let (wire, strain) = ("ht-14ga".to_owned(), m(212.0));
        Reason::Struck { mass_kg: 60.0, likely, flight, releases_from_m_per_s, breaks_from_m_per_s, wire, strain }
    }

    fn held(way: WayOut, strand: Option<usize>, grade: Grade) -> Reason {
        let purpose = (Purpose::Interior, PurposeBasis::NothingDrawn);
        let from = (grade == Grade::LookAt).then_some(DAY);
        Reason::DoesNotHold(Box::new(NotHeld {
            group: Some("growers".to_owned()),
            animal: "grower".to_owned(),
            purpose,
            way,
            strand,
            grade,
            from,
            days_left: 1,
            weight_kg: 38.0,
            shoulder: m(0.50),
            holds: Some((DAY, DAY.tomorrow().expect("a day"))),
            single: false,
            is_net: false,
            lines: 2,
        }))
    }

    fn m(metres: f64) -> Length {
        Length::metres(metres)
    }

    /// Every reason there is, with numbers.
    fn one_of_each() -> Vec<Finding> {
        let animal = Some("grower".to_owned());
        let dip = finding(Rule::Dip, 0.52, Some(0.25), Reason::OutOfBand { strand: 0, animal, error: m(0.07) });
        let rise = finding(Rule::Rise, 0.05, Some(0.08), Reason::OutOfBand { strand: 4, animal: None, error: Length::ZERO });
        let foot = finding(Rule::Dip, 0.3, Some(0.1), Reason::NetOverGround { animal: Some("ewe".to_owned()), error: m(0.02) });
        let way = Reason::ClosesPublicWay { way: "Mill path".to_owned(), nearest_gate: Some(m(40.0)) };
        let other = [
            Reason::SteepAbove { slope_pct: 38.0, run: m(60.0), approach_deg: 80.0 },
            pulled(Some(74.0)),
            pulled(None),
            Reason::PostTooShort { post: "step-in".to_owned(), strands: 1, stands: m(0.8), posts: 40 },
            Reason::SetSlack {
                strand: 0,
                wire: "ht-12.5ga".to_owned(),
                set: Force::newtons(30.0),
                usual: Force::newtons(667.0),
                more_posts: 40,
            },
            Reason::TurnsOften { times: 19, over: m(340.0) },
            Reason::NotBraced { stations: vec![m(4.0), m(40.0)], of: 6, wires: 4, pull: Force::newtons(3400.0) },
            Reason::CoarseGrid { cell: m(10.0), needed: m(2.0) },
            Reason::NoGround,
            Reason::OutOfReach { middle: Position::from_degrees(15.8, 46.4), at: Position::from_degrees(46.4, 15.8) },
            Reason::NearGridEdge { cells: 1.5 },
            Reason::NoGrid,
            Reason::MaybeFeet,
            Reason::MaybeUndeclaredVoid { height: 0.0, share: 0.2 },
            Reason::HeightSteps { step: m(1.0) },
            struck(Some(3.8), Some(5.8)),
            struck(None, Some(2.0)),
            held(WayOut::Under, Some(0), Grade::MustFix),
            held(WayOut::Between, Some(2), Grade::LookAt),
            held(WayOut::Over, Some(1), Grade::LookAt),
            held(WayOut::Over, Some(1), Grade::Note),
            held(WayOut::Over, None, Grade::MustFix),
            held(WayOut::Number, None, Grade::MustFix),
            held(WayOut::Kind, None, Grade::Note),
            Reason::NotEnclosed { group: "boars".to_owned(), gap: None, no_fence: true },
            Reason::NotEnclosed { group: "boars".to_owned(), gap: None, no_fence: false },
            Reason::NotEnclosed {
                group: "boars".to_owned(),
                gap: Some((Position::from_degrees(0.0, 0.0), m(80.0))),
                no_fence: false,
            },
            Reason::UnknownStock { group: "newts".to_owned(), class: Some("eft".to_owned()) },
            Reason::SameGround { other: "Low field".to_owned() },
            Reason::OnNoLine { kind: "cutout".to_owned(), off: Some(m(12.0)) },
            Reason::OnNoLine { kind: "gate".to_owned(), off: None },
            Reason::NetCare { lines: 1 },
            Reason::GridsApart { by: m(-2.4) },
            way,
            Reason::ClosesPublicWay { way: "Mill path".to_owned(), nearest_gate: None },
            Reason::UnderOverheadLine { kv: Some(11.0), clearance: m(3.0), crossing_deg: 40.0 },
            Reason::BesideOverheadLine { kv: None, over: m(200.0), nearest: m(12.0) },
            Reason::HighNearOverheadLine { kv: Some(11.0), within: m(15.0) },
        ];
        [dip, rise, foot].into_iter().chain(other.map(|reason| finding(Rule::Access, 12.0, None, reason))).collect()
    }

    fn pulled(deflection_deg: Option<f64>) -> Reason {
        Reason::PulledOver {
            corner: Some(1),
            deflection_deg,
            pull: Force::newtons(1900.0),
            at_height: m(0.45),
            capacity: Force::newtons(2100.0),
            safety_factor: 2.0,
            depth: m(0.6),
            post: "wood-150".to_owned(),
        }
    }

    /// A plan without names: features are called by their ids.
    fn unnamed() -> Plan {
        Plan::new(hillwire_core::plan::Head::default(), Vec::new())
    }

    #[test]
    fn every_finding_is_told_in_whole_sentences_in_both_systems() {
        for finding in one_of_each() {
            let metric = says(&finding, &unnamed(), Catalogue::built_in(), UnitSystem::Metric);
            let us = says(&finding, &unnamed(), Catalogue::built_in(), UnitSystem::Us);
            for says in [&metric, &us] {
                let starts = says.starts_with(|c: char| c.is_uppercase() || c.is_ascii_digit());
                assert!(starts && says.ends_with('.') && !says.contains("  ") && !says.contains(".."), "{says}");
            }
            assert!(!us.contains("\u{a0}m ") && !us.contains("kN") && !us.contains("\u{a0}kg"), "{us}");
        }
    }

    #[test]
    fn every_remedy_is_an_instruction() {
        let both_ends = hillwire_core::finding::NewSprings { rate_n_per_m: 5000.0, at_both_ends: true };
        let (force, wire, from) = (Force::newtons(3400.0), "ht-12.5ga".to_owned(), Some(11.0));
        let with_springs = Remedy::OtherWire { wire, springs: Some(both_ends), breaks_from_m_per_s: from, ends: true };
        let all = [
            Remedy::MoveOut { by: m(12.0) },
            Remedy::MarkWire { over: m(40.0), leaves: None },
            Remedy::MarkWire { over: m(40.0), leaves: Some(0.6) },
            Remedy::ThickerPost { post: "wood-200".to_owned(), depth: m(1.05), capacity: force },
            Remedy::DeeperPost { depth: m(0.9), capacity: force },
            Remedy::Brace { uplift: force, rail: force, wire: force, brace: m(2.4) },
            Remedy::LivingTree,
            Remedy::HoldDown { posts: vec![(m(4.0), 60.0), (m(12.0), 80.0)] },
            Remedy::Spring { spring_n_per_m: 5000.0, tension: force },
            Remedy::StrainersAt { stations: vec![m(40.0), m(120.0)] },
            Remedy::RaiseLowest { to: m(0.2) },
            Remedy::LowerLowest { to: m(0.12) },
            Remedy::Rake,
            Remedy::LevelArk,
            Remedy::ShelterAndWallow,
            Remedy::SwitchOff { strands: 2 },
            Remedy::Crib { ballast_kg: 640.0 },
            Remedy::NoCribHolds { slope_pct: 40.0 },
            Remedy::LowerTension { tension: force },
            Remedy::FinerGrid { cell: m(2.0) },
            Remedy::WalkIt,
            Remedy::CoverLine,
            Remedy::AskForUnit,
            Remedy::AskForZero,
            Remedy::DeclareVoid { height: 0.0 },
            Remedy::GateOnWay,
            Remedy::WarningSigns { every: m(90.0) },
            Remedy::CrossSquarely,
            Remedy::KeepWiresBelow { height: m(2.0) },
            Remedy::LowerOrBury { height: m(3.0) },
            Remedy::AskLineOperator,
            Remedy::AddPosts { stations: vec![m(128.0)], in_rock: 0 },
            Remedy::AddSprings { springs: both_ends, at: vec![m(128.0), m(160.0)], breaks_from_m_per_s: Some(7.5), ends: false },
            Remedy::OtherWire { wire: "ht-12.5ga".to_owned(), springs: None, breaks_from_m_per_s: None, ends: true },
            with_springs,
            Remedy::NoWireEndsIt,
            Remedy::SpareInsulators,
            Remedy::JoinStrands { strands: vec![0, 2], from: Some(DAY) },
            Remedy::MoveStrand { strand: 1, to: m(0.5), from: Some(DAY) },
            Remedy::AddStrand { at: m(0.5), from: Some(DAY) },
            Remedy::HangStrands { heights: vec![m(0.2), m(0.45)], from: Some(DAY) },
            Remedy::HangNet { height: m(1.2) },
            Remedy::SayPurpose,
            Remedy::SayClass,
            Remedy::OnlyTrained,
            Remedy::SecondFence,
            Remedy::CloseGap { width: m(80.0) },
            Remedy::Enclose,
            Remedy::PartGround,
            Remedy::OntoLine,
            Remedy::TakeDownNet,
            Remedy::PegNetDown,
            Remedy::MoveStock { before: Some(DAY) },
            Remedy::MoveStock { before: None },
            Remedy::CloseDip { under: m(1.4), is_rock: true },
            Remedy::CloseDip { under: m(1.4), is_rock: false },
            Remedy::FillHollow { over: m(3.0), volume_m3: 1.4 },
            Remedy::GoRound,
        ];
        for remedy in all {
            let does = does(&remedy, &unnamed(), Catalogue::built_in(), UnitSystem::Metric);
            assert!(does.starts_with(char::is_uppercase) && does.ends_with('.') && !does.contains("  "), "{does}");
        }
    }

    #[test]
    fn a_sentence_carries_the_numbers_of_its_finding() {
        let plain = |text: String| text.replace(['\u{202f}', '\u{a0}'], " ");
        let findings = one_of_each();
        let dip = plain(says(&findings[0], &unnamed(), Catalogue::built_in(), UnitSystem::Metric));
        assert_eq!(
            dip,
            "A growing pig may get under: over this dip the lowest strand stands 0.52 m above the ground, and at most 0.25 m is allowed."
        );
        let corner = plain(says(&findings[4], &unnamed(), Catalogue::built_in(), UnitSystem::Us));
        for part in ["74°", "427 lbf", "18 in", "472 lbf", "236 lbf"] {
            assert!(corner.contains(part), "{part} in {corner}");
        }
    }

    #[test]
    fn a_source_says_how_far_to_believe_it() {
        for (key, expected) in [
            ("common-practice", "Common practice; no published source"),
            ("side-slopes", "Source: J. Osborne, Penn State Center for Private Forests, 2024: Slopes"),
            ("ontario-fence", "Source: Ontario ministry of agriculture, undated, looked at in 2026: Electric fencing"),
            ("descent-hypothesis", "Chosen by this program, no published source: Fence strikes"),
        ] {
            let says = source(&SourceKey::new(key));
            assert!(says.starts_with(expected), "{says}");
        }
        for (key, end) in [("ibc-1806-2", "(second hand)"), ("broms-1964", "(quoted from memory)")] {
            let says = source(&SourceKey::new(key));
            assert!(says.ends_with(end), "{says}");
        }
    }

    #[test]
    fn labels_take_the_right_article() {
        for (label, expected) in [
            ("Wooden post, 150 mm", "A wooden post of 150 mm"),
            ("T-post", "A T-post"),
            ("Offset insulator", "An offset insulator"),
        ] {
            assert_eq!(with_article(label), expected);
        }
    }
}
