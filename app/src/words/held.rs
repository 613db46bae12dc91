//! What is said about fences that do not hold the stock behind them, or hold it with something to know.

use super::findings::ordinal_strand;
use super::stock::not_before;
use super::{count, day, days, gap, mass};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::finding::{Grade, NotHeld, Purpose, PurposeBasis, Reason, Remedy, WayOut};
use hillwire_core::plan::{FeatureId, Hanging, Plan, UnitSystem};
use hillwire_core::units::Length;

/// A purpose, in a word that stands in a choice.
pub fn purpose(purpose: Purpose) -> &'static str {
    match purpose {
        Purpose::Interior => "inside",
        Purpose::Boundary => "at the boundary",
        Purpose::Roadside => "beside a road",
    }
}

/// Why a purpose is taken for what it is; `None` where somebody said it.
pub fn guessed_because(basis: PurposeBasis) -> Option<&'static str> {
    Some(match basis {
        PurposeBasis::OfLine | PurposeBasis::OfPaddock => return None,
        PurposeBasis::PaddocksBeyond => "paddocks lie on both sides",
        PurposeBasis::NearWay => "a public way is within 30 m",
        PurposeBasis::NearBoundary => "the end of the holding is within 30 m",
        PurposeBasis::OwnLandBeyond => "the end of the holding is far",
        PurposeBasis::NothingDrawn => "no end of the holding is drawn",
    })
}

/// What a fence is worth, in a word or two.
pub fn grade(grade: Grade) -> &'static str {
    match grade {
        Grade::Holds => "holds",
        Grade::Note => "holds, with a note",
        Grade::LookAt => "look at",
        Grade::MustFix => "must fix",
    }
}

/// The way out first, then its numbers, whom it is about and what for.
pub(super) fn does_not_hold(why: &NotHeld, value: f64, limit: Option<f64>, catalogue: &Catalogue, units: UnitSystem) -> String {
    let begins = match why.from {
        Some(from) if why.days_left > 0 => {
            format!("From {} on, {} from now: ", day(from), days(f64::from(why.days_left)))
        }
        Some(from) => format!("From {} on: ", day(from)),
        None => String::new(),
    };
    let told = begins + &way_out(why, value, limit, units);
    let mut letters = told.chars();
    let first = letters.next().map(|first| first.to_uppercase().collect::<String>()).unwrap_or_default();
    format!("{first}{} {}{}", letters.as_str(), whom(why, catalogue, units), until_when(why))
}

fn way_out(why: &NotHeld, value: f64, limit: Option<f64>, units: UnitSystem) -> String {
    let (found, limit_m) = (Length::metres(value), Length::metres(limit.unwrap_or(value)));
    let (found, allowed) = super::stock::told_apart(found, limit_m, units);
    let is_sure = why.grade == Grade::MustFix;
    let may = if is_sure { "" } else { "may " };
    let s = if is_sure { "s" } else { "" };
    match (why.way, why.strand, why.grade) {
        _ if why.single => single(why, &found, &allowed),
        (WayOut::Under, _, Grade::Note) => {
            format!("the lowest strand hangs at {found}: published fences have it there, most have it lower.")
        }
        (WayOut::Under, _, _) if why.is_net => {
            format!("it {may}get{s} under: the foot of the net stands {found} off the ground, {allowed} is allowed.")
        }
        (WayOut::Under, _, _) => {
            format!(
                "it {may}go{} under the lowest strand, which hangs at {found} and may hang at {allowed} at most.",
                if is_sure { "es" } else { "" }
            )
        }
        (WayOut::Between, Some(upper), _) => format!(
            "it {may}slip{s} through below {}, where the gap is {found} and may be {allowed} at most.",
            ordinal_strand(upper)
        ),
        (WayOut::Between, None, _) => format!("it {may}slip{s} through a gap of {found}, which may be {allowed} at most."),
        (WayOut::Over, None, _) if !why.is_net => "there is no strand in its way.".to_owned(),
        (WayOut::Over, _, Grade::Note) => {
            let what = if why.is_net { "net" } else { "top strand" };
            format!("the {what} is {found} high: enough by some, and most recommend more.")
        }
        (WayOut::Over, _, _) => {
            let what = if why.is_net { "net, which is" } else { "top strand, which hangs at" };
            format!("it {may}get{s} over the {what} {found} and has to be at {allowed} at least.")
        }
        (WayOut::Number, _, Grade::MustFix) => {
            format!(
                "{} are too few whatever their heights: at least {} are asked.",
                strands(value),
                count(limit.unwrap_or(value))
            )
        }
        (WayOut::Number, ..) => format!("{} hold by some; {} are recommended.", strands(value), count(limit.unwrap_or(value))),
        (WayOut::Kind, ..) => kind(why).to_owned(),
    }
}

fn strands(number: f64) -> String {
    let number = count(number);
    if number == "1" { "one strand".to_owned() } else { format!("{number} strands") }
}

fn single(why: &NotHeld, found: &str, allowed: &str) -> String {
    match why.grade {
        Grade::LookAt | Grade::MustFix => {
            let side = if why.way == WayOut::Over { "comes down to" } else { "stands at" };
            format!("the single strand {side} {found}, and {allowed} is the end of where one strand holds.")
        }
        _ => "one strand holds only stock that has learnt electric fence in a safe pen, with feed and water inside, at full voltage. Not for \
              young, newly bought or frightened stock, not beside a road. It is a sign, not a barrier."
            .to_owned(),
    }
}

fn kind(why: &NotHeld) -> &'static str {
    match (why.is_net, why.grade, why.purpose.0) {
        (true, Grade::LookAt, _) => "nobody has published which netting holds them.",
        (true, ..) => "the net holds them while it stands and is live.",
        (_, Grade::Note, _) => {
            "at a boundary electric strands alone are not enough for everybody: a second fence outside is recommended, and law in some countries."
        }
        (_, Grade::MustFix, _) => "strands do not hold them at a boundary: netting does.",
        (_, _, Purpose::Interior) => "strands are known to hold them only with acres of room; netting is what is recommended.",
        _ => {
            "beside a road electric strands alone are not enough: a second fence outside is recommended, and law in some countries."
        }
    }
}

/// Who it is about, never without class, weight and purpose.
fn whom(why: &NotHeld, catalogue: &Catalogue, units: UnitSystem) -> String {
    let label = catalogue.animals.iter().find(|row| row.id == why.animal).map_or(why.animal.as_str(), |row| &row.label);
    let class = label.split(',').next().unwrap_or(label).to_lowercase();
    let group = why
        .group
        .as_ref()
        .map_or_else(|| "What the build is for".to_owned(), |group| format!("The stock \u{201c}{group}\u{201d}"));
    let (purpose_of, basis) = why.purpose;
    let guessed = match basis {
        PurposeBasis::NothingDrawn if purpose_of != Purpose::Interior => {
            ", if nothing of yours lies beyond; no end of the holding is drawn".to_owned()
        }
        basis => guessed_because(basis).map_or_else(String::new, |because| format!(", taken so because {because}")),
    };
    let lines = if why.lines > 1 { format!(" So on {} lines.", why.lines) } else { String::new() };
    format!(
        "{group}: {class}, {}, {} at the shoulder, {}{guessed}.{lines}",
        mass(why.weight_kg, units),
        gap(why.shoulder, units),
        purpose(purpose_of)
    )
}

fn until_when(why: &NotHeld) -> String {
    match why.holds {
        Some((from, to)) if why.grade >= Grade::LookAt && to > from => format!(" It holds from {} to {}.", day(from), day(to)),
        _ => String::new(),
    }
}

/// What is said about paddocks and things on lines; `None` for any other reason.
pub(super) fn about_lines(reason: &Reason, units: UnitSystem) -> Option<String> {
    Some(match reason {
        Reason::NotEnclosed { group, gap: Some((_, width)), .. } => format!(
            "The stock \u{201c}{group}\u{201d} gets out: the lines around this paddock do not close. Between their ends {} are open.",
            super::length(*width, units)
        ),
        Reason::NotEnclosed { group, no_fence: true, .. } => {
            format!("The stock \u{201c}{group}\u{201d} gets out: the plan has no fence.")
        }
        Reason::NotEnclosed { group, .. } => {
            format!("The stock \u{201c}{group}\u{201d} gets out: no closed line goes around this paddock.")
        }
        Reason::UnknownStock { group, class } => {
            let class = class.as_ref().map_or_else(String::new, |class| format!(", class \u{201c}{class}\u{201d}"));
            format!("Nobody can say what holds the stock \u{201c}{group}\u{201d}{class}: the catalogue does not know it.")
        }
        Reason::SameGround { other } => {
            format!("This paddock lies in the same ground as \u{201c}{other}\u{201d}: nothing parts their stock.")
        }
        Reason::OnNoLine { kind, off } => {
            let what = match kind.as_str() {
                "cutout" => "cut-out",
                other => other,
            };
            match off {
                Some(off) => format!("This {what} stands on no line: the nearest is {} away.", super::length(*off, units)),
                None => format!("This {what} stands on no line: the plan has none."),
            }
        }
        Reason::NetCare { lines } => {
            let lines = if *lines == 1 { "one line".to_owned() } else { format!("{lines} lines") };
            format!(
                "Netting stands on {lines}. Horned stock, lambs and hedgehogs tangle in it and die: look at it every day, keep it live while it \
                 stands, and put a post into every dip."
            )
        }
        _ => return None,
    })
}

/// How a notice ends that is true only until the removal is undone.
pub const UNDO_BRINGS_BACK: &str = "Undo brings all of it back in one step.";

/// What went with lines that were taken away, and what stays; `None` where nothing hung on them.
pub fn hanging(hanging: &Hanging, plan: &Plan) -> Option<String> {
    let counted = |ids: &[FeatureId]| -> String {
        let mut kinds: Vec<(&str, usize)> = Vec::new();
        for feature in ids.iter().filter_map(|id| plan.feature(id)) {
            let what = super::kind(&feature.kind);
            match kinds.iter_mut().find(|(other, _)| *other == what) {
                Some((_, number)) => *number += 1,
                None => kinds.push((what, 1)),
            }
        }
        let one = |(what, number): &(&str, usize)| format!("{} {}", count(*number as f64), what.to_lowercase());
        kinds.iter().map(one).collect::<Vec<_>>().join(", ")
    };
    let goes = (!hanging.goes.is_empty()).then(|| format!("What stood on it went with it: {}.", counted(&hanging.goes)));
    let stays =
        (!hanging.stays.is_empty()).then(|| format!("The log keeps what was written down there: {}.", counted(&hanging.stays)));
    let says: Vec<String> = goes.into_iter().chain(stays).collect();
    (!says.is_empty()).then(|| format!("{} {UNDO_BRINGS_BACK}", says.join(" ")))
}

/// What to do about it; `None` for any other remedy.
pub(super) fn remedy(remedy: &Remedy, units: UnitSystem) -> Option<String> {
    Some(match remedy {
        Remedy::JoinStrands { strands, from } => super::stock::join(strands, *from),
        Remedy::MoveStrand { strand, to, from } => {
            format!("Hang {} at {}{}.", ordinal_strand(*strand), gap(*to, units), not_before(*from))
        }
        Remedy::AddStrand { at, from } => format!("Add a strand at {}{}.", gap(*at, units), not_before(*from)),
        Remedy::HangStrands { heights, from } => {
            let heights: Vec<String> = heights.iter().map(|height| gap(*height, units)).collect();
            format!("Hang the strands at {}, as is recommended for such stock{}.", heights.join(", "), not_before(*from))
        }
        Remedy::HangNet { height } => format!("Put up netting of {} instead of strands.", gap(*height, units)),
        Remedy::SayPurpose => "Say on the line or the paddock whether it is inside, at the boundary or beside a road.".to_owned(),
        Remedy::OnlyTrained => "Keep only trained stock there, and read the voltage every day.".to_owned(),
        Remedy::SecondFence => "Put up a second, outer fence, and ask which law holds there.".to_owned(),
        Remedy::CloseGap { width } => format!("Close the gap of {} with a line.", super::length(*width, units)),
        Remedy::Enclose => "Draw a line around it that closes.".to_owned(),
        Remedy::PartGround => "Part the ground with a line, or take one of the two paddocks away.".to_owned(),
        Remedy::SayClass => "Choose a species and a class that the catalogue has, or add a row of your own.".to_owned(),
        Remedy::OntoLine => "Move it onto a line, or take it away.".to_owned(),
        Remedy::PegNetDown => "Set a stake there, and peg the foot of the netting down.".to_owned(),
        Remedy::TakeDownNet => "Move the netting with the stock, and take it down when it is empty.".to_owned(),
        Remedy::MoveStock { before: Some(before) } => format!("Move the stock before {}.", day(*before)),
        Remedy::MoveStock { before: None } => "Move the stock now.".to_owned(),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    pub(crate) fn why(way: WayOut, strand: Option<usize>, grade: Grade) -> NotHeld {
        NotHeld {
            group: Some("growers".to_owned()),
            animal: "grower".to_owned(),
            purpose: (Purpose::Interior, PurposeBasis::OfLine),
            way,
            strand,
            grade,
            from: None,
            days_left: 0,
            weight_kg: 38.4,
            shoulder: Length::metres(0.50),
            holds: None,
            single: false,
            is_net: false,
            lines: 1,
        }
    }

    #[test]
    fn the_sentence_says_the_way_out_first_then_its_numbers_and_whom_it_is_about() {
        let later = NotHeld {
            from: Some(date(2030, 5, 18)),
            days_left: 47,
            holds: Some((date(2030, 4, 1), date(2030, 5, 17))),
            ..why(WayOut::Over, Some(1), Grade::LookAt)
        };
        let doubtful =
            NotHeld { purpose: (Purpose::Boundary, PurposeBasis::NothingDrawn), ..why(WayOut::Number, None, Grade::LookAt) };
        let rows = [
            (
                later,
                "From 18 May 2030 on, 47 days from now: it may get over the top strand, which hangs at 0.25 m and has to be at 0.26 m at least. \
                 The stock \u{201c}growers\u{201d}: growing pig, 38 kg, 0.50 m at the shoulder, inside. It holds from 1 April 2030 to 17 May 2030.",
            ),
            (
                why(WayOut::Between, Some(1), Grade::MustFix),
                "It slips through below the second strand from below, where the gap is 0.25 m and may be 0.26 m at most. The stock \
                 \u{201c}growers\u{201d}: growing pig, 38 kg, 0.50 m at the shoulder, inside.",
            ),
            (
                doubtful,
                "2 strands hold by some; 3 are recommended. The stock \u{201c}growers\u{201d}: growing pig, 38 kg, 0.50 m at the shoulder, \
                 at the boundary, if nothing of yours lies beyond; no end of the holding is drawn.",
            ),
        ];
        for (why, expected) in rows {
            let (value, limit) = if why.way == WayOut::Number { (2.0, 3.0) } else { (0.25, 0.26) };
            let says = does_not_hold(&why, value, Some(limit), Catalogue::built_in(), UnitSystem::Metric);
            assert_eq!(says.replace(['\u{202f}', '\u{a0}'], " "), expected);
        }
    }

    #[test]
    fn one_strand_is_called_a_sign_and_no_barrier() {
        let why = NotHeld { single: true, ..why(WayOut::Under, Some(0), Grade::Note) };
        let says = does_not_hold(&why, 0.90, Some(1.10), Catalogue::built_in(), UnitSystem::Metric);
        assert!(says.contains("It is a sign, not a barrier."), "{says}");
    }
}
