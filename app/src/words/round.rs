//! What a round says: how a leg is gone, what is done at a stop, what is taken along.

use super::names::label;
use super::{day, feed, length, number_with, percent, voltage, water};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::land::Frame;
use hillwire_core::plan::{Plan, UnitSystem};
use hillwire_core::round::{
    By, Carried, Expected, Extent, Fierce, How, Leg, Likely, NoRound, Ration, Round, Stop, Task, Yard, YardBy,
};

/// Beside what is worked out about a round.
pub const ROUND_LIMITS: &str = "Minutes are for a careful rider and an ordinary walker, mending not counted. The way does not ask on which side of a \
    line you walk: cross a live line at a gate only.";

/// How the least reading comes about.
pub const LEAST_READING: &str = "Least: a sound fence reads lower in one round of twenty only. It allows 5 % for the meter, 3 % for the model, and growth \
    that leaks two thirds more than usual. Lower than that, something is wrong: read every 100 m back towards the energizer until it is right again.";

/// Minutes of a round or a leg: `38 min`, `1 h 5 min`.
pub fn minutes(minutes: f64) -> String {
    let whole = minutes.round().max(0.0);
    if whole < 1.0 {
        "under\u{a0}1\u{a0}min".to_owned()
    } else if whole < 60.0 {
        format!("{}\u{a0}min", number_with(whole, 0))
    } else {
        format!("{}\u{a0}h\u{a0}{}\u{a0}min", number_with((whole / 60.0).floor(), 0), number_with(whole % 60.0, 0))
    }
}

/// How somebody goes round, and how much of it.
pub fn asked(by: By, extent: Extent) -> &'static str {
    match (extent, by) {
        (Extent::Whole, By::Vehicle) => "the whole round, with the vehicle",
        (Extent::Whole, By::OnFoot) => "the whole round, on foot",
        (Extent::Short, By::Vehicle) => "the short round, with the vehicle",
        (Extent::Short, By::OnFoot) => "the short round, on foot",
    }
}

/// How a leg is gone, in a word or two.
pub fn how(how: How) -> &'static str {
    match how {
        How::Ride => "ride",
        How::RideAlong => "ride along",
        How::Walk => "walk",
        How::WalkAlong => "walk along",
    }
}

/// Where a leg leads: along which line, from where to where.
pub fn leg_where(leg: &Leg, plan: &Plan, units: UnitSystem) -> String {
    match (&leg.line, leg.from, leg.to) {
        (Some(line), Some(from), Some(to)) => format!("{}, {} to {}", label(line, plan), length(from, units), length(to, units)),
        _ if leg.on_track * 2.0 > leg.length => format!("the track{}", leaves_it(leg, plan)),
        _ => format!("open ground{}", in_the_way(leg, plan)),
    }
}

/// A leg in one line: `Walk along North line, 0.0 m to 120.0 m`.
pub fn leg(leg: &Leg, plan: &Plan, units: UnitSystem) -> String {
    let way = leg_where(leg, plan, units);
    match leg.how {
        How::Ride => format!("Ride along {way}"),
        How::RideAlong => format!("From the seat: {way}"),
        How::Walk if leg.on_track * 2.0 > leg.length => format!("Walk along {way}"),
        How::Walk => format!("Walk across {way}"),
        How::WalkAlong => format!("Walk along {way}"),
    }
}

/// That a leg along a track leaves it, and for what.
fn leaves_it(leg: &Leg, plan: &Plan) -> String {
    leg.open.as_ref().map_or_else(String::new, |_| format!(", in part across open ground{}", in_the_way(leg, plan)))
}

/// How steep the open ground of a leg is, and what it crosses.
fn in_the_way(leg: &Leg, plan: &Plan) -> String {
    let Some(open) = &leg.open else { return String::new() };
    let steep = open.steepest_pct.map_or_else(String::new, |pct| format!(", {} at the steepest", percent(pct)));
    let streams: Vec<String> = open.streams.iter().map(|id| label(id, plan)).collect();
    let over = if streams.is_empty() { String::new() } else { format!(", through {}", streams.join(" and ")) };
    format!("{steep}{over}")
}

/// A direction by compass and in degrees: `NE 48°`.
pub fn bearing(degrees: f64) -> String {
    const POINTS: [&str; 8] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];
    let point = ((degrees + 22.5).rem_euclid(360.0) / 45.0).floor();
    // Between 0 and 8 by what was divided.
    let point = POINTS.get(point as usize).unwrap_or(&"N");
    format!("{point}\u{a0}{}°", number_with(degrees.round() % 360.0, 0))
}

/// Where a stop is.
pub fn stop_at(stop: &Stop, plan: &Plan, units: UnitSystem) -> String {
    format!("{}, at {}", label(&stop.line, plan), length(stop.station, units))
}

/// What is done at a stop, as people say it.
pub fn task(task: &Task, plan: &Plan, units: UnitSystem) -> String {
    match task {
        Task::Read => "read".to_owned(),
        Task::Gate(gate) => format!("gate {}", label(gate, plan)),
        Task::Switch(switch) => format!("switch {}", label(switch, plan)),
        Task::WaterGap => "water gap".to_owned(),
        Task::Strikes => "where animals run into it".to_owned(),
        Task::Feed(ration) => self::ration(ration, units),
    }
}

/// The same, short enough for a row: what a group is brought stands elsewhere.
pub fn tasks_in_short(stop: &Stop, plan: &Plan, units: UnitSystem) -> String {
    let short = |one: &Task| match one {
        Task::Feed(ration) if ration.feed_kg.is_none() && ration.water_l.is_some() => format!("water for {}", ration.group),
        Task::Feed(ration) => format!("feed {}", ration.group),
        other => task(other, plan, units),
    };
    stop.tasks.iter().map(short).collect::<Vec<_>>().join("; ")
}

/// What is done at a stop, all of it.
pub fn tasks(stop: &Stop, plan: &Plan, units: UnitSystem) -> String {
    stop.tasks.iter().map(|one| task(one, plan, units)).collect::<Vec<_>>().join("; ")
}

/// The word for a task that other programs read.
pub fn task_word(task: &Task) -> &'static str {
    match task {
        Task::Read => "read",
        Task::Gate(_) => "gate",
        Task::Switch(_) => "switch",
        Task::WaterGap => "water_gap",
        Task::Strikes => "strikes",
        Task::Feed(_) => "feed",
    }
}

/// What a group is brought: `12 growers: 19 kg of feed, 38 to 57 l of water`.
pub fn ration(ration: &Ration, units: UnitSystem) -> String {
    let mut parts = Vec::new();
    parts.extend(ration.feed_kg.map(|kg| format!("{} of feed", feed(kg, units))));
    parts.extend(ration.water_l.map(|litres| format!("{} of water", water(litres, units))));
    if parts.is_empty() {
        parts.push("feed and water".to_owned());
    }
    format!("{} {}: {}", ration.head, ration.group, parts.join(", "))
}

/// Stock that may attack on the way: `In West wood: boar.`
pub fn fierce(fierce: &Fierce, plan: &Plan, catalogue: &Catalogue) -> String {
    let row = catalogue.animals.iter().find(|row| row.id == fierce.animal);
    let what = row.map_or_else(|| fierce.group.clone(), |row| row.label.to_lowercase());
    format!("In {} may attack: {what}.", label(&fierce.paddock, plan))
}

/// What a meter should read and the least of it: `5.4 kV, least 4.9 kV`.
pub fn expected(expected: Expected) -> String {
    format!("{}, least {}", voltage(expected.volt), voltage(expected.least_v))
}

/// Where a round begins and ends.
pub fn yard(yard: &Yard, plan: &Plan) -> String {
    match &yard.by {
        YardBy::Building(id) => format!("From {} with mains, and back.", with_article(&label(id, plan), "building")),
        YardBy::Energizer(id) => {
            format!("From the energizer {}, and back: no building with mains is drawn.", label(id, plan))
        }
        YardBy::Track(id) => {
            format!("From where the track {} begins, and back: no building and no energizer is drawn.", label(id, plan))
        }
        YardBy::Line(id) => format!("From where {} begins, and back: no building, energizer or track is drawn.", label(id, plan)),
    }
}

fn with_article(name: &str, what: &str) -> String {
    if name.to_lowercase().contains(what) { name.to_owned() } else { format!("the {what} {name}") }
}

/// The round in a sentence: `2 413 m in 52 min, 1 120 m of it ridden; 21 stops take 26 min of that.`
pub fn round_in_short(round: &Round, units: UnitSystem) -> String {
    let ridden = round.ridden();
    let ridden = if ridden.as_metres() > 0.5 { format!(", {} of it ridden", length(ridden, units)) } else { String::new() };
    let stops = match round.stops.len() {
        0 => "no stop".to_owned(),
        1 => format!("one stop takes {} of that", minutes(round.stops_minutes())),
        some => format!("{some} stops take {} of that", minutes(round.stops_minutes())),
    };
    let on_foot = round.asked.by == By::Vehicle && ridden.is_empty();
    let on_foot = if on_foot { " Nothing is gained by taking the vehicle." } else { "" };
    format!("{} in {}{ridden}; {stops}.{on_foot}", length(round.length(), units), minutes(round.minutes()))
}

/// One thing that is taken along: `Wire joiners × 4`; with its kinds where there are several.
pub fn carried(one: &Carried, catalogue: &Catalogue) -> String {
    let label = catalogue.kit(&one.kit).map_or(one.kit.as_str(), |row| row.label.as_str());
    let kinds: Vec<&str> = one.of.iter().map(|id| catalogue.label(id).unwrap_or(id)).collect();
    let kinds = if kinds.is_empty() { String::new() } else { format!(": {}", kinds.join(", ")) };
    let count = if one.count == 1 { String::new() } else { format!(" × {}", one.count) };
    format!("{label}{count}{kinds}")
}

/// A fault that may have come, and how often: `Growth touching a strand`, `one round in 6`.
pub fn likely(one: &Likely, catalogue: &Catalogue) -> (String, String) {
    let label = catalogue.fault(&one.fault).map_or(one.fault.as_str(), |row| row.label.as_str());
    let often = if one.expected >= 0.95 {
        format!("{} on every round", number_with(one.expected, 1))
    } else {
        format!("one round in {}", number_with((1.0 / one.expected).round().max(2.0), 0))
    };
    (label.to_owned(), often)
}

/// Why there is no round.
pub fn no_round(why: NoRound) -> String {
    let says = match why {
        NoRound::TooMany { pieces, most } => {
            return format!("The lines make {pieces} pieces between joints: more than {most} are no round of one day.");
        }
        NoRound::TooManyMeets { most } => {
            return format!("The tracks meet at more than {most} places: leave out those that nobody rides.");
        }
        NoRound::NoLine => "Nothing to go round yet: draw a fence, and the way round it stands here.",
        NoRound::NothingShort => {
            "A short round goes to water gaps, to where animals run into the line, to far ends, and to what lies far from every track: \
             nothing of that is known here."
        }
        NoRound::OutOfReach => {
            "A part of the lines lies where nobody gets to on foot: behind a stream without a crossing, or on ground kept out of."
        }
    };
    says.to_owned()
}

/// For which day and ground.
pub fn round_for(round: &Round) -> String {
    let state = super::ground_state(round.asked.state);
    match round.asked.on {
        Some(on) => format!("For {}, {state} ground.", day(on)),
        None => format!("For {state} ground."),
    }
}

/// The name of a stop on a receiver: its number, what to do, and the expectation where something is read.
pub fn stop_on_receiver(number: usize, stop: &Stop, plan: &Plan, units: UnitSystem) -> String {
    let read = stop.expected.map(|found| format!(" {}", expected(found))).unwrap_or_default();
    let what: Vec<String> = stop.tasks.iter().filter(|one| **one != Task::Read).map(|one| task(one, plan, units)).collect();
    let what = if what.is_empty() { String::new() } else { format!(" {}", what.join("; ")) };
    format!("{number:02}{read}{what}").replace('\u{a0}', " ")
}

/// A round's way and stops as GPX.
pub fn round_on_receiver(round: &Round, plan: &Plan, frame: Frame, units: UnitSystem) -> Vec<u8> {
    let title = format!("{}: {}", plan.head.name, asked(round.asked.by, round.asked.extent));
    let stops = round.stops.iter().enumerate().map(|(index, stop)| hillwire_core::share::NamedStop {
        at: frame.to_position(stop.at),
        name: stop_on_receiver(index + 1, stop, plan, units),
        says: format!("{}: {}", stop_at(stop, plan, units), tasks(stop, plan, units)).replace('\u{a0}', " "),
    });
    let way = round.legs.iter().map(|leg| leg.path.iter().map(|at| frame.to_position(*at)).collect()).collect::<Vec<_>>();
    hillwire_core::share::round_gpx(&title, &stops.collect::<Vec<_>>(), &way)
}
