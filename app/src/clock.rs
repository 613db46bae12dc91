//! The one place that looks at the clock. Whoever needs a day is given it.

use jiff::civil::Date;

/// Today by the computer's clock, where the computer stands; in universal time where it does not know where that is.
pub fn today() -> Date {
    jiff::ZonedDateTime::now().date()
}

/// This moment.
pub fn now() -> jiff::Timestamp {
    jiff::Timestamp::now()
}

/// A moment as a day and a time of day where the computer stands.
pub fn here(at: jiff::Timestamp) -> jiff::ZonedDateTime {
    at.to_zoned_datetime(jiff::tz::TimeZone::system())
}
