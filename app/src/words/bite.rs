//! Findings about the pulse as sentences.

use super::cautions::{self, Place};
use super::names::label;
use super::power::{energy, pulse_time, resistance, voltage};
use super::{current, item, length, money_short, number_with, set_length, share};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::finding::{Bite, BiteChange, BiteRemedy, Brings, Unfed};
use hillwire_core::mend::WhatHelps;
use hillwire_core::plan::{FeatureId, Plan, UnitSystem};
use hillwire_core::power::{Located, STRETCH, Sort, Suspect, Wiring};

/// What was found and why it matters.
pub fn says(bite: &Bite, value: f64, plan: &Plan, catalogue: &Catalogue, units: UnitSystem) -> String {
    match bite {
        Bite::TooLittle { .. } | Bite::ThinMargin { .. } => bitten(bite, catalogue),
        Bite::NotFed(why) => not_fed(why, plan, units),
        Bite::WeakEarth { state, ohm, rods, share: taken } => format!(
            "{} the earth at {} in {state} ground: {} of the pulse stays there when an animal of 500\u{a0}Ω touches a strand.",
            if *rods == 1 { "One rod holds".to_owned() } else { format!("{rods} rods hold") },
            resistance(*ohm),
            share(*taken),
        ),
        Bite::NoEarth => {
            "No earth rods are drawn near the energizer. The pulse comes back through them: without them nothing bites. \
            Three rods of 1.8\u{a0}m are assumed."
                .to_owned()
        }
        Bite::ThinLeadOut { start_v, end_v } => format!(
            "Over 500\u{a0}Ω the pulse falls from {} to {} along the lead-out, in wet ground.",
            voltage(*start_v),
            voltage(*end_v)
        ),
        Bite::OverLimit { .. } | Bite::TooLong { .. } | Bite::HighPeak { .. } => over_limit(bite),
        Bite::Contradiction { times } => format!(
            "The figures given contradict each other: {} of what the unit stores would have to come out. Voltages here are too high.",
            share(*times)
        ),
        Bite::LargerThanNeeded { model, times } => format!(
            "A smaller class ({}) would do: with three times the usual growth in wet ground every animal would still get {} times what it minds.",
            item(model, catalogue),
            number_with(*times, 1),
        ),
        Bite::TwoEnergizers { other } => {
            format!(
                "Another energizer, “{}”, is on the same wires. Two pulses can add up to one that kills. Never connect two energizers to one fence.",
                label(other, plan)
            )
        }
        Bite::FencesTooNear { other } => format!(
            "This fence and “{}” have an energizer each and come within {} of each other: whoever touches both gets both pulses.",
            label(other, plan),
            length(hillwire_core::units::Length::metres(value), units),
        ),
        Bite::EarthTooNear { building } => format!(
            "The rods stand {} from “{}”, which has mains. The pulse can get into its earth, and from there into taps and appliances.",
            length(hillwire_core::units::Length::metres(value), units),
            label(building, plan),
        ),
    }
}

/// What animals get where they get least.
fn bitten(bite: &Bite, catalogue: &Catalogue) -> String {
    match bite {
        Bite::TooLittle { animal, state, own, open_v, felt_v, least_v } => {
            let own = own.map(|(own, felt_v)| format!(" In {own} ground, as the plan has it, it gets {}.", voltage(felt_v)));
            format!(
                "In {state} ground a meter reads {} here and {} gets {}; it minds {} and more.{}",
                voltage(*open_v),
                animal_named(animal, catalogue),
                voltage(*felt_v),
                voltage(*least_v),
                own.unwrap_or_default(),
            )
        }
        Bite::ThinMargin { animal, state, open_v, felt_v, asked_v } => format!(
            "Enough, by a thin margin: in {state} ground a meter reads {} here and {} gets {}; {} is asked for. Growth and joints can take that.",
            voltage(*open_v),
            animal_named(animal, catalogue),
            voltage(*felt_v),
            voltage(*asked_v),
        ),
        _ => String::new(),
    }
}

/// How an impulse is beyond the standard, or beyond what is usual.
fn over_limit(bite: &Bite) -> String {
    match bite {
        Bite::OverLimit { energy_j, most_energy_j, duration_s, current_a, most_current_a } => format!(
            "By the figures given an impulse carries {} into 500\u{a0}Ω, where the standard allows {}; or it may carry more if its current stays below \
            {} for the {} that it lasts, but it drives {}. It is beyond both.",
            energy(*energy_j),
            energy(*most_energy_j),
            current(*most_current_a),
            pulse_time(*duration_s),
            current(*current_a),
        ),
        Bite::TooLong { duration_s, longest_s } => format!(
            "By the figures given an impulse lasts {}; the standard allows {}.",
            pulse_time(*duration_s),
            pulse_time(*longest_s)
        ),
        Bite::HighPeak { open_v, usual_v } => format!(
            "By the figures given the pulse peaks at {} with nothing connected. Energizers for farms stay below {}: insulators and cables are \
            made for that.",
            voltage(*open_v),
            voltage(*usual_v)
        ),
        _ => String::new(),
    }
}

fn not_fed(why: &Unfed, plan: &Plan, units: UnitSystem) -> String {
    match why {
        Unfed::NoEnergizer => "The plan has no energizer yet, so nothing is said about voltages.".to_owned(),
        Unfed::UnknownEnergizer(id) => {
            let unit = label(id, plan);
            format!(
                "Nothing is known of the energizer “{unit}”, or its figures contradict each other: no pulse can be worked out."
            )
        }
        Unfed::FarFromLines(id) => format!("The energizer “{}” stands on no line, so it drives nothing.", label(id, plan)),
        Unfed::NoLiveStrand => "No strand of this line's build is live.".to_owned(),
        Unfed::OpenAt { gate } => format!(
            "The pulse does not cross the gate “{}”: both sides are fed, but each from one side only. One break and all beyond it is without.",
            label(gate, plan)
        ),
        Unfed::CutOff { over } => format!(
            "No pulse gets to {} of this line: nothing joins it to the energizer, a cut-out is open, or a strand is broken.",
            if over.as_metres() < 0.05 { "the end".to_owned() } else { length(*over, units) }
        ),
    }
}

/// What to do, with what it brings.
pub fn does(remedy: &BiteRemedy, plan: &Plan, catalogue: &Catalogue, units: UnitSystem) -> String {
    match remedy {
        BiteRemedy::Change(made, brings) => {
            let made = change(made, plan, catalogue);
            let enough = |brings: &Brings| if brings.times.is_some_and(|times| times >= 1.0) { ": enough" } else { "" };
            brings.map_or_else(|| format!("{made}."), |brings| format!("{made}: {}{}.", brought(&brings), enough(&brings)))
        }
        BiteRemedy::ReadAndClear => {
            "Read it with a voltmeter after rain, and keep growth and branches off the strands.".to_owned()
        }
        BiteRemedy::LeadTo => "Draw the lead-out up to it, join the line to one that is fed, or close the cut-out.".to_owned(),
        BiteRemedy::PlaceEnergizer => "Place the energizer at the building with mains, and draw the lead-out from it.".to_owned(),
        BiteRemedy::SayFigures => "Choose its class, or type in what is printed on the unit.".to_owned(),
        BiteRemedy::PlaceEarth => "Draw the earth rods: moist ground, 10\u{a0}m or more from any other earth.".to_owned(),
        BiteRemedy::DampPlace => {
            "Set the rods in the dampest ground within reach, or pack bentonite clay round them and keep it moist.".to_owned()
        }
        BiteRemedy::NothingReaches => NOTHING_REACHES.to_owned(),
        BiteRemedy::OneEnergizer => "Take one of them away, or part the wires for good.".to_owned(),
        BiteRemedy::KeepApart(by) => {
            format!("Keep {} at least between them; local rules may ask for more.", set_length(*by, units))
        }
        BiteRemedy::UnitWithinStandard => {
            "Use a unit made to the standard for electric fences (IEC 60335-2-76), or check what you typed against the unit."
                .to_owned()
        }
    }
}

/// Said where no change that was tried is enough.
pub const NOTHING_REACHES: &str =
    "Nothing on this list reaches what the stock minds: a shorter fence, a unit of its own or another kind of fence would.";

/// A change of the plan in a few words.
pub fn change(change: &BiteChange, plan: &Plan, catalogue: &Catalogue) -> String {
    match change {
        BiteChange::Rods { count, length: None, .. } => format!("{count} earth rods in all"),
        BiteChange::Rods { count, length: Some(long), .. } => {
            format!("{count} earth rods of {}", length(*long, plan.head.units))
        }
        BiteChange::EarthReturn => {
            "Earth-return strands along every fence, a wire more in the lead-out, and a rod at least every 200\u{a0}m".to_owned()
        }
        BiteChange::UnitNearer { .. } => {
            "The energizer and its rods at the fence, without the lead-out (it needs mains or a battery there)".to_owned()
        }
        BiteChange::Together(all) => {
            let all: Vec<String> = all.iter().map(|change| self::change(change, plan, catalogue)).collect();
            let rest: Vec<String> = all.iter().skip(1).map(|one| lower(one)).collect();
            format!("Together: {}, {}", all.first().map_or("", String::as_str), rest.join(", "))
        }
        BiteChange::LeadOutWire { wire, .. } => format!("A lead-out of {}", lower(item(wire, catalogue))),
        BiteChange::Conductors { count, .. } => format!("{count} wires side by side in the lead-out"),
        BiteChange::Model { model, .. } => item(model, catalogue).to_owned(),
        BiteChange::StrandWire { build, wire } => format!("{} in all live strands of {build}", item(wire, catalogue)),
        BiteChange::Growth { vegetation } => format!("Growth kept down to {vegetation}"),
        BiteChange::FaultsMended => "Every fault mended".to_owned(),
        BiteChange::Crossing { gate } => format!("A cable under the gate “{}”", label(gate, plan)),
        BiteChange::Closed { cutout } => format!("The cut-out “{}” closed", label(cutout, plan)),
    }
}

/// What a change costs: `£41`, `your time`, `no price`.
pub fn costs(help: &WhatHelps, currency: &str) -> String {
    match help.change {
        BiteChange::Growth { .. } | BiteChange::FaultsMended | BiteChange::Closed { .. } => "your time".to_owned(),
        // What brings mains or a battery to the field is no part of the order.
        _ if help.change.is_outside() => "no price".to_owned(),
        _ if help.is_priced() => money_short(help.price, currency),
        _ => "no price".to_owned(),
    }
}

/// What a change brings to the far end.
pub fn brought(brings: &Brings) -> String {
    format!(
        "a meter then reads {} at the far end, and over 500\u{a0}Ω {} remain, in {} ground",
        voltage(brings.open_v),
        voltage(brings.loaded_v),
        brings.state,
    )
}

/// What sort of fault, for other programs.
pub fn sort_word(sort: Sort) -> &'static str {
    match sort {
        Sort::Contact => "contact",
        Sort::Along => "along",
    }
}

/// What the readings tell, the most important first.
pub fn located(located: &Located, wiring: &Wiring, name: impl Fn(&FeatureId) -> String, units: UnitSystem) -> Vec<String> {
    let mut said = Vec::new();
    let first = located.suspects.first().map_or(0.0, |first| first.probability);
    if located.nothing > first {
        said.push(format!(
            "These readings accuse nobody: that nothing is wrong but growth, or nothing that they could show, is the most probable, {}.",
            share(located.nothing)
        ));
    } else if first < SURE {
        said.push(
            "These readings cannot tell where it is; what follows is the best guess. A current meter at each junction would."
                .to_owned(),
        );
    }
    for suspect in &located.suspects {
        said.push(suspected(suspect, &name(&suspect.line), units));
    }
    if (located.leak_times - 1.0).abs() > 0.25 {
        said.push(format!(
            "All strands seem to leak {} times what is usual for such growth.",
            number_with(located.leak_times, 1)
        ));
    }
    let is_open = |first: &Suspect| first.probability < 0.97 || !is_told_apart(first) || first.stretch() > STRETCH;
    let wants_more = located.suspects.len() > 1 || located.suspects.first().is_none_or(is_open);
    if let Some(next) = located.next.and_then(|next| wiring.stations.get(next)).filter(|_| wants_more) {
        said.push(format!(
            "Read next at {}, {} along: there the possible faults differ most.",
            name(&next.line),
            length(next.station, units)
        ));
    }
    said.extend(cautions::at(Place::Locate).map(str::to_owned));
    said
}

/// From this probability on a suspect is named as such.
const SURE: f64 = 0.6;
/// A kind of fault is named alone from this share on.
const ONE_KIND: f64 = 0.9;
/// A kind of less than this share is not named.
const NAMED_KIND: f64 = 0.03;
/// A joint of more than this can hardly be told from a break, ohm.
const AS_GOOD_AS_BROKEN_OHM: f64 = 2e4;
/// No reading makes it surer than this.
const SUREST: f64 = 0.99;

fn is_told_apart(suspect: &Suspect) -> bool {
    suspect.kinds.most() >= ONE_KIND
}

/// What sort of fault it may be, for people.
fn kind(suspect: &Suspect) -> String {
    let kinds = suspect.kinds;
    if is_told_apart(suspect) {
        return if kinds.ground >= ONE_KIND {
            format!("something leads to the ground, about {}", resistance(suspect.ohm))
        } else if kinds.joint >= ONE_KIND && suspect.ohm > AS_GOOD_AS_BROKEN_OHM {
            "the strands are broken, or a joint is as good as broken".to_owned()
        } else if kinds.joint >= ONE_KIND {
            format!("a bad joint, about {}", resistance(suspect.ohm))
        } else {
            "the strands are broken".to_owned()
        };
    }
    let mut all =
        [(kinds.broken, "broken strands"), (kinds.joint, "a bad joint"), (kinds.ground, "something that leads to the ground")];
    all.sort_by(|one, other| other.0.total_cmp(&one.0));
    let named: Vec<&str> = all.iter().filter(|(share, _)| *share >= NAMED_KIND).map(|(_, name)| *name).collect();
    format!("{}; these readings do not tell them apart", named.join(" or "))
}

/// One suspect.
pub fn suspected(suspect: &Suspect, line: &str, units: UnitSystem) -> String {
    let (share, from, to) = (share(suspect.probability.min(SUREST)), length(suspect.from, units), length(suspect.to, units));
    let what = kind(suspect);
    // A stretch is no place: no metre of it is named.
    if suspect.stretch() > STRETCH {
        return format!("{share}: {line}, somewhere from {from} to {to} along: {what}.");
    }
    format!("{share}: {line}, {from} to {to} along, most likely near {}: {what}.", length(suspect.likeliest, units))
}

fn animal_named(id: &str, catalogue: &Catalogue) -> String {
    catalogue
        .animals
        .iter()
        .find(|row| row.id == id)
        .map_or_else(|| id.to_owned(), |row| format!("a {}", row.class.replace('_', " ")))
}

fn lower(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_lowercase().chain(letters).collect()).unwrap_or_default()
}
