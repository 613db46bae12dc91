//! Recently opened plans, kept between starts.

use crate::files::write_whole;
use std::path::{Path, PathBuf};

/// How many are kept.
pub const KEPT: usize = 8;

fn place() -> Option<PathBuf> {
    directories::ProjectDirs::from("", "", "hillwire").map(|folders| folders.config_dir().join("recent.json"))
}

/// The list as it was kept: the plans that are there, and those that are gone.
pub fn load() -> (Vec<PathBuf>, Vec<PathBuf>) {
    let text = place().and_then(|place| std::fs::read(place).ok()).unwrap_or_default();
    let listed: Vec<PathBuf> = serde_json::from_slice(&text).unwrap_or_default();
    listed.into_iter().take(2 * KEPT).partition(|path| path.is_file())
}

/// Keeps the list. Not being able to is no trouble worth stopping anybody for.
pub fn keep<'a>(list: impl Iterator<Item = &'a PathBuf>) {
    let Some(place) = place() else { return };
    let folder = place.parent().map(Path::to_path_buf).unwrap_or_default();
    let bytes = serde_json::to_vec_pretty(&list.take(2 * KEPT).collect::<Vec<_>>()).unwrap_or_default();
    let _ = std::fs::create_dir_all(folder).map(|()| write_whole(&place, &bytes));
}
