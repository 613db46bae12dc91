//! Journals, saving, and what goes wrong inside the program, as sentences.

use super::day;
use jiff::ZonedDateTime;
use jiff::civil::Date;
use std::path::Path;

/// `1 change`, `12 changes`.
pub fn changes(count: u64) -> String {
    if count == 1 { "1 change".to_owned() } else { format!("{count} changes") }
}

/// When changes were made: `on 30 November 2026 between 14:05 and 15:10`.
pub fn between(since: Option<&ZonedDateTime>, at: Option<&ZonedDateTime>) -> Option<String> {
    let time = |zoned: &ZonedDateTime| zoned.strftime("%H:%M").to_string();
    let (since, at) = (since.or(at)?, at.or(since)?);
    let on = day(since.date());
    Some(if since.date() != at.date() {
        format!("between {on}, {}, and {}, {}", time(since), day(at.date()), time(at))
    } else if time(since) == time(at) {
        format!("on {on} at {}", time(at))
    } else {
        format!("on {on} between {} and {}", time(since), time(at))
    })
}

/// What would go: `12 changes made on 30 November 2026 between 14:05 and 15:10`.
pub fn these_changes(count: u64, since: Option<&ZonedDateTime>, at: Option<&ZonedDateTime>) -> String {
    if count == 0 {
        return "a plan that was never saved".to_owned();
    }
    let made = between(since, at).map_or_else(String::new, |made| format!(" made {made}"));
    format!("{}{made}", changes(count))
}

/// What would go, of a plan that is open: `3 changes, the first made on 30 November 2026 at 14:05`.
pub fn changes_since(count: u64, since: Option<&ZonedDateTime>) -> String {
    let first = if count == 1 { " made" } else { ", the first made" };
    let made = between(since, since).map_or_else(String::new, |made| format!("{first} {made}"));
    format!("{}{made}", changes(count))
}

/// Something went wrong inside the program.
pub fn broke(what: &str, says: Option<&str>) -> String {
    let says = says.map_or_else(String::new, |says| format!(" ({says})"));
    format!(
        "While {what}, something went wrong inside the program{says}. Nothing of your plan is lost: it stays open, and its journal is written as before."
    )
}

/// The journal stands elsewhere.
pub fn journal_elsewhere(wanted: &Path, reason: &str, place: &Path) -> String {
    format!("{}: the journal cannot be written ({reason}). It is kept in {} until it can.", wanted.display(), place.display())
}

/// There is no journal.
pub fn journal_nowhere(wanted: Option<&Path>, reason: &str) -> String {
    let wanted = wanted.map_or_else(String::new, |wanted| format!("{}: ", wanted.display()));
    format!(
        "{wanted}the journal cannot be written ({reason}), and nowhere else either. If the computer stops now, what you changed since the last save is lost: save the plan, to another disk if need be."
    )
}

/// The journal is back.
pub fn journal_back(place: &Path) -> String {
    format!("{}: the journal can be written again. All of your plan is in it.", place.display())
}

/// What was to be discarded stays.
pub fn not_discarded(place: &Path) -> String {
    format!("{}: the journal could not be kept aside. It stays where it is and is offered again.", place.display())
}

/// A journal that is kept: `Hill farm: 3 changes made on 30 November 2026 at 14:05; kept aside until 7 December 2026. Plan: hill.plan.geojson`.
pub fn kept_journal(name: &str, changes: &str, of: Option<&Path>, goes: Option<Date>, saved: Option<&ZonedDateTime>) -> String {
    let name = if name.is_empty() { "New plan" } else { name };
    let until = goes.map_or_else(|| "waits to be saved".to_owned(), |goes| format!("kept aside until {}", day(goes)));
    let of = of.map_or_else(|| "Never saved.".to_owned(), |of| format!("Plan: {}", of.display()));
    let saved = saved.map_or_else(String::new, |saved| format!(" {}", saved_after(saved)));
    format!("{name}: {changes}; {until}. {of}{saved}")
}

/// The plan file was saved after the changes of a journal were made.
pub fn saved_after(saved: &ZonedDateTime) -> String {
    let saved = between(Some(saved), None).unwrap_or_default();
    format!("They are older than the plan file, which was saved {saved}: bringing them back undoes what was saved since.")
}

/// There is no journal of that number.
pub fn no_such_journal(number: usize, known: usize) -> String {
    let allowed = match known {
        0 => "there is none".to_owned(),
        1 => "allowed is 1".to_owned(),
        known => format!("allowed is 1 to {known}"),
    };
    format!("--take: found {number}, but {allowed}; hillwire recover lists what is kept")
}

/// What is added where a plan file is gone of which a journal still waits.
pub const CHANGES_WAIT: &str =
    "; its journal still holds the plan: the welcome sheet lists it, and so does hillwire recover with this path";

/// Neither the plan's folder nor the data folder takes a journal.
pub const NOTHING_KEEPS_THEM: &str =
    "No disk takes the journal just now: left without saving, these changes are gone. Save under another name, on another disk.";

/// What a journal brings back takes the place of what is on the screen.
pub const GOES_WITH_IT: &str = "What was changed here since then goes with it; undo has it back.";

/// Journals that are not listed because a window has them.
pub fn journals_in_use(count: usize) -> String {
    match count {
        1 => "One journal belongs to a window that is open, and is not listed: look there, or close the window first.".to_owned(),
        more => format!(
            "{more} journals belong to windows that are open, and are not listed: look there, or close the windows first."
        ),
    }
}

/// No line of a journal can be read.
pub fn journal_unreadable(place: &Path) -> String {
    format!("{}: this journal is damaged, and nothing in it can be read. It stays where it is.", place.display())
}

/// A journal that was listed is not there any more, or a window writes it.
pub fn journal_gone(place: &Path) -> String {
    format!("{}: this journal can no longer be read, or a window has it open", place.display())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn changes_are_told_with_their_number_and_when_they_were_made() {
        let at = |text: &str| {
            let moment: jiff::Timestamp = format!("2026-11-{text}:00Z").parse().expect("a time");
            moment.to_zoned_datetime(jiff::tz::TimeZone::UTC)
        };
        let (morning, noon, next) = (at("29T09:05"), at("29T12:30"), at("30T07:00"));
        for (count, since, to, expected) in [
            (1, Some(&noon), Some(&noon), "1 change made on 29 November 2026 at 12:30"),
            (3, Some(&morning), Some(&noon), "3 changes made on 29 November 2026 between 09:05 and 12:30"),
            (3, Some(&morning), Some(&next), "3 changes made between 29 November 2026, 09:05, and 30 November 2026, 07:00"),
            (2, None, None, "2 changes"),
        ] {
            assert_eq!(these_changes(count, since, to), expected);
        }
        assert_eq!(these_changes(0, None, None), "a plan that was never saved");
        assert_eq!(changes_since(1, Some(&noon)), "1 change made on 29 November 2026 at 12:30");
        assert_eq!(changes_since(3, Some(&noon)), "3 changes, the first made on 29 November 2026 at 12:30");
    }
}
