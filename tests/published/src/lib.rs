//! What several tests need: where further ground lies, and a word about what was left out because it is not there.

pub mod power_holding;

use std::io::Write;
use std::path::PathBuf;

/// The file with this name among the further elevation grids; `None`, and a word about it, where nobody laid them out.
pub fn further_ground(name: &str) -> Option<PathBuf> {
    let folder = std::env::var_os("HILLWIRE_GROUND").map(PathBuf::from);
    if folder.is_none() {
        left_out("HILLWIRE_GROUND names no folder of further ground");
    }
    Some(folder?.join(name))
}

/// Says that a test, or a part of it, did not run, and why; `tests/run` counts these words at its end (a file that `HILLWIRE_LEFT_OUT` names).
///
/// # Panics
/// Where that file cannot be written.
pub fn left_out(why: &str) {
    let name = std::thread::current().name().unwrap_or("a test").to_owned();
    std::io::stderr().write_all(format!("left out: {name}: {why}\n").as_bytes()).expect("standard error takes a line");
    if let Some(path) = std::env::var_os("HILLWIRE_LEFT_OUT") {
        let mut file = std::fs::OpenOptions::new().create(true).append(true).open(path).expect("the list of what was left out");
        file.write_all(format!("{why}\n").as_bytes()).expect("the list takes a line");
    }
}
