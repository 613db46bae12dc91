//! Numbers with their unit, rounded to what can be read off a tape or a scale. Metric, or US customary at this rim only.

use hillwire_core::plan::UnitSystem;
use hillwire_core::units::{Area, Elevation, FOOT_M, Force, Length, Moment, POUND_FORCE_N};

/// Between thousands: thin, and not broken at a line's end.
const THIN: char = '\u{202F}';
/// Between number and unit: not broken at a line's end.
const FIXED: char = '\u{00A0}';
pub(super) const SQUARE_METRES_PER_ACRE: f64 = 43_560.0 * FOOT_M * FOOT_M;
/// International mile: 5280 ft (yard and pound agreement, 1959).
const METRES_PER_MILE: f64 = 5280.0 * FOOT_M;
/// Pound: 0.45359237 kg exactly (international yard and pound agreement, 1959).
pub(super) const POUND_KG: f64 = 0.453_592_37;

/// A length along the ground: `12.3 m`, `1 243 m`; `41 ft`.
pub fn length(length: Length, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric if length.as_metres().abs() < 99.95 => with_unit(&number(length.as_metres(), 1), "m"),
        UnitSystem::Metric => with_unit(&number(length.as_metres(), 0), "m"),
        UnitSystem::Us => with_unit(&number(length.as_metres() / FOOT_M, 0), "ft"),
    }
}

/// A length that somebody set, without needless decimals: `60 m`, `1.5 m`.
pub fn set_length(set: Length, units: UnitSystem) -> String {
    length(set, units).replace(".0", "")
}

/// A height or a gap under a strand, where centimetres matter: `0.31 m`; `12 in`.
pub fn gap(height: Length, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => with_unit(&number(height.as_metres(), 2), "m"),
        UnitSystem::Us => with_unit(&number(height.as_metres() / FOOT_M * 12.0, 0), "in"),
    }
}

/// A height above the grid's zero, to the centimetre: `212.35 m`; `696.69 ft`.
pub fn elevation(height: Elevation, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => with_unit(&number(height.as_metres(), 2), "m"),
        UnitSystem::Us => with_unit(&number(height.as_metres() / FOOT_M, 2), "ft"),
    }
}

/// How far a measured height is off the grid: `0.35 m below the grid`.
pub fn off_the_grid(off: Length, units: UnitSystem) -> String {
    if off.abs() < Length::metres(0.005) {
        return "On the grid.".to_owned();
    }
    let way = if off > Length::ZERO { "above" } else { "below" };
    format!("{} {way} the grid", gap(off.abs(), units))
}

/// An area: `640 m²`, `1.24 ha`; `0.31 acres`.
pub fn area(area: Area, units: UnitSystem) -> String {
    let square_metres = area.as_square_metres();
    match units {
        UnitSystem::Metric if square_metres < 2000.0 => with_unit(&number(square_metres, 0), "m²"),
        UnitSystem::Metric => with_unit(&number(square_metres / 10_000.0, 2), "ha"),
        UnitSystem::Us => with_unit(&number(square_metres / SQUARE_METRES_PER_ACRE, 2), "acres"),
    }
}

/// A force: `850 N`, `1.24 kN`; `191 lbf`.
pub fn force(force: Force, units: UnitSystem) -> String {
    let newtons = force.as_newtons();
    match units {
        UnitSystem::Metric if newtons.abs() < 999.5 => with_unit(&number(newtons, 0), "N"),
        UnitSystem::Metric => with_unit(&number(newtons / 1000.0, 2), "kN"),
        UnitSystem::Us => with_unit(&number(newtons / POUND_FORCE_N, 0), "lbf"),
    }
}

/// A bending moment: `1.24 kNm`; `915 lbf·ft`.
pub fn moment(moment: Moment, units: UnitSystem) -> String {
    let newton_metres = moment.as_newton_metres();
    match units {
        UnitSystem::Metric if newton_metres < 999.5 => with_unit(&number(newton_metres, 0), "Nm"),
        UnitSystem::Metric => with_unit(&number(newton_metres / 1000.0, 2), "kNm"),
        UnitSystem::Us => with_unit(&number(newton_metres / POUND_FORCE_N / FOOT_M, 0), "lbf·ft"),
    }
}

/// A mass: `640 kg`; `1 411 lb`.
pub fn mass(kilograms: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => with_unit(&number(kilograms, 0), "kg"),
        UnitSystem::Us => with_unit(&number(kilograms / POUND_KG, 0), "lb"),
    }
}

/// A temperature: `−15 °C`; `5 °F`.
pub fn temperature(celsius: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => with_unit(&number(celsius, 0), "°C"),
        UnitSystem::Us => with_unit(&number(celsius * 9.0 / 5.0 + 32.0, 0), "°F"),
    }
}

/// A speed, as drivers know it: `22 km/h`; `13 mph`.
pub fn speed(m_per_s: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => with_unit(&number(m_per_s * 3.6, 0), "km/h"),
        UnitSystem::Us => with_unit(&number(m_per_s * 3600.0 / METRES_PER_MILE, 0), "mph"),
    }
}

/// A slope: `31 %`; `4.5 %` where it is gentle.
pub fn percent(percent: f64) -> String {
    with_unit(&number(percent, if percent.abs() < 9.95 { 1 } else { 0 }), "%")
}

/// A share from 0 to 1: `62 %`.
pub fn share(share: f64) -> String {
    with_unit(&number(share * 100.0, 0), "%")
}

/// An angle: `74°`.
pub fn angle(degrees: f64) -> String {
    format!("{}°", number(degrees, 0))
}

/// Pieces or a plain number: `1 184`; `2.5` where it is not whole.
pub fn count(count: f64) -> String {
    number(count, if (count - count.round()).abs() < 0.05 { 0 } else { 1 })
}

/// An amount of money to the penny: `£1 184.50`; `CHF 12.00`.
pub fn money(amount: f64, currency: &str) -> String {
    with_currency(&number(amount, 2), currency)
}

/// An amount of money without its pennies: `£1 184`.
pub fn money_short(amount: f64, currency: &str) -> String {
    with_currency(&number(amount, 0), currency)
}

fn with_currency(number: &str, currency: &str) -> String {
    match currency {
        "" => number.to_owned(),
        "GBP" => format!("£{number}"),
        "EUR" => format!("€{number}"),
        "USD" => format!("${number}"),
        code => format!("{code}{FIXED}{number}"),
    }
}

/// A number with so many decimals and thousands set apart.
pub fn number_with(value: f64, decimals: usize) -> String {
    number(value, decimals)
}

fn with_unit(number: &str, unit: &str) -> String {
    format!("{number}{FIXED}{unit}")
}

/// A number with so many decimals, thousands set apart by a thin space, a true minus sign, and no minus before zero.
fn number(value: f64, decimals: usize) -> String {
    let digits = format!("{:.decimals$}", value.abs());
    let (whole, fraction) = digits.split_once('.').map_or((digits.as_str(), None), |(whole, rest)| (whole, Some(rest)));
    let mut text = String::new();
    if value < 0.0 && digits.contains(|c| ('1'..='9').contains(&c)) {
        text.push('\u{2212}');
    }
    for (index, digit) in whole.chars().enumerate() {
        if index > 0 && (whole.len() - index).is_multiple_of(3) {
            text.push(THIN);
        }
        text.push(digit);
    }
    if let Some(fraction) = fraction {
        text.push('.');
        text.push_str(fraction);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    /// With the special spaces made plain, so that the table below can be read.
    fn plain(text: &str) -> String {
        text.replace([THIN, FIXED], " ")
    }

    #[test]
    fn lengths_are_rounded_to_what_a_tape_shows() {
        let cases = [
            (0.0, "0.0 m", "0 ft"),
            (12.34, "12.3 m", "40 ft"),
            (99.96, "100 m", "328 ft"),
            (1243.4, "1 243 m", "4 079 ft"),
            (1_234_567.0, "1 234 567 m", "4 050 417 ft"),
            (-0.02, "0.0 m", "0 ft"),
            (-3.25, "\u{2212}3.2 m", "\u{2212}11 ft"),
        ];
        for (metres, metric, us) in cases {
            assert_eq!(plain(&length(Length::metres(metres), UnitSystem::Metric)), metric);
            assert_eq!(plain(&length(Length::metres(metres), UnitSystem::Us)), us);
        }
    }

    #[test]
    fn other_quantities_change_unit_with_size_and_system() {
        let metric = UnitSystem::Metric;
        let us = UnitSystem::Us;
        let cases = [
            (gap(Length::metres(0.305), metric), "0.30 m"),
            (gap(Length::metres(0.305), us), "12 in"),
            (area(Area::square_metres(640.0), metric), "640 m²"),
            (area(Area::square_metres(12_400.0), metric), "1.24 ha"),
            (area(Area::square_metres(4_046.856_422_4), us), "1.00 acres"),
            (force(Force::newtons(850.0), metric), "850 N"),
            (force(Force::newtons(1_240.0), metric), "1.24 kN"),
            (force(Force::newtons(850.0), us), "191 lbf"),
            (mass(640.0, us), "1 411 lb"),
            (moment(Moment::newton_metres(1240.0), metric), "1.24 kNm"),
            (moment(Moment::newton_metres(1240.0), us), "915 lbf·ft"),
            (elevation(Elevation::metres(212.35), metric), "212.35 m"),
            (elevation(Elevation::metres(212.35), us), "696.69 ft"),
            (off_the_grid(Length::metres(-0.35), metric), "0.35 m below the grid"),
            (off_the_grid(Length::metres(0.254), us), "10 in above the grid"),
            (off_the_grid(Length::metres(0.001), us), "On the grid."),
            (temperature(-15.0, metric), "\u{2212}15 °C"),
            (temperature(-15.0, us), "5 °F"),
            (percent(31.4), "31 %"),
            (percent(4.46), "4.5 %"),
            (share(0.617), "62 %"),
            (angle(74.2), "74°"),
            (count(1184.0), "1 184"),
            (count(2.5), "2.5"),
            (money(1184.5, "GBP"), "£1 184.50"),
            (money_short(1184.5, "CHF"), "CHF 1 184"),
            (money(0.0, ""), "0.00"),
        ];
        for (text, expected) in cases {
            assert_eq!(plain(&text), expected);
        }
    }
}
