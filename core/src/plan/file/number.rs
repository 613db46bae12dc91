//! Numbers as the plan file prints them: the fewest digits that read back as the same number.

use crate::land::Position;

/// The shortest decimals that read back as this number: `0.2`, `8`, `1e300`.
pub(super) fn decimal(number: f64) -> String {
    shifted(number, 0)
}

/// The same for a thousandfold of the number, exactly (metres printed as millimetres).
pub(super) fn decimal_thousandfold(number: f64) -> String {
    shifted(number, 3)
}

/// The number's shortest digits with the point moved `places` to the right.
fn shifted(number: f64, places: i32) -> String {
    let printed = format!("{number:e}");
    if !number.is_finite() {
        // Not JSON: an edit that brings it is refused when what it would write is read back.
        return printed;
    }
    let (mantissa, exponent) = printed.split_once('e').expect("the format prints an exponent");
    let exponent = exponent.parse::<i32>().expect("the format prints a whole exponent") + places;
    let (sign, mantissa) = mantissa.strip_prefix('-').map_or(("", mantissa), |rest| ("-", rest));
    let digits: String = mantissa.chars().filter(char::is_ascii_digit).collect();
    if digits == "0" {
        return format!("{sign}0");
    }
    if !(-9..21).contains(&exponent) {
        return format!("{sign}{mantissa}e{exponent}");
    }
    let point = exponent + 1;
    let count = i32::try_from(digits.len()).expect("17 digits at most");
    let zeros = |count: i32| "0".repeat(usize::try_from(count).unwrap_or(0));
    if point <= 0 {
        format!("{sign}0.{}{digits}", zeros(-point))
    } else if point >= count {
        format!("{sign}{digits}{}", zeros(point - count))
    } else {
        let (whole, rest) = digits.split_at(usize::try_from(point).unwrap_or(0));
        format!("{sign}{whole}.{rest}")
    }
}

/// Billionths of a degree as decimal degrees.
fn degrees(e9: i64) -> String {
    let (sign, size) = (if e9 < 0 { "-" } else { "" }, e9.unsigned_abs());
    let (whole, rest) = (size / 1_000_000_000, size % 1_000_000_000);
    if rest == 0 {
        return format!("{sign}{whole}");
    }
    let decimals = format!("{rest:09}");
    format!("{sign}{whole}.{}", decimals.trim_end_matches('0'))
}

/// `-3.812345678,56.601234567`
pub(super) fn lon_lat(at: Position) -> String {
    format!("{},{}", degrees(at.lon_e9), degrees(at.lat_e9))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_printed_with_the_fewest_digits() {
        for (number, printed) in [
            (0.2, "0.2"),
            (8.0, "8"),
            (0.0, "0"),
            (-0.5, "-0.5"),
            (450.0, "450"),
            (1234.5, "1234.5"),
            (1e-7, "0.0000001"),
            (1e300, "1e300"),
            (5e-324, "5e-324"),
            (123456789012345680.0, "123456789012345680"),
        ] {
            assert_eq!(decimal(number), printed);
            assert_eq!(printed.parse(), Ok(number));
        }
        assert_eq!(decimal_thousandfold(0.0142), "14.2");
        assert_eq!(decimal_thousandfold(1.8), "1800");
    }

    #[test]
    fn degrees_keep_nine_decimals_and_no_idle_zero() {
        for (e9, printed) in
            [(0, "0"), (-3_812_345_678, "-3.812345678"), (56_600_000_000, "56.6"), (1, "0.000000001"), (-180_000_000_000, "-180")]
        {
            assert_eq!(degrees(e9), printed);
        }
    }
}
