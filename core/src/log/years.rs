//! Work and parts, year by year.

use super::Lesson;
use super::entry::What;
use std::collections::BTreeMap;

/// Looking along a kilometre of fence takes so long, minutes (`common-practice`).
const LOOK_MIN_PER_KM: f64 = 10.0;

/// One calendar year of the log.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Year {
    /// Which.
    pub year: i16,
    /// Days on which anything was written down.
    pub rounds: u32,
    /// Faults and strikes.
    pub faults: u32,
    /// Minutes of mending that were written down.
    pub mending_min: f64,
    /// Minutes that mending the others usually takes: the middle of what the catalogue says.
    pub usual_min: f64,
    /// Minutes of looking along the fence on these rounds, without the way there.
    pub looking_min: f64,
    /// What mending took, the most first: in the singular for one, else in the plural where anybody wrote one.
    pub parts: Vec<(String, f64)>,
}

/// Every year with an entry, the first first.
pub(super) fn years(lesson: &Lesson) -> Vec<Year> {
    let mut all: BTreeMap<i16, (Year, BTreeMap<String, (f64, bool)>)> = BTreeMap::new();
    for round in lesson.rounds {
        let (year, _) = all.entry(round.day.year()).or_default();
        year.rounds += 1;
        year.looking_min += lesson.fence_km * LOOK_MIN_PER_KM;
    }
    for entry in lesson.entries {
        let Some(day) = entry.day else { continue };
        let (minutes, parts) = match &entry.what {
            What::Fault { minutes, parts, .. } | What::Strike { minutes, parts, .. } => (*minutes, parts),
            _ => continue,
        };
        let (year, used) = all.entry(day.year()).or_default();
        year.faults += 1;
        match minutes {
            Some(minutes) => year.mending_min += minutes,
            None => {
                let row = entry.fault_word().and_then(|word| lesson.from.catalogue.fault(word));
                year.usual_min += row.map_or(0.0, |row| 0.5 * (row.minutes.0 + row.minutes.1));
            }
        }
        for (part, count, is_plural) in parts.iter().flat_map(|parts| parts_of(parts)) {
            let (all, has_plural) = used.entry(part).or_default();
            *all += count;
            *has_plural |= is_plural;
        }
    }
    let named =
        |(part, (count, has_plural)): (String, (f64, bool))| (if has_plural && count > 1.0 { part + "s" } else { part }, count);
    let finish = |(number, (mut year, used)): (i16, (Year, BTreeMap<String, (f64, bool)>))| {
        year.year = number;
        year.parts = used.into_iter().map(named).collect();
        year.parts.sort_by(|one, other| other.1.total_cmp(&one.1));
        year
    };
    all.into_iter().map(finish).collect()
}

/// `2 insulators, 1 joiner; wire` as counts by name, and whether it was written in the plural: one where no number stands before it, one name
/// for one and for many.
pub(super) fn parts_of(written: &str) -> Vec<(String, f64, bool)> {
    let pieces = written.split([',', ';', '+', '\n']).map(str::trim).filter(|piece| !piece.is_empty());
    let one = |piece: &str| {
        let end = piece.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(piece.len());
        let count = piece[..end].parse::<f64>().ok();
        let name = count.map_or(piece, |_| &piece[end..]).trim_start_matches(['x', '×', ' ']).trim().to_lowercase();
        let one = name.strip_suffix('s').filter(|name| name.len() > 2 && !name.ends_with('s')).map(str::to_owned);
        let is_plural = one.is_some();
        (one.unwrap_or(name), count.unwrap_or(1.0), is_plural)
    };
    pieces.map(one).filter(|(name, ..)| !name.is_empty()).collect()
}
