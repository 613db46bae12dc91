//! The one place that looks at the clock. Whoever needs a day is given it.

use jiff::civil::Date;

/// Today by the computer's clock, in universal time: a plan need not know where on the globe midnight is.
pub fn today() -> Date {
    jiff::ZonedDateTime::now().date()
}
