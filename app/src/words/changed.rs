//! When a file was last changed.

use super::day;
use jiff::Timestamp;
use jiff::tz::TimeZone;
use std::time::SystemTime;

/// The day and the time where the computer stands: `30 November 2026, 16:05`.
pub fn last_changed(at: SystemTime) -> String {
    let Ok(at) = Timestamp::try_from(at) else { return "at an unknown time".to_owned() };
    let here = TimeZone::system().to_datetime(at);
    format!("{}, {:02}:{:02}", day(here.date()), here.hour(), here.minute())
}
