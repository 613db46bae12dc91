//! Stock and days as people read them.

use super::findings::ordinal_strand;
use super::loads::listed;
use super::{count, gap, number_with};
use hillwire_core::finding::Grade;
use hillwire_core::plan::UnitSystem;
use hillwire_core::stock::{HeldDays, OnDay, StrandRemedy};
use hillwire_core::units::{FOOT_M, Length};
use jiff::civil::Date;

/// Litres in a US gallon (231 cubic inches exactly).
const GALLON_L: f64 = 3.785_411_784;

/// Several animals of a species.
pub fn species(word: &str) -> &str {
    match word {
        "pig" => "pigs",
        "goat" => "goats",
        "horse" => "horses",
        "fox" => "foxes, to keep out",
        "dog" => "dogs, to keep out",
        "wild_boar" => "wild boar, to keep out",
        "deer" => "deer, to keep out",
        // Sheep, cattle and poultry are their own plural; what the catalogue does not know is called as the plan calls it.
        other => other,
    }
}

/// A day: `12 June 2026`.
pub fn day(day: Date) -> String {
    format!("{} {} {}", day.day(), month(day), day.year())
}

/// A day without its year: `12 June`.
pub fn day_of_year(day: Date) -> String {
    format!("{} {}", day.day(), month(day))
}

fn month(day: Date) -> &'static str {
    const MONTHS: [&str; 12] = [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ];
    MONTHS[usize::from(day.month().unsigned_abs() - 1) % 12]
}

/// Days, counted: `1 day`, `12 days`.
pub fn days(days: f64) -> String {
    let text = count(days.round());
    if text == "1" { "1 day".to_owned() } else { format!("{text} days") }
}

/// An amount of water from and to: `29 to 43 l`; `8 to 11 gal`.
pub fn water((from, to): (f64, f64), units: UnitSystem) -> String {
    let (unit_l, unit) = if units == UnitSystem::Us { (GALLON_L, "gal") } else { (1.0, "l") };
    span(from / unit_l, to / unit_l, unit)
}

/// An amount of feed from and to: `19 kg`; `42 lb`.
pub fn feed((from, to): (f64, f64), units: UnitSystem) -> String {
    let (unit_kg, unit) = if units == UnitSystem::Us { (super::numbers::POUND_KG, "lb") } else { (1.0, "kg") };
    span(from / unit_kg, to / unit_kg, unit)
}

fn span(from: f64, to: f64, unit: &str) -> String {
    let decimals = usize::from(to < 9.95);
    let (from, to) = (number_with(from, decimals), number_with(to, decimals));
    if from == to { format!("{to}\u{a0}{unit}") } else { format!("{from} to {to}\u{a0}{unit}") }
}

/// How many head go on a hectare of ground, or on an acre: what it is called, and the number.
pub fn head_on_ground(per_hectare: f64, units: UnitSystem) -> (&'static str, String) {
    match units {
        UnitSystem::Metric => ("head on a hectare", count(per_hectare)),
        UnitSystem::Us => ("head on an acre", count(per_hectare * super::numbers::SQUARE_METRES_PER_ACRE / 10_000.0)),
    }
}

/// From when until when a fence holds a group, at least: `Holds from 1 April 2030 to 17 May 2030; look at from 18 May 2030`.
pub fn held_days(found: &HeldDays) -> String {
    let holds = match found.holds {
        None => "Does not hold them on any day looked at".to_owned(),
        Some((from, to)) if from == found.now.day && to == found.until => format!("Holds them until {}", day(to)),
        Some((from, to)) => format!("Holds them from {} to {}", day(from), day(to)),
    };
    let later = |what: &str, on: &Option<OnDay>| on.as_ref().map(|on| format!("{what} from {} on", day(on.day)));
    let now =
        Some(found.now.verdict.grade).filter(|grade| *grade >= Grade::LookAt).map(|grade| format!("{} now", super::grade(grade)));
    let parts = [Some(holds), now, later("look at", &found.look_at), later("must fix", &found.must_fix)];
    parts.into_iter().flatten().collect::<Vec<_>>().join("; ") + "."
}

/// Two heights, with one more decimal where they would read the same.
pub(super) fn told_apart(one: Length, other: Length, units: UnitSystem) -> (String, String) {
    let texts = (gap(one, units), gap(other, units));
    if texts.0 != texts.1 {
        return texts;
    }
    let finer = |height: Length| match units {
        UnitSystem::Metric => format!("{}\u{a0}m", number_with(height.as_metres(), 3)),
        UnitSystem::Us => format!("{}\u{a0}in", number_with(height.as_metres() / FOOT_M * 12.0, 1)),
    };
    (finer(one), finer(other))
}

/// `, not before 3 May 2027`; nothing where it may be done at once.
pub(super) fn not_before(from: Option<Date>) -> String {
    from.map_or_else(String::new, |from| format!(", not before {}", day(from)))
}

/// Dead strands that are to carry the pulse.
pub(super) fn join(strands: &[usize], from: Option<Date>) -> String {
    let which: Vec<String> = strands.iter().map(|strand| ordinal_strand(*strand)).collect();
    let them = if strands.len() == 1 { "it" } else { "them" };
    format!("Let {} carry the pulse too: join {them} to a live strand with jumpers{}.", listed(&which), not_before(from))
}

/// What to hang differently, as an instruction.
pub fn hang(remedy: &StrandRemedy, units: UnitSystem) -> String {
    match remedy {
        StrandRemedy::Move { strand, to, from_day } => {
            format!("Move strand {} to {}{}.", strand + 1, gap(*to, units), not_before(*from_day))
        }
        StrandRemedy::Add { at, from_day } => format!("Add a strand at {}{}.", gap(*at, units), not_before(*from_day)),
        StrandRemedy::Join { strands, from_day } => join(strands, *from_day),
        StrandRemedy::Usual { strands, from_day, .. } => {
            let heights: Vec<String> = strands.iter().map(|height: &Length| gap(*height, units)).collect();
            format!("Hang all strands anew, at {}{}.", heights.join(", "), not_before(*from_day))
        }
        StrandRemedy::Net { height } => format!("Put up netting of {} instead.", gap(*height, units)),
    }
}

/// A day as it is typed, or what is wrong with it.
///
/// # Errors
/// What to type instead.
pub fn typed_day(text: &str) -> Result<Option<Date>, String> {
    if text.is_empty() {
        return Ok(None);
    }
    match text.parse::<Date>() {
        Ok(day) if text.len() == 10 => Ok(Some(day)),
        _ => Err("No such day. Year-month-day, as 2026-05-01.".to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn days_are_typed_as_iso_writes_them_and_read_as_people_say_them() {
        assert_eq!(typed_day("2026-05-01"), Ok(Some(date(2026, 5, 1))));
        assert_eq!(typed_day(""), Ok(None));
        for wrong in ["2026-02-30", "1 May", "2026-5-1", "2026-05-01T00:00:00", "20260501"] {
            assert!(typed_day(wrong).is_err(), "{wrong}");
        }
        assert_eq!(day(date(2028, 2, 29)), "29 February 2028");
        assert_eq!([days(1.2), days(12.0)], ["1 day", "12 days"]);
    }

    #[test]
    fn a_height_just_beyond_its_limit_reads_differently_from_it() {
        let plain = |value: f64, allowed: f64, units| {
            let (value, allowed) = told_apart(Length::metres(value), Length::metres(allowed), units);
            format!("{value} {allowed}").replace('\u{a0}', " ")
        };
        assert_eq!(plain(0.15, 0.1467, UnitSystem::Metric), "0.150 m 0.147 m");
        assert_eq!(plain(0.15, 0.12, UnitSystem::Metric), "0.15 m 0.12 m");
        assert_eq!(plain(0.1524, 0.150, UnitSystem::Us), "6.0 in 5.9 in");
    }

    #[test]
    fn water_and_feed_are_rounded_to_what_a_bucket_shows() {
        let plain = |text: String| text.replace('\u{a0}', " ");
        assert_eq!(plain(water((28.8, 43.2), UnitSystem::Metric)), "29 to 43 l");
        assert_eq!(plain(water((37.854, 75.708), UnitSystem::Us)), "10 to 20 gal");
        assert_eq!(plain(feed((1.6, 1.6), UnitSystem::Metric)), "1.6 kg");
        assert_eq!(plain(feed((19.2, 19.2), UnitSystem::Us)), "42 lb");
    }
}
