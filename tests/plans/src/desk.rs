//! A desk to work at: a folder of its own with copies of the sample plans, and the commands.

use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// A folder with the sample plans and their grids.
pub struct Desk {
    folder: TempDir,
}

/// How a command ended.
#[derive(Debug)]
pub struct Ended {
    pub status: u8,
    pub out: String,
    pub err: String,
}

impl Ended {
    /// The one JSON document on standard output.
    #[track_caller]
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap_or_else(|trouble| panic!("{trouble}: {self:?}"))
    }
}

pub const SAMPLES: [&str; 2] = ["brackenhope.plan.geojson", "larkfold.plan.geojson"];

pub fn samples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-maps")
}

impl Desk {
    pub fn new() -> Self {
        let folder = tempfile::tempdir().expect("a folder for the test");
        for name in SAMPLES.into_iter().chain(["brackenhope.tif", "larkfold.tif"]) {
            fs::copy(samples().join(name), folder.path().join(name)).expect("the samples are in the repository");
        }
        Self { folder }
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn write(&self, name: &str, bytes: impl AsRef<[u8]>) -> PathBuf {
        fs::write(self.path(name), bytes).expect("the folder is ours");
        self.path(name)
    }

    pub fn read(&self, name: &str) -> Vec<u8> {
        fs::read(self.path(name)).unwrap_or_else(|trouble| panic!("{name}: {trouble}"))
    }

    /// Names in the folder, sorted.
    pub fn names(&self) -> Vec<String> {
        let entries = fs::read_dir(self.folder.path()).expect("the folder is ours");
        let mut names: Vec<String> =
            entries.map(|entry| entry.expect("listed").file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }

    /// Runs `hillwire` with these words; a word that names a file of the desk, or that has an ending, means the one here.
    pub fn run(&self, words: &str) -> Ended {
        let here = |word: &str| {
            let is_file = word.contains('.') && !word.starts_with('-') && word.parse::<f64>().is_err();
            if is_file { self.path(word).display().to_string() } else { word.to_owned() }
        };
        let words = std::iter::once("hillwire".to_owned()).chain(words.split_whitespace().map(here));
        let (mut out, mut err) = (Vec::new(), Vec::new());
        let status = hillwire::cli::run(words, &mut out, &mut err);
        let text = |bytes| String::from_utf8(bytes).expect("all output is UTF-8");
        Ended { status, out: text(out), err: text(err) }
    }
}

/// The keys of an object, in its order.
#[track_caller]
pub fn keys(value: &Value) -> Vec<&str> {
    value.as_object().unwrap_or_else(|| panic!("an object, not {value}")).keys().map(String::as_str).collect()
}

/// Whether the object has all of these keys.
#[track_caller]
pub fn assert_keys(value: &Value, wanted: &str) {
    let found = keys(value);
    let missing: Vec<&str> = wanted.split_whitespace().filter(|key| !found.contains(key)).collect();
    assert!(missing.is_empty(), "{missing:?} missing in {found:?}");
}

/// A list with something in it.
#[track_caller]
pub fn filled<'a>(value: &'a Value, key: &str) -> &'a [Value] {
    let list = value[key].as_array().unwrap_or_else(|| panic!("{key} is a list"));
    assert!(!list.is_empty(), "{key} is empty");
    list
}

/// No line of a table is wider than 100 columns.
#[track_caller]
pub fn assert_fits(table: &str) {
    for line in table.lines() {
        assert!(line.chars().count() <= 100, "{} columns: {line}", line.chars().count());
    }
}
