//! The one place that looks at the clock. Whoever needs a day is given it.

use jiff::civil::Date;

/// Today by the computer's clock, where the computer stands; in universal time where it does not know where that is.
pub fn today() -> Date {
    jiff::ZonedDateTime::now().date()
}
