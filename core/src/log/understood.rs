//! What somebody wrote on a round, understood by a table of words.

use crate::catalogue::Catalogue;
use crate::site::STRIKE;

/// Words for what the catalogue has no rate for, by the word in plans; in small letters.
pub const OTHER_WORDS: [(&str, &[&str]); 5] = [
    (STRIKE, &["strike", "deer", "boar", "ran into", "hit by", "animal in fence"]),
    ("water gap", &["water gap", "flood", "flooded", "flood debris"]),
    ("cable", &["cable", "lead-out", "buried cable"]),
    ("wire down", &["wire down", "strand down", "wire on ground", "strand on ground", "on the ground"]),
    ("sunk", &["sunk", "sunk post", "low wire", "low strand"]),
];
/// What can also be no more than a place to read a voltmeter at.
const PLACES: [&str; 8] = ["post", "joint", "earth", "rod", "energizer", "battery", "tree", "cable"];
/// Where two kinds are named, the one that comes first here is meant: "insulator broken", "branch, wire slack".
const RANK: [&str; 17] = [
    STRIKE,
    "lightning",
    "insulator",
    "branch",
    "rooted",
    "water gap",
    "wire down",
    "joint",
    "gate",
    "cable",
    "earth",
    "sunk",
    "post",
    "contact",
    "slack",
    "break",
    "energizer",
];
/// What is said of a thing that is mended.
const MENDED: [&str; 8] = ["mended", "fixed", "repaired", "cleared", "replaced", "done", "removed", "cut back"];
/// What is said of a photograph.
const PHOTO: [&str; 3] = ["photo", "picture", "image"];
const PHOTO_ENDINGS: [&str; 4] = [".jpg", ".jpeg", ".png", ".heic"];
/// What a planned stop's name has beside its voltage: `03 5.4 kV, least 4.2 kV`.
const EXPECTED: [&str; 2] = ["expect", "least"];
/// A bare number with decimals up to here is kilovolts, a whole one from [`LEAST_VOLT`] on volts. Small whole numbers are nothing: phones
/// and receivers number their waypoints so.
const MOST_KV: f64 = 20.0;
const LEAST_VOLT: f64 = 1000.0;

/// What a text says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Meaning {
    /// A voltage, kilovolts.
    pub kv: Option<f64>,
    /// A current, amperes.
    pub amp: Option<f64>,
    /// The word of a fault, or of a strike.
    pub fault: Option<String>,
    /// Whether it is mended.
    pub mended: bool,
    /// A photograph's file.
    pub photo: Option<String>,
}

impl Meaning {
    /// Whether nothing of it was understood.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

/// What a text says, by the words of the catalogue and of [`OTHER_WORDS`].
pub fn understand(text: &str, catalogue: &Catalogue) -> Meaning {
    let small = text.trim().to_lowercase();
    // A stop of a round that was planned says what to expect there: that is no reading.
    if EXPECTED.iter().any(|word| small.contains(word)) {
        return Meaning::default();
    }
    let numbers = numbers(&small);
    let (kv, amp) = (volts(&small, &numbers), amperes(&numbers));
    let rows = catalogue.faults.iter().map(|row| (row.id.as_str(), row.words.iter().map(String::as_str).collect::<Vec<_>>()));
    let others = OTHER_WORDS.iter().map(|(kind, words)| (*kind, words.to_vec()));
    let is_reading = kv.is_some();
    let counts = |word: &str| !(is_reading && PLACES.contains(&word)) && has_words(&small, word);
    let named = rows.chain(others).filter(|(_, words)| words.iter().any(|word| counts(word))).map(|(kind, _)| kind);
    let fault = named.min_by_key(|kind| RANK.iter().position(|known| known == kind).unwrap_or(RANK.len()));
    Meaning {
        kv,
        amp,
        fault: fault.map(str::to_owned),
        mended: MENDED.iter().any(|word| has_words(&small, word)),
        photo: photo(text, &small),
    }
}

/// Whether a word, or several in a row, stand in a text, each as a whole; a word also in its plural.
fn has_words(text: &str, words: &str) -> bool {
    let is_letter = |c: char| c.is_alphanumeric();
    text.match_indices(words).any(|(at, _)| {
        let after = &text[at + words.len()..];
        let after =
            after.strip_prefix("es").or(after.strip_prefix('s')).filter(|rest| !rest.starts_with(is_letter)).unwrap_or(after);
        !text[..at].ends_with(is_letter) && !after.starts_with(is_letter)
    })
}

/// A number with what stands right behind it: `5.2 kv`.
struct Measured {
    value: f64,
    unit: String,
}

/// All numbers that stand alone, with a point or a comma before their decimals.
fn numbers(text: &str) -> Vec<Measured> {
    let mut found = Vec::new();
    let bytes = text.as_bytes();
    let mut at = 0;
    while at < bytes.len() {
        let starts = bytes[at].is_ascii_digit()
            && (at == 0 || !(bytes[at - 1].is_ascii_alphanumeric() || matches!(bytes[at - 1], b'.' | b',' | b'-' | b':' | b'/')));
        if !starts {
            at += 1;
            continue;
        }
        let end = at + bytes[at..].iter().take_while(|byte| byte.is_ascii_digit() || matches!(byte, b'.' | b',')).count();
        let written = text[at..end].trim_end_matches(['.', ',']);
        let unit: String = text[end..].trim_start().chars().take_while(|c| c.is_alphabetic()).collect();
        let is_torn = text[end..].starts_with(['-', ':', '/']);
        if let Some(value) = decimal(written).filter(|_| !is_torn) {
            found.push(Measured { value, unit });
        }
        at = end;
    }
    found
}

/// A number with a decimal point or comma.
pub(super) fn decimal(written: &str) -> Option<f64> {
    let written = written.trim();
    let plain = if written.contains('.') { written.to_owned() } else { written.replacen(',', ".", 1) };
    let is_plain = !plain.is_empty() && plain.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '+'));
    plain.parse::<f64>().ok().filter(|value| is_plain && value.is_finite())
}

/// The only number of a text that could be kilovolts, though nothing says so: `4.8 at the gate`.
pub(super) fn likely_kv(text: &str) -> Option<f64> {
    match numbers(&text.to_lowercase()).as_slice() {
        [only] if only.value > 0.0 && only.value <= MOST_KV => Some(only.value),
        _ => None,
    }
}

/// Kilovolts: a number with its unit, else the whole text as a bare number.
fn volts(text: &str, numbers: &[Measured]) -> Option<f64> {
    let with_unit = numbers.iter().find_map(|number| match number.unit.as_str() {
        "kv" | "kilovolt" | "kilovolts" => Some(number.value),
        "v" | "volt" | "volts" => Some(number.value / 1000.0),
        _ => None,
    });
    let bare = || match numbers {
        [only] if text.trim_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | ' ')).is_empty() => {
            match only.value {
                kv if kv > 0.0 && kv <= MOST_KV && text.contains(['.', ',']) => Some(kv),
                volt if (LEAST_VOLT..=MOST_KV * 1000.0).contains(&volt) && !text.starts_with('0') => Some(volt / 1000.0),
                _ => None,
            }
        }
        _ => None,
    };
    with_unit.or_else(bare).filter(|kv| (0.0..=MOST_KV).contains(kv))
}

fn amperes(numbers: &[Measured]) -> Option<f64> {
    let is_ampere = |number: &&Measured| matches!(number.unit.as_str(), "a" | "amp" | "amps" | "ampere" | "amperes");
    numbers.iter().find(is_ampere).map(|number| number.value).filter(|amp| *amp <= 1000.0)
}

/// The file of a photograph, or the whole text that speaks of one.
fn photo(text: &str, small: &str) -> Option<String> {
    let file = text.split([' ', '\t', '"']).find(|word| {
        let word = word.to_lowercase();
        PHOTO_ENDINGS.iter().any(|ending| word.ends_with(ending))
    });
    file.map(str::to_owned).or_else(|| PHOTO.iter().any(|word| has_words(small, word)).then(|| text.trim().to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_written_on_a_round_is_understood() {
        let rows: [(&str, Option<f64>, Option<&str>, bool); 34] = [
            ("branch", None, Some("branch"), false),
            ("5.2 kV", Some(5.2), None, false),
            ("5,2kv", Some(5.2), None, false),
            ("4.8", Some(4.8), None, false),
            ("4800", Some(4.8), None, false),
            ("4800 V", Some(4.8), None, false),
            ("50", None, None, false),
            ("5", None, None, false),
            ("012", None, None, false),
            ("0004", None, None, false),
            ("4.8 at the gate", None, None, false),
            ("insulator broken at gate", None, Some("insulator"), false),
            ("Broken insulators x2", None, Some("insulator"), false),
            ("mended", None, None, true),
            ("Branches cleared", None, Some("branch"), true),
            ("wire broken", None, Some("break"), false),
            ("post 4.9 kV", Some(4.9), None, false),
            ("loose post", None, Some("post"), false),
            ("branch, 3.1 kV", Some(3.1), Some("branch"), false),
            ("deer through", None, Some("strike"), false),
            ("weeds at 12 m", None, Some("contact"), false),
            ("grassy knoll", None, None, false),
            ("2026-05-03", None, None, false),
            ("14:20", None, None, false),
            ("reeds", None, None, false),
            ("", None, None, false),
            ("3: expect 5.4 kV", None, None, false),
            ("03 5.4 kV, least 4.2 kV gate", None, None, false),
            ("energizer 6.1 kV 12 A", Some(6.1), None, false),
            ("25 kV", None, None, false),
            ("-3", None, None, false),
            ("leaves on bottom wire", None, Some("rooted"), false),
            ("slack, mended", None, Some("slack"), true),
            ("\u{0}5.0 kV\u{0}", Some(5.0), None, false),
        ];
        for (text, kv, fault, mended) in rows {
            let meaning = understand(text, Catalogue::built_in());
            assert_eq!((meaning.kv, meaning.fault.as_deref(), meaning.mended), (kv, fault, mended), "{text}");
        }
        assert_eq!((likely_kv("4.8 at the gate"), likely_kv("012"), likely_kv("3 of 5")), (Some(4.8), Some(12.0), None));
        assert_eq!(understand("6 kV 12,5 A", Catalogue::built_in()).amp, Some(12.5));
        assert_eq!(understand("see IMG_0042.JPG", Catalogue::built_in()).photo.as_deref(), Some("IMG_0042.JPG"));
    }

    #[test]
    fn every_kind_has_its_rank() {
        let rows = Catalogue::built_in().faults.iter().map(|row| row.id.as_str());
        for kind in rows.chain(OTHER_WORDS.map(|(kind, _)| kind)) {
            assert!(RANK.contains(&kind), "{kind}");
        }
    }

    #[test]
    fn every_other_word_means_one_thing() {
        let rows = Catalogue::built_in().faults.iter().flat_map(|row| row.words.iter().map(String::as_str));
        for (kind, words) in OTHER_WORDS {
            for word in words {
                assert!(!rows.clone().any(|known| known == *word), "{word} stands for {kind} and in the catalogue");
            }
        }
    }

    proptest::proptest! {
        #[test]
        fn no_text_brings_it_down(text in ".{0,60}") {
            let meaning = understand(&text, Catalogue::built_in());
            proptest::prop_assert!(meaning.kv.is_none_or(|kv| (0.0..=MOST_KV).contains(&kv)));
        }
    }
}
