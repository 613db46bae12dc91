//! The repository as a list of files with their text.

use std::fs;
use std::path::{Path, PathBuf};

/// One file of the repository.
pub struct File {
    /// Path below the top, with `/`.
    pub path: String,
    /// Its text; empty when it is not UTF-8.
    pub text: String,
}

/// The repository's top folder.
pub fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().expect("this package lies two folders below the top")
}

/// Names directly under the top.
pub fn names_at_top() -> Vec<String> {
    let mut names: Vec<String> = entries(&top()).into_iter().map(|path| name_of(&path)).collect();
    names.sort();
    names
}

/// Every file of ours: nothing built, nothing of git's.
pub fn files() -> Vec<File> {
    let mut found = Vec::new();
    let mut folders = vec![top()];
    while let Some(folder) = folders.pop() {
        for path in entries(&folder) {
            if path.is_dir() {
                if !matches!(name_of(&path).as_str(), "target" | ".git") {
                    folders.push(path);
                }
            } else if name_of(&path) != ".git" {
                let below = path.strip_prefix(top()).expect("entries lie below the top");
                let text = String::from_utf8(fs::read(&path).expect("a listed file can be read")).unwrap_or_default();
                found.push(File { path: below.to_string_lossy().replace('\\', "/"), text });
            }
        }
    }
    found.sort_by(|a, b| a.path.cmp(&b.path));
    found
}

/// Our Rust files.
pub fn rust_files() -> Vec<File> {
    files().into_iter().filter(|file| file.path.ends_with(".rs")).collect()
}

/// The text of one file that has to be there.
pub fn text_of(path: &str) -> String {
    fs::read_to_string(top().join(path)).unwrap_or_else(|trouble| panic!("{path}: {trouble}"))
}

fn entries(folder: &Path) -> Vec<PathBuf> {
    let listing = fs::read_dir(folder).unwrap_or_else(|trouble| panic!("{}: {trouble}", folder.display()));
    listing.map(|entry| entry.expect("a listed entry can be read").path()).collect()
}

fn name_of(path: &Path) -> String {
    path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}
