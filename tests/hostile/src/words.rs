//! What can be done to text: nasty numbers and words in the place of others, lines lost or doubled, other separators.

use crate::bytes;
use crate::chance::Chance;

/// Numbers that readers and sums go wrong with.
pub const NUMBERS: [&str; 34] = [
    "0",
    "-0",
    "-1",
    "1",
    "0.1",
    "-0.5",
    "2.5",
    "1e-300",
    "1e-9",
    "-1e9",
    "1e9",
    "1e15",
    "1e22",
    "1e300",
    "-1e308",
    "1e400",
    "5e-324",
    "180",
    "-180.0000001",
    "90",
    "-90",
    "89.9999999",
    "255",
    "256",
    "32768",
    "65536",
    "2147483648",
    "4294967295",
    "4294967296",
    "18446744073709551616",
    "123456789012345678901234567890.5",
    "NaN",
    "inf",
    "1,5",
];

/// Words that pages, tables and terminals go wrong with.
pub const WORDS: [&str; 25] = [
    "",
    " ",
    "<script>alert(1)</script>",
    "</script><img src=x onerror=alert(1)>",
    "\"><svg onload=alert(1)>",
    "]]>&lt;&#60;&amp;amp;",
    "' onmouseover='alert(1)",
    "=HYPERLINK(\"http://example.invalid/\",A1)",
    "@SUM(A1:A9)",
    "+1-1",
    "-2+3",
    "http://example.invalid/x",
    "javascript:alert(1)",
    "../../../../etc/hostname",
    "/dev/null",
    "C:\\farm\\plan",
    "%s%n%1$s{0}{}",
    "\u{202e}lairetam",
    "\u{2028}\u{2029}\u{feff}\u{200b}",
    "e\u{301}\u{1f69c}\u{10ffff}",
    "nan",
    "null",
    "a;b,c\td",
    "(\\)) Tj /URI (http://example.invalid/)",
    "@title@ @map@",
];

/// A word with something that no word has: a control character, or a great length.
pub fn odd_word(chance: &mut Chance) -> String {
    match chance.below(8) {
        0 => "\u{1b}[31m\u{7}red\u{1b}]0;title\u{7}".to_owned(),
        1 => "a\0b\u{1}\u{8}\u{c}\u{7f}\u{9b}31m".to_owned(),
        2 => "two\nlines\r\nand\ttabs".to_owned(),
        3 => "long ".repeat(1 + chance.below(2000)),
        _ => chance.pick(&WORDS).to_owned(),
    }
}

/// Spoils a text in one to three places; `other` lends lines. Every eighth also loses its form as bytes.
pub fn spoil(text: &str, other: &str, chance: &mut Chance) -> Vec<u8> {
    let mut text = text.to_owned();
    for _ in 0..=chance.below(3) {
        text = once(&text, other, chance);
    }
    let mut spoiled = text.into_bytes();
    if chance.one_in(8) {
        bytes::spoil(&mut spoiled, other.as_bytes(), chance);
    }
    spoiled.truncate(bytes::LONGEST);
    spoiled
}

fn once(text: &str, other: &str, chance: &mut Chance) -> String {
    match chance.below(12) {
        0..=3 => replaced(text, chance.pick(&NUMBERS), |c| c.is_ascii_digit() || matches!(c, '.' | '-' | '+'), chance),
        4 | 5 => {
            let word = odd_word(chance);
            replaced(text, &word, |c| c.is_alphanumeric() || matches!(c, '_' | ':'), chance)
        }
        6 => lines(text, chance, |lines, at, _| {
            lines.remove(at);
        }),
        7 => lines(text, chance, |lines, at, chance| {
            let line = lines[at];
            let times = chance.pick(&[1, 1, 2, 300]);
            lines.splice(at..at, std::iter::repeat_n(line, times));
        }),
        8 => lines(text, chance, |lines, at, chance| {
            let with = chance.below(lines.len());
            lines.swap(at, with);
        }),
        9 => {
            let (from, to) =
                chance.pick(&[(",", ";"), (",", "\t"), (".", ","), ("\n", "\r\n"), ("\n", "\r"), (" ", "\u{a0}"), ("\"", "'")]);
            text.replace(from, to)
        }
        10 => format!("{}{text}", chance.pick(&["\u{feff}", "\n\n", "# a remark\n", "\0", "\"", "sep=;\n"])),
        _ => {
            let borrowed = other.lines().nth(chance.below(other.lines().count())).unwrap_or_default();
            lines(text, chance, |lines, at, _| lines.insert(at, borrowed))
        }
    }
}

/// The text with one run of such letters replaced.
fn replaced(text: &str, with: &str, belongs: impl Fn(char) -> bool, chance: &mut Chance) -> String {
    let starts: Vec<usize> = text
        .char_indices()
        .filter(|(at, c)| belongs(*c) && !text[..*at].chars().next_back().is_some_and(&belongs))
        .map(|(at, _)| at)
        .collect();
    let Some(from) = starts.get(chance.below(starts.len())).copied() else { return format!("{text}{with}") };
    let length = text[from..].find(|c| !belongs(c)).unwrap_or(text.len() - from);
    format!("{}{with}{}", &text[..from], &text[from + length..])
}

fn lines<'a>(text: &'a str, chance: &mut Chance, change: impl FnOnce(&mut Vec<&'a str>, usize, &mut Chance)) -> String {
    let mut lines: Vec<&str> = text.lines().collect();
    if !lines.is_empty() {
        let at = chance.below(lines.len());
        change(&mut lines, at, chance);
    }
    lines.join("\n") + "\n"
}
