//! Where every number comes from: each key that is named is listed in `assets/sources.toml`, each listed one is named.

use crate::tree::File;
use crate::trouble::Trouble;

/// The file that lists the sources.
pub const LIST: &str = "assets/sources.toml";

/// The listed keys with their lines; an entry that is not complete is a trouble.
pub fn listed(text: &str) -> (Vec<(usize, String)>, Vec<Trouble>) {
    let table: toml::Table = match text.parse() {
        Ok(table) => table,
        Err(trouble) => return (Vec::new(), vec![Trouble::new(LIST, 0, trouble.to_string())]),
    };
    let mut keys: Vec<(usize, String)> = Vec::new();
    let mut troubles = Vec::new();
    for entry in table.get("source").and_then(toml::Value::as_array).into_iter().flatten() {
        let word = |name: &str| entry.get(name).and_then(toml::Value::as_str).unwrap_or_default();
        let key = word("key").to_owned();
        let line = text.lines().position(|line| line == format!("key = \"{key}\"")).map_or(0, |index| index + 1);
        if keys.iter().any(|(_, other)| *other == key) {
            troubles.push(Trouble::new(LIST, line, format!("`{key}` is listed twice")));
        }
        let dated = ["year", "looked_at"].iter().any(|name| entry.get(*name).is_some_and(toml::Value::is_integer));
        let mut missing: Vec<&str> = ["title"].into_iter().filter(|name| word(name).is_empty()).collect();
        match word("seen") {
            "read" | "second hand" | "from memory" => {
                missing.extend(["author", "where"].into_iter().filter(|name| word(name).is_empty()));
                missing.extend((!dated).then_some("year (or looked_at)"));
            }
            "common practice" | "chosen here" => {}
            other => {
                let says =
                    format!("`{key}`: seen = {other:?}; one of read, second hand, from memory, common practice, chosen here");
                troubles.push(Trouble::new(LIST, line, says));
            }
        }
        if !missing.is_empty() {
            troubles.push(Trouble::new(LIST, line, format!("`{key}` does not say: {}", missing.join(", "))));
        }
        keys.push((line, key));
    }
    (keys, troubles)
}

/// Keys that a file names: `SourceKey::new("...")` in Rust, `source = "..."` in TOML.
pub fn named(file: &File) -> Vec<(usize, String)> {
    let opening = if file.path.ends_with(".rs") {
        "SourceKey::new(\""
    } else if file.path.ends_with(".toml") && file.path.starts_with("assets/") && file.path != LIST {
        "source = \""
    } else {
        return Vec::new();
    };
    let quoted = |line: &str, at: usize| line[at + opening.len()..].split('"').next().unwrap_or_default().to_owned();
    let lines = file.text.lines().enumerate();
    lines.flat_map(|(index, line)| line.match_indices(opening).map(move |(at, _)| (index + 1, quoted(line, at)))).collect()
}

/// Keys that are named and not listed, and those that are listed and that nothing in the code, the catalogue or the
/// tests against outside values ever names.
pub fn keys(files: &[File], list: &str) -> Vec<Trouble> {
    let (listed, mut troubles) = listed(list);
    for file in files.iter().filter(|file| !file.path.starts_with("tests/tidy/")) {
        for (line, key) in named(file) {
            if !listed.iter().any(|(_, listed)| *listed == key) {
                troubles.push(Trouble::new(&file.path, line, format!("source `{key}` is not in {LIST}: add it there")));
            }
        }
    }
    let texts: Vec<&File> =
        files.iter().filter(|file| file.path != LIST && (file.path.ends_with(".rs") || file.path.ends_with(".toml"))).collect();
    for (line, key) in listed {
        if !texts.iter().any(|file| has_word(&file.text, &key)) {
            troubles.push(Trouble::new(LIST, line, format!("nothing names `{key}`: take it out, or name it where it is used")));
        }
    }
    troubles
}

/// A `# Source` section in the core's documentation that names no listed key.
pub fn documented(file: &File, list: &str) -> Vec<Trouble> {
    if !file.path.starts_with("core/src/") {
        return Vec::new();
    }
    let keys: Vec<String> = listed(list).0.into_iter().map(|(_, key)| key).collect();
    let lines: Vec<&str> = file.text.lines().map(str::trim_start).collect();
    let is_doc = |line: &&&str| line.starts_with("//") && !line.starts_with("/// # ");
    let mut troubles = Vec::new();
    for (index, _) in lines.iter().enumerate().filter(|(_, line)| matches!(**line, "/// # Source" | "//! # Source")) {
        let section: Vec<&str> = lines[index + 1..].iter().take_while(is_doc).copied().collect();
        if !keys.iter().any(|key| has_word(&section.join(" "), key)) {
            let says = format!("this `# Source` names no key of {LIST}: name one, with the page or equation");
            troubles.push(Trouble::new(&file.path, index + 1, says));
        }
    }
    troubles
}

/// Whether the key stands in the text and is not a part of a longer one.
fn has_word(text: &str, word: &str) -> bool {
    let joins = |c: char| c.is_alphanumeric() || c == '-' || c == '_';
    text.match_indices(word).any(|(at, _)| !text[..at].ends_with(joins) && !text[at + word.len()..].starts_with(joins))
}

#[test]
fn an_unknown_and_an_unused_source_are_refused() {
    let list = "[[source]]\nkey = \"used\"\ntitle = \"T\"\nauthor = \"A\"\nyear = 1900\nwhere = \"W\"\nseen = \"read\"\n\n[[source]]\nkey = \"idle\"\ntitle = \"U\"\nseen = \"common practice\"\n";
    let file = |path: &str, text: &str| File { path: path.to_owned(), text: text.to_owned() };
    let files = [
        file("core/src/a.rs", "const A: SourceKey = SourceKey::new(\"used\");\nSourceKey::new(\"unlisted\")"),
        file("assets/catalogue/wire.toml", "source = \"lost\"\n"),
    ];
    let found: Vec<String> = keys(&files, list).iter().map(ToString::to_string).collect();
    assert_eq!(found.len(), 3, "{found:?}");
    assert!(found[0].starts_with("core/src/a.rs:2: source `unlisted`"), "{found:?}");
    assert!(found[1].starts_with("assets/catalogue/wire.toml:1: source `lost`"), "{found:?}");
    assert!(found[2].starts_with("assets/sources.toml:10: nothing names `idle`"), "{found:?}");
    let twice = format!("{list}\n[[source]]\nkey = \"used\"\ntitle = \"T\"\nseen = \"heard\"\n");
    assert_eq!(listed(&twice).1.len(), 2);
}

#[test]
fn a_source_that_nobody_could_find_is_refused() {
    let entry = |rest: &str| listed(&format!("[[source]]\nkey = \"k\"\ntitle = \"T\"\n{rest}\n")).1;
    let whole = "author = \"A\"\nyear = 1900\nwhere = \"W\"\n";
    for (rest, missing) in [
        (format!("{whole}seen = \"read\""), None),
        (format!("{whole}seen = \"second hand\"").replace("year", "looked_at"), None),
        ("seen = \"common practice\"".to_owned(), None),
        ("seen = \"chosen here\"".to_owned(), None),
        (format!("{whole}seen = \"from memory\"").replace("author", "title_of"), Some("author")),
        (format!("{whole}seen = \"second hand\"").replace("year = 1900\n", ""), Some("year (or looked_at)")),
        (format!("{whole}seen = \"read\"").replace("where", "place"), Some("where")),
    ] {
        let says: Vec<String> = entry(&rest).iter().map(ToString::to_string).collect();
        match missing {
            None => assert!(says.is_empty(), "{rest}: {says:?}"),
            Some(word) => assert!(says.len() == 1 && says[0].ends_with(&format!("does not say: {word}")), "{rest}: {says:?}"),
        }
    }
}

#[test]
fn a_source_section_without_a_key_is_refused() {
    let list = "[[source]]\nkey = \"broms-1964\"\ntitle = \"T\"\nauthor = \"A\"\nyear = 1900\nwhere = \"W\"\nseen = \"read\"\n";
    let file = |text: &str| File { path: "core/src/a.rs".to_owned(), text: text.to_owned() };
    assert_eq!(documented(&file("/// # Source\n/// `broms-1964`, eq. 9.\n"), list), []);
    assert_eq!(documented(&file("/// # Source\n/// A book.\n/// # Errors\n/// broms-1964\n"), list).len(), 1);
}
