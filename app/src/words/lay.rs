//! What is said about the lay of the land: water, running animals, wet and thin ground.

use super::{area, gap, length, number_with, percent, set_length, share, speed};
use hillwire_core::finding::{Lay, LayRemedy, Receiver};
use hillwire_core::plan::UnitSystem;
use hillwire_core::site::{ENOUGH_SEEN, Scale};
use hillwire_core::units::{Area, Length};

/// What the runner model does not know; it stands with everything that it says.
pub const RUNNER_LIMITS: &str = "A model of this program, never held against strikes that were seen: neither the comparison of places nor the \
                                 count has been measured. It takes it that animals start in the wood and run straight down. Trails, food, water, dogs, hunting, roads and snow are not in it, and runners go down only.";

/// Why water and running animals are not shown.
pub const NEEDS_FINE_GRID: &str =
    "This needs an elevation grid with cells of 20 m or less: larger ones tell nothing about water and running animals.";

/// What was found and why it matters.
pub(super) fn says(why: &Lay, value: f64, units: UnitSystem) -> String {
    match why {
        Lay::WaterCrosses { .. } => water_crosses(why, units),
        Lay::ProbablyWet { over } => format!(
            "By the lay of the land the ground is probably wet here over {}: much ground drains to it and it hardly falls. Posts lean and \
             vehicles bog in such ground.",
            length(*over, units)
        ),
        Lay::Wet { over } => format!(
            "The line runs through wet ground for {}: posts lean, vehicles bog, and growth leaks more than elsewhere.",
            length(*over, units)
        ),
        Lay::Floods { over } => format!(
            "Over {} the line stands as little as {} above the channel beside it. A flood reaches it, and what floats hangs in the strands.",
            length(*over, units),
            gap(Length::metres(value), units)
        ),
        Lay::NearStream { stream, slope_pct } => format!(
            "Pigs come within {} of {} here, on ground that falls at {}: what they root up and leave behind runs into the water.",
            set_length(Length::metres(value), units),
            stream.as_deref().unwrap_or("a channel that the elevation grid shows"),
            percent(*slope_pct)
        ),
        Lay::WashesOff { run, into } => format!(
            "The ground falls at {} on average, and water runs down it for {}. Where pigs have rooted, the soil washes off; it goes {}.",
            percent(value),
            length(*run, units),
            receiver(into, units)
        ),
        Lay::ThinSoil { depth, over } => format!(
            "Rock lies {} under the ground, over {} of the line: no driven post holds there.",
            if *depth > Length::ZERO { format!("only {}", gap(*depth, units)) } else { "bare or just".to_owned() },
            length(*over, units)
        ),
        Lay::ProbablyThinSoil { slope_pct, over } => format!(
            "The ground is steep ({}) and rounded over {}: soil hardly stays on such a brow, and rock is probably near.",
            percent(*slope_pct),
            length(*over, units)
        ),
        Lay::RunTogether { .. } => run_together(why, value, units),
    }
}

fn water_crosses(why: &Lay, units: UnitSystem) -> String {
    let Lay::WaterCrosses { upslope, stream, peak_l_per_s, storm_mm_per_h, by_width, from_beyond } = why else {
        return String::new();
    };
    let what = match stream {
        Some(name) => format!("{name} crosses the line here"),
        None => "Water gathers and crosses the line here".to_owned(),
    };
    const CATCH: &str = "Strands across it catch what floats, and a wet gap drains the whole fence.";
    if let Some((width, peak)) = by_width.zip(*peak_l_per_s) {
        let (wide, flow) = (set_length(width, units), flow(peak, units));
        return format!("{what}: it is drawn {wide} wide, and in spate such a stream brings about {flow}. {CATCH}");
    }
    let more = if *from_beyond { " Their upper end is not on the grid: more may come." } else { "" };
    match upslope.zip(*peak_l_per_s) {
        Some((ground, peak)) => format!(
            "{what}: {} drain to it, and a hard storm ({}) brings about {}.{more} {CATCH}{}",
            area(ground, units),
            rain(*storm_mm_per_h, units),
            flow(peak, units),
            if stream.is_none() { " No pipe or ditch that is not drawn is reckoned with." } else { "" }
        ),
        None => format!("{what}. {CATCH}"),
    }
}

fn run_together(why: &Lay, value: f64, units: UnitSystem) -> String {
    let Lay::RunTogether { window, strikes, speed_m_per_s, slope_pct, everywhere, breaks } = why else { return String::new() };
    let times = |value: f64| format!("{value:.1} times");
    let starts = if *everywhere { "hectare (no wood is drawn, so they start everywhere alike)" } else { "hectare of wood" };
    format!(
        "Animals that run down the hillside come together here: {} of the line get {} as many strikes as the rest on average, some {strikes:.1} a \
         year if one flight a year starts on each {starts}. They would arrive at about {} down {}{}. It is \
         assumed that they run where the ground falls steepest; neither the comparison nor the count has been measured.",
        set_length(*window, units),
        times(value),
        speed(*speed_m_per_s, units),
        percent(*slope_pct),
        if *breaks { ", at which a strand would break" } else { "" }
    )
}

fn receiver(into: &Receiver, units: UnitSystem) -> String {
    let away = |away: Length| if away > Length::ZERO { format!(", {} below", length(away, units)) } else { String::new() };
    match into {
        Receiver::Stream { name, away: below } => format!("into {name}{}", away(*below)),
        Receiver::Channel { away: below } => format!("into a channel that the elevation grid shows{}", away(*below)),
        Receiver::OffTheGrid => "off the known ground".to_owned(),
    }
}

fn with_unit(value: f64, decimals: usize, unit: &str) -> String {
    format!("{}\u{a0}{unit}", number_with(value, decimals))
}

/// Strikes in a year: with what they may be, as long as few were seen; a comparison only, while none was.
pub fn strikes_a_year(strikes: f64, scale: Scale) -> String {
    if scale.seen == 0 {
        return format!("{strikes:.1} a year if one flight a year starts on each hectare");
    }
    let (low, high) = scale.between;
    let range = format!(", {:.1} to {:.1}", strikes * low / scale.mean, strikes * high / scale.mean);
    format!("{strikes:.1} a year by your log{}", if scale.seen < ENOUGH_SEEN { range } else { String::new() })
}

/// What the log has of strikes.
pub fn strikes_seen(scale: Scale) -> String {
    match scale.seen {
        0 => "none: log them as faults called “strike”".to_owned(),
        1 => format!("1, where the model expected {:.1}", scale.expected),
        seen => format!("{seen}, where the model expected {:.1}", scale.expected),
    }
}

/// Rain of an hour.
pub fn rain(mm_per_h: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => with_unit(mm_per_h, 0, "mm an hour"),
        UnitSystem::Us => with_unit(mm_per_h / 25.4, 1, "inches an hour"),
    }
}

/// Water in a second.
fn flow(litres_per_s: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => with_unit(litres_per_s, 0, "litres a second"),
        UnitSystem::Us => with_unit(litres_per_s / 3.785_411_784, 0, "gallons a second"),
    }
}

/// The opening that water needs, from a tenth of a square metre or foot on.
fn opening(area: Area, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => with_unit(area.as_square_metres().max(0.1), 1, "m²"),
        UnitSystem::Us => with_unit((area.as_square_metres() / 0.092_903_04).max(1.0), 0, "ft²"),
    }
}

/// Making strands visible to running animals.
pub(super) fn mark_wire(over: Length, leaves: Option<f64>, units: UnitSystem) -> String {
    let left = leaves.map_or(String::new(), |leaves| {
        format!(" Seen from farther away, some {} of the strikes would be left, by the model.", share(leaves))
    });
    format!("Hang flags or white tape on the strands over {}, so that running animals see them.{left}", length(over, units))
}

/// What can be done, as an instruction.
pub(super) fn does(remedy: &LayRemedy, units: UnitSystem) -> String {
    match remedy {
        LayRemedy::Curtain { opening: needed } => {
            let room = needed.map_or(String::new(), |needed| format!(", with {} of room for the water", opening(needed, units)));
            format!(
                "Let the live strands pass above the flood and hang a curtain of single wires down to the water{room}. Feed the curtain through a \
                 switch of its own, so that a flooded gap does not drain the fence. Single wires shed what floats; swinging panels collect it."
            )
        }
        LayRemedy::BreakAway => {
            "Let the strands over the water break away at one end and keep a spare piece at hand: it is sooner mended than a fence that was \
             pulled down with its posts. Stay out of the water while it runs high."
                .to_owned()
        }
        LayRemedy::CrossElsewhere => "Cross where the banks are high and firm, squarely, or above where the water gathers.".to_owned(),
        LayRemedy::DrawWet => "Go and see after rain. Where it is wet, draw a zone of wet ground; the guess is then no longer made.".to_owned(),
        LayRemedy::ProbeRock => "Probe with a bar. Where rock is near, draw a zone of rock with its depth; the guess is then no longer made.".to_owned(),
        LayRemedy::PostsForRock => "Plan pins grouted into rock, or cribs filled with stone, or move the line to deeper soil.".to_owned(),
        LayRemedy::MoveUp { by } => format!("Move the line up the bank by {} of height.", gap(*by, units)),
        LayRemedy::KeepAway { by } => {
            format!("Keep the pigs {} from the water, with a strip of grass or wood between.", set_length(*by, units))
        }
        LayRemedy::AskWaterRules => "Ask what the local rules for water and livestock say: they outrank this number.".to_owned(),
        LayRemedy::RestAndStrip => {
            "Move the pigs on before the ground is bare, let it grow again, and leave a strip of grass or wood across the bottom.".to_owned()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn m(metres: f64) -> Length {
        Length::metres(metres)
    }

    #[test]
    fn everything_about_the_lay_of_the_land_is_told_in_whole_sentences_in_both_systems() {
        let crosses = |upslope: Option<f64>, stream: Option<&str>| Lay::WaterCrosses {
            upslope: upslope.map(Area::hectares),
            stream: stream.map(str::to_owned),
            peak_l_per_s: upslope.map(|area| 58.3 * area),
            storm_mm_per_h: 60.0,
            by_width: upslope.is_none().then_some(m(4.0)),
            from_beyond: stream.is_none(),
        };
        let together = |everywhere: bool, breaks: bool| Lay::RunTogether {
            window: m(30.0),
            strikes: 0.43,
            speed_m_per_s: 6.4,
            slope_pct: 38.0,
            everywhere,
            breaks,
        };
        let washes = |into: Receiver| Lay::WashesOff { run: m(84.0), into };
        let all = [
            crosses(Some(2.0), None),
            crosses(Some(12.0), Some("Mill burn")),
            crosses(None, Some("Mill burn")),
            Lay::ProbablyWet { over: m(40.0) },
            Lay::Wet { over: m(40.0) },
            Lay::Floods { over: m(80.0) },
            Lay::NearStream { stream: None, slope_pct: 12.0 },
            Lay::NearStream { stream: Some("Mill burn".to_owned()), slope_pct: 12.0 },
            washes(Receiver::Stream { name: "Mill burn".to_owned(), away: m(40.0) }),
            washes(Receiver::Channel { away: Length::ZERO }),
            washes(Receiver::OffTheGrid),
            Lay::ThinSoil { depth: m(0.2), over: m(30.0) },
            Lay::ThinSoil { depth: Length::ZERO, over: m(30.0) },
            Lay::ProbablyThinSoil { slope_pct: 70.0, over: m(30.0) },
            together(true, false),
            together(false, true),
        ];
        for why in &all {
            for units in [UnitSystem::Metric, UnitSystem::Us] {
                let says = says(why, 6.7, units);
                let starts = says.starts_with(|c: char| c.is_uppercase() || c.is_ascii_digit());
                assert!(starts && says.ends_with('.') && !says.contains("  ") && !says.contains(".."), "{says}");
                assert!(units == UnitSystem::Metric || !says.contains("\u{a0}m ") && !says.contains("mm"), "{says}");
            }
        }
        let plain = says(&all[0], 2.0, UnitSystem::Metric).replace(['\u{202f}', '\u{a0}'], " ");
        assert!(plain.contains("117 litres a second") && plain.contains("60 mm an hour"), "{plain}");
    }

    #[test]
    fn strikes_are_told_with_their_range_until_ten_were_seen() {
        use hillwire_core::site::scale;
        assert_eq!(strikes_a_year(0.8, scale(0, 0.0)), "0.8 a year if one flight a year starts on each hectare");
        // Gamma(8, 3): 1.327 to 4.383 around 2.667.
        assert_eq!(strikes_a_year(2.667, scale(7, 2.0)), "2.7 a year by your log, 1.3 to 4.4");
        assert_eq!(strikes_a_year(2.0, scale(10, 4.0)), "2.0 a year by your log");
        assert_eq!(strikes_seen(scale(7, 2.0)), "7, where the model expected 2.0");
    }

    #[test]
    fn every_remedy_of_the_lay_of_the_land_is_an_instruction() {
        let all = [
            LayRemedy::Curtain { opening: Some(Area::square_metres(0.078)) },
            LayRemedy::Curtain { opening: None },
            LayRemedy::BreakAway,
            LayRemedy::CrossElsewhere,
            LayRemedy::DrawWet,
            LayRemedy::ProbeRock,
            LayRemedy::PostsForRock,
            LayRemedy::MoveUp { by: m(0.4) },
            LayRemedy::KeepAway { by: m(10.0) },
            LayRemedy::AskWaterRules,
            LayRemedy::RestAndStrip,
        ];
        for remedy in all {
            for units in [UnitSystem::Metric, UnitSystem::Us] {
                let does = does(&remedy, units);
                assert!(does.starts_with(char::is_uppercase) && does.ends_with('.') && !does.contains("  "), "{does}");
            }
        }
    }
}
