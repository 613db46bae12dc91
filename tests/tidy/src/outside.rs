//! `tests/published/README.md`: what is held against what from outside, and how far that was seen. Each file says it once (`//! By: ...`), a test that is
//! held against something else says so itself (`/// By: ...`); the page follows from that and from the list of sources.

use crate::sources;
use crate::tree::File;
use crate::trouble::Trouble;
use std::fmt::Write as _;

/// The page.
pub const PAGE: &str = "tests/published/README.md";
const FOLDER: &str = "tests/published/tests/";
/// What follows from a derivation that stands beside the check, and what is held against every possible answer.
const REASONED: [(&str, &str); 2] =
    [("closed form", "derived beside the check"), ("every way tried", "tried in the test itself")];

/// A test and what it is held against, as written.
struct Held<'a> {
    file: &'a str,
    line: usize,
    test: &'a str,
    by: &'a str,
}

fn by(line: &str, mark: &str) -> Option<usize> {
    line.trim_start().starts_with(mark).then(|| line.find(mark).map_or(0, |at| at + mark.len()))
}

/// The tests of a file; those that say nothing have what the file says, or nothing.
fn held(file: &File) -> Vec<Held<'_>> {
    let lines: Vec<&str> = file.text.lines().collect();
    let said = |line: &'_ str, mark: &str| by(line, mark).is_some();
    let after = |index: usize, mark: &str| lines[index].trim_start()[mark.len()..].trim().trim_end_matches('.');
    let of_file = lines.iter().position(|line| said(line, "//! By: ")).map_or("", |index| after(index, "//! By: "));
    let tests = (0..lines.len()).filter(|index| lines[*index].trim() == "#[test]");
    tests
        .filter_map(|index| {
            let is_above = |line: &&str| line.trim_start().starts_with("///") || line.trim_start().starts_with("#[");
            let above = lines[..index].iter().rev().take_while(|line| is_above(line)).count();
            let own = (index - above..index).find(|line| said(lines[*line], "/// By: ")).map(|line| after(line, "/// By: "));
            let (down, name) = lines[index + 1..].iter().enumerate().find_map(|(down, line)| {
                line.trim_start().strip_prefix("fn ").and_then(|rest| rest.split('(').next()).map(|name| (down, name))
            })?;
            Some(Held { file: &file.path[FOLDER.len()..], line: index + down + 2, test: name, by: own.unwrap_or(of_file) })
        })
        .collect()
}

/// What a word of "By" stands for, and how it was seen; `None` for a word that is not known.
fn spelled_out(word: &str, list: &toml::Table) -> Option<(String, String)> {
    if let Some((name, seen)) = REASONED.iter().find(|(name, _)| *name == word) {
        return Some(((*name).to_owned(), (*seen).to_owned()));
    }
    if let Some(program) = word.strip_prefix("program ") {
        return Some((program.to_owned(), "run".to_owned()));
    }
    let entries = list.get("source").and_then(toml::Value::as_array)?;
    let text = |entry: &toml::Value, name: &str| entry.get(name).and_then(toml::Value::as_str).unwrap_or_default().to_owned();
    let entry = entries.iter().find(|entry| text(entry, "key") == word)?;
    let author = text(entry, "author");
    let year = entry.get("year").and_then(toml::Value::as_integer).map_or_else(String::new, |year| format!(" {year}"));
    let by = if author.is_empty() { String::new() } else { format!(" ({author}{year})") };
    Some((format!("{}{by}", text(entry, "title")), text(entry, "seen")))
}

/// Keys that the rows of a table in the file name between quotes.
fn in_rows<'a>(text: &'a str, list: &toml::Table) -> Vec<&'a str> {
    let words = text.split('"').skip(1).step_by(2).flat_map(|quoted| quoted.split([' ', ',', ':']));
    let mut keys: Vec<&str> = words.filter(|word| word.contains('-') && spelled_out(word, list).is_some()).collect();
    keys.sort_unstable();
    keys.dedup();
    keys
}

/// The page as it has to be, and tests that do not say what they are held against.
pub fn page(files: &[File], list: &str) -> (String, Vec<Trouble>) {
    let list: toml::Table = list.parse().unwrap_or_default();
    let mut text = String::from(
        "# What is held against what\n\nWritten by `HILLWIRE_WRITE=1 cargo test -p tests_tidy`, which also refuses a page that has gone stale. \
         The list of sources is\n`assets/sources.toml`; what a second method of our own gave is in `tests/second_method`.\n\n\
         | what | source | seen | test |\n| --- | --- | --- | --- |\n",
    );
    let mut troubles = Vec::new();
    for file in files.iter().filter(|file| file.path.starts_with(FOLDER) && file.path.ends_with(".rs")) {
        for held in held(file) {
            let words: Vec<&str> = match held.by {
                "rows" => in_rows(&file.text, &list),
                by => by.split(", ").filter(|word| !word.is_empty()).collect(),
            };
            if words.is_empty() {
                troubles.push(Trouble::new(
                    &file.path,
                    held.line,
                    format!("`{}` does not say by what: `/// By: key.`", held.test),
                ));
            }
            for word in words {
                let Some((source, seen)) = spelled_out(word, &list) else {
                    let says = format!("By: `{word}` is no key of {}, no program and no derivation", sources::LIST);
                    troubles.push(Trouble::new(&file.path, held.line, says));
                    continue;
                };
                let what = held.test.replace('_', " ");
                writeln!(text, "| {what} | {source} | {seen} | `{}` |", held.file).expect("a string takes all");
            }
        }
    }
    (text, troubles)
}

#[test]
fn a_test_without_a_source_or_with_an_unknown_one_is_refused() {
    let list = "[[source]]\nkey = \"a-1\"\ntitle = \"T\"\nauthor = \"A\"\nyear = 1900\nseen = \"second hand\"\n";
    let file = |text: &str| File { path: format!("{FOLDER}x.rs"), text: text.to_owned() };
    let of = |text: &str| page(&[file(text)], list);
    let (text, troubles) =
        of("//! By: a-1.\n\n#[test]\nfn it_holds() {}\n\n/// By: closed form.\n#[test]\nfn so_does_this() {}\n");
    assert_eq!(troubles, []);
    let row =
        "| it holds | T (A 1900) | second hand | `x.rs` |\n| so does this | closed form | derived beside the check | `x.rs` |\n";
    assert!(text.ends_with(row), "{text}");
    let (text, troubles) = of("//! By: rows.\n#[test]\nfn rows_hold() { [(\"x\", \"a-1, b-2\")]; }\n");
    assert!(troubles.is_empty() && text.ends_with("| rows hold | T (A 1900) | second hand | `x.rs` |\n"), "{text}");
    assert_eq!(of("#[test]\nfn nobody_says() {}\n").1.len(), 1);
    assert_eq!(of("//! By: a-2.\n#[test]\nfn a_slip() {}\n").1.len(), 1);
}
